"""The command line's front door. Command modules are loaded only when they are called."""

from __future__ import annotations

import importlib
import io
import sys
from collections.abc import Sequence

import click

from blankwright import __version__

COMMANDS: dict[str, tuple[str, str]] = {
    "start": ("start", "Make a project folder."),
    "page": ("page", "Open the page in the browser (the same as no command)."),
    "develop": ("develop", "Make blank, paper model, formed part and traveler of parts."),
    "print": ("print", "Print parts at full size, whole or as crosses to punch."),
    "check": ("check", "Check parts and say what is wrong."),
    "bring": ("bring", "Bring in a part drawn elsewhere: STEP or DXF."),
    "compare": ("compare", "Hold a blank against somebody else's flat drawing."),
    "sizes": ("sizes", "Show a part's sizes, as typed and worked out."),
    "trail": ("trail", "Show where a part's numbers come from."),
    "rivets": ("rivets", "Show rivet rows and fields of holes: count, pitch, length, drilling."),
    "drill": ("drill", "Plan the passes from pilot to final hole with the shop's drills."),
    "match": ("match", "Carry holes of one part to the blanks of the parts it is riveted to."),
    "air": ("air", "Work out the air paths of a place: flow, velocity, what chokes them."),
    "template": ("template", "Place drill templates and openings; print, DXF and card of each."),
    "bend": ("bend", "Plan the bends on the shop's tools."),
    "coupon": ("coupon", "Learn the neutral-axis factor from bent test strips."),
    "tables": ("tables", "List the handbook tables, or print one."),
    "pack": ("pack", "Lay blanks on the sheets of the rack."),
    "machine": ("machine", "Make machine files for the sheets of the layout, each proved."),
    "order": ("order", "Make files for a laser or water-jet service, with an order sheet."),
    "book": ("book", "The job book: what next, what waits, what was done."),
    "fit": ("fit", "Say whether a part goes into its place, slides, and stays there."),
    "correct": ("correct", "Put what a trial fit taught back into a part file."),
    "demo": ("demo", "Develop the parts of the example airplane."),
}
"""Command name to its module in `blankwright.cli` and its line of help."""

OUR_BUG = 3


class _Lazy(click.Group):
    """A group whose commands are imported when they are called, so that --help is quick."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in COMMANDS:
            return None
        module = importlib.import_module(f"blankwright.cli.{COMMANDS[cmd_name][0]}")
        command: click.Command = module.command
        command.name = cmd_name
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl([(name, text) for name, (_, text) in COMMANDS.items()])


@click.group(cls=_Lazy, invoke_without_command=True)
@click.version_option(__version__, message="Blankwright %(version)s")
@click.pass_context
def cli(ctx: click.Context) -> None:
    """From the drawing of a bent sheet part to a proved blank.

    With no command, the page of the project in this folder is opened in the browser.

    Exit status: 0 fine, 1 a check says stop, 2 bad input, 3 our bug.
    """
    if ctx.invoked_subcommand is None:
        page = cli.get_command(ctx, "page")
        assert page is not None
        ctx.invoke(page)


def _speak_utf8() -> None:
    """Write what goes into a file or pipe as UTF-8: Windows' own code pages lack ≥, −, π."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper) and not stream.isatty():
            stream.reconfigure(encoding="utf-8", errors="backslashreplace")


def main(arguments: Sequence[str] | None = None) -> None:
    """Run a command and leave with its exit status."""
    from blankwright.base.errors import BlankwrightError

    _speak_utf8()
    try:
        cli.main(args=arguments, prog_name="blankwright", standalone_mode=False)
    except click.exceptions.Abort:
        sys.exit(130)
    except click.exceptions.Exit as leave:
        sys.exit(leave.exit_code)
    except click.ClickException as error:
        error.show()
        sys.exit(2)
    except BlankwrightError as error:
        click.echo(str(error), err=True)
        sys.exit(error.exit_status)
    except BrokenPipeError:
        sys.exit(0)
    except Exception as error:
        click.echo(
            f"BUG-001 blankwright {__version__}: {type(error).__name__}: {error}. This is our bug,"
            " not yours; nothing was left half-written. Please send us the part file and:",
            err=True,
        )
        import traceback

        click.echo("".join(traceback.format_exc(limit=-3)), err=True)
        sys.exit(OUR_BUG)
