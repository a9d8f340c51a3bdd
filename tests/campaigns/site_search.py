"""Looks for texts in every byte of a finished site, however they are wrapped.

Knows nothing of the package: what a stranger with a hex editor could find, this has to find.
"""

from __future__ import annotations

import base64
import binascii
import gzip
import html
import io
import json
import re
import zipfile
import zlib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from urllib.parse import unquote_to_bytes

from PIL import Image

DEEPEST = 4
"""Wrappings within wrappings that are opened: a picture in a page in an archive is three."""
LARGEST = 100_000_000

_DATA_ADDRESS = re.compile(rb"base64,([A-Za-z0-9+/_\-]{8,}={0,2})")
_ZLIB_START = re.compile(rb"\x78[\x01\x5e\x9c\xda]")
_JSON_ESCAPE = re.compile(rb"(?:\\u[0-9a-fA-F]{4}|\\[/\"\\bfnrt])+")
_PICTURES = {".jpg", ".jpeg", ".png", ".webp", ".avif", ".gif"}
_HARMLESS = {"jfif", "jfif_version", "jfif_unit", "jfif_density", "dpi", "progressive",
             "progression", "background", "loop", "duration", "timestamp"}  # fmt: skip
"""What Pillow says of a picture that holds pixels and nothing else."""


@dataclass(frozen=True, slots=True)
class Found:
    """A text that stands in a file, and how it was wrapped."""

    file: str
    wrapping: str
    text: str


def search(site: Path, texts: Iterable[str]) -> list[Found]:
    """Return where any of the texts stands in a site, in contents and in names of files."""
    wanted = frozenset(texts)
    found = []
    for path in sorted(site.rglob("*")):
        name = path.relative_to(site).as_posix()
        found += [Found(name, "name", text) for text in _texts_in(name.encode(), _spelled(wanted))]
        if path.is_file():
            hits = _found_in(path.read_bytes(), wanted)
            found += [Found(name, wrapping, text) for wrapping, text in hits]
    return found


@cache
def _found_in(content: bytes, wanted: frozenset[str]) -> tuple[tuple[str, str], ...]:
    """Return the texts that stand in a content: many sites have the same files."""
    return tuple(
        (wrapping, text)
        for wrapping, inner in _opened("", content, DEEPEST, set())
        for text in _texts_in(inner, _spelled(wanted))
    )


@cache
def _spelled(wanted: frozenset[str]) -> dict[str, _Needles]:
    return {text: _needles(text) for text in sorted(wanted)}


def layers(site: Path) -> Iterator[tuple[str, bytes]]:
    """Yield every file with its name and contents, and what is wrapped in them, as "file: how"."""
    for path in sorted(site.rglob("*")):
        for wrapping, content in _layers(path, site):
            yield f"{path.relative_to(site).as_posix()}: {wrapping}", content


def leftovers(site: Path) -> list[Found]:
    """Return what pictures of a site carry beside pixels."""
    return [
        Found(path.relative_to(site).as_posix(), "picture", str(key))
        for path in sorted(site.rglob("*"))
        if path.suffix.lower() in _PICTURES
        for key in _carried(path)
    ]


def _carried(path: Path) -> list[str]:
    with Image.open(path) as image:
        image.load()
        exif = ["exif"] if len(image.getexif()) else []
        return exif + [str(key) for key in image.info if key not in _HARMLESS]


def _layers(path: Path, site: Path) -> Iterator[tuple[str, bytes]]:
    yield "name", path.relative_to(site).as_posix().encode()
    if path.is_file():
        yield from _opened("", path.read_bytes(), DEEPEST, set())


def _opened(
    wrapping: str, content: bytes, depth: int, seen: set[int]
) -> Iterator[tuple[str, bytes]]:
    """Yield a content and everything that is wrapped in it, each once."""
    if hash(content) in seen:
        return
    seen.add(hash(content))
    yield wrapping or "raw", content
    for name, inner in _inner(content, wrapping) if depth else ():
        yield from _opened(f"{wrapping} {name}".strip(), inner, depth - 1, seen)


def _inner(content: bytes, wrapping: str) -> Iterator[tuple[str, bytes]]:
    yield from _compressed(content)
    for found in _DATA_ADDRESS.finditer(content):
        yield from _from_base64(found[1])
    if b"\0" in content[:1000]:
        return
    # In JSON stands HTML, in HTML stand addresses: the other way round nobody writes them.
    last = wrapping.rpartition(" ")[2]
    if b"\\" in content and last not in ("json", "html", "percent"):
        yield "json", _JSON_ESCAPE.sub(_unescaped, content)
    if b"&" in content and last not in ("html", "percent"):
        text = html.unescape(content.decode("utf-8", "replace"))
        yield "html", text.encode("utf-8", "replace")
    if b"%" in content and last != "percent":
        yield "percent", unquote_to_bytes(content)


def _compressed(content: bytes) -> Iterator[tuple[str, bytes]]:
    if content[:2] == b"\x1f\x8b":
        yield "gzip", gzip.decompress(content)
    if content[:4] == b"PK\x03\x04":
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            for name in archive.namelist():
                yield "zip", name.encode() + b"\n" + archive.read(name)
    # PNG keeps its pixels and its compressed texts so; anything else may, at any place.
    for start in _ZLIB_START.finditer(content):
        try:
            inner = zlib.decompressobj().decompress(content[start.start() :], LARGEST)
        except zlib.error:
            continue
        if len(inner) > 3:
            yield "zlib", inner


def _from_base64(letters: bytes) -> Iterator[tuple[str, bytes]]:
    plain = letters.replace(b"-", b"+").replace(b"_", b"/").rstrip(b"=")
    plain = plain[: len(plain) - (len(plain) % 4 == 1)]
    try:
        yield "base64", base64.b64decode(plain + b"=" * (-len(plain) % 4))
    except binascii.Error:
        return


def _unescaped(found: re.Match[bytes]) -> bytes:
    try:
        return str(json.loads(b'"' + found[0] + b'"')).encode("utf-8", "replace")
    except ValueError:
        return found[0]


@dataclass(frozen=True, slots=True)
class _Needles:
    """Spellings of one text: those that letter case does not matter for, and base64."""

    plain: bytes
    wide: tuple[bytes, ...]
    exact: tuple[bytes, ...]


def _needles(text: str) -> _Needles:
    plain = text.encode()
    # Inside UTF-16, and inside base64 of something longer that may begin anywhere in three.
    wide = [text.encode(f"utf-16-{end}") for end in ("le", "be")]
    coded = []
    for before in range(3):
        letters = base64.b64encode(b"\0" * before + plain)
        # Letters of six bits that the text alone decides: none that its neighbours have a part in.
        first, last = (0, 2, 3)[before], 8 * (before + len(plain)) // 6
        coded.append(letters[first:last])
    return _Needles(
        plain=plain.lower(),
        wide=tuple(spelling.lower() for spelling in wide),
        exact=tuple(part for part in coded if len(part) >= 8),
    )


def _texts_in(content: bytes, needles: dict[str, _Needles]) -> Iterator[str]:
    folded = content.lower()
    has_nul = b"\0" in content
    for text, spellings in needles.items():
        if (
            spellings.plain in folded
            or (has_nul and any(part in folded for part in spellings.wide))
            or any(part in content for part in spellings.exact)
        ):
            yield text
