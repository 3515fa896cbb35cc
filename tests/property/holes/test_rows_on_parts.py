"""Laws of rivet rows on whole parts: notched strips with flanges, holes and other rows."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from blankwright.base.errors import BadInput
from blankwright.geom import vec
from blankwright.jobs.part_state import state_of_text

D = 25.4 / 8
"""Diameter of all rivets here [mm]."""

notches = st.lists(
    st.tuples(st.floats(30, 270), st.floats(4, 30), st.floats(3, 25), st.sampled_from("fb")),
    max_size=3,
)


def text(notched, holes, line, pitch, flange):
    cuts = ", ".join(
        f'{{ edge = "{"front" if side == "f" else "back"}", at = "{at:.3f} mm",'
        f' width = "{width:.3f} mm", depth = "{depth:.3f} mm" }}'
        for at, width, depth, side in notched
    )
    drilled = "".join(
        f'[holes.h{i}]\non = "web"\nat = ["{x:.3f} mm", "{y:.3f} mm"]\ndiameter = "{d:.3f} mm"\n'
        for i, (x, y, d) in enumerate(holes)
    )
    bend = '[bends.up]\nfrom = "web.right"\nleg = { height = "20 mm" }\n' if flange else ""
    return f"""
title = "Strip"
[sheet]
alloy = "2024-T3"
thickness = "0.040 in"
[bend_defaults]
angle = "90 deg"
inside_radius = "4 mm"
[flats.web]
outline = {{ rectangle = ["300 mm", "80 mm"] }}
notches = [{cuts}]
{bend}{drilled}
[rivets.one]
on = "web"
between = [["15 mm", "{line:.3f} mm"], ["270 mm", "{line:.3f} mm"]]
rivet = "1/8 in"
kind = "solid"
pitch_at_most = "{pitch:.3f} mm"
[rivets.two]
on = "web"
along = "left"
rivet = "1/8 in"
kind = "solid"
pitch_at_most = "{pitch:.3f} mm"
"""


def read(part):
    try:
        return state_of_text(part, "strip"), ()
    except BadInput as error:
        return None, error.problems


@settings(derandomize=True, deadline=None, max_examples=40)
@given(
    notches,
    st.lists(st.tuples(st.floats(20, 280), st.floats(10, 70), st.floats(2, 30)), max_size=3),
    st.floats(9, 71),
    st.floats(11, 40),
    st.booleans(),
)
def test_no_rivet_is_too_near_to_anything(notched, holes, line, pitch, flange):
    state, problems = read(text(notched, holes, line, pitch, flange))
    if state is None:
        # No room for the row, or notches that can't be cut: told, nothing laid.
        assert {p.code.partition("-")[0] for p in problems} <= {"ROW", "PART", "FLAT"}
        return
    found = {f.code for f in state.findings}
    rows = {row.name: row for row in state.part.rivets}
    at = {h.name: h.center for h in state.blank.holes}
    ends = {rows["one"].holes[0], rows["one"].holes[-1]}
    outer = state.blank.outline.outer
    for row in rows.values():
        for name in row.holes:
            # The points at which a row from point to point begins and ends stand as stated.
            if name not in ends:
                assert outer.contains(at[name])
                assert outer.distance(at[name]) >= 2 * D - 1e-5
    for a in rows["one"].holes:
        for b in rows["two"].holes:
            if a not in ends:
                assert vec.distance(at[a], at[b]) >= 3 * D - 1e-5
    # What the checks say of edges is what is measured here.
    near = min(outer.distance(at[n]) for row in rows.values() for n in row.holes)
    if near < 2 * D - 2e-3:
        assert "ROW-010" in found
