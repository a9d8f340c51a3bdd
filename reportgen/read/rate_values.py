"""Data rate, spreading factor and bandwidth of a row: each says what the others leave out."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, replace

from reportgen.model.data_rates import PLANS, DataRate, data_rate_named
from reportgen.read.field_values import QUANTITIES, Texts, value_of
from reportgen.read.findings import Finding, RowFaultError

PROBLEM_CODES = (
    ("log/data-rate-conflict", "Data rate and spreading factor or bandwidth contradict."),
)

_NUMBERED = re.compile(r"(?:DR\s*)?([0-9]|1[0-5])(?:[.,]0+)?", re.IGNORECASE)
_SPELT_OUT = re.compile(
    r"SF\s*([0-9]{1,2})(?:[\s/_-]*(?:BW\s*)?([0-9]+(?:[.,][0-9]+)?)\s*(?:kHz)?)?", re.IGNORECASE
)
_PREFIX = re.compile(r"SF\s*", re.IGNORECASE)
# LoRaWAN Regional Parameters RP002-1.0.5, tables of US915 and AU915: DR8 to DR13 are downlink only
# (from memory of that document).
_DOWNLINK_ONLY = {
    plan: frozenset(f"DR{index}" for index in range(8, 14)) for plan in ("US915", "AU915")
}
_ROUNDING = 1.01  # bandwidths closer than this are the same one, rounded


@dataclass(frozen=True, slots=True, kw_only=True)
class Rate:
    """How a frame was sent, as far as is known.

    Attributes
    ----------
    data_rate : str
        Name such as DR3, or as the log spells it; blank if unknown.
    spreading_factor : int or None
    bandwidth_hz : float
        NaN if unknown. [Hz]
    """

    data_rate: str = ""
    spreading_factor: int | None = None
    bandwidth_hz: float = math.nan


def rate_of(texts: Texts, decimal: str, plan: str | None, *, is_uplink: bool) -> Rate:
    """Return how the frame of a row was sent.

    A named rate of the regional plan fills in spreading factor and bandwidth; these two fill in
    the name where exactly one rate of the plan has them.

    Parameters
    ----------
    texts : dict
        Texts of the row.
    decimal : "." or ","
    plan : str or None
        Regional plan, such as EU868.
    is_uplink : bool
        Whether only rates for uplink come into question.

    Raises
    ------
    RowFaultError
        If a number can't be read, or the fields contradict each other.
    """
    measured = _by_numbers(texts, decimal)
    named = _by_name(texts.get("data_rate") or "", plan)
    rate = _merged(measured, named)
    if not named.data_rate or _SPELT_OUT.fullmatch(named.data_rate):
        fitting = _names(rate, plan, is_uplink=is_uplink)
        if len(fitting) == 1:
            return replace(rate, data_rate=fitting[0])
    return rate


def _by_numbers(texts: Texts, decimal: str) -> Rate:
    """Return what the fields for spreading factor and bandwidth say."""
    factor = texts.get("spreading_factor")
    bare: Texts = {"spreading_factor": None if factor is None else _PREFIX.sub("", factor)}
    number = value_of(bare, QUANTITIES["spreading_factor"], decimal)
    return Rate(
        spreading_factor=None if math.isnan(number) else int(number),
        bandwidth_hz=value_of(texts, QUANTITIES["bandwidth_khz"], decimal),
    )


def _by_name(written: str, plan: str | None) -> Rate:
    """Return what the field for the data rate says."""
    numbered = _NUMBERED.fullmatch(written)
    if numbered:
        name = f"DR{numbered[1]}"
        known = data_rate_named(plan, name)
        return Rate(data_rate=name) if known is None else _rate(known)
    spelt_out = _SPELT_OUT.fullmatch(written)
    if not spelt_out:
        return Rate(data_rate=written)
    width = spelt_out[2]
    parts: Texts = {
        "spreading_factor": spelt_out[1],
        "bandwidth_khz": None if width is None else width.replace(",", "."),
    }
    return replace(_by_numbers(parts, "."), data_rate=written)


def _rate(known: DataRate) -> Rate:
    return Rate(
        data_rate=known.name,
        spreading_factor=known.spreading_factor,
        bandwidth_hz=known.bandwidth_hz,
    )


def _merged(measured: Rate, named: Rate) -> Rate:
    """Return both together; what the name says must agree with the numbers."""
    factors = {measured.spreading_factor, named.spreading_factor} - {None}
    widths_hz = [
        width for width in (measured.bandwidth_hz, named.bandwidth_hz) if not math.isnan(width)
    ]
    # Only LoRa's bandwidths are numbers that everybody writes alike.
    is_lora = named.spreading_factor is not None and bool(widths_hz)
    if len(factors) > 1 or (is_lora and max(widths_hz) > _ROUNDING * min(widths_hz)):
        raise RowFaultError(
            Finding(
                code="log/data-rate-conflict",
                reason="data rate and spreading factor or bandwidth contradict each other",
                found=f"{named.data_rate} ({_shown(named)}) beside {_shown(measured)}",
                expected="fields that agree",
                do="check 'regional_plan' under 'radio', and the columns of these fields",
            )
        )
    return Rate(
        data_rate=named.data_rate,
        spreading_factor=next(iter(factors), None),
        bandwidth_hz=widths_hz[0] if widths_hz else math.nan,
    )


def _shown(rate: Rate) -> str:
    factor = "" if rate.spreading_factor is None else f"SF{rate.spreading_factor}"
    width = "" if math.isnan(rate.bandwidth_hz) else f"{rate.bandwidth_hz / 1e3:g} kHz"
    return " ".join(part for part in (factor, width) if part) or "nothing"


def _names(rate: Rate, plan: str | None, *, is_uplink: bool) -> tuple[str, ...]:
    """Return the rates of a plan with this spreading factor and bandwidth."""
    barred = _DOWNLINK_ONLY.get(plan or "", frozenset[str]()) if is_uplink else frozenset[str]()
    return tuple(
        known.name
        for known in PLANS.get(plan or "", ())
        if known.spreading_factor is not None
        and known.spreading_factor == rate.spreading_factor
        and math.isclose(known.bandwidth_hz, rate.bandwidth_hz)
        and known.name not in barred
    )
