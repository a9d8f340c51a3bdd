"""The page of what was set up: own ends, what the analyser said, both budgets, assumptions."""

from __future__ import annotations

from dataclasses import dataclass

from reportgen.model.station import Antenna, Feeder, Node, Position, Station
from reportgen.model.walk import NodeChange
from reportgen.pages import formats
from reportgen.pages.analyser_part import AnalyserView, analyser_view
from reportgen.pages.budget_part import BudgetView, airtime_grid, assumptions_grid, budget_view
from reportgen.pages.context import Context
from reportgen.pages.place_part import place_note
from reportgen.pages.views import Grid, Labelled

OUTPUT = (
    "transmit_power_dbm", "feeder_loss_db", "mismatch_counted_db", "antenna_gain_dbi", "eirp_dbm",
    "eirp_w", "erp_dbm", "erp_w",
)  # fmt: skip
RECEIVER = ("noise_figure_db", "noise_dbm", "radio_horizon_m")


@dataclass(frozen=True, slots=True, kw_only=True)
class Fact:
    """A label and its text."""

    label: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PartView:
    """A station or node: what it is, what it puts out, how it receives."""

    name: str
    facts: tuple[Fact, ...]
    figures: tuple[Labelled, ...]
    note: str
    analyser: AnalyserView | None = None

    @property
    def has_analyser(self) -> bool:
        """Whether a standing-wave reading was stated."""
        return self.analyser is not None


@dataclass(frozen=True, slots=True, kw_only=True)
class SetupView:
    """The whole page."""

    own: tuple[PartView, ...]
    others: tuple[PartView, ...]
    has_others: bool
    nodes: tuple[PartView, ...]
    radio: tuple[Fact, ...]
    airtime: Grid
    has_airtime: bool
    exercised: str
    place_note: str
    budgets: tuple[BudgetView, ...]
    assumptions: Grid


def setup_view(context: Context) -> SetupView:
    """Return the page of the setup."""
    stations = context.results.joined.stations
    others = tuple(_other(context, s) for s in stations if not s.is_own)
    airtime = airtime_grid(context)
    return SetupView(
        own=tuple(_own(context, s) for s in stations if s.is_own),
        others=others,
        has_others=bool(others),
        nodes=tuple(_node(context, node) for node in context.campaign.nodes),
        radio=_radio(context),
        airtime=airtime,
        has_airtime=not airtime.is_empty,
        exercised=context.words.say(f"setup.{_exercised(context)}"),
        place_note=place_note(context, "setup"),
        budgets=tuple(
            budget_view(context, station, node)
            for station in context.campaign.own_stations
            for node in context.campaign.nodes
        ),
        assumptions=assumptions_grid(context),
    )


def _exercised(context: Context) -> str:
    joined = context.results.joined
    if len(joined.downlinks):
        return "exercised_both"
    return "exercised_up" if len(joined.receptions) else "exercised_none"


def fact(context: Context, key: str, text: str) -> Fact:
    """Return a fact of the setup; a blank text reads "not stated"."""
    return Fact(
        label=context.words.say(f"setup.{key}"), text=text or context.words.say("setup.not_stated")
    )


def _other(context: Context, station: Station) -> PartView:
    say = context.words.say
    if not station.is_listed:
        note = say("setup.unlisted_note")
        return PartView(name=station.name, facts=(), figures=(), note=note)
    facts = [fact(context, "position", _place(context, station))]
    if station.antenna_height_agl_m is not None:
        facts += _heights(context, station)
    return PartView(name=station.name, facts=tuple(facts), figures=(), note=station.note)


def _place(context: Context, station: Station) -> str:
    """Return where a station stands, or that the author does not tell."""
    stated = dict(context.campaign.stated_at)
    if context.campaign.publishing.place == "exact" or (
        f"stations.{station.key}.position.latitude_deg" not in stated
    ):
        return _position(station.position)
    return context.words.say("place.not_told")


def _own(context: Context, station: Station) -> PartView:
    facts = (
        fact(context, "position", _place(context, station)),
        *_heights(context, station),
        fact(context, "antenna", _antenna(context, station.antenna)),
        fact(context, "feeder", _feeder(context, station.feeder)),
    )
    seen = f"setup.station.{station.key}.noise_seen_dbm"
    figures = _figures(context, f"setup.station.{station.key}")
    if seen in context.results.figures:
        label = context.words.say("setup.label.noise_seen_dbm")
        figures = (*figures, context.figures.labelled(seen, label, _rows_note(context, seen)))
    return PartView(
        name=station.name,
        facts=facts,
        figures=figures,
        note=station.note,
        analyser=analyser_view(context, station),
    )


