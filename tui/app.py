"""The program: themes, the screens' stack, and the one worker that reads the files.

It decides nothing. The watcher reads the studio, looks twice a second whether a file was saved,
and every new view is handed to all open screens. Nothing is sent anywhere.
"""

from __future__ import annotations

import os
from collections.abc import Iterable

from textual import events, work
from textual.app import SystemCommand
from textual.screen import Screen

from tui.actions import EVERYWHERE, actions_of
from tui.desk import Desk
from tui.edge import OneAtATime
from tui.goto import GoToStudent
from tui.looks import LID, PAGE, borrowed
from tui.messages import Reading, ViewRead
from tui.screens.base import Sheet
from tui.screens.studio import StudioScreen
from tui.turns import Turns
from tui.view import View
from tui.watching import Watcher

__all__ = ["Browse"]


class Browse(OneAtATime):
    """The screens for a teacher."""

    TITLE = "readiness"
    CSS_PATH = "browse.tcss"
    COMMANDS = OneAtATime.COMMANDS | {GoToStudent}
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (110, "-wide")]  # noqa: RUF012 - Textual's own
    VERTICAL_BREAKPOINTS = [(0, "-low"), (34, "-tall")]  # noqa: RUF012 - Textual's own

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
        """Put the two faces in place, show the first screen, begin to read."""
        self.register_theme(LID)
        self.register_theme(PAGE)
        if "TEXTUAL_THEME" not in os.environ:
            self.theme = LID.name
        self.push_screen(StudioScreen())
        self.call_after_refresh(self.watch_files)

    def on_unmount(self) -> None:
        """Let the worker end at once."""
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
        """Read the files, and again whenever one is saved."""
        self._watcher.watch()

    def look_now(self) -> None:
        """Look at the files at once; something was written here, so that it changed is no news."""
        self._wrote = True
        self._watcher.look_now()

    def on_reading(self, message: Reading) -> None:
        """Show how far the first reading is."""
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
            self.notify("The files cannot be read now; what you see is from before. Key p shows the line.")
        elif not is_first and not is_ours:
            self.notify_changes(message.changes)
        elif is_first and self.first is not None:
            self.go_to(self.first)

    def _sheets(self) -> list[Sheet]:
        """Return the screens that are laid out; one that is not yet takes what is known when it is."""
        return [one for one in self.screen_stack if isinstance(one, Sheet) and one.is_mounted]

    def go_to(self, student: str) -> None:
        """Show why a student moves up or not, from wherever one is."""
        from tui.screens.why import WhyScreen

        if self.view is None or student not in self.view.by_id:
            return
        while len(self.screen_stack) > 2:
            self.pop_screen()
        self.push_screen(WhyScreen(student))

    def open(self, what: str, sheet: Sheet) -> None:
        """Open another screen from one that is shown."""
        from tui.opening import screen_from

        screen = screen_from(sheet, what)
        if screen is not None:
            self.push_screen(screen)

    async def action_quit(self) -> None:
        """Leave, unless something was entered that could not be kept."""
        lost = next((words for sheet in self._sheets() if (words := sheet.unkept())), "")
        if lost:
            self.notify(lost, severity="error", timeout=20)
        else:
            self.exit()

    def get_system_commands(self, screen: Screen[object]) -> Iterable[SystemCommand]:
        """Offer every action of the screen, and the few of the program itself."""
        name = screen.NAME if isinstance(screen, Sheet) else EVERYWHERE
        for row in actions_of(name):
            yield SystemCommand(
                row.help, f"key {row.all_keys}", screen.doing(row) if isinstance(screen, Sheet) else self.bell
            )
        yield SystemCommand(
            "Choose colours", "the lid (dark), the page (light), or another theme", self.action_change_theme
        )
        yield SystemCommand("Leave", "leave the program; nothing is lost (ctrl+q)", self.action_quit)
