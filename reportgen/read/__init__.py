"""Bytes in, records and problems out; the only layer that opens campaign files."""
