"""Bend plans: which order, on which of the shop's tools, and what to set."""
