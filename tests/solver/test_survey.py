"""Points from redundant measurements: recovered within their covariance, slips and gaps named."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import least_squares
from scipy.stats import chi2, norm

from solver.survey import Kind, Measurement, Survey, SurveyError, adjust
from solver.survey.measurement import Network
from solver.survey.precision import chi_square_bound, precision
from solver.survey.start import first_guess, fitted
from solver.vectors import Array
from tests.solver.surveys import FRONT_RACK, ON_ONE_SIDE, measured, reading, truth

POINTS = truth()


def off(survey: Survey, points: dict[str, Array] = POINTS) -> Array:
    """Error of each adjusted point, (n, 3), mm."""
    return np.asarray(survey.positions - np.array([points[name] for name in survey.points]))


def without(measurements: list[Measurement], *names: str) -> list[Measurement]:
    """The measurements but for those whose name contains one of the names."""
    return [item for item in measurements if not any(name in item.name for name in names)]


def slipped(measurements: list[Measurement], name: str, by: float) -> list[Measurement]:
    """The measurements with one reading off."""
    assert name in {item.name for item in measurements}
    return [replace(item, value=item.value + by) if item.name == name else item for item in measurements]


@pytest.mark.parametrize("points", [POINTS, FRONT_RACK], ids=["rear rack", "front rack"])
def test_perfect_readings_give_the_points(points: dict[str, Array]) -> None:
    """Without noise the points come back exactly, whichever side of the axle the rack is on."""
    survey = adjust(measured(points))
    # The search stops at steps of 1e-7 mm, and converges quadratically before that.
    assert abs(off(survey, points)).max() < 1e-6
    assert survey.complete
    assert 0.0 == pytest.approx(survey.scatter, abs=1e-6)


def test_errors_agree_with_the_covariance() -> None:
    """Over many noisy surveys the points' errors are as large as the covariance says, together with all their ties.

    eᵀ Q⁻¹ e of one survey is chi-square with 48 degrees of freedom, so the sum over 60 surveys is so with 2880; the
    sum of the squared residuals is so with 60 times the measurements more than needed.
    """
    rng = np.random.default_rng(20)
    errors, squares, freedom, count = 0.0, 0.0, 0, 60
    for _ in range(count):
        # Without the search for slips, which by chance accuses one survey in ten and would spoil the sample.
        network = Network(measured(POINTS, rng))
        positions, cost = fitted(network, first_guess(network))
        precise = precision(network, positions)
        error = (positions - np.array([POINTS[name] for name in network.points])).ravel()
        errors += float(error @ np.linalg.solve(precise.covariance, error))
        squares, freedom = squares + cost, freedom + precise.freedom
    # Between the bounds that chance leaves one time in a thousand.
    assert chi2.ppf(0.0005, 48 * count) < errors < chi2.ppf(0.9995, 48 * count)
    assert chi2.ppf(0.0005, freedom) < squares < chi2.ppf(0.9995, freedom)
    assert freedom == count * (len(network.value) - 48)


def test_covariance_matches_brute_force() -> None:
    """The spread of the points over 600 noisy surveys of one corner is the covariance, coordinate by coordinate."""
    points = {name: place for name, place in POINTS.items() if name.startswith("left.")}
    plain = [item for item in measured(POINTS) if "right." not in item.name]
    stated = adjust(plain).sigmas()
    rng = np.random.default_rng(4)
    network = Network(plain)
    start = np.array([points[name] for name in network.points])
    samples = []
    for _ in range(600):
        noisy = network.value + rng.normal(0.0, 1.0, len(plain)) * network.sigma

        def residuals(x: Array, noisy: Array = noisy) -> Array:
            here = dict(zip(network.points, x.reshape(-1, 3), strict=True))
            read = [reading(item.kind, here, item.point, item.origin) for item in plain]
            return np.asarray((noisy - np.array(read)) / network.sigma)

        # One Newton step from the truth, with a numerical Jacobian, is all that such small errors take.
        if not samples:
            J = np.column_stack(
                [
                    (residuals(start.ravel() - 1e-4 * axis) - residuals(start.ravel() + 1e-4 * axis)) / 2e-4
                    for axis in np.eye(start.size)
                ]
            )
        samples.append(np.linalg.lstsq(J, residuals(start.ravel()), rcond=None)[0])
    spread = np.std(samples, axis=0).reshape(-1, 3)
    # A standard deviation from 600 samples is itself good to 1/sqrt(1200) = 2.9 percent; 24 of them within 4 of it.
    np.testing.assert_allclose(spread, stated, rtol=0.116)


def test_agrees_with_a_general_optimiser() -> None:
    """SciPy's least squares, from the definitions alone and without our derivatives, finds the same points."""
    items = [item for item in measured(POINTS, np.random.default_rng(8)) if "right." not in item.name]
    survey = adjust(items)
    assert survey.complete

    def residuals(x: Array) -> list[float]:
        here = dict(zip(survey.points, x.reshape(-1, 3), strict=True))
        return [
            (item.value - reading(item.kind, here, item.point, item.origin)) / item.sigma for item in items
        ]

    start = np.array([POINTS[name] for name in survey.points]).ravel()
    other = least_squares(residuals, start, xtol=1e-14, ftol=1e-14, gtol=1e-12)
    # Its numerical derivatives are good to about 1e-8 of the coordinates.
    np.testing.assert_allclose(survey.positions.ravel(), other.x, atol=1e-4)
    np.testing.assert_allclose(survey.covariance, np.linalg.inv(other.jac.T @ other.jac), atol=1e-4)


