"""Makes the example campaign: an invented island, its own physics, and nothing of the package."""
