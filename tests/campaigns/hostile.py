"""A campaign that puts a script wherever something from outside can stand.

Each place has a payload of its own: a word to find it by, and every way known to us of leaving the
text it stands in and calling `ran` with the place's number.
"""

from __future__ import annotations

import csv
import io
import json
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from xml.sax.saxutils import escape, quoteattr

import piexif
import piexif.helper
from PIL import Image

from tests.campaigns.made import LATITUDE_DEG, LONGITUDE_DEG, place

WORD = "hernshaw"
OUTSIDE = "https://elsewhere.example.org"
SUM = "=={{ 7*7 }}=="
"""Becomes ==49== where a template language reads what is only text."""

_HTML = (
    "'\"></title></style></textarea></noscript></script>--><script>ran({n})</script>"
    "<img src=x onerror=ran({n})><svg/onload=ran({n})><iframe srcdoc='<script>parent.ran({n})"
    '</script>\'></iframe><a href="javascript:ran({n})">a</a><details open ontoggle=ran({n})>'
    "<object data=data:text/html,x></object><meta http-equiv=refresh content=0;url={o}/{n}>"
    "<style>@import '{o}/{n}.css';</style><base href={o}><form action={o}><button>b</button></form>"
)
_MARKDOWN = (
    " [c](javascript:ran({n})) [d](data:text/html,<script>ran({n})</script>) ![e]({o}/{n}.png) "
    '<javascript:ran({n})> <{o}/{n}> `f` **g** | h {: onclick="ran({n})" } {#x onfocus=ran({n})}'
)
_OTHERS = (
    " {% for x in y %}{{ config }}{% endfor %} ${{ran({n})}} %{text} %{customdata[0]} \\u003cb ]]> "
    "&lt;img src=x onerror=ran({n})&gt; &#60;script&#62;ran({n})&#60;/script&#62; \u2028\u202e"
)


@dataclass(slots=True)
class Payloads:
    """Hands out payloads and remembers where each went, by number."""

    places: list[str] = field(default_factory=list)
    route: str = ""
    """One for two walks, which makes them comparable."""

    def __post_init__(self) -> None:
        self.route = self.text("route")

    def text(self, place: str) -> str:
        """Return a payload for a text."""
        return self._with(place, SUM + _HTML + _MARKDOWN + _OTHERS)

    def markdown(self, place: str) -> str:
        """Return a payload for the author's Markdown, in which double braces stop the build."""
        return self._with(place, _HTML + _MARKDOWN)

    def name(self, place: str) -> str:
        """Return a payload for the name of a file or folder."""
        return self._with(place, f"'\"><img src=x onerror=ran({{n}})><svg onload=ran({{n}})>{SUM}")

    def plain(self, place: str) -> str:
        """Return a payload where some signs have a meaning of their own."""
        return self._with(place, "'\"><img src=x onerror=ran({n})>")

    def _with(self, place: str, payload: str) -> str:
        self.places.append(place)
        number = str(len(self.places) - 1)
        return f"{WORD}{number} " + payload.replace("{n}", number).replace("{o}", OUTSIDE)


@dataclass(frozen=True, slots=True)
class HostileCampaign:
    """The folder, and the place of each payload by its number."""

    folder: Path
    places: tuple[str, ...]


Json = dict[str, object]


def hostile_campaign(parent: Path) -> HostileCampaign:
    """Write the campaign into a folder of its own in `parent`."""
    payloads = Payloads()
    folder = parent / payloads.name("campaign folder")
    folder.mkdir()
    names = {kind: payloads.name(f"file name of the {kind}") for kind in _KINDS}
    table, formats = _Table.of(payloads), {}
    formats["table"] = table.format()
    lines, formats["lines"] = _json_lines(payloads)
    description = _description(payloads, names, table, formats)
    files: dict[str, bytes] = {
        _path(names, "table"): table.text(payloads).encode(),
        _path(names, "lines"): lines.encode(),
        _path(names, "track"): _gpx(payloads).encode(),
        _path(names, "overlay"): _geojson(payloads).encode(),
        _path(names, "picture"): _png(),
        _path(names, "conclusions"): _conclusions(payloads).encode(),
        _path(names, "photo"): _photo(payloads),
        _path(names, "plain photo"): _photo(None),
    }
    for path, content in files.items():
        (folder / path).parent.mkdir(exist_ok=True)
        (folder / path).write_bytes(content)
    text = json.dumps(description, indent=1)  # JSON is YAML
    (folder / "campaign.yaml").write_text(text, encoding="utf-8")
    return HostileCampaign(folder, tuple(payloads.places))


_KINDS = {
    "folder": "", "table": ".csv", "lines": ".jsonl", "track": ".gpx", "overlay": ".geojson",
    "picture": ".png", "conclusions": ".md", "photo": ".jpg", "plain photo": ".jpeg",
}  # fmt: skip


