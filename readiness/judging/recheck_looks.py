"""The look set, the one thing and where to begin, worked out a second time (rules, section 4).

For :mod:`readiness.judging.recheck`. The look set is searched for anew, in so many steps; where they do
not suffice, its ``proof`` is followed instead.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any, Final

from readiness.judging.recheck_rules import ALONE, GAPS, OPEN, Student, StudentOnDay
from readiness.terms import State

__all__ = ["MOST_STEPS", "LessonLooks", "Want", "looks_on", "one_thing", "placing", "proves"]

# ---------------------------------------------------------------- following a proof
#
# A proof is data that anybody may have written, so every step is checked before it is believed. ``disjoint``
# names wants that share no helper; ``tree`` names what was taken and dropped, and then every choice there is,
# each with its dead end.

Proof = dict[str, Any]
Want = tuple[frozenset[str], int]
"""At least so many of a set of skills are to become secure."""


class _NoProofError(Exception):
    """A step of a proof does not hold."""


def proves(proof: object, makes: Mapping[str, frozenset[str]], wants: Sequence[Want], size: int) -> bool:
    """Return whether a proof shows that fewer than ``size`` skills do not meet all wants.

    Args:
        proof: what the answer brings, of whatever shape.
        makes: by skill, what showing it makes secure.
        wants: what is to be met; all together can meet it.
        size: how many skills the set has.
    """
    try:
        return isinstance(proof, dict) and _proved(proof, _State(dict(makes), _named(proof, wants)), size)
    except (_NoProofError, AttributeError, IndexError, KeyError, StopIteration, TypeError, ValueError):
        return False


def _holds(claim: bool) -> None:
    if not claim:
        raise _NoProofError


def _named(proof: Proof, wants: Sequence[Want]) -> dict[int, Want]:
    """Return the wants that a proof names, by their place in it; each must be one of the question."""
    named = {n: (frozenset(one["of"]), one["at_least"]) for n, one in enumerate(proof["wants"])}
    _holds(all(want in wants for want in named.values()))
    return named


@dataclass(frozen=True)
class _State:
    """The skills that may be taken with what they make secure, the wants that count, what is settled."""

    may: Mapping[str, frozenset[str]]
    wants: Mapping[int, Want]
    settled: frozenset[str] = frozenset()

    def missing(self, want: int) -> int:
        return max(0, self.wants[want][1] - len(self.wants[want][0] & self.settled))

    @property
    def unmet(self) -> list[int]:
        return [want for want in self.wants if self.missing(want)]

    def brings(self, skill: str, want: int) -> frozenset[str]:
        """Return what a skill would settle of a want."""
        return (self.may[skill] & self.wants[want][0]) - self.settled

    def helpers(self, want: int) -> set[str]:
        return {skill for skill in self.may if self.brings(skill, want)}

    def is_beyond(self) -> bool:
        """Return whether all that may be taken, together, does not meet some want."""
        every = self.settled.union(*self.may.values())
        return any(len(self.wants[want][0] & every) < self.wants[want][1] for want in self.unmet)

    def without(self, skills: set[str]) -> _State:
        return replace(self, may={skill: made for skill, made in self.may.items() if skill not in skills})

    def taking(self, skill: str) -> _State:
        return replace(self.without({skill}), settled=self.settled | self.may[skill])

    def does_as_much(self, skill: str, other: str) -> bool:
        """Return whether a skill does as much as another for all that is unmet."""
        pairs = [(want, self.brings(skill, want), self.brings(other, want)) for want in self.unmet]
        return all(theirs <= mine or (mine and self.missing(want) == 1) for want, mine, theirs in pairs)


def _proved(proof: Proof, state: _State, size: int) -> bool:
    _holds(proof["proves"] == ["size"])
    if proof["kind"] == "disjoint":
        _holds(proof.keys() == {"kind", "proves", "wants"})
        return _parts_apart(state, state.wants) and sum(_least(state, want) for want in state.wants) == size
    _holds(proof["kind"] == "tree" and proof.keys() == {"kind", "proves", "wants", "steps", "parts"})
    taken = 0
    for step in proof["steps"]:
        state, taken = _after(state, step), taken + (step[0] == "take")
    owner = {want: n for n, part in enumerate(proof["parts"]) for want in part["wants"]}
    _holds(len(owner) == sum(len(part["wants"]) for part in proof["parts"]) and _parts_apart(state, owner))
    for part in proof["parts"]:
        _follow(part, state)
    return bool(taken + sum(part["at_least"] for part in proof["parts"]) == size)


def _parts_apart(state: _State, owner: Mapping[int, object]) -> bool:
    """Return whether no skill helps wants of two owners; ``owner`` may be the wants themselves."""
    whose = {want: want if owner is state.wants else owner[want] for want in owner}
    helped = ({whose[want] for want in whose if state.brings(skill, want)} for skill in state.may)
    return all(len(owners) < 2 for owners in helped)


def _least(state: _State, want: int) -> int:
    most = max((len(state.brings(skill, want)) for skill in state.may), default=0)
    return -(-state.missing(want) // most) if most else 0


def _after(state: _State, step: list[Any]) -> _State:
    """Return what a step leaves."""
    what, one, other = [*step, None][:3]
    if what == "take":
        apart = state.without({one})
        every = state.settled.union(*apart.may.values())
        _holds(one in state.may and other in state.unmet)
        _holds(len(state.wants[other][0] & every) < state.wants[other][1])
        return state.taking(one)
    if what == "drop":
        _holds(one != other and {one, other} <= state.may.keys() and state.does_as_much(other, one))
        return state.without({one})
    _holds(what == "leave" and one in state.wants)
    return replace(state, wants={want: of for want, of in state.wants.items() if want != one})


def _follow(part: Proof, state: _State) -> None:
    """Follow the tree of a part: with one skill fewer than it says nothing meets its wants."""
    _holds(part.keys() == {"wants", "at_least", "unit", "prices", "nodes"})
    whole = [part["at_least"], part["unit"], *part["prices"]]
    _holds(all(type(number) is int for number in whole) and min([*part["prices"], 0]) == 0)
    prices = dict(zip(part["wants"], part["prices"], strict=True))
    waiting = [(replace(state, wants={want: state.wants[want] for want in prices}), part["at_least"] - 1)]
    nodes = iter(part["nodes"])
    while waiting:
        here, room = waiting.pop()
        here, is_dead = _bounded(here, room, prices, part["unit"])
        children = _children(here, room, next(nodes), is_dead)
        waiting += [*children][::-1]
    _holds(next(nodes, nodes) is nodes)


def _bounded(state: _State, room: int, prices: Mapping[int, int], unit: int) -> tuple[_State, bool]:
    """Return what a bound by prices leaves, and whether it is a dead end."""
    unmet = state.unmet
    gain = {
        skill: sum(prices[want] * min(state.missing(want), len(state.brings(skill, want))) for want in unmet)
        for skill in state.may
    }
    bound = sum(prices[want] * state.missing(want) for want in unmet)
    bound -= sum(max(0, one - unit) for one in gain.values())
    left = state.without({skill for skill in gain if bound + unit - gain[skill] > unit * room})
    return left, bool(unmet) and (room <= 0 or bound > unit * room or left.is_beyond())


def _children(
    state: _State, room: int, node: list[Any] | None, is_dead: bool
) -> Iterator[tuple[_State, int]]:
    """Yield where a node goes on: nowhere at a dead end, else with each skill that helps one want."""
    if node is None:
        _holds(is_dead)
        return
    want, tried, same = node
    helpers = state.helpers(want)
    _holds(want in state.unmet and helpers <= {*tried, *same})
    gone = {skill: other for skill, other in same.items() if skill in state.may}
    _holds(all(other in tried and state.does_as_much(other, skill) for skill, other in gone.items()))
    left = state.without({*same} - {*tried})
    for skill in tried:
        yield left.taking(skill), room - 1
        left = left.without({skill})


MOST_STEPS: Final = 500


@dataclass(frozen=True)
class LessonLooks:
    """What showings in one lesson would make secure, by skill; ``wants`` as :data:`recheck_proof.Want`."""

    view: StudentOnDay
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


def looks_on(student: Student, day: int) -> LessonLooks:
    """Return what showings on a day would settle."""
    view = StudentOnDay.of(student, day)
    ground, members = student.ground, {member for group in view.unmet for member in group[1]}
    open_, skill_of = _open(view, members), ground.course.skill
    under = (one for one in ground.below(open_) if not skill_of[one].must_be_seen)
    stale = {one for one in under if view.state[one] == State.STALE}
    makes = {}
    for skill in open_:
        notes = (*student.evidence(skill, view.band), (day, ALONE, 0))
        own = {skill} if student.walk_over(skill, view.band, notes).since is not None else set()
        makes[skill] = frozenset(own | (ground.below([skill]) & stale if stale else set()))
    wants = [(frozenset({skill}), 1) for skill in view.unsure]
    for least, of in view.unmet:
        met = {member for member in of if view.state[member] in (State.SECURE, State.SET_ASIDE)}
        wants.append((of - met, least - len(met)))
    return LessonLooks(view, makes, tuple(wants))


def _open(view: StudentOnDay, members: Iterable[str]) -> list[str]:
    unit, here = view.student.ground.unit, view.student.unit
    among = set(members)
    asked = (s for s in unit if (unit[s] <= here and s not in view.asked.left_out) or s in among)
    return [skill for skill in asked if view.state[skill] in OPEN]


def one_thing(view: StudentOnDay, looks: LessonLooks | None) -> str | None:
    """Return the one thing to work on for a verdict that is not ready."""
    goals = _goals(view)
    if goals:
        return _weakest(view, goals)
    return (looks and _best_look(looks)) or _lowest_open(view)


def _goals(view: StudentOnDay) -> set[str]:
    gaps = view.those(*GAPS) - view.asked.left_out
    asked = {*view.asked.must, *(member for group in view.unmet if view.is_gap(group) for member in group[1])}
    if asked & gaps:
        return asked & gaps
    return gaps & set(view.asked.rest) if len(view.loose) > view.limit else set()


def _weakest(view: StudentOnDay, goals: set[str]) -> str:
    ground = view.student.ground
    out = view.asked.left_out
    weak = view.those(*GAPS, State.WOBBLING) - out
    missing = (view.those(State.BUILDING) | view.those(State.UNTRIED) - implied(view)) - out
    gathered, new = set[str](), goals
    while new:
        gathered |= new
        direct = {under for skill in gathered for under in ground.named[skill]} & missing
        new = (direct | ground.below(gathered) & weak) - gathered
    above = set[str]()
    for skill in ground.upward:
        if any(under in gathered or under in above for under in ground.named[skill]):
            above.add(skill)
    here = (view.student.unit, view.student.unit + 1)
    waits = {skill for skill in ground.unit if ground.unit[skill] in here} - view.those(State.SECURE) - out

    def key(skill: str) -> tuple[int, int, str]:
        frees = len((ground.above([skill]) | {skill}) & waits)
        return -frees, ground.course.skill[skill].minutes, skill

    return min(gathered - above, key=key)


def _best_look(looks: LessonLooks) -> str | None:
    out = looks.view.asked.left_out
    gains = {skill: len(looks.gained([skill])) for skill in looks.makes}
    for some in ([s for s in gains if s not in out], [s for s in gains if s in out]):
        most = max((gains[skill] for skill in some), default=0)
        if most:
            return _lowest(looks.view, [skill for skill in some if gains[skill] == most])
    return None


def _lowest_open(view: StudentOnDay) -> str | None:
    members = {member for group in view.unmet for member in group[1]}
    found = _open(view, members)
    blocking = [skill for skill in found if skill in view.asked.must or skill in members]
    asked = [skill for skill in blocking if skill not in view.asked.left_out]
    return _lowest(view, asked or blocking or [skill for skill in found if skill in view.asked.rest])


def _lowest(view: StudentOnDay, skills: list[str]) -> str | None:
    ground = view.student.ground
    if len(skills) < 2:
        return skills[0] if skills else None
    return min(skills, key=lambda s: (len(ground.below([s])), ground.course.skill[s].minutes, s))


def _latest(view: StudentOnDay) -> tuple[set[str], set[str]]:
    """Return the skills shown, and those whose latest note does not count (R10)."""
    where = view.student.wheres(view.band)
    walks = {skill: where[skill].walk for skill in view.student.ground.place}
    shown = {s for s, walk in walks.items() if not walk.misses and (walk.notes or walk.start is not None)}
    return shown, {s for s, walk in walks.items() if walk.misses}


def implied(view: StudentOnDay) -> set[str]:
    """Return what shown skills imply (R10)."""
    shown, against = _latest(view)
    seen = {one.id for one in view.student.ground.course.skills if one.must_be_seen}
    return view.student.ground.below(shown) - against - seen


def placing(view: StudentOnDay) -> dict[str, Any]:
    """Climb from the first unit until more than may come along is missing (R10)."""
    ground, out = view.student.ground, view.asked.left_out
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
