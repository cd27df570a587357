"""The program: the stack of screens, which opens from which, and the one worker that reads the files.

It decides nothing. The watcher looks up to twice a second whether a file was saved, reads the studio again,
works everybody's answer out, and every new view is handed to all open screens. Nothing is sent anywhere.

Of many students the list is handed over before their answers are worked out; what is seen is then
worked out first, by whoever draws it. While somebody types, this stands back: no key waits for
what nobody is looking at. Nor does a key wait while memory is tidied: with a few thousand records
that takes long enough to be felt, so it is done once after a reading, when no key has come for a while.
"""

from __future__ import annotations

import asyncio
import gc
import os
import signal
from collections import deque
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import replace
from functools import partial
from threading import Event, Timer
from time import monotonic, sleep, thread_time
from types import MappingProxyType
from typing import Any, Final

from textual import events, work
from textual.app import App, SystemCommand
from textual.message import Message
from textual.message_pump import MessagePump
from textual.notifications import SeverityLevel
from textual.screen import Screen

from readiness.toml.write import Refusal
from readiness.words.cautions import caution
from readiness.words.english import called
from readiness.words.grammar import capital, tidy
from readiness.words.noting import half_entered_first
from tui.actions import EVERYWHERE, actions_of, with_keys
from tui.desk import AnswerDesk, Desk
from tui.screens.base import FEW_COLOURS, LID, PAGE, BaseScreen, borrowed
from tui.screens.course import CourseScreen, ProblemsScreen
from tui.screens.forms import AreYouSure, FormField, TextPage, WorkForm
from tui.screens.noting import LessonScreen, PlacingScreen
from tui.screens.step import DecideScreen, PauseScreen
from tui.screens.studio import StudioScreen
from tui.screens.why import AnswersScreen
from tui.view import StudentRow, View, differences
from tui.widgets import Reading, ViewRead, WordField
from tui.writing import LessonDesk

__all__ = ["Browse", "OneAtATime", "Turns", "Watcher", "screen_from"]


def screen_from(sheet: BaseScreen, what: str) -> Screen[Any] | None:
    """Return a screen to be opened from another; None where there is nothing to open, which is said."""
    if what == "problems":
        return ProblemsScreen()
    if what == "course":
        there = sheet.browse.view is not None and sheet.browse.view.course is not None
        return CourseScreen(sheet.student) if there else None
    row = sheet.row()
    if row is not None:
        return _OF_A_STUDENT[what](sheet, row)
    if what == "pause":
        sheet.notify(caution("C1"), severity="error", timeout=20)
    sheet.say_nobody()
    return None


def _lesson(sheet: BaseScreen, row: StudentRow, day: int | None = None) -> Screen[None]:
    """Return the lesson of a day; without one that of the line, which may be about a day that was missed."""
    desk = LessonDesk(sheet.desk, replace(row, day=day or sheet.lesson_day or row.day))
    return LessonScreen(desk) if desk.row.answer.placing is None else PlacingScreen(desk)


def _placing(sheet: BaseScreen, row: StudentRow) -> Screen[Any] | None:
    if row.answer.placing is not None:
        return _lesson(sheet, row)
    sheet.notify(f"{row.record.name} has begun a unit; placing is for a student who has not.")
    return None


def _another_day(sheet: BaseScreen, row: StudentRow) -> Screen[Any]:
    """Ask for the day, then open its lesson, or what is half entered of another day, once that is said."""
    said: list[int] = []

    def take(given: Mapping[str, str]) -> Refusal | str:
        try:
            day = sheet.desk.typed_day(given["day"], -1)
        except ValueError as error:
            return Refusal("day", str(error))
        if day > sheet.desk.latest_day:
            return Refusal("day", "that day has not come yet.")
        begun = sheet.desk.begun(row)
        if begun is not None and begun.on != day and day not in said:
            said[:] = [day]
            return Refusal("shown", half_entered_first(begun, day))
        sheet.app.call_later(sheet.app.push_screen, _lesson(sheet, row, day))
        return ""

    asked = FormField("day", "Which day was the lesson, as in tue, 9 Dec or 2025-12-09?")
    typed = sheet.desk.words("another day", row)
    return WorkForm(f"A lesson of another day · {tidy(row.record.name)}", [asked], take, typed)


