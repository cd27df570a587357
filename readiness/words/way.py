"""The way to a skill or a unit, in words: what is still to secure, in order, and since when it could be.

Says what is proved and what is not: the cheapest way is called that only where nothing cheaper
exists. A date is the earliest possible, with what it supposes, and no promise.
"""

from __future__ import annotations

from collections.abc import Iterator

from readiness.course.model import Course
from readiness.judging.answer import Answer
from readiness.planning.way_values import Choice, Way, WayStep
from readiness.record.model import Record
from readiness.words.cautions import caution
from readiness.words.grammar import capital, counted, date_words, number_words, quoted, tidy
from readiness.words.page import Paragraph, Section, item, lay_out
from readiness.words.paused import hold_section
from readiness.words.phrases import Phrases

__all__ = ["tell_way"]


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
        state = "not asked yet" if step.state == "untried" else say.state(step.skill)
        state = "not seen here yet, but probably there" if step.probably_there else state
        yield Paragraph(f"{say.titled(step.skill)}: {state}; {_price(step)}", 2, "- ")


def _price(step: WayStep) -> str:
    shown_before = step.state in ("building", "wobbling", "stale") or step.probably_there
    price = counted(step.days, "more showing") if shown_before else f"about {counted(step.minutes, 'minute')}"
    if step.lesson is None:
        return price
    is_begun = step.state == "untried" and not step.probably_there
    return f"{price}, begun in lesson {step.lesson}" if is_begun else price


def _choice(one: Choice, say: Phrases) -> str:
    enough = f"{number_words(one.at_least)} of {say.names(one.of, len(one.of))}"
    return (
        f"{say.name(one.owner)} stands on {enough}; over the whole way it is cheapest with "
        f"{say.names(one.taken, len(one.taken))}."
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
