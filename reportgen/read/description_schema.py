"""The campaign description as a person writes it: every key, its unit, meaning and default.

This is the one place where keys are documented: the JSON Schema and the table of keys are
generated from it.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

from reportgen.model.campaign import Place
from reportgen.model.photo import PictureFormat

Latitude = Annotated[float, Field(ge=-90, le=90)]
Longitude = Annotated[float, Field(ge=-180, le=180)]
Key = Annotated[str, Field(pattern=r"^[a-z0-9]+(-[a-z0-9]+)*$", max_length=60)]
"""A short name of lower-case letters, digits and hyphens; figures are named by it."""

FieldName = Literal[
    "time",
    "node",
    "station",
    "counter",
    "data_rate",
    "spreading_factor",
    "bandwidth_khz",
    "frequency_mhz",
    "rssi_dbm",
    "snr_db",
    "transmit_power_dbm",
    "latitude_deg",
    "longitude_deg",
    "height_m",
    "position_error_m",
]


class Described(BaseModel):
    """Base of all parts: unknown keys are errors, values are not guessed."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=False)


class PositionPart(Described):
    """A place in WGS 84 decimal degrees."""

    latitude_deg: Latitude = Field(description="Latitude, north positive.")
    longitude_deg: Longitude = Field(description="Longitude, east positive.")


class AntennaPart(Described):
    """An antenna."""

    name: str = Field("", description="What it is, such as 'five-element collinear'.")
    gain_dbi: float | None = Field(
        None,
        ge=-30,
        le=30,
        description="Gain over an isotropic radiator; a gain in dBd plus 2.15.",
    )


class FeederPart(Described):
    """The line between radio and antenna."""

    cable: str = Field(
        "",
        description="Cable type, such as RG-58; without a loss of your own, that of the table "
        "of standard types is taken.",
    )
    length_m: float | None = Field(None, ge=0, le=1000, description="Length of the line.")
    loss_per_100m_db: float | None = Field(
        None, ge=0, le=1000, description="Matched loss per 100 m at the working frequency."
    )
    loss_per_100ft_db: float | None = Field(
        None, ge=0, le=300, description="The same per 100 ft; give one of the two."
    )
    loss_db: float | None = Field(
        None,
        ge=0,
        le=100,
        description="Loss of the whole line, measured or known; wins over a loss per length.",
    )
    connectors_loss_db: float | None = Field(
        None,
        ge=0,
        le=20,
        description="Loss of all connectors and adapters together; taken as 0 if left out.",
    )


class VswrPart(Described):
    """An antenna-analyser reading."""

    value: float = Field(ge=1, le=100, description="Voltage standing-wave ratio, 1 or more.")
    measured_at: Literal["radio", "antenna"] = Field(
        description="At which end of the feeder it was read."
    )
    frequency_mhz: float | None = Field(
        None, gt=0, description="Frequency of the reading; the campaign's where left out."
    )


class StationPart(Described):
    """A fixed station: one of the campaign's own, or somebody else's in range."""

    name: str = Field(description="Its name on the site.")
    own: bool = Field(
        False,
        description="true for a station of this campaign. Only own stations count as heard.",
    )
    ids: list[str] = Field(
        default_factory=list, description="Its identifiers as they stand in the logs."
    )
    position: PositionPart | None = Field(None, description="Where its antenna stands.")
    antenna_height_m: float | None = Field(
        None, ge=0, le=1000, description="Antenna above the ground at its foot."
    )
    ground_height_m: float | None = Field(
        None, ge=-500, le=9000, description="That ground above mean sea level."
    )
    transmit_power_dbm: float | None = Field(
        None, ge=-60, le=60, description="Power at the radio's connector."
    )
    noise_figure_db: float | None = Field(
        None, ge=0, le=40, description="Noise figure of its receiver."
    )
    antenna: AntennaPart = Field(default_factory=AntennaPart, description="Its antenna.")
    feeder: FeederPart | None = Field(
        None,
        description="Line between radio and antenna; loss_db: 0 where the antenna sits on the "
        "radio.",
    )
    vswr: VswrPart | None = Field(None, description="Analyser reading of antenna and line.")
    note: str = Field("", description="Anything a reader should know of it.")


