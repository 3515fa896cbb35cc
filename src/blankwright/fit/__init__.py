"""Fit in place: clearances, motion, ways in and out."""
