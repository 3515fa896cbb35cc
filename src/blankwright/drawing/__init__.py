"""A neutral drawing that DXF, SVG and PDF all draw."""
