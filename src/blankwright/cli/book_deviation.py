"""`blankwright book deviation`: what differs from the drawing, and whose word was asked."""

from __future__ import annotations

import click

from blankwright.cli.book_shared import Call, book_command, local


@click.group()
def deviation() -> None:
    """What was built otherwise than drawn.

    The book writes down what people said. It never says that a deviation is acceptable: ask the
    designer or the inspector.
    """


@deviation.command("open")
@click.argument("what")
@click.option("--why", default="")
@click.option("--drawing", default="", help="Drawing and place on it.")
@click.option("--part", "parts", multiple=True, help="A part that it touches.")
@click.option("--checked", default="", help="What was checked.")
@book_command
def open_(
    call: Call, what: str, why: str, drawing: str, parts: tuple[str, ...], checked: str
) -> None:
    """Write down WHAT differs from the drawing."""
    from blankwright.jobs.book_deviations import open_deviation

    with call.book() as book:
        number = open_deviation(
            book, call.at, what, why=why, drawing=drawing, checked=checked, parts=parts
        )
    call.show({"deviation": number}, f"Deviation {number} is open. Whose word is needed?")


@deviation.command("change")
@click.argument("number", type=int)
@click.option("--what", default=None, help="What differs.")
@click.option("--why", default=None)
@click.option("--drawing", default=None, help="Drawing and place on it.")
@click.option("--part", "parts", multiple=True, help="All parts that it touches, anew.")
@book_command
def change_(
    call: Call,
    number: int,
    what: str | None,
    why: str | None,
    drawing: str | None,
    parts: tuple[str, ...],
) -> None:
    """Change what open deviation NUMBER says; what you don't give stays."""
    from blankwright.jobs.book_deviations import change_deviation

    with call.book() as book:
        row = change_deviation(
            book, call.at, number, what=what, why=why, drawing=drawing, parts=parts or None
        )
    call.show(row, f"Deviation {number}: {row.what}")


@deviation.command("checked")
@click.argument("number", type=int)
@click.argument("what")
@book_command
def checked_(call: Call, number: int, what: str) -> None:
    """Add WHAT was checked about deviation NUMBER."""
    from blankwright.jobs.book_deviations import add_to_deviation

    with call.book() as book:
        add_to_deviation(book, call.at, number, checked=what)
    call.show({"deviation": number}, "Written down.")


@deviation.command("ask")
@click.argument("number", type=int)
@click.argument("whom")
@book_command
def ask(call: Call, number: int, whom: str) -> None:
    """WHOM was asked about deviation NUMBER."""
    from blankwright.jobs.book_deviations import ask_word

    with call.book() as book:
        word = ask_word(book, call.at, number, whom)
    call.show({"word": word}, f"Word {word}: {whom} was asked. Write the answer under that number.")


@deviation.command("answer")
@click.argument("word", type=int)
@click.argument("answer")
@book_command
def answer_(call: Call, word: int, answer: str) -> None:
    """The one asked under WORD said ANSWER."""
    from blankwright.jobs.book_deviations import write_answer

    with call.book() as book:
        write_answer(book, call.at, word, answer)
    call.show({"word": word}, "Written down.")


@deviation.command("close")
@click.argument("number", type=int)
@click.argument("ground")
@book_command
def close(call: Call, number: int, ground: str) -> None:
    """Close deviation NUMBER, on this GROUND, in your own words."""
    from blankwright.jobs.book_deviations import close_deviation

    with call.book() as book:
        close_deviation(book, call.at, number, ground)
    call.show({"deviation": number}, f"Deviation {number} is closed, on your word.")


@deviation.command("list")
@click.option("--open", "only_open", is_flag=True, help="Only open ones.")
@book_command
def list_(call: Call, only_open: bool) -> None:
    """List deviations, open ones first."""
    from blankwright.jobs.book_deviations import cases

    with call.book() as book, book.read() as reader:
        found = [case for case in cases(reader) if case.is_open or not only_open]
    lines = []
    for case in found:
        row = case.deviation
        state = "OPEN" if case.is_open else f"closed {local(row.closed_at, day=True)}"
        parts = ", ".join(p.name for p in case.parts)
        lines.append(f"{row.id:4} {state}  {row.what}" + (f"  ({parts})" if parts else ""))
        lines += [f"       why: {row.why}"] if row.why else []
        lines += [f"       checked: {row.checked}"] if row.checked else []
        for word in case.words:
            said = f"{local(word.answered_at, day=True)}: {word.answer}" if word.answer else "waits"
            asked = local(word.asked_at, day=True)
            lines.append(f"       word {word.id}: {word.whom}, asked {asked}, {said}")
        lines += [f"       closed by {row.closed_by}: {row.closing}"] if row.closing else []
    call.show(found, *(lines or ["None."]))
