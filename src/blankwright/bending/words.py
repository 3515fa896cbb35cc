"""A plan in a builder's words: for cards, the terminal and the page alike."""

from __future__ import annotations

import math
from collections.abc import Sequence

from blankwright.base.findings import Finding, Level
from blankwright.base.units import System, fixed, show_angle
from blankwright.bending.aims import UNKNOWN
from blankwright.bending.blocking import Blocking, Refusal
from blankwright.bending.measures import Expected
from blankwright.bending.plan import BendPlan, Step
from blankwright.bending.settings import Against, Setting, setting_of
from blankwright.bending.stages import Stage
from blankwright.bending.tools import HandBlock, LeafBrake, PressBrake, Vise
from blankwright.drawing.words import length_words

_PLAIN = (Stage.IN_FRONT, Stage.OUT_FRONT)
_LIFTED = (Stage.IN_FRONT_LIFTED, Stage.OUT_FRONT_LIFTED)

HEM = math.radians(170)
"""A bend through more than this can't be bent on for springback: the sheet is in the way [rad]."""

_ALONG = math.radians(20)
"""A bend line nearer to the grain than this runs along it, for a warning [rad]."""


def both(length: float) -> str:
    """Return a length [mm] in mm and inch."""
    return length_words(length, System.BOTH, 2)


def minutes(cost: float) -> str:
    """Return a cost [s] as text."""
    return f"{cost:.0f} s" if cost < 90 else f"{cost / 60:.0f} min"


def steps_words(plan: BendPlan) -> str:
    """Say how many steps a plan has."""
    return "1 step" if len(plan.steps) == 1 else f"{len(plan.steps)} steps"


def expected_words(item: Expected) -> tuple[str, str, str, str, str]:
    """Return a dimension's name, its value, its plus/minus by sight line and by stop, and source.

    The plus/minus is the larger of that by propagation and that of parts made at random.
    """
    spreads = (
        max(item.plus_minus, item.by_chance),
        max(item.by_stop, item.by_stop_by_chance),
    )
    if item.kind == "angle":
        value = show_angle(item.value, 1)
        line, stop = (show_angle(spread, 1) for spread in spreads)
    else:
        value = f"{fixed(item.value, 2)} mm"
        line, stop = (fixed(spread, 2) for spread in spreads)
    return item.name, value, f"± {line}", f"± {stop}", item.most


def expected_rows(expected: Sequence[Expected]) -> list[tuple[str, str, str, str, str]]:
    """Return dimensions in words; angles that are all alike in one row."""
    angles = [expected_words(item) for item in expected if item.kind == "angle"]
    rows = [expected_words(item) for item in expected if item.kind != "angle"]
    alike = {row[2:4] for row in angles}
    if len(angles) > 1 and len(alike) == 1:
        line, stop = alike.pop()
        return [("every angle", "as drawn", line, stop, "the tool's angle"), *rows]
    return [*angles, *rows]


EXPECTED_HEAD = ("dimension", "expected", "by sight line", "by stop", "most of it comes from")


def names(some: Sequence[str]) -> str:
    """Return names as a list in words."""
    return " and ".join((", ".join(some[:-1]), some[-1])) if len(some) > 1 else "".join(some)


def held_words(step: Step) -> str:
    """Say what is held and which face is up."""
    face = "face side up" if step.face_up else "back up"
    return f"hold {names(step.held)}, {face}"


def bar_words(step: Step) -> str:
    """Say what bar, fingers or block to set, and where."""
    place = bar_place(step)
    return f"{bar_name(step)}, from {place}" if place else bar_name(step)


def bar_name(step: Step) -> str:
    """Say what bar, fingers or block to set."""
    if isinstance(step.tool, HandBlock):
        return f"block {fixed(step.run, 0)} mm long"
    if step.tool.widths and not step.tool.cut_to_suit:
        word = {LeafBrake: "fingers", PressBrake: "segments", Vise: "bars"}[type(step.tool)]
        return f"{word} {' + '.join(fixed(w, 1).removesuffix('.0') for w in step.widths)} mm"
    return f"{fixed(step.run, 0)} mm bar"


def bar_place(step: Step) -> str:
    """Say where the bar begins along the bend; empty for a solid bar."""
    if not step.tool.widths and not isinstance(step.tool, HandBlock):
        return ""
    off = step.way.lay.stretch[0] - step.bar[0]
    return f"{abs(off):.1f} mm {'past' if off >= 0 else 'short of'} the bend's left end"


