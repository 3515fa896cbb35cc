"""The browser folds by the same law as the core: every corner of every piece, at any state."""

from __future__ import annotations

import math

import pytest

from blankwright.develop.formed import form
from blankwright.jobs.part_state import state_of_text
from blankwright.jobs.project import start_project
from blankwright.jobs.scene import scene_of
from browser_parts import TRAY, Server

pytestmark = [pytest.mark.browser, pytest.mark.slow]


@pytest.fixture(scope="module")
def page(browser, tmp_path_factory):
    """One page for all folds: they only ask its modules."""
    root = tmp_path_factory.mktemp("fold") / "tarn"
    start_project(root, "Tarn 200")
    (root / "parts" / "battery-tray.toml").write_text(TRAY, encoding="utf-8")
    server = Server(root)
    server.start()
    page = browser.new_page()
    page.goto(f"{server.url}/part/battery-tray")
    page.wait_for_selector(".bw-edge")
    yield page
    page.close()
    server.kill()


HOOK = TRAY.replace(
    "[holes.vent]",
    """[bends.left-lip]
from = "left.tip"
down = true
angle = "135 deg"
leg = { height = "12 mm" }

[bends.front]
from = "floor.front"
angle = "30 deg"
down = true
inside_radius = "5 mm"
leg = { height = "20 mm" }

[holes.vent]""",
)


def bend_label(blank, on: str) -> str:
    return blank.bend_by_name[on.removeprefix("bend ")].label


@pytest.mark.parametrize("share", [0.0, 1e-6, 0.003, 0.37, 1.0, 1.05])
def test_the_fold_agrees_with_the_formed_part(page, share):
    blank = state_of_text(HOOK, "hook").blank
    scene = scene_of(blank)
    formed = form(blank, share)
    asked = []
    for kind in ("flat", "bend"):
        for thing in scene[f"{kind}s"]:
            name = f"{kind} {thing['name']}"
            points = [p for rings in thing["rings"] for p in rings[0]]
            asked.extend([name, x, y, z] for x, y in points for z in (0.0, blank.thickness))
    got = page.evaluate(
        """async ({scene, asked, share}) => {
          const fold = await import("blankwright-page/fold.js");
          const placed = fold.place(scene, () => share, false);
          return asked.map(([on, x, y, z]) => fold.onPart(scene, placed, on, x, y, z));
        }""",
        {"scene": scene, "asked": asked, "share": share},
    )
    for (on, x, y, z), point in zip(asked, got, strict=True):
        label = on.removeprefix("flat ") if on.startswith("flat ") else bend_label(blank, on)
        assert math.dist(point, formed.point((x, y), z, label)) < 2e-5, (on, x, y, z)


def test_the_paper_model_folds_on_the_middle_of_each_bend(page):
    blank = state_of_text(HOOK, "hook").blank
    scene = scene_of(blank)
    for bend in blank.bends:
        mid = bend.center_line.point(0.5)
        across = [bend.place((bend.width / 2, y)) for y in (0.0, bend.allowance)]
        got = page.evaluate(
            """async ({scene, name, points}) => {
              const fold = await import("blankwright-page/fold.js");
              const placed = fold.place(scene, () => 1, true);
              return points.map(([x, y]) => fold.onPart(scene, placed, name, x, y, 0));
            }""",
            {"scene": scene, "name": f"bend {bend.name}", "points": [mid, *across]},
        )
        crease, before, after = got
        # Both halves keep their length, and the angle between them is the bend's.
        a = [p - c for p, c in zip(before, crease, strict=True)]
        b = [p - c for p, c in zip(after, crease, strict=True)]
        half = bend.allowance / 2
        assert math.hypot(*a) == pytest.approx(half, abs=1e-5)
        assert math.hypot(*b) == pytest.approx(half, abs=1e-5)
        turn = math.pi - math.acos(sum(p * q for p, q in zip(a, b, strict=True)) / half**2)
        assert turn == pytest.approx(bend.angle, abs=1e-4)


