"""Packing on stock, machine files and their proof."""
