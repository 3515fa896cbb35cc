"""Every code of the handbook, the bend numbers and the coupons has a heading in the docs."""

import re
from pathlib import Path

ROOT = Path(__file__).parents[2]
SOURCES = [
    *(ROOT / "src/blankwright/handbook").glob("*.py"),
    *(
        ROOT / "src/blankwright" / name
        for name in (
            "develop/allowance.py",
            "develop/setback.py",
            "develop/din6935.py",
            "develop/coupon.py",
            "develop/coupons.py",
            "files/couponfile.py",
            "files/coupon_fields.py",
        )
    ),
]


def test_codes_and_headings_are_the_same() -> None:
    codes = {
        code
        for path in SOURCES
        for code in re.findall(r"\"([A-Z]+-\d{3})\"", path.read_text("utf-8"))
    }
    text = (ROOT / "docs/messages/handbook.md").read_text("utf-8")
    headings = re.findall(r"^## (\S+)$", text, re.MULTILINE)
    assert len(headings) == len(set(headings))
    assert codes == set(headings)
