"""What to say to the student: to a child one or two short sentences, to an adult a few plain ones.

A child hears what is already there and what comes next, and never a verdict, a count or a
rule. An adult may hear all of that, without the tone for children.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from readiness.advice.after_hold import closed_lately
from readiness.advice.letter import HomeThing, good_things, home_thing, moved
from readiness.advice.placing.round import placing_round
from readiness.course.graph import first_needed
from readiness.judging.answer import GAP_STATES
from readiness.record.model import Hold
from readiness.terms import State, Verdict
from readiness.words.doing import do, doing
from readiness.words.grammar import capital, counted, joined, listed, number_words, quoted
from readiness.words.letter_family import adult_moved, child_moved
from readiness.words.paused import quiet_work, voice_rests
from readiness.words.phrases import Phrases
from readiness.words.placing_round import perhaps_words

__all__ = ["adult_sentences", "child_sentences"]

CHILD_GENTLY: Final = "Next time we begin with just a little, with pauses. Tell me at once if anything hurts."
ADULT_GENTLY: Final = (
    "At home, keep to small amounts, with pauses, and a little more from week to week; if anything hurts, "
    "stop and ask the doctor or clinician again."
)


# to a child


def child_sentences(say: Phrases) -> tuple[str, ...]:
    """Return one or two sentences to say to a child."""
    answer = say.answer
    if answer.verdict == Verdict.PAUSED:
        voice = " and no singing" if voice_rests(_holds(say)) else ""
        return (
            f"Thank you for telling me. No playing{voice} for now, so that everything can rest.",
            "Next time we listen, and look, and find out things together.",
        )
    move = moved(say.course, say.record, answer)
    if move is not None:
        after = (CHILD_GENTLY,) if closed_lately(say.record, answer.on) else ()
        return (*child_moved(say, move), *after)
    following = CHILD_GENTLY if closed_lately(say.record, answer.on) else _child_next(say)
    return tuple(filter(None, (_child_good(say), following)))


def _child_good(say: Phrases) -> str:
    good = good_things(say.course, say.answer)
    if not good:
        return _child_welcome(say)
    what = _asked(say, good)
    if say.answer.away == "on-a-break":
        return f"I remember how you {what}."
    if say.answer.away is not None:
        return f"You still know how to {what}."
    if say.answer.placing is not None:
        return f"You showed me how you {what}."
    if all(say.standing(skill).last_help == 0 for skill in good):
        return f"You {what}, all on your own."
    return f"You {what} now."


def _child_welcome(say: Phrases) -> str:
    """Return what a child hears of whom nothing good can be told yet."""
    if say.answer.away == "on-a-break":
        return "I am looking forward to seeing you again."
    if say.answer.away is not None:
        return "It is good to have you back."
    if say.answer.last_lesson is None:
        return "I am looking forward to playing with you."
    return ""


def _child_next(say: Phrases) -> str:
    answer = say.answer
    if answer.waits_by_decision:
        return "Next time we go on with what we are playing now, because there is more in it."
    if answer.is_ready:
        return _child_onward(say)
    if answer.placing is not None:
        more = "a few things" if answer.last_lesson is None else "a few more things"
        return f"Next time we try {more}, and then we know where we begin."
    if answer.away is not None or answer.after_hold is not None:
        return "We look at a few little things together, and then we go on."
    return _child_one_thing(say)


def _child_one_thing(say: Phrases) -> str:
    skill = say.answer.one_thing
    if skill is None:
        return "Next time we look at a few things together."
    if say.standing(skill).state in GAP_STATES:
        return f"Next time we start with one thing: {_asked(say, (skill,))}."
    if skill in good_things(say.course, say.answer):
        return "Next time I would like to see that once more."
    if say.standing(skill).state == State.UNTRIED:
        return f"Next time we try this together: {_asked(say, (skill,))}."
    return f"Next time I would like to see how you {_asked(say, (skill,))}."


def _child_onward(say: Phrases) -> str:
    answer = say.answer
    if answer.next_unit is None:
        return "Next time you choose what we play."
    words = f"Next time we begin something new, {quoted(say.course.unit[answer.next_unit].name)}"
    along = answer.taken_along
    if not along:
        return f"{words}."
    if len(along) == 1:
        return f"{words}, and take one thing along: {_asked(say, along)}."
    return f"{words}, and take a few things along."


def _asked(say: Phrases, skills: Sequence[str]) -> str:
    return joined([do(say.course.skill[skill].spoken) for skill in skills])


# to an adult

_STAY = "We stay with this unit a little longer before we begin the next one."


def adult_sentences(say: Phrases) -> tuple[str, ...]:
    """Return a few sentences to say to an adult."""
    answer = say.answer
    if answer.verdict == Verdict.PAUSED:
        return tuple(_adult_paused(say))
    return tuple(filter(None, (*_adult_where(say), _adult_home(say), _adult_when(say))))


def _holds(say: Phrases) -> tuple[Hold, ...]:
    return say.record.open_holds(say.answer.on)


def _adult_paused(say: Phrases) -> Iterator[str]:
    holds = _holds(say)
    sing = " or sing" if voice_rests(holds) else ""
    yield "Thank you for telling me."
    yield f"Please do not play{sing} until it has been looked at by a doctor or another licensed clinician."
    yield "Do not play through it."
    yield f"In the lesson we can use the time for {listed(quiet_work(holds))}, if that is comfortable."
    yield "Tell me when you have advice, and I will note it."


def _adult_where(say: Phrases) -> Iterator[str]:
    answer = say.answer
    move = moved(say.course, say.record, answer)
    if move is not None:
        yield from adult_moved(say, move)
        return
    if answer.is_ready:
        yield from [_STAY] if answer.stays else _adult_onward(say)
        return
    good = good_things(say.course, answer)
    if good:
        yield f"Going well: {joined([_doing(say, skill) for skill in good])}."
    if answer.placing is not None:
        now = placing_round(say.course, say.record, answer.on)
        yield f"For now we start in {say.unit(now.start)}. {perhaps_words(now, say.course)}".strip()
        if answer.placing.provisional:
            yield "A second lesson confirms it or moves it."
    elif answer.away is not None:
        yield "The first lesson after a break is for looking, so the next unit waits a little."
    if answer.placing is None and answer.one_thing is not None:
        is_gap = say.standing(answer.one_thing).state in GAP_STATES
        is_new = say.standing(answer.one_thing).state == State.UNTRIED
        look = "What comes next" if is_new else "What I would like to see next"
        words = "The one thing to work on" if is_gap else look
        yield f"{words}: {_doing(say, answer.one_thing)}."


def _adult_onward(say: Phrases) -> Iterator[str]:
    answer = say.answer
    if answer.next_unit is None:
        yield "You can close this unit, the last of the course."
    else:
        yield f"You can go on to {say.unit(answer.next_unit)}."
    along = answer.taken_along
    if not along:
        return
    assert answer.unit is not None
    for skill in along[:2]:
        later = first_needed(say.course, skill, answer.unit)
        due = f" and has to be there by unit {later.number}" if later else ""
        yield f"{capital(_doing(say, skill))} comes along{due}."
    if len(along) > 2:
        yield f"So does {joined([_doing(say, skill) for skill in along[2:]])}."


def _adult_home(say: Phrases) -> str:
    if closed_lately(say.record, say.answer.on):
        return ADULT_GENTLY
    home = home_thing(say.course, say.record, say.answer)
    if home is None or not home.minutes:
        return ""
    if home.text:
        return f"At home, {_minutes(home)} for this: {quoted(home.text)}"
    if home.skill is None:
        return ""
    return f"At home, {_minutes(home)} of {_doing(say, home.skill)}."


def _minutes(home: HomeThing) -> str:
    minute = "minute" if home.minutes == 1 else "minutes"
    days = f" on {counted(home.days, 'day')} a week" if home.days else ""
    return f"{number_words(home.minutes)} {minute} a day{days}"


def _adult_when(say: Phrases) -> str:
    answer = say.answer
    if answer.is_ready:
        return ""
    if moved(say.course, say.record, answer) is not None:
        return f"The next lesson is on {say.day(answer.next_lesson)}."
    when = f"We look again on {say.day(answer.next_lesson)}"
    if answer.earliest is None or answer.earliest == answer.next_lesson:
        return f"{when}."
    return f"{when}; the earliest possible move is on {say.day(answer.earliest)}."


def _doing(say: Phrases, skill: str) -> str:
    return doing(say.course.skill[skill].spoken)
