"""What matters most is placed first where limited sheets do not hold everything."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.model.blank import Blank, Build, Need, Take
from nesting.model.problem import Budget, Problem
from nesting.model.result import Result
from nesting.model.shop import Saw
from nesting.model.stock import Edges, Stock
from nesting.model.terms import Form, Grain, Origin, Plane
from nesting.solve import solve
from nesting.solve.priorities import MOST, weighed
from nesting.solve.sheets.problem import SheetPart, SheetProblem, SheetStock

SAW = Saw(name="saw", kerf=3, planes=(Plane.RIP, Plane.CROSSCUT))


def need(name: str, length: int, width: int, quantity: int, priority: int) -> Need:
    blank = Blank(
        id=name,
        part=name,
        length=length,
        width=width,
        thickness=18,
        material="ply",
        grain=Grain.ANY,
    )
    return Need(
        id=name,
        part=name,
        quantity=quantity,
        builds=(Build(id=name, takes=(Take(blank=blank),)),),
        priority=priority,
    )


def sheet(
    name: str,
    length: int,
    width: int,
    limit: int | None,
    origin: Origin = Origin.STORE,
) -> Stock:
    return Stock(
        id=name,
        material="ply",
        form=Form.SHEET,
        length=length,
        width=width,
        thickness=18,
        price_cents=100,
        limit=limit,
        origin=origin,
    )


def solved(needs: list[Need], *stock: Stock, work: int = 2_000) -> Result:
    return solve(
        Problem(stock=stock, needs=tuple(needs), saws=(SAW,)), Budget(work=work)
    )


def missing(result: Result) -> dict[str, int]:
    return {miss.blank: miss.quantity for miss in result.unplaced}


def test_a_small_part_that_comes_first_outweighs_large_ones() -> None:
    """By area alone the two large parts would stay and the small one be left out."""
    stock = sheet("ply", 1000, 603, 1)
    parts = [("large", 1000, 300, 2), ("small", 300, 100, 1)]
    plain = solved([need(*part, 5) for part in parts], stock)
    assert missing(plain) == {"small": 1}
    first = solved([need(*parts[0], 5), need(*parts[1], 4)], stock)
    assert missing(first) == {"large": 1}
    last = solved([need(*parts[0], 1), need(*parts[1], 9)], stock)
    assert missing(last) == {"small": 1}


def test_what_one_more_sheet_would_do_is_said_of_each_kind_to_buy() -> None:
    """Worked out by hand: whichever is bought holds one of the two that are missing."""
    result = solved(
        [need("long", 1900, 500, 2, 5), need("short", 900, 500, 3, 5)],
        sheet("big", 2000, 600, 1),
        sheet("half", 1000, 600, 1),
        sheet("rest", 950, 550, 1, Origin.RACK),
    )
    # big takes a long part, half and rest a short one each; what is owned is not sold
    assert missing(result) == {"long": 1, "short": 1}
    assert result.notes == (
        "one more big would hold 1 of the 2 missing pieces",
        "one more half would hold 1 of the 2 missing pieces",
    )


def test_nothing_is_said_where_everything_is_placed_or_nothing_would_help() -> None:
    """Neither for a part larger than every sheet, nor for a job that fits."""
    fits = solved([need("a", 900, 500, 1, 5)], sheet("half", 1000, 600, 1))
    assert fits.notes == ()
    huge = solved([need("a", 1900, 500, 1, 5)], sheet("half", 1000, 600, 1))
    assert missing(huge) == {"a": 1}
    assert huge.notes == ()


def problem_of(*parts: tuple[int, int, int]) -> SheetProblem:
    return SheetProblem(
        parts=tuple(
            SheetPart(
                id=f"p{n}", length=length, width=width, quantity=count, grain_bound=True
            )
            for n, (length, width, count) in enumerate(parts)
        ),
        stock=(
            SheetStock(
                id="s",
                length=10**7,
                width=10**7,
                cost=1,
                limit=1,
                grain_along_length=True,
                trim=Edges(),
            ),
        ),
        kerf_x=0,
        kerf_y=0,
        least_kerf_x=0,
        least_kerf_y=0,
    )


@given(
    parts=st.lists(
        st.tuples(st.integers(1, 4_000), st.integers(1, 2_000), st.integers(1, 20)),
        min_size=2,
        max_size=6,
    ),
    ranks=st.lists(st.integers(1, 4), min_size=6, max_size=6),
)
def test_one_part_outweighs_all_of_lower_priority(
    parts: list[tuple[int, int, int]], ranks: list[int]
) -> None:
    """Exactly, as long as the numbers can be counted; a note says where they cannot."""
    asked = problem_of(*parts)
    priorities = {part.id: rank for part, rank in zip(asked.parts, ranks, strict=False)}
    result, notes = weighed(asked, priorities, "ply")
    counts = {p.id: p.length * p.width * p.weight for p in result.parts}
    total = sum(counts[p.id] * p.quantity for p in result.parts)
    assert total <= MOST
    if notes:
        assert "strictly" in notes[0]
        return
    for part in result.parts:
        lower = sum(
            counts[p.id] * p.quantity
            for p in result.parts
            if priorities[p.id] > priorities[part.id]
        )
        assert counts[part.id] > lower


def test_too_much_to_count_is_weighed_as_well_as_can_be() -> None:
    """Five priorities of 1000 parts of a square metre: no integer of 59 bits does."""
    asked = problem_of(*[(1_600_000, 1_600_000, 1_000)] * 5)
    ranks = {f"p{n}": n + 1 for n in range(5)}
    result, notes = weighed(asked, ranks, "ply")
    weights = [part.weight for part in result.parts]
    ratio = weights[3]
    assert weights == [ratio**4, ratio**3, ratio**2, ratio, 1]
    assert ratio > 1
    assert sum(p.length * p.width * p.weight * p.quantity for p in result.parts) <= MOST
    assert f"{ratio} times" in notes[0]


def test_without_a_limit_priorities_change_nothing() -> None:
    """Nothing is left out then, and the search stays as it is."""
    asked = problem_of((10, 10, 1), (20, 20, 1))
    (stock,) = asked.stock
    open_ended = SheetProblem(
        parts=asked.parts,
        stock=(
            SheetStock(
                id=stock.id,
                length=stock.length,
                width=stock.width,
                cost=1,
                limit=None,
                grain_along_length=True,
                trim=Edges(),
            ),
        ),
        kerf_x=0,
        kerf_y=0,
        least_kerf_x=0,
        least_kerf_y=0,
    )
    assert weighed(open_ended, {"p0": 1, "p1": 2}, "ply") == (open_ended, ())
    assert weighed(asked, {"p0": 3, "p1": 3}, "ply") == (asked, ())


@settings(max_examples=12)
@given(data=st.data())
def test_parts_that_come_first_are_placed_if_they_fit_together(
    data: st.DataObject,
) -> None:
    """A sheet cut up by halves gives the first; whatever else is wanted waits."""
    sizes = [(1200, 800)]
    for _ in range(data.draw(st.integers(1, 3))):
        length, width = sizes.pop(data.draw(st.integers(0, len(sizes) - 1)))
        along = data.draw(st.booleans())
        side = length if along else width
        if side < 200:
            sizes.append((length, width))
            continue
        near = data.draw(st.integers(90, side - 100))
        for part in (near, side - near - 3):
            sizes.append((part, width) if along else (length, part))
    others = data.draw(
        st.lists(
            st.tuples(st.integers(100, 1200), st.integers(100, 800)),
            min_size=1,
            max_size=4,
        )
    )
    needs = [need(f"first {n}", *size, 1, 2) for n, size in enumerate(sizes)]
    needs += [need(f"other {n}", *size, 1, 7) for n, size in enumerate(others)]
    result = solved(needs, sheet("ply", 1200, 800, 1), work=1_500)
    assert all(name.startswith("other") for name in missing(result))
    assert len(missing(result)) == len(others)
