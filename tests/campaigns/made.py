"""Small made campaigns, each an edge of what people bring home."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

START = dt.datetime(2026, 3, 3, 10, 0, tzinfo=dt.UTC)
LATITUDE_DEG, LONGITUDE_DEG = 47.5, -31.25
"""Open sea."""

DESCRIPTION = """\
title: {title}
time_zone: Atlantic/Azores
radio: {{frequency_mhz: 868.1, bandwidth_khz: 125, spreading_factors: [7]}}
publish: {{place: exact}}
stations:
  pier:
    name: Pier
    own: true
    ids: [gw-1]
    position: {{latitude_deg: {latitude}, longitude_deg: {longitude}}}
nodes:
  buoy: {{name: Buoy, ids: [n-1]}}
log_formats:
  table:
    fields: {{time: time, node: node, station: station, counter: counter, rssi_dbm: rssi,
              snr_db: snr, spreading_factor: sf, latitude_deg: lat, longitude_deg: lon}}
walks:
  loop:
    title: Loop
    nodes: [buoy]
    logs: [{logs}]
    tracks: [{tracks}]
"""
HEADING = "time,node,station,counter,rssi,snr,sf,lat,lon"


def place(north_m: float, east_m: float = 0.0) -> tuple[float, float]:
    """Return a place roughly so many metres from the pier."""
    return LATITUDE_DEG + north_m / 111_200, LONGITUDE_DEG + east_m / 75_200


def row(seconds: float, counter: int, north_m: float, *, station: str = "gw-1") -> str:
    """Return a log row."""
    latitude, longitude = place(north_m)
    time = START + dt.timedelta(seconds=seconds)
    level = -70 - north_m / 20
    return (
        f"{time:%Y-%m-%dT%H:%M:%SZ},n-1,{station},{counter},{level:.0f},5,7,"
        f"{latitude:.6f},{longitude:.6f}"
    )


def track(*points: tuple[float, float]) -> str:
    """Return a GPX track of (seconds, metres north) points."""
    lines = []
    for seconds, north_m in points:
        latitude, longitude = place(north_m)
        time = START + dt.timedelta(seconds=seconds)
        lines.append(
            f'<trkpt lat="{latitude:.6f}" lon="{longitude:.6f}"><time>{time:%Y-%m-%dT%H:%M:%SZ}'
            "</time></trkpt>"
        )
    return (
        '<?xml version="1.0"?><gpx version="1.1" creator="test" '
        'xmlns="http://www.topografix.com/GPX/1/1"><trk><trkseg>\n'
        + "\n".join(lines)
        + "\n</trkseg></trk></gpx>\n"
    )


def write(
    folder: Path, title: str, *, rows: tuple[str, ...] | None = None, gpx: str | None = None
) -> Path:
    """Write a campaign folder; `rows` None means no log at all, () an empty one."""
    folder.mkdir(parents=True)
    if rows is not None:
        (folder / "log.csv").write_text("\n".join([HEADING, *rows]) + "\n", encoding="utf-8")
    if gpx is not None:
        (folder / "walk.gpx").write_text(gpx, encoding="utf-8")
    text = DESCRIPTION.format(
        title=title,
        latitude=LATITUDE_DEG,
        longitude=LONGITUDE_DEG,
        logs="" if rows is None else "log.csv",
        tracks="" if gpx is None else "walk.gpx",
    )
    (folder / "campaign.yaml").write_text(text, encoding="utf-8")
    return folder


LINE = tuple((float(second), second * 1.3) for second in range(0, 601, 5))


def nothing_heard(folder: Path) -> Path:
    """A walk whose log stayed empty."""
    return write(folder, "Nothing heard", rows=(), gpx=track(*LINE))


def only_others_heard(folder: Path) -> Path:
    """A walk on which only somebody else's station heard the node."""
    rows = tuple(row(10 * n, n, 100 + 10 * n, station="gw-9") for n in range(30))
    return write(folder, "Only others heard", rows=rows, gpx=track(*LINE))