class NodePart(Described):
    """A radio that was carried."""

    name: str = Field(description="Its name on the site.")
    ids: list[str] = Field(
        default_factory=list, description="Its identifiers as they stand in the logs."
    )
    transmit_power_dbm: float | None = Field(
        None, ge=-60, le=60, description="Power at the radio's connector."
    )
    antenna: AntennaPart = Field(default_factory=AntennaPart, description="Its antenna.")
    feeder: FeederPart | None = Field(
        None, description="Line between radio and antenna; left out: the antenna sits on the radio."
    )
    carried_height_m: float | None = Field(
        None, ge=0, le=100, description="Antenna above the ground while walking."
    )
    noise_figure_db: float | None = Field(
        None, ge=0, le=40, description="Noise figure of its receiver."
    )
    note: str = Field("", description="Anything a reader should know of it.")


class RadioPart(Described):
    """What all radios of the campaign share."""

    frequency_mhz: float | None = Field(
        None, gt=1, lt=100_000, description="Working frequency, the middle of the channels used."
    )
    bandwidth_khz: float | None = Field(None, gt=0, description="Occupied bandwidth.")
    spreading_factors: list[int] = Field(
        default_factory=list,
        description="LoRa spreading factors in use, 5 to 12; leave out for other radios.",
    )
    regional_plan: Literal["EU868", "US915", "AU915", "AS923"] | None = Field(
        None, description="LoRaWAN regional plan that gives data rates such as DR3 their meaning."
    )
    sensitivity_dbm: float | None = Field(
        None,
        ge=-200,
        le=0,
        description="Stated receiver sensitivity, for other radios than LoRa.",
    )
    rssi_counts: Literal["signal and noise", "signal only"] = Field(
        "signal and noise",
        description="What the receivers report as RSSI: all power in the channel, or a packet "
        "strength that is the signal's alone.",
    )
    rssi_error_db: float = Field(
        3.0, ge=0, le=20, description="How far a reported RSSI may be off."
    )
    adaptive_rate: bool | None = Field(
        None,
        description="Whether the network set the nodes' data rate, and with it their power.",
    )
    payload_bytes: int | None = Field(
        None, ge=0, le=255, description="Payload of one frame, as the application counts it."
    )
    overhead_bytes: int | None = Field(
        None,
        ge=0,
        le=100,
        description="Bytes that the protocol adds to it; 13 with a regional plan (LoRaWAN without "
        "options), else 0.",
    )
    coding_rate: Literal["4/5", "4/6", "4/7", "4/8"] = Field("4/5", description="LoRa coding rate.")
    preamble_symbols: int = Field(8, ge=4, le=65535, description="LoRa preamble, in symbols.")
    interval_s: float | None = Field(
        None,
        gt=0,
        description="Time between two frames of a node; where they carry no counter, misses are "
        "told by it, if the times heard keep it.",
    )
    counter_counts: Literal["all frames", "frames of one data rate"] = Field(
        "all frames",
        description="What a node's frame counter counts; 'frames of one data rate' where the "
        "same number is sent once per data rate.",
    )


class FieldPart(Described):
    """Where a field of a log stands in its rows. One of column, columns, pointer or value."""

    column: str | int | None = Field(
        None, description="Column by its heading, or by number from 1."
    )
    columns: list[str | int] | None = Field(
        None, description="Several columns joined by a blank, such as date and time."
    )
    pointer: str | None = Field(
        None,
        description="JSON Pointer (RFC 6901) into the reception, such as /rssi.",
    )
    from_record: bool = Field(
        False, description="true: the pointer starts at the whole record, not at the reception."
    )
    value: str | int | float | None = Field(
        None, description="The same for every row, where the log does not say it."
    )
    pattern: str | None = Field(
        None,
        description="Regular expression; its first group is the value, such as '^(\\d+)'.",
    )
    not_measured: list[str | int | float] = Field(
        default_factory=list,
        description="Values that stand for 'not measured'; an empty cell always does.",
    )
    not_measured_when: dict[FieldName, list[str]] = Field(
        default_factory=dict,
        description="Limits not_measured to rows in which another field has one of these values.",
    )


