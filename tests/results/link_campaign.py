"""A small campaign whose every level can be worked out by hand."""

from __future__ import annotations

import datetime as dt
from pathlib import Path

from reportgen.match.join import join
from reportgen.read.folder import read_campaign
from reportgen.results.assemble import Results, assemble

START = dt.datetime(2026, 3, 3, 10, 0, tzinfo=dt.UTC)
STATION = """\
    antenna_height_m: 10
    transmit_power_dbm: 20
    noise_figure_db: 6
    antenna: {gain_dbi: 5}
    feeder: {cable: RG-213, length_m: 10, loss_per_100m_db: 20, connectors_loss_db: 0.5}
"""
NODE = """\
    transmit_power_dbm: 14
    antenna: {gain_dbi: 2}
    noise_figure_db: 8
    carried_height_m: 1
"""
RADIO = "frequency_mhz: 868, bandwidth_khz: 125, spreading_factors: [7]"
LOG_ROW = (
    "{time:%Y-%m-%dT%H:%M:%SZ},n-1,gw-1,{counter},{rssi},{snr},{rate},{lat:.7f},-31.25,{power}"
)


def results_of(
    folder: Path,
    *rows: tuple[float, float, float | None],
    station: str = STATION,
    node: str = NODE,
    radio: str = RADIO,
    walk: str = "",
    rates: tuple[str, ...] = ("DR5",),
    powers: tuple[str, ...] = ("",),
    measured_at: str = "station",
    missed: frozenset[int] = frozenset(),
) -> Results:
    """Return the results of rows of (metres north of the station, RSSI, SNR).

    Rows whose counter is among `missed` were sent and are in no log.
    """
    folder.mkdir(parents=True, exist_ok=True)
    lines = ["time,node,station,counter,rssi,snr,rate,lat,lon,power"]
    for counter, (north_m, rssi, snr) in enumerate(rows):
        if counter in missed:
            continue
        lines.append(
            LOG_ROW.format(
                time=START + dt.timedelta(seconds=10 * counter),
                counter=counter,
                rssi=rssi,
                snr="" if snr is None else snr,
                rate=rates[counter % len(rates)],
                lat=47.5 + north_m / 111_180,
                power=powers[counter % len(powers)],
            )
        )
    (folder / "log.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")
    (folder / "campaign.yaml").write_text(
        f"""\
title: By hand
time_zone: UTC
publish: {{place: exact}}
radio: {{regional_plan: EU868, {radio}}}
stations:
  pier:
    name: Pier
    own: true
    ids: [gw-1]
    position: {{latitude_deg: 47.5, longitude_deg: -31.25}}
{station}nodes:
  buoy:
    name: Buoy
    ids: [n-1]
{node}log_formats:
  table:
    levels_measured_at: {measured_at}
    fields: {{time: time, node: node, station: station, counter: counter, rssi_dbm: rssi,
              snr_db: snr, data_rate: rate, latitude_deg: lat, longitude_deg: lon,
              transmit_power_dbm: power}}
walks:
  loop:
    title: Loop
    nodes: [buoy]
    logs: [log.csv]
{walk}""",
        encoding="utf-8",
    )
    return assemble(join(read_campaign(folder)))


def value(results: Results, name: str) -> float:
    """Return a figure that must be there."""
    number = results.figures[name].number
    assert number is not None, results.figures[name].absent_reason
    return number
