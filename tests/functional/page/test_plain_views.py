"""Plain views in process: tables, coupons, shop tools, prints, and the way round them all."""

from __future__ import annotations

import re
import time
from html import unescape
from pathlib import Path

import pypdfium2
import pytest
from fastapi import FastAPI
from starlette.testclient import TestClient

from blankwright.base.findings import Finding, Level
from blankwright.handbook.table import tables
from blankwright.jobs.coupon_job import taught_by
from blankwright.jobs.project import find_project, open_project, start_project
from blankwright.page import views
from blankwright.page.desk import Desk
from blankwright.page.guard import Guard
from blankwright.page.hand_out import download_route
from blankwright.page.plain import findings_html, together
from blankwright.page.views import coupons, prints, shop, ways
from blankwright.page.views import tables as tables_view
from browser_parts import TRAY

HOST = "127.0.0.1:8620"


@pytest.fixture
def desk(tmp_path):
    start_project(tmp_path / "p", "Tarn <200>")
    (tmp_path / "p/parts/tray.toml").write_text(TRAY)
    return Desk(open_project(tmp_path / "p"))


@pytest.fixture
def client(desk):
    app = FastAPI()
    for view in (tables_view, coupons, shop, prints):
        view.routes(app, desk)
    download_route(app, desk)
    with TestClient(
        Guard(app, 8620), base_url=f"http://{HOST}", headers={"origin": f"http://{HOST}"}
    ) as client:
        yield client


def text_of(answer) -> str:
    body = answer.text.split("</style>")[-1]
    return " ".join(unescape(re.sub(r"<[^>]*>", " ", body)).split())


# The way round


def test_every_view_has_its_file_and_leads_to_the_others(client):
    titles = [way["title"] for way in ways("Tables")]
    folder = Path(views.__file__).parent
    made = {view.module for view in views.VIEWS}
    for path in folder.glob("*.py"):
        assert path.stem in made | {"__init__", "common"}, f"{path.stem} is not in VIEWS"
    for way in ways("Tables"):
        assert ("{" in way["address"]) is False
    for address in ("/tables", "/coupons", "/shop", "/prints"):
        page = client.get(address).text
        nav = page[page.index('<nav class="bw-ways"') : page.index("</nav>")]
        assert re.findall(r">([^<]+)</a>", nav) == titles
        assert re.findall(r'href="([^"]+)" aria-current=page', nav) == [address]


def test_views_of_one_part_carry_its_name_whatever_it_is():
    addresses = [way["address"] for way in ways("Part", "a part/ü?")]
    assert "/part/a%20part%2F%C3%BC%3F" in addresses
    assert not any("/part/" in way["address"] for way in ways("Parts"))


def test_names_are_never_taken_for_html(client):
    for address in ("/tables", "/coupons", "/shop", "/prints"):
        page = client.get(address).text
        assert "Tarn <200>" not in page
        assert "Tarn &lt;200&gt;" in page
    assert "<script>x" not in client.get("/tables", params={"find": "<script>x"}).text


# Tables


def test_every_table_is_shown_row_by_row_with_its_source(client):
    for one in tables():
        page = client.get(f"/tables/{one.name}")
        assert page.status_code == 200
        assert page.text.count("<tr>") == len(one.rows) + 1
        said = text_of(page)
        for row in (one.rows[0], one.rows[-1]):
            assert " ".join(row.source.split()) in said, one.name
            for column in one.columns:
                assert " ".join(one.text(row, column).split()) in said


def test_search_finds_rows_that_have_every_word(client):
    page = text_of(client.get("/tables", params={"find": "6061 bend"}))
    count = int(re.search(r"(\d+) rows have all of", page)[1])
    every = len(re.findall(r"6061", page))
    assert 0 < count <= every
    none = text_of(client.get("/tables", params={"find": "unobtainium sheet"}))
    assert "No row has all of" in none
    assert "Try “unobtainium” alone" in none


# Coupons

STRIPS = {
    "name": "leaf brake",
    "alloy": "6061-T6",
    "thickness": "1.00 mm",
    "inside_radius": "3.0 mm",
    "angle": "90 deg",
    "reading": "0.1 mm",
    "tool": "leaf brake",
    "date": "2026-03-14",
    "before1": "100.0 mm",
    "one1": "51.2 mm",
    "two1": "51.3 mm",
    "before2": "100.0 mm",
    "one2": "51.3 mm",
    "two2": "51.3 mm",
}


