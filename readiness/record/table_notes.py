"""From the rows of a table to entries of student files: matched to students, skills and the ladder of help.

Everything that was understood is kept beside what it was made of, so that it can be shown before anything is
written. A row that cannot be placed keeps its reason. What a file holds already is left
out, so the same table a second time adds nothing; what was written when a run was ended
half-way is then complete after the next one. Each student's notes are written in one step.
"""

from __future__ import annotations

import re
import unicodedata
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import field, replace
from datetime import date
from functools import partial
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING, Any, Final

from readiness.course.find import find_skill, find_unit
from readiness.course.model import Course
from readiness.days import DAY_MONTH, as_born, birth_day, iso, month_too_short
from readiness.lazy import dataclass
from readiness.record.append import add_entries, block
from readiness.record.enrol import NewStudent, check_new, enrol
from readiness.record.model import HELPS, Record, corrected
from readiness.record.noting import NewLesson, check_day, lesson_text, odd_letters
from readiness.record.table_file import (
    ORDERS,
    ROLES,
    Cell,
    Heads,
    Question,
    Row,
    Table,
    day_of,
    find_heads,
    order_said,
    orders_of,
    plain_word,
    shown,
)
from readiness.record.undo import import_line
from readiness.terms import Help
from readiness.toml.texts import composed, nearest
from readiness.toml.write import Refusal

if TYPE_CHECKING:
    from readiness.record.schema import StudentFile

__all__ = [
    "NOTHING", "NOT_TRIED", "Choices", "KnownNames", "Understood", "Unplaced", "understand", "write_notes",
]  # fmt: skip

NOT_TRIED: Final = "not-tried"
NOTHING: Final = "nothing"
_WORDS: Final[Mapping[str, str]] = MappingProxyType({
    word: meaning
    for meaning, words in {
        Help.ALONE: "alone|without help|without any help|independent|independently|by herself|by himself|"
        "by themselves|on her own|on his own|on their own|unaided",
        Help.CUE: "cue|with a cue|with cue|with a reminder|reminder|reminded|with reminder|prompt|prompted",
        Help.MODEL: "model|after a model|after being shown|modelled|modeled|demonstrated|copied",
        Help.HANDS_ON: "hands on|guided by hand|hand over hand|guided|with hands|physical help",
        Help.NOT_SHOWN: "not shown|could not|cannot",
        NOT_TRIED: "not tried|not asked|n/a|na|skipped",
        NOTHING: "-|\u2013|\u2014|absent|ill|sick|away",
    }.items()
    for word in words.split("|")
})  # fmt: skip
"""What is written for how much help there was, as plain words. The ladder's own words and plain synonyms."""
_TICKS: Final = frozenset({"✓", "✔", "☑", "√", "✅", "yes", "y", "true", "tick", "ticked"})
_CROSSES: Final = frozenset({"✗", "✘", "☒", "❌", "\u00d7", "no", "n", "false", "cross"})
_FIGURES: Final = frozenset("12345")
_LONGEST: Final = 2000


@dataclass(frozen=True)
class Choices:
    """What the teacher said about a table.

    Attributes:
        columns: by role, the head of its column; words: by a word of the table, what it means.
        order: of dates, one of ORDERS; best: which end of a scale from 1 to 5 is without help.
        student, day: of all rows, where no column says so.
    """

    columns: Mapping[str, str] = field(default_factory=dict)
    words: Mapping[str, str] = field(default_factory=dict)
    order: str = ""
    best: int = 0
    student: str = ""
    day: int | None = None


@dataclass(frozen=True)
class Unplaced:
    """A row that was not placed, or not all of it; ``number`` as spreadsheets count, from 1."""

    number: int
    why: str
    row: Row


@dataclass
class _Mine:
    """What is to be noted of one student."""

    record: Record
    new: NewStudent | None = None
    lessons: dict[tuple[int, str], NewLesson] = field(default_factory=dict)
    starts: list[tuple[str, int]] = field(default_factory=list)


