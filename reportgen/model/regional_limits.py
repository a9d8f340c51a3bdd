"""What the rules of a region allow on the bands of the regional plans.

A reminder for a volunteer, not legal advice: rules change, and the authority's own text, as it
stands where and when the station transmits, decides. Every row says where it comes from and
whether it is from memory.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class PowerLimit:
    """One limit on one band. A quantity that the rule doesn't limit is None.

    Attributes
    ----------
    plan : str
        EU868, US915, AU915 or AS923.
    low_hz, high_hz : float
        Edges of the band, both included. [Hz]
    eirp_dbm : float or None
        Equivalent isotropically radiated power. [dBm]
    conducted_dbm : float or None
        Power at the antenna's terminals. [dBm]
    antenna_gain_dbi_allowed : float or None
        Beyond it the conducted power must fall, one decibel for each. [dBi]
    duty_cycle_ratio : float or None
        Share of an hour.
    dwell_s : float or None
        Longest time on one channel within the time that `condition` names. [s]
    source : str
    is_from_memory : bool
        The row was not seen in a text.
    condition : str
        For which transmitters the row holds, as a key of the wording; blank for all.
    """

    plan: str
    low_hz: float
    high_hz: float
    eirp_dbm: float | None = None
    conducted_dbm: float | None = None
    antenna_gain_dbi_allowed: float | None = None
    duty_cycle_ratio: float | None = None
    dwell_s: float | None = None
    source: str
    is_from_memory: bool
    condition: str = ""


# 25 and 500 mW e.r.p., 10 log10 mW, plus the 2.15 dB by which a dipole exceeds an isotrope.
_ERP_25_MW_AS_EIRP_DBM = 16.13
_ERP_500_MW_AS_EIRP_DBM = 29.14


def _european(
    low_mhz: float,
    high_mhz: float,
    eirp_dbm: float,
    duty_cycle_ratio: float,
    *,
    is_from_memory: bool = False,
) -> PowerLimit:
    return PowerLimit(
        plan="EU868",
        low_hz=low_mhz * 1e6,
        high_hz=high_mhz * 1e6,
        eirp_dbm=eirp_dbm,
        duty_cycle_ratio=duty_cycle_ratio,
        source="ETSI EN 300 220-2 V3.2.1 (2018-06), annex B",
        is_from_memory=is_from_memory,
        condition="polite_or_duty_cycle",
    )


def _american(conducted_dbm: float, dwell_s: float | None, rule: str, condition: str) -> PowerLimit:
    return PowerLimit(
        plan="US915",
        low_hz=902e6,
        high_hz=928e6,
        conducted_dbm=conducted_dbm,
        antenna_gain_dbi_allowed=6.0,
        dwell_s=dwell_s,
        source=f"47 CFR 15.247{rule}, (b)(4)",
        is_from_memory=False,
        condition=condition,
    )


BANDS_HZ: dict[str, tuple[float, float]] = {
    "EU868": (863e6, 870e6),
    "US915": (902e6, 928e6),
    "AU915": (915e6, 928e6),
    "AS923": (915e6, 928e6),
}
"""Edges of the whole band of each plan: US915 after 47 CFR 15.247, the others from memory of
RP002 (the countries of AS923 open different parts of theirs). [Hz]"""


def _lorawan_default(plan: str, eirp_dbm: float, place: str, *, is_from_memory: bool) -> PowerLimit:
    low_hz, high_hz = BANDS_HZ[plan]
    return PowerLimit(
        plan=plan,
        low_hz=low_hz,
        high_hz=high_hz,
        eirp_dbm=eirp_dbm,
        source=f"LoRaWAN Regional Parameters RP002-1.0.5, {place}",
        is_from_memory=is_from_memory,
        condition="lorawan_default",
    )


LIMITS: tuple[PowerLimit, ...] = (
    _european(863.0, 865.0, _ERP_25_MW_AS_EIRP_DBM, 0.001),
    _european(865.0, 868.0, _ERP_25_MW_AS_EIRP_DBM, 0.01),
    _european(868.0, 868.6, _ERP_25_MW_AS_EIRP_DBM, 0.01),
    _european(868.7, 869.2, _ERP_25_MW_AS_EIRP_DBM, 0.001),
    _european(869.4, 869.65, _ERP_500_MW_AS_EIRP_DBM, 0.1),
    _european(869.7, 870.0, _ERP_25_MW_AS_EIRP_DBM, 0.01, is_from_memory=True),
    _lorawan_default("EU868", 16.0, "table 13", is_from_memory=False),
    _american(30.0, None, "(a)(2), (b)(3)", "digital_modulation"),
    _american(
        30.0,
        0.4,
        "(a)(1)(i), (b)(2)",
        "hopping_over_50",
    ),
    _american(
        23.98,
        0.4,
        "(a)(1)(i), (b)(2)",
        "hopping_over_25",
    ),
    _lorawan_default("AU915", 30.0, "section on AU915", is_from_memory=True),
    _lorawan_default("AS923", 16.0, "section on AS923", is_from_memory=True),
)
"""Limits on the bands of the regional plans, none of them complete."""


def limits_for(plan: str, frequency_hz: float) -> tuple[PowerLimit, ...]:
    """Return the limits of a plan that hold at a frequency: all of them, each on its condition.

    At an edge that two bands share the limits of both are returned: the stricter counts. Between
    its bands only a plan's own default is, which allows nothing there. None are returned outside
    the plan's band or for a plan not known.
    """
    return tuple(
        limit
        for limit in LIMITS
        if limit.plan == plan and limit.low_hz <= frequency_hz <= limit.high_hz
    )


def band_of(plan: str) -> tuple[float, float]:
    """Return the edges of the whole band of a plan. [Hz]

    Raises
    ------
    KeyError
        If the plan is not among `BANDS_HZ`.
    """
    return BANDS_HZ[plan]
