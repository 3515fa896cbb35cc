"""Adapters: every file format and heavy library behind one module each."""
