"""Figures of what the author stated, and of what the program took by default."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from reportgen.errors import Where
from reportgen.model.campaign import Campaign
from reportgen.results.figure import Absent, Figure, Maker


@dataclass(frozen=True, slots=True)
class Stated:
    """Knows where the description states what."""

    places: Mapping[str, Where] = field(default_factory=dict)

    @classmethod
    def of(cls, campaign: Campaign) -> Stated:
        """Return the places of a campaign's description."""
        return cls(dict(campaign.stated_at))

    def figure(
        self,
        make: Maker,
        name: str,
        value: float | None,
        unit: str,
        key: str,
        *,
        absent: Absent = Absent.NOT_STATED,
    ) -> Figure:
        """Return a value with its line; one that stands nowhere is an assumption, or absent."""
        where = self.places.get(key)
        return make.figure(
            name, value, unit, "stated" if where or value is None else "assumed",
            absent=absent, inputs=(key,), where=where,
        )  # fmt: skip


def assumed(make: Maker, name: str, value: float, unit: str, key: str) -> Figure:
    """Return an assumption: a value that `key` of the description would replace."""
    return make.figure(name, value, unit, "assumed", inputs=(key,))
