"""Lists and short texts: the studio in one list, what the checks found, and where there is nothing to show.

A list of students is an order of names, never an order of children: nobody is put before anybody for what
they can do. A pause is in capital letters, because it must not be overlooked.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Final

from readiness.days import iso
from readiness.terms import Verdict
from readiness.toml.problems import Problem, errors
from readiness.words.brief import called, namesakes, noted_line, plain_verdict, who
from readiness.words.english import VERDICT_BRIEF
from readiness.words.grammar import capital, counted, date_words, listed, tidy
from readiness.words.layout import Paragraph, Section, bullets, cells, columns, lay_out, lines, plain

if TYPE_CHECKING:
    from readiness.course.model import Course
    from readiness.judging.answer import Answer
    from readiness.record.model import Hold, Record
    from readiness.school.evening import Comes, Evening, NotNoted
    from readiness.school.students import Promised, Ready

__all__ = [
    "check_words", "doctor_words", "kept_words", "mend_course_words", "mend_words", "mended_words",
    "no_hold_words", "no_lesson_words", "no_student_words", "other_file_words", "recheck_words",
    "roster_words", "tell_evening", "undo_words",
]  # fmt: skip

ENROL: Final = "`readiness enrol ID --name NAME --born YYYY-MM`"
NAME_WIDTH: Final = 14
"""A longer name stands on a line of its own."""


def roster_words(
    answers: Sequence[Answer], course: Course, width: int = 80,
    reminders: Mapping[str, Sequence[str]] = {}, broken: int = 0,
    starts: Mapping[str, str] = {}, *, full: bool = True,
) -> str:  # fmt: skip
    """Return the studio as a list, a line a student, in the order given.

    By student, ``reminders`` holds sentences such as that a promise is overdue, and ``starts`` where one
    who is not placed starts so far; ``broken`` files cannot be read. ``full``: with the last lesson, the
    unit and the one thing.
    """
    if not answers:
        return lines([_nobody(broken)], width)
    shared = namesakes(answer.name for answer in answers)
    names = [called(answer.name, answer.student, shared) for answer in answers]
    facts = [("" if cells(name) > NAME_WIDTH else name, *_fact(answer, course))
             for name, answer in zip(names, answers, strict=True)]  # fmt: skip
    told: list[Paragraph] = []
    for answer, name, row in zip(answers, names, columns(facts, 0), strict=True):
        told += [*([] if row.lead.startswith(name) else [Paragraph(name)]), row]
        beside = (*map(capital, reminders.get(answer.student, ())), starts.get(answer.student, ""))
        told += (Paragraph(words, 4) for words in beside if words)
        told.append(Paragraph(" ".join(_beside(answer, course)), 4, more=True))
    last = f"Why, and what is next: `readiness why ID`{'' if full else '   More: --full'}"
    return lay_out([Section("", tuple(told)), plain(last)], width, full=full)


def _nobody(broken: int) -> str:
    if not broken:
        return f"No students yet. The first one: {ENROL}"
    if broken == 1:
        return "The one student file cannot be read yet. What to correct stands below; nothing in it is lost."
    return f"None of the {broken} student files can be read yet. What to correct stands below."


def _fact(answer: Answer, course: Course) -> tuple[str, str]:
    """Return the unit and the verdict; a pause in capital letters, because it must not be overlooked."""
    unit, words = answer.unit, plain_verdict(answer, course)
    where = f"unit {course.unit[unit].number}" if unit is not None else ""
    return where, words.upper() if answer.verdict == Verdict.PAUSED else words


def _beside(answer: Answer, course: Course) -> Iterator[str]:
    """Yield the last lesson, the unit, and the one thing; paused, nothing to work on."""
    ago = None if answer.last_lesson is None else answer.on - answer.last_lesson
    last = f"Last lesson {counted(ago, 'day')} ago." if ago else "Lesson that day."
    yield "No lesson yet." if ago is None else last
    if answer.unit is not None:
        yield f"{capital(tidy(course.unit[answer.unit].name))}."
    if answer.one_thing is not None and answer.verdict != Verdict.PAUSED:
        yield f"Start here: {tidy(course.skill[answer.one_thing].name)}."


def check_words(course: Course | None, problems: Iterable[Problem]) -> str:
    """Return the last line of a check: what is there, or how many problems."""
    found = tuple(problems)
    if found or course is None:
        return f"{problem_count(found)}.\n"
    links = sum(len(skill.stands_on) for skill in course.skills)
    counts = ((course.skills, "skill"), (course.units, "unit"), (range(links), "link"), (course.bands, "age"))
    return f"No problems: {listed([counted(len(things), noun) for things, noun in counts])}.\n"


def doctor_words(found: Sequence[Problem], mended: Sequence[str], width: int = 80) -> str:
    """Return what a look over a studio comes to; problems of the ids in ``mended`` need no person."""
    if not found:
        return lines(["Nothing to correct. `readiness check` looks at the course."], width)
    safe = sum(problem.id in mended for problem in found)
    fix = f" `readiness doctor --fix` corrects {safe} of them; `readiness doctor --undo` goes back."
    return lines([f"{counted(len(found), 'thing')} to correct.{fix if safe else ''}"], width)


def mended_words(left: Sequence[Problem], width: int = 80) -> str:
    """Return that what was safe is mended, and how much is left."""
    by_hand = f"{counted(len(left), 'thing is', 'things are')} left to correct by hand"
    rest = by_hand if left else "Nothing is left"
    return lines([f"Corrected. {rest}. `readiness doctor --undo` takes it back."], width)


def problem_count(problems: Sequence[Problem]) -> str:
    """Return how many errors and warnings there are.

    >>> problem_count(())
    'no problems'
    """
    wrong = len(errors(problems))
    counts = ((wrong, "error"), (len(problems) - wrong, "warning"))
    return listed([counted(count, noun) for count, noun in counts if count]) or "no problems"


def other_file_words(count: int) -> str:
    """Return that files of other students could not be read, and where to see which."""
    files = counted(count, "other student file has", "other student files have")
    return f"{files} problems; `readiness roster` lists {'it' if count == 1 else 'them'}."


_UNCHECKED: Final = {
    "size": "whether a smaller set of looks would do",
    "order": "whether another set of that size takes fewer minutes",
}


def recheck_words(
    student: str, on: int, differ: Sequence[str], unchecked: Iterable[tuple[str, str]] = (), width: int = 80,
    *, kept: bool = False,
) -> str:
    """Return whether an answer follows from the files, and what of it could not be checked.

    ``differ`` holds the keys of the answer that do not follow; ``unchecked`` is as in
    :class:`readiness.judging.recheck.Checked`; ``kept``: it was kept as it was told before.
    """
    about = f"the answer about {tidy(student)} on {date_words(on)}"
    left = [f"{key}: {_UNCHECKED[what]}" for key, what in unchecked]
    told = f"Checked: {about} follows from the files, key by key."
    if differ:
        told = f"Not confirmed: {about} does not follow from the files."
    elif left:
        told = f"Checked but for this: {about} follows from the files. Not checked:"
    then = ["Not checked:"] if differ and left else []
    gone = ["This is what was kept of it. It is deleted now; ask again, and it is worked out anew."]
    return "".join((
        lines([told], width), lines(map(tidy, differ), width, "  - "), lines(then, width),
        lines(left, width, "  - "), lines(gone if differ and kept else (), width),
    ))  # fmt: skip


def kept_words(many: int) -> str:
    """Return how many answers were taken from the cache."""
    what = counted(many, "answer was taken", "answers were taken")
    return f"{what} from the cache, as told before; `readiness recheck --fresh` takes none from there."


# What is said where there is nothing to show, and what a teacher can do instead: one sentence that there is
# nothing, one with the next step. Nobody is told off for it.


def no_student_words(folder: Path | None) -> str:
    """Return that a studio has no student file, and how the first is made."""
    return f"there are no student files in {folder}. The first one: {ENROL}"


def mend_words(student: str, count: int) -> str:
    """Return that a student's file must be corrected first, below the list of what is wrong."""
    above = f"please correct the {'mistake' if count == 1 else 'mistakes'} above in {student}.toml"
    return f"{above} and ask again; half a file is no answer. Nothing in it is lost or changed."


