"""What is written from the screens: a lesson, a decision, a pause, and all else as tables.

Like :mod:`tui.desk` it knows no screen. Each row returns what it wrote in words, or why nothing was
written; what it wrote into a student's file is taken back by :func:`take_last_back`.

An edit of a course is laid over it in memory first (:mod:`readiness.editing.edits`), tried on everybody.
Kept, it changes one line of a file and nothing else: comments and order stay as they were. Where one line
is not enough, or the line stands in a file the course is based on, the editor is the way, and that is said.

What is written is what the commands write, by the same functions of the library; in the demo that comes with
the program nothing is, and the desk keeps what was half entered.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date
from functools import cached_property
from itertools import chain, count
from pathlib import Path
from textwrap import shorten
from typing import Any, Final, get_args

import tomli

from readiness.advice.ground import decision_on, unit_begun
from readiness.advice.offer import Answers, Offer, Offered, far_skills, lesson_offer
from readiness.advice.placing_round import PlacingRound, placing_round
from readiness.advice.sheet import CheckSheet, check_sheet
from readiness.advice.skill_traits import days_freed, played_under_hold
from readiness.course.find import find_skill, find_unit
from readiness.course.layers import CourseFile, read_files
from readiness.course.load import course_of
from readiness.days import iso
from readiness.editing.dry_run import try_course
from readiness.editing.edits import Add, Drop, Edit, EditError, Move, Retire, Set, apply, parse_edit
from readiness.lazy import dataclass, fields_of
from readiness.record import draft_entry as half_done
from readiness.record import entries, noting, undo
from readiness.record.append import quoted
from readiness.record.consents import CONSENTS, is_of_age, note_consent
from readiness.record.enrol import NewStudent, check_new, enrol, odd_birth
from readiness.record.load import load_record, load_without_course
from readiness.record.model import Lesson, Record
from readiness.record.noting import NewLesson
from readiness.toml.locate import locate
from readiness.toml.read import parse_toml
from readiness.toml.write import Refusal, create
from readiness.words import noting as said
from readiness.words.cautions import caution, lesson_notice
from readiness.words.changes import comparison_sections, edit_words
from readiness.words.english import NOT_IN_THE_DEMO, glance_words, noted_line
from readiness.words.entries import freed_words, unpaused_words
from readiness.words.grammar import capital, date_words, tidy
from readiness.words.layout import Paragraph, Section, lay_out
from tui.desk import Desk
from tui.view import StudentRow

__all__ = [
    "COURSE_EDITS", "WORKS", "Ask", "CourseEdit", "LessonDesk", "Tried", "Work", "keep_decision",
    "keep_pause", "mark_of_last", "noted_last", "rewritten", "take_last_back", "taken_back", "unused",
    "with_value",
]  # fmt: skip

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
    kind, band = desk.course.skill[skill].kind, desk.course.bands[0]
    return f"{band.name}: {band.whole(f'days_needed.{kind}')}"


def _days_needed(desk: Desk, skill: str, typed: str) -> Edit:
    age, _, number = typed.rpartition(":")
    if not (age.strip() and number.strip()):
        raise EditError('please write the age, a colon and the days, as in "4-5: 3"')
    return parse_edit("set", f"band.{age.strip()}.days_needed.{desk.course.skill[skill].kind} = {number}")


COURSE_EDITS: Final = (
    CourseEdit(
        "number", "How many days it takes", "days that all things of its kind take, by age: 4-5: 3",
        _number, _days_needed,
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
        lambda desk, _skill: date.fromordinal(desk.view.day if desk.view else 1).isoformat(),
        lambda desk, skill, typed: Retire(skill, desk.typed_day(typed)),
    ),
)  # fmt: skip


class Tried:
    """One edit of one skill: shown first, kept the second time it is asked for with the same words."""

    def __init__(self, desk: Desk, edit: CourseEdit, skill: str) -> None:
        self.desk, self.edit, self.skill = desk, edit, skill
        self._shown: str | None = None

    def keep(self, given: Mapping[str, str]) -> Refusal | str:
        """Show who would change; asked again with the same words, keep it."""
        try:
            made = self.edit.make(self.desk, self.skill, given["value"])
            return self._write(made) if self._shown == given["value"] else self._try(made, given["value"])
        except ValueError as error:  # an EditError too
            return Refusal("edit", f"{capital(str(error)).removesuffix('.')}.")

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
        told = lay_out(comparison_sections(trial.comparison, old, trial.course.on(view.day)), 68, full=False)
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
        self._shown = None

        def change(now: bytes) -> bytes | Refusal:
            text = rewritten(now.decode("utf-8"), file, new)
            other = "this takes more than one line; key e on the map opens the file there."
            return Refusal("more", other) if text is None else text.encode()

        words = capital(edit_words(edit, self.desk.course))
        refusal = self.desk.change(file.path, change)
        return refusal or f"{words}: written into {file.path.name}. Key u takes it back."


def rewritten(text: str, file: CourseFile[Any], new: Mapping[str, Any]) -> str | None:
    """Return the text with one value of its file changed in its line; None where a line is not enough."""
    before = dict(_leaves(file.data)).items()
    changes = [one for one in _leaves(new) if one not in before]
    if len(changes) != 1 or changes[0][0] in file.inherited or changes[0][0][:-1] in file.inherited:
        return None
    return with_value(text, *changes[0])


def with_value(text: str, path: Keys, value: object) -> str | None:
    """Return a TOML text with one value changed, in its line or a new one; None where that is not enough.

    None as the value takes its line out. What comes of it is read again: nothing but this one changes.
    """
    mark, text, turn = text[: text.startswith("\ufeff")], text.removeprefix("\ufeff"), "\r" * ("\r\n" in text)
    values, places, lines = dict(_leaves(tomli.loads(text))), locate(text), text.split("\n")
    new = () if value is None else (f"{path[-1]} = {quoted(value)}{turn}",)
    if path in places.spots:
        at, column = places.at_value(path)
        before, old = lines[at - 1][: column - 1], quoted(values[path])
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
        lines[-1:] = [lines[-1] + turn, f"[{'.'.join(path[:-1])}]{turn}", *new, ""]
    found = "\n".join(lines)
    values.pop(path, None)
    meant = {**values, path: value} if new else values
    try:
        return mark + found if dict(_leaves(tomli.loads(found))) == meant else None
    except tomli.TOMLDecodeError:
        return None


def _leaves(inside: object, path: Keys = ()) -> Iterator[tuple[Keys, object]]:
    """Yield every value that is no table, by its path."""
    if isinstance(inside, Mapping):
        for key in inside:
            yield from _leaves(inside[key], (*path, key))
    else:
        yield path, inside


Given = Mapping[str, str]
Choices = Callable[[Desk, StudentRow], Iterable[str]]


@dataclass(frozen=True)
class Ask:
    """One thing that is asked for: its name, the words beside its field, and what can stand there.

    ``is_filled``: the first of what can stand there stands there at first.
    """

    name: str
    words: str
    choices: Choices = lambda _desk, _row: ()
    is_filled: bool = False


@dataclass(frozen=True)
class Work:
    """One thing to write; ``do`` returns why it was not, or None, or what it did in words."""

    name: str
    title: str
    asks: tuple[Ask, ...]
    do: Callable[[Desk, StudentRow, Given], Refusal | str | None]
    is_for_all: bool = False

    def carry_out(self, desk: Desk, row: StudentRow, given: Given) -> Refusal | str:
        """Write it; return why not, or what was written and where."""
        refusal = desk.refused(row.record, row.day, *given.values())
        if refusal and not (refusal.id == "demo" and self.name in PRINTED):
            return refusal
        try:
            told = self.do(desk, row, given)
        except ValueError as error:
            return Refusal("wrong", capital(str(error)))
        return f"{self.title}: written into {row.path.name}. Key u takes it back." if told is None else told


def take_last_back(desk: Desk, row: StudentRow, mark: str | None = None) -> Refusal | str:
    """Take back what was written last about a student, with the mark it had when asked; or return why not."""
    path = row.path
    if desk.is_demo:
        return Refusal("demo", NOT_IN_THE_DEMO)
    if (back := desk.put_back(path)) is not None:
        return back
    if (token := undo.import_token(path)) and mark in (None, mark_of_last(path)):
        return _import_back(path, token)
    called = noted_last(row)
    found = undo.take_back(path, path.parent, mark)
    if isinstance(found, Refusal):
        return found
    return f"Taken back in {path.name}: {called}. {said.stays_words(found)}".rstrip()


_CALLED: Final = {
    "placing": "the placing lesson", "correction": "the correction", "lesson": "the lesson",
    "decision": "the decision", "task": "the task", "promise": "the promise",
    "unit_start": "the start of a unit", "closed": "the end of a pause",
    "answered": "the answer to a promise", "days_reported": "the report of a task", "consent": "the consent",
}  # fmt: skip
"""What an entry is called by its blocks, or by the first word of what was added above; the first here."""


def noted_last(row: StudentRow) -> str:
    """Return what was noted last of a student and can be taken back, in words and with its day."""
    path = row.path
    if undo.import_token(path):
        return "the whole import"
    if isinstance(found := undo.last_entry(path), Refusal):
        return "what was written last"
    text, kinds, _ = found
    day, first = undo.first_day(text), text.partition(" ")[0]
    kinds |= {first}
    called = next((words for kind, words in _CALLED.items() if kind in kinds), "what was written last")
    called += "" if day is None else f" of {date_words(day, row.day)}"
    return f"{called} (the pause is open again)" if first == "closed" else called


def _import_back(path: Path, token: str) -> Refusal | str:
    from readiness.words.importing import import_undone_words  # here, since it is seldom wanted

    found = undo.take_import_back(path.parent, token, path.stem)
    stays = "; ".join(f"{student}: {why.message}" for student, (*_, why) in found.items() if why)
    return Refusal("stays", stays) if stays else " ".join(filter(None, import_undone_words(found, ())))


def _whole(typed: str, what: str) -> int:
    if not typed.strip().isdecimal():
        raise ValueError(f'{what} takes a number, and "{tidy(typed)}" is not one.')
    return int(typed)


def _day(desk: Desk, typed: str, when: int = 1) -> int | None:
    return desk.typed_day(typed, when) if typed.strip() else None


def _enrol(desk: Desk, row: StudentRow, given: Given) -> Refusal | str:
    unit = find_unit(desk.course, given["unit"]) if given["unit"].strip() else ""
    if isinstance(unit, Refusal):
        return unit
    new = NewStudent(given["id"].strip(), given["name"].strip(), given["born"].strip(), row.day, unit=unit)
    folder = row.path.parent
    wrong = check_new(desk.course, new, folder) or (*odd_birth(new),) or enrol(desk.course, new, folder)
    for refusal in wrong:
        insist = " `readiness enrol` takes it with --yes." if refusal.id == "odd-age" else ""
        return replace(refusal, message=f"{refusal.message}{insist}")
    path = row.path.parent / f"{new.id}.toml"
    desk.written[path] = None, path.read_bytes()
    return f"{new.name} is enrolled: {path.name} is new. Key u on {new.name} takes it away again."


def _consent(desk: Desk, row: StudentRow, given: Given) -> Refusal | None:
    what, said = given["what"].replace(",", " ").split(), given["said"].strip().casefold()
    if not what or not {*what} <= CONSENTS.keys() or said not in ("yes", "no"):
        raise ValueError(f"it is for {', '.join(CONSENTS)}; the answer is yes or no.")
    path, on = row.path, _day(desk, given["on"], -1) or row.day
    before, answers = path.read_bytes(), {CONSENTS[one]: said == "yes" for one in what}
    refusal = desk.refused(row.record, on) or note_consent(row.record, path.parent, answers, given["by"], on)
    if refusal is None:
        desk.written[path] = before, path.read_bytes()
    return refusal


SETTINGS: Final = {
    "name": "the name of the studio", "term_end": "the end of the term; may be empty",
    "seat": "what one sits on: bench or stool", "dates": "dates: day-month or month-day",
    "note_values": "note values: quarter or crotchet", "seventh": "the seventh white key: B or H",
}  # fmt: skip
"""The settings of ``studio.toml`` that are asked for, and the words for each."""


def _setting(name: str) -> Choices:
    """Return what gives a setting as it is now, then what else it can be."""

    def now(desk: Desk, _row: StudentRow) -> Iterable[str]:
        from readiness.studio.schema import WordingTable

        file = desk.settings
        if file is None or file.value is None:
            return ()
        field = WordingTable.model_fields.get(name)
        found = dict(fields_of(file.value.wording if field else file.value))[name]
        shown = iso(found) if isinstance(found, int) else found or ""
        return dict.fromkeys((shown, *get_args(field and field.annotation)))

    return now


def _settings(desk: Desk, row: StudentRow, given: Given) -> Refusal | str:
    """Write each setting that is another one into its line of ``studio.toml``."""
    from readiness.studio.schema import StudioFile, WordingTable

    file = desk.settings
    if file is None:
        return Refusal("none", "There is no studio.toml here; `readiness start` makes one.")
    end = _day(desk, given["term_end"])
    new = {**given, "term_end": None if end is None else date.fromordinal(end)}
    old = {name: next(iter(_setting(name)(desk, row)), "") for name in SETTINGS}
    others = [name for name in SETTINGS if str(new[name] or "") != old[name]]

    def edit(before: bytes) -> bytes | Refusal:
        text: str | None = before.decode()
        for name in others:
            path = ("wording", name) if name in WordingTable.model_fields else (name,)
            text = text and with_value(text, path, new[name])
        if not text:
            return Refusal("more", f"this takes more than one line; the editor opens {file.path.name}.")
        wrong = parse_toml(text, file.path, StudioFile).problems
        return Refusal("wrong", wrong[0].message) if wrong else text.encode()

    if not others:
        return Refusal("same", "nothing is different.")
    return desk.change(file.path, edit) or f"Written into {file.path.name}. Key u takes it back."


def _resume(desk: Desk, row: StudentRow, given: Given) -> Refusal | str | None:
    if given["allow"].strip().casefold() != "yes":
        return Refusal("not-allowed", "these words do not allow playing, so the pause stays.")
    by, words = given["by"].strip(), given["words"].strip()
    refusal = entries.close_hold(row.record, row.path.parent, row.day, by, words, given["part"].strip())
    after = None if refusal else load_record(row.path, desk.course).record
    freed = () if after is None else days_freed(desk.course, row.record, after)
    now = freed_words(row.record.id, freed, row.day)
    return f"{now}. Written into {row.path.name}; key u pauses again." if now else refusal


def _promise(desk: Desk, row: StudentRow, given: Given) -> Refusal | None:
    to, text = given["to"].strip(), given["text"].strip()
    return entries.give_promise(row.record, row.path.parent, row.day, to, text, _day(desk, given["due"]))


def _kept(_desk: Desk, row: StudentRow, given: Given) -> Refusal | None:
    number = _whole(given["number"].partition(" ")[0], "the promise")
    return entries.answer_promise(row.record, row.path.parent, number, row.day, given["answer"].strip())


def _task(desk: Desk, row: StudentRow, given: Given) -> Refusal | None:
    skill = find_skill(desk.course, given["skill"])
    if isinstance(skill, Refusal):
        return skill
    minutes, days = _whole(given["minutes"], "the minutes"), _whole(given["days"], "the days")
    text, folder = given["text"].strip(), row.path.parent
    return entries.give_task(row.record, folder, row.day, skill, text, minutes, days)


def _report(_desk: Desk, row: StudentRow, given: Given) -> Refusal | None:
    number, days = _whole(given["number"].partition(" ")[0], "the task"), _whole(given["days"], "the days")
    return entries.report_task(row.record, row.path.parent, number, days, given["words"])


def _move(desk: Desk, row: StudentRow, given: Given) -> Refusal | str:
    """Take the lesson that was noted last to another child's file, in both at once."""
    other, here = desk.row(given["to"].strip()), row.record.entire
    if other is None or other is row or not here.lessons:
        return Refusal("nobody", "Please choose whose lesson it was; this student needs one noted.")
    lesson = max(here.lessons, key=lambda one: one.line)
    for refusal in noting.check_day(other.record, lesson.on, desk.latest_day):
        return refusal
    refused = undo.move_lessons(here, other.record, row.path.parent, [lesson], row.day)
    name, day = other.record.name, date_words(lesson.on)
    told = f"The lesson of {day} is {name}'s now, written into {other.record.id}.toml. Key u takes it back."
    return refused or told


