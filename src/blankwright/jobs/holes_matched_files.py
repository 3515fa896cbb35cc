"""Matched holes on files: blanks with their holes, and the other part's own part file."""

from __future__ import annotations

import json
import tomllib
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from blankwright.base.errors import BadInput, Problem
from blankwright.develop.develop import develop_blank
from blankwright.geom import vec
from blankwright.geom.vec import Point
from blankwright.holes.matched import EXACT, How, Match, Meets, drawn_on, with_matched_holes
from blankwright.holes.matched_card import matched_card
from blankwright.jobs.holes_matched import MatchedPair, matched_pairs, own_prefix, pair_result
from blankwright.jobs.project import Project


def make_matched(
    project: Project, place_name: str, pairs: Sequence[MatchedPair]
) -> tuple[Path, ...]:
    """Make DXF and full-size print of each other part's blank with the holes drilled on the flat,
    and a card that says how each hole is made.

    Holes from several pairs that go onto one part are all on its blank. Files go to
    out/matched-PLACE.

    Raises:
        OurBug: when a file fails its proof; nothing is written then
        FileProblem: when a file can't be written
    """
    if not pairs:
        return ()
    from blankwright.files.outputs import blank_dxf, blank_pdf
    from blankwright.files.pdf_out import pages_pdf
    from blankwright.files.traveler import prove_card
    from blankwright.files.whole import write_whole
    from blankwright.jobs.prints import print_setup
    from blankwright.jobs.shop_coupons import coupons_of

    files: dict[str, bytes] = {}
    setup, coupons = print_setup(project), coupons_of(project)
    by_part: dict[str, list[MatchedPair]] = {}
    for pair in pairs:
        by_part.setdefault(pair.other.name, []).append(pair)
    for name, mine in by_part.items():
        part = mine[0].other_part
        for pair in mine:
            drill = pair.drill
            note = f"matched to {pair.first.name}"
            part = with_matched_holes(part, pair.other, pair.asked, pair.matches, note, drill)
        blank = develop_blank(part, coupons)
        title = f"{part.title or part.name}, matched holes"
        files[f"{name}-matched.dxf"] = blank_dxf(blank, title)
        files[f"{name}-matched.pdf"] = blank_pdf(blank, title, setup)
    pages = matched_card(place_name, pairs, setup)
    card = pages_pdf(pages, f"Matched holes {place_name}")
    prove_card(card, pages, f"card of matched holes of {place_name}")
    files[f"{place_name}-matched-card.pdf"] = card
    results = [pair_result(pair) for pair in pairs]
    files[f"{place_name}-matched.json"] = (
        json.dumps(results, indent=1, ensure_ascii=False) + "\n"
    ).encode("utf-8")
    folder = project.out / f"matched-{place_name}"
    folder.mkdir(parents=True, exist_ok=True)
    for file, data in files.items():
        write_whole(folder / file, data)
    return tuple(folder / file for file in files)


@dataclass(frozen=True, slots=True, kw_only=True)
class PutIn:
    """What was put into a part file.

    Args:
        path: the part file
        holes: names of the tables of holes that are in it now for the place
        changed: whether the file was written
        left_out: holes that would make a slot with one that is there, and what they meet
    """

    path: Path
    holes: tuple[str, ...]
    changed: bool
    left_out: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class _New:
    name: str
    flat: str
    center: Point
    drill: str
    diameter: float
    note: str

    @property
    def values(self) -> dict[str, str]:
        """Keys of its table, as typed."""
        x, y = (_plain(value) for value in self.center)
        size = {"drill": self.drill} if self.drill else {"diameter": f"{_plain(self.diameter)} mm"}
        return {"on": self.flat, "at": f'["{x} mm", "{y} mm"]', **size, "note": self.note}


def _as_read(values: dict[str, str]) -> dict[str, Any]:
    """Return the keys of a table as TOML gives them back."""
    read: dict[str, Any] = dict(values)
    if "at" in read:
        read["at"] = tomllib.loads(f"x = {read['at']}")["x"]
    return read


Write = Callable[[Path, str, str], None]
"""Writes a part file: path, its new text, and the text that it was read with."""


