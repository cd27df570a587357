"""The story of an answer: what is said, in which order, and what is left unsaid.

First the verdict, then what decides, then what to do about it, then what it rests on, and
the cautions last. Every fact is said once. Other students are never mentioned.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from readiness.advice.placing.round import PlacingRound, placing_round
from readiness.course.model import Course
from readiness.judging.answer import GAP_STATES, Answer, Remark
from readiness.judging.findings import NoteSeen, UnderHold
from readiness.judging.reasons import rules_in
from readiness.record.model import Decision, Record, latest
from readiness.terms import State, Verdict
from readiness.words.asked import looking_back
from readiness.words.blocking import (
    along_section,
    away_section,
    blockers_section,
    rest_is_too_open,
    settled_section,
)
from readiness.words.both import carried_section, resting_section
from readiness.words.brief import verdict_words
from readiness.words.cautions import caution
from readiness.words.english import VERDICT_BRIEF
from readiness.words.entries import promised_section
from readiness.words.grammar import capital, counted, date_words, listed, number_words, tidy
from readiness.words.layout import Paragraph, Section, columns, item, lay_out, under
from readiness.words.paused import after_hold, paused_sections
from readiness.words.phrases import Phrases
from readiness.words.placing_round import open_section, start_sections
from readiness.words.reasons import numbers_section

__all__ = [
    "NOTHING_NOTED", "brought_along", "brought_along_section", "first_lesson_sections", "headline",
    "is_blank", "next_lesson_section", "one_thing_section", "placing_sections", "tell_answer",
    "tell_sections",
]  # fmt: skip

# What is said of a student in a unit of whom nothing is noted yet: what to look at, and little more.
#
# There is nothing to weigh, so no skill is gone through one by one; all that decides is named once.

NOTHING_NOTED: Final = (
    "Not yet sure - look again. Nothing is noted yet, so there is nothing to weigh: the first lessons are "
    "for looking."
)


def is_blank(answer: Answer) -> bool:
    """Return whether nothing at all is known of a student who has a unit and may play."""
    return (
        answer.unit is not None
        and answer.verdict == Verdict.LOOK_AGAIN
        and not any(one.evidence or one.settled_on is not None for one in answer.standings.values())
        and all(one.state != State.SET_ASIDE for one in answer.standings.values())
    )


def first_lesson_sections(say: Phrases) -> Iterator[Section]:
    """Yield what to look at, what comes first, and where it stands in order."""
    answer, course = say.answer, say.course
    number = course.unit[answer.next_unit].number if answer.next_unit else 0
    glance = [skill for skill in answer.deciding if course.skill[skill].always_look]
    others = [one.skill for one in answer.blockers if one.skill is not None and one.skill not in glance]
    lines = []
    if glance:
        lines.append(f"In every check, at a glance: {say.names(glance, len(glance))}.")
    if others:
        what = f"Unit {number} stands on" if number else "What decides"
        lines.append(f"{what}{'' if number else ':'} {say.names(others, len(others))}.")
    groups = [one.group for one in answer.blockers if one.group is not None]
    lines += [f"Also {number_words(one.at_least)} of {say.names(one.of, len(one.of))}." for one in groups]
    if answer.open_rest:
        lines.append(f"May come along unfinished: {say.names(answer.open_rest, len(answer.open_rest))}.")
    yield Section("What to look at, bit by bit", tuple(map(item, lines)))
    yield Section("To begin with", tuple(_first(say)))
    yield Section(f"Next lesson, {say.day(answer.next_lesson)}", tuple(map(item, _next(say))))


def _first(say: Phrases) -> Iterator[Paragraph]:
    skill = say.answer.one_thing
    if skill is None:
        return
    one = say.course.skill[skill]
    yield item(f"{say.titled(skill)}.")
    yield under(f"Shown when: {tidy(one.shown_when)}")
    if one.remedies:
        yield under(f"To try: {tidy(one.remedies[0])}")
    if one.age_note and not say.is_adult:
        yield under(f"At this age: {tidy(one.age_note)}")
    yield from map(under, say.advice(skill))


def _next(say: Phrases) -> Iterator[str]:
    student = say.answer.student
    yield f"`readiness sheet {student}` has it in order, `readiness plan {student}` the lesson in minutes."
    if say.answer.earliest is not None:
        yield (
            "What is there already may be seen in a few lessons, and what is new is taught first: no move "
            f"before {say.day(say.answer.earliest)}, and usually later, which is fine."
        )


# What to do next: the one thing, the next lesson, the earliest possible date.
#
# Every answer that is not a yes ends here, so that nobody is left with a "not yet" and
# nothing to do about it. Dates are the earliest possible ones and never a promise.


def one_thing_section(say: Phrases) -> Section:
    """Return the one thing to work on, why this one, and how."""
    skill = say.answer.one_thing
    if skill is None:
        return Section("", ())
    return Section(
        "The one thing to work on", (*_what(say, skill), *_why(say, skill), *_how(say, skill))
    )


def _what(say: Phrases, skill: str) -> Iterator[Paragraph]:
    """Return the skill; where it stands only if that was not said among the blockers."""
    answer = say.answer
    told = {*answer.open_rest, *(answer.placing.always_look_open if answer.placing else ())}
    if skill in told | {one.skill for one in answer.blockers}:
        yield item(f"{say.titled(skill)}.")
        return
    yield item(f"{say.titled(skill)}, from {say.unit(say.course.skill[skill].unit)}: {say.state(skill)}.")
    yield from columns(say.seen(skill))
    yield from map(under, say.advice(skill))


def _why(say: Phrases, skill: str) -> Iterator[Paragraph]:
    answer = say.answer
    if answer.placing is not None:
        return
    yield under(_reason(say))
    others = [other for other in answer.frees if other != skill]
    if others:
        yield under(f"Waiting for it: {say.of_units(others)}.")


def _reason(say: Phrases) -> str:
    chain = say.answer.chain
    if not works_on_a_gap(say):
        if say.answer.look_first:
            return "One look at this settles as much as a look at any other single thing."
        return "Of what is open it lies lowest in the course, so it comes first."
    if len(chain) < 2:
        return "Nothing weak lies under it, so this is the place to begin."
    way = "" if len(chain) == 2 else f" The way up: {say.names(chain, len(chain))}."
    return (
        f"It lies under {say.name(chain[-1])}, and nothing weak lies under it: "
        f"work here, and what is built on it gets easier.{way}"
    )


def works_on_a_gap(say: Phrases) -> bool:
    """Return whether the one thing was looked for under something that needed help."""
    answer = say.answer
    asked = [one.skill for one in answer.blockers if one.skill is not None]
    asked += [member for one in answer.blockers if one.group for member in one.group.of]
    if rest_is_too_open(say):
        asked += answer.open_rest
    return any(say.standing(skill).state in GAP_STATES for skill in asked)


def _how(say: Phrases, skill: str) -> Iterator[Paragraph]:
    one = say.course.skill[skill]
    if one.remedies:
        yield under(f"To try (teaching it usually takes about {one.minutes} minutes):")
        for number, remedy in enumerate(one.remedies, 1):
            yield Paragraph(tidy(remedy), indent=6, lead=f"{number}. ")
    yield under(f"Shown when: {tidy(one.shown_when)}")
    if one.age_note and not say.is_adult:
        yield under(f"At this age: {tidy(one.age_note)}")
    if agreed := say.record.alternative(skill, say.answer.on):
        yield under(f"Another way of showing it, agreed with {tidy(agreed.agreed_with)}: {tidy(agreed.text)}")
    elif one.alternative:
        yield under(f"Another way of showing it, where agreed: {tidy(one.alternative)}")


def brought_along(say: Phrases) -> str:
    """Return what is unfinished from earlier units, and where it is first needed (rule R12)."""
    told = [
        f"{say.name(one.skill)}{_onward_needed_in(say, one.first_needed)}" for one in say.answer.brought_along
    ]
    return f"Unfinished from before: {listed(told)}." if told and say.answer.verdict != Verdict.PAUSED else ""


def brought_along_section(say: Phrases) -> Section:
    """Return the same as a section; empty where nothing is unfinished, or a hold is open."""
    return Section("", tuple(map(Paragraph, filter(None, [brought_along(say)]))))


def _onward_needed_in(say: Phrases, unit: str | None) -> str:
    return "" if unit is None else f" (needed from unit {say.course.unit[unit].number})"


def next_lesson_section(say: Phrases) -> Section:
    """Return what to do in the next lesson and the earliest possible date."""
    answer = say.answer
    return Section(
        f"Next lesson, {say.day(answer.next_lesson)}",
        tuple(map(item, (_look(say), *_after_that(say), _earliest(say), *say.kept_back()))),
    )


def _look(say: Phrases) -> str:
    look, work_on = say.answer.look_first, say.answer.one_thing
    if look == (work_on,):
        return "Look first at the one thing above."
    if len(look) == 1:
        return f"Look first at {say.name(look[0])}: shown without help, it settles all that one lesson can."
    if look:
        names = listed([say.name(skill) for skill in look])
        return (
            f"Look first at {names}: shown without help, these {number_words(len(look))} settle all that "
            f"one lesson can.{'' if say.answer.look_proved else ' A shorter list may exist.'}"
        )
    if work_on is not None:
        return f"Try one of the activities for {say.name(work_on)}, then see it once without help."
    return "Look over what is known, note how each thing is shown, and ask again."


def _after_that(say: Phrases) -> Iterator[str]:
    """Return what else to do: the one thing, what was not asked, a unit with too much open."""
    answer = say.answer
    if answer.look_first and answer.one_thing and answer.one_thing not in answer.look_first:
        yield f"Then a few minutes for {say.name(answer.one_thing)}, with one of its activities."
    blocking = [one.skill for one in answer.blockers if one.state == State.UNTRIED]
    unasked = [skill for skill in blocking if skill not in (answer.one_thing, *answer.look_first)]
    if unasked:
        yield f"Ask for what decides and was not asked yet ({counted(len(unasked), 'thing')}), bit by bit."
    if rest_is_too_open(say):
        yield (
            "Then the other open things of this unit, until at most "
            f"{number_words(say.carry_limit)} of them are left."
        )


def _earliest(say: Phrases) -> str:
    if say.answer.earliest is None:
        return "No earliest possible date within the next 52 lessons: look at the steps, not the date."
    day = say.day(say.answer.earliest)
    if _is_taught_first(say):
        return (
            f"Earliest possible: {day}, if what was not asked yet is there already and everything is shown "
            "without help each time. What is still to be taught takes longer, and that is fine; `readiness "
            f"way {say.answer.student} --to SKILL` reckons with that."
        )
    return (
        f"Earliest possible, if everything is shown without help each time: {day}. It may take longer, and "
        "that is fine."
    )


def _is_taught_first(say: Phrases) -> bool:
    """Return whether something the move waits for was never asked for, so that it may have to be taught."""
    asked = (*(one.skill for one in say.answer.blockers if one.skill), *say.answer.open_rest)
    return any(say.standing(skill).state == State.UNTRIED for skill in asked)


# Where a student who comes from another teacher would start, in words.
#
# The same start, and the same words for it, as a placing round (``words.placing_round``).


def placing_sections(say: Phrases) -> Iterator[Section]:
    """Return the sections for a student who has not begun a unit."""
    answer, placing = say.answer, say.answer.placing
    assert placing is not None
    now = placing_round(say.course, say.record, answer.on)
    yield Section(
        "",
        (
            Paragraph(f"{tidy(answer.name)} - {date_words(answer.on)}"),
            Paragraph(f"{verdict_words(say)}."),
        ),
    )
    if now.looks:
        yield from start_sections(now, say)
    else:
        yield Section("Start here, for now", tuple(map(Paragraph, _unknown_start(say, now))))
        yield open_section(say, "To look at right away, in every check", placing.always_look_open)
    yield one_thing_section(say)
    yield Section(f"Next lesson, {say.day(answer.next_lesson)}", tuple(map(item, _next_look(say, now))))


def _unknown_start(say: Phrases, now: PlacingRound) -> Iterator[str]:
    yield f"{capital(say.unit(now.start))}."
    is_new = say.answer.last_lesson is None
    why = "No lesson is noted yet" if is_new else "Nothing was asked yet that tells more"
    yield f"{why}, so this is only where everybody starts."


def _next_look(say: Phrases, now: PlacingRound) -> Iterator[str]:
    if now.result.always_look_open:
        yield "Begin with what is looked at in every check."
    if now.next is not None or now.raises:
        yield f"In few looks, one question at a time: `readiness place {say.answer.student}`"
    elif now.stop != "paused":
        yield f"Enough was asked: begin the unit with `readiness decide {say.answer.student} move`."


def tell_answer(answer: Answer, course: Course, record: Record, width: int = 80) -> str:
    """Return an answer as a text for the teacher.

    Args:
        answer: what was judged.
        course: the course it was judged by.
        record: the student's record, for the lines it rests on.
        width: the widest line.
    """
    return lay_out(tell_sections(answer, course, record), width)


def tell_sections(answer: Answer, course: Course, record: Record) -> tuple[Section, ...]:
    """Return an answer as titled sections, in the order they are told."""
    say = Phrases(answer, course, record)
    if answer.verdict == Verdict.PAUSED:
        return tuple(paused_sections(say))
    if answer.placing is not None:
        promised = promised_section(say.record, answer.on)
        both = resting_section(say), carried_section(say)
        return (
            both[0], _after_hold(say), *placing_sections(say), both[1], promised, _under_hold(say),
            looking_back(say), *_grounds(say),
        )  # fmt: skip
    return (*_placed(say), *_grounds(say))


def _placed(say: Phrases) -> Iterator[Section]:
    yield Section("", tuple(map(Paragraph, headline(say))))
    yield resting_section(say)
    yield _after_hold(say)
    if is_blank(say.answer):
        yield from first_lesson_sections(say)
        yield promised_section(say.record, say.answer.on)
        yield _decided(say)
        yield carried_section(say)
        return
    yield away_section(say)
    yield blockers_section(say)
    yield along_section(say)
    yield _brought_along(say)
    yield one_thing_section(say)
    if say.answer.is_ready:
        yield _holds(say)
        yield settled_section(say)
        yield _after_the_last(say)
    else:
        yield next_lesson_section(say)
    yield promised_section(say.record, say.answer.on)
    yield _under_hold(say)
    yield Section("Worth knowing", tuple(map(item, _worth_knowing(say))))
    yield _decided(say)
    yield looking_back(say)
    yield _unknown(say)
    yield carried_section(say)


def _grounds(say: Phrases) -> Iterator[Section]:
    if not is_blank(say.answer):
        yield numbers_section(rules_in(say.answer.findings), say.answer.band)
    yield Section("Cautions", tuple(item(caution(one)) for one in say.answer.cautions))


def headline(say: Phrases) -> tuple[str, ...]:
    """Return the student, the unit and the day, and under it the verdict."""
    answer = say.answer
    assert answer.unit is not None
    return (
        f"{tidy(answer.name)} - {say.unit(answer.unit)} - {date_words(answer.on)}",
        NOTHING_NOTED if is_blank(answer) else f"{verdict_words(say)}.{_comfort(say)}",
    )


def _comfort(say: Phrases) -> str:
    """Return what a "look again" does not mean, where the notes allow to say so."""
    answer = say.answer
    states = {say.standing(skill).state for skill in (*answer.deciding, *answer.open_rest)}
    states |= {say.standing(skill).state for group in answer.groups if not group.met for skill in group.of}
    if answer.verdict != Verdict.LOOK_AGAIN or states & GAP_STATES or State.WOBBLING in states:
        return ""
    if answer.blockers or answer.open_rest:
        return " The notes are too few or too old; nothing in them says no."
    return ""


def _after_hold(say: Phrases) -> Section:
    """Return how to begin again after a pause, and how many lessons come before a move (rule R7)."""
    lines = list(after_hold(say.record, say.answer.on))
    after = say.answer.after_hold
    if after is not None:
        lines.append(
            f"No move before {number_words(after.needed)} lessons with playing after the pause; "
            f"there {_so_many(len(after.lesson_days))} so far."
        )
    return Section("After the hold", tuple(map(item, lines)))


def _so_many(lessons: int) -> str:
    return "was none" if not lessons else "was one" if lessons == 1 else f"were {number_words(lessons)}"


def _under_hold(say: Phrases) -> Section:
    """Return what was noted during a pause: kept, and never counted (rule R1a)."""
    kept = [one for one in say.answer.findings if isinstance(one, UnderHold)]
    notes = [note for one in kept for note in one.because if isinstance(note, NoteSeen)]
    lines = (
        f"{say.name(note.skill)}, {say.day(note.day)} ({say.line(note.place.line if note.place else 0)})"
        for note in notes
    )
    return Section("Noted during a pause: kept, not counted", tuple(map(item, lines)))


def _holds(say: Phrases) -> Section:
    """Return until when a yes stands, and what ends it."""
    answer = say.answer
    if answer.holds_until is None:
        text = "This stands as long as nothing else is noted."
    else:
        text = f"With nothing new noted, this stands until {say.day(answer.holds_until)}; then {_ends(say)}."
    return Section("How long this stands", (Paragraph(text),))


def _ends(say: Phrases) -> str:
    answer = say.answer
    if answer.fades_first is not None:
        return f"look again at {say.name(answer.fades_first)}"
    if answer.holds_because == "birthday":
        return "a birthday brings the numbers of the next age"
    return "it is a break, and the first lesson after it is for looking"


def _after_the_last(say: Phrases) -> Section:
    """Return what there is to do where no unit follows."""
    answer = say.answer
    if answer.next_unit is not None:
        return Section("", ())
    first = f"To close it, and to keep that you did: `readiness decide {answer.student} move`"
    fresh = (
        f"What is there keeps by playing it: `readiness fading {answer.student}` says what is due soon, "
        f"`readiness plan {answer.student}` plans a lesson of it."
    )
    told = (first, fresh) if answer.closed is None else (fresh,)
    return Section("What comes now", tuple(map(item, told)))


def _worth_knowing(say: Phrases) -> Iterator[str]:
    """Return the notes beside the verdict; skills over the same weak ones are told together."""
    told: set[tuple[str, ...]] = set()
    for one in say.answer.remarks:
        if one.id != "footing":
            yield _remark(say, one)
        elif one.other not in told:
            told.add(one.other)
            same = [each for each in say.answer.remarks if each.other == one.other]
            over = [each.skill for each in same if each.skill is not None]
            are, them = ("is", "it") if len(over) == 1 else ("are", "them")
            yield (
                f"{say.names(over)} {are} settled, but {say.names(one.other)} under {them} is not: "
                "worth a little time, so that what is there keeps."
            )


def _remark(say: Phrases, remark: Remark) -> str:
    """Return a note beside the verdict in kind words."""
    if remark.id in ("fast", "long"):
        return _pace(say, remark)
    if remark.id == "young":
        return (
            f"{tidy(say.answer.name)} is younger than {remark.limit}, and the numbers here were not made for "
            "that age. Keep everything short and playful, with an adult beside."
        )
    assert remark.skill is not None
    name = say.name(remark.skill)
    if remark.id == "stuck":
        return (
            f"{name} was tried on {counted(remark.days or 0, 'day')} with no change for a while. "
            "More of the same seldom helps: try another way in."
        )
    assert remark.days is not None
    return f"{name} is seen as fresh until {say.day(remark.days)}; a short look before then keeps it so."


def _pace(say: Phrases, one: Remark) -> str:
    assert say.answer.unit is not None
    lessons = counted(one.days or 0, "lesson")
    usual = counted(say.course.unit[say.answer.unit].lesson_weeks, "lesson week")
    if one.id == "fast":
        return (
            f"{lessons} in this unit so far; it usually takes {usual}, and fewer than {one.limit} is "
            "quick. That is no bar, only a reason to look at days as well as at skill."
        )
    return (
        f"{lessons} in this unit so far; it usually takes {usual}, and more than {one.limit} is long. "
        "Smaller steps or another way in may help; the time itself is no fault."
    )


def _decided(say: Phrases) -> Section:
    """Return what the teacher decided in this unit, or by which it began; the latest only."""
    answer = say.answer
    last = _made(say)
    if last is None or last.is_start:
        return Section("", ())
    on = "to move on" if answer.next_unit or last.unit != answer.unit else "to close this unit"
    decided = {"move": on, "stay": "to stay"}.get(last.decided, last.decided)
    computed = VERDICT_BRIEF.get(last.computed, last.computed)
    reason = f" Reason: {tidy(last.reason)}" if last.reason else ""
    text = f"On {say.day(last.on)}: {decided}. Computed then: {computed}.{reason} ({say.line(last.line)})"
    if last.decided == "stay" and answer.is_ready:
        text += _how_long(say)
    return Section("Your own decision", (Paragraph(text),))


def _how_long(say: Phrases) -> str:
    """Return until when a decision to stay is in force, or that it is time for a new one (rule R11)."""
    now = say.answer.decision
    if now is None or not now.in_force:
        return " It no longer holds, so please decide again."
    return f" It holds until {say.day(now.until)}." if now.until else " It holds for four lessons."


def _brought_along(say: Phrases) -> Section:
    """Return what is unfinished from earlier units, and where it is first needed (rule R12)."""
    return Section(
        "Unfinished from before",
        tuple(
            item(f"{say.titled(one.skill)}: {say.state(one.skill)}{_needed_in(say, one.first_needed)}.")
            for one in say.answer.brought_along
        ),
    )


def _needed_in(say: Phrases, unit: str | None) -> str:
    return "" if unit is None else f"; first needed in {say.unit(unit)}"


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
    assert answer.unit is not None
    here = course.unit[answer.unit].number
    asked = {*answer.deciding, *answer.rest, *(member for group in answer.groups for member in group.of)}
    earlier = [
        skill.id
        for skill in course.skills
        if course.unit[skill.unit].number <= here
        and skill.id not in asked
        and say.standing(skill.id).state == State.UNTRIED
        and answer.band not in skill.optional_in
    ]
    aside = [
        skill.id
        for skill in course.skills
        if course.unit[skill.unit].number <= here and say.standing(skill.id).state == State.SET_ASIDE
    ]
    lines = []
    if earlier:
        lines.append(
            f"No note on {number_words(len(earlier))} of the units before: {say.names(earlier)}. "
            "The next unit does not name them, so they did not decide."
        )
    if aside:
        lines.append(f"Set aside by agreement, and not asked for: {say.names(aside)}.")
    return Section("What the notes do not say", tuple(map(item, lines)))
