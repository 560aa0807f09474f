"""What a search shows while it runs, and how Ctrl-C stops it."""

from __future__ import annotations

import signal
import sys
import threading
from types import FrameType, TracebackType
from typing import TYPE_CHECKING, Any, Self

if TYPE_CHECKING:
    from nesting.model.problem import Progress


class Watch:
    """Progress on one line of a terminal, nothing in a pipe; the first Ctrl-C stops.

    The first interrupt asks the search to end with the best plan so far; a second one
    ends the program.
    """

    def __init__(self) -> None:
        self._stop = threading.Event()
        self._terminal = sys.stderr.isatty()
        self._shown = 0
        self._before: Any = None

    def __enter__(self) -> Self:
        """Take over the interrupt signal, where this thread may."""
        if threading.current_thread() is threading.main_thread():
            self._before = signal.signal(signal.SIGINT, self._interrupt)
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        """Give the signal back and clear the line."""
        if self._before is not None:
            signal.signal(signal.SIGINT, self._before)
        self._write("")

    def cancelled(self) -> bool:
        """Tell whether the maker asked the search to stop."""
        return self._stop.is_set()

    def progress(self, state: Progress) -> None:
        """Show where a search stands."""
        gap = 0 if state.value == 0 else 1 - state.lower_bound / state.value
        missing = f", {state.unplaced} still to place" if state.unplaced else ""
        self._write(
            f"{state.scope}: {100 * state.share:.0f} % searched, at most "
            f"{100 * max(gap, 0):.1f} % above the best there can be{missing} "
            "(Ctrl-C takes the best so far)"
        )

    def say(self, words: str) -> None:
        """Say something that takes a while, on a line of its own."""
        if self._terminal:
            self._write("")
            sys.stderr.write(f"{words}\n")
            sys.stderr.flush()

    def _interrupt(self, number: int, frame: FrameType | None) -> None:
        if self._stop.is_set():
            raise KeyboardInterrupt
        self._stop.set()

    def _write(self, words: str) -> None:
        if not self._terminal or (not words and not self._shown):
            return
        sys.stderr.write("\r" + words.ljust(self._shown))
        if not words:
            sys.stderr.write("\r")
        self._shown = len(words)
        sys.stderr.flush()
