"""The desk between the screens and the library: the studio is read and every question is asked here.

What did not change is not read again, and its answer not worked out again. Content never
raises: a studio that cannot be read is a view with problems in it, and the rows of before.

It knows no screen, so it can be used and tested without one. Long words are loaded when first told.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable, Mapping
from contextlib import suppress
from dataclasses import replace
from datetime import date, datetime
from itertools import count
from pathlib import Path
from typing import Final

from readiness.advice.plan import event_on, events_ahead
from readiness.course.model import Course
from readiness.days import DAY_MONTH, YEARS, written_day
from readiness.judging.answer import Answer
from readiness.judging.engine import what_if
from readiness.record import draft_entry as half_done
from readiness.record.append import finish
from readiness.record.load import LoadedRecord
from readiness.record.model import Record
from readiness.record.noting import NewLesson, check_day, odd_letters
from readiness.studio.cache import ReadStudent, keeping
from readiness.studio.find import Location, Settings, StudioNotFoundError, find_studio
from readiness.studio.kept_files import cache_folder
from readiness.studio.load import Studio, load_studio, student_files
from readiness.toml.problems import Place, Problem, render
from readiness.toml.read import Loaded
from readiness.toml.write import Refusal, remove, settle
from readiness.toml.write import replace as replace_file
from readiness.words.english import NOT_IN_THE_DEMO
from readiness.words.grammar import date_words, no_day_words, speak, tidy, worded
from readiness.words.layout import Page, Parts, lay_out
from readiness.words.noting import left_words
from readiness.words.phrases import Phrases
from tui.view import SHUT, StudentRow, View

__all__ = ["TOLD", "AnswerDesk", "Days", "Desk", "Named", "Progress", "Reader", "Tell"]

Named = tuple[Path | None, Path | None, Path, Mapping[str, str]]
"""The folders of the course and of the students, if a command named them; where to look; the environment."""

Days = tuple[int, int, int]
"""The day asked about, the day it is, and the latest day on which something can have been noted."""

Progress = Callable[[int, int], None]
Tell = Callable[[str], str]
Stamp = tuple[int, int] | None
"""When a file was changed and how long it is; None when it is not there."""


class Reader:
    """Reads one studio again and again.

    Args:
        named: what a command named.
        day_of: says which day is asked about, given a studio, which day it is, and the latest day on
            which something can have been noted.
    """

    def __init__(self, named: Named, day_of: Callable[[Studio], Days]) -> None:
        self._named = named
        self._day_of = day_of
        self._read: dict[Path, tuple[object, LoadedRecord]] = {}
        self._rows_of: dict[str, tuple[object, StudentRow]] = {}
        self._taught: frozenset[Path] = frozenset()
        self._last: View | None = None

    def read(self, progress: Progress) -> View:
        """Read the whole studio; what did not change is kept. Answers are worked out when asked for."""
        before = self._last
        studio = self._studio(progress)
        speak(studio.wording)
        studio = replace(studio, course=studio.course and worded(studio.course))
        day, today, latest = self._day_of(studio)
        course = studio.course
        if course is None or any(one.id in SHUT for one in studio.problems):
            rows = before.rows if before else ()
            self._last = View(studio, before.course if before else None, rows, day, is_old=True)
            return self._last
        places: list[Place | None] = []
        for one in (course, *course.beside):
            places += [skill.place for skill in one.skills]
            places += [*(number.place for number in one.provenance.values()), *one.link_places.values()]
        self._taught = frozenset(place.file for place in places if place is not None)
        listed = [self._row(studio, course, record, day, latest) for record in studio.records.values()]
        rows = tuple(sorted(listed, key=lambda row: not row.is_paused))
        self._last = View(studio, course.on(day), rows, day, today=today)
        return self._last

    def stamps(self) -> Mapping[str, Stamp]:
        """Return when every file of the studio was changed; a new or lost file shows too."""
        where = self._where()
        files: list[Path] = []
        if where.file is not None:
            files.append(where.file.path)
        files += self._course_files(where)
        return {str(path): _stamp(path) for path in files} | _stamps_in(where.students)

    def _course_files(self, where: Location) -> tuple[Path, ...]:
        """Return the files that say what is taught, those they are based on too."""
        folders = where.beside if where.course is None else (where.course, *where.beside)
        named = [folder / name for folder in folders for name in ("graph.toml", "pacing.toml")]
        return tuple(sorted({*named, *self._taught}))

    def _where(self) -> Location:
        if self._last is not None and self._last.studio.where.students is not None:
            return self._last.studio.where
        try:
            return find_studio(*self._named)
        except StudioNotFoundError as missing:
            problem = Problem("no-studio", "error", Place(self._named[2], 1, 1), str(missing).rstrip("."))
            return Location(None, None, None, False, (problem,))

    def _studio(self, progress: Progress) -> Studio:
        try:
            where = find_studio(*self._named)
        except StudioNotFoundError as missing:
            where = self._where()
            if where.students is not None:
                told = str(missing).rstrip(".") if where.students.exists() else "this folder is gone"
                problem = Problem("no-studio", "error", Place(where.students, 1, 1), told)
                where = Location(None, where.students, where.file, where.is_demo, (problem,))
        course = tuple((path, _stamp(path)) for path in self._course_files(where))
        try:
            if where.students is not None:
                settle(where.students)
                finish(where.students)
            files = student_files(where.students) if where.students is not None and where.course else ()
        except OSError as error:  # a share that went away, a disk with a fault
            assert where.students is not None
            told = f"this folder cannot be read: {(error.strerror or str(error)).lower()}"
            problem = Problem("no-access", "error", Place(where.students, 1, 1), told)
            return load_studio(replace(where, problems=(problem,)))
        read = count(1)
        with keeping(cache_folder(self._named[3]), files) as through:

            def read_student(path: Path, taught: Course) -> LoadedRecord:
                progress(next(read), len(files))
                return self._student(path, taught, course, through)

            return load_studio(where, read_student)

    def _student(self, path: Path, course: Course, stamps: object, through: ReadStudent) -> LoadedRecord:
        stamp = (_stamp(path), stamps)
        kept = self._read.get(path)
        if kept is not None and kept[0] == stamp:
            return kept[1]
        loaded = through(path, course)
        self._read[path] = (stamp, loaded)
        return loaded

    def _row(self, studio: Studio, course: Course, record: Record, day: int, latest: int) -> StudentRow:
        calendar = studio.calendar(record.id)
        path = record.path
        stamp = (self._read[path][0] if path in self._read else None, day, calendar, latest)
        kept = self._rows_of.get(record.id)
        if kept is not None and kept[0] == stamp and stamp[0] is not None:
            return kept[1]
        row = StudentRow(record, course, day, calendar, latest)
        self._rows_of[record.id] = (stamp, row)
        return row


def _stamps_in(folder: Path | None) -> dict[str, Stamp]:
    """Return the stamps of all TOML files of a folder in one go: it is asked about once a second."""
    try:
        with os.scandir(folder or "") as entries:
            return {entry.path: _stamp(entry) for entry in entries if entry.name.endswith(".toml")}
    except OSError:
        return {}


def _stamp(file: Path | os.DirEntry[str]) -> Stamp:
    try:
        found = file.stat()
    except OSError:
        return None
    return found.st_mtime_ns, found.st_size


class Desk:
    """One studio on one day.

    Args:
        course, students: the folders a command named, if it did.
        start: where to look for a studio.
        environ: the environment.
        day: the day asked about; None takes the one the studio fixes, else ``now``'s.
        now: the clock, given from outside.
    """

    def __init__(
        self,
        course: Path | None,
        students: Path | None,
        start: Path,
        environ: Mapping[str, str],
        day: int | None,
        now: Callable[[], datetime],
    ) -> None:
        self._named: Named = (course, students, start, environ)
        self._day = day
        self.now = now
        self._reader = Reader(self._named, self._days_of)
        self.view: View | None = None
        self.in_hand: dict[Path, NewLesson] = {}
        """Lessons half entered in the demo, by the student's file: nothing is written there."""
        self.written: dict[Path, tuple[bytes | None, bytes]] = {}
        """Files as they were before and after what no line at their end takes back: a new one, a consent."""
        self.typed: dict[tuple[str, Path | None], half_done.FormWords] = {}
        """Words typed and not kept, by the form and the file it is about, and by what they are about."""
        self.left = 0
        """How often a lesson was left: what is half entered is another thing then than when all was read."""

    # writing

    def change(self, path: Path, edit: Callable[[bytes], bytes | Refusal]) -> Refusal | None:
        """Change a file that has no line which takes it back, and keep it as it was; return why not."""
        before = path.read_bytes()
        if (refusal := replace_file(path, path.parent, edit)) is None:
            self.written.pop(path, None)
            self.written[path] = before, path.read_bytes()
        return refusal

    def words(self, form: str, row: StudentRow | None = None) -> half_done.FormWords:
        """Return what was typed into a form about a student, or the studio, and is written nowhere."""
        path = row.path if row else self.settings.path if self.settings else None
        if (form, path) not in self.typed:
            about = None if self.is_demo else path
            self.typed[form, path] = half_done.FormWords(about, form, row.record if row else None)
        return self.typed[form, path]

    def unwritten(self, row: StudentRow) -> str:
        """Return in words what was typed into forms about a student and not written, also before."""
        forms = {} if self.is_demo else {**half_done.forms(row.path)}
        forms |= {form: words for (form, path), words in self.typed.items() if path == row.path}
        return left_words(forms)

    def unwritten_now(self) -> str:
        """Return in words what is typed into forms now and not written, and about whom."""
        rows = self.view.rows if self.view else ()
        names: dict[Path | None, str] = {row.path: f"{tidy(row.record.name)}: " for row in rows}
        about: dict[Path | None, dict[str, half_done.FormWords]] = {}
        for (form, path), words in self.typed.items():
            about.setdefault(path, {})[form] = words
        told = ((names.get(path, ""), left_words(forms)) for path, forms in about.items())
        return " ".join(f"{whose}{words}" for whose, words in told if words)

    def refused(self, record: Record, day: int, *words: str) -> Refusal | None:
        """Return why nothing can be written of a student on a day in these words; None where it can."""
        if self.is_demo:
            return Refusal("demo", NOT_IN_THE_DEMO)
        return next(iter((*check_day(record, day, self.latest_day), *odd_letters(*words))), None)

    def put_back(self, path: Path) -> Refusal | str | None:
        """Put a file back that was written from here, unless it was written since; return what was done."""
        before, after = self.written.get(path, (None, b""))
        if not path.exists() or after != path.read_bytes():
            return None
        del self.written[path]
        if before is None:
            return remove(path, path.parent) or f"{path.name} is taken away again."
        return replace_file(path, path.parent, lambda _: before) or f"{path.name} is as it was before."

    def written_last(self, among: Iterable[Path], than: Path | None = None) -> Path | None:
        """Return which of these files was written from here last; None where another was written later."""
        some = set(among)
        for path, (_, after) in reversed(self.written.items()):
            if path in some and path.exists() and path.read_bytes() == after:
                return path if than is None or path.stat().st_mtime_ns >= than.stat().st_mtime_ns else None
        return None

    # reading

    def read(self, progress: Progress = lambda _done, _all: None) -> View:
        """Read the whole studio; what did not change is kept."""
        self.view = self._reader.read(progress)
        return self.view

    def stamps(self) -> Mapping[str, object]:
        """Return what tells whether any file of the studio was changed, came or went, or a new day began."""
        return {**self._reader.stamps(), "day": self.now().date(), "left": self.left}

    @property
    def is_demo(self) -> bool:
        """Whether this is the demo that comes with the program; it is never written to."""
        return self.view is not None and self.view.studio.where.is_demo and self._named[1] is None

    @property
    def settings(self) -> Loaded[Settings] | None:
        """What ``studio.toml`` says, where there is one."""
        return self.view.studio.where.file if self.view else None

    @property
    def latest_day(self) -> int:
        """The latest day a lesson can have been on: the clock's, or a later one the studio fixes."""
        return max(self._clock, (self.view.studio.today if self.view else None) or 0)

    def typed_day(self, typed: str, when: int = 0) -> int:
        """Return the day that was typed as people write days, counted from that of the desk.

        ``when``: -1 for one that has been, 1 for one to come, 0 for either.

        Raises:
            ValueError: it is none; with what was meant.
        """
        studio = self.view.studio if self.view else None
        order = studio.date_order if studio else DAY_MONTH
        today = self.view.day if self.view else self._clock
        day = written_day(typed, today, order, when)
        if day is None:
            raise ValueError(no_day_words(tidy(typed), today, order, when))
        return day

    @property
    def today(self) -> int:
        """The day on which something is noted: the one the studio fixes, else the clock's."""
        fixed = self.view.studio.today if self.view else None
        return self._clock if fixed is None else fixed

    @property
    def _clock(self) -> int:
        return self.now().date().toordinal()

    def _days_of(self, studio: Studio) -> Days:
        today = self._clock if studio.today is None else studio.today
        day = today if self._day is None else self._day
        return day, today, max(self._clock, today, day)

    # the colours that were chosen, kept for the next time

    @property
    def look(self) -> str:
        """The name of the colours that were chosen before; empty where none were, or they cannot be read."""
        try:
            return self._look_file.read_text(encoding="utf-8").strip() if self._look_file else ""
        except (OSError, ValueError):
            return ""

    def keep_look(self, name: str) -> None:
        """Keep the name of the colours that were chosen; where that is impossible they last for this time."""
        if self._look_file is not None and name != self.look:
            with suppress(OSError):
                self._look_file.parent.mkdir(parents=True, exist_ok=True)
                self._look_file.write_text(name, encoding="utf-8")

    @property
    def _look_file(self) -> Path | None:
        environ = self._named[3]
        home = environ.get("HOME") or environ.get("USERPROFILE")
        base = environ.get("XDG_CONFIG_HOME") or (str(Path(home, ".config")) if home else "")
        return Path(base, "readiness", "colours") if base else None

    # asking

    @property
    def course(self) -> Course:
        """The course of the last good reading."""
        assert self.view is not None
        assert self.view.course is not None
        return self.view.course

    def row(self, student: str) -> StudentRow | None:
        """Return a student's row, None when the file cannot be read."""
        return self.view.by_id.get(student) if self.view else None

    @property
    def nobody(self) -> StudentRow | None:
        """The row of nobody yet, for what is written of the whole studio; None where there is no course."""
        view, folder = self.view, self.view.studio.where.students if self.view else None
        if view is None or view.course is None or folder is None:
            return None
        return StudentRow(Record("", "the studio", 0, path=folder / "new.toml"), view.course, view.day)

    def begun(self, row: StudentRow) -> NewLesson | None:
        """Return the lesson of a student that is half entered and not noted yet, if there is one."""
        lesson = self.in_hand.get(row.path) or half_done.offered(row.path)
        return None if lesson is None or lesson.is_empty else lesson

    def supposed(self, row: StudentRow, changes: Mapping[str, str]) -> tuple[Answer, Mapping[str, object]]:
        """Return the answer with these changes and the changes as values; nothing is saved."""
        assert self.view is not None
        return what_if(self.course, row.record, row.day, changes, row.calendar)

    def phrases(self, row: StudentRow, supposed: Answer | None = None) -> Phrases:
        """Return the words for a student's answer, or for the one that is supposed."""
        return Phrases(supposed or row.answer, self.course, row.record)

    def text(self, row: StudentRow, width: int = 80) -> str:
        """Return the whole answer as plain text, the same the command line prints."""
        from readiness.words.why import tell_answer

        return tell_answer(row.answer, self.course, row.record, width)

    def compared(self, row: StudentRow, changes: Mapping[str, str], width: int = 80) -> str:
        """Return the plain answer beside the one with the changes, as text."""
        from readiness.words.changes import compare_sections

        changed, values = self.supposed(row, changes)
        told = compare_sections(self.phrases(row), self.phrases(row, changed), values)
        return lay_out(told, width, full=False)

    def telling(self, reader: str, row: StudentRow, width: int = 80, tell: Tell = str) -> str:
        """Return a draft for one reader: child, family or school."""
        from readiness.words.letters import letter, letter_words

        letters = self.view.studio.where.letters if self.view else None
        told = letter_words(letter(reader, row.answer, self.course, row.record, letters))
        return lay_out(told, width, tell=tell)

    def handover(self, row: StudentRow) -> Page:
        """Return what whoever takes the lesson over reads."""
        from readiness.advice.handover import hand_over
        from readiness.record.consents import as_if_agreed
        from readiness.words.share import handover_sections

        page = hand_over(row.course, row.record, row.answer)
        return handover_sections(page, self.phrases(row), as_if_agreed(row.record, "substitute", row.day))

    def problem_text(self, problem: Problem) -> str:
        """Return a problem with its line as written; files by their names alone."""
        place, other = _short(problem.place), problem.other and _short(problem.other)
        files = [one.file for one in (problem.place, problem.other) if one is not None]
        sources = {Path(file.name): _text_of(file) for file in files}
        return render(replace(problem, place=place, other=other), sources)


