"""`blankwright book phone`: log entries from a phone in the same room."""

from __future__ import annotations

import click

from blankwright.cli.book_shared import Call, book_command


@click.command()
@click.option("--port", default=8621, show_default=True, help="Port to listen on.")
@click.option("--listen", default="0.0.0.0", help="Which of this machine's addresses.")
@book_command
def phone(call: Call, port: int, listen: str) -> None:
    """Take log entries from a phone in the same room, until Ctrl+C.

    This listens beyond this machine: on the phone, open the address shown and give the code shown.
    """
    from blankwright.page.phone import serve_phone

    serve_phone(call.folder, call.address, port=port, listen=listen)
