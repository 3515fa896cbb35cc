"""Speed of machine files and packing; targets are those of issue 7."""

import random

from blankwright.cutting.packer import Search, pack
from blankwright.cutting.packing import PackPart, PackSettings
from blankwright.cutting.stock import Material
from blankwright.geom.loop import Loop
from blankwright.geom.offset import grown
from blankwright.geom.region import Region
from blankwright.jobs.cutting_machine import make_machine_file
from cutting_samples import MACHINE, SETTINGS, job_of, plate, random_part, sheet

HOLES = [Loop.circle((20 + 18 * i, 20 + 16 * j), 2.5) for i in range(20) for j in range(15)]


def test_machine_file_of_a_300_hole_template(measured):
    part = plate(size=(390, 270), holes=HOLES)
    job = job_of(part, on=sheet(430, 310, 3.0, material=Material.BOARD))

    def made():
        assert not make_machine_file(job, MACHINE, SETTINGS).blocked

    measured("300-hole template, written and proved", made, target="2 s", rounds=3)


def test_first_filling_of_60_blanks(measured):
    rng = random.Random(3)
    parts = [PackPart(name=f"p{i}", region=random_part(rng, f"p{i}").region) for i in range(60)]
    stock = [sheet(1220.0, 610.0)]

    def packed():
        assert not pack(parts, stock, PackSettings(), Search(rounds=0)).left

    measured("60 blanks, first filling", packed, target="30 s with pressing", rounds=3)


def test_offset_of_a_300_hole_plate(measured):
    region = Region.of(Loop.rectangle(0, 0, 390, 270), *HOLES)
    measured("exact offset of a 300-hole plate", lambda: grown(region, 1.5), target="-", rounds=5)
