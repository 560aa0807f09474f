"""Plain Python that may be compiled: how a function says so, and its random numbers.

A kernel works on flat sequences of int64, seldom of float64: lists when it runs as it
is, arrays when it is compiled. `nesting.solve.compile` makes the compiled copies; the
functions in the source stay what they are, so that a first plan never waits for a
compiler.
"""

from __future__ import annotations

from collections.abc import Callable, MutableSequence
from typing import Final, TypeAlias, TypeVar

Ints: TypeAlias = MutableSequence[int]
"""A list of ints or an array of int64; slices of it are copied alike."""

Floats: TypeAlias = MutableSequence[float]
"""A list of floats or an array of float64."""

MODULUS: Final = 2_147_483_647
"""Of the random numbers: the prime 2**31 - 1."""

_Function = TypeVar("_Function", bound=Callable[..., object])


def kernel(function: _Function) -> _Function:
    """Mark a function as one that can be compiled; it is returned as it is."""
    vars(function)["kernel"] = function
    return function


def kernel_for(plain: _Function) -> Callable[[_Function], _Function]:
    """Mark a function as what is compiled in place of a plain one of the same effect.

    Parameters
    ----------
    plain
        The quicker one of the two where nothing is compiled; it takes the name.

    Returns
    -------
    Callable
        A decorator that returns `plain`.
    """

    def mark(function: _Function) -> _Function:
        vars(plain)["kernel"] = function
        return plain

    return mark


@kernel
def draw(rng: Ints) -> int:
    """Return the next number of a Lehmer generator, from 1 to `MODULUS` - 1.

    References
    ----------
    Park, Miller & Stockmeyer, Comm. ACM 36 (1993) 105-110: the multiplier 48271.
    """
    number = rng[0] * 48_271 % MODULUS
    rng[0] = number
    return number


def seeded(seed: int, stream: int = 0) -> int:
    """Return a start for `draw`; neighbouring seeds and streams lie well apart."""
    number = (seed * 2_654_435_761 + stream * 40_503 + 12_345) % (MODULUS - 1) + 1
    for _ in range(8):
        number = number * 48_271 % MODULUS
    return number
