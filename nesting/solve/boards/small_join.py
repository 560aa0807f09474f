"""Kernels that join sets of parts: across a board, along it, and to whole plans.

A set is one number with a field of bits for each kind: how many, and a guard bit above
that is 0; or a single bit where there is one of a kind. A table of sets keeps its
newest entry for each; an entry that a better one has replaced is dead to further joins,
but stays where it is, for others point to it.
"""

from __future__ import annotations

from typing import Final

from nesting.solve.kernel import Ints, kernel

COUNT, ITEM, ENTRY, STEPS, STATUS, CURSOR_SIZE = 0, 1, 2, 3, 4, 5
"""Places of a cursor: entries, where the join stands (2), work done, how it ended."""

DONE: Final = 0
MORE: Final = 1
"""The steps of this slice are used up."""
FULL: Final = 2
"""There is no room for another entry."""

_MIX: Final = 2_654_435_769_123_457
_LOW: Final = (1 << 62) - 1

# Frames: what all sets have in common.
ROOM, GUARD, SINGLES, CAPACITY = 0, 1, 2, 3
RATE, TARGET, WORTH, INDEX, EXTRA, KINDS = 4, 5, 6, 7, 8, 9
FRAME_SIZE: Final = 10


@kernel
def slot_of(sets: Ints, heads: Ints, key: int) -> int:
    """Return where a table keeps, or would keep, a set; 0 is kept where it is free."""
    mask = len(heads) - 1
    slot = ((((key ^ (key >> 31)) * _MIX) & _LOW) >> 38) & mask
    while heads[slot] != 0 and sets[heads[slot] - 1] != key:
        slot = (slot + 1) & mask
    return slot


@kernel
def both_fit(frame: Ints, one: int, other: int) -> bool:
    """Tell whether there are enough parts for two sets."""
    singles = frame[SINGLES]
    if one & other & singles:
        return False
    left = frame[ROOM] - (one & ~singles) - (other & ~singles)
    return left & frame[GUARD] == frame[GUARD]


@kernel
def enter_again(sets: Ints, heads: Ints, cursor: Ints) -> None:
    """Fill a larger, empty table with the newest entry of each set."""
    for entry in range(cursor[COUNT]):
        heads[slot_of(sets, heads, sets[entry])] = entry + 1


@kernel
def join_across(
    frame: Ints,
    items: tuple[Ints, ...],
    out: tuple[Ints, ...],
    heads: Ints,
    cursor: Ints,
    most_steps: int,
) -> None:
    """Put items side by side, the longest last; find the least width of every set.

    Parameters
    ----------
    frame
        ROOM, GUARD and SINGLES, as `both_fit` takes them; CAPACITY: the most that
        widths may add up to.
    items
        (sets, widths, lengths), lengths rising.
    out
        (sets, widths, lengths, parents, items, alive), the first entry being the empty
        set. An entry is as long as its longest item. Of one set, later entries are
        longer and narrower.
    heads, cursor
        The table of `out`, and where the join stands.
    most_steps
        In this slice.
    """
    sets, widths, lengths = items
    found, across, along, parents, through, alive = out
    capacity = frame[CAPACITY]
    count, item, entry = cursor[COUNT], cursor[ITEM], cursor[ENTRY]
    most = len(found)
    steps = 0
    status = DONE
    while item < len(sets) and status == DONE:
        own, width, length = sets[item], widths[item], lengths[item]
        while entry < count:
            if steps >= most_steps:
                status = MORE
                break
            steps += 1
            wide = across[entry] + width
            if wide <= capacity and alive[entry] and both_fit(frame, found[entry], own):
                key = found[entry] + own
                slot = slot_of(found, heads, key)
                old = heads[slot] - 1
                if old < 0 or across[old] > wide:
                    if count == most:
                        status = FULL
                        break
                    if old >= 0:
                        alive[old] = 0
                    found[count] = key
                    across[count] = wide
                    along[count] = length
                    parents[count] = entry
                    through[count] = item
                    alive[count] = 1
                    heads[slot] = count + 1
                    count += 1
            entry += 1
        if status == DONE:
            item += 1
            entry = 0
    cursor[COUNT], cursor[ITEM], cursor[ENTRY] = count, item, entry
    cursor[STEPS] = steps
    cursor[STATUS] = status


