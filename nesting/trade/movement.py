"""How wood moves: with the seasons, and once when it dries.

Floats are good enough here: what comes out is an expectation, no geometry. Percent are
percent of moisture content, the weight of water over that of ovendry wood.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from nesting.errors import InputError

FIBRE_SATURATION: Final = 30.0
"""Percent above which wood does not shrink (Wood Handbook, the usual value)."""
SEASONS: Final = (6.0, 14.0)
"""Percent between which the coefficients of Table 13-5 hold."""
_DRIED: Final = (8.0, 19.0)
"""Percent between which FPL-RP-489 holds."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Shrunk:
    """Percent of the green size that softwood lumber has lost."""

    width: float
    thickness: float


def seasonal_change(
    size: float, coefficient: Fraction | float, before: float, after: float
) -> float:
    """Return how much a size across the grain changes between two moisture contents.

    Wood Handbook, chapter 13: D C (M2 - M1), for 6 to 14 %.

    Parameters
    ----------
    size
        In any unit, at the moisture `before`; the change is in the same.
    coefficient
        Of the species and the cut, for each percent.
    before, after
        Percent of moisture content.
    """
    return size * float(coefficient) * (after - before)


def change_by_shrinkage(
    size: float, shrinkage: Fraction | float, before: float, after: float
) -> float:
    """Return how much a size changes between any two moisture contents up to 30 %.

    Wood Handbook, chapter 13: D (M2 - M1) / (30 x 100 / S - 30 + M1), with S the
    percent from green to ovendry.
    """
    span = FIBRE_SATURATION * 100 / float(shrinkage) - FIBRE_SATURATION + before
    return size * (after - before) / span


def shrinkage_to(shrinkage: Fraction | float, moisture: float) -> float:
    """Return the percent that wood has shrunk from green at a moisture content.

    Wood Handbook, equation 4-9: S (1 - M / 30), nothing at 30 % and above.
    """
    return float(shrinkage) * max(0.0, 1 - moisture / FIBRE_SATURATION)


def coefficient_of(shrinkage: Fraction | float) -> float:
    """Return the coefficient of change that belongs to a shrinkage.

    `change_by_shrinkage` from 10 %, for one percent: S / (3000 - 20 S).
    """
    whole = float(shrinkage)
    return whole / (3000 - 20 * whole)


def equilibrium_moisture(celsius: float, humidity: float) -> float:
    """Return the percent of moisture that wood takes on in the end.

    Wood Handbook, equation 4-5 (Hailwood and Horrobin, constants of Simpson 1973).

    Parameters
    ----------
    celsius
        Temperature of the air.
    humidity
        Relative humidity in percent, 0 to 100.

    Raises
    ------
    InputError
        The humidity is none.
    """
    if not 0 <= humidity < 100:
        raise InputError(f"{humidity:g} % is no relative humidity that wood lives in")
    h, t = humidity / 100, celsius
    weight = 349 + 1.29 * t + 0.0135 * t * t
    k = 0.805 + 0.000736 * t - 0.00000273 * t * t
    k1 = 6.27 - 0.00938 * t - 0.000303 * t * t
    k2 = 1.91 + 0.0407 * t - 0.000293 * t * t
    kh = k * h
    wet = k1 * kh + 2 * k1 * k2 * kh * kh
    return 1800 / weight * (kh / (1 - kh) + wet / (1 + k1 * kh + k1 * k2 * kh * kh))


def celsius(fahrenheit: float) -> float:
    """Return a temperature in degrees Celsius."""
    return (fahrenheit - 32) * 5 / 9


def softwood_shrunk(moisture: float) -> Shrunk:
    """Return how far softwood lumber has shrunk from green, most species.

    FPL-RP-489, the basis of the green and dry sizes of PS 20; for 8 to 19 %.
    """
    return Shrunk(width=6.031 - 0.215 * moisture, thickness=5.062 - 0.181 * moisture)


def dried_size(size: float, before: float, after: float, *, is_width: bool) -> float:
    """Return the size that dressed softwood has when it has dried further.

    Parameters
    ----------
    size
        A width or thickness at the moisture `before`, in any unit.
    before, after
        Percent, 8 to 19.
    is_width
        Whether it is a width; a thickness shrinks a little less.

    Raises
    ------
    InputError
        A moisture is outside what the formula holds for.
    """
    for moisture in (before, after):
        if not _DRIED[0] <= moisture <= _DRIED[1]:
            message = f"{moisture:g} % is outside 8 to 19 % of moisture"
            raise InputError(message)
    first, last = softwood_shrunk(before), softwood_shrunk(after)
    lost = (first.width, last.width) if is_width else (first.thickness, last.thickness)
    return size * (1 - lost[1] / 100) / (1 - lost[0] / 100)
