"""Which lumber is cut as boards and which as sticks, before anything is solved.

Sections of a material that share a blank belong together. They are *boards* where the
shop can rip and something is gained by it: a blank may come from several of them, two
may lie side by side in one, or a blank may be resawn. All other lumber is *sticks*: it
is only crosscut, and a narrower blank is ripped down to width afterwards.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from nesting.model.blank import Blank, Build, Need, Take
from nesting.model.problem import Problem
from nesting.model.shop import Saw
from nesting.model.stock import Stock
from nesting.model.terms import Form, Plane
from nesting.solve.families import families, keys_of
from nesting.solve.reach import first_way, ways_to_cut
from nesting.solve.slices import layers_in
from nesting.units import Ticks


@dataclass(frozen=True, slots=True)
class _Size:
    """The dressed size of a section."""

    thickness: Ticks
    width: Ticks


Sizes = Mapping[tuple[str, str], _Size]


def settle_forms(problem: Problem) -> Problem:
    """Say of all lumber whether it is boards or sticks, and narrow the blanks' choice.

    Parameters
    ----------
    problem
        Lumber may be of either form; a blank may name sections that do not do.

    Returns
    -------
    Problem
        Each blank names only sections it can be cut from with these saws, one where it
        is cut from sticks; where none does, the first it named.
    """
    sizes = _sizes(problem.stock)
    needs = [_narrowed(need, sizes, problem.saws) for need in problem.needs]
    blanks = _blanks(needs)
    boards = {
        family
        for family in set(families(blanks).values())
        if _pays(family, blanks, sizes, problem.saws)
    }
    members = {section for family in boards for section in family}
    return replace(
        problem,
        needs=tuple(_settled(need, members, sizes) for need in needs),
        stock=tuple(_formed(each, members, sizes) for each in problem.stock),
    )


def _sizes(stock: Sequence[Stock]) -> Sizes:
    """Return the size of each section: that of its widest and thickest piece."""
    found: dict[tuple[str, str], _Size] = {}
    for each in stock:
        if each.form is not Form.SHEET:
            key = (each.material, each.section)
            known = found.get(key, _Size(0, 0))
            found[key] = _Size(
                max(known.thickness, each.thickness), max(known.width, each.width)
            )
    return found


def _blanks(needs: Sequence[Need]) -> list[Blank]:
    return [
        take.blank for need in needs for build in need.builds for take in build.takes
    ]


def _formed(stock: Stock, boards: set[tuple[str, str]], sizes: Sizes) -> Stock:
    """Return stock in its form; what has been resawn, and a narrow stick, is not used.

    A rest that was ripped is a board like any other, only narrower.
    """
    if stock.form is Form.SHEET:
        return stock
    key = (stock.material, stock.section)
    size, is_board = sizes[key], key in boards
    is_whole = stock.thickness == size.thickness and (
        is_board or stock.width == size.width
    )
    return replace(
        stock,
        form=Form.BOARD if is_board else Form.STICK,
        limit=stock.limit if is_whole else 0,
    )


def _with_blanks(need: Need, blanks: Mapping[str, Blank]) -> Need:
    return replace(
        need,
        builds=tuple(
            Build(
                id=build.id,
                takes=tuple(
                    Take(blank=blanks[take.blank.id], count=take.count)
                    for take in build.takes
                ),
            )
            for build in need.builds
        ),
    )


def _narrowed(need: Need, sizes: Sizes, saws: Sequence[Saw]) -> Need:
    blanks = {blank.id: _fit(blank, sizes, saws) for blank in _blanks([need])}
    return _with_blanks(need, blanks)


def _fit(blank: Blank, sizes: Sizes, saws: Sequence[Saw]) -> Blank:
    """Return a blank with those of its sections that it can be cut from."""
    if not blank.sections:
        return blank
    stocked = [s for s in blank.sections if (blank.material, s) in sizes]
    least = min((sizes[blank.material, s].thickness for s in stocked), default=0)
    able = [s for s in stocked if _does(blank, sizes[blank.material, s], least, saws)]
    return _choice(blank, able or stocked[:1] or blank.sections[:1])


def _choice(blank: Blank, sections: Sequence[str]) -> Blank:
    if len(sections) == 1:
        return replace(blank, section=sections[0], sections=())
    return replace(blank, section="", sections=tuple(sections))


def _does(blank: Blank, size: _Size, least: Ticks, saws: Sequence[Saw]) -> bool:
    """Tell whether a blank comes out of a section in a way that makes sense.

    Wood is not planed away where a thinner section is sold, nor resawn for one slice.
    """
    is_thick = size.thickness > least
    if is_thick and layers_in(blank, size.thickness, saws)[0] < 2:
        return False
    if size.thickness > blank.thickness and not blank.minimum:
        return False
    return size.width == blank.width or _is_ripped(blank, size, saws)


def _is_ripped(blank: Blank, size: _Size, saws: Sequence[Saw]) -> bool:
    ways = ways_to_cut(saws, Form.BOARD, size.thickness)
    return first_way(ways, Plane.RIP, blank.length, blank.width) is not None


def _pays(
    family: frozenset[tuple[str, str]],
    blanks: Sequence[Blank],
    sizes: Sizes,
    saws: Sequence[Saw],
) -> bool:
    """Tell whether something is gained by cutting a family of sections as boards."""
    own = [b for b in blanks if any(key in family for key in keys_of(b))]
    for key in family & sizes.keys():
        size = sizes[key]
        ways = ways_to_cut(saws, Form.BOARD, size.thickness)
        if not {Plane.CROSSCUT, Plane.RIP} <= {way.plane for way in ways}:
            continue
        here = [blank for blank in own if key in keys_of(blank)]
        rippable = [blank for blank in here if _is_ripped(blank, size, saws)]
        if len(family) > 1 and rippable:
            return True
        kerf = min(way.kerf for way in ways if way.plane is Plane.RIP)
        narrow = min((blank.width for blank in rippable), default=size.width)
        if 2 * narrow + kerf <= size.width:
            return True
        if any(layers_in(b, size.thickness, saws)[0] > 1 for b in here):
            return True
    return False


def _settled(need: Need, boards: set[tuple[str, str]], sizes: Sizes) -> Need:
    """Return a need whose blanks name one section where it is cut from sticks."""
    blanks = {}
    for blank in _blanks([need]):
        blanks[blank.id] = blank
        if blank.sections and not boards.intersection(keys_of(blank)):
            least = min(
                blank.sections,
                key=lambda s: (
                    sizes[blank.material, s].thickness,
                    sizes[blank.material, s].width,
                    s,
                ),
            )
            blanks[blank.id] = _choice(blank, [least])
    return _with_blanks(need, blanks)
