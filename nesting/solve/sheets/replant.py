"""From cutting trees, in real sizes, to a forest of the search: `plant` the other way.

What the trees leave out is put back: the rests, and the cuts that bring a blank to size
in a piece that is larger. The rules of `cuts` can then be asked of every cut.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from nesting.model.tree import Leaf, Tree
from nesting.solve.kernel import Ints
from nesting.solve.sheets.cuts import KERF_X, KERF_Y, SAWS, STAGES, made, may_carve
from nesting.solve.sheets.forest import (
    AXIS,
    DEPTH,
    FIRST,
    IS_PART,
    IS_REST,
    NEXT,
    NONE,
    OUT,
    OUT_AREA,
    PARENT,
    PART,
    PLACE,
    REST,
    RESTS,
    ROOTS,
    STATE,
    STOCK,
    USED,
    Forest,
    X,
    Y,
    add_child,
    list_rest,
    open_sheet,
    split,
    unlist_rest,
)
from nesting.solve.sheets.instance import AXIS_OF, Instance, empty_forest


def forest_of(sheets: Sequence[tuple[str, Tree]], instance: Instance) -> Forest:
    """Plant sheets in a forest; what they do not hold is out.

    Parameters
    ----------
    sheets
        (stock id, tree over its usable area), such as `trees_of` gives.
    instance
        Whose kerfs the trees were made with.

    Returns
    -------
    Forest
        As lists, with room for the search. Whether the saws reach every cut, and
        whether there are too many levels, is for `keeps_rules` to say.

    Raises
    ------
    ValueError
        Where a tree does not fit its sheet, or there are more parts or sheets than the
        problem has.
    """
    planter = _Planter(instance)
    for name, tree in sheets:
        planter.sheet(name, tree)
    planter.finish()
    return planter.forest


def keeps_rules(forest: Forest, instance: Instance) -> bool:
    """Tell whether every sheet of a forest could have been cut by the search.

    Parameters
    ----------
    forest
        As lists or arrays.
    instance
        With the stage limit and the ways to ask about.
    """
    nodes, _, roots, _, tally = forest
    return all(
        _may_be(nodes, instance, int(root), NONE) for root in roots[: int(tally[ROOTS])]
    )


def _may_be(nodes: Ints, instance: Instance, v: int, above: int) -> bool:
    """Tell whether a piece, divided from one along an axis, keeps the rules."""
    rules = instance.rules
    if nodes[v + STATE] == IS_REST:
        return True
    if nodes[v + DEPTH] > rules[0][STAGES]:
        return False
    size = _extents(nodes, v)
    stock = int(nodes[v + STOCK])
    if rules[0][SAWS]:
        if above != NONE and not made(
            rules, stock, above, size[above], size[1 - above]
        ):
            return False
        whole = size if above == NONE else _extents(nodes, int(nodes[v + PARENT]))
        if nodes[v + STATE] == IS_PART and not all(
            axis == above
            or _has_size(instance, stock, axis, size[axis])
            or _is_trimmed(instance, stock, axis, size, whole[1 - axis])
            for axis in (0, 1)
        ):
            return False
    if nodes[v + STATE] == IS_PART:
        return True
    axis = int(nodes[v + AXIS])
    return all(_may_be(nodes, instance, u, axis) for u in _children(nodes, v))


def _has_size(instance: Instance, stock: int, axis: int, size: int) -> bool:
    """Tell whether an undivided extent needs no cut: no trimmed edge bounds it."""
    full = instance.stocks[0][2 * stock + axis]
    return size < full or instance.rules[1][4 * stock + 2 * axis + 1] == 0


def _is_trimmed(
    instance: Instance, stock: int, axis: int, size: tuple[int, int], longest: int
) -> bool:
    """Tell whether a saw brings a part to size along an axis, on itself or before.

    Before: while it is still one with what lies beside it, `longest` at the most. The
    shortest run that covers the measure is the one that most saws reach.
    """
    rule, trims, _ = instance.rules
    measure = size[axis] - rule[KERF_X + axis] + trims[4 * stock + 2 * axis]
    run = max(size[1 - axis], min(measure + rule[KERF_Y - axis], longest))
    return bool(made(instance.rules, stock, axis, size[axis], run))


def _extents(nodes: Ints, v: int) -> tuple[int, int]:
    return int(nodes[v + X]), int(nodes[v + Y])


def _children(nodes: Ints, v: int) -> Iterator[int]:
    u = int(nodes[v + FIRST])
    while u != NONE:
        yield u
        u = int(nodes[u + NEXT])


# --- planting ------------------------------------------------------------------------


class _Planter:
    """A forest under way, and the parts that are still to come."""

    def __init__(self, instance: Instance) -> None:
        problem = instance.problem
        self.instance = instance
        self.forest = empty_forest(instance.count, len(problem.stock))
        self.left = [part.quantity for part in problem.parts]
        self._stocks = {each.id: number for number, each in enumerate(problem.stock)}
        self._kinds = {part.id: kind for kind, part in enumerate(problem.parts)}

    def sheet(self, name: str, tree: Tree) -> None:
        """Open a sheet and plant a tree on it."""
        stock = self._stocks[name]
        if self.forest[4][USED + stock] >= self.instance.stocks[2][stock]:
            raise ValueError(f"there are not so many sheets of {name}")
        v = open_sheet(self.forest, self.instance.stocks, stock)
        unlist_rest(self.forest[0], self.forest[1], self.forest[4], v)
        self._piece(v, tree)

    def finish(self) -> None:
        """Note what no tree holds."""
        if any(count < 0 for count in self.left):
            raise ValueError("the trees hold more parts than are wanted")
        _, _, _, out, tally = self.forest
        still = [kind for kind, count in enumerate(self.left) for _ in range(count)]
        out[: len(still)] = still
        tally[OUT] = len(still)
        tally[OUT_AREA] = sum(self.instance.kinds[1][kind] for kind in still)

    def _piece(self, v: int, tree: Tree) -> None:
        """Make a piece without a state what a tree says."""
        if isinstance(tree, Leaf):
            kind = self._kinds[tree.blank]
            self.left[kind] -= 1
            self._part(v, 2 * kind + tree.turned)
            return
        axis = AXIS_OF[tree.plane]
        if self._axis_above(v) == axis:
            raise ValueError("a piece is cut along one axis twice")
        kerf = self.instance.rules[0][KERF_X + axis]
        rest, pieces = v, []
        for size in tree.sizes:
            if rest == NONE:
                raise ValueError("the children are larger than their piece")
            piece, rest = self._cut_off(rest, axis, size + kerf)
            pieces.append(piece)
        for piece, child in zip(pieces, tree.children, strict=True):
            self._piece(piece, child)

    def _part(self, v: int, one: int) -> None:
        """Cut a part (kind * 2 + turned) from a piece; the larger rest stays whole."""
        nodes = self.forest[0]
        wanted = self.instance.kinds[0][2 * one : 2 * one + 2]
        above = self._axis_above(v)
        gap = [nodes[v + X + axis] - wanted[axis] for axis in (0, 1)]
        if above == NONE:
            first = 0 if gap[0] * nodes[v + Y] >= gap[1] * nodes[v + X] else 1
            if not self._may_begin(v, one, first):
                first = 1 - first
        else:
            first = 1 - above
            if gap[first] == 0 and gap[above] > 0:
                self._give_back(v, above, gap[above])
        for axis in (first, 1 - first):
            v, _ = self._cut_off(v, axis, wanted[axis])
        nodes[v + STATE] = IS_PART
        nodes[v + PART] = one

    def _may_begin(self, v: int, one: int, axis: int) -> bool:
        given = (self.instance.kinds, self.instance.stocks, self.instance.rules)
        return may_carve(self.forest, *given, *divmod(one, 2), v, axis)

    def _axis_above(self, v: int) -> int:
        nodes = self.forest[0]
        parent = nodes[v + PARENT]
        return NONE if parent == NONE else nodes[parent + AXIS]

    def _cut_off(self, v: int, axis: int, size: int) -> tuple[int, int]:
        """Cut from a piece or rest; return the new piece and the rest, or NONE."""
        nodes, rests, _, _, tally = self.forest
        if size <= 0 or size > nodes[v + X + axis]:
            raise ValueError("a piece is larger than what it is cut from")
        if nodes[v + STATE] == IS_REST and self._is_listed(v):
            unlist_rest(nodes, rests, tally, v)
            parent = nodes[v + PARENT]
            if parent != NONE:
                nodes[parent + REST] = NONE
        if nodes[v + X + axis] == size:
            return v, NONE
        piece = split(self.forest, v, axis, size)
        return piece, nodes[nodes[piece + PARENT] + REST]

    def _is_listed(self, v: int) -> bool:
        _, rests, _, _, tally = self.forest
        place = self.forest[0][v + PLACE]
        return place < tally[RESTS] and rests[place] == v

    def _give_back(self, v: int, axis: int, gap: int) -> None:
        """Make a piece shorter along the axis its parent divides."""
        nodes, rests, _, _, tally = self.forest
        parent = nodes[v + PARENT]
        rest = nodes[parent + REST]
        nodes[v + X + axis] -= gap
        if rest == NONE:
            rest = add_child(nodes, tally, parent, axis, gap)
            nodes[parent + REST] = rest
            list_rest(nodes, rests, tally, rest)
        else:
            nodes[rest + X + axis] += gap
            rests[nodes[rest + PLACE] + 1 + axis] += gap
