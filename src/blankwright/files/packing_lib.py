"""Strip packing by spyrrow (MIT), behind our own port.

The library can't be stopped once it runs, so it runs in a child process (this module, run by
itself): the child writes a line for each better answer, and is ended when the user says stop.
"""

from __future__ import annotations

import json
import math
import queue
import subprocess
import sys
import threading
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from blankwright.cutting.packing import StripAnswer, StripItem
from blankwright.geom.move import Move


@dataclass(frozen=True, slots=True, kw_only=True)
class SpyrrowStrip:
    """The strip packer.

    Args:
        seconds: time for one strip [s], whole
        stop: asked five times a second; the best answer so far is returned when it says yes
        workers: threads [-]
        complaints: what the library said when it broke off; filled as it goes
    """

    seconds: int = 5
    stop: Callable[[], bool] = lambda: False
    workers: int = 2
    complaints: list[str] = field(default_factory=list)

    def __call__(
        self, items: tuple[StripItem, ...], height: float, gap: float, seed: int
    ) -> StripAnswer | None:
        """Pack items in a strip; see `StripPacker`."""
        problem = {
            "items": [
                {
                    "name": item.name,
                    "corners": [list(p) for p in item.corners],
                    "turns": [math.degrees(turn) for turn in item.turns],
                }
                for item in items
            ],
            "height": height,
            "gap": gap if gap > 0 else None,
            "seconds": max(1, self.seconds),
            "workers": self.workers,
            "seed": seed,
        }
        turns = {item.name: item.turns for item in items}
        return self._run(problem, turns)

    def _run(
        self, problem: dict[str, Any], turns: dict[str, tuple[float, ...]]
    ) -> StripAnswer | None:
        child = subprocess.Popen(
            [sys.executable, "-m", "blankwright.files.packing_lib"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        lines: queue.SimpleQueue[str | None] = queue.SimpleQueue()
        complaint: list[str] = []
        threads = [
            threading.Thread(target=_pump, args=(child.stdout, lines), daemon=True),
            threading.Thread(target=lambda: complaint.append(child.stderr.read()), daemon=True),  # type: ignore[union-attr]
        ]
        best: dict[str, Any] | None = None
        try:
            assert child.stdin is not None
            for thread in threads:
                thread.start()
            child.stdin.write(json.dumps(problem) + "\n")
            child.stdin.close()
            while True:
                try:
                    line = lines.get(timeout=0.2)
                except queue.Empty:
                    line = ""
                if line is None:
                    break
                if line:
                    answer = json.loads(line)
                    if best is None or answer["length"] <= best["length"]:
                        best = answer
                if self.stop():
                    break
        finally:
            if child.poll() is None:
                child.kill()
            child.wait()
            for thread in threads:
                thread.join(timeout=1.0)
            for stream in (child.stdout, child.stderr):
                if stream is not None:
                    stream.close()
        if best is None:
            if not self.stop():
                # The library broke off. The packing goes on without its help, and says so.
                self.complaints.append("".join(complaint).strip()[:300])
            return None
        return _answer(best, turns)


def _pump(stream: Any, lines: queue.SimpleQueue[str | None]) -> None:
    for line in stream:
        lines.put(line)
    lines.put(None)


def _answer(best: dict[str, Any], turns: dict[str, tuple[float, ...]]) -> StripAnswer:
    moves: list[tuple[str, Move]] = []
    for name, degrees, x, y in best["placed"]:
        # The library answers in single precision: take the turn that was meant.
        meant = min(turns[name], key=lambda turn: _off(turn, math.radians(degrees)))
        moves.append((name, Move.turn(meant).then(Move.shift(x, y))))
    return StripAnswer(length=best["length"], moves=tuple(moves))


def _off(a: float, b: float) -> float:
    return abs(math.remainder(a - b, 2 * math.pi))


# --- in the child process ------------------------------------------------------------------------


def solve_from_stdin() -> None:
    """Solve the problem on standard input."""
    import spyrrow

    problem: dict[str, Any] = json.loads(sys.stdin.readline())
    items = [
        spyrrow.Item(item["name"], [tuple(p) for p in item["corners"]], 1, item["turns"])
        for item in problem["items"]
    ]
    instance = spyrrow.StripPackingInstance("", problem["height"], items)
    config = spyrrow.StripPackingConfig(
        early_termination=True,
        min_items_separation=problem["gap"],
        total_computation_time=problem["seconds"],
        num_workers=problem["workers"],
        seed=problem["seed"],
    )
    queue = spyrrow.ProgressQueue()
    answer: list[Any] = []
    thread = threading.Thread(target=lambda: answer.append(instance.solve(config, queue)))
    thread.start()
    while thread.is_alive():
        thread.join(0.2)
        _tell(queue)
    _tell(queue)
    if answer:
        _print(answer[0], final=True)


def _tell(queue: Any) -> None:
    for kind, solution in queue.drain():
        if int(kind) in (0, 3):  # found while exploring, or while compressing, and without overlap
            _print(solution, final=False)


def _print(solution: Any, *, final: bool) -> None:
    placed = [[p.id, p.rotation, *p.translation] for p in solution.placed_items]
    line = {"length": solution.width, "placed": placed, "final": final}
    sys.stdout.write(json.dumps(line) + "\n")
    sys.stdout.flush()


if __name__ == "__main__":
    solve_from_stdin()
