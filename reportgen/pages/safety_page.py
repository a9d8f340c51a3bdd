"""The page of cautions: distances to the antennas, and what the band's plan implies."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import product

from reportgen.model.regional_limits import PowerLimit
from reportgen.pages import formats
from reportgen.pages.context import Context
from reportgen.pages.views import Cell, Grid, Labelled, headings, text_cell
from reportgen.results.figure import Absent
from reportgen.results.safety import (
    FRAMEWORKS,
    GROUNDS,
    Antenna,
    Framework,
    antennas,
    plan_limits,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class CautionView:
    """One antenna that people may come near to."""

    name: str
    is_known: bool
    keep: tuple[Labelled, ...]
    distances: Grid
    all_near: str
    duty_note: str

    @property
    def has_distances(self) -> bool:
        """Whether any distance lies where its formula holds."""
        return not self.distances.is_empty


@dataclass(frozen=True, slots=True, kw_only=True)
class SafetyView:
    """The whole page."""

    antennas: tuple[CautionView, ...]
    near_field_note: str
    densities: Grid
    has_densities: bool
    limits: Grid
    has_limits: bool


def safety_view(context: Context) -> SafetyView:
    """Return the page of cautions."""
    edge = context.figures.view("safety.near_field_edge_m")
    limits = _limits(context)
    cautions = tuple(_caution(context, antenna) for antenna in antennas(context.campaign))
    return SafetyView(
        antennas=cautions,
        densities=_densities(context),
        has_densities=any(item.is_known and not item.has_distances for item in cautions),
        near_field_note=""
        if edge.is_absent
        else context.words.say("safety.near_field_note", edge=edge.text),
        limits=limits,
        has_limits=not limits.is_empty,
    )


def _caution(context: Context, antenna: Antenna) -> CautionView:
    say, name = context.words.say, _name(context, antenna)
    keep = context.figures.labelled(
        f"{antenna.path}.caution_distance_m", say("safety.keep"), say("safety.keep_note")
    )
    eirp = context.figures.labelled(
        f"{antenna.path}.eirp_w", say("safety.eirp"), say("safety.eirp_note")
    )
    is_near = _is_all_near(context, antenna)
    distances = _distances(context, antenna, name)
    return CautionView(
        name=name,
        is_known=not keep.figure.is_absent,
        keep=(keep, eirp),
        distances=replace(distances, rows=()) if is_near else distances,
        all_near=say("safety.all_near", name=name) if is_near else "",
        duty_note=say(f"safety.duty_note_{antenna.kind}")
        if _has_duty(context, antenna) and not is_near
        else "",
    )


def _is_all_near(context: Context, antenna: Antenna) -> bool:
    """Whether no limit asks for a distance beyond the near field, and all cells would say so."""
    shares = ("full", "duty") if _has_duty(context, antenna) else ("full",)
    cells = [
        _distance(context, antenna, item, share, ground)
        for item in FRAMEWORKS
        for share in shares
        for ground, _ in GROUNDS
    ]
    book = context.results.figures
    return all(
        cell.figure is not None and book[cell.figure.name].absent_reason == Absent.NEAR_FIELD
        for cell in cells
    )


def _densities(context: Context) -> Grid:
    """Return the limits themselves, for antennas whose distances all lie in the near field."""
    say = context.words.say
    return Grid(
        caption=say("safety.densities_caption"),
        is_compared=True,
        headings=headings(
            *(say(f"safety.column.{key}") for key in ("framework", "group", "density")),
            numbers_from=2,
        ),
        rows=tuple(_limit(context, item) for item in _largest_first(context)),
    )


def _limit(context: Context, item: Framework) -> tuple[Cell, ...]:
    return (
        text_cell(context.words.say(f"safety.{item.name}"), heading=True),
        text_cell(context.words.say(f"safety.{item.group}")),
        context.figures.cell(f"safety.{item.name}.{item.group}.limit_w_m2"),
    )


def _name(context: Context, antenna: Antenna) -> str:
    if antenna.kind == "station":
        return next(s.name for s in context.campaign.stations if s.key == antenna.key)
    return next(n.name for n in context.campaign.nodes if n.key == antenna.key)


def _has_duty(context: Context, antenna: Antenna) -> bool:
    return context.results.figures[f"{antenna.path}.duty_cycle_ratio"].value is not None


def _distances(context: Context, antenna: Antenna, name: str) -> Grid:
    say = context.words.say
    duty = context.figures.view(f"{antenna.path}.duty_cycle_ratio").text
    columns = [("full", ground) for ground, _ in GROUNDS]
    columns += [("duty", ground) for ground, _ in GROUNDS] if _has_duty(context, antenna) else []
    titles = [
        say(f"safety.column.{ground}")
        if share == "full"
        else say(f"safety.column.{ground}_duty", duty=duty)
        for share, ground in columns
    ]
    return Grid(
        caption=say("safety.caption", name=name),
        headings=headings(
            say("safety.column.framework"), say("safety.column.group"),
            say("safety.column.density"), *titles, numbers_from=2,
        ),
        rows=tuple(
            (
                *_limit(context, item),
                *(_distance(context, antenna, item, share, ground) for share, ground in columns),
            )
            for item in _largest_first(context)
        ),
    )  # fmt: skip


def _largest_first(context: Context) -> list[Framework]:
    """Return the limits with the lowest power density, and so the largest distance, first."""
    book = context.results.figures
    return sorted(
        FRAMEWORKS,
        key=lambda item: book[f"safety.{item.name}.{item.group}.limit_w_m2"].number or 0.0,
    )


def _distance(context: Context, antenna: Antenna, item: Framework, share: str, ground: str) -> Cell:
    path = f"{antenna.path}.{item.name}.{item.group}.{ground}.{share}.caution_distance_m"
    return context.figures.cell(path)


def _duty(context: Context, limit: PowerLimit) -> str:
    if limit.duty_cycle_ratio is not None:
        return formats.small_percent_text(limit.duty_cycle_ratio)
    if limit.dwell_s is not None:
        return context.words.say("safety.dwell", time=formats.milliseconds_text(limit.dwell_s))
    return ""


def _condition(context: Context, limit: PowerLimit) -> str:
    key = f"safety.condition.{limit.condition}" if limit.condition else "safety.plan_any"
    return context.words.say(key)


def _limits(context: Context) -> Grid:
    say, radio = context.words.say, context.campaign.radio
    limits = plan_limits(context.campaign)
    rows = []
    for (number, limit), antenna in product(enumerate(limits, start=1), antennas(context.campaign)):
        path = f"{antenna.path}.limit.{number}"
        power = context.figures.view(f"{path}.allowed_dbm").text
        key = "safety.plan_eirp" if limit.eirp_dbm is not None else "safety.plan_conducted"
        source = limit.source
        rows.append(
            (
                text_cell(_condition(context, limit), heading=True),
                text_cell(say(key, level=power)),
                text_cell(_duty(context, limit)),
                text_cell(_name(context, antenna)),
                context.figures.cell(f"{path}.power_room_db"),
                context.figures.cell(f"{antenna.path}.duty_cycle_ratio"),
                text_cell(say("safety.plan_memory", source=source) if limit.is_from_memory
                          else source),
            )
        )  # fmt: skip
    return Grid(
        caption=say(
            "safety.plan_caption",
            frequency=""
            if radio.frequency_hz is None
            else formats.frequency_text(radio.frequency_hz),
            plan=radio.regional_plan or "",
        ),
        headings=headings(
            *(
                say(f"safety.plan_column.{key}")
                for key in ("condition", "allowed", "duty", "end", "room", "own_duty", "source")
            ),
            numbers_from=7,
        ),
        rows=tuple(rows),
    )
