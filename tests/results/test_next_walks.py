"""What to walk next: the repeat that makes evidence, the one factor that tells two apart."""

from __future__ import annotations

from pathlib import Path

from reportgen.results.next_walks import next_walks
from tests.made_results import example_results

EXAMPLE = Path(__file__).parents[2] / "example_campaign"


def test_a_confounded_pair_asks_for_the_factor_that_nothing_else_settles() -> None:
    """Antenna is settled by the two nodes carried together; the spreading factor is not."""
    (step,) = next_walks(example_results().compared.items)

    assert step.kind == "one factor"
    assert (step.factor, step.value) == ("spreading factor", "10")
    assert step.walk.key == "hill-sf7"


def test_a_single_pair_asks_for_its_repeat(tmp_path: Path) -> None:
    """Without the walk of both nodes, the antenna is open."""
    results = example_results()
    left = [item for item in results.compared.items if item.standing == "as recorded"]

    (step,) = next_walks(left)

    assert (step.kind, step.factor) == ("repeat", "antenna")


def test_nothing_compared_asks_for_nothing() -> None:
    assert next_walks(()) == ()
