"""Small board jobs to draw, all ways to share their parts out, and a check of trees."""

from __future__ import annotations

from collections import Counter
from functools import cache
from itertools import product

from hypothesis import strategies as st

from nesting.model.terms import Plane
from nesting.model.tree import Leaf
from nesting.solve.boards.problem import BoardPart, BoardProblem, BoardStock

KERFS = st.sampled_from([(0, 0, 0, 0), (1, 1, 1, 1), (2, 1, 1, 1), (1, 2, 1, 0)])
"""Along x and y, and the narrowest."""


def part(name, length, width, **other):
    given = {"quantity": 1, "thickness": 6, "layers": {"s": 1}, **other}
    given.setdefault("most_layers", given["layers"])
    return BoardPart(id=name, length=length, width=width, **given)


def stock(name, length, width, cost, limit=None, section="s", eased=0):
    return BoardStock(
        id=name,
        section=section,
        length=length,
        width=width,
        cost=cost,
        limit=limit,
        eased=eased,
    )


def job(parts, boards, *, kerfs=(1, 1), least=None, **other):
    least = kerfs if least is None else least
    return BoardProblem(
        parts=tuple(parts),
        stock=tuple(boards),
        kerf_x=kerfs[0],
        kerf_y=kerfs[1],
        least_kerf_x=least[0],
        least_kerf_y=least[1],
        **other,
    )


@st.composite
def jobs(draw, most=5, *, saws=True, edges=False):
    """Draw a job of at most so many parts, of several saws or of one.

    With `edges`, boards have rounded ones and some parts are to have none.
    """
    parts, left = [], draw(st.integers(1, most))
    while left:
        quantity = draw(st.integers(1, min(left, 3)))
        left -= quantity
        layers = {
            "s": draw(st.sampled_from([1, 1, 2, 3])),
            "t": draw(st.sampled_from([0, 1, 2])),
        }
        most_layers = layers
        if saws and draw(st.integers(0, 3)) == 0:
            most_layers = {
                name: n + draw(st.integers(0, 1)) if n else 0
                for name, n in layers.items()
            }
        thin = max(layers.values()) > 1
        parts.append(
            part(
                f"p{len(parts)}",
                draw(st.integers(1, 9)),
                draw(st.integers(1, 5)),
                quantity=quantity,
                thickness=draw(st.integers(1, 2)) if thin else 6,
                layers=layers,
                most_layers=most_layers,
                may_stay_thick=draw(st.booleans()),
                square=edges and draw(st.booleans()),
            )
        )
    boards = [
        stock(
            f"b{i}",
            draw(st.integers(6, 24)),
            draw(st.integers(4, 9)),
            draw(st.integers(0, 30)),
            draw(st.sampled_from([None, None, None, 0, 1, 2])),
            draw(st.sampled_from("sst")),
            draw(st.integers(0, 2)) if edges else 0,
        )
        for i in range(draw(st.integers(1, 4)))
    ]
    kerf = draw(st.integers(0, 2))
    x, y, least_x, least_y = draw(KERFS) if saws else (kerf,) * 4
    return job(
        parts,
        boards,
        kerfs=(x, y),
        least=(least_x, least_y),
        longest_rough=draw(st.sampled_from([None, 5, 9])),
        narrowest_rip=draw(st.sampled_from([0, 0, 2, 3])),
    )


def shares(things):
    """Yield every way to part things into heaps."""
    if not things:
        yield ()
        return
    head, *rest = things
    for heaps in shares(rest):
        yield ((head,), *heaps)
        for i, heap in enumerate(heaps):
            yield (*heaps[:i], (head, *heap), *heaps[i + 1 :])


