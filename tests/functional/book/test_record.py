"""The builder's record as another program reads it: nothing of the book is missing."""

import re
from datetime import timedelta, timezone
from pathlib import Path

import pypdfium2
import pytest

import book_story
from blankwright.base.errors import BadInput
from blankwright.book import records as r
from blankwright.files.record_pdf import CAUTION
from blankwright.jobs.book_deviations import ask_word, open_deviation, write_answer
from blankwright.jobs.book_log import Picture, log
from blankwright.jobs.book_open import BookAt
from blankwright.jobs.book_record import print_record
from book_story import evening

ZONE = timezone(timedelta(hours=1))


@pytest.fixture
def told(shop: BookAt) -> BookAt:
    book_story.ida(shop)
    return shop


def words(path: Path) -> str:
    document = pypdfium2.PdfDocument(path)
    text = " ".join(page.get_textpage().get_text_bounded() for page in document)
    document.close()
    return " ".join(text.split())


def test_an_inspector_finds_everything(told: BookAt, tmp_path: Path) -> None:
    path = tmp_path / "record.pdf"
    done = print_record(told, evening(10).astimezone(ZONE), path)
    assert (done.photos, done.missing, done.unprinted) == (2, (), ("機",))
    text = words(path)
    for said in (
        "Builder's record",
        "Tarn 200",
        "014",
        "Ida Berg",
        "Printed 2026-01-22 20:00",
        "Hours logged 1.3",
        "Deviations 2, of these open: 1",
        "Deviation 1, closed, written down 2026-01-15 by Ida Berg",
        "Parts: battery-tray Battery tray",
        "Why: The frames stand closer.",
        "Checked: Battery drops in with 2 mm each side.",
        "Asked 2026-01-15: the designer; answered 2026-01-18: “No load on these walls; go on.”",
        "Closed 2026-01-18 by Ida Berg: “Designer's letter, in the folder.”",
        "Deviation 2, OPEN",
        "Asked 2026-01-19: the club's inspector; no answer yet",
        "NOT SEEN",
        "H-2217",
        "No lot is written down for: pan-cover.",
        "186.4 mm ± 0.3 mm",
        "7-3/8 in",
        "least of three",
        "MS20470AD4-5",
        "rivet, universal head, 2117-T4, 1/8 × 5/16 in",
        "Entry 1, 2026-01-14 20:00, 50 min",
        "helped: Bo Lind held the sheet",
        "blank on the bench",
        'Größe ≥ Soll geprüft, 3/4" ¤',
        "U+6A5F",
        "Control run under the pan pan-cover 18 35 12",
        f"page {done.pages} of {done.pages}",
    ):
        assert said in text, said
    assert text.count(" ".join(CAUTION.split())) == 2


def test_the_table_of_contents_leads_to_its_sections(told: BookAt, tmp_path: Path) -> None:
    path = tmp_path / "record.pdf"
    print_record(told, evening(10), path)
    document = pypdfium2.PdfDocument(path)
    pages = [page.get_textpage().get_text_bounded() for page in document]
    outline = [(mark.get_title(), mark.get_dest().get_index()) for mark in document.get_toc()]
    document.close()
    assert len(outline) == 12
    for title, index in outline:
        assert title in pages[index]
        assert title in pages[0]
    # The numbers of the pages are drawn last, in the order of the sections.
    numbers = [int(n) for n in pages[0].partition(f"of {len(pages)}")[2].split()]
    assert numbers == [index + 1 for _, index in outline]
    # The head of each page is the section that it begins with.
    assert "12. Log" in pages[-1]


def test_the_log_is_told_by_months_and_parts_in_a_line(told: BookAt, tmp_path: Path) -> None:
    path = tmp_path / "record.pdf"
    log(told, evening(30), "February", minutes=90)
    print_record(told, evening(40), path)
    text = words(path)
    assert "2026-01: 2 entries, 1.3 h" in text
    assert "2026-02: 1 entries, 1.5 h" in text
    # Part, title and drawing, major part, tasks done, hours, lots, deviations.
    assert "battery-tray Battery tray, T200-53-04 rev B Fuselage 2 of 10 0.8 H-2217 1" in text
    assert "pan-cover Pan cover, T200-53-11 Fuselage 0 of 6 0.5 none told" in text
    left = "battery-tray 2 of 10 drill, deburr, bend, trial fit, bend last, treat, rivet, inspect"
    assert left in text
    assert "Measured: battery-tray.bay_width 186.4 mm ± 0.3 mm" in text


