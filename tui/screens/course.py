"""The course as a map, kept up while its files are edited, and what is wrong in them.

Everything else of the program goes on working beside it; a file that is mended while the
page is open leaves the list by itself.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from textual.containers import VerticalScroll
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from readiness.toml.problems import Problem
from readiness.words.course import skill_lines
from readiness.words.english import STATE_WORDS
from readiness.words.grammar import tidy
from tui.course_map import CourseMap, note_signs
from tui.outline import Outline, OutlineEntry
from tui.screens.base import BaseScreen
from tui.screens.forms import FormField, Pick, TextPage, WorkForm, pick_skill
from tui.view import StudentRow, View, spot
from tui.widgets import Pointed
from tui.writing import COURSE_EDITS, Tried

__all__ = ["CourseScreen", "ProblemsScreen"]


class CourseScreen(BaseScreen):
    """The map with a card about the skill under the cursor."""

    NAME = "course"
    ABOUT = (
        "Units go across, strands go down, every note is a skill. Heavy lines lead to what the marked skill "
        "stands on, thin ones to what stands on it. Edit the course in any editor and save: the map, the "
        "answers and the problems follow within a second."
    )
    AUTO_FOCUS = "CourseMap"

    def body(self) -> Iterator[Widget]:
        yield Static(id="banner")
        yield CourseMap(id="map")
        yield Static(id="legend")
        with VerticalScroll(id="skill"):
            yield Static(id="skill-text")

    # data in

    def show(self, view: View) -> None:
        banner = self.query_one("#banner", Static)
        banner.display = view.is_old
        banner.update(Content(f"! {view.from_before} Key p."))
        if view.course is None:
            return
        row = self.row()
        who = f" · {tidy(row.record.name)}" if row else ""
        self.tell_title(f"{tidy(view.course.name)}{who}")
        states = {skill: one.state for skill, one in row.answer.standings.items()} if row else {}
        self.query_one(CourseMap).show(view.course, states, row.answer.unit if row else None)
        some = {one: words for one, words in STATE_WORDS.items() if one in states.values()}
        seen = [f"{note_signs()[one]} {words}" for one, words in some.items()]
        plain = "A note for every skill. Open the map from a student to see by its head how each stands."
        self.query_one("#legend", Static).update(Content("  ".join(seen) or plain))

    def on_pointed(self, message: Pointed) -> None:
        view = self.browse.view
        if view is None or view.course is None or message.key not in view.course.skill:
            return
        row = self.row()
        lines = skill_lines(
            view.course, message.key, row.answer if row else None, row.record if row else None
        )
        head, *rest = lines
        text = Content("\n").join([Content.styled(head, "bold"), *map(Content, rest)])
        self.query_one("#skill-text", Static).update(text)
        self.query_one("#skill", VerticalScroll).scroll_home(animate=False)

    # actions

    def action_find_skill(self) -> None:
        view = self.browse.view
        if view is not None and view.course is not None:
            self.ask(pick_skill(view.course), self.query_one(CourseMap).choose)

    def action_change(self) -> None:
        """Choose what of the marked skill changes, then see who would change before it is kept."""
        skill = self.desk.course.skill.get(self.query_one(CourseMap).chosen)
        if skill is not None:
            titles = {one.name: one.title for one in COURSE_EDITS}
            self.ask(Pick(f"Change {tidy(skill.name)}", titles), self._change)

    def _change(self, name: str) -> None:
        skill = self.query_one(CourseMap).chosen
        edit = next(one for one in COURSE_EDITS if one.name == name)
        field = FormField("value", edit.asks, edit.now(self.desk, skill))
        title = f"{edit.title} · {tidy(self.desk.course.skill[skill].name)}"
        typed = self.desk.words(f"{name} {skill}")
        self.ask(WorkForm(title, [field], Tried(self.desk, edit, skill).keep, typed), self._wrote)

    def written_for_all(self, _row: StudentRow | None) -> Path | None:
        """Return the file of the course that was changed here last."""
        folder = self.browse.view.studio.where.course if self.browse.view else None
        return self.desk.written_last(path for path in self.desk.written if path.parent == folder)

    def place(self) -> tuple[Path, int] | None:
        """Return where the marked skill stands in its file."""
        course, chosen = self.desk.course, self.query_one(CourseMap).chosen
        place = course.skill[chosen].place if chosen in course.skill else None
        return (place.file, place.line) if place else None

    def action_plain_map(self) -> None:
        self.about = None
        self.again()

    def action_changes(self) -> None:
        changed = "\n".join(self.browse.changes)
        nobody = "No answer has changed since the program was started."
        text = f"What the last saved file changed\n\n{changed}" if changed else nobody
        self.app.push_screen(TextPage(text))


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

    def _entry(self, problem: Problem) -> OutlineEntry:
        """Return a problem that opens to its line as it is written, and what to do."""
        behind = "\n".join(self.desk.problem_text(problem).split("\n")[1:]) or problem.hint
        title = f"{spot(problem)}  {problem.message}"
        mark = "!" if problem.severity == "error" else "?"
        key = f"{problem.id} {problem.place} {problem.message}"
        return OutlineEntry(key, f"{mark} {title}", (OutlineEntry(f"{key} line", behind, lead=" "),))

    @property
    def marked(self) -> Problem | None:
        """The problem under the cursor, or that the line under it belongs to."""
        outline = self.query_one(Outline)
        if outline.marked is None:
            return None
        entry, above = outline.marked
        return self.problems[[one.key for one in outline.entries].index(above or entry.key)]

    def place(self) -> tuple[Path, int] | None:
        """Return where the marked problem is."""
        return (self.marked.place.file, self.marked.place.line) if self.marked else None

    def action_copy(self) -> None:
        if self.marked is None:
            self.say_nobody()
        else:
            self.app.copy_to_clipboard(self.desk.problem_text(self.marked))
            self.notify("Copied.")

    def say_nobody(self) -> None:
        """Say that there is nothing to mend."""
        self.notify("There is no problem in the files.")
