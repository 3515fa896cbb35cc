"""Blanks made by closed form, without the developer: what drawings and files are tried on."""

from __future__ import annotations

import math

from blankwright.develop.blank import Blank, BlankBend, BlankFlat, BlankHole
from blankwright.geom.boolean import cut_out, merged
from blankwright.geom.edges import Arc, Line
from blankwright.geom.loop import Loop
from blankwright.geom.move import Move
from blankwright.geom.region import Region
from blankwright.geom.vec import polar
from blankwright.part.model import HoleKind

K = 0.44


def _bend(
    name: str,
    parent: str,
    leg: str,
    place: Move,
    width: float,
    angle: float,
    radius: float,
    thickness: float,
    up: bool,
    cuts: tuple[Loop, ...] = (),
) -> BlankBend:
    allowance = angle * (radius + K * thickness)
    strip = Region.of(Loop.rectangle(0, 0, width, allowance).moved(place))
    return BlankBend(
        name=name,
        parent=parent,
        leg=leg,
        angle=angle,
        inside_radius=radius,
        up=up,
        allowance=allowance,
        k=K,
        setback=math.inf if angle > 3.14 else (radius + thickness) * math.tan(angle / 2),
        width=width,
        place=place,
        regions=cut_out((strip,), cuts),
    )


def hole(
    name: str, loop: Loop, flat: str, kind: HoleKind = HoleKind.ROUND, drill: str = ""
) -> BlankHole:
    x0, y0, x1, y1 = loop.box
    return BlankHole(
        name=name,
        kind=kind,
        loop=loop,
        center=((x0 + x1) / 2, (y0 + y1) / 2),
        flat=flat,
        drill=drill,
    )


def chain(
    lengths: tuple[float, ...],
    bends: tuple[tuple[float, float, bool], ...],
    width: float,
    thickness: float = 1.016,
    holes: tuple[BlankHole, ...] = (),
    names: tuple[str, ...] = ("base", "web", "flange", "lip", "return", "hook"),
) -> Blank:
    """Flats one over the other along y: their lengths, then angle, radius, up of each bend."""
    loops = tuple(h.loop for h in holes)
    flats = []
    made = []
    y = 0.0
    for i, length in enumerate(lengths):
        region = Region.of(Loop.rectangle(0, y, width, y + length))
        (cut,) = cut_out((region,), loops)
        place = Move() if i == 0 else Move.shift(0.0, y)
        flats.append(
            BlankFlat(name=names[i], region=cut, place=place, bend=f"bend {i}" if i else "")
        )
        y += length
        if i < len(bends):
            angle, radius, up = bends[i]
            bend = _bend(
                f"bend {i + 1}", names[i], names[i + 1], Move.shift(0.0, y), width,
                angle, radius, thickness, up, loops,
            )  # fmt: skip
            made.append(bend)
            y += bend.allowance
    (outline,) = cut_out((Region.of(Loop.rectangle(0, 0, width, y)),), loops)
    return Blank(
        thickness=thickness,
        alloy="6061-T6",
        outline=outline,
        flats=tuple(flats),
        bends=tuple(made),
        holes=holes,
    )


QUARTER = math.pi / 2


def angle() -> Blank:
    """An L-angle: two legs, 90° up, three holes in each leg, a slot across the bend's end."""
    holes = tuple(
        hole(f"row[{i + 1}]", Loop.circle((15.0 + 25.0 * i, y), r), flat, drill=drill)
        for y, r, flat, drill in ((9.0, 1.63195, "base", "#30"), (34.0, 2.5, "web", ""))
        for i in range(3)
    )
    return chain((20.0, 25.0), ((QUARTER, 3.175, True),), 80.0, holes=holes)


def channel() -> Blank:
    """A channel in 2 mm sheet: 90° up and 90° down, grain along it, a cut-out across a bend."""
    cut = Loop.rectangle(50.0, 25.0, 62.0, 48.0)
    holes = (
        hole("window", cut, "web", HoleKind.CUT_OUT),
        hole("slot", Loop.slot((25.0, 70.0), 20.0, 6.0, 0.3), "web", HoleKind.SLOT),
        hole("light", Loop.circle((85.0, 68.0), 14.0), "web", HoleKind.LIGHTENING),
    )
    made = chain(
        (30.0, 60.0, 30.0), ((QUARTER, 4.0, True), (QUARTER, 4.0, False)), 120.0, 2.0, holes
    )
    return Blank(
        thickness=made.thickness, alloy=made.alloy, outline=made.outline, flats=made.flats,
        bends=made.bends, holes=made.holes, grain=0.0,
    )  # fmt: skip


def long_zed() -> Blank:
    """A Z-section of 2.3 m with rivet holes every 25 mm in both flanges."""
    holes = tuple(
        hole(f"{name}[{i + 1}]", Loop.circle((25.0 + 25.0 * i, y), 1.63195), flat, drill="#30")
        for name, y, flat in (("low", 8.0, "base"), ("high", 57.0, "flange"))
        for i in range(90)
    )
    return chain(
        (16.0, 25.0, 16.0), ((QUARTER, 2.4, True), (QUARTER, 2.4, False)), 2300.0, 0.8, holes
    )


