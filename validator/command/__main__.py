"""Run the command line: python -m validator.command."""

from . import main

main()