def test_a_coupon_is_learned_by_hand_sums_and_kept_on_demand(client, desk):
    page = client.post("/coupons", data={**STRIPS, "do": "learn"})
    assert page.status_code == 200
    # By hand: BA = L - a - b + 2(R + T); k = (BA/(pi/2) - R)/T; mean of both strips.
    pi = 3.14159265358979
    ks = [((100.0 - legs + 2 * 4.0) / (pi / 2) - 3.0) / 1.0 for legs in (102.5, 102.6)]
    assert f"k = {sum(ks) / 2:.4f} ±" in text_of(page)
    assert not desk.project.coupon_file.exists()
    page = client.post("/coupons", data={**STRIPS, "do": "keep"})
    assert "Kept in coupons.toml" in text_of(page)
    kept = taught_by(desk.project)
    assert [one.coupon.name for one in kept] == ["leaf brake"]
    assert f"k = {sum(ks) / 2:.4f} ±" in text_of(client.get("/coupons"))
    # Twice the same name would be two coupons that nobody can tell apart.
    again = client.post("/coupons", data={**STRIPS, "do": "keep"})
    assert again.status_code == 400
    assert len(taught_by(desk.project)) == 1
    desk.history.undo()
    assert not desk.project.coupon_file.exists()


def test_what_was_typed_stays_when_it_is_wrong(client, desk):
    words = {**STRIPS, "thickness": "1.00", "two1": "", "do": "keep"}
    page = client.post("/coupons", data=words)
    assert page.status_code == 400
    assert 'value="1.00"' in page.text
    assert 'value="51.2 mm"' in page.text
    assert "COUPON-" in page.text
    assert not desk.project.coupon_file.exists()


# Shop tools

SHOP = '# our tools\n[drills]\nsets = ["number"]\nlargest = "1/2 in"\n'


def save(client, text, seen, **more):
    data = {"text": text.replace("\n", "\r\n"), "seen": shop.mark(seen), **more}
    return client.post("/shop", data=data)


def test_the_shop_file_is_saved_as_typed_and_can_be_undone(client, desk):
    assert "There is no shop.toml yet" in text_of(client.get("/shop"))
    page = save(client, SHOP, "")
    assert page.status_code == 200
    path = desk.project.root / "shop.toml"
    assert path.read_bytes() == SHOP.encode()
    assert "largest 1/2 in" in text_of(page)
    desk.history.undo()
    assert not path.exists()


def test_a_wrong_shop_file_is_not_saved_and_nothing_typed_is_lost(client, desk):
    path = desk.project.root / "shop.toml"
    save(client, SHOP, "")
    wrong = SHOP.replace("largest", "largset")
    page = save(client, wrong, SHOP)
    assert page.status_code == 400
    assert "largset" in text_of(page)
    assert "SHOP-" in text_of(page)
    assert path.read_text() == SHOP
    assert save(client, wrong, SHOP, do="anyway").status_code == 200
    assert path.read_text() == wrong
    brake = save(client, "[[leaf_brakes]]\nname = 1\n", wrong)
    assert brake.status_code == 400, "the bending tools' own reader has a word too"
    broken = save(client, "[drills\n", wrong)
    assert broken.status_code == 400
    assert "Save it all the same" not in broken.text
    assert path.read_text() == wrong


def test_a_shop_file_changed_elsewhere_is_not_overwritten(client, desk):
    save(client, SHOP, "")
    path = desk.project.root / "shop.toml"
    theirs = SHOP + "# theirs\n"
    path.write_text(theirs)
    page = save(client, SHOP + "# mine\n", SHOP)
    assert page.status_code == 400
    assert "PAGE-013" in page.text
    assert "# theirs" in page.text
    assert "# mine" in page.text
    assert path.read_text() == theirs


def test_line_ends_of_the_shop_file_stay(client, desk):
    path = desk.project.root / "shop.toml"
    path.write_bytes(SHOP.replace("\n", "\r\n").encode())
    seen = SHOP.replace("\n", "\r\n")
    assert save(client, SHOP.replace("1/2", "3/8"), seen).status_code == 200
    assert path.read_bytes() == seen.replace("1/2", "3/8").encode()


