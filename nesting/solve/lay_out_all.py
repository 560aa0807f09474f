"""All the layouts of a job: no blank of a sheet is left over, and distances are shared.

A piece that is cut further may be wider than what is cut from it; the rest beside it
pays for that. Here it is done where it makes the sheets better to cut:

- *No blank is what is left over.* The last blank of a piece has its size for nothing if
  the piece is just as wide as its blanks and the kerfs between them. Then it is too
  small or too large by all that went before it. With one kerf more it is cut to size
  like the others, between fence or stop and blade.
- *Distances coincide.* A piece cut at a distance that something else of the job is cut
  at, too, needs no setting of its own.

Neither may leave fewer rests worth keeping. What is hauled in pieces, or damaged, and
lumber stay as they are.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import TypeAlias

from nesting.errors import InfeasibleError
from nesting.model.blank import Blank
from nesting.model.plan import Cut, Layout
from nesting.model.problem import Problem
from nesting.model.result import CutStock, Result
from nesting.model.stock import Stock
from nesting.model.terms import Fate, Form, Guide, Plane
from nesting.model.tree import Leaf, Node, SheetTree, Split, Tree
from nesting.solve.layout import lay_out
from nesting.solve.needed import needed
from nesting.solve.tighten import lay_out_tight, worth
from nesting.solve.tree_paths import (
    Path,
    Resize,
    paths,
    pieces,
    resized,
    resized_all,
)
from nesting.units import Ticks

_TRIES = 6
"""So many of the next larger distances are tried for a piece."""
_ALL_TRIES = 1_500
"""And so many in a job."""
_WORTH = (9, 10)
"""Rests worth keeping may lose a tenth of their worth to distances that coincide."""

_Key: TypeAlias = tuple[str, str, Ticks]
"""Saw, guide and distance of a cut that something is set for."""


def lay_out_all(problem: Problem, result: Result) -> list[Layout]:
    """Return a layout for every piece of stock that a result cuts, numbered by form.

    Parameters
    ----------
    problem
        That was solved.
    result
        Its trees are laid out as `lay_out_tight` does, and then as is told above.

    Raises
    ------
    InfeasibleError
        Where no saw makes a cut that a tree needs.
    """
    stock = {each.id: each for each in problem.stock}
    blanks = problem.blanks
    drafts: dict[CutStock, _Draft] = {}
    names: list[tuple[_Draft, str]] = []
    count = {Form.SHEET: 0, Form.STICK: 0, Form.BOARD: 0}
    for cut in result.trees:
        own = stock[cut.stock]
        count[own.form] += 1
        name = f"{own.form}-{count[own.form]}"
        if cut not in drafts:
            drafts[cut] = _draft(problem, cut, own, blanks, name)
        draft = drafts[cut]
        draft.copies += 1
        names.append((draft, name))
    for draft in drafts.values():
        _leave_none_over(draft)
    _share_distances([*drafts.values()])
    return [
        draft.layout if draft.layout.id == name else draft.lay(draft.tree, layout=name)
        for draft, name in names
    ]


@dataclass(slots=True)
class _Draft:
    """A piece of stock as it is to be cut, once or more often."""

    tree: SheetTree
    layout: Layout
    lay: Callable[..., Layout]
    """Lays a tree out, given the id of the layout."""
    needs: Callable[[Tree, Plane], Ticks]
    """What a tree needs along the axis that a plane divides."""
    usable: tuple[tuple[Plane, Ticks], ...]
    """The size of the stock between its trims, by what divides it."""
    kerf: Ticks
    copies: int = 0

    @property
    def may_change(self) -> bool:
        """Whether its pieces may become wider."""
        is_sheet = self.layout.form == Form.SHEET
        return is_sheet and not isinstance(self.tree, Leaf | Split)

    def with_tree(self, tree: SheetTree) -> _Draft | None:
        """Return it with another tree, or None where that cannot be cut."""
        assert not isinstance(tree, Split)
        if any(self.needs(tree, plane) > size for plane, size in self.usable):
            return None
        try:
            layout = self.lay(tree, layout=self.layout.id)
        except InfeasibleError:
            return None
        return replace(self, tree=tree, layout=layout)


def _draft(
    problem: Problem,
    cut: CutStock,
    stock: Stock,
    blanks: Mapping[str, Blank],
    name: str,
) -> _Draft:
    saws = [saw for saw in problem.saws if not cut.saws or saw.name in cut.saws]
    kerf = max(saw.kerf for saw in saws)
    lay = partial(
        lay_out,
        stock=stock,
        saws=saws,
        blanks=blanks,
        offcuts=problem.offcuts,
        rough=problem.longest_rough,
    )
    tree, layout = lay_out_tight(
        cut.tree, partial(lay, layout=name), blanks=blanks, kerf=kerf
    )
    return _Draft(
        tree=tree,
        layout=layout,
        lay=lay,
        needs=partial(needed, blanks=blanks, kerf=kerf),
        usable=(
            (Plane.CROSSCUT, stock.usable_length),
            (Plane.RIP, stock.usable_width),
        ),
        kerf=kerf,
    )


# --- no blank is left over --------------------------------------------------------


def left_over(layout: Layout) -> int:
    """Count the sides of blanks whose size no cut was set to: what was left had it.

    A side that the stock has as it comes is not counted.
    """
    over: dict[str, frozenset[str]] = {layout.id: frozenset()}
    for cut in layout.cuts:
        measured = 0 if cut.from_ == "low" else len(cut.makes) - 1
        for number, piece in enumerate(cut.makes):
            own = over[cut.piece] - {cut.plane}
            over[piece] = own if number == measured else own | {cut.plane}
    return sum(
        len(over[piece.id]) for piece in layout.pieces if piece.fate == Fate.PART
    )


def _leave_none_over(draft: _Draft) -> None:
    """Make pieces a kerf wider where that is how their last blank is cut to size."""
    least = left_over(draft.layout) if draft.may_change else 0
    if not least:
        return
    roomy = _roomy(draft)
    for path in ((), *paths(draft.tree)):
        if path:
            tree = _held(resized(draft.tree, path, roomy), draft)
        else:
            tree = resized_all(draft.tree, roomy)
        found = draft.with_tree(tree) if tree != draft.tree else None
        if found is None or _kept(found) < _kept(draft):
            continue
        over = left_over(found.layout)
        if over < least:
            draft.tree, draft.layout, least = found.tree, found.layout, over
        if least == 0:
            return


def _roomy(draft: _Draft) -> Resize:
    """Return what gives a piece a kerf after each of what it is cut into."""

    def size(node: Node, number: int) -> Ticks:
        child = node.children[number]
        least = max(node.sizes[number], draft.needs(child, node.plane))
        if isinstance(child, Leaf) or node.ordered:
            return least
        roomy = (
            draft.needs(each, node.plane) + draft.kerf
            for each in child.children
            if not isinstance(each, Leaf)
        )
        return max([least, *roomy])

    return size


def _held(tree: SheetTree, draft: _Draft) -> SheetTree:
    """Return a tree with every piece as large as what it is cut into needs."""

    def size(node: Node, number: int) -> Ticks:
        return max(node.sizes[number], draft.needs(node.children[number], node.plane))

    return resized_all(tree, size)


def _kept(draft: _Draft) -> int:
    return sum(piece.fate == Fate.OFFCUT for piece in draft.layout.pieces)


# --- distances coincide -------------------------------------------------------------


def _share_distances(drafts: Sequence[_Draft]) -> None:
    """Cut pieces at distances that are set for others, where there is room."""
    uses: Counter[_Key] = Counter()
    for draft in drafts:
        uses.update(_uses(draft))
    tries = _ALL_TRIES
    for draft in drafts:
        if not draft.may_change:
            continue
        least_worth = worth(draft.layout) * _WORTH[0]
        own = _uses(draft)
        for key in sorted(own):
            if uses[key] > own[key] or tries <= 0:
                continue
            places = [*_cut_at(draft, key)]
            for distance in _larger(uses, key) if places else ():
                tries -= 1
                found = _moved(draft, places, distance - key[2])
                if found is None or _WORTH[1] * worth(found.layout) < least_worth:
                    continue
                after = uses - own + _uses(found)
                if len(after) < len(uses) and _is_no_worse(found, draft):
                    draft.tree, draft.layout = found.tree, found.layout
                    uses, own = after, _uses(found)
                    break


def _uses(draft: _Draft) -> Counter[_Key]:
    """Count the cuts at each distance that is set, in all copies."""
    keys = (_key(cut) for cut in draft.layout.cuts)
    count = Counter(key for key in keys if key is not None)
    return Counter({key: n * draft.copies for key, n in count.items()})


def _key(cut: Cut) -> _Key | None:
    if cut.measure is None or cut.guide == Guide.LINE:
        return None
    return cut.saw, cut.guide, cut.measure


def _cut_at(draft: _Draft, key: _Key) -> Iterator[Path]:
    """Yield the places of the pieces of a size that are cut further."""
    planes = {cut.plane for cut in draft.layout.cuts if _key(cut) == key}
    for path, node, number in pieces(draft.tree):
        if (
            node.plane in planes
            and node.sizes[number] == key[2]
            and not node.ordered
            and not isinstance(node.children[number], Leaf)
        ):
            yield path


def _larger(uses: Counter[_Key], key: _Key) -> list[Ticks]:
    """Return the next larger distances that the same saw is set to."""
    same = (each[2] for each in uses if each[:2] == key[:2])
    return sorted(each for each in same if each > key[2])[:_TRIES]


def _moved(draft: _Draft, places: Sequence[Path], more: Ticks) -> _Draft | None:
    tree = draft.tree
    for path in places:
        tree = resized(tree, path, lambda node, number: node.sizes[number] + more)
    return draft.with_tree(_held(tree, draft))


def _is_no_worse(found: _Draft, draft: _Draft) -> bool:
    return (
        len(found.layout.cuts) <= len(draft.layout.cuts)  # no level more
        and left_over(found.layout) <= left_over(draft.layout)
        and _kept(found) >= _kept(draft)
    )
