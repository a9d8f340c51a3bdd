"""What is kept between builds: pictures and fits, found again by what they were made of.

Safe to delete at any time, and safe under several builds at once: a file's name is the checksum
of everything that its content depends on, it is moved to its place whole, and what does not read
as it should counts as not there.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import tempfile
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.metadata import version
from pathlib import Path
from typing import TypeVar

import numpy as np
from pydantic import TypeAdapter, ValidationError

import reportgen

T = TypeVar("T")

FOLDER = "REPORTGEN_KEPT"
"""Names another folder; blank: nothing is kept."""
ENDING = ".kept"
MOST_BYTES = 1_000_000_000
"""The files not used for longest go first."""
_SUM_BYTES = 32
_LIBRARIES = ("numpy", "scipy", "pandas", "pillow", "pi-heif", "pyproj", "pydantic")


def kept_folder() -> Path | None:
    """Return where things are kept, by the XDG Base Directory Specification; None for nowhere."""
    named = os.environ.get(FOLDER)
    if named is not None:
        return Path(named) if named else None
    caches = os.environ.get("XDG_CACHE_HOME", "")
    with contextlib.suppress(RuntimeError):
        return (
            Path(caches) if Path(caches).is_absolute() else Path.home() / ".cache"
        ) / "reportgen"
    return None


@cache
def fingerprint() -> str:
    """Return a checksum of this program and of the libraries it computes with."""
    digest = hashlib.sha256(reportgen.__version__.encode())
    for name in _LIBRARIES:
        digest.update(f"{name} {version(name)}\n".encode())
    root = Path(reportgen.__file__).parent
    for path in sorted(root.rglob("*.py")):
        digest.update(path.relative_to(root).as_posix().encode())
        digest.update(path.read_bytes())
    return digest.hexdigest()


@dataclass(frozen=True, slots=True)
class Kept:
    """A folder of things kept; None keeps nothing."""

    folder: Path | None

    def get(self, key: str) -> bytes | None:
        """Return what is kept under a key; None where nothing usable is."""
        if self.folder is None:
            return None
        path = self.folder / f"{key}{ENDING}"
        try:
            content = path.read_bytes()
            if hashlib.sha256(memoryview(content)[_SUM_BYTES:]).digest() != content[:_SUM_BYTES]:
                return None
            os.utime(path)
        except OSError:
            return None
        return content[_SUM_BYTES:]

    def put(self, key: str, *pieces: bytes) -> None:
        """Keep pieces as one; where that can't be done, nothing is lost but time."""
        if self.folder is None:
            return
        with contextlib.suppress(OSError):
            self.folder.mkdir(parents=True, exist_ok=True, mode=0o700)
            handle, name = tempfile.mkstemp(prefix=".", suffix=ENDING, dir=self.folder)
            try:
                digest = hashlib.sha256()
                for piece in pieces:
                    digest.update(piece)
                with os.fdopen(handle, "wb") as stream:
                    stream.writelines((digest.digest(), *pieces))
                Path(name).replace(self.folder / f"{key}{ENDING}")
            except OSError:
                Path(name).unlink(missing_ok=True)

    def memo(self, kind: type[T], arguments: Mapping[str, object], work: Callable[[], T]) -> T:
        """Return what `work` returns, from what is kept where it was done before."""
        key = key_of((kind.__name__, *(part for item in arguments.items() for part in item)))
        adapter = TypeAdapter(kind)
        content = self.get(key)
        if content is not None:
            with contextlib.suppress(ValidationError, ValueError):
                return adapter.validate_python(json.loads(content))
        made = work()
        self.put(key, json.dumps(adapter.dump_python(made)).encode())
        return made

    def prune(self, most_bytes: int = MOST_BYTES) -> None:
        """Delete what was not used for longest, until no more is kept than `most_bytes`."""
        if self.folder is None:
            return
        with contextlib.suppress(OSError):
            found = [(path.stat(), path) for path in self.folder.glob(f"*{ENDING}")]
            found.sort(key=lambda item: item[0].st_mtime, reverse=True)
            total = 0
            for stat, path in found:
                total += stat.st_size
                if total > most_bytes:
                    path.unlink(missing_ok=True)


def key_of(parts: Iterable[object]) -> str:
    """Return the key of something made of these parts by this program."""
    digest = hashlib.sha256(fingerprint().encode())
    for part in parts:
        if isinstance(part, np.ndarray):
            digest.update(f"{part.dtype} {part.shape}".encode())
            digest.update(np.ascontiguousarray(part).tobytes())
        elif isinstance(part, bytes):
            digest.update(hashlib.sha256(part).digest())
        else:
            digest.update(repr(part).encode())
        digest.update(b"\0")
    return digest.hexdigest()
