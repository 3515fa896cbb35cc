"""What the cutting view asks for, and what it shows of the rack, the layout and orders.

Fields are plain HTML, read when a key is pressed: nothing sent from here writes over what is typed.
"""

from __future__ import annotations

import html
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Final
from urllib.parse import quote

from blankwright.jobs.project import Project
from blankwright.page.plain import choice, field

if TYPE_CHECKING:
    from blankwright.jobs.items import Item

READ_FORM: Final = """() => {
  const all = mark => [...document.querySelectorAll(`[data-${mark}]`)];
  emit({
    copies: Object.fromEntries(all("copies").map(f => [f.dataset.copies, f.value])),
    asked: Object.fromEntries(all("asked").flatMap(b => [...b.querySelectorAll("[name]")])
      .map(f => [f.name, f.value])),
    cut: all("cut").filter(f => f.checked).map(f => f.dataset.cut),
  });
}"""
"""Sends what the fields have, with a key that is pressed."""

SET_COUNTS: Final = """() => document.querySelectorAll("[data-copies]")
  .forEach(field => { field.value = field.dataset.%s; })"""
"""Puts a count of its own into the field of each part: ``one`` or ``none``."""


def counts_html(items: Sequence[Item]) -> str:
    """Return the fields for how many of each are to be cut, and how long to try.

    Args:
        items: all that can be cut
    """
    if not items:
        return "<p>This project has no part yet.</p>"
    rows = "".join(_count_row(item) for item in items)
    more = field("seconds", "Seconds to try for better", "20") + field(
        "seed", "Start of the random numbers", about="empty: as in shop.toml"
    )
    return f'<ul class="bw-counts">{rows}</ul><div class="bw-asked" data-asked>{more}</div>'


def stock_html(stock: Iterable[str]) -> str:
    """Return the choice of what parts are laid on; stock is the names on the rack."""
    sheets = [("", "whatever fits its alloy and thickness"), *((name, name) for name in stock)]
    return f'<div class="bw-asked" data-asked>{choice("on", "Lay them on", sheets)}</div>'


def _count_row(item: Item) -> str:
    name = html.escape(item.name, quote=True)
    # Plates of drill templates are cut out of what is named for them, so not unless asked for.
    one = "0" if item.is_template else "1"
    return (
        f'<li><label><span>{name}</span><input type="text" inputmode="numeric" value="{one}" '
        f'data-copies="{name}" data-one="{one}" data-none="0" autocomplete="off" '
        f'aria-label="How many of {name}"></label></li>'
    )


def cut_html(titles: Sequence[str]) -> str:
    """Return a box to tick for each sheet of the layout, or nothing."""
    return "".join(
        f'<label class="bw-tick"><input type="checkbox" autocomplete="off" '
        f'data-cut="{html.escape(title, quote=True)}"> {html.escape(title)} has been cut</label>'
        for title in titles
    )


def rack_html(rows: tuple[tuple[str, ...], ...]) -> str:
    """Return the rack as a table; rows as `rack_rows` gives them."""
    if not rows:
        return "<h2>Rack</h2><p>Nothing is on the rack yet. Enter sheets in rack.toml.</p>"
    body = "".join(
        f'<tr><td class="bw-typed">{html.escape(name)}</td>'
        f"<td>{html.escape(alloy)}</td>"
        f"<td>{' × '.join(f'<span>{side} mm</span>' for side in size.split(' × '))}</td>"
        f"<td>{html.escape(count)}</td></tr>{_more_row(more)}"
        for name, alloy, size, count, more in rows
    )
    head = "<tr><th>Sheet</th><th>Alloy</th><th>Size</th><th>Count</th></tr>"
    return f'<h2>Rack</h2><table class="bw-lengths">{head}{body}</table>'


def _more_row(words: str) -> str:
    return f'<tr class="bw-more"><td colspan="4">{html.escape(words)}</td></tr>' if words else ""


def pictures_html(folder: Path, titles: Sequence[str]) -> str:
    """Return the pictures of the sheets of the layout; those that were cut are gone from it.

    Args:
        folder: where the pictures are
        titles: of the sheets of the layout
    """
    from blankwright.jobs.cutting_pack import file_name

    pictures: list[str] = []
    for title in titles:
        try:
            text = (folder / f"{file_name(title)}.svg").read_text(encoding="utf-8")
        except (OSError, UnicodeDecodeError):
            continue
        drawn = text[text.index("<svg") :] if "<svg" in text else ""
        pictures.append(f'<figure aria-label="{html.escape(title, quote=True)}">{drawn}</figure>')
    return "".join(pictures) or (
        '<p class="bw-none">No parts have been laid on sheets yet. The sheets are drawn here.</p>'
    )


def make_order(project: Project, typed: dict[str, str]) -> tuple[str, str]:
    """Make the files of an order; in a process of its own. Returns a line, and what is below it."""
    from blankwright.jobs.cutting_order import order_files
    from blankwright.jobs.cutting_typed import counted

    files = order_files(project, *counted(project, typed))
    links = "".join(
        f'<li><a href="/out/{quote(path.parent.name)}/{quote(path.name)}">'
        f"<span>{html.escape(path.name)}</span></a></li>"
        for path in files
    )
    word = f"{len(files)} files for the service, kept in out/order. Kerf is left to the service."
    return word, f'<ul class="bw-made">{links}</ul>'
