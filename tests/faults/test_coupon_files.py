"""A broken coupon file has messages with codes, never a crash."""

import inspect
import random
import re
import textwrap

import pytest

from blankwright.base.errors import BadInput
from blankwright.files import couponfile
from blankwright.files.couponfile import parse_coupons

SAMPLE = textwrap.dedent(inspect.getdoc(couponfile).split("::", 1)[1])  # type: ignore[union-attr]
ODD = ["7", "-1", "true", '""', "[]", "{}", "nan", '"nan mm"', '"1e400 mm"', '"1/0 in"', "[[1]]"]


def read_or_refuse(text: str) -> bool:
    """Whether it was read; when not, every message has a code and a place."""
    problems = refused(text)
    for problem in problems:
        assert re.match(r"[A-Z]+-\d{3} coupons\.toml", problem), problem
    return not problems


def refused(text: str) -> list[str]:
    try:
        parse_coupons(text)
    except BadInput as error:
        return [str(problem) for problem in error.problems] or ["refused without a reason"]
    return []


def test_the_sample_is_whole() -> None:
    assert read_or_refuse(SAMPLE)


@pytest.mark.parametrize("length", range(20, len(SAMPLE), 9))
def test_cut_off_anywhere(length: int) -> None:
    read_or_refuse(SAMPLE[:length])


@pytest.mark.parametrize("odd", ODD)
def test_an_odd_value_anywhere(odd: str) -> None:
    values = list(re.finditer(r"(?<== )(\"[^\"]*\"|\d{4}-\d\d-\d\d|\[[^\n]*?\])", SAMPLE))
    assert len(values) > 12
    for match in values:
        read_or_refuse(SAMPLE[: match.start()] + odd + SAMPLE[match.end() :])


@pytest.mark.parametrize("seed", range(40))
def test_random_damage(seed: int) -> None:
    rng = random.Random(seed)
    text = list(SAMPLE)
    for _ in range(rng.randint(1, 6)):
        at = rng.randrange(len(text))
        text[at] = rng.choice(["", "[", '"', "-", "9", "=", "\n", "mm", "°", "e"])
    read_or_refuse("".join(text))
