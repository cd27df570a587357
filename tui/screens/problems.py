"""What is wrong in the files: file and line, the line as written, what to do.

Everything else of the program goes on working beside it; a file that is mended while the
page is open leaves the list by itself.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Final

from textual.widget import Widget

from readiness.toml.problems import Problem
from tui.panes.reasons import Entry, Outline
from tui.screens.base import BaseScreen
from tui.view import View, spot

__all__ = ["ProblemsScreen"]

NONE: Final = "There is no problem in the files."


class ProblemsScreen(BaseScreen):
    """The problems in one list; each opens to its line as it is written."""

    NAME = "problems"
    ABOUT = (
        "What is wrong, or odd, in the files: an error (!) keeps a file from being read, a warning (?) "
        "does not. Mend it in any editor and save; this page follows."
    )

    def body(self) -> Iterator[Widget]:
        yield Outline(id="problems")

    problems: tuple[Problem, ...] = ()

    def show(self, view: View) -> None:
        """Take a new list of problems; the first is open."""
        self.problems = view.problems
        count = len(self.problems)
        self.tell_title(f"Problems in the files ({count})" if count else "No problems in the files")
        entries = [self._entry(one) for one in self.problems]
        outline = self.query_one(Outline)
        if outline.entries:
            outline.renew(entries)
        else:
            outline.tell(entries, [one.key for one in entries[:1]])

    def _entry(self, problem: Problem) -> Entry:
        """Return a problem that opens to its line as it is written, and what to do."""
        text = self.desk.problem_text(problem)
        behind = "\n".join(text.split("\n")[1:]) or problem.hint
        title = f"{spot(problem)}  {problem.message}"
        mark = "!" if problem.severity == "error" else "?"
        key = f"{problem.id} {problem.place} {problem.message}"
        return Entry(key, f"{mark} {title}", (Entry(f"{key} line", behind, lead=" "),))

    @property
    def marked(self) -> Problem | None:
        """The problem under the cursor, or that the line under it belongs to."""
        outline = self.query_one(Outline)
        if outline.highlighted is None or outline.highlighted >= len(outline.shown):
            return None
        entry, _, above = outline.shown[outline.highlighted]
        keys = [one.key for one in outline.entries]
        return self.problems[keys.index(above or entry.key)]

    def place(self) -> tuple[Path, int] | None:
        """Return where the marked problem is."""
        return (self.marked.place.file, self.marked.place.line) if self.marked else None

    def action_copy(self) -> None:
        if self.marked is None:
            self.notify(NONE)
        else:
            self.app.copy_to_clipboard(self.desk.problem_text(self.marked))
            self.notify("Copied.")

    def action_edit(self) -> None:
        if self.marked is None:
            self.notify(NONE)
        else:
            super().action_edit()