def _sheet(desk: Desk, row: StudentRow, given: Given) -> Refusal | str:
    from readiness.pages.sheets import sheet_page

    sheet = check_sheet(desk.course, row.record, row.answer)
    return _put(given, sheet_page(sheet, row.answer, desk.course, row.record))


def _handover(desk: Desk, row: StudentRow, given: Given) -> Refusal | str:
    from readiness.pages.document import sections_page

    return _put(given, sections_page(desk.handover(row), "a4", kind="stand"))


def _letter(desk: Desk, row: StudentRow, given: Given) -> Refusal | str:
    from readiness.pages.document import sections_page

    told = desk.telling(given["reader"].strip(), row, 10_000).split("\n")
    first, *rest = (Paragraph(one) for one in told if one.strip())
    return _put(given, sections_page((Section("", (first,)), Section("", tuple(rest))), "a4", kind="letter"))


def _put(given: Given, page: str) -> Refusal | str:
    path = Path(given["file"]).expanduser().absolute()
    return create(path, path.parent, page.encode()) or f"{path} is written. {caution('C8')}"


def _file(what: str) -> Ask:
    words = "the file, for a browser to print"
    return Ask("file", words, lambda _, row: (unused(f"{row.record.id}-{what}.html").name,), is_filled=True)


def unused(name: str) -> Path:
    """Return where a file of this name goes, with a number behind it where there is one: none is replaced."""
    first = Path.cwd() / name
    later = (first.with_stem(f"{first.stem}-{number}") for number in count(2))
    return next(one for one in chain([first], later) if not one.exists())