def test_mean_of_repeated_readings() -> None:
    """Two heights of one point with unequal weights give their weighted mean and its textbook deviation."""
    where = [Measurement("ahead", "a", None, 5.0, 1.0), Measurement("across", "a", None, 7.0, 1.0)]
    heights = [Measurement("height", "a", None, 100.0, 1.0), Measurement("height", "a", None, 103.0, 2.0)]
    survey = adjust([*where, *heights])
    assert (100.0 / 1 + 103.0 / 4) / (1 / 1 + 1 / 4) == pytest.approx(survey.positions[0, 2], abs=1e-9)
    assert math.sqrt(1 / (1 / 1 + 1 / 4)) == pytest.approx(survey.sigmas()[0, 2], rel=1e-9)
    assert 1 == survey.freedom


def test_levelling_loop_of_a_textbook() -> None:
    """The exercise every book on adjustment begins with: a loop of height differences that misses by 9 mm is closed
    by a third of it on each of three like legs (from memory)."""
    rest = [Measurement(kind, name, None, 0.0, 1.0) for kind in ("ahead", "across") for name in "abc"]
    legs = [("a", "b", 40.0), ("b", "c", 25.0), ("c", "a", -56.0)]
    loop = [Measurement("height", end, start, rise, 5.0) for start, end, rise in legs]
    survey = adjust([*rest, Measurement("height", "a", None, 100.0, 0.001), *loop])
    heights = dict(zip(survey.points, survey.positions[:, 2], strict=True))
    # The mark's own uncertainty of 1 µm moves nothing here by more than that.
    assert (137.0, 159.0) == pytest.approx((heights["b"], heights["c"]), abs=1e-3)
    assert (9.0 / math.sqrt(3)) / 5.0 == pytest.approx(survey.scatter, rel=1e-6)


@pytest.mark.parametrize(
    "name",
    [
        "length from left.ball_joint to left.damper_point",
        "length from right.arm_rear_pivot to right.ball_joint",
        "height of right.ball_joint",
        "distance ahead of left.ball_joint",
        "distance across of right.strut_top",
    ],
)
@pytest.mark.parametrize("by", [20.0, -20.0])
def test_a_slip_is_flagged_by_name(name: str, by: float) -> None:
    """A reading that is 20 mm off is the one that is named, with its size, and the points don't suffer."""
    survey = adjust(slipped(measured(POINTS, np.random.default_rng(11)), name, by))
    assert [name] == [item.measurement.name for item in survey.misfits]
    # Its size is known to the reading's own deviation of up to 2 mm and that of the points, three times over.
    assert by == pytest.approx(survey.misfits[0].slip, abs=8.0)
    assert not survey.complete
    assert (
        abs(off(survey) / survey.sigmas()).max() < 4.5
    )  # 48 normal errors; one is beyond that in 3000 surveys


