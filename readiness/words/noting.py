"""What is said around noting: what is kept of a round, what was noted, what it changes.

Short, because it is read between two children. A slip of the finger is always one command
away from being taken back, and that is said each time.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence

from readiness.course.model import Course
from readiness.days import iso
from readiness.judging.answer import Answer
from readiness.planning.placing.round import placing_round
from readiness.planning.under_hold import played_under_hold
from readiness.record.model import AGAIN, HELPS, Record
from readiness.record.noting import NewLesson
from readiness.words.brief import noted_line
from readiness.words.cautions import caution
from readiness.words.grammar import HELP_WORDS, capital, counted, date_words, tidy, wrap
from readiness.words.held import played_words
from readiness.words.page import Paragraph, Section, item, lay_out
from readiness.words.paused import hold_notice, hold_section, mentions_pain
from readiness.words.phrases import Phrases
from readiness.words.twice import twice_that_day
from readiness.words.verdicts import plain_verdict, verdict_words

__all__ = [
    "hold_words", "kept_words", "noted_words", "offer_words", "pausing_words", "round_words", "shown_words",
    "undone_words",
]  # fmt: skip

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
    is_held = bool(played) or after.verdict == "paused"
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
        is_new = earlier.standing(one).state == "untried"
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
    if answer.unit is None and answer.placing is not None and answer.verdict != "paused":
        unit = course.unit[placing_round(course, record, answer.on).start]
        return f"not placed yet, start so far in unit {unit.number}, {tidy(unit.name)}"
    if answer.is_ready:
        return verdict_words(Phrases(answer, course, record))
    return plain_verdict(answer)


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
