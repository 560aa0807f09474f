"""A set of parts, packed: how many there are of each kind, in a few whole numbers.

Every kind has a field with a guard bit above it. What a field could hold beyond the
quantity is added beforehand (`extra`), so a sum of two sets is too many of something
where a guard bit is set.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from nesting.solve.sheets.points import line_of

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Line = NDArray[np.int64]

_BITS = 62


@dataclass(frozen=True, slots=True)
class Words:
    """Where each kind has its field in the words of a set."""

    places: tuple[int, ...]
    shifts: tuple[int, ...]
    masks: tuple[int, ...]
    extra: tuple[int, ...]
    guards: tuple[int, ...]

    def fields(self, order: Sequence[int]) -> tuple[Line, ...]:
        """Return all of it as the kernels take it, the kinds in some order."""
        return (
            line_of(self.extra),
            line_of(self.guards),
            *(
                line_of([line[i] for i in order])
                for line in (self.places, self.shifts, self.masks)
            ),
        )

    def counts(self, words: Line) -> Line:
        """Return how many of each kind some sets hold: a row for each row of words."""
        import numpy as np

        columns = [
            words[:, place] >> shift & mask
            for place, shift, mask in zip(
                self.places, self.shifts, self.masks, strict=True
            )
        ]
        return np.stack(columns, axis=1)


def words_for(wanted: Sequence[int]) -> Words:
    """Return the words for sets of parts.

    Parameters
    ----------
    wanted
        How many there are of each kind, at least 1.
    """
    places, shifts, masks = [], [], []
    extra, guards = [0], [0]
    shift = 0
    for quantity in wanted:
        bits = quantity.bit_length()
        if shift + bits + 1 > _BITS:
            shift = 0
            extra.append(0)
            guards.append(0)
        full = (1 << bits) - 1
        places.append(len(extra) - 1)
        shifts.append(shift)
        masks.append(full)
        extra[-1] |= full - quantity << shift
        guards[-1] |= 1 << shift + bits
        shift += bits + 1
    return Words(tuple(places), tuple(shifts), tuple(masks), (*extra,), (*guards,))
