"""Make the files of many parts, several at a time."""

from __future__ import annotations

import os
import traceback
from collections.abc import Callable, Sequence
from concurrent.futures import ProcessPoolExecutor, as_completed
from dataclasses import dataclass
from pathlib import Path

from blankwright.base.errors import BlankwrightError, OurBug, Problem
from blankwright.jobs.items import Item
from blankwright.jobs.outputs import Made, Tell, kept_outputs, make_outputs
from blankwright.jobs.project import Project


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What became of one item.

    Args:
        item: the item
        made: what was made of it; nothing when it could not be
        problems: why it could not be
        status: exit status this outcome asks for: 0, 1 stop, 2 bad input, 3 our bug
    """

    item: Item
    made: Made | None = None
    problems: tuple[Problem, ...] = ()
    status: int = 0


def develop_parts(
    project: Project,
    items: Sequence[Item],
    progress: Callable[[Outcome], None] = lambda outcome: None,
    workers: int | None = None,
) -> tuple[Outcome, ...]:
    """Make the files of items; one that can't be made does not keep the others from being made.

    Args:
        project: where they are
        items: what to make
        progress: called as each is done, in the order they are done
        workers: processes at a time; as many as there are cores when not stated

    Returns:
        An outcome for each item, in the order of the items.
    """
    done: dict[Item, Outcome] = {}
    waiting: list[Item] = []
    for item in items:
        kept = kept_outputs(project, item)
        if kept is None:
            waiting.append(item)
        else:
            done[item] = Outcome(item=item, made=kept)
            progress(done[item])
    count = min(len(waiting), workers or os.cpu_count() or 1)
    if count <= 1:
        for item in waiting:
            done[item] = develop_one(project, item)
            progress(done[item])
    else:
        with ProcessPoolExecutor(max_workers=count) as pool:
            jobs = [pool.submit(develop_one, project, item) for item in waiting]
            for job in as_completed(jobs):
                outcome = job.result()
                done[outcome.item] = outcome
                progress(outcome)
    return tuple(done[item] for item in items)


def develop_one(project: Project, item: Item, tell: Tell = lambda file, done, of: None) -> Outcome:
    """Make the files of one item and return what became of it; errors become problems.

    Args:
        project: where
        item: what
        tell: told the name of each file as it is begun
    """
    try:
        made = make_outputs(project, item, tell)
    except BlankwrightError as error:
        return Outcome(item=item, problems=error.problems, status=error.exit_status)
    except Exception as error:  # our bug in one part must not keep the others from being made
        frame = traceback.extract_tb(error.__traceback__)[-1]
        problem = Problem(
            code="BUG-001",
            where=f"part {item.name}",
            got=f"{type(error).__name__}: {error} ({Path(frame.filename).name}:{frame.lineno})",
            fix="This is our bug, not yours; nothing was written. Report it with the part file",
        )
        return Outcome(item=item, problems=(problem,), status=OurBug.exit_status)
    return Outcome(item=item, made=made, status=1 if made.blocked else 0)
