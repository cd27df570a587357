"""The program: themes, the screens' stack, and the one worker that reads the files.

It decides nothing. The watcher reads the studio, looks up to twice a second whether a file was saved,
and every new view is handed to all open screens. Nothing is sent anywhere.
"""

from __future__ import annotations

import asyncio
import os
from collections import deque
from collections.abc import Iterable, Iterator, Sequence
from contextlib import suppress
from functools import partial
from typing import TYPE_CHECKING, Any, Final, cast

from textual import events, work
from textual.app import App, SystemCommand
from textual.command import DiscoveryHit, Hit, Hits, Provider
from textual.message_pump import MessagePump
from textual.notifications import SeverityLevel
from textual.screen import Screen

from readiness.words.english import verdict_brief
from tui.actions import EVERYWHERE, actions_of, with_keys
from tui.desk import Desk
from tui.messages import Reading, ViewRead
from tui.screens.base import BaseScreen
from tui.screens.page import TextPage
from tui.screens.studio import StudioScreen
from tui.theme import FEW_COLOURS, LID, PAGE, borrowed
from tui.view import View
from tui.watching import Watcher

if TYPE_CHECKING:
    from tui.screens.base import Program
    from tui.view import StudentRow

__all__ = ["Browse", "GoToStudent", "OneAtATime", "Turns"]

# One key after the other: the next one waits until the one before has had its effect.
#
# Left to themselves, letters are taken by the field with the cursor at once, while keys that are
# commands (also a field's own: backspace, Enter) first travel up to the program. Typed fast, or
# while files are being read, letters then overtake them: deleting deletes the wrong letter, and the
# first letter after "remark" is a command. So each key is followed along its way by a small mark,
# and the next one is given out when the mark has arrived, and what the key wrote has been read again: a
# lesson opened at once after another one knows of it. Nothing is dropped, nothing changes place.

TIMES: Final = 2
"""A key comes up to the program and does something there; what that sets off comes up once more."""
LEAVING: Final = ("ctrl+q", "ctrl+c")
"""Keys that wait for nothing."""
PATIENCE: Final = 0.5
"""Seconds to wait for a part of the screen that may be gone by now."""


class Turns:
    """The keys of one program, given out one by one."""

    def __init__(self, app: App[Any]) -> None:
        self._app = app
        self._waiting: deque[events.Key] = deque()
        self._turn: events.Key | None = None
        self._following: asyncio.Task[None] | None = None
        self._is_open = False
        self._is_read = asyncio.Event()

    @property
    def at_rest(self) -> bool:
        """Whether every key that was typed has had its effect."""
        return self._following is None

    def has_turn(self, key: events.Key) -> bool:
        """Return whether a key may be given out now; one that may not waits here and comes again."""
        is_free = self._is_open and self._following is None
        if is_free or key is self._turn or key.key in LEAVING:
            return True
        self._waiting.append(key)
        return False

    def open(self) -> None:
        """Give out what was typed before there was anything to act upon, and from now on every key."""
        self._is_read.set()
        if not self._is_open:
            self._is_open = True
            self._following = asyncio.create_task(self._follow())

    def hold(self) -> None:
        """Let the next key wait until what was written has been read again."""
        self._is_read.clear()

    def follow(self) -> None:
        """Wait, beside everything else, until the key that was given out has had its effect."""
        if self._following is None or self._turn is not None:
            self._turn = None
            self._following = asyncio.create_task(self._follow())

    async def _follow(self) -> None:
        for _ in range(TIMES):
            for pump in self._way():
                await _passed(pump)
        with suppress(TimeoutError):  # where nothing was changed, there is nothing to wait for
            async with asyncio.timeout(PATIENCE):
                await self._is_read.wait()
        self._is_read.set()
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
    if pump.is_running and pump.post_message(events.Callback(callback=done.set)):
        with suppress(TimeoutError):
            async with asyncio.timeout(PATIENCE):
                await done.wait()


# What is said at the upper edge of the screen: one short message at a time.
#
# A new message takes the place of the one before, so that none covers what people work on. News
# of saved files wait until nothing more serious stands there; the map's key v keeps them.


