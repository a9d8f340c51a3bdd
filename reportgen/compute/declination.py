"""Where a compass points: the direction of magnetic north by a model of the earth's field."""

from __future__ import annotations

import datetime as dt
import math
from dataclasses import dataclass

from pygeomag import GeoMag
from pygeomag.wmm.wmm_2015v2 import WMM_2015v2
from pygeomag.wmm.wmm_2020 import WMM_2020
from pygeomag.wmm.wmm_2025 import WMM_2025

from reportgen.compute.domain import within

_MODELS = ((2015.0, WMM_2015v2), (2020.0, WMM_2020), (2025.0, WMM_2025))
_LASTS_YEARS = 5.0
_BLACKOUT_NT = 2_000.0
"""Less horizontal field than this turns no needle: the model's own blackout zone. [nT]"""
_TWO_SIGMA = 1.96


@dataclass(frozen=True, slots=True, kw_only=True)
class Declination:
    """Angle from true to magnetic north, east positive, by the model of that name.

    `error_deg` is the half-width of a 95 % interval: what the model leaves out. [deg]
    """

    value_deg: float
    error_deg: float
    model: str


def year_of(when: dt.datetime) -> float:
    """Return a time as a decimal year, as the model counts it: 2026.5 is the middle of 2026."""
    first, after = (dt.datetime(year, 1, 1, tzinfo=dt.UTC) for year in (when.year, when.year + 1))
    return when.year + (when - first) / (after - first)


def magnetic_declination(
    latitude_deg: float, longitude_deg: float, *, decimal_year: float
) -> Declination | None:
    """Return the declination at a place on the ellipsoid, None where no model knows it.

    Parameters
    ----------
    latitude_deg, longitude_deg : float
        WGS 84. [deg]
    decimal_year : float
        Such as 2026.44; the models cover 2015.0 to 2030.0.

    Returns
    -------
    Declination or None
        None outside those years, and near the magnetic poles, where a compass is of no use.

    Raises
    ------
    DomainError
        If the place is not on the earth.

    Notes
    -----
    Height is taken as zero: a kilometre changes the angle by a hundredth of a degree or so.

    References
    ----------
    .. [1] World Magnetic Model (WMM2015v2, WMM2020, WMM2025), NOAA National Centers for
       Environmental Information and British Geological Survey; evaluated by pygeomag, which also
       carries the model's published error (one standard deviation).
    """
    latitude = float(within("latitude_deg", latitude_deg, -90.0, 90.0))
    longitude = float(within("longitude_deg", longitude_deg, -360.0, 360.0))
    for first_year, coefficients in _MODELS:
        if first_year <= decimal_year < first_year + _LASTS_YEARS:
            model = GeoMag(coefficients_data=coefficients)
            field = model.calculate(glat=latitude, glon=longitude, alt=0.0, time=decimal_year)
            if field.h < _BLACKOUT_NT or not math.isfinite(field.d):
                return None
            error_deg = _TWO_SIGMA * field.calculate_uncertainty().d
            return Declination(value_deg=field.d, error_deg=error_deg, model=model.model)
    return None
