"""The traveler: what it must say, where it may break, and that its proof can't be talked round."""

from __future__ import annotations

import dataclasses

import pytest

import samples
from blankwright.base.errors import OurBug
from blankwright.base.findings import Finding, Level
from blankwright.develop.develop import develop_blank
from blankwright.develop.formed import form
from blankwright.drawing.cards.sheet import CardSheet
from blankwright.drawing.cards.traveler import traveler
from blankwright.drawing.hole_table import cut_holes, hole_groups
from blankwright.drawing.model import Text
from blankwright.drawing.paper import PrintSetup, paper_named
from blankwright.files.kernel import formed_views
from blankwright.files.pdf_out import pages_pdf
from blankwright.files.traveler import prove_card
from blankwright.part.model import DrawnTo

SETUP = PrintSetup(paper=paper_named("A4"))


def card(part, findings=()):
    blank = develop_blank(part)
    formed = form(blank)
    return traveler(part, blank, formed, findings, blank.trail, formed_views(formed), SETUP)


def words(pages):
    return [item.text for page in pages for item in page.furniture if isinstance(item, Text)]


@pytest.fixture(scope="module")
def angle_card():
    return card(samples.angle())


def test_a_card_that_swaps_two_figures_is_caught(angle_card):
    """All words are there somewhere: only counting letters tells 30 mm written twice for 80 mm."""
    page = angle_card[0]
    texts = [i for i in page.furniture if isinstance(i, Text)]
    twice = next(t for t in texts if any(u is not t and t.text in u.text for u in texts))
    left_out = tuple(i for i in page.furniture if i is not twice)
    spoiled = (dataclasses.replace(page, furniture=left_out), *angle_card[1:])
    with pytest.raises(OurBug, match="lacks letters"):
        prove_card(pages_pdf(spoiled, "t"), angle_card, "card")
    prove_card(pages_pdf(angle_card, "t"), angle_card, "card")


def test_a_finding_without_limit_says_none():
    found = Finding(code="SHEET-001", level=Level.ASK, place="sheet", got="odd", source="tables")
    text = " ".join(words(card(samples.angle(), [found])))
    assert "odd (tables)." in text
    assert "limit" not in text


def test_words_that_lead_to_a_table_stand_on_its_page():
    """With rows enough for several pages, wherever the page may end."""
    for count in range(1, 7):
        bends = [
            samples.bend(f"t{i}", "web", "back", 400.0, 20.0, start=60.0 * i + 5, end=60.0 * i + 40)
            for i in range(count)
        ]
        for page in card(samples.part(samples.flat("web", 400.0, 60.0), bends)):
            texts = [i.text for i in page.furniture if isinstance(i, Text)]
            if any(t.startswith("goes under the brake's nose") for t in texts):
                assert "tangent," in texts or any(t.startswith("mold line") for t in texts)
            if "Centres, measured from the blank's lower left corner." in texts:
                assert "hole" in texts


def test_a_mold_line_off_the_blank_is_not_given_as_a_measure():
    """By hand: at 160° over R = 19 mm the setback is tan 80° · 20 = 113 mm, over a 40 mm leg."""
    leg = samples.bend(
        *("roll", "deck", "front", 100.0, 40.0),
        angle=160.0,
        radius=19.0,
        drawn_to=DrawnTo.TANGENT_LINE,
    )
    part = samples.part(samples.flat("deck", 100.0, 60.0), [leg])
    assert "off the blank" in " ".join(words(card(part)))


def test_a_nick_whose_centre_is_off_the_blank_is_no_hole():
    """A bend that ends 1 mm from the corner: its relief, 6.35 mm wide, has its centre outside."""
    near = develop_blank(samples.angle(width=80.0, start=1.0, end=60.0))
    assert [hole.name for hole in cut_holes(near)] == ["relief leg right end"]
    assert [len(group.holes) for group in hole_groups(near)] == [1]
    assert len(near.holes) == 2


def test_a_word_in_a_head_is_not_cut():
    sheet = CardSheet(SETUP, ("head", ""))
    sheet.table(("name", "count"), [("a row", "7")], (20.0, 1.0))
    assert "count" in words(sheet.pages())
