"""What to do next: the one thing, the next lesson, the earliest possible date.

Every answer that is not a yes ends here, so that nobody is left with a "not yet" and
nothing to do about it. Dates are the earliest possible ones and never a promise.
"""

from __future__ import annotations

from collections.abc import Iterator

from readiness.judging.answer import GAP_STATES
from readiness.words.blocking import rest_is_too_open
from readiness.words.grammar import counted, listed, number_words, tidy
from readiness.words.page import Paragraph, Section, columns, item, under
from readiness.words.phrases import Phrases

__all__ = ["brought_along", "brought_along_section", "next_lesson_section", "one_thing_section"]


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
    told = [f"{say.name(one.skill)}{_needed_in(say, one.first_needed)}" for one in say.answer.brought_along]
    return f"Unfinished from before: {listed(told)}." if told and say.answer.verdict != "paused" else ""


def brought_along_section(say: Phrases) -> Section:
    """Return the same as a section; empty where nothing is unfinished, or a hold is open."""
    return Section("", tuple(map(Paragraph, filter(None, [brought_along(say)]))))


def _needed_in(say: Phrases, unit: str | None) -> str:
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
    blocking = [one.skill for one in answer.blockers if one.state == "untried"]
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
    return any(say.standing(skill).state == "untried" for skill in asked)