@pytest.mark.parametrize("share", [0.0, 0.37, 1.0])
def test_the_one_mesh_agrees_with_the_formed_part(page, share):
    """Every corner handed to the screen lies where the core puts it, and is found by a ray."""
    blank = state_of_text(HOOK, "hook").blank
    scene = scene_of(blank)
    formed = form(blank, share)
    got = page.evaluate(
        """async ({scene, share}) => {
          const { Folded } = await import("blankwright-page/folded.js");
          const { hit, middle } = await import("blankwright-page/pointing.js");
          const { place, put, ofMove } = await import("blankwright-page/fold.js");
          const { THREE } = await import("nicegui-scene");
          const folded = new Folded(scene, new THREE.Scene());
          folded.paint("", []);
          folded.fold(place(scene, () => share, false), false);
          const at = folded.metal.geometry.attributes.position;
          const told = (piece) => piece.made.corners.map(([x, y, side], i) => {
            const on = piece.bend ? put(ofMove(piece.thing.place), x, y, 0) : [x, y];
            const j = piece.corner + i;
            return [piece.name, on[0], on[1], side, at.getX(j), at.getY(j), at.getZ(j)];
          });
          const corners = folded.pieces.flatMap(told);
          const found = [...folded.pieces, ...folded.discs].map(({ name }) => {
            const to = middle(folded, name);
            const eye = new THREE.Vector3(1, -1, 3);
            const from = to.clone().addScaledVector(eye, 5);
            const ray = new THREE.Raycaster(from, eye.clone().negate().normalize());
            return [name, hit(folded, ray)?.name];
          });
          const drawn = (one) => one.isMesh || one.isLineSegments;
          const lone = folded.group.children.filter(drawn).length;
          return { corners, found, lone };
        }""",
        {"scene": scene, "share": share},
    )
    assert got["lone"] == 3, "metal, rims, openings: so many are handed over, however many bends"
    assert {name.split()[0] for name, *_ in got["corners"]} == {"flat", "bend"}
    for on, x, y, side, *point in got["corners"]:
        label = on.removeprefix("flat ") if on.startswith("flat ") else bend_label(blank, on)
        there = formed.point((x, y), side * blank.thickness, label)
        assert math.dist(point, there) < 1e-3, (on, x, y)
    if share == 0.0:  # flat, nothing stands before anything
        for name, hit in got["found"]:
            assert hit == name or name.startswith("flat "), "a hole may lie in a flat's middle"


def test_a_mesh_is_closed_and_has_the_metals_volume(page):
    """Every piece is a closed solid facing outward: its signed volume is area × thickness."""
    blank = state_of_text(HOOK, "hook").blank
    scene = scene_of(blank)
    found = page.evaluate(
        """async (scene) => {
          const { mesh, levels } = await import("blankwright-page/solid.js");
          const { put, unMove } = await import("blankwright-page/fold.js");
          const volume = (m) => {
            let v = 0;
            const at = (i) => [m.corners[i][0], m.corners[i][1], m.corners[i][2] * scene.thickness];
            for (let i = 0; i < m.index.length; i += 3) {
              const [a, b, c] = [0, 1, 2].map((k) => at(m.index[i + k]));
              v += a[0] * (b[1] * c[2] - b[2] * c[1]) - a[1] * (b[0] * c[2] - b[2] * c[0])
                + a[2] * (b[0] * c[1] - b[1] * c[0]);
            }
            return v / 6;
          };
          const strip = (bend) => bend.rings.map((rings) => rings.map((ring) =>
            ring.map(([x, y]) => put(unMove(bend.place), x, y, 0).slice(0, 2))));
          return [
            ...scene.flats.map((flat) => [flat.name, volume(mesh(flat.rings))]),
            ...scene.bends.map((bend) => [bend.name, volume(mesh(strip(bend), levels(bend)))]),
          ];
        }""",
        scene,
    )
    areas: dict[str, float] = {}
    for piece in (*scene["flats"], *scene["bends"]):
        areas[("b " if "angle" in piece else "f ") + piece["name"]] = sum(
            _area(rings[0]) - sum(abs(_area(ring)) for ring in rings[1:])
            for rings in piece["rings"]
        )
    kinds = ["f "] * len(scene["flats"]) + ["b "] * len(scene["bends"])
    for kind, (name, volume) in zip(kinds, found, strict=True):
        assert volume == pytest.approx(areas[kind + name] * blank.thickness, rel=1e-6)


def _area(ring: list[list[float]]) -> float:
    return sum(
        (a[0] * b[1] - a[1] * b[0]) / 2 for a, b in zip(ring, ring[1:] + ring[:1], strict=True)
    )
