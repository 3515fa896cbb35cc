"""All tasks on the page: written, changed, what each needs first, done with its time, dropped."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from html import escape
from typing import Final

from blankwright.base.units import trimmed
from blankwright.book import records as r
from blankwright.page.book_forms import Ask, Doing, form, way, ways
from blankwright.page.book_html import key, table, when
from blankwright.page.plain import choice

HERE: Final = "tasks"
OPEN: Final = "open"
_SHOWN: Final = ((OPEN, "open ones"), ("done", "done"), ("all", "all"))


@dataclass(frozen=True, slots=True, kw_only=True)
class TaskList:
    """What the page shows.

    Args:
        tasks: all tasks
        needs: what each needs first, by its number: number of the need, and it in words
        waits: why a task can't be done now, by its number
        parts: names of the book's parts
        stages: stages not seen yet
        hardware: part numbers of the book
    """

    tasks: Sequence[r.Task]
    needs: Mapping[int, Sequence[tuple[int, str]]]
    waits: Mapping[int, Sequence[str]]
    parts: Mapping[int, str]
    stages: Sequence[r.Stage]
    hardware: Sequence[str]


def tasks_page(found: TaskList, doing: Doing) -> str:
    """Return the page."""
    part = doing.words.get("part", "") if not doing.action else ""
    which = doing.words.get("which", OPEN) if not doing.action else OPEN
    chosen = [t for t in found.tasks if _is_shown(t, which, found.parts, part)]
    return (
        (_form(found, doing) or ways(way(HERE, "task-add", "New task")))
        + _filter(found, part, which)
        + table(
            f"Tasks: {len(chosen)} of {len(found.tasks)}",
            ("no.", "task", "needs first", "state", "hours", "major part"),
            (_row(t, found) for t in chosen),
            "None.",
        )
    )


def _is_shown(task: r.Task, which: str, parts: Mapping[int, str], part: str) -> bool:
    if part and parts.get(task.part_id or 0) != part:
        return False
    is_open = task.state in (r.TaskState.TO_DO, r.TaskState.BEGUN)
    return which == "all" or (is_open if which == OPEN else task.state is r.TaskState.DONE)


def _filter(found: TaskList, part: str, which: str) -> str:
    parts = [("", "all parts"), *((name, name) for name in sorted(found.parts.values()))]
    return (
        f'<form class="bw-write" method="get" action="/book/{HERE}">'
        f"{choice('part', 'Of part', parts, part)}{choice('which', 'Show', _SHOWN, which)}"
        "<button>Show</button></form>"
    )


def _row(task: r.Task, found: TaskList) -> tuple[str, ...]:
    keys = []
    if task.state in (r.TaskState.TO_DO, r.TaskState.BEGUN):
        keys = [
            way(HERE, "task-done", "Done", f"Done: {task.title}", no=task.id),
            way(HERE, "task-change", "Change", f"Change {task.title}", no=task.id),
            way(HERE, "task-need", "Needs", f"Needs of {task.title}", no=task.id),
            way(HERE, "task-drop", "Not needed", f"Not needed: {task.title}", no=task.id),
        ]
    else:
        keys = [key("task-again", "Open again", f"Open again: {task.title}", no=task.id)]
    about = [task.position and f"lies {task.position}", task.setup, task.place, task.note]
    told = "; ".join(filter(None, about))
    small = f"<br><small>{escape(told)}</small>" if told else ""
    done = f" {when(task.done_at, day=True)}" if task.state is r.TaskState.DONE else ""
    return (
        str(task.id),
        escape(task.title) + small + ways(*keys),
        "<br>".join(escape(said) for _, said in found.needs.get(task.id, ())),
        f"<b>{escape(task.state.value)}</b>{done}",
        f"{task.hours:.1f}",
        escape(task.major),
    )


def _form(found: TaskList, doing: Doing) -> str:
    if doing.action == "task-add":
        asks = [*_said(found), *_needs(found)]
        return form(doing, "New task", asks, "Write it down", back=HERE)
    task = next((t for t in found.tasks if t.id == doing.number), None)
    if task is None:
        return ""
    if doing.action == "task-change":
        note = "The tool leaves it alone from then on: only you change it again."
        asks = list(_said(found, task))
        return form(doing, f"Change task {task.id}", asks, "Save", back=HERE, note=note, no=task.id)
    if doing.action == "task-need":
        title = f"What {task.title} needs first"
        shown = form(doing, title, list(_needs(found)), "Write it down", back=HERE, no=task.id)
        return shown + _away(task, found)
    if doing.action == "task-drop":
        asks = [Ask(name="why", label="Why it is not needed", must=True)]
        return form(doing, f"Not needed: {task.title}", asks, "Save", back=HERE, no=task.id)
    if doing.action == "task-done":
        return _done(task, found.waits.get(task.id, ()), doing)
    return ""


def _done(task: r.Task, waits: Sequence[str], doing: Doing) -> str:
    asks = [
        Ask(name="minutes", label="It took", about="45, 1:30, 1.5 h", kind="number"),
        Ask(name="text", label="What was done", about="for the log"),
        Ask(name="helpers", label="Who helped"),
    ]
    note = ""
    if waits:
        note = f"The book says that it waits: {'; '.join(waits)}."
        asks.append(Ask(name="anyway", label="Why it is done anyway"))
    title = f"Done: {task.title}"
    return form(doing, title, asks, "It is done", back=HERE, note=note, no=task.id)


def _away(task: r.Task, found: TaskList) -> str:
    rows = [
        (escape(said), key("task-need-away", "Take away", f"Take away: {said}", need=number))
        for number, said in found.needs.get(task.id, ())
    ]
    return table(f"{task.title} needs now", ("what", ""), rows, "Nothing.")


def _said(found: TaskList, task: r.Task | None = None) -> Iterable[Ask]:
    yield Ask(name="title", label="What is to do", value=task.title if task else "", must=True)
    if task is None:
        parts = [("", "none"), *((name, name) for name in sorted(found.parts.values()))]
        yield Ask(name="part", label="On which part", kind="choice", options=parts)
    yield Ask(
        name="hours",
        label="Expected",
        about="45, 1:30, 1.5 h",
        kind="number",
        value=f"{trimmed(task.hours, 2)} h" if task else "",
    )
    majors = sorted({t.major for t in found.tasks if t.major})
    positions = sorted({t.position for t in found.tasks if t.position})
    setups = sorted({t.setup for t in found.tasks if t.setup})
    for name, label, about, among in (
        ("major", "Major part", "", majors),
        ("position", "How the airplane must lie", "empty: any way", positions),
        ("setup", "What must be set up", "", setups),
        ("place", "Where", "", ()),
        ("note", "Note", "", ()),
    ):
        value = str(getattr(task, name)) if task else ""
        yield Ask(name=name, label=label, about=about, among=among, value=value)


def _needs(found: TaskList) -> Iterable[Ask]:
    yield Ask(name="after", label="After tasks", about="numbers: 3, 5")
    yield Ask(name="cure", label="Hours to cure after those", kind="number")
    yield Ask(
        name="parts", label="Parts finished", about="names", among=sorted(found.parts.values())
    )
    yield Ask(name="item", label="Hardware in hand", among=found.hardware)
    yield Ask(name="quantity", label="How much of it", kind="number")
    seen = [("", "none"), *((str(s.id), s.title) for s in found.stages)]
    yield Ask(name="stage", label="Stage seen first", kind="choice", options=seen)
