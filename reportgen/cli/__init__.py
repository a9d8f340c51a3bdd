"""The command line: parses arguments, runs the chain, prints problems."""
