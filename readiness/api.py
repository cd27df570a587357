"""Using the program from Python: a studio, the answer about a student, and what follows from it.

What is asked is worked out from the files as they were when the studio was opened; nothing is written.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from contextvars import copy_context
from dataclasses import field
from datetime import date, datetime
from functools import partial
from pathlib import Path
from typing import Generic, TypeVar

from readiness.advice.after_break import AfterBreak
from readiness.advice.as_json import back_to_dict, placing_to_dict, plan_to_dict, sheet_to_dict, way_to_dict
from readiness.advice.ground import may_be_placed
from readiness.advice.lesson import MINUTES, plan_lesson
from readiness.advice.placing_round import PlacingRound, placing_round
from readiness.advice.plan import LessonPlan
from readiness.advice.review import breaks
from readiness.advice.sheet import CheckSheet, check_sheet
from readiness.advice.way import Way, way_to
from readiness.course.load import load_course
from readiness.course.model import Course
from readiness.days import iso
from readiness.editing.compare import Comparison
from readiness.editing.dry_run import Trial, try_course
from readiness.editing.facts import trial_to_dict
from readiness.judging import answer as judged
from readiness.judging.as_json import FORMAT, answer_to_dict
from readiness.judging.engine import judge
from readiness.lazy import dataclass
from readiness.record.model import Record
from readiness.school.questions import QUESTIONS, Reply, ask, reply_to_dict
from readiness.school.students import judge_all
from readiness.studio import load as studio_files
from readiness.studio.find import StudioNotFoundError, Wording, find_studio
from readiness.terms import Verdict
from readiness.toml.problems import Problem, errors, render
from readiness.toml.texts import did_you_mean
from readiness.words.ahead import back_sections, way_sections
from readiness.words.changes import comparison_sections
from readiness.words.grammar import speak, worded
from readiness.words.layout import Parts, lay_out
from readiness.words.lesson import plan_sections, sheet_sections
from readiness.words.phrases import Phrases
from readiness.words.placing_round import round_sections
from readiness.words.school import reply_words
from readiness.words.why import why_sections

__all__ = ["Answer", "FilesError", "Result", "Studio", "demo", "open_studio"]

V = TypeVar("V")


class FilesError(Exception):
    """A file is missing or has mistakes.

    Attributes:
        problems: each with its file, line and column, what is wrong and what to do; empty where there
            is no such studio or student, which the text of the error says.
    """

    def __init__(self, message: str, problems: tuple[Problem, ...] = ()) -> None:
        """Keep what is wrong."""
        super().__init__("\n".join([message, *map(render, problems)]))
        self.problems = problems


@dataclass(frozen=True)
class Result(Generic[V]):
    """What was worked out: as a value, as plain JSON values, and as a text; keep what ``to_dict()`` returns.

    Attributes:
        value: all of it, as in ``plan("temwa").value.blocks``; ``help(type(result.value))`` names its
            fields, and days are numbers in them, which ``date.fromordinal`` makes dates.
    """

    value: V
    _to_dict: Callable[[], Mapping[str, object]] = field(compare=False)
    _text: Callable[[int], str] = field(compare=False)

    def __hash__(self) -> int:
        """Return the same number for equal answers."""
        return hash(str(self.to_dict()))

    def to_dict(self) -> dict[str, object]:
        """Return it as plain values, ready for ``json.dumps``: what the command prints with ``--json``."""
        return {"format": FORMAT, **self._to_dict()}

    def text(self, width: int = 80) -> str:
        """Return it as the command prints it with ``--full``.

        Args:
            width: the widest line, in characters.
        """
        return self._text(width)


class Answer(Result[judged.Answer]):
    """Why a student moves to the next unit, or not yet (rule R7). Units and skills are ids."""

    @property
    def student(self) -> str:
        """``str``: the student's id."""
        return self.value.student

    @property
    def name(self) -> str:
        """``str``: the student's name, as it stands in the file."""
        return self.value.name

    @property
    def on(self) -> date:
        """``date``: the day asked about."""
        return date.fromordinal(self.value.on)

    @property
    def unit(self) -> str | None:
        """``str | None``: the unit the student is in; None for a student who has not begun one."""
        return self.value.unit

    @property
    def next_unit(self) -> str | None:
        """``str | None``: the unit that comes next; None in the last one."""
        return self.value.next_unit

    @property
    def verdict(self) -> Verdict:
        """``Verdict``: the answer in a word, such as ``Verdict.NOT_YET``."""
        return self.value.verdict

    @property
    def may_move(self) -> bool:
        """``bool``: whether to move on: ready, and the teacher has not decided to stay (rule R11)."""
        return self.value.may_move

    @property
    def blockers(self) -> tuple[judged.Blocker, ...]:
        """``tuple[Blocker, ...]``: each an open ``skill`` in a ``state``, or a ``group``."""
        return self.value.blockers

    @property
    def one_thing(self) -> str | None:
        """``str | None``: the skill to work on first; None where nothing is open."""
        return self.value.one_thing

    @property
    def look_first(self) -> tuple[str, ...]:
        """``tuple[str, ...]``: the fewest skills whose showing settles most, in the order of the course."""
        return self.value.look_first

    @property
    def earliest(self) -> date | None:
        """``date | None``: the earliest day of a move, that day if ready; None where none can be told."""
        return _day(self.value.earliest)

    @property
    def holds_until(self) -> date | None:
        """``date | None``: the last ready day if no more is noted; None where not ready, or without end."""
        return _day(self.value.holds_until)

    @property
    def next_lesson(self) -> date | None:
        """``date | None``: the next lesson to come; None where none comes within a year."""
        return _day(self.value.next_lesson)


