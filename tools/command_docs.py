"""Write docs/commands.md from the commands' own help; `./dev docs` runs it."""

from __future__ import annotations

from pathlib import Path

import click

from blankwright.cli.main import COMMANDS, cli

TARGET = Path(__file__).parents[1] / "docs" / "commands.md"

HEAD = """\
# Commands

Made from the commands' own `--help` by `./dev docs`; do not edit. Exit status of every command:
0 fine, 1 a check says stop, 2 bad input, 3 our bug. Most take `--json`.

"""


def text() -> str:
    """Return the page as it should be."""
    parts = [HEAD]
    context = click.Context(cli, info_name="blankwright")
    for name in COMMANDS:
        command = cli.get_command(context, name)
        assert command is not None
        parts.append(f"## {name}\n\n```\n{_help(command, f'blankwright {name}')}\n```\n\n")
        if isinstance(command, click.Group):
            for sub in command.list_commands(context):
                below = command.get_command(context, sub)
                assert below is not None
                title = f"blankwright {name} {sub}"
                parts.append(f"### {name} {sub}\n\n```\n{_help(below, title)}\n```\n\n")
    return "".join(parts).rstrip() + "\n"


def _help(command: click.Command, title: str) -> str:
    context = click.Context(command, info_name=title, max_content_width=96, terminal_width=96)
    return command.get_help(context)


if __name__ == "__main__":
    TARGET.write_text(text(), encoding="utf-8")
