"""The page of what was set up: stations, nodes, radio, a first link budget."""

from __future__ import annotations

from dataclasses import dataclass

from reportgen.model.station import Antenna, Feeder, Node, Station, VswrReading
from reportgen.pages import formats
from reportgen.pages.context import Context
from reportgen.pages.views import Cell, Grid, Labelled, headings, text_cell


@dataclass(frozen=True, slots=True, kw_only=True)
class Fact:
    """A label and its text."""

    label: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PartView:
    """A station or node."""

    name: str
    facts: tuple[Fact, ...]
    figures: tuple[Labelled, ...]
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SetupView:
    """The whole page."""

    own: tuple[PartView, ...]
    others: tuple[PartView, ...]
    has_others: bool
    nodes: tuple[PartView, ...]
    radio: tuple[Fact, ...]
    exercised: str
    budget: Grid


def setup_view(context: Context) -> SetupView:
    """Return the page of the setup."""
    stations = context.results.joined.stations
    others = tuple(_station(context, s) for s in stations if not s.is_own)
    return SetupView(
        own=tuple(_station(context, s) for s in stations if s.is_own),
        others=others,
        has_others=bool(others),
        nodes=tuple(_node(context, node) for node in context.campaign.nodes),
        radio=_radio(context),
        exercised=context.words.say(f"setup.{_exercised(context)}"),
        budget=_budget(context),
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


def _station(context: Context, station: Station) -> PartView:
    say = context.words.say
    if not station.is_listed:
        note = say("setup.unlisted_note")
        return PartView(name=station.name, facts=(), figures=(), note=note)
    facts = [fact(context, "position", _position(station))]
    if station.is_own or station.antenna_height_agl_m is not None:
        height = _length(station.antenna_height_agl_m)
        above = f"{height} {say('setup.antenna_height_note')}" if height else ""
        facts.append(fact(context, "antenna_height", above))
        facts.append(fact(context, "ground_height", _length(station.ground_height_msl_m)))
    figures: tuple[Labelled, ...] = ()
    if station.is_own:
        facts += [
            fact(context, "antenna", _antenna(context, station.antenna)),
            fact(context, "feeder", _feeder(context, station.feeder)),
            fact(context, "transmit_power", _level(station.transmit_power_dbm, "dBm")),
            fact(context, "noise_figure", _level(station.noise_figure_db, "dB")),
            fact(context, "vswr", _vswr(context, station.vswr)),
        ]
        path = f"setup.station.{station.key}"
        figures = tuple(
            context.figures.labelled(f"{path}.{name}", say(f"setup.{label}"), note)
            for name, label, note in (
                ("feeder_loss_db", "feeder_loss", ""),
                ("vswr_at_antenna", "vswr_at_antenna", ""),
                ("mismatch_loss_db", "mismatch_loss", ""),
                ("eirp_dbm", "eirp", say("setup.eirp_note")),
                ("eirp_w", "eirp_w", ""),
            )
        )
    return PartView(name=station.name, facts=tuple(facts), figures=figures, note=station.note)


def _node(context: Context, node: Node) -> PartView:
    facts = (
        fact(context, "antenna", _antenna(context, node.antenna)),
        fact(context, "transmit_power", _level(node.transmit_power_dbm, "dBm")),
        fact(context, "noise_figure", _level(node.noise_figure_db, "dB")),
        fact(context, "carried_height", _length(node.carried_height_agl_m)),
    )
    figure = context.figures.labelled(
        f"setup.node.{node.key}.eirp_dbm", context.words.say("setup.eirp")
    )
    return PartView(name=node.name, facts=facts, figures=(figure,), note=node.note)


def _radio(context: Context) -> tuple[Fact, ...]:
    radio = context.campaign.radio
    sfs = ", ".join(str(sf) for sf in radio.spreading_factors)
    bandwidth = radio.bandwidth_hz
    return (
        fact(context, "frequency", frequency_text(radio.frequency_hz)),
        fact(
            context,
            "bandwidth",
            "" if bandwidth is None else formats.with_unit(f"{bandwidth / 1e3:g}", "kHz"),
        ),
        fact(context, "spreading_factors", sfs),
        fact(context, "plan", radio.regional_plan or ""),
        fact(
            context,
            "payload",
            ""
            if radio.payload_bytes is None
            else context.words.count("setup.bytes", radio.payload_bytes),
        ),
        fact(
            context,
            "interval",
            "" if radio.interval_s is None else formats.duration_text(radio.interval_s),
        ),
    )


def _budget(context: Context) -> Grid:
    say = context.words.say
    rows = [
        _budget_row(context, station, node, rate, label)
        for station in context.campaign.own_stations
        for node in context.campaign.nodes
        for rate, label in _rates(context)
    ]
    return Grid(
        caption=say("setup.budget_caption"),
        headings=headings(
            *(
                say(f"setup.{key}")
                for key in (
                    "column_node",
                    "column_rate",
                    "column_sensitivity_up",
                    "column_uplink",
                    "column_sensitivity_down",
                    "column_downlink",
                )
            ),
            numbers_from=2,
        ),
        rows=tuple(rows),
    )


def _rates(context: Context) -> list[tuple[str, str]]:
    factors = context.campaign.radio.spreading_factors
    if not factors:
        return [("any", context.words.say("setup.any_rate"))]
    return [(f"sf{sf}", context.words.say("setup.sf", sf=sf)) for sf in factors]


def _budget_row(
    context: Context, station: Station, node: Node, rate: str, label: str
) -> tuple[Cell, ...]:
    ends = f"{station.key}.{node.key}.{rate}"
    figures = context.figures
    return (
        text_cell(f"{node.name} · {station.name}", heading=True),
        text_cell(label),
        figures.cell(f"setup.uplink.{ends}.sensitivity_dbm"),
        figures.cell(f"setup.uplink.{ends}.largest_loss_db"),
        figures.cell(f"setup.downlink.{ends}.sensitivity_dbm"),
        figures.cell(f"setup.downlink.{ends}.largest_loss_db"),
    )


def frequency_text(frequency_hz: float | None) -> str:
    """Return a frequency in MHz, blank where unknown."""
    return "" if frequency_hz is None else formats.with_unit(f"{frequency_hz / 1e6:g}", "MHz")


def _position(station: Station) -> str:
    if station.position is None:
        return ""
    latitude, longitude = station.position.latitude_deg, station.position.longitude_deg
    north = "N" if latitude >= 0 else "S"
    east = "E" if longitude >= 0 else "W"
    return f"{abs(latitude):.5f}° {north}, {abs(longitude):.5f}° {east}"


def _length(length_m: float | None) -> str:
    return "" if length_m is None else formats.length_text(length_m)


def _level(value: float | None, unit: str) -> str:
    return "" if value is None else formats.level_text(value, unit)


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
        "setup.length", length=formats.length_text(feeder.length_m), cable=feeder.cable
    )


def _vswr(context: Context, reading: VswrReading | None) -> str:
    if reading is None:
        return ""
    frequency_hz = reading.frequency_hz or context.campaign.radio.frequency_hz
    return context.words.say(
        "setup.vswr_read",
        value=formats.ratio_text(reading.vswr),
        end=context.words.say(f"setup.end_{reading.measured_at}"),
        frequency=frequency_text(frequency_hz),
    )
