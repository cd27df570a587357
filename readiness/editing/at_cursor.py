"""What can be said of a place in a course file that is being written: for editors, whatever they are.

Lines and columns are counted from 0, columns in letters. The files are read as they stand in the editor,
saved or not; nothing is written.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from functools import cached_property
from pathlib import Path
from typing import Any, Final, NamedTuple, get_args

from readiness.course.draft import tables
from readiness.course.layers import GRAPH, CourseFiles, read_files
from readiness.course.load import course_of
from readiness.course.schema import BandTable, Fade, GraphFile, Kind, SkillTable, StrandTable, UnitTable
from readiness.days import iso
from readiness.editing.dry_run import Mention, mentions
from readiness.lazy import dataclass
from readiness.record.model import Record
from readiness.studio.schema import EXPLAINED
from readiness.toml.problems import Place, Problem, errors
from readiness.toml.texts import AN_ID

__all__ = ["Bench", "Change", "Located", "Span"]

_WORD: Final = re.compile(r"[A-Za-z0-9_-]+")
_HEADER: Final = re.compile(r"^\s*\[+\s*([A-Za-z_]+)(?:\.([A-Za-z0-9_-]+))?")
_KEY: Final = re.compile(r"^\s*([a-z_]+)\s*=")
_TABLES: Final[Mapping[str, Any]] = {
    "skill": SkillTable, "unit": UnitTable, "strand": StrandTable, "band": BandTable, "": GraphFile,
}  # fmt: skip
_SKILLS: Final = ("stands_on", "stands_on_some", "replaced_by", "of")


class Span(NamedTuple):
    """A stretch of one line."""

    line: int
    start: int
    end: int


class Located(NamedTuple):
    """A problem with the stretch it is about, and the word to put there, where one is suggested."""

    problem: Problem
    span: Span
    instead: str


class Change(NamedTuple):
    """Something to put in place of a stretch."""

    span: Span
    text: str


@dataclass(frozen=True)
class Bench:
    """A course under the hands of somebody who writes it.

    Attributes:
        unsaved: what stands in its files in the editor, by path.
        records: the students of its studio.
    """

    folder: Path
    unsaved: Mapping[Path, str]
    records: tuple[Record, ...] = ()

    @cached_property
    def files(self) -> CourseFiles:
        """The two files with all they inherit."""
        return read_files(self.folder, self.unsaved)

    def table(self, kind: str) -> Mapping[str, Mapping[str, Any]]:
        """Return the tables of a kind, as far as they can be read."""
        return dict(tables(self.files.graph.data, kind))

    def lines(self, path: Path) -> list[str]:
        """Return the lines of a file as they stand."""
        text = self.unsaved.get(path)
        return (path.read_text(encoding="utf-8") if text is None else text).split("\n")

    def problems(self, path: Path) -> Iterator[Located]:
        """Yield what is wrong in a file."""
        lines = self.lines(path)
        for one in course_of(self.files, self.folder).problems:
            if one.place.file == path:
                line = min(one.place.line - 1, len(lines) - 1)
                text, start = lines[line], one.place.column - 1
                found = re.compile(r""""[^"]*"|'[^']*'|[\w.-]+|\S|$""").match(text, min(start, len(text)))
                yield Located(one, Span(line, start, found.end() if found else start), one.meant)

    def offered(self, path: Path, line: int, column: int) -> list[tuple[str, str]]:
        """Return what can stand at a place: ids, words, or keys, each with what it means."""
        above = self.lines(path)[: line + 1]
        above[-1] = above[-1][:column]
        kind = next((found[1] for text in reversed(above) if (found := _HEADER.match(text))), "")
        key = _key_of(above)
        if key is None:
            model = _TABLES.get(kind)
            return [(name, EXPLAINED.get(name, "")) for name in model.model_fields] if model else []
        if key in ("unit", "strand", *_SKILLS):
            of = "skill" if key in _SKILLS else key
            return [(id_, str(table.get("name", ""))) for id_, table in self.table(of).items()]
        words = {"kind": get_args(Kind), "fade": get_args(Fade)}.get(key, ())
        return [(str(word), EXPLAINED[key]) for word in words]

    def about(self, path: Path, line: int, column: int) -> str:
        """Return what is known of the word at a place: a skill with its links and notes, or a key."""
        word = self.word(path, line, column)
        if (key := _KEY.match(self.lines(path)[line])) and key[1] == word and column <= key.end(1):
            return EXPLAINED.get(word, "")
        kind = self._kind(word)
        named = f"{kind} {word}: {self.table(kind)[word].get('name', '')}" if kind else ""
        return self._about_skill(word) if kind == "skill" else named

    def _kind(self, word: str) -> str:
        return next((one for one in ("skill", "unit", "strand") if word in self.table(one)), "")

    def _about_skill(self, skill: str) -> str:
        table = self.table("skill")[skill]
        needed = [id_ for id_, one in self.table("skill").items() if skill in _named(one)]
        told = [
            f"{table.get('name', '')} ({skill}), {table.get('unit', '')}",
            str(table.get("shown_when", "")),
            f"builds on: {', '.join(_named(table)) or 'nothing'}",
            f"needed by: {', '.join(needed) or 'nothing'}",
        ]
        known = self.noted(skill)
        noted = [f"{one.name}: {one.notes} days, last {iso(one.last)}" for one in known if one.last]
        if self.records:
            told.append(f"noted of: {'; '.join(noted) or 'nobody'}")
        return "\n\n".join(filter(None, told))

    def noted(self, skill: str) -> tuple[Mention, ...]:
        """Return how the students' files name a skill."""
        found = (mentions(record, frozenset({skill})) for record in self.records)
        return tuple(one for one in found if one is not None)

    def word(self, path: Path, line: int, column: int) -> str:
        """Return the word at a place, empty where there is none."""
        lines = self.lines(path)
        text = lines[line] if line < len(lines) else ""
        return next((w[0] for w in _WORD.finditer(text) if w.start() <= column <= w.end()), "")

    def defined(self, word: str) -> Place | None:
        """Return where a skill, unit or strand is written."""
        kind = self._kind(word)
        return self.files.graph.key_place(kind, word) if kind else None

    def renamed(self, word: str, new: str, day: int) -> tuple[list[Change], str] | str:
        """Return what to change so that a skill, unit or strand has another id, and what that does to notes.

        Where students' files name a skill, the old table stays, retired for the new one, so that no note is
        lost; the id of a unit stays where there are students. A text says why it cannot be.
        """
        path, kind = self.folder / GRAPH, self._kind(word)
        if not kind:
            return f'"{word}" is no skill, unit or strand of this course'
        if new in self.table(kind) or not AN_ID.fullmatch(new):
            return f'"{new}" cannot be its id: a-z, 0-9 and hyphen, and not one that is there'
        if kind == "unit" and self.records:
            return f'students are in units by their ids: "{word}" stays, and its name can be another'
        lines, noted = self.lines(path), self.noted(word) if kind == "skill" else ()
        changes = list(_kept(lines, word, new, day) if noted else _named_anew(lines, kind, word, new))
        done = list(lines)
        for span, text in sorted(changes, reverse=True):
            done[span.line] = done[span.line][: span.start] + text + done[span.line][span.end :]
        files = read_files(self.folder, {**self.unsaved, path: "\n".join(done)})
        if wrong := errors(course_of(files, self.folder).problems):
            return f"the course would have a mistake then: {wrong[0].message}"
        if not noted:
            return changes, f'no note names "{word}"; it is "{new}" everywhere now'
        days, students = sum(one.notes for one in noted), len(noted)
        told = f'{days} days of notes of {students} students name "{word}"'
        return changes, f'{told}: its table stays, retired on {iso(day)}, and they count for "{new}"'


