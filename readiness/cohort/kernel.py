"""Judging many students in one loop: rules R1 to R7 on columns of numbers.

The same rules as ``readiness.judging``, written once more for machine code, because 20 million notes leave no
time for objects. It gives states and verdicts and nothing else: no finding, no advice, no date. Whoever asks
why about one student asks ``judge``. That both agree on every student is tested (``tests/cohort``).

What was compiled is kept by its name, which holds all that is compiled into it: another program
makes it anew, and never reads what names a class that is gone.
Arrays are handed on one by one, and what is done for each skill stands in one function: handing
arrays on costs more than the work done on them. Days are days since 1 January 1970.
"""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from hashlib import sha256
from pathlib import Path
from typing import Any, Final, TypeVar, cast

import numpy as np
from numba import njit

from readiness import terms
from readiness.cohort.columns import Array, NoteColumns, People, Results, RuleTables
from readiness.terms import State, Verdict

__all__ = ["NEVER", "SOURCES", "STATES", "VERDICTS", "is_sorted", "judge_block", "mark_holds"]

Function = TypeVar("Function", bound=Callable[..., Any])

NEVER: Final = -(2**31)
"""No day: earlier than every day there is."""

NOWHERE: Final = 2**31 - 1
"""Where the notes begin of a skill without any."""

LATER: Final = NOWHERE
"""No day either: later than every day there is."""

UNKNOWN: Final = NEVER + 1
"""A last use that nobody has looked for yet."""

STRIDE: Final = 16
"""So many notes are stepped over at a time where a student's notes end."""

STATES: Final = (
    State.SECURE, State.WOBBLING, State.STALE, State.UNTRIED, State.BUILDING, State.SLIPPED,
    State.NOT_SHOWN, State.WITH_HELP, State.SET_ASIDE,
)  # fmt: skip
"""The states of rule R6 by their numbers; from ``slipped`` to ``with-help`` they are gaps."""
SECURE, WOBBLING, STALE, UNTRIED, BUILDING, SLIPPED, NOT_SHOWN, WITH_HELP, SET_ASIDE = range(9)

VERDICTS: Final = tuple(Verdict)
"""The verdicts of rule R7 by their numbers."""
READY, TAKING_ALONG, LOOK_AGAIN, NOT_YET, PAUSED, NOT_PLACED = range(6)

HELP, WAS_QUIET, NO_EVIDENCE = 7, 8, 16
"""In a marked note: its help; that it was quiet, under a hold; that it is no evidence (rule R1a)."""

PLAYED_LESSONS: Final = 2
"""So many lesson days with playing come between the closing of a hold and a move (rule R7)."""

DECIDES, REST, MEMBER, ASIDE = 1, 2, 4, 8
"""What a skill is for a student of some unit, band and agreement: bits of ``Course.role``."""


_HERE: Final = Path(__file__)
SOURCES: Final = (_HERE, _HERE.with_name("columns.py"), Path(terms.__file__))
"""All that is compiled: this file, the tables that it takes, and the order of the terms."""
_MADE_OF: Final = sha256(b"".join(path.read_bytes() for path in SOURCES)).hexdigest()[:12]


def _compiled(function: Function) -> Function:
    function.__qualname__ += f"-{_MADE_OF}"
    with suppress(RuntimeError):  # no folder may be written to where what is compiled could be kept
        return cast(Function, njit(cache=True, nogil=True)(function))
    return cast(Function, njit(nogil=True)(function))


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
def mark_holds(block: NoteColumns, people: People, course: RuleTables) -> Array:
    """Return the helps of a block with marks on what was noted under a hold or as one was opened."""
    student, skills, days, helps = block.student, block.skill, block.day, block.help.copy()
    cases, bands, start = people.case, course.case[:, 1], people.hold_start
    opened, closed, since = people.hold_opened, people.hold_closed, people.hold_since
    for at in range(len(helps)):
        row, day, played = student[at], days[at], course.played[skills[at]]
        is_under = began = False
        for hold in range(start[row], start[row + 1]):
            if opened[hold] > course.on:
                continue
            is_known = since[hold] != LATER
            begun = day >= since[hold] if is_known else day > opened[hold]
            is_under |= begun and day < closed[hold]
            began |= (not is_known) and day == opened[hold]
        if is_under:
            helps[at] |= NO_EVIDENCE if played else WAS_QUIET
        elif began and played and helps[at] > course.accepts[bands[cases[row]], skills[at]]:
            helps[at] |= NO_EVIDENCE
    return helps


