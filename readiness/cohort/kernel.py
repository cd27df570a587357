"""Judging many students in one loop: rules R1 to R7 on columns of numbers.

The same rules as ``readiness.judging``, written once more for machine code, because 20 million
notes leave no time for objects. It gives states and verdicts and nothing else: no finding, no
advice, no date. Whoever asks why about one student asks ``judge``. That both agree on every
student is tested (``tests/cohort``).

All of it stands in one file, because what was compiled is kept and only a change of this file
makes it anew. Arrays are handed on one by one, since taking one out of a tuple costs more than
the work done on it. Days are days since 1 January 1970; NEVER stands for no day.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Final, NamedTuple, TypeVar, cast

import numpy as np
from numba import njit
from numpy.typing import NDArray

__all__ = [
    "ASIDE", "DECIDES", "MEMBER", "NEVER", "REST", "STATES", "VERDICTS",
    "Block", "Course", "Found", "People", "is_sorted", "judge_block",
]  # fmt: skip

Array = NDArray[Any]
Function = TypeVar("Function", bound=Callable[..., Any])

NEVER: Final = -(2**31)
"""No day: earlier than every day there is."""

NOWHERE: Final = 2**31 - 1
"""Where the notes begin of a skill without any."""

STATES: Final = (
    "secure", "wobbling", "stale", "untried", "building", "slipped", "not-shown", "with-help", "set-aside",
)  # fmt: skip
"""The states of rule R6 by their numbers; from ``slipped`` to ``with-help`` they are gaps."""
SECURE, WOBBLING, STALE, UNTRIED, BUILDING, SLIPPED, NOT_SHOWN, WITH_HELP, SET_ASIDE = range(9)

VERDICTS: Final = ("ready", "ready-taking-along", "look-again", "not-yet", "paused", "not-placed")
"""The verdicts of rule R7 by their numbers."""
READY, TAKING_ALONG, LOOK_AGAIN, NOT_YET, PAUSED, NOT_PLACED = range(6)

DECIDES, REST, MEMBER, ASIDE = 1, 2, 4, 8
"""What a skill is for a student of some unit, band and agreement: bits of ``Course.role``."""


class Block(NamedTuple):
    """Notes of the students from row ``first`` up to ``end``, sorted by student, skill and day.

    ``student`` is the row, ``skill`` the number of a skill in the columns, ``help`` an index into
    HELPS.
    """

    first: int
    end: int
    student: Array
    skill: Array
    day: Array
    help: Array


class People(NamedTuple):
    """What is known of each student beside the notes, by row.

    ``settled_*`` and ``lesson_*`` are lists in one: those of row i go from ``_start[i]`` to
    ``_start[i + 1]``, oldest first. ``lesson_on`` has the lesson days without a note.
    """

    case: Array
    paused: Array
    settled_start: Array
    settled_unit: Array
    settled_on: Array
    lesson_start: Array
    lesson_on: Array


class Course(NamedTuple):
    """A course on a day, compiled for some columns (``rules``).

    A *case* is a unit, a band and what was set aside. ``accepts`` goes by number in the columns.

    Attributes:
        place: by skill, its unit, its number, and from where to where its users are in ``user``.
        user: number and unit of a skill whose use keeps another one fresh.
        rule: by band and skill, accepts, days needed, days from first to last, days it stays fresh.
        pace: by band, what may come along unfinished, and from how many days on one was away.
        case: by case, the unit (-1: not placed), the band, and from where to where its skills are
            in ``asked`` and its entry groups in ``group``.
        role: by case and skill.
        group: how many are asked for, and from where to where they are in ``member``.
    """

    on: int
    units: int
    place: Array
    user: Array
    rule: Array
    accepts: Array
    pace: Array
    case: Array
    role: Array
    asked: Array
    group: Array
    member: Array


class Found(NamedTuple):
    """Where the answers go. ``state`` has no row where states are not asked for.

    ``gap`` and ``look`` count, by skill, the students whom it keeps in their unit: tried and not
    there, or to be looked at.
    """

    verdict: Array
    underlying: Array
    state: Array
    gap: Array
    look: Array


def _compiled(function: Function) -> Function:
    return cast(Function, njit(cache=True, nogil=True)(function))


@_compiled
def is_sorted(student: Array, skill: Array, day: Array) -> bool:
    """Return whether notes are in order, with one a student, skill and day."""
    wrong = False
    for at in range(1, len(day)):
        goes_on = (student[at] == student[at - 1]) & (skill[at] == skill[at - 1])
        new_skill = (student[at] == student[at - 1]) & (skill[at] > skill[at - 1])
        wrong |= not ((student[at] > student[at - 1]) | new_skill | (goes_on & (day[at] > day[at - 1])))
    return not wrong


@_compiled
def _look_through(
    row: int, at: int, student: Array, skills: Array, days: Array, helps: Array,
    accepts: Array, on: int, begins: Array, last_use: Array,
) -> int:  # fmt: skip
    """Find, by number, where a student's notes begin and the latest day that counts (rule R2).

    Without a branch but that at the end: a wrong guess of the processor costs as much as four notes.

    Returns:
        Where the student's notes end.
    """
    before, begin, use = np.int64(-1), at, np.int32(NEVER)
    while at < len(days) and student[at] == row:
        number, day = skills[at], days[at]
        is_new = number != before
        begin = at if is_new else begin
        use = np.int32(NEVER) if is_new else use
        use = day if (helps[at] <= accepts[number]) & (day <= on) else use
        begins[number], last_use[number] = begin, use
        before = np.int64(number)
        at += 1
    return at


@_compiled
def _after_day(
    day: int,
    counts: bool,
    needed: int,
    spread: int,
    since: int,
    first: int,
    have: int,
    misses: int,
    slipped: bool,
) -> tuple[int, int, int, int, bool]:
    """Return what a skill comes to after one more day (rule R3).

    These are the day it is secure since, the first of the days that count and how many they are,
    the days in a row that did not count, and whether it was ever secure and lost.
    """
    if not counts:
        if misses == 1 and since != NEVER:
            return NEVER, NEVER, 0, 2, True
        return since, first, have, misses + 1, slipped
    first = day if first == NEVER else first
    if since == NEVER and have + 1 >= needed and (needed == 1 or day - first >= spread):
        since = day
    return since, first, have + 1, 0, slipped


@_compiled
def _state(since: int, misses: int, slipped: bool, last_help: int) -> int:
    """Return the first state that fits (rule R6), stale ones still as secure."""
    if since != NEVER:
        return WOBBLING if misses == 1 else SECURE
    if last_help < 0:
        return UNTRIED
    if misses == 0:
        return BUILDING
    if slipped:
        return SLIPPED
    return NOT_SHOWN if last_help == 4 else WITH_HELP


@_compiled
def _find_states(
    which: Array, place: Array, rule: Array, user: Array, settled: Array, begins: Array, last_use: Array,
    end: int, skills: Array, days: Array, helps: Array, on: int, state: Array,
) -> None:  # fmt: skip
    """Fill in the states of some skills (rules R2 to R6), nothing set aside."""
    for skill in which:
        start, number = settled[place[skill, 0]], place[skill, 1]
        since, first, have, misses, slipped, last_help = start, NEVER, 0, 0, False, -1
        at = begins[number]
        while at < end and skills[at] == number:
            if start <= days[at] <= on:
                last_help = helps[at]
                since, first, have, misses, slipped = _after_day(
                    days[at], last_help <= rule[skill, 0], rule[skill, 1], rule[skill, 2],
                    since, first, have, misses, slipped,
                )  # fmt: skip
            at += 1
        state[skill] = _state(since, misses, slipped, last_help)
        fresh_from = on - rule[skill, 3]
        if state[skill] == SECURE and start < fresh_from and last_use[number] < max(start, fresh_from):
            users = user[place[skill, 2] : place[skill, 3]]
            state[skill] = SECURE if _is_used(users, settled, last_use, max(since, fresh_from)) else STALE


@_compiled
def _is_used(users: Array, settled: Array, last_use: Array, least: int) -> bool:
    """Return whether something that stands on a skill was used on a day or later (rule R5)."""
    for at in range(len(users)):
        if last_use[users[at, 0]] >= max(least, settled[users[at, 1]]):
            return True
    return False


@_compiled
def _settle(settled: Array, begin: int, end: int, units: Array, days: Array, on: int) -> None:
    """Fill in, by unit, the latest day on which it was settled (rule R3)."""
    settled[:] = NEVER
    for at in range(begin, end):
        if days[at] <= on:
            settled[: units[at] + 1] = days[at]


@_compiled
def _verdict(
    asked: Array, role: Array, state: Array, groups: Array, member: Array, carry: int, gap: Array, look: Array
) -> int:
    """Return the verdict before holds and breaks (rule R7) from the states of what is asked."""
    gaps, unmet = _unmet_groups(role, state, groups, member)
    rest_gaps = rest_open = 0
    for skill in asked:
        is_gap, is_open = state[skill] >= SLIPPED, state[skill] != SECURE
        decides, of_rest = role[skill] & DECIDES != 0, role[skill] & REST != 0
        gaps += is_gap & decides
        unmet += is_open & decides
        gap[skill] += is_gap & decides
        look[skill] += is_open & decides & (not is_gap)
        rest_gaps += is_gap & of_rest
        rest_open += is_open & of_rest
    if gaps or rest_gaps > carry:
        return NOT_YET
    if unmet or rest_open > carry:
        return LOOK_AGAIN
    return TAKING_ALONG if rest_open else READY


@_compiled
def _unmet_groups(role: Array, state: Array, groups: Array, member: Array) -> tuple[int, int]:
    """Return how many entry groups cannot be met without closing a gap, and how many are unmet."""
    gaps = unmet = 0
    for group in range(len(groups)):
        met = possible = 0
        for at in range(groups[group, 1], groups[group, 2]):
            skill = member[at]
            is_aside = role[skill] & ASIDE != 0
            met += is_aside | (state[skill] == SECURE)
            possible += is_aside | (state[skill] < SLIPPED)
        unmet += met < groups[group, 0]
        gaps += possible < groups[group, 0]
    return gaps, unmet


@_compiled
def _is_away(noted: Array, without_note: Array, on: int, limit: int) -> bool:
    """Return whether the day falls in a break or the latest lesson is the first after one (rule R7)."""
    last = max(_latest_before(noted, on + 1), _latest_before(without_note, on + 1))
    if last == NEVER:
        return False
    before = max(_latest_before(noted, last), _latest_before(without_note, last))
    return on - last >= limit or (before != NEVER and last - before >= limit)


@_compiled
def _latest_before(days: Array, end: int) -> int:
    latest = NEVER
    for day in days:
        latest = max(latest, day) if day < end else latest
    return latest


@_compiled
def judge_block(block: Block, people: People, course: Course, found: Found) -> None:
    """Judge the students of a block and put the answers into ``found``, each in its row."""
    student, skills, days, helps = block.student, block.skill, block.day, block.help
    cases, paused, lesson_start, lesson_on = people.case, people.paused, people.lesson_start, people.lesson_on
    settled_start, settled_unit, settled_on = people.settled_start, people.settled_unit, people.settled_on
    on, place, user, rules, accepts = course.on, course.place, course.user, course.rule, course.accepts
    pace, of_case, roles, member = course.pace, course.case, course.role, course.member
    groups, states, gap, look = course.group, found.state, found.gap, found.look
    state, settled = np.empty(len(place), np.uint8), np.empty(course.units, np.int32)
    begins, last_use = np.empty(accepts.shape[1], np.int32), np.empty(accepts.shape[1], np.int32)
    every, end = np.arange(len(place)).astype(np.int32), 0
    for row in range(block.first, block.end):
        unit, band, asked_from, asked_to, groups_from, groups_to = of_case[cases[row]]
        rule, role, asked, begin = rules[band], roles[cases[row]], course.asked[asked_from:asked_to], end
        begins[:] = NOWHERE
        last_use[:] = NEVER
        _settle(settled, settled_start[row], settled_start[row + 1], settled_unit, settled_on, on)
        end = _look_through(row, begin, student, skills, days, helps, accepts[band], on, begins, last_use)
        which = every if len(states) else asked
        _find_states(which, place, rule, user, settled, begins, last_use, end, skills, days, helps, on, state)
        for skill in range(states.shape[1] if len(states) else 0):
            states[row, skill] = SET_ASIDE if role[skill] & ASIDE else state[skill]
        underlying = final = NOT_PLACED
        if unit >= 0:
            mine = groups[groups_from:groups_to]
            underlying = final = _verdict(asked, role, state, mine, member, pace[band, 0], gap, look)
            lessons = lesson_on[lesson_start[row] : lesson_start[row + 1]]
            if final <= TAKING_ALONG and _is_away(days[begin:end], lessons, on, pace[band, 1]):
                final = LOOK_AGAIN
        found.underlying[row] = underlying
        found.verdict[row] = PAUSED if paused[row] else final
