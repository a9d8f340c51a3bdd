"""Turns pages into a site on disk; the only layer that knows MkDocs."""
