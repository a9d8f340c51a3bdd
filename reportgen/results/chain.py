"""What lies between a radio and the air: its line, its antenna, what the analyser read."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from reportgen.compute.feeder_loss import cable_attenuation_db_per_100m, cable_of, line_loss_db
from reportgen.compute.mismatch import (
    mismatch_loss_db,
    reflection_coefficient,
    return_loss_db,
    standing_wave_loss_db,
    vswr_at_antenna,
    vswr_at_radio,
)
from reportgen.compute.radiated_power import eirp_dbm
from reportgen.model.station import Feeder, Node, Station, VswrReading
from reportgen.model.walk import Walk
from reportgen.results.figure import Absent

LINE_ERROR_DB = 0.5
"""By how much a stated or tabled line loss may well be off; common practice. [dB]"""

LEAST_RETURN_LOSS_DB = 1.0
"""Less than this left at the antenna, and half a decibel of line decides between any antenna and
none: the reading says nothing (our choice). [dB]"""

SAME_FREQUENCY_RATIO = 0.01
"""A reading this near to the working frequency speaks for it; common practice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """The line at the working frequency, each None where it can't be known.

    `attenuation_db_per_100m` is the author's, or that of the table of cable types;
    `table_db_per_100m` the table's in any case.
    """

    attenuation_db_per_100m: float | None = None
    table_db_per_100m: float | None = None
    table_source: str = ""
    length_m: float | None = None
    line_loss_db: float | None = None
    connectors_loss_db: float = 0.0
    is_stated_whole: bool = False
    is_from_table: bool = False

    @property
    def loss_db(self) -> float | None:
        """Matched loss of line and connectors."""
        return None if self.line_loss_db is None else self.line_loss_db + self.connectors_loss_db


@dataclass(frozen=True, slots=True, kw_only=True)
class AnalyserReport:
    """What a standing-wave reading says of the antenna behind the line.

    Attributes
    ----------
    frequency_hz : float or None
        Of the reading; the working frequency where the author gave none.
    line_loss_db : float or None
        Matched, one way, line and connectors at the frequency of the reading.
    vswr_low, vswr_high : float or None
        At the antenna, if the line loses `LINE_ERROR_DB` less or more.
    open_end_vswr : float or None
        What the line alone would show with nothing at its end: no reading can exceed it.
    reason : Absent
        Why the values at the antenna are None, where they are.
    """

    vswr: float
    measured_at: str
    frequency_hz: float | None
    is_at_working_frequency: bool
    line_loss_db: float | None
    return_loss_db: float
    reflection_coefficient: float
    vswr_at_antenna: float | None
    vswr_low: float | None
    vswr_high: float | None
    mismatch_loss_db: float | None
    standing_wave_loss_db: float | None
    open_end_vswr: float | None
    reason: Absent

    @property
    def is_contradiction(self) -> bool:
        """Whether the reading can't be true together with the stated line loss."""
        return self.reason is Absent.CONTRADICTION and self.vswr_at_antenna is None


@dataclass(frozen=True, slots=True, kw_only=True)
class Chain:
    """A radio with its line and antenna; losses are positive."""

    transmit_power_dbm: float | None
    gain_dbi: float | None
    noise_figure_db: float | None
    line: Line
    report: AnalyserReport | None

    @property
    def mismatch_counted_db(self) -> float:
        """Mismatch at the antenna, counted once; 0 where no reading speaks for it."""
        report = self.report
        if report is None or report.mismatch_loss_db is None or not report.is_at_working_frequency:
            return 0.0
        return report.mismatch_loss_db

    @property
    def is_mismatch_assumed(self) -> bool:
        """Whether nothing was read that gives the mismatch."""
        report = self.report
        return (
            report is None
            or report.mismatch_loss_db is None
            or not report.is_at_working_frequency
        )  # fmt: skip

    @property
    def loss_db(self) -> float | None:
        """Matched loss of the line, plus the mismatch at the antenna, once."""
        line_db = self.line.loss_db
        return None if line_db is None else line_db + self.mismatch_counted_db

    @property
    def eirp_dbm(self) -> float | None:
        """Output in the antenna's best direction."""
        return self._output_dbm(self.mismatch_counted_db)

    @property
    def strongest_eirp_dbm(self) -> float | None:
        """Output without credit for a mismatch, for cautions and limits."""
        return self._output_dbm(0.0)

    def _output_dbm(self, mismatch_db: float) -> float | None:
        line_db = self.line.loss_db
        if self.transmit_power_dbm is None or line_db is None or self.gain_dbi is None:
            return None
        return float(
            eirp_dbm(
                self.transmit_power_dbm,
                feeder_loss_db=line_db,
                antenna_gain_dbi=self.gain_dbi,
                mismatch_loss_db=mismatch_db,
            )
        )


def station_chain(station: Station, frequency_hz: float | None) -> Chain:
    """Return the chain of a station; a station without a stated feeder has no known loss."""
    line = Line() if station.feeder is None else _line(station.feeder, frequency_hz)
    return Chain(
        transmit_power_dbm=station.transmit_power_dbm,
        gain_dbi=station.antenna.gain_dbi,
        noise_figure_db=station.noise_figure_db,
        line=line,
        report=_report(station, line, frequency_hz),
    )


def node_chain(node: Node, frequency_hz: float | None) -> Chain:
    """Return the chain of a node; without a stated line its antenna sits on the radio."""
    on_radio = Line(line_loss_db=0.0)
    return Chain(
        transmit_power_dbm=node.transmit_power_dbm,
        gain_dbi=node.antenna.gain_dbi,
        noise_figure_db=node.noise_figure_db,
        line=on_radio if node.feeder is None else _line(node.feeder, frequency_hz),
        report=None,
    )


