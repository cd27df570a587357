"""What to say to the family: four to six sentences that begin with something good and end calmly.

What was seen, what decides, one thing to do at home with its minutes, and when we look
again. The playing is described and never the child; there is no verdict word and no
comparison. Under a hold it is about rest alone.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from readiness.advice.after_hold import closed_lately, gentle_home
from readiness.advice.letter import HomeThing, Moved, good_things, moved
from readiness.advice.placing.round import placing_round
from readiness.judging.answer import GAP_STATES
from readiness.terms import Kind, State, Verdict
from readiness.words.doing import do, does, doing
from readiness.words.grammar import capital, joined, listed, number_words, quoted, tidy
from readiness.words.paused import quiet_work, voice_rests
from readiness.words.phrases import Phrases
from readiness.words.placing_round import perhaps_words

__all__ = ["adult_moved", "child_moved", "family_moved", "family_sentences"]

# What is said first after a decided move: that it was made, and to what; then what comes next.
#
# Said until the next lesson, to whoever the letter is for. A move that was decided is told as
# good news, whatever was computed on that day, and what stays open is told as something that
# comes along. To the school nothing is added here: it reads the unit.

ALONG_AT_MOST = 3


def child_moved(say: Phrases, move: Moved) -> tuple[str, ...]:
    """Return what a child hears: two short sentences."""
    if move.unit is None:
        return ("You have come to the end of the whole course.", "Next time you choose what we play.")
    begun = "We have found where you begin" if move.is_start else "You have moved on"
    return (f"{begun}: now comes {quoted(say.course.unit[move.unit].name)}.", _child_next(say))


def _child_next(say: Phrases) -> str:
    skill = say.answer.one_thing
    if skill is None:
        return "Next time we find out together what is in it."
    asked = do(say.course.skill[skill].spoken)
    if say.standing(skill).state == State.UNTRIED:
        return f"Next time we try this together: {asked}."
    return f"One thing comes along with us: {asked}."


def adult_moved(say: Phrases, move: Moved) -> Iterator[str]:
    """Yield what somebody grown, or nearly so, hears."""
    if move.unit is None:
        yield "You have closed the last unit of the course."
    else:
        yield f"You {'begin with' if move.is_start else 'have moved on to'} {say.unit(move.unit)}."
    if move.along:
        yield f"Still to practise on the way: {_doing_there(say, move.along[:ALONG_AT_MOST])}."
    skill = say.answer.one_thing
    if skill is not None and skill not in move.along and move.unit is not None:
        yield f"What comes next: {_doing_there(say, (skill,))}."


def family_moved(say: Phrases, move: Moved, named: str) -> Iterator[str]:
    """Yield what the family reads before what is to be done at home."""
    if move.unit is None:
        yield f"{named} has come to the end of the course, and I am glad about it."
    elif move.is_start:
        yield f"{named} begins with {say.unit(move.unit)}, and I am glad about it."
    else:
        yield f"{named} has moved on to {say.unit(move.unit)}, and I am glad about it."
    good = [skill for skill in good_things(say.course, say.answer) if skill not in move.along]
    if good:
        yield f"{named} {joined([does(say.course.skill[skill].spoken) for skill in good])}."
    yield from _family_next(say, move)


def _family_next(say: Phrases, move: Moved) -> Iterator[str]:
    if move.unit is None:
        yield "What comes after it we choose together."
        return
    along = move.along[:ALONG_AT_MOST]
    if along:
        things = "One thing comes" if len(along) == 1 else "Some things come"
        is_are = "is" if len(along) == 1 else "are"
        yield f"{things} along and {is_are} practised on the way: {_doing_there(say, along)}."
        return
    skill = say.answer.one_thing
    if skill is None:
        yield "What comes next is new, and we begin it bit by bit."
    elif say.standing(skill).state in GAP_STATES:
        yield f"One thing from before comes along: {_doing_there(say, (skill,))}."
    else:
        yield f"Next comes something to look at together: {_doing_there(say, (skill,))}."


def _doing_there(say: Phrases, skills: Sequence[str]) -> str:
    return joined([doing(tidy(say.course.skill[skill].spoken)) for skill in skills])


DECIDES_AT_MOST: Final = 2
"""So that no letter is longer than six sentences."""

_NO_HURRY: Final = "There is no hurry."

_KIND: Final = {
    Kind.MOTOR: "a movement",
    Kind.KNOWLEDGE: "something like this",
    Kind.EAR: "a listening skill",
    Kind.READING: "something that is read",
    Kind.HABIT: "a habit",
}


def family_sentences(say: Phrases, named: str) -> tuple[str, ...]:
    """Return the letter to the family, sentence by sentence."""
    if say.answer.verdict == Verdict.PAUSED:
        return tuple(_paused(say, named))
    move = moved(say.course, say.record, say.answer)
    if move is not None:
        before = tuple(family_moved(say, move, named))
        home = _home(say, named, " ".join(before))
        end = _gently(say) or _NO_HURRY
        return tuple(filter(None, (*before, home, f"The next lesson is on {_next_day(say)}.", end)))
    before = (_seen(say, named), *tuple(_decides(say))[:DECIDES_AT_MOST])
    return tuple(filter(None, (*before, _home(say, named, " ".join(before)), _when(say), _end(say))))


def _paused(say: Phrases, named: str) -> Iterator[str]:
    holds = say.record.open_holds(say.answer.on)
    since = min(hold.opened for hold in say.record.holds if hold.is_open(say.answer.on))
    sing = " and no singing" if voice_rests(holds) else ""
    yield f"It is good that it was said when something was not right on {say.day(since)}."
    yield (
        f"Please no playing{sing} until it has been looked at by a doctor or another licensed clinician, and "
        f"please do not let {named} play through it."
    )
    yield (
        f"In the lesson there is {listed(quiet_work(holds))} instead, if that is comfortable and uses "
        "nothing that is sore."
    )
    yield "Tell me when you have advice, and I will note it."
    yield _NO_HURRY


def _end(say: Phrases) -> str:
    return _gently(say) or _calm(say)


def _gently(say: Phrases) -> str:
    """Return how to begin again at home after a hold; empty where none was closed lately."""
    if not closed_lately(say.record, say.answer.on):
        return ""
    return (
        "After the rest, please keep to small amounts at home, with pauses, and a little more from week "
        "to week; if anything hurts, stop and ask the doctor or clinician again."
    )


def _seen(say: Phrases, named: str) -> str:
    good = good_things(say.course, say.answer)
    if not good:
        return f"I am looking forward to the lesson with {named}."
    if say.answer.away == "on-a-break":
        return f"Before the break {_doing(say, good)} went well."
    what = joined([does(say.course.skill[skill].spoken) for skill in good])
    if say.answer.away is not None:
        return f"After the weeks away {named} still {what}."
    alone = all(say.standing(skill).last_help == 0 for skill in good)
    return f"{named} {what}{' without help' if alone and not _quotes(what) else ''}."


def _quotes(text: str) -> bool:
    return text.endswith('"')


def _decides(say: Phrases) -> Iterator[str]:
    answer = say.answer
    if answer.placing is not None:
        yield from _placing(say)
    elif answer.waits_by_decision:
        yield "We stay with this unit a little longer before we begin the next one."
    elif answer.is_ready:
        yield from _onward(say)
    elif answer.away is not None:
        yield "The first lesson after a break is for looking, so the next unit waits a little."
        yield from _open_things(say)
    elif answer.after_hold is not None and not answer.blockers:
        yield "After the pause we take two lessons to look and listen before the next unit begins."
    elif answer.one_thing and say.standing(answer.one_thing).state in (*GAP_STATES, State.WOBBLING):
        yield from _one_thing(say)
    else:
        yield from _open_things(say)


def _onward(say: Phrases) -> Iterator[str]:
    answer = say.answer
    if answer.next_unit is None:
        yield "With that this unit, the last of the course, can be closed."
    else:
        yield f"What the next unit stands on is there, so we can go on to {say.unit(answer.next_unit)}."
    along = answer.taken_along
    if len(along) == 1:
        yield f"One thing comes along and is practised on the way: {_doing(say, along)}."
    elif along:
        count = capital(number_words(len(along)))
        yield f"{count} things come along and are practised on the way: {_doing(say, along[:3])}."


def _one_thing(say: Phrases) -> Iterator[str]:
    """Return what comes first, and what is built on it."""
    skill = say.answer.one_thing
    assert skill is not None
    state = say.standing(skill).state
    yield f"One thing comes first now: {_doing(say, (skill,))}."
    over = say.answer.chain[-1] if len(say.answer.chain) > 1 else None
    stands = f", and {_doing(say, (over,))} is built on it" if over else ""
    if state == State.SLIPPED:
        yield f"It was settled before and has come loose, which happens{stands}."
    elif state == State.WOBBLING:
        yield f"It was settled and needed help on one day{stands}; one day says little."
    elif state == State.NOT_SHOWN:
        yield f"It has not been shown yet{stands}."
    else:
        yield f"It comes with some help so far{stands}."


def _open_things(say: Phrases) -> Iterator[str]:
    """Return why we look again where nothing needed more than another look."""
    answer = say.answer
    states = {one.state for one in answer.blockers if one.state is not None}
    skills = [one.skill for one in answer.blockers if one.skill is not None]
    if not answer.blockers:
        skills = list(answer.open_rest)
        states = {say.standing(skill).state for skill in skills}
    if State.BUILDING in states:
        yield _more_days(say, [skill for skill in skills if say.standing(skill).state == State.BUILDING])
    if State.STALE in states:
        yield "Some things have not been seen for a while, and a short look tells us whether they are there."
    elif State.UNTRIED in states:
        untried = [skill for skill in skills if say.standing(skill).state == State.UNTRIED]
        yield f"{_some(say, untried)} not had a turn yet, so we begin with that next."
    if State.WOBBLING in states:
        shaky = [skill for skill in skills if say.standing(skill).state == State.WOBBLING]
        have = "has" if len(shaky) == 1 else "have"
        yield f"{capital(_doing(say, shaky))} {have} had one off day, and one day says little."
    for group in (one.group for one in answer.blockers if one.group is not None):
        names = listed([doing(say.course.skill[skill].spoken) for skill in group.of], "or")
        yield f"Before the next unit we would like to see {number_words(group.at_least)} of these: {names}."


def _more_days(say: Phrases, skills: Sequence[str]) -> str:
    kinds = {say.course.skill[skill].kind for skill in skills}
    needs = {say.standing(skill).need for skill in skills}
    what = _KIND[kinds.pop()] if len(kinds) == 1 else "such things"
    days = f"{number_words(needs.pop())} different days" if len(needs) == 1 else "a few different days"
    because = ""
    if say.answer.next_unit is not None and say.answer.blockers:
        unit = tidy(say.course.unit[say.answer.next_unit].name)
        because = f', because the next unit, "{unit}", stands on it'
    return f"We like to see {what} on {days} before we build on it{because}."


def _some(say: Phrases, skills: Sequence[str]) -> str:
    if len(skills) > 2:
        return "A few things have"
    return f"{capital(_doing(say, skills))} {'has' if len(skills) == 1 else 'have'}"


def _placing(say: Phrases) -> Iterator[str]:
    placing = say.answer.placing
    assert placing is not None
    if say.answer.last_lesson is None:
        yield "In the first lesson we look at many small things and find the place to start."
        return
    now = placing_round(say.course, say.record, say.answer.on)
    patches = now.patches
    extra = ""
    if patches:
        things = "one extra thing" if len(patches) == 1 else f"{number_words(len(patches))} extra things"
        extra = f", with {things}: {_doing(say, patches[:3])}"
    yield f"We start in {say.unit(now.start)}{extra}. {perhaps_words(now, say.course)}".strip()
    if placing.provisional:
        yield "That is a first impression; a second lesson confirms it or moves it."


def _home(say: Phrases, named: str, before: str) -> str:
    """Return the one thing to do at home; ``before`` is what the letter has said so far."""
    home = gentle_home(say.course, say.record, say.answer)
    if home is None:
        return ""
    where = "At home, where there is an instrument," if say.answer.away == "on-a-break" else "At home,"
    thing = "" if home.skill is None else _doing(say, (home.skill,))
    activity = f": {_for_home(home.text, named)}" if home.text else "."
    if home.skill is not None and not home.minutes:
        return f"{where} before every playing, please look at {thing}{activity}"
    if home.skill is None or (say.answer.is_ready and not home.text):
        with_what = "with whatever is fun to play" if home.skill is None else "with a piece that goes well"
        return f"{where} {_how_long(home)} enough, {with_what}."
    about = "this" if thing in before and home.text else thing
    return f"{where} {_how_long(home)} enough for {about}{activity}"


def _how_long(home: HomeThing) -> str:
    minutes = "one minute" if home.minutes == 1 else f"{number_words(home.minutes)} minutes"
    days = f" on {number_words(home.days)} days" if home.days else ""
    return f"{minutes} a day{days} {'is' if home.minutes == 1 else 'are'}"


def _for_home(text: str, named: str) -> str:
    """Return an activity with the student's name where it says "the child"."""
    words = tidy(text)
    for general in ("The child", "the child", "Child"):
        words = words.replace(general, named)
    return quoted(words)


def _when(say: Phrases) -> str:
    answer = say.answer
    day = _next_day(say)
    if answer.is_ready:
        return f"The next lesson is on {day}."
    if answer.last_lesson is None:
        return ""
    if answer.earliest is None or answer.earliest == answer.next_lesson or answer.placing is not None:
        return f"We look again on {day}."
    return (
        f"We look again on {day}; the earliest possible move is on {say.day(answer.earliest)}, and it may "
        "take longer."
    )


def _next_day(say: Phrases) -> str:
    return say.day(say.answer.next_lesson)


def _calm(say: Phrases) -> str:
    answer = say.answer
    if answer.is_ready:
        return "There is nothing else to prepare."
    if answer.placing is not None:
        return "Nothing has to be ready before then."
    return _NO_HURRY


def _doing(say: Phrases, skills: Sequence[str]) -> str:
    return joined([doing(say.course.skill[skill].spoken) for skill in skills])
