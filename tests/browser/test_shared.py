"""What all views share: the way round, units, care for what takes long, and what is not there."""

from __future__ import annotations

import re

import pytest

pytestmark = [pytest.mark.browser, pytest.mark.slow]

RIBS = 18
MANY_BENDS = """
title = "Ribbed strip"
sheet = { alloy = "5052-H32", thickness = "0.032 in" }
bend_defaults = { angle = "20 deg", inside_radius = "1/8 in" }
[flats.f0]
outline = { rectangle = ["80 mm", "16 mm"] }
""" + "".join(
    f"""
[bends.b{i}]
from = "{"f0.back" if i == 1 else f"f{i - 1}.tip"}"
{"up" if i % 2 else "down"} = true
leg = {{ name = "f{i}", height = "16 mm", drawn_to = "tangent line" }}
"""
    for i in range(1, RIBS + 1)
)


def test_the_way_round_is_one_row_on_a_tablet(open_page):
    page = open_page("/part/battery-tray", 820, 1180)
    tops = page.locator(".bw-ways a").evaluate_all("all => all.map(a => a.offsetTop)")
    assert len(tops) > 9
    assert len(set(tops)) == 1


@pytest.mark.parametrize(("width", "height"), [(1440, 900), (820, 1180)])
@pytest.mark.parametrize("units", ["mm", "in", "both"])
def test_the_read_out_never_runs_out_of_the_foot_nor_moves_the_page(
    open_page, width, height, units
):
    page = open_page("/part/battery-tray", width, height)
    page.get_by_role("button", name=units, exact=True).click()
    page.locator(".bw-paper").focus()
    heights = set()
    for _ in range(6):  # bends, flats, a hole
        page.keyboard.press("PageDown")
        foot, cells = page.evaluate(
            """() => {
              const foot = document.querySelector(".bw-foot").getBoundingClientRect();
              const cells = [...document.querySelectorAll(".bw-foot .bw-cell")];
              return [foot.toJSON(), cells.map(c => c.getBoundingClientRect().toJSON())];
            }"""
        )
        heights.add(foot["height"])
        for cell in cells:
            assert cell["right"] <= width + 1
            assert cell["bottom"] <= foot["bottom"] + 1
    assert len(heights) == 1


def test_the_pictures_stand_level_and_a_long_blank_lies_under_the_part(open_page, project):
    file = project / "parts" / "battery-tray.toml"
    long = file.read_text().replace('"150 mm"', '"900 mm"').replace("Battery", "Long")
    (project / "parts" / "long-tray.toml").write_text(long)

    def tops(page) -> list[float]:
        return [page.locator(f".bw-{view}").bounding_box()["y"] for view in ("form", "plan")]

    beside = tops(open_page("/part/battery-tray"))
    assert beside[0] == beside[1]
    under = tops(open_page("/part/long-tray"))
    assert under[1] > under[0] + 200


def test_the_formed_part_shows_the_sizes_it_was_stated_with(open_page):
    """The drawing says 150 mm by 4 in by 1-1/2 in, all to the outside."""
    page = open_page("/part/battery-tray")
    figures = page.locator(".bw-overall text")
    figures.nth(2).wait_for()
    assert sorted(figures.all_text_contents()) == ["101.60", "150.00", "38.10"]
    figures.filter(has_text="38.10").click()
    step = page.locator(".bw-step").first
    assert "formed part: along z" in step.inner_text()
    page.get_by_role("button", name="in", exact=True).click()
    waits_for(page, "inches", lambda texts: sorted(texts) == ["1.500", "4.000", "5.906"])
    page.get_by_role("button", name="mm", exact=True).click()
    # Flat, it is as long as its blank and as thick as the sheet.
    page.get_by_label("Fold, from flat to formed").fill("0")
    blank = page.evaluate(
        """async () => (await import("blankwright-page/desk.js")).desk.scene.size"""
    )
    waits_for(page, blank, lambda texts: {f"{v:.2f}" for v in blank} <= set(texts))
    page.locator(".bw-form").get_by_role("button", name="Sizes").click()
    figures.first.wait_for(state="hidden")


