"""The smallest set of showings that meets all wants, exactly, within a fixed number of steps.

Of sets of one size the one with fewest teaching minutes, then the first by its ids in alphabetical
order. That is a weighted covering question. First it is made smaller: showings that another does
as much as, wants that another includes, choices without a choice, parts that have nothing to do
with each other. What is left is searched (``judging.cover_search``), size, minutes and ids in turn.

The steps of the search are counted, never the time, so one question has one answer on every
machine. What takes more than ``MOST_STEPS``, far more than a course asks, goes to HiGHS, a solver for
whole-number programs, where the extra ``exact`` is installed; else the best set found is returned as not
proved. Coefficients are whole numbers small enough to be exact in floating point.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import field
from functools import cached_property
from importlib.util import find_spec
from typing import Any, Final

from readiness.course.model import Plan, bits, union
from readiness.judging.cover_search import (
    UNIT,
    BestCover,
    Component,
    Search,
    Spent,
    Steps,
    Ways,
    best_cover,
    size_bound,
)
from readiness.lazy import dataclass

__all__ = [
    "MOST_NODES", "MOST_STEPS", "BinaryProgram", "Cover", "CoverPart", "Reduced", "Want", "is_installed",
    "prove", "reduced", "smallest_cover", "solved",
]  # fmt: skip


def is_installed() -> bool:
    """Return whether there is a solver."""
    return find_spec("highspy") is not None


class BinaryProgram:
    """Unknowns that are 0 or 1, by number, and what must hold of them."""

    def __init__(self, count: int) -> None:
        from highspy import HighsModelStatus, HighsVarType
        from highspy._core import _Highs  # what stands above it announces itself on the screen

        self._solver: Any = _Highs()
        self._solver.setOptionValue("output_flag", False)
        self._solver.setOptionValue("threads", 1)
        for gap in ("mip_rel_gap", "mip_abs_gap"):
            self._solver.setOptionValue(gap, 0.0)
        self._optimal, self.count = HighsModelStatus.kOptimal, count
        for i in range(count):
            self._solver.addVar(0.0, 1.0)
            self._solver.changeColIntegrality(i, HighsVarType.kInteger)

    def hold(self, terms: Mapping[int, int], at_least: int) -> None:
        """Ask that a sum of multiples of unknowns is no less than a number."""
        values: Sequence[float] = [float(times) for times in terms.values()]
        self._solver.addRow(float(at_least), float("inf"), len(terms), list(terms), values)

    def least(self, costs: Mapping[int, int]) -> tuple[int, ...] | None:
        """Return the unknowns that are 1 where the costs are least; None where it gives up."""
        for i in range(self.count):
            self._solver.changeColCost(i, float(costs.get(i, 0)))
        self._solver.run()
        if self._solver.getModelStatus() != self._optimal:
            return None
        values = self._solver.getSolution().col_value
        return tuple(i for i in range(self.count) if values[i] > 0.5)


# The smallest cover of a part that takes more than the steps of our own search, by a solver.
#
# It is asked for the same answer, exactly: the size, then the minutes, then the ids, a few at a time
# so that every number stays small.

_AT_ONCE: Final = 8


def solved(part: Component) -> BestCover | None:
    """Return the best cover, proved; None where no solver is installed or it gives up."""
    if not is_installed():
        return None
    program = _program(part)
    chosen: tuple[int, ...] | None = None
    for goal in _goals(part):
        chosen = program.least(goal)
        if chosen is None:
            return None
        program.hold({i: -cost for i, cost in goal.items()}, -sum(goal.get(i, 0) for i in chosen))
    return BestCover(tuple(i for i in chosen or () if i < len(part.reach)), proved=True)


def _goals(part: Component) -> Iterator[dict[int, int]]:
    """Yield what is to be as little as can be, one after the other."""
    count = len(part.reach)
    yield dict.fromkeys(range(count), 1)
    yield dict(enumerate(part.minutes))
    for first in range(0, count, _AT_ONCE):
        some = range(first, min(first + _AT_ONCE, count))
        yield {i: -(1 << (some[-1] - i)) for i in some}


def _program(part: Component) -> BinaryProgram:
    """Return the question: by number the skills, then what is settled of the groups."""
    count = len(part.reach)
    settled = [(e, of) for of, (members, _) in enumerate(part.groups) for e in bits(members)]
    program = BinaryProgram(count + len(settled))

    def helpers(thing: int) -> dict[int, int]:
        return {i: 1 for i, mask in enumerate(part.reach) if mask >> thing & 1}

    for e in bits(part.singles):
        program.hold(helpers(e), 1)
    for at, (e, _) in enumerate(settled, count):
        program.hold(helpers(e) | {at: -1}, 0)
    for number, (_, at_least) in enumerate(part.groups):
        program.hold({at: 1 for at, (_, of) in enumerate(settled, count) if of == number}, at_least)
    return program


MOST_STEPS: Final = 25_000
"""So many steps are searched, ten times what made-up questions of 45 techniques and 120 pieces take."""


@dataclass(frozen=True)
class Want:
    """At least ``at_least`` of a set of skills are to become secure."""

    skills: int
    at_least: int = 1

    def is_met(self, secure: int) -> bool:
        """Return whether enough of them are."""
        return (self.skills & secure).bit_count() >= self.at_least


@dataclass(frozen=True)
class Cover:
    """A set of skills that meets all wants, and how it is known to be the smallest.

    Attributes:
        skills: by number, in the order of the graph.
        proved: whether it is certain that none is smaller, nor of its size shorter or earlier by id.
        steps: how many steps the search took.
        settles, wants, plan: the question.
    """

    skills: tuple[int, ...]
    proved: bool
    steps: int
    settles: Mapping[int, int] = field(repr=False)
    wants: tuple[Want, ...] = field(repr=False)
    plan: Plan = field(repr=False)

    @property
    def ids(self) -> tuple[str, ...]:
        """The ids of the skills, in the order of the graph."""
        return tuple(self.plan.ids[i] for i in self.skills)

    @cached_property
    def proof(self) -> dict[str, Any] | None:
        """What confirms without a search that no set is smaller: see above :func:`prove`."""
        return prove(self.settles, self.wants, self.plan, self.skills) if self.proved else None


def smallest_cover(
    settles: Mapping[int, int], wants: tuple[Want, ...], plan: Plan, most: int = MOST_STEPS
) -> Cover:
    """Return the smallest set of skills that together meet all wants, exactly.

    Args:
        settles: what each skill makes secure.
        wants: each can be met by all skills together.
        plan: for minutes and ids, which break ties.
        most: how many steps are searched before the proof is given up.
    """
    rest = reduced(settles, wants, plan)
    steps = Steps(most)
    chosen, proved = list(rest.taken), True
    for piece in rest.pieces(plan):
        found = best_cover(piece.part, steps)
        found = found if found.proved else solved(piece.part) or found
        chosen += (piece.skills[i] for i in found.cover)
        proved = proved and found.proved
    return Cover(tuple(sorted(chosen)), proved, most - max(0, steps.left), settles, wants, plan)


@dataclass(frozen=True)
class CoverPart:
    """A part that has nothing to do with the others: its skills in the order of their ids, its wants.

    Wants that one more skill meets come first; they are the things 0, 1, 2 of the part.
    """

    part: Component
    skills: tuple[int, ...]
    wants: tuple[int, ...]


@dataclass
class Reduced:
    """A question made smaller, with the smallest set of the whole kept in sight.

    Attributes:
        wants: all wants there were.
        reach: by skill that may be taken, what it settles.
        waiting: the numbers of the wants that still count.
        taken: skills that are in every smallest set left; secure: what they settle.
        made: what was done: ("take", skill, want), ("drop", skill, other) or ("leave", want, other).
    """

    wants: tuple[Want, ...]
    reach: dict[int, int]
    waiting: list[int]
    taken: list[int] = field(default_factory=list)
    secure: int = 0
    made: list[tuple[str, int, int]] = field(default_factory=list)

    def missing(self, want: int) -> int:
        """Return how many of a want are missing."""
        one = self.wants[want]
        return one.at_least - (one.skills & self.secure).bit_count()

    def members(self, want: int) -> int:
        """Return what of a want is not settled."""
        return self.wants[want].skills & ~self.secure

    def helpers(self, want: int) -> list[int]:
        """Return who brings a want nearer."""
        members = self.members(want)
        return [i for i, mask in self.reach.items() if mask & members]

    def take_needed(self) -> bool:
        """Take the skills without which a want cannot be met; return whether there was one."""
        for want in self.waiting:
            members, missing = self.members(want), self.missing(want)
            helpers = self.helpers(want)
            if len(helpers) > missing and missing == 1:
                continue
            for i in helpers:
                others = union(self.reach[other] & members for other in helpers if other != i)
                if others.bit_count() < missing:
                    self._take(i, want)
                    return True
        return False

    def _take(self, i: int, want: int) -> None:
        self.made.append(("take", i, want))
        self.taken.append(i)
        self.secure |= self.reach.pop(i)
        self.waiting = [want for want in self.waiting if self.missing(want) > 0]

    def drop_dominated(self, plan: Plan) -> bool:
        """Leave out skills for which another does as much and would win every tie.

        ``{a: xy, b: x}`` with ``a`` shorter than ``b``  ->  ``{a: xy}``
        """
        need = union(map(self.members, self.waiting))
        useful = {i: mask & need for i, mask in self.reach.items() if mask & need}
        kept: dict[int, int] = {}
        before = len(self.made)
        for i in sorted(useful, key=lambda i: (plan.minutes[i], plan.ids[i])):
            other = next((k for k, mask in kept.items() if not useful[i] & ~mask), None)
            if other is None:
                kept[i] = useful[i]
            else:
                self.made.append(("drop", i, other))
        self.reach = {i: self.reach[i] for i in kept}
        return len(self.made) > before

    def leave_included(self) -> bool:
        """Leave out wants that are met by whatever meets another; return whether there was one."""
        able = {want: frozenset(self.helpers(want)) for want in self.waiting}
        kept: list[int] = []
        before = len(self.made)
        for want in sorted(self.waiting, key=lambda want: (len(able[want]), want)):
            others = (k for k in kept if self.missing(want) == 1 and able[k] <= able[want])
            other = next(others, None)
            if other is None:
                kept.append(want)
            else:
                self.made.append(("leave", want, other))
        self.waiting = sorted(kept)
        return len(self.made) > before

    def pieces(self, plan: Plan) -> Iterator[CoverPart]:
        """Yield the parts that share no skill, in the order of their first wants."""
        able = {want: set(self.helpers(want)) for want in self.waiting}
        while able:
            first = min(able)
            skills, wants = able.pop(first), [first]
            while linked := [want for want, helpers in able.items() if helpers & skills]:
                for want in linked:
                    skills |= able.pop(want)
                wants += linked
            yield self._piece(sorted(wants), skills, plan)

    def _piece(self, wants: Sequence[int], among: set[int], plan: Plan) -> CoverPart:
        skills = sorted(among, key=lambda i: plan.ids[i])
        alone = [want for want in wants if self.missing(want) == 1]
        groups = [want for want in wants if self.missing(want) > 1]
        of_groups = union(map(self.members, groups))
        place = {skill: len(alone) + at for at, skill in enumerate(bits(of_groups))}

        def things(mask: int) -> int:
            met = sum(1 << at for at, want in enumerate(alone) if mask & self.members(want))
            return met + sum(1 << place[skill] for skill in bits(mask & of_groups))

        part = Component(
            [things(self.reach[i]) for i in skills],
            [plan.minutes[i] for i in skills],
            (1 << len(alone)) - 1,
            [(things(self.members(want)) >> len(alone) << len(alone), self.missing(want)) for want in groups],
        )
        return CoverPart(part, tuple(skills), (*alone, *groups))


def reduced(settles: Mapping[int, int], wants: tuple[Want, ...], plan: Plan) -> Reduced:
    """Make a question smaller for as long as anything can be left out or has to be taken."""
    rest = Reduced(wants, dict(settles), [j for j, want in enumerate(wants) if not want.is_met(0)])
    while rest.take_needed() or rest.drop_dominated(plan) or rest.leave_included():
        pass
    return rest


# What confirms, without a search, that no set smaller than the smallest cover meets all wants.
#
# The checker knows by its own reckoning what each skill settles (a set of skills) and the wants (at
# least so many of some skills). A want is *missing* as many as are still to be settled of its members;
# at 0 it is met. A skill *helps* an unmet want if it settles a member that is not settled. One skill
# *does as much* as another if for each unmet want that counts and that the other helps, either it
# helps too and just 1 is missing, or it settles every unsettled member that the other settles.
#
# A proof is plain data with skill ids; ``WANT`` is ``{"of": [id, ...], "at_least": n}`` and must be a want
# of the question. It is one of:
#
# ``{"kind": "disjoint", "proves": ["size"], "wants": [WANT, ...]}``. No skill helps two of them. So each
# needs skills of its own: what it is missing, over the most members that one skill settles of it,
# rounded up. These numbers add up to the size of the set.
#
# ``{"kind": "tree", "proves": ["size"], "wants": [WANT, ...], "steps": [STEP, ...], "parts": [PART, ...]}``.
# Wants are named by their place in ``wants``, from 0.
#
# * **Steps**, done in turn. At first nothing is settled, all skills may be taken and all wants count.
#   ``["take", id, w]``: all other skills that may be taken, together, do not meet ``w``, which is unmet. The
#   skill is taken: what it settles is settled, and it may not be taken again.
#   ``["drop", id, other]``: ``other`` may be taken and does as much. The skill may not be taken any more.
#   ``["leave", w]``: ``w`` counts no more. It needs no reason: fewer wants need no more skills.
# * **Parts**: ``{"wants": [w, ...], "at_least": k, "unit": u, "prices": [p, ...], "nodes": [NODE, ...]}``
#   with one price, 0 or more, for each want. No skill that may be taken after the steps helps wants of two
#   parts. The skills taken and all ``k`` add up to the size of the set. In a part only its own wants
#   count, and it shows that ``k - 1`` of the skills that may be taken do not meet them:
# * **Nodes** are a tree written parent first, each child with all that is below it before the next. A
#   node is given what is settled, which skills may be taken, and ``r``, how many may be. The first is
#   given what the steps left, and ``k - 1``. The *gain* of a skill is the sum over the unmet wants of
#   price x the smaller of what is missing and what it would settle of the members. The *bound* is
#   the sum over the unmet wants of price x missing, less what each gain is above ``u``. If bound + ``u``
#   - gain of a skill is above ``u * r``, it may not be taken any more, here and below.
# * ``null`` is a dead end: some want is unmet, and ``r`` is 0 or less or the bound is above ``u * r``,
#   or all skills that may still be taken, together, do not meet some want.
# * ``[w, [id, ...], {id: other, ...}]`` goes on with ``w``, which is unmet: every skill that may be taken
#   and helps it is in the list or in the table. Each in the table has for ``other`` one of the list that
#   does as much. One child follows for each in the list, in turn. In it that skill is taken and ``r`` is one
#   less; it, those before it in the list, and those in the table may not be taken any more. There are
#   as many nodes as this walk comes to, none fewer and none more.
#
# None is no proof: the set is the smallest, but a proof would have more than ``MOST_NODES`` nodes, and a
# checker must say "not checked". That the minutes are fewest and the ids first is proved by neither.

MOST_NODES: Final = 2_000


def prove(
    settles: Mapping[int, int], wants: tuple[Want, ...], plan: Plan, skills: Collection[int]
) -> dict[str, Any] | None:
    """Return a proof that nothing smaller than ``skills`` will do, None where it would be too long."""
    apart = _apart(Reduced(wants, dict(settles), list(range(len(wants)))))
    if sum(apart.values()) == len(skills):
        return {"kind": "disjoint", "proves": ["size"], "wants": [_want(wants[j], plan) for j in apart]}
    rest, room = reduced(settles, wants, plan), Steps(MOST_NODES)
    try:
        parts = [_part(piece, plan, skills, room) for piece in rest.pieces(plan)]
    except Spent:
        return None
    steps = [_step(*made, plan) for made in rest.made]
    named = [_want(want, plan) for want in wants]
    return {"kind": "tree", "proves": ["size"], "wants": named, "steps": steps, "parts": parts}


def _want(want: Want, plan: Plan) -> dict[str, Any]:
    return {"of": list(plan.names(want.skills)), "at_least": want.at_least}


def _step(what: str, index: int, other: int, plan: Plan) -> list[str | int]:
    if what == "leave":
        return [what, index]
    return [what, plan.ids[index], other if what == "take" else plan.ids[other]]


def _apart(question: Reduced) -> dict[int, int]:
    """Return wants that share no helper, and how many skills each needs at least."""
    found: dict[int, int] = {}
    used: set[int] = set()
    able = {want: question.helpers(want) for want in question.waiting if question.missing(want) > 0}
    for want in sorted(able, key=lambda want: (len(able[want]), want)):
        if used.isdisjoint(able[want]):
            used.update(able[want])
            most = max((question.reach[i] & question.members(want)).bit_count() for i in able[want])
            found[want] = -(-question.missing(want) // most)
    return found


def _part(piece: CoverPart, plan: Plan, skills: Collection[int], room: Steps) -> dict[str, Any]:
    size = len(set(piece.skills) & set(skills))
    bound = size_bound(piece.part, size - 1, Steps(MOST_NODES))
    search = Search(piece.part, (bound,), size - 1, None, room)
    alone = len(piece.wants) - len(piece.part.groups)
    return {
        "wants": list(piece.wants),
        "at_least": size,
        "unit": UNIT,
        "prices": [*bound.prices[:alone], *bound.group_prices],
        "nodes": [_node(ways, piece, plan) for ways in _tree(search, len(piece.skills))],
    }


def _tree(search: Search, count: int) -> Iterator[Ways | None]:
    """Yield what to do at each node, parents first."""
    waiting = [search.begin((), range(count))]
    while waiting:
        search.steps.take()
        state = waiting.pop()
        ways = search.ways(state)
        yield ways
        if ways is not None:
            waiting.extend(reversed(search.after(state, ways)))


def _node(ways: Ways | None, piece: CoverPart, plan: Plan) -> list[Any] | None:
    if ways is None or ways.want is None:
        return None
    alone = len(piece.wants) - len(piece.part.groups)
    want = piece.wants[ways.want if ways.want >= 0 else alone - 1 - ways.want]
    name = [plan.ids[i] for i in piece.skills]
    return [want, [name[i] for i in ways.tried], {name[i]: name[k] for i, k in ways.same.items()}]