class OneAtATime(App[None]):
    """A program that says one thing at a time at the edge, and keeps what it said."""

    def __init__(self) -> None:
        super().__init__()
        self.said: deque[str] = deque(maxlen=99)

    def notify(
        self,
        message: str,
        *,
        title: str = "",
        severity: SeverityLevel = "information",
        timeout: float | None = None,
        markup: bool = False,
    ) -> None:
        """Say something at the edge as it is, without markup."""
        message = with_keys(message, getattr(self.screen, "NAME", ""))
        self.said.appendleft(message)
        super().notify(message, title=title, severity=severity, timeout=timeout, markup=markup)

    def on_notify(self) -> None:
        """Let what is said now take the place of what was said before."""
        self.clear_notifications()

    def clear_notifications(self) -> None:
        """Take away what is said, with the empty holders that Textual leaves behind."""
        super().clear_notifications()
        for screen in self.screen_stack:
            screen.query("ToastHolder").remove()

    def notify_changes(self, changes: Sequence[str]) -> None:
        """Say whose answer a saved file changed, unless a warning stands there."""
        if not changes or any(one.severity != "information" for one in self._notifications):
            return
        more = f" (and {len(changes) - 1} more: key v on the map)" if len(changes) > 1 else ""
        self.notify(f"A file was saved. {changes[0]}{more}")


# The command palette's "go to student ...": type part of a name, press Enter.


class GoToStudent(Provider):
    """Offers every student that can be read."""

    async def search(self, query: str) -> Hits:
        """Yield the students whose name fits."""
        matcher = self.matcher(query)
        for row in self._rows():
            title = self._title(row)
            if (score := matcher.match(title)) > 0:
                help_ = verdict_brief(row.answer)
                yield Hit(score, matcher.highlight(title), self._doing(row), help=help_)

    async def discover(self) -> Hits:
        """Yield the first students, so that the way is seen before anything is typed."""
        for row in self._rows()[:8]:
            yield DiscoveryHit(self._title(row), self._doing(row), help=verdict_brief(row.answer))

    def _rows(self) -> tuple[StudentRow, ...]:
        view = cast("Program", self.app).view
        return view.rows if view else ()

    def _title(self, row: StudentRow) -> str:
        return f"Go to {row.record.name}"

    def _doing(self, row: StudentRow) -> partial[None]:
        return partial(cast("Program", self.app).go_to, row.record.id)


