"""Try a damaged STEP file in a process of its own: the kernel may crash or hang on it.

Run as ``python -m blankwright.files.kernel.probe`` with the file on standard input. Leaves with 0
when the kernel gets through it.
"""

from __future__ import annotations

import io
import subprocess
import sys

LONGEST = 8.0
"""How long a damaged file may take, and as much more for each megabyte [s]."""


def survives(data: bytes) -> bool:
    """Say whether the kernel gets through a file, in a child process."""
    try:
        run = subprocess.run(
            [sys.executable, "-m", "blankwright.files.kernel.probe"],
            input=data,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            timeout=LONGEST * (1 + len(data) / 1e6),
            check=False,
        )
    except (subprocess.TimeoutExpired, OSError):
        return False
    return run.returncode == 0


def _main() -> int:
    from OCP.IFSelect import IFSelect_RetDone
    from OCP.STEPControl import STEPControl_Reader

    from blankwright.files.kernel.session import prepare

    prepare()
    reader = STEPControl_Reader()
    data = sys.stdin.buffer.read()
    if reader.ReadStream("probe", io.BytesIO(data)) != IFSelect_RetDone:
        return 1
    return 0 if reader.TransferRoots() > 0 else 1


if __name__ == "__main__":
    sys.exit(_main())
