"""Every table of the package, declared once: columns, types, units, meaning, limits."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from reportgen.errors import ReportgenError

TIME = "datetime64[ns, UTC]"
NUMBER = "float64"
TEXT = "str"
INTEGER = "Int64"
FLAG = "bool"


@dataclass(frozen=True, slots=True)
class Column:
    """One column. Limits are inclusive; NaN, NaT and NA mean "not known" and pass them."""

    name: str
    dtype: str
    meaning: str
    unit: str = ""
    low: float | None = None
    high: float | None = None


@dataclass(frozen=True, slots=True)
class Table:
    """A table's name, what one row is, and its columns in order."""

    name: str
    row: str
    columns: tuple[Column, ...]

    @property
    def names(self) -> list[str]:
        """Column names in order."""
        return [column.name for column in self.columns]

    def empty(self) -> pd.DataFrame:
        """Return a table with these columns and no rows."""
        return pd.DataFrame(
            {column.name: pd.Series([], dtype=column.dtype) for column in self.columns}
        )

    def of(self, frame: pd.DataFrame) -> pd.DataFrame:
        """Return `frame` with exactly these columns, in order and of these types.

        Missing columns become unknown values; unknown columns are an error.

        Raises
        ------
        TableError
            If a column is not declared, can't be converted, or breaks its limits.
        """
        stray = sorted(set(frame.columns) - set(self.names))
        if stray:
            raise TableError(f"table {self.name}: undeclared columns {', '.join(stray)}")
        shaped = {
            column.name: _shaped(frame, column, self.name).reset_index(drop=True)
            for column in self.columns
        }
        return pd.DataFrame(shaped, columns=self.names)


class TableError(ReportgenError):
    """A table does not fit its declaration: a fault of the program, not of the input."""


def _shaped(frame: pd.DataFrame, column: Column, table: str) -> pd.Series:
    if column.name not in frame.columns:
        blank: object = {TEXT: "", FLAG: False, TIME: pd.NaT, INTEGER: pd.NA}.get(
            column.dtype, np.nan
        )
        return pd.Series([blank] * len(frame), dtype=column.dtype)
    try:
        series = frame[column.name].astype(column.dtype)
    except (TypeError, ValueError) as error:
        raise TableError(f"table {table}: column {column.name}: {error}") from error
    for limit, breaks in ((column.low, pd.Series.lt), (column.high, pd.Series.gt)):
        if limit is not None and bool(breaks(series, limit).any()):
            raise TableError(f"table {table}: column {column.name} breaks its limit {limit}")
    return series


_LATITUDE = Column("latitude_deg", NUMBER, "WGS 84 latitude", "deg", -90, 90)
_LONGITUDE = Column("longitude_deg", NUMBER, "WGS 84 longitude", "deg", -180, 180)
_HEIGHT = Column("height_msl_m", NUMBER, "height as the device gave it", "m", -12_000, 100_000)
_ERROR = Column(
    "position_error_m", NUMBER, "how far the place may be off, as the device says", "m", 0, 1e6
)
_WALK = Column("walk", TEXT, "key of the walk")
_FILE = Column("file", TEXT, "file, relative to the campaign folder")
_LINE = Column("line", INTEGER, "line of the file, from 1", low=1)
_STATION = Column("station", TEXT, "key of the station")
_NODE = Column("node", TEXT, "key of the node")
_RSSI = Column("rssi_dbm", NUMBER, "as the receiver reported it", "dBm", -200, 50)
_SNR = Column("snr_db", NUMBER, "as the receiver reported it", "dB", -60, 60)
_POWER = Column("transmit_power_dbm", NUMBER, "of the sender, as logged", "dBm", -60, 60)
_DATA_RATE = Column("data_rate", TEXT, "name of the data rate, such as DR3; blank if unknown")
_SPREADING = Column("spreading_factor", INTEGER, "LoRa spreading factor", "", 5, 12)
_BANDWIDTH = Column("bandwidth_hz", NUMBER, "occupied bandwidth", "Hz", 1)
_FREQUENCY = Column("frequency_hz", NUMBER, "carrier frequency", "Hz", 1e6, 1e11)
_COUNTER = Column("counter", INTEGER, "frame counter as sent; NA if unknown", low=0)
_PLACE_KNOWN = Column(
    "place_known", TEXT, "recorded (in the log), track (at that time), placed, or blank: unknown"
)
_DISTANCE = Column("distance_m", NUMBER, "geodesic, to the station", "m", 0)
_BEARING = Column(
    "bearing_deg", NUMBER, "from the station, clockwise from true north", "deg", 0, 360
)

TRACK_POINTS = Table(
    "track_points",
    "one usable point of a track, in file order",
    (
        _WALK,
        _FILE,
        _LINE,
        Column("segment", INTEGER, "running number of the segment within the walk", low=0),
        Column("time_utc", TIME, "time of the point; NaT if it has none"),
        _LATITUDE,
        _LONGITUDE,
        _HEIGHT,
    ),
)

