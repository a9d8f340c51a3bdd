"""How often the intervals of the distance law hold the truth, by simulated campaigns."""
