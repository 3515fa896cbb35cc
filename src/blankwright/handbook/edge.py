"""Rules of layout: edge distance, pitch, holes near bends, least flanges."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from functools import cache

from blankwright.handbook.inner import to_inner
from blankwright.handbook.table import Row, table

_SIXTEENTH = Decimal("0.0625")


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """A limit on a distance.

    Args:
        value: [mm]
        rule: in words, such as ``2 D``
        source: where it comes from; says so when it is practice without a source
        status: how sure it is, in one word of the table's
    """

    value: float
    rule: str
    source: str
    status: str


def edge_distance(diameter: float, countersunk: bool = False) -> Limit:
    """Return the least distance from a hole's centre to the sheet's edge.

    Args:
        diameter: of the rivet or bolt [mm]
        countersunk: countersunk or dimpled, rather than a protruding head
    """
    head = "countersunk" if countersunk else "protruding"
    return _limit(f"edge distance, {head} head", diameter)


def recommended_edge_distance(diameter: float) -> Limit:
    """Return the recommended distance from a hole's centre to the sheet's edge.

    Args:
        diameter: of the rivet or bolt [mm]
    """
    return _limit("edge distance, recommended", diameter)


def safe_edge_distance(diameter: float, countersunk: bool = False) -> Limit:
    """Return the handbook's safe edge distance: the least and 1/16 in more.

    Args:
        diameter: of the rivet [mm]
        countersunk: countersunk or dimpled, rather than a protruding head
    """
    head = "countersunk" if countersunk else "protruding"
    row = _row(f"edge distance, safe, {head} head, less 1/16 in")
    limit = _from_row(row, diameter)
    sixteenth = to_inner(_SIXTEENTH, "in")
    return Limit(
        value=limit.value + sixteenth,
        rule=f"{limit.rule} + 1/16 in",
        source=limit.source,
        status=limit.status,
    )


def most_edge_distance(diameter: float) -> Limit:
    """Return how far a row of rivets may stand from the edge.

    Args:
        diameter: of the rivet [mm]
    """
    return _limit("edge distance, most", diameter)


def least_pitch(diameter: float) -> Limit:
    """Return the least distance between rivets of a row, centre to centre.

    Args:
        diameter: of the rivet [mm]
    """
    return _limit("pitch, least", diameter)


def usual_pitch(diameter: float) -> tuple[Limit, Limit]:
    """Return between what the distance of rivets of a row seldom lies outside of.

    Args:
        diameter: of the rivet [mm]
    """
    return _limit("pitch, seldom under", diameter), _limit("pitch, seldom over", diameter)


def most_pitch(diameter: float) -> Limit:
    """Return the greatest distance between rivets of a row; sources disagree, see `usual_pitch`.

    Args:
        diameter: of the rivet [mm]
    """
    return _limit("pitch, most", diameter)


def transverse_pitch(diameter: float, pitch: float) -> Limit:
    """Return the least distance between two rows: three quarters of the pitch, at least 2½ D.

    Args:
        diameter: of the rivet [mm]
        pitch: in the row [mm]
    """
    share = _limit("transverse pitch, share of pitch", pitch)
    least = _limit("transverse pitch, least", diameter)
    if share.value <= least.value:
        return least
    return Limit(
        value=share.value,
        rule=f"{_row('transverse pitch, share of pitch').values['factor']} of the pitch",
        source=share.source,
        status=share.status,
    )


def hole_to_bend(thickness: float) -> Limit:
    """Return the least distance from a hole's edge to a bend tangent line.

    Args:
        thickness: [mm]
    """
    return _limit("hole edge to bend tangent line", thickness)


def cut_out_to_bend(thickness: float) -> Limit:
    """Return the least distance from a cut-out's edge to a bend tangent line.

    Args:
        thickness: [mm]
    """
    return _limit("cut-out edge to bend tangent line", thickness)


def rivet_to_bend(diameter: float, dimpled: bool = False) -> Limit:
    """Return the least distance from a rivet's centre to a bend tangent line.

    Args:
        diameter: of the rivet [mm]
        dimpled: whether the hole is dimpled
    """
    what = "dimple" if dimpled else "rivet"
    return _limit(f"{what} centre to bend tangent line", diameter)


def least_flange_flat(thickness: float) -> Limit:
    """Return the least flat length of a flange, from tangent line to edge, for a leaf to form.

    Args:
        thickness: [mm]
    """
    return _limit("flat beyond a bend, least to form", thickness)


def least_flat_between_bends(thickness: float) -> Limit:
    """Return the least flat length between two bends for a clamp bar to hold.

    Args:
        thickness: [mm]
    """
    return _limit("flat between bends, least to clamp", thickness)


def least_flange_over_die(opening: float) -> Limit:
    """Return the least flange, to its outside, that lies across a press brake's V opening.

    Args:
        opening: of the V [mm]
    """
    return _limit("least flange over V opening", opening)


@cache
def _row(rule: str) -> Row:
    (row,) = (row for row in table("layout-rules").rows if row.values["rule"] == rule)
    return row


def _limit(rule: str, size: float) -> Limit:
    return _from_row(_row(rule), size)


def _from_row(row: Row, size: float) -> Limit:
    rules = table("layout-rules")
    unit = str(row.values["unit"])
    factor = rules.text(row, "factor")
    return Limit(
        value=rules.inner(row, "factor") * size,
        rule=f"{factor} {unit}" if unit != "-" else factor,
        source=f"{row.source}: {row.values['rule']}",
        status=row.status,
    )