def waits_for(page, about, check) -> None:
    """Wait until the figures on the formed part pass a check."""
    for _ in range(100):
        texts = page.locator(".bw-overall text").all_text_contents()
        if check(texts):
            return
        page.wait_for_timeout(100)
    raise AssertionError((about, texts))


def test_measures_by_keyboard_on_blank_and_formed_part(open_page):
    page = open_page("/part/battery-tray")
    for view, focus in (("plan", ".bw-paper"), ("form", ".bw-solid canvas")):
        box = page.locator(f".bw-{view}")
        box.get_by_role("button", name="Measure").click()
        page.locator(focus).focus()
        seen = set()
        page.keyboard.press("PageDown")
        page.keyboard.press("Enter")
        for _ in range(12):
            page.keyboard.press("PageDown")
            page.keyboard.press("Enter")
            said = box.locator(".bw-said").inner_text()
            assert re.match(r"\d+\.\d\d mm", said), said
            seen.add(said.split()[0])
            for _ in range(2):
                page.keyboard.press("PageUp")
            page.keyboard.press("Enter")
        assert len(seen) > 1, seen
        box.get_by_role("button", name="Measure").click()


def test_what_is_picked_on_the_blank_comes_into_view_in_the_form(open_page):
    page = open_page("/part/battery-tray", 1440, 700)
    page.locator('path.bw-strip[data-thing="bend right"]').click(force=True)
    lit = page.locator("h3.lit")
    page.wait_for_function(
        """() => {
          const lit = document.querySelector("h3.lit")?.getBoundingClientRect();
          const leaf = document.querySelector(".bw-leaf").getBoundingClientRect();
          return lit && lit.top >= leaf.top - 1 && lit.bottom <= leaf.bottom + 1;
        }"""
    )
    assert lit.inner_text() == "Bend right"
    page.get_by_role("button", name=re.compile("Angle bent through .*Show where")).click()
    assert "90°" in page.locator(".bw-step").first.inner_text()


def test_keys_lead_past_the_card_to_the_pictures(open_page):
    page = open_page("/part/battery-tray")
    page.locator("body").press("Tab")
    assert page.evaluate("document.activeElement.innerText") == "To the card"
    for name, reached in (("To the formed part", "CANVAS"), ("To the blank", "svg")):
        page.get_by_role("button", name=name).press("Enter")
        assert page.evaluate("document.activeElement.tagName") == reached


def test_units_switch_on_plain_views_and_leave_names_and_prose_whole(open_page):
    page = open_page("/holes/battery-tray?final=3.2+mm&pilot=%2340&stack=0.040+in")
    page.wait_for_selector("[data-units]")
    table = page.locator("table").first
    tools = page.locator(".bw-typed").all_inner_texts()
    in_mm = table.inner_text()
    sizes = [float(x) for x in re.findall(r"(\d+\.\d+) mm", table.inner_text())]
    assert sizes
    page.locator("[data-units=in]").click()
    shown = table.inner_text()
    inches = [float(x) for x in re.findall(r"(\d+\.\d+) in\b", shown)]
    # Names of tools are left as they are; every length beside them is turned.
    assert page.locator(".bw-typed").all_inner_texts() == tools
    for mm in sizes[:2]:
        assert any(abs(mm - 25.4 * inch) < 0.01 for inch in inches)
    page.locator("[data-units=both]").click()
    assert re.search(r"\d mm \[\d+\.\d+ in\]", table.inner_text())
    page.locator("[data-units=mm]").click()
    assert table.inner_text() == in_mm
    # The choice goes with the builder to the part, and back.
    page.locator("[data-units=in]").click()
    page.goto(page.url.split("/holes")[0] + "/part/battery-tray")
    page.wait_for_selector(".bw-edge")
    assert page.get_by_role("button", name="in", exact=True).get_attribute("aria-pressed") == "true"


