"""A text written over a file keeps the file's line ends and byte-order mark."""

import pytest

from blankwright.files.whole import as_before, write_as_before

MARK = b"\xef\xbb\xbf"


@pytest.mark.parametrize(
    ("before", "after"),
    [
        (b"", b"a\nb\n"),
        (b"x\ny\n", b"a\nb\n"),
        (b"x\r\ny\r\n", b"a\r\nb\r\n"),
        (b"x\r\ny\r\nz\n", b"a\r\nb\r\n"),
        (b"x\r\ny\nz\n", b"a\nb\n"),
        (MARK + b"x\n", MARK + b"a\nb\n"),
        (MARK + b"x\r\n", MARK + b"a\r\nb\r\n"),
    ],
)
@pytest.mark.parametrize("text", ["a\nb\n", "a\r\nb\r\n", "\ufeffa\r\nb\n"])
def test_as_before(before, after, text):
    assert as_before(text, before) == after


def test_over_a_file_and_where_there_is_none(tmp_path):
    path = tmp_path / "a.toml"
    write_as_before(path, "a\n")
    assert path.read_bytes() == b"a\n"
    path.write_bytes(b"b\r\nc\r\n")
    write_as_before(path, "a\nd\n")
    assert path.read_bytes() == b"a\r\nd\r\n"
