"""The description and the conclusions, as a member of the island's network would write them."""

from __future__ import annotations

import textwrap

from tests.generators.island.scenario import (
    DECLINATION_DEG,
    HARBOUR,
    HILL,
    NODE_IDS,
    STUB,
    WALKS,
    WHIP,
    ZONE_NAME,
    Station,
    Walk,
)
from tests.generators.island.shots import COMPACT, SHOTS, Shot


def _place(station: Station) -> str:
    return (
        f"{{latitude_deg: {station.latitude_deg:.6f}, longitude_deg: {station.longitude_deg:.6f}}}"
    )


_HEAD = f"""\
# yaml-language-server: $schema=./campaign.schema.json
#
# An example, wholly invented: the island of Tolverra lies nowhere, its photos are drawings, its
# levels come from a small physical model with chance. Play with it; nothing here is measured.
# Every key is explained in campaign-keys.md.

title: How far does the harbour station of Tolverra reach?
summary: >-
  Tolverra's rain and tide gauges report by radio. In June we put up a station of our own on the
  harbour office and walked two routes with two nodes to learn where it hears them. An invented
  example: no such island exists, and the photos are drawings.
network: Tolverra Weather and Tide Network (invented)
authors: [The network's station group]
data_licence: CC0 1.0
time_zone: {ZONE_NAME}   # the island keeps this hour: UTC+1 in June

radio:
  frequency_mhz: 868.1            # the other channels lie within 1.1 MHz
  bandwidth_khz: 125
  spreading_factors: [7, 10]
  regional_plan: EU868
  adaptive_rate: false            # the nodes keep the rate and the power that we set
  payload_bytes: 1                # short, so that SF10 every 20 s stays within 1 % per sub-band
  interval_s: 20

stations:
  # The first station is the one that distances and the headline speak of.
  harbour:
    name: Harbour office
    own: true
    ids: [{HARBOUR.identifier}]
    position: {_place(HARBOUR)}
    antenna_height_m: 11
    ground_height_m: 3
    transmit_power_dbm: 14
    noise_figure_db: 6
    antenna: {{name: home-made collinear, gain_dbi: 4}}
    feeder:
      cable: RG-58
      length_m: 9
      loss_per_100m_db: 50        # as we measured this drum; tables print more for old stock
      connectors_loss_db: 0.3
    vswr:
      value: 1.6                  # looks fine, but it was read through nine metres of lossy line
      measured_at: radio
      frequency_mhz: 868.1
    note: On a five-metre pole above the roof. Work up there was done with a second person holding
      the ladder, and with the transmitter off.
  hill:
    # Not ours, so it never counts as heard; listed, so that its name stands where it does.
    name: Station on Brenn Law
    ids: [{HILL.identifier}]
    position: {_place(HILL)}
    antenna_height_m: 8
    ground_height_m: 118
    note: Run by the island's farmers. Higher than ours, and stronger at many places.
  # A third station turns up in the logs that nobody has described. It is left out here on purpose.

nodes:
  drift:
    name: Drift
    ids: [{NODE_IDS["drift"]}]
    transmit_power_dbm: 14
    antenna: {{name: {WHIP}, gain_dbi: 1.5}}   # its usual one; node_changes says when not
    carried_height_m: 1.2
    noise_figure_db: 7
  ripple:
    name: Ripple
    ids: [{NODE_IDS["ripple"]}]
    transmit_power_dbm: 14
    antenna: {{name: {STUB}, gain_dbi: -2}}
    carried_height_m: 1.2
    noise_figure_db: 7

log_formats:
  network-export:
    # Downloaded from the network's page: semicolons, decimal commas, local time, with positions.
    kind: csv
    separator: ";"
    decimal: ","
    time_format: "%d.%m.%Y %H:%M:%S"
    fields:
      time: Time
      node: Device
      counter: Frame
      station: Station
      rssi_dbm: RSSI
      snr_db: SNR
      data_rate: Rate
      frequency_mhz: MHz
      latitude_deg: Latitude
      longitude_deg: Longitude
      height_m: Altitude
  broker-messages:
    # One JSON record per frame, with an array of the stations that heard it. No positions: they
    # come from the track.
    kind: json lines
    receptions: /heard_by
    fields:
      time: {{pointer: /received_at, from_record: true}}
      node: {{pointer: /device/eui, from_record: true}}
      counter: {{pointer: /uplink/counter, from_record: true}}
      data_rate: {{pointer: /uplink/rate, from_record: true}}
      frequency_mhz: {{pointer: /uplink/mhz, from_record: true}}
      station: /station
      rssi_dbm: /rssi
      snr_db: /snr
  station-table:
    # Written by a small program beside the stations; times in UTC say so by their Z.
    kind: csv
    fields:
      time: utc
      node: node
      counter: fcnt
      station: gateway
      spreading_factor: sf
      bandwidth_khz: bw_khz
      frequency_mhz: freq_mhz
      rssi_dbm: rssi
      snr_db: snr
  node-notes:
    # The node's own notes: what it heard of the harbour station, so this is downlink.
    kind: csv
    separator: "\\t"
    header: false
    comment: "#"
    time_format: epoch_s
    levels_measured_at: node
    fields:
      time: 1
      rssi_dbm: 2
      snr_db: 3
      station: {{value: {HARBOUR.identifier}}}
      spreading_factor: {{value: 7}}
      bandwidth_khz: {{value: 125}}
"""

