"""Puts the tasks that parts should have into the book, and leaves people's work alone.

A task made before is renewed as long as nobody has begun it or changed it by hand. One that its
part no longer asks for is dropped, never removed, and comes back if the part asks again.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from blankwright.book import records as r
from blankwright.book.change import Change
from blankwright.book.routine import FORMING, PartFacts, WantedTask, wanted_tasks


@dataclass(frozen=True, slots=True, kw_only=True)
class Renewed:
    """What was done to the tasks of a part: their numbers."""

    part: str
    made: tuple[int, ...]
    renewed: tuple[int, ...]
    dropped: tuple[int, ...]


def renew_part(
    change: Change,
    facts: PartFacts,
    *,
    bends: int,
    pace: Mapping[r.TaskKind, float],
    major: str = "",
) -> Renewed:
    """Bring a part and its tasks in the book to what the part asks for.

    What only the book knows of a part (how the airplane lies, glue, rivets, ...) must be in
    `facts` already.
    """
    part_id = _renew_row(change, facts, major)
    tasks, stages = wanted_tasks(facts, bends=bends, pace=pace)
    stage_ids = {}
    for stage in stages:
        known = change.by(r.Stage, key=stage.key)
        values = {"title": stage.title, "closes": stage.closes, "major": major}
        if known:
            stage_ids[stage.key] = known[0].id
            if known[0].seen_at is None:
                change.put(r.Stage, known[0].id, **values)
        else:
            stage_ids[stage.key] = change.add(r.Stage, key=stage.key, **values)
    old = {t.key: t for t in change.by(r.Task, part_id=part_id) if t.key}
    ids: dict[str, int] = {}
    made, renewed, dropped = [], [], []
    for task in tasks:
        values = _values(task, part_id, major, facts.place)
        if task.key in old:
            ids[task.key] = old[task.key].id
            if _ours(old[task.key]) and change.put(
                r.Task, old[task.key].id, state=r.TaskState.TO_DO, **values
            ):
                renewed.append(ids[task.key])
        else:
            ids[task.key] = change.add(r.Task, key=task.key, **values)
            made.append(ids[task.key])
    for key, task_row in old.items():
        stays = facts.measured and task_row.kind is r.TaskKind.MEASURE
        gone = key not in ids and not stays and task_row.state is not r.TaskState.DROPPED
        if gone and _ours(task_row):
            change.put(r.Task, task_row.id, state=r.TaskState.DROPPED)
            dropped.append(task_row.id)
    _renew_needs(change, tasks, ids, stage_ids, {t.id for t in old.values() if not _ours(t)})
    _drop_stages(change, facts.key(""), set(stage_ids))
    return Renewed(
        part=facts.name, made=tuple(made), renewed=tuple(renewed), dropped=tuple(dropped)
    )


def renew_order(
    change: Change, places: Iterable[str], pairs: Iterable[tuple[str, str, str]]
) -> None:
    """Let parts be tried in their places only once the parts round them are made.

    A part counts as made when it is cut, drilled and bent: those steps wait for no other part, so
    this makes no circle. Needs made for these places that are no longer asked for go.

    Args:
        change: the change that it becomes part of
        places: names of the places looked at
        pairs: of each its place, the part that goes in, and one that is there
    """
    parts = {part.name: part.id for part in change.all(r.Part)}
    tasks: dict[int | None, list[r.Task]] = {}
    for task in change.all(r.Task):
        if task.state is not r.TaskState.DROPPED and task.key:
            tasks.setdefault(task.part_id, []).append(task)
    wanted: dict[str, tuple[int, int]] = {}
    for place, goes_in, neighbour in pairs:
        tried = [t for t in tasks.get(parts.get(goes_in), ()) if t.kind is r.TaskKind.TRIAL_FIT]
        made = [t for t in tasks.get(parts.get(neighbour), ()) if t.kind in FORMING]
        if tried and made and goes_in != neighbour and _ours(tried[0]):
            last = max(made, key=lambda t: FORMING.index(t.kind))
            wanted[f"place:{place}:{goes_in}>{neighbour}"] = (tried[0].id, last.id)
    looked_at = tuple(f"place:{place}:" for place in places)
    known = {
        need.key: need
        for need in change.by(r.Need, kind=r.NeedKind.TASK)
        if need.key.startswith(looked_at)
    }
    for key, (number, first) in wanted.items():
        if key in known:
            change.put(r.Need, known[key].id, task_id=number, needed_task_id=first)
        else:
            change.add(r.Need, task_id=number, kind=r.NeedKind.TASK, needed_task_id=first, key=key)
    for key, need in known.items():
        if key not in wanted:
            change.remove(r.Need, need.id)


def _drop_stages(change: Change, prefix: str, wanted: set[str]) -> None:
    """Take out stages of a part that nothing closes up any more; those seen stay for good."""
    for stage in change.all(r.Stage):
        if not stage.key.startswith(prefix) or stage.key in wanted or stage.seen_at is not None:
            continue
        if not change.by(r.Need, stage_id=stage.id):
            change.remove(r.Stage, stage.id)


def _renew_row(change: Change, facts: PartFacts, major: str) -> int:
    values = {
        "title": facts.title,
        "drawing": facts.drawing,
        "file": facts.file,
        "major": major,
        "position": facts.position,
        "glue": facts.glue,
        "cure_hours": facts.cure_hours,
        "treat": facts.treat,
        "rivets": facts.rivets,
        "closes": facts.closes,
        "bought": facts.bought,
    }
    known = change.by(r.Part, name=facts.name)
    if not known:
        return change.add(r.Part, name=facts.name, **values)
    change.put(r.Part, known[0].id, **values)
    return known[0].id


def _values(task: WantedTask, part_id: int, major: str, place: str) -> dict[str, Any]:
    return {
        "title": task.title,
        "kind": task.kind,
        "part_id": part_id,
        "major": major,
        "place": place,
        "position": task.position,
        "setup": task.setup,
        "hours": task.hours,
        "first_hours": task.first_hours,
        "note": task.note,
    }


def _ours(task: r.Task) -> bool:
    return not task.by_hand and task.state in (r.TaskState.TO_DO, r.TaskState.DROPPED)


def _renew_needs(
    change: Change,
    tasks: tuple[WantedTask, ...],
    ids: Mapping[str, int],
    stage_ids: Mapping[str, int],
    left_alone: set[int],
) -> None:
    for task in tasks:
        number = ids[task.key]
        if number in left_alone:
            continue
        wanted: dict[str, dict[str, Any]] = {}
        for first, cure in task.after:
            wanted[f"{task.key}>{first}"] = {
                "kind": r.NeedKind.CURE if cure else r.NeedKind.TASK,
                "needed_task_id": ids[first],
                "cure_hours": cure,
            }
        if task.stage:
            wanted[f"{task.key}>{task.stage}"] = {
                "kind": r.NeedKind.STAGE,
                "stage_id": stage_ids[task.stage],
            }
        known = {n.key: n for n in change.by(r.Need, task_id=number) if n.key}
        for key, values in wanted.items():
            if key in known:
                change.put(r.Need, known[key].id, **values)
            else:
                change.add(r.Need, task_id=number, key=key, **values)
        for key, need in known.items():
            if key not in wanted and key.startswith("part:"):
                change.remove(r.Need, need.id)