def turn_words(step: Step, first: bool) -> str:
    """Say what changes from the step before."""
    if first:
        return "begin"
    said = [
        word
        for flag, word in (
            (step.change_tool, f"go to the {step.tool.name}"),
            (step.change_nose, f"set the {fixed(step.nose, 1)} mm nose"),
            (step.change_bar, "change the bar"),
            (step.turn_over, "turn over"),
            (step.turn_round, "turn round"),
        )
        if flag
    ]
    return ", ".join(said) or "as it lies"


def nose_words(step: Step) -> str:
    """Say what stands on the sight line."""
    return "punch" if isinstance(step.tool, PressBrake) else "nose"


def stop_words(step: Step, setting: Setting) -> str:
    """Say what goes against the stop, and how far behind the sight line."""
    stop = setting.stop
    if stop.against is Against.NOTHING:
        return "no edge for a stop: set by the sight line"
    what = f"edge of {stop.name}" if stop.against is Against.EDGE else f"outside of {stop.name}"
    return f"{what}, {both(stop.distance)} behind the {nose_words(step)}"


def sight_words(step: Step, setting: Setting) -> str:
    """Say where the sight line is and on which face to mark it."""
    face = "face" if setting.mark_up else "back"
    if isinstance(step.tool, PressBrake):
        return (
            f"{both(setting.sight_in)} from the tangent line of {names(step.held)}, the middle of"
            f" the bend, under the punch; pencil on the {face}"
        )
    return (
        f"{both(setting.sight_in)} from the tangent line of {names(step.held)}, in the bend; pencil"
        f" on the {face}"
    )


def way_words(step: Step) -> str:
    """Say how the part goes in and comes out, where it isn't plainly from the front."""
    ways: tuple[Stage, ...] = (step.put_in, step.take_out)
    if isinstance(step.tool, HandBlock | PressBrake):
        # There the block or the punch is lifted anyhow.
        ways = tuple(stage for stage in ways if stage not in _LIFTED)
    elif ways == _LIFTED:
        return "put it in and take it out from the front, the bar lifted"
    return "; ".join(stage.value for stage in ways if stage not in _PLAIN)


def angle_words(setting: Setting) -> str:
    """Say what angle to bend to; a hem is squeezed, not bent past the sheet it lies on."""
    if setting.angle > HEM:
        return f"{show_angle(setting.angle, 1)}, fold it over and squeeze it shut on its plate"
    return f"{show_angle(setting.angle, 1)}, bend to {show_angle(setting.angle_in_tool, 1)}"


def refusal_words(plan: BendPlan, refusal: Refusal) -> str:
    """Say what keeps a bend from being made after others."""
    bends = plan.blank.bends
    made = [bend.name for j, bend in enumerate(bends) if refusal.before >> j & 1]
    name = names([bends[j].name for j in refusal.group])
    if len(refusal.group) > 1:
        name += " together"
    after = f" after {names(made)}" if made else ""
    tool = f" on the {plan.shop.tools[refusal.tool].name}" if refusal.tool >= 0 else ""
    if refusal.clash is None:
        return f"{name}{after}{tool}: {refusal.reason}"
    clash = refusal.clash
    first = bends[refusal.group[0]]
    legs = names([bends[j].leg for j in refusal.group])
    held = first.parent if refusal.parent_held else legs
    when = f" at {show_angle(clash.angle, 0)}" if clash.stage is Stage.STROKE else ""
    stage = "" if clash.stage is Stage.STROKE else f" ({clash.stage.value})"
    x0, x1 = clash.along
    return (
        f"{name}{after}{tool}, {held} held: {clash.place} runs into the {clash.body}{when}{stage}"
        f" by {clash.depth:.1f} mm, {x0:.0f} to {x1:.0f} mm along it"
    )


def findings_of(plan: BendPlan) -> tuple[Finding, ...]:
    """Return what is to be said about a plan."""
    found: list[Finding] = []
    if not plan.found:
        found.append(_no_order(plan))
    elif not plan.proved:
        found.append(
            Finding(
                code="BENDPLAN-002",
                level=Level.NOTE,
                place="order of bends",
                got=f"the order is good, not proved best: {plan.looked_at} sets of bends of"
                f" {len(plan.blank.bends)} were looked at",
                fix="It can be bent so; a cheaper order may exist",
            )
        )
    if not plan.shop.stated and plan.blank.bends:
        found.append(
            Finding(
                code="BENDPLAN-003",
                level=Level.ASK,
                place="shop.toml",
                got="the shop file describes no bending tool: a small home shop is supposed",
                fix="Measure yours in ten minutes: blankwright bend --measure writes a sheet that"
                " shows how",
            )
        )
    for step in plan.steps:
        found += _of_step(plan, step)
    return tuple(found)