def least(problem, *, narrow=False):
    """Return the least cost of a plan of everything; None if there is none."""
    kx = problem.least_kerf_x if narrow else problem.kerf_x
    ky = problem.least_kerf_y if narrow else problem.kerf_y
    copies = [part for part in problem.parts for _ in range(part.quantity)]

    def layers(i, section):
        part = copies[i]
        named = part.most_layers if narrow else part.layers
        return named.get(section, 0)

    def row(heap):
        return sum(copies[i].length for i in heap) + kx * (len(heap) - 1)

    @cache
    def strip(heap, section):
        """Return the least length of a strip of these, or None."""
        slices = [layers(i, section) for i in heap]
        if not all(slices):
            return None
        found = []
        if all(
            n == 1 or copies[i].may_stay_thick
            for i, n in zip(heap, slices, strict=True)
        ):
            found.append(row(heap))
        alike = len({copies[i].thickness for i in heap}) == 1 == len(set(slices))
        if alike and slices[0] > 1:
            for where in product(range(slices[0]), repeat=len(heap)):
                rows = [
                    tuple(i for i, at in zip(heap, where, strict=True) if at == n)
                    for n in range(slices[0])
                ]
                found.append(max(row(each) for each in rows if each))
        return min(found, default=None)

    @cache
    def section(heap, name, width, eased):
        """Return the least length of a section of these, or None."""
        found = []
        for strips in shares(heap):
            lengths = [strip(each, name) for each in strips]
            if None in lengths:
                continue
            wides = [max(copies[i].width for i in each) for each in strips]
            rough = problem.longest_rough
            square = sum(any(copies[i].square for i in each) for each in strips)
            lost = lost_at_edges(eased, square, len(strips) - square)
            if len(strips) == 1 and wides[0] <= width and not lost:
                thin = min(copies[i].width for i in strips[0])
                if rough is None or lengths[0] <= rough or thin == width:
                    found.append(lengths[0])
                continue
            wides = [max(wide, problem.narrowest_rip) for wide in wides]
            if sum(wides) + ky * (len(wides) - 1) > width - lost:
                continue
            if rough is None or max(lengths) <= rough:
                found.append(max(lengths))
        return min(found, default=None)

    @cache
    def board(heap, name, width, eased):
        """Return the least length of a board of these, or None."""
        found = []
        for sections in shares(heap):
            lengths = [section(each, name, width, eased) for each in sections]
            if None not in lengths:
                found.append(sum(lengths) + kx * (len(lengths) - 1))
        return min(found, default=None)

    @cache
    def cheapest(heaps, used):
        """Return the least cost of boards for some heaps."""
        if not heaps:
            return 0
        found = []
        for k, stock in enumerate(problem.stock):
            if stock.limit is not None and used[k] == stock.limit:
                continue
            long = board(heaps[0], stock.section, stock.width, stock.eased)
            if long is None or long > stock.length:
                continue
            more = (*used[:k], used[k] + 1, *used[k + 1 :])
            rest = cheapest(heaps[1:], more)
            if rest is not None:
                found.append(stock.cost + rest)
        return min(found, default=None)

    start = (0,) * len(problem.stock)
    found = [cheapest(heaps, start) for heaps in shares(tuple(range(len(copies))))]
    return min((each for each in found if each is not None), default=None)


def lost_at_edges(eased, square, plain):
    """Return what strips lose at the two outer edges, of which each may be plain."""
    edges = ["plain"] * plain + ["square"] * square
    sides = [edges[:1], edges[1:2] or edges[:1]]
    return eased * sum(side == ["square"] for side in sides)


def over_sets(problem):
    """Return the least cost of single parts that are not resawn, boards without limit.

    Plain programs over all sets of parts; good for nine of them or so.
    """
    parts = problem.parts
    kx, ky = problem.kerf_x, problem.kerf_y
    everything = (1 << len(parts)) - 1
    sets = range(1, everything + 1)
    long, wide = {0: 0}, {0: 0}
    for one in sets:
        held = [part for i, part in enumerate(parts) if one >> i & 1]
        long[one] = sum(part.length + kx for part in held)
        wide[one] = max(part.width for part in held)

    def within(one):
        part = one
        while part:
            if part & one & -one:  # with the lowest of the set
                yield part
            part = part - 1 & one

    cheapest = {0: 0}
    fits = {}
    for width in {stock.width for stock in problem.stock}:
        full = width + ky
        # Of what is left of the width, by the length of the section.
        section = {}
        for most in sorted(set(long.values())):
            if most > problem.longest_rough + kx:
                break
            used = {0: 0}
            for one in sets:
                used[one] = min(
                    (
                        used[one ^ strip] + wide[strip] + ky
                        for strip in within(one)
                        if long[strip] <= most
                    ),
                    default=full + 1,
                )
                if used[one] <= full:
                    section.setdefault(one, most)
        board = {0: 0}
        for one in sets:
            board[one] = min(
                (
                    board[one ^ part] + section[part]
                    for part in within(one)
                    if part in section
                ),
                default=1 << 40,
            )
        fits[width] = board
    alone = {}
    for one in sets:
        costs = [
            stock.cost
            for stock in problem.stock
            if fits[stock.width][one] <= stock.length + kx
        ]
        alone[one] = min(costs, default=1 << 40)
        cheapest[one] = min(
            (cheapest[one ^ part] + alone[part] for part in within(one)),
            default=1 << 40,
        )
    return cheapest[everything]


