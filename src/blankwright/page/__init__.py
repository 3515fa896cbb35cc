"""The local web page: one file per view."""