FIELD: Final = 48
"""So many letters stand in a field of a form on the narrowest usual screen."""


def _open(listed: Callable[[Record, int], Iterable[tuple[int, Any]]]) -> Choices:
    return lambda _, row: (
        shorten(f"{number} {tidy(one.text)}", FIELD, placeholder=" …")
        for number, one in listed(row.record, row.day)
    )


def _skills(desk: Desk, row: StudentRow) -> Iterable[str]:
    first = (row.answer.one_thing,) if row.answer.one_thing else ()
    return (*first, *(skill.id for skill in desk.course.skills))


_READERS: Final = ("family", "child", "school")

WORKS: Final = (
    Work("promise", "A promise", (
        Ask("to", "to whom"), Ask("text", "what was promised"), Ask("due", "by which day; may be empty"),
    ), _promise),
    Work("kept", "A promise is kept", (
        Ask("number", "which promise", _open(entries.open_promises), is_filled=True),
        Ask("answer", "how, in a few words"),
    ), _kept),
    Work("task", "A task for home", (
        Ask("skill", "for which skill", _skills, is_filled=True), Ask("text", "what is to be done"),
        Ask("minutes", "minutes a day", lambda *_: ("5",), is_filled=True),
        Ask("days", "on how many days", lambda *_: ("4",), is_filled=True),
    ), _task),
    Work("report", "How the task went", (
        Ask("number", "which task", _open(entries.open_tasks), is_filled=True),
        Ask("days", "on how many days it was done"), Ask("words", "what the family said; may be empty"),
    ), _report),
    Work("consent", "A consent", (
        Ask("what", "for what: touch, photo, or a reader such as school", lambda *_: CONSENTS),
        Ask("said", "yes or no", lambda *_: ("yes", "no")), Ask("by", "who said so"),
        Ask("on", "on which day; empty: today"),
    ), _consent),
    Work("resume", "The pause ends", (
        Ask("by", "the adult who ends it, by name"), Ask("words", "in a few words, after what advice"),
        Ask("allow", "do these words allow playing again? yes or no", lambda *_: ("yes", "no")),
        Ask("part", "hand, voice or all, where there are several", lambda *_: ("hand", "voice", "all")),
    ), _resume),
    Work("move", "The last lesson was another child's", (Ask("to", "whose lesson it was", lambda desk, row: (
        one for one in (desk.view.by_id if desk.view else ()) if one != row.record.id
    )),), _move),
    Work("enrol", "A new student", (
        Ask("id", "a short id of your own"), Ask("name", "a given name, or a code"),
        Ask("born", "born in, as 2018-03"), Ask("unit", "the unit that begins; empty: find it by looking"),
    ), _enrol, is_for_all=True),
    Work("sheet", "The check sheet, to print", (_file("sheet"),), _sheet),
    Work("handover", "The hand-over page, to print", (_file("handover"),), _handover),
    Work("letter", "A letter, to print", (
        Ask("reader", "for whom: child, family or school", lambda *_: _READERS, is_filled=True),
        _file("letter"),
    ), _letter),
    Work("settings", "The settings of the studio", tuple(
        Ask(name, words, _setting(name), is_filled=True) for name, words in SETTINGS.items()
    ), _settings, is_for_all=True),
)  # fmt: skip
"""Everything that is written in a form, in the order in which it is offered."""

