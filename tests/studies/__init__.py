"""Simulation studies that choose a method and prove it."""
