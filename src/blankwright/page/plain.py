"""Plain pages: HTML that works without a script, in the page's look, under the one way round.

Views that are read and filled in, and need nothing in motion, are made of these: they are there at
once, print as they stand, and work by keyboard as every form does.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from html import escape
from pathlib import Path
from typing import TYPE_CHECKING, Final

from blankwright.base.errors import BlankwrightError, Problem
from blankwright.base.findings import Finding, Level, alike
from blankwright.base.units import MM_PER_INCH
from blankwright.page.views import ways

if TYPE_CHECKING:
    from starlette.requests import Request
    from starlette.responses import Response

STATIC: Final = Path(__file__).parent / "static"

EARLY: Final = (
    f"<script>const MM_PER_INCH = {MM_PER_INCH};"
    f"{(STATIC / 'early.js').read_text(encoding='utf-8')}"
    f"{(STATIC / 'lengths.js').read_text(encoding='utf-8')}</script>"
)
"""Goes into every page's head: no flash of the wrong light, and what the keys of the head do."""


def ways_html(here: str, part: str = "") -> str:
    """Return the way round the page as links; arguments as `views.ways`."""
    links = "".join(
        f'<a href="{way["address"]}"{" aria-current=page" if way["here"] else ""}>'
        f"{escape(way['title'])}</a>"
        for way in ways(here, part)
    )
    return f'<nav class="bw-ways" aria-label="Views">{links}</nav>'


def head_html(
    here: str, name: str, title: str, boxes: Iterable[tuple[str, str]] = (), part: str = ""
) -> str:
    """Return the inside of a view's head: the way round, ruled boxes, and the keys.

    Args:
        here: title of the view in the way round
        name: name of the wide box
        title: what stands in the wide box
        boxes: name and text of more boxes
        part: name of the part that is shown, in views of one part
    """
    ruled = "".join(
        f'<div class="bw-box"><span class="bw-box-name">{escape(box)}</span>'
        f'<span class="bw-box-text">{escape(text)}</span></div>'
        for box, text in boxes
    )
    return (
        f'{ways_html(here, part)}<div class="bw-box wide">'
        f'<span class="bw-box-name">{escape(name)}</span>'
        f'<h1 class="bw-box-text">{escape(title)}</h1></div>{ruled}{keys_html()}'
    )


def keys_html() -> str:
    """Return the keys of a head that need no server: units, light and print."""
    units = "".join(
        f'<button type="button" data-units="{unit}" aria-pressed="false">{unit}</button>'
        for unit in ("mm", "in", "both")
    )
    return (
        '<div class="bw-keys" role="group" aria-label="Page keys">'
        f'<span class="bw-switch" role="group" aria-label="Show lengths in">{units}</span>'
        '<button type="button" data-key="light">Light: auto</button>'
        '<button type="button" data-key="print">Print</button></div>'
    )


def whole(
    here: str,
    name: str,
    title: str,
    body: str,
    boxes: Iterable[tuple[str, str]] = (),
    *,
    again: int = 0,
    part: str = "",
) -> str:
    """Return a whole plain page.

    Args:
        here, name, title, boxes: as `head_html`
        body: what stands under the head
        again: ask for the page anew after so many seconds; not at all when nought
        part: as `head_html`
    """
    renew = f'<meta http-equiv="refresh" content="{again}">' if again else ""
    look = (STATIC / "look.css").read_text(encoding="utf-8")
    own = (STATIC / "plain.css").read_text(encoding="utf-8")
    # Without the referrer, forms would not say where they come from, and the guard refuse them.
    return f"""<!doctype html><html lang="en"><head><meta charset="utf-8">
<meta name="viewport" content="width=device-width,initial-scale=1">
<meta name="referrer" content="same-origin"><title>{escape(here)} - Blankwright</title>
{renew}<style>{look}{own}</style>{EARLY}</head><body><div class="bw bw-plain">
<header class="bw-head">{head_html(here, name, title, boxes, part)}</header><main>{body}</main>
</div></body></html>"""


def table(
    caption: str, head: Sequence[str], rows: Iterable[Sequence[str]], none: str = "Nothing yet."
) -> str:
    """Return a table; its cells are HTML already."""
    lines = "".join("<tr>" + "".join(f"<td>{c}</td>" for c in row) + "</tr>" for row in rows)
    if not lines:
        return f"<p>{escape(none)}</p>"
    heads = "".join(f'<th scope="col">{escape(name)}</th>' for name in head)
    label = escape(caption, quote=True)
    return (
        f'<div class="bw-wide" tabindex="0" role="region" aria-label="{label}">'
        f"<table><thead><tr>{heads}</tr></thead><tbody>{lines}</tbody></table></div>"
    )


