"""Opening a fit: the place, the part that goes into it, both in space and in section."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from blankwright.base.errors import FileProblem, Problem
from blankwright.base.units import show_mm
from blankwright.develop.formed import Formed
from blankwright.fit.place import Place, PlaneOfFit, Spring
from blankwright.fit.section import Section, section_of, sections_of
from blankwright.fit.solid import Solid, solid_of_formed
from blankwright.fit.space import Collider
from blankwright.geom.pose import Point3
from blankwright.jobs.project import Project
from blankwright.part.model import Part, Sheet


@dataclass(frozen=True)
class Fit:
    """A part in its place.

    Args:
        place: the place, sizes worked out
        part: the part as stated
        formed: the part, bent
    """

    place: Place
    part: Part
    formed: Formed

    @cached_property
    def solid(self) -> Solid:
        """The part at rest, in the place's frame."""
        ours = self.place.part
        return solid_of_formed(self.formed, ours.frame, material=ours.material)

    @cached_property
    def collider(self) -> Collider:
        """Part and structure in the collision library."""
        from blankwright.files.collision import MeshCollider

        return MeshCollider(self.solid, self.place.solids, self.soft)

    @property
    def soft(self) -> tuple[str, ...]:
        """Names of the neighbours that the part may be pressed into."""
        ours = self.place.part.material
        return tuple(
            wall.name for wall in self.place.solids if self.place.pair(ours, wall.material).is_soft
        )

    @property
    def hard(self) -> tuple[str, ...]:
        """Names of the neighbours that the part must keep off."""
        soft = set(self.soft)
        return tuple(wall.name for wall in self.place.solids if wall.name not in soft)

    def cut(self, plane: PlaneOfFit) -> tuple[Section, tuple[Section, ...]]:
        """Return part and structure in a section.

        Raises:
            BadInput: when the plane misses the part
        """
        from blankwright.base.errors import BadInput

        part = section_of(self.solid, plane.frame)
        if part.is_empty:
            raise BadInput(
                Problem(
                    code="FIT-010",
                    where=f"{self.place.name}, section {plane.name}",
                    got="the plane of the section misses the part",
                    fix="Move the section's reference to where the part is",
                )
            )
        return part, sections_of(self.place.solids, plane.frame)

    @cached_property
    def center(self) -> Point3:
        """Centre of gravity of the part at rest [mm], in the place's frame."""
        from blankwright.develop.mass import mass_of

        return self.place.part.frame(mass_of(self.formed, 1.0).center)


def place_path(project: Project, name: str) -> Path:
    """Return the place file of a name.

    Raises:
        FileProblem: when there is none
    """
    path = project.root / "places" / f"{name}.toml"
    if not path.is_file():
        known = sorted(p.stem for p in path.parent.glob("*.toml"))
        raise FileProblem(
            Problem(
                code="PLACE-009",
                where=name,
                got="the project has no such place",
                allowed=", ".join(known) or "none: places are files in the folder places/",
            )
        )
    return path


def places_of(project: Project) -> tuple[str, ...]:
    """Return the names of a project's places, sorted."""
    return tuple(sorted(p.stem for p in (project.root / "places").glob("*.toml")))


def open_fit(
    project: Project,
    name: str,
    *,
    variant: str | None = None,
    part_sizes: Mapping[str, str] | None = None,
    place_sizes: Mapping[str, str] | None = None,
) -> Fit:
    """Open a place and the part that goes into it.

    Args:
        project: where both are
        name: name of the place
        variant: another variant of the part than the one that the place names
        part_sizes: texts that stand in place of the part's sizes
        place_sizes: texts that stand in place of the place's sizes

    Raises:
        BadInput: with every problem of the files
        FileProblem: when a file is missing
        NotPossible: when the part can't be developed
    """
    from dataclasses import replace

    from blankwright.develop.develop import develop_blank
    from blankwright.develop.formed import form
    from blankwright.files.partfile import read_part
    from blankwright.files.placefile import PlaceSource, read_place
    from blankwright.jobs.shop_coupons import coupons_of

    coupons = coupons_of(project)

    def read(file: str, which: str, sizes: Mapping[str, str] | None = None) -> tuple[Part, Formed]:
        part = read_part(
            project.parts_folder / f"{file}.toml", variant=which, sizes=sizes, coupons=coupons
        )
        return part, form(develop_blank(part, coupons))

    path = place_path(project, name)
    source = PlaceSource(lambda file, which: read(file, which)[1], path.parent)
    place = read_place(path, source, sizes=place_sizes)
    if variant is not None:
        place = replace(place, part=replace(place.part, variant=variant))
    part, formed = read(place.part.file, place.part.variant, part_sizes)
    if place.spring is not None:
        place = replace(place, spring=springing(place.spring, part.sheet, name))
    return Fit(place, part, formed)


def springing(spring: Spring, sheet: Sheet, place: str) -> Spring:
    """Return what springs with modulus and yield, those that are not stated by the sheet's alloy.

    Args:
        spring: as stated
        sheet: the part's sheet
        place: name of the place, for messages

    Raises:
        BadInput: PLACE-010 when the handbook does not know the alloy
    """
    from dataclasses import replace

    from blankwright.base.errors import BadInput
    from blankwright.handbook.materials import strength

    if spring.modulus is not None and spring.yield_stress is not None:
        return spring
    known = strength(sheet.alloy, sheet.thickness)
    if known is None:
        raise BadInput(
            Problem(
                code="PLACE-010",
                where=f"{place}, spring",
                got=f"the handbook has no strength of {sheet.alloy} sheet,"
                f" {show_mm(sheet.thickness)} thick",
                allowed="an alloy that `blankwright tables strength` lists",
                fix="State modulus and yield_stress [MPa] with their source",
            )
        )
    looked_up = [
        word
        for word, stated in (("modulus", spring.modulus), ("yield", spring.yield_stress))
        if stated is None
    ]
    book = f"{' and '.join(looked_up)} of {sheet.alloy}: {known.source} ({known.status})"
    return replace(
        spring,
        modulus=known.modulus if spring.modulus is None else spring.modulus,
        yield_stress=known.yields if spring.yield_stress is None else spring.yield_stress,
        source="; ".join(text for text in (spring.source, book) if text),
    )


def planes_of(fit: Fit, names: Sequence[str] = ()) -> tuple[PlaneOfFit, ...]:
    """Return the sections asked for, or all."""
    return tuple(p for p in fit.place.sections if not names or p.name in names)
