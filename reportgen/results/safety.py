"""Caution distances to the own stations' antennas."""

from __future__ import annotations

from collections.abc import Iterator

from reportgen.compute.decibel import watts_from_dbm
from reportgen.compute.exposure import (
    GROUND_REFLECTION_FACTOR,
    caution_distance_m,
    fcc_general_population_limit_w_m2,
    icnirp_general_public_limit_w_m2,
    reactive_near_field_edge_m,
)
from reportgen.model.campaign import Campaign
from reportgen.results.figure import Absent, Figure, Maker
from reportgen.results.setup import station_eirp_dbm

LIMITS = (
    ("icnirp", icnirp_general_public_limit_w_m2),
    ("fcc", fcc_general_population_limit_w_m2),
)


def safety_figures(campaign: Campaign) -> Iterator[Figure]:
    """Yield reference levels and caution distances, never less than the near field's edge."""
    frequency_hz = campaign.radio.frequency_hz
    for station in campaign.own_stations:
        make = Maker(path=f"safety.station.{station.key}")
        output_dbm = station_eirp_dbm(station)
        for name, limit in LIMITS:
            limit_w_m2 = None if frequency_hz is None else float(limit(frequency_hz))
            yield make.figure(
                f"{name}_limit_w_m2", limit_w_m2, "W/m²", f"limit-{name}",
                absent=Absent.NOT_STATED, inputs=("radio.frequency_mhz",),
            )  # fmt: skip
            yield _caution(make, name, output_dbm, limit_w_m2, frequency_hz)


def _caution(
    make: Maker,
    name: str,
    output_dbm: float | None,
    limit_w_m2: float | None,
    frequency_hz: float | None,
) -> Figure:
    away_m = None
    is_near = False
    if output_dbm is not None and limit_w_m2 is not None and frequency_hz is not None:
        far_m = float(
            caution_distance_m(
                watts_from_dbm(output_dbm), limit_w_m2, reflection_factor=GROUND_REFLECTION_FACTOR
            )
        )
        # Inside the reactive near field the far-field formula says nothing.
        edge_m = float(reactive_near_field_edge_m(frequency_hz))
        away_m, is_near = max(far_m, edge_m), far_m < edge_m
    return make.figure(
        f"caution_distance_{name}_m",
        away_m,
        "m",
        "caution-distance",
        absent=Absent.NOT_STATED,
        inputs=(f"setup.{make.path.split('.', 1)[1]}.eirp_w", f"{make.path}.{name}_limit_w_m2"),
        prefix="at least" if is_near else "",
    )
