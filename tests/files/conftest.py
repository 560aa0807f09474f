"""A plan, and plans at random, for the tests of what is written and read."""

import types
import typing
from dataclasses import fields, is_dataclass, replace

import pytest
from hypothesis import strategies as st

from nesting.files.plan_json import hints
from nesting.model.plan import (
    FORMAT,
    Cut,
    Layout,
    MadeBy,
    Piece,
    Plan,
    PlanJob,
    PlanSaw,
    PlanShop,
    PlanStock,
    Totals,
)

JSON_VALUES = st.recursive(
    st.none() | st.booleans() | st.integers() | st.text(max_size=4),
    lambda inner: (
        st.lists(inner, max_size=2)
        | st.dictionaries(st.text(max_size=3), inner, max_size=2)
    ),
    max_leaves=4,
)
PLAIN = {int: st.integers(), str: st.text(max_size=5), bool: st.booleans()}


def values(kind):
    """Return a strategy for the values of an annotated type."""
    inner, origin = typing.get_args(kind), typing.get_origin(kind)
    if kind is typing.Any:
        return JSON_VALUES
    if origin is types.UnionType:
        return st.one_of(st.none() if k is type(None) else values(k) for k in inner)
    if origin is tuple and inner[-1] is Ellipsis:
        return st.lists(values(inner[0]), max_size=2).map(tuple)
    if origin is tuple:
        return st.tuples(*map(values, inner))
    if origin is dict:
        return st.dictionaries(st.text(max_size=3), JSON_VALUES, max_size=2)
    if is_dataclass(kind):
        return st.builds(
            kind, **{f.name: values(hints(kind)[f.name]) for f in fields(kind)}
        )
    return PLAIN[kind]


@pytest.fixture(scope="session")
def plans():
    """A strategy for plans whose records hold anything their types allow."""
    return values(Plan).map(lambda p: replace(p, format=FORMAT, ticks_per_mm=1600))


@pytest.fixture
def plan():
    """A board of 100 mm, cut once."""
    pieces = (
        Piece(
            id="L1", x=0, y=0, length=160000, width=32000, thickness=16000, fate="cut"
        ),
        Piece(
            id="a",
            x=0,
            y=0,
            length=80000,
            width=32000,
            thickness=16000,
            fate="part",
            blank="rail",
        ),
    )
    cut = Cut(
        step=1,
        piece="L1",
        plane="crosscut",
        at=80000,
        kerf=5080,
        saw="miter saw",
        makes=("a",),
        setting="S1",
        measure=80000,
    )
    stock = PlanStock(
        name="pine 20 x 100 mm",
        length=160000,
        width=32000,
        thickness=16000,
        grain="length",
        origin="store",
        from_=(("L0", "b"),),
    )
    layout = Layout(
        id="L1", material="pine", form="stick", stock=stock, pieces=pieces, cuts=(cut,)
    )
    totals = Totals(
        cost_cents=0,
        stock_cents=0,
        hardware_cents=0,
        unpriced=1,
        layouts=1,
        cuts=1,
        settings=1,
        blanks=1,
        parts=1,
    )
    return Plan(
        job=PlanJob(name="Règle ½"),
        shop=PlanShop(saws=(PlanSaw(name="miter saw", kerf=5080, cuts=("crosscut",)),)),
        parts=(),
        blanks=(),
        layouts=(layout,),
        made_by=MadeBy(
            version="0", seed=0, work=1, stopped_by="proof", input_digest="00"
        ),
        totals=totals,
    )
