"""The words of a change: which verdict before and after, since when, and what made it.

Every cause named here was recomputed with that one thing undone. Nobody is blamed: time
passes, children have birthdays, courses are edited. It ends with what to do.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from datetime import date
from types import MappingProxyType
from typing import Final

from readiness.course.model import FADES, Course
from readiness.judging.answer import Answer
from readiness.judging.findings import Rule
from readiness.judging.reasons import pacing_rule
from readiness.planning.changed import Cause, Changed
from readiness.record.model import Record
from readiness.words.cautions import caution
from readiness.words.change_facts import fact_sentences
from readiness.words.grammar import VERDICT_WORDS, capital, date_words, listed, tidy
from readiness.words.numbers import numbers_section
from readiness.words.page import Paragraph, Section, item, lay_out, under
from readiness.words.phrases import Phrases
from readiness.words.verdicts import plain_verdict
from readiness.workbench.course_then import changes_since

__all__ = ["since_then", "tell_changed"]

FACTS_AT_MOST = 10


def tell_changed(found: Changed, course: Course, record: Record, known_by: str, width: int = 80) -> str:
    """Return why the answer of one day differs from that of another.

    Args:
        found: what was worked out.
        course: the course as it is on the later day.
        record: the student's record.
        known_by: how the course of the earlier day is known: git, folder, notes or not.
        width: the widest line.
    """
    say = Phrases(found.later, course, record)
    return lay_out(
        [
            Section("", (Paragraph(_title(found)),)),
            Section("What changed", tuple(map(item, _what(found, say)))),
            Section("Why", tuple(_why(found, say))),
            Section(_beside_title(found), tuple(map(item, _beside(found)))),
            Section("Happened too, and made no difference to this", tuple(map(item, _idle(found)))),
            numbers_section(_rules(found, say), found.later.band),
            Section("What is looked at here", tuple(map(item, _basis(found, known_by)))),
            Section("What to do", tuple(map(item, _to_do(found, say)))),
            Section("Cautions", (item(caution("C14")),)),
        ],
        width,
    )


def _title(found: Changed) -> str:
    days = f"{date_words(found.earlier.on, found.later.on)} to {date_words(found.later.on)}"
    return f"{tidy(found.later.name)} - what changed, {days}"


def _what(found: Changed, say: Phrases) -> Iterator[str]:
    yield _answer(found.earlier, say)
    if found.followed_from > found.earlier.on:
        yield f"Very much was noted since, so days before {say.day(found.followed_from)} were passed over."
    for turn in found.turns:
        yield f"From {say.day(turn.day)} on: {VERDICT_WORDS[turn.verdict]}."
    yield _answer(found.later, say)
    if found.asked == "in-the-way":
        yield "The verdict is the same; what is in the way is not."
    if found.asked == "nothing":
        yield "Neither the verdict nor what is in the way is another one."


def _answer(answer: Answer, say: Phrases) -> str:
    unit = answer.unit
    where = f" ({say.unit(unit)})" if unit is not None and unit in say.course.unit else ""
    return f"{say.day(answer.on)}: {plain_verdict(answer)}{where}."


def _why(found: Changed, say: Phrases) -> Iterator[Paragraph]:
    if found.asked == "nothing":
        return
    if not found.restoring:
        yield item("No single thing and no set of things, undone, gives the earlier answer back.")
    for cause in found.causes:
        yield item(f"{_CAUSE[cause.id]}.{_alone(cause, found)}")
        words = fact_sentences(cause.facts, say)
        for line in words[:FACTS_AT_MOST]:
            yield under(line)
        if len(words) > FACTS_AT_MOST:
            yield under(f"And {len(words) - FACTS_AT_MOST} more (--json has all).")
    yield from map(item, _together(found))


def _alone(cause: Cause, found: Changed) -> str:
    if not cause.alone:
        return ""
    was = "it would still be as it was"
    if found.asked == "verdict":
        was = f'it would still say "{VERDICT_WORDS[found.earlier.verdict]}"'
    return f" Without this {was}."


def _together(found: Changed) -> Iterator[str]:
    """Yield how the causes act together, where there is more than one."""
    alone = [one[0] for one in found.restoring if len(one) == 1]
    if len(alone) > 1:
        both = "both" if len(alone) == 2 else "all of these"
        yield f"It took {both}: {_names(alone)}. Without any one of them it would still be as it was."
    for causes in found.restoring:
        if len(causes) > 1:
            yield (
                f"Each of these would have been enough: {_names(causes)}. Only with all of them undone is it "
                "as it was."
            )


def _names(causes: Iterable[str]) -> str:
    return listed([_SHORT[cause] for cause in causes])


def _beside_title(found: Changed) -> str:
    return "What kept it so" if found.asked == "nothing" else "Made a difference too"


def _beside(found: Changed) -> Iterator[str]:
    """Yield what would be said on the later day without each other thing that made a difference."""
    for one in found.beside:
        if one.answer.verdict == found.later.verdict:
            yield f"Without {_SHORT[one.id]} something else would be in the way now."
        else:
            yield f'Without {_SHORT[one.id]} it would now say "{VERDICT_WORDS[one.answer.verdict]}".'


def _idle(found: Changed) -> Iterator[str]:
    if found.asked != "nothing" and found.without_effect:
        yield f"{capital(_names(found.without_effect))}."
    if found.asked == "nothing" and found.without_effect:
        yield f"Since then: {_names(found.without_effect)}."


def _to_do(found: Changed, say: Phrases) -> Iterator[str]:
    later, ids = found.later, {cause.id for cause in found.causes}
    if later.verdict == "paused":
        yield caution("C1")
        return
    if "window" in ids and later.look_first:
        yield f"Look first at {say.names(later.look_first)}. A window that has ended asks for no more."
    elif later.one_thing is not None:
        yield f"The one thing to work on: {say.name(later.one_thing)}."
    if ids & {"graph", "numbers"}:
        yield "If an edit was not meant to do this, change the line back; or decide otherwise, with a reason."
    if "band" in ids:
        yield (
            "Numbers change on a birthday, the child does not: until the unit ends you may keep the earlier "
            "band with a [[band_choice]] and a reason."
            if not say.is_adult
            else "The earlier band may be kept with a [[band_choice]] and a reason."
        )
    if found.asked != "verdict" and found.turns:
        day = date.fromordinal(found.turns[-1].day - 1)
        yield f"For what happened in between, ask from a day in between: --since {day}"
    yield f"All reasons as they are now: readiness why {later.student}"


def _rules(found: Changed, say: Phrases) -> tuple[Rule, ...]:
    """Return the numbers behind windows and breaks; the others are told with their cause."""
    ids = {cause.id for cause in found.causes}
    fades = {
        say.course.skill[f.skill].fade for c in found.causes for f in c.facts if f.kind == "due" and f.skill
    }
    names = [f"fresh_weeks.{fade}" for fade in FADES if fade in fades]
    names += ["break_weeks"] if "break" in ids else []
    band = say.course.band[found.later.band]
    return tuple(pacing_rule(say.course, band, name) for name in names)


def _basis(found: Changed, known_by: str) -> Iterator[str]:
    yield _KNOWN_BY[known_by]
    if found.earlier.band != found.later.band:
        yield f"The days on which windows ended are by the numbers of band {found.later.band}."
    yield (
        "Each cause was worked out again with that one thing undone and all the rest as it is. Notes put in "
        "afterwards under an earlier day cannot be told from old ones."
    )


_CAUSE: Final[Mapping[str, str]] = MappingProxyType(
    {
        "notes": "New notes",
        "unit": "Another unit has begun, so another list decides",
        "set-aside": "Something was set aside by agreement",
        "window": "Time passed: windows ended with nothing new noted",
        "band": "Another age band counts",
        "break": "A break",
        "hold": "A hold for care",
        "graph": "The skill graph was edited",
        "numbers": "Numbers of the pacing were changed",
        "dated": "The course itself has skills that come or go on a day",
    }
)
_SHORT: Final[Mapping[str, str]] = MappingProxyType(
    {
        "notes": "the new notes",
        "unit": "the new unit",
        "set-aside": "what was set aside",
        "window": "the windows that ended",
        "band": "the other age band",
        "break": "the break",
        "hold": "the hold",
        "graph": "the edited skill graph",
        "numbers": "the changed numbers",
        "dated": "the skills that come or go on a day",
    }
)
_KNOWN_BY: Final[Mapping[str, str]] = MappingProxyType(
    {
        "git": "The course of the earlier day was taken from the history of its folder (git).",
        "folder": "The course of the earlier day is the one in the folder you named.",
        "notes": "The numbers of the earlier day are the defaults, by the dated [[change]] blocks.",
        "not": (
            "The course is as it is now for both days: its folder has no history (git) back to then, and no "
            "older copy was named (--old-course). An edit since then cannot be seen."
        ),
    }
)


def since_then(course: Course, day: int, today: int) -> str:
    """Return in a sentence that a past day is answered by what was changed since; empty where nothing was."""
    changed = [
        f"{rule} in band {band} ({date_words(on)})"
        for on, band, rule, *_ in (changes_since(course, day, today) if day < today else ())
    ]
    if any(day < one <= today for one in (course.entire or course).turning_days):
        changed.append("skills that came or were retired, which are read as they were that day")
    if not changed:
        return ""
    return (
        f"{date_words(day)} is answered with the course and the numbers of today. Changed since: "
        f"{listed(changed)}."
    )
