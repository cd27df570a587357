"""The course as a map, for one student or for none, kept up while its files are edited."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from textual.containers import VerticalScroll
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from readiness.words.course import skill_lines
from readiness.words.english import STATE_WORDS
from readiness.words.grammar import tidy
from tui.course_edits import COURSE_EDITS, Tried
from tui.messages import Pointed
from tui.panes.course_map import CourseMap, note_signs
from tui.screens.base import BaseScreen
from tui.screens.forms import FormField, WorkForm
from tui.screens.page import TextPage
from tui.screens.pick import Pick, pick_skill
from tui.view import StudentRow, View, spot

__all__ = ["CourseScreen"]


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
        if view.is_old:
            first = view.problems[0]
            banner.update(Content(f"! {spot(first)} {first.message}. The map is from before. Key p."))
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
            self.app.push_screen(pick_skill(view.course), self._go_to)

    def _go_to(self, skill: str | None) -> None:
        if skill is not None:
            self.query_one(CourseMap).choose(skill)

    def action_change(self) -> None:
        """Choose what of the marked skill changes, then see who would change before it is kept."""
        skill = self.desk.course.skill.get(self.query_one(CourseMap).chosen)
        if skill is not None:
            titles = {one.name: one.title for one in COURSE_EDITS}
            self.app.push_screen(Pick(f"Change {tidy(skill.name)}", titles), self._change)

    def _change(self, name: str | None) -> None:
        skill = self.query_one(CourseMap).chosen
        for edit in COURSE_EDITS:
            if edit.name == name:
                field = FormField("value", edit.asks, edit.now(self.desk, skill))
                title = f"{edit.title} · {tidy(self.desk.course.skill[skill].name)}"
                form = WorkForm(title, [field], Tried(self.desk, edit, skill).keep)
                self.app.push_screen(form, self._wrote)

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
        if self.browse.view is not None:
            self.show(self.browse.view)

    def action_changes(self) -> None:
        changed = "\n".join(self.browse.changes)
        nobody = "No answer has changed since the program was started."
        text = f"What the last saved file changed\n\n{changed}" if changed else nobody
        self.app.push_screen(TextPage(text))
