"""Questions for the smallest cover, made up, and a checker of its proofs that shares nothing with the search.

The checker is written from the text of ``readiness.judging.cover`` alone: sets of ids, no bits.
"""

from __future__ import annotations

import random
from types import SimpleNamespace

from readiness.course.model import bits
from readiness.judging.cover import Want


def question(settles, wants, minutes, ids=None):
    """Return a question: what each skill settles, as sets of numbers, and (skills, how many) wanted."""
    top = max(
        [len(minutes) - 1, *(e for some in settles.values() for e in some), *(e for w, _ in wants for e in w)]
    )
    ids = [*(ids or [f"skill-{i:03d}" for i in range(len(minutes))])]
    ids += [f"only-wanted-{i}" for i in range(len(ids), top + 1)]
    plan = SimpleNamespace(
        minutes=tuple(minutes), ids=tuple(ids), names=lambda some: tuple(ids[i] for i in bits(some))
    )
    return (
        {i: sum(1 << e for e in some) for i, some in settles.items()},
        tuple(Want(sum(1 << e for e in some), at_least) for some, at_least in wants),
        plan,
    )


def pieces_on_techniques(techniques, pieces, seed, minutes=(5,), stands_on=3):
    """Return the question of stale techniques and pieces that each stand on some of them.

    As hard as covering questions come: exact cover by threes is among the first problems
    proved NP-complete (Karp 1972).
    """
    chance = random.Random(seed)
    settles = {i: [i] for i in range(techniques)}
    for i in range(techniques, techniques + pieces):
        settles[i] = [i, *chance.sample(range(techniques), stands_on)]
    ids = [f"skill-{i:03d}" for i in range(techniques + pieces)]
    chance.shuffle(ids)
    times = [chance.choice(minutes) for _ in ids]
    return question(settles, [([e], 1) for e in range(techniques)], times, ids)


class _Ground:
    """What is settled, who may be taken and which wants count."""

    def __init__(self, settles, wants):
        self.settles, self.wants = settles, wants
        self.settled, self.able, self.counting = set(), set(settles), set(range(len(wants)))

    def below(self, take=None, without=()):
        other = _Ground(self.settles, self.wants)
        other.settled, other.able, other.counting = set(self.settled), self.able - set(without), self.counting
        if take is not None:
            other.settled |= self.settles[take]
            other.able.discard(take)
        return other

    def unmet(self):
        return [w for w in self.counting if self.missing(w) > 0]

    def missing(self, w):
        return self.wants[w]["at_least"] - len(set(self.wants[w]["of"]) & self.settled)

    def adds(self, skill, w):
        return self.settles[skill] & set(self.wants[w]["of"]) - self.settled

    def can_meet(self, w, without=()):
        together = set().union(*(self.adds(s, w) for s in self.able if s not in without))
        return len(together) >= self.missing(w)

    def does_as_much(self, one, other):
        for w in self.unmet():
            a, b = self.adds(other, w), self.adds(one, w)
            if a and not a <= b and not (b and self.missing(w) == 1):
                return False
        return True


def confirms(proof, cover):
    """Return whether a proof shows that nothing smaller than the cover will do."""
    plan = cover.plan
    settles = {plan.ids[i]: set(plan.names(mask)) for i, mask in cover.settles.items()}
    asked = [(set(plan.names(want.skills)), want.at_least) for want in cover.wants]
    if any((set(want["of"]), want["at_least"]) not in asked for want in proof["wants"]):
        return False
    ground = _Ground(settles, proof["wants"])
    if proof["kind"] == "disjoint":
        return _apart(ground) == len(cover.skills)
    taken = 0
    for step in proof["steps"]:
        if not _step(ground, *step):
            return False
        taken += step[0] == "take"
    helped = [{s for s in ground.able for w in part["wants"] if ground.adds(s, w)} for part in proof["parts"]]
    if sum(map(len, helped)) != len(set().union(*helped)):
        return False
    at_least = taken + sum(part["at_least"] for part in proof["parts"])
    return at_least == len(cover.skills) and all(_part(ground, part) for part in proof["parts"])


def _apart(ground):
    total, used = 0, set()
    for w in range(len(ground.wants)):
        helpers = {s for s in ground.able if ground.adds(s, w)}
        if not helpers or helpers & used:
            return None
        used |= helpers
        total += -(-ground.missing(w) // max(len(ground.adds(s, w)) for s in helpers))
    return total


def _step(ground, what, one, other=None):
    if what == "leave":
        ground.counting.discard(one)
        return True
    if one not in ground.able:
        return False
    if what == "take":
        fits = ground.missing(other) > 0 and not ground.can_meet(other, {one})
        ground.settled |= ground.settles[one]
    else:
        fits = other != one and other in ground.able and ground.does_as_much(other, one)
    ground.able.discard(one)
    return fits


def _part(ground, part):
    ground = ground.below()
    ground.counting = set(part["wants"])
    price = dict(zip(part["wants"], part["prices"], strict=True))
    if min(part["prices"]) < 0:
        return False
    waiting, nodes = [(ground, part["at_least"] - 1)], iter(part["nodes"])
    while waiting:
        here, left = waiting.pop()
        children = _node(here, left, next(nodes, "end"), part["unit"], price)
        if children is None:
            return False
        waiting.extend(reversed(children))
    return next(nodes, "end") == "end"


def _node(here, left, node, unit, price):
    """Return the children, None where the node does not hold."""
    unmet = here.unmet()
    missing = {w: here.missing(w) for w in unmet}
    gain = {s: sum(price[w] * min(missing[w], len(here.adds(s, w))) for w in unmet) for s in here.able}
    bound = sum(price[w] * missing[w] for w in unmet) - sum(max(0, one - unit) for one in gain.values())
    here.able = {s for s in here.able if bound + unit - gain[s] <= unit * left}
    if node is None:
        dead = left <= 0 or bound > unit * left or not all(map(here.can_meet, unmet))
        return [] if unmet and dead else None
    if node == "end":
        return None
    want, tried, same = node
    if want not in unmet or {s for s in here.able if here.adds(s, want)} - set(tried) - set(same):
        return None
    if not all(k in tried and here.does_as_much(k, s) for s, k in same.items()):
        return None
    return [(here.below(s, {*tried[:at], *same}), left - 1) for at, s in enumerate(tried)]
