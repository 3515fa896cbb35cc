"""The reference of the part file keeps up with the code."""

from __future__ import annotations

import inspect
import re
from pathlib import Path

import pytest

from blankwright.files.partfile import read_part_text, schema
from blankwright.part.formula import FUNCTIONS

ROOT = Path(__file__).parents[4]
DOCS = (ROOT / "docs" / "partfile.md").read_text(encoding="utf-8")
MESSAGES = (ROOT / "docs" / "messages" / "partfile.md").read_text(encoding="utf-8")
BLOCKS = re.findall(r"```toml\n(.*?)```", DOCS, re.DOTALL)
SHEET = '[sheet]\nalloy = "5052-H32"\nthickness = "0.032 in"\n'


def test_the_whole_file_is_sound() -> None:
    part = read_part_text(BLOCKS[0], "tray")
    assert [bend.name for bend in part.bends] == ["left", "left-lip"]
    assert len(part.holes) == 4


@pytest.mark.parametrize("number", range(5))
def test_outlines(number: int) -> None:
    blocks = re.split(r"\n(?=outline)", BLOCKS[1])
    assert len(blocks) == 5
    text = f'title = "t"\n{SHEET}[flats.f]\n{blocks[number]}'
    assert read_part_text(text, "t").root.outline.area > 0


def test_rolls_and_hems() -> None:
    flat = '[flats.{}]\noutline = {{ rectangle = ["5 in", "3 in"] }}\n'
    for block, root in zip(BLOCKS[2].split("\n\n"), ("deck", "shelf"), strict=True):
        read_part_text(f'title = "t"\n{SHEET}{flat.format(root)}{block}', "t")


def test_every_key_is_in_the_reference() -> None:
    for _, model in inspect.getmembers(schema, inspect.isclass):
        if issubclass(model, schema.Table):
            for name, field in model.model_fields.items():
                key = field.alias or name
                if (model, key) != (schema.ReliefTable, "rule"):
                    assert re.search(rf"\b{key}\b", DOCS), f"{model.__name__}.{key}"
    for table in schema.TABLES:
        assert f"[{table}" in DOCS, table
    for function in FUNCTIONS:
        assert function in DOCS


def test_every_code_has_its_heading_and_every_heading_its_code() -> None:
    source = ""
    for folder in ("files/partfile", "part", "base"):
        for path in (ROOT / "src" / "blankwright" / folder).glob("*.py"):
            source += path.read_text(encoding="utf-8")
    raised = set(re.findall(r'"((?:PART|SIZE|QTY|EDIT|FILE)-\d{3})"', source))
    explained = set(re.findall(r"^## (\S+)$", MESSAGES, re.MULTILINE))
    assert raised == explained
