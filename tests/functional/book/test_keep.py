"""Backup and restore, export and import: what comes back equals what was there."""

import io
import json
import shutil
import zipfile
from pathlib import Path

import pytest

import book_story
from blankwright.base.errors import BadInput, BlankwrightError, NotPossible
from blankwright.base.findings import Level
from blankwright.book import records as r
from blankwright.book.dump import Plain, dump
from blankwright.book.history import history, take_back
from blankwright.files.book_backup import FORM, unpack_photos
from blankwright.files.book_csv import read_tables
from blankwright.files.photos import kept_photos
from blankwright.jobs import book_keep
from blankwright.jobs.book_log import Picture, log, log_page
from blankwright.jobs.book_open import BookAt, book_at, start_book
from book_fixtures import NOW
from book_story import evening

STRANGE = json.dumps({"form": FORM, "version": "0002", "tables": {"x": []}})


@pytest.fixture
def told(shop: BookAt) -> BookAt:
    book_story.ida(shop)
    with shop.change("an entry that is taken back", evening(9)) as change:
        change.add(r.Entry, at=evening(9), text="wrong, 50 % ¼″\r\nsecond line, \"quoted\"; 'so'")
    with shop.read() as reader:
        newest = history(reader)[0].note.id
    take_back(shop.book, newest, who="Ida Berg", at=evening(9))
    return shop


@pytest.fixture
def elsewhere(kind: str, tmp_path: Path, request: pytest.FixtureRequest) -> tuple[Path, str]:
    """Another project, and an address where no book is yet."""
    folder = book_story.make_project(tmp_path / "other")
    if kind == "sqlite":
        return folder, ""
    return folder, str(request.getfixturevalue("server").address(f"other_{id(folder)}"))


def all_of(book: BookAt) -> Plain:
    with book.read() as reader:
        return dump(reader)


def photo_bytes(book: BookAt) -> dict[str, bytes]:
    return {file: (book.photos / file).read_bytes() for file in kept_photos(book.photos)}


def test_a_restored_book_equals_the_original(
    told: BookAt, elsewhere: tuple[Path, str], tmp_path: Path
) -> None:
    folder, address = elsewhere
    rows, photos = book_keep.back_up(told, tmp_path / "b.zip")
    assert (rows > 100, photos) == (True, 2)
    assert book_keep.restore(folder, tmp_path / "b.zip", address=address) == (rows, photos)
    with book_at(folder, address) as other:
        assert all_of(other) == all_of(told)
        assert photo_bytes(other) == photo_bytes(told)
        assert book_keep.check_book(other) == ()
        # And it goes on: new numbers, and old changes can be taken back.
        with told.read() as reader:
            removal = history(reader)[0].note.id
        take_back(other.book, removal, who="Ida Berg", at=evening(10))
        with other.read() as reader:
            assert any(e.text.startswith("wrong") for e in reader.all(r.Entry))
        assert log(other, evening(10), "goes on") == 4


def test_a_backup_is_the_same_for_the_same_book(told: BookAt, tmp_path: Path) -> None:
    book_keep.back_up(told, tmp_path / "a.zip")
    book_keep.back_up(told, tmp_path / "b.zip")
    assert (tmp_path / "a.zip").read_bytes() == (tmp_path / "b.zip").read_bytes()


def test_a_backup_goes_from_one_database_to_the_other(
    told: BookAt, kind: str, tmp_path: Path, request: pytest.FixtureRequest
) -> None:
    address = str(tmp_path / "moved.sqlite")
    if kind == "sqlite":
        address = request.getfixturevalue("server").address(f"moved_{id(told)}")
    folder = book_story.make_project(tmp_path / "moved")
    book_keep.back_up(told, tmp_path / "b.zip")
    book_keep.restore(folder, tmp_path / "b.zip", address=address)
    with book_at(folder, address) as other:
        assert all_of(other) == all_of(told)
        assert photo_bytes(other) == photo_bytes(told)
        assert book_keep.check_book(other) == ()