_Opens = Callable[[BaseScreen, StudentRow], Screen[Any] | None]
_OF_A_STUDENT: Final[Mapping[str, _Opens]] = MappingProxyType({
    "lesson": _lesson,
    "another day": _another_day,
    "placing": _placing,
    "answers": lambda sheet, row: AnswersScreen(AnswerDesk(sheet.desk, row.record.id)),
    "decision": lambda _sheet, row: DecideScreen(row),
    "pause": lambda _sheet, row: PauseScreen(row),
})


LOOK_EVERY, AT_LEAST_EVERY, SHARE = 0.5, 1.5, 0.007
"""Seconds between two looks at the files, at most of many files; what share of the time looking may take."""
AT_ONCE: Final = 100
"""So many answers are worked out before anything is handed over."""
TYPING, STAND_BACK = 0.2, 0.01
"""Seconds after a key in which somebody is typing; seconds to stand back after each student then."""
AT_REST: Final = 2.0
"""Seconds without a key after which memory is tidied."""


class Watcher:
    """Watches the studio of a ``desk`` in a thread of its own; ``post`` takes what there is to say."""

    def __init__(self, desk: Desk, post: Callable[[Message], object]) -> None:
        self._desk, self._post = desk, post
        self._wake = Event()
        self._closing = False
        self._asked = self._looked = 0
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
        self._asked += 1
        self._wake.set()

    @property
    def is_behind(self) -> bool:
        """Whether something was written that has not been read yet."""
        return self._looked < self._asked

    def close(self) -> None:
        """End at once."""
        self._closing = True
        self._wake.set()

    def watch(self) -> None:
        """Read, and read again whenever a file was saved or a new day began, until it is closed."""
        try:
            while not self._closing:
                self._wake.clear()
                began, asked = thread_time(), self._asked
                stamps = self._desk.stamps()
                rest = min(AT_LEAST_EVERY, max(LOOK_EVERY, (thread_time() - began) / SHARE))
                if stamps != self._known:
                    gc.disable()
                    self._read(stamps, asked)
                else:
                    self._looked = asked
                    self._tidy()
                self._wake.wait(rest)
        finally:
            _put_away()

    def _tidy(self) -> None:
        """Tidy memory after a reading, where nobody is typing."""
        if not gc.isenabled() and not self._is_typing(AT_REST):
            gc.unfreeze()
            gc.collect()
            _put_away()

    def _read(self, stamps: object, asked: int) -> None:
        """Read, and hand over what was read; what was written meanwhile, the next look reads."""
        view = self._desk.read(self._progress)
        if view.is_shut and self._told is not None and self._told.problems == view.problems:
            self._known, self._looked = None, asked
        elif self._work_out(view):
            self._known = self._desk.stamps() if self._is_first else stamps
            self._looked = asked
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
LEAVING_SECONDS: Final = 5.0
"""So long a terminal that may be closed is given back, before the program ends without."""
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
# A new message takes the place of the one before, and it goes with the screen on which it was said, so
# that none covers what people work on or contradicts it. News of saved files wait until nothing more
# serious stands there; the map's key v keeps them.


class OneAtATime(App[None]):
    """A program that says one thing at a time at the edge, and keeps what it said."""

    def __init__(self) -> None:
        super().__init__()
        self.said: deque[str] = deque(maxlen=99)
        self._turn = self._said_in = 0
        """How many keys and clicks there were, and were when something was said last."""

    def on_screen_changed(self, _screen: Screen[Any]) -> None:
        """Take away what was said before the key, or the click, that led to another screen."""
        if self._said_in < self._turn:
            self.clear_notifications()

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
        self._said_in = self._turn
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