def _short(place: Place) -> Place:
    return place._replace(file=Path(place.file.name))


def _text_of(file: Path) -> str:
    try:
        return file.read_text(encoding="utf-8", errors="replace")
    except OSError:
        return ""


# What else is asked about a student: every text is the one that the command of the same name prints.


class AnswerDesk:
    """One student's answers on the day of the desk: the ``target`` of a way, the ``days`` typed by answer."""

    def __init__(self, desk: Desk, student: str) -> None:
        self.desk, self.student = desk, student
        self.target = ""
        self.days: dict[str, int] = {}

    def told(self, name: str, width: int, *, full: bool = False, tell: Tell = str) -> str:
        """Return an answer as text, or what has to be said first; empty where the student cannot be read."""
        row = self.desk.row(self.student)
        if row is None:
            return ""
        told = (_FIRST[name],) if self.is_open(name) else TOLD[name](self, row)
        return lay_out(told, width, full=full, tell=tell)

    def is_open(self, name: str) -> bool:
        """Return whether something has to be chosen before this can be answered."""
        row = self.desk.row(self.student)
        if name == "way":
            return row is None or not (self.target in row.course.skill or self.target in row.course.unit)
        return row is not None and name in _FIRST and self._day(name, row) is None

    def take_day(self, name: str, typed: str) -> str:
        """Keep a day that was typed for an answer; return why not, if so."""
        row = self.desk.row(self.student)
        try:
            day = self.desk.typed_day(typed)
        except ValueError as error:
            return f"This takes a day such as 2025-12-19, and {error}"
        if row is None or not _fits(name, day, row):
            side = "after" if name == "season" else "before"
            on = f" {date_words(row.day)}, the day asked about" if row else ""
            return f"This takes a day {side}{on}."
        self.days[name] = day
        return ""

    def _day(self, name: str, row: StudentRow) -> int | None:
        """Return the day that was typed, else the one that is usually meant."""
        typed = self.days.get(name)
        if typed is not None and _fits(name, typed, row):
            return typed
        if name == "season":
            return next((one.first for one in events_ahead(row.calendar.events, row.day)), None)
        return max((one.on for one in row.record.lessons if one.on < row.day), default=None)

    # the answers, in the order of their keys

    def _plan(self, row: StudentRow) -> Parts:
        from readiness.advice.lesson import plan_lesson
        from readiness.words.lesson import plan_sections

        return plan_sections(plan_lesson(row.course, row.record, row.answer), self.desk.phrases(row))

    def _back(self, row: StudentRow) -> Parts:
        from readiness.advice.review import breaks
        from readiness.words.ahead import back_sections

        return back_sections(breaks(row.course, row.record, row.answer), self.desk.phrases(row))

    def _way(self, row: StudentRow) -> Parts:
        from readiness.advice.way import way_to
        from readiness.words.ahead import way_sections

        way = way_to(row.course.on(row.day), row.record, row.day, self.target, row.calendar)
        return way_sections(way, self.desk.phrases(row))

    def _handover(self, row: StudentRow) -> Parts:
        from readiness.record.consents import as_if_agreed
        from readiness.words.cautions import caution
        from readiness.words.share import not_asked

        sharing = as_if_agreed(row.record, "substitute", row.day)
        return *self.desk.handover(row), caution("C8"), not_asked(sharing, self.desk.phrases(row))

    def _review(self, row: StudentRow) -> Parts:
        from readiness.advice.review import breaks, review
        from readiness.words.ahead import review_sections

        found, away = review(row.course, row.record, row.day), breaks(row.course, row.record, row.answer)
        return review_sections(found, away, row.course.on(row.day), row.record)

    def _season(self, row: StudentRow) -> Parts:
        from readiness.advice.review import prepare
        from readiness.words.ahead import season_sections

        day = self._day("season", row)
        assert day is not None
        event = event_on(day, events_ahead(row.calendar.events, row.day))
        return season_sections(prepare(row.course, row.record, row.answer, event), self.desk.phrases(row))

    def _changed(self, row: StudentRow) -> Parts:
        from readiness.advice.changes import ChangeQuestion, why_changed
        from readiness.editing.course_history import course_then
        from readiness.words.changes import changed_sections

        since = self._day("changed", row)
        assert since is not None
        then = course_then(row.course, since, row.day)
        found = why_changed(ChangeQuestion(row.record, since, row.day, then.course, then.edits, row.calendar))
        return changed_sections(found, then.now.on(row.day), row.record, then.known_by)


def _fits(name: str, day: int, row: StudentRow) -> bool:
    """Return whether a day can be asked about: one ahead for a season, one before for what changed."""
    return YEARS[0] <= date.fromordinal(day).year <= YEARS[-1] and (
        day > row.day if name == "season" else day < row.day
    )


TOLD: Final[Mapping[str, Callable[[AnswerDesk, StudentRow], Parts]]] = {
    "plan": AnswerDesk._plan, "back": AnswerDesk._back, "way": AnswerDesk._way, "review": AnswerDesk._review,
    "handover": AnswerDesk._handover, "season": AnswerDesk._season, "changed": AnswerDesk._changed,
}  # fmt: skip
"""The answers by their names in the table of actions."""
_FIRST: Final = {
    "way": "The way to what? Key o chooses a skill or a unit.",
    "season": "No event lies ahead in the calendar of the studio. Key o asks for a day.",
    "changed": "No lesson was noted before this day. Key o asks for the earlier day.",
}
"""What is said where something has to be chosen first."""