@kernel
def fill_least(
    least: Ints,
    strides: Ints,
    wanted: Ints,
    items: tuple[Ints, ...],
    begins: Ints,
    digits: Ints,
    cursor: Ints,
    most_steps: int,
) -> None:
    """Find what each choice of the first kinds costs at least, covered by items.

    C(0) = 0, C(R) = min over items T with the first kind of R of cost(T) + C(R - T).

    Parameters
    ----------
    least
        C by mixed radix number, filled with something large, which is negative.
    strides, wanted
        Of the kinds, strides falling.
    items
        (indices, costs, counts): by their first kind; `counts` has a row of the kinds
        for each.
    begins
        Where the items of each first kind begin; one more at the end.
    digits
        Room for a number by kinds.
    cursor
        ITEM: the item; ENTRY: the first kind times a large number, plus how many of it
        the rest has. It goes from the last kind to the first.
    most_steps
        In this slice, roughly.
    """
    indices, costs, counts = items
    kinds = len(wanted)
    kind, held, item = cursor[COUNT], cursor[ENTRY], cursor[ITEM]
    steps = 0
    while kind >= 0 and steps < most_steps:
        if item < begins[kind]:
            item = begins[kind]
        if item >= begins[kind + 1]:
            item = 0
            held += 1
            if held >= wanted[kind]:
                held = 0
                kind -= 1
            continue
        row = item * kinds
        if counts[row + kind] + held <= wanted[kind]:
            own, cost = indices[item], costs[item]
            rest = held * strides[kind]
            for i in range(kind, kinds):
                digits[i] = 0
            while True:
                steps += 1
                before = least[rest]
                if before >= 0:
                    value = before + cost
                    if least[rest + own] < 0 or value < least[rest + own]:
                        least[rest + own] = value
                i = kinds - 1
                while i > kind and digits[i] == wanted[i] - counts[row + i]:
                    rest -= digits[i] * strides[i]
                    digits[i] = 0
                    i -= 1
                if i == kind:
                    break
                digits[i] += 1
                rest += strides[i]
        item += 1
    cursor[COUNT], cursor[ENTRY], cursor[ITEM] = kind, held, item
    cursor[STEPS] = steps
    cursor[STATUS] = MORE if kind >= 0 else DONE


@kernel
def join_along(
    frame: Ints,
    items: tuple[Ints, ...],
    begins: Ints,
    stack: tuple[Ints, ...],
    out: tuple[Ints, ...],
    least: Ints,
    heads: Ints,
    cursor: Ints,
    most_steps: int,
) -> None:
    """Put sections end to end; find the least length of every set that may do.

    A set may do if its length at the rate and what the rest costs at least are within
    the target together. Sets grow by sections whose first kind is not behind their own,
    and each tries only those that its forerunner could still take.

    Parameters
    ----------
    frame
        As in `join_across`; CAPACITY: the longest; RATE of a unit of length; TARGET;
        WORTH, INDEX and EXTRA of all the parts; KINDS: how many kinds.
    items
        (sets, lengths, worths, indices, extras, spare, first kinds), by their first
        kind and then by `spare`, cost less worth, rising.
    begins
        Where the items of each first kind begin; one more at the end.
    stack
        (lists, entries, begins, ends, places): `lists` holds items still to be tried,
        at first all of them; the others tell by depth of whom and where, at first the
        empty set's in all of the list.
    out
        (sets, lengths, worths, indices, extras, parents, items, alive, first kinds),
        the first entry being the empty set.
    least
        As of `fill_least`.
    heads, cursor
        The table of `out`, and where the join stands: ENTRY is the depth; ITEM where
        `lists` is free.
    most_steps
        In this slice, roughly.
    """
    sets, lengths, worths, indices, extras, spare, kinds = items
    found, along, worth, index, extra, parents, through, alive, first = out
    lists, entries, starts, ends, places = stack
    capacity = frame[CAPACITY]
    rate, target = frame[RATE], frame[TARGET]
    count, depth, top = cursor[COUNT], cursor[ENTRY], cursor[ITEM]
    most = len(found)
    steps = 0
    status = DONE
    while depth >= 0:
        if places[depth] >= ends[depth]:
            if depth > 0 and starts[depth] >= ends[depth - 1]:
                top = starts[depth]
            depth -= 1
            continue
        if steps >= most_steps:
            status = MORE
            break
        steps += 1
        entry, item = entries[depth], lists[places[depth]]
        long = along[entry] + lengths[item]
        own, kind = sets[item], kinds[item]
        places[depth] += 1
        if (
            kind > first[entry]
            or long > capacity
            or not both_fit(frame, found[entry], own)
        ):
            continue
        at = index[entry] + indices[item]
        other = extra[entry] + extras[item]
        rest = least[frame[INDEX] - at]
        if rest < 0 or rate * long + rest + frame[EXTRA] - other > target:
            continue
        key = found[entry] + own
        slot = slot_of(found, heads, key)
        old = heads[slot] - 1
        if old >= 0 and along[old] <= long:
            continue
        if count == most:
            status = FULL
            places[depth] -= 1
            break
        if old >= 0:
            alive[old] = 0
        found[count] = key
        along[count] = long
        worth[count] = worth[entry] + worths[item]
        index[count] = at
        extra[count] = other
        parents[count] = entry
        through[count] = item
        alive[count] = 1
        first[count] = kind
        heads[slot] = count + 1
        slack = target - rate * long - frame[WORTH] + worth[count]
        start, end = starts[depth], ends[depth]
        begin = top
        if depth == 0:
            end = begins[kind + 1]
            start = 0
        if top + end - start > len(lists):  # no room: try all of the forerunner's
            begin = start
        else:
            place = start
            while place < end:
                steps += 1
                after = lists[place]
                if kinds[after] > kind:
                    break
                if spare[after] > slack:
                    if depth == 0:  # and so have all behind it
                        place = begins[kinds[after] + 1]
                    else:
                        place += 1
                    continue
                if long + lengths[after] <= capacity and both_fit(
                    frame, key, sets[after]
                ):
                    lists[top] = after
                    top += 1
                place += 1
            end = top
        depth += 1
        entries[depth] = count
        starts[depth], ends[depth], places[depth] = begin, end, begin
        count += 1
    cursor[COUNT], cursor[ENTRY], cursor[ITEM] = count, depth, top
    cursor[STEPS] = steps
    cursor[STATUS] = status


