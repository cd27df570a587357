"""One key after the other: the next one waits until the one before has had its effect.

Left to themselves, letters are taken by the field with the cursor at once, while keys that are
commands (also a field's own: backspace, Enter) first travel up to the program. Typed fast, or
while files are being read, letters then overtake them: deleting deletes the wrong letter, and the
first letter after "remark" is a command. So each key is followed along its way by a small mark,
and the next one is given out when the mark has arrived. Nothing is dropped, nothing changes place.
"""

from __future__ import annotations

import asyncio
from collections import deque
from collections.abc import Iterator
from typing import TYPE_CHECKING, Any, Final

from textual import events
from textual.message_pump import MessagePump

if TYPE_CHECKING:
    from textual.app import App

__all__ = ["Turns"]

TIMES: Final = 2
"""A key comes up to the program and does something there; what that sets off comes up once more."""
PATIENCE: Final = 0.5
"""Seconds to wait for a part of the screen that may be gone by now."""


class Turns:
    """The keys of one program, given out one by one."""

    def __init__(self, app: App[Any]) -> None:
        """Begin with no key waiting."""
        self._app = app
        self._waiting: deque[events.Key] = deque()
        self._turn: events.Key | None = None
        self._following: asyncio.Task[None] | None = None

    @property
    def at_rest(self) -> bool:
        """Whether every key that was typed has had its effect."""
        return self._following is None

    def has_turn(self, key: events.Key) -> bool:
        """Return whether a key may be given out now; one that may not waits here and comes again."""
        if self._following is None or key is self._turn:
            return True
        self._waiting.append(key)
        return False

    def follow(self) -> None:
        """Wait, beside everything else, until the key that was given out has had its effect."""
        if self._following is None or self._turn is not None:
            self._turn = None
            self._following = asyncio.create_task(self._follow())

    async def _follow(self) -> None:
        for _ in range(TIMES):
            for pump in self._way():
                await _passed(pump)
        if self._waiting and self._app.is_running:
            self._turn = self._waiting.popleft()
            self._app.post_message(self._turn)
        else:
            self._following = None

    def _way(self) -> Iterator[MessagePump]:
        """Yield what a key comes by, from the cursor up to the program, where it may move the cursor."""
        start = self._app.focused or self._app.screen
        yield from (one for one in start.ancestors_with_self if one is not self._app)
        yield self._app
        yield self._app
        yield self._app.screen


async def _passed(pump: MessagePump) -> None:
    """Wait until all that lies before a part of the screen now has been dealt with."""
    done = asyncio.Event()
    if pump.is_running and pump.call_later(done.set):
        try:
            await asyncio.wait_for(done.wait(), PATIENCE)
        except TimeoutError:
            return
