"""What confirms, without a search, that no set smaller than the smallest cover meets all wants.

The checker knows by its own reckoning what each skill settles (a set of skills) and the wants (at
least so many of some skills). A want is *missing* as many as are still to be settled of its members;
at 0 it is met. A skill *helps* an unmet want if it settles a member that is not settled. One skill
*does as much* as another if for each unmet want that counts and that the other helps, either it
helps too and just 1 is missing, or it settles every unsettled member that the other settles.

A proof is plain data with skill ids; ``WANT`` is ``{"of": [id, ...], "at_least": n}`` and must be a want
of the question. It is one of:

``{"kind": "disjoint", "proves": ["size"], "wants": [WANT, ...]}``. No skill helps two of them. So each
needs skills of its own: what it is missing, over the most members that one skill settles of it,
rounded up. These numbers add up to the size of the set.

``{"kind": "tree", "proves": ["size"], "wants": [WANT, ...], "steps": [STEP, ...], "parts": [PART, ...]}``.
Wants are named by their place in ``wants``, from 0.

* **Steps**, done in turn. At first nothing is settled, all skills may be taken and all wants count.
  ``["take", id, w]``: all other skills that may be taken, together, do not meet ``w``, which is unmet. The
  skill is taken: what it settles is settled, and it may not be taken again.
  ``["drop", id, other]``: ``other`` may be taken and does as much. The skill may not be taken any more.
  ``["leave", w]``: ``w`` counts no more. It needs no reason: fewer wants need no more skills.
* **Parts**: ``{"wants": [w, ...], "at_least": k, "unit": u, "prices": [p, ...], "nodes": [NODE, ...]}``
  with one price, 0 or more, for each want. No skill that may be taken after the steps helps wants of two
  parts. The skills taken and all ``k`` add up to the size of the set. In a part only its own wants
  count, and it shows that ``k - 1`` of the skills that may be taken do not meet them:
* **Nodes** are a tree written parent first, each child with all that is below it before the next. A
  node is given what is settled, which skills may be taken, and ``r``, how many may be. The first is
  given what the steps left, and ``k - 1``. The *gain* of a skill is the sum over the unmet wants of
  price x the smaller of what is missing and what it would settle of the members. The *bound* is
  the sum over the unmet wants of price x missing, less what each gain is above ``u``. If bound + ``u``
  - gain of a skill is above ``u * r``, it may not be taken any more, here and below.
* ``null`` is a dead end: some want is unmet, and either ``r`` is 0 or less, or the bound is above ``u * r``,
  or all skills that may still be taken, together, do not meet some want.
* ``[w, [id, ...], {id: other, ...}]`` goes on with ``w``, which is unmet: every skill that may be taken
  and helps it is in the list or in the table. Each in the table has for ``other`` one of the list that
  does as much. One child follows for each in the list, in turn. In it that skill is taken and ``r`` is one
  less; it, those before it in the list, and those in the table may not be taken any more. There are
  as many nodes as this walk comes to, none fewer and none more.

None is no proof: the set is the smallest, but a proof would have more than ``MOST_NODES`` nodes, and a
checker must say "not checked". That the minutes are fewest and the ids first is proved by neither.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from typing import Any, Final

from readiness.course.plan import Plan
from readiness.judging.cover import Piece, Reduced, Want, reduced
from readiness.judging.cover_search import UNIT, Search, Spent, Steps, Ways, size_bound

__all__ = ["MOST_NODES", "prove"]

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


def _step(what: str, one: int, other: int, plan: Plan) -> list[str | int]:
    if what == "leave":
        return [what, one]
    return [what, plan.ids[one], other if what == "take" else plan.ids[other]]


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


def _part(piece: Piece, plan: Plan, skills: Collection[int], room: Steps) -> dict[str, Any]:
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


def _node(ways: Ways | None, piece: Piece, plan: Plan) -> list[Any] | None:
    if ways is None or ways.want is None:
        return None
    alone = len(piece.wants) - len(piece.part.groups)
    want = piece.wants[ways.want if ways.want >= 0 else alone - 1 - ways.want]
    name = [plan.ids[i] for i in piece.skills]
    return [want, [name[i] for i in ways.tried], {name[i]: name[k] for i, k in ways.same.items()}]
