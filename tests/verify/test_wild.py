"""Plans that are wrong in every way end in violations, never in an error."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields, is_dataclass, replace
from types import UnionType
from typing import Any, Union, get_args, get_origin, get_type_hints

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.model.plan import FORMAT, Plan, PlanStock, Violation
from nesting.verify import verify

Change = Callable[[Plan, str, Any], Plan]

NAMES = ("", "A", "B", "C", "A1", "A2", "B1", "saw", "jointer", "line\nbreak", "\ud800")
WORDS = (
    *("crosscut", "rip", "resaw", "length", "width", "any", "low", "high", "part"),
    *("cut", "offcut", "scrap", "sheet", "stick", "board", "glueup", "shop", "store"),
    *("rack", "fence", "stop", "line", "height", "cost", "count", "area", "mm"),
)
TEXTS = st.sampled_from(NAMES + WORDS)
NUMBERS = st.one_of(
    st.integers(-2, 12),
    st.sampled_from([-(2**63) + 1, -(2**53), 2**31, 2**53 - 1, 2**53, 2**63 - 1]),
)
JUNK = st.one_of(
    st.none(),
    st.floats(),
    st.booleans(),
    st.just([1, 2]),
    st.just({"a": 1}),
    st.just(10**5000),
    st.just(object()),
)


def anything_of(kind: Any) -> st.SearchStrategy[Any]:
    """Values of a kind that a record's field has, any of them."""
    if kind is str:
        return TEXTS
    if kind is int:
        return NUMBERS
    if kind is bool:
        return st.booleans()
    if kind is Any or kind is type(None):
        return st.none()
    if is_dataclass(kind):
        hints = get_type_hints(kind)
        parts = {field.name: anything_of(hints[field.name]) for field in fields(kind)}
        return st.builds(kind, **parts)
    origin, inner = get_origin(kind), get_args(kind)
    if origin in (Union, UnionType):
        return st.one_of(*map(anything_of, inner))
    if origin is dict:
        return st.dictionaries(st.sampled_from(["scale", "tree", "x"]), JUNK)
    if inner[-1] is Ellipsis:
        return st.lists(anything_of(inner[0]), max_size=2).map(tuple)
    return st.tuples(*map(anything_of, inner))


def assert_told(plan: Any) -> None:
    """The checker returns violations that can be written on a line each."""
    for fault in verify(plan):
        assert isinstance(fault, Violation)
        assert fault.rule
        assert str(fault).isprintable()


@given(plan=anything_of(Plan).map(lambda plan: replace(plan, format=FORMAT)))
@settings(max_examples=300)
def test_a_plan_of_anything_is_told_its_faults(plan: Plan) -> None:
    """Records filled with whatever fits their fields never raise."""
    assert_told(plan)


@given(data=st.data())
@settings(max_examples=300)
def test_many_faults_at_once_are_told(
    data: st.DataObject, sound: Plan, change: Change
) -> None:
    """A sound plan spoilt in several places, also in its kinds, never raises."""
    plan = sound
    for _ in range(data.draw(st.integers(1, 6))):
        path, held = "", plan
        while is_dataclass(held) or (isinstance(held, tuple) and held):
            if isinstance(held, tuple):
                step = str(data.draw(st.integers(0, len(held) - 1)))
                held = held[int(step)]
            else:
                step = data.draw(st.sampled_from([f.name for f in fields(held)]))
                held = getattr(held, step)
            path = f"{path}.{step}" if path else step
            if data.draw(st.integers(0, 9)) == 0:
                break
        value = data.draw(st.one_of(TEXTS, NUMBERS, JUNK, st.just(())))
        plan = change(plan, path, value)
        if not isinstance(plan, Plan):
            break
    assert_told(plan)


@pytest.mark.parametrize("junk", [None, "plan", 3, {"format": "nesting-plan/1"}, ()])
def test_what_is_no_plan_is_told_so(junk: Any) -> None:
    """Anything at all may be handed in."""
    assert [fault.rule for fault in verify(junk)] == ["type"]


def test_a_record_with_nothing_in_it_is_told_so(sound: Plan, change: Change) -> None:
    """A record whose fields were never set is a fault, not an error."""
    empty = object.__new__(PlanStock)
    faults = verify(change(sound, "layouts.0.stock", empty))
    assert {fault.rule for fault in faults} == {"type"}


def test_a_long_chain_of_glue_ups_is_followed(sound: Plan, change: Change) -> None:
    """Glue-ups of glue-ups are followed however deep, and a ring of them is found."""
    stock = sound.layouts[3].stock

    def chain(length: int, first: str) -> Plan:
        layouts = []
        for number in range(length):
            of = f"G{number - 1}" if number else first
            layout = change(
                sound.layouts[3], "stock", change(stock, "from_", ((of, of),))
            )
            layout = change(layout, "id", f"G{number}")
            layout = change(layout, "cuts", ())
            layout = change(layout, "pieces", lambda held: (held[2],))
            layout = change(layout, "pieces.0.id", f"G{number}")
            layouts.append(layout)
        return change(sound, "layouts", (*sound.layouts[:3], *layouts))

    rings = {
        fault.where
        for fault in verify(chain(3000, "G2999"))
        if "from itself" in fault.what
    }
    assert len(rings) == 3000
    assert not [f for f in verify(chain(3000, "R6")) if "from itself" in f.what]
