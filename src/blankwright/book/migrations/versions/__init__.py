"""One file for each version of the job book."""
