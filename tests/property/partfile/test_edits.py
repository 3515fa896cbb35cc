"""Laws of editing: no chain of edits loses a comment, changes another place, or breaks the part."""

from __future__ import annotations

import contextlib
import random
import tomllib
from pathlib import Path
from typing import Any

import pytest

from blankwright.base.errors import BadInput
from blankwright.files.partfile import read_part_text
from blankwright.files.partfile.editing import (
    add_table,
    add_value,
    remove_value,
    rename,
    set_value,
)
from blankwright.files.partfile.positions import positions
from blankwright.files.partfile.texts import comments

PARTS = sorted((Path(__file__).parents[3] / "examples" / "tarn200" / "parts").glob("*.toml"))
TYPED = [
    "1/4 in", "3/8\"", "2-1/4 in", "31 mm", "30 deg", "60°", "1 ft 2 in", "n*2", "0.5", "3", "true",
    "false", "#30", "left", "say \"no\" to it", "it's \\ odd", "# no comment", "width", "", "a = b",
]  # fmt: skip
NAMES = ["alpha", "beta_2", "gamma-3", "delta", "x1", "in", "F", "no good"]


def commented(text: str, rng: random.Random) -> str:
    """Put comments of every sort into a text."""
    lines = []
    for i, line in enumerate(text.split("\n")):
        if rng.random() < 0.1:
            lines.append(f'  # loose {i} "quoted" [x] = \'')
        behind = line.rstrip().endswith(('"', "}", "]", "true")) and "#" not in line
        lines.append(f"{line} # behind {i}" if behind and rng.random() < 0.2 else line)
    return "\n".join(lines)


def one_edit(text: str, rng: random.Random) -> str:
    found = positions(text)
    place = rng.choice(list(found.values))
    kind = rng.choice(["set", "set", "set", "add", "table", "rename", "key"])
    if kind == "set":
        return set_value(text, place, rng.choice(TYPED))
    if kind == "add":
        return add_value(text, f"sizes.{rng.choice(NAMES)}", rng.choice(TYPED))
    if kind == "key":
        key = rng.choice(["inset", "note", "radius", "turn", "drawn_to", "plus_minus"])
        return add_value(text, f"{place.rsplit('.', 1)[0]}.{key}", rng.choice(TYPED))
    if kind == "table":
        flat = next(iter(tomllib.loads(text)["flats"]))
        values = {"on": flat, "at": '["1/2 in", "12 mm"]', "drill": "#40"}
        return add_table(text, f"holes.{rng.choice(NAMES)}", values)
    heads = [p for p, _, _ in found.keys if p.count(".") == 1]
    return rename(text, rng.choice(heads), rng.choice(NAMES))


@pytest.mark.parametrize("path", PARTS, ids=lambda path: path.stem)
def test_no_edit_loses_a_comment(path: Path) -> None:
    rng = random.Random(f"edits of {path.stem}")
    text = commented(path.read_text(encoding="utf-8"), rng)
    read_part_text(text, "part")
    wanted = comments(text)
    accepted = 0
    for _ in range(40):
        with contextlib.suppress(BadInput):
            text = one_edit(text, rng)
            accepted += 1
        assert comments(text) == wanted
    assert accepted >= 5
    read_part_text(text, "part")


@pytest.mark.parametrize("path", PARTS, ids=lambda path: path.stem)
def test_setting_a_value_and_setting_it_back_gives_the_same_bytes(path: Path) -> None:
    rng = random.Random(f"back and forth {path.stem}")
    text = path.read_text(encoding="utf-8")
    found = positions(text)
    texts = [
        (place, text[start:end])
        for place, (start, end) in found.values.items()
        if text[start] == '"' and not place.startswith("overrides")
    ]
    for place, literal in rng.sample(texts, min(12, len(texts))):
        old = tomllib.loads(f"x = {literal}")["x"]
        for typed in rng.sample(TYPED, 4):
            with contextlib.suppress(BadInput):
                new = set_value(text, place, typed)
                start, end = found.values[place]
                assert new.startswith(text[:start])
                assert new.endswith(text[end:])
                if "\\" not in typed and '"' not in typed and typed[:1] not in "tf":
                    assert set_value(new, place, old) == text


@pytest.mark.parametrize("path", PARTS, ids=lambda path: path.stem)
def test_add_then_remove_gives_the_same_part(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    flat = next(iter(tomllib.loads(text)["flats"]))
    values = {"on": flat, "at": '["1/2 in", "1/2 in"]', "drill": "#40"}
    once = add_table(text, "holes.extra", values)
    # A field of holes makes way for the new one, so only the new one itself is counted.
    names = [hole.name for hole in read_part_text(once, "p").holes]
    assert names.count("extra") == 1
    assert "extra" not in [hole.name for hole in read_part_text(text, "p").holes]
    back = remove_value(once, "holes.extra")
    assert plain(tomllib.loads(back)) == plain(tomllib.loads(text))
    assert comments(back) == comments(text)


@pytest.mark.parametrize("path", PARTS, ids=lambda path: path.stem)
def test_renaming_every_size_leaves_the_same_part(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    before = read_part_text(text, "part")
    new = text
    for i, size in enumerate(before.sizes):
        new = rename(new, f"sizes.{size.name}", f"renamed_{i}")
    after = read_part_text(new, "part")
    assert (after.root, after.bends, after.corners, after.holes) == (
        before.root,
        before.bends,
        before.corners,
        before.holes,
    )
    assert [size.value for size in after.sizes] == [size.value for size in before.sizes]


def plain(data: dict[str, Any]) -> dict[str, Any]:
    """Drop a heading that has nothing under it: it is not removed with its last member."""
    return {key: value for key, value in data.items() if value != {}}
