"""What springs: modulus and yield as stated, or by the alloy of the part."""

from dataclasses import replace

import pytest

from blankwright.base.errors import BadInput
from blankwright.fit.place import Spring
from blankwright.jobs.fit_open import springing
from blankwright.part.model import Sheet

BARE = Spring(bend="hook", squeeze=1.0, length=60.0, modulus=None, yield_stress=None, source="")


def test_both_are_looked_up_by_the_alloy_and_the_source_is_shown() -> None:
    found = springing(BARE, Sheet(alloy="5052-H32", thickness=0.8128), "bay")
    # shared/reference-values.md: 5052-H32 sheet, Fty 23 ksi, E 10.1 million psi.
    assert found.yield_stress == pytest.approx(23 * 6.894757, rel=1e-4)
    assert found.modulus == pytest.approx(10_100 * 6.894757, rel=1e-4)
    assert found.source.startswith("modulus and yield of 5052-H32: ")
    assert "structural design manual" in found.source


def test_what_is_stated_stands_and_only_the_rest_is_looked_up() -> None:
    stated = replace(BARE, yield_stress=150.0, source="mill certificate 4711")
    found = springing(stated, Sheet(alloy="5052-H32", thickness=0.8128), "bay")
    assert found.yield_stress == 150.0
    assert found.source.startswith("mill certificate 4711; modulus of 5052-H32: ")
    both = replace(stated, modulus=70_000.0)
    assert springing(both, Sheet(alloy="unheard-of", thickness=1.0), "bay") is both


@pytest.mark.parametrize("sheet", [("unheard-of", 1.0), ("2024-T3", 9.0)])
def test_an_alloy_or_thickness_the_handbook_does_not_know_is_told(
    sheet: tuple[str, float],
) -> None:
    with pytest.raises(BadInput) as caught:
        springing(BARE, Sheet(alloy=sheet[0], thickness=sheet[1]), "bay")
    (problem,) = caught.value.problems
    assert problem.code == "PLACE-010"
    assert sheet[0] in problem.got
