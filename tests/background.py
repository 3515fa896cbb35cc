"""What background work is tried on; a process of its own must be able to import it."""

from __future__ import annotations

import os
import time

from blankwright.base.errors import NotPossible, Problem


def twice(n):
    return 2 * n


def refuse():
    raise NotPossible(Problem(code="BEND-001", where="bend left", got="too tight"))


def rest():
    time.sleep(600)


def die():
    os._exit(9)  # no goodbye, on any system


def count(to, tell):
    for i in range(to):
        tell(f"step {i}", i, to)
    return to
