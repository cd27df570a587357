"""The pages of the way to a skill or a unit, and of when a move could come at the earliest.

Says what is proved and what is not: the cheapest way is called that only where nothing cheaper
exists. A date is the earliest possible, with what it supposes, and no promise.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace

from readiness.advice.estimates import FEWEST, Estimate
from readiness.advice.way import Way
from readiness.terms import State, Verdict
from readiness.words.cautions import closing
from readiness.words.english import ENGLISH, KIND_WORDS
from readiness.words.grammar import counted, date_words, number_words, quoted, tidy
from readiness.words.layout import Paragraph, Section, columns, item, noted, plain
from readiness.words.paused import after_hold, hold_section
from readiness.words.phrases import Phrases

__all__ = ["way_sections", "when_sections"]

STEPS = 18
"""How many skills of a way have room on a screen."""


def way_sections(way: Way, p: Phrases) -> tuple[Section, ...]:
    """Return a way: the date first, then what begins in which lesson."""
    sets = counted(way.compared, "set was", "sets were")
    proved = f"Proved: no way takes fewer teaching minutes ({sets} compared, no other can be cheaper)."
    tried = counted(way.compared, "set")
    found = f"Best found, not proved the cheapest: the search was stopped after {tried}."
    goal = p.unit(way.target) if way.is_unit else quoted(p.course.skill[way.target].name)
    return (
        plain(f"To {goal} · {tidy(way.name)} · {date_words(way.on)}", *_head(way, p)),
        hold_section(p.record, p.answer.on),
        plain(*after_hold(p.course, p.record, p.answer.on)),
        Section("", tuple(_steps(way, p))),
        Section("What the date supposes", noted(*_supposed(way, p))),
        Section("Where one of several is enough", noted(*(
            f"{p.name(one.owner)} builds on {number_words(one.at_least)} of: {p.inventory(one.of)}. "
            f"Least teaching with: {p.inventory(one.taken)}."
            for one in way.choices
        ))),
        Section("How sure this is", noted(
            proved if way.proved else f"{found} No way takes fewer than {counted(way.at_least, 'minute')}.",
            "Minutes are what such skills usually take to teach; common practice, no source.",
        )),
        *closing((), ["C14"]),
    )  # fmt: skip


def _head(way: Way, p: Phrases) -> Iterator[str]:
    """Yield the date, and how much it is."""
    if not way.steps:
        yield "Nothing is left to learn for it: it is secure, with all it builds on."
    elif way.is_paused:
        yield "Paused: no date yet, and no hurry."
    elif way.earliest is None:
        yield "Too far off for a date."
    else:
        lessons = counted(way.lessons or 0, "lesson")
        yield f"At the earliest {p.day(way.earliest)}, in {lessons}. It may take longer, and that is fine."
    if way.steps:
        minutes = counted(way.minutes, "minute")
        yield f"{counted(len(way.steps), 'skill')} to secure, about {minutes} of teaching."
    if not way.is_placed:
        yield "No unit has started: what was not asked counts here as still to learn. Place first."


def _steps(way: Way, p: Phrases) -> Iterator[Paragraph]:
    """Yield a line a skill, in the order of the lessons; the later ones of a long way on request."""
    steps = sorted(way.steps, key=lambda step: step.lesson or 0)
    rows = []
    for step in steps:
        minutes = f"{'new, ' if step.state == State.UNTRIED else ''}{counted(step.minutes, 'minute')}"
        is_near = step.state in (State.BUILDING, State.WOBBLING, State.STALE) or step.probably_there
        price = counted(step.days, "more day") if is_near else minutes
        rows.append((f"Lesson {step.lesson}" if step.lesson else "-", price, p.plain_name(step.skill)))
    most = len(steps) if len(steps) <= STEPS + 1 else STEPS
    for number, (step, line) in enumerate(zip(steps, columns(rows, 0), strict=True)):
        yield replace(line, more=number >= most)
        unit = p.course.unit[p.course.skill[step.skill].unit].number
        yield from noted(f"{step.skill}, unit {unit}: {p.state(step.skill)}", indent=4)
    if most < len(steps):
        last = steps[-1].lesson
        words = f"and {len(steps) - most} more{f', the last in lesson {last}' if last else ''}"
        yield Paragraph(words, brief=True)


def _supposed(way: Way, p: Phrases) -> Iterator[str]:
    if way.earliest is None or not way.steps or way.is_paused:
        return
    if way.not_before is not None and way.not_before != way.earliest:
        yield f"In any order not before {p.day(way.not_before)}."
    begun = counted(way.begins, "new skill is", "new skills are")
    yield (
        f"In each lesson at most {begun} started, each once all it builds on is secure. Everything is shown "
        "without help each time, and what is secure stays so."
    )
    answer = p.answer
    groups = (skill for group in answer.groups for skill in group.of)
    is_near = way.target in {answer.unit, *answer.deciding, *answer.rest, *groups}
    move = answer.earliest_told if is_near else None
    if move is not None and move < way.earliest:
        yield (
            f"The earliest possible move is sooner, {p.day(move)}: it supposes that all of it is there "
            "already and is shown in every lesson. Where it is still to be taught, go by the later day."
        )


# When at the earliest, and apart from it what earlier cases took: two different things, said apart.
#
# The first follows from the rules and promises nothing. The second is an estimate from this studio's
# own records, for the teacher alone: no text for a child or a family has it.


def when_sections(found: Sequence[Estimate], p: Phrases) -> tuple[Section, ...]:
    """Return when a student could move on, with the estimates for what keeps the student here."""
    earliest = [*_earliest(p)]
    told = [] if p.answer.verdict == Verdict.PAUSED else [one for one in found if one.cases or one.under_way]
    head = (p.title(), f"{p.verdict}.", earliest[0])
    few = any(one.is_silent for one in told)
    return (
        Section("", (*map(Paragraph, head), *noted(*earliest[1:]))),
        hold_section(p.record, p.answer.on),
        plain(*after_hold(p.course, p.record, p.answer.on)),
        Section("For you alone: what earlier cases here took", tuple(_estimates(told, p))),
        Section("How that was counted", noted(*_counting(found, told, p))),
        *closing((), ["C12", "C14"] if few else ["C14"]),
    )  # fmt: skip


def _earliest(p: Phrases) -> Iterator[str]:
    """Yield the date, and on request what it supposes."""
    answer = p.answer
    if answer.verdict == Verdict.PAUSED:
        yield "No date during the pause."
    elif answer.placing is not None:
        yield f"`readiness place {answer.student}` finds where to start."
    elif answer.is_ready:
        yield f"{p.day(answer.on)}: nothing stands in the way."
    elif answer.is_unseen:
        yield ENGLISH.no_date(unseen=True)
    elif answer.earliest is None:
        yield "Not within 52 lessons, even if everything is shown without help each time."
    else:
        yield f"At the earliest {p.day(answer.earliest_told)}, if everything is shown without help each time."
        yield from p.kept_back()
        yield "What is not asked, or does not come that day, makes it a lesson later."


def _estimates(told: Sequence[Estimate], p: Phrases) -> Iterator[Paragraph]:
    """Yield what finished cases took, in lessons from now on, and on request what that rests on."""
    few = [found.skill for found in told if found.is_silent]
    yield from (item(f"Fewer than {FEWEST} similar cases yet: {p.inventory(few)}."),) if few else ()
    for found in sorted(told, key=lambda one: not one.is_silent):
        if found.low is not None and found.high is not None:
            right = f"{_range(found.low, found.high)}. That is right at least 8 times in 10."
            yield item(f"{p.plain_name(found.skill)}: {right}")
        elif not found.is_silent:
            took = f"{number_words(len(found.cases))} similar cases took"
            yield item(f"{p.plain_name(found.skill)}: {took} {_range(min(found.cases), max(found.cases))}.")
        so_far = f", beyond the {counted(found.so_far, 'lesson')} so far" if found.so_far else ""
        often = sorted(Counter(found.cases).items())
        each = "; ".join(f"{times} took {counted(lessons, 'lesson')}" for lessons, times in often)
        yield from noted(
            f"{found.skill}: {p.state(found.skill)}. It rests on "
            f"{counted(len(found.cases), 'finished case')} of {KIND_WORDS[found.kind]} at age {found.band}"
            f"{f' ({each})' if each else ''}{so_far}; {found.under_way} still under way.",
            indent=4,
        )


def _range(low: int, high: int) -> str:
    return counted(low, "more lesson") if low == high else f"{low} to {high} more lessons"


def _counting(found: Sequence[Estimate], told: Sequence[Estimate], p: Phrases) -> Iterator[str]:
    """Yield for what there is no earlier case, and what was counted."""
    if p.answer.verdict == Verdict.PAUSED:
        return
    if none := [one.skill for one in found if one not in told]:
        yield f"Not one earlier case here is like: {p.inventory(none)}."
    for unit in dict.fromkeys(p.course.skill[one.skill].unit for one in found if one.low is None):
        weeks = counted(p.course.unit[unit].lesson_weeks, "week")
        yield f"The course gives {weeks} for {p.unit(unit)}. That is its own number, not measured."
    if told:
        yield (
            "Counted from the lesson in which such a skill was first asked for to the one that made it "
            "secure. A case still under way counts as longer than it has taken so far."
        )
