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
from readiness.record.model import AGAIN, HELPS, Record
from readiness.record.noting import NewLesson
from readiness.terms import State, Verdict
from readiness.words.brief import noted_line, plain_verdict, verdict_brief
from readiness.words.cautions import caution
from readiness.words.english import HELP_WORDS
from readiness.words.grammar import capital, counted, date_words, listed, quoted, tidy, wrap
from readiness.words.layout import Paragraph, Section, item, lay_out
from readiness.words.paused import hold_notice, hold_section, mentions_pain
from readiness.words.phrases import Phrases

__all__ = [
    "HALF_ENTERED", "ask_words", "half_entered_words", "hold_words", "kept_words", "not_kept_words",
    "noted_quietly", "noted_twice", "noted_words", "offer_words", "pausing_words", "played_words",
    "round_words", "shown_words", "twice_that_day", "undone_words", "unnoted_words",
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


# What is said when playing is noted for a day on which a hold is open.
#
# Stop playing comes first. What was seen is kept, and none of it is called a step forward.

_NAMES = 4
"""So many skills are named; more are only counted."""


def ask_words(course: Course, record: Record, day: int, played: Sequence[str], width: int = 80) -> str:
    """Return the question before noting, with its keys."""
    names = _names_played(course, played)
    what = (
        f"This would note {names}, which is not done while the hold is open. If it was played all the same: "
        "please stop playing now."
    )
    told = (
        hold_notice(record, day) or f"A hold is open that concerns {names}.",
        what,
        "y note it as it was seen   any other key: do not note it, keep it for later",
    )
    return "".join(f"{line}\n" for text in told for line in wrap(text, width))


def played_words(course: Course, played: Sequence[str], *, was_noted: bool = True) -> Iterator[str]:
    """Yield what comes first where playing was noted under a hold, or would be; nothing where none was."""
    if played:
        noted = "was noted" if was_noted else "would be noted"
        yield (
            f"A hold is open, and {_names_played(course, played)} {noted}: please stop playing now, and do "
            "not play through pain. It is kept as it was seen, and none of it is called a step forward while "
            "the hold is open."
        )


def _names_played(course: Course, skills: Sequence[str]) -> str:
    words = [quoted(course.skill[skill].name) for skill in skills[:_NAMES]]
    more = len(skills) - _NAMES
    return listed([*words, *([f"{more} more"] if more > 0 else [])])


# A lesson that was begun to be entered and not noted yet, as the list of students tells it.

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
            lines = listed([f"{HELP_WORDS[help_]} ({_file(record)}:{line})" for help_, line in notes])
            stands = HELP_WORDS[max(notes)[0]]
            yield (
                f"Noted more than once on {date_words(day, beside)}: {lines}. The note with most help stands "
                f"for the day, {quoted(stands)}: that is what it took."
            )


def twice_that_day(record: Record, names: Iterable[tuple[str, str]], day: int) -> Iterator[str]:
    """Yield a sentence for each skill, given by id and name, that a note of the day does not move."""
    for skill, name in names:
        notes = _notes(record, skill, day)
        most, last = max(notes, default=(0, 0))[0], max(notes, key=lambda one: one[1], default=(0, 0))[0]
        if last != most:
            yield (
                f"{quoted(name)} was noted {quoted(HELP_WORDS[most])} that day already. That stands for the "
                "day, because the note with most help says what it took."
            )


def _notes(record: Record, skill: str, day: int) -> list[tuple[int, int]]:
    """Return help and line of each note on a skill on a day."""
    lessons = (lesson for lesson in record.lessons if lesson.on == day)
    return [(one.help, one.line) for lesson in lessons for one in lesson.showings if one.skill == skill]


def _file(record: Record) -> str:
    return record.path.name if record.path else f"{record.id}.toml"


_HANDS_ON = HELPS.index("hands-on")
_CROSSED_OUT = (
    "These lines stay in the file, crossed out by the line at its end. Were they about another child? Then "
    "take them out by hand, with that line."
)
_AT_MOST = 6
"""Skills whose change is told one by one; more are only counted."""


def noted_words(
    before: Answer, after: Answer, course: Course, record: Record, lesson: NewLesson, width: int = 80
) -> str:
    """Return what was noted, what it changes, and how to take it back.

    Args:
        before, after: the answers on the day of the lesson, without it and with it.
        course: what is taught.
        record: the student's record with the lesson in it.
        lesson: what was noted; width: the widest line.
    """
    file = record.path.name if record.path else f"{record.id}.toml"
    line = max((one.line for one in record.entire.lessons), default=0)
    played = played_under_hold(course, record, lesson.on, lesson.helps)
    is_held = bool(played) or after.verdict == Verdict.PAUSED
    told = [
        *filter(None, (hold_notice(record, lesson.on),)),
        f"Noted for {tidy(record.name)}, {date_words(lesson.on)}: {noted_line(lesson)} ({file}:{line}).",
        *played_words(course, played),
        *(() if is_held else _changes(before, after, course, record, lesson.helps)),
        *twice_that_day(record, ((one, course.skill[one].name) for one in lesson.helps), lesson.on),
        _verdict_change(before, after, course, record),
    ]
    if _HANDS_ON in lesson.helps.values():
        told.append(caution("C6"))
    if hurt := pausing_words(record.id, lesson):
        told.append(hurt)
    told.append(f"A slip of the finger? `readiness undo {record.id}` takes this back.")
    return _lines(told, width)


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
    """Return what was taken back, to the letter, and where that leaves the verdict."""
    counts = "it no longer counts, and all else is as it was"
    head = _lines([f"Taken back for {tidy(record.name)}; {counts}:"], width)
    block = "".join(f"  {line}\n" for line in text.splitlines())
    if text.startswith("[["):
        block += _lines([_CROSSED_OUT], width)
    left = (hold_notice(record, after.on), _verdict_change(before, after, course, record))
    return head + block + _lines([*filter(None, left)], width)


def shown_words(before: Answer, after: Answer, course: Course, record: Record, width: int = 80) -> str:
    """Return what was shown on one day, each thing with its help and what it changed.

    Args:
        before: the answer on that day without its lessons; after: with them.
        course, record: what is taught, and what was seen.
        width: the widest line.
    """
    say, earlier = Phrases(after, course, record), Phrases(before, course, record)
    today = [lesson for lesson in record.lessons if lesson.on == after.on]
    shown = {one.skill for lesson in today for one in lesson.showings}
    lines = ", ".join(say.line(lesson.line) for lesson in today)
    sections = [Section("", (Paragraph(f"{tidy(record.name)}, {say.day(after.on)} ({lines})"),))]
    for help_, words in enumerate(HELP_WORDS):
        these = [one for one in course.skill if one in shown and _help(after, one) == help_]
        told = tuple(item(f"{say.titled(one)}: {_now(say, earlier, one)}") for one in these)
        sections.append(Section(capital(words), told))
    left = [one for lesson in today for one in lesson.not_tried if one not in shown]
    sections.append(Section("Not asked, so nothing is known from that day", _names(say, left)))
    remarks = [(skill, text) for lesson in today for skill, text in lesson.remarks.items()]
    said = [f"{say.titled(skill)}: {tidy(text)}" for skill, text in remarks]
    said += [f"{say.titled(skill)}: not liked" for lesson in today for skill in lesson.disliked]
    said += [f"{say.titled(skill)}: liked again" for lesson in today for skill in lesson.liked_again]
    again = [(skill, how) for lesson in today for skill, how in lesson.tried_again.items()]
    said += [f"{say.titled(skill)}: tried again {AGAIN[how]}" for skill, how in again]
    said += [tidy(lesson.note) for lesson in today if lesson.note]
    sections.append(Section("Remarks", tuple(map(item, said))))
    last = _verdict_change(before, after, course, record)
    if not shown:
        more = f"`readiness note {record.id} --on {iso(after.on)}` adds what was seen"
        last = f"No skill was noted that day; {more}. {last}"
    return lay_out([*sections, Section("", (Paragraph(last),))], width)


def _help(answer: Answer, skill: str) -> int | None:
    """Return the help that counts for a skill on the day of the answer (the most of that day)."""
    return next((e.help for e in reversed(answer.standings[skill].evidence) if e.day == answer.on), None)


def _names(say: Phrases, skills: Sequence[str]) -> tuple[Paragraph, ...]:
    return (Paragraph(say.names(skills, at_most=len(skills))),) if skills else ()


def _now(say: Phrases, earlier: Phrases, skill: str) -> str:
    """Return where a skill stands, and before where that is something else."""
    now, before = say.state(skill), earlier.state(skill)
    return f"as before, {now}" if now == before else f"{now} (before: {before})"


def _changes(
    before: Answer, after: Answer, course: Course, record: Record, skills: Collection[str]
) -> Iterator[str]:
    """Yield, in one sentence, the skills whose standing is another one now."""
    say, earlier = Phrases(after, course, record), Phrases(before, course, record)
    changed = [one for one in course.skill if one in skills and say.state(one) != earlier.state(one)]
    alike: dict[str, list[str]] = {}
    for one in changed[:_AT_MOST]:
        is_new = earlier.standing(one).state == State.UNTRIED
        then = "not asked before" if is_new else f"before: {earlier.state(one)}"
        alike.setdefault(f"{say.state(one)} ({then})", []).append(one)
    told = [f"{say.names(skills, len(skills))}: {words}" for words, skills in alike.items()]
    if len(changed) > _AT_MOST:
        told.append(f"{len(changed) - _AT_MOST} more (`readiness shown {record.id}` has all)")
    if told:
        yield f"Now: {'; '.join(told)}."


def _verdict_change(before: Answer, after: Answer, course: Course, record: Record) -> str:
    then, now = (_verdict(one, course, record) for one in (before, after))
    day = f"The verdict on {date_words(after.on)}"
    return f'{day} is as before: "{now}".' if then == now else f'{day} was "{then}" and is now "{now}".'


def _verdict(answer: Answer, course: Course, record: Record) -> str:
    if answer.unit is None and answer.placing is not None and answer.verdict != Verdict.PAUSED:
        unit = course.unit[placing_round(course, record, answer.on).start]
        return f"not placed yet, start so far in unit {unit.number}, {tidy(unit.name)}"
    return plain_verdict(answer, course)


def offer_words(record: Record, lesson: NewLesson) -> str:
    """Return that a half-entered lesson is still there."""
    day = date_words(lesson.on)
    return (
        f"A lesson of {tidy(record.name)} on {day} is half entered: {noted_line(lesson)}. "
        "Enter = go on with it, d = drop it and begin afresh, q = leave it"
    )


def kept_words(record: Record) -> str:
    """Return that what was entered is safe, and how to go on."""
    return f"Kept for later, not noted yet. `readiness note {record.id}` goes on with it."


def round_words(record: Record, on: int, count: int) -> str:
    """Return the head of a round."""
    return f"{tidy(record.name)}, {date_words(on)}: {counted(count, 'thing')} to look at, one key each."


def _lines(texts: Sequence[str], width: int) -> str:
    return "".join(f"{line}\n" for text in texts for line in wrap(text, width))


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
        f"mended, `readiness note {student}` in a terminal goes on with it, and so does the lesson on the "
        "screens."
    )
    return "\n".join(filter(None, (why, where, pausing_words(student, lesson))))


def not_kept_words(why: str, why_not_kept: str, student: str, lesson: NewLesson) -> str:
    """Return why a lesson is neither noted nor kept, so that it is written down elsewhere."""
    told = [why, why_not_kept, "Please write it down and note it later.", pausing_words(student, lesson)]
    return "\n".join(filter(None, told))
