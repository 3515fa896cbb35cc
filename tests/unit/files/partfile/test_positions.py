"""Where keys and values stand in a TOML text, against tomllib's reading of the same text."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from blankwright.files.partfile.positions import place_of, positions

EXAMPLES = sorted((Path(__file__).parents[4] / "examples" / "tarn200" / "parts").glob("*.toml"))

TRICKY = '''\
# a comment with = and [ in it
a = "x # not a comment" # a comment
'quoted key' = 1
"k.e.y" = [1, [2, 3], # inside
  "]", { b = '}', c.d = """
multi ] line
""" } , ]
x.y.z = 1e3
empty = [ ]
none = {}
[t."u v".w]
  d = 1979-05-27
[[list]]
n = 1
[list.sub]
m = 'it''s'
[[list]]
n = 2
'''.replace("'it''s'", '"it\'s"')


def leaves(data: Any, path: tuple[str | int, ...] = ()) -> dict[str, Any]:
    found: dict[str, Any] = {}
    if isinstance(data, dict):
        for key, value in data.items():
            found |= leaves(value, (*path, key))
    elif isinstance(data, list):
        for i, value in enumerate(data):
            found |= leaves(value, (*path, i + 1))
    else:
        found[place_of(path)] = data
    return found


def check(text: str) -> None:
    found = positions(text)
    wanted = leaves(tomllib.loads(text))
    scalars = {}
    for place, (start, end) in found.values.items():
        value = tomllib.loads(f"x = {text[start:end]}")["x"]
        if not isinstance(value, dict | list):
            scalars[place] = value
    assert scalars == wanted
    for place, (start, _) in found.values.items():
        if not place.endswith("]"):
            assert found.lines[place] <= text.count("\n", 0, start) + 1


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_examples(path: Path) -> None:
    check(path.read_text(encoding="utf-8"))


def test_tricky() -> None:
    check(TRICKY)
    found = positions(TRICKY)
    assert found.lines["a"] == 2
    assert found.lines['"k.e.y"[4].c.d'] == 5
    assert found.lines["list[2].n"] == 18
    assert found.line("list[2].n.more.less") == 18
    assert found.line("nowhere") == 1


keys = st.text(alphabet="abc-_1 .\"'#", min_size=1, max_size=4)
scalars = st.one_of(
    st.integers(-99, 99),
    st.booleans(),
    st.text(alphabet="ab \"'\\#[]{},=\n\té", max_size=6),
)
values = st.recursive(
    scalars,
    lambda inner: st.one_of(st.lists(inner, max_size=3), st.dictionaries(keys, inner, max_size=3)),
    max_leaves=8,
)


@given(st.dictionaries(keys, values, max_size=4), st.dictionaries(keys, values, max_size=3))
@settings(derandomize=True, max_examples=80)
def test_any_table(top: dict[str, Any], table: dict[str, Any]) -> None:
    import tomlkit

    text = "".join(f"{key(k)} = {inline(v)} # c [\n" for k, v in top.items())
    if "tbl" not in top:
        text += "\n[tbl]  # head\n" + "".join(f"{key(k)} = {inline(v)}\n" for k, v in table.items())
    assert tomlkit.parse(text).unwrap() == tomllib.loads(text)
    check(text)


def key(name: str) -> str:
    return inline(name)


def inline(value: Any) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, int):
        return str(value)
    if isinstance(value, str):
        body = value.replace("\\", "\\\\").replace('"', '\\"')
        return '"' + body.replace("\n", "\\n").replace("\t", "\\t") + '"'
    if isinstance(value, list):
        return "[" + " , ".join(inline(v) for v in value) + "]"
    return "{" + ", ".join(f"{inline(k)} = {inline(v)}" for k, v in value.items()) + "}"
