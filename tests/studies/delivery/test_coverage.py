"""A short run of the study, loose enough for chance and tight enough for the usual mistake."""

from __future__ import annotations

from tests.studies.delivery.__main__ import study


def test_intervals_and_verdicts_hold_in_a_short_run() -> None:
    """200 campaigns: a binomial error of 1.5 %; the raw count covers 99 %, too much."""
    tally = study(200, seed=77)

    assert 92.0 <= tally.share("overall") <= 99.0
    assert 92.0 <= tally.share("rings") <= 98.0
    assert tally.share("overall, raw count") > tally.share("overall")
    for verdict in ("not walked", "at least"):
        assert tally.share(verdict) == 100.0
    for verdict in ("lost beyond", "blind from"):
        assert tally.share(verdict) >= 95.0