PRINTED: Final = ("sheet", "handover", "letter")


def keep_decision(
    desk: Desk, row: StudentRow, decided: str, reason: str = "", begins: str | None = None
) -> Refusal | None:
    """Keep a decision beside the answer it was made at (``decision_on``); return why it was not, if so."""
    record, answer, course = row.record, row.answer, desk.course
    if refusal := desk.refused(record, answer.on, reason):
        return refusal
    decision = decision_on(course, record, answer, decided, reason, begins)
    return entries.decide(record, row.path.parent, decision, unit_begun(course, record, answer, begins))


def keep_pause(desk: Desk, row: StudentRow, part: str, words: str) -> str:
    """Keep a hold; return why it was not, with what comes first all the same."""
    record, day = row.record, row.answer.on
    refusal = desk.refused(record, day, words) or entries.open_hold(record, row.path.parent, day, words, part)
    of_age = is_of_age(record, day)
    return "" if refusal is None else unpaused_words(refusal.message, refusal, record.id, of_age=of_age)


def mark_of_last(path: Path, words: str = "") -> str:
    """Return the mark by which what was noted last is taken back; empty where these words are not in it."""
    found = undo.last_entry(path)
    return "" if isinstance(found, Refusal) or words not in found[0] else found[2]


def taken_back(path: Path, mark: str) -> str:
    """Take back the entry with a mark, as long as it is the last; return why not, if so."""
    found = undo.take_back(path, path.parent, mark)
    return found.message if isinstance(found, Refusal) else ""