RECORDS = Table(
    "records",
    "one used row of a walk log: one frame heard by one receiver, or one that a node sent",
    (
        _WALK,
        _FILE,
        _LINE,
        Column("time_utc", TIME, "time of the record, clock error removed"),
        _NODE,
        Column("station_id", TEXT, "the station as the log names it; blank for a frame sent"),
        Column(
            "measured_at",
            TEXT,
            "station: levels of the uplink; node: levels of the downlink; sent: the node's own "
            "record of a frame it sent, without levels",
        ),
        _COUNTER,
        _DATA_RATE,
        _SPREADING,
        _BANDWIDTH,
        _FREQUENCY,
        _RSSI,
        _SNR,
        _POWER,
        _LATITUDE,
        _LONGITUDE,
        _HEIGHT,
        _ERROR,
    ),
)

FRAMES = Table(
    "frames",
    "one transmission of a node, known or inferred to have been sent",
    (
        Column("frame", INTEGER, "running number, from 0", low=0),
        _WALK,
        _NODE,
        _COUNTER,
        _DATA_RATE,
        _SPREADING,
        _BANDWIDTH,
        _FREQUENCY,
        _POWER,
        Column("is_counted", FLAG, "what was sent around it is known, so it is heard or missed"),
        Column(
            "uncounted",
            TEXT,
            "why that is not known: no counter, unsteady counter, interval not kept, not in the "
            "log (of the node); or why it does not count: outside the walk; blank where it is",
        ),
        Column("is_doubtful", FLAG, "a row set aside for a fault says an own station heard it"),
        Column(
            "sent_known",
            TEXT,
            "logged (the node's own log has it), recorded (somebody heard it), inferred (missing "
            "counter), interval (missing from an even interval)",
        ),
        Column("time_utc", TIME, "time of the frame"),
        Column("time_known", TEXT, "recorded, inferred (between its neighbours), or blank"),
        _LATITUDE,
        _LONGITUDE,
        _HEIGHT,
        _PLACE_KNOWN,
        _DISTANCE,
        _BEARING,
    ),
)

RECEPTIONS = Table(
    "receptions",
    "one frame heard by one station, levels measured at the station",
    (
        Column("frame", INTEGER, "number of the frame", low=0),
        _WALK,
        _NODE,
        _STATION,
        Column("is_own", FLAG, "heard by a station of the campaign"),
        _FILE,
        _LINE,
        Column("time_utc", TIME, "time of the record"),
        _COUNTER,
        _DATA_RATE,
        _SPREADING,
        _BANDWIDTH,
        _FREQUENCY,
        _RSSI,
        _SNR,
        Column("snr_margin_db", NUMBER, "SNR above the demodulation limit", "dB"),
        _POWER,
        _LATITUDE,
        _LONGITUDE,
        _HEIGHT,
        _ERROR,
        _PLACE_KNOWN,
        Column("distance_m", NUMBER, "geodesic, to the station of this row", "m", 0),
        Column("bearing_deg", NUMBER, "from the station of this row", "deg", 0, 360),
        Column("signal_dbm", NUMBER, "power of the signal alone at the receiver", "dBm"),
        Column("link_margin_db", NUMBER, "signal above the receiver's sensitivity", "dB"),
        Column("loss_db", NUMBER, "basic transmission loss of the path", "dB"),
        Column("excess_loss_db", NUMBER, "that loss beyond free space", "dB"),
        Column("is_too_strong", FLAG, "stronger than any path can be: not used for losses"),
    ),
)

DOWNLINKS = Table(
    "downlinks",
    "one frame of a station heard by a node, levels measured at the node",
    RECEPTIONS.columns,
)

CELLS = Table(
    "cells",
    "a square of ground that was walked, as one station heard it; ground in no row was not walked",
    (
        Column("walk", TEXT, "key of the walk; blank: all walks together, which mixes settings"),
        _STATION,
        Column("is_own", FLAG, "a station of the campaign; others have counts and no ratio"),
        Column("cell_m", NUMBER, "edge of the square", "m", 1),
        Column("east_m", NUMBER, "west edge, east of the first own station", "m"),
        Column("north_m", NUMBER, "south edge, north of the first own station", "m"),
        Column("walked_m", NUMBER, "length walked in it, each way as often as taken", "m", 0),
        Column("frames_sent", INTEGER, "known to be sent there, own stations only", low=0),
        Column("frames_heard", INTEGER, "heard by the station", low=0),
        Column("delivery_ratio", NUMBER, "heard of sent; own stations only", "1", 0, 1),
        Column("delivery_low_ratio", NUMBER, "low end of its 95 % interval (Wilson)", "1", 0, 1),
        Column(
            "delivery_high_ratio", NUMBER,
            "high end; the interval takes frames as independent, so it is too narrow if anything",
            "1", 0, 1,
        ),
        Column("signal_dbm", NUMBER, "median, missed frames as below all; NaN below limit", "dBm"),
        Column(
            "margin_db", NUMBER,
            "the same of link_margin_db, or of snr_margin_db where the station has none", "dB",
        ),
        Column("is_below_limit", FLAG, "the medians fall among the frames missed"),
    ),
)  # fmt: skip
