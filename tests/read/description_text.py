"""A small sound description for the tests of the readers, to be changed line by line."""

from __future__ import annotations

from pathlib import Path

DESCRIPTION = """\
title: Does the quay hear the ridge?
time_zone: Europe/Lisbon
radio: {frequency_mhz: 868.1, bandwidth_khz: 125, spreading_factors: [7]}
stations:
  quay:
    name: Quay
    own: true
    ids: [gw-1]
    position: {latitude_deg: 38.5, longitude_deg: -28.25}
nodes:
  one: {name: One, ids: [n-1]}
log_formats:
  table:
    fields: {time: time, node: node, station: station, rssi_dbm: rssi}
walks:
  ridge:
    title: Ridge
    nodes: [one]
    logs: [ridge.csv]
"""
LOG = (
    "time,node,station,rssi\n2026-03-03T10:00:00Z,n-1,gw-1,-80\n2026-03-03T10:00:10Z,n-1,gw-1,-81\n"
)


def described(folder: Path, text: str = DESCRIPTION, **changes: str) -> Path:
    """Write a campaign folder; `changes` put other lines after those that name a key.

    ``described(folder, title="title: x")`` replaces the first line that begins with ``title``.
    """
    lines = text.splitlines()
    for start, line in changes.items():
        index = next(i for i, old in enumerate(lines) if old.strip().startswith(start))
        lines[index] = line
    (folder / "campaign.yaml").write_text("\n".join(lines) + "\n", encoding="utf-8")
    (folder / "ridge.csv").write_text(LOG, encoding="utf-8")
    return folder
