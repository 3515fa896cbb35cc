"""Whatever is in a part file, it is read or refused by name: never a crash, never a hang."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from blankwright.base.errors import BadInput
from blankwright.files.partfile import read_part_text

PARTS = sorted((Path(__file__).parents[3] / "examples" / "tarn200" / "parts").glob("*.toml"))
SCRAPS = [
    *('"', "'", "[", "]", "{", "}", "=", "#", ",", ".", "\\", "\n", '"""', "0", "-", "1e9", "nan"),
    *("inf", "true", "[[x]]", "\t", "°", "½", "\x00", "\ufeff", "é", "in", " ", "(", "*", "/0"),
    *("[sizes]", "path", "1979-05-27", "[flats.floor]", "angle = 0", "up = false", '["1 in"]'),
    *("{}", "[]", "\r", "9" * 30),
]


@pytest.mark.parametrize("path", PARTS, ids=lambda path: path.stem)
def test_damaged_files(path: Path) -> None:
    rng = random.Random(f"damage {path.stem}")
    text = path.read_text(encoding="utf-8")
    refused = 0
    for _ in range(60):
        damaged = text
        for _ in range(rng.randint(1, 4)):
            at = rng.randrange(len(damaged))
            size = rng.choice([0, 0, 1, 1, 3, 20, 200])
            scrap = rng.choice(["", rng.choice(SCRAPS), rng.choice(SCRAPS)])
            damaged = damaged[:at] + scrap + damaged[at + size :]
        try:
            read_part_text(damaged, "part")
        except BadInput as error:
            refused += 1
            said_something(error)
    assert refused > 20


@pytest.mark.parametrize("path", PARTS, ids=lambda path: path.stem)
def test_values_of_the_wrong_kind_everywhere(path: Path) -> None:
    rng = random.Random(f"kinds {path.stem}")
    lines = path.read_text(encoding="utf-8").split("\n")
    values = ["0", "-1", "true", '""', '"x"', "[]", "{}", "[1]", '["1 mm", "1 mm"]', "1979-05-27"]
    pairs = [i for i, line in enumerate(lines) if "=" in line and line[:1] not in "# ]"]
    for i in rng.sample(pairs, min(25, len(pairs))):
        for value in rng.sample(values, 3):
            changed = [*lines]
            changed[i] = f"{changed[i].split('=')[0]}= {value}"
            try:
                read_part_text("\n".join(changed), "part")
            except BadInput as error:
                said_something(error)


def said_something(error: BadInput) -> None:
    assert error.problems
    assert all(problem.code and problem.got for problem in error.problems)