USUAL_ANTENNA = {"drift": WHIP, "ripple": STUB}
STATED_DBI = {WHIP: 1.5, STUB: -2}
"""Gains as the makers print them; in the rucksack both antennas do worse. [dBi]"""

_WALKS = {
    "quay-first": (
        "Quay and village, first time",
        (
            "From the quay through the village and along the strand, out to the end of the Long "
            "Mole, back along it and round the East Head."
        ),
    ),
    "quay-again": (
        "Quay and village, once more",
        (
            "The same setting on another day, to see how much two equal walks differ. The node was "
            "off for three minutes on the strand."
        ),
    ),
    "both-nodes": (
        "Quay and village, both nodes",
        "Drift with its whip and Ripple with its stub in one rucksack.",
    ),
    "hill-sf7": (
        "Hill path at SF7",
        (
            "Over the west shoulder of Brenn Law, along the north shore behind it, and back by the "
            "east flank. The node also noted the acknowledgements that it heard."
        ),
    ),
    "hill-sf10-stub": (
        "Hill path at SF10, with the stub",
        (
            "The whip had been left at home, so two things changed at once: spreading factor and "
            "antenna. The track has a gap of four minutes: the telephone had gone to sleep."
        ),
    ),
    "quay-stub": (
        "Quay and village with the stub",
        (
            "As the first walk, with the stub on Drift. The node restarted on the way and counted "
            "from 0 again."
        ),
    ),
}

_ROUTES = {"quay": "Quay and village", "hill": "Hill path"}


def campaign_yaml() -> str:
    """Return the text of campaign.yaml."""
    walks = "".join(_walk(walk) for walk in WALKS)
    photos = "".join(_photo(shot) for shot in SHOTS)
    return f"""{_HEAD}
walks:
  # Walks of one route are comparable. Factors say what was set on purpose; where two of them
  # differ, nobody can tell which of the two made the difference.
{walks}
photos:
  folder: photos
  # The compact's compass points to magnetic north, the telephone turns its headings to true north.
  declination_deg: {DECLINATION_DEG}   # magnetic north lies west of true north on Tolverra
  cameras:
    # Held beside a radio clock after the walks: the compact was 97 seconds fast. The telephone
    # states its own offset from UTC and needs no entry.
    - camera: {COMPACT.name}
      time_zone: {ZONE_NAME}
      clock_ahead_s: 97
  files:
{photos}
overlays:
  - file: overlays/coast.geojson
    title: Coast line of Tolverra and the Long Mole (drawn for this example)

comparisons:
  # What we wanted to know. Everything else that the walks allow is compared by itself.
  - title: Is the stub as good as the whip?
    nodes: [drift, ripple]
    walks: [both-nodes]
  - title: And on walks of their own?
    first: [quay-first, quay-again]
    second: [quay-stub]

conclusions: conclusions.md

publish:
  # The station stands on a public building of an island that does not exist. At somebody's house
  # we would say moved or coarse.
  place: exact
"""


