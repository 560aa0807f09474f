"""Whatever is changed in a sound plan is noticed, or known to be nothing to check.

Two lists say what need not be noticed. `FREE` are fields that no other part of a plan
says again: free texts, how things are shown, what was not used. `SLACK` are limits and
claims that may be changed one way: a saw that reaches farther, a smaller trim. That the
other way is noticed is tested rule by rule. Everything else is noticed.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import fields, is_dataclass
from fnmatch import fnmatchcase
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from nesting.model.plan import Plan
from nesting.verify import verify

Change = Callable[[Plan, str, Any], Plan]

FREE = {
    "job.*": "a name, and how sizes and money are shown",
    "shop.saws.*.kind": "a word for the drawings",
    "shop.minutes.*": "the rates of an estimate",
    "shop.saws.*.tolerance": "how far off a saw is that cuts nothing at the store",
    "shop.saws.*.smallest_piece": "gives rise to cautions only",
    "parts.*.name": "free text",
    "parts.*.note": "free text",
    "parts.*.priority": "what was to come first, not what did",
    "runs.*.id": "nothing refers to it",
    "layouts.3.stock.name": "a glue-up is no stock that was offered",
    "layouts.3.stock.tag": "likewise",
    "layouts.*.cuts.*.purpose": "a word for the drawings",
    "offers.3.*": "an offer that was not used",
    "needs.*.id": "nothing refers to it",
    "needs.*.builds.1.*": "a build that was not chosen",
    "routes.*.operations.*.note": "free text",
    "routes.*.why": "free text",
    "advice.*.unplaced": "what another plan would leave out",
    "advice.rack.*.saved_cents": "what another plan would cost",
    "movements.*": "an expectation, made from a species' coefficient",
    "movements": "likewise",
    "settings.*.from_edge": "free text",
    "unplaced.*.why": "free text",
    "hardware.*.name": "free text",
    "hardware.*.qty": "its price is for all of it",
    "hardware.*.note": "free text",
    "bounds.*.basis": "free text",
    "cautions.*.text": "free text",
    "cautions.*.source": "free text",
    "made_by.*": "what made the plan",
    "warnings.*": "free text",
    "warnings": "free texts",
}

SLACK = {
    "shop.saws.*.longest_cut": "a longer reach",
    "shop.saws.*.widest_rip": "a wider reach",
    "shop.saws.*.narrowest_rip": "a narrower strip",
    "shop.saws.*.widest_crosscut": "a wider reach",
    "shop.saws.*.tallest": "a taller reach",
    "shop.saws.4.kerf": "what the jointer takes off once might be the kerf of a saw",
    "shop.saws.*.cuts.*": "a cut that the saw was not used for",
    "shop.saws.*.cuts": "likewise",
    "routes": "a route left out",
    "advice.alternatives": "advice left out or repeated",
    "advice.rack": "likewise",
    "advice.spares": "likewise",
    "routes.*.operations": "fitting to the work left out",
    "routes.*.operations.*.day": "a day later",
    "routes.*.operations.*.machine": "by hand",
    "routes.1.operations.1.width": "what gluing loses is not told",
    "routes.0.operations.1.thickness": "what jointing loses is not told",
    "blanks.*.square_edges": "square edges where there are no rounded ones",
    "blanks.*.clear": "clear parts where there are no blemishes",
    "offers.*.crook": "how crooked lumber is that is not ripped",
    "offers.*.eased": "how rounded edges are that no square edge meets",
    "blanks.*.slice": "how thick a slice is, of what is not resawn",
    "shop.mills.*.width": "a machine that takes more",
    "shop.mills.*.shortest": "likewise",
    "shop.mills.*.thinnest": "likewise",
    "parts.*.length": "a part smaller than its blank",
    "parts.*.width": "likewise",
    "parts.*.thickness": "likewise",
    "parts.*.grain": "a part whose grain does not matter",
    "blanks.*.role": "a blank with a role may be smaller than its part",
    "blanks.*.thickness": "a minimum may be left thicker",
    "blanks.*.grain": "a blank whose grain does not matter may lie along it",
    "blanks.*.minimum": "a minimum may be kept to the tick",
    "runs": "a run left out",
    "layouts.3.pieces.*.fate": "the yield of a glue-up is not told, be it kept or not",
    "layouts.3.stock.price_cents": "a glue-up for nothing",
    "layouts.*.cuts.*.from_": "the side of a measure that is not given",
    "layouts.*.cuts.*.cautions": "a caution left out or repeated",
    "offers.*.limit": "more to be had",
    "offers.*.trim.*": "a narrower trim",
    "needs.*.builds": "a build not chosen left out",
    "bounds.*.lower_bound": "a bound that claims less",
    "bounds.*.proven": "a claim that is not made",
    "bounds.*.objective": "what is free counts nothing, in cents or in pieces",
    "bounds.*.section": "the one section of a material",
    "bounds": "a claim left out or repeated",
    "order.lower_bound": "a bound that claims less",
}


WORDS = (
    ("crosscut", "rip", "resaw"),
    ("length", "width", "any"),
    ("low", "high"),
    ("part", "cut", "offcut", "scrap"),
    ("trim", "divide", "size"),
    ("fence", "stop", "line", "height"),
    ("sheet", "stick", "board", "glueup"),
    ("store", "shop", "rack", "bench"),
    ("cost", "count", "area"),
    ("along", "across"),
)
KEYS = ("scale", "vectors", "values", "pricing", "tree")


def leaves(value: Any, path: str = "") -> Iterator[tuple[str, Any]]:
    """Every field of a plan that holds no record, with its path."""
    if is_dataclass(value):
        names = [field.name for field in fields(value)]
        held = [(name, getattr(value, name)) for name in names]
    elif isinstance(value, tuple):
        held = [(str(at), item) for at, item in enumerate(value)]
    else:
        yield path, value
        return
    for name, item in held:
        yield from leaves(item, f"{path}.{name}" if path else name)


def lists(value: Any, path: str = "") -> Iterator[tuple[str, tuple[Any, ...]]]:
    """Every list of a plan, with its path."""
    if isinstance(value, tuple):
        yield path, value
    if is_dataclass(value) or isinstance(value, tuple):
        names = (
            [field.name for field in fields(value)]
            if is_dataclass(value)
            else [str(at) for at in range(len(value))]
        )
        for name in names:
            held = (
                value[int(name)] if isinstance(value, tuple) else getattr(value, name)
            )
            yield from lists(held, f"{path}.{name}" if path else name)


def others(value: Any) -> list[Any]:
    """What might stand there by mistake."""
    if isinstance(value, bool):
        return [not value]
    if isinstance(value, int):
        return [value + 1, value - 1, -value - 1, 10**9]
    if isinstance(value, str):
        like = [word for words in WORDS if value in words for word in words]
        return [value + "x", "", "side", "table", *like]
    return [None, 0, 1, 1600, "side", (), {}, dict.fromkeys(KEYS, 1)]


def excused(path: str) -> str | None:
    return next((p for p in (*FREE, *SLACK) if fnmatchcase(path, p)), None)


def swapped(held: tuple[Any, ...]) -> tuple[Any, ...]:
    return (held[1], held[0], *held[2:])


def test_every_field_is_checked_or_known_to_be_free(
    sound: Plan, change: Change
) -> None:
    """Each field changed alone breaks a rule, unless it is listed; no list is idle."""
    unnoticed = set()
    used = set()
    for path, value in leaves(sound):
        for other in others(value):
            if other == value and type(other) is type(value):
                continue
            if not verify(change(sound, path, other)):
                pattern = excused(path)
                used.add(pattern)
                if pattern is None:
                    unnoticed.add((path, other))
    for path, held in lists(sound):
        for other in (held[:-1], held[1:], (*held, *held[:1])):
            if other != held and not verify(change(sound, path, other)):
                pattern = excused(path)
                used.add(pattern)
                if pattern is None:
                    unnoticed.add((path, len(other)))
    assert unnoticed == set()
    assert {*FREE, *SLACK} - used == set()


def test_the_order_of_a_list_matters_where_it_means_something(
    sound: Plan, change: Change
) -> None:
    """Two neighbours changed about are noticed where a list is an order."""
    unnoticed = {
        path.rpartition(".")[2]
        for path, held in lists(sound)
        if len(held) > 1
        and swapped(held) != held
        and not verify(change(sound, path, swapped(held)))
    }
    no_order = {
        *("saws", "cuts", "parts", "blanks", "layouts", "offers", "needs", "builds"),
        *(
            "mills",
            "routes",
            "settings",
            "purchases",
            "hardware",
            "bounds",
            "yields",
            "from_",
        ),
    }
    assert unnoticed == no_order
    for path, held in lists(sound):
        if path.startswith("layouts.") and path.endswith((".cuts", ".makes")):
            assert len(held) < 2 or verify(change(sound, path, swapped(held))), path


@given(data=st.data())
def test_any_single_change_is_noticed(
    data: st.DataObject, sound: Plan, change: Change
) -> None:
    """A field drawn at random and filled at random breaks a rule or is listed."""
    path, value = data.draw(st.sampled_from(list(leaves(sound))))
    anything = st.one_of(
        st.integers(),
        st.integers(-5000, 5000).map(lambda n: n + value if type(value) is int else n),
        st.text(max_size=5),
        st.sampled_from([v for _, v in leaves(sound)]),
        st.none(),
        st.booleans(),
        st.floats(),
        st.just(()),
    )
    other = data.draw(
        anything.filter(lambda v: type(v) is not type(value) or v != value)
    )
    assert verify(change(sound, path, other)) or excused(path)