def field(name: str, label: str, value: str = "", *, about: str = "", wide: bool = False) -> str:
    """Return a field of a form under its label."""
    note = f"<small>{escape(about)}</small>" if about else ""
    return (
        f"<label{' class=grow' if wide else ''}>{escape(label)} {note}"
        f'<input type="text" name="{name}" value="{escape(value, quote=True)}" autocomplete="off"'
        ' spellcheck="false"></label>'
    )


def choice(name: str, label: str, options: Iterable[tuple[str, str]], chosen: str = "") -> str:
    """Return a choice of a form: value and text of each option."""
    rows = "".join(
        f'<option value="{escape(value, quote=True)}"{" selected" if value == chosen else ""}>'
        f"{escape(text)}</option>"
        for value, text in options
    )
    return f'<label>{escape(label)} <select name="{name}">{rows}</select></label>'


def problems_html(problems: Iterable[Problem]) -> str:
    """Return problems as blocks, each with its code and what to do."""
    return "".join(
        f'<div class="bw-wrong" role="alert"><b>{escape(p.code)}</b> {escape(p.where)}: '
        f"{escape(p.got)}. {escape('Allowed: ' + p.allowed + '. ' if p.allowed else '')}"
        f"{escape(p.fix)}</div>"
        for p in problems
    )


def findings_html(findings: Iterable[Finding]) -> str:
    """Return findings as blocks: mark and word of their level, place, code, what to do."""
    blocks = []
    for finding, places in together(findings):
        rows = "".join(
            f"<dt>{name}</dt><dd>{escape(value)}</dd>"
            for name, value in (
                ("Found", finding.got),
                ("Limit", finding.limit),
                ("Source", finding.source),
                ("Do", finding.fix),
            )
            if value
        )
        level = finding.level.value
        blocks.append(
            f'<article class="bw-finding bw-lengths bw-prose {level}"><header>'
            f'<span class="bw-level">{_sign(level)}{level.capitalize()}</span>'
            f"<span>{escape('; '.join(places))}</span>"
            f'<span class="bw-code">{escape(finding.code)}</span></header><dl>{rows}</dl></article>'
        )
    return "".join(blocks)


def together(findings: Iterable[Finding]) -> list[tuple[Finding, list[str]]]:
    """Return findings that say the same of several places once, each with its places.

    What says stop stays by itself: each must be dealt with by itself.
    """
    gathered = alike(findings, lambda f: f.level is Level.STOP or bool(f.overridden))
    return [(finding, list(places)) for finding, places in gathered]


_SIGNS: Final = {
    "stop": ("M11 2H23L32 11V23L23 32H11L2 23V11Z", "!"),
    "ask": ("M17 1L33 17L17 33L1 17Z", "?"),
    "note": ("M4 4H30V30H4Z", "n"),
}


def _sign(level: str) -> str:
    path, letter = _SIGNS[level]
    return (
        f'<svg class="bw-sign {level}" viewBox="0 0 34 34" aria-hidden="true"><path d="{path}"/>'
        f'<text x="17" y="24" text-anchor="middle">{letter}</text></svg>'
    )


async def words_of(request: Request) -> dict[str, str]:
    """Return the fields of a form that was sent."""
    form = await request.form(max_files=0, max_fields=60, max_part_size=1_000_000)
    # Browsers send line ends as CR LF, whatever the file has.
    return {k: v.replace("\r\n", "\n") for k, v in form.items() if isinstance(v, str)}


def answer(text: str, wrong: bool = False) -> Response:
    """Return a page; with status 400 when what was sent is wrong."""
    from starlette.responses import HTMLResponse

    return HTMLResponse(text, 400 if wrong else 200)


def wrong_of(error: BlankwrightError) -> str:
    """Return an error's problems as blocks."""
    return problems_html(error.problems)


def options_of(
    names: Iterable[str], words: Mapping[str, str] | None = None
) -> list[tuple[str, str]]:
    """Return names as options of a choice, with the words that stand for them."""
    return [(name, (words or {}).get(name, name)) for name in names]