@dataclass(frozen=True)
class Understood:
    """A table as it was understood.

    Attributes:
        heads: its columns; order: of its dates; questions: what must be known first.
        words: what stands in the table, what it was taken for, and how often, by role.
        students: what would be written; noted: how many notes that is; already: how many are there already.
        unplaced: rows that could not be placed; silent: those that name a skill and say nothing of it.
        again: how many are second notes of a skill on one day; unknown: words nobody could match, by role.
        ticks: the sign that was read as "without help".
        days_cut: whether the table has a day of birth of a new student, whose file has the month alone.
    """

    heads: Heads
    order: str
    questions: tuple[Question, ...]
    words: Mapping[tuple[str, str, str], int]
    students: tuple[_Mine, ...]
    already: int
    unplaced: tuple[Unplaced, ...]
    silent: tuple[int, ...]
    again: int
    unknown: Mapping[tuple[str, str], int]
    ticks: str
    days_cut: bool

    @property
    def noted(self) -> int:
        """How many showings, words and starts of units would be written."""
        lessons = [lesson for one in self.students for lesson in one.lessons.values()]
        starts = sum(len(one.starts) + (one.new is not None) for one in self.students)
        return starts + sum(_size(lesson) for lesson in lessons)

    def held(self, course: Course) -> Iterator[tuple[Record, int, tuple[str, ...]]]:
        """Yield whose, of which day, which notes would never count: played under a hold (rule R1a)."""
        for one in self.students:
            for lesson in one.lessons.values():
                skills = tuple(skill for skill in lesson.helps if not course.skill[skill].quiet)
                if skills and any(hold.covers(lesson.on) for hold in one.record.holds):
                    yield one.record, lesson.on, skills


def _size(lesson: NewLesson) -> int:
    return len({*lesson.helps, *lesson.not_tried, *lesson.remarks}) + bool(lesson.note)


class KnownNames:
    """What students and skills are called; every word is looked up once."""

    def __init__(self, course: Course, records: Iterable[Record], choices: Choices) -> None:
        """Make the names ready."""
        self.course, self.choices = course, choices
        self.records: dict[str, Record] = {}
        self._names: dict[str, set[str]] = {}
        for one in records:
            self._know(one)
        self.said = {plain_word(word): meaning for word, meaning in choices.words.items()}
        self._found: dict[tuple[str, str], str | Refusal] = {}

    def fits(self, kind: str, text: str) -> str | None:
        """Return what a head means, for :func:`find_heads`; two letters mean no skill."""
        if kind == "skill" and len(text) < 3:
            return None
        found = self.taught(kind, text) if kind == "skill" else self.student(text)
        return None if isinstance(found, Refusal) else found

    def taught(self, kind: str, text: str) -> str | Refusal:
        """Return the ``skill`` or ``unit`` that is meant, or why none is."""
        find = find_skill if kind == "skill" else find_unit
        return self._once(kind, text, lambda word: find(self.course, word))

    def student(self, text: str, family: str = "", born: str = "") -> str | Refusal:
        """Return the student that is meant: by id, by name, by name with family; never by guess."""
        found = self._once("student", text, self._named)
        if not isinstance(found, Refusal):
            return found if not born or self._born(found, born) else self._other_birth(found, text, born)
        fitting = [one for one in self._names.get(plain_word(text), ()) if self._is(one, family, born)]
        return fitting[0] if len(fitting) == 1 else found

    def _once(self, kind: str, text: str, find: Callable[[str], str | Refusal]) -> str | Refusal:
        key = kind, text
        if key not in self._found:
            self._found[key] = find(self.said.get(plain_word(text), text))
        return self._found[key]

    def _named(self, word: str) -> str | Refusal:
        if word in self.records:
            return word
        several = sorted(self._names.get(plain_word(word), ()))
        if len(several) > 1:
            ids = " or ".join(several)
            return Refusal("several", f'"{word}" could be {ids}; say which with --word "{word}={several[0]}"')
        meant = nearest(plain_word(word), self._names) if not several else None
        hint = f'; did you mean "{meant}"?' if meant else ""
        return several[0] if several else Refusal("nobody", f'there is no student "{word}"{hint}')

    def _know(self, record: Record) -> None:
        """Know a student by everything one can be called in a table."""
        self.records[record.id] = record
        name, family = record.name, record.family
        told = [record.id, name]
        if family:
            told += [f"{name} {family}", f"{name} {family[0]}", f"{name}, {family[0]}"]
            told += [f"{family} {name}", f"{family}, {name}"]
        for each in told:
            self._names.setdefault(plain_word(each), set()).add(record.id)

    def _is(self, student: str, family: str, born: str) -> bool:
        mine = plain_word(self.records[student].family)
        return (bool(family) or bool(born)) and (not family or mine == plain_word(family)) and (
            not born or self._born(student, born))  # fmt: skip

    def _born(self, student: str, born: str) -> bool:
        mine = as_born(self.records[student].born)
        known = min(len(mine), len(born))
        return mine[:known] == born[:known]

    def _other_birth(self, student: str, text: str, born: str) -> Refusal:
        there = as_born(self.records[student].born)
        told = f"{text} is in the studio as {student}, born {there}, and here it is {born}"
        return Refusal("other-birth", f"{told}; for another child of that name give an id of its own")

    def add(self, new: NewStudent) -> None:
        """Know a new student too."""
        self._know(Record(new.id, new.name, birth_day(new.born), new.family))
        self._found = {key: found for key, found in self._found.items() if key[0] != "student"}


