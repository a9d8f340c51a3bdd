"""Seeded campaigns of any size, for timing: their physics is simple and of their own.

``python -m tests.benchmarks.seeded_campaign small FOLDER`` writes one. Open sea, no real place.
"""

from __future__ import annotations

import argparse
import datetime as dt
import io
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pandas as pd
import piexif
from numpy.typing import NDArray
from PIL import Image

START = dt.datetime(2026, 3, 2, 8, 0, tzinfo=dt.UTC)
LATITUDE_DEG, LONGITUDE_DEG = 47.5, -31.25
METRES_NORTH_DEG, METRES_EAST_DEG = 111_190.0, 75_120.0
INTERVAL_S = 4.0
PHOTO_SIZE_PX = (4000, 3000)
DRAWN_PHOTOS = 6
_RATES = (7, 10)
_ANTENNAS = ("whip", "stub")


@dataclass(frozen=True, slots=True, kw_only=True)
class Size:
    """How large a campaign is."""

    walks: int
    receptions: int
    photos: int
    has_tracks: bool = True


SIZES = {
    "small": Size(walks=4, receptions=2_000, photos=24),
    "large": Size(walks=40, receptions=100_000, photos=200),
    "sparse": Size(walks=40, receptions=10_000, photos=0, has_tracks=False),
    "huge": Size(walks=40, receptions=1_000_000, photos=0, has_tracks=False),
}


