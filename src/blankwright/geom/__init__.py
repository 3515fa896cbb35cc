"""Plane and space geometry with exact lines and arcs. Lengths in mm, angles in rad."""
