"""Which figures a site may show whose author tells no places: one rule for all of them."""

from __future__ import annotations

import re
from dataclasses import replace

from reportgen.results.figure import Absent, Figure

BAND_ENDS_M = (0, 500, 1_000, 2_000, 5_000, 10_000, 20_000, 50_000)
"""Distances are told between two of these; the last band has no end. [m]"""

_SUBJECT = (
    r"(campaign|walk\.[^.]+|other(\.[^.]+)?)"
    r"(\.node\.[^.]+)?(\.(station|downlink)\.[^.]+)?(\.data_rate\.[^.]+)?"
)
"""A campaign, a walk or another's station as a whole: no ring, sector, square, photo or law."""
_LEVELS = "rssi_dbm|snr_db|snr_margin_db|link_margin_db|signal_dbm"
_WHOLE = (
    rf"frames_(?!.*there$)[a-z_]+|delivery_ratio|({_LEVELS})_median|duration_s|standing_s|pace_mps"
    r"|frame_spacing_m|longest_run_inferred|gaps_not_filled|clock_behind_s|other_stations_heard"
    r"|walks_heard_on|too_strong|silent_channels|counters_distinct"
)
_LINK = (
    r"receptions|measured_dbm|sensitivity_dbm|largest_loss_db|largest_loss_seen_db|imbalance_db"
    r"|limiting_direction|eirp_dbm|radio_dbm|terminals_dbm"
)
"""Of a link what its ends allow, and the median of what was measured; not over which distance."""
_KEPT = (
    rf"{_SUBJECT}\.({_WHOLE})",
    r"(input|safety|comparison)\..+",
    r"camera\.[^.]+\.clock_[a-z_]+",
    r"setup\.(radio|rate|station|node)\..+",
    rf"setup\.(uplink|downlink|link)\..+\.({_LINK})",
)
_IS_KEPT = re.compile("|".join(f"(?:{pattern})" for pattern in _KEPT))
_IS_BAND = re.compile(
    rf"{_SUBJECT}\.(farthest_(heard|walked|sent)_m|half_distance_m|track_length_m)"
)
_BAND = re.compile(r"(\d+)-(\d*)")


def coarse_figure(figure: Figure) -> Figure:
    """Return a figure as a coarse site shows it: whole, as a band, or with the reason why not.

    Kept are counts, shares, medians over whole walks, and what does not hang on any place. A
    distance becomes the band it lies in. Whatever this rule does not name is left out, so that a
    figure made later is no leak.
    """
    if _IS_KEPT.fullmatch(figure.name):
        return figure
    if _IS_BAND.fullmatch(figure.name):
        return _banded(figure)
    return replace(
        figure,
        value=None,
        absent_reason=Absent.WITHHELD_COARSE,
        low=None,
        high=None,
        count=None,
        where=None,
        prefix="",
    )


def band_ends(figure: Figure) -> tuple[float, float | None] | None:
    """Return the ends of a figure's band, None for any other figure; the last has no far end."""
    found = _BAND.fullmatch(figure.value) if isinstance(figure.value, str) else None
    if found is None or figure.unit != "m":
        return None
    return float(found[1]), float(found[2]) if found[2] else None


def _banded(figure: Figure) -> Figure:
    if figure.number is None:
        return figure
    low = max((end for end in BAND_ENDS_M if end <= figure.number), default=BAND_ENDS_M[0])
    above = [end for end in BAND_ENDS_M if end > low]
    return replace(
        figure,
        value=f"{low}-{above[0] if above else ''}",
        low=None,
        high=None,
        count=None,
        where=None,
    )
