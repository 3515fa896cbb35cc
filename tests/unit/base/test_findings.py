"""Findings that are alike are told once."""

from __future__ import annotations

from blankwright.base.findings import Finding, Level, alike, places_words


def found(place: str, got: str = "too tight", at: tuple[float, float] | None = None) -> Finding:
    return Finding(code="BEND-001", level=Level.ASK, place=place, got=got, at=at)


def test_what_is_said_of_several_places_is_gathered_where_it_was_first_said():
    said = [
        found("bend left", at=(1.0, 2.0)),
        found("hole a", "near the edge"),
        found("bend right", at=(3.0, 4.0)),
    ]
    assert alike(said) == (
        (found(""), ("bend left", "bend right")),
        (found("", "near the edge"), ("hole a",)),
    )


def test_a_finding_let_pass_is_not_one_with_one_that_is_not():
    assert len(alike([found("bend left"), found("bend right").override("as drawn")])) == 2


def test_places_in_words():
    assert places_words(["bend left"]) == "bend left"
    assert places_words(["bend left", "bend right"]) == "bends left, right"
    assert places_words(["bend left", "hole a"]) == "bend left, hole a"
    assert places_words(["bend left", "part"]) == "bend left, part"
    assert places_words(["part", "blank"]) == "part, blank"
    assert places_words(["full 040, line 1", "full 040, line 2"]) == (
        "full 040, line 1, full 040, line 2"
    )
    assert places_words([f"hole {i}" for i in range(5)], most=3) == "holes 0, 1, 2, and 2 more"
