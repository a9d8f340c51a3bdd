"""The kinds of file that are fuzzed, and where their seeds lie."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path

SEEDS = Path(__file__).parent / "seeds"

Check = Callable[[bytes, Path], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """One kind of file.

    Attributes
    ----------
    name : str
        On the command line; also the folder of its seeds.
    module : str
        Holds ``check(content, folder)``, and ``made_seeds()`` where seeds are better made than
        kept.
    instrumented : tuple of str
        Packages whose branches guide the fuzzer.
    words : tuple of str
        What the fuzzer puts together besides single bytes.
    """

    name: str
    module: str
    instrumented: tuple[str, ...] = ("reportgen.read",)
    words: tuple[str, ...] = ()

    def check(self) -> Check:
        """Return the check; the module is imported now, so that it can be instrumented."""
        found: Check = import_module(self.module).check
        return found

    def seeds(self) -> Mapping[str, bytes]:
        """Return all seeds by name, those made by script included."""
        module = import_module(self.module)
        made: Mapping[str, bytes] = module.made_seeds() if hasattr(module, "made_seeds") else {}
        kept = {path.name: path.read_bytes() for path in sorted((SEEDS / self.name).glob("*"))}
        return {**made, **kept}


KINDS: Mapping[str, Kind] = {
    kind.name: kind
    for kind in (
        Kind(
            name="gpx",
            module="tests.fuzz.gpx_target",
            words=(
                "<gpx>", "</gpx>", "<trk>", "</trk>", "<trkseg>", "</trkseg>", "<trkpt ",
                "</trkpt>", "lat=", "lon=", "<ele>", "</ele>", "<time>", "</time>", "<wpt ",
                "<rtept ", "<!DOCTYPE ", "<!ENTITY ", "<![CDATA[", "]]>", "<!--", "-->", "xmlns:",
                "<?xml version='1.0' encoding='", "&#", "+14:00", "9999-12-31T23:59:59", "utf-16",
            ),
        ),
        Kind(
            name="json_lines",
            module="tests.fuzz.json_lines_target",
            words=(
                '"rx":[', '"time":', '"node":', '"station":', '"rssi":', '"rate":', '"lat":',
                "\\ud800", "NaN", "Infinity", "1e999", "null", "true", "[[[[[[[[", '{"":', '"A1"',
                "SF7BW125", "DR3",
            ),
        ),
        Kind(
            name="csv",
            module="tests.fuzz.csv_target",
            words=(
                "time", "node", "station", "rssi", "rate", "lat", "lon", '"', '""', "\r\n", "\r",
                ";", "\t", "SF7BW125", "DR3", "2026-03-29 01:30:00", "1e30", "A1", "#", "NaN",
                "\u2212", "29.03.2026 01:30:00",
            ),
        ),
        Kind(
            name="exif",
            module="tests.fuzz.exif_target",
            instrumented=(
                "reportgen.read", "PIL.Image", "PIL.TiffImagePlugin", "PIL.JpegImagePlugin",
                "PIL.MpoImagePlugin", "pi_heif",
            ),
            words=("Exif", "II*", "MM", "0000:00:00 00:00:00", "+14:00", "WGS-84", "R03"),
        ),
        Kind(
            name="yaml",
            module="tests.fuzz.yaml_target",
            instrumented=("reportgen.read", "ruamel.yaml"),
            words=(
                "title:", "time_zone:", "radio:", "stations:", "nodes:", "walks:", "log_formats:",
                "fields:", "position:", "photos:", "overlays:", "corners:", "- ", "? ", ": ", "&a ",
                "*a", "!!", "%YAML", "---", "...", "|", ">", "{", "}", "[", "]", "<<:", ".nan",
                ".inf", "0x", "1e999", "\t", "FILL IN", "2026-03-03 10:00", "own: true",
            ),
        ),
        Kind(
            name="geojson",
            module="tests.fuzz.geojson_target",
            words=(
                '"type":', '"Feature"', '"FeatureCollection"', '"features":', '"geometry":',
                '"coordinates":', '"Polygon"', '"MultiPolygon"', '"LineString"', '"Point"',
                '"GeometryCollection"', '"geometries":', "null", "NaN", "1e999", "[[", "]]",
            ),
        ),
    )
}  # fmt: skip
