"""The example's comparisons against what its generator made true: the stub is 4.5 dB weaker."""

from __future__ import annotations

import pytest

from reportgen.results.assemble import Results
from tests.generators.island.scenario import GAIN_DBI, STUB, WHIP
from tests.made_results import example_results

TRUE_DB = GAIN_DBI[STUB] - GAIN_DBI[WHIP]


@pytest.fixture(scope="module")
def results() -> Results:
    return example_results()


def test_nodes_carried_together_are_evidence_and_hold_the_truth(results: Results) -> None:
    item = next(c for c in results.compared.items if c.key == "both-nodes-drift-ripple")
    figure = results.figures["comparison.both-nodes-drift-ripple.signal_difference_db"]

    assert item.standing == "together"
    assert item.is_evidence
    assert item.factors == ("antenna",)
    assert figure.low is not None
    assert figure.high is not None
    assert figure.low < TRUE_DB < figure.high < 0


def test_single_walks_one_factor_apart_are_no_evidence_however_clear(results: Results) -> None:
    item = next(c for c in results.compared.items if c.key == "quay-first-quay-stub")

    assert item.standing == "as recorded"
    assert not item.is_evidence
    assert item.factors == ("antenna",)


def test_two_factors_apart_are_confounded_by_name(results: Results) -> None:
    item = next(c for c in results.compared.items if c.key == "hill-sf7-hill-sf10-stub")

    assert item.standing == "confounded"
    assert set(item.factors) == {"antenna", "spreading factor"}


def test_the_repeat_of_one_setting_shows_no_difference(results: Results) -> None:
    figure = results.figures["comparison.quay-first-quay-again.signal_difference_db"]

    assert figure.low is not None
    assert figure.high is not None
    assert figure.low < 0 < figure.high
    assert abs(float(figure.number or 9)) < 0.5


def test_what_can_be_evidence_stands_first(results: Results) -> None:
    standings = [item.standing for item in results.compared.items]

    assert standings[0] == "together"
    assert standings[-1] == "confounded"
