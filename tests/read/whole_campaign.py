"""A small sound campaign with every kind of file, for tests that break one of them."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path

from piexif import ExifIFD
from PIL import Image

from tests.read.made_photos import DEGREES, photo

FILES: Mapping[str, str] = {
    "description": "campaign.yaml",
    "CSV log": "ridge.csv",
    "sent log": "sent.csv",
    "JSON log": "quay.jsonl",
    "track": "ridge.gpx",
    "photo": "photos/a.jpg",
    "overlay": "coast.geojson",
    "picture": "plan.png",
    "conclusions": "conclusions.md",
}
"""By kind."""

DESCRIPTION = """\
title: Does the quay hear the ridge?
time_zone: Europe/Lisbon
radio: {frequency_mhz: 868.1, bandwidth_khz: 125, spreading_factors: [7]}
stations:
  quay:
    name: Quay
    own: true
    ids: [gw-1]
    position: {latitude_deg: 40.44, longitude_deg: -31.25}
nodes:
  one: {name: One, ids: [n-1]}
log_formats:
  table:
    fields: {time: time, node: node, station: station, rssi_dbm: rssi, counter: n,
             latitude_deg: lat, longitude_deg: lon}
  own:
    rows_are: frames sent
    fields: {time: time, node: node, counter: n, latitude_deg: lat, longitude_deg: lon}
  lines:
    kind: json lines
    receptions: /rx
    fields:
      time: {pointer: /time, from_record: true}
      node: {pointer: /node, from_record: true}
      station: /station
      rssi_dbm: /rssi
      latitude_deg: {pointer: /lat, from_record: true}
      longitude_deg: {pointer: /lon, from_record: true}
walks:
  ridge:
    title: Ridge
    nodes: [one]
    start: 2026-03-03 09:00
    logs: [{file: ridge.csv, format: table}, {file: sent.csv, format: own}]
    tracks: [ridge.gpx]
  quay:
    title: Quay
    nodes: [one]
    logs: [{file: quay.jsonl, format: lines}]
photos: {folder: photos, files: {a.jpg: {caption: The quay}}}
overlays:
  - {file: coast.geojson, title: Coast}
  - file: plan.png
    corners:
      north_west: {latitude_deg: 40.5, longitude_deg: -31.3}
      south_east: {latitude_deg: 40.4, longitude_deg: -31.2}
conclusions: conclusions.md
publish: {place: exact}
"""
HEADINGS = "time,node,station,rssi,n,lat,lon"
SECONDS = range(0, 60, 10)


def row(second: int, rssi: str = "-80", lat: str = "40.446", lon: str = "-31.25") -> str:
    """Return a row of the table."""
    return f"2026-03-03T10:00:{second:02d}Z,n-1,gw-1,{rssi},{second // 10},{lat},{lon}"


def record(second: int, **changes: object) -> str:
    """Return a line of the JSON Lines, an hour after the table's rows."""
    values: dict[str, object] = {
        "time": f"2026-03-03T11:00:{second:02d}Z",
        "node": "n-1",
        "lat": 40.446,
        "lon": -31.25,
        "rx": [{"station": "gw-1", "rssi": -80}],
    }
    return json.dumps({**values, **changes})


def point(second: int, lat: str = "40.446", time: str = "") -> str:
    """Return a track point."""
    said = time or f"2026-03-03T10:00:{second:02d}Z"
    return f'<trkpt lat="{lat}" lon="-31.25"><time>{said}</time></trkpt>'


def track(*points: str) -> str:
    """Return a GPX file."""
    return f"<gpx><trk><trkseg>{''.join(points)}</trkseg></trk></gpx>\n"


def whole(folder: Path) -> Path:
    """Write the campaign."""
    table = "\n".join((HEADINGS, *(row(second) for second in SECONDS))) + "\n"
    line = {"type": "LineString", "coordinates": [[-31.26, 40.44], [-31.24, 40.46]]}
    texts = {
        "campaign.yaml": DESCRIPTION,
        "ridge.csv": table,
        "sent.csv": table,
        "quay.jsonl": "\n".join(record(second) for second in SECONDS) + "\n",
        "ridge.gpx": track(*(point(second) for second in SECONDS)),
        "coast.geojson": json.dumps(line),
        "conclusions.md": "It does.\n",
    }
    for name, text in texts.items():
        (folder / name).write_text(text, encoding="utf-8")
    (folder / "photos").mkdir()
    taken = {ExifIFD.DateTimeOriginal: b"2026:03:03 10:00:05", ExifIFD.OffsetTimeOriginal: b"Z"}
    photo(folder / "photos", name="a.jpg", exif=taken, gps=DEGREES)
    Image.new("RGB", (60, 40), (200, 210, 220)).save(folder / "plan.png")
    return folder
