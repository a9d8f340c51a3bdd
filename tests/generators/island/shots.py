"""The photos: where, when and whither, and what their cameras wrote or left out."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass

import numpy as np

from tests.generators.island.ground import foot_of, surface_m
from tests.generators.island.outing import outing_of, true_place
from tests.generators.island.scenario import DECLINATION_DEG, HARBOUR, ZONE
from tests.generators.island.walks import arrival_s

EYE_M = 1.6
LONG_SIDE_PX, SHORT_SIDE_PX = 1600, 1200
FULL_FRAME_DIAGONAL_MM = 43.2666


@dataclass(frozen=True, slots=True, kw_only=True)
class Camera:
    """A camera of the story. `offset` is what it writes of its zone, if anything.

    `owner`, `serial` and `software` are what a camera tells about people without being asked.
    """

    make: str
    model: str
    clock_ahead_s: float
    offset: str | None
    north: str
    owner: str
    serial: str
    software: str

    @property
    def name(self) -> str:
        """Make and model."""
        return f"{self.make} {self.model}"


COMPACT = Camera(
    make="Drawn", model="Sketch One", clock_ahead_s=97.0, offset=None, north="M",
    owner="Orla Venning", serial="SK1-77204913", software="Sketchworks 4.1",
)  # fmt: skip
PHONE = Camera(
    make="Drawn", model="Sketch Two", clock_ahead_s=0.0, offset="+01:00", north="T",
    owner="Tamsin Brakewell", serial="SK2-30958866", software="Pocketsketch 17.2",
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Shot:
    """A photo. It is taken `seconds` after a halt of a walk begins (`stand`), or after its start.

    `aim_deg` is added to the direction of the station, or is the heading itself where `at` or
    `is_absolute` says so.
    """

    key: str
    camera: Camera
    walk: str | None = None
    stand: int | None = None
    seconds: float = 0.0
    at: tuple[float, float] | None = None
    on: dt.datetime | None = None
    aim_deg: float = 0.0
    is_absolute: bool = False
    focal_35mm: int = 28
    is_upright: bool = False
    states_time: bool = True
    states_place: bool = True
    states_heading: bool = True
    sight_line: str = "clear"
    blocked_by: str = ""
    caption: str = ""

    @property
    def file(self) -> str:
        """Name of the file."""
        return f"{self.key}.jpg"

    @property
    def size_px(self) -> tuple[int, int]:
        """Width and height of the upright picture."""
        sides = (LONG_SIDE_PX, SHORT_SIDE_PX)
        return sides[::-1] if self.is_upright else sides

    @property
    def focal_px(self) -> float:
        """Focal length in pixels: equivalence by the diagonal of 36 x 24 mm."""
        return self.focal_35mm * float(np.hypot(*self.size_px)) / FULL_FRAME_DIAGONAL_MM

    @property
    def time_s(self) -> float | None:
        """True time, in seconds since 1970 UTC; None where the story does not say."""
        if self.walk is None:
            return self.on.timestamp() if self.on else None
        path = outing_of(self.walk).path
        since_s = self.seconds + (0.0 if self.stand is None else arrival_s(path, self.stand))
        return path.walk.start_s + since_s

    @property
    def place_m(self) -> tuple[float, float]:
        """True place, metres east and north."""
        if self.at is not None:
            return self.at
        assert self.walk is not None
        assert self.time_s is not None
        return true_place(outing_of(self.walk), self.time_s)

    @property
    def ground_m(self) -> float:
        """Height of the ground under the photographer."""
        x_m, y_m = self.place_m
        return float(surface_m(np.array([x_m]), np.array([y_m]))[0])

    @property
    def heading_deg(self) -> float:
        """Where the camera looks, from true north."""
        if self.is_absolute:
            return self.aim_deg % 360.0
        x_m, y_m = self.place_m
        foot_x, foot_y = foot_of(HARBOUR)
        return float(np.degrees(np.arctan2(foot_x - x_m, foot_y - y_m)) + self.aim_deg) % 360.0

    @property
    def written_heading_deg(self) -> float:
        """Where the camera says that it looks, from its own north."""
        turn_deg = DECLINATION_DEG if self.camera.north == "M" else 0.0
        return round((self.heading_deg - turn_deg) % 360.0, 1)


SHOTS = (
    Shot(
        key="01-quay", camera=PHONE, walk="quay-first", stand=0, seconds=41.37, aim_deg=9.0,
        caption="From the quay, a few steps from the harbour office with our mast.",
    ),
    Shot(
        key="02-lane", camera=PHONE, walk="quay-first", stand=1, seconds=22.81, aim_deg=-7.0,
        sight_line="blocked", blocked_by="a house of the village",
        caption="In the village; a house stands between us and the mast.",
    ),
    Shot(
        key="03-out-to-sea", camera=COMPACT, walk="quay-first", stand=2, seconds=63.20,
        aim_deg=150.0, is_absolute=True,
        caption="From the strand out to sea, the Long Mole on the left; the mast lies to the "
        "right of the picture.",
    ),
    Shot(
        key="04-mole-end", camera=COMPACT, walk="quay-again", stand=1, seconds=95.55,
        aim_deg=4.0, focal_35mm=85,
        caption="From the end of the Long Mole, across almost two kilometres of open water.",
    ),
    Shot(
        key="05-on-the-mole", camera=PHONE, walk="quay-again", stand=0, seconds=48.06,
        aim_deg=21.0, is_upright=True, focal_35mm=24,
        caption="Held upright, on the Long Mole: the mast is far left, the hill behind the bay.",
    ),
    Shot(
        key="06-village-green", camera=COMPACT, walk="both-nodes", stand=0, seconds=30.0,
        aim_deg=5.0, states_time=False, sight_line="partly blocked",
        blocked_by="a house of the village",
        caption="The village green, the mast behind a roof. The camera's clock had not been set.",
    ),
    Shot(
        key="07-shoulder", camera=PHONE, walk="hill-sf7", stand=0, seconds=71.44, aim_deg=14.0,
        caption="From the west shoulder of the hill down to the harbour.",
    ),
    Shot(
        key="08-north-shore", camera=PHONE, walk="hill-sf7", stand=1, seconds=37.92, aim_deg=-5.0,
        sight_line="blocked", blocked_by="the hill",
        caption="On the north shore, looking towards the station through the whole of the hill.",
    ),
    Shot(
        key="09-east-flank", camera=COMPACT, walk="hill-sf10-stub", stand=1, seconds=54.18,
        aim_deg=-13.0, states_place=False, sight_line="partly blocked",
        blocked_by="the foot of the slope",
        caption="Down the east flank: the mast's tip over the slope. The camera had no fix.",
    ),
    Shot(
        key="10-strand", camera=COMPACT, walk="quay-stub", stand=0, seconds=33.70, aim_deg=-3.0,
        states_heading=False, focal_35mm=50,
        caption="From the strand to the harbour, on the last day.",
    ),
    Shot(
        key="11-the-mast", camera=COMPACT, at=(-736.0, -597.0), aim_deg=5.0, states_time=False,
        states_place=False, states_heading=False, focal_35mm=50,
        caption="The harbour office and our mast. Nothing in the file says when or where.",
    ),
    Shot(
        key="12-mast-day", camera=PHONE, at=(-590.0, -395.0),
        on=dt.datetime(2026, 6, 8, 17, 21, 9, 640_000, tzinfo=ZONE), aim_deg=-8.0,
        caption="The evening before the first walk, when the mast had just gone up.",
    ),
)  # fmt: skip
