"""Lists and short texts: the studio in one list, what checks found, who comes and who leaves.

A list of students is an order of names, never an order of children: nobody is put before anybody for what
they can do. A pause is in capital letters, because it must not be overlooked.

What is said when a studio is made, a student comes, or a student leaves.

Each time the reminder that belongs to it: keep little (C9), who is it for (C8).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Final

from readiness.days import iso
from readiness.terms import Verdict
from readiness.toml.problems import Problem, errors
from readiness.words.cautions import ASK_FIRST, GENTLE, caution
from readiness.words.english import called, namesakes, noted_line, plain_verdict, verdict_brief, who
from readiness.words.grammar import capital, counted, date_words, ended, listed, tidy, typed, unit_words
from readiness.words.layout import Page, Paragraph, bullets, cells, columns, copied, fit, noted, plain

if TYPE_CHECKING:
    from readiness.course.model import Course
    from readiness.judging.answer import Answer
    from readiness.record.enrol import Forgotten
    from readiness.record.model import Record
    from readiness.school.evening import Comes, Evening, NotNoted
    from readiness.studio.doctor import Leftovers
    from readiness.studio.folder import Archive, RestoreStep, State

__all__ = [
    "LEAVING", "NO_STUDENT", "backup_words", "begun_pause_words", "check_words", "deletion_words",
    "doctor_words", "enrolled_words", "forgotten_words", "kept_words", "mend_course_words", "mend_words",
    "mended_words", "name_in", "no_hold_words", "no_lesson_words", "no_such_lesson_words", "other_file_words",
    "recheck_words", "restore_words", "restored_words", "roster_words", "started_words", "tell_evening",
    "undo_words",
]  # fmt: skip

ENROL: Final = "`readiness enrol ID --name NAME --born YYYY-MM`"
NO_STUDENT: Final = f"there are no student files in {{}}. The first one: {ENROL}"
NAME_WIDTH: Final = 14
"""A longer name stands on a line of its own."""


def roster_words(
    answers: Sequence[Answer], course: Course, reminders: Mapping[str, Sequence[str]] = {}, broken: int = 0,
    starts: Mapping[str, tuple[str, str]] = {}, *, full: bool = True,
) -> Page:  # fmt: skip
    """Yield the studio as a list, a line a student, in the order given.

    By student, ``reminders`` holds sentences such as that a promise is overdue, and ``starts`` where one
    who is not placed starts so far, in short and in a sentence; ``broken`` files cannot be read. ``full``:
    with the last lesson, the unit and the one thing.
    """
    if not answers:
        below = f"{counted(broken, 'student file')} cannot be read yet. What to correct stands below."
        yield below if broken else f"No students yet. The first one: {ENROL}"
        return
    shared = namesakes(answer.name for answer in answers)
    names = [called(answer.name, answer.student, shared) for answer in answers]
    rows = []
    for answer, name in zip(answers, names, strict=True):
        where = f"unit {course.unit[answer.unit].number}" if answer.unit is not None else ""
        verdict = plain_verdict(answer, course)  # a pause in capital letters: it must not be overlooked
        verdict = verdict.upper() if answer.verdict == Verdict.PAUSED else verdict
        verdict += starts.get(answer.student, ("", ""))[0]
        rows.append(("" if cells(name) > NAME_WIDTH else name, where, verdict))
    for answer, name, row in zip(answers, names, columns(rows, 0), strict=True):
        yield "" if row.lead.startswith(name) else name
        yield row
        yield from (Paragraph(capital(words), 4) for words in reminders.get(answer.student, ()) if words)
        yield from noted(starts.get(answer.student, ("", ""))[1], indent=4)
        day = answer.last_lesson
        last = "No lesson yet." if day is None else f"Last lesson {date_words(day, answer.on)}."
        unit = f"{capital(tidy(course.unit[answer.unit].name))}." if answer.unit is not None else ""
        thing = None if answer.verdict == Verdict.PAUSED else answer.one_thing
        start = f"Start here: {tidy(course.skill[thing].name)}." if thing is not None else ""
        yield Paragraph(" ".join(filter(None, (last, unit, start))), 4, more=True)
    yield plain(f"Why, and what is next: `readiness why ID`{'' if full else '   More: --full'}")


def check_words(course: Course | None, problems: Iterable[Problem]) -> str:
    """Return the last line of a check: what is there, or how many problems."""
    found = tuple(problems)
    if found or course is None:
        return f"{problem_count(found)}.\n"
    links = sum(len({*skill.named}) for skill in course.skills)
    counts = ((course.skills, "skill"), (course.units, "unit"), (range(links), "link"), (course.bands, "age"))
    return f"No problems: {listed([counted(len(things), noun) for things, noun in counts])}.\n"


def doctor_words(found: Sequence[Problem], mended: Sequence[str]) -> str:
    """Return what a look over a studio comes to; problems of the ids in ``mended`` need no person."""
    if not found:
        return "Nothing to correct. `readiness check` looks at the course."
    safe = sum(problem.id in mended for problem in found)
    fix = f" `readiness doctor --fix` corrects {safe} of them; `readiness doctor --undo` goes back."
    return f"{counted(len(found), 'thing')} to correct.{fix if safe else ''}"


def mended_words(left: Sequence[Problem]) -> str:
    """Return that what was safe is mended, and how much is left."""
    by_hand = f"{counted(len(left), 'thing is', 'things are')} left to correct by hand"
    return f"Corrected. {by_hand if left else 'Nothing is left'}. `readiness doctor --undo` takes it back."


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
    "size": "{}: whether a smaller set of looks would do",
    "order": "{}: whether another set of that size takes fewer minutes",
    "day": "all the rest, because the answer does not say of which day it is",
}


def recheck_words(
    student: str, on: int, differ: Sequence[str], unchecked: Iterable[tuple[str, str]] = (), *,
    kept: bool = False,
) -> Iterator[Paragraph | str]:  # fmt: skip
    """Yield whether an answer follows from the files, and what of it could not be checked.

    ``differ`` holds the keys of the answer that do not follow; ``unchecked`` is as in
    :class:`readiness.judging.recheck.Rechecked`; ``kept``: it was kept as it was told before.
    """
    about = f"the answer about {tidy(student)} on {date_words(on)}"
    left = dict.fromkeys(_UNCHECKED[what].format(key) for key, what in unchecked)
    wrong = f"Not confirmed: {about} does not follow from the files."
    yield wrong if differ else f"Checked{' but for this' * bool(left)}: {about} follows from the files."
    yield from (Paragraph(tidy(key), lead="  - ") for key in differ)
    yield "Not checked:" if left else ""
    yield from (Paragraph(text, lead="  - ") for text in left)
    if differ and kept:
        yield "This is what was kept of it. It is deleted now; ask again, and it is worked out again."


def kept_words(many: int) -> str:
    """Return how many answers were taken from the cache."""
    what = counted(many, "answer was taken", "answers were taken")
    return f"{what} from the cache, as told before; `readiness recheck --fresh` takes none from there."


# What is said where there is nothing to show, and what a teacher can do instead: one sentence that there is
# nothing, one with the next step. Nobody is told off for it.


def mend_words(student: str, count: int) -> str:
    """Return that a student's file must be corrected first, below the list of what is wrong."""
    what = "mistake" if count == 1 else "mistakes"
    return f"please correct the {what} above in {student}.toml and ask again. Nothing in it is lost."