def check(problem, boards):
    """Assert that a plan holds every part and is cut in the stages of the class."""
    stock = {each.id: each for each in problem.stock}
    parts = {part.id: part for part in problem.parts}
    used = Counter(name for name, _ in boards)
    for name, times in used.items():
        limit = stock[name].limit
        assert limit is None or times <= limit
    held = Counter()
    for name, tree in boards:
        held.update(leaves(tree))
        _board(problem, parts, stock[name], tree)
    assert held == {p.id: p.quantity for p in problem.parts if p.quantity}


def leaves(tree):
    if isinstance(tree, Leaf):
        return [tree.blank]
    return [leaf for child in tree.children for leaf in leaves(child)]


def _fit(sizes, whole, kerf):
    assert sum(sizes) + kerf * (len(sizes) - 1) <= whole


def _board(problem, parts, stock, tree):
    """Check a board: crosscut, or whole."""
    if isinstance(tree, Leaf) or tree.plane is not Plane.CROSSCUT:
        _section(problem, parts, stock, tree, stock.length)
        return
    _fit(tree.sizes, stock.length, problem.kerf_x)
    for size, child in zip(tree.sizes, tree.children, strict=True):
        _section(problem, parts, stock, child, size)


def _section(problem, parts, stock, tree, length):
    """Check a section: ripped, or a strip of the whole width."""
    if not isinstance(tree, Leaf) and tree.plane is Plane.RIP:
        square = sum(
            any(parts[leaf].square for leaf in leaves(child)) for child in tree.children
        )
        lost = lost_at_edges(stock.eased, square, len(tree.children) - square)
        _fit(tree.sizes, stock.width - lost, problem.kerf_y)
        rough = problem.longest_rough
        assert rough is None or length <= rough
        for size, child in zip(tree.sizes, tree.children, strict=True):
            assert size >= problem.narrowest_rip
            _strip(parts, stock, child, length, size, problem.kerf_x)
        return
    rough = problem.longest_rough
    assert not (stock.eased and any(parts[leaf].square for leaf in leaves(tree)))
    if rough is not None and length > rough:
        assert all(parts[leaf].width == stock.width for leaf in leaves(tree))
    _strip(parts, stock, tree, length, stock.width, problem.kerf_x)


def _strip(parts, stock, tree, length, width, kerf):
    if not isinstance(tree, Leaf) and tree.plane is Plane.RESAW:
        (thickness,) = set(tree.sizes)
        for leaf in leaves(tree):
            part = parts[leaf]
            assert part.layers[stock.section] >= len(tree.sizes)
            assert part.layers[stock.section] > 1
            assert part.thickness == thickness
        for child in tree.children:
            _row(parts, child, length, width, kerf)
        return
    for leaf in leaves(tree):
        part = parts[leaf]
        assert part.layers[stock.section] == 1 or part.may_stay_thick
    _row(parts, tree, length, width, kerf)


def _row(parts, tree, length, width, kerf):
    if isinstance(tree, Leaf):
        assert parts[tree.blank].length == length
        assert parts[tree.blank].width <= width
        return
    assert tree.plane is Plane.CROSSCUT
    _fit(tree.sizes, length, kerf)
    for size, child in zip(tree.sizes, tree.children, strict=True):
        assert isinstance(child, Leaf)
        assert parts[child.blank].length == size
        assert parts[child.blank].width <= width
