"""Migrations of the job book: how each version is made from the one before."""
