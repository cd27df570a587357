"""What is said around noting: what is kept of a round, what was noted, what it changes.

Short, because it is read between two children. A slip of the finger is always one command
away from being taken back, and that is said each time.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from pathlib import Path
from typing import Final

from readiness.advice.placing.round import placing_round
from readiness.advice.skill_traits import played_under_hold
from readiness.course.model import Course
from readiness.days import iso
from readiness.judging.answer import Answer
from readiness.record.model import AGAIN, HELPS, Lesson, Record
from readiness.record.noting import NewLesson
from readiness.terms import State, Verdict
from readiness.words.brief import noted_line, plain_verdict, verdict_brief
from readiness.words.cautions import caution
from readiness.words.english import HELP_WORDS
from readiness.words.grammar import capital, counted, date_words, listed, quoted, tidy
from readiness.words.layout import Paragraph, Section, item, lay_out, lines
from readiness.words.paused import hold_notice, hold_section, mentions_pain
from readiness.words.phrases import Phrases

__all__ = [
    "CROSSED_OUT", "HALF_ENTERED", "ask_words", "half_entered_words", "hold_words", "kept_words",
    "not_kept_words",
    "noted_quietly", "noted_twice", "noted_words", "offer_words", "pausing_words", "played_words",
    "round_words", "shown_words", "turn_words", "twice_that_day", "undone_words", "unnoted_words",
]  # fmt: skip

# What is on the screen right after noting, while the child still stands beside it.
#
# First what went well; then, in one quiet sentence, what the notes come to. No name of a skill
# that did not come, no large word: that is for when the child has gone.

_NAMED_AT_MOST: Final = 3
_CAME: Final = (("Went well: ", (0,)), ("Went well with a little help: ", (1, 2, 3)))
"""How help is told here; the numbers are indices into HELPS, without that of not shown."""


def noted_quietly(lesson: NewLesson, before: Answer, now: Answer, course: Course) -> str:
    """Return what went well in a lesson that was noted, and then the answer.

    Args:
        lesson: what was noted; before, now: the answers without it and with it.
        course: what is taught.
    """
    found = (_came(lesson, course, lead, helps) for lead, helps in _CAME)
    well = next(filter(None, found), "Thank you for trying so many things.")
    then, today = verdict_brief(before), verdict_brief(now)
    return f"{well}\nNoted. Before: {then}. Now: {today}. Key u takes it back."


def _came(lesson: NewLesson, course: Course, lead: str, helps: tuple[int, ...]) -> str:
    names = [tidy(course.skill[one].name) for one, help_ in lesson.helps.items() if help_ in helps]
    more = [f"{len(names) - _NAMED_AT_MOST} more"] if len(names) > _NAMED_AT_MOST + 1 else []
    told = names[:_NAMED_AT_MOST] + more if more else names
    return f"{lead}{listed([one[:1].lower() + one[1:] for one in told])}." if told else ""


# What is said when playing is noted for a day on which there is a pause.
#
# Stop playing comes first. What was seen is kept, and none of it is called a step forward.

_NAMES: Final = 2
"""So many skills are named; more are only counted."""


def ask_words(course: Course, record: Record, day: int, played: Sequence[str], width: int = 80) -> str:
    """Return the question before noting, with its keys."""
    names = _names_played(course, played)
    told = (
        hold_notice(record, day) or f"A pause is open that concerns {names}.",
        f"This notes {names}, although there is a pause. If it was played all the same: please stop now.",
        "y note it as it was seen   any other key: do not note it, keep it for later",
    )
    return lines(told, width)


def played_words(course: Course, played: Sequence[str], *, was_noted: bool = True) -> Iterator[str]:
    """Yield what comes first where playing was noted during a pause, or would be; nothing where none was."""
    if played:
        noted = "was noted" if was_noted else "would be noted"
        yield (
            f"There is a pause, and {_names_played(course, played)} {noted}. Stop playing now. Do not play "
            "through pain. It is kept as it was seen and counts for nothing until the pause ends."
        )


def _names_played(course: Course, skills: Sequence[str]) -> str:
    words = [quoted(course.skill[skill].name) for skill in skills[:_NAMES]]
    more = len(skills) - _NAMES
    return listed([*words, *([f"{more} more"] if more > 0 else [])])


# A lesson that is half entered and not noted yet, as the list of students tells it.

HALF_ENTERED: Final = "half done"
"""In the column that says how long ago the last lesson was."""


def half_entered_words(lesson: NewLesson) -> str:
    """Return that a lesson is half entered, and the key that goes on with it."""
    return f"Half entered, {date_words(lesson.on)}: {noted_line(lesson)}. Key l goes on with it."


# A skill that was noted more than once on one day: which note stands, and why (rule R1).
#
# Both notes stay in the file. Nothing is said where they agree.


def noted_twice(record: Record, skill: str, beside: int) -> Iterator[str]:
    """Yield a sentence for each day up to ``beside`` with notes on a skill that differ, latest last."""
    days = sorted({lesson.on for lesson in record.lessons if lesson.on <= beside})
    for day in days:
        notes = _notes(record, skill, day)
        if len({help_ for help_, _ in notes}) > 1:
            told = listed([f"{HELP_WORDS[help_]} ({_file(record)}:{line})" for help_, line in notes])
            stands = HELP_WORDS[max(notes)[0]]
            yield (
                f"Noted more than once on {date_words(day, beside)}: {told}. The one with most help counts "
                f"for the day: {stands}."
            )


def twice_that_day(record: Record, names: Iterable[tuple[str, str]], day: int) -> Iterator[str]:
    """Yield a sentence for each skill, given by id and name, that a note of the day does not move."""
    for skill, name in names:
        notes = _notes(record, skill, day)
        most, last = max(notes, default=(0, 0))[0], max(notes, key=lambda one: one[1], default=(0, 0))[0]
        if last != most:
            yield (
                f"{quoted(name)} was noted that day already, {HELP_WORDS[most]}. The note with most help "
                "counts for the day."
            )


def _notes(record: Record, skill: str, day: int) -> list[tuple[int, int]]:
    """Return help and line of each note on a skill on a day."""
    lessons = (lesson for lesson in record.lessons if lesson.on == day)
    return [(one.help, one.line) for lesson in lessons for one in lesson.showings if one.skill == skill]


def _file(record: Record) -> str:
    return record.path.name if record.path else f"{record.id}.toml"


_HANDS_ON = HELPS.index("hands-on")
CROSSED_OUT: Final = (
    "These lines stay in the file, crossed out by the line at its end. Were they about another child? Then "
    "delete them by hand, with that line."
)
def noted_words(
    before: Answer,
    after: Answer,
    course: Course,
    record: Record,
    lesson: NewLesson,
    width: int = 80,
    today: tuple[Answer, Answer] | None = None,
) -> str:
    """Return what was noted, what it changes, and how to take it back.

    Args:
        before, after: the answers on the day of the lesson, without it and with it.
        course: what is taught.
        record: the student's record with the lesson in it.
        lesson: what was noted; width: the widest line.
        today: the answers of today, without it and with it, where the lesson is noted late.
    """
    line = max((one.line for one in record.entire.lessons), default=0)
    played = played_under_hold(course, record, lesson.on, lesson.helps)
    is_held = bool(played) or after.verdict == Verdict.PAUSED
    noted = f"Noted for {tidy(record.name)}, {date_words(lesson.on)}: {noted_line(lesson)}"
    return lines([
        hold_notice(record, lesson.on),
        f"{noted} ({_file(record)}:{line}).",
        *played_words(course, played),
        *(() if is_held else _changes(before, after, course, record, lesson.helps)),
        *twice_that_day(record, ((one, course.skill[one].name) for one in lesson.helps), lesson.on),
        turn_words("Before this lesson", before, "After it", after, course, record),
        *_late(today, course, record),
        caution("C6") if _HANDS_ON in lesson.helps.values() else "",
        pausing_words(record.id, lesson),
        f"A slip? `readiness undo {record.id}` takes this back.",
    ], width)  # fmt: skip


def _late(today: tuple[Answer, Answer] | None, course: Course, record: Record) -> Iterator[str]:
    """Yield what a lesson noted late does to the verdict of today, where that is something else now."""
    if today is not None:
        was, now = (_verdict(one, course, record) for one in today)
        if was != now:
            yield f"Today, {date_words(today[1].on)}, it changes as well: {now}. Without this lesson: {was}."


def hold_words(record: Record, day: int, width: int = 80) -> str:
    """Return that a student is paused, above the questions of a round."""
    return lay_out([hold_section(record, day)], width)


def pausing_words(student: str, lesson: NewLesson) -> str:
    """Return how to pause where a few words of a lesson speak of something that hurts, else nothing."""
    if not any(map(mentions_pain, (lesson.note, *lesson.remarks.values()))):
        return ""
    return (
        f"If something hurts: stop playing, tell the family, and `readiness pause {student}` keeps "
        "everything without playing until an adult says so."
    )


def undone_words(
    before: Answer, after: Answer, course: Course, record: Record, text: str, width: int = 80
) -> str:
    """Return what was taken back, to the letter, and what that makes of the verdict."""
    block = "".join(f"  {line}\n" for line in text.splitlines() if line)
    left = (
        CROSSED_OUT if text.startswith("[[") else "",
        hold_notice(record, after.on),
        turn_words(f"{date_words(after.on)}, with it", before, "Without it", after, course, record),
    )
    head = f"Taken back for {tidy(record.name)}. It no longer counts; nothing else has changed:"
    return lines([head], width) + block + lines(left, width)


def shown_words(
    before: Answer, after: Answer, course: Course, record: Record, width: int = 80, *, full: bool = True
) -> str:
    """Return what was shown on one day, each thing with its help and what it changed.

    Args:
        before: the answer on that day without its lessons; after: with them.
        course, record: what is taught, and what was seen.
        width: the widest line.
        full: with what is as before, ids and lines of the file.
    """
    say, earlier = Phrases(after, course, record), Phrases(before, course, record)
    today = [lesson for lesson in record.lessons if lesson.on == after.on]
    shown = [one for one in course.skill if any(_has(lesson, one) for lesson in today)]
    where = f" ({', '.join(say.line(lesson.line) for lesson in today)})" if full else ""
    sections = [Section("", (Paragraph(f"{tidy(record.name)}, {say.day(after.on)}{where}"),))]
    for help_, words in enumerate(HELP_WORDS):
        these = [one for one in shown if _help(after, one) == help_]
        sections.append(Section(capital(words), tuple(_now(say, earlier, these, full=full))))
    left = [one for lesson in today for one in lesson.not_tried if one not in shown]
    sections.append(Section("Not asked", tuple(item(_called(say, one, full=full)) for one in left)))
    remarks = (one for lesson in today for one in _remarks(say, lesson, full=full))
    sections.append(Section("Remarks", tuple(map(item, remarks))))
    last = turn_words("Before this lesson", before, "After it", after, course, record)
    if not shown:
        more = f"`readiness note {record.id} --on {iso(after.on)}` adds some"
        last = f"No skill was noted that day; {more}. {last}"
    return lay_out([*sections, Section("", (Paragraph(last),))], width, full=full)


def _has(lesson: Lesson, skill: str) -> bool:
    return any(one.skill == skill for one in lesson.showings)


def _remarks(say: Phrases, lesson: Lesson, *, full: bool) -> Iterator[str]:
    """Yield what was said in a lesson, about its skills and then about all of it."""
    told = [(skill, tidy(text)) for skill, text in lesson.remarks.items()]
    told += [(skill, "not liked") for skill in lesson.disliked]
    told += [(skill, "liked again") for skill in lesson.liked_again]
    told += [(skill, f"tried again {AGAIN[how]}") for skill, how in lesson.tried_again.items()]
    yield from (f"{_called(say, skill, full=full)}: {text}" for skill, text in told)
    if lesson.note:
        yield tidy(lesson.note)


def _called(say: Phrases, skill: str, *, full: bool) -> str:
    return say.titled(skill) if full else tidy(say.course.skill[skill].name)


_CHANGED_AT_MOST: Final = 3


def _help(answer: Answer, skill: str) -> int | None:
    """Return the help that counts for a skill on the day of the answer (the most of that day)."""
    return next((e.help for e in reversed(answer.standings[skill].evidence) if e.day == answer.on), None)


def _now(say: Phrases, earlier: Phrases, skills: Sequence[str], *, full: bool) -> Iterator[Paragraph]:
    """Yield each skill with its state and the one before; in short only the first that have changed."""
    changed = [one for one in skills if say.state(one) != earlier.state(one)]
    told = skills if full else changed[:_CHANGED_AT_MOST]
    for skill in told:
        now, before = say.state(skill), earlier.state(skill)
        is_new = not full and earlier.standing(skill).state == State.UNTRIED
        was = "new" if is_new else f"before: {before}"
        state = f"as before, {now}" if now == before else f"{now} ({was})"
        yield item(f"{_called(say, skill, full=full)}: {state}")
    if more := len(skills) - len(told):
        yield item(f"{more}{' more' if told else ''}{', as before' if len(told) == len(changed) else ''}")


def _changes(
    before: Answer, after: Answer, course: Course, record: Record, skills: Collection[str]
) -> Iterator[str]:
    """Yield the skills whose state has changed, those that changed alike in one sentence."""
    say, earlier = Phrases(after, course, record), Phrases(before, course, record)
    alike: dict[str, list[str]] = {}
    for one in (skill for skill in course.skill if skill in skills):
        if say.state(one) != earlier.state(one):
            alike.setdefault(f"{say.state(one)} (before: {earlier.state(one)})", []).append(one)
    for words, changed in alike.items():
        yield f"{say.names(changed, _NAMES)}: {words}."


def turn_words(first: str, was: Answer, then: str, now: Answer, course: Course, record: Record) -> str:
    """Return the verdict without something and with it, or that it is the same."""
    before, after = (_verdict(one, course, record) for one in (was, now))
    if before == after:
        return f"The verdict on {date_words(now.on)} is as before: {after}."
    return f"{first}: {before}. {then}: {after}."


def _verdict(answer: Answer, course: Course, record: Record) -> str:
    if answer.unit is None and answer.placing is not None and answer.verdict != Verdict.PAUSED:
        unit = course.unit[placing_round(course, record, answer.on).start]
        return f"No starting unit yet; so far unit {unit.number}"
    return plain_verdict(answer, course)


def offer_words(record: Record, lesson: NewLesson) -> str:
    """Return that a half-entered lesson is still there."""
    day = date_words(lesson.on)
    return (
        f"A lesson of {tidy(record.name)} on {day} is half entered: {noted_line(lesson)}. "
        "Enter = go on with it, d = drop it and start again, q = leave it"
    )


def kept_words(record: Record) -> str:
    """Return that what was entered is safe, and how to go on."""
    return f"Kept for later, not noted yet. `readiness note {record.id}` goes on with it."


def round_words(record: Record, on: int, count: int) -> str:
    """Return the head of a round."""
    return f"{tidy(record.name)}, {date_words(on)}: {counted(count, 'thing')} to look at, one key each."


# What is said of a lesson that could not be noted: where it is kept, and how to note it later.


def unnoted_words(why: str, student: str, lesson: NewLesson, kept: Path) -> str:
    """Return why a lesson is not noted, where it is kept, and how to go on.

    Args:
        why: what stood in the way.
        student: the id; lesson: what was entered.
        kept: the file it is kept in.
    """
    where = (
        f"Not noted yet, but kept as you typed it, for {date_words(lesson.on)}, in {kept}. Once that is "
        f"corrected, `readiness note {student}` goes on with it."
    )
    return "\n".join(filter(None, (why, where, pausing_words(student, lesson))))


def not_kept_words(why: str, why_not_kept: str, student: str, lesson: NewLesson) -> str:
    """Return why a lesson is neither noted nor kept, so that it is written down elsewhere."""
    told = [why, why_not_kept, "Please write it down and note it later.", pausing_words(student, lesson)]
    return "\n".join(filter(None, told))
