"""Density, strength and stiffness of alloys."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from blankwright.handbook.alloys import Alloy, read_alloy
from blankwright.handbook.fact import Fact
from blankwright.handbook.table import Row, Table, table


@dataclass(frozen=True, slots=True, kw_only=True)
class Strength:
    """Strength and stiffness of a sheet alloy.

    Args:
        ultimate: tensile strength [MPa]
        yields: tensile yield strength [MPa]
        modulus: modulus of elasticity [MPa]
        source: book, table, and how sure it is
        status: how sure it is
    """

    ultimate: float
    yields: float
    modulus: float
    source: str
    status: str


@lru_cache(maxsize=256)
def density(alloy: str) -> Fact | None:
    """Return the density of an alloy, whatever its temper [kg/mm³], or nothing if unknown.

    Args:
        alloy: as typed
    """
    read = read_alloy(alloy)
    if read is None:
        return None
    densities = table("density")
    for row in densities.rows:
        if row.values["alloy"] == read.base:
            return Fact(value=densities.inner(row, "density"), source=row.source, status=row.status)
    return None


def strength(alloy: str, thickness: float | None = None) -> Strength | None:
    """Return strength and stiffness of a sheet alloy, or nothing if unknown.

    Args:
        alloy: as typed; clad sheet has rows of its own where the book has them, else the bare
            alloy's are *not* taken
        thickness: [mm]; outside a row's printed range the row is not used

    These are for estimates of springback and bending force, never for the strength of structure.
    """
    read = read_alloy(alloy)
    if read is None:
        return None
    strengths = table("strength")
    for row in strengths.rows:
        if _fits(strengths, row, read, thickness):
            return _strength(strengths, row)
    metric = table("strength-5052-metric")
    for row in metric.rows:
        if row.values["alloy"] == read.key and not read.clad:
            return _strength(metric, row)
    return None


def _fits(strengths: Table, row: Row, alloy: Alloy, thickness: float | None) -> bool:
    if row.values["alloy"] != alloy.key or (row.values["clad"] == "clad") != alloy.clad:
        return False
    if thickness is None or "thickest" not in row.values:
        return True
    least, most = strengths.inner(row, "thinnest"), strengths.inner(row, "thickest")
    return least - 1e-6 <= thickness <= most + 1e-6


def _strength(strengths: Table, row: Row) -> Strength:
    return Strength(
        ultimate=strengths.inner(row, "ftu"),
        yields=strengths.inner(row, "fty"),
        modulus=strengths.inner(row, "modulus"),
        source=row.source,
        status=row.status,
    )
