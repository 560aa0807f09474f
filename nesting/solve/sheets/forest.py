"""A forest of cutting trees in flat integers: one tree per open sheet.

A forest is five sequences: `nodes`, `rests` (every leftover piece), `roots` (every open
sheet), `out` (the kinds of the parts that lie nowhere) and `tally`. A node takes `SIZE`
places in `nodes` and is known by the first of them. It is a part, a rest or a piece
that is divided along an axis (0: along x, by crosscuts; 1: along y, by rips); the axes
alternate from level to level. Lengths are inflated by one kerf per axis, parts and
sheets alike: m parts in a row need sum(w) + (m - 1) k <= W, which is sum(w + k) <= W +
k.

The order of the children of a node is free, so all the rests of a node are merged into
one: there is no question of neighbours, and merging is an addition. A divided piece has
at least two children; one that has only its rest left is a rest itself.
"""

from __future__ import annotations

from nesting.solve.kernel import Ints, kernel, kernel_for

Forest = tuple[Ints, Ints, Ints, Ints, Ints]
"""nodes, rests, roots, out, tally."""
Kinds = tuple[Ints, Ints, Ints, Ints]
"""Of parts, and of blocks of parts after them: `dims` (x and y unturned, x and y
turned), `area`, `lies` (at kind * number of stocks + stock: 1 if it may lie unturned, 2
if turned, 3 if either way) and `make` (what a block is made of)."""
Stocks = tuple[Ints, Ints, Ints]
"""`dims` (x and y), `cost` and `limit`."""

# The places of a node.
STATE = 0
X = 1
Y = 2
PARENT = 3
PREV = 4  # of a root: its place in `roots`
NEXT = 5  # of a free node: the next free one
FIRST = 6  # of a divided piece: its first child
PART = 6  # of a part: kind * 2 + 1 if turned
AXIS = 7
REST = 8  # of a divided piece: its rest, or NONE
PLACE = 9  # of a rest: its place in `rests`
STOCK = 10
DEPTH = 11  # divided pieces above it
SIZE = 12

# A rest takes four places in `rests`: the node, its x, y and stock.
ENTRY = 4

NONE = -1

# What a node is.
FREE = 0
IS_PART = 1
IS_REST = 2
IS_DIVIDED = 3

# What a block is made of; of a part, MAKE_AXIS is NONE, and of a run, which is a part
# that is divided afterwards, CUT_AXIS and LEVELS say how.
ONE = 0  # kind * 2 + 1 if turned when the block is not
TWO = 1
MAKE_AXIS = 2  # along which they lie side by side
LEVELS = 3  # of cuts in it, if the piece it fills was cut along its axis
TURNS = 4  # how it may lie on some stock or other, as in `lies`
CUT_AXIS = 5  # along which it is cut up: MAKE_AXIS, or that of a run
MAKE = 6

# The places of the tally.
HIGH = 0  # nodes beyond were never used
SPARE = 1  # the first free node
RESTS = 2  # the end of the list
ROOTS = 3
OUT = 4
COST = 5
OUT_AREA = 6
USED = 7  # and on: sheets of each stock


def _copy_slice(source: Ints, target: Ints, count: int) -> None:
    target[:count] = source[:count]


@kernel_for(_copy_slice)
def copy_some(source: Ints, target: Ints, count: int) -> None:
    """Copy so many entries."""
    for i in range(count):
        target[i] = source[i]


@kernel
def copy(source: Forest, target: Forest) -> None:
    """Make one forest like another."""
    nodes, rests, roots, out, tally = source
    to_nodes, to_rests, to_roots, to_out, to_tally = target
    copy_some(nodes, to_nodes, tally[HIGH])
    copy_some(rests, to_rests, tally[RESTS])
    copy_some(roots, to_roots, tally[ROOTS])
    copy_some(out, to_out, tally[OUT])
    copy_some(tally, to_tally, len(tally))


@kernel
def new_node(nodes: Ints, tally: Ints) -> int:
    """Take a free node."""
    v = tally[SPARE]
    if v != NONE:
        tally[SPARE] = nodes[v + NEXT]
        return v
    v = tally[HIGH]
    tally[HIGH] = v + SIZE
    return v


@kernel
def free_node(nodes: Ints, tally: Ints, v: int) -> None:
    """Give a node back."""
    nodes[v + STATE] = FREE
    nodes[v + NEXT] = tally[SPARE]
    tally[SPARE] = v


