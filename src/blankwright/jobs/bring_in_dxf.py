"""A flat drawing looked at: what its lines are taken for, and the part file that says so."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from blankwright.base.errors import BadInput, BlankwrightError, Problem
from blankwright.base.quantities import BadText, read_quantity
from blankwright.base.units import show_mm
from blankwright.jobs.bring_in_asked import (
    UNKNOWN,
    Asked,
    BendAsked,
    Candidate,
    Question,
)
from blankwright.jobs.bring_in_text import (
    BendText,
    length_in,
    part_file,
    point_in,
)
from blankwright.jobs.bring_in_words import (
    bad_word,
    length_asked,
    names_for,
    point_asked,
    seen_of,
    source_rows,
)

if TYPE_CHECKING:
    from blankwright.base.findings import Finding
    from blankwright.files.dxf_drawn.layout import Choices, LaidOut
    from blankwright.files.dxf_drawn.model import Drawn

_HOWEVER_SHORT = 1000.0
"""Where a drawing is only compared, its bend lines may end anywhere [mm]."""

_INCHES = ("in", "ft", "thou")

_UNITLESS = "mm"
"""A drawing without a unit is looked at in this, so that its shape can be told; no more."""


def look_at_dxf(data: bytes, file: str, name: str, title: str, asked: Asked) -> Candidate:
    """Look at a flat drawing and propose a part file.

    Args:
        data: the drawing
        file: how the part file will name it
        name: name of the part
        title: its title
        asked: what is stated

    Raises:
        BadInput: when it is no drawing that can be read, or what is stated can't be
    """
    return _Look(data, file, name, title, asked).candidate()


def laid_out_of(data: bytes, name: str, asked: Asked) -> tuple[LaidOut, tuple[str, ...]]:
    """Lay a flat drawing out as it is proposed, without a part file being made of it.

    Args:
        data: the drawing
        name: what messages call it
        asked: what is stated

    Returns:
        The drawing laid out, and what its lines were taken for, a line each.

    Raises:
        BadInput: when it is no flat drawing, states no unit, or does not close
    """
    return _Look(data, name, name, name, asked).laid_out()


class _Look:
    def __init__(self, data: bytes, file: str, name: str, title: str, asked: Asked) -> None:
        from blankwright.files.dxf_drawn.reading import UNITS
        from blankwright.files.partfile.source_dxf import drawing_of

        self.data = data
        self.file = file
        self.name = name
        self.title = title
        self.asked = asked
        self.drawing = drawing_of(data, file.rsplit("/", 1)[-1])
        if asked.units and asked.units not in UNITS:
            raise bad_word(f"there is no unit `{asked.units}` here", ", ".join(UNITS))
        self.unit = asked.units or self.drawing.units
        self.scale = UNITS[self.unit or _UNITLESS]
        self.told: list[str] = []
        self.questions: list[Question] = []

    def laid_out(self) -> tuple[LaidOut, tuple[str, ...]]:
        from blankwright.files.dxf_drawn.layout import FIT, lay_out
        from blankwright.files.dxf_drawn.propose import propose
        from blankwright.files.partfile.source_dxf import drawn_in

        self._tell_units()
        if not self.unit:
            raise BadInput(
                Problem(
                    code="SOURCE-012",
                    where=self.drawing.name,
                    got="it does not say what unit it is drawn in",
                    allowed="mm, cm, m, in, ft, thou",
                    fix="State it: --units in, say; it is never guessed",
                )
            )
        fit = length_asked(self.asked.fit, FIT)
        drawn = drawn_in(self.drawing, self.unit, fit, self.asked.layout)
        if not any(not edge.hidden for edge in drawn.edges):
            raise BadInput(self._nothing(drawn))
        proposed = propose(drawn, self._stated(), self._strip())
        for role, text, why in proposed.why:
            self.told.append(f"{role} = {text}  ({why})")
        choices = proposed.choices
        reach = max(choices.reach, _HOWEVER_SHORT)
        laid = lay_out(drawn, replace(choices, reach=reach), self.drawing.name)
        self._tell_repairs(laid)
        return laid, tuple(self.told)

    def candidate(self) -> Candidate:
        from blankwright.files.dxf_drawn.layout import FIT, lay_out
        from blankwright.files.dxf_drawn.propose import allowed_short, propose
        from blankwright.files.partfile.source_dxf import drawn_in

        fit = length_asked(self.asked.fit, FIT)
        drawn = drawn_in(self.drawing, self.unit or _UNITLESS, fit, self.asked.layout)
        self._tell_units()
        self._tell_lines(drawn)
        if not any(not edge.hidden for edge in drawn.edges):
            raise BadInput(self._nothing(drawn))
        proposed = propose(drawn, self._stated(), self._strip())
        for role, text, why in proposed.why:
            self.told.append(f"{role} = {text}  ({why})")
        choices = proposed.choices
        problems: tuple[Problem, ...] = ()
        laid: LaidOut | None = None
        try:
            laid = lay_out(drawn, choices, self.drawing.name)
        except BlankwrightError as error:
            problems = error.problems
        bends: list[BendText] = []
        reach = choices.reach
        if laid is not None:
            short = max(
                (
                    b.short
                    for b in laid.bend_lines
                    if b.short <= allowed_short(drawn.edges[min(b.sources)].pen, b)
                ),
                default=0.0,
            )
            if short > reach and not self.asked.reach:
                reach = short + 0.5
                laid = lay_out(drawn, replace(choices, reach=reach), self.drawing.name)
                self.told.append(f"bend lines end up to {show_mm(short)} short of the edge")
            bends = self._bends(drawn, laid)
            self._tell_repairs(laid)
            self.told += [str(finding) for finding in self._suspicions(laid)]
        alloy, thickness = self._sheet(drawn)
        text = part_file(
            title=self.title,
            drawing=self.asked.drawing,
            source=source_rows(self, choices, reach, drawn),
            alloy=alloy,
            thickness=thickness,
            k=self.asked.k,
            bends=bends,
        )
        return Candidate(
            name=self.name,
            told=tuple(self.told),
            text=text,
            questions=tuple(self.questions),
            problems=problems,
            seen=None if laid is None else seen_of(laid, bends),
        )

    def _nothing(self, drawn: Drawn) -> Problem:
        hidden = Counter(edge.hidden for edge in drawn.edges)
        got = "the drawing holds no line, arc or circle"
        if hidden:
            got = "all lines are hidden: " + "; ".join(f"{n} × {why}" for why, n in hidden.items())
        elif drawn.layouts and not self.asked.layout:
            got = f"the model space is empty; something stands on {', '.join(drawn.layouts)}"
        elif drawn.left_out:
            got += f"; it holds {', '.join(drawn.left_out[:8])}"
        return Problem(
            code="DRAWN-007",
            where=self.drawing.name,
            got=got,
            allowed="lines, arcs, circles, polylines, ellipses, splines, also in blocks",
            fix="Turn layers on, state the sheet with `layout`, or take bodies and hatches apart"
            " into lines before saving",
        )

    def _tell_units(self) -> None:
        said = self.drawing.units
        if self.asked.units and said and said != self.asked.units:
            self.told.append(f"units = {self.asked.units}, as stated; the drawing says {said}")
        elif self.asked.units:
            self.told.append(f"units = {self.asked.units}, as stated; the drawing says none")
        elif said:
            self.told.append(f"units = {said}, as the drawing says")
            if self.drawing.metric is not None and self.drawing.metric == (said in _INCHES):
                system = "metric" if self.drawing.metric else "in inches"
                self.told.append(
                    f"but by another mark in it ($MEASUREMENT) it is {system}: check one length"
                )
        else:
            self.questions.append(
                Question(
                    key="units",
                    ask="What unit is the drawing in? It does not say.",
                    example="in, mm",
                )
            )

    def _tell_lines(self, drawn: Drawn) -> None:
        seen = Counter(str(edge.pen) for edge in drawn.edges if not edge.hidden)
        kinds: dict[str, Counter[str]] = {}
        for edge in drawn.edges:
            if not edge.hidden:
                kinds.setdefault(str(edge.pen), Counter())[edge.kind] += 1
        for pen, count in sorted(seen.items()):
            words = ", ".join(f"{n} of {kind}" for kind, n in sorted(kinds[pen].items()))
            self.told.append(f"{pen}: {count} lines and arcs ({words})")
        hidden = Counter(edge.hidden for edge in drawn.edges if edge.hidden)
        for why, count in sorted(hidden.items()):
            self.told.append(f"{count} left out: {why}")
        if drawn.left_out:
            self.told.append(f"not read: {', '.join(drawn.left_out)}")
        if drawn.fitted:
            self.told.append(f"{drawn.fitted} ellipses and splines, made arcs where they are none")
        for kind, (x, y) in drawn.off_plane[:6]:
            self.told.append(f"left out, not flat in the plane: {kind} at ({x:.2f}, {y:.2f})")

    def _strip(self) -> tuple[float, float] | None:
        """Return how wide the strips of the bends can be by what is stated of all of them [mm]."""
        every = self.asked.every_bend
        if not (every.angle and every.radius and self.asked.thickness):
            return None
        try:
            angle, radius, thickness = (
                read_quantity(text).value
                for text in (every.angle, every.radius, self.asked.thickness)
            )
        except BadText:
            return None
        return 0.98 * angle * radius, 1.02 * angle * (radius + thickness)

    def _stated(self) -> Choices:
        from blankwright.files.dxf_drawn.choose import Choice, read_choice
        from blankwright.files.dxf_drawn.layout import CLOSES, REACH, Choices

        asked = self.asked

        def read(texts: Sequence[str]) -> tuple[Choice, ...]:
            found = []
            for text in texts:
                try:
                    found.append(read_choice(text))
                except BadText as error:
                    raise BadInput(error.at("lines")) from error
            return tuple(found)

        return Choices(
            outline=read(asked.outline),
            openings=read(asked.openings),
            bend_lines=read(asked.bend_lines),
            tangent_lines=read(asked.tangent_lines),
            closes=length_asked(asked.closes, CLOSES),
            reach=length_asked(asked.reach, REACH),
            part_at=point_asked(asked.part_at),
            leave_out=tuple(p for text in asked.leave_out if (p := point_asked(text)) is not None),
            rounds=not asked.no_rounds,
        )

    def _bends(self, drawn: Drawn, laid: LaidOut) -> list[BendText]:
        from blankwright.files.dxf_drawn.notes import notes_by_line, pen_note

        asked = self.asked
        lines = [bend.line for bend in laid.bend_lines]
        notes = notes_by_line(drawn.texts, lines, self.unit)
        names = names_for([notes.get(i) for i in range(len(lines))])
        unknown = set(asked.bends) - set(names)
        if unknown:
            raise bad_word(
                f"the drawing has no bend `{sorted(unknown)[0]}`",
                f"bends: {', '.join(names) or 'none'}",
            )
        bends: list[BendText] = []
        for i, bend in enumerate(laid.bend_lines):
            own = asked.bends.get(names[i], BendAsked())
            note = notes.get(i)
            pen = pen_note(drawn.edges[min(bend.sources)].pen)
            every = asked.every_bend
            up = own.up
            why = ["as stated"] if own != BendAsked() else []
            for found in (note, pen):
                if up is None and found is not None and found.up is not None:
                    up = found.up
                    why.append(f"by the {found.by}" if found is pen else found.by)
            if note is not None and not why and (note.angle or note.radius):
                why.append(note.by)
            angle = own.angle or (note.angle if note else "") or every.angle or UNKNOWN
            radius = own.radius or (note.radius if note else "") or every.radius or UNKNOWN
            up = up if up is not None else every.up
            name = own.name or names[i]
            self._ask(name, bend.line.length, bend.at, angle, radius, up)
            bends.append(
                BendText(
                    name=name,
                    line=point_in(bend.at, self.unit, self.scale),
                    angle=angle,
                    radius=radius if self.unit or not (note and note.radius_bare) else UNKNOWN,
                    up=up,
                    why=", ".join(dict.fromkeys(why)),
                    width=own.width if own.width[0] else every.width,
                )
            )
        return bends

    def _ask(
        self,
        name: str,
        length: float,
        at: tuple[float, float],
        angle: str,
        radius: str,
        up: bool | None,
    ) -> None:
        x, y = (length_in(value, self.unit, self.scale) for value in at)
        self.told.append(
            f"{name}: {length_in(length, self.unit, self.scale)} long, through ({x}, {y})"
        )
        if up is None:
            self.questions.append(
                Question(key=f"{name} direction", ask=f"Is {name} bent up or down?", example="up")
            )
        if angle == UNKNOWN:
            self.questions.append(
                Question(
                    key=f"{name} angle",
                    ask=f"Through what angle is {name} bent, from flat?",
                    example="90 deg",
                )
            )
        if radius == UNKNOWN:
            self.questions.append(
                Question(
                    key=f"{name} radius",
                    ask=f"What is the inside radius of {name}?",
                    example="1/8 in",
                )
            )

    def _tell_repairs(self, laid: LaidOut) -> None:
        for repair in laid.repairs:
            if repair.what == "gap closed" and repair.size > 0.001:
                to = repair.to or repair.at
                self.told.append(
                    f"gap of {show_mm(repair.size, 4)} closed between"
                    f" ({repair.at[0]:.3f}, {repair.at[1]:.3f}) and ({to[0]:.3f}, {to[1]:.3f}) mm"
                )
        counts = Counter(r.what for r in laid.repairs if r.what != "gap closed")
        for what, count in sorted(counts.items()):
            self.told.append(f"{count} × {what}")
        if laid.centre_marks:
            self.told.append(f"left out: {laid.centre_marks} lines that mark centres of holes")
        for x, y in laid.stray:
            self.told.append(f"left out: a line at ({x:.3f}, {y:.3f}) mm that closes no loop")
        for pen, count in laid.unused:
            self.told.append(f"left out, being none of these: {count} of {pen}")

    def _suspicions(self, laid: LaidOut) -> list[Finding]:
        from blankwright.files.dxf_drawn.suspicions import suspicions

        if not self.unit:
            return []
        return suspicions(self.drawing.name, self.drawing.units, self.unit, laid)

    def _sheet(self, drawn: Drawn) -> tuple[str, str]:
        from blankwright.files.dxf_drawn.notes import read_sheet_note

        alloy, thickness = self.asked.alloy, self.asked.thickness
        for text in drawn.texts:
            found = read_sheet_note(text.text)
            if found is not None:
                if not alloy and found[0]:
                    alloy = found[0]
                    self.told.append(f"alloy = {alloy}, by the note `{text.text}`")
                if not thickness:
                    thickness = found[1]
                    self.told.append(f"thickness = {thickness}, by the note `{text.text}`")
        if not alloy:
            self.questions.append(
                Question(key="alloy", ask="What alloy and temper is the sheet?", example="6061-T6")
            )
        if not thickness:
            self.questions.append(
                Question(key="thickness", ask="How thick is the sheet?", example="0.040 in")
            )
        return alloy or UNKNOWN, thickness or UNKNOWN