class Browse(OneAtATime):
    """The screens for a teacher."""

    TITLE = "readiness"
    CSS_PATH = "browse.tcss"
    COMMANDS = OneAtATime.COMMANDS | {GoToStudent}
    HORIZONTAL_BREAKPOINTS = [(0, "-tiny"), (34, "-slim"), (72, "-narrow"), (110, "-wide")]  # noqa: RUF012 - Textual's own
    VERTICAL_BREAKPOINTS = [(0, "-flat"), (10, "-short"), (22, "-low"), (34, "-tall")]  # noqa: RUF012 - Textual's own

    def __init__(self, desk: Desk, first: str | None = None) -> None:
        """Open on a desk; ``first`` is a student to begin with."""
        super().__init__()
        self.desk = desk
        self.first = first
        self.view: View | None = None
        self.is_whole = False
        self.changes: tuple[str, ...] = ()
        self._wrote = False
        self.turns = Turns(self)
        self._watcher = Watcher(desk, self.post_message)
        self.register_theme(LID)
        self.register_theme(PAGE)
        if "TEXTUAL_THEME" not in os.environ:
            self.theme = LID.name  # told now, every rule is parsed once
            self.stylesheet.set_variables(self.get_css_variables())

    @property
    def mistake(self) -> Exception | None:
        """What went wrong in this program and ended the screens, if anything did."""
        return self._exception

    def _print_error_renderables(self) -> None:
        """Print none of it: with the values that Textual adds it would show what was noted of a child."""
        self._exit_renderables.clear()

    def get_theme_variable_defaults(self) -> dict[str, str]:
        """Lend our few colours to the themes that do not name them."""
        return borrowed(self.current_theme)

    def on_mount(self) -> None:
        """Take the colours that were chosen, show the first screen, begin to read."""
        if "TEXTUAL_THEME" not in os.environ:
            chosen = self.desk.look
            is_poor = self.console.color_system in ("standard", "windows") and not self.is_headless
            usual = FEW_COLOURS if is_poor else LID.name
            self.theme = chosen if chosen in self.available_themes else usual
        self._is_dressed = True
        self.push_screen(StudioScreen())
        self.call_after_refresh(self.watch_files)

    def watch_theme(self, theme: str) -> None:
        if self._is_dressed:
            self.desk.keep_look(theme)

    _is_dressed = False

    def on_unmount(self) -> None:
        self._watcher.close()

    async def on_event(self, event: events.Event) -> None:
        """Give keys out one by one, and let the watcher stand back while somebody types."""
        if not isinstance(event, events.Key) or event.is_forwarded:
            await super().on_event(event)
        elif self.turns.has_turn(event):
            self._watcher.typed()
            await super().on_event(event)
            self.turns.follow()

    @work(thread=True, exclusive=True, group="reading")
    def watch_files(self) -> None:
        self._watcher.watch()

    def look_now(self) -> None:
        """Look at the files at once; something was written here, so that it changed is no news."""
        self._wrote = True
        self.turns.hold()
        self._watcher.look_now()

    def on_reading(self, message: Reading) -> None:
        for sheet in self._sheets():
            sheet.show_progress(message.done, message.of)

    def on_view_read(self, message: ViewRead) -> None:
        """Hand a new view to every open screen."""
        is_first = self.view is None
        self.view, self.is_whole = message.view, message.is_whole
        if message.changes:
            self.changes = message.changes
        for sheet in self._sheets():
            sheet.show(message.view)
        is_ours, self._wrote = self._wrote, False
        if not is_first and message.view.is_old:
            if not self.screen.query("#banner"):  # which says more
                told = "The files cannot be read now; what you see is from before."
                self.notify(f"{told} Key p shows the line.")
        elif not is_first and not is_ours:
            self.notify_changes(message.changes)
        elif is_first and self.first is not None:
            self.go_to(self.first)
        self.turns.open()

    def _sheets(self) -> list[BaseScreen]:
        """Return the screens that are laid out; one that is not yet takes what is known when it is."""
        return [one for one in self.screen_stack if isinstance(one, BaseScreen) and one.is_laid_out]

    def go_to(self, student: str) -> None:
        """Show why a student moves up or not, from wherever one is."""
        from tui.screens.why import WhyScreen

        if self.view is None or student not in self.view.by_id:
            return
        while len(self.screen_stack) > 2:
            self.pop_screen()
        self.push_screen(WhyScreen(student))

    def open(self, what: str, sheet: BaseScreen) -> None:
        """Open another screen from one that is shown."""
        from tui.opening import screen_from

        screen = screen_from(sheet, what)
        if screen is not None:
            self.push_screen(screen)

    async def action_quit(self) -> None:
        """Leave, unless something was entered that could not be kept."""
        lost = next((words for sheet in self._sheets() if (words := sheet.unkept())), "")
        if not lost:
            self.exit()
        elif not isinstance(self.screen, TextPage):
            self.push_screen(TextPage(f"{lost}\n\nEnter or Escape closes this."))

    def get_system_commands(self, screen: Screen[object]) -> Iterable[SystemCommand]:
        """Offer every action of the screen, and the few of the program itself."""
        name = screen.NAME if isinstance(screen, BaseScreen) else EVERYWHERE
        for row in actions_of(name):
            does = screen.doing(row) if isinstance(screen, BaseScreen) else self.bell
            yield SystemCommand(row.help, f"key {row.all_keys}", does)
        yield SystemCommand(
            "Choose colours", "the lid (dark), the page (light), or another theme", self.action_change_theme
        )
        yield SystemCommand("Leave", "leave the program; nothing is lost (ctrl+q)", self.action_quit)