def mend_course_words(count: int) -> str:
    """Return that the course, or the studio's own file, must be corrected first."""
    first = f"{counted(count, 'mistake')} to correct first, as said above"
    return f"{first}. Nothing about any student is lost or changed. Then ask again."


def no_lesson_words(record: Record, day: int) -> str:
    """Return that no lesson is noted up to a day, and where to look or how to note one."""
    student = record.id
    later = min((lesson.on for lesson in record.lessons if lesson.on > day), default=None)
    after = f"afterwards, `readiness note {student}` keeps what was seen."
    instead = f"What to look at in the first: `readiness sheet {student}`; {after}"
    if later is not None:
        instead = f"The first is of {date_words(later)}: `readiness shown {student} --on {iso(later)}`"
    elif any(hold.is_open(day) for hold in record.holds):
        instead = f"What comes first: `readiness why {student}`"
    return f"no lesson of {tidy(record.name)} is noted up to {date_words(day)}. {instead}"


def no_hold_words(record: Record, day: int, part: str = "") -> str:
    """Return that there is no pause of a part of the body (of any by default), and what can be done."""
    holds = [hold for hold in record.entire.holds if part in ("", hold.part)]
    since = next((hold for hold in reversed(holds) if hold.is_open(day)), None)
    none = f"{tidy(record.name)} is not paused{f' ({part})' if part else ''} on {date_words(day)}."
    told = f"{none}{_other_hold(holds, day)}" if since is None else _closed_later(record, since, day)
    return f"{told} Where things stand: `readiness why {record.id}`"


