"""Cited tables and look-ups in them. Each TOML file in ``tables/`` is one printed table."""
