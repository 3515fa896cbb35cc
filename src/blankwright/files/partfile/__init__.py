"""The part file: TOML that a builder writes by hand from a drawing, read, edited and saved."""

from blankwright.files.partfile.problems import PartProblem
from blankwright.files.partfile.reading import read_part, read_part_text

__all__ = ["PartProblem", "read_part", "read_part_text"]
