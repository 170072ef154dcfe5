"""What the repository promises as a whole: pins, documents that tell the truth, rooms that are kept apart."""

from __future__ import annotations

import os
import re
import shlex
import shutil
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

RUN_LOCKSWEEP = "import sys; from locksweep.cli import main; sys.argv[0] = 'locksweep'; main()"
RUN_LINT_IMPORTS = "from importlinter.cli import lint_imports_command; lint_imports_command()"

# How a command line starts in the README: by name, or by its place in a Windows environment.
COMMAND = re.compile(r"^(?:\.venv\\Scripts\\|\.venv/bin/)?(locksweep|make)\b(.*)$")

# Absolute paths of somebody's machine: home folders, work folders, temporary folders, Windows drives.
MACHINE_PATH = re.compile(r"(?<![\w.~>)\]])/(?:work|tmp|home|root|Users|private)/\w|\b[A-Z]:\\\w")


def fenced_lines(text: str) -> Iterator[str]:
    """Lines of all fenced blocks of a Markdown text; a prompt of ``$`` is taken off."""
    fenced = False
    for line in text.splitlines():
        if line.lstrip().startswith("```"):
            fenced = not fenced
        elif fenced:
            yield line.strip().removeprefix("$ ")


def commands(text: str, program: str) -> list[list[str]]:
    """Arguments of each call of ``program`` in the fenced blocks, in order, a repeated call only once."""
    found: list[list[str]] = []
    for line in fenced_lines(text):
        match = COMMAND.match(line)
        if match and match[1] == program:
            arguments = shlex.split(match[2], comments=True)
            if arguments not in found:
                found.append(arguments)
    return found


def clean_environment(**extra: str) -> dict[str, str]:
    """This process's environment without what would let Python find the checkout by itself."""
    kept = {k: v for k, v in os.environ.items() if k not in ("PYTHONPATH", "PYTHONHOME", "VIRTUAL_ENV")}
    return kept | {"PYTHONUTF8": "1"} | extra


def own_files(checkout: Path) -> Iterator[Path]:
    """All files that are tracked, or would be with the next ``git add``; without git, all but hidden ones."""
    listing = ["git", "-C", str(checkout), "ls-files", "-z", "--cached", "--others", "--exclude-standard"]
    if (checkout / ".git").exists() and shutil.which("git"):
        out = subprocess.run(listing, check=True, capture_output=True, text=True, encoding="utf-8").stdout
        yield from (path for name in sorted(out.split("\0")) if name and (path := checkout / name).is_file())
        return
    for path in sorted(checkout.rglob("*")):
        inside = path.relative_to(checkout).parts
        skipped = inside[0] in ("output", "dist", "build") or "__pycache__" in inside
        if path.is_file() and not skipped and not any(part.startswith(".") for part in inside):
            yield path


def constraint_lines(checkout: Path) -> list[str]:
    """Lines of constraints.txt without comments and blank ones."""
    lines = (checkout / "constraints.txt").read_text(encoding="utf-8").splitlines()
    return [line for line in lines if line and not line.startswith("#")]


def test_fenced_commands_are_found() -> None:
    """The helper sees prompts, Windows paths and quotes, leaves prose alone and names no call twice."""
    text = (
        "locksweep prose\n```sh\n$ locksweep new 'my car.toml'  # starter\nlocksweep new 'my car.toml'\n"
        "make demo\n```\nlocksweep prose\n"
        "```bat\n.venv\\Scripts\\locksweep demo\npip install locksweep\n```\n"
    )
    assert [["new", "my car.toml"], ["demo"]] == commands(text, "locksweep")
    assert [["demo"]] == commands(text, "make")


def test_constraints_are_plain_pins(checkout: Path) -> None:
    """Every line of the constraints is name==version: no URL, no marker, no range, no name twice."""
    lines = constraint_lines(checkout)
    assert [] == [line for line in lines if not re.fullmatch(r"[a-z0-9-]+==[0-9][0-9a-z.]*", line)]
    names = [line.partition("==")[0] for line in lines]
    assert sorted(set(names)) == names


def test_every_requirement_is_pinned_within_its_bounds(checkout: Path) -> None:
    """What pyproject.toml asks for has a pin, and the pin satisfies what is asked."""
    pins = dict(line.split("==") for line in constraint_lines(checkout))
    pyproject = tomllib.loads((checkout / "pyproject.toml").read_text(encoding="utf-8"))
    asked = [*pyproject["project"]["dependencies"], *pyproject["build-system"]["requires"]]
    asked += pyproject["project"]["optional-dependencies"]["dev"]
    for requirement in map(Requirement, asked):
        pin = pins.get(canonicalize_name(requirement.name))
        assert pin, f"{requirement.name} is not pinned"
        assert pin in requirement.specifier, f"{requirement.name} {pin} is outside of {requirement.specifier}"


def test_set_up_files_name_no_server(checkout: Path) -> None:
    """Packages come from wherever the builder's pip gets them: nothing here names a server."""
    for name in ("pyproject.toml", "constraints.txt", "Makefile", ".ci/run"):
        assert "://" not in (checkout / name).read_text(encoding="utf-8"), name


