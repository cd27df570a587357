"""The common edits of a course without an editor: what each asks for, who would change, and keeping it.

An edit is laid over the course in memory first (:mod:`readiness.editing.edits`) and tried on everybody.
Kept, it changes one line of a file and nothing else: comments and order stay as they were. Where one line
is not enough, or the line stands in a file the course is based on, the editor is the way, and that is said.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from datetime import date
from pathlib import Path
from typing import Any, Final

import tomli

from readiness.course.layers import CourseFile, read_files
from readiness.course.load import course_of
from readiness.editing.dry_run import try_course
from readiness.editing.edits import Add, Drop, Edit, EditError, Move, Retire, Set, apply, parse_edit
from readiness.lazy import dataclass
from readiness.record.append import quoted
from readiness.toml.locate import locate
from readiness.toml.write import Refusal
from readiness.words.editing import comparison_sections, edit_words
from readiness.words.english import NOT_IN_THE_DEMO
from readiness.words.grammar import capital
from readiness.words.layout import lay_out
from tui.desk import Desk

__all__ = ["COURSE_EDITS", "CourseEdit", "Tried", "rewritten", "with_value"]

Keys = tuple[str, ...]


@dataclass(frozen=True)
class CourseEdit:
    """One kind of edit of the marked skill: its title, what is asked, what stands there, and the edit."""

    name: str
    title: str
    asks: str
    now: Callable[[Desk, str], str]
    make: Callable[[Desk, str, str], Edit]


def _number(desk: Desk, skill: str) -> str:
    kind, band = desk.course.skill[skill].kind, desk.course.bands[0].name
    return f"band.{band}.days_needed.{kind} = {desk.course.band[band].whole(f'days_needed.{kind}')}"


def _retire(_desk: Desk, skill: str, typed: str) -> Edit:
    return Retire(skill, date.fromisoformat(typed.strip()).toordinal())


COURSE_EDITS: Final = (
    CourseEdit(
        "number", "A number of an age", "the number, as band.AGE.RULE = NUMBER", _number,
        lambda _desk, _skill, typed: parse_edit("set", typed),
    ),
    CourseEdit(
        "name", "Its wording", "what it is called", lambda desk, skill: desk.course.skill[skill].name,
        lambda _desk, skill, typed: Set(("skill", skill, "name"), typed.strip()),
    ),
    CourseEdit(
        "unit", "Another unit", "the id of the unit", lambda desk, skill: desk.course.skill[skill].unit,
        lambda _desk, skill, typed: Move(skill, typed.strip()),
    ),
    CourseEdit(
        "add", "It builds on one thing more", "the id of that skill", lambda *_: "",
        lambda _desk, skill, typed: Add(skill, typed.strip()),
    ),
    CourseEdit(
        "drop", "It builds on one thing less", "the id of that skill",
        lambda desk, skill: next(iter(desk.course.skill[skill].stands_on), ""),
        lambda _desk, skill, typed: Drop(skill, typed.strip()),
    ),
    CourseEdit(
        "retire", "It is not asked any more", "from which day on",
        lambda desk, _skill: date.fromordinal(desk.view.day if desk.view else 1).isoformat(), _retire,
    ),
)  # fmt: skip


class Tried:
    """One edit of one skill: shown first, kept the second time it is asked for with the same words."""

    def __init__(self, desk: Desk, edit: CourseEdit, skill: str) -> None:
        self.desk, self.edit, self.skill = desk, edit, skill
        self._shown = ""

    def keep(self, given: Mapping[str, str]) -> Refusal | str:
        """Show who would change; asked again with the same words, keep it."""
        try:
            made = self.edit.make(self.desk, self.skill, given["value"])
            return self._write(made) if self._shown == given["value"] else self._try(made, given["value"])
        except ValueError as error:  # an EditError too
            return Refusal("edit", f"{capital(str(error))}.")

    def _folder(self) -> Path:
        view = self.desk.view
        if view is None or view.studio.where.course is None:
            raise EditError("there is no course to change")
        return view.studio.where.course

    def _try(self, edit: Edit, typed: str) -> Refusal:
        view, folder = self.desk.view, self._folder()
        assert view is not None
        trial = try_course(view.studio, course_of(apply(read_files(folder), (edit,)), folder), view.day)
        if trial.course is None or trial.comparison is None:
            return Refusal("edit", "\n\n".join(self.desk.problem_text(one) for one in trial.problems))
        self._shown = typed
        old = self.desk.course
        found = comparison_sections(trial.comparison, old, trial.course.on(view.day))
        told = lay_out(found, 68, full=False)
        asked = f"{capital(edit_words(edit, old))}."
        return Refusal("shown", f"{asked} Enter once more keeps it.\n\n{told.strip()}")

    def _write(self, edit: Edit) -> Refusal | str:
        if self.desk.is_demo:
            return Refusal("demo", NOT_IN_THE_DEMO)
        before = read_files(self._folder())
        after = apply(before, (edit,))
        is_pacing = after.pacing is not before.pacing
        file = before.pacing if is_pacing else before.graph
        new = after.pacing.data if is_pacing else after.graph.data
        self._shown = ""

        def change(now: bytes) -> bytes | Refusal:
            text = rewritten(now.decode("utf-8"), file, new)
            other = "this takes more than one line; key e on the map opens the file there."
            return Refusal("more", other) if text is None else text.encode()

        words = capital(edit_words(edit, self.desk.course))
        refusal = self.desk.change(file.path, change)
        return refusal or f"{words}: written into {file.path.name}. Key u takes it back."


def _changes(old: object, new: object, path: Keys = ()) -> Iterator[tuple[Keys, object]]:
    """Yield every value that is another one, by its path."""
    if isinstance(old, Mapping) and isinstance(new, Mapping):
        for key in new:
            yield from _changes(old.get(key), new[key], (*path, key))
    elif old != new:
        yield path, new


def rewritten(text: str, file: CourseFile[Any], new: Mapping[str, Any]) -> str | None:
    """Return the text with one value of its file changed in its line; None where a line is not enough."""
    changes = list(_changes(file.data, new))
    if len(changes) != 1 or changes[0][0] in file.inherited or changes[0][0][:-1] in file.inherited:
        return None
    return with_value(text, *changes[0])


def with_value(text: str, path: Keys, value: object) -> str | None:
    """Return a TOML text with one value changed, in its line or a new one; None where that is not enough.

    None as the value takes its line out. What comes of it is read again: nothing but this one changes.
    """
    data, places, lines = tomli.loads(text), locate(text), text.split("\n")
    new = () if value is None else (f"{path[-1]} = {quoted(value)}",)
    if path in places.spots:
        at, column = places.at_value(path)
        before, old = lines[at - 1][: column - 1], quoted(_at(data, path))
        if not lines[at - 1][column - 1 :].startswith(old):
            return None
        after = lines[at - 1][column - 1 + len(old) :]
        lines[at - 1 : at] = [before + quoted(value) + after] if new else []
    elif path[:-1] in places.headers:
        at, _ = places.at_key(path[:-1])
        lines[at:at] = new
    elif len(path) == 1:
        end = min((places.at_key(one)[0] for one in places.headers), default=len(lines) + 1)
        lone = (spot.line for one, spot in places.spots.items() if len(one) == 1)
        at = max((line for line in lone if line < end), default=0)
        lines[at:at] = new
    else:
        lines += [f"[{'.'.join(path[:-1])}]", *new, ""]
    found = "\n".join(lines)
    meant = {**dict(_leaves(data)), path: value} if new else {
        one: kept for one, kept in _leaves(data) if one != path
    }
    try:
        return found if dict(_leaves(tomli.loads(found))) == meant else None
    except tomli.TOMLDecodeError:
        return None


def _leaves(inside: object, path: Keys = ()) -> Iterator[tuple[Keys, object]]:
    """Yield every value that is no table, by its path."""
    if isinstance(inside, Mapping):
        for key in inside:
            yield from _leaves(inside[key], (*path, key))
    else:
        yield path, inside


def _at(inside: Any, path: Keys) -> object:  # noqa: ANN401 - whatever a file holds
    for step in path:
        inside = inside[step]
    return inside
