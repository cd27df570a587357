"""What to look at in a check, in which order, and what not to.

First a sure success, then the seat and the other always-look items in one glance, then what
decides, then what can wait, at the end a piece the student likes to play. Where the rules of
the trade pull apart, this wins, from the top:

1. A hold: nothing is played, and there is no check. What is left may be done "if comfortable".
   Under a hold for another course, what uses that part of the body is left off.
2. A seat item that is due: the glance comes before the sure success. A student who is not
   placed yet begins with the glance too, and then goes from easy to hard.
3. Never more than ``check_items_max`` items, fewer where fewer minutes are given. The glance is
   one item, the last piece is one.
4. What decides comes before what can wait.
5. Never two hard items in a row. Something easy that is kept warm by it stands between, even
   if something else is left off for it. Only where nothing easy is left do hard items follow
   one another.
6. What decides as early as possible; then quiet and moving in turn (``planning.order``).

A look that another look on the sheet brings along (rule R5) is left off, and so is what was never asked
for while what it builds on is not there (``planning.lesson_ground``). Values only; the
sentences are in ``words.sheet``.
"""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Final

from readiness.course.keyboard import expected_counts, single_keys
from readiness.course.model import Course
from readiness.judging.answer import Answer
from readiness.judging.cautions import cautions_for
from readiness.planning.character import resting_skills
from readiness.planning.check_items import check_items
from readiness.planning.known_things import care_first, comfortable, is_open
from readiness.planning.lesson_ground import Ground
from readiness.planning.placing.round import placing_round
from readiness.planning.placing_look import placing_items
from readiness.planning.presumed import presumed
from readiness.planning.sheet_values import Expected, LeftOut, Sheet, SheetItem
from readiness.record.model import Record

__all__ = ["Expected", "LeftOut", "Sheet", "SheetItem", "check_sheet", "counts_groups"]

KEEP_WARM: Final = 3
"""How many things a short keep-warm list has. Common practice, no source."""

_COUNTS_GROUPS: Final = re.compile(r"\bcounts\b.*\bgroups\b", re.IGNORECASE)


def check_sheet(
    course: Course, record: Record, answer: Answer, keys: int | None = None, minutes: int | None = None
) -> Sheet:
    """Return the check sheet of a student for the day of an answer.

    Args:
        course: what is taught.
        record: what was seen.
        answer: what was judged for the day of the check.
        keys: how many keys the instrument in use has; those of the one at home without.
        minutes: how many there are; those of the age without. Fewer minutes have room for fewer items.
    """
    course = course.on(answer.on)
    resting = resting_skills(course, record, answer.on)
    instrument = _expected(record.home_keys if keys is None else keys)
    usual, most = (course.band[answer.band].whole(name) for name in ("check_minutes", "check_items_max"))
    most = most if minutes is None else min(most, max(1, most * minutes // usual))
    ground = Ground(course, answer, presumed(course, record, answer))
    ground.disliked = record.disliked(answer.on)
    placing = placing_round(course, record, answer.on) if answer.verdict == "not-placed" else None
    if answer.verdict == "paused":
        (items, left), proved = _held_items(ground, record, most), True
    elif placing is not None:
        (items, left), proved = placing_items(course, record, answer, resting, most), True
    else:
        items, left, proved = check_items(ground, resting, most)
    return Sheet(
        items=tuple(_with_counts(course, item, instrument) for item in items),
        left_out=left,
        proved=proved,
        minutes=usual if minutes is None else minutes,
        most_items=most,
        instrument=instrument,
        placing=placing,
        said=record.said(answer.on, (skill for item in items for skill in item.skills)),
        cautions=cautions_for(
            course, record, answer.on, [skill for item in items for skill in item.skills], answer.findings,
            paused=answer.verdict == "paused", seat_open="C5" in answer.cautions,
        ),
    )  # fmt: skip


def _expected(keys: int | None) -> Expected:
    """Return what there is to count, as far as the number of keys tells."""
    counts = None if keys is None else expected_counts(keys)
    if counts is None:
        return Expected(keys, None, None, None)
    assert keys is not None
    return Expected(keys, counts.twos, counts.threes, counts.stray, single_keys(keys))


def _with_counts(course: Course, item: SheetItem, instrument: Expected) -> SheetItem:
    """Add the right answers to an item about counting groups."""
    asks = any(counts_groups(course, skill) for skill in item.skills)
    return replace(item, expected=instrument) if asks else item


def counts_groups(course: Course, skill: str) -> bool:
    """Return whether a skill asks for counting groups of black keys."""
    return _COUNTS_GROUPS.search(course.skill[skill].shown_when) is not None


def _held_items(
    ground: Ground, record: Record, most: int
) -> tuple[tuple[SheetItem, ...], tuple[LeftOut, ...]]:
    """Return the word for pain, what may be done without playing, open things first, and what waits."""
    course, answer = ground.course, ground.answer
    care = care_first(course, answer)
    may = comfortable(ground, record)
    wanted = min(most, max(KEEP_WARM, sum(is_open(answer, skill) for skill in may)))
    chosen = may[: max(0, wanted - len(care))]
    asked = [skill for skill in (*answer.deciding, *answer.rest) if skill not in (*care, *chosen)]
    items = (
        *(SheetItem((skill,), "care", quiet=True, hard=False) for skill in care),
        *(SheetItem((skill,), "if-comfortable", quiet=True, hard=False) for skill in chosen),
    )
    return items, tuple(LeftOut(skill, "on-hold") for skill in asked)
