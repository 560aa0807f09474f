"""Dual feasible functions: other lengths for parts, under which nothing overfills.

A function f on the lengths of one axis, with f(W) = F, is dual feasible if lengths that
add up to at most W have values that add up to at most F. All values here are integers.

References
----------
Fekete & Schepers, Math. Programming 91 (2001) 11-31: `rounded` (their u of k) and
`thresholds` (their U of epsilon).
Carlier, Clautiaux & Moukrim, Computers & OR 34 (2007) 2223-2250: `mirrored` (their f2).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass

_MOST_ROUNDINGS = 60


@dataclass(frozen=True, slots=True)
class Dual:
    """A dual feasible function on one axis."""

    value: Callable[[int], int]
    """Of a length of at most `full`."""
    full: int
    """The length of the sheet."""
    most: int
    """What the values of lengths that fit into `full` add up to at most."""


def plain(full: int) -> Dual:
    """Return the lengths as they are."""
    return Dual(lambda size: size, full, full)


def rounded(full: int, k: int) -> Dual:
    """Return lengths rounded down to k-ths of the whole, but for (k+1)-ths."""

    def value(size: int) -> int:
        whole, part = divmod((k + 1) * size, full)
        return whole * (k + 1 if part else k)

    return Dual(value, full, k * (k + 1))


def threshold(full: int, least: int) -> Dual:
    """Return lengths without what is under `least`, which fills up what leaves less."""

    def value(size: int) -> int:
        if size < least:
            return 0
        return full if size > full - least else size

    return Dual(value, full, full)


def mirrored(full: int, k: int) -> Dual:
    """Return lengths in units of k: short ones rounded down, long ones up."""
    units = full // k

    def value(size: int) -> int:
        if 2 * size > full:
            return 2 * (units - (full - size) // k)
        return units if 2 * size == full else 2 * (size // k)

    return Dual(value, full, 2 * units)


def duals(full: int, sizes: Iterable[int]) -> Iterator[Dual]:
    """Make the functions worth trying on an axis.

    Parameters
    ----------
    full
        The length of the sheet along the axis, inflated by a kerf.
    sizes
        Lengths of parts along it, likewise.

    Yields
    ------
    Dual
        Starting with the plain lengths; no two have the same values on `sizes`.
    """
    known = sorted({size for size in sizes if 0 < size <= full})
    seen: set[tuple[int, ...]] = set()
    for dual in _candidates(full, known):
        values = tuple(dual.value(size) for size in known)
        scaled = tuple(1_000_000 * value // max(1, dual.most) for value in values)
        if scaled not in seen:
            seen.add(scaled)
            yield dual


def _candidates(full: int, known: list[int]) -> Iterator[Dual]:
    yield plain(full)
    for k in range(1, _MOST_ROUNDINGS + 1):
        yield rounded(full, k)
    near = {size + 1 for size in known} | {full - size + 1 for size in known}
    for least in sorted(near | set(known)):
        if 2 * least <= full:
            yield threshold(full, least)
    units = set(known) | {full - size for size in known} | {full - s + 1 for s in known}
    for k in sorted(units):
        if 0 < 2 * k <= full:
            yield mirrored(full, k)
