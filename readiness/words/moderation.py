"""Where two teachers noted the same check differently, in words: it is the criterion that is mended.

Nobody is named. Who wants to know what a colleague saw asks the colleague.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from readiness.course.model import Course
from readiness.school.counts import FEW
from readiness.school.moderation import Criterion, Moderation
from readiness.words.cautions import caution
from readiness.words.grammar import HELP_WORDS, counted, tidy
from readiness.words.page import Paragraph, Section, item, lay_out, under
from readiness.words.school_leads import unread_words

__all__ = ["moderation_words"]

_NONE: Final = (
    "No check was noted by two. Two teachers who look at the same check note it each for themselves, "
    "each with their own initials (readiness note ID --by OB); both notes stand in the student's file."
)
_KAPPA: Final = (
    "Kappa is 1 where both always agree and 0 where they agree as often as chance would have it. It says how "
    "clear the criteria are, not how good anybody is."
)


def moderation_words(found: Moderation, course: Course, width: int = 80, unread: Sequence[str] = ()) -> str:
    """Return how the notes of two compare, the criteria with most disagreement first.

    Args:
        found: the comparison; course: what is taught.
        width: the widest line.
        unread: the names of the student files that could not be read.
    """
    lacking = Section("", tuple(map(Paragraph, unread_words(unread))))
    if not found.pairs:
        return lay_out((lacking, Section("Noted by two", (Paragraph(_NONE),))), width)
    return lay_out(
        (
            lacking,
            Section("Noted by two", tuple(map(item, _over_all(found)))),
            Section("Improve the wording", _criteria(found, course, agreed=False)),
            Section("Noted alike so far", _criteria(found, course, agreed=True)),
            Section("Cautions", tuple(map(item, _cautions(found)))),
        ),
        width,
    )


def _over_all(found: Moderation) -> Iterator[str]:
    what = f"{counted(found.checks, 'check')} on {counted(found.days, 'day')}"
    alike = f"{found.agreed} alike, {found.pairs - found.agreed} not"
    yield f"{what}, {counted(found.pairs, 'thing')} noted by two: {alike}."
    if found.too_few:
        yield (
            f"No figure is given: it would need at least {FEW} checks on {FEW} different days, because what "
            "is noted in one check hangs together. Look at the criteria one by one."
        )
    else:
        plain, ordered = _figure(found.kappa), _figure(found.weighted)
        yield f"Beyond chance: kappa {plain}; one step of help apart counted for less: {ordered}. {_KAPPA}"


def _figure(value: float | None) -> str:
    return "cannot be told, everything is on one level" if value is None else f"{value:.2f}"


def _criteria(found: Moderation, course: Course, *, agreed: bool) -> tuple[Paragraph, ...]:
    lines: list[Paragraph] = []
    for one in found.criteria:
        if (one.agreed == one.pairs) == agreed:
            skill = course.skill[one.skill]
            lines.append(item(f"{tidy(skill.name)} ({one.skill}): {_counts(one)}"))
            if not agreed:
                lines.append(under(f"Side by side: {'; '.join(_levels(one))}."))
                lines.append(under(f"Shown when: {tidy(skill.shown_when)}"))
    return tuple(lines)


def _counts(one: Criterion) -> str:
    few = " Too few to conclude." if one.too_few else ""
    further = one.pairs - one.agreed - one.one_apart
    parts = [f"{one.agreed} of {one.pairs} alike"]
    parts += [f"{one.one_apart} one step apart"] if one.one_apart else []
    parts += [f"{further} further apart"] if further else []
    where = f"in {counted(one.checks, 'check')} on {counted(one.days, 'day')}"
    return f"{', '.join(parts)}, {where}.{few}"


def _levels(one: Criterion) -> Iterator[str]:
    """Yield the levels that were given for the same thing, with how often."""
    for (less, more), times in one.levels:
        if less != more:
            yield f"{HELP_WORDS[less]} and {HELP_WORDS[more]}, {counted(times, 'time')}"


def _cautions(found: Moderation) -> Iterator[str]:
    if found.too_few or any(one.too_few for one in found.criteria):
        yield caution("C12")
    yield "Read the criterion together, say what each saw, and write it so that both would note the same."
