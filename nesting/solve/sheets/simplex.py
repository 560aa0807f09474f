"""Kernels of the simplex method, for sets of parts that cover others in fractions.

Problem: min sum c[j] x[j] with sum a[i][j] x[j] = d[i] and x >= 0. Column j is a set of
kinds of part (some kinds come more than once), or one of kind i alone (number n + i, n
the number of sets), or what is given of it beyond need (n + m + i, m the number of
kinds).

Method: the revised primal simplex method (Dantzig, Linear Programming and Extensions,
Princeton 1963, chapter 9) with the inverse of the basis written out, a row of it for
each kind: there are some dozens of kinds, and for so few that is quicker than factors.
Tens of thousands of sets are looked through bit by bit: those that pay wait in a list,
which is looked through each time and filled up when few are left. Floats, so whatever
comes of it is advice. Compiled or not, it does the same sums in the same order.
"""

from __future__ import annotations

from typing import TypeAlias

from nesting.solve.kernel import Floats, Ints, kernel

Sets: TypeAlias = tuple[Ints, Ints]
"""`begins` of each set and the end of the last, and `kinds` in all of them."""

Terms: TypeAlias = tuple[Floats, Floats]
"""`costs` of all columns, and how much there is `wanted` of each kind."""

Basis: TypeAlias = tuple[Ints, Ints, Floats, Floats]
"""`columns`, one for each kind; 1 in `inside` for each of these; `amounts` of them;
and `worths` of the kinds, by which each of them is worth what it costs."""

Room: TypeAlias = tuple[Floats, Floats, Floats, Ints]
"""`inverse`: a row for each kind, with what one more of it takes of each column in the
basis; `work`, as much room again; `entry`, a number for each kind; and `waiting`."""

# The places of the state.
SINCE = 0  # changes of the basis, from when the inverse was last written anew
WAITING = 1  # sets that may pay
AT = 2  # where the next is looked for
CHANGES = 3
LOOKED = 4  # at so many sets
STATE_SIZE = 5

ANEW = 1_000_000
"""As `SINCE`: the inverse does not belong to the basis."""

# What came of it.
OPTIMAL = 1
GOING = 0
FAILED = -1

_LASTS = 150  # changes, before an inverse is written anew
_FEW = 8  # sets wait: more are looked for
_PAYS = 1e-7
_LEAST_PIVOT = 1e-9
_GOOD_PIVOT = 1e-7
_FIRST_PIVOT = 1e-9  # of a matrix that has an inverse
_TINY = 1e-12


@kernel
def is_inverted(sets: Sets, columns: Ints, inverse: Floats, work: Floats) -> bool:
    """Write the inverse of a basis, by Gauss and Jordan; tell whether it has one.

    What is worked on has a row for each column of the basis: so the rows of the inverse
    are those of the kinds.
    """
    begins, kinds = sets
    size = len(columns)
    count = len(begins) - 1
    for k in range(size * size):
        inverse[k] = 0.0
        work[k] = 0.0
    for i in range(size):
        inverse[i * size + i] = 1.0
        j = columns[i]
        if j < count:
            for k in range(begins[j], begins[j + 1]):
                work[i * size + kinds[k]] += 1.0
        elif j < count + size:
            work[i * size + j - count] = 1.0
        else:
            work[i * size + j - count - size] = -1.0
    for i in range(size):
        pivot = i
        for k in range(i + 1, size):
            if abs(work[k * size + i]) > abs(work[pivot * size + i]):
                pivot = k
        if abs(work[pivot * size + i]) < _FIRST_PIVOT:
            return False
        if pivot != i:
            for k in range(size):
                other = work[i * size + k]
                work[i * size + k] = work[pivot * size + k]
                work[pivot * size + k] = other
                other = inverse[i * size + k]
                inverse[i * size + k] = inverse[pivot * size + k]
                inverse[pivot * size + k] = other
        factor = 1.0 / work[i * size + i]
        for k in range(size):
            work[i * size + k] *= factor
            inverse[i * size + k] *= factor
        for j in range(size):
            factor = work[j * size + i]
            if j != i and factor != 0.0:
                for k in range(size):
                    work[j * size + k] -= factor * work[i * size + k]
                for k in range(size):
                    inverse[j * size + k] -= factor * inverse[i * size + k]
    return True


@kernel
def is_renewed(
    sets: Sets, terms: Terms, basis: Basis, inverse: Floats, work: Floats
) -> bool:
    """Find inverse, amounts and worths of a basis; tell whether it has an inverse."""
    costs, wanted = terms
    columns, _, amounts, worths = basis
    size = len(columns)
    if not is_inverted(sets, columns, inverse, work):
        return False
    for i in range(size):
        amounts[i] = 0.0
    for kind in range(size):
        worth = 0.0
        for i in range(size):
            amounts[i] += inverse[kind * size + i] * wanted[kind]
            worth += costs[columns[i]] * inverse[kind * size + i]
        worths[kind] = worth
    for i in range(size):
        amounts[i] = max(0.0, amounts[i])
    return True


@kernel
def gain_of(j: int, sets: Sets, worths: Floats) -> float:
    """Return how much a set is worth beyond a sheet."""
    begins, kinds = sets
    gain = -1.0
    for k in range(begins[j], begins[j + 1]):
        gain += worths[kinds[k]]
    return gain


