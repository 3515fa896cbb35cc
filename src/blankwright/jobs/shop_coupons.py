"""The shop's own test strips."""

from __future__ import annotations

from blankwright.develop.coupons import Coupons
from blankwright.jobs.project import Project


def coupons_of(project: Project) -> Coupons:
    """Return a project's coupons; none when the project has no coupon file.

    Raises:
        BadInput: with every problem of the coupon file
    """
    if not project.coupon_file.is_file():
        return Coupons()
    from blankwright.files.couponfile import read_coupons

    return read_coupons(project.coupon_file)
