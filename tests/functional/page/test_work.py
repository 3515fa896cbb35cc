"""Work in the background: results, errors, cancelling, and sudden death."""

from __future__ import annotations

import asyncio

import pytest

from background import count, die, refuse, rest, twice
from blankwright.base.errors import NotPossible, OurBug
from blankwright.page.work import Cancelled, Work

pytestmark = pytest.mark.slow


def test_a_result_comes_back():
    assert asyncio.run(Work(twice, 21).result()) == 42


def test_an_error_comes_back_whole():
    with pytest.raises(NotPossible) as caught:
        asyncio.run(Work(refuse).result())
    assert caught.value.problems[0].code == "BEND-001"


def test_it_can_be_cancelled_at_once():
    async def both():
        work = Work(rest)
        asyncio.get_running_loop().call_later(0.2, work.cancel)
        await work.result()

    with pytest.raises(Cancelled):
        asyncio.run(both())


def test_sudden_death_is_told():
    with pytest.raises(OurBug, match="PAGE-012"):
        asyncio.run(Work(die).result())


def test_how_far_it_is_is_told_in_order_before_the_result():
    heard = []

    async def run():
        return await Work(count, 3, tells=True).result(lambda *said: heard.append(said))

    assert asyncio.run(run()) == 3
    assert heard == [("step 0", 0, 3), ("step 1", 1, 3), ("step 2", 2, 3)]


def test_cancelled_work_leaves_no_process_behind():
    async def both():
        work = Work(rest)
        work.cancel()
        with pytest.raises(Cancelled):
            await work.result()
        return work

    work = asyncio.run(both())
    assert not work._process.is_alive()