@kernel
def entering(
    sets: Sets, left: Ints, terms: Terms, basis: Basis, waiting: Ints, state: Ints
) -> tuple[int, float]:
    """Return a column that pays, and how much; -1 if none does."""
    costs, _ = terms
    _, inside, _, worths = basis
    count = len(sets[0]) - 1
    size = len(worths)
    found = -1
    best = _PAYS
    for kind in range(size):
        j = count + kind
        if inside[j] == 0 and worths[kind] - costs[j] > best:
            found, best = j, worths[kind] - costs[j]
        j += size
        if inside[j] == 0 and -worths[kind] > best:
            found, best = j, -worths[kind]
    place = 0
    while place < state[WAITING]:
        j = waiting[place]
        gain = gain_of(j, sets, worths)
        if gain <= _PAYS or inside[j] == 1:
            state[WAITING] -= 1
            waiting[place] = waiting[state[WAITING]]
            continue
        if gain > best:
            found, best = j, gain
        place += 1
    if state[WAITING] < _FEW:
        looked = 0
        kept = state[WAITING]
        at = state[AT]
        while looked < len(left) and state[WAITING] < len(waiting):
            if at >= len(left):
                at = 0
            j = left[at]
            at += 1
            looked += 1
            gain = gain_of(j, sets, worths)
            if gain <= _PAYS or inside[j] == 1:
                continue
            is_new = True
            for place in range(kept):
                if waiting[place] == j:
                    is_new = False
            if is_new:
                waiting[state[WAITING]] = j
                state[WAITING] += 1
                if gain > best:
                    found, best = j, gain
        state[AT] = at
        state[LOOKED] += looked
    return found, best


@kernel
def write_entry(sets: Sets, j: int, inverse: Floats, entry: Floats) -> None:
    """Write what one more of a column takes of each in the basis."""
    begins, kinds = sets
    count = len(begins) - 1
    size = len(entry)
    for i in range(size):
        entry[i] = 0.0
    if j < count:
        for k in range(begins[j], begins[j + 1]):
            row = kinds[k] * size
            for i in range(size):
                entry[i] += inverse[row + i]
    elif j < count + size:
        row = (j - count) * size
        for i in range(size):
            entry[i] = inverse[row + i]
    else:
        row = (j - count - size) * size
        for i in range(size):
            entry[i] = -inverse[row + i]


@kernel
def leaving(amounts: Floats, entry: Floats) -> int:
    """Return what is used up first, of several the safest; -1 if nothing is."""
    found = -1
    for i in range(len(entry)):
        if entry[i] <= _LEAST_PIVOT:
            continue
        if found < 0:
            found = i
            continue
        more = amounts[i] * entry[found] - amounts[found] * entry[i]
        if more < -_TINY or (more <= _TINY and entry[i] > entry[found]):
            found = i
    return found


@kernel
def exchange(
    out: int, best: float, basis: Basis, inverse: Floats, entry: Floats
) -> None:
    """Let the entry in, in place of a column of the basis."""
    _, _, amounts, worths = basis
    size = len(entry)
    factor = 1.0 / entry[out]
    amount = max(0.0, amounts[out] * factor)
    for kind in range(size):
        row = kind * size
        share = inverse[row + out] * factor
        if share != 0.0:
            worths[kind] -= best * share
            for i in range(size):
                inverse[row + i] -= share * entry[i]
            inverse[row + out] = share
    for i in range(size):
        amounts[i] = max(0.0, amounts[i] - amount * entry[i])
    amounts[out] = amount


@kernel
def improve(
    sets: Sets, left: Ints, terms: Terms, basis: Basis, room: Room, state: Ints
) -> int:
    """Exchange columns until the basis is the best, or for a number of times.

    Parameters
    ----------
    sets
        The sets.
    left
        The numbers of those that may come in.
    terms, basis, room
        The basis holds what is wanted, whatever it costs.
    state
        `CHANGES` at most; what is left of these afterwards.

    Returns
    -------
    int
        `OPTIMAL`; `GOING`, if it is to be called again; or `FAILED`, where the floats
        are not good enough.
    """
    columns, inside, amounts, _ = basis
    inverse, work, entry, waiting = room
    while state[CHANGES] > 0:
        state[CHANGES] -= 1
        if state[SINCE] > _LASTS:
            if not is_renewed(sets, terms, basis, inverse, work):
                return FAILED
            state[SINCE] = 0
        j, best = entering(sets, left, terms, basis, waiting, state)
        if j < 0:
            return OPTIMAL
        write_entry(sets, j, inverse, entry)
        out = leaving(amounts, entry)
        if out < 0 or entry[out] < _GOOD_PIVOT:
            if state[SINCE] == 0:
                return FAILED
            state[SINCE] = ANEW
            continue
        exchange(out, best, basis, inverse, entry)
        inside[columns[out]] = 0
        inside[j] = 1
        columns[out] = j
        state[SINCE] += 1
    return GOING


@kernel
def weigh(sets: Sets, left: Ints, worths: Ints, sums: Ints) -> None:
    """Write what each of the sets left is worth, in whole numbers."""
    begins, kinds = sets
    for i in range(len(left)):
        total = 0
        for k in range(begins[left[i]], begins[left[i] + 1]):
            total += worths[kinds[k]]
        sums[i] = total
