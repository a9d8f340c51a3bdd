"""The elements of a GPX file that make a track, as texts with their lines."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass, replace
from xml.sax import SAXParseException  # nosec: the parser itself is defusedxml's
from xml.sax.handler import ContentHandler
from xml.sax.xmlreader import AttributesImpl, Locator

from defusedxml.common import DefusedXmlException
from defusedxml.sax import parse

from reportgen.errors import CampaignError
from reportgen.read.findings import Finding
from reportgen.read.reading import CampaignFile

MOST_POINTS = 1_000_000
"""Eleven days at one a second."""
DEEPEST = 100
"""Elements within elements; GPX needs six, extensions a few more."""

PROBLEM_CODES = (
    ("gpx/too-many-points", "A file holds more track points than any walk makes."),
    ("gpx/too-deep", "Elements are nested deeper than any GPX needs."),
    ("gpx/not-well-formed", "A file is not well-formed XML, perhaps cut off."),
    ("gpx/not-gpx", "A file is XML, but not GPX."),
    ("gpx/dtd", "A file declares a document type or entities, which GPX never needs."),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class RawPoint:
    """A track point as it stands in the file; None where something is absent."""

    line: int
    segment: int
    latitude: str | None
    longitude: str | None
    height: str | None = None
    time: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class TrackElements:
    """What a GPX file holds.

    Attributes
    ----------
    points : sequence of RawPoint
        Of all tracks, in file order; segments are numbered from 0, empty ones included.
    other_points : int
        Waypoints and route points.
    """

    points: Sequence[RawPoint]
    other_points: int


def track_elements(file: CampaignFile, content: bytes) -> TrackElements:
    """Return the track points of a GPX file as texts.

    Parameters
    ----------
    file : CampaignFile
        Names the file in problems.
    content : bytes
        The file, not empty.

    Raises
    ------
    CampaignError
        If it is not well-formed, declares a document type, is not GPX, or holds more than any
        track does.
    """
    handler = _Handler(file)
    try:
        parse(io.BytesIO(content), handler, forbid_dtd=True)
    except DefusedXmlException as error:
        raise _DTD.error(file.where(line=handler.line)) from error
    except SAXParseException as error:
        raise _not_well_formed(file, error.getLineNumber() or 0, error.getMessage()) from error
    except (LookupError, ValueError) as error:
        raise _not_well_formed(file, 1, "an encoding that can't be read") from error
    if handler.root != "gpx":
        raise Finding(
            code="gpx/not-gpx",
            found=f"a file whose outermost element is {handler.root[:40]}",
            expected="gpx",
            do="export the track as GPX",
        ).error(file.where(line=1))
    return TrackElements(points=handler.points, other_points=handler.other_points)


class _Handler(ContentHandler):
    """Collects points while the parser walks through the file."""

    def __init__(self, file: CampaignFile) -> None:
        super().__init__()
        self._file = file
        self.points: list[RawPoint] = []
        self.other_points = 0
        self.root = ""
        self._prefix = ""
        self._path: list[str] = []
        self._segment = -1
        self._text: list[str] | None = None
        self._locator: Locator | None = None

    @property
    def line(self) -> int:
        """Line that the parser has come to, 0 if unknown."""
        return (self._locator.getLineNumber() or 0) if self._locator else 0

    def setDocumentLocator(self, locator: Locator) -> None:  # noqa: N802 - the parser's name
        """Take the parser's own account of where it is."""
        self._locator = locator

    def startElement(self, name: str, attrs: AttributesImpl) -> None:  # noqa: N802
        """Begin a segment, a point or one of its values."""
        if not self._path:
            self._prefix, _, self.root = name.rpartition(":")
        prefix, _, local = name.rpartition(":")
        # Extensions may use the same names; theirs have another prefix or another parent.
        element = local if prefix == self._prefix else ""
        parent = self._path[-1] if self._path else ""
        self._path.append(element)
        if len(self._path) > DEEPEST or len(self.points) > MOST_POINTS:
            finding = _TOO_DEEP if len(self._path) > DEEPEST else _TOO_MANY_POINTS
            raise finding.error(self._file.where(line=self.line))
        if element == "trkseg" and parent == "trk":
            self._segment += 1
        elif element == "trkpt" and parent in {"trkseg", "trk"}:
            self.points.append(
                RawPoint(
                    line=self.line,
                    segment=max(self._segment, 0),
                    latitude=attrs.get("lat"),
                    longitude=attrs.get("lon"),
                )
            )
        elif element in {"wpt", "rtept"} and parent in {"gpx", "rte"}:
            self.other_points += 1
        self._text = [] if element in {"ele", "time"} and parent == "trkpt" else None

    def characters(self, content: str) -> None:
        """Collect the text of a value."""
        if self._text is not None:
            self._text.append(content)

    def endElement(self, name: str) -> None:  # noqa: ARG002, N802 - the parser's signature
        """Give a value to its point."""
        element = self._path.pop()
        if self._text is None:
            return
        text = "".join(self._text).strip() or None
        self._text = None
        if element == "ele":
            self.points[-1] = replace(self.points[-1], height=text)
        else:
            self.points[-1] = replace(self.points[-1], time=text)


_TOO_MANY_POINTS = Finding(
    code="gpx/too-many-points",
    found=f"more than {MOST_POINTS:,} track points",
    expected="the track of a walk",
    do="cut the track to the walk, or correct the path",
)
_TOO_DEEP = Finding(
    code="gpx/too-deep",
    found=f"elements nested more than {DEEPEST} deep",
    expected="tracks, segments and points",
    do="export the track again; do not use a file of unknown origin",
)
_DTD = Finding(
    code="gpx/dtd",
    found="a document type or entity declaration",
    expected="plain GPX",
    do="export the track again; do not use a file of unknown origin",
)


def _not_well_formed(file: CampaignFile, line: int, message: str) -> CampaignError:
    return Finding(
        code="gpx/not-well-formed",
        found=f"XML that breaks off or is damaged ({message})",
        expected="a whole GPX file",
        do="export the track again; a file cut off by a power loss can be closed by hand with "
        "</trkseg></trk></gpx>",
    ).error(file.where(line=line))
