"""Turning what a caller hands over into arrays, and refusing what no formula can mean."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from reportgen.errors import DomainError


def floats(values: ArrayLike) -> NDArray[np.float64]:
    """Return values as an array of floating-point numbers, a single one as an array of shape ()."""
    return np.asarray(values, dtype=np.float64)


def positive(name: str, values: ArrayLike) -> NDArray[np.float64]:
    """Return values as an array, all above zero or NaN.

    Raises
    ------
    DomainError
        If any value is zero or less.
    """
    numbers = floats(values)
    _refuse(name, numbers, numbers <= 0.0, "above 0")
    return numbers


def within(name: str, values: ArrayLike, low: float, high: float = np.inf) -> NDArray[np.float64]:
    """Return values as an array, all within limits (limits included) or NaN.

    Raises
    ------
    DomainError
        If any value lies outside.
    """
    numbers = floats(values)
    limits = f"{low:g} or more" if np.isinf(high) else f"from {low:g} to {high:g}"
    _refuse(name, numbers, (numbers < low) | (numbers > high), limits)
    return numbers


def same_length(**arrays: NDArray[np.generic]) -> None:
    """Check that arrays are rows of one table.

    Raises
    ------
    DomainError
        If any is not one-dimensional, or their lengths differ.
    """
    shapes = {name: values.shape for name, values in arrays.items()}
    if len(set(shapes.values())) > 1 or any(len(shape) != 1 for shape in shapes.values()):
        found = ", ".join(f"{name} {shape}" for name, shape in shapes.items())
        raise DomainError(f"arrays must be one-dimensional and equally long; found {found}")


def _refuse(
    name: str, numbers: NDArray[np.float64], is_outside: NDArray[np.bool_], limits: str
) -> None:
    if np.any(is_outside):
        first = numbers[is_outside].flat[0]
        raise DomainError(f"{name} must be {limits}; found {first:g}")