def test_any_slip_is_flagged_or_told_apart_no_further() -> None:
    """Whichever reading is off by 20 mm, it is the one named, or the one named with it is said to be as likely."""
    rng = np.random.default_rng(31)
    missed = []
    for _ in range(25):
        items = measured(POINTS, rng)
        lengths = [number for number, item in enumerate(items) if not item.kind.startswith("angle")]
        wrong = items[int(rng.choice(lengths))]
        survey = adjust(slipped(items, wrong.name, float(rng.choice([-20.0, 20.0]))))
        named = [name for item in survey.misfits for name in (item.measurement.name, *item.instead)]
        if wrong.name not in named:
            missed.append(wrong.name)
    # The test finds what is above its least slip four times out of five, 20 mm mostly far more often; the readings
    # that lead in place of the wrong one by more than two deviations are one in twenty of the doubtful ones.
    assert len(missed) <= 2, missed


@pytest.mark.parametrize("by", [100.0, -100.0, 250.0])
def test_a_great_slip_is_flagged(by: float) -> None:
    """A reading that is off by a hand's breadth and more, where nothing is linear any longer, is the one named."""
    name = "height of left.arm_front_pivot"
    assert name == adjust(slipped(measured(POINTS), name, by)).misfits[0].measurement.name


def test_two_slips_are_flagged() -> None:
    """Two readings that are off on different sides of the car are both named, and no other."""
    items = measured(POINTS, np.random.default_rng(11))
    wrong = {"length from left.ball_joint to left.damper_point": 25.0, "height of right.ball_joint": -20.0}
    for name, by in wrong.items():
        items = slipped(items, name, by)
    assert set(wrong) == {item.measurement.name for item in adjust(items).misfits}


def test_degrees_off_are_flagged() -> None:
    """A gauge that was read 5 degrees wrong is named."""
    name = "angle in side view from left.damper_point to left.strut_top"
    survey = adjust(slipped(measured(POINTS, np.random.default_rng(3)), name, math.radians(-5)))
    assert name == survey.misfits[0].measurement.name


def test_what_nothing_tells_apart_is_said() -> None:
    """Of two heights of one point that disagree, either may be wrong, and both are named."""
    where = [Measurement("ahead", "a", None, 5.0, 1.0), Measurement("across", "a", None, 7.0, 1.0)]
    first = Measurement("height", "a", None, 100.0, 1.5)
    second = Measurement("height", "a", None, 120.0, 1.5, "height of a, reading 2")
    misfit = adjust([*where, first, second]).misfits[0]
    assert {"height of a", "height of a, reading 2"} == {misfit.measurement.name, *misfit.instead}


def test_sound_readings_are_seldom_accused() -> None:
    """Of 30 noisy surveys of some hundred readings, chance accuses a reading in a few only."""
    rng = np.random.default_rng(6)
    accused = sum(bool(adjust(measured(POINTS, rng)).misfits) for _ in range(30))
    # One in a thousand per reading and about 100 readings: one survey in ten, 3 of 30; binomial, 9 is one in 2000.
    assert accused <= 9


def test_contradictory_survey_is_called_so() -> None:
    """Left and right mixed up in many readings is more than slips: the survey is contradictory, culprits named."""
    items = [
        replace(item, value=item.value + (60.0 if number % 3 else -80.0))
        if item.kind == "length" and "left." in item.name
        else item
        for number, item in enumerate(measured(POINTS))
    ]
    survey = adjust(items)
    assert survey.contradictory
    assert all("left." in item.measurement.name for item in survey.misfits)
    assert survey.misfits


def test_undetermined_point_is_named_with_its_direction() -> None:
    """A point whose height nothing tells is named, with the direction that is open and what would close it."""
    where = [Measurement(kind, "left.pickup", None, 100.0, 2.0) for kind in ("ahead", "across")]
    survey = adjust([*without(measured(POINTS), "left.pickup"), *where])
    assert [("left.pickup", "up and down")] == [(item.point, item.direction) for item in survey.undetermined]
    assert ("height of left.pickup",) == survey.missing
    assert math.isinf(survey.sigmas()[survey.points.index("left.pickup")].max())
    assert survey.advice is None


def test_survey_without_fore_and_aft_distances() -> None:
    """If nothing says how far ahead anything lies, all points are free fore and aft; one distance a side holds them.

    A length straight across the car doesn't change when one side slides a little along the other.
    """
    survey = adjust(without(measured(POINTS), "ahead"))
    assert {"fore and aft"} == {item.direction for item in survey.undetermined}
    assert set(survey.points) == {item.point for item in survey.undetermined}
    assert 2 == len(survey.missing)
    assert all(name.startswith("distance ahead of") for name in survey.missing)
    assert {"left", "right"} == {name.split()[-1].partition(".")[0] for name in survey.missing}


