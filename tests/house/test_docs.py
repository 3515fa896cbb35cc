"""The docs can't fall behind: each code has a heading, each command its help, no dead links."""

from __future__ import annotations

import importlib.util
import re
from pathlib import Path

ROOT = Path(__file__).parents[2]
SOURCES = list((ROOT / "src" / "blankwright").rglob("*.py"))
CODE = re.compile(r"\"((?!RS-274)[A-Z][A-Z0-9]*(?:-[A-Z]+)*-\d{3})\"")


def codes_in_source():
    """Every quoted text of the form of a code that is given as a `code`."""
    found = {}
    for path in SOURCES:
        for code in CODE.findall(path.read_text(encoding="utf-8")):
            found.setdefault(code, path)
    return found


def headings():
    text = "\n".join(p.read_text(encoding="utf-8") for p in (ROOT / "docs" / "messages").glob("*"))
    return re.findall(r"^## ([A-Z][A-Z0-9-]*-\d{3})\b", text, flags=re.MULTILINE)


def test_every_code_has_a_heading():
    missing = {c: str(p.name) for c, p in codes_in_source().items() if c not in set(headings())}
    assert not missing


def test_every_heading_has_a_code():
    text = "\n".join(path.read_text(encoding="utf-8") for path in SOURCES)
    assert [code for code in headings() if code not in text] == []


def test_no_code_is_explained_twice():
    found = headings()
    assert sorted(found) == sorted(set(found))


def test_commands_page_is_current():
    spec = importlib.util.spec_from_file_location("command_docs", ROOT / "tools/command_docs.py")
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    stale = "docs/commands.md is stale: run ./dev docs"
    assert module.TARGET.read_text(encoding="utf-8") == module.text(), stale


def test_links_between_docs_lead_somewhere():
    dead = []
    for page in (ROOT / "README.md", *(ROOT / "docs").rglob("*.md")):
        for link in re.findall(r"\]\(([^)#]+)[^)]*\)", page.read_text(encoding="utf-8")):
            if "://" not in link and not (page.parent / link).exists():
                dead.append(f"{page.relative_to(ROOT)}: {link}")
    assert dead == []