def test_no_file_knows_the_machine_it_was_written_on(checkout: Path) -> None:
    """No text file of the repository holds an absolute path of somebody's machine."""
    found = []
    for path in own_files(checkout):
        content = path.read_bytes()
        if b"\0" in content:
            continue
        for number, line in enumerate(content.decode("utf-8").splitlines(), start=1):
            if MACHINE_PATH.search(line):
                found.append(f"{path.relative_to(checkout)}:{number}: {line.strip()}")
    assert [] == found


@pytest.mark.parametrize("name", ["README.md", "DEVELOPERS.md"])
def test_documents_point_at_things_that_exist(checkout: Path, name: str) -> None:
    """Every linked file, picture and folder, and every path in backticks, is there; every make target too."""
    text = (checkout / name).read_text(encoding="utf-8")
    linked = re.findall(r"\]\(([^)#:\s]+)\)", text)
    quoted = re.findall(r"`((?:solver|parts|locksweep|configs|tests|benchmarks|\.ci)/[\w./-]*)`", text)
    assert [] == [path for path in linked + quoted if not (checkout / path).exists()]
    makefile = (checkout / "Makefile").read_text(encoding="utf-8")
    targets = set(re.findall(r"^([a-z]+):", makefile, flags=re.MULTILINE))
    called = {word for call in commands(text, "make") for word in call if "=" not in word}
    called |= set(re.findall(r"`make (?:[A-Z]+=\S+ )?([a-z]+)", text))
    assert called <= targets


def test_make_help_names_every_target(checkout: Path) -> None:
    """Whoever runs make help sees every target, but for the two that only make the environment."""
    makefile = (checkout / "Makefile").read_text(encoding="utf-8")
    targets = set(re.findall(r"^([a-z]+):", makefile, flags=re.MULTILINE)) - {"help", "runtime", "dev"}
    assert targets == set(re.findall(r'@echo "make ([a-z]+) ', makefile))


@pytest.mark.slow
def test_readme_commands_run_as_they_stand(checkout: Path, tmp_path: Path) -> None:
    """A newcomer who types the README's locksweep commands in their order gets through all of them."""
    calls = commands((checkout / "README.md").read_text(encoding="utf-8"), "locksweep")
    assert {"new", "check", "solve", "build", "demo"} <= {arguments[0] for arguments in calls}
    for arguments in calls:
        run = subprocess.run(
            [sys.executable, "-c", RUN_LOCKSWEEP, *arguments],
            cwd=tmp_path,
            env=clean_environment(PYTHONPATH=str(checkout)),
            stdin=subprocess.DEVNULL,
            capture_output=True,
            text=True,
            encoding="utf-8",
        )
        told = f"locksweep {shlex.join(arguments)}\n{run.stdout}\n{run.stderr}"
        assert run.returncode == 0, told
        assert "Traceback" not in told, told


def lint_imports(folder: Path) -> subprocess.CompletedProcess[str]:
    """Run the import rule in a folder that holds pyproject.toml and the packages."""
    return subprocess.run(
        [sys.executable, "-c", RUN_LINT_IMPORTS, "--no-cache", "--no-logo"],
        cwd=folder,
        env=clean_environment(COLUMNS="200"),
        capture_output=True,
        text=True,
        encoding="utf-8",
    )


def test_rooms_are_kept_apart(checkout: Path) -> None:
    """No room imports what the import rule forbids it."""
    run = lint_imports(checkout)
    assert run.returncode == 0, run.stdout + run.stderr


@pytest.mark.parametrize(
    ("room", "line", "contract"),
    [
        ("solver", "import parts", "Data goes one way"),
        ("solver", "import cadquery", "The solver stays plain"),
        ("solver", "import pydantic", "The solver stays plain"),
        ("parts", "import locksweep", "Data goes one way"),
        ("parts", "import solver.car", "Parts know dimensions"),
        ("parts", "import typer", "Parts know no command line"),
    ],
)
def test_import_rule_bites(checkout: Path, tmp_path: Path, room: str, line: str, contract: str) -> None:
    """A planted import against the rule is found, under the contract that forbids it."""
    shutil.copy(checkout / "pyproject.toml", tmp_path)
    for package in ("solver", "parts", "locksweep"):
        shutil.copytree(
            checkout / package, tmp_path / package, ignore=shutil.ignore_patterns("__pycache__", "data")
        )
    (tmp_path / room / "planted.py").write_text(f"{line}\n", encoding="utf-8")
    run = lint_imports(tmp_path)
    assert run.returncode == 1, run.stdout + run.stderr
    assert re.search(rf"^{contract}.* BROKEN\b", run.stdout, flags=re.MULTILINE), run.stdout


@pytest.mark.parametrize("statement", ["import solver", "import locksweep.cli"])
def test_no_kernel_without_need(checkout: Path, statement: str) -> None:
    """Importing the solver or the command line loads neither the CAD kernel nor anything that draws."""
    code = f"{statement}; import sys; print(*sorted({{name.partition('.')[0] for name in sys.modules}}))"
    run = subprocess.run(
        [sys.executable, "-c", code],
        cwd=checkout,
        env=clean_environment(),
        check=True,
        capture_output=True,
        text=True,
    )
    heavy = {"cadquery", "OCP", "vtk", "vtkmodules", "ezdxf", "matplotlib", "scipy"}
    assert set() == heavy & set(run.stdout.split())
