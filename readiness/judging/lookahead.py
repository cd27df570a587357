"""What a look would settle, the earliest possible date, and how long a ready verdict holds.

Answers two questions (rules, "One thing" and "Look first"): which single showing settles
most, and which smallest set of showings settles all that showings can (``judging.cover``).

A showing acts on its own skill, which may become secure by it, and on the skills under it
that are secure but stale, which its use keeps warm (R5). It cannot do more, so each skill
has a fixed set of skills it settles, and the question is one of covering.

The two dates (rules, section 4) replay the rules on days ahead with supposed showings, or with none.
They say what the rules allow, never what a child will do.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import combinations, islice
from typing import Final, Literal

from readiness.course.model import Band, Course, Plan, bits, union
from readiness.judging.answer import LESSONS_AFTER_A_HOLD, Answer, Gap, KeptBack, RecentHold
from readiness.judging.cover import Cover, Want, smallest_cover
from readiness.judging.history import ALONE, Known
from readiness.judging.states import (
    Deciding,
    States,
    decided_on,
    fold,
    implied_by,
    judge_states,
    latest_showings,
    verdict,
)
from readiness.lazy import dataclass
from readiness.record.rhythm import LAST_LESSONS, WEEK, Season, season_from
from readiness.terms import READY, State

__all__ = [
    "WEEK", "Earliest", "Holds", "Looks", "Want", "after_hold", "break_now", "break_of", "break_on",
    "chain_up", "earliest_date", "frees", "holds_until", "keeps_back", "look_effects", "one_thing",
    "open_skills", "pressing", "review_lessons", "smallest_cover", "targets",
]  # fmt: skip


@dataclass(frozen=True)
class Looks:
    """What each open skill would settle if shown alone on ``day``.

    ``settles`` maps an open skill to the set of skills its showing makes secure; ``wants``
    are the deciding skills and entry groups that are not there without a showing, each
    with what is still missing; ``left_out`` are the skills that nobody asks for that day.
    """

    day: int
    settles: Mapping[int, int]
    wants: tuple[Want, ...]
    left_out: int

    def gained(self, skill: int) -> int:
        """Return how many deciding skills and groups a single showing settles."""
        return sum(want.is_met(self.settles[skill]) for want in self.wants)

    def most(self, plan: Plan, among: Iterable[int], count: int) -> tuple[int, ...]:
        """Return which so many of some skills settle most together; of equals as :meth:`smallest` does."""

        def worth(chosen: tuple[int, ...]) -> tuple[int, int, list[str]]:
            reached = union(self.settles.get(i, 0) for i in chosen)
            settled = sum(want.is_met(reached) for want in self.wants)
            return -settled, sum(plan.minutes[i] for i in chosen), sorted(plan.ids[i] for i in chosen)

        skills = tuple(among)
        return min(combinations(skills, min(count, len(skills))), key=worth)

    def smallest(self, plan: Plan) -> Cover:
        """Return the minimal look set; of equals the one with fewest minutes, then by id."""
        everything = union(self.settles.values())
        reachable = tuple(want for want in self.wants if want.is_met(everything))
        return smallest_cover(self.settles, reachable, plan)


def look_effects(course: Course, known: Known, day: int) -> Looks:
    """Work out what showings on ``day`` would settle; nothing is noted between.

    Age, deciding skills, groups, candidates and states are those of that day. The student is placed.
    """
    plan, (deciding, then) = course.plan, decided_on(course, known, day)
    band, days = then.band, plan.days
    spread, stale = band.whole("spread_days"), then.among(State.STALE) & ~plan.must_be_seen
    settles: dict[int, int] = {}
    for i in bits(open_skills(plan, deciding, then)):
        kind, settled = plan.kind[i], known.settled[plan.unit[i]]
        notes = (*then.evidence.get(i, ()), (day, ALONE, 0))
        shown = fold(notes, band.accepts[kind], days[i] or band.days_needed[kind], spread, settled)
        settles[i] = plan.ancestors[i] & stale | (1 << i if shown.secure_since is not None else 0)
    return Looks(day, settles, tuple(_wants(deciding, then)), deciding.left_out)


def open_skills(plan: Plan, deciding: Deciding, states: States) -> int:
    """Return the open skills that are no gap, of the units so far (rules, "Look first").

    Skills left out in this band are not asked for, except members of an unmet entry group,
    which keeps all its members (rule R7).
    """
    asked = plan.up_to[deciding.unit] & ~deciding.left_out | deciding.unmet_members(states)
    return asked & ~states.met & ~states.gaps


def _wants(deciding: Deciding, then: States) -> Iterable[Want]:
    for i in bits(deciding.skills & ~then.secure):
        yield Want(1 << i)
    for group in deciding.unmet(then):
        yield Want(group.members & ~then.met, group.at_least - (group.members & then.met).bit_count())


# The one thing to work on (rules, "One thing to work on").
#
# With a gap it is the lowest weak link under what is missing, because practice above a weak
# link strengthens nothing. Without one it is the look that settles most.


def one_thing(
    plan: Plan, deciding: Deciding, states: States, looks: Looks | None, carry_limit: int
) -> int | None:
    """Return the skill to work on for a verdict that is not ready, None if there is none.

    Args:
        plan, deciding, states: as of the day asked about.
        looks: what showings at the next lesson would settle; None where no lesson is to come.
        carry_limit: how much of the rest may be unfinished.
    """
    goals = targets(deciding, states, carry_limit)
    if goals:
        return _lowest_weak_link(plan, deciding, states, goals)
    best = None if looks is None else _best_look(plan, looks)
    return _lowest_open(plan, deciding, states) if best is None else best


def targets(deciding: Deciding, states: States, carry_limit: int) -> int:
    """Return the gaps that stand in the way: deciding ones, else those of a rest too full."""
    groups = union(group.members for group in deciding.unmet(states) if group.is_gap(states))
    gaps = (deciding.skills | groups) & states.gaps & ~deciding.left_out
    if gaps:
        return gaps
    open_rest = deciding.rest & ~states.secure
    return open_rest & states.gaps if open_rest.bit_count() > carry_limit else 0


def _lowest_weak_link(plan: Plan, deciding: Deciding, states: States, goals: int) -> int:
    gathered = _gathered(plan, deciding, states, goals)
    lowest = [i for i in bits(gathered) if not plan.ancestors[i] & gathered]
    return min(
        lowest, key=lambda i: (-frees(plan, deciding, states, i).bit_count(), plan.minutes[i], plan.ids[i])
    )


def _gathered(plan: Plan, deciding: Deciding, states: States, goals: int) -> int:
    """Return the goals with all that is weak under them, and what they stand on that is not there yet."""
    weak = (states.gaps | states.wobbling) & ~deciding.left_out
    implied = implied_by(plan, *latest_showings(states))  # by what was shown, so it needs no showing (R10)
    missing = (states.among(State.BUILDING) | states.among(State.UNTRIED) & ~implied) & ~deciding.left_out
    gathered, waiting = 0, goals
    while waiting:
        gathered |= waiting
        found = union(plan.ancestors[i] & weak | plan.needs[i] & missing for i in bits(waiting))
        waiting = found & ~gathered
    return gathered


def frees(plan: Plan, deciding: Deciding, states: States, skill: int) -> int:
    """Return what waits for a skill: it and what stands on it, not secure, of this and the next unit."""
    here = plan.in_unit[deciding.unit]
    if deciding.next_unit is not None:
        here |= plan.in_unit[deciding.next_unit]
    return here & ~states.secure & ~deciding.left_out & (plan.descendants[skill] | 1 << skill)


def _best_look(plan: Plan, looks: Looks) -> int | None:
    """Return the open skill whose showing settles most; one that is left out only where no other does."""
    for asked in (~looks.left_out, looks.left_out):
        gained = {i: looks.gained(i) for i in looks.settles if asked >> i & 1}
        if any(gained.values()):
            return min(gained, key=lambda i: (-gained[i], *_lowness(plan, i)))
    return None


def _lowest_open(plan: Plan, deciding: Deciding, states: States) -> int | None:
    """Return the open skill lowest in the graph that is waited for, as of the day asked about."""
    candidates = open_skills(plan, deciding, states)
    blocking = candidates & (deciding.skills | deciding.unmet_members(states))
    waiting = blocking & ~deciding.left_out or blocking or candidates & deciding.rest
    return min(bits(waiting), key=lambda i: _lowness(plan, i), default=None)


def _lowness(plan: Plan, i: int) -> tuple[int, int, str]:
    return plan.depth[i], plan.minutes[i], plan.ids[i]


def chain_up(plan: Plan, skill: int, goals: int) -> tuple[int, ...]:
    """Return a shortest chain of links from a skill up to one of ``goals``, both included.

    Searched downward from the goals, in graph order; empty when none leads there.
    """
    between = plan.descendants[skill] | 1 << skill
    above: dict[int, int | None] = dict.fromkeys(bits(goals & between))
    ring = list(above)
    while ring and skill not in above:
        found = {other: i for i in reversed(ring) for other in bits(plan.needs[i] & between)}
        ring = [other for other in found if other not in above]
        above |= {other: found[other] for other in ring}
    chain: list[int] = []
    step: int | None = skill if skill in above else None
    while step is not None:
        chain.append(step)
        step = above[step]
    return tuple(chain)


# What keeps a verdict back for a day: a break, and the first lessons after a pause (rule R7).
#
# After some weeks away the first lesson back is for looking, not for moving, and after a pause for
# care two lessons with playing come first. Nothing here reads a calendar: days come in.


def break_on(lesson_days: Sequence[int], day: int, limit: int) -> Gap | None:
    """Return the break that stands in the way of a move on ``day``, if any.

    Args:
        lesson_days: different lesson days up to ``day``, oldest first. Without a lesson
            there is nothing to be away from, so no break.
        day: the day asked about.
        limit: so many days without a lesson are a break.
    """
    if not lesson_days:
        return None
    last = lesson_days[-1]
    if day - last >= limit:
        return Gap("on-a-break", day - last, last)
    if len(lesson_days) > 1 and last - lesson_days[-2] >= limit:
        return Gap("first-lesson-back", last - lesson_days[-2], lesson_days[-2])
    return None


def break_of(course: Course, answer: Answer, lesson_days: Iterable[int], day: int) -> Gap | None:
    """Return the break of a student on a day, by the numbers of the day of an answer (rule R7).

    Of a student who is paused or has begun no unit too, of whom ``Answer.away`` says nothing.

    Args:
        course, answer: what is taught, and what was judged.
        lesson_days: the different lesson days, oldest first; later ones than the day are left out.
        day: the day asked about, or one to come.
    """
    weeks = course.on(answer.on).band[answer.band].whole("break_weeks")
    return break_on([one for one in lesson_days if one <= day], day, answer.calendar.break_days(weeks))


def break_now(known: Known, band: Band, day: int) -> Gap | None:
    """Return the break of a student on a day, by the numbers of a band and the rhythm (rule R7)."""
    return break_on(known.lesson_days, day, known.calendar.break_days(band.whole("break_weeks")))


def after_hold(plan: Plan, known: Known, states: States) -> RecentHold | None:
    """Return what a closed hold still asks for: lesson days on which something was played (rule R7)."""
    closed = [hold for hold in known.paused if hold.closed is not None and hold.closed <= states.day]
    if not closed:
        return None
    last = max(closed, key=lambda hold: (hold.closed or 0, -hold.line))
    first = last.closed or 0
    played = {n[0] for i, notes in states.evidence.items() if not plan.quiet >> i & 1 for n in notes}
    days = tuple(sorted(day for day in {*played, *known.supposed} if first <= day <= states.day))
    return RecentHold(first, last.line, days) if len(days) < LESSONS_AFTER_A_HOLD else None


def keeps_back(plan: Plan, known: Known, states: States) -> Iterator[KeptBack]:
    """Yield what keeps a ready verdict back on the day of the states: a break, a closed hold, or both."""
    if gap := break_now(known, states.band, states.day):
        yield KeptBack(known.lesson_days[-1] if gap.kind == "first-lesson-back" else states.day, gap.kind)
    if after_hold(plan, known, states):
        yield KeptBack(states.day, "after-a-hold")


def review_lessons(days_away: int) -> int:
    """Return how many lessons of review a break asks for: a quarter of its weeks, 1 to 3.

    Halves round up. Common practice, no source (pacing ``[basis].review_lessons``).

    >>> [review_lessons(7 * weeks) for weeks in (5, 6, 9, 10, 20)]
    [1, 2, 2, 3, 3]
    """
    return min(3, max(1, (days_away // WEEK + 2) // 4))


MOST_LESSONS: Final = 52


@dataclass(frozen=True)
class Holds:
    """The last day on which a ready verdict stands with nothing new noted, and what ends it.

    ``because`` is birthday, no-lesson or skill; ``skill`` is then its number. None for both days
    and causes: nothing ends it.
    """

    until: int | None = None
    because: Literal["birthday", "no-lesson", "skill"] | None = None
    skill: int | None = None


@dataclass(frozen=True)
class Earliest:
    """The first lesson on which the student could be ready, None if not within 52, and what comes between.

    ``move`` is the first of these in which something new may begin: not one of the last before ``after``.
    ``kept_back`` are the lessons until then on which all could be there and a break or a hold keeps the
    move back.
    """

    day: int | None = None
    move: int | None = None
    after: Season | None = None
    kept_back: tuple[KeptBack, ...] = ()


def earliest_date(course: Course, known: Known, first_shown: int | None = None) -> Earliest:
    """Return the first lesson on which the student could be ready, and what keeps a move back until when.

    At each lesson everything asked for that is not secure is supposed to be shown alone, in the first one
    only ``first_shown`` where that is given. The student is placed and not ready today.
    """
    supposed, kept_back, first, after = known, list[KeptBack](), None, None
    days = tuple(islice(known.lessons_to_come(), MOST_LESSONS + LAST_LESSONS))
    for at, day in enumerate(days[:MOST_LESSONS]):
        deciding, states = decided_on(course, supposed, day)
        asked = deciding.skills | deciding.rest | deciding.group_members
        shown = asked & ~states.met if first_shown is None or at else first_shown
        supposed = supposed.with_showings(bits(shown), day)
        deciding, states = decided_on(course, supposed, day)
        if _is_ready(deciding, states):
            found = tuple(keeps_back(course.plan, supposed, states))
            season = season_from(days[at:], known.calendar)
            if not found:
                first = first or day
                if season is None:
                    return Earliest(first, day, after, tuple(kept_back))
                after = season
            kept_back += found
    return Earliest(first, None, after, tuple(kept_back))


def pressing(course: Course, known: Known, move: int) -> int:
    """Return what has to be shown in the next lesson itself, or the earliest day of a move gets later."""
    deciding, states = decided_on(course, known, known.next_lesson or known.day)
    least = earliest_date(course, known, 0).move or move + 1  # whatever more is shown, it is never later
    asked = (deciding.skills | deciding.rest | deciding.group_members) & ~states.met if least > move else 0
    moves = {i: earliest_date(course, known, asked & ~(1 << i)).move for i in bits(asked)}
    return union(1 << i for i, day in moves.items() if day is None or day > move)


def _is_ready(deciding: Deciding, states: States) -> bool:
    return verdict(deciding, states, states.band.whole("carry_limit")) in READY


def holds_until(course: Course, known: Known) -> Holds:
    """Return the last day on which a ready verdict still stands with nothing new noted, and why.

    Between two birthdays that change the band only fading and the break can end it, so only the
    days on which something turns stale or the break begins are looked at.
    """
    start: int | None = known.day
    while start is not None:
        band, end = known.band_on(course, start), known.next_band_day(course, start)
        for day in (start, *_turning_days(course, known, start, band)):
            if end is not None and day >= end:
                break
            deciding, states = decided_on(course, known, day)
            if not _is_ready(deciding, states) or break_now(known, band, day):
                return _ended(course, known, day)
        start = end
    return Holds()


def _turning_days(course: Course, known: Known, start: int, band: Band) -> list[int]:
    """Return the days after ``start`` on which a skill turns stale, or a break begins, in its band."""
    deciding, states = decided_on(course, known, start)
    days = {day + known.calendar.break_days(band.whole("break_weeks")) for day in known.lesson_days[-1:]}
    for i in bits(deciding.skills | deciding.rest | deciding.group_members):
        if (last_fresh := states.fresh_until(i)) is not None:
            days.add(last_fresh + 1)
    return sorted(day for day in days if day > start)


def _ended(course: Course, known: Known, day: int) -> Holds:
    """Return why a verdict ends on a day: what fades comes first, then a birthday, then the break.

    A birthday is the cause where its numbers say no themselves: a lesson noted in time would not help.
    """
    band = known.band_on(course, day - 1)
    deciding, states = decided_on(course, known, day, band)
    if not _is_ready(deciding, states):
        return Holds(day - 1, "skill", _faded(course, known, deciding, states))
    is_break = break_now(known, band, day) is not None and _is_ready(*decided_on(course, known, day))
    return Holds(day - 1, "no-lesson" if is_break else "birthday")


def _faded(course: Course, known: Known, deciding: Deciding, states: States) -> int:
    """Return the first skill in graph order that faded that day: a deciding one before one of the rest."""
    faded = judge_states(course.plan, known, states.band, states.day - 1).secure & ~states.secure
    for asked in (deciding.skills, deciding.unmet_members(states), deciding.rest):
        found = next(bits(faded & asked), None)
        if found is not None:
            return found
    raise AssertionError("a verdict that ends by fading has a skill that faded")
