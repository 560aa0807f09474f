"""Rectangles of stock, between whole numbers of ticks."""

from __future__ import annotations

from typing import NamedTuple

from nesting.units import Ticks


class Rect(NamedTuple):
    """A rectangle of stock: from low to high on x, then on y, in ticks."""

    low_x: Ticks
    high_x: Ticks
    low_y: Ticks
    high_y: Ticks

    @property
    def length(self) -> Ticks:
        """Its size along x."""
        return self.high_x - self.low_x

    @property
    def width(self) -> Ticks:
        """Its size along y."""
        return self.high_y - self.low_y

    def span(self, axis: int) -> tuple[Ticks, Ticks]:
        """Return where it begins and ends on an axis: 0 for x, 1 for y."""
        return self[2 * axis], self[2 * axis + 1]

    def with_span(self, axis: int, low: Ticks, high: Ticks) -> Rect:
        """Return another that differs on one axis."""
        sides = [*self]
        sides[2 * axis : 2 * axis + 2] = low, high
        return Rect(*sides)

    def meets(self, other: Rect) -> bool:
        """Tell whether two share any area."""
        return all(
            self[2 * axis] < other[2 * axis + 1]
            and other[2 * axis] < self[2 * axis + 1]
            for axis in (0, 1)
        )

    def covers(self, other: Rect) -> bool:
        """Tell whether another lies within it."""
        return all(
            self[2 * axis] <= other[2 * axis]
            and other[2 * axis + 1] <= self[2 * axis + 1]
            for axis in (0, 1)
        )
