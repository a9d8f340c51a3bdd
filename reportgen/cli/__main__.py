"""Runs the command line as a module."""

from reportgen.cli.main import main

main()
