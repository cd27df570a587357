"""What decides: the blockers, what of the unit is open, and a break.

Like goes with like: things that are open for the same reason are said once, with their
names under it, so that seven old notes do not become seven paragraphs. What does not
block is not mentioned here.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby

from readiness.judging.answer import Blocker, GroupStanding
from readiness.judging.dates import review_lessons
from readiness.terms import State
from readiness.words.asked import why_along
from readiness.words.grammar import capital, counted, number_words, tidy
from readiness.words.layout import Paragraph, Section, columns, item, under
from readiness.words.phrases import Phrases

__all__ = ["along_section", "away_section", "blockers_section", "rest_is_too_open", "settled_section"]


def blockers_section(say: Phrases) -> Section:
    """Return the blockers: those where help was needed first, then the open ones, then groups."""
    skills = [one for one in say.answer.blockers if one.skill is not None]
    groups = [one.group for one in say.answer.blockers if one.group is not None]
    ordered = sorted(skills, key=lambda one: (not one.is_gap, _alike(say, one.skill)))
    parts: list[Paragraph] = []
    for _, alike in groupby(ordered, key=lambda one: (not one.is_gap, _alike(say, one.skill))):
        same = tuple(alike)
        parts += _together(say, same) if len(same) > 1 else _single(say, same[0])
    for group in groups:
        parts += _group(say, group)
    about = f" about {say.unit(say.answer.next_unit)}" if say.answer.next_unit else ""
    return Section(f"What decides{about}", tuple(parts))


def _alike(say: Phrases, skill: str | None) -> tuple[int, ...]:
    """Return what skills share that are told together; of each other kind every one is alone."""
    assert skill is not None
    one = say.standing(skill)
    if one.state == State.STALE and one.last_seen is not None and one.fresh_until is not None:
        return 2, one.fresh_until - one.last_seen
    return (3,) if one.state == State.UNTRIED else (1, say.course.plan.index[skill])


def _single(say: Phrases, blocker: Blocker) -> Iterator[Paragraph]:
    assert blocker.skill is not None
    yield item(f"{say.titled(blocker.skill)}: {say.state(blocker.skill)}")
    if blocker.state == State.STALE:
        yield under(f"{capital(say.last_seen(blocker.skill))}.")
    else:
        yield from columns(say.seen(blocker.skill))
    yield under(say.missing(blocker.skill))
    yield under(say.stands_on_it(blocker.skill, blocker.needed_by))
    yield from map(under, say.advice(blocker.skill))


def _together(say: Phrases, same: Sequence[Blocker]) -> Iterator[Paragraph]:
    """Return blockers that are open for the same reason, under one sentence."""
    skills = [one.skill for one in same if one.skill is not None]
    shared = _shared_note(say, skills)
    yield item(_together_title(say, skills, shared))
    for one, skill in zip(same, skills, strict=True):
        when = "" if shared or one.state == State.UNTRIED else f"{say.last_seen(skill)}; "
        yield Paragraph(f"{say.titled(skill)}: {when}{say.needed_for(skill, one.needed_by)}", 4, "- ")
        yield from (Paragraph(words, indent=6) for words in say.advice(skill))


def _together_title(say: Phrases, skills: Sequence[str], shared: str) -> str:
    many = capital(number_words(len(skills)))
    if say.standing(skills[0]).state == State.UNTRIED:
        return f"{many} not asked yet, so nothing is known about them:"
    return f"{many} {say.state(skills[0])}{shared and f', {shared}'} (not lost, only not seen):"


def _shared_note(say: Phrases, skills: Sequence[str]) -> str:
    """Return when all of these were last seen, if they share it."""
    dated = {say.last_seen(skill) for skill in skills}
    return dated.pop() if len(dated) == 1 and say.standing(skills[0]).state == State.STALE else ""


def _group(say: Phrases, group: GroupStanding) -> Iterator[Paragraph]:
    settled = [skill for skill in group.of if say.is_met(skill)]
    have = f"{number_words(len(settled))} settled so far" if settled else "none settled so far"
    yield item(f"At least {number_words(group.at_least)} of these {number_words(len(group.of))}, {have}:")
    for skill in group.of:
        words = f"{say.titled(skill)}: settled" if skill in settled else say.with_note(skill)
        yield Paragraph(words, 4, "- ")
    assert say.answer.next_unit is not None
    number = say.course.unit[say.answer.next_unit].number
    yield under(f"Unit {number} stands on this group: {say.names(group.needed_by)}.")


def rest_is_too_open(say: Phrases) -> bool:
    """Return whether more of the unit is open than may come along."""
    return len(say.answer.open_rest) > say.carry_limit


def along_section(say: Phrases) -> Section:
    """Return what else of the unit is open: what comes along, would, or is too much to."""
    open_rest = say.answer.open_rest
    if not open_rest:
        return Section("", ())
    if rest_is_too_open(say):
        title = (
            f"Also open in this unit: {number_words(len(open_rest))}, "
            f"of which at most {number_words(say.carry_limit)} may come along"
        )
    elif say.answer.taken_along:
        title = "What comes along"
    else:
        title = "What may come along when the move comes"
    ordered = sorted(open_rest, key=lambda skill: _alike(say, skill))
    lines: list[Paragraph] = []
    for _, alike in groupby(ordered, key=lambda skill: _alike(say, skill)):
        lines += _along(say, tuple(alike))
    if say.answer.taken_along:
        lines.append(Paragraph(why_along(say)))
    return Section(title, tuple(lines))


def _along(say: Phrases, same: tuple[str, ...]) -> Iterator[Paragraph]:
    """Return open skills of the unit that share their reason, or a single one."""
    if len(same) == 1:
        yield item(say.open_line(same[0]))
        yield from (Paragraph(words, indent=2) for words in say.advice(same[0]))
        return
    shared = _shared_note(say, same)
    untried = say.standing(same[0]).state == State.UNTRIED
    state = "not asked yet" if untried else f"due for a look{shared and f', {shared}'}"
    yield item(f"{capital(number_words(len(same)))} {state}:")
    for skill in same:
        when = "" if shared or untried else f"{say.last_seen(skill)}; "
        yield Paragraph(f"{say.titled(skill)}: {when}{say.first_needed(skill)}", 4, "- ")
        yield from (Paragraph(words, indent=6) for words in say.advice(skill))


def settled_section(say: Phrases) -> Section:
    """Return, for a yes, what it rests on: everything that decided, and when it was last seen."""
    rows = []
    for skill in say.answer.deciding:
        one, line = say.standing(skill), say.seen_line(skill)
        assert one.last_seen is not None
        used = f" (used in {say.name(one.warmed_by)})" if one.warmed_by else ""
        rows.append((say.day(one.last_seen), line, f"{tidy(say.course.skill[skill].name)}{used}"))
    groups = tuple(
        item(
            f"At least {number_words(group.at_least)} of a group, settled: "
            f"{say.names([skill for skill in group.of if say.is_met(skill)])}."
        )
        for group in say.answer.groups
    )
    return Section("What decided, all of it settled; last seen", (*columns(rows, 0), *groups))


def away_section(say: Phrases) -> Section:
    """Return what a break means for this day."""
    answer = say.answer
    if answer.away is None or answer.away_days is None:
        return Section("", ())
    weeks = counted(answer.away_days // 7, "week")
    days = counted(answer.away_days, "day")
    lessons = counted(review_lessons(answer.away_days), "lesson")
    if answer.away == "on-a-break":
        text = [f"No lesson for {weeks} ({days}). A new unit is not begun on a break."]
    else:
        text = [f"First lesson after {weeks} away ({days}): for looking, not for a new unit."]
    text.append(f"Common practice after that long is about {lessons} of review.")
    return Section("The break", (Paragraph(" ".join(text)),))


