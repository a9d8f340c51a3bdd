"""Refusing what no formula can mean, with the value named."""

from __future__ import annotations

import numpy as np
import pytest

from reportgen.compute.domain import positive, same_length, within
from reportgen.errors import DomainError


def test_message_names_the_first_value_outside() -> None:
    """A person needs the number, not only the rule."""
    with pytest.raises(DomainError, match=r"^distance_m must be above 0; found -3$"):
        positive("distance_m", [1.0, -3.0, 0.0])
    with pytest.raises(DomainError, match=r"^latitude_deg must be from -90 to 90; found 90\.5$"):
        within("latitude_deg", 90.5, -90.0, 90.0)
    with pytest.raises(DomainError, match=r"^height_m must be 0 or more; found -1$"):
        within("height_m", -1, 0.0)
    with pytest.raises(DomainError, match=r"^limit_w_m2 must be above 0; found 0$"):
        positive("limit_w_m2", 0.0)


def test_limits_are_allowed_and_unknown_values_pass() -> None:
    """NaN is a missing value, not a wrong one."""
    assert within("share", [0.0, np.nan, 1.0], 0.0, 1.0)[[0, 2]].tolist() == [0.0, 1.0]
    assert np.isnan(positive("ratio", np.nan))


def test_columns_of_unequal_length_are_refused_by_name() -> None:
    """Broadcasting would pair the wrong rows in silence."""
    with pytest.raises(DomainError, match=r"found a \(2,\), b \(3,\)$"):
        same_length(a=np.zeros(2), b=np.zeros(3))
    with pytest.raises(DomainError, match=r"one-dimensional.*found a \(2, 2\)$"):
        same_length(a=np.zeros((2, 2)))
    same_length(a=np.zeros(2), b=np.zeros(2))
