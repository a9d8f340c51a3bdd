"""What the description of lines and frames can't mean, told before anything is built."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from reportgen.compute.feeder_loss import cable_attenuation_db_per_100m, cable_of
from reportgen.compute.mismatch import return_loss_db
from reportgen.compute.time_on_air import LORAWAN_OVERHEAD_BYTES
from reportgen.errors import Problem, Severity, Where
from reportgen.model.campaign import Campaign
from reportgen.model.station import Feeder

LONGEST_LORA_PAYLOAD = 255

PROBLEM_CODES = (
    ("setup/unknown-cable", "A line's loss is not stated, and its cable not in the table."),
    ("setup/reading-contradicts-line", "A standing-wave reading can't be true with the line."),
    ("setup/payload-too-long", "A frame is longer than LoRa can carry."),
    ("setup/two-limits", "A sensitivity is stated beside spreading factors."),
)


def setup_problems(campaign: Campaign) -> tuple[Problem, ...]:
    """Return what is doubtful about the stated lines, readings and frames."""
    return (
        *_cables(campaign),
        *_readings(campaign),
        *_payload(campaign),
        *_two_limits(campaign),
    )


def _two_limits(campaign: Campaign) -> Iterator[Problem]:
    """Yield a stated sensitivity beside spreading factors, which give a limit of their own."""
    stated_dbm = campaign.radio.sensitivity_dbm
    has_factors = bool(campaign.radio.spreading_factors)
    if stated_dbm is None or not (
        has_factors or campaign.records["spreading_factor"].notna().any()
    ):
        return
    yield Problem(
        where=_where(campaign, "radio.sensitivity_dbm"),
        code="setup/two-limits",
        severity=Severity.WARNING,
        found=f"a sensitivity of {stated_dbm:g} dBm beside spreading factors",
        expected="one of the two: noise and spreading factor give each data rate its own limit",
        do="delete sensitivity_dbm; it is for radios without spreading factors. Walks go by the "
        "spreading factor, the budgets by what is stated",
    )


def _where(campaign: Campaign, key: str) -> Where:
    places = dict(campaign.stated_at)
    return places.get(key, Where(path=campaign.description_path))


def _is_lossless_by_nobody(feeder: Feeder | None) -> bool:
    return feeder is not None and feeder.loss_db is None and feeder.loss_per_100m_db is None


def _cables(campaign: Campaign) -> Iterator[Problem]:
    ends = [(f"stations.{s.key}", s.feeder) for s in campaign.own_stations]
    ends += [(f"nodes.{n.key}", n.feeder) for n in campaign.nodes]
    for key, feeder in ends:
        if feeder is None or not _is_lossless_by_nobody(feeder):
            continue
        cable, frequency_hz = cable_of(feeder.cable), campaign.radio.frequency_hz
        if frequency_hz is None:
            continue
        if cable is not None and np.isfinite(cable_attenuation_db_per_100m(cable, frequency_hz)):
            continue
        yield Problem(
            where=_where(campaign, f"{key}.feeder.cable"),
            code="setup/unknown-cable",
            severity=Severity.WARNING,
            found=f"the cable {feeder.cable or '(none)'}, of unknown loss at this frequency",
            expected="a standard type such as RG-58, RG-213 or RG-316, or the line's own loss",
            do="state loss_per_100m_db, loss_per_100ft_db or loss_db: without, no EIRP is known",
        )


def _readings(campaign: Campaign) -> Iterator[Problem]:
    for station in campaign.own_stations:
        reading, feeder = station.vswr, station.feeder
        if reading is None or feeder is None or reading.measured_at == "antenna":
            continue
        line_db = feeder.loss_db
        if line_db is None and feeder.loss_per_100m_db is not None and feeder.length_m is not None:
            line_db = feeder.loss_per_100m_db * feeder.length_m / 100.0
        if line_db is None:
            continue
        loss_db = line_db + (feeder.connectors_loss_db or 0.0)
        if float(return_loss_db(reading.vswr)) >= 2.0 * loss_db:
            continue
        yield Problem(
            where=_where(campaign, f"stations.{station.key}.vswr.value"),
            code="setup/reading-contradicts-line",
            severity=Severity.WARNING,
            found=f"VSWR {reading.vswr:g} behind {loss_db:.1f} dB of line",
            expected="a reading no worse than this line would show with nothing at its end",
            do="check the loss of the line, its length, and where the reading was taken",
        )


def _payload(campaign: Campaign) -> Iterator[Problem]:
    radio = campaign.radio
    if radio.payload_bytes is None or not radio.spreading_factors:
        return
    added = radio.overhead_bytes
    if added is None:
        added = LORAWAN_OVERHEAD_BYTES if radio.regional_plan else 0
    if radio.payload_bytes + added > LONGEST_LORA_PAYLOAD:
        yield Problem(
            where=_where(campaign, "radio.payload_bytes"),
            code="setup/payload-too-long",
            severity=Severity.WARNING,
            found=f"{radio.payload_bytes} bytes and {added} that the protocol adds",
            expected=f"{LONGEST_LORA_PAYLOAD} bytes or fewer together, less at slow data rates",
            do="correct payload_bytes or overhead_bytes",
        )