def standing_only(folder: Path) -> Path:
    """A node that lay in one spot."""
    rows = tuple(row(10 * n, n, 250) for n in range(40) if n % 4)
    return write(folder, "Standing", rows=rows)


def single_row(folder: Path) -> Path:
    """One frame, once."""
    return write(folder, "Single", rows=(row(0, 7, 120),))


def no_walks(folder: Path) -> Path:
    """A station that nobody has walked around yet."""
    write(folder, "No walks")
    path = folder / "campaign.yaml"
    text = path.read_text(encoding="utf-8")
    path.write_text(text[: text.index("walks:")], encoding="utf-8")
    return folder


EDGES = {
    "nothing-heard": nothing_heard,
    "only-others": only_others_heard,
    "standing": standing_only,
    "single-row": single_row,
    "no-walks": no_walks,
}


def publish(folder: Path, stated: str) -> None:
    """State what is published in place of what the campaign was written with."""
    _edited(folder, "publish: {place: exact}", f"publish: {{{stated}}}")


def _edited(folder: Path, old: str, new: str) -> None:
    """Put `new` for `old`, which must stand in the description once."""
    path = folder / "campaign.yaml"
    text = path.read_text(encoding="utf-8")
    assert text.count(old) == 1, old
    path.write_text(text.replace(old, new), encoding="utf-8")


def state(folder: Path, radio: str) -> None:
    """State something more of the radio."""
    _edited(folder, "radio: {", f"radio: {{{radio}, ")


def add_node(folder: Path, key: str, name: str, identifier: str) -> None:
    """Describe one node more, carried on the walk."""
    _edited(folder, "log_formats:", f"  {key}: {{name: {name}, ids: [{identifier}]}}\nlog_formats:")
    _edited(folder, "nodes: [buoy]", f"nodes: [buoy, {key}]")


def sent_row(seconds: float, counter: int | None) -> str:
    """Return a row of a node's own log."""
    time = START + dt.timedelta(seconds=seconds)
    return f"{time:%Y-%m-%dT%H:%M:%SZ},{'' if counter is None else counter}"


def add_sent_log(folder: Path, *rows: str, more: str = "") -> None:
    """Add the node's own log of what it sent; `more` maps the columns lat and lon."""
    heading = "when,number,lat,lon" if more else "when,number"
    (folder / "sent.csv").write_text("\n".join([heading, *rows]) + "\n", encoding="utf-8")
    fields = f"{{time: when, counter: number{more}}}"
    kind = f"  sent:\n    rows_are: frames sent\n    fields: {fields}\n"
    _edited(folder, "walks:\n", f"{kind}walks:\n")
    logs = "[{file: log.csv, format: table}, {file: sent.csv, format: sent}]"
    _edited(folder, "logs: [log.csv]", f"logs: {logs}")


def add_own_station(folder: Path, key: str, name: str, identifier: str, *, north_m: float) -> None:
    """Describe one own station more, so many metres north of the pier."""
    latitude, longitude = place(north_m)
    position = f"{{latitude_deg: {latitude:.6f}, longitude_deg: {longitude:.6f}}}"
    station = f"  {key}: {{name: {name}, own: true, ids: [{identifier}], position: {position}}}\n"
    _edited(folder, "nodes:\n", f"{station}nodes:\n")


def two_own(folder: Path) -> Path:
    """Sixty frames from the pier out to 767 m, of which it hears the first twenty.

    The roof, an own station too and 1000 m out, hears every other one.
    """
    rows = [row(10 * n, n, 13.0 * n) for n in range(20)]
    rows += [row(10 * n, n, 13.0 * n, station="gw-2") for n in range(1, 60, 2)]
    write(folder, "Two of our own", rows=tuple(rows), gpx=track(*LINE))
    add_own_station(folder, "roof", "Roof", "gw-2", north_m=1000.0)
    return folder
