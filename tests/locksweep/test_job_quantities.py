"""Quantities as people say them."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from locksweep.job.quantities import BadValueError, parse_quantity, written

# Every expected length worked out by hand: 1 in = 25.4 mm, 1 ft = 304.8 mm.
LENGTHS = {
    "5/8 in": 15.875,
    "1 1/4 in": 31.75,
    "1-1/4 in": 31.75,
    "  1   1/4in ": 31.75,
    "1 1 / 4 in": 31.75,
    "15.9 mm": 15.9,
    "15.9mm": 15.9,
    ".5 in": 12.7,
    "12. mm": 12.0,
    "2 ft 3 in": 685.8,
    "2ft3in": 685.8,
    "7 ft 10 7/8 in": 2409.825,
    "5' 3 1/2\"": 1612.9,
    "5'3''": 1600.2,
    "5′ 3″": 1600.2,
    '1/16"': 1.5875,
    "1 foot": 304.8,
    "2 feet": 609.6,
    "3 inches": 76.2,
    "2.5 cm": 25.0,
    "1.2 m": 1200.0,
    "-5/8 in": -15.875,
    "−3 mm": -3.0,
    "+3 mm": 3.0,
    "-2 ft 3 in": -685.8,
    "1e2 mm": 100.0,
    "35 thou": 0.889,
    "0 mm": 0.0,
    "16/3 mm": 16 / 3,
}

NOT_LENGTHS = [
    "",
    " ",
    "in",
    "mm 5",
    "five mm",
    "nan",
    "NaN mm",
    "inf",
    "-infinity mm",
    "1e400 mm",
    "1e12 mm",
    "5/0 in",
    "1 5/4 in",
    "1 4/4 in",
    "1/2/3 in",
    "5 / in",
    "15,9 mm",
    "1,000 mm",
    "1_000 mm",
    "2 ft 3",
    "3 in 2 ft",
    "2 ft 2 ft",
    "2.5 ft 3 in",
    "2 ft 12 in",
    "2 ft -3 in",
    "--5 mm",
    "5 deg",
    "5 kg",
    "5 kN",
    "5 min",
    "5 furlongs/s",
    "5 mm2",
    "5 mm**2",
    "5 xyz",
    "5 MM",
    "٣ mm",
    "½ in",
    "1¼ in",
    "２ mm",
    "0x10 mm",
    "1+1 mm",
    "2*3 mm",
    "__import__('os')",
    "5 mm; 6 mm",
    "5\x00mm",
    "9" * 61,
    True,
    False,
    None,
    [5],
    {"mm": 5},
    math.nan,
    math.inf,
    -math.inf,
    10**400,
    16**6000,
]


@pytest.mark.parametrize(("text", "expected"), LENGTHS.items())
def test_length_texts(text: str, expected: float) -> None:
    """Every accepted spelling gives its length to the last bit but two."""
    assert expected == pytest.approx(parse_quantity(text, "length"), rel=4e-16, abs=0)


@pytest.mark.parametrize("text", ["5/8 in", "7/16 in", "15/16 in", "9 7/8 in", "2 ft 3 in", "1/64 in"])
def test_inch_fractions_are_exact(text: str) -> None:
    """A fraction of an inch is the float nearest to its exact value in mm, so that files show no noise."""
    inches = Fraction(0)
    for word in text.replace(" in", "").replace("2 ft", "24").split():
        inches += Fraction(word)
    assert float(inches * Fraction(254, 10)) == parse_quantity(text, "length")


@pytest.mark.parametrize("value", NOT_LENGTHS, ids=lambda value: written(value)[:20])
def test_no_lengths(value: object) -> None:
    """Whatever is no finite length is refused with what was expected, never taken for something else."""
    with pytest.raises(BadValueError, match="expected a length") as caught:
        parse_quantity(value, "length")
    assert "a length" == caught.value.expected
    assert caught.value.found


@pytest.mark.parametrize(
    ("value", "dimension", "units", "expected"),
    [
        (5, "length", "mm", 5.0),
        (5, "length", "in", 127.0),
        ("5", "length", "in", 127.0),
        ("1 1/4", "length", "in", 31.75),
        (-0.5, "length", "in", -12.7),
        (7, "angle", "in", math.radians(7)),
        ("7", "angle", "mm", math.radians(7)),
        (310, "mass", "in", 310.0),
        (1200, "force", "mm", 1200.0),
    ],
)
def test_bare_numbers_take_the_unit_of_the_file(
    value: object, dimension: str, units: str, expected: float
) -> None:
    """Lengths take the file's unit; angles are degrees, masses kg and forces N in any file."""
    assert expected == pytest.approx(parse_quantity(value, dimension, units), rel=4e-16)