def mend_course_words(count: int) -> str:
    """Return that the course, or the studio's own file, must be corrected first."""
    first = f"{counted(count, 'mistake')} to correct first, as said above"
    return f"{first}. Nothing about any student is lost or changed. Then ask again."


def no_lesson_words(record: Record, day: int) -> str:
    """Return that no lesson is noted up to a day, and where to look or how to note one."""
    later = min((lesson.on for lesson in record.lessons if lesson.on > day), default=None)
    instead = f"What comes first: `readiness why {record.id}`"
    if later is not None:
        instead = f"The first is of {date_words(later)}: `readiness shown {record.id} --on {iso(later)}`"
    return f"no lesson of {tidy(record.name)} is noted up to {date_words(day)}. {instead}"


def no_such_lesson_words(record: Record, day: int) -> str:
    """Return that no lesson is noted for a day, and on which days near it one is."""
    if not record.lessons:
        return no_lesson_words(record, day)
    near = sorted({one.on for one in record.lessons}, key=lambda one: abs(one - day))[:3]
    see = f"`readiness shown {record.id} --on {iso(near[0])}` shows the nearest"
    those = f"near it are those of {listed([date_words(one) for one in sorted(near)])}; {see}"
    return f"no lesson of {tidy(record.name)} is noted for {date_words(day)}; {those}."


