"""Run the command line as ``python -m leadsman``."""

from leadsman.cli import main

if __name__ == "__main__":
    main()
