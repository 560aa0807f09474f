"""Two lanes of work side by side: a search, and whatever else there is to do.

The lanes meet after every epoch, which both do a counted amount of work in. So what
comes out is the same whether they run at once on two cores or one after the other; the
compiled kernels let go of the interpreter while they work.
"""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from types import TracebackType
from typing import Self


class Lanes:
    """Runs two functions at once, or one after the other."""

    def __init__(self) -> None:
        self._pool: ThreadPoolExecutor | None = None

    def __enter__(self) -> Self:
        """Begin; no thread is started before there is work for it."""
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        """End the thread."""
        if self._pool is not None:
            self._pool.shutdown(wait=True)

    def run(
        self, first: Callable[[], None], second: Callable[[], None], *, at_once: bool
    ) -> None:
        """Run two functions that share nothing they change.

        Parameters
        ----------
        first
            Goes to the other thread; it is waited for, come what may.
        second
            Stays in this thread, which hears Ctrl-C.
        at_once
            Whether it pays to run them side by side.
        """
        if not at_once:
            first()
            second()
            return
        if self._pool is None:
            self._pool = ThreadPoolExecutor(max_workers=1)
        future = self._pool.submit(first)
        try:
            second()
        finally:
            future.result()
