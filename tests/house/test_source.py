"""House rules that no linter knows."""

from __future__ import annotations

import ast
import re
from pathlib import Path

ROOT = Path(__file__).parents[2]
SOURCE = ROOT / "src" / "blankwright"
CORE = ("base", "geom", "handbook", "part", "develop", "drawing")
UNIT = re.compile(r"\[(mm|rad|-|kg|mm²|mm³|deg|kg/mm³|N|MPa)[^\]]*\]|inner unit of its kind")
"""A unit in brackets, or the words for a number of any kind."""

LONGEST = 420
"""Lines of a module; the aim is 300."""


def modules(*folders):
    for folder in folders or (".",):
        yield from sorted((SOURCE / folder).rglob("*.py"))


def test_the_inch_is_defined_once():
    again = [
        str(p.relative_to(SOURCE))
        for p in modules()
        if re.search(r"\b25\.4\b", p.read_text(encoding="utf-8"))
        and p.relative_to(SOURCE).parts[0] != "base"
    ]
    assert again == []


def test_modules_stay_short():
    long = {
        str(p.relative_to(SOURCE)): n
        for p in modules()
        if (n := len(p.read_text(encoding="utf-8").splitlines())) > LONGEST
    }
    assert long == {}


def test_lengths_and_angles_of_the_core_say_their_unit():
    """A float that goes into a public function of the core is explained with a unit in brackets."""
    missing = []
    for path in modules(*CORE):
        for node in public_functions(ast.parse(path.read_text(encoding="utf-8"))):
            floats = [
                a.arg
                for a in (*node.args.args, *node.args.kwonlyargs)
                if isinstance(a.annotation, ast.Name) and a.annotation.id == "float"
            ]
            text = ast.get_docstring(node) or ""
            if floats and not UNIT.search(text):
                missing.append(f"{path.relative_to(SOURCE)}:{node.lineno} {node.name}{floats}")
    assert missing == []


def public_functions(tree):
    """Functions of a module and methods of its public classes."""
    for node in tree.body:
        if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
            yield from public_functions(node)
        if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
            yield node


def test_nothing_speaks_of_package_hosts():
    hosts = ("pythonhosted" + ".org", "pypi" + ".org", "npmjs" + ".org")
    found = [
        str(p.relative_to(ROOT))
        for p in ROOT.rglob("*")
        if p.is_file()
        and p.suffix in (".py", ".md", ".toml", ".lock", ".txt", ".js", ".sh", "")
        and not {".venv", ".git", "demo", ".mypy_cache", ".ruff_cache"} & set(p.parts)
        and any(h in p.read_text(encoding="utf-8", errors="ignore") for h in hosts)
    ]
    assert found == []
