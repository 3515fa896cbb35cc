"""Proves a paper model against the formed part: folded up, it must have the part's outside."""

from __future__ import annotations

import math

from blankwright.base.errors import OurBug, Problem
from blankwright.base.units import fixed
from blankwright.develop.blank import Blank
from blankwright.develop.formed import form
from blankwright.drawing.paper_model import PaperModel

_LIMIT = 1e-6


def prove_paper_model(model: PaperModel, blank: Blank) -> None:
    """Fold the paper of each bend sharply and compare it with the bent metal's outside face.

    The paper starts on the outside face at the parent's bend tangent line; after the folds it
    must end on the outside face at the leg's bend tangent line, in the leg's direction.

    Args:
        model: the model
        blank: the blank, which is formed for this

    Raises:
        OurBug: when it does not (PAPER-001), by how much
    """
    formed = form(blank)
    problems: list[Problem] = []
    for name, fold in model.folds.items():
        shape = formed.bends[name]
        outside = 0.0 if shape.bend.up else blank.thickness
        _, y, z = shape.local(0.0, shape.bend.allowance, outside, blank.thickness)
        sign = 1.0 if shape.bend.up else -1.0
        py, pz, turned = 0.0, outside, 0.0
        for i in range(fold.scores + 1):
            step = fold.setback if i in (0, fold.scores) else 2 * fold.setback
            py += step * math.cos(turned)
            pz += step * math.sin(turned) * sign
            if i < fold.scores:
                turned += fold.turn
        off = math.hypot(py - y, pz - z)
        if off > _LIMIT or abs(turned - shape.bend.angle) > _LIMIT:
            problems.append(
                Problem(
                    code="PAPER-001",
                    where=f"paper model, bend {name}",
                    got=f"the folded paper is off the part's outside by {fixed(off, 6)} mm",
                    allowed=f"{_LIMIT:g} mm",
                    fix="This is a bug of ours: nothing was written; please report it",
                )
            )
    if problems:
        raise OurBug(*problems)
