"""Notes, the one thing, look first, earliest, holds until (R8 and what follows), by trying things out.

Choices made here, the text of the rules being silent or speaking twice:

* *Footing, fade-soon* are for skills in the state ``secure``, not for ``wobbling`` ones. Notes are
  given whatever the verdict; a student not placed has none, so nobody says ``young`` there.
* *Lesson days in unit* count from the start in force, so starting a unit again starts the count
  again; the day of opening is no day under a hold and is counted.
* *Stuck* looks at evidence only: a try under a hold is no try.
* *The one thing, starting points:* "too many of the rest" is more than ``carry_limit`` not secure.
  A left-out member of a group that is a gap is no starting point even when it is the only
  way on; then the rest is asked, then the look.
* *Gathering* goes on from whatever is gathered. Left-out skills are passed over: they are not
  gathered and nothing is gathered as *their* direct prerequisite (set aside is met for what
  stands on it); weak ancestors below them are ancestors all the same.
* *Frees:* "stand on it" is over any number of links.
* *The look* compares N with the showing and N without. Everything is of N: band, deciding
  skills, groups, candidates; what is open only on D is no candidate, what fades by N is one.
* *The fallback* is of D: open deciding skills and open members of unmet groups that are asked
  for; else open left-out members; else open skills of the rest; else none.
* *The one thing of a student not placed* is the first of ``always_look_open``, in whatever state.
* *Earliest of a ready verdict* is D, also where N is null: the child is ready, calendar or not.
* *Earliest:* on each day what is not secure on that day, before the showing, is shown, by the
  deciding skills, groups and rest of that day; optional members of groups too, set-aside ones
  never. A lesson is held even when nothing has to be shown. 52 lessons from N on.
* *Holds until, because:* had the numbers of the day before said no as well, and the states alone
  say so, it is the skill; else the birthday, where the band changed and the new numbers are what
  says no; else the break. The skill is the first in graph order of those that were secure the
  day before and are not: of the deciding ones, else of the unmet groups, else of the rest.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from datetime import date, timedelta
from fractions import Fraction
from itertools import combinations, islice
from typing import Any

from second_reading.facts import Course, Toml, age_on, band_chosen, band_on, lesson_days, turns, under_a_hold
from second_reading.states import HELPS, OPEN, Walked, walk_all
from second_reading.verdicts import READY, Reckoning, shown_and_implied

__all__ = ["earliest", "holds_until", "look_first", "notes", "one_thing", "showing"]

LESSONS_LOOKED_AT = 52


def notes(now: Reckoning) -> list[dict[str, Any]]:
    """Return the notes: fast or long, stuck, footing, fade-soon, each in graph order, then young."""
    found: list[tuple[str, str | None]] = [(name, None) for name in _fast_or_long(now)]
    judged = now.asked([*now.deciding, *now.rest])
    found += [("stuck", s) for s in now.not_secure(judged) if _stuck(now, s)]
    found += [("footing", s) for s in now.entry_list if _footing(now, s)]
    found += [("fade-soon", s) for s in now.deciding if _fades_soon(now, s)]
    found += [("young", None)] if _young(now) else []
    return [{"id": name, "skill": skill} for name, skill in found]


def _fast_or_long(now: Reckoning) -> list[str]:
    assert now.unit is not None
    weeks = now.course.weeks[now.unit]
    days = sum(day >= now.unit_since and not under_a_hold(now.known, day) for day in lesson_days(now.known))
    least, most = (  # rounded up exactly: 0.75 x 4 is 3, 1.1 x 10 is 11
        math.ceil(Fraction(str(now.band[name])) * weeks) for name in ("min_unit_factor", "max_unit_factor")
    )
    return ["fast"] if 1 <= days < least else ["long"] if days > most else []


def _stuck(now: Reckoning, skill: str) -> bool:
    walk = now.walked[skill]
    tries = [HELPS.index(day.help) for day in walk.days[len(walk.days) - walk.misses :]]
    last, earlier = tries[-3:], tries[:-3]
    return len(tries) >= now.band["stuck_tries"] and bool(earlier) and min(last) >= min(earlier)


def _footing(now: Reckoning, skill: str) -> bool:
    weak = [s for s in now.asked(now.course.ancestors(skill)) if now.gap(s)]
    return now.states[skill] == "secure" and bool(weak)


def _fades_soon(now: Reckoning, skill: str) -> bool:
    until = now.walked[skill].fresh_until or date.max
    return now.states[skill] == "secure" and until < now.on + timedelta(days=14)


def _young(now: Reckoning) -> bool:
    lowest = min(band["from_age"] for band in now.course.bands.values())
    return band_chosen(now.known, now.on) is None and age_on(now.known["born"], now.on) < lowest


def one_thing(now: Reckoning, next_one: date | None) -> str | None:
    """Return the one thing to work on, None for a verdict that asks for nothing."""
    if now.verdict() in READY | {"paused"}:
        return None
    starts = _starting_points(now)
    if starts:
        return _lowest_root(now, starts)
    return (Looks(now, next_one).best_single() if next_one else None) or _fallback(now)


def _starting_points(now: Reckoning) -> list[str]:
    members = [s for g in now.groups if now.group_gap(g) for s in g.of]
    starts = [s for s in now.asked([*now.deciding, *members]) if now.gap(s)]
    too_many = len(now.not_secure(now.rest)) > now.band["carry_limit"]
    return starts or [s for s in now.rest if too_many and now.gap(s)]


def _lowest_root(now: Reckoning, starts: list[str]) -> str:
    """Return what frees most of the gathered skills under which nothing is gathered."""
    gathered = _gathered(now, starts)
    roots = [s for s in gathered if not gathered & now.course.ancestors(s)]
    return min(roots, key=lambda s: (-_frees(now, s), now.course.skills[s]["minutes"], s))


def _gathered(now: Reckoning, starts: list[str]) -> set[str]:
    _, implied = shown_and_implied(now)
    gathered, waiting = set[str](), list(starts)
    while waiting:
        skill = waiting.pop()
        if skill not in gathered:
            gathered.add(skill)
            lower, direct = now.asked(now.course.ancestors(skill)), now.asked(now.course.links(skill))
            waiting += [s for s in lower if now.gap(s) or now.states[s] == "wobbling"]
            waiting += [s for s in direct if now.states[s] == "building"]
            waiting += [s for s in direct if now.states[s] == "untried" and s not in implied]
    return gathered


def _frees(now: Reckoning, root: str) -> int:
    near = [*now.course.of_unit(now.unit), *(now.course.of_unit(now.next_unit) if now.next_unit else [])]
    return sum(s == root or root in now.course.ancestors(s) for s in now.not_secure(now.asked(near)))


def _fallback(now: Reckoning) -> str | None:
    """Return the open blocker lowest in the graph, else the open skill of the rest."""
    members = [s for g in now.unmet() for s in g.of]
    blockers = [s for s in now.course.in_order([*now.deciding, *members]) if now.states[s] in OPEN]
    rest = [s for s in now.rest if now.states[s] in OPEN]
    return _lowest(now.course, now.asked(blockers) or blockers or rest)


def _lowest(course: Course, skills: list[str]) -> str | None:
    return min(skills, key=lambda s: (len(course.ancestors(s)), course.skills[s]["minutes"], s), default=None)


def showing(known: Toml, day: date, skills: Iterable[str], help_: str = "alone") -> dict[str, Any]:
    """Return the file with one more lesson, supposed, in which some skills were shown."""
    lesson = {"on": day, help_.replace("-", "_"): sorted(skills), "supposed": True}
    return {**known, "lesson": [*known["lesson"], lesson]}


class Looks:
    """The next lesson, and what showing some open skills alone in it would make secure on it."""

    def __init__(self, now: Reckoning, next_one: date) -> None:
        assert now.unit is not None
        self.course, self.known, self.day = now.course, now.known, next_one
        self.before = Reckoning(now.course, now.known, next_one)
        open_ones = [s for s in self.course.up_to(now.unit) if self.before.states[s] in OPEN]
        self.candidates = self.before.asked(open_ones)
        members = {s for g in self.before.unmet() for s in g.of}
        self.members_left_out = [s for s in open_ones if s in self.before.left_out & members]

    def there(self, shown: Iterable[str]) -> set[str]:
        """Return the deciding skills and members of groups that are there on N."""
        then = Reckoning(self.course, showing(self.known, self.day, shown), self.day)
        return {s for s in [*then.deciding, *(m for g in then.groups for m in g.of)] if then.good(s)}

    def reached(self, there: set[str]) -> set[str | int]:
        """Return the deciding skills and, by number, the groups secure with such skills there."""
        groups = {i for i, g in enumerate(self.before.groups) if len(there & set(g.of)) >= g.at_least}
        return {*groups, *(s for s in self.before.deciding if s in there)}

    def best_single(self) -> str | None:
        """Return the one skill whose showing turns most, None where none turns any."""
        already = self.reached(self.there([]))
        for candidates in (self.candidates, self.members_left_out):
            turns_ = {s: len(self.reached(self.there([s])) - already) for s in candidates}
            most = max(turns_.values(), default=0)
            if most:
                return _lowest(self.course, [s for s in candidates if turns_[s] == most])
        return None


def look_first(now: Reckoning, next_one: date | None) -> list[str]:
    """Return the smallest look set, by trying every set, smallest first.

    What a set of showings brings is what each of them brings, together: a note on one skill
    never changes the days of another, and one use above is enough for a refresh. So each skill is
    replayed once, and sets are tried on what came out; the set that is chosen is replayed whole.
    """
    if now.paused() or now.unit is None or next_one is None:
        return []
    looks = Looks(now, next_one)
    candidates = [*looks.candidates, *looks.members_left_out]
    goal, already = looks.reached(looks.there(candidates)), looks.there([])
    brings = {s: looks.there([s]) - already for s in candidates}
    best = _smallest(looks, goal, already, brings)
    assert goal == looks.reached(looks.there(best)), "what showings bring adds up"
    return now.course.in_order(best)


def _smallest(
    looks: Looks, goal: set[str | int], already: set[str], brings: dict[str, set[str]]
) -> list[str]:
    """Try every set: what alone brings a wanted skill is in each, what brings nothing wanted in none."""
    wanted = {s for s in goal if isinstance(s, str)} - already
    members = {s for i, g in enumerate(looks.before.groups) if i in goal for s in g.of}
    useful = sorted(s for s in brings if brings[s] & (wanted | members))
    helpers = [[s for s in useful if w in brings[s]] for w in wanted]
    forced = {of_one[0] for of_one in helpers if len(of_one) == 1}
    for size in range(len(useful) + 1):
        fitting = []
        for more in combinations([s for s in useful if s not in forced], size):
            chosen = sorted(forced | set(more))
            if goal <= looks.reached(already.union(*(brings[s] for s in chosen))):
                fitting.append(chosen)
        if fitting:
            minutes = {s: looks.course.skills[s]["minutes"] for s in useful}
            return min(fitting, key=lambda ids: (sum(minutes[s] for s in ids), ids))
    raise AssertionError("showing everything reaches what showing everything reaches")


def earliest(now: Reckoning, to_come: Iterator[date], next_one: date | None) -> date | None:
    """Return the earliest possible date, by giving one good lesson after the other."""
    verdict = now.verdict()
    if verdict in READY:
        return now.on
    if verdict in {"paused", "not-placed"} or next_one is None:
        return None
    known: Toml = now.known
    for day in islice(to_come, LESSONS_LOOKED_AT):
        before = Reckoning(now.course, known, day)
        members = [s for g in before.groups for s in g.of]
        known = showing(known, day, before.not_secure({*before.deciding, *members, *before.rest}))
        if Reckoning(now.course, known, day).verdict() in READY:
            return day
    return None


def holds_until(now: Reckoning) -> tuple[date | None, Any]:
    """Return the last day of a ready verdict with no lesson noted any more, and why it ends."""
    if now.verdict() not in READY:
        return None, None
    walked = {name: walk_all(now.course, now.known, band) for name, band in now.course.bands.items()}
    today = Reckoning(now.course, now.known, now.on, walked[now.band_name])
    end = _nothing_changes_after(now, walked)
    while today.on <= end:
        day = today.on + timedelta(days=1)
        tomorrow = Reckoning(now.course, now.known, day, walked[band_on(now.course, now.known, day)])
        if tomorrow.verdict() not in READY:
            return today.on, _because(today, tomorrow)
        today = tomorrow
    return None, None


def _nothing_changes_after(now: Reckoning, walked: dict[str, dict[str, Walked]]) -> date:
    """Return the last day on which the band, the state of a skill or a break can begin, for any band."""
    bands = now.course.bands.values()
    birthdays = [turns(now.known["born"], band["from_age"]) for band in bands]
    fading = [w.fresh_until for by_skill in walked.values() for w in by_skill.values() if w.fresh_until]
    most_weeks = max(now.break_limit() // timedelta(weeks=1), *(band["break_weeks"] for band in bands))
    breaks = [day + timedelta(weeks=most_weeks) for day in lesson_days(now.known)[-1:]]
    return max([now.on, *birthdays, *fading, *breaks])


def _because(today: Reckoning, tomorrow: Reckoning) -> dict[str, str] | str:
    """Return what ends a ready verdict: a skill that fades, a birthday, or the break."""
    choice = {"band": today.band_name, "on": today.on, "reason": "to compare with"}
    unchanged = Reckoning(today.course, {**today.known, "band_choice": [choice]}, tomorrow.on, today.walked)
    if unchanged.by_states() not in READY:
        return {"skill": _faded(today, unchanged)}
    changed = today.band_name != tomorrow.band_name
    new_numbers = changed and (tomorrow.by_states() not in READY or not unchanged.away())
    return "birthday" if new_numbers else "no-lesson"


def _faded(today: Reckoning, unchanged: Reckoning) -> str:
    members = [s for g in unchanged.unmet() for s in g.of]
    turned = [s for s in unchanged.course.skills if today.good(s) and not unchanged.good(s)]
    order: list[list[str]] = [unchanged.deciding, members, unchanged.rest]
    return next(s for skills in order for s in turned if s in skills)