def no_hold_words(record: Record, day: int, part: str = "") -> str:
    """Return that there is no pause of a part of the body (of any by default), and what can be done."""
    name, where = tidy(record.name), f"Where things stand: `readiness why {record.id}`"
    holds = [hold for hold in record.entire.holds if part in ("", hold.part)]
    if was := next((hold for hold in reversed(holds) if hold.is_open(day)), None):
        assert was.closed is not None
        return (
            f"the pause of {name} ({was.part}) was still open on {date_words(day)}. It ended on "
            f"{date_words(was.closed)}, by {tidy(was.closed_by)}. If that was a slip: `readiness undo "
            f"{record.id}` pauses again where nothing was noted since. Otherwise: `readiness pause "
            f'{record.id} --part {was.part} --words "..."`. {where}'
        )
    other = ""
    if later := [hold.opened for hold in holds if hold.opened > day]:
        other = f" A later pause began on {date_words(min(later))}: give the day it ended with --on."
    elif closed := [hold.closed for hold in holds if hold.closed is not None]:
        other = f" The last pause ended on {date_words(max(closed))}."
    return f"{name} is not paused{f' ({part})' if part else ''} on {date_words(day)}.{other} {where}"


def undo_words(message: str, record: Record, path: Path) -> str:
    """Return why nothing was taken back, and how what is there is changed by hand."""
    beside = f"`readiness forget {record.id}` is for a student who should not be here"
    if days := [one.on for one in record.lessons]:
        beside = f"`readiness shown {record.id} --on {iso(max(days))}` says what was noted last"
    return f"{message} You can change it yourself in {path}; {beside}."


# One screen for the evening: who comes, what is not noted yet, what is due, who waits, what ends.
# For the teacher alone: it names children. What would not fit is counted, and where to ask for it is said.


EVENING_AT_MOST: Final = 24
"""So many lines has the evening: one screen."""
COME_AT_MOST: Final = (12, 8, 5)
"""So many of those who come are named, and fewer where the other lists have one row each already."""


def tell_evening(found: Evening, course: Course, *, full: bool = False) -> Page:
    """Yield the screen; ``full``: with every row."""
    if full:
        return _evening(found, course, None)
    return fit(lambda rows: _evening(found, course, rows), range(5, -2, -1), EVENING_AT_MOST)


