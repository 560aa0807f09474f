"""Two searches for the same thing, which share the best they have after every epoch.

With many parts both look at patches of a few sheets in place of the whole (`squeeze`).
"""

from __future__ import annotations

from typing import Final

from nesting.solve.sheets.engine import Engine
from nesting.solve.sheets.forest import COST, OUT_AREA, Forest
from nesting.solve.sheets.instance import Instance
from nesting.solve.sheets.replant import keeps_rules
from nesting.solve.sheets.sets_seen import Notes
from nesting.solve.sheets.squeeze import Patch, Squeeze

MANY_PARTS: Final = 150
_WHOLE: Final = 1_000_000  # parts times iterations on the whole before the patches
_LOOK: Final = 1_000  # iterations of a patch, between two looks whether all is placed


class Team:
    """Two searches from different seeds; the second is there when it is asked for."""

    def __init__(
        self, instance: Instance, *, seed: int, bound: int, start: Forest | None = None
    ) -> None:
        self.instance = instance
        self._seed = seed
        self._bound = bound
        self.engines = [Engine(instance, seed=seed, bound=bound, start=start)]
        self._squeeze: Squeeze | None = None
        self._patches: list[Patch] = []
        self._patched = 0
        self.notes: Notes | None = None
        """What the first search is to take notes in."""

    @property
    def first(self) -> Engine:
        """The search that is there from the start."""
        return self.engines[0]

    @property
    def second(self) -> Engine:
        """The other one, which begins at the best forest of the first."""
        if len(self.engines) == 1:
            self.engines.append(
                Engine(
                    self.instance,
                    seed=self._seed,
                    stream=1,
                    bound=self._bound,
                    start=self.first.best,
                )
            )
            if self.first.is_compiled:
                self.engines[1].compile()
        return self.engines[1]

    @property
    def best(self) -> Engine:
        """The search with the better forest."""
        return min(self.engines, key=lambda each: each.rank)

    @property
    def proven(self) -> bool:
        """Whether the best forest meets the bound."""
        return self.best.proven

    @property
    def done(self) -> int:
        """Iterations so far."""
        under_way = sum(patch.engine.done for patch in self._patches)
        return sum(each.done for each in self.engines) + self._patched + under_way

    @property
    def is_compiled(self) -> bool:
        """Whether the compiled kernels are in use."""
        return self.first.is_compiled

    @property
    def is_patching(self) -> bool:
        """Whether this epoch is spent on patches."""
        return bool(self._patches)

    @property
    def is_patched(self) -> bool:
        """Whether there are many different parts, so that patches do most of it."""
        return self._squeeze is not None and (
            len(self.instance.problem.parts) > MANY_PARTS
        )

    def compile(self) -> None:
        """Go on compiled."""
        for each in self.engines:
            each.compile()

    def raise_bound(self, bound: int) -> None:
        """Take note of a better bound."""
        self._bound = max(self._bound, bound)
        for each in self.engines:
            each.raise_bound(bound)

    def share(self, forest: Forest | None = None) -> None:
        """Let every search go on from the best forest there is."""
        if forest is None:
            forest = self.best.best
        rank = forest[4][OUT_AREA], forest[4][COST]
        for each in self.engines:
            if rank < each.rank:
                each.adopt(forest)

    def begin(self, lanes: int) -> None:
        """Get ready for an epoch in so many lanes, one or two."""
        if lanes > 1:
            _ = self.second
        best = self.best
        if (
            self.instance.count <= MANY_PARTS
            or not self.is_compiled
            or best.unplaced
            or self.done * self.instance.count < _WHOLE
        ):
            return
        if self._squeeze is None or best.cost < self._squeeze.cost:
            self._squeeze = Squeeze(best.best, self.instance, seed=self._seed)
        for _ in range(lanes):
            taken = [number for patch in self._patches for number in patch.taken]
            patch = self._squeeze.patch(taken)
            if patch is not None:
                self._patches.append(patch)

    def work(self, lane: int, iterations: int) -> None:
        """Search on in one lane, which may be done at the same time as the other."""
        if not self._patches:
            notes = self.notes.book if self.notes is not None and not lane else None
            self.engines[lane].search(iterations, notes=notes)
        elif lane < len(self._patches):
            engine = self._patches[lane].engine
            while engine.unplaced and engine.done < iterations:
                engine.search(min(_LOOK, iterations - engine.done))

    def end(self) -> None:
        """Share what an epoch has come to."""
        if self._squeeze is not None and self._patches:
            patches, self._patches = self._patches, []
            self._patched += sum(patch.engine.done for patch in patches)
            self._squeeze.take_in(patches)
            if self._squeeze.cost < self.best.cost:
                forest = self._squeeze.forest
                if keeps_rules(forest, self.instance):
                    self.share(forest)
                else:
                    self._squeeze = None
        self.share()
