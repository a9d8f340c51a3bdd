"""The command that begins a campaign folder."""

from __future__ import annotations

from pathlib import Path

from reportgen.pages.shipped import shipped_folder
from reportgen.read.starter import copy_campaign, write_starter


def begin_campaign(folder: Path, *, from_example: bool) -> tuple[Path, ...]:
    """Write a starter description into a folder, or copy the example campaign there."""
    if not from_example:
        return write_starter(folder)
    return copy_campaign(shipped_folder("example_campaign"), folder)
