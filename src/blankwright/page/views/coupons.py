"""The coupons view: enter bent test strips, see what k they teach, keep them."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from html import escape
from typing import TYPE_CHECKING

from blankwright.base.errors import BlankwrightError
from blankwright.base.units import System, show
from blankwright.jobs.coupon_job import Taught, as_text, learn, taught_by, with_coupon
from blankwright.page.desk import Desk
from blankwright.page.plain import answer, field, findings_html, whole, words_of, wrong_of

if TYPE_CHECKING:
    from fastapi import FastAPI
    from starlette.requests import Request
    from starlette.responses import Response

FILE = "coupons.toml"
STRIPS = 5
"""Strips that the form has room for."""

_FIELDS = (
    ("name", "Name of the coupon", "", "alloy and day when left empty"),
    ("alloy", "Alloy and temper", "6061-T6", ""),
    ("thickness", "Thickness, as measured", "", "such as 1.01 mm or 0.040 in"),
    ("inside_radius", "Inside radius", "", "such as 1/8 in"),
    ("angle", "Angle bent through", "90 deg", ""),
    ("reading", "Plus or minus of a reading", "0.1 mm", ""),
    ("tool", "Bent on", "", "the tool's name"),
)


def routes(app: FastAPI, desk: Desk) -> None:
    """Put the coupons view on the page."""
    from starlette.routing import Route

    def show_page(request: Request) -> Response:
        return answer(_page(desk, {}))

    async def act(request: Request) -> Response:
        words = await words_of(request)
        try:
            text = coupon_text(words)
            taught = learn(text, "coupon as stated")
            if words.get("do") != "keep":
                return answer(_page(desk, words, _learned(taught, "What these strips teach")))
            new = with_coupon(desk.project, text)
            desk.history.write(FILE, new, f"coupon {words.get('name', '')}".strip())
        except BlankwrightError as error:
            return answer(_page(desk, words, wrong_of(error)), wrong=True)
        word = "Kept in coupons.toml. Undo on the Parts view takes it out."
        return answer(_page(desk, {}, f'<p class="bw-good" role="status">{word}</p>'))

    app.router.routes.extend(
        [
            Route("/coupons", show_page, methods=["GET"]),
            Route("/coupons", act, methods=["POST"]),
        ]
    )


def coupon_text(words: Mapping[str, str]) -> str:
    """Return what was entered as the text of a coupon file. Raises BadInput."""
    strips = []
    for i in range(1, STRIPS + 1):
        before, one, two = (words.get(f"{key}{i}", "").strip() for key in ("before", "one", "two"))
        if before or one or two:
            strips.append(f"{before}: {one}, {two}")
    keys = ("alloy", "thickness", "tool", "inside_radius", "angle", "reading")
    values = [(key, words.get(key, "").strip()) for key in keys]
    values = [(key, value or ("not stated" if key == "tool" else "")) for key, value in values]
    day = words.get("date", "").strip() or datetime.date.today().isoformat()
    name = words.get("name", "").strip() or f"{words.get('alloy', '').strip()} {day}"
    return as_text(name=name, date=day, values=values, strips=strips)


def _page(desk: Desk, words: Mapping[str, str], said: str = "") -> str:
    try:
        known = taught_by(desk.project)
        right = _learned(known, "The shop's coupons") if known else _NONE
    except BlankwrightError as error:
        right = f"<section><h2>The shop's coupons</h2>{wrong_of(error)}</section>"
    body = f'<div class="bw-two"><div>{_form(words)}</div><div>{said}{right}</div></div>'
    return whole("Coupons", "Coupons of", desk.project.title, body)


_NONE = (
    "<section><h2>The shop's coupons</h2><p>None is kept yet. Until then bends are worked out by "
    "the handbooks' empirical formula, or by the factor k that a part states.</p></section>"
)


def _form(words: Mapping[str, str]) -> str:
    fields = "".join(
        field(key, label, words.get(key, usual), about=about)
        for key, label, usual, about in _FIELDS
    )
    today = words.get("date") or datetime.date.today().isoformat()
    fields += field("date", "Day it was measured", today, about="year-month-day")
    cells = (("before", "length before"), ("one", "first leg"), ("two", "second leg"))
    rows = "".join(
        f"<tr><th scope=row>{i}</th>"
        + "".join(_cell(f"{key}{i}", f"Strip {i}, {label}", words) for key, label in cells)
        + "</tr>"
        for i in range(1, STRIPS + 1)
    )
    return f"""<section><h2>New coupon</h2>
<p>Cut strips from the part's own sheet, with its grain as in the part. Measure each before bending,
bend it on the tool that will bend the part, and measure both legs to the outside. Three strips or
more show the scatter.</p>
<form method="post" action="/coupons">{fields}
<table aria-label="Strips"><thead><tr><td></td><th scope=col>Length before</th>
<th scope=col>First leg</th><th scope=col>Second leg</th></tr></thead><tbody>{rows}</tbody></table>
<p><small>Each with its unit, such as 100.0 mm or 3-15/16 in. Leave what you don't need empty.
</small></p><button class="strong" name="do" value="learn">Learn k</button>
<button name="do" value="keep">Keep in coupons.toml</button></form></section>"""


def _cell(name: str, label: str, words: Mapping[str, str]) -> str:
    value = escape(words.get(name, ""), quote=True)
    return (
        f'<td><input type="text" class="figure" name="{name}" autocomplete="off"'
        f' aria-label="{label}" value="{value}"></td>'
    )


def _learned(taught: Sequence[Taught], title: str) -> str:
    return f"<section><h2>{title}</h2>{''.join(_one(t) for t in taught)}</section>"


def _one(taught: Taught) -> str:
    coupon, learned = taught.coupon, taught.learned
    lines = (
        f"{coupon.material}, {show(coupon.thickness, 'length', System.BOTH)} thick, inside radius "
        f"{show(coupon.inside_radius, 'length', System.BOTH)}",
        f"{len(learned.strip_ks)} {'strip' if len(learned.strip_ks) == 1 else 'strips'}, "
        f"{coupon.tool}, {coupon.date}",
        f"Bend allowance {show(learned.allowance, 'length', System.BOTH)} ± "
        f"{show(learned.allowance_plus_minus, 'length', System.MM)} (95 %)",
        "Each strip's k: " + ", ".join(f"{k:.4f}" for k in learned.strip_ks),
        *(f"Not counted: {word}" for word in learned.not_counted),
    )
    told = "".join(f"<p>{escape(line)}</p>" for line in lines)
    return (
        f'<div class="bw-learned"><h3>{escape(coupon.name)}</h3><p class="bw-big">'
        f"k = {learned.k:.4f} ± {learned.k_plus_minus:.4f}</p>{told}"
        f"{findings_html(taught.findings)}</div>"
    )
