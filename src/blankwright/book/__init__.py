"""The job book: what is to do, what waits, what was done, measured and changed."""
