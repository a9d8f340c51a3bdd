"""A circle that hides a place without having it at its middle."""

from __future__ import annotations

import hashlib
import math
import struct

from reportgen.compute.domain import positive, within
from reportgen.compute.geodesy import from_local_metres

SLACK_RATIO = 1e-3
"""Local metres and geodesics differ by less than this over kilometres."""
LEAST_SHARE, LARGEST_SHARE = 0.3, 0.8
"""How far the middle is moved, in radii (our choice): enough to matter, little enough that the
hole does not grow to twice its width."""


def moved_circle(
    latitude_deg: float, longitude_deg: float, *, radius_m: float
) -> tuple[float, float, float]:
    """Return a larger circle that holds the whole of a smaller one, its middle moved.

    Parameters
    ----------
    latitude_deg, longitude_deg : float
        Middle of the circle that has to be hidden. [deg]
    radius_m : float
        Its radius. [m], > 0

    Returns
    -------
    (latitude_deg, longitude_deg, radius_m) : tuple of float
        The middle moved by 0.3 to 0.8 radii, the radius longer by as much. [deg, deg, m]

    Raises
    ------
    DomainError
        If the radius is not positive or the place is none.

    Notes
    -----
    Direction and distance come from a hash of the numbers given, so that the same description
    always leaves the same hole: holes that differed from one build to the next would together
    give the place away. Spread evenly over the ring of places the middle may be moved to.
    """
    within("latitude_deg", latitude_deg, -90.0, 90.0)
    within("longitude_deg", longitude_deg, -180.0, 180.0)
    radius = float(positive("radius_m", radius_m))
    digest = hashlib.sha256(struct.pack("<3d", latitude_deg, longitude_deg, radius)).digest()
    turn, far = (part / 2.0**64 for part in struct.unpack("<2Q", digest[:16]))
    share = math.sqrt(LEAST_SHARE**2 + far * (LARGEST_SHARE**2 - LEAST_SHARE**2))
    away_m, bearing = share * radius, 2.0 * math.pi * turn
    latitude, longitude = from_local_metres(
        away_m * math.sin(bearing), away_m * math.cos(bearing), latitude_deg, longitude_deg
    )
    return float(latitude), float(longitude), (1.0 + SLACK_RATIO) * (radius + away_m)
