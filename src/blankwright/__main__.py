"""Run the command line with ``python -m blankwright``."""

from blankwright.cli.main import main

if __name__ == "__main__":
    main()