class Browse(OneAtATime):
    """The screens for a teacher."""

    TITLE = "readiness"
    CSS_PATH = "browse.tcss"
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
        self.screen_change_signal.subscribe(self, self.on_screen_changed)
        self.push_screen(StudioScreen())
        self.call_after_refresh(self.watch_files)
        self.set_interval(1, self.hold)
        for asked in () if self.is_headless else signal.Signals:
            if asked.name in ("SIGTERM", "SIGHUP"):
                with suppress(NotImplementedError, RuntimeError, ValueError):  # the other system
                    asyncio.get_running_loop().add_signal_handler(asked, self._end)

    def watch_theme(self, theme: str) -> None:
        if self._is_dressed:
            self.desk.keep_look(theme)

    _is_dressed = False

    def on_unmount(self) -> None:
        self._watcher.close()

    async def on_event(self, event: events.Event) -> None:
        """Give keys out one by one, and let the watcher stand back while somebody types."""
        if isinstance(event, events.MouseDown):
            self._turn += 1
        if not isinstance(event, events.Key) or event.is_forwarded:
            await super().on_event(event)
        elif self.turns.has_turn(event):
            self._turn += 1
            self._watcher.typed()
            await super().on_event(event)
            self.turns.follow()

    @work(thread=True, exclusive=True, group="reading")
    def watch_files(self) -> None:
        self._watcher.watch()

    @property
    def is_behind(self) -> bool:
        """Whether something was written here that has not been read again yet."""
        return self._watcher.is_behind

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
                self.notify(f"{told} `readiness check` shows the line.")
        elif not is_first and not is_ours:
            self.notify_changes(message.changes)
        elif is_first and self.first is not None:
            self.go_to(self.first)
        if not self.is_behind:
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
        screen = screen_from(sheet, what)
        if screen is not None:
            self.push_screen(screen)

    def _end(self) -> None:
        """Leave at once, as the system asks: what can be kept is, and the terminal is given back."""
        for sheet in self._sheets():
            sheet.unkept()
        self.hold()
        gone = Timer(LEAVING_SECONDS, os._exit, [1])  # a terminal that was closed is waited for in vain
        gone.daemon = True
        gone.start()
        self.exit()

    async def action_quit(self) -> None:
        """Leave, unless something was entered that could not be kept; ask where words were not written."""
        lost = next((words for sheet in self._sheets() if (words := sheet.unkept())), "")
        self.hold()
        typed = self.desk.unwritten_now()
        if not lost and not typed:
            self.exit()
        elif isinstance(self.screen, TextPage | AreYouSure):
            self.bell()
        elif lost:
            self.push_screen(TextPage(f"{lost}\n\nEnter or Escape closes this."))
        else:
            asked = AreYouSure(f"{typed} Leave without it?", "Leave", is_usual=False)
            self.push_screen(asked, self._leave_without)

    def _leave_without(self, yes: int | None) -> None:
        if yes:
            for words in self.desk.typed.values():
                words.clear()
                words.keep()
            self.desk.typed.clear()
            self.exit()

    def action_help_quit(self) -> None:
        """Say to whoever presses ctrl+c where there is no field how the program is left."""
        self.notify("ctrl+q leaves the program.")

    def hold(self) -> None:
        """Remember what stands in the fields, as not written, and keep it for when the program is cut off."""
        for one in (self.screen, *self.screen.query(WordField)):
            if isinstance(one, WorkForm | WordField):
                one.hold()
        for words in self.desk.typed.values():
            if why_not := words.keep():
                self.notify(capital(why_not.message), severity="error")

    def get_system_commands(self, screen: Screen[object]) -> Iterable[SystemCommand]:
        """Offer every action of the screen, the students by name, and the few of the program itself."""
        name = screen.NAME if isinstance(screen, BaseScreen) else EVERYWHERE
        for row in actions_of(name):
            does = screen.doing(row) if isinstance(screen, BaseScreen) else self.bell
            yield SystemCommand(row.help, f"key {row.all_keys}", does)
        if self.view and any(row.id == "find" for row in actions_of(name)):  # nothing half entered is left
            for one, seen in self.view.by_id.items():
                title = f"Go to {called(tidy(seen.record.name), one, self.view.shared)}"
                yield SystemCommand(title, "why, or why not yet", partial(self.go_to, one), discover=False)
        yield SystemCommand(
            "Choose colours", "the lid (dark), the page (light), or another theme", self.action_change_theme
        )
        leave = "leave the program; it asks where something would be lost (ctrl+q)"
        yield SystemCommand("Leave", leave, self.action_quit)
