from __future__ import annotations

import pytest

from reportgen.results.figure import Absent, Figure, FigureBook, Maker, UnknownFigureError

MAKE = Maker(path="walk.loop")


def test_a_value_that_is_no_number_becomes_a_reason_and_never_zero() -> None:
    figure = MAKE.figure("x_m", float("nan"), "m", "geodesic", absent=Absent.NO_PLACE)

    assert figure.value is None
    assert figure.absent_reason is Absent.NO_PLACE


def test_a_given_value_has_no_reason() -> None:
    figure = MAKE.figure("x_m", 3.0, "m", "geodesic", absent=Absent.NO_PLACE)

    assert (figure.value, figure.absent_reason) == (3.0, None)


def test_absence_without_a_reason_is_a_fault_of_the_program() -> None:
    with pytest.raises(AssertionError, match="without a reason"):
        MAKE.figure("x_m", None, "m", "geodesic")


def test_infinity_is_no_value() -> None:
    with pytest.raises(AssertionError, match="no value"):
        Figure(name="a.b", value=float("inf"), unit="m", method="geodesic")


def test_one_name_is_made_once() -> None:
    figure = MAKE.figure("x_m", 3.0, "m", "geodesic")

    with pytest.raises(AssertionError, match="twice"):
        FigureBook.of([figure, figure])


def test_an_unknown_name_is_answered_with_the_nearest() -> None:
    book = FigureBook.of([MAKE.figure("distance_m", 3.0, "m", "geodesic")])

    with pytest.raises(UnknownFigureError, match=r"walk\.loop\.distance_m"):
        book["walk.loop.distanse_m"]


@pytest.mark.parametrize(
    ("low", "high", "is_unsure"), [(0.43, 0.94, True), (0.69, 1.0, False), (None, None, False)]
)
def test_a_share_that_could_be_almost_anything_says_so(
    low: float | None, high: float | None, is_unsure: bool
) -> None:
    share = Figure(name="a.b", value=0.78, unit="1", method="delivery-ratio", low=low, high=high)

    assert share.is_unsure is is_unsure


def test_an_interval_of_metres_is_no_share() -> None:
    reach = Figure(name="a.b", value=900.0, unit="m", method="m", low=100.0, high=2000.0)

    assert not reach.is_unsure