def _evening(found: Evening, course: Course, rows_at_most: int | None) -> Page:
    on, full = found.on, rows_at_most is None
    yield date_words(on) if found.last == on else f"{date_words(on)} to {date_words(found.last, on)}"
    coming = [f"{'. '.join(_comes(one, course, found))}." for one in found.comes]
    undated = [f"{who(name, student)}: no lesson day is noted; any day may be the first."
               for student, name in found.undated]  # fmt: skip
    rows = {
        "Comes": [*coming, *undated] or ["Nobody is expected."],
        "Not noted yet": [_not_noted(one, on, full=full) for one in found.not_noted],
        "Promised, or due for an answer": [
            f"{who(one.name, one.student)}, to {tidy(one.to)}, "
            f"{'no day was set' if one.due is None else f'due {date_words(one.due, on)}'}: "
            f"{ended(one.text)}" for one in found.due
        ],
        "Waits for your decision": [
            f"{who(one.name, one.student)}, ready since {date_words(one.since, on)}: "
            f"`readiness decide {one.student} move`" for one in found.waits
        ],
        "Ends": [f"{tidy(one.name) or 'The term'}: {date_words(one.on, on)}." for one in found.ends],
    }  # fmt: skip
    for title, told in rows.items():
        most = len(told) if rows_at_most is None else max(1, rows_at_most)
        if title == "Comes" and rows_at_most is not None:
            most = COME_AT_MOST[max(0, 1 - rows_at_most)]
        rest = len(told) - most
        yield bullets(title, [*told[:most], f"{rest} more: --full"] if rest > 1 else told)
        if title == "Comes":
            away = listed([who(one.name, one.id) for one in found.may_not_play])
            yield plain(f"Not expected, and may not play: {away}." if away else "")


def _comes(coming: Comes, course: Course, found: Evening) -> Iterator[str]:
    day = "" if found.last == found.on else f"{date_words(coming.on, found.on)}, "
    answer = coming.answer
    thing = f"; {tidy(course.skill[answer.one_thing].name)}" if answer.one_thing else ""
    paused = answer.verdict == Verdict.PAUSED
    verdict = "PAUSED, no playing" if paused else f"{verdict_brief(answer)}{thing}"
    yield f"{day}{who(answer.name, coming.student)}: {verdict}"
    beside = {
        ASK_FIRST: coming.ask_first, GENTLE: coming.is_gentle,
        "The first lesson after a break": coming.is_back, "Noted": coming.is_noted,
    }  # fmt: skip
    yield from (words for words, is_so in beside.items() if is_so)
    if coming.perhaps is not None:
        yield f"Only if the lesson of {date_words(coming.perhaps, found.on)} replaced an earlier one"


def _not_noted(lesson: NotNoted, on: int, *, full: bool) -> str:
    name, day = who(lesson.name, lesson.student), date_words(lesson.on, on)
    note = f"`readiness {'place' if lesson.is_placing else 'note'} {lesson.student}"
    if lesson.half is not None:
        return f"{name}, {day}: half entered, {noted_line(lesson.half)}. {note}` goes on with it."
    if lesson.none is not None:
        return f"{name}, {day}: no lesson{f', {tidy(lesson.none)}' if lesson.none else ''}."
    if lesson.since is not None:
        left = f". If {tidy(lesson.name)} has left: `readiness forget {lesson.student}`" if full else ""
        day = f"{day}, the first since {date_words(lesson.since, on)}"
        return f"{name}, {day}: did a lesson take place? {note} --on {iso(lesson.on)}`{left}"
    return f"{name}, {day}: did the lesson take place? {note} --on {iso(lesson.on)}`, or --no-lesson"


NAMED_AT_MOST: Final = 10
LEAVING: Final = (
    "This deletes everything kept about {}: {}. It cannot be taken back. --export FILE makes a copy first."
)


def started_words(
    folder: Path, group: str = "", with_demo: bool = False, empty: bool = False
) -> Iterator[Paragraph | str]:
    """Yield where the studio is, who may use it besides its owner, and what to do next."""
    here, who = folder == Path(), "with the six invented students" if with_demo else "no students yet"
    yield f"A studio is {'here' if here else f'in {folder}'}, {who}."
    if group:
        yield f"Whoever is in the group {group} may read it and write to it; nobody else may."
    yield from columns((
        ("studio.toml", "where things are, and the dates of the term"),
        ("course", "the skills (graph.toml) and the pace by age (pacing.toml), yours to change"),
        ("students", "one file a student"),
    ), 2)  # fmt: skip
    then = "course add skill" if empty else "enrol mia --name Mia --born 2019-05 --unit 1"
    yield "Next:"
    yield from copied(*[f"cd {typed(str(folder))}"][here:], f"readiness {'roster' if with_demo else then}")


