"""Reads the studio again whenever a file was saved, and works everybody's answer out, beside the screens.

Of many students the list is handed over before their answers are worked out; what is seen is then
worked out first, by whoever draws it. While somebody types, this stands back: no key waits for
what nobody is looking at. Nor does a key wait while memory is tidied: with a few thousand records
that takes long enough to be felt, so it is done once after a reading, when no key has come for a while.
"""

from __future__ import annotations

import gc
from collections.abc import Callable
from threading import Event
from time import monotonic, sleep, thread_time
from typing import Final

from textual.message import Message

from tui.desk import Desk
from tui.messages import Reading, ViewRead
from tui.view import View, differences

__all__ = ["Watcher"]

LOOK_EVERY, AT_LEAST_EVERY, SHARE = 0.5, 1.5, 0.007
"""Seconds between two looks at the files, at most of many files; what share of the time looking may take."""
AT_ONCE: Final = 100
"""So many answers are worked out before anything is handed over."""
TYPING, STAND_BACK = 0.2, 0.01
"""Seconds after a key in which somebody is typing; seconds to stand back after each student then."""
AT_REST: Final = 2.0
"""Seconds without a key after which memory is tidied."""


class Watcher:
    """Watches one studio, in a thread of its own.

    Args:
        desk: which reads the studio.
        post: takes what there is to say.
    """

    def __init__(self, desk: Desk, post: Callable[[Message], object]) -> None:
        self._desk, self._post = desk, post
        self._wake = Event()
        self._closing = False
        self._is_first = True
        self._typed_at = -AT_REST
        self._known: object = None
        self._told: View | None = None
        self._stand_back = sleep

    def typed(self) -> None:
        """Take that a key was pressed."""
        self._typed_at = monotonic()

    def look_now(self) -> None:
        """Look at the files at once; something was written."""
        self._wake.set()

    def close(self) -> None:
        """End at once."""
        self._closing = True
        self._wake.set()

    def watch(self) -> None:
        """Read, and read again whenever a file was saved or a new day began, until it is closed."""
        try:
            while not self._closing:
                self._wake.clear()
                began = thread_time()
                stamps = self._desk.stamps()
                rest = min(AT_LEAST_EVERY, max(LOOK_EVERY, (thread_time() - began) / SHARE))
                if stamps != self._known:
                    gc.disable()
                    self._read(stamps)
                elif not gc.isenabled() and not self._is_typing(AT_REST):
                    gc.unfreeze()
                    gc.collect()
                    _put_away()
                self._wake.wait(rest)
        finally:
            _put_away()

    def _read(self, stamps: object) -> None:
        """Read, and hand over what was read; what was written meanwhile, the next look reads."""
        view = self._desk.read(self._progress)
        if view.is_shut and self._told is not None and self._told.problems == view.problems:
            self._known = None
        elif self._work_out(view):
            self._known = self._desk.stamps() if self._is_first else stamps
            self._post(ViewRead(view, differences(self._told, view)))
            if self._is_first:
                _put_away()
            self._told, self._is_first = view, False
            if view.is_shut:
                self._known = None
        else:
            self._known = None

    def _work_out(self, view: View) -> bool:
        """Work out everybody's answer; False when something was written meanwhile."""
        waiting = [row for row in view.rows if not row.is_worked_out]
        if len(waiting) > AT_ONCE:
            self._post(ViewRead(view, is_whole=False))
        for done, row in enumerate(waiting, 1):
            if self._wake.is_set():
                return False
            row.work_out()
            self._progress(done, len(waiting))
        _ = view.agenda
        return True

    def _is_typing(self, lately: float) -> bool:
        return monotonic() - self._typed_at < lately

    def _progress(self, done: int, of: int) -> None:
        if self._is_first and (done % 25 == 0 or done == of):
            self._post(Reading(done, of))
        if self._is_typing(TYPING):
            self._stand_back(STAND_BACK)


def _put_away() -> None:
    """Put all there is where the collector need not walk it, and let it collect again."""
    gc.freeze()
    gc.enable()
