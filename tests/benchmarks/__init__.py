"""Measurements of speed and weight, run by hand."""