def put_into_parts(
    project: Project, place_name: str, write: Write | None = None
) -> tuple[PutIn, ...]:
    """Put the holes that may be drilled on the flat into the other parts' own files.

    Each hole gets a table of its own; those of an earlier time are renewed, all else in the files
    stays, comments too. Holes that go on assembly are not put in, nor those that run into a hole
    that is there.

    Args:
        project: where the parts are
        place_name: name of the place
        write: writes a part file; saves it whole unless stated

    Raises:
        BadInput: with every problem of the files; MATCH-003 when two parts that are made from one
            file would get different holes, MATCH-004 when the other part is a variant; nothing is
            written then
        FileProblem: when a file can't be written
    """
    from blankwright.files.partfile.editing import add_table, remove_value, save
    from blankwright.files.partfile.syntax import read_text

    by_file: dict[str, list[MatchedPair]] = {}
    for pair in matched_pairs(project, place_name, afresh=True):
        by_file.setdefault(pair.other_file, []).append(pair)
    wanted = {file: _wanted(place_name, file, mine) for file, mine in by_file.items()}
    texts: list[tuple[Path, str, str, tuple[str, ...]]] = []
    for file, holes in wanted.items():
        path = project.parts_folder / f"{file}.toml"
        seen = text = read_text(path)
        there = tomllib.loads(text).get("holes", {})
        values = {one.name: one.values for one in holes}
        # What is there and right stays as it stands, with whatever was written about it.
        old = [name for name in there if name.startswith(own_prefix(place_name))]
        right = {name for name in old if there[name] == _as_read(values.get(name, {}))}
        for name in old:
            if name not in right:
                text = remove_value(text, f"holes.{name}")
        for name, keys in values.items():
            if name not in right:
                text = add_table(text, f"holes.{name}", keys)
        texts.append((path, seen, text, tuple(values)))
    for path, seen, text, _ in texts:
        if text != seen and write is not None:
            write(path, text, seen)
        elif text != seen:
            save(path, text, seen)
    return tuple(
        PutIn(
            path=path,
            holes=names,
            changed=text != seen,
            left_out=tuple(
                (match.hole, into)
                for pair in by_file[path.stem]
                for match in pair.matches
                if match.how is How.ON_THE_FLAT and (into := _runs_into(match))
            ),
        )
        for path, seen, text, names in texts
    )


def _wanted(place: str, file: str, pairs: Sequence[MatchedPair]) -> list[_New]:
    """Return the holes that a part file gets, those of parts made alike counted once."""
    by_part: dict[str, list[_New]] = {}
    for pair in pairs:
        if pair.other_variant:
            raise BadInput(
                Problem(
                    code="MATCH-004",
                    where=f"{place}, matched.{pair.name}",
                    got=f"{pair.other.name} is the variant {pair.other_variant} of {file}",
                    allowed="a part file without variants: its holes would be in all of them",
                    fix="Give it a part file of its own, or drill from the print",
                )
            )
        mine = by_part.setdefault(pair.other.name, [])
        for match in pair.matches:
            if match.how is not How.ON_THE_FLAT or _runs_into(match):
                continue
            flat, center = drawn_on(pair.other, match)
            hole = match.hole.replace("[", "-").removesuffix("]")
            mine.append(
                _New(
                    name=f"{own_prefix(place, pair.name)}{hole}",
                    flat=flat,
                    center=center,
                    drill=pair.drill,
                    diameter=pair.asked.pilot or pair.asked.final,
                    note=f"matched to {pair.first.name}, hole {match.hole}",
                )
            )
    (first, holes), *others = by_part.items()
    for name, theirs in others:
        alone = [h for h in theirs if not _met(h, holes)] + [
            h for h in holes if not _met(h, theirs)
        ]
        if alone:
            raise BadInput(
                Problem(
                    code="MATCH-003",
                    where=f"{place}, parts {first} and {name}",
                    got=f"both are made from {file}, and {alone[0].name} is in one of them only",
                    allowed="the same holes in all parts of one part file",
                    fix="Give one of them a part file of its own",
                )
            )
    return holes


def _runs_into(match: Match) -> str:
    """Return the name of the hole that a carried hole runs into; empty for none."""
    into = (m.name for m in match.meets if m.what in (Meets.ELONGATED, Meets.CLEANED_UP))
    return next(into, "")


def _met(one: _New, others: Sequence[_New]) -> bool:
    return any(
        one.flat == other.flat and vec.distance(one.center, other.center) <= EXACT
        for other in others
    )


def _plain(value: float) -> str:
    """Return a length [mm] to a millionth, without needless noughts."""
    text = f"{value:.7f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text
