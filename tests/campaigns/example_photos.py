"""What the site of the example calls its photos, whose files are numbered as it numbers them."""

from __future__ import annotations


def photo_key(name: str) -> str:
    """Return the published key of a photo by the name of its file, such as 4 of 04-mole-end."""
    return str(int(name.split("-", maxsplit=1)[0]))
