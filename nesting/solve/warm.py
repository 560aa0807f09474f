"""Compile what the solver compiles, once: `python -m nesting.solve.warm`.

A cold cache costs a plan a minute; whoever starts a clock should look at
`is_warm`, say so, and call `warm` first.
"""

from __future__ import annotations

import sys

from nesting.solve.boards.engine import BOARD_KERNELS, prepare_boards
from nesting.solve.boards.small import prepare_small
from nesting.solve.boards.small_sets import SMALL_KERNELS
from nesting.solve.boards.table import TABLE_KERNELS, prepare_tables
from nesting.solve.compile import is_complete, may_compile
from nesting.solve.sheets.engine import KERNELS, prepare
from nesting.solve.sheets.pattern_table import PATTERN_KERNELS
from nesting.solve.sheets.patterns import prepare_patterns
from nesting.solve.sheets.sets import prepare_sets
from nesting.solve.sheets.sets_states import SET_KERNELS

_ALL = (
    KERNELS,
    PATTERN_KERNELS,
    SET_KERNELS,
    SMALL_KERNELS,
    TABLE_KERNELS,
    BOARD_KERNELS,
)


def is_warm() -> bool:
    """Tell whether a search would start at once.

    True, too, where nothing is ever compiled: then there is nothing to wait for.
    """
    return not may_compile() or all(is_complete(each) for each in _ALL)


def warm() -> None:
    """Compile everything into the cache; at once if it is there."""
    if not is_warm():
        load()


def load() -> None:
    """Run every kernel once, from the cache or compiled into it.

    Where nothing is ever compiled it runs the plain functions, which does no harm.
    """
    prepare()
    prepare_patterns()
    prepare_sets()
    prepare_small()
    prepare_tables()
    prepare_boards()


if __name__ == "__main__":
    warm()
    sys.exit(0)
