"""What the list of students says of each: one line a student, or a file that cannot be read."""

from __future__ import annotations

from readiness.words.brief import days_since, one_thing_line, verdict_row
from readiness.words.grammar import tidy
from readiness.words.half_entered import HALF_ENTERED
from readiness.words.names import called
from tui.panes.roster import Line
from tui.view import Row, View

__all__ = ["line_of"]


def line_of(view: View, key: str, *, is_begun: bool = False) -> Line:
    """Return the line of a student; of a file that cannot be read, what is wrong with it.

    ``is_begun`` says that a lesson of the student is half entered.
    """
    row = view.by_id.get(key)
    return _problem_line(view, key) if row is None else _line(row, view, is_begun)


def _line(row: Row, view: View, is_begun: bool) -> Line:
    """Return a student's line."""
    assert view.course is not None
    answer = row.answer
    unit = view.course.unit[answer.unit] if answer.unit else None
    return Line(
        row.record.id,
        _name(row, view),
        str(unit.number) if unit else "-",
        tidy(unit.name) if unit else "",
        verdict_row(answer),
        _resting(row) or one_thing_line(answer, view.course),
        HALF_ENTERED if is_begun else days_since(answer),
        str(len(row.promises)) if row.promises else "",
        "paused" if answer.verdict == "paused" else "student",
    )


def _resting(row: Row) -> str:
    """Return that a part of the body rests for another course, where this one goes on."""
    resting = row.record.resting(row.answer.on) if row.answer.verdict != "paused" else ()
    return f"The {resting[0].part} rests: another course is paused." if resting else ""


def _name(row: Row, view: View) -> str:
    """Return the name; of two who share it the id comes first, since the column may be cut off."""
    name = tidy(row.record.name)
    is_shared = called(name, row.record.id, view.shared) != name
    return f"{row.record.id} ({name})" if is_shared else name


def _problem_line(view: View, key: str) -> Line:
    """Return the line of a student file that cannot be read."""
    first = view.studio.broken[key].problems[0]
    told = f"line {first.place.line}: {first.message}"
    return Line(key, key, "-", "", " ! cannot be read", told, "", "", "problem")
