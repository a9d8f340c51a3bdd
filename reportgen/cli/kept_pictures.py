"""Published pictures as one piece of bytes, and back: a line that says what follows."""

from __future__ import annotations

import json
from collections.abc import Iterable

from reportgen.model.photo import Picture


def packed(pictures: Iterable[Picture]) -> bytes:
    """Return pictures as bytes."""
    listed = tuple(pictures)
    head = [[item.name, item.width_px, item.height_px, len(item.content)] for item in listed]
    return json.dumps(head).encode() + b"\n" + b"".join(item.content for item in listed)


def unpacked(content: bytes | None) -> tuple[Picture, ...]:
    """Return the pictures in what `packed` made; none where there is nothing."""
    if content is None:
        return ()
    head, _, body = content.partition(b"\n")
    pictures, start = [], 0
    for name, width_px, height_px, length in json.loads(head):
        part = body[start : start + length]
        pictures.append(Picture(name=name, width_px=width_px, height_px=height_px, content=part))
        start += length
    return tuple(pictures)
