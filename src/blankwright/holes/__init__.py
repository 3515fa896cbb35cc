"""Rivet rows, grids, templates, drilling up, matched parts, air."""
