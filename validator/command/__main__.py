"""Run the command line: python -m validator.command."""

from . import main

if __name__ == "__main__":
    main()
