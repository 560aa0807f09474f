"""The ways to cut lumber to pieces before anything else: for damage, and for hauls.

For each stock that needs it, the dissections that the saws can cut are listed, those
that hold most of the blanks first. A choice takes one of each stock; a few are made.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final, TypeAlias

from nesting.errors import InfeasibleError
from nesting.model.blank import Blank
from nesting.model.plan import Layout
from nesting.model.problem import Problem
from nesting.model.stock import Stock
from nesting.model.terms import Form, Plane, ZoneKind
from nesting.model.tree import SheetTree, Tree
from nesting.solve.clear import (
    NOTHING,
    Dissection,
    Rect,
    dissections,
    is_damaged,
    usable,
)
from nesting.solve.groups import Group
from nesting.solve.hauled import in_a_row, is_hauled, sawing_places
from nesting.solve.layout import lay_out
from nesting.solve.reach import kerfs, ways_to_cut
from nesting.solve.shortened import shared_out, shortened
from nesting.units import Ticks

_MOST_TRIED: Final = 4
"""Choices of dissections."""

Choice: TypeAlias = Mapping[str, Dissection]
"""A dissection of each such stock that is used, by its id."""


def needs_cutting(stock: Stock, problem: Problem) -> bool:
    """Tell whether lumber is cut to pieces before anything else is thought of."""
    return is_damaged(stock) or is_hauled(stock, problem.haul)


class Ways:
    """The ways to cut the stock of one group to pieces.

    Parameters
    ----------
    each
        The blanks and their lumber.
    problem
        Whose saws cut it and whose haul it is.
    """

    def __init__(self, each: Group, problem: Problem) -> None:
        self.each = each
        self.problem = problem
        self.blanks = {demand.blank.id: demand.blank for demand in each.demands}
        self.stock = {one.id: one for one in each.stock}
        self.of = {
            one.id: self._dissected(one)
            for one in each.stock
            if needs_cutting(one, problem)
        }

    def choices(self) -> list[Choice]:
        """Return the choices: the best of each stock, others of one, the sound ones."""
        best = {name: ways[0] for name, ways in self.of.items() if ways}
        tried: list[Choice] = [best]
        for place in range(1, _MOST_TRIED):
            for name, ways in self.of.items():
                if place < len(ways) and len(tried) < _MOST_TRIED:
                    tried.append({**best, name: ways[place]})
        if best and len(self.of) < len(self.stock):
            tried.append({})
        return tried

    def lies(self, blank: Blank, stock: Stock) -> bool:
        """Tell whether stock, or some rectangle of it, holds a blank."""
        if stock.id not in self.of:
            return _fits(blank, stock, usable(stock))
        rects = [rect for way in self.of[stock.id] for rect in way.rects]
        return any(_fits(blank, stock, rect) for rect in rects)

    def _dissected(self, own: Stock) -> list[Dissection]:
        """Return the ways to cut stock that the saws can, those that hold most first.

        What no blank fits on is not cut free, unless it is kept.
        """
        widest = self._widest(own)
        haul, kerf = self.problem.haul, widest[Plane.CROSSCUT]
        rows: tuple[tuple[Ticks, ...], ...] = ((),)
        if haul is not None and is_hauled(own, haul):
            lengths = [demand.blank.length for demand in self.each.demands]
            rows = sawing_places(own, haul, lengths, kerf)
        found = []
        for row in rows:
            sawn = in_a_row(row)
            for way in dissections(own, widest, self.problem.longest_rough, haul, sawn):
                rects = self.rects(own.id, way)
                bare = way.tree(dict.fromkeys(rects, NOTHING))
                if rects and bare is not None and self.is_cut(own, bare):
                    found.append(way)
        found.sort(
            key=lambda way: (-self._held(own, way), -self._filled(own, way, kerf))
        )
        return found

    def _widest(self, own: Stock) -> dict[Plane, Ticks]:
        """Return the widest kerf of each plane."""
        ways = ways_to_cut(self.problem.saws, own.form, own.thickness)
        return {
            plane: (kerfs(ways, plane) or (0, 0))[1]
            for plane in (Plane.CROSSCUT, Plane.RIP)
        }

    def _held(self, own: Stock, way: Dissection) -> int:
        """Return the volume of the blanks that some rectangle of a dissection holds."""
        return sum(
            demand.quantity * demand.blank.volume
            for demand in self.each.demands
            if any(_fits(demand.blank, own, rect) for rect in way.rects)
        )

    def _filled(self, own: Stock, way: Dissection, kerf: Ticks) -> int:
        """Return how much of the length of its rectangles like blanks can fill."""
        return sum(
            max(
                (rect.length + kerf) // (blank.length + kerf) * blank.length
                for blank in self.blanks.values()
                if _fits(blank, own, rect)
            )
            for rect in self.rects(own.id, way)
        )

    def rects(self, name: str, way: Dissection) -> tuple[Rect, ...]:
        """Return the rectangles that hold a blank, the largest first."""
        return tuple(
            rect
            for rect in way.rects
            if any(_fits(b, self.stock[name], rect) for b in self.blanks.values())
        )

    def is_cut(self, own: Stock, tree: SheetTree) -> bool:
        """Tell whether the saws of the shop cut a tree on a piece of stock."""
        try:
            self.lay_out(own.id, tree)
        except InfeasibleError:
            return False
        return True

    def shortened(
        self, name: str, way: Dissection, filled: Mapping[Rect, Tree]
    ) -> SheetTree | None:
        """Return the tree of a dissection with the ends kept that its rips do not need.

        Where no end is gained by it, or no saw cuts it, it is the plain tree.
        """
        plain, own = way.tree(filled), self.stock[name]
        widest = self._widest(own)
        if plain is None or own.form is not Form.BOARD:
            return plain
        shared = plain
        if any(zone.kind is ZoneKind.PITH for zone in own.zones):
            sides = shared_out(filled, way.rects, blanks=self.blanks, kerfs=widest)
            shared = way.tree(sides) or plain
        for tree in (shared, plain):
            short = shortened(
                tree,
                own,
                blanks=self.blanks,
                offcuts=self.problem.offcuts,
                kerf=widest[Plane.CROSSCUT],
            )
            if short != tree and self.is_cut(own, short):
                return short
        return plain

    def lay_out(self, name: str, tree: SheetTree) -> Layout:
        """Lay a tree out on a piece of stock; raises where no saw cuts it."""
        return lay_out(
            tree,
            self.stock[name],
            self.problem.saws,
            blanks=self.blanks,
            offcuts=self.problem.offcuts,
            layout="-",
            rough=self.problem.longest_rough,
        )


def _fits(blank: Blank, stock: Stock, rect: Rect) -> bool:
    return (
        stock.section in blank.own_sections
        and blank.length <= rect.length
        and blank.width <= rect.width
    )
