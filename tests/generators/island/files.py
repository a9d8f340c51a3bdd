"""Writes the campaign folder and the truth beside it."""

from __future__ import annotations

import datetime as dt
import json
from pathlib import Path

import numpy as np

from tests.generators.island.description import campaign_yaml, conclusions_md
from tests.generators.island.ground import MOLE, MOLE_HALF_WIDTH_M, Numbers, coast_line, to_degrees
from tests.generators.island.outing import Outing, all_outings
from tests.generators.island.pictures import Picture, drawn, jpeg_of
from tests.generators.island.shots import SHOTS
from tests.generators.island.truth import Json, truth


def write_all(campaign: Path, truth_file: Path) -> None:
    """Write everything: texts, pictures, truth."""
    pictures = {shot.key: drawn(shot) for shot in SHOTS}
    texts = campaign_texts()
    for name, text in texts.items():
        _write(campaign / name, text.encode())
    for shot in SHOTS:
        _write(campaign / "photos" / shot.file, jpeg_of(shot, pictures[shot.key]))
    _write(
        truth_file, truth_json({key: _top(picture) for key, picture in pictures.items()}).encode()
    )


def campaign_texts() -> dict[str, str]:
    """Return every text file of the campaign by its path."""
    texts = {
        "campaign.yaml": campaign_yaml(),
        "conclusions.md": conclusions_md(),
        "overlays/coast.geojson": coast_geojson(),
    }
    for outing in all_outings():
        texts[outing.walk.track] = gpx(outing)
        texts |= {file.path: file.text for file in outing.logs}
    return texts


def truth_json(mast_tops_px: dict[str, list[float] | None]) -> str:
    """Return the truth as text; the drawings say where the mast's top is."""
    whole = truth()
    photos = whole["photos"]
    assert isinstance(photos, dict)
    for key, photo in photos.items():
        assert isinstance(photo, dict)
        top = mast_tops_px[key]
        photo["mast_top_px"] = None if top is None else list(top)
    return json.dumps(_rounded(whole), indent=1, ensure_ascii=False) + "\n"


def _top(picture: Picture) -> list[float] | None:
    return None if picture.mast_top_px is None else [float(part) for part in picture.mast_top_px]


def _rounded(value: Json) -> Json:
    """Return a value with floats cut to what is the same on every machine."""
    if isinstance(value, dict):
        places = {"latitude_deg": 9, "longitude_deg": 9}
        return {
            key: round(item, places.get(key, 4)) if isinstance(item, float) else _rounded(item)
            for key, item in value.items()
        }
    if isinstance(value, list):
        return [_rounded(item) for item in value]
    return round(value, 3) if isinstance(value, float) else value


def _write(path: Path, content: bytes) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(content)


def gpx(outing: Outing) -> str:
    """Return the track of a walk as GPX 1.1."""
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        '<gpx version="1.1" creator="none" xmlns="http://www.topografix.com/GPX/1/1">',
        f" <trk><name>{outing.walk.key}</name>",
        "  <trkseg>",
    ]
    segment = 0
    for point in outing.track:
        if point.segment != segment:
            segment = point.segment
            lines += ["  </trkseg>", "  <trkseg>"]
        time = dt.datetime.fromtimestamp(point.time_s, dt.UTC).strftime("%Y-%m-%dT%H:%M:%SZ")
        lines.append(
            f'   <trkpt lat="{point.latitude_deg:.6f}" lon="{point.longitude_deg:.6f}">'
            f"<ele>{point.height_m:.1f}</ele><time>{time}</time></trkpt>"
        )
    return "\n".join([*lines, "  </trkseg>", " </trk>", "</gpx>"]) + "\n"


def coast_geojson() -> str:
    """Return coast line and mole as two polygons (RFC 7946: outer rings counter-clockwise)."""
    features = [
        {
            "type": "Feature",
            "properties": {"name": name},
            "geometry": {"type": "Polygon", "coordinates": [_ring(line)]},
        }
        for name, line in (("Tolverra (invented)", coast_line()), ("The Long Mole", _mole_line()))
    ]
    return json.dumps({"type": "FeatureCollection", "features": features}, indent=1) + "\n"


def _mole_line() -> Numbers:
    start, end = (np.array(point) for point in MOLE)
    ahead = (end - start) / np.hypot(*(end - start))
    left = MOLE_HALF_WIDTH_M * np.array([-ahead[1], ahead[0]])
    return np.array([start + left, start - left, end - left, end + left, start + left])


def _ring(line: Numbers) -> list[list[float]]:
    latitude, longitude = to_degrees(line[:, 0], line[:, 1])
    ring = [
        [round(float(lon), 6), round(float(lat), 6)]
        for lat, lon in zip(latitude, longitude, strict=True)
    ]
    return [*ring[:-1], ring[0]]
