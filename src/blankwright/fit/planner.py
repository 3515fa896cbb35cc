"""A way in through space, for parts whose fit no one section decides: found, or not found.

Two trees of free placements grow toward each other, one from rest and one from outside. A way
that is found is checked by distances so that nothing is met between placements either. That no
way is found proves nothing.

Source: J. J. Kuffner and S. M. LaValle, RRT-Connect, ICRA 2000 (cited from memory).
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from blankwright.fit.convolution import Array
from blankwright.fit.solid import Solid
from blankwright.fit.space import Collider
from blankwright.geom.pose import Point3, Pose


@dataclass(frozen=True, kw_only=True)
class SpaceWay:
    """A way through space.

    Args:
        poses: how the part is moved from rest at each corner of the way, rest first
        least: least clearance along it to walls that must not be met [mm]
        tried: how many placements were tried
    """

    poses: tuple[Pose, ...]
    least: float
    tried: int


class Planner:
    """Looks for a way from rest to outside.

    Args:
        part: the part at rest
        collider: the solids
        walls: names of walls that must not be met
        box: least and greatest corner of the structure [mm]
        side: unit direction of the side that counts as outside [-]
        step: greatest motion of any point of the part between two placements that are tried [mm]
        seed: seeds the random placements
    """

    def __init__(
        self,
        part: Solid,
        collider: Collider,
        walls: Sequence[str],
        box: tuple[Point3, Point3],
        side: Point3,
        *,
        step: float = 0.4,
        seed: int = 1,
    ) -> None:
        corners = part.triangles[0]
        self.middle = (corners.min(axis=0) + corners.max(axis=0)) / 2
        self.reach = float(np.linalg.norm(corners - self.middle, axis=1).max())
        self.collider = collider
        self.walls = tuple(walls)
        self.step = step
        self.rng = np.random.default_rng(seed)
        self.tried = 0
        self._least = np.minimum(box[0], corners.min(axis=0)) - self.reach
        self._most = np.maximum(box[1], corners.max(axis=0)) + self.reach
        u = np.array(side)
        far = float(np.max([np.dot(c, u) for c in _corners(box)]))
        start = float(np.dot(self.middle, u))
        self._out = u * max(0.0, far - start + 1.2 * self.reach)
        self._side = u

    def plan(self, keep_going: Callable[[], bool], most: int = 200_000) -> SpaceWay | None:
        """Return a way, or nothing when none was found.

        Args:
            keep_going: asked now and then; looking ends when it says no
            most: most placements to try
        """
        rest = np.array((*self.middle, 1.0, 0.0, 0.0, 0.0))
        out = rest.copy()
        out[:3] += self._out
        trees = [_Tree(rest, self.reach), _Tree(out, self.reach)]
        if not self._free(out):
            return None
        a, b = 0, 1
        while self.tried < most and keep_going():
            target = self._sample(trees)
            new = self._grow(trees[a], target)
            if new is not None:
                met = self._connect(trees[b], trees[a].nodes[new])
                if met is not None:
                    one, other = trees[a].chain(new), trees[b].chain(met)
                    chain = one[::-1] + other if a == 0 else other[::-1] + one
                    way = self._finished(chain)
                    if way is not None:
                        return way
            a, b = b, a
        return None

    def _sample(self, trees: list[_Tree]) -> Array:
        rng = self.rng
        if rng.random() < 0.35:
            # Near a placement that is known: narrow places are threaded in small moves.
            tree = trees[int(rng.integers(2))]
            base = tree.nodes[int(rng.integers(len(tree)))]
            size = rng.choice((0.05, 0.2, 0.5)) * self.reach
            shift = rng.normal(size=3) * size
            turn = rng.normal(size=3) * (size / self.reach)
            return _state(base[:3] + shift, _times(_small(turn), base[3:]))
        place = rng.uniform(self._least, self._most)
        q = rng.normal(size=4)
        return _state(place, q / np.linalg.norm(q))

    def _grow(self, tree: _Tree, target: Array) -> int | None:
        near = tree.nearest(target)
        return self._walk(tree, near, target, 0.5 * self.reach)[0]

    def _connect(self, tree: _Tree, target: Array) -> int | None:
        near = tree.nearest(target)
        end, arrived = self._walk(tree, near, target, math.inf)
        return end if arrived else None

    def _walk(self, tree: _Tree, near: int, target: Array, most: float) -> tuple[int | None, bool]:
        """Go straight toward a target while it is free; return the last node and arrival."""
        start = tree.nodes[near]
        length = self._length(start, target)
        share = min(1.0, most / length) if length > 0 else 1.0
        n = max(1, math.ceil(length * share / self.step))
        last, count = start, 0
        for k in range(1, n + 1):
            state = _between(start, target, share * k / n)
            if not self._free(state):
                break
            last, count = state, k
        if count == 0:
            return None, False
        return tree.add(last, near), count == n and share == 1.0

    def _free(self, state: Array) -> bool:
        self.tried += 1
        return not self.collider.hits_any(self._pose(state))

    def _length(self, a: Array, b: Array) -> float:
        return float(np.linalg.norm(a[:3] - b[:3])) + self.reach * _angle(a[3:], b[3:])

    def _pose(self, state: Array) -> Pose:
        turn = _as_pose(state[3:])
        back = Pose(origin=(-float(self.middle[0]), -float(self.middle[1]), -float(self.middle[2])))
        x, y, z = (float(v) for v in state[:3])
        return back.then(turn).then(Pose(origin=(x, y, z)))

    def _finished(self, chain: list[Array]) -> SpaceWay | None:
        chain = self._shortened(chain)
        least = math.inf
        for a, b in itertools.pairwise(chain):
            found = self._checked(a, b, 14)
            if found < 0:
                return None
            least = min(least, found)
        return SpaceWay(
            poses=tuple(self._pose(state) for state in chain), least=least, tried=self.tried
        )

    def _shortened(self, chain: list[Array]) -> list[Array]:
        for _ in range(60):
            if len(chain) < 3:
                break
            i, j = sorted(self.rng.integers(0, len(chain), size=2).tolist())
            if j - i < 2:
                continue
            n = max(1, math.ceil(self._length(chain[i], chain[j]) / self.step))
            if all(self._free(_between(chain[i], chain[j], k / n)) for k in range(1, n)):
                chain = chain[: i + 1] + chain[j:]
        return chain

    def _checked(self, a: Array, b: Array, depth: int) -> float:
        """Return a clearance that the stretch surely keeps; below zero when that can't be shown."""
        d0, d1 = self._clearance(a), self._clearance(b)
        length = self._length(a, b)
        bound = (d0 + d1 - length) / 2
        if bound > 0:
            return bound
        if depth == 0 or min(d0, d1) <= 0:
            # Touching placements stay as the collision check left them.
            free = self._free(a) and self._free(b) and length < self.step
            return 0.0 if free else -1.0
        middle = _between(a, b, 0.5)
        first = self._checked(a, middle, depth - 1)
        return first if first < 0 else min(first, self._checked(middle, b, depth - 1))

    def _clearance(self, state: Array) -> float:
        pose = self._pose(state)
        return min((self.collider.near(pose, w).distance for w in self.walls), default=math.inf)


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