@kernel
def cover(
    frame: Ints,
    items: tuple[Ints, ...],
    begins: Ints,
    fields: tuple[Ints, ...],
    out: tuple[Ints, ...],
    least: Ints,
    heads: Ints,
    cursor: Ints,
    most_steps: int,
) -> None:
    """Take board after board, each with the first kind still wanted; find the cheapest.

    Parameters
    ----------
    frame
        With fields for boards there are few of behind the parts'; else as in
        `join_along`. TARGET counts for boards with what their being few is
        worth.
    items
        (sets, costs, worths, indices, extras, spare): boards, by their first kind and
        then by `spare`, cost less worth, rising.
    begins
        Where the items of each first kind begin; one more at the end.
    fields
        (shifts, masks, wanted) of the kinds.
    out
        (sets, costs, worths, indices, extras, parents, items, alive, first kind still
        wanted), the first entry being the empty set.
    least, heads, cursor, most_steps
        As in `join_along`.
    """
    sets, costs, worths, indices, extras, spare = items
    shifts, masks, wanted = fields
    found, price, worth, index, extra, parents, through, alive, first = out
    target = frame[TARGET]
    count, entry, item = cursor[COUNT], cursor[ENTRY], cursor[ITEM]
    most = len(found)
    steps = 0
    status = DONE
    while entry < count and status == DONE:
        kind = first[entry]
        if not alive[entry] or kind >= frame[KINDS]:
            entry += 1
            item = 0
            continue
        held = found[entry]
        slack = target - price[entry] - frame[WORTH] + worth[entry]
        index_left = frame[INDEX] - index[entry]
        extra_left = frame[EXTRA] - extra[entry]
        item = max(item, begins[kind])
        while item < begins[kind + 1]:
            if steps >= most_steps:
                status = MORE
                break
            steps += 1
            if spare[item] > slack:
                break
            if both_fit(frame, held, sets[item]):
                cost = price[entry] + costs[item]
                rest = least[index_left - indices[item]]
                if rest >= 0 and cost + rest + extra_left - extras[item] <= target:
                    key = held + sets[item]
                    slot = slot_of(found, heads, key)
                    old = heads[slot] - 1
                    if old < 0 or price[old] > cost:
                        if count == most:
                            status = FULL
                            break
                        if old >= 0:
                            alive[old] = 0
                        found[count] = key
                        price[count] = cost
                        worth[count] = worth[entry] + worths[item]
                        index[count] = index[entry] + indices[item]
                        extra[count] = extra[entry] + extras[item]
                        parents[count] = entry
                        through[count] = item
                        alive[count] = 1
                        open_kind = kind
                        while (
                            open_kind < frame[KINDS]
                            and (key >> shifts[open_kind]) & masks[open_kind]
                            == wanted[open_kind]
                        ):
                            open_kind += 1
                        first[count] = open_kind
                        heads[slot] = count + 1
                        count += 1
            item += 1
        if status == DONE:
            entry += 1
            item = 0
    cursor[COUNT], cursor[ENTRY], cursor[ITEM] = count, entry, item
    cursor[STEPS] = steps
    cursor[STATUS] = status