def write_campaign(folder: Path, size: Size, seed: int = 1) -> Path:
    """Write a campaign whose logs hold exactly as many receptions as its size says."""
    random = np.random.default_rng(seed)
    for name in ("logs", "tracks", "photos"):
        (folder / name).mkdir(parents=True)
    shares = np.full(size.walks, size.receptions // size.walks)
    shares[: size.receptions % size.walks] += 1
    tracks = []
    for number, receptions in enumerate(shares):
        start = START + dt.timedelta(days=3 * number)
        frames = _walk(random, number, int(receptions), start)
        key = f"walk-{number + 1:02d}"
        _log(frames, number).to_csv(folder / "logs" / f"{key}.csv", index=False)
        track = frames.iloc[:: max(1, round(4 / INTERVAL_S))]
        if size.has_tracks:
            (folder / "tracks" / f"{key}.gpx").write_text(_gpx(track), encoding="utf-8")
        tracks.append(track)
    _photos(folder / "photos", random, tracks, size.photos)
    (folder / "conclusions.md").write_text(_conclusions(size), encoding="utf-8")
    (folder / "campaign.yaml").write_text(_description(size), encoding="utf-8")
    return folder


def _walk(
    random: np.random.Generator, number: int, receptions: int, start: dt.datetime
) -> pd.DataFrame:
    """Return frames along a wandering path until so many were heard."""
    frames = _frames(random, number, 8 * receptions + 200)
    last = int(np.flatnonzero(frames["is_heard"].cumsum() == receptions)[0])
    frames = frames.iloc[: last + 1].copy()
    seconds = (frames["counter"] - frames["counter"].iloc[0]) * INTERVAL_S
    frames["time"] = pd.to_datetime(start) + pd.to_timedelta(seconds, unit="s")
    return frames


def _frames(random: np.random.Generator, number: int, count: int) -> pd.DataFrame:
    """Return a random walk with a pull to the station, and what the station makes of it."""
    turn = np.cumsum(random.normal(0.0, 0.12, count))
    step_m = 1.3 * INTERVAL_S
    east, north = _pulled(np.cos(turn) * step_m, np.sin(turn) * step_m)
    distance = np.hypot(east, north) + 5.0
    shadow = 6.0 * np.sin(east / 90.0 + number % 3) * np.cos(north / 110.0)
    level = -36.0 - 32.0 * np.log10(distance) + 4.0 * (number % 2) + shadow
    level = level + random.normal(0.0, 2.5, count)
    noise = -118.0
    snr = np.clip(level - noise, -30.0, 11.0) + random.normal(0.0, 0.7, count)
    limit = -7.5 if number % 4 < 2 else -15.0
    is_heard = (snr > limit) & (random.random(count) > 0.04)
    return pd.DataFrame(
        {
            "counter": np.arange(count) + 100,
            "lat": LATITUDE_DEG + north / METRES_NORTH_DEG,
            "lon": LONGITUDE_DEG + east / METRES_EAST_DEG,
            "rssi": np.round(np.maximum(level, noise + snr.clip(max=0.0))),
            "snr": np.round(snr * 4.0) / 4.0,
            "is_heard": is_heard,
        }
    )


def _pulled(
    east_step: NDArray[np.float64], north_step: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Sum up steps, each bent back to the middle the more the farther out it is."""
    east, north = np.zeros(len(east_step)), np.zeros(len(east_step))
    x, y = 60.0, 20.0
    for index, (dx, dy) in enumerate(zip(east_step, north_step, strict=True)):
        x, y = x * 0.994 + dx, y * 0.994 + dy
        east[index], north[index] = x, y
    return east, north


def _log(frames: pd.DataFrame, number: int) -> pd.DataFrame:
    heard = frames[frames["is_heard"]]
    return pd.DataFrame(
        {
            "time": heard["time"].dt.strftime("%Y-%m-%dT%H:%M:%SZ"),
            "node": "n-1",
            "station": "gw-1",
            "counter": heard["counter"],
            "rssi": heard["rssi"].astype(int),
            "snr": heard["snr"],
            "sf": _RATES[number // 2 % 2],
            "lat": heard["lat"].round(6),
            "lon": heard["lon"].round(6),
        }
    )


def _gpx(track: pd.DataFrame) -> str:
    points = "\n".join(
        f'<trkpt lat="{lat:.6f}" lon="{lon:.6f}"><time>{time:%Y-%m-%dT%H:%M:%SZ}</time></trkpt>'
        for lat, lon, time in zip(track["lat"], track["lon"], track["time"], strict=True)
    )
    return (
        '<?xml version="1.0"?><gpx version="1.1" creator="made" '
        f'xmlns="http://www.topografix.com/GPX/1/1"><trk><trkseg>\n{points}\n'
        "</trkseg></trk></gpx>\n"
    )


def _photos(
    folder: Path, random: np.random.Generator, tracks: list[pd.DataFrame], count: int
) -> None:
    drawn = [_drawn(random) for _ in range(min(DRAWN_PHOTOS, count))]
    for number in range(count):
        track = tracks[number % len(tracks)]
        point = track.iloc[int(random.integers(len(track)))]
        image = io.BytesIO()
        piexif.insert(_exif(point), drawn[number % len(drawn)], image)
        (folder / f"{number + 1:03d}.jpg").write_bytes(image.getvalue())


def _drawn(random: np.random.Generator) -> bytes:
    """Return a picture with as much detail as a photo: clouds of several sizes, a grain."""
    width, height = PHOTO_SIZE_PX
    layers = np.zeros((height, width, 3), dtype=np.float32)
    for cells in (4, 16, 64, 256):
        coarse = random.integers(0, 256, (cells * 3 // 4, cells, 3), dtype=np.uint8)
        layers += np.asarray(
            Image.fromarray(coarse).resize((width, height), Image.Resampling.BICUBIC)
        )
    pixels = layers / 4.0 + random.normal(0.0, 6.0, (height, width, 1)).astype(np.float32)
    stream = io.BytesIO()
    Image.fromarray(np.clip(pixels, 0, 255).astype(np.uint8)).save(stream, "jpeg", quality=90)
    return stream.getvalue()


def _exif(point: pd.Series) -> bytes:
    time = point["time"].strftime("%Y:%m:%d %H:%M:%S").encode()
    exif: bytes = piexif.dump(
        {
            "Exif": {
                piexif.ExifIFD.DateTimeOriginal: time,
                piexif.ExifIFD.OffsetTimeOriginal: b"+00:00",
            },
            "GPS": {
                piexif.GPSIFD.GPSLatitudeRef: b"N",
                piexif.GPSIFD.GPSLatitude: _degrees(point["lat"]),
                piexif.GPSIFD.GPSLongitudeRef: b"W",
                piexif.GPSIFD.GPSLongitude: _degrees(-point["lon"]),
            },
        }
    )
    return exif


def _degrees(value: float) -> tuple[tuple[int, int], ...]:
    return ((int(value), 1), (0, 1), (round((value - int(value)) * 3_600_000), 1000))


def _conclusions(size: Size) -> str:
    figures = "\n".join(
        f'- Walk {number + 1}: {{{{ figure("walk.walk-{number + 1:02d}.station.pier.'
        'delivery_ratio") }} of the frames were heard.'
        for number in range(min(size.walks, 4))
    )
    return f"The pier is heard from afar.\n\n{figures}\n"


def _description(size: Size) -> str:
    return "\n".join(
        (
            f"title: A made campaign of {size.receptions} receptions",
            "time_zone: UTC",
            "publish: {place: exact}",
            "radio: {frequency_mhz: 868.1, bandwidth_khz: 125, spreading_factors: [7, 10],",
            f"        adaptive_rate: false, interval_s: {INTERVAL_S:g}}}",
            "stations:",
            "  pier:",
            "    name: Pier",
            "    own: true",
            "    ids: [gw-1]",
            f"    position: {{latitude_deg: {LATITUDE_DEG}, longitude_deg: {LONGITUDE_DEG}}}",
            "    transmit_power_dbm: 14",
            "    noise_figure_db: 6",
            "    antenna: {name: collinear, gain_dbi: 4}",
            "nodes:",
            "  buoy: {name: Buoy, ids: [n-1], transmit_power_dbm: 14,",
            "         antenna: {name: whip, gain_dbi: 2}}",
            "log_formats:",
            "  table:",
            "    fields: {time: time, node: node, station: station, counter: counter,",
            "             rssi_dbm: rssi, snr_db: snr, spreading_factor: sf,",
            "             latitude_deg: lat, longitude_deg: lon}",
            "photos: {folder: photos}",
            "walks:",
            *(line for number in range(size.walks) for line in _walk_lines(number, size)),
            "",
        )
    )


def _walk_lines(number: int, size: Size) -> Iterator[str]:
    key = f"walk-{number + 1:02d}"
    yield f"  {key}:"
    yield f"    title: Walk {number + 1}"
    yield "    nodes: [buoy]"
    yield f"    factors: {{antenna: {_ANTENNAS[number % 2]}}}"
    yield f"    logs: [logs/{key}.csv]"
    if size.has_tracks:
        yield f"    tracks: [tracks/{key}.gpx]"


def main() -> None:
    """Write one campaign."""
    arguments = argparse.ArgumentParser(description=__doc__)
    arguments.add_argument("size", choices=SIZES)
    arguments.add_argument("folder", type=Path)
    asked = arguments.parse_args()
    write_campaign(asked.folder, SIZES[asked.size])


if __name__ == "__main__":
    main()
