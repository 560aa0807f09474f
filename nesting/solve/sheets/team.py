"""Two searches for the same thing, which now and then share the best they have."""

from __future__ import annotations

from nesting.solve.sheets.engine import Engine
from nesting.solve.sheets.forest import COST, OUT_AREA, Forest
from nesting.solve.sheets.instance import Instance


class Team:
    """Two searches for the same thing from different seeds; the second comes later."""

    def __init__(
        self, instance: Instance, *, seed: int, bound: int, start: Forest | None = None
    ) -> None:
        self.instance = instance
        self._seed = seed
        self._bound = bound
        self.engines = [Engine(instance, seed=seed, bound=bound, start=start)]

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
        return sum(each.done for each in self.engines)

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
