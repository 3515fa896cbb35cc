"""Sections of the builder's record about the work: open points, hours, parts, tasks, the log."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, tzinfo

from blankwright.book import records as r
from blankwright.book.builders_record import Grid, Section, Shown, Told
from blankwright.book.change import Reader
from blankwright.jobs.book_deviations import cases
from blankwright.jobs.book_hours import hours_lines
from blankwright.jobs.book_inspection import yearly_times
from blankwright.jobs.book_materials import lots
from blankwright.jobs.book_record_sections import day, measured_of

_OPEN = (r.TaskState.TO_DO, r.TaskState.BEGUN)


def open_points(reader: Reader, now: datetime) -> Section:
    """Everything that is not settled; what is left to do on each part in one line."""
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
        ("not in its file", str(m.id), f"{measured_of(reader, m)}.{m.size} {m.value}", "")
        for m in reader.by(r.Measurement, state=r.SizeState.IN_BOOK)
    ]
    rows += [
        ("recurring, due", str(t.item.id), t.item.title, day(t.due, zone))
        for t in yearly_times(reader, now)
        if t.overdue
    ]
    left = _left_to_do(reader)
    return Section(
        title="Open points",
        grids=(
            Grid(
                head=("kind", "no.", "what", "since, due"), rows=tuple(rows), widths=(2, 1, 6, 1.5)
            ),
            Grid(head=("part", "done", "left to do"), rows=left, widths=(2.5, 1.2, 6.8)),
        ),
        empty="Nothing is open in the book.",
    )


def _left_to_do(reader: Reader) -> tuple[tuple[str, str, str], ...]:
    names = {part.id: part.name for part in reader.all(r.Part)}
    of_part: dict[str, list[r.Task]] = {}
    for task in reader.all(r.Task):
        if task.state is not r.TaskState.DROPPED:
            of_part.setdefault(names.get(task.part_id or 0, ""), []).append(task)
    rows = []
    for name, tasks in sorted(of_part.items(), key=lambda item: (item[0] == "", item[0])):
        kinds = list(r.TaskKind)
        left = sorted(
            (t for t in tasks if t.state in _OPEN), key=lambda t: (kinds.index(t.kind), t.id)
        )
        if left:
            words = ", ".join(t.title.removeprefix(f"{name}: ") for t in left)
            done = f"{len(tasks) - len(left)} of {len(tasks)}"
            rows.append((name or "no part", done, words))
    return tuple(rows)


def hours(reader: Reader) -> Section:
    """Hours by major part and by kind of work."""
    grids = []
    for by in ("major part", "kind"):
        lines = hours_lines(reader, by)
        rows = tuple(
            (f.name, f"{f.expected:.1f}", f"{f.left:.1f}", f"{f.taken:.1f}") for f in lines
        )
        most = max((f.taken for f in lines[:-1]), default=0.0) or 1.0
        grids.append(
            Grid(
                head=(by, "expected h", "left h", "logged h", ""),
                rows=rows,
                widths=(3, 1.4, 1.2, 1.3, 3.5),
                bars=(*(f.taken / most for f in lines[:-1]), 0.0),
            )
        )
    return Section(title="Hours", grids=tuple(grids))


def parts(reader: Reader) -> Section:
    """Every part in a line: drawing, how far it is, hours, lots, deviations."""
    minutes: dict[int, int] = {}
    for entry in reader.all(r.Entry):
        if entry.part_id is not None:
            minutes[entry.part_id] = minutes.get(entry.part_id, 0) + entry.minutes
    tasks: dict[int, list[r.Task]] = {}
    for task in reader.all(r.Task):
        if task.part_id is not None and task.state is not r.TaskState.DROPPED:
            tasks.setdefault(task.part_id, []).append(task)
    lot_of: dict[str, list[str]] = {}
    for lot, names in lots(reader):
        for name in names:
            lot_of.setdefault(name, []).append(lot.number)
    deviations: dict[int, list[str]] = {}
    for link in reader.all(r.DeviationPart):
        deviations.setdefault(link.part_id, []).append(str(link.deviation_id))
    rows = []
    for part in reader.all(r.Part, order=("major", "name")):
        own = tasks.get(part.id, [])
        done = sum(t.state is r.TaskState.DONE for t in own)
        rows.append(
            (
                part.name,
                ", ".join(filter(None, [part.title, part.drawing])),
                part.major,
                f"{done} of {len(own)}",
                f"{minutes.get(part.id, 0) / 60.0:.1f}",
                ", ".join(lot_of.get(part.name, ())) or ("bought" if part.bought else "none told"),
                ", ".join(deviations.get(part.id, ())),
            )
        )
    head = ("part", "title, drawing", "major part", "tasks done", "hours", "lots", "deviations")
    return Section(
        title="Parts",
        grids=(Grid(head=head, rows=tuple(rows), widths=(2.4, 3.5, 1.4, 1.1, 0.9, 1.7, 1.6)),),
        empty="None.",
    )


def tasks(reader: Reader, zone: tzinfo | None) -> Section:
    """Tasks begun, done or dropped, by major part, with who did them and the time logged."""
    minutes: dict[int, int] = {}
    people: dict[int, list[str]] = {}
    for entry in reader.all(r.Entry, order=("at", "id")):
        if entry.task_id is not None:
            minutes[entry.task_id] = minutes.get(entry.task_id, 0) + entry.minutes
            names = people.setdefault(entry.task_id, [])
            names += [n for n in (entry.who, entry.helpers) if n and n not in names]
    majors: dict[str, list[tuple[str, ...]]] = {}
    untouched = 0
    for task in reader.all(r.Task):
        if task.state is r.TaskState.TO_DO:
            untouched += 1
            continue
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
    head = ("no.", "task", "state", "done", "hours", "who", "note")
    return Section(
        title="Tasks by major part",
        intro=f"{untouched} tasks that nobody has begun are among the open points."
        if untouched
        else "",
        empty="None was begun.",
        grids=tuple(
            Grid(
                head=(head[0], name, *head[2:]),
                rows=tuple(rows),
                widths=(0.8, 4, 1.4, 1.7, 1.2, 2, 3),
            )
            for name, rows in sorted(majors.items())
        ),
    )


def log(reader: Reader, zone: tzinfo | None, shown: Callable[[r.Photo], Shown | None]) -> Section:
    """The whole log, oldest first, with its photos."""
    tasks_by = {t.id: t.title for t in reader.all(r.Task)}
    parts = {p.id: p.name for p in reader.all(r.Part)}
    photos: dict[int, list[r.Photo]] = {}
    for photo in reader.all(r.Photo):
        photos.setdefault(photo.entry_id, []).append(photo)
    months: dict[str, tuple[int, int]] = {}
    for entry in reader.all(r.Entry):
        month = entry.at.astimezone(zone).strftime("%Y-%m")
        count, minutes = months.get(month, (0, 0))
        months[month] = (count + 1, minutes + entry.minutes)
    sizes: dict[int, list[str]] = {}
    for one in reader.all(r.Measurement):
        within = f" ± {one.plus_minus}" if one.plus_minus else ""
        said = f"Measured: {measured_of(reader, one)}.{one.size} {one.value}{within}"
        sizes.setdefault(one.entry_id, []).append(said)
    told = []
    for entry in reader.all(r.Entry, order=("at", "id")):
        own = photos.get(entry.id, ())
        pictures = [(photo, shown(photo)) for photo in own]
        local = entry.at.astimezone(zone)
        at = local.strftime("%Y-%m-%d %H:%M")
        of_month = months[local.strftime("%Y-%m")]
        about = [
            tasks_by.get(entry.task_id or 0) or parts.get(entry.part_id or 0, ""),
            entry.place,
            f"by {entry.who}" if entry.who else "",
            f"helped: {entry.helpers}" if entry.helpers else "",
        ]
        lines = [entry.text, *sizes.get(entry.id, ())]
        lines += [f"Photo missing: {p.name} {p.sha256[:12]}" for p, found in pictures if not found]
        told.append(
            Told(
                head=f"Entry {entry.id}, {at}, {entry.minutes} min",
                lines=tuple(filter(None, lines)),
                photos=tuple(found for _, found in pictures if found),
                about=" · ".join(filter(None, about)),
                above=f"{local:%Y-%m}: {of_month[0]} entries, {of_month[1] / 60.0:.1f} h",
            )
        )
    return Section(title="Log", told=tuple(told))
