"""Stock, packing on it, machine files and their proof."""
