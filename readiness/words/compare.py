"""What if: the plain answer beside the one with a change, and what the change does.

Only the differences are told. Nothing of it is saved, and the default of a changed number
stands beside it, so that a supposed answer is never taken for the answer.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from readiness.course.model import Course
from readiness.judging.answer import Answer, Blocker
from readiness.lazy import dataclass
from readiness.record.model import HELPS, Record
from readiness.terms import Verdict
from readiness.words.brief import supposed_line
from readiness.words.cautions import caution, closing
from readiness.words.english import HELP_WORDS
from readiness.words.grammar import capital, date_words, listed, tidy
from readiness.words.layout import Paragraph, Section, item, lay_out
from readiness.words.phrases import Phrases

__all__ = ["compare_answers"]

SHOW = "show."
STATES_AT_MOST = 12


def compare_answers(
    plain: Answer, changed: Answer, changes: Mapping[str, object], course: Course, record: Record,
    width: int = 80, *, full: bool = False,
) -> str:  # fmt: skip
    """Return what a change would do, beside how things are.

    Args:
        plain, changed: the answer as things are, and the one with the changes.
        changes: pacing rules and ``show.SKILL``, by name.
        course, record: those both answers were judged by.
        width: the widest line; full: with what stays as it is, and the cautions.
    """
    both = _Both(Phrases(plain, course, record), Phrases(changed, course, record))
    return lay_out(_sections(both, changes, full=full), width, full=full)


@dataclass(frozen=True)
class _Both:
    """The words for the answer as it is and for the supposed one."""

    plain: Phrases
    changed: Phrases


def _sections(both: _Both, changes: Mapping[str, object], *, full: bool) -> Iterator[Section]:
    answer = both.plain.answer
    yield Section("", (Paragraph(f"What if · {tidy(answer.name)} · {date_words(answer.on)}"),))
    supposed = [item(_change(both, name, value)) for name, value in changes.items()]
    yield Section(supposed_line(answer, both.changed.answer), tuple(supposed))
    lesson = both.changed.answer.on
    then = f" on {both.plain.day(lesson)}" if lesson != answer.on else ""
    yield Section("The answer", (
        item(f"As it is: {both.plain.verdict}."),
        item(f"Then{then}: {both.changed.verdict}."),
    ))
    if answer.verdict == Verdict.PAUSED:
        yield Section("", (Paragraph(caution("C1", of_age=both.plain.of_age)),))
        return
    changed = tuple(_changes(both)) or ("Nothing.",)
    yield Section("What changes", tuple(map(item, changed)))
    yield Section("Still needed all the same", tuple(map(item, _still(both))), more=True)
    yield Section("To finish on the way", tuple(map(item, _along(both))))
    yield Section("", tuple(map(Paragraph, _to_do(both))), more=True)
    told = ("C11", "C14") if any(not name.startswith(SHOW) for name in changes) else ("C14",)
    yield from closing((), told, full=full)


def _change(both: _Both, name: str, value: object) -> str:
    """Return one supposed change, with what stands in its place now."""
    p = both.plain
    if name.startswith(SHOW):
        how = HELP_WORDS[HELPS.index(str(value))] if value in HELPS else tidy(str(value))
        return f"{p.titled(name.removeprefix(SHOW))}: {how} on {p.day(both.changed.answer.on)}."
    band = p.course.band[p.answer.band]
    origin = p.course.provenance.get((band.name, name))
    now = band.numbers.get(name)
    if origin is None:
        return f"{name}: {value}; now {now}."
    where = f" ({origin.place.file.name}:{origin.place.line})" if origin.place else ""
    if now == origin.default:
        return f"{name}: {value}; now {now}{where}, which is the default."
    if origin.default is None:
        return f"{name}: {value}; now {now}{where}, this course's own number."
    return f"{name}: {value}; now {now}{where}; the default is {origin.default}."


def _changes(both: _Both) -> Iterator[str]:
    before, after = _deciding(both.plain), _deciding(both.changed)
    gone = [words for key, words in before.items() if key not in after]
    new = [words for key, words in after.items() if key not in before]
    if gone:
        yield f"No longer in the way: {listed(gone)}."
    if new:
        yield f"Newly in the way: {listed(new)}."
    yield from _states(both)
    yield from _earliest(both)


def _deciding(p: Phrases) -> dict[object, str]:
    """Return the blockers in words, by what they are."""
    return {_key(blocker): _blocker(p, blocker) for blocker in p.answer.blockers}


def _key(blocker: Blocker) -> object:
    return blocker.skill if blocker.group is None else (blocker.group.at_least, blocker.group.of)


def _blocker(p: Phrases, blocker: Blocker) -> str:
    if blocker.group is not None:
        return f"at least {blocker.group.at_least} of {p.names(blocker.group.of, len(blocker.group.of))}"
    assert blocker.skill is not None
    return p.name(blocker.skill)


def _states(both: _Both) -> Iterator[str]:
    differ = [skill for skill in both.plain.answer.standings
              if _facts(both.plain, skill) != _facts(both.changed, skill)
              and both.plain.state(skill) != both.changed.state(skill)]  # fmt: skip
    for skill in differ[:STATES_AT_MOST]:
        yield f"{both.plain.titled(skill)}: {both.plain.state(skill)}; then: {both.changed.state(skill)}."
    if len(differ) > STATES_AT_MOST:
        yield f"The states of {len(differ) - STATES_AT_MOST} more skills change."


def _facts(p: Phrases, skill: str) -> tuple[str, int, int]:
    one = p.standing(skill)
    return one.state, one.have, one.need


def _earliest(both: _Both) -> Iterator[str]:
    before, after = both.plain.answer.earliest, both.changed.answer.earliest
    if before != after:
        words = [both.plain.day(day) if day is not None else "no date" for day in (before, after)]
        yield f"The earliest possible move: {words[0]}; then: {words[1]}."
        yield from both.changed.kept_back()


def _still(both: _Both) -> Iterator[str]:
    p, before = both.changed, _deciding(both.plain)
    for one in p.answer.blockers:
        if _key(one) in before:
            state = f": {p.state(one.skill)}" if one.skill else ""
            yield f"{capital(_blocker(p, one))}{state}."
    open_rest = p.answer.open_rest
    if len(open_rest) > p.carry_limit:
        yield (
            f"{len(open_rest)} things of the unit are unfinished, and {p.carry_limit} may be finished "
            f"later: {p.inventory(open_rest)}."
        )


def _to_do(both: _Both) -> Iterator[str]:
    """Return the one thing to work on, and whether the change makes it another one."""
    before, after = both.plain.answer.one_thing, both.changed.answer.one_thing
    if after is None:
        return
    yield f"The one thing to work on {'stays' if after == before else 'would be'} {both.changed.name(after)}."


def _along(both: _Both) -> Iterator[str]:
    """Return what would come along only with the change, and where it is needed."""
    p = both.changed
    for skill in p.answer.taken_along:
        if skill not in both.plain.answer.taken_along:
            yield f"{p.titled(skill)}: {p.first_needed(skill)}."
