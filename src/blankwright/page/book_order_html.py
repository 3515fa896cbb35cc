"""The order of the work on the page: critical chain, batches, hours, and how things stand."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from html import escape
from typing import Final

from blankwright.book.batches import Batches
from blankwright.book.chain import Chain, span
from blankwright.book.work import POSITION, SETUP, SETUP_HOURS, SHOP_HOURS, TURN_HOURS
from blankwright.jobs.book_hours import HoursLine
from blankwright.page.book_forms import Ask, Doing, form, way, ways
from blankwright.page.book_html import table, when

HERE: Final = "order"
STANDS: Final = {
    "position": POSITION,
    "setup": SETUP,
    "shop_hours": SHOP_HOURS,
    "turn_hours": TURN_HOURS,
    "setup_hours": SETUP_HOURS,
}
"""Field of the form to setting of the book."""


def order_page(
    chain: Chain | None,
    batches: Batches | None,
    hours: Mapping[str, Sequence[HoursLine]],
    titles: Mapping[int, str],
    stands: Mapping[str, str],
    now: datetime,
    doing: Doing,
) -> str:
    """Return the page.

    Args:
        chain: the critical chain, or nothing while needs go in a circle
        batches: the order with least turning over and setting up, likewise
        hours: hours by major part and by kind
        titles: what is to do, by number of the task
        stands: how things stand, by field of `STANDS`
        now: the moment it is shown for
        doing: what is about to be done
    """
    return (
        (_form(stands, doing) or ways(way(HERE, "stands", "How things stand")))
        + f"<p>{_stands(stands)}</p>"
        + (_chain(chain, titles, now) if chain else "")
        + (_batches(batches, titles) if batches else "")
        + "".join(_hours(by, lines) for by, lines in hours.items())
    )


def _stands(stands: Mapping[str, str]) -> str:
    lies = stands["position"] or "not stated"
    told = [
        f"The airplane lies: <b>{escape(lies)}</b>",
        f"Set up: <b>{escape(stands['setup'] or 'nothing')}</b>",
        f"Shop hours a day: <b>{escape(stands['shop_hours'])}</b>",
        f"Turning over takes <b>{escape(stands['turn_hours'])} h</b>, "
        f"setting up <b>{escape(stands['setup_hours'])} h</b>",
    ]
    return " · ".join(told)


def _form(stands: Mapping[str, str], doing: Doing) -> str:
    if doing.action != "stands":
        return ""
    asks = [
        Ask(name="position", label="How the airplane lies", value=stands["position"]),
        Ask(name="setup", label="What is set up", value=stands["setup"]),
        *(
            Ask(name=name, label=label, about="h", kind="number", value=stands[name])
            for name, label in (
                ("shop_hours", "Work a day"),
                ("turn_hours", "To turn it over"),
                ("setup_hours", "To set up"),
            )
        ),
    ]
    return form(doing, "How things stand", asks, "Save", back=HERE)


def _chain(chain: Chain, titles: Mapping[int, str], now: datetime) -> str:
    rows: list[tuple[str, ...]] = []
    for link in chain.links:
        times = chain.times[link.task]
        if link.wait_for:
            rows.append(("", f"<i>{escape(link.wait_for)}</i>", "", span(link.wait), ""))
        rows.append(
            (
                str(link.task),
                escape(titles[link.task]),
                f"{chain.hours[link.task]:.1f}",
                span(times.finish - times.start),
                when(now + timedelta(hours=times.finish), day=True),
            )
        )
    note = ""
    if chain.no_date:
        note = " Hardware without a day of delivery was taken as there: see Hardware."
    return (
        table(
            "Critical chain: what decides when all is done",
            ("no.", "task", "work h", "by the calendar", "done by"),
            rows,
            "Nothing is left to do.",
        )
        + f"<p>{span(chain.length)} from now with hands enough; {chain.work:.1f} h of work, so"
        f" alone at least {span(chain.alone)}.{note}</p>"
    )


def _batches(found: Batches, titles: Mapping[int, str]) -> str:
    rows = []
    for number, batch in enumerate(found.batches, start=1):
        stands = ", ".join(filter(None, [batch.position, batch.setup])) or "as things stand"
        first = [
            word
            for word, is_so in (("turn it over", batch.turned), ("set up", batch.set_up))
            if is_so
        ]
        rows.append(
            (
                str(number),
                escape(stands),
                escape(", ".join(first)),
                "<br>".join(f"{n} {escape(titles[n])}" for n in batch.tasks),
            )
        )
    proved = "no order takes less" if found.proved else "not proved to be the least"
    left = ""
    if found.left_out:
        left = f" {len(found.left_out)} tasks wait for hardware or a stage and are left out."
    return (
        table(
            "Batches: least turning over and setting up",
            ("no.", "with", "first", "tasks"),
            rows,
            "Nothing can be done.",
        )
        + f"<p>{found.cost:.1f} h of turning and setting up; {proved}.{left}</p>"
    )


def _hours(by: str, lines: Sequence[HoursLine]) -> str:
    rows = [(escape(f.name), f"{f.expected:.1f}", f"{f.left:.1f}", f"{f.taken:.1f}") for f in lines]
    return table(f"Hours by {by}", (by, "expected", "left", "logged"), rows, "None.")