@kernel
def list_rest(nodes: Ints, rests: Ints, tally: Ints, v: int) -> None:
    """Make a node a rest that parts can be cut from."""
    nodes[v + STATE] = IS_REST
    place = tally[RESTS]
    nodes[v + PLACE] = place
    rests[place] = v
    rests[place + 1] = nodes[v + X]
    rests[place + 2] = nodes[v + Y]
    rests[place + 3] = nodes[v + STOCK]
    tally[RESTS] = place + ENTRY


@kernel
def unlist_rest(nodes: Ints, rests: Ints, tally: Ints, v: int) -> None:
    """Take a rest off the list; the last one takes its place."""
    end = tally[RESTS] - ENTRY
    place = nodes[v + PLACE]
    last = rests[end]
    rests[place] = last
    rests[place + 1] = rests[end + 1]
    rests[place + 2] = rests[end + 2]
    rests[place + 3] = rests[end + 3]
    nodes[last + PLACE] = place
    tally[RESTS] = end


@kernel
def open_sheet(forest: Forest, stocks: Stocks, stock: int) -> int:
    """Open a sheet; return its root, a rest."""
    nodes, rests, roots, _, tally = forest
    dims, cost, _ = stocks
    v = new_node(nodes, tally)
    nodes[v + X] = dims[2 * stock]
    nodes[v + Y] = dims[2 * stock + 1]
    nodes[v + PARENT] = NONE
    nodes[v + PREV] = tally[ROOTS]
    nodes[v + STOCK] = stock
    nodes[v + DEPTH] = 0
    roots[tally[ROOTS]] = v
    tally[ROOTS] += 1
    tally[COST] += cost[stock]
    tally[USED + stock] += 1
    list_rest(nodes, rests, tally, v)
    return v


@kernel
def close_sheet(forest: Forest, stocks: Stocks, v: int) -> None:
    """Give a sheet back; its root is a rest that is off the list."""
    nodes, _, roots, _, tally = forest
    _, cost, _ = stocks
    stock = nodes[v + STOCK]
    tally[ROOTS] -= 1
    last = roots[tally[ROOTS]]
    place = nodes[v + PREV]
    roots[place] = last
    nodes[last + PREV] = place
    tally[COST] -= cost[stock]
    tally[USED + stock] -= 1
    free_node(nodes, tally, v)


@kernel
def add_child(nodes: Ints, tally: Ints, parent: int, axis: int, size: int) -> int:
    """Give a divided piece one more child; return it, with no state yet."""
    v = new_node(nodes, tally)
    nodes[v + X] = nodes[parent + X]
    nodes[v + Y] = nodes[parent + Y]
    nodes[v + X + axis] = size
    first = nodes[parent + FIRST]
    nodes[v + PARENT] = parent
    nodes[v + PREV] = NONE
    nodes[v + NEXT] = first
    if first != NONE:
        nodes[first + PREV] = v
    nodes[parent + FIRST] = v
    nodes[v + STOCK] = nodes[parent + STOCK]
    nodes[v + DEPTH] = nodes[parent + DEPTH] + 1
    return v


@kernel
def drop_child(nodes: Ints, tally: Ints, v: int) -> None:
    """Take a node from its siblings and free it."""
    before = nodes[v + PREV]
    after = nodes[v + NEXT]
    if before != NONE:
        nodes[before + NEXT] = after
    else:
        nodes[nodes[v + PARENT] + FIRST] = after
    if after != NONE:
        nodes[after + PREV] = before
    free_node(nodes, tally, v)


@kernel
def split(forest: Forest, v: int, axis: int, size: int) -> int:
    """Cut a piece of a size off a rest that is off the list; return that piece."""
    nodes, rests, _, _, tally = forest
    full = nodes[v + X + axis]
    if full == size:
        return v
    parent = nodes[v + PARENT]
    if parent != NONE and nodes[parent + AXIS] == axis:
        nodes[v + X + axis] = size
        piece = v
    else:
        nodes[v + STATE] = IS_DIVIDED
        nodes[v + AXIS] = axis
        nodes[v + FIRST] = NONE
        parent = v
        piece = add_child(nodes, tally, v, axis, size)
    rest = add_child(nodes, tally, parent, axis, full - size)
    nodes[parent + REST] = rest
    list_rest(nodes, rests, tally, rest)
    return piece


@kernel
def carve(
    forest: Forest, kinds: Kinds, kind: int, turned: int, v: int, first: int
) -> None:
    """Cut a part or block from a rest, dividing it along the `first` axis first."""
    nodes, rests, _, _, tally = forest
    unlist_rest(nodes, rests, tally, v)
    parent = nodes[v + PARENT]
    if parent != NONE:
        nodes[parent + REST] = NONE
    own = 4 * kind + 2 * turned
    v = split(forest, v, first, kinds[0][own + first])
    v = split(forest, v, 1 - first, kinds[0][own + 1 - first])
    fill(forest, kinds, kind, turned, v)


