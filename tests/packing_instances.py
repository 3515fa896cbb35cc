"""The irregular-packing instances of the literature, and a table of what our packer does on them.

Instances: ESICUP data sets (academic use), read from ../shared/packing and not kept here.
Published lengths: shared/reference-values.md section 9.1: A = Gomes and Oliveira 2006
(EJOR 171:811-829), B = Elkeran 2013 (EJOR 231:757-769), both from memory; dighe1 is a jigsaw with
the known optimum 100 x 100 (its own readme, read).

Run it for the table: ``python tests/packing_instances.py --seconds 20 --seeds 1 2 3``.
"""

import argparse
import json
import math
import time
from dataclasses import dataclass
from pathlib import Path

from shapely.geometry import Polygon

from blankwright.cutting.packing import StripAnswer, StripItem
from blankwright.files.packing_lib import SpyrrowStrip

FOLDER = Path(__file__).resolve().parents[2] / "shared" / "packing"
PUBLISHED = {
    "albano": (9957.41, 9718.091),
    "dighe1": (100.0, 100.0),
    "fu": (31.33, 30.841),
    "marques": (78.48, 76.358),
    "shapes0": (60.0, 58.003),
    "shirts": (62.22, 60.701),
    "swim": (5948.37, 5824.383),
    "trousers": (242.11, 239.345),
}


@dataclass(frozen=True)
class Instance:
    """Height of the strip, the items, and their shapes by name."""

    height: float
    items: tuple[StripItem, ...]
    area: float

    def density(self, length):
        """Share of a length of strip that is covered."""
        return self.area / (self.height * length)


def path_of(name):
    return FOLDER / f"{name}.json"


def read(name) -> Instance:
    data = json.loads(path_of(name).read_text())
    items = [
        StripItem(
            name=f"{item['id']}-{copy}",
            corners=tuple(tuple(p) for p in item["shape"]),
            turns=tuple(math.radians(turn) for turn in item["orientations"]),
        )
        for item in data["items"]
        for copy in range(item["demand"])
    ]
    area = sum(Polygon(item.corners).area for item in items)
    return Instance(height=data["board"][1], items=tuple(items), area=area)


def packed(instance, seeds, seconds, enough=0.0):
    """Pack with one seed after another, until a length is short enough.

    Returns:
        the best answer, its seed, and the seconds that all took
    """
    best: StripAnswer | None = None
    taken = seeds[0]
    begin = time.monotonic()
    for seed in seeds:
        answer = SpyrrowStrip(seconds=seconds)(instance.items, instance.height, 0.0, seed)
        if answer is not None and (best is None or answer.length < best.length):
            best, taken = answer, seed
        if best is not None and best.length <= enough:
            break
    return best, taken, time.monotonic() - begin


def main():
    parser = argparse.ArgumentParser()
    parser.add_argument("--seconds", type=int, default=10)
    parser.add_argument("--seeds", type=int, nargs="+", default=[1])
    parser.add_argument("names", nargs="*", default=list(PUBLISHED))
    asked = parser.parse_args()
    print(f"{asked.seconds} s a seed, seeds {asked.seeds}, two threads; density, best in a column")
    print(
        f"{'instance':10} {'2006':>8} {'2013':>8} {'ours':>8} {'of 2006':>8} {'of 2013':>8} seed  s"
    )
    for name in asked.names:
        instance = read(name)
        a, b = PUBLISHED[name]
        answer, seed, took = packed(instance, asked.seeds, asked.seconds)
        ours = [instance.density(length) for length in (a, b, answer.length)]
        row = " ".join(f"{100 * density:7.2f}%" for density in ours)
        shares = f"{a / answer.length:8.3f} {b / answer.length:8.3f}"
        print(f"{name:10} {row} {shares} {seed:4} {took:3.0f}", flush=True)


if __name__ == "__main__":
    main()