def test_a_backup_of_version_1_is_restored_and_brought_up(
    elsewhere: tuple[Path, str], tmp_path: Path
) -> None:
    import sqlite3

    from blankwright.book.tables import METADATA
    from blankwright.files.book_backup import write_backup

    old = sqlite3.connect(":memory:")
    script = Path(__file__).parents[2] / "assets" / "book-version-0001.sql"
    old.executescript(script.read_text(encoding="utf-8"))
    old.row_factory = sqlite3.Row
    tables = {}
    for table in METADATA.sorted_tables:
        if old.execute("SELECT 1 FROM sqlite_master WHERE name = ?", (table.name,)).fetchone():
            rows = [dict(row) for row in old.execute(f'SELECT * FROM "{table.name}"')]
            for row in rows:
                if "by_hand" in row:
                    row["by_hand"] = bool(row["by_hand"])
            tables[table.name] = rows
    old.close()
    write_backup(tmp_path / "old.zip", "0001", tables, tmp_path, [])
    folder, address = elsewhere
    book_keep.restore(folder, tmp_path / "old.zip", address=address)
    with book_at(folder, address) as other, other.read() as reader:
        assert reader.get(r.Task, 1).first_hours == 0.5
        assert len(reader.all(r.ChangeNote)) == 6


def test_restoring_over_a_book_is_refused(told: BookAt, address: str, tmp_path: Path) -> None:
    before = all_of(told)
    book_keep.back_up(told, tmp_path / "b.zip")
    with pytest.raises(NotPossible, match="BOOK-090"):
        book_keep.restore(told.project.root, tmp_path / "b.zip", address=address)
    assert all_of(told) == before


def test_json_into_an_empty_book_is_the_whole_book(
    told: BookAt, elsewhere: tuple[Path, str], tmp_path: Path
) -> None:
    folder, address = elsewhere
    book_keep.export_json(told, tmp_path / "book.json")
    other_address = address or str(folder / "book.sqlite")
    from blankwright.book.store import make_book

    make_book(other_address).close()
    with book_at(folder, address) as other:
        assert book_keep.import_book(other, NOW, tmp_path / "book.json").whole
        assert all_of(other) == all_of(told)
        book_keep.export_json(other, tmp_path / "again.json")
    assert (tmp_path / "again.json").read_bytes() == (tmp_path / "book.json").read_bytes()


def test_csv_reads_back_as_what_was_written(
    told: BookAt, elsewhere: tuple[Path, str], tmp_path: Path
) -> None:
    from blankwright.book.store import make_book

    files = book_keep.export_csv(told, tmp_path / "csv")
    assert len(files) == len(all_of(told))
    assert read_tables(tmp_path / "csv") == all_of(told)
    folder, address = elsewhere
    make_book(address or str(folder / "book.sqlite")).close()
    with book_at(folder, address) as other:
        assert book_keep.import_book(other, NOW, tmp_path / "csv").whole
        assert all_of(other) == all_of(told)


def test_importing_what_is_there_adds_nothing(told: BookAt, tmp_path: Path) -> None:
    book_keep.export_csv(told, tmp_path / "csv")
    before = all_of(told)
    done = book_keep.import_book(told, evening(11), tmp_path / "csv")
    assert sum(done.added.values()) == 0
    assert all_of(told) == before