class LogFormatPart(Described):
    """How the rows of a kind of log map to fields."""

    kind: Literal["csv", "json lines"] = Field("csv", description="Text table, or a JSON per line.")
    separator: str | None = Field(
        None, max_length=1, description="Column separator; found from the first lines if left out."
    )
    decimal: Literal[".", ","] = Field(".", description="Decimal mark.")
    header: bool = Field(True, description="Whether the first row holds the column headings.")
    encoding: str | None = Field(
        None,
        description="Text encoding; UTF-8, or UTF-16 by its mark, if left out.",
    )
    comment: str | None = Field(
        None, max_length=3, description="Lines that begin with this are no rows."
    )
    time_format: str = Field(
        "iso",
        description="iso (ISO 8601), epoch_s, epoch_ms, or a pattern such as '%d.%m.%Y %H:%M:%S'.",
    )
    time_zone: str | None = Field(
        None, description="Zone of times without offset; the campaign's if left out."
    )
    receptions: str | None = Field(
        None,
        description="JSON Pointer to the array of receptions in a record; left out: a record is "
        "one reception.",
    )
    rows_are: Literal["frames heard", "frames sent"] = Field(
        "frames heard",
        description="frames heard: each row is a frame that a station or node heard; frames sent: "
        "the node's own record of what it sent, heard or not, without station and levels.",
    )
    levels_measured_at: Literal["station", "node"] = Field(
        "station",
        description="station: the log holds what stations heard of the nodes (uplink); node: "
        "what a node heard of the stations (downlink).",
    )
    keep_when: dict[FieldName, list[str]] = Field(
        default_factory=dict,
        description="Keeps only rows in which these fields have one of these values.",
    )
    fields: dict[FieldName, FieldPart | str | int] = Field(
        description="Field by field, where it stands; a bare heading, number or pointer will do.",
    )


class LogPart(Described):
    """A log file of a walk."""

    file: str = Field(description="Path within the campaign folder.")
    format: Key | None = Field(
        None, description="Name of its format; may be left out where there is only one."
    )
    clock_ahead_s: float = Field(
        0.0,
        ge=-100_000_000,
        le=100_000_000,
        description="How far its clock ran ahead of the true time; negative: behind.",
    )


class NodeChangePart(Described):
    """What a node had on this walk in place of what its description says."""

    transmit_power_dbm: float | None = Field(
        None, ge=-60, le=60, description="Power at the radio's connector on this walk."
    )
    antenna: AntennaPart | None = Field(None, description="Its antenna on this walk.")
    feeder: FeederPart | None = Field(None, description="Its line on this walk.")
    carried_height_m: float | None = Field(
        None, ge=0, le=100, description="How high it was carried on this walk."
    )


class WalkPart(Described):
    """One outing."""

    title: str = Field(description="Its name on the site.")
    summary: str = Field("", description="A sentence or two.")
    route: str = Field("", description="Name of the route; walks of one route are comparable.")
    nodes: list[Key] = Field(min_length=1, description="Keys of the nodes that were carried.")
    logs: list[LogPart | str] = Field(
        default_factory=list, description="Its log files, as path or with format and clock."
    )
    tracks: list[str] = Field(default_factory=list, description="Its GPX files.")
    start: str | None = Field(
        None, description="Rows before this local time are left out, such as 2026-03-03 10:00."
    )
    end: str | None = Field(None, description="Rows after this local time are left out.")
    node_changes: dict[Key, NodeChangePart] = Field(
        default_factory=dict,
        description="By node: antenna, line, power or height where they were not the usual ones.",
    )
    adaptive_rate: bool | None = Field(
        None, description="As radio.adaptive_rate, for this walk alone."
    )
    factors: dict[str, str | int | float | bool] = Field(
        default_factory=dict,
        description="What was set on purpose: antenna, adaptive rate, spreading factor, pace, "
        "anything you name.",
    )