def _no_order(plan: BendPlan) -> Finding:
    blocking = plan.blocking
    got = "no order of bends works on these tools"
    if blocking is not None:
        some = names([plan.blank.bends[j].name for j in blocking.bends])
        word = "can't be made" if len(blocking.bends) == 1 else "can't all be made"
        got += f": {some} {word}"
        got += ". " + ". ".join(refusal_words(plan, r) for r in blocking.refusals)
        got += _other_tools(plan, blocking)
    limit, fix = "", "See what was tried: blankwright bend PART --remedies"
    if plan.if_it_goes_in:
        order = ", then ".join(names(some) for some in plan.if_it_goes_in)
        limit = (
            f"every stroke is clear in the order {order}; only putting in or taking out is in the"
            " way, and that was tried straight, not tilted"
        )
        fix = f"Try that order with the paper model: can it be tilted in and out? {fix}"
    elif not plan.proved:
        limit = "not proved: only part of the sets of bends was looked at"
    return Finding(
        code="BENDPLAN-001",
        level=Level.STOP if plan.proved and not plan.if_it_goes_in else Level.ASK,
        place="order of bends",
        got=got,
        limit=limit,
        fix=fix,
    )


def _other_tools(plan: BendPlan, blocking: Blocking) -> str:
    """Say why the tools that a blocked bend's refusal doesn't name can't make it in any state."""
    said = {r.reason for r in blocking.refusals}
    some = {plan.blank.bends[j].name for j in blocking.bends}
    reasons = dict.fromkeys(
        (tool, why) for bend, tool, why in plan.refused if bend in some and why not in said
    )
    return "".join(f". Not on the {tool}: {why}" for tool, why in reasons)


def _of_step(plan: BendPlan, step: Step) -> list[Finding]:
    found: list[Finding] = []
    setting = setting_of(plan, step)
    place = f"bend {step.bends[0]}"
    bend = step.way.lay.first
    if setting.angle_source == UNKNOWN:
        found.append(
            Finding(
                code="BENDPLAN-010",
                level=Level.ASK,
                place=place,
                got=f"springback of {plan.blank.alloy} isn't known: {UNKNOWN}",
                fix="Bend a strip, measure it, and write it down under [[springback]] in shop.toml",
            )
        )
    if abs(step.nose - step.way.stroke.radius) > 0.15 * max(bend.inside_radius, 1.0):
        found.append(
            Finding(
                code="BENDPLAN-011",
                level=Level.NOTE,
                place=place,
                got=f"the nearest nose is {step.nose:.2f} mm",
                limit=f"{step.way.stroke.radius:.2f} mm while held",
                fix="Set the nose so, and check the leg's height on a strip first",
            )
        )
    if setting.grain is not None and setting.grain < _ALONG:
        found.append(
            Finding(
                code="BENDPLAN-012",
                level=Level.NOTE,
                place=place,
                got=f"the bend line runs {show_angle(setting.grain, 0)} from the grain",
                source="across the grain bends with less risk of cracks: common practice",
                fix="Look for cracks on the outside; use the larger radius if there is a choice",
            )
        )
    if isinstance(step.tool, PressBrake) and setting.force * 1000 > step.tool.force:
        found.append(
            Finding(
                code="BENDPLAN-013",
                level=Level.STOP,
                place=place,
                got=f"the bend needs {setting.force:.0f} kN",
                limit=f"{step.tool.force / 1000:.0f} kN on the {step.tool.name}",
                source=setting.force_source,
                fix="Use a wider V or a shorter bend",
            )
        )
    if setting.load_share is not None and setting.load_share > 0.8:
        found.append(
            Finding(
                code="BENDPLAN-014",
                level=Level.NOTE,
                place=place,
                got=f"the bend takes {100 * setting.load_share:.0f} % of what the {step.tool.name}"
                " is rated for",
                fix="Clamp it well and watch the leaf bow; bend in two passes",
            )
        )
    return found
