"""What confirms, without a search, that no set of skills smaller than the smallest cover meets all wants.

The checker knows by its own reckoning what each skill settles (a set of skills) and the wants (at
least so many of some skills), the members of a group that are met already left out of both. A skill
*helps* a want if it settles a member that is not yet settled; a want is *missing* so many more of
its members. A proof is plain data with skill ids, one of:

``{"kind": "disjoint", "proves": ["size"], "wants": [WANT, ...]}``, where ``WANT`` is
``{"of": [id, ...], "at_least": n}``. Each is one of the wants of the question (the same ``of``,
``n`` no larger). No skill helps two of them. So each needs its own skills: as many as it is
missing, over the most members any one skill settles of it, rounded up. These numbers add up to
the size of the set.

``{"kind": "tree", "proves": ["size"], "wants": [WANT, ...], "steps": [...], "parts": [...]}``, in
which wants are meant by their place in ``wants``, from 0. Again each is one of the question.

* At first nothing is settled, all skills may be taken and all wants count. The steps are done in turn:
  ``["take", id, w]``: without this skill all that may be taken cannot meet ``w``. It is taken: it
  may not be taken again, and what it settles is settled. ``["drop", id, other]``: ``other`` may be
  taken, and it settles all the skill does of the members not yet settled of the wants that count
  and are not met. The skill may not be taken any more. ``["leave", w]``: ``w`` counts no more (this
  needs no reason).
* Each part is ``{"wants": [w, ...], "at_least": k, "unit": u, "prices": [p, ...], "nodes": [...]}``, a
  price, 0 or more, for each of its wants. No skill that may be taken helps wants of two parts.
  The number of skills taken and all ``k`` add up to the size of the set. In each part fewer than
  ``k`` of the skills that may be taken do not meet its wants:
* ``nodes`` is a tree, parents before children and each child with all below it before the next. A
  node begins with what its parent hands down: skills settled, skills that may be taken, and ``r``,
  how many are left; the first with the part after the steps and ``r = k - 1``. Its *bound* is the sum
  over the wants of price x missing, less, for each skill that may be taken and whose gain is more
  than ``u``, gain - ``u``. The *gain* of a skill is the sum over the wants of price x the smaller
  of missing and the number of members it would settle.
* A node that is ``null`` is a dead end: a want is not met, and ``r`` is 0, or the bound is more than
  ``u * r``, or all that may be taken together does not meet some want.
* Any other node is ``{"want": w, "try": [id, ...], "same": {id: other, ...}}``. First every skill with
  bound + ``u`` - gain > ``u * r`` may not be taken any more (where the gain is less than ``u``). All that still helps ``w`` is in ``try``
  or in ``same``, and ``w`` is not met. Each in ``same`` settles no member not yet settled of the
  part's unmet wants that its ``other``, which is in ``try``, does not settle too. Then comes one child for each in
  ``try``, in turn: the skill is taken, with it and all in ``same`` and all tried before it not to
  be taken any more, ``r`` less by one.

A proof longer than ``MOST_NODES`` nodes is not given (None): smallest, but "not checked". Minutes
and ids are not proved by any.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import Any, Final

from readiness.course.plan import Plan
from readiness.judging.cover import Piece, Reduced, Want, reduced
from readiness.judging.cover_search import UNIT, Search, Spent, Steps, Ways, best_cover, size_bound

__all__ = ["MOST_NODES", "prove"]

MOST_NODES: Final = 2_000

_MOST_STEPS: Final = 100_000
"""More than the search that found the set took."""


def prove(
    settles: Mapping[int, int], wants: tuple[Want, ...], plan: Plan, size: int
) -> dict[str, Any] | None:
    """Return a proof that ``size`` skills is the fewest, None where it would be too long."""
    apart = _apart(Reduced(wants, dict(settles), list(range(len(wants)))))
    if sum(apart.values()) == size:
        return {"kind": "disjoint", "proves": ["size"], "wants": [_want(wants[j], plan) for j in apart]}
    rest = reduced(settles, wants, plan)
    nodes = _Room(MOST_NODES)
    try:
        parts = [_part(rest, piece, plan, nodes) for piece in rest.pieces(plan)]
    except Spent:
        return None
    return {
        "kind": "tree",
        "proves": ["size"],
        "wants": [_want(want, plan) for want in wants],
        "steps": [list(_step(made, plan)) for made in rest.made],
        "parts": parts,
    }