def _walk(walk: Walk) -> str:
    title, summary = _WALKS[walk.key]
    antennas = {item.node: item.antenna for item in walk.carried}
    antenna = (
        next(iter(antennas.values()))
        if len(antennas) == 1
        else " and ".join(f"{name} on {node.title()}" for node, name in antennas.items())
    )
    logs = [f"      - {{file: {walk.log}, format: {walk.log_format}}}"]
    if walk.node_log:
        logs.append(f"      - {{file: {walk.node_log}, format: node-notes}}")
    folded = textwrap.fill(summary, 90, initial_indent=" " * 6, subsequent_indent=" " * 6)
    return "\n".join(
        [
            f"  {walk.key}:",
            f"    title: {title}",
            "    summary: >-",
            folded,
            f"    route: {_ROUTES[walk.route]}",
            f"    nodes: [{', '.join(antennas)}]",
            "    logs:",
            *logs,
            f"    tracks: [{walk.track}]",
            *_changes(antennas),
            "    factors:",
            f"      antenna: {antenna}",
            f"      spreading factor: {walk.spreading_factor}",
            "",
        ]
    )


def _changes(antennas: dict[str, str]) -> list[str]:
    """Return what a node carried in place of its usual antenna."""
    lines = [
        f"      {node}: {{antenna: {{name: {name}, gain_dbi: {STATED_DBI[name]}}}}}"
        for node, name in antennas.items()
        if name != USUAL_ANTENNA[node]
    ]
    return ["    node_changes:", *lines] if lines else []


def _photo(shot: Shot) -> str:
    caption = textwrap.fill(
        f"Drawing. {shot.caption}", 88, initial_indent=" " * 8, subsequent_indent=" " * 8
    )
    lines = [
        f"    {shot.file}:",
        "      caption: >-",
        caption,
        f"      sight_line: {shot.sight_line}",
    ]
    if shot.blocked_by:
        lines.append(f"      blocked_by: {shot.blocked_by}")
    return "\n".join([*lines, ""])


_CONCLUSIONS = """\
# What we take from it

This is an invented example; what follows shows how conclusions can be bound to the data.

## Over water and in the village the harbour station is enough

On the first walk it heard {{ figure("walk.quay-first.station.harbour.frames_heard") }} frames, a
delivery ratio of {{ figure("walk.quay-first.station.harbour.delivery_ratio") }}; on the repeat,
{{ figure("walk.quay-again.station.harbour.delivery_ratio") }}. Two walks with one setting may
differ by as much, so a smaller difference between other walks means nothing to us.

The farthest frame came from the Long Mole:
{{ figure("walk.quay-first.station.harbour.farthest_heard_m") }}, across open water. Nobody walked
farther out that way, so this is no limit of the station. On the same walk we went as far as
{{ figure("walk.quay-first.farthest_walked_m") }}, round the East Head, and there it heard next to
nothing: the head stands between.

## Behind the hill it is deaf

The first hill walk led us {{ figure("walk.hill-sf7.farthest_walked_m") }} from the station, but
nothing was heard from beyond {{ figure("walk.hill-sf7.station.harbour.farthest_heard_m") }}. The
delivery ratio there, {{ figure("walk.hill-sf7.station.harbour.delivery_ratio") }}, is that of this
path, not of the island: a path that stays behind the hill for half its length must come out low.
The station on Brenn Law hears the north shore well, but it is not ours to promise.

## What we cannot say

- The second hill walk reached {{ figure("walk.hill-sf10-stub.station.harbour.delivery_ratio") }}.
  **Spreading factor and antenna changed together.** A slower rate helps, a worse antenna harms;
  that the two walks look alike does not show that either makes no difference.
- With the stub on the quay route the ratio was
  {{ figure("walk.quay-stub.station.harbour.delivery_ratio") }}, one factor changed, on one day.
  The ratio hardly moves because the route has either plenty of level or none. What the stub costs
  is told by the walk with both nodes:
  {{ figure("comparison.both-nodes-drift-ripple.signal_difference_db") }}.
- Where nobody walked, we know nothing: the whole west of the island, and every boat.

## What we do next

The standing-wave ratio of 1.6 was read at the radio, through nine metres of lossy cable, which
flatters the antenna. We will read it again at the antenna, with the transmitter off and somebody at
the foot of the ladder, before we change anything else.

In all, the harbour station heard {{ figure("campaign.delivery_ratio") }} of the frames known to
have been sent, the farthest from {{ figure("campaign.farthest_heard_m") }}.
"""


def conclusions_md() -> str:
    """Return the text of conclusions.md."""
    return _CONCLUSIONS
