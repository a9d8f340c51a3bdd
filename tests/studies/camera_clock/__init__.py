"""How often the interval of a camera's clock holds the truth; own walks, own noise."""
