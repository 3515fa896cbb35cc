"""Cited tables and look-ups."""
