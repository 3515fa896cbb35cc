"""Photos are kept as they came, checked by hash, shrunk upright without the camera's notes."""

import hashlib
import io
import struct
import zlib
from pathlib import Path

import pytest
from PIL import Image

from blankwright.base.errors import BadInput, FileProblem
from blankwright.files import photos


def jpeg(width: int = 60, height: int = 40, *, orientation: int = 1, taken: str = "") -> bytes:
    image = Image.new("RGB", (width, height), "white")
    image.paste((200, 0, 0), (0, 0, width // 2, height // 2))  # red in the upper left as stored
    notes = Image.Exif()
    notes[0x0112] = orientation
    if taken:
        notes.get_ifd(0x8769)[0x9003] = taken
    notes.get_ifd(0x8825)[1] = "N"  # where it was taken: nobody's business on a page
    stream = io.BytesIO()
    image.save(stream, "JPEG", exif=notes, quality=95, subsampling=0)
    return stream.getvalue()


def test_kept_byte_for_byte_under_its_hash(tmp_path: Path) -> None:
    data = jpeg(taken="2026:03:02 19:40:00")
    kept = photos.keep_photo(tmp_path, data, "x.jpg")
    sha256 = hashlib.sha256(data).hexdigest()
    assert kept == photos.Kept(
        sha256=sha256,
        file=f"{sha256[:2]}/{sha256}.jpg",
        size=len(data),
        width=60,
        height=40,
        taken_at="2026:03:02 19:40:00",
    )
    assert (tmp_path / kept.file).read_bytes() == data
    assert photos.read_photo(tmp_path, kept.file) == data
    assert list(photos.kept_photos(tmp_path)) == [kept.file]


@pytest.mark.parametrize("orientation", range(1, 9))
def test_shrunk_copies_stand_upright(tmp_path: Path, orientation: int) -> None:
    """Held against Pillow's own uprighting of the full photo, pixel corner by corner."""
    data = jpeg(orientation=orientation)
    kept = photos.keep_photo(tmp_path, data, "x.jpg")
    assert (kept.width, kept.height) == ((60, 40) if orientation < 5 else (40, 60))
    with Image.open(photos.small_photo(tmp_path, kept.file)) as small:
        assert small.size == (kept.width, kept.height)
        assert not dict(small.getexif())
        w, h = small.size
        reds = [
            small.getpixel((x, y))[1] < 100  # type: ignore[index]
            for y in (h // 6, h - h // 6)
            for x in (w // 6, w - w // 6)
        ]
    # Where the stored upper left corner ends up, per TIFF 6.0, tag Orientation.
    corner = {1: 0, 2: 1, 3: 3, 4: 2, 5: 0, 6: 1, 7: 3, 8: 2}[orientation]
    assert reds == [n == corner for n in range(4)]


def test_large_photos_are_shrunk(tmp_path: Path) -> None:
    kept = photos.keep_photo(tmp_path, jpeg(4000, 2600), "x.jpg")
    assert (kept.width, kept.height) == (4000, 2600)
    with Image.open(photos.small_photo(tmp_path, kept.file)) as small:
        assert small.size == (1200, 780)


def bomb() -> bytes:
    """A PNG of 40000 x 40000 that is a few hundred bytes."""

    def chunk(name: bytes, data: bytes) -> bytes:
        return (
            struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))
        )

    head = struct.pack(">IIBBBBB", 40000, 40000, 1, 0, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", head)
        + chunk(b"IDAT", zlib.compress(b"\0" * 999))
        + chunk(b"IEND", b"")
    )


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"GIF89a",
        b"not a photo",
        jpeg()[:300],
        bomb(),
        b"<svg xmlns='http://www.w3.org/2000/svg'/>",
    ],
    ids=["empty", "other", "text", "cut off", "bomb", "svg"],
)
def test_what_is_no_photo_is_refused_and_nothing_kept(tmp_path: Path, data: bytes) -> None:
    with pytest.raises(BadInput, match="PHOTO-001"):
        photos.keep_photo(tmp_path / "photos", data, "x.jpg")
    assert not (tmp_path / "photos").exists()


def test_too_many_bytes(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(photos, "MOST_BYTES", 100)
    with pytest.raises(BadInput, match="PHOTO-001"):
        photos.keep_photo(tmp_path, jpeg(), "x.jpg")


def test_spoiled_and_missing(tmp_path: Path) -> None:
    kept = photos.keep_photo(tmp_path, jpeg(), "x.jpg")
    (tmp_path / kept.file).write_bytes(b"spoiled")
    with pytest.raises(FileProblem, match="PHOTO-004"):
        photos.read_photo(tmp_path, kept.file)
    # Keeping it again puts the right bytes back.
    photos.keep_photo(tmp_path, jpeg(), "x.jpg")
    assert photos.read_photo(tmp_path, kept.file) == jpeg()
    (tmp_path / kept.file).unlink()
    with pytest.raises(FileProblem, match="PHOTO-003"):
        photos.read_photo(tmp_path, kept.file)


HEIC = Path(__file__).parents[2] / "assets" / "phone-photo.heic"


def test_a_phones_own_format_is_kept_as_it_came_and_shrunk_upright(tmp_path: Path) -> None:
    pytest.importorskip("pi_heif", reason="the extra `photos` is not installed")
    data = HEIC.read_bytes()
    kept = photos.keep_photo(tmp_path, data, "phone-photo.heic")
    assert (kept.width, kept.height, kept.taken_at) == (240, 320, "2026:03:02 19:40:00")
    assert kept.file.endswith(".heic")
    assert (tmp_path / kept.file).read_bytes() == data
    with Image.open(photos.small_photo(tmp_path, kept.file)) as small:
        assert (small.format, small.size) == ("JPEG", (240, 320))
        # Drawn 320 wide with a red field at its left; turned right, the field is at the top.
        red, green, _ = small.convert("RGB").getpixel((180, 80))
        assert red > 150 > green


def test_without_the_library_it_is_said_what_to_install(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(photos, "_reads_heic", lambda: False)
    with pytest.raises(BadInput, match=r"PHOTO-006 .*blankwright\[photos\]"):
        photos.keep_photo(tmp_path, HEIC.read_bytes(), "phone-photo.heic")
    assert list(tmp_path.iterdir()) == []
