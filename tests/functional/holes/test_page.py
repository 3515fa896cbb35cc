"""The holes view in process: what it shows is what the commands say."""

from __future__ import annotations

import re
import shutil
from html import unescape
from pathlib import Path

import pytest
from fastapi import FastAPI
from starlette.testclient import TestClient

from blankwright.jobs.holes_air import air_paths
from blankwright.jobs.holes_rows import rows_of
from blankwright.jobs.items import chosen
from blankwright.jobs.part_state import state_of
from blankwright.jobs.project import open_project
from blankwright.page.desk import Desk
from blankwright.page.views import holes, ways

EXAMPLE = Path(__file__).parents[3] / "examples" / "tarn200"


@pytest.fixture(scope="module")
def client(tmp_path_factory):
    folder = tmp_path_factory.mktemp("page") / "tarn"
    shutil.copytree(EXAMPLE, folder, ignore=shutil.ignore_patterns("out"))
    app = FastAPI()
    app.state.project = open_project(folder)
    app.state.desk = Desk(app.state.project)
    holes.routes(app, app.state.desk)
    with TestClient(app) as made:
        yield made


def words_of(answer):
    body = answer.text.split("</style>")[-1]
    return " ".join(unescape(re.sub(r"<[^>]*>", " ", body)).split())


def test_it_is_on_the_way_round():
    assert "/holes/vent-grille" in [way["address"] for way in ways("Part", "vent-grille")]


def test_rows_fields_and_air(client):
    answer = client.get("/holes/vent-grille")
    assert answer.status_code == 200
    words = words_of(answer)
    project = client.app.state.project
    state = state_of(chosen(project, ["vent-grille"])[0].read())
    (row,) = rows_of(state)
    assert f"rim plate {row['count']}" in words
    assert f"{state.part.fields[0].open_area:.1%} of" in words
    (air,) = air_paths(project, "vent-opening")
    assert f"{air.flows[0].flow * 1000:.1f} l/s" in words
    assert "never an approval" in words


def test_matched_parts_and_templates(client):
    words = words_of(client.get("/holes/battery-tray"))
    assert "Matched: battery-tray to left-angle" in words
    assert "drill on the flat" in words
    assert "Vent bracket drill template" in words
    assert "14.70 mm" in words


def test_drilling_up_one_hole(client):
    words = words_of(client.get("/holes/vent-gate?final=%2311&pilot=%2340&stack=0.040+in"))
    assert "#30" in words
    assert "Likely hole" in words
    wrong = words_of(client.get("/holes/vent-gate?final=bit"))
    assert "DRILL-001" in wrong
    assert "<i>x" not in client.get("/holes/vent-gate?final=<i>x").text


def test_no_such_part(client):
    answer = client.get("/holes/nothing")
    assert answer.status_code == 400
    assert "no part of that name" in words_of(answer)


def test_matched_holes_are_put_into_the_other_part_file_and_taken_back(client):
    project = client.app.state.project
    path = project.parts_folder / "tunnel-angle.toml"
    before = path.read_text("utf-8")
    shown = client.get("/holes/battery-tray").text
    assert 'name="place" value="battery-bay"' in shown
    answer = client.post("/holes/battery-tray", data={"place": "battery-bay"})
    assert answer.status_code == 200
    assert "Put into tunnel-angle.toml" in words_of(answer)
    after = path.read_text("utf-8")
    assert after.startswith(before)
    assert "[holes.matched-battery-bay-left-mount-1]" in after
    again = client.post("/holes/battery-tray", data={"place": "battery-bay"})
    assert "in the part files already" in words_of(again)
    wrong = client.post("/holes/battery-tray", data={"place": "nowhere"})
    assert wrong.status_code == 400
    client.app.state.desk.history.undo("parts/tunnel-angle.toml")
    assert path.read_text("utf-8") == before
