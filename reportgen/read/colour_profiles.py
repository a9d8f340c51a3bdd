"""Colour profiles for pictures that name their colours in a tag and carry no profile along.

A camera set to Adobe RGB says so by the interoperability index R03 alone; a HEIC may state its
primaries by number. Without a profile such colours would be shown as if they were sRGB: too dull.
"""

from __future__ import annotations

import struct
from functools import cache

import numpy as np
from numpy.typing import NDArray

Chromaticities = tuple[tuple[float, float], tuple[float, float], tuple[float, float]]

ADOBE_RGB: Chromaticities = ((0.6400, 0.3300), (0.2100, 0.7100), (0.1500, 0.0600))
"""Adobe RGB (1998) Color Image Encoding, version 2005-05, section 4.3.1.2 (from memory)."""
_ADOBE_GAMMA = 563 / 256

DISPLAY_P3: Chromaticities = ((0.6800, 0.3200), (0.2650, 0.6900), (0.1500, 0.0600))
"""ITU-T H.273, table 2, value 12 (from memory); with the transfer curve of sRGB."""

_D65 = (0.3127, 0.3290)
_D50 = np.array([0.9642, 1.0, 0.8249])
"""White of the profile connection space, ICC.1:2010, section 7.2.16."""
_BRADFORD = np.array(
    [[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]]
)
"""ICC.1:2010, annex E.3."""


@cache
def adobe_rgb_profile() -> bytes:
    """Return an ICC profile of Adobe RGB (1998)."""
    # Parametric curve, type 0: Y = X ** g.
    return _matrix_profile(ADOBE_RGB, struct.pack(">HHi", 0, 0, _fixed(_ADOBE_GAMMA)))


@cache
def display_p3_profile() -> bytes:
    """Return an ICC profile of the P3 primaries with the curve of sRGB."""
    # Parametric curve, type 3: Y = (a X + b) ** g from d on, c X below (IEC 61966-2-1).
    parameters = (2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045)
    curve = struct.pack(">HH5i", 3, 0, *(_fixed(value) for value in parameters))
    return _matrix_profile(DISPLAY_P3, curve)


def _matrix_profile(primaries: Chromaticities, curve: bytes) -> bytes:
    """Return a display profile of three colorants and one curve (ICC.1:2010, section 8.4.3)."""
    colorants = _colorants(primaries)
    elements = {
        **{
            name: b"XYZ \0\0\0\0" + _xyz(colorants[:, index])
            for index, name in enumerate((b"rXYZ", b"gXYZ", b"bXYZ"))
        },
        **dict.fromkeys((b"rTRC", b"gTRC", b"bTRC"), b"para\0\0\0\0" + curve),
        b"wtpt": b"XYZ \0\0\0\0" + _xyz(_D50),
    }
    at = 128 + 4 + 12 * len(elements)
    table, body = struct.pack(">I", len(elements)), b""
    for name, element in elements.items():
        table += struct.pack(">4sII", name, at + len(body), len(element))
        body += element
    return _header(at + len(body)) + table + body


def _header(size: int) -> bytes:
    """Return the header: version 4, a display, RGB to XYZ (ICC.1:2010, section 7.2)."""
    start = struct.pack(">I4sI4s4s4s", size, b"", 0x04000000, b"mntr", b"RGB ", b"XYZ ")
    return (start + bytes(12) + b"acsp" + bytes(28) + _xyz(_D50)).ljust(128, b"\0")


def _colorants(primaries: Chromaticities) -> NDArray[np.float64]:
    """Return the XYZ of the primaries at full strength, one a column, adapted to D50."""
    directions = np.array([_of_luminance_one(*place) for place in primaries]).T
    white = np.array(_of_luminance_one(*_D65))
    unadapted = directions * np.linalg.solve(directions, white)
    gains = (_BRADFORD @ _D50) / (_BRADFORD @ white)
    adapted: NDArray[np.float64] = np.linalg.solve(
        _BRADFORD, gains[:, None] * (_BRADFORD @ unadapted)
    )
    return adapted


def _of_luminance_one(x: float, y: float) -> tuple[float, float, float]:
    return x / y, 1.0, (1.0 - x - y) / y


def _xyz(values: NDArray[np.float64]) -> bytes:
    return struct.pack(">3i", *(_fixed(float(value)) for value in values))


def _fixed(value: float) -> int:
    """Return an s15Fixed16Number (ICC.1:2010, section 4.6)."""
    return round(value * 65536)
