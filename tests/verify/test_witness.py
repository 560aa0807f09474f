"""The second witness, alone: boxes and volumes, without any replay."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from nesting.model.plan import Piece, Plan
from nesting.verify.witness import check_geometry

Change = Callable[[Plan, str, Any], Plan]


def block(
    id: str, at: tuple[int, int, int], size: tuple[int, int, int], fate: str = "scrap"
) -> Piece:
    x, y, z = at
    length, width, thickness = size
    return Piece(
        id=id, x=x, y=y, z=z, length=length, width=width, thickness=thickness, fate=fate
    )


def laid(sound: Plan, size: tuple[int, int, int], *pieces: Piece) -> Plan:
    """A plan of one layout without cuts."""
    layout = sound.layouts[0]
    length, width, thickness = size
    stock = replace(layout.stock, length=length, width=width, thickness=thickness)
    return replace(
        sound, layouts=(replace(layout, stock=stock, pieces=pieces, cuts=()),)
    )


def rules(plan: Plan) -> list[str]:
    return sorted(fault.rule for fault in check_geometry(plan))


def test_the_sound_plan_is_seen_to_be_whole(sound: Plan) -> None:
    """The layouts made by hand overlap nowhere and add up."""
    assert rules(sound) == []


# Corners and edges may touch; a single tick of common room is told; above each other,
# pieces share nothing until their ranges in z do.
@pytest.mark.parametrize(
    ("second", "told"),
    [
        (block("b", (5, 0, 0), (5, 10, 4)), []),
        (block("b", (4, 0, 0), (5, 10, 4)), ["overlap"]),
        (block("b", (0, 0, 2), (10, 5, 4)), ["outside", "overlap"]),
        (block("b", (6, 0, 0), (5, 10, 4)), ["outside"]),
        (block("b", (5, -1, 0), (5, 10, 4)), ["outside"]),
        (block("b", (5, 1, 0), (5, 10, 4)), ["outside"]),
        (block("b", (5, 0, -1), (5, 10, 4)), ["outside"]),
        (block("b", (5, 0, 0), (5, 10, 3)), ["sum"]),
    ],
)
def test_two_halves_of_a_block(sound: Plan, second: Piece, told: list[str]) -> None:
    """Half of a block of 10 by 10 by 4 ticks, and what is put beside it."""
    first = block("a", (0, 0, 0), (5, 10, 4))
    assert rules(laid(sound, (10, 10, 4), first, second)) == told


def test_slabs_lie_above_each_other(sound: Plan) -> None:
    """Two slabs of one face share no room; a tick lower they do."""
    low, high = block("a", (0, 0, 0), (10, 10, 2)), block("b", (0, 0, 2), (10, 10, 2))
    assert rules(laid(sound, (10, 10, 4), low, high)) == []
    sunk = replace(high, z=1)
    assert rules(laid(sound, (10, 10, 4), low, sunk)) == ["overlap"]


def test_one_tick_is_seen_on_the_largest_stock(sound: Plan) -> None:
    """Near 2**53 a float still tells one tick from none."""
    most = 2**53 - 1
    first = block("a", (0, 0, 0), (most - 1, 10, 4))
    last = block("b", (most - 1, 0, 0), (1, 10, 4))
    assert rules(laid(sound, (most, 10, 4), first, last)) == []
    wider = replace(first, length=most)
    assert "overlap" in rules(laid(sound, (most, 10, 4), wider, last))


def test_pieces_that_are_cut_again_do_not_count(sound: Plan) -> None:
    """Only what remains takes room."""
    whole = block("w", (0, 0, 0), (10, 10, 4), "cut")
    rest = block("a", (0, 0, 0), (10, 10, 4))
    assert rules(laid(sound, (10, 10, 4), whole, rest)) == []


def test_kerfs_are_part_of_the_sum(sound: Plan, change: Change) -> None:
    """A wider kerf, with nothing else changed, is more wood than there is."""
    wider = change(sound, "layouts.0.cuts.5.kerf", lambda kerf: kerf + 1)
    assert rules(wider) == ["sum"]
