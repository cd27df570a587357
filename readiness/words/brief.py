"""Words short enough for one row of a screen: verdicts, states and help.

The same facts as in the long texts, in the words a teacher would write at the edge of a
sheet. Each verdict has a mark and each state a letter as well, so that none of them is told
by colour alone.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Final

from readiness.course.model import Course
from readiness.judging.answer import Answer
from readiness.record.model import Promise
from readiness.terms import State, Verdict
from readiness.words.english import ENGLISH, HELP_WORDS, VERDICT_BRIEF
from readiness.words.grammar import counted, date_words, listed, tidy
from readiness.words.phrases import Phrases

if TYPE_CHECKING:
    from readiness.record.noting import NewLesson
    from readiness.toml.problems import Problem

__all__ = [
    "HELP_LETTERS", "LARGE", "NOT_IN_THE_DEMO", "STATE_LETTERS",
    "VERDICT_MARKS", "WHY_BRIEF", "before_and_now", "brought_line", "days_since", "glance_words",
    "noted_line", "odd_lines", "one_thing_line", "plain_verdict", "promise_line", "supposed_line",
    "unit_line", "verdict_brief", "verdict_change", "verdict_large", "verdict_row", "verdict_words",
]  # fmt: skip

VERDICT_MARKS: Final[Mapping[str, str]] = {
    Verdict.PAUSED: "||",
    Verdict.NOT_YET: "..",
    Verdict.LOOK_AGAIN: ":|",
    Verdict.READY_TAKING_ALONG: "+>",
    Verdict.READY: " >",
    Verdict.NOT_PLACED: "|:",
}
"""Pause; more time; once more; on, with something; on; here it begins."""

LARGE: Final = {
    Verdict.PAUSED: "PAUSED",
    Verdict.NOT_YET: "NOT YET",
    Verdict.LOOK_AGAIN: "LOOK AGAIN",
    Verdict.READY_TAKING_ALONG: "READY +",
    Verdict.READY: "READY",
    Verdict.NOT_PLACED: "NO UNIT YET",
}
"""The verdicts as they stand in large letters."""

STATE_LETTERS: Final[Mapping[str, str]] = {
    State.SECURE: "S",
    State.BUILDING: "D",
    State.WOBBLING: "O",
    State.STALE: "L",
    State.UNTRIED: "·",
    State.WITH_HELP: "H",
    State.NOT_SHOWN: "N",
    State.SLIPPED: "W",
    State.SET_ASIDE: "A",
}
"""One letter a state, for the map of the course."""

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
    return "READY, STAYING" if answer.waits_by_decision else LARGE[answer.verdict]


_STAYS: Final = "ready, you decided to stay"


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
        return "No playing until an adult ends the pause."
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
    "waited-for": "other things wait for it",
    "in-the-making": "go on with it",
    "begin": "new today",
    "keep-warm": "review",
    "in-passing": "look in passing",
    "placing": "see it once",
    "music": "music",
    "new": "of this unit",
    "review": "review",
    "opening": "to begin with",
    "home": "home task",
}
"""Why something stands on the sheet or in the plan, by the ids of ``advice.sheet`` and ``advice.lesson``."""


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


def noted_line(lesson: NewLesson) -> str:
    """Return what a lesson to be noted holds, counted by help."""
    counts = [
        f"{sum(1 for given in lesson.helps.values() if given == help_)} {words}"
        for help_, words in enumerate(HELP_WORDS)
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


def plain_verdict(answer: Answer, course: Course) -> str:
    """Return a verdict; after the first lesson of a unit nobody is told to take more time in it."""
    if answer.verdict == Verdict.NOT_YET and (answer.lesson_days or 0) < 2 and answer.unit is not None:
        return "Not yet: this unit has just begun"
    following = course.unit[answer.next_unit].number if answer.next_unit else None
    words = ENGLISH.verdict(answer.verdict, following, len(answer.taken_along))
    if answer.waits_by_decision and answer.decision is not None:
        return f"{words}; on {date_words(answer.decision.on, answer.on)} you decided to stay"
    return words


def verdict_words(say: Phrases) -> str:
    """Return the verdict of an answer."""
    return plain_verdict(say.answer, say.course)