def node_on_walk(node: Node, walk: Walk) -> Node:
    """Return a node as it was carried on a walk."""
    for change in walk.node_changes:
        if change.node == node.key:
            height_m = change.carried_height_agl_m
            power_dbm = change.transmit_power_dbm
            return replace(
                node,
                transmit_power_dbm=node.transmit_power_dbm if power_dbm is None else power_dbm,
                antenna=change.antenna or node.antenna,
                feeder=change.feeder or node.feeder,
                carried_height_agl_m=node.carried_height_agl_m if height_m is None else height_m,
            )
    return node


def _line(feeder: Feeder, frequency_hz: float | None) -> Line:
    table_db = _table_db_per_100m(feeder, frequency_hz)
    cable = cable_of(feeder.cable)
    own_db = feeder.loss_per_100m_db
    attenuation_db = table_db if own_db is None else own_db
    loss_db = feeder.loss_db
    if loss_db is None and attenuation_db is not None and feeder.length_m is not None:
        loss_db = float(line_loss_db(attenuation_db, feeder.length_m))
    return Line(
        attenuation_db_per_100m=None if feeder.loss_db is not None else attenuation_db,
        table_db_per_100m=table_db,
        table_source="" if cable is None else f"{cable.name}: {cable.source}",
        length_m=feeder.length_m,
        line_loss_db=loss_db,
        connectors_loss_db=feeder.connectors_loss_db or 0.0,
        is_stated_whole=feeder.loss_db is not None,
        is_from_table=own_db is None and feeder.loss_db is None and table_db is not None,
    )


def _table_db_per_100m(feeder: Feeder, frequency_hz: float | None) -> float | None:
    cable = cable_of(feeder.cable)
    if cable is None or frequency_hz is None:
        return None
    value = float(cable_attenuation_db_per_100m(cable, frequency_hz))
    return None if math.isnan(value) else value


def _report(station: Station, line: Line, frequency_hz: float | None) -> AnalyserReport | None:
    reading = station.vswr
    if reading is None:
        return None
    at_hz = reading.frequency_hz or frequency_hz
    is_same = (
        at_hz is not None
        and frequency_hz is not None
        and abs(at_hz / frequency_hz - 1.0) <= SAME_FREQUENCY_RATIO
    )
    loss_db = line.loss_db if is_same else _loss_at_reading_db(station.feeder, line, at_hz)
    at_antenna, reason = _vswr_at_antenna(reading, loss_db)
    low, high = _range(reading, loss_db)
    standing_db = None
    if at_antenna is not None and loss_db is not None:
        standing_db = float(standing_wave_loss_db(loss_db, at_antenna))
    return AnalyserReport(
        vswr=reading.vswr,
        measured_at=reading.measured_at,
        frequency_hz=at_hz,
        is_at_working_frequency=is_same,
        line_loss_db=loss_db,
        return_loss_db=float(return_loss_db(reading.vswr)),
        reflection_coefficient=float(reflection_coefficient(reading.vswr)),
        vswr_at_antenna=at_antenna,
        vswr_low=None if at_antenna is None else low,
        vswr_high=None if at_antenna is None else high,
        mismatch_loss_db=None if at_antenna is None else float(mismatch_loss_db(at_antenna)),
        standing_wave_loss_db=standing_db,
        open_end_vswr=_open_end_vswr(loss_db),
        reason=reason,
    )


def _loss_at_reading_db(feeder: Feeder | None, line: Line, at_hz: float | None) -> float | None:
    """Return the loss at another frequency: by the table of types, the author's in its ratio."""
    if feeder is None or line.line_loss_db is None or line.table_db_per_100m is None:
        return None
    there_db = _table_db_per_100m(feeder, at_hz)
    if there_db is None:
        return None
    return line.line_loss_db * there_db / line.table_db_per_100m + line.connectors_loss_db


def _open_end_vswr(loss_db: float | None) -> float | None:
    if loss_db is None:
        return None
    value = float(vswr_at_radio(math.inf, loss_db))
    return value if math.isfinite(value) else None


def _range(reading: VswrReading, loss_db: float | None) -> tuple[float | None, float | None]:
    """Return the ratio at the antenna if the line loses a little less, or a little more."""
    if reading.measured_at == "antenna" or loss_db is None:
        return None, None
    ends = [
        float(vswr_at_antenna(reading.vswr, max(0.0, loss_db + error_db)))
        for error_db in (-LINE_ERROR_DB, LINE_ERROR_DB)
    ]
    low, high = (value if math.isfinite(value) else None for value in ends)
    return low, high


def _vswr_at_antenna(reading: VswrReading, loss_db: float | None) -> tuple[float | None, Absent]:
    if reading.measured_at == "antenna":
        return reading.vswr, Absent.NOT_STATED
    if loss_db is None:
        return None, Absent.MISSING_INPUT
    left_db = float(return_loss_db(reading.vswr)) - 2.0 * loss_db
    # Below 0 the line alone would give a better reading than was read.
    if left_db < 0.0:
        return None, Absent.CONTRADICTION
    if left_db < LEAST_RETURN_LOSS_DB and loss_db > 0.0:
        return None, Absent.ON_THE_EDGE
    value = float(vswr_at_antenna(reading.vswr, loss_db))
    return (value if math.isfinite(value) else None), Absent.ON_THE_EDGE
