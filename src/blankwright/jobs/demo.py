"""The example airplane, laid out as a project."""

from __future__ import annotations

import shutil
from pathlib import Path

from blankwright.base.errors import FileProblem, Problem
from blankwright.jobs.project import FILE, Project, open_project


def example_folder() -> Path:
    """Return where the example airplane is.

    Raises:
        FileProblem: when this installation came without it
    """
    here = Path(__file__).resolve()
    for candidate in (here.parents[1] / "examples", here.parents[3] / "examples"):
        if (candidate / "tarn200" / FILE).is_file():
            return candidate / "tarn200"
    raise FileProblem(
        Problem(
            code="PROJECT-004",
            where=str(here.parents[1]),
            got="the example airplane is not beside this installation",
            fix="Install Blankwright again, or take the examples folder from its source",
        )
    )


def lay_out_demo(folder: Path) -> Project:
    """Copy the example airplane into a folder, where it may be changed; outputs there are kept.

    Raises:
        FileProblem: when the folder can't be written, or holds something else
    """
    source = example_folder()
    if folder.exists() and any(folder.iterdir()) and not (folder / FILE).is_file():
        raise FileProblem(
            Problem(
                code="PROJECT-005",
                where=str(folder),
                got="the folder holds something else",
                fix="Choose an empty folder or one that is not there yet",
            )
        )
    try:
        for path in sorted(source.rglob("*")):
            target = folder / path.relative_to(source)
            if path.is_dir() or target.exists() or "out" in path.relative_to(source).parts:
                continue  # what the user changed in an earlier demo stays as it is
            target.parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(path, target)
    except OSError as error:
        raise FileProblem(
            Problem(
                code="FILE-001",
                where=str(folder),
                got=f"the example can't be copied there ({error.strerror or error})",
                fix="Choose another folder",
            )
        ) from error
    return open_project(folder)
