"""Where the folders that travel with the package lie: inside it, or in a clone beside it."""

from __future__ import annotations

from pathlib import Path

from reportgen.errors import PageError

_PACKAGE = Path(__file__).resolve().parent.parent


def shipped_folder(name: str) -> Path:
    """Return the folder `name` (``site_template`` or ``example_campaign``).

    Raises
    ------
    PageError
        If the installation is incomplete.
    """
    for parent in (_PACKAGE, _PACKAGE.parent):
        if (parent / name).is_dir():
            return parent / name
    raise PageError(f"the folder {name} is missing from this installation: install it again")