def _path(names: dict[str, str], kind: str) -> str:
    return f"{names['folder']}/{names[kind]}{_KINDS[kind]}"


def _description(
    payloads: Payloads, names: dict[str, str], table: _Table, formats: dict[str, Json]
) -> Json:
    text = payloads.text
    north, west = place(900, -200)
    south, east = place(-100, 400)
    return {
        "title": text("title"),
        "summary": text("summary"),
        "network": text("network"),
        "authors": [text("author")],
        "data_licence": text("licence"),
        "time_zone": "Atlantic/Azores",
        "radio": {"frequency_mhz": 868.1, "bandwidth_khz": 125, "spreading_factors": [7]},
        "stations": _stations(payloads, table),
        "nodes": {
            "buoy": _radio(payloads, "node buoy", [table.ids["node"], "n-1"]),
            "float": _radio(payloads, "node float", ["n-2"]),
        },
        "log_formats": formats,
        "walks": {
            "loop": _walk(payloads, "loop", {
                "logs": [{"file": _path(names, "table"), "format": "table"}],
                "tracks": [_path(names, "track")],
                "node_changes": {"buoy": {
                    "antenna": {"name": text("changed antenna"), "gain_dbi": 3},
                    "feeder": {"cable": text("changed cable"), "loss_db": 1},
                }},
            }),
            "again": _walk(payloads, "again", {
                "logs": [{"file": _path(names, "lines"), "format": "lines"}],
            }),
        },
        "comparisons": [
            {"title": text("comparison"), "first": ["loop"], "second": ["again"]},
        ],
        "photos": {
            "folder": names["folder"],
            "cameras": [{"camera": text("camera of the description"), "clock_ahead_s": 5}],
            "files": {
                f"{names['photo']}.jpg": {
                    "caption": text("caption"), "sight_line": "blocked",
                    "blocked_by": text("blocked by"), "walk": "loop",
                    "hide": {text("box of a photo"): [0, 0, 0.1, 0.1]},
                },
                payloads.name("photo that is not there"): {"caption": text("caption of nothing")},
            },
        },
        "overlays": [
            {"file": _path(names, "overlay"), "title": text("overlay")},
            {"file": _path(names, "picture"), "title": text("picture"), "corners": {
                "north_west": {"latitude_deg": north, "longitude_deg": west},
                "south_east": {"latitude_deg": south, "longitude_deg": east},
            }},
        ],
        "tiles": {
            "address": "https://tiles.example.org/{z}/{x}/{y}.png",
            "attribution": text("attribution of the tiles"),
        },
        "conclusions": _path(names, "conclusions"),
        "publish": {
            # Everything that can be let out is: what is kept back can't do harm.
            "place": "exact",
            "identifiers": True,
            "file_names": True,
            "leave_out": [payloads.name("photo that is left out")],
            "cut": [{"place": [south, east], "radius_m": 20}],
        },
    }  # fmt: skip


def _stations(payloads: Payloads, table: _Table) -> Json:
    pier = _radio(payloads, "station pier", [table.ids["station"], "gw-1"])
    other = _radio(payloads, "station of others", ["gw-8"])
    latitude_deg, longitude_deg = place(400, 300)
    return {
        "pier": pier | {
            "own": True,
            "vswr": {"value": 1.4, "measured_at": "radio", "frequency_mhz": 868.1},
            "position": {"latitude_deg": LATITUDE_DEG, "longitude_deg": LONGITUDE_DEG},
        },
        "other": other
        | {"position": {"latitude_deg": latitude_deg, "longitude_deg": longitude_deg}},
    }  # fmt: skip


def _radio(payloads: Payloads, kind: str, ids: list[str]) -> Json:
    return {
        "name": payloads.text(f"{kind}: name"),
        "ids": ids,
        "transmit_power_dbm": 14,
        "antenna": {"name": payloads.text(f"{kind}: antenna"), "gain_dbi": 2},
        "feeder": {"cable": payloads.text(f"{kind}: cable"), "loss_db": 0.5},
        "note": payloads.text(f"{kind}: note"),
    }


def _walk(payloads: Payloads, key: str, files: Json) -> Json:
    return {
        "title": payloads.text(f"walk {key}: title"),
        "summary": payloads.text(f"walk {key}: summary"),
        "route": payloads.route,
        "nodes": ["buoy", "float"],
        "factors": {"antenna": payloads.text(f"walk {key}: factor"), payloads.plain("factor"): key},
    } | files


LOG_FIELDS = (
    "time", "node", "station", "counter", "rssi_dbm", "snr_db", "spreading_factor",
    "latitude_deg", "longitude_deg", "height_m", "position_error_m", "bandwidth_khz",
    "frequency_mhz", "transmit_power_dbm", "data_rate",
)  # fmt: skip
FORMULA = "=1+1"
"""A data rate that a spreadsheet would work out."""