class CameraPart(Described):
    """What you know of a camera's clock."""

    camera: str = Field(
        "", description="Make and model as the pictures state it; left out: every camera."
    )
    time_zone: str | None = Field(
        None, description="Zone its clock was set to; the campaign's if left out."
    )
    clock_ahead_s: float | None = Field(
        None,
        ge=-100_000_000,
        le=100_000_000,
        description="How far its clock ran ahead of the true time; negative: behind. Where neither "
        "this nor time_zone is stated, photos with a place of their own may tell.",
    )


HiddenBoxPart = Annotated[
    list[Annotated[float, Field(ge=0, le=1)]], Field(min_length=4, max_length=4)
]
"""Left, top, right and bottom in shares of the upright picture."""


class PhotoPart(Described):
    """What you say of one photo."""

    caption: str = Field("", description="What it shows.")
    sight_line: Literal["", "clear", "partly blocked", "blocked"] = Field(
        "", description="The view to the station, as you judged it on the spot."
    )
    blocked_by: str = Field("", description="By what it is blocked.")
    walk: Key | None = Field(None, description="The walk it belongs to, where times can't tell.")
    hide: dict[str, HiddenBoxPart] = Field(
        default_factory=dict,
        description="By a name of yours, such as plate: a box [left, top, right, bottom] of the "
        "upright picture in shares of its width and height, 0 to 1, filled flat in every size.",
    )
    exclude: bool = Field(
        False, description="true: leave the photo out, as if publish.leave_out named it."
    )


class PhotosPart(Described):
    """The photos and their cameras."""

    folder: str = Field("photos", description="Folder of the JPEG and HEIC files.")
    declination_deg: float | None = Field(
        None,
        ge=-180,
        le=180,
        description="Where magnetic north lies from true north, east positive: turns headings "
        "that a camera states from magnetic north. Left out: by the World Magnetic Model.",
    )
    cameras: list[CameraPart] = Field(default_factory=list, description="Clocks of the cameras.")
    files: dict[str, PhotoPart] = Field(
        default_factory=dict, description="By file name: caption, sight line, exclusion."
    )


class CornersPart(Described):
    """Where a picture with north up lies."""

    north_west: PositionPart = Field(description="Its upper left corner.")
    south_east: PositionPart = Field(description="Its lower right corner.")


class OverlayPart(Described):
    """A GeoJSON file or a picture drawn under the walks, such as a coast line or a site plan."""

    file: str = Field(
        description="Path within the campaign folder: GeoJSON; with corners a JPEG or PNG."
    )
    title: str = Field("", description="What it is, with credit where its licence asks for it.")
    corners: CornersPart | None = Field(
        None, description="Of a picture, which has to have north up."
    )
    opacity: float | None = Field(
        None, ge=0.05, le=1, description="Of a picture, 1 hiding what is below; 0.6 if left out."
    )


class TilesPart(Described):
    """Map tiles of somebody else's server: the one thing that a reader can let a site fetch."""

    address: str = Field(
        description="Address of a tile in Web Mercator, https://, with {z}, {x} and {y} in it."
    )
    attribution: str = Field(
        min_length=1, description="Credit that the server's owner asks for, shown on the map."
    )
    largest_zoom: int = Field(
        18, ge=8, le=22, description="The largest zoom that the server has tiles for."
    )


class MatchingPart(Described):
    """Limits of matching."""

    photo_radius_m: float = Field(
        50.0, gt=0, le=5000, description="Radius of the local statistics around a photo."
    )
    longest_track_gap_s: float = Field(
        120.0, gt=0, description="No place is worked out across a longer gap in a track."
    )
    longest_photo_gap_s: float = Field(
        300.0,
        gt=0,
        description="A photo farther than this in time from any log point has no match by time.",
    )
    position_error_m: float = Field(
        10.0, ge=0, le=1000, description="How far a recorded position may be off."
    )


class ComparisonPart(Described):
    """Two sides to be compared; give first and second, or nodes with walks."""

    title: str = Field("", description="The question, such as 'Does the whip reach farther?'.")
    first: list[Key] = Field(
        default_factory=list, description="Keys of the walks of one setting, repeats together."
    )
    second: list[Key] = Field(
        default_factory=list, description="Keys of the walks of the other setting."
    )
    nodes: list[Key] = Field(
        default_factory=list, description="Two nodes that were carried together on the walks."
    )
    walks: list[Key] = Field(
        default_factory=list, description="Keys of the walks on which both nodes were carried."
    )