def test_a_lone_length_leaves_two_directions() -> None:
    """A point known by one tape length from another is open in the plane square to it."""
    base = [Measurement(kind, "a", None, 0.0, 1.0) for kind in ("height", "ahead", "across")]
    survey = adjust([*base, Measurement("length", "b", "a", 300.0, 1.5)])
    assert ["b"] == [item.point for item in survey.undetermined]
    assert "square to" in survey.undetermined[0].direction or " and " in survey.undetermined[0].direction


def base_of_three() -> list[Measurement]:
    """Three points on the floor that are well known."""
    places = {"a": (0.0, 0.0, 0.0), "b": (600.0, 0.0, 0.0), "c": (0.0, 500.0, 0.0)}
    kinds: tuple[Kind, ...] = ("ahead", "across", "height")
    return [
        Measurement(kind, name, None, value, 1.0)
        for name, place in places.items()
        for kind, value in zip(kinds, place, strict=True)
    ]


def test_point_by_three_lengths_has_two_places() -> None:
    """Three tape lengths from three marks fit above and below their plane alike, and both places are given."""
    top = (200.0, 150.0, 400.0)
    lengths = [
        Measurement("length", "p", name, math.dist(top, place), 1.5)
        for name, place in (("a", (0, 0, 0)), ("b", (600, 0, 0)), ("c", (0, 500, 0)))
    ]
    survey = adjust([*base_of_three(), *lengths])
    (item,) = survey.two_places
    assert {400.0, -400.0} == {round(item.place[2], 3), round(item.other[2], 3)}
    assert not survey.complete
    settled = adjust([*base_of_three(), *lengths, Measurement("height", "p", None, 390.0, 20.0)])
    assert () == settled.two_places
    assert top == pytest.approx(settled.positions[settled.points.index("p")], abs=1.0)


def test_corner_by_lengths_from_known_points() -> None:
    """A helper point far from any guess is found by tape lengths alone."""
    helper = np.array([900.0, -700.0, 950.0])
    ends = (
        "left.strut_top",
        "right.strut_top",
        "left.arm_front_pivot",
        "right.wheel_centre",
        "left.inner_joint",
    )
    lengths = [
        Measurement("length", "mark", end, float(np.linalg.norm(helper - POINTS[end])), 1.5) for end in ends
    ]
    survey = adjust([*measured(POINTS), *lengths])
    assert helper == pytest.approx(survey.positions[survey.points.index("mark")], abs=1e-3)


def test_derivatives_match_finite_differences() -> None:
    """The derivative of every kind of reading is the slope of the reading, for lines that lean either way."""
    network = Network(measured(POINTS, np.random.default_rng(1)))
    kinds = {item.kind for item in network.measurements}
    extra = [
        Measurement("angle top", "left.pickup", "left.ball_joint", math.radians(-6), 0.01),
        Measurement("angle top", "right.ball_joint", "right.inner_joint", math.radians(70), 0.01),
        Measurement("height", "left.pickup", "left.strut_top", -500.0, 1.0),
        Measurement("across", "right.pickup", "left.pickup", 1300.0, 1.0),
    ]
    network = Network([*network.measurements, *extra])
    assert 6 == len(kinds)
    place = np.array([POINTS[name] for name in network.points])
    J, step = network.jacobian(place), 1e-3
    for column in range(place.size):
        there, back = place.copy(), place.copy()
        there.flat[column] += step
        back.flat[column] -= step
        # Misclosures fall where readings rise. Central differences of lengths over 100 mm: error under 1e-9.
        slope = (network.misclosures(back) - network.misclosures(there)) / (2 * step)
        np.testing.assert_allclose(J[:, column], slope, atol=1e-8)


