"""Pictures of a job's parts."""

from __future__ import annotations

from pathlib import Path

from locksweep.commands.arguments import JobFile, OutFolder

EXAMPLE = "locksweep render my-car.toml --out pictures"


def run(job: JobFile, out: OutFolder = Path("pictures")) -> None:
    """Draw each part and the set of them as PNG files; nothing is built. 'build --pictures' does it beside a build."""
    import typer

    from locksweep.console import progress, say
    from locksweep.exit_codes import Exit
    from locksweep.file_names import file_name
    from locksweep.job.load import load_job
    from locksweep.pictures.asked import asked_of
    from locksweep.pictures.draw import drawing
    from locksweep.solved import solve_job
    from solver.errors import MissingLibraryError, WriteError

    solved = solve_job(load_job(job))
    folder = out / file_name(solved.job.name)
    if not solved.parts:
        say("No part is needed, so there is nothing to draw." if solved.complete else "No part can be made.")
        raise typer.Exit(Exit.DONE if solved.complete else Exit.OUT_OF_REACH)
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise WriteError(
            f"{folder}: can't be made: {error.strerror or error}; choose another --out"
        ) from error
    progress("drawing the parts")
    with drawing(asked_of(solved.parts), folder) as pictures:
        drawn = pictures.finish()
    if not drawn:
        raise MissingLibraryError(f"no picture was drawn: {pictures.missing}")
    say(f"{folder}: {len(pictures.parts) + 1} pictures")