class _CannotPlaceError(Exception):
    """Why a row cannot be placed; raised in this module only."""

    def __init__(self, why: str | Refusal) -> None:
        super().__init__(why if isinstance(why, str) else why.message.rstrip("."))


def _each(*asked: Callable[[], Any]) -> list[Any]:
    """Return what each of some questions comes to; all that stands in the way is said together."""
    found, reasons = [], []
    for ask in asked:
        try:
            found.append(ask())
        except _CannotPlaceError as why:
            reasons.append(str(why))
    if reasons:
        raise _CannotPlaceError("; ".join(reasons))
    return found


def understand(table: Table, known: KnownNames, folder: Path, latest: int) -> Understood:
    """Return a table as it is understood; nothing is written.

    Args:
        table: its rows; known: students, skills, and what was said about the table.
        folder: the students folder; latest: the latest day something can be noted for.
    """
    heads = find_heads(table, known.choices.columns, known.fits)
    return _TableReader(table, known, heads, folder, latest).read()


class _TableReader:
    """One reading of a table."""

    def __init__(self, table: Table, known: KnownNames, heads: Heads, folder: Path, latest: int) -> None:
        self.table, self.known, self.heads, self.folder, self.latest = table, known, heads, folder, latest
        self.choices = known.choices
        self.questions = [one for one in heads.questions if not self._answered(one)]
        self.rows = [(at + 1, row) for at, row in enumerate(table.rows) if at > heads.row and any(row)]
        self.orders = self._orders()
        self.order = self.orders[0] if len(self.orders) == 1 else ""
        self.hows = Counter(plain_word(shown(cell)) for cell in self._cells("how") if cell)
        self.words: Counter[tuple[str, str, str]] = Counter()
        self.mine: dict[str, _Mine] = {}
        self.unplaced: list[Unplaced] = []
        self.silent: list[int] = []
        self.again = 0
        self.days_cut = False
        self.unknown: Counter[tuple[str, str]] = Counter()

    def _answered(self, question: Question) -> bool:
        said = {"student": self.choices.student or self._sheet(), "day": self.choices.day}
        return bool(said.get(question.about))

    def _cells(self, *roles: str) -> Iterator[Cell]:
        columns = [one.at for one in self.heads.columns if one.role in roles]
        return (row[at] for _, row in self.rows for at in columns)

    def _orders(self) -> tuple[str, ...]:
        """Return the orders dates can have: as said, as a head says, as all of them together allow."""
        if self.choices.order:
            return (self.choices.order,)
        said = {order_said(one.head) for one in self.heads.columns if one.role in ("day", "born")} - {""}
        if len(said) == 1:
            return tuple(said)
        fixed = [one.fixed["day"] for one in self.heads.columns if "day" in one.fixed]
        return orders_of([*self._cells("day", "born"), *fixed, self.heads.fixed.get("day", "")], self.latest)

    def read(self) -> Understood:
        """Return what was understood; with a question open, as far as that goes."""
        self._ask()
        ticks = next((word for word in self.hows if word in _TICKS and word not in self.known.said), "")
        if not self.questions:
            self._students()
            for number, row in self.rows:
                self._row(number, row)
        every = tuple(self.mine.values())
        told = {meant for _, _, meant in self.words}
        for new in (one.new for one in every if one.new is not None and f"new: {one.new.id}" not in told):
            self.words["student", new.name, f"new: {new.id}"] = 1
        already = sum(_leave_out_known(one) for one in every)
        kept = tuple(one for one in every if one.lessons or one.starts or one.new)
        return Understood(
            self.heads, self.order, tuple(self.questions), self.words, kept, already,
            tuple(self.unplaced), tuple(dict.fromkeys(self.silent)), self.again, self.unknown, ticks,
            self.days_cut,
        )  # fmt: skip

    def _ask(self) -> None:
        """Ask for the order of dates and the good end of a scale, where they cannot be known."""
        if not self.order:
            example = next((shown(cell) for cell in self._cells("day", "born") if cell), "the days")
            text = f"The days can be read in several orders, such as {example}."
            if not self.orders:
                text = f"No one order reads all of the days, such as {example}."
            self.questions.append(Question("dates", "order", text, self.orders or tuple(ORDERS)))
        figures = [word for word in self.hows if word in _FIGURES and word not in self.known.said]
        if figures and not self.choices.best:
            text = "The numbers from 1 to 5 can mean both: which of the two ends is without help?"
            self.questions.append(Question("scale", "best", text, ("1", "5")))

    def _students(self) -> None:
        if not self.heads.of("born"):
            return
        for number, row in self.rows:
            try:
                self._student_row(row)
            except _CannotPlaceError as why:
                self.unplaced.append(Unplaced(number, str(why), row))

    def _student_row(self, row: Row) -> None:
        name, born = self._text(row, "student"), self._birth(row)
        code = self._text(row, "id")
        if not (name or code) or not born:
            return
        found = self._find(code, name, self._text(row, "family"), born)
        if not isinstance(found, Refusal):
            return
        there = self.known.student(name)
        is_another = code not in self.known.records if code else there in self.mine
        if found.id in ("several", "other-birth") and not is_another:
            raise _CannotPlaceError(found.message)
        unit = self._text(row, "unit")
        meant = self._meant(self.known.taught("unit", unit), "unit", unit) if unit else ""
        day = self._day(row, {}) if self._has_day(row) else self.latest
        new = NewStudent(code or self._id_for(name or code), name or code, born, day,
                         family=self._text(row, "family"), unit=meant)  # fmt: skip
        if wrong := check_new(self.known.course, new, self.folder):
            raise _CannotPlaceError(wrong[0])
        self.known.add(new)  # whole, by which two of one name are told apart; the month alone is kept
        self.mine[new.id] = _Mine(self.known.records[new.id], replace(new, born=born[:7]))
        self.days_cut = self.days_cut or born != born[:7]

    def _id_for(self, name: str) -> str:
        letters = unicodedata.normalize("NFKD", plain_word(name)).encode("ascii", "ignore").decode()
        plain = re.sub(r"[^a-z0-9]+", "-", letters).strip("-") or "student"
        taken = {one.casefold() for one in self.known.records}
        return next(one for at in range(1, 10_000)
                    if (one := plain if at == 1 else f"{plain}-{at}") not in taken)  # fmt: skip

    def _birth(self, row: Row) -> str:
        """Return a birth as the student file has it, the month alone where only that is known."""
        cell = self._cell(row, "born")
        month = re.fullmatch(r"(?:(\d{4})-(0\d|1[0-2])|(0?[1-9]|1[0-2])[./-](\d{4}))", shown(cell))
        if month is not None:
            return f"{month[1] or month[4]}-{month[2] or month[3]:0>2}"
        day = day_of(cell, self.order) if cell else None
        if cell and day is None:
            raise _CannotPlaceError(f'"{shown(cell)}" is no birth date; write it as in 2019-05')
        return iso(day) or ""

    def _row(self, number: int, row: Row) -> None:
        """Place a row: the notes of its cells, or the words of a lesson, or the start of a unit."""
        if any(one.number == number for one in self.unplaced):
            return
        heads = [one.head for one in self.heads.columns if one.why == "unplaced" and row[one.at]]
        reasons = [*map(self._no_head, heads)]
        for fixed, at in self._parts():
            try:
                self._part(number, row, fixed, at)
            except _CannotPlaceError as why:
                reasons.append(str(why))
        if reasons:
            self.unplaced.append(Unplaced(number, "; ".join(dict.fromkeys(reasons)), row))

    def _no_head(self, head: str) -> str:
        found = self.known.taught("skill", head)
        self.unknown["skill", head] += 1
        return found.message.rstrip(".") if isinstance(found, Refusal) else f'the head "{head}" says nothing'

    def _parts(self) -> list[tuple[Mapping[str, Cell], dict[str, int]]]:
        """Return the notes a row can hold: what heads say of each, and its columns by role."""
        own = {one.role: one.at for one in self.heads.columns if one.role in ROLES and not one.fixed}
        parts: dict[tuple[tuple[str, Cell], ...], dict[str, int]] = {}
        for one in self.heads.columns:
            if one.fixed and one.role:
                parts.setdefault(tuple(one.fixed.items()), {})[one.role] = one.at
        whole = {role: at for role, at in own.items() if role != "remark" or not parts}
        found: list[tuple[Mapping[str, Cell], dict[str, int]]] = [
            (dict(fixed), {**whole, **at}) for fixed, at in parts.items()
        ]
        if parts and "remark" in own:
            found.append(({}, own))
        return found or [({}, own)]

    def _part(self, number: int, row: Row, fixed: Mapping[str, Cell], at: Mapping[str, int]) -> None:
        said: dict[str, Cell] = {**self.heads.fixed, **{role: row[one] for role, one in at.items()}}
        said |= fixed
        how, skill = shown(said.get("how", "")), shown(said.get("skill", ""))
        remark = shown(said.get("remark", ""))[:_LONGEST]
        if not (skill or how) and said.get("unit"):
            self._start(row, said)
        if not (how or remark):
            self.silent += [number] if skill and not fixed else []
            return
        (student, day), given, meant = _each(
            lambda: self._whose(row, said),
            lambda: self._help(how) if how else NOTHING,
            lambda: self._meant(self.known.taught("skill", skill), "skill", skill) if skill else "",
        )
        if how and not skill:
            raise _CannotPlaceError("it does not say which skill")
        by = shown(said.get("by", ""))
        if odd := (*odd_letters(remark, also="\n\t"), *odd_letters(by)):
            raise _CannotPlaceError(odd[0])
        self._note(student, day, by, (meant, given, remark))

    def _note(self, student: str, day: int, by: str, noted: tuple[str, str, str]) -> None:
        """Put a note to the lesson of its day; of two ways the one with most help stays (rule R1)."""
        skill, given, remark = noted
        lessons = self.mine[student].lessons
        lesson = lessons.get((day, by), NewLesson(day, {}, (), by, "", {}))
        helps, remarks = dict(lesson.helps), dict(lesson.remarks)
        if given in HELPS:
            self.again += skill in helps
            helps[skill] = max(helps.get(skill, 0), HELPS.index(given))
        elif given == NOT_TRIED and skill not in lesson.not_tried:
            lesson = replace(lesson, not_tried=(*lesson.not_tried, skill))
        if remark and skill:
            before = remarks.get(skill, "")
            remarks[skill] = before if remark in before.split("\n") else f"{before}\n{remark}".strip()
        elif remark and remark not in lesson.note.split("\n"):
            lesson = replace(lesson, note=f"{lesson.note}\n{remark}".strip())
        found = replace(lesson, helps=helps, remarks=remarks)
        if not found.is_empty:
            lessons[day, by] = found

    def _start(self, row: Row, said: Mapping[str, Cell]) -> None:
        student, text = self._student(row, said), shown(said["unit"])
        mine, found, has_day = self.mine[student], self.known.taught("unit", text), self._has_day(row)
        new = mine.new
        if new is not None and found == new.unit and (not has_day or self._day(row, said) == new.on):
            return
        unit = self._meant(found, "unit", text)
        last = max(mine.record.unit_starts, key=lambda one: one.on, default=None)
        if not has_day and last is not None and last.unit == unit:
            return
        day = self._lesson_day(student, row, said)
        if (unit, day) not in mine.starts:
            mine.starts.append((unit, day))

    def _lesson_day(self, student: str, row: Row, said: Mapping[str, Cell]) -> int:
        day = self._day(row, said)
        for refused in check_day(self.mine[student].record, day, self.latest):
            raise _CannotPlaceError(refused)
        return day

    def _whose(self, row: Row, said: Mapping[str, Cell]) -> tuple[str, int]:
        """Return whose lesson it is, and its day."""
        student = self._student(row, said)
        return student, self._lesson_day(student, row, said)

    def _student(self, row: Row, said: Mapping[str, Cell]) -> str:
        code, text = shown(said.get("id", "")), shown(said.get("student", ""))
        text = text or ("" if code else self.choices.student or self._sheet())
        if not (code or text):
            raise _CannotPlaceError("it does not say which student")
        born = self._birth(row) if self.heads.of("born") else ""
        found = self._find(code, text, shown(said.get("family", "")), born)
        student = self._meant(found, "student", text or code)
        self.mine.setdefault(student, _Mine(self.known.records[student]))
        return student

    def _find(self, code: str, name: str, family: str, born: str) -> str | Refusal:
        """Return the student of an id, or of a name where the id is one of somebody else's list."""
        by_code = self.known.student(code, "", born) if code else None
        if name and (by_code is None or (isinstance(by_code, Refusal) and by_code.id == "nobody")):
            return self.known.student(name, family, born)
        assert by_code is not None
        return by_code

    def _sheet(self) -> str:
        """Return the name of the sheet where a student is called so."""
        named = self.table.sheet
        return named if named and self.known.fits("student", named) else ""

    def _has_day(self, row: Row) -> bool:
        return bool(self._cell(row, "day") or self.heads.fixed.get("day") or self.choices.day)

    def _day(self, row: Row, said: Mapping[str, Cell]) -> int:
        cell = said.get("day") or self._cell(row, "day") or self.heads.fixed.get("day", "")
        if not cell and self.choices.day is not None:
            return self.choices.day
        day = day_of(cell, self.order) if cell else None
        if day is None:
            text = shown(cell)
            short = month_too_short(text, "month-day" if self.order == "mdy" else DAY_MONTH)
            no_day = f'"{text}" is not a day: {short}' if short else f'"{text}" is no day with its year'
            raise _CannotPlaceError(no_day if cell else "it does not say which day")
        return day

    def _help(self, text: str) -> str:
        """Return a word of the ladder, :data:`NOT_TRIED` or :data:`NOTHING`."""
        word = plain_word(text)
        meant = plain_word(self.known.said.get(word, word))
        found = _WORDS.get(meant, meant.replace(" ", "-") if meant.replace(" ", "-") in HELPS else "")
        if not found and meant in _TICKS:
            found = Help.ALONE
        elif not found and (meant in _CROSSES or (meant == "x" and any(one in _TICKS for one in self.hows))):
            found = Help.NOT_SHOWN
        elif not found and meant in _FIGURES and self.choices.best:
            found = HELPS[int(meant) - 1 if self.choices.best == 1 else 5 - int(meant)]
        if not found:
            self.unknown["how", text] += 1
            raise _CannotPlaceError(self._no_help(text))
        self.words["how", text, found] += 1
        return found

    @staticmethod
    def _no_help(text: str) -> str:
        if text.startswith(("=", "#")):
            return f'"{text[:40]}" is a formula or its mistake; formulas are never run'
        if re.fullmatch(r"\d{1,3}([.,]\d+)? ?%", text):
            return f'"{text}" says how many, not with how much help'
        means = "alone, cue, model, hands-on, not-shown or nothing"
        said = f'say it with --word "{text[:40]}=MEANING": {means}'
        return f'"{text[:40]}" does not say with how much help; {said}'

    def _meant(self, found: str | Refusal, role: str, text: str) -> str:
        if isinstance(found, Refusal):
            self.unknown[role, text] += 1
            raise _CannotPlaceError(found)
        is_new = role == "student" and found in self.mine and self.mine[found].new is not None
        self.words[role, text, f"new: {found}" if is_new else found] += 1
        return found

    def _cell(self, row: Row, role: str) -> Cell:
        return next((row[one.at] for one in self.heads.of(role) if not one.fixed), "")

    def _text(self, row: Row, role: str) -> str:
        return composed(shown(self._cell(row, role)))