def test_advice_does_what_it_promises() -> None:
    """The measurement that is advised, once taken, brings the worst point to what was promised, and no other
    candidate of its kind does better."""
    items = without(measured(POINTS), "height of left.strut_top", "height of right")
    items += [item for item in measured(POINTS) if item.kind == "height" and item.point == "right.ball_joint"]
    survey = adjust(items)
    advice = survey.advice
    assert advice is not None
    worst = survey.points[int(np.argmax((survey.sigmas() ** 2).sum(axis=1)))]
    assert worst == advice.point

    def deviation(taken: Measurement) -> float:
        after = adjust([*items, taken])
        return float(np.sqrt((after.sigmas()[after.points.index(worst)] ** 2).sum()))

    kinds: tuple[Kind, ...] = ("height", "across", "ahead")
    open_ones = [
        Measurement(kind, name, None, reading(kind, POINTS, name), 1.5 if kind == "height" else 2.0)
        for kind in kinds
        for name in survey.points
    ]
    taken = {item.name for item in items}
    by_name = {item.name: deviation(item) for item in open_ones if item.name not in taken}
    # A covariance update is exact for a linear problem; here the points don't move, so it is to rounding.
    assert advice.then == pytest.approx(by_name.get(advice.measurement, advice.then), rel=1e-6)
    assert advice.then <= min(by_name.values()) * (1 + 1e-9)
    assert advice.then < advice.now


def test_unchecked_readings_are_listed() -> None:
    """A height that no other reading has anything to do with is listed as unchecked, and no slip in it found."""
    items = without(measured(POINTS), "wheel_centre")
    items += [
        Measurement(kind, "left.wheel_centre", None, 300.0, 1.5) for kind in ("height", "across", "ahead")
    ]
    survey = adjust(items)
    assert {
        "height of left.wheel_centre",
        "distance across of left.wheel_centre",
        "distance ahead of left.wheel_centre",
    } == set(survey.unchecked)
    alone = [item.name in survey.unchecked for item in survey.measurements]
    assert np.isinf(survey.least_slip()[alone]).all()


@pytest.mark.parametrize("freedom", [1, 2, 5, 20, 100])
def test_chi_square_bound(freedom: int) -> None:
    """The bound is the chi-square distribution's 99.9 percent point, to the cube-root formula's few percent."""
    assert chi2.ppf(norm.cdf(3.09), freedom) == pytest.approx(chi_square_bound(freedom), rel=0.04)


@pytest.mark.parametrize(
    ("make", "told"),
    [
        (lambda: adjust([]), "nothing was measured"),
        (lambda: Measurement("height", "a", None, math.nan, 1.0), "height of a: value nan"),
        (lambda: Measurement("height", "a", None, 1.0, 0.0), "uncertainty 0"),
        (lambda: Measurement("length", "a", "a", 1.0, 1.0), "two different points"),
        (lambda: Measurement("length", "a", None, 1.0, 1.0), "two points"),
        (lambda: adjust([Measurement("height", f"p{n}", None, 1.0, 1.0) for n in range(61)]), "at most 60"),
    ],
)
def test_impossible_input_is_refused(make: object, told: str) -> None:
    """What can't be a measurement is refused with its name and what was expected."""
    assert callable(make)
    with pytest.raises(SurveyError, match=told):
        make()


def test_points_on_one_spot_do_no_harm() -> None:
    """Contradictory nonsense, such as no distance between two far points, ends in an answer with finite numbers."""
    survey = adjust([*base_of_three(), Measurement("length", "b", "a", 5.0, 1.5)])
    assert np.isfinite(survey.positions).all()
    assert survey.misfits


@pytest.mark.parametrize("kind", ["length", "angle side", "angle top"])
def test_nothing_but_lengths_or_angles(kind: Kind) -> None:
    """A survey without any height or distance leaves all points undetermined; it does not fail."""
    items = [
        Measurement(kind, f"p{number}", "base", 0.5 + 200 * (kind == "length"), 0.1) for number in range(5)
    ]
    survey = adjust(items)
    assert set(survey.points) == {item.point for item in survey.undetermined}
    assert survey.missing


def test_same_measurements_same_survey() -> None:
    """The same measurements give the same numbers, to the bit."""
    one, two = (adjust(measured(POINTS, np.random.default_rng(2))) for _ in range(2))
    assert one.positions.tobytes() == two.positions.tobytes()
    assert one.covariance.tobytes() == two.covariance.tobytes()


def test_lengths_of_the_sheet_are_the_ones_checked_here() -> None:
    """The invented survey holds every tape length between two points of a side once."""
    assert len(ON_ONE_SIDE) == len({frozenset(pair) for pair in ON_ONE_SIDE})
