"""States of bending by bend name, as `develop.formed.form` takes them."""

from __future__ import annotations

from collections.abc import Mapping

from blankwright.bending.plan import BendPlan


def states_of(plan: BendPlan) -> tuple[Mapping[str, float], ...]:
    """Return the share of each bend's angle [-]: flat, after the first step, and so on."""
    made: set[str] = set()
    bends = plan.blank.bends
    found = [{bend.name: 0.0 for bend in bends}]
    for step in plan.steps:
        made |= set(step.bends)
        found.append({bend.name: float(bend.name in made) for bend in bends})
    return tuple(found)
