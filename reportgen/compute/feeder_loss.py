"""What a coaxial line loses when it is matched: by length, by frequency, by type of cable.

A type number says roughly how thick a cable is, not what it loses: tables of one type differ by a
fifth between makers and constructions. The maker's data sheet of the very cable, or a
measurement, is better than anything here.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from reportgen.compute.domain import floats, positive, within

FEET = 0.3048
"""Metres in one international foot, exact. [m]"""

REACH_FACTOR = 2.0
"""How far beyond the listed frequencies the slope at the end is continued (our choice)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CableType:
    """A standard type of coaxial cable.

    Attributes
    ----------
    name : str
        As people write it: RG-58.
    aliases : tuple of str
        Designations of the same construction, capitals and digits only: RG58CU.
    points : tuple of (float, float)
        Frequency and attenuation, ascending. [Hz], [dB/100 m]
    source : str
        Where the points were found.
    impedance_ohm : float
        [ohm]
    """

    name: str
    aliases: tuple[str, ...]
    points: tuple[tuple[float, float], ...]
    source: str
    impedance_ohm: float = 50.0


def per_100m_from_per_100ft(db_per_100ft: ArrayLike) -> NDArray[np.float64]:
    """Attenuation over 100 m, from that over 100 ft. [dB/100 m]"""
    return floats(floats(db_per_100ft) / FEET)


def _listed(*points: tuple[float, float]) -> tuple[tuple[float, float], ...]:
    """Return points given in MHz and dB/100 m."""
    return tuple((frequency_mhz * 1e6, loss_db) for frequency_mhz, loss_db in points)


def _listed_per_foot(*points: tuple[float, float]) -> tuple[tuple[float, float], ...]:
    """Return points given in MHz and dB/100 ft."""
    return _listed(*((mhz, float(per_100m_from_per_100ft(loss_db))) for mhz, loss_db in points))


_GUIDE = "Codan Radio, Radio Repeater Systems Training Guide, appendix H (nominal)"
_MANUAL = "ARRL General Class License Manual, table 6-1 as corrected (typical)"
_SHEET = "a maker's data sheet for this type, seen second-hand"

CABLES: tuple[CableType, ...] = (
    CableType(
        name="RG-58",
        aliases=("RG58", "RG58U", "RG58A", "RG58AU", "RG58C", "RG58CU"),
        # The guide's 35.5 at 450 MHz is misprinted: it does not match its own figure per foot.
        points=_listed((50, 10.8), (150, 20.0), (850, 58.2), (1000, 66.2)),
        source=f"{_GUIDE}; at 1000 MHz {_SHEET}. Published figures at 1000 MHz: 52 to 79 dB/100 m",
    ),
    CableType(
        name="RG-8X",
        aliases=("RG8X", "RG8XU", "RG8XFOAM", "RG8MINI", "MINI8", "MINIRG8"),
        points=_listed_per_foot((30, 1.96), (150, 4.53), (450, 8.6), (1000, 12.8)),
        source=f"{_MANUAL}; at 450 MHz a radio club's table (scc-ares-races.org); at 1000 MHz a "
        "catalogue seen second-hand. Published figures at 1000 MHz: 37 to 44 dB/100 m",
    ),
    CableType(
        name="RG-213",
        aliases=("RG213", "RG213U"),
        points=_listed((50, 4.9), (150, 8.9), (450, 16.3), (850, 24.7), (1000, 26.9)),
        source=f"{_GUIDE}; at 1000 MHz a dealer's table (8.2 dB/100 ft), seen second-hand",
    ),
    CableType(
        name="RG-8",
        aliases=("RG8", "RG8U", "RG8A", "RG8AU"),
        points=_listed_per_foot((30, 1.08), (150, 2.53)),
        source=_MANUAL,
    ),
    CableType(
        name="RG-8 foam",
        aliases=("RG8FOAM", "RG8UFOAM"),
        points=_listed((50, 3.9), (150, 7.2), (450, 13.0), (850, 17.0)),
        source=_GUIDE,
    ),
    CableType(
        name="RG-174",
        aliases=("RG174", "RG174U", "RG174A", "RG174AU"),
        points=_listed(
            (100, 28.4),
            (200, 40.4),
            (300, 49.7),
            (400, 57.5),
            (600, 70.8),
            (800, 82.1),
            (1000, 92.2),
        ),
        source=f"{_SHEET}. Published figures at 1000 MHz: 92 to 120 dB/100 m",
    ),
    CableType(
        name="RG-178",
        aliases=("RG178", "RG178U", "RG178B", "RG178BU"),
        points=_listed(
            (200, 66.7),
            (400, 96.3),
            (600, 119.9),
            (800, 140.3),
            (1000, 158.7),
            (1400, 191.5),
            (2000, 234.6),
            (3000, 296.8),
        ),
        source=_SHEET,
    ),
    CableType(
        name="RG-188",
        aliases=("RG188", "RG188U", "RG188A", "RG188AU"),
        points=_listed((50, 25.9), (150, 43.5), (450, 68.3), (850, 87.5)),
        source=_GUIDE,
    ),
    CableType(
        name="RG-316",
        aliases=("RG316", "RG316U"),
        points=_listed(
            (200, 36.5),
            (400, 52.8),
            (600, 65.7),
            (800, 76.9),
            (1000, 87.0),
            (1400, 105.0),
            (2000, 128.7),
            (3000, 163.0),
        ),
        source=f"{_SHEET}; another prints 102 dB/100 m at 1000 MHz",
    ),
    CableType(
        name="RG-142",
        aliases=("RG142", "RG142U", "RG142B", "RG142BU"),
        points=_listed((100, 11.0), (200, 15.0), (400, 23.0), (1000, 43.0)),
        source=_SHEET,
    ),
    CableType(
        name="RG-303",
        aliases=("RG303", "RG303U"),
        points=_listed((50, 8.8), (150, 15.1), (450, 27.6), (850, 37.0)),
        source=_GUIDE,
    ),
    CableType(
        name="RG-393",
        aliases=("RG393", "RG393U"),
        points=_listed((50, 4.6), (150, 8.5), (450, 15.6), (850, 21.3)),
        source=_GUIDE,
    ),
    CableType(
        name="RG-59",
        aliases=("RG59", "RG59U", "RG59A", "RG59AU", "RG59B", "RG59BU"),
        points=_listed_per_foot(
            (100, 3.4), (200, 4.9), (400, 7.0), (700, 9.7), (900, 11.1), (1000, 12.0)
        ),
        source=_SHEET,
        impedance_ohm=75.0,
    ),
)
"""Types of solid or foam coaxial cable in common use, 50 ohm unless it says otherwise."""

