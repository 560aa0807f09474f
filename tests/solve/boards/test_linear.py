"""The linear bound of boards holds under every plan, and is met where it must be."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from typing import TYPE_CHECKING

from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.solve.boards.linear import board_bound
from nesting.solve.boards.problem import BoardPart, BoardProblem, BoardStock
from nesting.solve.boards.small import exact_boards
from nesting.solve.boards.table import BoardTable

if TYPE_CHECKING:
    import pytest


def part(
    name: str, length: int, width: int, quantity: int = 1, **more: object
) -> BoardPart:
    """Return a part of a section ``a``, not resawn unless it says so."""
    given: dict[str, object] = {
        "thickness": 1,
        "layers": {"a": 1},
        "most_layers": {"a": 1},
        **more,
    }
    return BoardPart(id=name, length=length, width=width, quantity=quantity, **given)  # type: ignore[arg-type]


def board(
    name: str, length: int, width: int, cost: int, limit: int | None = None
) -> BoardStock:
    """Return a board of section ``a``."""
    return BoardStock(
        id=name, section="a", length=length, width=width, cost=cost, limit=limit
    )


def asked(parts: object, stock: object, **more: int | None) -> BoardProblem:
    """Return a problem with a kerf of 1 unless it says otherwise."""
    kerf = {"kerf_x": 1, "kerf_y": 1, "least_kerf_x": 1, "least_kerf_y": 1}
    return BoardProblem(parts=parts, stock=stock, **{**kerf, **more})  # type: ignore[arg-type]


def bound(problem: BoardProblem) -> int:
    """Return the bound, the program run to its end, without the compiler."""
    found = board_bound(problem, most_work=100_000, plain=True)
    assert found.exact <= found.value
    return found.value


def test_a_board_is_filled_by_hand() -> None:
    """Two strips of 4 in 9 with a kerf of 1; five of 9 in 49 with four kerfs of 1.

    So 10 of 9 x 4 come from a board of 49 x 9, and an eleventh takes a second board.
    """
    stock = (board("b", 49, 9, 100),)
    assert bound(asked((part("p", 9, 4, 10),), stock)) == 100
    assert bound(asked((part("p", 9, 4, 11),), stock)) == 200
    assert bound(asked((part("p", 9, 4, 10),), (board("b", 48, 9, 100),))) == 200
    assert bound(asked((part("p", 9, 4, 10),), (board("b", 49, 8, 100),))) == 200


def test_slices_count_as_often_as_they_come_out() -> None:
    """Resawn in two, a board of ten holds twenty."""
    thin = part("p", 9, 4, 20, layers={"a": 2}, most_layers={"a": 2})
    stock = (board("b", 49, 9, 100),)
    assert bound(asked((thin,), stock)) == 100
    assert bound(asked((replace(thin, quantity=21),), stock)) == 200


def test_a_rough_length_keeps_rips_short() -> None:
    """A part of 30 is ripped from no section over 20; as wide as the board it is not.

    What cannot be cut at all does not count.
    """
    stock = (board("b", 61, 9, 100),)
    long = part("p", 30, 4, 2)
    assert bound(asked((long,), stock)) == 100
    assert bound(asked((long,), stock, longest_rough=20)) == 0
    wide = part("p", 30, 9, 4)
    assert bound(asked((wide,), stock, longest_rough=20)) == 200


def test_limited_boards_give_what_they_can() -> None:
    """One free board on the rack holds ten of eleven; the last has to be bought."""
    stock = (board("rack", 49, 9, 0, 1), board("b", 49, 9, 100))
    assert bound(asked((part("p", 9, 4, 10),), stock)) == 0
    assert bound(asked((part("p", 9, 4, 11),), stock)) == 100
    assert bound(asked((part("p", 9, 4, 21),), stock)) == 200


def test_no_board_and_no_part_are_no_trouble() -> None:
    """There is nothing to pay, and the known bound stays."""
    stock = (board("b", 49, 9, 100),)
    assert board_bound(asked((), stock), most_work=10, known=7).value == 7
    problem = asked((part("p", 60, 4),), stock)
    assert board_bound(problem, most_work=10).value == 0


@st.composite
def problems(draw: st.DrawFn) -> BoardProblem:
    """Draw a few parts, some resawn, and a few boards, some limited."""
    parts = tuple(
        part(
            f"p{n}",
            draw(st.integers(2, 14)),
            draw(st.integers(1, 7)),
            draw(st.integers(1, 2)),
            layers={"a": layers},
            most_layers={"a": layers},
            may_stay_thick=draw(st.booleans()) or layers == 1,
        )
        for n, layers in enumerate(
            draw(st.lists(st.sampled_from([1, 1, 2]), min_size=1, max_size=4))
        )
    )
    stock = tuple(
        board(
            f"b{n}",
            draw(st.integers(14, 30)),
            draw(st.sampled_from([7, 9, 12])),
            draw(st.integers(0, 40)),
            draw(st.sampled_from([None, None, 1])),
        )
        for n in range(draw(st.integers(1, 3)))
    )
    rough = draw(st.sampled_from([None, 14, 18]))
    kerf = draw(st.integers(0, 2))
    return asked(
        parts,
        stock,
        longest_rough=rough,
        kerf_x=kerf,
        kerf_y=kerf,
        least_kerf_x=kerf,
        least_kerf_y=kerf,
    )


@settings(max_examples=60)
@given(problems())
def test_no_plan_is_cheaper(problem: BoardProblem) -> None:
    """The exact program for small jobs is the judge."""
    best = exact_boards(problem, known=0, goal=None, most_work=100_000, plain=True)
    if best.is_settled and best.cost is not None:
        assert bound(problem) <= best.cost


@settings(max_examples=20)
@given(problems(), st.lists(st.integers(0, 50), min_size=4, max_size=4))
def test_patterns_are_worth_what_the_table_says(
    problem: BoardProblem, values: list[int]
) -> None:
    """What is read off a table has the value at its end, compiled or not."""
    own = values[: len(problem.parts)]
    plain = BoardTable(problem, plain=True)
    most = plain.fill(own)
    for kind, held in enumerate(most):
        counts: Counter[int] = plain.pattern(kind)
        assert sum(own[i] * n for i, n in counts.items()) == held
    table = BoardTable(problem)
    table._is_plain = False
    assert table.fill(own) == most


def test_a_coarser_grid_only_gives_room(monkeypatch: pytest.MonkeyPatch) -> None:
    """With a tenth of the units the bound is no greater."""
    parts = tuple(part(f"p{n}", 101 + 37 * n, 31 + 7 * n, 3) for n in range(6))
    problem = asked(parts, (board("b", 997, 199, 100), board("c", 1501, 139, 120)))
    fine = bound(problem)
    monkeypatch.setattr("nesting.solve.boards.table.MOST_LONG", 150)
    monkeypatch.setattr("nesting.solve.boards.table.MOST_WIDE", 20)
    coarse = bound(problem)
    assert 0 < coarse <= fine