@kernel
def fill(forest: Forest, kinds: Kinds, kind: int, turned: int, v: int) -> None:
    """Make a piece of the right size a part, or divide it into those of a block."""
    nodes, _, _, _, tally = forest
    dims, _, _, make = kinds
    own = MAKE * kind
    if make[own + MAKE_AXIS] == NONE:
        nodes[v + STATE] = IS_PART
        nodes[v + PART] = 2 * kind + turned
        return
    axis = make[own + MAKE_AXIS] ^ turned
    one = make[own + ONE] ^ turned
    two = make[own + TWO] ^ turned
    parent = nodes[v + PARENT]
    if parent != NONE and nodes[parent + AXIS] == axis:
        nodes[v + X + axis] = dims[2 * one + axis]
        piece = v
    else:
        nodes[v + STATE] = IS_DIVIDED
        nodes[v + AXIS] = axis
        nodes[v + FIRST] = NONE
        nodes[v + REST] = NONE
        parent = v
        piece = add_child(nodes, tally, parent, axis, dims[2 * one + axis])
    other = add_child(nodes, tally, parent, axis, dims[2 * two + axis])
    piece = split(forest, piece, 1 - axis, dims[2 * one + 1 - axis])
    fill(forest, kinds, one // 2, one % 2, piece)
    other = split(forest, other, 1 - axis, dims[2 * two + 1 - axis])
    fill(forest, kinds, two // 2, two % 2, other)


@kernel
def empty(forest: Forest, kinds: Kinds, v: int) -> None:
    """Put the parts on a piece out and free the nodes below; it has no state then."""
    nodes, rests, _, out, tally = forest
    area = kinds[1]
    u = v
    while True:
        if nodes[u + STATE] == IS_DIVIDED and nodes[u + FIRST] != NONE:
            u = nodes[u + FIRST]
            continue
        if nodes[u + STATE] == IS_PART:
            kind = nodes[u + PART] // 2
            out[tally[OUT]] = kind
            tally[OUT] += 1
            tally[OUT_AREA] += area[kind]
        elif nodes[u + STATE] == IS_REST:
            unlist_rest(nodes, rests, tally, u)
        if u == v:
            return
        parent = nodes[u + PARENT]
        nodes[parent + FIRST] = nodes[u + NEXT]
        free_node(nodes, tally, u)
        u = parent


@kernel
def remove(forest: Forest, kinds: Kinds, stocks: Stocks, v: int) -> None:
    """Put all that lies on a piece out, and merge the piece with its rests."""
    nodes, rests, _, _, tally = forest
    empty(forest, kinds, v)
    while True:
        parent = nodes[v + PARENT]
        if parent == NONE:
            close_sheet(forest, stocks, v)
            return
        axis = nodes[parent + AXIS]
        rest = nodes[parent + REST]
        if rest != NONE:
            size = nodes[rest + X + axis] + nodes[v + X + axis]
            nodes[rest + X + axis] = size
            rests[nodes[rest + PLACE] + 1 + axis] = size
            drop_child(nodes, tally, v)
        else:
            rest = v
            nodes[parent + REST] = v
            list_rest(nodes, rests, tally, v)
        if nodes[rest + PREV] != NONE or nodes[rest + NEXT] != NONE:
            return
        unlist_rest(nodes, rests, tally, rest)
        drop_child(nodes, tally, rest)
        v = parent


@kernel
def parts_below(nodes: Ints, v: int, most: int) -> int:
    """Count the parts on a piece, giving up beyond `most`."""
    count = 0
    u = v
    while True:
        if nodes[u + STATE] == IS_DIVIDED:
            u = nodes[u + FIRST]
            continue
        if nodes[u + STATE] == IS_PART:
            count += 1
            if count > most:
                return count
        while u != v and nodes[u + NEXT] == NONE:
            u = nodes[u + PARENT]
        if u == v:
            return count
        u = nodes[u + NEXT]


@kernel
def sum_on(nodes: Ints, v: int, numbers: Ints) -> int:
    """Add up the numbers of the kinds of the parts on a piece."""
    total = 0
    u = v
    while True:
        if nodes[u + STATE] == IS_DIVIDED:
            u = nodes[u + FIRST]
            continue
        if nodes[u + STATE] == IS_PART:
            total += numbers[nodes[u + PART] // 2]
        while u != v and nodes[u + NEXT] == NONE:
            u = nodes[u + PARENT]
        if u == v:
            return total
        u = nodes[u + NEXT]
