"""What the page shows of a blank held against somebody else's flat drawing.

Without the page's own machinery, so that a process that only compares starts soon.
"""

from __future__ import annotations

from collections.abc import Mapping
from html import escape
from typing import TYPE_CHECKING, Final

from blankwright.jobs.compare_flat import WITHIN, Held, hold_drawing, picture_of
from blankwright.jobs.items import Item
from blankwright.jobs.project import Project
from blankwright.page.plain import choice, field, table

if TYPE_CHECKING:
    from collections.abc import Sequence

UNITS: Final = (
    ("", "as the drawing states"),
    *((unit, unit) for unit in ("mm", "cm", "m", "in", "ft", "thou")),
)

MORE: Final = (
    ("outline", "Lines that are the outline", "layer CUT"),
    ("openings", "Lines that are openings", "layer HOLES"),
    ("bend_lines", "Lines that are bend lines", "layer BENDS"),
    ("part_at", "A point on the metal of the part meant", "100 mm, 50 mm"),
    ("closes", "Widest gap to close", "0.02 mm when empty"),
    ("layout", "Sheet of the drawing to read", "the model when empty"),
)
"""What may have to be stated of a drawing: key, label, example."""


def compare_drawing(
    project: Project, item: Item, data: bytes, name: str, words: Mapping[str, str]
) -> str:
    """Hold an item's blank against a drawing, and return what was found; in a process of its own.

    Raises:
        BadInput, NotPossible: when the part can't be read or developed, or the drawing can't be
            read or be laid over
    """
    from blankwright.jobs.bring_in_asked import asked_of
    from blankwright.jobs.part_state import state_of
    from blankwright.jobs.shop_coupons import coupons_of

    stated = asked_of({key: words.get(key, "") for key in ("units", *(k for k, _, _ in MORE))})
    blank = state_of(item.read(), coupons_of(project)).blank
    held = hold_drawing(blank, data, name, stated, words.get("within", "").strip() or WITHIN)
    return held_html(held, item.name, name)


def held_html(held: Held, part: str, drawing: str) -> str:
    """Return the differences, what was found on the way, and both drawn over one another."""
    from blankwright.files.svg_out import drawing_svg

    count = len(held.compared.differences)
    word = "They agree." if held.agrees else f"{count} difference{'s' if count > 1 else ''}"
    rows = [
        (
            str(number),
            escape(each.what),
            f"({each.at[0]:.2f} mm, {each.at[1]:.2f} mm)",
            escape(each.got),
        )
        for number, each in enumerate(held.compared.differences, start=1)
    ]
    differences = table("Differences", ("No.", "What", "At", "Found"), rows) if rows else ""
    told = "".join(f"<li>{escape(line)}</li>" for line in held.told)
    picture = picture_of(held, f"{part} and {drawing}")
    svg = drawing_svg(picture).decode()
    drawn = svg[svg.index("<svg") :]
    # In units of the drawing, so that numbers can be read however large the blank is.
    wide, tall = picture.box[2] - picture.box[0], picture.box[3] - picture.box[1]
    letter = max(wide / 32, tall / 26)
    label = escape(f"{part} with {drawing} laid over it", quote=True)
    key = "Ours in full lines, theirs dashed"
    if rows:
        key += "; rings with the numbers of the differences"
    return (
        f'<section class="bw-lengths bw-prose"><h2>{escape(part)} and {escape(drawing)}</h2>'
        f'<p class="bw-big" role="status">{word}</p>{differences}<ul>{told}</ul></section>'
        f'<section class="bw-both"><h2>Both, drawn over one another</h2><p>{key}.</p>'
        f'<figure role="img" aria-label="{label}" style="--letter: {letter:.2f}px">'
        f"{drawn}</figure></section>"
    )


def form_html(address: str, items: Sequence[Item], words: Mapping[str, str], job: str) -> str:
    """Return the form.

    Args:
        address: of the view
        items: what the part file stands for
        words: what the form had before
        job: number of the comparison whose drawing is at hand; empty for none
    """
    which = ""
    if len(items) > 1:
        names = [(item.name, item.name) for item in items]
        which = choice("which", "Part", names, words.get("which", ""))
    held = words.get("drawing", "") if job else ""
    note = f"<small>empty: {escape(held)} again</small>" if held else ""
    more = "".join(
        field(key, label, words.get(key, ""), about=example) for key, label, example in MORE
    )
    opened = " open" if any(words.get(key) for key, _, _ in MORE) else ""
    return (
        f'<form method="post" action="{escape(address, quote=True)}" '
        'enctype="multipart/form-data">'
        f'<input type="hidden" name="job" value="{escape(job, quote=True)}">'
        f'<label class="grow">Their flat drawing (DXF): choose it, or drop it here {note}'
        f'<input type="file" name="flat" accept=".dxf"></label>{which}'
        f"{choice('units', 'Unit of their drawing', UNITS, words.get('units', ''))}"
        f"{field('within', 'How much may differ', words.get('within') or WITHIN)}"
        f'<details class="bw-more"{opened}><summary>Which lines are what, where the drawing does '
        f'not say</summary><div class="bw-fieldset">{more}</div></details>'
        '<button class="strong" name="do" value="compare">Hold against the blank</button></form>'
    )