_PLAIN_HYPHEN = dict.fromkeys((0x2010, 0x2011, 0x2012, 0x2013, 0x2212), "-")

_BY_ALIAS = {alias: cable for cable in CABLES for alias in cable.aliases}

_DESIGNATION = re.compile(
    r"(?<![A-Z0-9])(?:MINI[\s-]?RG[\s-]?8|MINI[\s-]?8"
    r"|RG[\s/_-]?\d{1,3}(?:[\s/-]?(?:MINI|X|[A-F]?[\s/-]?U|[A-F]))?(?:[\s/-]?U)?"
    r"(?:[\s/-]{1,3}FOAM)?)(?![A-Z0-9])"
)

_ANOTHER_CABLE = re.compile(
    r"(?<![A-Z0-9])(?!(?:PL|SO)-?\d)[A-Z]{1,6}-?\d{2,}|\b(?:FOAM|LOW[\s-]?LOSS|SIZE|LIKE|SIMILAR)"
)
"""What stands beside a type number when the cable is of another make-up than the type."""


def cable_of(text: str) -> CableType | None:
    """Find the standard type that a description of a cable names.

    Parameters
    ----------
    text : str
        As its owner writes it: "RG 58 C/U", "rg-8x with N plugs".

    Returns
    -------
    CableType or None
        None where no type, an unknown one or more than one is named, or the description speaks of
        another construction ("RG-58 low loss").
    """
    capitals = text.upper().translate(_PLAIN_HYPHEN)
    named = {_bare(found) for found in _DESIGNATION.findall(capitals)}
    if _ANOTHER_CABLE.search(_DESIGNATION.sub(" ", capitals)):
        return None
    types = {_BY_ALIAS[name].name if name in _BY_ALIAS else "" for name in named}
    return _BY_ALIAS[named.pop()] if len(types) == 1 and "" not in types else None


def is_within_listed(cable: CableType, frequency_hz: ArrayLike) -> NDArray[np.bool_]:
    """Tell whether a frequency lies between the first and the last that a cable is listed at.

    Parameters
    ----------
    cable : CableType
    frequency_hz : array_like
        [Hz], > 0

    Returns
    -------
    ndarray of bool, same shape
        False where NaN.

    Raises
    ------
    DomainError
        If a frequency is not positive.
    """
    return _is_within(cable, frequency_hz, 1.0)


def cable_attenuation_db_per_100m(cable: CableType, frequency_hz: ArrayLike) -> NDArray[np.float64]:
    """Attenuation of a matched cable, between the frequencies it is listed at.

    Parameters
    ----------
    cable : CableType
    frequency_hz : array_like
        [Hz], > 0

    Returns
    -------
    ndarray, same shape
        NaN beyond `REACH_FACTOR` times the last frequency listed, or as far below the first.
        [dB/100 m]

    Raises
    ------
    DomainError
        If a frequency is not positive.

    Notes
    -----
    Between neighbours the attenuation is a power of the frequency (a straight line on logarithmic
    scales); beyond either end the power of the end pair goes on. The power grows from one half
    (conductors) towards one (dielectric), so that the square root taken over the whole range would
    read too low: 9 % from 450 to 850 MHz for RG-213.
    """
    frequency, attenuation = np.log(np.array(cable.points)).T
    wanted = np.log(positive("frequency_hz", frequency_hz))
    power = np.diff(attenuation) / np.diff(frequency)
    pair = np.clip(np.searchsorted(frequency, wanted) - 1, 0, power.size - 1)
    value = np.exp(attenuation[pair] + power[pair] * (wanted - frequency[pair]))
    return floats(np.where(_is_within(cable, frequency_hz, REACH_FACTOR), value, np.nan))


def line_loss_db(db_per_100m: ArrayLike, length_m: ArrayLike) -> NDArray[np.float64]:
    """Loss of a matched line: it grows with the length.

    Parameters
    ----------
    db_per_100m : array_like
        [dB/100 m], >= 0
    length_m : array_like
        [m], >= 0

    Returns
    -------
    ndarray, broadcast shape
        [dB]

    Raises
    ------
    DomainError
        If a number is negative.
    """
    per_100m = within("db_per_100m", db_per_100m, 0.0)
    return floats(per_100m * within("length_m", length_m, 0.0) / 100.0)


def _bare(designation: str) -> str:
    return re.sub(r"[^A-Z0-9]", "", designation)


def _is_within(cable: CableType, frequency_hz: ArrayLike, factor: float) -> NDArray[np.bool_]:
    frequency = positive("frequency_hz", frequency_hz)
    first_hz, last_hz = cable.points[0][0], cable.points[-1][0]
    is_within = (frequency >= first_hz / factor) & (frequency <= last_hz * factor)
    return np.asarray(is_within, dtype=np.bool_)