def begun_pause_words(record: Record) -> str:
    """Return that somebody began to type a pause on the screens, and that it is not kept."""
    return (
        f"somebody began a pause of {tidy(record.name)} on the screens and did not keep it: no answer knows "
        f"of it. If something hurts, stop playing now: `readiness pause {record.id} WORDS` keeps it."
    )


def deletion_words(record: Record, day: int, until: int | None) -> str:
    """Return that ``until``, when a file was to be deleted, is over on a day; empty until then."""
    if until is None or until >= day:
        return ""
    then = f"`readiness forget {record.id}` deletes it, or write a later day at the head of {record.file}."
    return f"the file of {tidy(record.name)} was to be deleted by {date_words(until, day)}: {then}"


def enrolled_words(
    record: Record, course: Course, others: Sequence[str] = (), *, goes_on: bool = False,
    day: str | None = None,
) -> Iterator[str]:  # fmt: skip
    """Yield that a student's file is there, what comes next, how to correct it, and C9.

    ``others``: ids of students of the same given name; ``goes_on``: the placing lesson begins at once;
    ``day`` was typed, for the command that comes next.
    """
    id_, name, at = record.id, tidy(record.name), f" --on {day}" if day else ""
    path = record.path or Path(f"{id_}.toml")
    yield f"{name} has a file now: {path}."
    if record.unit_starts:
        unit = unit_words(course, record.unit_starts[-1].unit)
        yield f"{name} starts with {unit}: `readiness sheet {id_}`"
    elif record.placings and not goes_on:
        place, paper = f"`readiness place {id_}{at}`", f"`readiness sheet {id_}{at}`"
        yield f"Next, the placing lesson: {place}, or on paper: {paper}"
    elif not record.placings:
        yield f"No starting unit yet. Note a lesson, then ask `readiness why {id_}`."
    if course.beside:
        yield f'The course is "{tidy(course.name)}": `readiness roster` lists who is in it.'
    if others:
        have = "has" if len(others) == 1 else "have"
        yield f"{listed(others)} {have} the name {name} too; type {id_} for this one."
    yield f"Correct a name or a birth month by hand, at the head of {path.name}."
    yield f"Stop sign, seat, own words, who collects: `readiness particulars {id_}`"
    yield caution("C9")


def forgotten_words(
    name: str, gone: Forgotten, exported: Path | None, found: Leftovers, *, in_git: bool = False
) -> Page:
    """Yield what is gone, where a name is still found, how far was looked, and what remains."""
    yield f"A copy is in {exported}." if exported else ""
    if (led_to := gone.led_to) is not None:
        by_command = led_to.suffix == ".toml"
        yield (
            f"{gone.deleted[0].name} was only a link to {led_to.name}: the link is deleted, with what was "
            "half entered, and that file is still there. "
            f"{f'`readiness forget {led_to.stem}` deletes it.' if by_command else 'Delete it by hand.'}"
        )
    elif gone.deleted and gone.deleted[0].suffix == ".toml":
        yield f"The file of {tidy(name)} is deleted, with what was half entered."
    else:
        yield f"There was no file of {tidy(name)}; what was left beside it is deleted."
    names = f"That file has {counted(gone.other_names, 'further name')} on this disk, with all of it"
    yield f"{names}; please look for it there." if gone.other_names else ""
    yield caution("C8") if exported else ""
    there = f"The id or the name is still in {counted(len(found.places), 'place')}"
    yield f"{there}; look at each, it may mean somebody else:" if found.places else ""
    places = (f"{at.file}:{at.line}" if at.line else f"{at.file} (its name)" for at in found.places)
    yield from copied(*places)
    free = "That is all there is" if found.places else "The id and the name are no longer"
    read = counted(found.read, "file that was", "files that were")
    yield f"{free} in the {read} read, here and in all folders inside:"
    yield from copied(*map(str, found.folders))
    unread = [str(path) for path in found.unread[:NAMED_AT_MOST]]
    unread += [f"and {more} more"] if (more := len(found.unread) - NAMED_AT_MOST) > 0 else []
    unread += [] if found.is_whole else ["and further files: there are too many here to read them all"]
    yield "Not looked into (not text, very large, or hidden); please look:" if unread else ""
    yield from copied(*unread)
    if in_git:
        yield (
            "The folder is kept in git, and older versions there still hold the file. Where local law wants "
            "it, ask whoever looks after it to take it out of the history."
        )
    yield "Backups, mails, papers and colleagues' machines are yours to clear, as local law asks."


