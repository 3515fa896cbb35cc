"""The sections of the builder's record, each from its tables of the book."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, tzinfo

from blankwright.base.units import trimmed
from blankwright.book import records as r
from blankwright.book.builders_record import Grid, Section, Shown, Told
from blankwright.book.change import Reader
from blankwright.book.work import stocks
from blankwright.jobs.book_deviations import Case, cases
from blankwright.jobs.book_hours import hours_lines
from blankwright.jobs.book_inspection import stages as all_stages
from blankwright.jobs.book_inspection import yearly_times
from blankwright.jobs.book_materials import lots


def day(moment: datetime | None, zone: tzinfo | None) -> str:
    """Return the day of a moment in a zone; nothing as an empty text."""
    return "" if moment is None else moment.astimezone(zone).strftime("%Y-%m-%d")


def open_points(reader: Reader, now: datetime) -> Section:
    """Everything that is not settled."""
    zone = now.tzinfo
    rows = [
        ("deviation", str(c.deviation.id), c.deviation.what, day(c.deviation.opened_at, zone))
        for c in cases(reader)
        if c.is_open
    ]
    rows += [
        ("to be seen", str(s.id), s.title, "") for s in reader.all(r.Stage) if s.seen_at is None
    ]
    rows += [
        ("not in part file", str(m.id), f"{m.size} {m.value}", "")
        for m in reader.by(r.Measurement, state=r.SizeState.IN_BOOK)
    ]
    rows += [
        ("task not done", str(t.id), t.title, "")
        for t in reader.all(r.Task)
        if t.state in (r.TaskState.TO_DO, r.TaskState.BEGUN)
    ]
    rows += [
        ("recurring, due", str(t.item.id), t.item.title, day(t.due, zone))
        for t in yearly_times(reader, now)
        if t.overdue
    ]
    return Section(
        title="Open points",
        grids=(
            Grid(
                head=("kind", "no.", "what", "since, due"), rows=tuple(rows), widths=(2, 1, 6, 1.5)
            ),
        ),
        empty="Nothing is open in the book.",
    )


def hours(reader: Reader) -> Section:
    """Hours by major part and by kind of work."""
    grids = tuple(
        Grid(
            head=(by, "expected h", "left h", "logged h"),
            rows=tuple(
                (f.name, f"{f.expected:.1f}", f"{f.left:.1f}", f"{f.taken:.1f}")
                for f in hours_lines(reader, by)
            ),
            widths=(4, 1.5, 1.5, 1.5),
        )
        for by in ("major part", "kind")
    )
    return Section(title="Hours", grids=grids)


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
        title="Inspection stages", grids=(Grid(head=head, rows=rows, widths=(1, 4, 2, 2, 2, 3)),)
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
                widths=(3, 2, 2, 2, 1.5, 4),
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


def tasks(reader: Reader, zone: tzinfo | None) -> Section:
    """All tasks by major part, with who did them and the time logged."""
    minutes: dict[int, int] = {}
    people: dict[int, list[str]] = {}
    for entry in reader.all(r.Entry, order=("at", "id")):
        if entry.task_id is not None:
            minutes[entry.task_id] = minutes.get(entry.task_id, 0) + entry.minutes
            names = people.setdefault(entry.task_id, [])
            names += [n for n in (entry.who, entry.helpers) if n and n not in names]
    majors: dict[str, list[tuple[str, ...]]] = {}
    for task in reader.all(r.Task):
        majors.setdefault(task.major or "Major part not stated", []).append(
            (
                str(task.id),
                task.title,
                task.state.value,
                day(task.done_at, zone),
                f"{minutes.get(task.id, 0) / 60.0:.1f}",
                ", ".join(people.get(task.id, ())),
                task.note,
            )
        )
    head = ("no.", "task", "state", "done", "logged h", "who", "note")
    return Section(
        title="Tasks by major part",
        grids=tuple(
            Grid(
                head=(head[0], name, *head[2:]),
                rows=tuple(rows),
                widths=(0.8, 4, 1.4, 1.7, 1.2, 2, 3),
            )
            for name, rows in sorted(majors.items())
        ),
    )


def hardware(reader: Reader) -> Section:
    """What is needed and was used."""
    rows = tuple(
        (s.item.number, s.item.title, trimmed(s.needed, 3), trimmed(s.used, 3), s.item.unit)
        for s in sorted(stocks(reader).values(), key=lambda s: s.item.number)
    )
    head = ("number", "what", "needed", "used", "unit")
    return Section(title="Hardware", grids=(Grid(head=head, rows=rows, widths=(3, 5, 1, 1, 1)),))


def measurements(reader: Reader, zone: tzinfo | None) -> Section:
    """Sizes measured on the airplane."""
    parts = {p.id: p.name for p in reader.all(r.Part)}
    entries = {e.id: e for e in reader.all(r.Entry)}
    rows = tuple(
        (
            day(entries[m.entry_id].at, zone),
            parts.get(m.part_id or 0, f"place {m.place}"),
            m.size,
            m.value + (f" ± {m.plus_minus}" if m.plus_minus else ""),
            m.old,
            m.reason,
            m.state.value,
        )
        for m in reader.all(r.Measurement)
    )
    head = ("day", "part", "size", "measured", "before", "why", "where")
    return Section(
        title="Sizes measured on the airplane",
        grids=(Grid(head=head, rows=rows, widths=(1.6, 2, 2, 2.4, 1.6, 3, 1.6)),),
    )


def recurring(reader: Reader, now: datetime) -> Section:
    """Recurring inspection items and how long they take."""
    rows = tuple(
        (
            t.item.title,
            t.item.cover,
            str(t.fasteners),
            f"{t.minutes:.0f}",
            str(t.item.months),
            day(t.last, now.tzinfo) or "never",
            day(t.due, now.tzinfo),
        )
        for t in yearly_times(reader, now)
    )
    head = ("item", "cover off", "fasteners", "minutes", "months", "last", "due")
    return Section(
        title="Recurring inspection",
        grids=(Grid(head=head, rows=rows, widths=(4, 2.5, 1.3, 1.2, 1.2, 1.6, 1.6)),),
    )


def log(reader: Reader, zone: tzinfo | None, shown: Callable[[r.Photo], Shown | None]) -> Section:
    """The whole log, oldest first, with its photos."""
    tasks_by = {t.id: t.title for t in reader.all(r.Task)}
    parts = {p.id: p.name for p in reader.all(r.Part)}
    photos: dict[int, list[r.Photo]] = {}
    for photo in reader.all(r.Photo):
        photos.setdefault(photo.entry_id, []).append(photo)
    told = []
    for entry in reader.all(r.Entry, order=("at", "id")):
        own = photos.get(entry.id, ())
        pictures = [(photo, shown(photo)) for photo in own]
        at = entry.at.astimezone(zone).strftime("%Y-%m-%d %H:%M")
        about = [
            tasks_by.get(entry.task_id or 0) or parts.get(entry.part_id or 0, ""),
            entry.place,
            f"by {entry.who}" if entry.who else "",
            f"helped: {entry.helpers}" if entry.helpers else "",
        ]
        lines = [entry.text, " · ".join(filter(None, about))]
        lines += [f"Photo missing: {p.name} {p.sha256[:12]}" for p, found in pictures if not found]
        told.append(
            Told(
                head=f"Entry {entry.id}, {at}, {entry.minutes} min",
                lines=tuple(filter(None, lines)),
                photos=tuple(found for _, found in pictures if found),
            )
        )
    return Section(title="Log", told=tuple(told))