def test_another_book_is_added_with_references_that_follow(
    told: BookAt, elsewhere: tuple[Path, str], tmp_path: Path
) -> None:
    folder, address = elsewhere
    start_book(folder, NOW, address=address, builder="Bo Lind")
    with book_at(folder, address) as other:
        book_story.bo(other)
        book_keep.export_json(other, tmp_path / "bo.json")
    before = all_of(told)
    done = book_keep.import_book(told, evening(11), tmp_path / "bo.json")
    assert (done.whole, done.added["task"], done.added["need"]) == (False, 3, 2)
    with told.read() as reader:
        ribs = {t.title: t.id for t in reader.all(r.Task) if t.title.startswith("wing rib")}
        needs = {(n.task_id, n.needed_task_id) for n in reader.all(r.Need)}
        assert (ribs["wing rib 2"], ribs["wing rib 1"]) in needs
        assert min(ribs.values()) == 17
        (entry,) = (e for e in reader.all(r.Entry) if e.text == "First rib on the block")
        assert (entry.task_id, entry.who) == (ribs["wing rib 1"], "Bo Lind")
        newest = history(reader)[0].note.id
    take_back(told.book, newest, who="Ida Berg", at=evening(11))
    after = all_of(told)
    for name in before:
        if name not in ("change", "change_row", "counter"):
            assert after[name] == before[name], name


def test_a_small_csv_typed_by_hand(told: BookAt, tmp_path: Path) -> None:
    path = tmp_path / "hardware.csv"
    path.write_text("number,title,pack\nAN3-5A,bolt,25\nMS20470AD4-5,known,\n", encoding="utf-8")
    done = book_keep.import_book(told, evening(11), path)
    assert (done.added, done.there) == ({"hardware": 1}, {"hardware": 1})
    with told.read() as reader:
        (bolt,) = reader.by(r.Hardware, number="AN3-5A")
        assert (bolt.title, bolt.pack, bolt.unit, bolt.spare_percent) == (
            "bolt",
            25.0,
            "each",
            10.0,
        )


@pytest.mark.parametrize(
    ("name", "text", "said"),
    [
        ("rivets.csv", "a\n1\n", "BOOK-096 rivets.csv: no table of the book has that name"),
        ("task.csv", "title,colour\nx,red\n", "columns colour are not known"),
        ("task.csv", "", "it has no first line"),
        ("task.csv", "title,hours\nx\n", "line 2: 1 cells"),
        ("task.csv", "title,hours\nx,long\n", "task.csv, line 2, hours: long"),
        ("task.csv", "title,kind\nx,dance\n", "BOOK-094 table task, row 1"),
        ("task.csv", "title,part_id\nx,77\n", "part_id 77 is not among the imported rows of part"),
        ("entry.csv", "at,text\nyesterday,x\n", "BOOK-094 table entry, row 1"),
        ("entry.csv", "at,text\n2026-03-02T10:00:00,x\n", "a time without a zone"),
        ("book.json", "{}", "BOOK-098"),
        ("book.json", "[" * 100_000, "BOOK-098"),
        ("book.json", f'{{"form": "{FORM}", "version": "7", "tables": {{}}}}', "BOOK-007"),
        ("book.json", STRANGE, "BOOK-093"),
    ],
)
def test_what_does_not_fit_is_said_and_nothing_changed(
    shop: BookAt, tmp_path: Path, name: str, text: str, said: str
) -> None:
    before = all_of(shop)
    (tmp_path / name).write_text(text, encoding="utf-8")
    with pytest.raises(BadInput) as caught:
        book_keep.import_book(shop, evening(11), tmp_path / name)
    assert said in str(caught.value)
    assert all_of(shop) == before