@pytest.mark.parametrize(
    ("text", "units", "shown"),
    [
        ("edge 4.80 mm", "in", "edge 0.189 in"),
        ("edge 4.80 mm", "both", "edge 4.80 mm [0.189 in]"),
        ("±0.50 mm", "in", "±0.020 in"),
        # The last of several numbers that share a unit must not get a unit of its own.
        ("fingers 100 + 75 mm", "in", "fingers 100 + 75 mm"),
        ("3 × 4 mm", "in", "3 × 4 mm"),
        ("19.8, 31.7 mm", "in", "19.8, 31.7 mm"),
        ("2 to 3 mm", "both", "2 to 3 mm"),
        ("600 mm/min", "in", "600 mm/min"),
        ("90 mm²", "in", "90 mm²"),
        ("3.18 mm (1/8 in)", "in", "3.18 mm (1/8 in)"),
        ("3.18 mm [0.125 in]", "both", "3.18 mm [0.125 in]"),
        ("T200-53 mm", "in", "T200-53 mm"),
    ],
)
def test_lengths_in_text(open_page, text, units, shown):
    page = open_page("/coupons")
    got = page.evaluate(
        """async ([text, units]) => {
          localStorage.setItem("blankwright", JSON.stringify({ units }));
          const p = document.createElement("p");
          p.className = "bw-lengths";
          p.textContent = text;
          document.body.append(p);
          await new Promise(requestAnimationFrame);
          return p.textContent;
        }""",
        [text, units],
    )
    assert got == shown


def test_what_takes_long_says_so_and_can_be_cancelled(open_page, project):
    # Eighteen bends take seconds to plan, so that it is still at it when the key is pressed.
    (project / "parts" / "many.toml").write_text(MANY_BENDS, encoding="utf-8")
    page = open_page("/bend-plan/many")
    cancel = page.get_by_role("button", name="Cancel")
    cancel.wait_for()
    assert page.locator("progress:visible").count() == 1
    cancel.click()
    page.get_by_text("Cancelled: nothing is planned").wait_for()
    cancel.wait_for(state="hidden")
    page.get_by_role("button", name="Plan again").click()
    page.wait_for_selector(".bend-scene", timeout=60_000)


@pytest.mark.parametrize(
    "path", ["/nowhere", "/part/none", "/bend-plan/none", "/out/battery-tray/none.pdf"]
)
def test_where_there_is_nothing_is_a_way_back(open_page, path):
    page = open_page("/")
    answer = page.goto(page.url.rstrip("/") + path)
    assert answer.status == 404
    page.get_by_role("link", name="All parts").click()
    page.wait_for_selector(".bw-slip")


def test_the_same_finding_of_several_bends_stands_once(open_page, project):
    file = project / "parts" / "battery-tray.toml"
    file.write_text(file.read_text().replace('"0.040 in"', '"0.040 in"\ngrain = "90 deg"'))
    page = open_page("/part/battery-tray")
    page.get_by_role("tab", name="Findings").click()
    along = page.locator(".bw-finding", has_text="BEND-005")
    assert along.count() == 1
    assert along.get_by_role("button").all_inner_texts() == ["bend left", "bend right"]
    along.get_by_role("button", name="bend right").hover()
    assert page.locator("path.bw-bend.lit").get_attribute("data-thing") == "bend right"


def test_the_part_prints_with_its_formed_picture(open_page):
    page = open_page("/part/battery-tray", color_scheme="dark")
    page.wait_for_timeout(500)
    page.pdf()
    wide, dots = page.evaluate(
        """async () => {
          const image = document.querySelector(".bw-on-paper");
          await image.decode();
          const canvas = document.createElement("canvas");
          [canvas.width, canvas.height] = [image.naturalWidth, image.naturalHeight];
          const pen = canvas.getContext("2d");
          pen.drawImage(image, 0, 0);
          const { data } = pen.getImageData(0, 0, canvas.width, canvas.height);
          let dots = 0;
          for (let i = 3; i < data.length; i += 4) dots += data[i] > 200;
          return [canvas.width, dots / (data.length / 4)];
        }"""
    )
    assert wide > 400
    assert dots > 0.1, "the part covers a good part of its picture"