@_compiled
def _has_played(
    begin: int, end: int, skills: Array, days: Array, helps: Array, played: Array, closed: int, on: int
) -> bool:
    """Return whether enough lesson days with playing came since a hold was closed (rule R7)."""
    count, first = 0, NEVER
    for at in range(begin, end):
        day = days[at]
        is_one = played[skills[at]] and helps[at] < NO_EVIDENCE and closed <= day and day <= on
        if is_one and (count == 0 or day != first):
            count, first = count + 1, day
            if count == PLAYED_LESSONS:
                return True
    return False


@_compiled
def _find_notes(row: int, begin: int, student: Array, skills: Array, begins: Array) -> int:
    """Find, by number, where a student's notes begin, and return where all of them end."""
    end = begin
    while end + STRIDE <= len(student) and student[end + STRIDE - 1] == row:
        end += STRIDE
    while end < len(student) and student[end] == row:
        end += 1
    begins[:] = NOWHERE
    for at in range(end - 1, begin - 1, -1):  # backwards: the first note of a skill has the last word
        begins[skills[at]] = at
    return end


@_compiled
def _after_day(
    day: int, counts: bool, needed: int, spread: int, since: int, first: int, have: int, misses: int
) -> tuple[int, int, int, int]:
    """Return what a skill comes to after one more day (rule R3), without a branch.

    These are the day it is secure since, the first of the days that count and how many they are,
    and the days in a row that did not count. LATER stands for no day here.
    """
    lost = (not counts) & (misses == 1) & (since != LATER)
    first = min(first, day) if counts else first
    have = 0 if lost else have + counts
    is_enough = counts & (have >= needed) & (day - first >= spread)
    since = min(since, day) if is_enough else since
    return LATER if lost else since, LATER if lost else first, have, 0 if counts else misses + 1


@_compiled
def _last_use(
    number: int, at: int, end: int, skills: Array, days: Array, helps: Array, accepts: int, also: int, on: int
) -> int:
    """Return the latest day of a skill that counts (rule R2), with a mark that may be ``also`` or none."""
    latest = NEVER
    while at < end and skills[at] == number:
        counts = (helps[at] & HELP <= accepts) & (helps[at] & ~HELP <= also)
        latest = days[at] if counts & (days[at] <= on) else latest
        at += 1
    return latest


