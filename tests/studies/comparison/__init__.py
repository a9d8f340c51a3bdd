"""How often intervals of compared walks hold the truth, by simulated campaigns."""
