"""Runs the command line as ``python -m reportgen``."""

from reportgen.cli.main import main

main()
