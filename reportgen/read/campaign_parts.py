"""From the description as written to the records of the model; units become SI here."""

from __future__ import annotations

from collections.abc import Iterator
from zoneinfo import ZoneInfo

from reportgen.errors import Where
from reportgen.model.campaign import Cut, Matching, Publishing, Radio, Tiles
from reportgen.model.photo import CameraClock
from reportgen.model.station import Antenna, Feeder, Node, Position, Station, VswrReading
from reportgen.model.walk import ChosenComparison, Factor, NodeChange, Walk
from reportgen.read.description_overlay_checks import source_of_tiles
from reportgen.read.description_problem import Locate
from reportgen.read.description_schema import (
    AntennaPart,
    CutPart,
    Description,
    FeederPart,
    LogPart,
    NodeChangePart,
    NodePart,
    PositionPart,
    RadioPart,
    StationPart,
    VswrPart,
    WalkPart,
)
from reportgen.read.local_time import utc_of_local
from reportgen.read.yaml_text import KeyPath, dotted

METRES_PER_100_FT = 30.48
"""International foot, 0.3048 m exactly."""


def radio_of(part: RadioPart) -> Radio:
    """Return what the radios share."""
    return Radio(
        frequency_hz=_hz(part.frequency_mhz, 1e6),
        bandwidth_hz=_hz(part.bandwidth_khz, 1e3),
        spreading_factors=tuple(part.spreading_factors),
        regional_plan=part.regional_plan,
        sensitivity_dbm=part.sensitivity_dbm,
        payload_bytes=part.payload_bytes,
        interval_s=part.interval_s,
        counter_scope="node" if part.counter_counts == "all frames" else "data rate",
        rssi_scope="channel" if part.rssi_counts == "signal and noise" else "signal",
        rssi_error_db=part.rssi_error_db,
        overhead_bytes=part.overhead_bytes,
        coding_rate=int(part.coding_rate[-1]),
        preamble_symbols=part.preamble_symbols,
    )


def stations_of(description: Description) -> tuple[Station, ...]:
    """Return the stations in the author's order."""
    return tuple(_station(key, part) for key, part in description.stations.items())


def nodes_of(description: Description) -> tuple[Node, ...]:
    """Return the nodes in the author's order."""
    return tuple(_node(key, part) for key, part in description.nodes.items())


def walks_of(description: Description, locate: Locate) -> tuple[Walk, ...]:
    """Return the walks in the author's order.

    Raises
    ------
    CampaignError
        If a start or end can't be read; `read_description` has made sure of it.
    """
    zone = ZoneInfo(description.time_zone)
    is_adaptive = description.radio.adaptive_rate
    return tuple(
        _walk(key, part, zone, locate("walks", key), is_adaptive)
        for key, part in description.walks.items()
    )


def comparisons_of(description: Description) -> tuple[ChosenComparison, ...]:
    """Return the comparisons that the author asks for."""
    return tuple(
        ChosenComparison(
            title=part.title,
            first=tuple(part.walks or part.first),
            second=tuple(part.second),
            nodes=tuple(part.nodes),
        )
        for part in description.comparisons
    )


def cameras_of(description: Description) -> tuple[CameraClock, ...]:
    """Return what is known of the cameras' clocks."""
    return tuple(
        CameraClock(camera=part.camera, time_zone=part.time_zone, ahead_s=part.clock_ahead_s)
        for part in description.photos.cameras
    )


def matching_of(description: Description) -> Matching:
    """Return the limits of matching."""
    part = description.matching
    return Matching(
        photo_radius_m=part.photo_radius_m,
        longest_track_gap_s=part.longest_track_gap_s,
        longest_photo_gap_s=part.longest_photo_gap_s,
        position_error_m=part.position_error_m,
    )


def publishing_of(description: Description) -> Publishing:
    """Return what is let out."""
    part = description.publish
    return Publishing(
        identifiers=part.identifiers,
        file_names=part.file_names,
        units=part.units,
        language=part.language,
        pictures=part.pictures,
        cuts=tuple(cut for one in part.cut for cut in _cut(one, description)),
        place=part.place,
    )


def _cut(part: CutPart, description: Description) -> tuple[Cut, ...]:
    """Return a cut; none where its station has no position, which the checks refuse."""
    if isinstance(part.place, str):
        station = description.stations.get(part.place)
        place = None if station is None or station.position is None else station.position
        return () if place is None else (Cut(position=position_of(place), radius_m=part.radius_m),)
    latitude_deg, longitude_deg = part.place
    position = Position(latitude_deg=latitude_deg, longitude_deg=longitude_deg)
    return (Cut(position=position, radius_m=part.radius_m),)


