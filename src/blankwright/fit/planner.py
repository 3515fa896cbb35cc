"""A way in through space, for parts whose fit no one section decides: found, or not found.

Two trees of free placements grow toward each other, one from rest and one from outside. A way
that is found is checked by distances so that nothing is met between placements either. That no
way is found proves nothing.

Source: J. J. Kuffner and S. M. LaValle, RRT-Connect, ICRA 2000 (cited from memory).
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from blankwright.fit.convolution import Array
from blankwright.fit.placements import Placements, SpaceWay
from blankwright.fit.quaternions import between, small_turn, state_of, times


class Planner:
    """Looks for a way from rest to outside.

    Args:
        placements: the part and what it must not meet
        seed: seeds the random placements
    """

    def __init__(self, placements: Placements, *, seed: int = 1) -> None:
        self.placements = placements
        self.rng = np.random.default_rng(seed)

    def plan(self, keep_going: Callable[[], bool], most: int = 200_000) -> SpaceWay | None:
        """Return a way, or nothing when none was found.

        Args:
            keep_going: asked now and then; looking ends when it says no
            most: most placements to try
        """
        places = self.placements
        if not places.free(places.outside):
            return None
        trees = [_Tree(places.begin(), places.reach), _Tree(places.outside, places.reach)]
        a, b = 0, 1
        while places.tried < most and keep_going():
            target = self._sample(trees)
            new = self._grow(trees[a], target)
            if new is not None:
                met = self._connect(trees[b], trees[a].nodes[new])
                if met is not None:
                    one, other = trees[a].chain(new), trees[b].chain(met)
                    chain = one[::-1] + other if a == 0 else other[::-1] + one
                    way = places.finished(chain, self.rng)
                    if way is not None:
                        return way
            a, b = b, a
        return None

    def _sample(self, trees: list[_Tree]) -> Array:
        rng, reach = self.rng, self.placements.reach
        if rng.random() < 0.35:
            # Near a placement that is known: narrow places are threaded in small moves.
            tree = trees[int(rng.integers(2))]
            base = tree.nodes[int(rng.integers(len(tree)))]
            size = rng.choice((0.05, 0.2, 0.5)) * reach
            shift = rng.normal(size=3) * size
            turn = rng.normal(size=3) * (size / reach)
            return state_of(base[:3] + shift, times(small_turn(turn), base[3:]))
        place = rng.uniform(self.placements.lowest, self.placements.highest)
        q = rng.normal(size=4)
        return state_of(place, q / np.linalg.norm(q))

    def _grow(self, tree: _Tree, target: Array) -> int | None:
        near = tree.nearest(target)
        return self._walk(tree, near, target, 0.5 * self.placements.reach)[0]

    def _connect(self, tree: _Tree, target: Array) -> int | None:
        near = tree.nearest(target)
        end, arrived = self._walk(tree, near, target, math.inf)
        return end if arrived else None

    def _walk(self, tree: _Tree, near: int, target: Array, most: float) -> tuple[int | None, bool]:
        """Go straight toward a target while it is free; return the last node and arrival."""
        start = tree.nodes[near]
        length = self.placements.length(start, target)
        share = min(1.0, most / length) if length > 0 else 1.0
        n = max(1, math.ceil(length * share / self.placements.step))
        last, count = start, 0
        for k in range(1, n + 1):
            state = between(start, target, share * k / n)
            if not self.placements.free(state):
                break
            last, count = state, k
        if count == 0:
            return None, False
        return tree.add(last, near), count == n and share == 1.0


class _Tree:
    """Placements joined by free moves."""

    def __init__(self, root: Array, scale: float) -> None:
        self._array = np.empty((256, 7))
        self._array[0] = root
        self._count = 1
        self._parents = [-1]
        self._scale = scale

    def __len__(self) -> int:
        return self._count

    @property
    def nodes(self) -> Array:
        return self._array[: self._count]

    def add(self, state: Array, parent: int) -> int:
        if self._count == len(self._array):
            self._array = np.concatenate((self._array, np.empty_like(self._array)))
        self._array[self._count] = state
        self._count += 1
        self._parents.append(parent)
        return self._count - 1

    def nearest(self, state: Array) -> int:
        nodes = self.nodes
        shift = np.linalg.norm(nodes[:, :3] - state[:3], axis=1)
        dot = np.abs(nodes[:, 3:] @ state[3:]).clip(0.0, 1.0)
        return int(np.argmin(shift + self._scale * 2.0 * np.arccos(dot)))

    def chain(self, node: int) -> list[Array]:
        chain = []
        while node >= 0:
            chain.append(self._array[node].copy())
            node = self._parents[node]
        return chain