class LessonDesk:
    """One student's lesson on the day asked for, or on that of what was half entered (``kept``)."""

    def __init__(self, desk: Desk, asked: StudentRow) -> None:
        self.desk, self.asked, self.path = desk, asked, asked.path
        begun = desk.begun(asked)
        self.kept = None if begun is None else half_done.understood(desk.course, begun)
        self.row = asked if begun is None else replace(asked, day=begun.on)
        self.today = max(asked.day, desk.today)
        self.folder = self.path.parent
        self.typed = desk.words("lesson", asked) if desk.is_demo else {**half_done.typed(self.path)}
        self._noted_then = self._noted_on(self.row.day)
        self._placing: tuple[object, PlacingRound] | None = None
        self.mark = ""
        """By which the lesson is taken back, once it is noted."""
        self.instead: Sequence[str] = ()
        """The skills of which the day had a note that was wrong, once that is corrected."""

    @cached_property
    def sheet(self) -> CheckSheet:
        """Today's sheet."""
        return check_sheet(self.desk.course, self.row.record, self.row.answer)

    @property
    def notice(self) -> str:
        """What comes first during a pause; empty without one."""
        notice = lesson_notice(self.row.record, self.row.day, self.today)
        return notice and f"NO PLAYING. {notice}"

    def take(self, record: Record) -> None:
        """Go on with the file as it is now: a pause may be open since."""
        if record is not self.row.record:
            self.row, self._placing = replace(self.row, record=record), None

    @property
    def noted(self) -> str:
        """What is noted of the day already; empty where nothing is."""
        return said.noted_before_words(one for one in self.row.record.lessons if one.on == self.row.day)

    @cached_property
    def offer(self) -> Offer:
        """What the day has to be noted, in the order of its plan and its sheet."""
        row = self.row
        return lesson_offer(self.desk.course, row.record, row.day, row.calendar)

    @property
    def shown(self) -> Mapping[str, set[int]]:
        """By skill, how it was shown as the day has it noted."""
        noted, day = self.row.record.seen.notes.items(), self.row.day
        shown = {skill: {given for on, given, _ in some if on == day} for skill, some in noted}
        return {skill: helps for skill, helps in shown.items() if helps}

    @property
    def lines(self) -> Iterable[Offered]:
        """What the day has to be noted, then what was noted beside it."""
        beside = (one for one in self.shown if one not in self.offer.skills)
        return (*self.offer.lines, *(Offered((one,), "added") for one in beside))

    def again(self, lesson: NewLesson) -> Sequence[str]:
        """Return the skills of a lesson of which its day has another note."""
        return [one for one, given in lesson.helps.items() if self.shown.get(one, {given}) != {given}]

    def round(self, lines: Iterable[Offered], kept: NewLesson | None = None) -> Answers:
        """Return the answers to some lines, with what was kept of them."""
        return Answers(self.desk.course, lines, kept or NewLesson(self.row.answer.on), self.disliked)

    def last(self, skills: tuple[str, ...]) -> str:
        """Return how the skills of a line were shown last, else their state, as the sheet has it."""
        last = {self.desk.course.skill[one].name: self.offer.last.get(one) for one in skills}
        return said.last_words(last, self.desk.phrases(self.row, self.offer.before).state(skills[0]))

    def remark(self, skills: tuple[str, ...]) -> str:
        """Return what was last remarked about the skills of a line, empty for nothing."""
        return "  ".join(self.desk.phrases(self.row).remarks(self.sheet.said, skills))

    @cached_property
    def disliked(self) -> frozenset[str]:
        """What was noted as not liked, up to the day of the lesson."""
        return self.row.record.disliked(self.row.answer.on)

    def title(self, skills: tuple[str, ...]) -> str:
        """Return what a line of the sheet is called."""
        return glance_words([tidy(self.desk.course.skill[skill].name) for skill in skills])

    def keep(self, lesson: NewLesson) -> str:
        """Keep a half-entered lesson safe; return why it could not be, if so."""
        if lesson.is_empty and not self.typed:
            return self.drop()
        if self.desk.is_demo:
            self.desk.in_hand[self.path] = lesson
            return ""
        refusal = half_done.keep(self.path, lesson, self.row.record, self.typed)
        return refusal.message if refusal else ""

    def unkept(self, lesson: NewLesson) -> str:
        """Return what would be lost by leaving it, and why it cannot be kept; empty where nothing would."""
        why_not = "" if lesson.is_empty and not self.typed else self.keep(lesson)
        if not why_not:
            return ""
        held = [noted_line(lesson)] * (not lesson.is_empty) + [tidy(one) for one in self.typed.values()]
        return (
            f"Not kept: {', '.join(held)}. {capital(why_not)} It is still here. "
            "Key q notes it; key x forgets it, and then Escape leads back."
        )

    def drop(self) -> str:
        """Forget what was half entered; return why it is still there, if so."""
        self.desk.in_hand.pop(self.path, None)
        if self.desk.is_demo:
            return ""
        refusal = half_done.drop(self.path)
        return refusal.message if refusal else ""

    def held(self, lesson: NewLesson) -> str:
        """Return what comes first where something was played while a hold is open; empty elsewhere."""
        course, record = self.desk.course, self.row.record
        played = played_under_hold(course, record, lesson.on, lesson.helps)
        return " ".join(said.played_words(course, record, lesson.on, played, was_noted=False))

    def doubts(self, lesson: NewLesson) -> str:
        """Return what speaks against noting it as it is: a pause, its day, whose it is, words left out."""
        record, answer, events = self.row.record, self.row.answer, self.row.calendar.events
        odd = [one.message for one in noting.odd_day(record, lesson.on, self.desk.today, events)]
        if far := far_skills(self.desk.course, record, answer, lesson.helps):
            odd.append(said.far_words(self.desk.course, record, answer, far))
        if new := self._noted_on(lesson.on)[len(self._noted_then) :]:
            odd.append(said.noted_meanwhile_words(record, new[-1]))
        told = "\n".join([*map(capital, odd), *map(said.typed_words, self.typed.values())])
        return "\n\n".join(filter(None, (self.held(lesson), told)))

    def _noted_on(self, day: int) -> Sequence[Lesson]:
        """Return the lessons of a day as the file has them now."""
        record = load_without_course(self.path).record or self.row.record
        return [one for one in record.lessons if one.on == day]

    def supposed(self, lesson: NewLesson) -> StudentRow:
        """Return the student as of the day with a lesson noted, as it will be."""
        row, record = self.row, self.row.record
        if self.instead:
            record = noting.without_notes(record, lesson.on, self.instead)
        return row if lesson.says_nothing else replace(row, record=noting.with_lesson(record, lesson))

    def twice(self, lesson: NewLesson) -> str:
        """Return what of a lesson is noted of its day already, and which note counts."""
        names = [(one, self.desk.course.skill[one].name) for one in lesson.helps]
        return " ".join(said.twice_that_day(self.supposed(lesson).record, names, lesson.on))

    def stands(self, lesson: NewLesson) -> PlacingRound:
        """Return where a placing lesson stands with these answers, and its next look."""
        asked = (lesson.on, tuple(lesson.helps.items()), lesson.not_tried)
        if self._placing is None or self._placing[0] != asked:
            found = placing_round(
                self.desk.course, self.row.record, lesson.on, lesson.helps, lesson.not_tried, self.today
            )
            self._placing = (asked, found)
        return self._placing[1]

    def note(self, lesson: NewLesson, *, is_placing: bool = False, instead: Sequence[str] = ()) -> str:
        """Note the finished lesson, or a placing lesson; return why it was not, if so.

        ``instead``: the skills of which the day has a note that was wrong.
        """
        if self.desk.is_demo:
            return NOT_IN_THE_DEMO
        self.keep(lesson)
        course, latest = self.desk.course, self.desk.latest_day
        record, folder, entered = self.row.record, self.folder, (*lesson.helps, *lesson.not_tried)
        if not instead:
            refusals = noting.note_lesson(course, record, lesson, folder, latest, is_placing=is_placing)
        elif not (refusals := noting.check_lesson(course, record, lesson, entered, latest)):
            refusal = undo.correct(record.entire, folder, instead, lesson, self.desk.today)
            refusals = () if refusal is None else (refusal,)
        if refusals:
            return " ".join(one.message for one in refusals)
        self.instead = instead
        self.mark = mark_of_last(self.path, noting.lesson_text(lesson))
        self.drop()
        return ""
