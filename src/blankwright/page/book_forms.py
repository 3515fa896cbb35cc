"""Forms of the job book's pages: fields under their labels, filled again with what was typed.

A key leads to a form by its address (``?do=stage-seen&no=3``), and the form is sent to an action of
the same name: no script is needed, and what is refused comes back as it was typed.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from html import escape
from typing import Final
from urllib.parse import urlencode

from blankwright.page.plain import choice

_KINDS: Final = {
    "text": 'type="text"',
    "number": 'type="text" inputmode="decimal" size="6"',
}


@dataclass(frozen=True, slots=True)
class Doing:
    """What the one at the page is about to do.

    Args:
        action: name of the action whose form is wanted; empty for none
        words: fields of the address, or what was typed and refused
    """

    action: str = ""
    words: Mapping[str, str] = field(default_factory=dict)

    @property
    def number(self) -> int:
        """Number of what it is done to; 0 for none."""
        typed = self.words.get("no", "")
        return int(typed) if typed.isascii() and typed.isdigit() and len(typed) < 10 else 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Ask:
    """A field of a form.

    Args:
        name: name that it is sent under
        label: what stands over it
        about: a word more, in small type
        kind: ``text``, ``number``, ``long`` for several lines, ``choice``
        value: what stands in it at first
        options: value and text of each option of a choice
        among: what a text often is; offered while typing
        must: whether it can't be left empty
    """

    name: str
    label: str
    about: str = ""
    kind: str = "text"
    value: str = ""
    options: Sequence[tuple[str, str]] = ()
    among: Sequence[str] = ()
    must: bool = False


def form(
    doing: Doing,
    title: str,
    asks: Iterable[Ask],
    key: str,
    *,
    back: str,
    note: str = "",
    **fixed: object,
) -> str:
    """Return the form of the action that is wanted.

    Args:
        doing: the action; what was typed before stands in the fields again
        title: heading of the form
        asks: its fields
        key: what its key says
        back: page that the other key leads back to
        note: a line under the heading
        fixed: what is sent besides
    """
    first = True
    fields = []
    for ask in asks:
        fields.append(_field(ask, doing.words.get(ask.name, ask.value), first=first))
        first = False
    hidden = "".join(
        f'<input type="hidden" name="{name}" value="{escape(str(value))}">'
        for name, value in fixed.items()
    )
    told = f"<p>{escape(note)}</p>" if note else ""
    return (
        f'<section class="bw-form" id="form"><h2>{escape(title)}</h2>{told}'
        f'<form class="bw-write" method="post" action="/book/{doing.action}">{hidden}'
        f'{"".join(fields)}<span class="bw-do"><button class="strong">{escape(key)}</button>'
        f'<a class="key" href="/book/{back}">Leave it</a></span></form></section>'
    )


def way(page: str, action: str, text: str, label: str = "", **words: object) -> str:
    """Return a key that leads to the form of an action.

    Args:
        page: page that the form is on
        action: name of the action
        text: what the key says
        label: what it says where it is not seen; begins with `text`
        words: fields of the address
    """
    address = f"/book/{page}?" + urlencode({"do": action, **words})
    told = f' aria-label="{escape(label)}"' if label else ""
    return f'<a class="key" href="{escape(address)}"{told}>{escape(text)}</a>'


def ways(*keys: str) -> str:
    """Return keys in a row."""
    return f'<div class="bw-do">{"".join(keys)}</div>'


def _field(ask: Ask, value: str, *, first: bool) -> str:
    focus = " autofocus" if first else ""
    must = " required" if ask.must else ""
    if ask.kind == "choice":
        return choice(ask.name, ask.label, ask.options, value)
    about = f" <small>{escape(ask.about)}</small>" if ask.about else ""
    head = f'<label class="{_WIDTHS.get(ask.kind, "wide")}"><span>{escape(ask.label)}{about}</span>'
    if ask.kind == "long":
        return (
            f'{head}<textarea name="{ask.name}" rows="2"{must}{focus}>'
            f"{escape(value)}</textarea></label>"
        )
    among = listed = ""
    if ask.among:
        listed = f' list="among-{ask.name}"'
        options = "".join(f'<option value="{escape(one)}"></option>' for one in ask.among)
        among = f'<datalist id="among-{ask.name}">{options}</datalist>'
    return (
        f'{head}<input {_KINDS[ask.kind]} name="{ask.name}" value="{escape(value)}"'
        f' autocomplete="off"{listed}{must}{focus}></label>{among}'
    )


_WIDTHS: Final = {"long": "grow", "number": "small"}