class CutPart(Described):
    """Ground that is left out, such as around somebody's door."""

    place: Key | Annotated[list[float], Field(min_length=2, max_length=2)] = Field(
        description="Key of a station, or [latitude, longitude]."
    )
    radius_m: float = Field(
        ge=20,
        le=5000,
        description="Everything within this of the place is left out, and some more.",
    )


class PublishPart(Described):
    """What the site lets out, and how it writes lengths."""

    identifiers: bool = Field(
        False, description="true: show identifiers of nodes and stations; false: names only."
    )
    file_names: bool = Field(
        False,
        description="true: show your names of logs, tracks, photos and overlays, and name photos "
        "in figures and addresses after their files; false: number them.",
    )
    cut: list[CutPart] = Field(
        default_factory=list,
        description="Leaves out what was recorded and photographed near a place. A cut leaves a "
        "hole on the map; its middle is moved off the place, but the place lies within: cut "
        "wide, and at another place too, such as the other end of the walk.",
    )
    leave_out: list[str] = Field(
        default_factory=list,
        description="Logs, tracks and photos, by path or a photo's file name, that are neither "
        "read nor published.",
    )
    units: Literal["metric", "imperial", "both"] = Field(
        "metric",
        description="Units of length on every page and chart; the downloads stay in metres.",
    )
    language: str = Field(
        "en",
        pattern=r"^[a-z]{2,3}(-[a-z0-9]+)*$",
        description="Language of the site's own texts: en or de; yours stay as you wrote them.",
    )
    pictures: PictureFormat = Field(
        "jpeg", description="Format of the published pictures; every browser shows JPEG."
    )
    place: Place = Field(
        "moved",
        description="How much the site tells of where the station stands. exact: everything, as "
        "recorded. moved: the whole campaign shifted together to where the equator meets the prime "
        "meridian, without overlays and tiles; distances and directions stay true, and the shape "
        "of the walks may still betray the place. coarse: no positions, and distances and levels "
        "as aggregates of whole walks only.",
    )


class Description(Described):
    """A campaign: what was set up, walked and recorded."""

    title: str = Field(min_length=1, description="The question or name of the campaign.")
    summary: str = Field("", description="What was done and why, in a few sentences.")
    network: str = Field("", description="The community network it was done for.")
    authors: list[str] = Field(default_factory=list, description="Who did it.")
    data_licence: str = Field("", description="Licence of the data, such as CC BY 4.0.")
    time_zone: str = Field(
        description="IANA zone of all times without one of their own, such as Europe/Lisbon.",
    )
    radio: RadioPart = Field(default_factory=RadioPart, description="What all radios share.")
    stations: dict[Key, StationPart] = Field(
        min_length=1, description="By key: the own station first, then others in range."
    )
    nodes: dict[Key, NodePart] = Field(min_length=1, description="By key: the nodes carried.")
    log_formats: dict[Key, LogFormatPart] = Field(
        default_factory=dict, description="By key: how logs map to fields."
    )
    walks: dict[Key, WalkPart] = Field(
        default_factory=dict, description="By key, in the order of the site."
    )
    comparisons: list[ComparisonPart] = Field(
        default_factory=list,
        description="Comparisons that stand first on their page; others that the walks allow "
        "follow by themselves.",
    )
    photos: PhotosPart = Field(default_factory=PhotosPart, description="Photos and cameras.")
    overlays: list[OverlayPart] = Field(
        default_factory=list, description="Lines, areas and pictures drawn on the maps."
    )
    tiles: TilesPart | None = Field(
        None,
        description="Map tiles that a reader may ask for; nothing is fetched before. Left out: "
        "the site asks nothing of any server.",
    )
    conclusions: str = Field(
        "conclusions.md", description="Your own conclusions, a Markdown file in the folder."
    )
    matching: MatchingPart = Field(default_factory=MatchingPart, description="Limits of matching.")
    publish: PublishPart = Field(default_factory=PublishPart, description="What is let out.")