def _corners(box: tuple[Point3, Point3]) -> list[Array]:
    (a, b, c), (d, e, f) = box
    return [np.array((x, y, z)) for x in (a, d) for y in (b, e) for z in (c, f)]


def _state(place: Array, q: Array) -> Array:
    return np.concatenate((place, q))


def _angle(p: Array, q: Array) -> float:
    return 2.0 * math.acos(min(1.0, abs(float(p @ q))))


def _small(v: Array) -> Array:
    angle = float(np.linalg.norm(v))
    if angle < 1e-12:
        return np.array((1.0, 0.0, 0.0, 0.0))
    return np.array((math.cos(angle / 2), *(v / angle * math.sin(angle / 2))))


def _times(p: Array, q: Array) -> Array:
    a, b, c, d = p
    e, f, g, h = q
    return np.array(
        (
            a * e - b * f - c * g - d * h,
            a * f + b * e + c * h - d * g,
            a * g - b * h + c * e + d * f,
            a * h + b * g - c * f + d * e,
        )
    )


def _between(a: Array, b: Array, t: float) -> Array:
    p, q = a[3:], b[3:]
    dot = float(p @ q)
    if dot < 0:
        q, dot = -q, -dot
    if dot > 1 - 1e-10:
        turn = p + (q - p) * t
    else:
        angle = math.acos(min(1.0, dot))
        turn = (math.sin((1 - t) * angle) * p + math.sin(t * angle) * q) / math.sin(angle)
    return _state(a[:3] + (b[:3] - a[:3]) * t, turn / np.linalg.norm(turn))


def _as_pose(q: Array) -> Pose:
    w, x, y, z = (float(v) for v in q)
    return Pose(
        (1 - 2 * (y * y + z * z), 2 * (x * y + z * w), 2 * (x * z - y * w)),
        (2 * (x * y - z * w), 1 - 2 * (x * x + z * z), 2 * (y * z + x * w)),
        (2 * (x * z + y * w), 2 * (y * z - x * w), 1 - 2 * (x * x + y * y)),
    )
