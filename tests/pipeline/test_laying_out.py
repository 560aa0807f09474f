"""Any tree that fits its stock is laid out soundly, or refused: verify is judge."""

from __future__ import annotations

from dataclasses import dataclass

from hypothesis import event, given, settings
from hypothesis import strategies as st

from nesting.errors import InfeasibleError
from nesting.milling import offer
from nesting.model.job import Job, Material, MaterialKind, Part
from nesting.model.plan import Plan
from nesting.model.problem import Problem
from nesting.model.result import Chosen, CutStock, Result
from nesting.model.shop import Saw, Shop
from nesting.model.stock import Edges, OffcutRule, Stock
from nesting.model.terms import Form, Grain, Guide, Plane, StoppedBy
from nesting.model.tree import Leaf, Node, Tree
from nesting.pipeline.shop_record import mill_of, saws_of
from nesting.pipeline.write_up import write_up
from nesting.sequence import put_in_order
from nesting.solve import lay_out
from nesting.units import Display, Unit
from nesting.verify import verify

METRIC = Display(unit=Unit.MM)
LEAST = 20
BOTH = (Plane.RIP, Plane.CROSSCUT)


@dataclass
class Splitter:
    """Divides an area into parts at random, as a saw with the widest kerf would."""

    data: st.DataObject
    kerf: int
    sizes: list[tuple[int, int]]

    def tree(self, length: int, width: int, plane: Plane, depth: int) -> Tree:
        """Return a tree over an area; its leaves are new parts of just that size."""
        axis = length if plane is Plane.CROSSCUT else width
        if depth == 0 or axis < 2 * LEAST + self.kerf:
            self.sizes.append((length, width))
            return Leaf(f"p{len(self.sizes) - 1}")
        sizes: list[int] = []
        left = axis
        other = Plane.RIP if plane is Plane.CROSSCUT else Plane.CROSSCUT
        for _ in range(self.data.draw(st.integers(1, 3))):
            if left < LEAST:
                break
            sizes.append(self.data.draw(st.integers(LEAST, left)))
            left -= sizes[-1] + self.kerf
        children = tuple(
            self.tree(size, width, other, depth - 1)
            if plane is Plane.CROSSCUT
            else self.tree(length, size, other, depth - 1)
            for size in sizes
        )
        return Node(plane, tuple(sizes), children)


limits = st.none() | st.integers(200, 1500)


@st.composite
def saws(draw: st.DrawFn) -> Saw:
    """Return a saw with any reach."""
    fence = draw(st.booleans())
    return Saw(
        name=f"saw {draw(st.integers(0, 10**6))}",
        kerf=draw(st.integers(0, 5)),
        planes=draw(st.sampled_from([BOTH, BOTH, (Plane.RIP,), (Plane.CROSSCUT,)])),
        rip_guide=Guide.FENCE if fence else Guide.LINE,
        crosscut_guide=Guide.STOP if fence else Guide.LINE,
        longest_cut=draw(limits),
        widest_rip=draw(limits) if fence else None,
        narrowest_rip=draw(st.none() | st.integers(20, 120)) if fence else None,
        widest_crosscut=draw(limits),
    )


def plan_of(tree: Tree, sizes: list[tuple[int, int]], stock: Stock, shop: Shop) -> Plan:
    """Return the plan of one laid out tree."""
    parts = tuple(
        Part(
            name=f"p{number}",
            quantity=1,
            material="ply",
            length=length,
            width=width,
            thickness=None,
            grain=Grain.ANY,
        )
        for number, (length, width) in enumerate(sizes)
    )
    material = Material(
        name="ply",
        kind=MaterialKind.SHEET,
        thickness=stock.thickness,
        stock=(stock,),
    )
    job = Job(
        name="one sheet",
        display=METRIC,
        currency="$",
        shop=shop,
        materials=(material,),
        parts=parts,
        offcuts=OffcutRule(sheet=((300, 300),)),
    )
    offered = offer(parts, job.materials, mill_of(job))
    problem = Problem(
        stock=(stock,), needs=offered.needs, saws=shop.saws, offcuts=job.offcuts
    )
    layout = lay_out(
        tree,
        stock,
        shop.saws,
        blanks=problem.blanks,
        offcuts=job.offcuts,
        layout="sheet-1",
    )
    ordered = put_in_order([layout], saws_of(shop), METRIC)
    result = Result(
        chosen=tuple(
            Chosen(need=need.id, build=need.builds[0].id, quantity=1)
            for need in offered.needs
        ),
        trees=(CutStock(stock=stock.id, tree=tree),),
        unplaced=(),
        bounds=(),
        stopped_by=StoppedBy.WORK,
        work=0,
    )
    return write_up(job, offered, problem, result, ordered)


@settings(max_examples=400)
@given(data=st.data())
def test_a_laid_out_tree_replays(data: st.DataObject) -> None:
    """Random trees, trims, kerfs and reaches: sound or refused, never anything else."""
    shop = Shop(
        saws=tuple(data.draw(st.lists(saws(), min_size=1, max_size=3, unique_by=str)))
    )
    kerf = max(saw.kerf for saw in shop.saws)
    trim = Edges(
        low_x=data.draw(st.integers(0, 8)),
        high_x=data.draw(st.integers(0, 8)),
        low_y=data.draw(st.integers(0, 8)),
        high_y=data.draw(st.integers(0, 8)),
    )
    stock = Stock(
        id="ply",
        material="ply",
        form=Form.SHEET,
        length=data.draw(st.integers(300, 2500)),
        width=data.draw(st.integers(200, 1300)),
        thickness=18,
        trim=trim,
        price_cents=100,
    )
    splitter = Splitter(data, kerf, [])
    plane = data.draw(st.sampled_from([Plane.RIP, Plane.CROSSCUT]))
    tree = splitter.tree(stock.usable_length, stock.usable_width, plane, 3)
    try:
        plan = plan_of(tree, splitter.sizes, stock, shop)
    except InfeasibleError as refused:
        assert any(
            limit is not None
            for saw in shop.saws
            for limit in (
                saw.longest_cut,
                saw.widest_rip,
                saw.narrowest_rip,
                saw.widest_crosscut,
            )
        ) or not any(saw.planes == BOTH for saw in shop.saws)
        event("refused")
        assert "no saw" in str(refused)  # noqa: PT017  # either ending is right
        return
    assert [str(violation) for violation in verify(plan)] == []
