"""The course as it was on an earlier day: from its folder's history, or from its own notes.

A course folder that lies in a git work tree has a history; then every edit since the day is
known with its day, its author and its words. Git is only asked, never told anything, and
nothing here is needed where there is none.
"""

from __future__ import annotations

import subprocess
import tempfile
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import NamedTuple

from readiness.advice.timeline import Edit
from readiness.course.layers import GRAPH, PACING, read_files
from readiness.course.load import load_course
from readiness.course.model import Course

__all__ = ["CourseThen", "changes_since", "course_at", "course_then"]

FILES = (GRAPH, PACING)


class CourseThen(NamedTuple):
    """The course on the earlier day, what was done to it since, and how that is known."""

    course: Course
    edits: tuple[Edit, ...]
    known_by: str

    @property
    def now(self) -> Course:
        """The course after all that was done to it."""
        return self.edits[-1].course if self.edits else self.course


def course_then(course: Course, since: int, on: int) -> CourseThen:
    """Return the course of an earlier day and its edits up to ``on``; ``known_by`` is git, notes or not."""
    return _from_git(course, since, on) or _from_changes(course, since, on) or CourseThen(course, (), "not")


def _from_changes(course: Course, since: int, on: int) -> CourseThen | None:
    """Return the course with the default in place of every number changed since, by the dated blocks."""
    dated = changes_since(course, since, on)
    undone = [_has_default(course, band, rule) for _, band, rule, _, _ in dated]
    if not any(undone):
        return None
    edits = [
        Edit(day, by, reason or f"{rule} in band {band}", _with_defaults(course, dated[at:]))
        for at, (day, band, rule, by, reason) in enumerate(dated, start=1)
    ]
    return CourseThen(_with_defaults(course, dated), tuple(edits), "notes")


def changes_since(course: Course, since: int, on: int) -> list[tuple[int, str, str, str, str]]:
    """Return what was changed of the pacing after a day, up to ``on``: day, band, rule, by, reason."""
    pacing = read_files(course.folder).pacing.value if course.folder is not None else None
    changes = [] if pacing is None else [(c.on.toordinal(), c) for c in pacing.change if c.on is not None]
    return sorted((day, c.band, c.rule, c.by, c.reason) for day, c in changes if since < day <= on)


def _has_default(course: Course, band: str, rule: str) -> bool:
    origin = course.provenance.get((band, rule))
    return origin is not None and origin.default is not None


def _with_defaults(course: Course, dated: Iterable[tuple[int, str, str, str, str]]) -> Course:
    wanted = {(band, rule) for _, band, rule, _, _ in dated if _has_default(course, band, rule)}
    bands = tuple(
        replace(band, numbers={
            rule: course.provenance[band.name, rule].default if (band.name, rule) in wanted else value
            for rule, value in band.numbers.items()
        })
        for band in course.bands
    )  # fmt: skip
    return replace(course, bands=bands)


# history


def _from_git(course: Course, since: int, on: int) -> CourseThen | None:
    """Return the course by the history of its folder; None where there is none that goes back so far."""
    folder = course.folder
    if folder is None:
        return None
    commits = _commits(folder)
    start = [one for one in commits if one.day <= since]
    then = _course_at(folder, start[-1].name) if start else None
    if then is None:
        return None
    edits = []
    for commit in (one for one in commits if since < one.day <= on):
        now = _course_at(folder, commit.name)
        if now is not None:
            edits.append(Edit(commit.day, commit.by, commit.about, now))
    if not commits or _git(folder, "status", "--porcelain", "--", ".") or commits[-1].day > on:
        edits.append(Edit(None, "", "an edit that is not in the history yet", course))
    return CourseThen(then, tuple(edits), "git")


class _Commit(NamedTuple):
    name: str
    day: int
    by: str
    about: str


def _commits(folder: Path) -> list[_Commit]:
    """Return the last commit of every day that touched the folder, oldest first."""
    told = _git(folder, "log", "--reverse", "--format=%H%x09%cs%x09%an%x09%s", "--", ".") or ""
    found: dict[int, _Commit] = {}
    for line in told.splitlines():
        name, day, by, about = line.split("\t", 3)
        number = date.fromisoformat(day).toordinal()
        found[number] = _Commit(name, number, by, about)
    return [found[day] for day in sorted(found)]


def _course_at(folder: Path, commit: str) -> Course | None:
    with _files_at(folder, commit) as then:
        return load_course(then).course


@contextmanager
def _files_at(folder: Path, commit: str) -> Iterator[Path]:
    """Give the folder of a course as a commit has it, with the courses it is based on."""
    asked = (_git(folder, "rev-parse", f"--show-{what}") or "" for what in ("toplevel", "prefix"))
    root, inside = (Path(path.rstrip("\n")) for path in asked)
    listed = _git(root, "ls-tree", "-r", "--name-only", "-z", commit) or ""
    names = [name for name in listed.split("\0") if name.rpartition("/")[2] in FILES]
    with tempfile.TemporaryDirectory() as place:
        for name in names:
            text = _git(root, "show", f"{commit}:{name}")
            if text is not None:
                path = Path(place, name)
                path.parent.mkdir(parents=True, exist_ok=True)
                path.write_text(text, encoding="utf-8", newline="")
        yield Path(place) / inside


@contextmanager
def course_at(folder: Path, revision: str) -> Iterator[Path | None]:
    """Give a folder with the course as it was in a revision (``HEAD~1``); None where git knows no such."""
    words = ("rev-parse", "--verify", "--quiet", "--end-of-options", f"{revision}^{{commit}}")
    commit = (_git(folder, *words) or "").strip()
    if not commit:
        yield None
        return
    with _files_at(folder, commit) as found:
        yield found


def _git(folder: Path, *words: str) -> str | None:
    """Return what git says, None where it is missing or says no."""
    try:
        done = subprocess.run(  # noqa: S603 - a fixed program that is only asked
            ["git", "-C", str(folder), *words],  # noqa: S607 - wherever the person has it
            capture_output=True,
            check=False,
            text=True,
            encoding="utf-8",
        )
    except OSError:
        return None
    return done.stdout if done.returncode == 0 else None
