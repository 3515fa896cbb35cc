"""The job book: what is to do, what waits on what, what was done, measured and changed."""
