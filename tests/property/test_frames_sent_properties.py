"""Laws that hold of frames known from an interval or a node's own log, whatever was missed."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from reportgen.compute.send_interval import missing_by_interval
from reportgen.compute.sent_pairs import pairs_by_counter, pairs_by_time

SEEDS = st.integers(0, 2**32 - 1)
INTERVALS_S = st.floats(8.0, 600.0)


@given(seed=SEEDS, interval_s=INTERVALS_S, drift=st.floats(-0.04, 0.04), share=st.floats(0.3, 1.0))
def test_an_even_sequence_gives_back_exactly_what_was_missed(
    seed: int, interval_s: float, drift: float, share: float
) -> None:
    """Jitter of two time stamps stays within the tolerance of the time between them."""
    chance = np.random.default_rng(seed)
    jitter_s = min(1.5, 0.1 * interval_s)
    sent_s = (1.0 + drift) * interval_s * np.arange(120) + chance.uniform(
        -jitter_s / 2, jitter_s / 2, 120
    )
    is_heard = chance.random(120) < share
    is_heard[[0, 1, 2, 60, 61, 118, 119]] = True
    # Across more than twenty intervals nothing is inferred, as a node may have been off.
    is_heard[::15] = True

    found = missing_by_interval(sent_s[is_heard], interval_s)

    assert found.is_kept
    assert found.time_s.size == int((~is_heard).sum())
    assert np.all(np.abs(np.sort(found.time_s) - sent_s[~is_heard]) <= 2.0 * jitter_s)


@given(seed=SEEDS, interval_s=INTERVALS_S, often=st.floats(0.2, 3.0))
def test_a_sequence_without_rhythm_is_never_believed_to_have_one(
    seed: int, interval_s: float, often: float
) -> None:
    chance = np.random.default_rng(seed)
    times_s = np.sort(chance.uniform(0.0, 100.0 * interval_s / often, 100))

    assert not missing_by_interval(times_s, interval_s).is_kept


@given(seed=SEEDS, offset_s=st.floats(-1e6, 1e6), share=st.floats(0.05, 1.0))
def test_counters_pair_every_frame_heard_with_its_own_row(
    seed: int, offset_s: float, share: float
) -> None:
    """The log lacks some rows, the air some frames; clocks differ by anything."""
    chance = np.random.default_rng(seed)
    counter = (65_500 + np.arange(80)) % 65_536
    sent_s = 20.0 * np.arange(80)
    logged = np.flatnonzero(chance.random(80) < 0.9)
    heard = np.flatnonzero(chance.random(80) < share)

    found = pairs_by_counter(
        counter[logged],
        sent_s[logged],
        counter[heard],
        sent_s[heard] + offset_s + chance.uniform(0.0, 3.0, heard.size),
    )

    both = np.intersect1d(logged, heard)
    assert logged[found.sent_index].tolist() == heard[found.heard_index].tolist() == both.tolist()


@given(
    seed=SEEDS,
    spacing_s=st.floats(12.0, 300.0),
    part=st.floats(-0.2, 0.2),
    share=st.floats(0.1, 1.0),
)
def test_times_pair_every_frame_heard_with_its_own_row(
    seed: int, spacing_s: float, part: float, share: float
) -> None:
    """Clocks agree to a fifth of the spacing, stamps jitter by a second either way."""
    chance = np.random.default_rng(seed)
    sent_s = spacing_s * np.arange(60)
    heard = np.flatnonzero(chance.random(60) < share)
    heard_s = sent_s[heard] + part * spacing_s + chance.uniform(-1.0, 1.0, heard.size)

    found = pairs_by_time(sent_s, heard_s)

    assert found.sent_index.tolist() == heard.tolist()
    assert found.heard_index.tolist() == list(range(heard.size))
