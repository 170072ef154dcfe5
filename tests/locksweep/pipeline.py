"""What the tests of the pipeline share: job texts made from a demo job, and commands run as a user runs them."""

from __future__ import annotations

import hashlib
import json
import os
import re
import subprocess
import sys
from collections.abc import Collection
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from locksweep.demo_jobs import demo_text

CHECKOUT = Path(__file__).resolve().parents[2]
COMMAND = (sys.executable, "-m", "locksweep")

AIDS = ("drilling-gauge", "wrap-template", "fixture-base", "fixture-vee", "fixture-stop", "slot-template")
"""Families of marking aids, which carry nothing."""

EXAMPLE = re.compile(r"# (?P<name>\[\[?[a-z_]+\]\]?|[a-z_]+(?= = ))")
"""A comment that holds a table's header, or a key with its value."""

HEAVY = ("OCP", "cadquery", "ezdxf", "matplotlib", "pint", "rich", "scipy", "trimesh", "vtk", "vtkmodules")
"""Packages that take long to load and that neither help nor numbers need."""


def edited(text: str, *pairs: tuple[str, str]) -> str:
    """The text with each of the first halves, which must occur exactly once, replaced by the second."""
    for old, new in pairs:
        assert 1 == text.count(old), f"{old!r} occurs {text.count(old)} times"
        text = text.replace(old, new)
    return text


def full_job() -> str:
    """Text of the metric demo job, which takes a part of every family."""
    return demo_text("alder-coupe")


def small_job() -> str:
    """The same without panels and stops: it takes rack spacers and arm sleeves."""
    return _without(full_job(), "[[wheel_well]]")


def tiny_job() -> str:
    """The same with nothing to keep clear of either: it takes rack spacers alone, and a twelfth of a second."""
    return _without(full_job(), "[[keep_clear]]")


def _without(text: str, first: str) -> str:
    # Nor any marking aids, which follow from the parts.
    return text[: text.index(first)] + '[marking]\nmake = "none"\n\n' + text[text.index("[changes]\n") :]


def comment_examples(text: str) -> dict[int, str]:
    """Keys and headers that stand in a job text as comments, by the number of their line from 0."""
    found = ((number, EXAMPLE.match(line)) for number, line in enumerate(text.split("\n")))
    return {number: match["name"] for number, match in found if match}


def taken_in(text: str, numbers: Collection[int]) -> str:
    """The text with the comment marks of some lines taken away."""
    lines = enumerate(text.split("\n"))
    return "\n".join(line.removeprefix("# ") if number in numbers else line for number, line in lines)


def opened(text: str) -> str:
    """A demo job with all of its goals, all that may change, a tie rod to buy, and no change fixed that is open."""
    examples = comment_examples(text)
    first = next(number for number, name in examples.items() if name == "[may_change]")
    goals = {"ackermann", "camber", "least_caster", "inclination_kept", "bump_steer", "taper"}
    numbers: dict[str, int] = {}
    for number, name in examples.items():
        if name in goals or (number >= first and name not in ("strut_top_places", "override")):
            # Of two ways to move a pickup the first.
            numbers.setdefault(name if number < first else f"open {name}", number)
    return re.sub(r"(?m)^pickup_move = .*$", "", taken_in(text, numbers.values()))


def written(folder: Path, text: str) -> Path:
    """A job file in a folder."""
    path = folder / "job-file.toml"
    path.write_bytes(text.encode("utf-8"))
    return path


def contents(folder: Path) -> dict[str, bytes]:
    """Every file below a folder, by its path in it."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


def everything_below(folder: Path) -> list[str]:
    """Names of all files and folders below a folder, hidden ones included."""
    return sorted(path.relative_to(folder).as_posix() for path in folder.rglob("*"))


def manifest_of(folder: Path) -> dict[str, Any]:
    """The manifest of a build; all files are held against their hashes, and no file is left out."""
    manifest: dict[str, Any] = json.loads((folder / "manifest.json").read_text(encoding="utf-8"))
    found = {path.name: hashlib.sha256(path.read_bytes()).hexdigest() for path in folder.iterdir()}
    del found["manifest.json"]
    assert manifest["files"] == found
    return manifest


@dataclass(frozen=True)
class Finished:
    """What came of a command."""

    code: int
    out: str
    err: str

    @property
    def told(self) -> str:
        """All that the user saw."""
        return self.out + self.err


def environment(**extra: str) -> dict[str, str]:
    """This process's environment, with the checkout to import from and UTF-8 unless told otherwise."""
    return os.environ | {"PYTHONPATH": str(CHECKOUT), "PYTHONUTF8": "1"} | extra


def run(*arguments: object, cwd: Path, **extra: str) -> Finished:
    """Run the command in a process of its own; ``extra`` goes into the environment."""
    done = subprocess.run(
        [*COMMAND, *map(str, arguments)],
        cwd=cwd,
        env=environment(**extra),
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        encoding="utf-8",
    )
    return Finished(done.returncode, done.stdout, done.stderr)