def clip() -> Blank:
    """A tiny clip with bends in both directions close together and a hook bent 150°."""
    holes = (hole("pin", Loop.circle((6.0, 4.0), 1.2), "base"),)
    return chain(
        (8.0, 3.0, 4.0, 5.0),
        ((QUARTER / 2, 1.0, True), (QUARTER, 1.0, False), (math.radians(150), 1.2, True)),
        12.0,
        0.5,
        holes,
    )


def hem() -> Blank:
    """A flat with a closed hem of 180° and a roll of 20 mm radius bent 120°."""
    return chain(
        (9.0, 60.0, 25.0), ((math.pi, 0.5, True), (math.radians(120), 20.0, False)), 90.0, 0.8
    )


def tray() -> Blank:
    """A tray of four walls, 90° up, with round corner reliefs and a ring of holes in its floor."""
    t, r = 1.016, 3.175
    w, d, wall = 150.0, 100.0, 34.0
    places = {
        "front": Move.onto((w, 0.0), (-1.0, 0.0)),
        "right": Move.onto((w, d), (0.0, -1.0)),
        "back": Move.onto((0.0, d), (1.0, 0.0)),
        "left": Move.onto((0.0, 0.0), (0.0, 1.0)),
    }
    relief = tuple(
        hole(f"relief[{i + 1}]", Loop.circle(p, 3.6), "floor", HoleKind.RELIEF)
        for i, p in enumerate(((0.0, 0.0), (w, 0.0), (w, d), (0.0, d)))
    )
    ring = tuple(
        hole(
            f"ring[{i + 1}]",
            Loop.circle(polar((75.0, 50.0), 30.0, i * math.pi / 4), 2.0),
            "floor",
        )
        for i in range(8)
    )  # fmt: skip
    round_corner = (
        hole("drain", Loop.slot((75.0, 50.0), 24.0, 9.0, math.pi / 4), "floor", HoleKind.SLOT),
    )
    holes = (*ring, *round_corner, *relief)
    loops = tuple(h.loop for h in holes)
    bends = []
    flats = [
        BlankFlat(
            name="floor",
            region=cut_out((Region.of(Loop.rectangle(0, 0, w, d)),), loops)[0],
            place=Move(),
        )
    ]
    for name, place in places.items():
        width = w if name in ("front", "back") else d
        bends.append(_bend(f"{name} bend", "floor", name, place, width, QUARTER, r, t, True, loops))
        lean = 2.0
        up = bends[-1].allowance
        loop = Loop.polygon([(0, up), (width, up), (width - lean, up + wall), (lean, up + wall)])
        (region,) = cut_out((Region.of(loop.moved(place)),), loops)
        flats.append(
            BlankFlat(
                name=name, region=region, place=Move.shift(0, up).then(place), bend=f"{name} bend"
            )
        )
    (outline,) = merged(
        [f.region for f in flats] + [region for bend in bends for region in bend.regions]
    )
    return Blank(
        thickness=t, alloy="6061-T6", outline=outline, flats=tuple(flats), bends=tuple(bends),
        holes=holes, grain=QUARTER,
    )  # fmt: skip


def tab() -> Blank:
    """A tab bent up out of a tight window, which its paper would not leave room for."""
    t, r = 1.0, 3.0
    window = Loop.rectangle(20.0, 20.0, 60.0, 60.5)
    frame = Region.of(Loop.rectangle(0.0, 0.0, 80.0, 80.0), window)
    place = Move.shift(20.5, 20.0)
    bend = _bend("tab bend", "frame", "tab", place, 39.0, QUARTER, r, t, True)
    leg = Region.of(Loop.rectangle(20.5, 20.0 + bend.allowance, 59.5, 60.0))
    (outline,) = merged([frame, *bend.regions, leg])
    return Blank(
        thickness=t,
        alloy="2024-T3",
        outline=outline,
        flats=(
            BlankFlat(name="frame", region=frame, place=Move()),
            BlankFlat(
                name="tab",
                region=leg,
                place=Move.shift(20.5, 20.0 + bend.allowance),
                bend="tab bend",
            ),
        ),
        bends=(bend,),
    )


def plain() -> Blank:
    """A flat plate with rounded corners and no bends."""
    edges = (
        Line((10.0, 0.0), (90.0, 0.0)),
        Arc((90.0, 10.0), 10.0, -QUARTER, QUARTER),
        Line((100.0, 10.0), (100.0, 60.0)),
        Line((100.0, 60.0), (0.0, 60.0)),
        Line((0.0, 60.0), (0.0, 10.0)),
        Arc((10.0, 10.0), 10.0, math.pi, QUARTER),
    )
    hole_in = hole("pin", Loop.circle((50.0, 30.0), 6.35), "plate")
    (region,) = cut_out((Region.of(Loop(edges)),), (hole_in.loop,))
    return Blank(
        thickness=1.6,
        alloy="2024-T3",
        outline=region,
        flats=(BlankFlat(name="plate", region=region, place=Move()),),
        bends=(),
        holes=(hole_in,),
    )


ALL = {
    "angle": angle,
    "channel": channel,
    "tray": tray,
    "long zed": long_zed,
    "clip": clip,
    "hem": hem,
    "tab": tab,
    "plain": plain,
}
