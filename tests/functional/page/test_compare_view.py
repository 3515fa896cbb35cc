"""A blank held against somebody else's flat drawing, through the page's forms."""

from __future__ import annotations

import math
import re
import time
from html import unescape

import ezdxf
import pytest
from fastapi import FastAPI
from starlette.testclient import TestClient

from blankwright.jobs.project import open_project, start_project
from blankwright.page.compare_view import routes
from blankwright.page.desk import Desk
from blankwright.page.guard import Guard
from browser_parts import TRAY

HOST = "127.0.0.1:8620"
HERE = "/compare/tray"

# The tray by hand: 150 mm by 4 in, two walls of 1-1/2 in to the outside, 0.040 in thick, R 1/8 in.
# With a stated factor k = 0.4 each bend takes pi/2 (R + k T) of metal.
MM = 25.4
T, R, K = 0.040 * MM, MM / 8, 0.4
STRIP = math.pi / 2 * (R + K * T)
WALL, FLOOR, DEEP = 1.5 * MM - R - T, 150.0 - 2 * (R + T), 4 * MM
LONG = 2 * WALL + 2 * STRIP + FLOOR


@pytest.fixture
def desk(tmp_path):
    start_project(tmp_path / "p", "Tarn <200>")
    text = TRAY.replace(
        "inside_radius", "allowance = 'neutral-axis factor'\nk = 0.4\ninside_radius"
    )
    (tmp_path / "p/parts/tray.toml").write_text(text)
    return Desk(open_project(tmp_path / "p"))


@pytest.fixture
def client(desk):
    app = FastAPI()
    routes(app, desk)
    with TestClient(
        Guard(app, 8620), base_url=f"http://{HOST}", headers={"origin": f"http://{HOST}"}
    ) as client:
        yield client


def theirs(tmp_path, *, hole=12.0, units=4, unit=1.0) -> bytes:
    doc = ezdxf.new("R2000")
    doc.units = units
    space = doc.modelspace()
    corners = [(0, 0), (LONG, 0), (LONG, DEEP), (0, DEEP)]
    space.add_lwpolyline([(x / unit, y / unit) for x, y in corners], close=True)
    space.add_circle((LONG / 2 / unit, DEEP / 2 / unit), hole / 2 / unit)
    for x in (WALL + STRIP / 2, LONG - WALL - STRIP / 2):
        ends = [(x / unit, 0), (x / unit, DEEP / unit)]
        space.add_line(*ends, dxfattribs={"layer": "BENDS"})
    path = tmp_path / "theirs.dxf"
    doc.saveas(path)
    return path.read_bytes()


def send(client, data: bytes | None = None, name="their <flat>.dxf", **words):
    files = {"flat": (name, data)} if data is not None else {"flat": ("", b"")}
    answer = client.post(HERE, data={"do": "compare", **words}, files=files)
    for _ in range(200):
        if "bw-work" not in answer.text.split("</style>")[-1]:
            return answer
        time.sleep(0.1)
        answer = client.get(str(answer.url))
    raise AssertionError("it never ends")


def text_of(answer) -> str:
    body = answer.text.split("</style>")[-1]
    return " ".join(unescape(re.sub(r"<[^>]*>", " ", body)).split())


def test_a_drawing_of_the_same_blank_agrees(client, tmp_path):
    said = send(client, theirs(tmp_path), within="0.001 mm")
    assert said.status_code == 200
    assert "They agree." in text_of(said)
    assert "bends 2, lines drawn 2, 2 agree" in text_of(said)
    assert said.text.count("<svg") == 1
    assert "<flat>" not in said.text
    assert "their &lt;flat&gt;.dxf" in said.text


def test_what_differs_is_listed_with_its_place_and_ringed(client, tmp_path):
    said = send(client, theirs(tmp_path, hole=12.5))
    assert "1 difference" in text_of(said)
    assert "Ø 12.500 mm" in text_of(said)
    rows = re.findall(r"<tr><td>(\d+)</td><td>([^<]+)</td><td>([^<]+)</td>", said.text)
    # In the frame of the floor: the hole sits in its middle.
    assert rows == [("1", rows[0][1], "(75.00 mm, 50.80 mm)")]
    assert ">1</text>" in said.text
    wide = send(client, theirs(tmp_path, hole=12.5), within="0.6 mm")
    assert "They agree." in text_of(wide)


def test_a_unit_is_asked_for_and_stated_without_choosing_the_drawing_anew(client, tmp_path):
    asked = send(client, theirs(tmp_path, units=0, unit=MM))
    assert asked.status_code == 400
    assert "SOURCE-012" in asked.text
    job = re.search(r'name="job" value="(\d+)"', asked.text)[1]
    assert "their <flat>.dxf again" in text_of(asked)
    said = send(client, None, job=job, units="in", within="0.001 mm")
    assert said.status_code == 200
    assert "They agree." in text_of(said)
    assert re.search(r'<option value="in" selected>', said.text)


def test_what_is_wrong_is_told(client, tmp_path):
    for data, words, code in (
        (None, {}, "PAGE-019"),
        (None, {"job": "99"}, "PAGE-019"),
        (b"no drawing", {}, "DRAWN-001"),
        (theirs(tmp_path), {"within": "0.1"}, "BRING-003"),
    ):
        said = send(client, data, **words)
        assert said.status_code == 400, code
        assert code in said.text
        assert "<h2>Their flat drawing</h2>" in said.text, "the form is still there"
    assert client.get("/compare/nothing").status_code == 400
    assert client.post("/compare/nothing", data={"do": "compare"}).status_code == 400


def test_a_part_that_can_not_be_read_says_so(client, desk, tmp_path):
    path = desk.project.parts_folder / "tray.toml"
    path.write_text(path.read_text().replace('"4 in"', '"4"'))
    said = send(client, theirs(tmp_path))
    assert said.status_code == 400
    assert "bw-wrong" in said.text


def test_nothing_is_written(client, desk, tmp_path):
    before = sorted(desk.project.root.rglob("*"))
    send(client, theirs(tmp_path), "../../evil.dxf")
    assert sorted(desk.project.root.rglob("*")) == before


def test_another_page_can_not_send_a_drawing(client, tmp_path):
    files = {"flat": ("a.dxf", theirs(tmp_path))}
    for origin in ("http://elsewhere.example", ""):
        answer = client.post(HERE, data={"do": "compare"}, files=files, headers={"origin": origin})
        assert answer.status_code == 403
