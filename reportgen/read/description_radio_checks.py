"""What the radio parts of a description must say together: lines, rates, bands."""

from __future__ import annotations

from collections.abc import Iterator

from reportgen.errors import Problem, Severity
from reportgen.model.data_rates import PLANS
from reportgen.model.regional_limits import band_of
from reportgen.read.description_problem import Locate, description_problem
from reportgen.read.description_schema import Description, FeederPart
from reportgen.read.yaml_text import KeyPath, dotted

PROBLEM_CODES = (
    ("description/feeder", "A feeder's loss stands without its length, or twice, or is not used."),
    ("description/spreading-factor", "A spreading factor that no radio has, or not in the plan."),
    ("description/band", "A frequency outside the band of the regional plan."),
)


def radio_problems(description: Description, locate: Locate) -> Iterator[Problem]:
    """Yield what feeders, spreading factors and frequencies contradict."""
    for path, feeder in _feeders(description):
        yield from _feeder(path, feeder, locate)
    yield from _spreading_factors(description, locate)
    yield from _band(description, locate)


def _feeders(description: Description) -> Iterator[tuple[KeyPath, FeederPart]]:
    for part in ("stations", "nodes"):
        described = description.stations if part == "stations" else description.nodes
        for key, radio in described.items():
            if radio.feeder is not None:
                yield (part, key, "feeder"), radio.feeder
    for key, walk in description.walks.items():
        for node, change in walk.node_changes.items():
            if change.feeder is not None:
                yield ("walks", key, "node_changes", node, "feeder"), change.feeder


def _feeder(path: KeyPath, feeder: FeederPart, locate: Locate) -> Iterator[Problem]:
    by_length = [
        name for name in ("loss_per_100m_db", "loss_per_100ft_db")
        if getattr(feeder, name) is not None
    ]  # fmt: skip
    if len(by_length) == 2:
        yield description_problem(
            locate(*path, "loss_per_100ft_db"),
            "feeder",
            f"a loss per 100 m and one per 100 ft in {dotted(path)}",
            "one of the two",
            "delete one; 1 dB per 100 ft is 3.28 dB per 100 m",
        )
    if by_length and feeder.loss_db is not None:
        yield description_problem(
            locate(*path, by_length[0]),
            "feeder",
            f"both loss_db and {by_length[0]}",
            "one of the two; loss_db is used",
            "delete the one you trust less",
            Severity.NOTE,
        )
    elif by_length and feeder.length_m is None:
        yield description_problem(
            locate(*path, by_length[0]),
            "feeder",
            f"{by_length[0]} without a length",
            "length_m beside it",
            "add the length; until then the loss of the line is unknown",
            Severity.WARNING,
        )


def _spreading_factors(description: Description, locate: Locate) -> Iterator[Problem]:
    plan = description.radio.regional_plan
    in_plan = _factors_of(plan, description.radio.bandwidth_khz) if plan else set(range(5, 13))
    for index, factor in enumerate(description.radio.spreading_factors):
        where = locate("radio", "spreading_factors", index)
        if not 5 <= factor <= 12:
            yield description_problem(
                where,
                "spreading-factor",
                f"the spreading factor {factor}",
                "a whole number from 5 to 12",
                "correct the number",
            )
        elif factor not in in_plan:
            known = sorted(in_plan)
            yield description_problem(
                where,
                "spreading-factor",
                f"the spreading factor {factor}, for which {plan} has no rate{_at(description)}",
                f"one of {', '.join(str(number) for number in known)}"
                if known
                else "a bandwidth that the plan has",
                "correct the number, the bandwidth or the plan",
                Severity.WARNING,
            )


def _factors_of(plan: str, bandwidth_khz: float | None) -> set[int]:
    """Return the spreading factors that a plan has, at a bandwidth where one is stated."""
    return {
        rate.spreading_factor
        for rate in PLANS[plan]
        if rate.spreading_factor is not None
        and (bandwidth_khz is None or rate.bandwidth_hz == bandwidth_khz * 1e3)
    }


def _at(description: Description) -> str:
    khz = description.radio.bandwidth_khz
    return "" if khz is None else f" at {khz:g} kHz"


def _band(description: Description, locate: Locate) -> Iterator[Problem]:
    radio = description.radio
    if radio.regional_plan is None or radio.frequency_mhz is None:
        return
    low_hz, high_hz = band_of(radio.regional_plan)
    if low_hz <= radio.frequency_mhz * 1e6 <= high_hz:
        return
    yield description_problem(
        locate("radio", "frequency_mhz"),
        "band",
        f"radio.frequency_mhz = {radio.frequency_mhz:g}, outside the band of {radio.regional_plan}",
        f"a frequency from {low_hz / 1e6:g} to {high_hz / 1e6:g} MHz",
        "correct the frequency or the plan",
    )
