"""Static-site reports of radio field campaigns."""

__version__ = "0.1.0"
