"""What a STEP file calls its solids: by their product, by their own name, or else by number."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from pathlib import Path
from typing import Final

_QUOTED: Final = re.compile(rb"'(?:[^']|'')*'")
_RECORD: Final = re.compile(rb"#(\d+)\s*=\s*([A-Z0-9_]*)")
_WANTED: Final = re.compile(
    rb"#(\d+)\s*=\s*("
    rb"[A-Z_]*SHAPE_REPRESENTATION|SHAPE_REPRESENTATION_RELATIONSHIP|"
    rb"SHAPE_DEFINITION_REPRESENTATION|PRODUCT_DEFINITION_SHAPE|PRODUCT_DEFINITION|"
    rb"PRODUCT_DEFINITION_WITH_ASSOCIATED_DOCUMENTS|PRODUCT_DEFINITION_FORMATION|"
    rb"PRODUCT_DEFINITION_FORMATION_WITH_SPECIFIED_SOURCE|PRODUCT|"
    rb"MANIFOLD_SOLID_BREP|BREP_WITH_VOIDS|FACETED_BREP"
    rb")\s*\(((?:'(?:[^']|'')*'|[^';])*)\)\s*;"
)
_SOLIDS: Final = (b"MANIFOLD_SOLID_BREP", b"BREP_WITH_VOIDS", b"FACETED_BREP")
_NO_NAMES: Final = ("", "none", "unnamed", "solid", "open cascade step translator")


def solid_records(data: bytes) -> tuple[list[int], dict[int, int]]:
    """Return the numbers of all records in the order of the file, and where among them (from 1)
    each record of a solid is."""
    found = _RECORD.findall(_QUOTED.sub(b"''", data))
    places = {int(n): i for i, (n, kind) in enumerate(found, start=1) if kind in _SOLIDS}
    return [int(n) for n, _ in found], places


def solid_names(data: bytes, file: str, solids: Sequence[int | None]) -> list[str]:
    """Return a name for each solid, no two the same.

    Args:
        data: the STEP file
        file: its name
        solids: for each solid its record's number, nothing when it is not known
    """
    text: dict[int, tuple[bytes, bytes]] = {}
    for number, kind, body in _WANTED.findall(data):
        text[int(number)] = (kind, body)
    products = _products(text)
    stem = Path(file).stem or "part"
    own = [_own(text[n][1]) if n in text else "" for n in solids]
    of = [products.get(n, "") if n is not None else "" for n in solids]
    names = []
    for i in range(len(solids)):
        # Several bodies in one product: each by its own name behind the product's.
        shared = bool(of[i]) and of.count(of[i]) > 1
        names.append(f"{of[i]} {own[i]}".strip() if shared else of[i] or own[i])
    counts = Counter(name or stem for name in names)
    seen: Counter[str] = Counter()
    result = []
    for name in names:
        plain = name or stem
        seen[plain] += 1
        result.append(plain if counts[plain] == 1 else f"{plain} {seen[plain]}")
    return result


def _products(text: dict[int, tuple[bytes, bytes]]) -> dict[int, str]:
    """Return the name of the product that each item of a shape belongs to."""
    of_rep: dict[int, str] = {}
    for kind, body in text.values():
        if kind != b"SHAPE_DEFINITION_REPRESENTATION":
            continue
        refs = _refs(body)
        if len(refs) == 2:
            name = _product_name(text, refs[0])
            if name:
                of_rep.setdefault(refs[1], name)
    for kind, body in text.values():
        refs = _refs(body)
        if kind == b"SHAPE_REPRESENTATION_RELATIONSHIP" and len(refs) >= 2:
            for a, b in ((refs[0], refs[1]), (refs[1], refs[0])):
                if a in of_rep:
                    of_rep.setdefault(b, of_rep[a])
    result: dict[int, str] = {}
    for rep, name in of_rep.items():
        if rep in text:
            for item in _refs(text[rep][1]):
                result.setdefault(item, name)
    return result


def _product_name(text: dict[int, tuple[bytes, bytes]], number: int) -> str:
    """Follow shape, definition and formation to the product, and return its name."""
    for _ in range(5):
        kind, body = text.get(number, (b"", b""))
        if kind == b"PRODUCT":
            words = [_plain(word) for word in _QUOTED.findall(body)[:2]]
            named = [word for word in reversed(words) if not _nameless(word)]
            return named[0] if named else ""
        refs = _refs(body)
        if not refs:
            break
        number = refs[0]
    return ""


def _refs(body: bytes) -> list[int]:
    return [int(n) for n in re.findall(rb"#(\d+)", _QUOTED.sub(b"", body))]


def _own(body: bytes) -> str:
    words = _QUOTED.findall(body)
    name = _plain(words[0]) if words else ""
    return "" if _nameless(name) else name


def _nameless(name: str) -> bool:
    bare = re.sub(r"[\d.\s]+$", "", name).strip().lower()
    return bare in _NO_NAMES


def _plain(word: bytes) -> str:
    """Decode a string of ISO 10303-21: ``X2…X0`` holds UTF-16, ``X`` a byte, ``S`` a letter of the
    upper half of ISO 8859-1, each between backslashes."""
    text = word[1:-1].decode("utf-8", "replace").replace("''", "'")
    text = re.sub(
        r"\\X2\\((?:[0-9A-F]{4})*)\\X0\\",
        lambda m: bytes.fromhex(m[1]).decode("utf-16-be", "replace"),
        text,
    )
    text = re.sub(r"\\X\\([0-9A-F]{2})", lambda m: bytes.fromhex(m[1]).decode("latin-1"), text)
    text = re.sub(r"\\S\\(.)", lambda m: chr(ord(m[1]) + 128), text)
    return " ".join(text.replace("\\\\", "\\").split())
