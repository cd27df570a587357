"""What is wrong in the files: file and line, the line as written, what to do.

Everything else of the program goes on working beside it; a file that is mended while the
page is open leaves the list by itself.
"""

from __future__ import annotations

from pathlib import Path
from typing import ClassVar

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from readiness.toml.problems import Problem
from tui.actions import bindings_of
from tui.screens.base import BaseScreen, Keys, Title
from tui.view import View

__all__ = ["ProblemsScreen"]


class ProblemsScreen(BaseScreen):
    """The problems in one list, the marked one in full below it."""

    NAME = "problems"
    ABOUT = (
        "What is wrong, or odd, in the files: an error keeps a file from being read, a warning does not. "
        "Mend it in any editor and save; this page follows."
    )
    BINDINGS: ClassVar = bindings_of("problems")

    def compose(self) -> ComposeResult:
        """Lay the screen out."""
        yield Title(id="title")
        yield OptionList(id="problems", markup=False)
        with VerticalScroll(id="excerpt"):
            yield Static(id="problem-text")
        yield Keys()

    problems: tuple[Problem, ...] = ()

    def show(self, view: View) -> None:
        """Take a new list of problems."""
        self.problems = view.problems
        count = len(self.problems)
        self.tell_title("No problems in the files" if not count else f"Problems in the files ({count})")
        options = self.query_one(OptionList)
        marked = options.highlighted or 0
        options.set_options(Option(self._line(one)) for one in self.problems)
        options.highlighted = min(marked, count - 1) if count else None
        if not count:
            self.query_one("#problem-text", Static).update("Everything could be read.")

    def _line(self, problem: Problem) -> Content:
        place = problem.place
        return Content(f"{problem.severity:<7}  {place.file.name}:{place.line}  {problem.message}")

    def on_option_list_option_highlighted(self, event: OptionList.OptionHighlighted) -> None:
        """Show the marked problem in full."""
        text = self.desk.problem_text(self.problems[event.option_index])
        self.query_one("#problem-text", Static).update(Content(text))

    def place(self) -> tuple[Path, int] | None:
        """Return where the marked problem is."""
        marked = self.query_one(OptionList).highlighted
        where = self.problems[marked].place if marked is not None else None
        return (where.file, where.line) if where else None

    def action_copy(self) -> None:
        """Copy the marked problem."""
        marked = self.query_one(OptionList).highlighted
        if marked is not None:
            self.app.copy_to_clipboard(self.desk.problem_text(self.problems[marked]))
            self.notify("Copied.")
