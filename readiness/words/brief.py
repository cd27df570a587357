"""Words short enough for one row of a screen: verdicts, states and help.

The same facts as in the long texts, in the words a teacher would write at the edge of a
sheet. Each verdict has a mark and each state a letter as well, so that none of them is told
by colour alone. The marks of the verdicts are taken from how music is written down: a rest,
a double bar, the sign for "once more", the sign where a part begins.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING, Final

from readiness.course.model import Course
from readiness.judging.answer import Answer
from readiness.record.model import Promise
from readiness.terms import State, Verdict
from readiness.words.grammar import VERDICT_WORDS, counted, date_words, listed, tidy
from readiness.words.phrases import Phrases

if TYPE_CHECKING:
    from readiness.record.noting import NewLesson
    from readiness.toml.problems import Problem

__all__ = [
    "HELP_BRIEF", "HELP_LETTERS", "LARGE", "NOT_IN_THE_DEMO", "STATE_BRIEF", "STATE_LETTERS", "VERDICT_BRIEF",
    "VERDICT_MARKS", "WHY_BRIEF", "before_and_now", "brought_line", "days_since", "glance_words",
    "noted_line", "odd_lines", "one_thing_line", "plain_verdict", "promise_line", "supposed_line",
    "unit_line", "verdict_brief", "verdict_change", "verdict_large", "verdict_row", "verdict_words",
]  # fmt: skip

VERDICT_BRIEF: Final = {
    Verdict.PAUSED: "NO PLAYING",
    Verdict.NOT_YET: "not yet",
    Verdict.LOOK_AGAIN: "look again",
    Verdict.READY_TAKING_ALONG: "ready, taking along",
    Verdict.READY: "ready",
    Verdict.NOT_PLACED: "where to start?",
}
"""The verdicts in a word or two."""

VERDICT_MARKS: Final = {
    Verdict.PAUSED: "▬▬",
    Verdict.NOT_YET: "||",
    Verdict.LOOK_AGAIN: ":|",
    Verdict.READY_TAKING_ALONG: "+>",
    Verdict.READY: " >",
    Verdict.NOT_PLACED: "|:",
}
"""A rest; a double bar; once more; on, with something; on; here it begins."""

LARGE: Final = {
    Verdict.PAUSED: "NO PLAYING",
    Verdict.NOT_YET: "NOT YET",
    Verdict.LOOK_AGAIN: "LOOK AGAIN",
    Verdict.READY_TAKING_ALONG: "READY +",
    Verdict.READY: "READY",
    Verdict.NOT_PLACED: "WHERE TO START",
}
"""The verdicts as they stand in large letters."""

STATE_LETTERS: Final = {
    State.SECURE: "S",
    State.BUILDING: "P",
    State.WOBBLING: "O",
    State.STALE: "D",
    State.UNTRIED: "·",
    State.WITH_HELP: "H",
    State.NOT_SHOWN: "N",
    State.SLIPPED: "L",
    State.SET_ASIDE: "A",
}
"""One letter a state, for the map of the course."""

STATE_BRIEF: Final = {
    State.SECURE: "settled",
    State.BUILDING: "part of the days",
    State.WOBBLING: "one off day",
    State.STALE: "due for a look",
    State.UNTRIED: "not asked yet",
    State.WITH_HELP: "with help",
    State.NOT_SHOWN: "not shown yet",
    State.SLIPPED: "come loose",
    State.SET_ASIDE: "set aside",
}
"""The states in a word or two, in the order of the letters."""

HELP_BRIEF: Final = ("alone", "small reminder", "after showing", "contact help", "not shown yet")
"""Help from least to most, in the order of ``readiness.record.HELPS``."""

HELP_LETTERS: Final = ("A", "C", "M", "H", "N")
"""The letter of each help, in the same order: alone, cue, model, hands-on, not shown."""


def days_since(answer: Answer) -> str:
    """Return how long ago the last lesson was."""
    if answer.last_lesson is None:
        return "no lesson"
    days = answer.on - answer.last_lesson
    return "today" if days == 0 else counted(days, "day")


def verdict_brief(answer: Answer) -> str:
    """Return the verdict in a word or two; a decision to stay is said with it (rule R11)."""
    return _STAYS if answer.waits_by_decision else VERDICT_BRIEF[answer.verdict]


def verdict_large(answer: Answer) -> str:
    """Return the verdict for large letters; a decision to stay is said with it (rule R11)."""
    return _STAYS.upper() if answer.waits_by_decision else LARGE[answer.verdict]


_STAYS: Final = "ready, you stay"


def verdict_row(answer: Answer) -> str:
    """Return mark and verdict, for instance ``:| look again``."""
    return f"{VERDICT_MARKS[answer.verdict]} {verdict_brief(answer)}"


def supposed_line(plain: Answer, supposed: Answer) -> str:
    """Return for when an answer is supposed: the day asked about, or the next lesson to come."""
    lesson = f"for the lesson on {date_words(supposed.on, plain.on)}"
    return f"Supposed {'for this once' if plain.on == supposed.on else lesson}; nothing is saved"


def verdict_change(before: Answer | None, after: Answer | None) -> str:
    """Return how one student's answer changed between two readings of the files."""
    if after is None:
        assert before is not None
        return f"{tidy(before.name)}: cannot be read now, was {verdict_brief(before)}"
    name, now = tidy(after.name), verdict_brief(after)
    if before is None:
        return f"{name}: new, {now}"
    if (was := verdict_brief(before)) != now:
        return f"{name}: was {was}, now {now}"
    return f"{name}: still {now}{_smaller_change(before, after)}"