@dataclass(frozen=True, slots=True)
class _Table:
    """A log as a table; its headings are payloads, and so is one cell of each of its fields."""

    headings: dict[str, str]
    ids: dict[str, str]
    time_note: str
    blank: str
    pattern: str

    @classmethod
    def of(cls, payloads: Payloads) -> _Table:
        return cls(
            {name: payloads.text(f"heading of {name}") for name in (*LOG_FIELDS, "unmapped")},
            {
                name: payloads.text(f"identifier of the {name}")
                for name in ("node", "station", "data_rate")
            },
            payloads.plain("pattern of times"),
            payloads.text("value for not measured"),
            payloads.plain("pattern of a field"),
        )

    def format(self) -> Json:
        fields: Json = {name: self.headings[name] for name in LOG_FIELDS}
        fields["time"] = {"columns": [self.headings["time"]]}
        fields["node"] = {"column": self.headings["node"]}
        fields["spreading_factor"] = {
            "column": self.headings["spreading_factor"],
            "pattern": f"(?:{re.escape(self.pattern)})?(\\d+)",
        }
        fields["snr_db"] = {
            "column": self.headings["snr_db"],
            "not_measured": [self.blank],
            "not_measured_when": {"station": [self.blank]},
        }
        return {
            "time_format": f"%Y-%m-%dT%H:%M:%S {self.time_note}",
            "keep_when": {"node": [self.ids["node"], "n-1", "n-2", self.blank]},
            "fields": fields,
        }

    def text(self, payloads: Payloads) -> str:
        out = io.StringIO()
        writer = csv.writer(out)
        writer.writerow(self.headings.values())
        for cells in self._rows(payloads):
            writer.writerow([*cells, payloads.text("unmapped cell") if cells[3] == "1" else ""])
        return out.getvalue()

    def _rows(self, payloads: Payloads) -> Iterator[list[str]]:
        stations = (self.ids["station"], "gw-8", payloads.text("station that nobody described"))
        for number in range(60):
            yield self._cells(number, stations[0 if number % 4 else number % 3])
        for index, name in enumerate(LOG_FIELDS):
            row = self._cells(60 + index, self.ids["station"])
            row[index] = payloads.text(f"cell of {name}")
            yield row

    def _cells(self, number: int, station: str) -> list[str]:
        latitude, longitude = place(13.0 * number)
        node = self.ids["node"] if number % 2 else "n-2"
        time = f"2026-03-03T10:{number // 6:02}:{number % 6}0 {self.time_note}"
        rate = self.ids["data_rate"] if number % 3 else FORMULA
        return [time, node, station, str(number), str(-70 - number), "5", "7",
                f"{latitude:.6f}", f"{longitude:.6f}", "12", "5", "125", "868.1", "14",
                rate]  # fmt: skip


def _json_lines(payloads: Payloads) -> tuple[str, Json]:
    level, list_of, station = (
        payloads.text(f"key of the {what}") for what in ("level", "receptions", "station")
    )
    known = payloads.text("station by a constant")
    unmapped = {payloads.text("key that nothing maps"): payloads.text("value that nothing maps")}
    lines = []
    for number in range(40):
        latitude, longitude = place(15.0 * number)
        reception = {level: -75 - number, station: known, "snr": 4}
        lines.append(json.dumps({
            "t": f"2026-03-03T12:{number // 6:02}:{number % 6}0", "n": "n-1", "c": number,
            "lat": latitude, "lon": longitude, list_of: [reception],
            **unmapped,
        }))  # fmt: skip
    fields = {name: {"pointer": f"/{key}", "from_record": True} for name, key in (
        ("time", "t"), ("node", "n"), ("counter", "c"), ("latitude_deg", "lat"),
        ("longitude_deg", "lon"),
    )}  # fmt: skip
    return "\n".join(lines) + "\n", {
        "kind": "json lines",
        "receptions": _pointer(list_of),
        "fields": fields | {
            "rssi_dbm": {"pointer": _pointer(level)}, "snr_db": "/snr",
            "station": {"value": known}, "spreading_factor": {"value": 7},
        },
    }  # fmt: skip


def _pointer(key: str) -> str:
    """Return a JSON Pointer to a key (RFC 6901, section 3)."""
    return "/" + key.replace("~", "~0").replace("/", "~1")