@_compiled
def _state(since: int, misses: int, slipped: bool, last_help: int) -> int:
    """Return the first state that fits (rule R6), stale ones still as secure."""
    if since != LATER:
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
    which: Array, place: Array, rule: Array, user: Array, settled: Array, begins: Array,
    end: int, skills: Array, days: Array, helps: Array, accepts: Array, on: int,
    last_use: Array, state: Array,
) -> None:  # fmt: skip
    """Fill in the states of some skills (rules R2 to R6), nothing set aside."""
    last_use[:, :] = UNKNOWN
    for skill in which:
        start, number = settled[place[skill, 0]], place[skill, 1]
        since, first, have, misses, last_help, used = LATER, LATER, 0, 0, -1, start
        since = LATER if start == NEVER else start
        slipped, at = False, begins[number]
        while at < end and skills[at] == number:
            day, help_given = days[at], helps[at]
            at += 1
            if (day < start) | (day > on) | (help_given >= NO_EVIDENCE):
                continue
            help_given &= HELP
            last_help = help_given
            counts = help_given <= rule[skill, 0]
            used = day if counts else used
            before = since
            since, first, have, misses = _after_day(
                day, counts, rule[skill, 1], rule[skill, 2], since, first, have, misses
            )
            slipped |= since > before
        now = _state(since, misses, slipped, last_help)
        fresh_from = on - rule[skill, 3]
        if now == SECURE and used < fresh_from:
            now = STALE
            # R5 asks only for use since it is secure and, of what was settled, since then (R3). Both
            # are no later than its own last day, which is too long ago, so the one limit is enough.
            for other in range(place[skill, 2], place[skill, 3]):  # R5: the use of what stands on it
                number, quiet = user[other], place[skill, 4]
                if last_use[quiet, number] == UNKNOWN:
                    also = WAS_QUIET if quiet else 0
                    last_use[quiet, number] = _last_use(
                        number, begins[number], end, skills, days, helps, accepts[number], also, on
                    )
                if last_use[quiet, number] >= fresh_from:
                    now = SECURE
                    break
        state[skill] = now


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
        if state[skill] == SECURE:
            continue
        is_gap = state[skill] >= SLIPPED
        decides, of_rest = role[skill] & DECIDES != 0, role[skill] & REST != 0
        gaps += is_gap & decides
        unmet += decides
        gap[skill] += is_gap & decides
        look[skill] += decides & (not is_gap)
        rest_gaps += is_gap & of_rest
        rest_open += of_rest
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
def judge_block(block: NoteColumns, people: People, course: RuleTables, found: Results) -> None:
    """Judge the students of a block and put the answers into ``found``, each in its row."""
    student, skills, days, helps = block.student, block.skill, block.day, block.help
    cases, paused, lesson_start, lesson_on = people.case, people.paused, people.lesson_start, people.lesson_on
    settled_start, settled_unit, settled_on = people.settled_start, people.settled_unit, people.settled_on
    on, place, user, rules, accepts = course.on, course.place, course.user, course.rule, course.accepts
    pace, of_case, roles, member = course.pace, course.case, course.role, course.member
    groups, states, gap, look = course.group, found.state, found.gap, found.look
    state, settled = np.empty(len(place), np.uint8), np.empty(course.units, np.int32)
    begins, last_use = np.empty(accepts.shape[1], np.int32), np.empty((2, accepts.shape[1]), np.int32)
    closed, rhythm, played = people.closed, people.rhythm, course.played
    every, end = np.arange(len(place)).astype(np.int32), 0
    for row in range(block.first, block.end):
        unit, band, asked_from, asked_to, groups_from, groups_to = of_case[cases[row]]
        rule, role, asked, begin = rules[band], roles[cases[row]], course.asked[asked_from:asked_to], end
        _settle(settled, settled_start[row], settled_start[row + 1], settled_unit, settled_on, on)
        end = _find_notes(row, begin, student, skills, begins)
        which = every if len(states) else asked
        _find_states(
            which, place, rule, user, settled, begins, end,
            skills, days, helps, accepts[band], on, last_use, state,
        )  # fmt: skip
        for skill in range(states.shape[1] if len(states) else 0):
            states[row, skill] = SET_ASIDE if role[skill] & ASIDE else state[skill]
        underlying = final = NOT_PLACED
        if unit >= 0:
            mine = groups[groups_from:groups_to]
            underlying = final = _verdict(asked, role, state, mine, member, pace[band, 0], gap, look)
            lessons = lesson_on[lesson_start[row] : lesson_start[row + 1]]
            limit = max(pace[band, 1], 7 * (rhythm[row] + 1)) if rhythm[row] else pace[band, 1]
            if final <= TAKING_ALONG and _is_away(days[begin:end], lessons, on, limit):
                final = LOOK_AGAIN
            if final <= TAKING_ALONG and closed[row] != NEVER:
                is_back = _has_played(begin, end, skills, days, helps, played, closed[row], on)
                final = final if is_back else LOOK_AGAIN
        found.underlying[row] = underlying
        found.verdict[row] = PAUSED if paused[row] else final