def test_the_tool_itself_never_approves(told: BookAt, tmp_path: Path) -> None:
    number = open_deviation(told, evening(9), "strap 1 mm short")
    word = ask_word(told, evening(9), number, "the designer")
    write_answer(told, evening(9), word, "Approved as built.")
    path = tmp_path / "record.pdf"
    print_record(told, evening(10), path)
    found = re.findall(r"[^“”]{0,40}approv\w*[^“”]{0,10}", words(path), re.IGNORECASE)
    # The one place is the designer's own answer, in quotes.
    assert found == ["Approved as built."]
    source = Path(__file__).parents[3] / "src" / "blankwright"
    for file in [
        *source.rglob("book*.py"),
        *source.rglob("record*.py"),
        *source.rglob("phone*.py"),
    ]:
        assert "approved" not in file.read_text(encoding="utf-8").lower(), file


def test_hours_by_major_part_are_those_of_the_log(told: BookAt, tmp_path: Path) -> None:
    path = tmp_path / "record.pdf"
    print_record(told, evening(10), path)
    (line,) = re.findall(r"Fuselage (\d+\.\d) (\d+\.\d) (\d+\.\d) all", words(path))
    assert float(line[2]) == round(80 / 60, 1)


def test_the_same_book_gives_the_same_bytes(told: BookAt, tmp_path: Path) -> None:
    for name in ("a.pdf", "b.pdf"):
        print_record(told, evening(10).astimezone(ZONE), tmp_path / name)
    assert (tmp_path / "a.pdf").read_bytes() == (tmp_path / "b.pdf").read_bytes()


def test_photos_are_on_the_page_upright(told: BookAt, tmp_path: Path) -> None:
    path = tmp_path / "record.pdf"
    print_record(told, evening(10), path)
    document = pypdfium2.PdfDocument(path)
    sizes = [
        (round(right - left), round(top - bottom))
        for page in document
        for thing in page.get_objects(filter=[pypdfium2.raw.FPDF_PAGEOBJ_IMAGE])
        for left, bottom, right, top in [thing.get_bounds()]
    ]
    document.close()
    wide, tall = sizes
    assert wide[0] / wide[1] == pytest.approx(640 / 480, abs=0.02)
    assert tall[0] / tall[1] == pytest.approx(480 / 640, abs=0.02)


def test_a_missing_photo_is_said_not_hidden(told: BookAt, tmp_path: Path) -> None:
    with told.read() as reader:
        photo = reader.get(r.Photo, 1)
    (told.photos / photo.file).unlink()
    (told.photos / "small" / f"{photo.sha256}.jpg").unlink()
    path = tmp_path / "record.pdf"
    done = print_record(told, evening(10), path)
    assert done.photos == 1
    assert "PHOTO-003" in done.missing[0]
    assert f"Photo missing: blank.jpg {photo.sha256[:12]}" in words(path)


def test_hostile_text_and_long_words_are_printed(told: BookAt, tmp_path: Path) -> None:
    text = "<b>bold</b> & <font size=90>x</font> <img src='/etc/passwd'/> " + "x" * 400
    log(told, evening(9), text + "\n" + "line\n" * 120)
    path = tmp_path / "record.pdf"
    print_record(told, evening(10), path)
    assert "<b>bold</b> & <font size=90>x</font> <img src='/etc/passwd'/>" in words(path)


def test_papers_and_lettering(told: BookAt, tmp_path: Path) -> None:
    path = tmp_path / "record.pdf"
    print_record(told, evening(10), path, paper="Letter")
    document = pypdfium2.PdfDocument(path)
    assert [round(side) for side in document[0].get_size()] == [612, 792]
    document.close()
    with pytest.raises(BadInput, match="RECORD-001"):
        print_record(told, evening(10), path, paper="A7")
    (tmp_path / "bad.ttf").write_bytes(b"no face")
    with pytest.raises(BadInput, match="RECORD-002"):
        print_record(told, evening(10), path, lettering=tmp_path / "bad.ttf")
    own = Path("/usr/share/fonts/truetype/dejavu/DejaVuSans.ttf")
    if own.is_file():
        log(told, evening(9), "Жесть")
        done = print_record(told, evening(10), path, lettering=own)
        assert done.unprinted == ("機",)
        assert "Жесть" in words(path)


def test_an_empty_book_prints(shop: BookAt, tmp_path: Path) -> None:
    path = tmp_path / "record.pdf"
    done = print_record(shop, evening(10), path, paper="A4")
    assert done.photos == 0
    assert "Nothing is open in the book." in words(path)


@pytest.mark.slow
def test_a_long_log_prints(shop: BookAt, tmp_path: Path) -> None:
    with shop.change("many", evening(0)) as change:
        change.add_many(
            r.Entry,
            [{"at": evening(n / 10), "minutes": 30, "text": f"evening {n}"} for n in range(1500)],
        )
    log(shop, evening(200), "last", pictures=[Picture(data=book_story.photo(3), name="x.jpg")])
    done = print_record(shop, evening(300), tmp_path / "record.pdf")
    text = words(tmp_path / "record.pdf")
    assert all(f"evening {n} " in text for n in (0, 777, 1499))
    assert done.pages > 30
