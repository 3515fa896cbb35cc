"""Unfolding: from the faces of a bent solid to its blank. Knows no kernel."""
