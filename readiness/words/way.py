"""The way to a skill or a unit, in words: what is still to secure, in order, and since when it could be.

Says what is proved and what is not: the cheapest way is called that only where nothing cheaper
exists. A date is the earliest possible, with what it supposes, and no promise.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from readiness.advice.estimates import FEWEST, Estimate
from readiness.advice.way import Choice, Way, WayStep
from readiness.course.model import Course
from readiness.judging.answer import Answer
from readiness.record.model import Record
from readiness.terms import State, Verdict
from readiness.words.brief import plain_verdict
from readiness.words.cautions import caution
from readiness.words.grammar import (
    KIND_WORDS,
    capital,
    counted,
    date_words,
    listed,
    number_words,
    quoted,
    tidy,
)
from readiness.words.layout import Paragraph, Section, item, lay_out, under
from readiness.words.paused import hold_section
from readiness.words.phrases import Phrases

__all__ = ["tell_way", "tell_when"]


def tell_way(way: Way, answer: Answer, course: Course, record: Record, width: int = 80) -> str:
    """Return a way as a text for the teacher.

    Args:
        way: the way; answer: the answer of the same day, for where the skills stand.
        course, record: what is taught, and what was seen.
        width: the widest line.
    """
    say = Phrases(answer, course, record)
    sections = (
        Section("", (Paragraph(_title(way, say)), *map(Paragraph, _sums(way)))),
        hold_section(record, answer.on),
        Section("When, at the earliest", tuple(map(item, _dates(way, say)))),
        Section("Still to secure, in teachable order", tuple(_steps(way, say))),
        Section("Where one of several is enough", tuple(item(_choice(one, say)) for one in way.choices)),
        Section("How sure this is", tuple(map(item, _proof(way)))),
        Section("Cautions", (item(caution("C14")),)),
    )
    return lay_out(sections, width)


def _goal(way: Way, say: Phrases) -> str:
    return say.unit(way.target) if way.is_unit else quoted(say.course.skill[way.target].name)


def _title(way: Way, say: Phrases) -> str:
    what = f"all of {_goal(way, say)}" if way.is_unit else _goal(way, say)
    return f"The way to {what} - {tidy(way.name)} - {date_words(way.on)}"


def _sums(way: Way) -> Iterator[str]:
    if not way.steps:
        yield "Nothing is left to secure: it is settled, with all it stands on."
        return
    yield (
        f"{counted(len(way.steps), 'skill')} still to secure, about "
        f"{counted(way.minutes, 'teaching minute')}."
    )
    if not way.is_placed:
        yield "No unit was begun yet. What was not asked counts here as still to learn; place first."


def _steps(way: Way, say: Phrases) -> Iterator[Paragraph]:
    unit = ""
    for step in way.steps:
        here = say.course.skill[step.skill].unit
        if here != unit:
            unit = here
            yield Paragraph(capital(say.unit(unit)))
        state = "not asked yet" if step.state == State.UNTRIED else say.state(step.skill)
        state = "not seen here yet, but probably there" if step.probably_there else state
        yield Paragraph(f"{say.titled(step.skill)}: {state}; {_price(step)}", 2, "- ")


def _price(step: WayStep) -> str:
    shown_before = step.state in (State.BUILDING, State.WOBBLING, State.STALE) or step.probably_there
    price = counted(step.days, "more showing") if shown_before else f"about {counted(step.minutes, 'minute')}"
    if step.lesson is None:
        return price
    is_begun = step.state == State.UNTRIED and not step.probably_there
    return f"{price}, begun in lesson {step.lesson}" if is_begun else price


def _choice(choice: Choice, say: Phrases) -> str:
    enough = f"{number_words(choice.at_least)} of {say.names(choice.of, len(choice.of))}"
    return (
        f"{say.name(choice.owner)} stands on {enough}; over the whole way it is cheapest with "
        f"{say.names(choice.taken, len(choice.taken))}."
    )


def _dates(way: Way, say: Phrases) -> Iterator[str]:
    if way.is_paused:
        yield "Paused for care: no dates. A hold is no reason to hurry."
    elif way.steps and way.earliest is None:
        yield "Not within the lessons that can be reckoned."
    elif way.steps:
        yield from _possible(way, say)


def _possible(way: Way, say: Phrases) -> Iterator[str]:
    assert way.earliest is not None
    assert way.lessons is not None
    if way.not_before == way.earliest:
        yield f"Earliest possible: {say.day(way.earliest)}, in {counted(way.lessons, 'lesson')}."
    else:
        assert way.not_before is not None
        yield (
            f"Possible by {say.day(way.earliest)}, in {counted(way.lessons, 'lesson')}; not before "
            f"{say.day(way.not_before)} in any order."
        )
    begun = counted(way.begins, "new skill is", "new skills are")
    yield (
        f"That supposes: in each lesson at most {begun} begun, each once all it stands on is settled; "
        "everything is shown without help each time; and what is settled stays warm. It may take longer, "
        "and that is fine."
    )
    move = say.answer.earliest
    if _is_asked_for_a_move(way, say) and move is not None and move < way.earliest:
        yield (
            f"The earliest possible move is sooner, {say.day(move)}: it supposes that all of it is there "
            "already and is shown in every lesson. Where it is still to be taught, go by the later day."
        )


def _is_asked_for_a_move(way: Way, say: Phrases) -> bool:
    """Return whether the move to the next unit waits for what the way leads to."""
    answer = say.answer
    groups = (skill for group in answer.groups for skill in group.of)
    return way.target in {answer.unit, *answer.deciding, *answer.rest, *groups}


def _proof(way: Way) -> Iterator[str]:
    if way.proved:
        sets = counted(way.compared, "set was", "sets were")
        yield f"Proved: no way takes fewer teaching minutes ({sets} compared, no other can be cheaper)."
    else:
        yield (
            "Best found, not proved the cheapest: the search was stopped after "
            f"{counted(way.compared, 'set')}. No way takes fewer than {counted(way.at_least, 'minute')}."
        )
    yield "Minutes are what such skills usually take to teach; common practice, no source."


# When at the earliest, and apart from it what earlier cases took: two different things, said apart.
#
# The first follows from the rules and promises nothing. The second is an estimate from this studio's
# own records, for the teacher alone: no text for a child or a family has it.


def tell_when(
    answer: Answer, found: Sequence[Estimate], course: Course, record: Record, width: int = 80
) -> str:
    """Return when a student could move on, as a text for the teacher.

    Args:
        answer: the answer of the day; found: the estimates for what keeps the student here.
        course, record: what is taught, and what was seen.
        width: the widest line.
    """
    say = Phrases(answer, course, record)
    where = f" - {say.unit(answer.unit)}" if answer.unit else ""
    estimated = [] if answer.verdict == Verdict.PAUSED else list(found)
    cautions = ["C12"] if any(one.is_silent and (one.cases or one.under_way) for one in estimated) else []
    sections = (
        Section("", (
            Paragraph(f"{tidy(answer.name)}{where} - {date_words(answer.on)}"),
            Paragraph(f"{plain_verdict(answer, course)}."),
        )),
        hold_section(record, answer.on),
        Section("Earliest possible, by the rules", tuple(map(item, _earliest(say)))),
        Section(
            "An estimate from this studio's own records - for you alone, not for the child or the family",
            tuple(_estimates(estimated, say)),
        ),
        Section("Cautions", tuple(item(caution(one)) for one in (*cautions, "C14"))),
    )  # fmt: skip
    return lay_out(sections, width)


def _earliest(say: Phrases) -> Iterator[str]:
    answer = say.answer
    if answer.verdict == Verdict.PAUSED:
        yield "Paused for care: no date."
    elif answer.placing is not None:
        yield f"Not placed yet: `readiness place {answer.student}` finds where to start."
    elif answer.is_ready:
        yield f"{say.day(answer.on)}: nothing stands in the way."
    elif answer.earliest is None:
        yield "Not within 52 lessons, even if everything is shown without help each time."
    else:
        yield f"{say.day(answer.earliest)}, if everything is shown without help each time."
        yield from say.kept_back()
        yield "Later by every lesson in which something is not shown or not asked, and that is fine."


def _estimates(found: Sequence[Estimate], say: Phrases) -> Iterator[Paragraph]:
    told = [one for one in found if one.cases or one.under_way]
    if len(told) < len(found):
        none = [one.skill for one in found if one not in told]
        like = "it" if len(none) == 1 else "them"
        yield item(f"No earlier case here is like {like}, so nothing is said of {say.names(none)}.")
    for one in told:
        yield item(f"{say.titled(one.skill)}: {say.state(one.skill)}.")
        for text in _cases(one):
            yield under(text)
    for unit in dict.fromkeys(say.course.skill[one.skill].unit for one in found if one.low is None):
        weeks = counted(say.course.unit[unit].lesson_weeks, "week")
        yield item(f"The course gives {weeks} for {say.unit(unit)}. That is its own number, not measured.")
    if told:
        yield Paragraph(
            "Counted from the lesson in which such a skill was first asked for to the one that made it "
            "secure. A case still under way counts as longer than it has taken so far."
        )


def _cases(one: Estimate) -> Iterator[str]:
    """Yield the range and what it rests on; without a range the cases themselves."""
    so_far = f", beyond the {counted(one.so_far, 'lesson')} so far" if one.so_far else ""
    finished = counted(len(one.cases), "finished case")
    rests = f"{finished} of {KIND_WORDS[one.kind]} at age {one.band}{so_far}; {one.under_way} still under way"
    if one.is_silent:
        yield f"{rests}. Fewer than {FEWEST} are finished, so nothing is said."
    elif one.low is None or one.high is None:
        often = [f"{lessons} ({times} times)" for lessons, times in sorted(Counter(one.cases).items())]
        yield f"{rests}. Too few are finished for a range. In lessons, they took {listed(often)}."
    else:
        yield f"{_range(one.low, one.high)}. At least 8 in 10 such ranges hold."
        yield f"It rests on {rests}."


def _range(low: int, high: int) -> str:
    return counted(low, "more lesson") if low == high else f"{low} to {high} more lessons"
