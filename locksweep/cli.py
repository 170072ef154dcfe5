"""The command line: which commands there are, and what becomes of an error."""

from __future__ import annotations

import os
import signal
import sys
from importlib import import_module
from types import FrameType
from typing import Annotated, Any, NoReturn

import typer
from typer.core import TyperGroup
from typer.main import get_command

from locksweep import __version__
from locksweep.exit_codes import EXPLAINED, Exit
from solver.errors import LocksweepError, MissingLibraryError, WriteError

COMMANDS = (
    "new",
    "measure",
    "check",
    "ladder",
    "solve",
    "sure",
    "loads",
    "clearance",
    "retyre",
    "order",
    "build",
    "render",
    "pack",
    "nest",
    "compare",
    "demo",
)
"""In the order of the work; each is a module of `locksweep.commands`."""


class _LazyGroup(TyperGroup):
    """Loads a command's module when the command is asked for: to load them all would double the start."""

    def list_commands(self, ctx: Any) -> list[str]:
        return list(COMMANDS)

    def get_command(self, ctx: Any, cmd_name: str) -> Any:
        if cmd_name not in COMMANDS:
            return None
        module = import_module(f"locksweep.commands.{cmd_name}")
        single = typer.Typer(add_completion=False, pretty_exceptions_enable=False, rich_markup_mode=None)
        single.command(cmd_name, epilog=f"Example: {module.EXAMPLE}")(module.run)
        return get_command(single)


app = typer.Typer(
    name="locksweep",
    cls=_LazyGroup,
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
    epilog=EXPLAINED,
)


def _version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"locksweep {__version__}")
        raise typer.Exit


@app.callback()
def options(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="print the version and stop")
    ] = False,
) -> None:
    """From a measured strut-type front end to quotable parts for more steering lock."""


class _InterruptedError(BaseException):
    """Raised by Ctrl-C or a request to end; not an Exception, so that nothing on the way out takes it for one."""


def _interrupt(number: int, frame: FrameType | None) -> None:
    raise _InterruptedError


def _end(code: Exit, message: str) -> NoReturn:
    # Here and not above, as it brings NumPy along, which a call for help can do without.
    from locksweep.console import warn

    warn(message)
    sys.exit(code)


def main() -> None:
    """Run the command line; what goes wrong ends in one message and an exit code, never in a traceback."""
    # No pydantic plugin is wanted, and looking for some costs a tenth of the start.
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
    # Matrices of three by three gain nothing from threads, and to start and end those takes a seventh of a short run.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    for number in (signal.SIGINT, signal.SIGTERM):
        signal.signal(number, _interrupt)
    try:
        app()
    except _InterruptedError:
        for number in (signal.SIGINT, signal.SIGTERM):
            signal.signal(number, signal.SIG_IGN)
        _end(Exit.INTERRUPTED, "interrupted; nothing half-written is left behind")
    except MissingLibraryError as error:
        _end(Exit.LIBRARY_MISSING, str(error))
    except WriteError as error:
        _end(Exit.NOT_WRITTEN, str(error))
    except LocksweepError as error:
        _end(Exit.BAD_INPUT, str(error))
    except OSError as error:
        # What nobody foresaw, such as output that goes to a full disk.
        from locksweep.console import forget

        place = f"{error.filename}: " if error.filename else ""
        forget(sys.stdout)
        _end(Exit.NOT_WRITTEN, f"{place}{error.strerror or error}")


def command() -> NoReturn:
    """`main` as a process of its own, which ends without taking apart what it has loaded.

    That would take a tenth of a short run. All files are closed by then; what is left is to write out what the
    standard streams still hold.
    """
    code: Any = 0
    try:
        main()
    except SystemExit as left:
        code = left.code
    for stream in (sys.stdout, sys.stderr):
        if stream is not None:
            try:
                stream.flush()
            except OSError:
                code = code or Exit.NOT_WRITTEN
    os._exit(int(code or 0))
