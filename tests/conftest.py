"""What holds for all tests."""

from __future__ import annotations

from hypothesis import HealthCheck, settings

# The same examples on every run and every machine; a slow machine is no reason to fail.
settings.register_profile(
    "house",
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)
settings.load_profile("house")
