"""How much species shrink: two tables of the Wood Handbook.

Shrinkage from green to ovendry, in percent, radial and tangential (Table 4-3), and the
coefficients of dimensional change for each percent of moisture content between 6 and
14 % (Table 13-5): USDA Forest Products Laboratory, Wood Handbook, GTR-190 and GTR-282;
a row that is from memory says so. The two tables agree by C = S / (3000 - 20 S) to
five decimals wherever a row is a single species, which backs those from memory.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from fractions import Fraction
from types import MappingProxyType
from typing import Final

from nesting.errors import Fault, InputError
from nesting.trade.defaults import FROM_MEMORY

WOOD_HANDBOOK: Final = "Wood Handbook, USDA FPL, Tables 4-3 and 13-5"


@dataclass(frozen=True, slots=True, kw_only=True)
class Species:
    """Shrinkage and movement of one species."""

    name: str
    radial: Fraction
    """Percent from green to ovendry."""
    tangential: Fraction
    quartersawn: Fraction
    """Change of width for each percent of moisture, of a quartersawn board."""
    flatsawn: Fraction
    """The same for a flatsawn board."""
    source: str
    is_pooled: bool = False
    """Whether several species are pooled in one of the tables but not the other."""


_ROWS: Final = """
pine, eastern white         2.1  6.1   0.00071  0.00212  memory
pine, loblolly              4.8  7.4   0.00165  0.00259
pine, longleaf              5.1  7.5   0.00176  0.00263
pine, shortleaf             4.6  7.7   0.00158  0.00271
pine, slash                 5.4  7.6   0.00187  0.00267
pine, lodgepole             4.3  6.7   0.00148  0.00234
pine, ponderosa             3.9  6.2   0.00133  0.00216  memory
pine, red                   3.8  7.2   0.00130  0.00252  memory
spruce, Engelmann           3.8  7.1   0.00130  0.00248
spruce, black               4.1  6.8   0.00141  0.00237  memory
spruce, red                 3.8  7.8   0.00130  0.00274  memory
spruce, Sitka               4.3  7.5   0.00148  0.00263  memory
Douglas-fir, coast          4.8  7.6   0.00165  0.00267
Douglas-fir, interior north 3.8  6.9   0.00130  0.00241
hemlock, western            4.2  7.8   0.00144  0.00274
fir, white                  3.3  7.0   0.00112  0.00245
oak, red                    4.0  8.6   0.00158  0.00369  pooled
oak, white                  5.6  10.5  0.00180  0.00365  pooled
maple, sugar                4.8  9.9   0.00165  0.00353
maple, red                  4.0  8.2   0.00137  0.00289  memory
cherry, black               3.7  7.1   0.00126  0.00248
walnut, black               5.5  7.8   0.00190  0.00274
birch, yellow               7.3  9.5   0.00256  0.00338
yellow-poplar               4.6  8.2   0.00158  0.00289
ash, white                  4.9  7.8   0.00169  0.00274
beech, American             5.5  11.9  0.00190  0.00431
"""


def _species(row: str) -> Species:
    """Return one row of the tables."""
    mark = row.split()[-1]
    words = row.split()[:-1] if mark in ("memory", "pooled") else row.split()
    figures = [Fraction(word) for word in words[-4:]]
    remembered = f"; shrinkage {FROM_MEMORY}" if mark == "memory" else ""
    return Species(
        name=" ".join(words[:-4]),
        radial=figures[0],
        tangential=figures[1],
        quartersawn=figures[2],
        flatsawn=figures[3],
        source=WOOD_HANDBOOK + remembered,
        is_pooled=mark == "pooled",
    )


SPECIES: Final[Mapping[str, Species]] = MappingProxyType(
    {each.name: each for each in map(_species, _ROWS.strip().splitlines())}
)
"""The species by name, as the tables name them: the genus first."""


def find_species(name: str) -> Species:
    """Return a species by its name, whichever way round: ``black walnut``.

    Raises
    ------
    InputError
        The tables, as far as they are here, have none of that name.

    Examples
    --------
    >>> find_species("Black walnut").name
    'walnut, black'
    """
    wanted = _words(name)
    for each in SPECIES.values():
        if _words(each.name) == wanted:
            return each
    near = get_close_matches(" ".join(sorted(wanted)), _SORTED, n=1)
    remedy = f"did you mean {_SORTED[near[0]]!r}?" if near else ", ".join(SPECIES)
    what = f"{name[:32]!r} is no species of the tables"
    raise InputError(faults=(Fault(what=what, remedy=remedy),))


def _words(name: str) -> frozenset[str]:
    return frozenset(name.lower().replace(",", " ").replace("-", " ").split())


_SORTED: Final = {" ".join(sorted(_words(name))): name for name in SPECIES}
