"""Speed of bend plans; targets are the issue's, for two cores."""

from __future__ import annotations

import bend_shops
from blankwright.bending.plan import plan_bends
from blankwright.bending.tools import supposed_shop
from blankwright.develop.develop import develop_blank


def timed(measured, name, part, target, rounds=3):
    blank = develop_blank(part)
    measured(name, lambda: plan_bends(blank, supposed_shop()), target=target, rounds=rounds)


def test_twelve_bends_of_a_pan(measured):
    timed(measured, "pan of 12 bends: best order, proved", bend_shops.pan(), "2 s")


def test_twelve_bends_in_a_chain(measured):
    timed(measured, "12 parallel bends: best order, proved", bend_shops.corrugated(12), "2 s")


def test_twenty_bends_of_a_comb(measured):
    timed(measured, "comb of 20 bends: a plan", bend_shops.comb(), "10 s", rounds=1)


def test_twenty_bends_in_a_chain(measured):
    timed(measured, "20 parallel bends: a plan", bend_shops.corrugated(20), "10 s", rounds=1)
