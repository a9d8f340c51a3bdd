"""Figures of time on air, duty cycle, and what the spacing of frames can resolve."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from reportgen.compute.course import STANDING_MPS
from reportgen.compute.geodesy import distance_m
from reportgen.compute.local_mean import (
    averaging_length_m,
    local_mean_error_db,
    samples_within,
)
from reportgen.compute.time_on_air import duty_cycle_ratio, lora_time_on_air_s
from reportgen.match.positions import epoch_s
from reportgen.model.campaign import Campaign
from reportgen.results.figure import Absent, Figure, Maker
from reportgen.results.setup import overhead_bytes
from reportgen.results.walks import WalkResult


def airtime_figures(campaign: Campaign) -> Iterator[Figure]:
    """Yield time on air and duty cycle of the campaign's frames, by spreading factor."""
    radio = campaign.radio
    for factor in radio.spreading_factors:
        make = Maker(path=f"setup.rate.sf{factor}")
        on_air_s = time_on_air_s(campaign, factor)
        yield make.figure(
            "time_on_air_s", on_air_s, "s", "time-on-air", absent=Absent.MISSING_INPUT,
            inputs=tuple(
                f"setup.radio.{name}"
                for name in ("payload_bytes", "overhead_bytes", "bandwidth_hz", "coding_rate",
                             "preamble_symbols")
            ),
        )  # fmt: skip
        yield make.figure(
            "duty_cycle_ratio", duty_ratio(campaign, factor), "1", "duty-cycle",
            absent=_duty_reason(campaign, on_air_s),
            inputs=(f"{make.path}.time_on_air_s", "setup.radio.interval_s"),
        )  # fmt: skip


def time_on_air_s(campaign: Campaign, spreading_factor: int) -> float | None:
    """Return how long one of the campaign's frames is on air."""
    radio = campaign.radio
    if radio.payload_bytes is None or radio.bandwidth_hz is None:
        return None
    return float(
        lora_time_on_air_s(
            radio.payload_bytes + overhead_bytes(campaign),
            spreading_factor=spreading_factor,
            bandwidth_hz=radio.bandwidth_hz,
            coding_rate=radio.coding_rate,
            preamble_symbols=radio.preamble_symbols,
        )
    )


def duty_ratio(campaign: Campaign, spreading_factor: int) -> float | None:
    """Return the share of time that a node is on air."""
    on_air_s, interval_s = time_on_air_s(campaign, spreading_factor), campaign.radio.interval_s
    if on_air_s is None or interval_s is None or not on_air_s <= interval_s:
        return None
    return float(duty_cycle_ratio(on_air_s, interval_s))


def _duty_reason(campaign: Campaign, on_air_s: float | None) -> Absent:
    known = on_air_s is not None and campaign.radio.interval_s is not None
    return Absent.FASTER_THAN_FRAMES if known else Absent.MISSING_INPUT


def sampling_figures(result: WalkResult, campaign: Campaign) -> Iterator[Figure]:
    """Yield pace, spacing of frames, and how well frames at that spacing give a local mean."""
    make = Maker(path=f"walk.{result.walk.key}")
    pace, points = pace_mps(result)
    yield make.figure(
        "pace_mps", pace, "m/s", "pace", absent=Absent.NO_TRACK, count=points,
        inputs=("track_points",),
    )  # fmt: skip
    spacing_m, steps = frame_spacing_m(result)
    yield make.figure(
        "frame_spacing_m", spacing_m, "m", "frame-spacing", absent=Absent.NO_PLACE, count=steps,
        inputs=("frames",),
    )  # fmt: skip
    frequency_hz = campaign.radio.frequency_hz
    length_m = None if frequency_hz is None else float(averaging_length_m(frequency_hz))
    yield make.figure(
        "averaging_length_m", length_m, "m", "averaging-length", absent=Absent.MISSING_INPUT,
        inputs=("setup.radio.frequency_hz",),
    )  # fmt: skip
    samples = error_db = None
    if length_m is not None and spacing_m is not None and spacing_m > 0:
        samples = float(samples_within(length_m, spacing_m))
        error_db = float(local_mean_error_db(max(samples, 1.0)))
    yield make.figure(
        "samples_per_averaging_length", samples, "1", "local-mean-samples",
        absent=Absent.MISSING_INPUT,
        inputs=(f"{make.path}.averaging_length_m", f"{make.path}.frame_spacing_m"),
    )  # fmt: skip
    yield make.figure(
        "local_mean_error_db", error_db, "dB", "local-mean-error", absent=Absent.MISSING_INPUT,
        inputs=(f"{make.path}.samples_per_averaging_length",),
    )  # fmt: skip


def pace_mps(result: WalkResult) -> tuple[float | None, int]:
    """Return the median pace between track points, standing still left out."""
    track = result.track[result.track["time_utc"].notna()]
    if len(track) < 2:
        return None, len(track)
    away_m = _steps_m(track["latitude_deg"].to_numpy(float), track["longitude_deg"].to_numpy(float))
    passed_s = np.diff(epoch_s(track["time_utc"]))
    is_step = (np.diff(track["segment"].to_numpy(float)) == 0) & (passed_s > 0)
    paces = away_m[is_step] / passed_s[is_step]
    moving = paces[paces > STANDING_MPS]
    return (float(np.median(moving)), int(moving.size)) if moving.size else (None, 0)


def frame_spacing_m(result: WalkResult) -> tuple[float | None, int]:
    """Return the median distance between one frame of a node and its next."""
    steps = []
    for _, frames in result.frames.groupby("node", sort=False):
        rows = frames[frames["latitude_deg"].notna()].sort_values("time_utc", kind="stable")
        steps.append(
            _steps_m(rows["latitude_deg"].to_numpy(float), rows["longitude_deg"].to_numpy(float))
        )
    known = np.concatenate([np.array([]), *steps])
    return (float(np.median(known)), int(known.size)) if known.size else (None, 0)


def _steps_m(latitude_deg: np.ndarray, longitude_deg: np.ndarray) -> np.ndarray:
    if len(latitude_deg) < 2:
        return np.array([])
    return distance_m(latitude_deg[:-1], longitude_deg[:-1], latitude_deg[1:], longitude_deg[1:])