_SEEN: Final = 12
"""So many letters of a seal are compared by eye."""
_STATES: Final[Mapping[State, str]] = {
    "missing": "is lost, and comes back",
    "not-here": "is not here, and comes back only if you name the child",
    "newer": "stays as it is: it has lines that the archive does not have",
    "other": "stays as it is: it differs from the archive",
}


def backup_words(path: Path, archive: Archive, left: Sequence[tuple[Path, str]] = ()) -> Iterator[str]:
    """Yield what a backup holds, what was left out, and how to try it."""
    yield f"{path} is written: {counted(len(archive.files), 'file')}, sealed with {archive.seal[:_SEEN]}."
    yield from (f"Left out: {file.name}, for {why}." for file, why in left)
    yield (
        "It holds everything about these children. Keep it where only you can read it. Delete older ones: "
        "students you forgot here are still in them."
    )
    yield f"Try it now and then: `readiness restore {typed(str(path))} --check`"


def restore_words(path: Path, archive: Archive, plan: Sequence[RestoreStep]) -> Iterator[str]:
    """Yield what restoring would change, file by file."""
    restore = f"readiness restore {typed(str(path))}"
    yield f"{path} is whole, made on {date_words(archive.made)}, sealed with {archive.seal[:_SEEN]}."
    for step in (step for step in plan if step.state != "same"):
        name = name_in(archive.files[step.file]) if step.student else ""
        lacks = f"lacks its last {counted(step.lines, 'line')}, which can come back"
        yield f"{step.file}{f' ({name})' if name else ''} {_STATES.get(step.state, lacks)}."
    yield f"{counted(sum(step.state == 'same' for step in plan), 'file is', 'files are')} as in the archive."
    if gone := [step.student for step in plan if step.state in ("adds", "not-here")]:
        yield f"To bring back what is lost: `{restore} --bring-back {' '.join(gone)}`"
        yield (
            "Leave out students who were forgotten, and files from which something was deleted on purpose: "
            "only you know them. Then make a new backup and delete this one."
        )
    elif any(step.state == "missing" for step in plan):
        yield f"`{restore}` brings it back."


def restored_words(done: Sequence[RestoreStep], plan: Sequence[RestoreStep]) -> Iterator[str]:
    """Yield what was brought back, what was not, and what to look at."""
    yield from [f"{step.file} is back." for step in done] or ["Nothing was brought back."]
    lacks = "lacks lines at its end, which come back only if you name the child"
    yield from (f"{step.file} {_STATES.get(step.state, lacks)}." for step in plan if step.state != "same")
    yield "Now look it over: `readiness doctor`"


def name_in(data: bytes) -> str:
    """Return the given name in a student's file, empty where none is to be read."""
    import tomllib  # here, since most of the commands have no need of it

    try:
        return tidy(str(tomllib.loads(data.decode("utf-8-sig")).get("name", "")))
    except (ValueError, RecursionError):
        return ""
