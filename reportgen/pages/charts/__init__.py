"""Charts and maps: one description, a still drawing and an interactive one."""
