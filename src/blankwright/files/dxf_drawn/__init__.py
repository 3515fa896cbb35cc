"""Drawings from elsewhere: flat DXF drawings, whatever program made them, read into blanks."""