def test_what_to_measure_is_drawn_for_each_kind_of_tool(client):
    page = client.get("/shop").text
    drawn = re.findall(r'<figure class="bw-measure".*?</figure>', page, re.DOTALL)
    assert len(drawn) == len(re.findall(r"<code>\[\[\w+]]</code>", page)) > 2
    # In the page's own ink, so that it shows in light and dark; each measure has its letter.
    for figure in drawn:
        assert "#000" not in figure
        assert ">A<" in figure
    for key in ("leaf_depth", "bar_above", "block_height", "die_width"):
        assert key in page


def test_the_same_finding_in_several_places_is_said_once_but_stops_stay_apart():
    def finding(place, level):
        return Finding(code="X-001", level=level, place=place, got="2 mm", limit="3 mm")

    notes = [finding("bend a", Level.NOTE), finding("bend b", Level.NOTE)]
    stops = [finding("bend a", Level.STOP), finding("bend b", Level.STOP)]
    assert [places for _, places in together(notes)] == [["bend a", "bend b"]]
    assert [places for _, places in together(stops)] == [["bend a"], ["bend b"]]
    assert findings_html(notes).count("<article") == 1
    assert findings_html(stops).count("<article") == 2


@pytest.mark.slow
def test_the_sheet_of_what_to_measure_is_made_and_offered(client):
    page = client.post("/shop", data={"do": "measure"})
    assert page.status_code == 200
    address = re.search(r'href="(/out/[^"]+\.pdf)"', page.text)[1]
    words = pypdfium2.PdfDocument(client.get(address).content)[0].get_textpage().get_text_bounded()
    assert "shop.toml" in words


# Prints


def wait_for(client, answer):
    for _ in range(400):
        if "http-equiv" not in answer.text:
            return answer
        time.sleep(0.1)
        answer = client.get(str(answer.url))
    raise AssertionError("the print was never made")


@pytest.mark.slow
def test_prints_are_made_measured_and_offered(client, desk):
    for kind in ("outline", "paper-model"):
        words = {"part": "tray", "kind": kind, "paper": "A3", "do": "print"}
        page = wait_for(client, client.post("/prints", data=words))
        name = f"tray-{kind}-a3.pdf"
        assert name in text_of(page)
        pdf = client.get(f"/out/prints/{name}")
        assert pdf.headers["content-type"] == "application/pdf"
        for page_of in pypdfium2.PdfDocument(pdf.content):
            # Points of 1/72 inch; A3 is 297 × 420 mm.
            short, long = sorted(v / 72 * 25.4 for v in page_of.get_size())
            assert (short, long) == pytest.approx((297.0, 420.0), abs=0.1)


@pytest.mark.slow
def test_a_stop_keeps_prints_from_being_made(client, desk):
    path = desk.project.parts_folder / "tray.toml"
    path.write_text(TRAY.replace('inside_radius = "1/8 in"', 'inside_radius = "0.5 mm"'))
    words = {"part": "tray", "kind": "full", "paper": "A4", "do": "print"}
    page = wait_for(client, client.post("/prints", data=words))
    assert "PAGE-014" in text_of(page)
    assert not (desk.project.out / "prints").exists()


def test_the_printers_error_lands_in_the_project_file_with_its_comments(client, desk):
    path = desk.project.root / "blankwright.toml"
    before = path.read_text()
    words = {
        "across_asked": "180 mm",
        "across_measured": "179.1 mm",
        "down_asked": "10 in",
        "down_measured": "10-1/64 in",
        "do": "printer",
    }
    page = client.post("/prints", data=words)
    assert page.status_code == 200
    # 179.1/180 × 100 and (10 + 1/64)/10 × 100
    want = before.replace('across_100 = "100.0 mm"', 'across_100 = "99.5 mm"').replace(
        'down_100 = "100.0 mm"', 'down_100 = "100.156 mm"'
    )
    assert path.read_text().replace("99.500", "99.5") == want
    assert find_project(desk.project.root).across_100 == pytest.approx(99.5)
    assert desk.project.down_100 == pytest.approx(100.156)
    wrong = client.post("/prints", data={**words, "across_measured": "9 in"})
    assert wrong.status_code == 400
    assert "PRINT-002" in text_of(wrong)
    half = client.post("/prints", data={"across_asked": "180 mm", "do": "printer"})
    assert "PAGE-015" in text_of(half)
    desk.history.undo()
    assert path.read_text() == before


def test_a_print_of_no_part_and_of_no_kind_says_so(client):
    page = client.post("/prints", data={"part": "../x", "kind": "full", "do": "print"})
    assert page.status_code == 400
    assert "PROJECT-002" in text_of(page)
