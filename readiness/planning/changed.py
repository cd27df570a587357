"""Why a verdict is another one than it was, although nobody wrote a verdict anywhere.

What a verdict rests on is taken apart into causes: new notes, a unit begun, something set
aside, the end of a window, another age band, a break, a hold, an edited skill graph, changed
numbers, skills that come or go on a day. A cause is *undone* by asking about the later day as
if that one thing were still as on the earlier day. Every set of causes is tried, so the
smallest sets whose undoing brings the earlier verdict back are found exactly:

    {window}                 the window alone did it
    {window}, {birthday}     it took both: without either it would still be as it was
    {window, birthday}       each alone would have done it: only undoing both brings it back

Nothing is claimed that was not recomputed. What nobody wrote down - a note put in later
under an older day, an edit outside any history - cannot be seen, and is not guessed.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Final

from readiness.judging.answer import Answer
from readiness.judging.engine import judge
from readiness.planning.change_facts import Fact, facts_of
from readiness.planning.turns import Turn, fitting, followed_from, turns
from readiness.planning.undoing import Question, Undoing

__all__ = ["CAUSES", "Beside", "Cause", "Changed", "Question", "why_changed"]

CAUSES: Final = (
    "notes", "unit", "set-aside", "window", "band", "break", "hold", "graph", "numbers", "dated",
)  # fmt: skip
"""Everything a verdict rests on, each thing once."""


@dataclass(frozen=True, slots=True)
class Cause:
    """One thing without which the verdict would be another one; ``alone`` undoes the change by itself."""

    id: str
    alone: bool
    facts: tuple[Fact, ...]


@dataclass(frozen=True, slots=True)
class Beside:
    """Something else that made a difference: undone alone, it gives another answer than either day's.

    ``answer`` is what would be said on the later day without it.
    """

    id: str
    answer: Answer


@dataclass(frozen=True)
class Changed:
    """What changed, when and why.

    Attributes:
        earlier, later: the answers of the two days.
        turns: the days in between on which the verdict became another one; looked for from
            ``followed_from`` on, which is the earlier day but where very much was noted.
        asked: verdict, or in-the-way where only what is in the way differs, or nothing.
        restoring: the smallest sets of causes whose undoing brings the earlier state back.
        causes: all that are in such a set.
        beside: what is in none of them, and without which the later answer would be another one too.
        without_effect: what happened too, and without which the later answer would be the same.
    """

    earlier: Answer
    later: Answer
    turns: tuple[Turn, ...]
    followed_from: int
    asked: str
    restoring: tuple[tuple[str, ...], ...]
    causes: tuple[Cause, ...]
    beside: tuple[Beside, ...]
    without_effect: tuple[str, ...]


def why_changed(asked: Question) -> Changed:
    """Return why the answer of the later day differs from that of the earlier one."""
    earlier = judge(asked.before, fitting(asked.record, asked.before), asked.since, asked.calendar)
    undone = Undoing(asked, earlier)
    later = undone.later
    what, target = _target(earlier, later)
    happened = tuple(cause for cause in CAUSES if undone.happened(cause))
    restoring = _smallest(undone, happened, what, target) if what != "nothing" else ()
    named = {cause for one in restoring for cause in one}
    beside = tuple(_beside(undone, [cause for cause in happened if cause not in named]))
    told = named | {one.id for one in beside}
    start = followed_from(asked.record, asked.since, asked.on)
    return Changed(
        earlier,
        later,
        tuple(turns(asked.record, asked.before, asked.edits, start, asked.on, asked.calendar)),
        start,
        what,
        restoring,
        tuple(
            Cause(cause, (cause,) in restoring, facts_of(cause, undone.facts_about(cause)))
            for cause in happened
            if cause in named
        ),
        beside,
        tuple(cause for cause in happened if cause not in told),
    )


def _beside(undone: Undoing, causes: Sequence[str]) -> Iterator[Beside]:
    """Yield those of the causes that change the later answer when they alone are undone."""
    later = undone.later
    for cause in causes:
        answer = undone.answer(frozenset([cause]))
        if (answer.verdict, _in_the_way(answer)) != (later.verdict, _in_the_way(later)):
            yield Beside(cause, answer)


def _target(earlier: Answer, later: Answer) -> tuple[str, object]:
    """Return what is asked about, and what it was."""
    if earlier.verdict != later.verdict:
        return "verdict", earlier.verdict
    if _in_the_way(earlier) != _in_the_way(later):
        return "in-the-way", _in_the_way(earlier)
    return "nothing", None


def _in_the_way(answer: Answer) -> frozenset[object]:
    return frozenset(
        one.skill or (one.group and (one.group.at_least, one.group.of)) for one in answer.blockers
    )


def _smallest(
    undone: Undoing, happened: Sequence[str], what: str, target: object
) -> tuple[tuple[str, ...], ...]:
    """Return the sets of causes that bring back what was, and of which no part does.

    What happened may hide what else would have: with new notes undone windows end that, with them,
    never ended. Only where nothing that happened brings it back alone is that undone too.
    """
    hidden = frozenset(CAUSES) - frozenset(happened)
    for beside in (frozenset[str](), hidden):
        if found := tuple(_restoring(undone, happened, beside, what, target)):
            return found
    return ()


def _restoring(
    undone: Undoing, happened: Sequence[str], beside: frozenset[str], what: str, target: object
) -> Iterator[tuple[str, ...]]:
    """Yield the smallest sets that bring back what was with ``beside`` undone as well."""
    found: list[frozenset[str]] = []
    for size in range(1, len(happened) + 1):
        for causes in map(frozenset, combinations(happened, size)):
            if any(one <= causes for one in found):
                continue
            answer = undone.answer(causes | beside)
            if (answer.verdict if what == "verdict" else _in_the_way(answer)) == target:
                found.append(causes)
                yield tuple(cause for cause in happened if cause in causes)
