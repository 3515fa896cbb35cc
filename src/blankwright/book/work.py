"""The book's tasks as the scheduling sees them."""

from __future__ import annotations

from blankwright.book import records as r
from blankwright.book.change import Reader
from blankwright.book.hardware import Stock, stock_of
from blankwright.book.needs import After, Job, Takes, Work

POSITION = "position"
"""Setting: how the airplane lies now."""
SETUP = "setup"
"""Setting: what is set up now."""
AIRPLANE = "airplane"
BUILDER = "builder"
SERIAL = "serial"
SHOP_HOURS = "shop hours a day"
TURN_HOURS = "hours to turn over"
SETUP_HOURS = "hours to set up"

DEFAULTS = {SHOP_HOURS: "1.5", TURN_HOURS: "1.0", SETUP_HOURS: "0.5"}
"""What holds until the builder states it; common practice, no source."""


def setting(reader: Reader, name: str) -> str:
    """Return a setting, or what holds until it is stated."""
    found = reader.by(r.Setting, name=name)
    return found[0].value if found else DEFAULTS.get(name, "")


def stocks(reader: Reader) -> dict[int, Stock]:
    """Return where every hardware item stands, by number of its row."""
    needs: dict[int, list[r.HardwareNeed]] = {}
    for need in reader.all(r.HardwareNeed):
        needs.setdefault(need.hardware_id, []).append(need)
    moves: dict[int, list[r.HardwareMove]] = {}
    for move in reader.all(r.HardwareMove):
        moves.setdefault(move.hardware_id, []).append(move)
    return {
        item.id: stock_of(item, needs.get(item.id, ()), moves.get(item.id, ()))
        for item in reader.all(r.Hardware, order=("number",))
    }


def load_work(reader: Reader, known: dict[int, Stock] | None = None) -> Work:
    """Return the whole work.

    A need of a part stands for all tasks of that part. What a task takes of hardware is what its
    needs say; what was used for it already is taken off.

    Args:
        reader: the book
        known: where hardware stands, if that is worked out already
    """
    supplies = stocks(reader) if known is None else known
    tasks = {t.id: t for t in reader.all(r.Task) if t.state is not r.TaskState.DROPPED}
    of_part: dict[int, list[int]] = {}
    for task in tasks.values():
        if task.part_id is not None:
            of_part.setdefault(task.part_id, []).append(task.id)
    used: dict[tuple[int, int], float] = {}
    for move in reader.by(r.HardwareMove, kind=r.MoveKind.USED):
        if move.task_id is not None:
            key = (move.task_id, move.hardware_id)
            used[key] = used.get(key, 0.0) + move.quantity
    after: dict[int, list[After]] = {n: [] for n in tasks}
    takes: dict[int, dict[int, float]] = {n: {} for n in tasks}
    seen_first: dict[int, list[int]] = {n: [] for n in tasks}
    for need in reader.all(r.Need):
        if need.task_id not in tasks:
            continue
        if need.needed_task_id is not None:
            after[need.task_id].append(After(task=need.needed_task_id, hours=need.cure_hours))
        elif need.needed_part_id is not None:
            after[need.task_id].extend(After(task=n) for n in of_part.get(need.needed_part_id, ()))
        elif need.hardware_id is not None:
            row = takes[need.task_id]
            row[need.hardware_id] = row.get(need.hardware_id, 0.0) + need.quantity
        elif need.stage_id is not None:
            seen_first[need.task_id].append(need.stage_id)
    jobs = {
        n: Job(
            number=n,
            title=task.title,
            hours=task.hours,
            after=tuple(sorted(set(after[n]), key=lambda a: (a.task, a.hours))),
            takes=tuple(
                Takes(hardware=h, quantity=left)
                for h, quantity in sorted(takes[n].items())
                if (left := quantity - used.get((n, h), 0.0)) > 0.0
            ),
            stages=tuple(seen_first[n]),
            position=task.position,
            setup=task.setup,
            begun=task.state is r.TaskState.BEGUN,
            done_at=task.done_at if task.state is r.TaskState.DONE else None,
            major=task.major,
        )
        for n, task in tasks.items()
    }
    return Work(
        jobs=jobs,
        supplies={n: stock.supply for n, stock in supplies.items()},
        unseen={s.id: s.title for s in reader.all(r.Stage) if s.seen_at is None},
        position=setting(reader, POSITION),
    )
