"""The five headline figures of a campaign, and its bookkeeping."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import count

from reportgen.match.join import Joined
from reportgen.model.accounts import FileAccount
from reportgen.results.delivery import (
    delivery_figures,
    farthest_sent_figure,
    farthest_walked_figure,
    reach_figures,
)
from reportgen.results.figure import Figure, Maker, slug
from reportgen.results.levels import level_figures
from reportgen.results.walks import WalkResult, campaign_ground, station_figures


def headline_figures(joined: Joined, walks: Sequence[WalkResult]) -> Iterator[Figure]:
    """Yield the figures of the whole campaign for its first own station."""
    make = Maker(path="campaign")
    home = joined.home
    heard = joined.receptions[joined.receptions["station"] == home.key]
    yield from level_figures(make, heard)
    ground = campaign_ground(walks, home)
    yield from reach_figures(
        make, joined.frames, heard, ground, has_station_position=home.position is not None
    )
    yield from delivery_figures(make, joined.frames, heard)
    yield farthest_walked_figure(make, ground, has_station_position=home.position is not None)
    yield farthest_sent_figure(make, joined.frames, has_station_position=home.position is not None)
    others = joined.receptions[~joined.receptions["is_own"]]
    yield make.figure(
        "other_stations_heard", int(others["station"].nunique()), "stations", "other-stations",
        count=len(others),
    )  # fmt: skip
    for station in joined.stations:
        yield from station_figures(
            make.under("station", station.key),
            joined.frames,
            joined.receptions,
            station,
            campaign_ground(walks, station),
            home,
        )


def account_paths(accounts: Iterable[FileAccount]) -> dict[tuple[str, str], str]:
    """Return the path of slugs under which the figures of each (walk, file) stand.

    Files whose names come to the same slug are numbered, in the order they were read.
    """
    paths: dict[tuple[str, str], str] = {}
    taken: set[str] = set()
    for account in accounts:
        under = f"input.walk.{account.walk}" if account.walk else "input.photo"
        base = f"{under}.{slug(account.path)}"
        numbered = (f"{base}-{number}" for number in count(2))
        path = base if base not in taken else next(p for p in numbered if p not in taken)
        taken.add(path)
        paths[account.walk, account.path] = path
    return paths


def account_figures(accounts: Iterable[FileAccount]) -> Iterator[Figure]:
    """Yield rows read, used and set aside, by file and in total by kind of row."""
    totals: dict[str, list[FileAccount]] = {}
    accounts = tuple(accounts)
    paths = account_paths(accounts)
    for account in accounts:
        totals.setdefault(account.unit, []).append(account)
        yield from _account(Maker(path=paths[account.walk, account.path]), [account], account.unit)
    for unit, items in totals.items():
        yield from _account(Maker(path=f"input.total.{unit.replace(' ', '-')}"), items, unit)


def _account(make: Maker, items: list[FileAccount], unit: str) -> Iterator[Figure]:
    read = sum(item.read for item in items)
    used = sum(item.used for item in items)
    faults = sum(item.fault_count for item in items)
    aside = sum(item.set_aside_count for item in items)
    for name, value in (
        ("read", read),
        ("used", used),
        ("set_aside", aside),
        ("set_aside_faults", faults),
        ("set_aside_by_request", aside - faults),
    ):
        yield make.figure(name, value, unit, "rows-counted", inputs=tuple(i.path for i in items))
