"""Whether the saws of a shop cut a blank out of a board, and what stands in the way.

A board is crosscut, what comes of it is ripped, and that is crosscut again; a board
that may be ripped as it is need not be crosscut before. A rip on a fence asks for an
edge at least as long as it is far, so that a short blank may be ripped on a longer
piece. A saw is asked for the thickness of the board as it was bought.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from nesting.model.blank import Blank
from nesting.model.mill import BuildKind
from nesting.model.problem import Problem
from nesting.model.shop import Saw
from nesting.model.stock import Stock
from nesting.model.terms import Form, Guide, Place, Plane
from nesting.solve.out_of_reach import Limits, limits_of_way, listed
from nesting.solve.reach import Way, first_way, ways_to_cut
from nesting.solve.slices import layers_in
from nesting.units import Ticks


def is_ripped(blank: Blank, stock: Stock) -> bool:
    """Tell whether a blank has to be ripped out of the width of its board."""
    is_narrower = blank.width < stock.width and not blank.minimum
    return is_narrower or (blank.square_edges and stock.eased > 0)


def is_plain(blank: Blank, stock: Stock, problem: Problem) -> bool:
    """Tell whether a blank is crosscut to its length, then ripped, if it has to be."""
    rough = problem.longest_rough
    ways = ways_to_cut(problem.saws, Form.BOARD, stock.thickness, rough=rough)
    if not _crosscuts(ways, stock.width):
        return False
    return not is_ripped(blank, stock) or _frees(
        blank, stock, blank.width, ways, (blank.length, blank.length)
    )


def _frees(
    blank: Blank,
    stock: Stock,
    width: Ticks,
    ways: Sequence[Way],
    lengths: tuple[Ticks, Ticks],
) -> bool:
    """Tell whether a piece, its length between two, is ripped to a width for a blank.

    Where the rounded edges of its board go, one of them goes first, or last.
    """
    edges = _edges(blank, stock, width)
    return _rips(ways, *lengths, width) and (
        not edges or any(_rips(ways, *lengths, edge) for edge in edges)
    )


def _edges(blank: Blank, stock: Stock, width: Ticks) -> tuple[Ticks, ...]:
    """Return at what distances a rounded edge may be ripped off; none if it stays."""
    if not (blank.square_edges and stock.eased):
        return ()
    return width + stock.eased, stock.width - stock.eased


def asked_resawn(problem: Problem) -> set[str]:
    """Return the blanks whose maker asked for slices."""
    return {
        take.blank.id
        for need in problem.needs
        for build in need.builds
        if build.kind is BuildKind.RESAWN
        for take in build.takes
    }


def may_be_ripped(blank: Blank, ways: Sequence[Way]) -> bool:
    """Tell whether a piece as long as a blank, or longer, is ripped to its width."""
    longest = max(blank.length, blank.width)
    return _rips(ways, blank.length, longest, blank.width)


def why_not_cut(blank: Blank, stock: Stock, problem: Problem) -> str:
    """Return why no order of cuts frees a blank from a board; nothing where one does.

    Parameters
    ----------
    blank
        One that lies on the board.
    stock
        The board.
    problem
        For its saws, and for the longest piece that is ripped.
    """
    name = f"{stock.material} {stock.section}".rstrip()
    saws, rough = problem.saws, problem.longest_rough
    ways = ways_to_cut(saws, Form.BOARD, stock.thickness, rough=rough)
    crosscut = _crosscuts(ways, stock.width)
    if not is_ripped(blank, stock) and (crosscut or not _is_shorter(blank, stock)):
        return ""
    longest = stock.length if rough is None else min(rough, stock.length)
    least = blank.length if crosscut else stock.length
    ripped = [
        width
        for width in strip_widths(blank, stock, saws)
        if least <= longest and _frees(blank, stock, width, ways, (least, longest))
    ]
    if ripped:
        if not _is_shorter(blank, stock) or _crosscuts(ways, min(ripped)):
            return ""
        beyond = _beyond(saws, stock, Plane.CROSSCUT, min(ripped), 0)
        return f"no saw of the shop crosscuts {name}, ripped to its width{beyond}"
    if not crosscut:
        beyond = _beyond(saws, stock, Plane.CROSSCUT, stock.width, 0)
        return f"no saw of the shop crosscuts {name}{beyond}"
    if rough is not None and blank.length > rough:
        return "it is longer than what is ripped in this shop (longest_rough)"
    return why_not_ripped(blank, stock, saws)


def why_not_ripped(blank: Blank, stock: Stock, saws: Sequence[Saw]) -> str:
    """Return why no saw rips a piece down to a blank's width."""
    ways = ways_to_cut(saws, Form.BOARD, stock.thickness)
    measure = blank.width
    edges = _edges(blank, stock, measure)
    if edges and _rips(ways, blank.length, blank.length, measure):
        measure = min(edges)
    beyond = _beyond(saws, stock, Plane.RIP, blank.length, measure)
    name = f"{stock.material} {stock.section}".rstrip()
    rips = [way for way in ways if way.plane is Plane.RIP]
    if rips and all(blank.width < way.smallest_measure for way in rips):
        return f"it is narrower than any saw of the shop may rip{beyond}"
    return f"no saw of the shop rips {name} down to its width{beyond}"