@pytest.mark.parametrize(
    "spoil",
    [
        lambda data: b"nothing like it",
        lambda data: data[: len(data) // 2],
        lambda data: _changed(data, "book.json", lambda t: t.replace(b"50", b"60", 1)),
        lambda data: _changed(data, "contents.json", lambda t: t.replace(b"photos/", b"../../", 1)),
        lambda data: _without(data, "book.json"),
        lambda data: data[:200] + bytes([data[200] ^ 255]) + data[201:],
    ],
    ids=["other", "half", "changed", "leaves the folder", "no book", "one byte"],
)
def test_a_spoiled_backup_changes_nothing(told, spoil, elsewhere, tmp_path: Path) -> None:
    book_keep.back_up(told, tmp_path / "b.zip")
    good = (tmp_path / "b.zip").read_bytes()
    (tmp_path / "b.zip").write_bytes(spoil(good))
    folder, address = elsewhere
    with pytest.raises(BlankwrightError, match="BOOK-100"):
        book_keep.restore(folder, tmp_path / "b.zip", address=address)
    assert not (folder / "book.sqlite").exists()
    assert not (folder / "photos").exists()


def _changed(data: bytes, name: str, how) -> bytes:
    return _packed({n: how(d) if n == name else d for n, d in _unpacked(data).items()})


def _without(data: bytes, name: str) -> bytes:
    return _packed({n: d for n, d in _unpacked(data).items() if n != name})


def _unpacked(data: bytes) -> dict[str, bytes]:
    with zipfile.ZipFile(io.BytesIO(data)) as pack:
        return {name: pack.read(name) for name in pack.namelist()}


def _packed(files: dict[str, bytes]) -> bytes:
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as pack:
        for name, data in files.items():
            pack.writestr(name, data)
    return stream.getvalue()


def test_the_check_finds_spoiled_missing_and_stray_photos(told: BookAt) -> None:
    assert book_keep.check_book(told) == ()
    first, second = kept_photos(told.photos)
    (told.photos / first).write_bytes(b"spoiled")
    (told.photos / second).unlink()
    stray = told.photos / "00" / ("0" * 64 + ".jpg")
    stray.parent.mkdir()
    stray.write_bytes(b"")
    found = {(f.code, f.level) for f in book_keep.check_book(told)}
    assert found == {
        ("PHOTO-004", Level.STOP),
        ("PHOTO-003", Level.STOP),
        ("BOOK-111", Level.NOTE),
    }
    with pytest.raises(BlankwrightError, match="PHOTO-00"):
        book_keep.back_up(told, told.project.root / "b.zip")
    assert not (told.project.root / "b.zip").exists()


def test_shrunk_copies_are_made_again(told: BookAt) -> None:
    from blankwright.files.photos import small_photo

    shutil.rmtree(told.photos / "small")
    (line,) = (x for x in log_page(told).lines if x.photos)
    for photo in line.photos:
        path = small_photo(told.photos, photo.file)
        assert path.stat().st_size > 1000
    assert book_keep.check_book(told) == ()


def test_the_same_photo_twice_is_kept_once(told: BookAt) -> None:
    data = book_story.photo(60)
    log(told, evening(12), "again", pictures=[Picture(data=data, name="same.jpg")])
    assert len(list(kept_photos(told.photos))) == 2
    with told.read() as reader:
        assert len(reader.all(r.Photo)) == 3


def test_the_json_is_json(told: BookAt, tmp_path: Path) -> None:
    book_keep.export_json(told, tmp_path / "book.json")
    whole = json.loads((tmp_path / "book.json").read_text(encoding="utf-8"))
    assert whole["tables"]["part"][0]["name"] == "battery-tray"


def test_photos_are_in_the_project_folder_whatever_the_book_is_kept_in(
    told: BookAt, address: str, project: Path, tmp_path: Path
) -> None:
    """On another computer a book on a server has no photos; a backup brings them there."""
    assert {p.relative_to(project).parts[0] for p in project.rglob("*.jpg")} == {"photos"}
    assert len(photo_bytes(told)) == 2
    folder = book_story.make_project(tmp_path / "another computer")
    with book_at(folder, address) as there:
        found = book_keep.check_book(there)
        assert [f.code for f in found] == ["PHOTO-003", "PHOTO-003"]
        with pytest.raises(BlankwrightError, match="PHOTO-003"):
            book_keep.back_up(there, tmp_path / "without.zip")
        assert not (tmp_path / "without.zip").exists()
    book_keep.back_up(told, tmp_path / "b.zip")
    unpack_photos(tmp_path / "b.zip", folder / "photos")
    with book_at(folder, address) as there:
        assert book_keep.check_book(there) == ()