def _other_hold(holds: list[Hold], day: int) -> str:
    """Return which pause came after a day, or was the last before it."""
    if later := [hold.opened for hold in holds if hold.opened > day]:
        return f" A later pause began on {date_words(min(later))}: give the day it ended with --on."
    closed = [hold.closed for hold in holds if hold.closed is not None]
    return f" The last pause ended on {date_words(max(closed))}." if closed else ""


def _closed_later(record: Record, hold: Hold, day: int) -> str:
    """Return that a pause has its end already, and how one ended by mistake is corrected."""
    assert hold.closed is not None
    return (
        f"the pause of {tidy(record.name)} ({hold.part}) was still open on {date_words(day)}. It ended on "
        f"{date_words(hold.closed)}, by {tidy(hold.closed_by)}. If that was a slip: "
        f"`readiness undo {record.id}` pauses again where nothing was noted since. Otherwise: "
        f"`readiness pause {record.id} --part {hold.part} --words \"...\"`."
    )


def undo_words(message: str, record: Record, path: Path) -> str:
    """Return why nothing was taken back, and how what is there is changed by hand."""
    seen = f"`readiness shown {record.id}` says what was noted last"
    leave = f"`readiness forget {record.id}` is for a student who should not be here"
    return f"{message} You can change it yourself in {path}; {seen if record.lessons else leave}."


# One screen for the evening: who comes, what is not noted yet, what is due, who waits, what ends.
#
# For the teacher alone: it names children. What would not fit is counted, and where to ask for it is said.

_MOST: Final = {"Comes": 12}
"""So many rows a section has in the short answer; others have five."""


def tell_evening(found: Evening, course: Course, width: int = 80, *, full: bool = False) -> str:
    """Return the screen; ``full``: with every row."""
    day = date_words(found.on)
    head = day if found.last == found.on else f"{day} to {date_words(found.last, found.on)}"
    coming = [f"{'. '.join(_comes(one, course, found))}." for one in found.comes]
    undated = [f"{who(name, student)}: no lesson day is noted; any day may be the first."
               for student, name in found.undated]  # fmt: skip
    rows = {
        "Comes": [*coming, *undated] or ["Nobody is expected."],
        "Not noted yet": [_not_noted(one, found.on) for one in found.not_noted],
        "Promised, or due for an answer": [_due(one, found.on) for one in found.due],
        "Waits for your decision": [_waits(one, found.on) for one in found.waits],
        "Ends": [f"{tidy(one.name) or 'The term'}: {date_words(one.on, found.on)}." for one in found.ends],
    }
    sections = [plain(head)]
    for title, told in rows.items():
        most = len(told) if full else _MOST.get(title, 5)
        rest = len(told) - most
        sections.append(bullets(title, [*told[:most], f"{rest} more: --full"] if rest > 1 else told))
    away = listed([who(one.name, one.id) for one in found.may_not_play])
    sections.insert(2, plain(f"Not expected, and may not play: {away}." if away else ""))
    return lay_out(sections, width, full=full)


def _comes(coming: Comes, course: Course, found: Evening) -> Iterator[str]:
    day = "" if found.last == found.on else f"{date_words(coming.on, found.on)}, "
    thing = f"; {tidy(course.skill[coming.one_thing].name)}" if coming.one_thing else ""
    paused = coming.verdict == Verdict.PAUSED
    verdict = "PAUSED, no playing" if paused else f"{VERDICT_BRIEF[coming.verdict]}{thing}"
    yield f"{day}{who(coming.name, coming.student)}: {verdict}"
    if coming.is_gentle:
        yield "Gently, after a pause"
    if coming.is_back:
        yield "The first lesson after a break"
    if coming.is_noted:
        yield "Noted"


def _not_noted(lesson: NotNoted, on: int) -> str:
    name, day = who(lesson.name, lesson.student), date_words(lesson.on, on)
    note = f"`readiness note {lesson.student}"
    if lesson.half is not None:
        so_far = f"half entered, {noted_line(lesson.half)}"
        return f"{name}, {day}: {so_far}. {note}` goes on with it."
    return f"{name}, {day}: did the lesson take place? {note} --on {iso(lesson.on)}`"


def _due(row: Promised, on: int) -> str:
    due = "no day was set" if row.due is None else f"due {date_words(row.due, on)}"
    return f"{who(row.name, row.student)}, to {tidy(row.to)}, {due}: {tidy(row.text).rstrip('.')}."


def _waits(ready: Ready, on: int) -> str:
    since = f"ready since {date_words(ready.since, on)}"
    return f"{who(ready.name, ready.student)}, {since}: `readiness decide {ready.student}`"