class Studio:
    """A teacher's course and students, as they were when it was opened."""

    def __init__(self, files: studio_files.Studio, course: Course) -> None:
        """Take what was read; :func:`open_studio` and :func:`demo` read it."""
        self._files = files
        self._course = course

    @property
    def folder(self) -> Path:
        """``Path``: the folder with the student files."""
        assert self._files.where.students is not None
        return self._files.where.students

    @property
    def students(self) -> Mapping[str, str]:
        """``Mapping[str, str]``: the name of each student whose file can be read, by id, in order."""
        return {student: record.name for student, record in self._files.records.items()}

    @property
    def problems(self) -> tuple[Problem, ...]:
        """``tuple[Problem, ...]``: what is wrong in the student files; those students are left out."""
        return tuple(problem for one in self._files.loaded for problem in one.problems)

    def why(self, student: str, on: date | None = None) -> Answer:
        """Return whether a student moves to the next unit, and why.

        Args:
            student: the id.
            on: the day asked about, today if None.

        Raises:
            FilesError: there is no such student, or the file has mistakes.
            TypeError: ``student`` is no text, or ``on`` no ``datetime.date``.

        >>> import readiness
        >>> [blocker.skill for blocker in readiness.demo().why("temwa", date(2025, 12, 2)).blockers]
        ['rounded-hand-keys', 'wrist-lift']
        """
        course, record, found = self._judged(student, on)
        return Answer(
            found,
            partial(answer_to_dict, found),
            self._text(course, partial(_about, why_sections, found, record, ())),
        )

    def plan(self, student: str, on: date | None = None, minutes: int | None = None) -> Result[LessonPlan]:
        """Return the next lesson in minutes: a :class:`LessonPlan`, whose ``blocks`` add up to ``minutes``.

        Args:
            student, on: as for :meth:`why`; minutes: how long it is, from 10 to 90, None for what the pacing
                says.

        Raises:
            TypeError, ValueError: ``minutes`` is no whole number, or out of bounds.

        >>> import readiness
        >>> readiness.demo().plan("temwa", date(2025, 12, 2)).value.minutes
        30
        """
        course, record, found = asked = self._judged(student, on)
        if minutes is not None and type(minutes) is not int:
            raise TypeError(f"minutes is a whole number; {minutes!r} is {type(minutes).__name__}")
        if minutes is not None and not MINUTES[0] <= minutes <= MINUTES[1]:
            raise ValueError(f"minutes is from {MINUTES[0]} to {MINUTES[1]}; {minutes} is not")
        plan = plan_lesson(course, record, found, minutes)
        return self._result(asked, plan, partial(plan_to_dict, plan, found), plan_sections)

    def sheet(self, student: str, on: date | None = None) -> Result[CheckSheet]:
        """Return what to look at in a check at the end of the unit, in order.

        >>> import readiness
        >>> len(readiness.demo().sheet("temwa", date(2025, 12, 2)).value.items)
        7
        """
        course, record, found = asked = self._judged(student, on)
        sheet = check_sheet(course, record, found)
        return self._result(asked, sheet, partial(sheet_to_dict, sheet, found), sheet_sections)

    def place(self, student: str, on: date | None = None) -> Result[PlacingRound]:
        """Return where a student starts who has just begun or not yet, as far as is known, and the next look.

        Raises:
            ValueError: the student has begun a unit already.

        >>> import readiness
        >>> readiness.demo().place("rafiq", date(2025, 12, 2)).to_dict()["start_unit"]
        'sitting-high-low'
        """
        course, record, found = asked = self._judged(student, on)
        if found.unit is not None and not may_be_placed(record, found):
            raise ValueError(f"student {student!r} has begun {found.unit!r} already")
        now = placing_round(course, record, found.on)
        return self._result(asked, now, partial(_placed_to_dict, found, now), round_sections)

    def after_break(self, student: str, on: date | None = None) -> Result[AfterBreak]:
        """Return what a break cost, and the fewest looks that bring it back.

        >>> import readiness
        >>> readiness.demo().after_break("temwa", date(2025, 12, 2)).value.days
        0
        """
        course, record, found = asked = self._judged(student, on)
        back, ahead = breaks(course, record, found)
        as_plain = partial(back_to_dict, back, ahead, found)
        return self._result(asked, back, as_plain, back_sections, (back, ahead))

    def route(self, student: str, to: str, on: date | None = None) -> Result[Way]:
        """Return what is still to secure on the way to a skill or a unit, cheapest in teaching minutes.

        Args:
            to: the id of a skill or of a unit.

        Raises:
            KeyError: the course has neither.

        >>> import readiness
        >>> readiness.demo().route("temwa", "arms-that-travel", date(2025, 12, 2)).value.minutes
        70
        """
        course, record, found = asked = self._judged(student, on)
        if to not in course.skill and to not in course.unit:
            raise KeyError(to)
        way = way_to(course, record, found.on, to, found.calendar)
        return self._result(asked, way, partial(way_to_dict, way), way_sections)

    def ask(self, question: str, on: date | None = None) -> Result[Reply]:
        """Return the answer to a question over all students.

        Args:
            question: ready, look, stuck, paused, due, where, time or numbers; on: as for :meth:`why`.

        Raises:
            ValueError: there is no such question.

        >>> import readiness
        >>> readiness.demo().ask("paused", date(2025, 12, 2)).value.students
        6
        """
        if question not in QUESTIONS:
            raise ValueError(f"{question!r} is none of {', '.join(QUESTIONS)}")
        day = _ordinal(on)
        everybody = judge_all(self._course, self._files.records.values(), day, self._files.calendar)
        unread = sorted(one.path.name for one in self._files.broken.values())
        reply = ask(self._course, everybody, day, question, unread)
        text = self._text(self._course, partial(reply_words, [reply]))
        return Result(reply, partial(reply_to_dict, reply), text)

    def compare(self, course: str | Path, on: date | None = None) -> Result[Trial]:
        """Return what another course would change, and for whom.

        Args:
            course: the folder with its ``graph.toml`` and ``pacing.toml``; on: as for :meth:`why`.

        Raises:
            FilesError: the course has mistakes.

        >>> import readiness
        >>> studio = readiness.demo()
        >>> studio.compare(studio.course_folder).value.comparison.changed
        ()
        """
        loaded = load_course(Path(course))
        other = loaded.course
        if other is None:
            raise FilesError(f"the course in {course} has mistakes", errors(loaded.problems))
        trial = try_course(self._files, loaded, _ordinal(on))
        found = trial.comparison
        assert found is not None
        text = self._text(self._course, partial(_compared, found, other))
        return Result(trial, partial(trial_to_dict, trial, found.on), text)

    @property
    def course_folder(self) -> Path:
        """``Path``: the folder of the course."""
        assert self._course.folder is not None
        return self._course.folder

    def _result(
        self,
        asked: tuple[Course, Record, judged.Answer],
        value: V,
        to_dict: Callable[[], Mapping[str, object]],
        tell: Callable[..., Parts],
        told: object = None,
    ) -> Result[V]:
        course, record, found = asked
        tell = partial(_about, tell, found, record, (told or value,))
        return Result(value, to_dict, self._text(course, tell))

    def _text(self, course: Course, tell: Callable[[Course], Parts]) -> Callable[[int], str]:
        """Return what lays a text out; ``tell`` makes it of the course as the studio says it."""
        return partial(_laid_out, self._files.wording, course, tell)

    def _judged(self, student: str, on: date | None) -> tuple[Course, Record, judged.Answer]:
        """Return the course as it is on a day, a student's record, and the answer of that day."""
        day = _ordinal(on)
        if not isinstance(student, str):
            raise TypeError(f"student is the id of a student; {student!r} is {type(student).__name__}")
        record = self._files.records.get(student)
        if record is None:
            wrong = self._files.broken.get(student)
            if wrong is not None:
                raise FilesError(f"the file of {student} has mistakes", errors(wrong.problems))
            hint = did_you_mean(student, self.students)
            raise FilesError(f"there is no student {student!r}" + (f"; {hint}" if hint else ""))
        return self._course.on(day), record, judge(self._course, record, day, self._files.calendar(student))


