"""Puts the tasks that parts should have into the book, and leaves people's work alone.

A task made before is renewed as long as nobody has begun it or changed it by hand. One that its
part no longer asks for is dropped, never removed, and comes back if the part asks again.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from blankwright.book import records as r
from blankwright.book.change import Change
from blankwright.book.routine import PartFacts, WantedTask, wanted_tasks


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
        if key not in ids and _ours(task_row) and task_row.state is not r.TaskState.DROPPED:
            change.put(r.Task, task_row.id, state=r.TaskState.DROPPED)
            dropped.append(task_row.id)
    _renew_needs(change, tasks, ids, stage_ids, {t.id for t in old.values() if not _ours(t)})
    return Renewed(
        part=facts.name, made=tuple(made), renewed=tuple(renewed), dropped=tuple(dropped)
    )


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