def _gpx(payloads: Payloads) -> str:
    def texts(kind: str) -> str:
        return "".join(
            f"<{tag}>{escape(payloads.text(f'{tag} of the {kind}'))}</{tag}>"
            for tag in ("name", "cmt", "desc", "src")
        ) + f"<link href={quoteattr(payloads.text(f'link of the {kind}'))}/>"  # fmt: skip

    points = []
    for number in range(0, 700, 10):
        latitude, longitude = place(1.3 * number)
        points.append(
            f'<trkpt lat="{latitude:.6f}" lon="{longitude:.6f}"><time>2026-03-03T'
            f"11:{number // 60:02}:{number % 60:02}Z</time>{texts('point') if not number else ''}"
            "</trkpt>"
        )
    return (
        f'<?xml version="1.0"?><gpx version="1.1" creator={quoteattr(payloads.text("creator"))} '
        f'xmlns="http://www.topografix.com/GPX/1/1"><metadata>{texts("file")}</metadata>'
        f'<wpt lat="{LATITUDE_DEG}" lon="{LONGITUDE_DEG}">{texts("waypoint")}</wpt>'
        f"<trk>{texts('track')}<trkseg>{''.join(points)}</trkseg></trk></gpx>\n"
    )


def _geojson(payloads: Payloads) -> str:
    ring = [
        [round(east, 6), round(north, 6)] for north, east in map(place, (0, 500, 900), (50, 90, 10))
    ]

    def feature(geometry: Json) -> Json:
        return {
            "type": "Feature",
            "id": payloads.text("id of a feature"),
            "properties": {
                "name": payloads.text("name of a feature"),
                payloads.text("name of a property"): payloads.text("property"),
            },
            "geometry": geometry,
        }

    return json.dumps({
        "type": "FeatureCollection",
        "name": payloads.text("name of the collection"),
        payloads.text("foreign member"): payloads.text("value of a foreign member"),
        "features": [
            feature({"type": "Polygon", "coordinates": [[*ring, ring[0]]]}),
            feature({"type": payloads.text("type of a geometry"), "coordinates": []}),
        ],
    })  # fmt: skip


def _png() -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (30, 20), "green").save(out, "PNG")
    return out.getvalue()


def _photo(payloads: Payloads | None) -> bytes:
    """Return a JPEG with a payload in every text of its metadata, or with none of them."""
    out = io.BytesIO()
    tags: dict[str, dict[int, object]] = {"0th": {}, "Exif": {}, "GPS": {}}
    more: Json = {}
    if payloads is not None:
        tags, more = _tags(payloads)
    tags["Exif"][piexif.ExifIFD.DateTimeOriginal] = b"2026:03:03 10:05:00"
    Image.new("RGB", (64, 48), "navy").save(out, "JPEG", exif=piexif.dump(tags), **more)
    return out.getvalue()


def _tags(payloads: Payloads) -> tuple[dict[str, dict[int, object]], Json]:
    def text(name: str) -> bytes:
        return payloads.text(f"Exif {name}").encode()

    main: dict[int, object] = {
        getattr(piexif.ImageIFD, name): text(name)
        for name in ("ImageDescription", "Artist", "Make", "Model", "Software", "Copyright")
    }
    for name in ("XPTitle", "XPComment", "XPKeywords"):
        main[getattr(piexif.ImageIFD, name)] = payloads.text(f"Exif {name}").encode("utf-16-le")
    exif: dict[int, object] = {
        getattr(piexif.ExifIFD, name): text(name)
        for name in ("LensModel", "LensMake", "CameraOwnerName", "OffsetTime", "SubSecTime")
    }
    comment = payloads.text("Exif UserComment")
    exif[piexif.ExifIFD.UserComment] = piexif.helper.UserComment.dump(comment, "unicode")
    gps: dict[int, object] = {
        getattr(piexif.GPSIFD, name): text(name) for name in ("GPSMapDatum", "GPSProcessingMethod")
    }
    xmp = f"<x:xmpmeta xmlns:x='adobe:ns:meta/'>{escape(payloads.text('XMP'))}</x:xmpmeta>"
    return (
        {"0th": main, "Exif": exif, "GPS": gps},
        {"xmp": xmp.encode(), "comment": text("JPEG comment")},
    )


def _conclusions(payloads: Payloads) -> str:
    say = payloads.markdown
    return "\n\n".join([
        f"# {say('heading of the conclusions')}",
        say("paragraph of the conclusions"),
        f"- {say('list of the conclusions')}",
        f"| a | b |\n|---|---|\n| {say('table of the conclusions')} | 2 |",
        f"    {say('code of the conclusions')}",
        f"[{WORD}][r] ![{WORD}][r]\n\n[r]: javascript:ran(0) 'title\" onclick=\"ran(0)'",
        f"!!! note \"{say('admonition of the conclusions')}\"\n    text",
        '<div markdown="1" onclick="ran(0)">**x**</div>',
        "text\n{: onclick=\"ran(0)\" style=\"background:url(javascript:ran(0))\" }",
        "[^1]: javascript:ran(0)\n\n*[HTML]: \"><script>ran(0)</script>",
        'Heard {{ figure("walk.loop.station.pier.frames_heard") }} frames.',
    ]) + "\n"  # fmt: skip