def _rows_note(context: Context, name: str) -> str:
    count = context.results.figures[name].count or 0
    return context.words.count("setup.noise_rows", count)


def _heights(context: Context, station: Station) -> list[Fact]:
    height = _length(context, station.antenna_height_agl_m)
    above = f"{height} {context.words.say('setup.antenna_height_note')}" if height else ""
    return [
        fact(context, "antenna_height", above),
        fact(context, "ground_height", _length(context, station.ground_height_msl_m)),
    ]


def _node(context: Context, node: Node) -> PartView:
    changes = [
        context.words.say(
            "setup.changed_on",
            walk=walk.title,
            what=_changed(context, change),
        )
        for walk in context.campaign.walks
        for change in walk.node_changes
        if change.node == node.key
    ]  # fmt: skip
    facts = [
        fact(context, "antenna", _antenna(context, node.antenna)),
        *(Fact(label=context.words.say("setup.changed"), text=text) for text in changes),
        fact(context, "feeder", _node_feeder(context, node)),
        fact(context, "carried_height", _length(context, node.carried_height_agl_m)),
    ]
    figures = _figures(context, f"setup.node.{node.key}")
    return PartView(name=node.name, facts=tuple(facts), figures=figures, note=node.note)


def _changed(context: Context, change: NodeChange) -> str:
    height_m, power_dbm = change.carried_height_agl_m, change.transmit_power_dbm
    parts = (
        _antenna(context, change.antenna) if change.antenna else "",
        "" if power_dbm is None else formats.level_text(power_dbm, "dBm"),
        _feeder(context, change.feeder),
        "" if height_m is None else context.units.length(height_m),
    )
    return ", ".join(part for part in parts if part)


def _figures(context: Context, path: str) -> tuple[Labelled, ...]:
    say = context.words.say
    notes = {"eirp_dbm": say("setup.eirp_note"), "erp_dbm": say("setup.erp_note")}
    return tuple(
        context.figures.labelled(f"{path}.{name}", say(f"setup.label.{name}"), notes.get(name, ""))
        for name in (*OUTPUT, *RECEIVER)
    )


def _radio(context: Context) -> tuple[Fact, ...]:
    radio = context.campaign.radio
    sfs = ", ".join(str(sf) for sf in radio.spreading_factors)
    size, every = radio.payload_bytes, radio.interval_s
    return (
        fact(context, "frequency", frequency_text(radio.frequency_hz)),
        fact(context, "bandwidth", frequency_text(radio.bandwidth_hz)),
        fact(context, "spreading_factors", sfs),
        fact(context, "plan", radio.regional_plan or ""),
        fact(
            context, "payload", "" if size is None else context.words.count("setup.bytes", size)
        ),
        fact(context, "interval", "" if every is None else formats.duration_text(every)),
        fact(context, "rssi", context.words.say(f"setup.rssi_{radio.rssi_scope}")),
    )  # fmt: skip


def frequency_text(frequency_hz: float | None) -> str:
    """Return a frequency with its unit, blank where unknown."""
    return "" if frequency_hz is None else formats.frequency_text(frequency_hz)


def _position(place: Position | None) -> str:
    if place is None:
        return ""
    north = "N" if place.latitude_deg >= 0 else "S"
    east = "E" if place.longitude_deg >= 0 else "W"
    return f"{abs(place.latitude_deg):.5f}° {north}, {abs(place.longitude_deg):.5f}° {east}"


def _length(context: Context, length_m: float | None) -> str:
    return "" if length_m is None else context.units.length(length_m)


def _antenna(context: Context, antenna: Antenna) -> str:
    gain = ""
    if antenna.gain_dbi is not None:
        level = formats.level_text(antenna.gain_dbi, "dBi")
        gain = context.words.say("setup.gain", gain=level)
    return ", ".join(part for part in (antenna.name, gain) if part)


def _feeder(context: Context, feeder: Feeder | None) -> str:
    if feeder is None:
        return ""
    if feeder.length_m is None:
        return feeder.cable
    return context.words.say(
        "setup.length", length=context.units.length(feeder.length_m), cable=feeder.cable
    )


def _node_feeder(context: Context, node: Node) -> str:
    if node.feeder is None:
        return context.words.say("setup.antenna_on_radio")
    return _feeder(context, node.feeder)