def open_studio(folder: str | Path) -> Studio:
    """Return the studio of a folder.

    Args:
        folder: the folder with ``studio.toml``, or one below it.

    Raises:
        FilesError: there is no studio, or its course has mistakes.
    """
    try:
        where = find_studio(None, None, Path(folder).resolve(strict=True), {})
    except StudioNotFoundError as error:
        raise FilesError(str(error)) from None
    except FileNotFoundError:
        raise FilesError(f"there is no folder {str(folder)!r}") from None
    if where.is_demo:
        raise FilesError(f"there is no studio.toml in {folder} or above it")
    return _opened(studio_files.load_studio(where))


def demo() -> Studio:
    """Return the invented studio that comes with the program: ask it about 2 December 2025.

    >>> import readiness
    >>> "temwa" in readiness.demo().students
    True
    """
    return _opened(studio_files.load_studio(find_studio(None, None, Path("/"), {})))


def _opened(files: studio_files.Studio) -> Studio:
    if files.course is None:
        raise FilesError("the studio has mistakes", errors(files.problems))
    return Studio(files, files.course)


# What a result is made by later: functions of a module, so that a result can be kept and sent elsewhere.


def _laid_out(wording: Wording, course: Course, tell: Callable[[Course], Parts], width: int) -> str:
    context = copy_context()
    context.run(speak, wording, here=True)
    return context.run(lambda: lay_out(tell(worded(course)), width))


def _about(
    tell: Callable[..., Parts], found: judged.Answer, record: Record, about: Sequence[object], words: Course
) -> Parts:
    return tell(*about, Phrases(found, words, record))


def _compared(found: Comparison, other: Course, words: Course) -> Parts:
    return comparison_sections(found, words, worded(other))


def _placed_to_dict(found: judged.Answer, now: PlacingRound) -> dict[str, object]:
    return {"student": found.student, "on": iso(found.on), **placing_to_dict(now)}


def _ordinal(on: date | None) -> int:
    """Return a day as judging counts it.

    Raises:
        TypeError: it is no ``datetime.date``.
    """
    if on is None:
        return date.today().toordinal()  # noqa: DTZ011 - the day where the teacher is
    if not isinstance(on, date) or isinstance(on, datetime):
        raise TypeError(f"a day is a datetime.date, as in date(2025, 12, 2); {on!r} is {type(on).__name__}")
    return on.toordinal()


def _day(number: int | None) -> date | None:
    return None if number is None else date.fromordinal(number)
