"""Write the two example books of Tarn 200 airplanes, all invented, into examples/books."""

from __future__ import annotations

import shutil
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).parents[1]
TARGET = ROOT / "examples" / "books"

sys.path.insert(0, str(ROOT / "tests"))


def write(folder: Path) -> None:
    """Write both books as JSON; the same every time."""
    import book_story
    from blankwright.jobs.book_keep import export_json
    from blankwright.jobs.book_open import book_at, start_book

    folder.mkdir(parents=True, exist_ok=True)
    for serial, builder in (("014", "Ida Berg"), ("021", "Bo Lind")):
        with tempfile.TemporaryDirectory() as away:
            root = Path(away) / "tarn"
            skip = shutil.ignore_patterns("out", ".blankwright", "book.sqlite", "photos")
            shutil.copytree(ROOT / "examples" / "tarn200", root, ignore=skip)
            start_book(
                root, book_story.evening(0), airplane="Tarn 200", builder=builder, serial=serial
            )
            with book_at(root) as book:
                if serial == "014":
                    book_story.ida(book, with_photos=False)
                else:
                    book_story.bo(book)
                export_json(book, folder / f"tarn-200-{serial}.json")


if __name__ == "__main__":
    write(TARGET)