@pytest.mark.parametrize(
    ("text", "dimension", "expected"),
    [
        ("7 deg", "angle", math.radians(7)),
        ("7°", "angle", math.radians(7)),
        ("0.1 rad", "angle", 0.1),
        ("12 deg 30 min", "angle", math.radians(12.5)),
        ("12° 30'", "angle", math.radians(12.5)),
        ("-0 deg 40 min", "angle", -math.radians(40 / 60)),
        ("1 deg 30 min 36 sec", "angle", math.radians(1.51)),
        ("850 kg", "mass", 850.0),
        ("100 lb", "mass", 45.359237),
        ("1.2 kN", "force", 1200.0),
        ("10 kgf", "force", 98.0665),
    ],
)
def test_other_dimensions(text: str, dimension: str, expected: float) -> None:
    """Angles, masses and forces; a mark ' is a foot in a length and a minute in an angle."""
    assert expected == pytest.approx(parse_quantity(text, dimension), rel=1e-15)


@pytest.mark.parametrize(
    ("text", "dimension", "expected"),
    [
        ("2 yards", "length", 1828.8),
        ("3 stone", "mass", 42 * 0.45359237),
        ("1 nautical_mile", "length", None),
        ("100 gradian", "angle", math.pi / 2),
    ],
)
def test_rare_units_are_asked_of_the_unit_library(text: str, dimension: str, expected: float | None) -> None:
    """A unit that is not in the table is looked up; only plain words are."""
    if expected is None:
        with pytest.raises(BadValueError):
            parse_quantity(text, dimension)
    else:
        assert expected == pytest.approx(parse_quantity(text, dimension), rel=1e-12)


@pytest.mark.parametrize(
    ("value", "dimension", "said"),
    [
        ("5 deg", "length", "which is an angle"),
        ("5 mm", "angle", "which is a length"),
        ("3 kN", "mass", "which is a force"),
        ("5 percent", "angle", "which is some other quantity"),
        ("5 second", "length", "which is an angle"),
        ("5 hours", "length", "which is some other quantity"),
        ("5 MM", "length", 'did you mean "mm"'),
        ("5 inxhes", "length", 'did you mean "inches"'),
        ("5 blorps", "length", '"blorps" is not known'),
        ("15,9 mm", "length", "decimal point instead of the comma"),
        ("½ in", "length", "digits 0 to 9"),
        ("2.5 ft 3 in", "length", "only its last number may have a fraction"),
        ("2 ft 15 in", "length", "15 in, which is one or more of the unit before"),
        ("3 in 2 ft", "length", "smaller from left to right"),
        ("2 ft 3", "length", "no unit"),
        ("1 5/4 in", "length", "must be less than 1"),
        ("5/0 in", "length", "over 0"),
        ("1e400 mm", "length", "far too large"),
        (True, "length", "true, which is a yes or no"),
        (math.nan, "length", "nan mm"),
    ],
)
def test_refusals_say_why(value: object, dimension: str, said: str) -> None:
    """The message tells what the value is instead, or how to write it."""
    with pytest.raises(BadValueError) as caught:
        parse_quantity(value, dimension)
    assert said in str(caught.value)


@given(
    whole=st.integers(0, 90),
    over=st.integers(1, 63),
    power=st.integers(1, 6),
    negative=st.booleans(),
    gap=st.sampled_from([" ", "  ", "-"]),
    unit=st.sampled_from([" in", "in", '"', " inches", "″"]),
)
def test_mixed_inches_round_trip(
    whole: int, over: int, power: int, negative: bool, gap: str, unit: str
) -> None:
    """Any mark of an inch rule, written as a mixed number, is read as what it is."""
    under = 2**power
    over %= under
    text = f"{whole}{gap}{over}/{under}{unit}"
    exact = (Fraction(whole) + Fraction(over, under)) * Fraction(254, 10)
    assert float(-exact if negative else exact) == parse_quantity("-" * negative + text, "length")


@given(st.floats(-1e6, 1e6, allow_nan=False))
def test_decimal_numbers_round_trip(number: float) -> None:
    """Any float, written as Python writes it, is read as itself in mm."""
    assert number == pytest.approx(parse_quantity(f"{number!r} mm", "length"), rel=4e-16, abs=1e-300)
    assert number == pytest.approx(parse_quantity(number, "length"), rel=4e-16, abs=1e-300)


@given(feet=st.integers(0, 30), inches=st.integers(0, 11), sixteenths=st.integers(0, 15))
def test_feet_and_inches_round_trip(feet: int, inches: int, sixteenths: int) -> None:
    """Feet, inches and a fraction add up."""
    expected = (feet * 12 + inches + sixteenths / 16) * 25.4
    for text in (f"{feet} ft {inches} {sixteenths}/16 in", f"{feet}'{inches} {sixteenths}/16\""):
        assert expected == pytest.approx(parse_quantity(text, "length"), rel=1e-14, abs=1e-12)


@given(st.one_of(st.text(max_size=12), st.text("0123456789./ -+eE'\"inmftdeg", max_size=12)))
def test_any_text_gives_a_finite_number_or_a_refusal(text: str) -> None:
    """Nothing but a finite number or the one error comes out, whatever goes in."""
    try:
        number = parse_quantity(text, "length")
    except BadValueError:
        return
    assert math.isfinite(number)
    assert any(c in "0123456789" for c in text)
