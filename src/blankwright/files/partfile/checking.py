"""From pydantic's errors to problems in a builder's words."""

from __future__ import annotations

from types import UnionType
from typing import Annotated, Any, TypeVar, Union, get_args, get_origin

from pydantic import BaseModel, ValidationError

from blankwright.files.partfile.positions import place_of
from blankwright.files.partfile.problems import Problems
from blankwright.part.sizes import nearest

Model = TypeVar("Model", bound=BaseModel)

_WANTED = {
    "bool_type": "true or false, without quotes",
    "list_type": "a list in square brackets",
    "model_type": "a table, such as { … } or a heading in square brackets",
    "model_attributes_type": "a table, such as { … } or a heading in square brackets",
    "string_type": "a text in quotes",
}


def checked(
    model: type[Model], data: Any, place: str, problems: Problems, extra: str = ""
) -> Model | None:
    """Return data as a model; collect what is wrong with it.

    A table with misspelled keys is returned without them, so that the rest of it is looked at
    too, unless the misspelling left a key missing.

    Args:
        model: what the table must look like
        data: the table
        place: where it is in the file
        problems: the collector
        extra: more to say on a missing key
    """
    try:
        return model.model_validate(data)
    except ValidationError as error:
        faults = error.errors(include_url=False)
    unknown = [fault for fault in faults if fault["type"] == "extra_forbidden"]
    spoiled: list[str] = []
    for fault in unknown:
        loc = fault["loc"]
        allowed = keys_at(model, loc[:-1])
        key = str(loc[-1])
        hint = nearest(key, allowed)
        spoiled.append(hint)
        problems.add(
            "PART-002",
            _join(place, loc),
            f"there is no key `{key}` here",
            ", ".join(allowed),
            hint or "Remove it, or put # before it to make it a comment",
        )
    hinted = " ".join(spoiled)
    for fault in faults:
        if fault["type"] == "missing" and f"`{fault['loc'][-1]}`" in hinted:
            continue  # it is there, misspelled: told already
        _tell(fault, place, problems, extra)
    if len(unknown) < len(faults):
        return None
    bare = _without(data, [fault["loc"] for fault in unknown])
    try:
        return model.model_validate(bare)
    except ValidationError:
        return None


def _tell(fault: Any, place: str, problems: Problems, extra: str) -> None:
    kind, loc, got = fault["type"], fault["loc"], fault["input"]
    at = _join(place, loc)
    if kind == "extra_forbidden":
        return
    if kind == "missing":
        problems.add("PART-003", _join(place, loc[:-1]), f"`{loc[-1]}` is missing", "", extra)
    elif kind == "literal_error":
        problems.add(
            "PART-005",
            at,
            f"{said(got)} is none of the choices",
            fault["ctx"]["expected"].replace("'", '"'),
            nearest(got, _words(fault["ctx"]["expected"])) if isinstance(got, str) else "",
        )
    elif kind == "choice":
        problems.add("PART-005", at, f"{said(got)} is none of the choices", fault["msg"])
    elif kind == "reason":
        problems.add("PART-013", at, f"{said(got)} is no reason", fault["msg"])
    elif kind in _WANTED:
        problems.add("PART-004", at, f"{said(got)} stands here", _WANTED[kind])
    else:
        problems.add("PART-004", at, f"{said(got)} stands here", fault["msg"])


def said(value: Any) -> str:
    """Return a value of a file as it looks there, shortened."""
    if isinstance(value, bool):
        return f"`{str(value).lower()}`"
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list):
        return f"a list of {len(value)}"
    text = f'"{value}"' if isinstance(value, str) else str(value)
    return f"`{text if len(text) <= 60 else text[:60] + '…'}`"


def keys_at(model: type[BaseModel], loc: tuple[Any, ...]) -> list[str]:
    """Return the keys allowed at a place inside a model."""
    current: Any = model
    for step in loc:
        if isinstance(step, int):
            continue
        found = _field(current, step)
        if found is None:
            return []
        current = found
    return [
        field.alias or name
        for name, field in current.model_fields.items()
        if not (name == "rule" and "round" in current.model_fields)
    ]


def _field(model: Any, key: str) -> type[BaseModel] | None:
    for name, field in model.model_fields.items():
        if (field.alias or name) == key:
            return _model_in(field.annotation)
    return None


def _model_in(annotation: Any) -> type[BaseModel] | None:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    if get_origin(annotation) in (Union, UnionType, list, Annotated):
        for inner in get_args(annotation):
            found = _model_in(inner)
            if found is not None:
                return found
    return None


def _join(place: str, loc: tuple[Any, ...]) -> str:
    tail = place_of(tuple(step + 1 if isinstance(step, int) else step for step in loc))
    if not tail:
        return place
    if not place:
        return tail
    return place + tail if tail.startswith("[") else f"{place}.{tail}"


def _words(expected: str) -> list[str]:
    return [
        part for part in expected.split("'") if part.strip() and part.strip() not in (",", "or")
    ]


def _without(data: Any, locs: list[tuple[Any, ...]]) -> Any:
    """Return data less the keys at some places."""
    if not locs:
        return data
    here = {loc[0] for loc in locs if len(loc) == 1}
    deeper: dict[Any, list[tuple[Any, ...]]] = {}
    for loc in locs:
        if len(loc) > 1:
            deeper.setdefault(loc[0], []).append(loc[1:])
    if isinstance(data, dict):
        return {k: _without(v, deeper.get(k, [])) for k, v in data.items() if k not in here}
    if isinstance(data, list):
        return [_without(v, deeper.get(i, [])) for i, v in enumerate(data)]
    return data
