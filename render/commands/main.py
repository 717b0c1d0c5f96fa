"""The command line: `midneck` and its commands, loaded when they are called.

Exit statuses: 0 all went well; 1 a folder was worked through and some of its sheets failed, or the
reader of a pipe went away before the end; 2 what was asked could not be done (a sheet with
mistakes, an impossible grip, a file that cannot be written, a wrong option); 70 an error that
nobody foresaw, out of memory too (EX_SOFTWARE of BSD's sysexits.h, from memory); 130 interrupted.
"""

from __future__ import annotations

import gc
import os
import sys
from importlib import import_module
from io import TextIOWrapper
from pathlib import Path
from typing import Any, Final

import click

from ...grammar.errors import MidneckError, SheetError
from ...grammar.foreign_text import one_line
from ..batch import NEW_OBJECTS
from ..version import __version__
from . import interrupts
from .messages import say, show

#: The commands in the order in which a teacher meets them, with their one-line help.
COMMANDS: Final = {
    "chart": "Make comping charts from sheets of chord changes.",
    "areas": "List the ii–V–I's and other areas of tunes, and the keys they visit.",
    "tidy": "Write sheets in canonical form.",
    "others": "List the nearest other grips of a tune's chords.",
    "compare": "Set two plans of a tune side by side: players, styles or sheets.",
    "order": "Print the played order of a tune's bars.",
    "play": "Play a tune's grips as MIDI or sound.",
    "drill": "Print a progression round the keys as a practice sheet.",
    "lesson": "Write a student's folder: chart, drills and playback of a tune.",
    "book": "Bind the charts of many tunes as one PDF, with contents and indexes.",
    "find": "Find tunes of a folder by areas, keys, chords, grips and words; what to learn next.",
    "grid": "Draw the fret grid of one chord as SVG.",
    "desk": "Open a folder of tunes in the browser.",
    "help": "Tell how to type a tune (help format), or about a command.",
}

#: The exit status after an error that nobody foresaw.
UNFORESEEN: Final = 70
#: The environment variable that shows the traceback of such an error.
TRACEBACK: Final = "MIDNECK_TRACEBACK"

EXAMPLE: Final = """\
\b
Example:
  midneck chart my_tune.txt            writes my_tune.pdf
  midneck chart my_tune.txt --key Eb   the same in E flat
"""


class Commands(click.Group):
    """A group of commands; each is in its own module, which is imported when it is called."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """The names of the commands, in teaching order."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The command of that name, imported now; None when there is none."""
        if cmd_name not in COMMANDS:
            return None
        module = import_module(f".{cmd_name}", __package__)
        command: click.Command = module.command
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """Names and one-line helps, without importing any command."""
        with formatter.section("Commands"):
            formatter.write_dl(list(COMMANDS.items()))

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """The command of the arguments. The error for an unknown name suggests the nearest one."""
        if args and args[0] not in COMMANDS and not args[0].startswith("-"):
            raise click.UsageError(f"there is no command {args[0]!r}{_nearest(args[0])}", ctx)
        return super().resolve_command(ctx, args)


def _nearest(name: str) -> str:
    from difflib import get_close_matches

    near = get_close_matches(name, COMMANDS, 1)
    return f"; did you mean {near[0]!r}?" if near else f"; there are {', '.join(COMMANDS)}"


@click.command(
    cls=Commands,
    invoke_without_command=True,
    epilog=EXAMPLE,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 80},
)
@click.version_option(__version__, prog_name="midneck")
@click.pass_context
def cli(ctx: click.Context) -> None:
    """Turn a tune's chord changes into charts and practice for jazz guitar."""
    if ctx.invoked_subcommand is None:
        click.echo(ctx.get_help())


def main(arguments: list[str] | None = None) -> None:
    """Run the command line and exit with its status; SIGTERM and SIGHUP count as interrupts."""
    try:
        interrupts.listen()
        _open_streams()
        gc.set_threshold(NEW_OBJECTS)
        gc.enable()
        status = run(sys.argv[1:] if arguments is None else arguments)
        # Python looks for garbage once more on its way out, which takes as long as to read a tune.
        gc.freeze()
    except KeyboardInterrupt:
        interrupts.leave()
    if interrupts.happened():
        interrupts.leave()
    interrupts.forget()
    sys.exit(status)


def _open_streams() -> None:
    """Let no file get the number of a standard stream that is closed, and no letter be an error.

    A stream in an encoding without a letter (as cp1252 has no ♭) gets a question mark.
    """
    for number in range(3):
        try:
            os.fstat(number)
        except OSError:
            os.open(os.devnull, os.O_RDWR)
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, TextIOWrapper):
            stream.reconfigure(errors="replace")


def run(arguments: list[str]) -> int:
    """Run the command line; gives the exit status, prints errors on standard error."""
    try:
        return _run(arguments)
    except KeyboardInterrupt:
        interrupts.ignore()
        say("interrupted", err=True)
        return interrupts.INTERRUPTED


def _run(arguments: list[str]) -> int:
    try:
        with interrupts.kept():
            result: Any = cli.main(arguments, prog_name="midneck", standalone_mode=False)
        return result if isinstance(result, int) else 0
    except click.ClickException as error:
        show(error)
    except click.Abort as error:
        raise KeyboardInterrupt from error
    except OSError as error:
        say(f"midneck: {os_message(error)}", err=True)
    except MidneckError as error:
        _show(error)
    except Exception as error:
        say(unforeseen_message(error), err=True)
        return UNFORESEEN
    return 2


def _show(error: MidneckError) -> None:
    """Print an error: those of sheets and plans as they are, others as errors of usage."""
    from ...converter.hand.plan import PlanError  # not for --help, which needs no planner

    if isinstance(error, (SheetError, PlanError)):
        say(str(error), err=True)
    else:
        show(click.UsageError(str(error)))


def unforeseen_message(error: Exception) -> str:
    """What is said of an error that nobody foresaw: where it is from, and how to report it.

    With the environment variable MIDNECK_TRACEBACK the traceback stands before it.
    """
    import traceback  # not for a command that goes well

    frames = traceback.extract_tb(error.__traceback__)
    place = f" in {Path(frames[-1].filename).name}, line {frames[-1].lineno}" if frames else ""
    said = one_line(str(error))[:200]
    kind = f"{type(error).__name__}{place}{': ' if said else ''}{said}"
    cause = "out of memory" if isinstance(error, MemoryError) else "an error in Midneck itself"
    ask = "please report this line with the sheet and the command"
    shown = "".join(traceback.format_exception(error)) if os.environ.get(TRACEBACK) else ""
    return f"{shown}midneck: {cause} ({kind}); {ask}; {TRACEBACK}=1 shows more"


def os_message(error: OSError) -> str:
    """The message of an OSError, with the name of its file."""
    if error.filename is None or error.strerror is None:
        return str(error)
    return f"{one_line(str(error.filename))}: {error.strerror.lower()}"
