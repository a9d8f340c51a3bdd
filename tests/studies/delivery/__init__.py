"""Simulated walks with known delivery: do the intervals and verdicts hold?"""