def _leave_out_known(mine: _Mine) -> int:
    """Take out what the student's file says already or has corrected, and return how much that was."""
    lessons = mine.record.entire.lessons
    helps = {(one.on, each.skill, each.help) for one in lessons for each in one.showings}
    helps |= {(one.of, one.skill, one.help) for one in mine.record.entire.corrected}
    left = {(one.on, skill) for one in lessons for skill in one.not_tried}
    words = {(one.on, skill, text) for one in lessons for skill, text in one.remarks.items()}
    notes = {(one.on, one.note) for one in lessons}
    before = sum(_size(lesson) for lesson in mine.lessons.values()) + len(mine.starts)
    kept = {}
    for key, one in mine.lessons.items():
        day = one.on
        found = replace(
            one,
            helps={skill: given for skill, given in one.helps.items() if (day, skill, given) not in helps},
            not_tried=tuple(skill for skill in one.not_tried
                            if (day, skill) not in left and skill not in one.helps),
            remarks={skill: text for skill, text in one.remarks.items() if (day, skill, text) not in words},
            note="" if (day, one.note) in notes else one.note,
        )  # fmt: skip
        if not found.is_empty:
            kept[key] = found
    mine.lessons = kept
    there = {(one.unit, one.on) for one in mine.record.entire.unit_starts}
    mine.starts = [one for one in mine.starts if one not in there]
    return before - sum(_size(lesson) for lesson in kept.values()) - len(mine.starts)


