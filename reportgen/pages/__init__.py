"""Text, tables and charts from results; formats, never computes."""
