"""What the site calls a file of the campaign, where its own name is not let out."""

from __future__ import annotations

import re
from pathlib import PurePosixPath

from reportgen.errors import Where
from reportgen.pages.words import Words

_PUBLISHED = re.compile(r"(log|track|photo|overlay|file)-([1-9]\d*)")
_ALONE = {"conclusions": "conclusions", "file-0": "other"}


def file_label(words: Words, path: str) -> str:
    """Return a published name in words, such as "Log 3"; the author's own name as it is."""
    found = _PUBLISHED.fullmatch(path)
    if found is not None:
        return words.say(f"files.{found[1]}", n=found[2])
    return words.say(f"files.{_ALONE[path]}") if path in _ALONE else path


def place_label(words: Words, where: Where) -> str:
    """Return a file and line in words; the author's own name as an editor opens it."""
    label = file_label(words, where.path)
    if label == where.path:
        return str(where)
    return words.say("files.line", file=label, line=where.line) if where.line else label


def overlay_title(words: Words, path: str, title: str) -> str:
    """Return the author's title of an overlay, or what stands for it."""
    label = file_label(words, path)
    return title or (PurePosixPath(path).stem if label == path else label)