def _smaller_change(before: Answer, after: Answer) -> str:
    """Return what changed where the verdict did not."""
    if before.blockers != after.blockers:
        return ", what decides has changed"
    if before.one_thing != after.one_thing:
        return ", another one thing to work on"
    if before.earliest != after.earliest and after.earliest is not None:
        return f", earliest possible now {date_words(after.earliest, after.on)}"
    return ""


def promise_line(promise: Promise, on: int) -> str:
    """Return an open promise; a due one says so."""
    due = ""
    if promise.due is not None:
        due = (
            f" (was due {date_words(promise.due, on)})"
            if promise.due < on
            else f" (due {date_words(promise.due, on)})"
        )
    return f"Promised to {tidy(promise.to)} on {date_words(promise.given, on)}{due}: {tidy(promise.text)}"


def one_thing_line(answer: Answer, course: Course) -> str:
    """Return the one thing to work on, or what takes its place."""
    if answer.verdict == Verdict.PAUSED:
        return "No playing until an adult closes the hold."
    if answer.one_thing is not None:
        return tidy(course.skill[answer.one_thing].name)
    if answer.taken_along:
        return f"along: {listed([tidy(course.skill[one].name) for one in answer.taken_along])}"
    return ""


def brought_line(answer: Answer, course: Course) -> str:
    """Return what is unfinished from earlier units (rule R12); empty where nothing is."""
    names = [tidy(course.skill[one.skill].name) for one in answer.brought_along]
    return f"Unfinished from before: {listed(names)}" if names else ""


def odd_lines(odd: Iterable[Problem]) -> Iterator[str]:
    """Yield each day in a student's file that can hardly be, with its place and what to do."""
    for one in odd:
        hint = f": {one.hint}" if one.hint else ""
        yield f"{one.place.file.name}:{one.place.line} {one.message}{hint}."


def unit_line(answer: Answer, course: Course) -> str:
    """Return the unit of a student with its number."""
    if answer.unit is None:
        return "no unit yet"
    unit = course.unit[answer.unit]
    return f"unit {unit.number}, {tidy(unit.name)}"


NOT_IN_THE_DEMO: Final = (
    "Nothing is written into the demo that comes with the program. "
    "`readiness start DIR --with-demo` makes a copy of it that is yours."
)
"""Said where somebody tries out noting without a studio of their own."""

WHY_BRIEF: Final = {
    "sure-success": "comes for sure",
    "always-look": "every check",
    "blocker": "decides",
    "group": "decides, one of several",
    "one-thing": "the one thing",
    "look-first": "look first",
    "beneath": "others build on it",
    "rest": "of this unit",
    "fading": "not seen for long",
    "between": "easy, in between",
    "favourite": "to end with",
    "patch": "to strengthen",
    "stopped": "stopped the climb",
    "probe": "shows where to start",
    "if-comfortable": "if comfortable",
    "care": "comes first",
    "added": "added by you",
}
"""Why something stands on the sheet, by the ids of ``readiness.advice.sheet``."""


def glance_words(names: Sequence[str]) -> str:
    """Return the title of a line of the sheet: a skill, several in one glance, or a free choice.

    >>> glance_words(["Feet supported", "Sits tall"])
    'At one glance: feet supported, sits tall'
    """
    if not names:
        return "A piece the student likes, to end with"
    if len(names) == 1:
        return names[0]
    return f"At one glance: {', '.join(name[:1].lower() + name[1:] for name in names)}"


_PLURAL: Final = {"small reminder": "small reminders"}


def noted_line(lesson: NewLesson) -> str:
    """Return what a lesson to be noted holds, counted by help."""
    counts = [
        counted(sum(1 for given in lesson.helps.values() if given == help_), words, _PLURAL.get(words, words))
        for help_, words in enumerate(HELP_BRIEF)
        if help_ in lesson.helps.values()
    ]
    if lesson.not_tried:
        counts.append(f"{len(lesson.not_tried)} not asked")
    if lesson.remarks or lesson.note:
        counts.append(counted(len(lesson.remarks) + bool(lesson.note), "remark"))
    liked = (lesson.disliked, "not liked"), (lesson.liked_again, "liked again")
    told = (*liked, (lesson.tried_again, "tried again"))
    counts += [f"{len(skills)} {words}" for skills, words in told if skills]
    return listed(counts) if counts else "nothing yet"


def before_and_now(before: Answer, now: Answer) -> str:
    """Return the verdict without and with what was shown, on two lines."""
    return f"Before: {verdict_row(before)}\nNow:    {verdict_row(now)}"


# A verdict in words: in the few a list has room for, and with all it opens.
#
# In the last unit of a course there is nothing to move on to; there a yes closes the unit. And after
# the first lesson of a unit nobody is told to strengthen what was hardly begun.


def plain_verdict(answer: Answer) -> str:
    """Return a verdict in a few words."""
    words = VERDICT_WORDS[answer.verdict]
    if answer.waits_by_decision and answer.decision is not None:
        decided = date_words(answer.decision.on, answer.on)
        return f"ready to move on; on {decided} it was decided to stay for now"
    if answer.verdict == Verdict.NOT_YET and (answer.lesson_days or 0) < 2 and answer.unit is not None:
        return "not yet: this unit has just begun"
    if answer.is_ready and answer.next_unit is None:
        return words.replace("to move on", "to close this unit, the last of the course")
    return words


def verdict_words(say: Phrases) -> str:
    """Return the verdict in words, with the unit it opens and what comes along."""
    answer, words = say.answer, plain_verdict(say.answer)
    if not answer.may_move:
        return words
    if answer.next_unit is not None:
        words = words.replace("move on", f"move on to {say.unit(answer.next_unit)}")
    names = listed([say.name(skill) for skill in answer.taken_along])
    return f"{words} {names}" if answer.taken_along else words
