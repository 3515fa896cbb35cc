"""Parts on the page: what only the book knows of them, and the making of their tasks."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from html import escape
from typing import Final

from blankwright.base.units import trimmed
from blankwright.book import records as r
from blankwright.page.book_forms import Ask, Doing, form, way, ways
from blankwright.page.book_html import key, table

HERE: Final = "parts"


def parts_page(parts: Sequence[r.Part], done: Mapping[int, tuple[int, int]], doing: Doing) -> str:
    """Return the page.

    Args:
        parts: all parts, by name
        done: of each part's tasks how many are done and how many there are, by its number
        doing: what is about to be done
    """
    keys = ways(
        key("plan", "Make the tasks anew", "Make the tasks anew from all parts and places"),
        way(HERE, "part-add", "New part"),
    )
    return (_form(parts, doing) or keys) + table(
        "Parts",
        ("part", "major part", "what the book says of it", "tasks done"),
        (_row(part, done.get(part.id, (0, 0))) for part in parts),
        "None yet: make the tasks from the project's part files.",
    )


def _row(part: r.Part, done: tuple[int, int]) -> tuple[str, ...]:
    change = way(HERE, "part-change", "Change", f"Change {part.name}", no=part.id)
    cure = f", cures {trimmed(part.cure_hours, 1)} h" if part.cure_hours else ""
    said = [
        ", ".join(filter(None, [part.title, part.drawing])),
        f"lies {part.position} to fit it" if part.position else "",
        f"glued with {part.glue}{cure}" if part.glue else "",
        part.treat,
        f"{part.rivets} rivets" if part.rivets else "",
        f"closes up {part.closes}" if part.closes else "",
    ]
    return (
        f"<b>{escape(part.name)}</b>{' (bought)' if part.bought else ''}" + ways(change),
        escape(part.major),
        "<br>".join(escape(one) for one in said if one),
        f"{done[0]} of {done[1]}",
    )


def _form(parts: Sequence[r.Part], doing: Doing) -> str:
    majors = sorted({part.major for part in parts if part.major})
    if doing.action == "part-add":
        note = "For parts without a part file: bought ones, or drawn by hand."
        asks = [Ask(name="name", label="Name", must=True), *_said(majors)]
        return form(doing, "New part", asks, "Write it down", back=HERE, note=note)
    part = next((p for p in parts if p.id == doing.number), None)
    if doing.action != "part-change" or part is None:
        return ""
    note = "Tasks that nobody has begun or changed follow."
    return form(
        doing, f"Change {part.name}", _said(majors, part), "Save", back=HERE, note=note, no=part.id
    )


def _said(majors: Sequence[str], part: r.Part | None = None) -> list[Ask]:
    asks = []
    if part is None or not part.file:
        asks = [
            Ask(name="title", label="Title", value=part.title if part else ""),
            Ask(name="drawing", label="Drawing", value=part.drawing if part else ""),
        ]
    asks += [
        Ask(name="major", label="Major part", among=majors, value=part.major if part else ""),
        Ask(
            name="position",
            label="How the airplane must lie",
            about="to fit it; empty: any way",
            value=part.position if part else "",
        ),
        Ask(name="glue", label="Glued with", value=part.glue if part else ""),
        Ask(
            name="cure_hours",
            label="Cures",
            about="h",
            kind="number",
            value=trimmed(part.cure_hours, 2) if part else "0",
        ),
        Ask(name="treat", label="Treatment", value=part.treat if part else ""),
    ]
    if part is None or not part.file:
        rivets = str(part.rivets) if part else "0"
        asks.append(Ask(name="rivets", label="Rivets", kind="number", value=rivets))
        made = [("", "is made here"), ("yes", "comes ready made")]
        value = "yes" if part and part.bought else ""
        asks.append(Ask(name="bought", label="It", kind="choice", options=made, value=value))
    asks.append(
        Ask(
            name="closes",
            label="What can't be seen once it is in",
            about="must be seen first",
            value=part.closes if part else "",
        )
    )
    return asks