def why_not_resawn(blank: Blank, stock: Stock, problem: Problem) -> str:
    """Return why a blank is not resawn from a board; nothing where it can be.

    The board stands on its edge as wide as it is, or ripped before.
    """
    if blank.resawn is None:
        return ""
    saws, rough = problem.saws, problem.longest_rough
    name = f"{stock.material} {stock.section}".rstrip()
    cut = (saws, stock, Plane.RESAW, blank.length, blank.resawn)
    if layers_in(blank, stock.thickness, saws)[0] < 2:
        beyond = _beyond(*cut, blank.width)
        return f"no saw of the shop resaws {name} for it{beyond}"
    ways = ways_to_cut(saws, Form.BOARD, stock.thickness, rough=rough)
    longest = stock.length if rough is None else min(rough, stock.length)
    for width in (stock.width, *strip_widths(blank, stock, saws)):
        stands = first_way(
            ways,
            Plane.RESAW,
            max(blank.length, blank.resawn),
            blank.resawn,
            standing=width,
        )
        if stands is not None and (
            (width == stock.width and not is_ripped(blank, stock))
            or _frees(blank, stock, width, ways, (blank.length, longest))
        ):
            return ""
    before = _beyond(saws, stock, Plane.RIP, blank.length, blank.width)
    return (
        f"no saw of the shop resaws {name} as wide as it is{_beyond(*cut, stock.width)}"
        f"; nor is it ripped to its width before{before}"
    )


def strip_widths(blank: Blank, stock: Stock, saws: Sequence[Saw]) -> list[Ticks]:
    """Return the widths to which a board may be ripped for a blank.

    What may be wider than asked is as wide as may pass a fence, where that is more.
    """
    widths = {blank.width}
    if blank.minimum:
        widths.update(saw.narrowest_rip or 0 for saw in saws)
    return sorted(width for width in widths if blank.width <= width < stock.width)


def _is_shorter(blank: Blank, stock: Stock) -> bool:
    return blank.length < stock.length


def _crosscuts(ways: Sequence[Way], run: Ticks) -> bool:
    return first_way(ways, Plane.CROSSCUT, run, 0) is not None


def _rips(ways: Sequence[Way], least: Ticks, most: Ticks, width: Ticks) -> bool:
    """Tell whether some length from the least to the most is ripped to a width."""
    for way in ways:
        low = max(least, width) if way.run_covers_measure else least
        if way.plane is Plane.RIP and low <= most and way.makes(low, width):
            return True
    return False


def _beyond(
    saws: Sequence[Saw],
    stock: Stock,
    plane: Plane,
    run: Ticks,
    measure: Ticks,
    standing: Ticks = 0,
) -> str:
    """Return ``: it is beyond ...`` with the limits of every saw that cuts a plane."""
    found: Limits = {}
    home = [saw for saw in saws if saw.place is Place.SHOP] or saws
    for saw in home:
        if plane in saw.planes:
            for limit in _limits(saw, stock, plane, run, measure, standing):
                found.setdefault(saw.name, {})[limit] = None
    return f": it is beyond {listed(found)}" if found else ""


def _limits(
    saw: Saw, stock: Stock, plane: Plane, run: Ticks, measure: Ticks, standing: Ticks
) -> Iterator[str]:
    if saw.tallest is not None and max(stock.thickness, standing) > saw.tallest:
        yield "tallest"
        return
    ways = [
        way
        for way in ways_to_cut((saw,), Form.BOARD, stock.thickness)
        if way.plane is plane
    ]
    if not ways:
        is_rip = plane is Plane.RIP
        yield (
            f"rip_guide {saw.rip_guide}" if is_rip else f"crosscut_guide {Guide.FENCE}"
        )
    for way in ways:
        yield from limits_of_way(way, run, measure)
