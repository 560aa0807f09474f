"""Which lumber is cut as boards and which as sticks, before anything is solved.

Sections of a material that share a blank belong together. They are *boards* where the
shop can rip and something is gained by it: a blank may come from several of them, two
may lie side by side in one, a blank may be resawn, or pith is ripped out. All other
lumber is *sticks*: it is only crosscut, and a narrower blank is ripped down to width
afterwards.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace

from nesting.model.blank import Blank, Need
from nesting.model.problem import Problem
from nesting.model.shop import Saw
from nesting.model.stock import Stock, lost_to_crook
from nesting.model.terms import Form, Plane, ZoneKind
from nesting.solve.families import Key, families, keys_of
from nesting.solve.lumber_reach import (
    asked_resawn,
    is_plain,
    may_be_ripped,
    why_not_cut,
    why_not_resawn,
)
from nesting.solve.reach import first_way, ways_to_cut
from nesting.solve.slices import layers_in
from nesting.units import Ticks


@dataclass(frozen=True, slots=True)
class _Size:
    """The dressed size of a section."""

    thickness: Ticks
    width: Ticks
    eased: Ticks = 0
    crook: Ticks = 0
    has_pith: bool = False

    def room_for(self, blank: Blank) -> Ticks:
        """Return the width a blank may have, its edges and its crook minded."""
        eased = 2 * self.eased if blank.square_edges else 0
        if blank.width == self.width:
            return self.width - eased
        return self.width - eased - lost_to_crook(self.crook, blank.length)


Sizes = Mapping[Key, _Size]


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
    asked = asked_resawn(problem)
    blanks = {
        name: _fit(blank, sizes, problem, asked)
        for name, blank in problem.blanks.items()
    }
    boards = {
        key
        for family in set(families(blanks.values()).values())
        if _pays(family, list(blanks.values()), sizes, problem, asked)
        for key in family
    }
    for name, blank in blanks.items():
        if not boards.intersection(keys_of(blank)):
            blanks[name] = _choice(blank, blank.sections[:1])
    return replace(
        problem,
        needs=tuple(_with_blanks(need, blanks) for need in problem.needs),
        stock=tuple(_formed(each, boards, sizes) for each in problem.stock),
    )


def _sizes(stock: Sequence[Stock]) -> Sizes:
    """Return the size of each section: that of its widest and thickest piece."""
    found: dict[Key, _Size] = {}
    for each in stock:
        if each.form is not Form.SHEET:
            key = (each.material, each.section)
            known = found.get(key, _Size(0, 0))
            found[key] = _Size(
                max(known.thickness, each.thickness),
                max(known.width, each.width),
                max(known.eased, each.eased),
                max(known.crook, each.crook),
                known.has_pith or any(z.kind is ZoneKind.PITH for z in each.zones),
            )
    return found


def _formed(stock: Stock, boards: set[Key], sizes: Sizes) -> Stock:
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
    """Return a need with other blanks of the same ids."""
    return replace(
        need,
        builds=tuple(
            replace(
                build,
                takes=tuple(
                    replace(take, blank=blanks[take.blank.id]) for take in build.takes
                ),
            )
            for build in need.builds
        ),
    )


def _fit(blank: Blank, sizes: Sizes, problem: Problem, asked: Collection[str]) -> Blank:
    """Return a blank with those of its sections that it can be cut from."""
    if not blank.sections:
        return blank
    stocked = [s for s in blank.sections if (blank.material, s) in sizes]
    least = min((sizes[blank.material, s].thickness for s in stocked), default=0)
    able = [
        section
        for section in stocked
        if _does(blank, sizes[blank.material, section], least, problem.saws)
        and _is_freed(blank, (blank.material, section), problem, asked)
    ]
    if able:
        return _choice(blank, able)
    whole = [
        s for s in stocked if _is_freed(blank, (blank.material, s), problem, asked)
    ]
    return _choice(blank, whole[:1] or stocked[:1] or blank.sections[:1])


def _choice(blank: Blank, sections: Sequence[str]) -> Blank:
    """Return a blank that may come from these sections; none leaves it as it is."""
    if not sections:
        return blank
    if len(sections) == 1:
        return replace(blank, section=sections[0], sections=())
    return replace(blank, section="", sections=tuple(sections))


def _is_freed(blank: Blank, key: Key, problem: Problem, asked: Collection[str]) -> bool:
    """Tell whether some stock of a section gives a blank by some order of cuts."""
    return any(
        not why_not_cut(blank, stock, problem)
        and not (blank.id in asked and why_not_resawn(blank, stock, problem))
        for stock in _of(key, problem)
    )


def _is_awkward(
    blank: Blank, key: Key, problem: Problem, asked: Collection[str]
) -> bool:
    """Tell whether a blank is cut, but not just crosscut and ripped."""
    return _is_freed(blank, key, problem, asked) and (
        blank.id in asked
        or any(not is_plain(blank, stock, problem) for stock in _of(key, problem))
    )


def _of(key: Key, problem: Problem) -> list[Stock]:
    return [s for s in problem.stock if (s.material, s.section) == key]


def _does(blank: Blank, size: _Size, least: Ticks, saws: Sequence[Saw]) -> bool:
    """Tell whether a blank comes out of a section in a way that makes sense.

    Wood is not planed away where a thinner section is sold, nor resawn for one slice.
    """
    is_thick = size.thickness > least
    if is_thick and layers_in(blank, size.thickness, saws)[0] < 2:
        return False
    if size.thickness > blank.thickness and not blank.minimum:
        return False
    if blank.width > size.room_for(blank):
        return False
    return size.width == blank.width or may_be_ripped(
        blank, ways_to_cut(saws, Form.BOARD, size.thickness)
    )


def _is_ripped(blank: Blank, size: _Size, saws: Sequence[Saw]) -> bool:
    ways = ways_to_cut(saws, Form.BOARD, size.thickness)
    return first_way(ways, Plane.RIP, blank.length, blank.width) is not None


def _pays(
    family: frozenset[Key],
    blanks: Sequence[Blank],
    sizes: Sizes,
    problem: Problem,
    asked: Collection[str],
) -> bool:
    """Tell whether something is gained by cutting a family of sections as boards.

    What has to be ripped before it is crosscut is.
    """
    saws = problem.saws
    own = [b for b in blanks if any(key in family for key in keys_of(b))]
    if any(_is_awkward(b, key, problem, asked) for b in own for key in keys_of(b)):
        return True
    for key in family & sizes.keys():
        size = sizes[key]
        ways = ways_to_cut(saws, Form.BOARD, size.thickness)
        if not {Plane.CROSSCUT, Plane.RIP} <= {way.plane for way in ways}:
            continue
        here = [blank for blank in own if key in keys_of(blank)]
        rippable = [blank for blank in here if _is_ripped(blank, size, saws)]
        if rippable and (len(family) > 1 or size.has_pith):
            return True
        kerf = min(way.kerf for way in ways if way.plane is Plane.RIP)
        narrow = min((blank.width for blank in rippable), default=size.width)
        if 2 * narrow + kerf <= size.width:
            return True
        if any(layers_in(b, size.thickness, saws)[0] > 1 for b in here):
            return True
    return False
