"""The one thing and the look set, worked out a second time (rules, section 4).

For :mod:`readiness.judging.recheck`. The look set is searched for anew, in so many steps; where they do
not suffice, its ``proof`` is followed instead (:mod:`readiness.judging.recheck_proof`).
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any, Final

from readiness.judging.recheck_proof import Want, proves
from readiness.judging.recheck_states import ALONE, GAPS, OPEN, Student
from readiness.judging.recheck_verdict import View

__all__ = ["MOST_STEPS", "Looks", "looks_on", "one_thing", "placing"]

MOST_STEPS: Final = 500


@dataclass(frozen=True)
class Looks:
    """What showings in one lesson would make secure, by skill; ``wants`` as :data:`recheck_proof.Want`."""

    view: View
    makes: Mapping[str, frozenset[str]]
    wants: tuple[Want, ...]

    def gained(self, skills: Iterable[str]) -> list[Want]:
        """Return the wants that showing some skills meets."""
        secure = {made for skill in skills for made in self.makes.get(skill, ())}
        return [want for want in self.wants if len(want[0] & secure) >= want[1]]

    @cached_property
    def reachable(self) -> list[Want]:
        """The wants that showing everything meets."""
        return self.gained(self.makes)

    def is_shown(self, claimed: Collection[str], proof: object) -> bool:
        """Return whether a set meets all that can be met, and its proof shows that none is smaller."""
        enough = set(claimed) <= set(self.makes) and self.gained(claimed) == self.reachable
        return enough and proves(proof, self.makes, self.reachable, len(claimed))

    def smallest(self) -> list[str] | None:
        """Return the smallest set, of equals by minutes and ids; None where it takes too many steps."""
        wanted = frozenset[str]().union(*(want[0] for want in self.reachable))
        reach: dict[str, frozenset[str]] = {}
        for skill in sorted(self.makes, key=self._cost):
            made = self.makes[skill] & wanted
            if made and not any(made <= other for other in reach.values()):
                reach[skill] = made
        wants = sorted(self.reachable, key=lambda want: (len(want[0]), sorted(want[0])))
        least, steps = _apart([_able(want, reach, frozenset()) for want in wants]), [MOST_STEPS]
        for size in range(least, len(reach) + 1):
            found = [*_covers(wants, reach, size, frozenset(), steps)]
            if found or steps[0] < 0:
                break
        if steps[0] < 0:
            return None
        best = min(found, key=lambda some: (sum(self._cost(s)[0] for s in some), sorted(some)))
        return self.view.student.ground.in_order(best)

    def _cost(self, skill: str) -> tuple[int, str]:
        return self.view.student.ground.course.skill[skill].minutes, skill


def _covers(
    wants: list[Want],
    reach: Mapping[str, frozenset[str]],
    size: int,
    secure: frozenset[str],
    steps: list[int],
) -> Iterable[tuple[str, ...]]:
    """Yield all sets of ``size`` skills that meet the wants, and need all of them."""
    steps[0] -= 1
    unmet = [want for want in wants if len(want[0] & secure) < want[1]]
    if not unmet or steps[0] < 0:
        yield from [()] if not size else []
        return
    able = [_able(want, reach, secure) for want in unmet]
    if _apart(able) > size:
        return
    left = dict(reach)
    for skill in min(able, key=len):
        made = left.pop(skill)
        for others in _covers(unmet, left, size - 1, secure | made, steps):
            yield (skill, *others)


def _able(want: Want, reach: Mapping[str, frozenset[str]], secure: frozenset[str]) -> list[str]:
    return [skill for skill, made in reach.items() if made & want[0] - secure]


def _apart(able: list[list[str]]) -> int:
    """Return how many wants there are that no skill helps two of: each needs one of its own."""
    used, found = set[str](), 0
    for some in sorted(able, key=len):
        if used.isdisjoint(some):
            used.update(some)
            found += 1
    return found


def looks_on(student: Student, day: int) -> Looks:
    """Return what showings on a day would settle."""
    view = View.of(student, day)
    ground, members = student.ground, {member for group in view.unmet for member in group[1]}
    skills = ground.course.skills
    stale = {one.id for one in skills if view.state[one.id] == "stale" and not one.must_be_seen}
    makes = {}
    for skill in _open(view, members):
        notes = (*student.evidence(skill, view.band), (day, ALONE, 0))
        own = {skill} if student.walk_over(skill, view.band, notes).since is not None else set()
        makes[skill] = frozenset(own | (ground.below([skill]) & stale if stale else set()))
    wants = [(frozenset({skill}), 1) for skill in view.unsure]
    for least, of in view.unmet:
        met = {member for member in of if view.state[member] in ("secure", "set-aside")}
        wants.append((of - met, least - len(met)))
    return Looks(view, makes, tuple(wants))


def _open(view: View, members: Iterable[str]) -> list[str]:
    unit, here = view.student.ground.unit, view.student.unit
    asked = (s for s in unit if (unit[s] <= here and s not in view.left_out) or s in set(members))
    return [skill for skill in asked if view.state[skill] in OPEN]


# ---------------------------------------------------------------- the one thing


def one_thing(view: View, looks: Looks | None) -> str | None:
    """Return the one thing to work on for a verdict that is not ready."""
    goals = _goals(view)
    if goals:
        return _weakest(view, goals)
    return (looks and _best_look(looks)) or _lowest_open(view)


def _goals(view: View) -> set[str]:
    gaps = {skill for skill in view.state if view.state[skill] in GAPS} - view.left_out
    asked = {*view.must, *(member for group in view.unmet if view.is_gap(group) for member in group[1])}
    if asked & gaps:
        return asked & gaps
    return gaps & set(view.rest) if len(view.loose) > view.limit else set()


def _weakest(view: View, goals: set[str]) -> str:
    ground, state = view.student.ground, view.state
    weak = {skill for skill in state if state[skill] in (*GAPS, "wobbling")} - view.left_out
    missing = {skill for skill in state if state[skill] == "untried"} - implied(view)
    missing |= {skill for skill in state if state[skill] == "building"}
    gathered, new = set[str](), goals
    while new:
        gathered |= new
        direct = {under for skill in gathered for under in ground.named[skill]} & (missing - view.left_out)
        new = (direct | ground.below(gathered) & weak) - gathered
    above = set[str]()
    for skill in ground.upward:
        if any(under in gathered or under in above for under in ground.named[skill]):
            above.add(skill)
    here = (view.student.unit, view.student.unit + 1)
    waits = {s for s in state if ground.unit[s] in here and state[s] != "secure"} - view.left_out

    def key(skill: str) -> tuple[int, int, str]:
        frees = len((ground.above([skill]) | {skill}) & waits)
        return -frees, ground.course.skill[skill].minutes, skill

    return min(gathered - above, key=key)


def _best_look(looks: Looks) -> str | None:
    out = looks.view.left_out
    gains = {skill: len(looks.gained([skill])) for skill in looks.makes}
    for some in ([s for s in gains if s not in out], [s for s in gains if s in out]):
        most = max((gains[skill] for skill in some), default=0)
        if most:
            return _lowest(looks.view, [skill for skill in some if gains[skill] == most])
    return None


def _lowest_open(view: View) -> str | None:
    members = {member for group in view.unmet for member in group[1]}
    found = _open(view, members)
    blocking = [skill for skill in found if skill in view.must or skill in members]
    asked = [skill for skill in blocking if skill not in view.left_out]
    return _lowest(view, asked or blocking or [skill for skill in found if skill in view.rest])


def _lowest(view: View, skills: list[str]) -> str | None:
    ground = view.student.ground
    if len(skills) < 2:
        return skills[0] if skills else None
    return min(skills, key=lambda s: (len(ground.below([s])), ground.course.skill[s].minutes, s))


# ---------------------------------------------------------------- placing


def _latest(view: View) -> tuple[set[str], set[str]]:
    """Return the skills shown, and those whose latest note does not count (R10)."""
    walks = {skill: one.walk for skill, one in view.student.wheres(view.band).items()}
    shown = {s for s, walk in walks.items() if not walk.misses and (walk.notes or walk.start is not None)}
    return shown, {s for s, walk in walks.items() if walk.misses}


def implied(view: View) -> set[str]:
    """Return what shown skills imply (R10)."""
    shown, against = _latest(view)
    seen = {one.id for one in view.student.ground.course.skills if one.must_be_seen}
    return view.student.ground.below(shown) - against - seen


def placing(view: View) -> dict[str, Any]:
    """Climb from the first unit until more than may come along is missing (R10)."""
    ground, out = view.student.ground, view.left_out
    course, shown = ground.course, _latest(view)[0]
    there = {*shown, *implied(view), *out, *(one.id for one in course.skills if one.always_look)}
    start, patches, stopped_by = course.units[0], set[str](), set[str]()
    for unit in course.units[1:]:
        named = {skill for one in ground.taught[unit.number] if one.id not in out for skill in one.stands_on}
        new = {skill for skill in named if ground.unit[skill] < unit.number} - there - patches
        if len(patches | new) > view.limit:
            stopped_by = new
            break
        start, patches = unit, patches | new
    confirmed = [one.confirmed for one in view.student.record.placings if one.confirmed is not None]
    always = [one.id for one in course.skills if one.always_look and one.id not in {*shown, *out}]
    return {
        "start_unit": start.id,
        "patches": ground.in_order(patches),
        "stopped_by": ground.in_order(stopped_by),
        "always_look_open": always,
        "provisional": len(view.student.lessons) < 2 and min(confirmed, default=view.day + 1) > view.day,
    }
