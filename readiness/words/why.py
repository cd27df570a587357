"""Why a student moves up, or not yet: the page that the program is for.

First the verdict and its reason, then what is still needed, then the next lesson, and the cautions last.
The notes, lines of the files and rules behind it are shown on request. Other students are never mentioned.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from typing import Final

from readiness.advice.placing.round import PlacingRound, placing_round
from readiness.course.model import Course
from readiness.judging.answer import GAP_STATES, Answer, Remark
from readiness.judging.dates import review_lessons
from readiness.judging.findings import NoteSeen, UnderHold
from readiness.judging.reasons import rules_in
from readiness.record.model import Decision, Record, latest
from readiness.terms import State, Verdict
from readiness.words.ahead import ahead_lines, ready_if_all_come
from readiness.words.asked import looking_back
from readiness.words.blocking import needed_section, rest_is_too_open, secure_section, to_finish_section
from readiness.words.both import carried_section, resting_section
from readiness.words.brief import verdict_words
from readiness.words.cautions import brief_cautions, caution
from readiness.words.english import VERDICT_BRIEF
from readiness.words.entries import promised_section
from readiness.words.grammar import capital, counted, date_words, listed, number_words, tidy
from readiness.words.layout import Paragraph, Section, columns, item, lay_out, noted
from readiness.words.paused import after_hold, paused_sections
from readiness.words.phrases import Phrases
from readiness.words.placing_round import open_section, start_sections, start_words
from readiness.words.reasons import numbers_section

__all__ = ["tell_answer", "tell_sections"]


def tell_answer(
    answer: Answer, course: Course, record: Record, width: int = 80, *, full: bool = False
) -> str:
    """Return an answer as a text for the teacher.

    Args:
        answer: what was judged.
        course: the course it was judged by.
        record: the student's record, for the lines it rests on.
        width: the widest line.
        full: with the notes, lines of the files, rules and cautions behind it.
    """
    return lay_out(tell_sections(answer, course, record, full=full), width, full=full)


def tell_sections(
    answer: Answer, course: Course, record: Record, *, full: bool = False
) -> tuple[Section, ...]:
    """Return an answer as titled sections, in the order they are told."""
    say = Phrases(answer, course, record)
    if answer.verdict == Verdict.PAUSED:
        return tuple(paused_sections(say, full=full))
    return tuple(_page(say, full=full))


def _page(say: Phrases, *, full: bool) -> Iterator[Section]:
    yield Section("", tuple(map(Paragraph, _head(say))))
    yield resting_section(say)
    yield Section("", tuple(map(Paragraph, _after_hold(say))))
    if say.answer.placing is not None:
        yield from _placing(say)
    else:
        yield from _in_a_unit(say)
    yield promised_section(say.record, say.answer.on)
    yield Section("Worth knowing", tuple(_worth_knowing(say)))
    yield _decided(say)
    for one in (_under_hold(say), looking_back(say), _unknown(say), carried_section(say)):
        yield replace(one, more=True)
    yield replace(numbers_section(rules_in(say.answer.findings), say.answer.band), more=True)
    told = tuple(item(caution(one, of_age=say.of_age)) for one in say.answer.cautions)
    yield Section("Cautions", told, more=True)
    brief = "" if full else brief_cautions(say.answer.cautions, of_age=say.of_age)
    more = "" if full else "--full · "
    what = f"{more}tell {say.answer.student} family · sheet {say.answer.student}"
    yield Section("", tuple(map(Paragraph, filter(None, (brief, f"More: {what}")))))


def _in_a_unit(say: Phrases) -> Iterator[Section]:
    if say.answer.is_ready:
        yield to_finish_section(say)
        yield secure_section(say)
    else:
        yield needed_section(say)
    steps = _what_now(say) if say.answer.is_ready else _next_steps(say)
    yield Section(f"Next lesson, {say.day(say.answer.next_lesson)}", tuple(_numbered(steps)))


def _numbered(steps: Iterator[Paragraph]) -> Iterator[Paragraph]:
    number = 0
    for one in steps:
        number += not one.more
        yield one if one.more else replace(one, lead=f"{number}. ")


# The verdict and its reason


def _head(say: Phrases) -> tuple[str, ...]:
    """Return the student, the unit and the day, and under it the verdict and its reason."""
    answer = say.answer
    where = (say.unit(answer.unit),) if answer.unit else ()
    title = " · ".join((tidy(answer.name), *where, date_words(answer.on)))
    return title, f"{verdict_words(say)}. {_reason(say)}".strip()


def _reason(say: Phrases) -> str:
    answer = say.answer
    if answer.placing is not None:
        return start_words(placing_round(say.course, say.record, answer.on), say.course)
    if answer.is_ready:
        number = say.course.unit[answer.next_unit].number if answer.next_unit else 0
        rest = "Everything else" if answer.taken_along else "Everything"
        return f"{rest} {f'unit {number} needs' if number else 'of the course'} is secure."
    if answer.away is not None and answer.away_days is not None:
        return _away(answer.away, answer.away_days)
    return _blocked(say) or _too_open(say) or _waits(say)


def _away(away: str, days: int) -> str:
    weeks = counted(days // 7, "week")
    if away == "on-a-break":
        return f"There was no lesson for {weeks}, and a new unit does not start on a break."
    return f"This is the first lesson after {weeks} away: for looking, not for a new unit."


def _waits(say: Phrases) -> str:
    after = say.answer.after_hold
    return "" if after is None else "Two lessons with playing come first after the pause."


def _blocked(say: Phrases) -> str:
    """Return why the blockers block, those of one state together; that nothing is wrong where that is so."""
    blockers = say.answer.blockers
    skills = [one.skill for one in blockers if one.skill is not None]
    standings = [say.standing(skill) for skill in skills]
    if not blockers:
        return ""
    if not any(one.evidence or one.settled_on is not None for one in say.answer.standings.values()):
        return "Nothing is noted yet: the first lessons are for looking."
    days = {(one.state, one.have, one.need) for one in standings}
    groups = sum(one.group is not None for one in blockers)
    told = listed([*_by_state(Counter(one.state for one in standings)), *_groups(groups)])
    if not groups and len(days) == 1 and (one := standings[0]).state == State.BUILDING:
        age = "" if say.is_adult else " at this age"
        told = f"{_so_many(len(skills))} shown on {counted(one.have, 'day')}, and{age} {one.need} are asked"
        if one.have >= one.need:
            told = f"{_so_many(len(skills))} shown on enough days, but too close together"
    wrong = any(one.is_gap or one.state == State.WOBBLING for one in blockers)
    wrong = wrong or any(say.standing(one).state in GAP_STATES for one in say.answer.open_rest)
    return f"{capital(told)}." if wrong else f"Nothing is wrong: {told}."


def _so_many(count: int) -> str:
    return "one skill was" if count == 1 else f"{number_words(count)} skills were"


def _by_state(states: Counter[State]) -> Iterator[str]:
    noun = True
    for state, (one, several) in _CLAUSES.items():
        if count := states[state]:
            skills = (" skill" if count == 1 else " skills") if noun else ""
            yield f"{number_words(count)}{skills} {one if count == 1 else several}"
            noun = False


def _groups(count: int) -> Iterator[str]:
    if count:
        choices = "one choice" if count == 1 else f"{number_words(count)} choices"
        yield f"too few of {choices} are secure"


_CLAUSES: Final = {
    State.WITH_HELP: ("still needs help", "still need help"),
    State.NOT_SHOWN: ("is not shown yet", "are not shown yet"),
    State.SLIPPED: ("was secure and is lost since", "were secure and are lost since"),
    State.WOBBLING: ("had an off day", "had an off day"),
    State.BUILDING: ("needs more days", "need more days"),
    State.STALE: ("was not seen lately", "were not seen lately"),
    State.UNTRIED: ("was not asked yet", "were not asked yet"),
}
"""Why a skill holds the move up, of one and of several."""


def _too_open(say: Phrases) -> str:
    if not rest_is_too_open(say):
        return ""
    things = counted(len(say.answer.open_rest), "thing")
    return f"{things} of this unit are unfinished, and {say.carry_limit} may be finished later."


def _after_hold(say: Phrases) -> Iterator[str]:
    """Yield how to begin again after a pause, and how many lessons come before a move (rule R7)."""
    yield from after_hold(say.record, say.answer.on)
    after = say.answer.after_hold
    if after is not None:
        yield (
            f"No move before {number_words(after.needed)} lessons with playing after the pause: "
            f"{len(after.lesson_days)} of {after.needed} so far."
        )


# The next lesson


def _next_steps(say: Phrases) -> Iterator[Paragraph]:
    """Yield what to look at first, what to work on, and the earliest possible date."""
    answer = say.answer
    if answer.look_first or answer.one_thing is None:
        yield Paragraph(_look(say))
    if len(answer.look_first) > 1:
        shorter = "" if answer.look_proved else " A shorter list may exist."
        yield from noted(f"Look first at: {say.inventory(answer.look_first)}.{shorter}", indent=3)
    yield from _work_on(say)
    yield from map(Paragraph, _earliest(say))


def _look(say: Phrases) -> str:
    answer, look = say.answer, say.answer.look_first
    if not look:
        return "Look over what is known, note how each thing is shown, and ask again."
    once = "once, without help." if len(look) == 1 else "once each, without help."
    both = {one.skill for one in answer.blockers} == set(look) and len(look) == 2
    see = "See both once, without help." if both else f"See {say.few(look)} {once}"
    return " ".join((see, *(ahead_lines(say) if ready_if_all_come(say) else ())))


def _work_on(say: Phrases) -> Iterator[Paragraph]:
    """Yield the one thing to work on with its first activity; on request why it, and the others."""
    answer, skill = say.answer, say.answer.one_thing
    if skill is None:
        return
    one, look = say.course.skill[skill], answer.look_first
    first = next(iter(say.to_try(skill)), tidy(one.shown_when))
    lead = "If it needs help" if look == (skill,) else f"A few minutes for {say.name(skill)}"
    is_for_looking = bool(answer.away and look)
    yield Paragraph(f"{lead}: {first}", about=skill, more=is_for_looking)
    if skill not in {*answer.open_rest, *(one.skill for one in answer.blockers)}:
        yield from noted(f"{say.titled(skill)}, {say.unit(one.unit)}: {say.state(skill)}.", indent=3)
        yield from (replace(row, more=True) for row in columns(say.seen(skill), 3))
        yield from noted(*say.advice(skill), indent=3)
    yield from noted(*_why_this(say), *_how(say, skill), indent=3)


def _why_this(say: Phrases) -> Iterator[str]:
    chain, frees = say.answer.chain, [one for one in say.answer.frees if one != say.answer.one_thing]
    if not works_on_a_gap(say):
        lowest = "Of what is unfinished it lies lowest in the course."
        yield "Start here." if say.answer.look_first else lowest
    elif len(chain) < 2:
        yield "Everything below it is in place, so start here."
    else:
        yield f"{say.name(chain[-1])} builds on this, and everything below it is in place."
        if len(chain) > 2:
            yield f"The way up: {say.inventory(chain)}."
    if frees:
        yield f"Waiting for it: {say.of_units(frees)}."


def works_on_a_gap(say: Phrases) -> bool:
    """Return whether the one thing was looked for under something that needed help."""
    answer = say.answer
    asked = [one.skill for one in answer.blockers if one.skill is not None]
    asked += [member for one in answer.blockers if one.group for member in one.group.of]
    if rest_is_too_open(say):
        asked += answer.open_rest
    return any(say.standing(skill).state in GAP_STATES for skill in asked)


def _how(say: Phrases, skill: str) -> Iterator[str]:
    one = say.course.skill[skill]
    if tries := say.to_try(skill):
        yield f"To try (teaching it usually takes about {one.minutes} minutes):"
        yield from (f"{number}. {remedy}" for number, remedy in enumerate(tries, 1))
    yield f"Shown when: {tidy(one.shown_when)}"
    if one.age_note and not say.is_adult:
        yield f"At this age: {tidy(one.age_note)}"
    if agreed := say.record.alternative(skill, say.answer.on):
        yield f"Another way of showing it, agreed with {tidy(agreed.agreed_with)}: {tidy(agreed.text)}"
    elif one.alternative:
        yield f"Another way of showing it, where agreed: {tidy(one.alternative)}"


def _earliest(say: Phrases) -> Iterator[str]:
    """Yield the earliest possible date and what keeps it back; nothing where it was said already."""
    answer = say.answer
    if answer.earliest is None:
        yield "No move is in sight within a year of lessons: look at the steps, not at the date."
    elif answer.earliest != answer.next_lesson or not ready_if_all_come(say):
        asked = (*(one.skill for one in answer.blockers if one.skill), *answer.open_rest)
        untried = any(say.standing(skill).state == State.UNTRIED for skill in asked)
        later = ", if more of this unit is shown too" if answer.earliest == answer.next_lesson else ""
        later = "; usually later" if untried else later
        back = "".join(f" {why}" for why in say.kept_back())
        yield f"The earliest possible move is {say.day(answer.earliest)}{later}.{back}"


def _what_now(say: Phrases) -> Iterator[Paragraph]:
    """Yield what to do with a yes, and how long it holds."""
    answer = say.answer
    if answer.waits_by_decision:
        yield Paragraph(f"Go on in this unit.{_how_long(say)}")
    elif answer.closed is None:
        what = "moves on" if answer.next_unit else "has finished the course"
        yield Paragraph(f"Note that {tidy(answer.name)} {what}: `readiness decide {answer.student} move`")
    yield from _work_on(say)
    if answer.next_unit is None:
        yield Paragraph(
            f"Playing keeps what is there: `readiness review {answer.student}` says what to look at soon."
        )
    yield Paragraph(_holds(say))


def _holds(say: Phrases) -> str:
    answer = say.answer
    if answer.holds_until is None:
        return "This answer holds as long as nothing else is noted."
    ends = "it is a break, and the first lesson after it is for looking"
    if answer.fades_first is not None:
        ends = f"look again at {say.name(answer.fades_first)}"
    elif answer.holds_because == "birthday":
        ends = "a birthday brings the rules of the next age"
    return f"With nothing new noted, this answer holds until {say.day(answer.holds_until)}; then {ends}."


# Where a student who comes from another teacher would start


def _placing(say: Phrases) -> Iterator[Section]:
    """Yield where a student would start who has not begun a unit, as a placing round says it."""
    now = placing_round(say.course, say.record, say.answer.on)
    seat = now.result.always_look_open
    if now.looks:
        sections = tuple(start_sections(now, say))
        yield from (replace(one, more=True) for one in sections)
    else:
        yield replace(open_section(say, "To look at right away, in every check", seat), more=True)
    steps = (*map(Paragraph, _next_look(say, now)), *_work_on(say))
    yield Section(f"Next lesson, {say.day(say.answer.next_lesson)}", tuple(_numbered(iter(steps))))


def _next_look(say: Phrases, now: PlacingRound) -> Iterator[str]:
    if seat := now.result.always_look_open:
        yield f"Begin with what is looked at in every check: {say.inventory(seat)}."
    if now.next is not None or now.raises:
        yield f"In few looks, one question at a time: `readiness place {say.answer.student}`"
    elif now.stop != "paused":
        yield f"Enough was asked: begin the unit with `readiness decide {say.answer.student} move`."


# Beside the verdict


def _under_hold(say: Phrases) -> Section:
    """Return what was noted during a pause: kept, and never counted (rule R1a)."""
    kept = [one for one in say.answer.findings if isinstance(one, UnderHold)]
    notes = [note for one in kept for note in one.because if isinstance(note, NoteSeen)]
    lines = (
        f"{say.name(note.skill)}, {say.day(note.day)} ({say.line(note.place.line if note.place else 0)})"
        for note in notes
    )
    return Section("Noted during a pause: kept, not counted", tuple(map(item, lines)))


def _worth_knowing(say: Phrases) -> Iterator[Paragraph]:
    """Yield the notes beside the verdict; skills over the same weak ones are told together."""
    answer = say.answer
    if answer.away_days is not None:
        lessons = counted(review_lessons(answer.away_days), "lesson")
        yield item(f"Common practice after {answer.away_days} days is about {lessons} of review.", more=True)
    told: set[tuple[str, ...]] = set()
    for one in answer.remarks:
        if one.id != "footing":
            yield item(_remark(say, one), more=one.id != "young")
        elif one.other not in told:
            told.add(one.other)
            over = [each.skill for each in answer.remarks if each.other == one.other and each.skill]
            yield item(_footing(say, over, one.other), more=True)


def _footing(say: Phrases, over: list[str], under: tuple[str, ...]) -> str:
    secure, it = ("is secure", "it builds") if len(over) == 1 else ("are secure", "they build")
    return (
        f"{say.few(over)} {secure}, but {say.few(under)}, on which {it}, is not: worth a little time, so "
        "that what is there keeps."
    )


def _remark(say: Phrases, remark: Remark) -> str:
    """Return a note beside the verdict in kind words."""
    if remark.id in ("fast", "long"):
        return _pace(say, remark)
    if remark.id == "young":
        return (
            f"{tidy(say.answer.name)} is younger than {remark.limit}, and the rules here were not made for "
            "that age. Keep everything short and playful, with an adult beside."
        )
    assert remark.skill is not None
    name = say.name(remark.skill)
    if remark.id == "stuck":
        days = counted(remark.days or 0, "day")
        return f"{name} has been tried on {days} without getting easier. Try another way in."
    return f"Look again at {name} by {say.day(remark.days)}; a short look is enough."


def _pace(say: Phrases, one: Remark) -> str:
    assert say.answer.unit is not None
    lessons = counted(one.days or 0, "lesson")
    usual = counted(say.course.unit[say.answer.unit].lesson_weeks, "lesson week")
    if one.id == "fast":
        return (
            f"{lessons} in this unit so far; it usually takes {usual}, and fewer than {one.limit} is quick. "
            "That is no reason to wait; just make sure it was not one good day."
        )
    return (
        f"{lessons} in this unit so far; it usually takes {usual}, and more than {one.limit} is long. "
        "Smaller steps or another way in may help."
    )


def _decided(say: Phrases) -> Section:
    """Return what the teacher decided in this unit, or by which it began; the latest only."""
    answer = say.answer
    last = _made(say)
    if answer.unit is None or last is None or last.is_start:
        return Section("", ())
    on = "to move on" if answer.next_unit or last.unit != answer.unit else "to finish the course"
    decided = {"move": on, "stay": "to stay"}.get(last.decided, last.decided)
    computed = VERDICT_BRIEF.get(last.computed, last.computed)
    reason = f" Reason: {tidy(last.reason)}" if last.reason else ""
    text = f"On {say.day(last.on)}: {decided}. Computed then: {computed}.{reason} ({say.line(last.line)})"
    asks = last.decided == "stay" and (answer.is_ready or answer.stays)
    told = Paragraph(f"{text}{_how_long(say) if asks else ''}")
    return Section("Your own decision", (told,), more=not asks)


def _how_long(say: Phrases) -> str:
    """Return until when a decision to stay is in force, or that it is time for a new one (rule R11)."""
    now = say.answer.decision
    if now is None or not now.in_force:
        return " It no longer holds, so please decide again."
    return f" Your decision holds {f'until {say.day(now.until)}' if now.until else 'for four lessons'}."


def _made(say: Phrases) -> Decision | None:
    """Return what was decided in this unit last (rule R11), else by what it began."""
    answer = say.answer
    begun = {start.on for start in say.record.unit_starts if start.unit == answer.unit}
    made = [one for one in say.record.decisions if one.on <= answer.on]
    return latest(one for one in made if one.unit == answer.unit) or latest(
        one for one in made if one.decided == "move" and one.on in begun
    )


def _unknown(say: Phrases) -> Section:
    """Return what the notes do not say and the sections before did not mention."""
    answer, course = say.answer, say.course
    if answer.unit is None:
        return Section("", ())
    here = course.unit[answer.unit].number
    so_far = [skill for skill in course.skills if course.unit[skill.unit].number <= here]
    asked = {*answer.deciding, *answer.rest, *(member for group in answer.groups for member in group.of)}
    earlier = [
        one.id
        for one in so_far
        if one.id not in asked
        and say.standing(one.id).state == State.UNTRIED
        and answer.band not in one.optional_in
    ]
    aside = [one.id for one in so_far if say.standing(one.id).state == State.SET_ASIDE]
    lines = []
    if earlier:
        lines.append(f"Not asked yet in earlier units, and not needed now: {say.inventory(earlier)}.")
    if aside:
        lines.append(f"Set aside by agreement, and not asked for: {say.inventory(aside)}.")
    return Section("Not known", tuple(map(item, lines)))
