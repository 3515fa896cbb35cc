"""Edits of a part file's text, comments and order kept."""

from __future__ import annotations

from collections.abc import Sequence


def set_value(text: str, place: str, typed: str) -> str:
    """Return a part file's text with the value at a place set to what was typed.

    What is typed half way is taken as it is: the text may not read as a part afterwards.

    Args:
        text: what the part file holds
        place: where, such as ``bends.left.angle`` or ``flats.floor.outline.rectangle[1]``
        typed: what was typed, without quotes

    Raises:
        BadInput: when there is no such place, or the text is not TOML
    """
    from blankwright.files.partfile import editing

    return editing.set_value(text, place, typed, checked=False)


def add_size(text: str, name: str, typed: str) -> str:
    """Return a part file's text with one more named size.

    Raises:
        BadInput: when the name will not do or is there already
    """
    from blankwright.files.partfile import editing

    return editing.add_value(text, f"sizes.{name}", typed)


def add_value(text: str, place: str, typed: str) -> str:
    """Return a part file's text with one more line in a table that is there.

    As with `set_value`, the text may not read as a part afterwards: a line may need another yet.

    Raises:
        BadInput: when there is no such table
    """
    from blankwright.files.partfile import editing

    return editing.set_value(text, place, typed, checked=False)


def remove(text: str, place: str) -> str:
    """Return a part file's text without a line or a table.

    Raises:
        BadInput: when there is no such place, or with the problems that the part would have
    """
    from blankwright.files.partfile import editing

    return editing.remove_value(text, place)


def rename(text: str, place: str, name: str) -> str:
    """Return a part file's text with a size or feature renamed, everywhere.

    Raises:
        BadInput: when the name is taken or will not do
    """
    from blankwright.files.partfile import editing

    return editing.rename(text, place, name)


def let_pass(text: str, key: str, reason: str) -> str:
    """Return a part file's text with a finding overridden.

    Args:
        text: what the part file holds
        key: the finding's code, a space and its place
        reason: why it may pass, and on whose word
    """
    from blankwright.files.partfile import editing

    return editing.add_value(text, f'overrides."{key}"', reason)


def hold_up(text: str, keys: Sequence[str]) -> str:
    """Return a part file's text without the first of these overrides that is there."""
    from blankwright.files.partfile import editing

    for key in keys:
        try:
            return editing.remove_value(text, f'overrides."{key}"')
        except editing.NoPlace:
            continue
    return text