def tiles_of(description: Description) -> Tiles | None:
    """Return the tiles a reader may ask for; the checks have made sure of the address."""
    part = description.tiles
    source = source_of_tiles(part.address) if part else None
    if part is None or source is None:
        return None
    return Tiles(
        address=part.address,
        source=source,
        attribution=part.attribution,
        largest_zoom=part.largest_zoom,
    )


def stated_at(description: Description, locate: Locate) -> tuple[tuple[str, Where], ...]:
    """Return where the description states each value, by dotted key; defaults are not in it."""
    written = description.model_dump(exclude_unset=True)
    return tuple((dotted(path), locate(*path)) for path in _leaves(written, ()))


def _leaves(value: object, path: KeyPath) -> Iterator[KeyPath]:
    if isinstance(value, dict) and value:
        for key, inner in value.items():
            yield from _leaves(inner, (*path, str(key)))
    else:
        yield path


def log_parts(walk: WalkPart) -> tuple[LogPart, ...]:
    """Return the logs of a walk, bare paths spelt out."""
    return tuple(LogPart(file=log) if isinstance(log, str) else log for log in walk.logs)


def _hz(value: float | None, factor: float) -> float | None:
    # To the millihertz, so that 868.1 MHz is not 868100000.0000001 Hz.
    return None if value is None else round(value * factor, 3)


def _station(key: str, part: StationPart) -> Station:
    return Station(
        key=key,
        name=part.name,
        is_own=part.own,
        ids=tuple(part.ids),
        position=None if part.position is None else position_of(part.position),
        antenna_height_agl_m=part.antenna_height_m,
        ground_height_msl_m=part.ground_height_m,
        transmit_power_dbm=part.transmit_power_dbm,
        noise_figure_db=part.noise_figure_db,
        antenna=_antenna(part.antenna),
        feeder=_feeder(part.feeder),
        vswr=_vswr(part.vswr),
        note=part.note,
    )


def _node(key: str, part: NodePart) -> Node:
    return Node(
        key=key,
        name=part.name,
        ids=tuple(part.ids),
        transmit_power_dbm=part.transmit_power_dbm,
        antenna=_antenna(part.antenna),
        feeder=_feeder(part.feeder),
        carried_height_agl_m=part.carried_height_m,
        noise_figure_db=part.noise_figure_db,
        note=part.note,
    )


def position_of(part: PositionPart) -> Position:
    """Return a place."""
    return Position(latitude_deg=part.latitude_deg, longitude_deg=part.longitude_deg)


def _antenna(part: AntennaPart) -> Antenna:
    return Antenna(name=part.name, gain_dbi=part.gain_dbi)


def _feeder(part: FeederPart | None) -> Feeder | None:
    if part is None:
        return None
    return Feeder(
        cable=part.cable,
        length_m=part.length_m,
        # One statement of the line's loss: that of the whole line wins.
        loss_per_100m_db=_loss_per_100m_db(part) if part.loss_db is None else None,
        loss_db=part.loss_db,
        connectors_loss_db=part.connectors_loss_db,
    )


def _loss_per_100m_db(part: FeederPart) -> float | None:
    if part.loss_per_100m_db is not None or part.loss_per_100ft_db is None:
        return part.loss_per_100m_db
    return part.loss_per_100ft_db * 100.0 / METRES_PER_100_FT


def _vswr(part: VswrPart | None) -> VswrReading | None:
    if part is None:
        return None
    return VswrReading(
        vswr=part.value,
        measured_at=part.measured_at,
        frequency_hz=_hz(part.frequency_mhz, 1e6),
    )


def _walk(key: str, part: WalkPart, zone: ZoneInfo, where: Where, is_adaptive: bool | None) -> Walk:
    return Walk(
        key=key,
        title=part.title,
        summary=part.summary,
        route=part.route,
        nodes=tuple(part.nodes),
        factors=tuple(
            Factor(name=name, value=_factor_text(value)) for name, value in part.factors.items()
        ),
        logs=tuple(log.file for log in log_parts(part)),
        tracks=tuple(part.tracks),
        start_utc=utc_of_local(part.start, zone, where),
        end_utc=utc_of_local(part.end, zone, where),
        node_changes=tuple(_change(node, change) for node, change in part.node_changes.items()),
        is_rate_adaptive=is_adaptive if part.adaptive_rate is None else part.adaptive_rate,
    )


def _change(node: str, part: NodeChangePart) -> NodeChange:
    return NodeChange(
        node=node,
        transmit_power_dbm=part.transmit_power_dbm,
        antenna=None if part.antenna is None else _antenna(part.antenna),
        feeder=_feeder(part.feeder),
        carried_height_agl_m=part.carried_height_m,
    )


def _factor_text(value: str | float | bool) -> str:
    if isinstance(value, bool):
        return "on" if value else "off"
    if isinstance(value, float) and value.is_integer():
        return str(int(value))
    return str(value)