def write_notes(
    course: Course, understood: Understood, folder: Path, token: str
) -> Iterator[tuple[str, Refusal | None]]:
    """Write what was understood, a student at a time; yield each id, with why it was not written.

    A student's notes are written in one step: all are there or none. Each lesson is an entry of its own, and
    all of them have the token of the import, by which they are taken back together.
    """
    for mine in understood.students:
        wrong = next(iter(enrol(course, mine.new, folder)), None) if mine.new is not None else None
        starts = ([("unit", unit), ("on", date.fromordinal(day))] for unit, day in mine.starts)
        lessons = sorted(mine.lessons.values(), key=lambda one: (one.on, one.by))
        entries = (*(block("unit_start", one) for one in starts), *map(lesson_text, lessons))
        if wrong is None and entries:
            texts, path = [one + import_line(token) for one in entries], folder / f"{mine.record.id}.toml"
            wrong = add_entries(path, folder, texts, partial(_changed, mine))
        yield mine.record.id, wrong


def _changed(mine: _Mine, file: StudentFile) -> Refusal | None:
    """Return that somebody noted meanwhile, so that nothing is noted twice; ``file`` has the entries."""
    wrong = corrected(file.model_dump())  # lessons are counted as they are read: what was corrected is none
    counted = len(file.lesson) - len(wrong.whole)
    if counted == len(mine.record.entire.lessons) + len(mine.lessons):
        return None
    message = f"somebody noted something about {mine.record.name} just now; please run it again."
    return Refusal("changed", message)
