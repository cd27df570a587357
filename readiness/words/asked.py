"""Answers to what a teacher asks beside the verdict: about one skill, about an old day, about a yes.

Was that a one-off? It was there last week and not today: is it lost? When will it be there?
Why look at the seat again? It was shown in another way: does that count? Each answer names
the days, the numbers with their lines and what it means for the move; none is a promise.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from readiness.advice.ground import AroundHere
from readiness.course.graph import first_needed
from readiness.course.model import Course
from readiness.judging.answer import Answer
from readiness.judging.findings import Rule
from readiness.judging.reasons import pacing_rule
from readiness.judging.remarks import cautions_for
from readiness.record.model import AGAIN, Lesson, Record, latest
from readiness.record.multi_course import care_elsewhere
from readiness.terms import State, Verdict
from readiness.words.cautions import closing
from readiness.words.grammar import capital, counted, date_words, joined, listed, number_words, quoted, tidy
from readiness.words.layout import Paragraph, Section, columns, item, lay_out, under
from readiness.words.noting import noted_twice
from readiness.words.paused import hold_section
from readiness.words.phrases import Phrases
from readiness.words.reasons import numbers_section

__all__ = ["looking_back", "tell_around", "tell_skill"]

LONG_AGO = 60
"""A day this far before the newest note is looked at from today, and that is said."""


def tell_skill(
    answer: Answer, course: Course, record: Record, skill: str, width: int = 80, *, full: bool = False
) -> str:
    """Return all about one skill of one student.

    Args:
        answer: what was judged.
        course: the course it was judged by.
        record: the student's record.
        skill: the id of the skill.
        width: the widest line.
        full: with the counting, agreements, remarks, rules and cautions behind it.
    """
    say = Phrases(answer, course, record)
    return lay_out(_skill_page(say, skill, full=full), width, full=full)


def _skill_page(say: Phrases, skill: str, *, full: bool) -> Iterator[Section]:
    answer, one = say.answer, say.course.skill[skill]
    title = " · ".join((tidy(answer.name), say.titled(skill), say.unit(one.unit), date_words(answer.on)))
    yield Section("", (Paragraph(title), Paragraph(f"{capital(say.state(skill))}.")))
    yield hold_section(say.record, answer.on)
    rows = columns(say.seen(skill), 0)
    stands = (replace(item(words), more=True) for words in _stands(say, skill))
    yield Section("Seen", (*rows, *map(item, noted_twice(say.record, skill, answer.on)), *stands))
    yield Section("Agreed", tuple(map(item, _agreed(say, skill))))
    if answer.verdict != Verdict.PAUSED:
        yield Section("What that means", tuple(map(item, _means(say, skill))))
        yield Section("When", tuple(item(words, more=i != 1) for i, words in enumerate(_when(say, skill))))
    for heading, lines in (
        ("What builds on it", _above(say, skill)),
        ("Looked at again and again", _standing(say, skill)),
        ("Shown in another way", _another_way(say, skill)),
        ("Remarks", _remarks(say, skill)),
    ):
        yield Section(heading, tuple(map(item, lines)), more=True)
    yield replace(numbers_section(_rules(say, skill), answer.band), more=True)
    cautions = cautions_for(
        say.course, say.record, answer.on, (skill,), (), paused=False, seat_open=False
    )
    yield from closing((), cautions, full=full)


def tell_around(
    found: AroundHere, which: str, answer: Answer, course: Course, record: Record, width: int = 80
) -> str:
    """Return one list of what lies around a student: optional, untried or startable."""
    say = Phrases(answer, course, record)
    where = (say.unit(answer.unit),) if answer.unit else ()
    head = Section("", (Paragraph(" · ".join((tidy(answer.name), *where, date_words(answer.on)))),))
    if answer.verdict == Verdict.PAUSED and which in _IN_PLAY:
        return lay_out((head, hold_section(record, answer.on)), width)
    if answer.unit is None and which in _IN_PLAY:
        first = Paragraph(f"No starting unit yet. First: `readiness place {answer.student}`")
        return lay_out((head, Section("", (first,))), width)
    return lay_out((head, hold_section(record, answer.on), *_AROUND[which](say, found)), width)


def _optional(say: Phrases, found: AroundHere) -> Iterator[Section]:
    lines = []
    for skill, band in found.optional:
        back = f"asked for from age {band}" if band else "not asked for later either"
        note = tidy(say.course.skill[skill].age_note) or "The course does not say why."
        lines += [item(f"{say.titled(skill)}, unit {_number(say, skill)}: {back}."), under(note)]
    yield _list_of(f"May be left out at age {say.answer.band}", lines, "Nothing: all is asked for.")


def _untried(say: Phrases, found: AroundHere) -> Iterator[Section]:
    never, missed = (
        [item(f"{say.titled(skill)}.") for skill in some] for some in (found.untried, found.not_shown)
    )
    yield _list_of("Never tried, so nothing is known", never, "Nothing: all was asked at least once.")
    yield _list_of("Asked, and not shown yet", missed, "Nothing.")


def _startable(say: Phrases, found: AroundHere) -> Iterator[Section]:
    at_most = counted(found.at_most, "new skill")
    new, under_way, later = (
        [item(f"{say.titled(skill)}, unit {_number(say, skill)}.") for skill in some]
        for some in (found.startable, found.going_on, found.after_the_move)
    )
    yield _list_of(f"Could be started now, at most {at_most} a lesson", new, "Nothing new.")
    yield Section("Started and not there yet", tuple(under_way))
    yield Section("Ready to start, but part of the next unit", tuple(later))


def _carries_over(say: Phrases, found: AroundHere) -> Iterator[Section]:
    beside = {one.id: one for one in care_elsewhere(say.course)}
    others = joined([quoted(other.name) for other in say.course.beside])
    lines = [f"The {part} rests since {say.day(since)}: nothing here uses it." for part, since in found.rests]
    there = [skill for skill, state in found.shared if state == State.SECURE]
    rest = [skill for skill, state in found.shared if state != State.SECURE]
    if rest:
        lines.append(f"Not secure here yet: {say.names(rest, len(rest))}.")
    if there:
        lines.append(f"Secure here: {say.names(there, len(there))}.")
    if found.care:
        lines.append(f"Looked after there alone: {listed([quoted(beside[one].name) for one in found.care])}.")
    shared = counted(len(found.shared), "skill")
    title = f"The same in {others}: {shared}; a note counts in both" if others else "Carries over"
    yield _list_of(title, [*map(item, lines)], "There is one course only.")


_IN_PLAY = ("untried", "startable")
_AROUND = {
    "optional": _optional, "untried": _untried, "startable": _startable, "carries-over": _carries_over,
}  # fmt: skip


def _list_of(title: str, lines: list[Paragraph], otherwise: str) -> Section:
    return Section(title, tuple(lines) or (item(otherwise),))


def _number(say: Phrases, skill: str) -> int:
    return say.course.unit[say.course.skill[skill].unit].number


# where it stands


def _stands(say: Phrases, skill: str) -> Iterator[str]:
    one = say.standing(skill)
    if one.settled_on is not None:
        yield f"Secure with its unit on {say.day(one.settled_on)}; days before that are not counted again."
    if one.state == State.SET_ASIDE:
        return
    if one.secure_since is not None and one.settled_on is None:
        yield f"Secure since {say.day(one.secure_since)}."
    if one.secure_since is None or one.settled_on is None:
        yield _counting(say, skill)
    if one.last_seen is not None and one.fresh_until is not None:
        yield f"{capital(say.last_seen(skill))}; look again by {say.day(one.fresh_until)}."


def _counting(say: Phrases, skill: str) -> str:
    """Return how many days count, the first and the last, and whether they are far enough apart."""
    one = say.standing(skill)
    days = [note.day for note in one.evidence if note.counts]
    if one.secure_since is None:
        days = days[-one.have :] if one.have else []
    if not days:
        since = "since it was lost" if one.slipped else "so far"
        return f"No day counts {since}; {counted(one.need, 'day is', 'days are')} needed."
    first, last = days[0], days[-1]
    head = f"{counted(len(days), 'day counts', 'days count')}, {one.need} needed"
    if len(days) == 1:
        alone = " One day alone may be a one-off." if one.need > 1 and one.secure_since is None else ""
        return f"{head}: {say.day(first)}.{alone}"
    words = f"{head}: first {say.day(first)}, last {say.day(last)}, {counted(last - first, 'day')} between"
    if one.need < 2:
        return f"{words}."
    spread = say.course.band[say.answer.band].whole("spread_days")
    enough = "far enough" if last - first >= spread else "not far enough yet"
    return f"{words}; at least {spread} are asked for, so {enough}."


# what it means


def _means(say: Phrases, skill: str) -> Iterator[str]:
    state = say.standing(skill).state
    words = _STATE_MEANS.get(state)
    if words:
        yield words
    if state == State.SLIPPED:
        yield "Look on another day before concluding anything."
    yield _for_the_move(say, skill)
    if not say.is_met(skill):
        yield say.missing(skill)


_STATE_MEANS = {
    State.WOBBLING: (
        "One off day after it was secure. That does not undo what was there; it asks for one more look."
    ),
    State.SLIPPED: (
        "Two days in a row that do not count, after it was secure: it is lost for now, and its days are "
        "counted again from the start. That is usual."
    ),
    State.STALE: "It is not lost; it has only not been seen for a while.",
    State.UNTRIED: "Nothing is known about it yet.",
    State.BUILDING: "What was shown is good; it is the number of days that is short.",
}


def _for_the_move(say: Phrases, skill: str) -> str:
    answer = say.answer
    if answer.unit is None:
        return "No unit has started, so nothing waits for it yet."
    blocking = next((one for one in answer.blockers if one.skill == skill), None)
    if blocking is not None:
        how = "holds the move up" if blocking.is_gap else "asks for a look before the move"
        return f"It {how}: {say.needed_for(skill, blocking.needed_by)}."
    if skill in answer.deciding:
        return "It is needed for the move, and it is there."
    return _beside_the_move(say, skill)


def _beside_the_move(say: Phrases, skill: str) -> str:
    """Return what a skill that does not decide alone means for the move."""
    answer = say.answer
    if any(not group.met and skill in group.of for group in answer.groups):
        return "It is one of several, some of which are needed."
    if skill in answer.chain[:-1]:
        return f"{say.name(answer.chain[-1])} builds on it, and that is needed for the move."
    if skill in answer.open_rest:
        return f"It may be finished later, as {number_words(say.carry_limit)} such things at most."
    if skill in answer.rest:
        return "It is of this unit, and there."
    return "The move does not need it now."


def _when(say: Phrases, skill: str) -> Iterator[str]:
    """Return the earliest possible date, and what would make it later."""
    answer = say.answer
    if say.is_met(skill) or answer.unit is None or skill not in (*answer.deciding, *answer.rest):
        return
    yield f"Next lesson: {say.day(answer.next_lesson)}."
    if answer.earliest is None:
        yield "No move is in sight within a year of lessons: look at the steps, not at the date."
        return
    yield (
        "Earliest possible move, if everything open is shown without help each time: "
        f"{say.day(answer.earliest)}."
    )
    yield from say.kept_back()
    weeks = say.course.band[answer.band].whole("break_weeks")
    yield (
        "It gets later with a lesson missed or with a day that needs more help than counts. So it does with "
        f"something else not seen for too long, or with {counted(weeks, 'week')} or more without a lesson."
    )


def _above(say: Phrases, skill: str) -> Iterator[str]:
    answer, course = say.answer, say.course
    users = [one.id for one in course.skills if skill in one.stands_on]
    if users:
        yield f"Directly: {say.names(users)}."
    if answer.unit is None:
        return
    later = first_needed(course, skill, answer.unit)
    if later is None:
        yield "No later unit names it."
    else:
        yield f"First needed after this unit by {say.names(later.skills)}, {say.unit(later.unit)}."


# what is looked at every time, other ways, remarks


def _standing(say: Phrases, skill: str) -> Iterator[str]:
    one = say.course.skill[skill]
    if one.always_look:
        yield "It is looked at in every check of every unit, at a glance."
    if one.safety:
        yield "It is a safety point and is never left unfinished."
    if one.must_be_seen:
        weeks = counted(say.course.band[say.answer.band].whole(f"fresh_weeks.{one.fade}"), "week")
        yield f"Playing other things does not show it: it has to be seen itself, after {weeks} at the latest."


def _agreed(say: Phrases, skill: str) -> Iterator[str]:
    """Yield what was agreed about a skill: set aside, or shown in another way."""
    every = (block for block in say.record.set_aside if block.skill == skill and block.on <= say.answer.on)
    if block := latest(every):
        who = f" with {tidy(block.agreed_with)}" if block.agreed_with else ""
        yield (
            f"Set aside by agreement{who} on {say.day(block.on)} ({say.line(block.line)}): neither asked for "
            "nor counted. That is for those alone who may know."
        )
    agreed = say.record.alternative(skill, say.answer.on)
    if agreed is not None:
        yield (
            f"Shown in another way, agreed with {tidy(agreed.agreed_with)} on {say.day(agreed.on)} "
            f"({say.line(agreed.line)}): {tidy(agreed.text)}. It counts like the usual one. That is for "
            "those alone who may know."
        )


def _another_way(say: Phrases, skill: str) -> Iterator[str]:
    """Yield what else would count where it is agreed on; nothing where something was."""
    if say.record.alternative(skill, say.answer.on) is not None:
        return
    one = say.course.skill[skill]
    words = one.alternative or say.course.alternatives_by_kind.get(one.kind, "")
    if words:
        yield f"Another way, where agreed: {tidy(words)}"
    yield (
        "An agreed way counts like the usual one. What was agreed, with whom and when is in the student's "
        "file as [[alternative]]; it is named only to those who may know."
    )


def _remarks(say: Phrases, skill: str) -> Iterator[str]:
    for lesson in say.record.lessons:
        if skill in lesson.remarks and lesson.on <= say.answer.on:
            yield f"{say.day(lesson.on)}: {tidy(lesson.remarks[skill])} ({say.line(lesson.line)})"
        if lesson.on <= say.answer.on:
            yield from (
                f"{capital(words)} on {say.day(lesson.on)} ({say.line(lesson.line)})."
                for words in _without_words(lesson, skill)
            )


def _without_words(lesson: Lesson, skill: str) -> Iterator[str]:
    """Yield what a lesson says of a skill beside how it was shown, that needs no words of its own."""
    if skill in lesson.disliked:
        yield "not liked"
    if skill in lesson.liked_again:
        yield "liked again"
    if skill in lesson.tried_again:
        yield f"tried again {AGAIN[lesson.tried_again[skill]]}"


def _rules(say: Phrases, skill: str) -> tuple[Rule, ...]:
    one, band = say.course.skill[skill], say.course.band[say.answer.band]
    names = (f"days_needed.{one.kind}", "spread_days", f"accepts.{one.kind}", f"fresh_weeks.{one.fade}")
    return tuple(pacing_rule(say.course, band, name) for name in names)


# beside the verdict


def looking_back(say: Phrases) -> Section:
    """Return by whose rules an old day is looked at, empty where the day is not old."""
    newest = max((lesson.on for lesson in say.record.lessons), default=None)
    if newest is None or newest - say.answer.on <= LONG_AGO:
        return Section("", ())
    return Section("Looking back", (Paragraph(
        f"Notes after {date_words(say.answer.on)} are left out. The course and its rules are those of "
        f"now, edition {tidy(say.course.edition)}, not those of that time."
    ),))  # fmt: skip
