"""Sections of the builder's record about what was found, seen and used."""

from __future__ import annotations

from datetime import datetime, tzinfo

from blankwright.base.units import show_mm, trimmed
from blankwright.book import records as r
from blankwright.book.builders_record import Grid, Section, Told
from blankwright.book.change import Reader
from blankwright.book.work import stocks
from blankwright.jobs.book_deviations import Case, cases
from blankwright.jobs.book_inspection import stages as all_stages
from blankwright.jobs.book_inspection import yearly_times
from blankwright.jobs.book_materials import lots
from blankwright.jobs.book_measured import home_of


def day(moment: datetime | None, zone: tzinfo | None) -> str:
    """Return the day of a moment in a zone; nothing as an empty text."""
    return "" if moment is None else moment.astimezone(zone).strftime("%Y-%m-%d")


def deviations(reader: Reader, zone: tzinfo | None) -> Section:
    """Every deviation with all that was said about it."""
    return Section(
        title="Deviations from the drawing",
        intro="As the builder wrote them down. What others said is quoted, with day and name; "
        "this print adds no judgement of its own.",
        told=tuple(_deviation(case, zone) for case in cases(reader)),
        empty="None was written down.",
    )


def _deviation(case: Case, zone: tzinfo | None) -> Told:
    row = case.deviation
    lines = [row.what]
    parts = ", ".join(f"{p.name} {p.title}".strip() for p in case.parts)
    for name, text in (
        ("Parts", parts),
        ("Drawing", row.drawing),
        ("Why", row.why),
        ("Checked", row.checked),
    ):
        lines += [f"{name}: {text}"] if text else []
    for word in case.words:
        said = f"answered {day(word.answered_at, zone)}: “{word.answer}”"
        asked = f"Asked {day(word.asked_at, zone)}: {word.whom}"
        lines.append(f"{asked}; {said if word.answered_at else 'no answer yet'}")
    if not case.words:
        lines.append("Nobody's word was asked.")
    if row.closed_at is not None:
        lines.append(f"Closed {day(row.closed_at, zone)} by {row.closed_by}: “{row.closing}”")
    state = "OPEN" if case.is_open else "closed"
    written = f"written down {day(row.opened_at, zone)} by {row.opened_by or 'the builder'}"
    return Told(head=f"Deviation {row.id}, {state}, {written}", lines=tuple(lines))


def stages(reader: Reader, zone: tzinfo | None) -> Section:
    """What was seen before it was closed up."""
    rows = tuple(
        (
            str(s.id),
            s.title,
            s.closes,
            day(s.seen_at, zone) or "NOT SEEN",
            s.seen_by,
            s.found,
        )
        for s in sorted(all_stages(reader), key=lambda s: s.id)
    )
    head = ("no.", "stage", "closed up by", "seen", "by", "what they said")
    return Section(
        title="Inspection stages",
        grids=(Grid(head=head, rows=rows, widths=(0.8, 4, 1.9, 1.7, 2.2, 3)),),
    )


def materials(reader: Reader, zone: tzinfo | None) -> Section:
    """Lots, and the parts that no lot is written down for."""
    found = lots(reader)
    rows = tuple(
        (
            lot.material,
            lot.number,
            lot.bought_from,
            lot.paper,
            day(lot.at, zone),
            ", ".join(parts),
        )
        for lot, parts in found
    )
    told = {name for _, parts in found for name in parts}
    without = [p.name for p in reader.all(r.Part, order=("name",)) if p.name not in told]
    return Section(
        title="Materials with lot numbers",
        intro=f"No lot is written down for: {', '.join(without)}." if without else "",
        grids=(
            Grid(
                head=("material", "lot", "from", "paper", "came", "parts"),
                rows=rows,
                widths=(3, 2, 2, 2, 1.8, 4),
            ),
        ),
        empty="No lot was written down.",
    )


def coupons(reader: Reader, zone: tzinfo | None) -> Section:
    """What test strips taught."""
    rows = tuple(
        (
            day(c.at, zone),
            c.alloy,
            c.thickness,
            c.radius,
            c.tool,
            str(c.strips),
            f"{c.k:.3f} ± {c.spread:.3f}",
        )
        for c in reader.all(r.Coupon, order=("at", "id"))
    )
    return Section(
        title="Results of coupons",
        intro="Neutral-axis factor k from test strips bent on the shop's own tool, with one "
        "standard uncertainty."
        if rows
        else "",
        grids=(
            Grid(
                head=("day", "alloy", "thickness", "inside radius", "tool", "strips", "k"),
                rows=rows,
                widths=(2, 2, 2, 2, 3, 1, 2.5),
            ),
        ),
        empty="None.",
    )


def hardware(reader: Reader) -> Section:
    """What is needed and was used."""
    rows = tuple(
        (
            s.item.number,
            s.item.title + (f", grip {show_mm(s.item.grip)}" if s.item.grip is not None else ""),
            trimmed(s.needed, 3),
            trimmed(s.used, 3),
            trimmed(s.in_hand, 3),
            s.item.unit,
            s.item.note,
        )
        for s in sorted(stocks(reader).values(), key=lambda s: s.item.number)
    )
    head = ("number", "what", "needed", "used", "in hand", "unit", "note")
    return Section(
        title="Hardware",
        grids=(Grid(head=head, rows=rows, widths=(2.8, 3.6, 1.1, 1, 1.1, 0.9, 2.7)),),
        empty="None.",
    )


def measurements(reader: Reader, zone: tzinfo | None) -> Section:
    """Sizes of parts and places measured on the airplane."""
    entries = {e.id: e for e in reader.all(r.Entry)}
    rows = tuple(
        (
            day(entries[m.entry_id].at, zone),
            measured_of(reader, m),
            m.size,
            m.value + (f" ± {m.plus_minus}" if m.plus_minus else ""),
            m.old,
            m.reason,
            m.state.value,
        )
        for m in reader.all(r.Measurement)
    )
    head = ("day", "part, place", "size", "measured", "before", "why", "where")
    return Section(
        title="Sizes measured on the airplane",
        grids=(Grid(head=head, rows=rows, widths=(1.7, 2.2, 1.8, 2.4, 1.5, 2.8, 1.6)),),
    )


def measured_of(reader: Reader, one: r.Measurement) -> str:
    """Return the name of the part, or the place, that a measurement is a size of."""
    return home_of(reader, one).label


def recurring(reader: Reader, now: datetime) -> Section:
    """Recurring inspection items and how long they take."""
    rows = tuple(
        (
            t.item.title + (" (ended)" if t.item.ended_at else ""),
            t.item.cover,
            str(t.fasteners),
            f"{t.minutes:.0f}",
            str(t.item.months),
            day(t.last, now.tzinfo) or "never",
            "" if t.item.ended_at else day(t.due, now.tzinfo),
        )
        for t in yearly_times(reader, now, ended=True)
    )
    head = ("item", "cover off", "fasteners", "minutes", "months", "last", "due")
    return Section(
        title="Recurring inspection",
        grids=(Grid(head=head, rows=rows, widths=(3.6, 2.4, 1.5, 1.3, 1.3, 1.7, 1.7)),),
    )