def _key_of(above: list[str]) -> str | None:
    """Return the key whose value the cursor is in, None where a key begins."""
    depth = 0
    for text in reversed(above):
        depth += text.count("]") + text.count("}") - text.count("[") - text.count("{")
        if key := _KEY.match(text):
            is_here = text is above[-1]
            inner = re.findall(r"([a-z_]+)\s*=", text) if is_here else [key[1]]
            return inner[-1] if is_here or depth < 0 else None
        if _HEADER.match(text) and depth >= 0:
            return None
    return None


def _named(table: Mapping[str, Any]) -> list[str]:
    """Return the skills that a skill's table names, of groups, too."""
    groups = table.get("stands_on_some")
    of = [one.get("of") for one in groups if isinstance(one, dict)] if isinstance(groups, list) else []
    lists = [one for one in (table.get("stands_on"), *of) if isinstance(one, list)]
    return [name for names in lists for name in names if isinstance(name, str)]


def _named_anew(lines: Iterable[str], kind: str, id_: str, new: str) -> Iterator[Change]:
    """Yield where an id stands: in its header, and in quotes; of a unit or strand, behind a key."""
    before = '"' if kind == "skill" else rf'^\s*(?:{kind}|after)\s*=\s*"'
    here = re.compile(rf'(?P<before>{before}|^\[{kind}\.){re.escape(id_)}(?=["\].])')
    for line, text in enumerate(lines):
        for found in here.finditer(text):
            yield Change(Span(line, found.end("before"), found.end()), new)


def _kept(lines: list[str], skill: str, new: str, day: int) -> Iterator[Change]:
    """Yield what retires a table and writes the same under a new id behind it."""
    first = next(n for n, text in enumerate(lines) if text.startswith(f"[skill.{skill}]"))
    end = next((n for n in range(first + 1, len(lines)) if lines[n].startswith(("[", "# --"))), len(lines))
    last = max(n for n in range(first, end) if lines[n].strip())
    body = "\n".join(lines[first + 1 : last + 1])
    text = f'\nretired = {iso(day)}\nreplaced_by = ["{new}"]\n\n[skill.{new}]\n{body}\nsince = {iso(day)}'
    yield Change(Span(last, len(lines[last]), len(lines[last])), text)
