"""The smallest cover of a part that takes more than the steps of our own search, by a solver.

It is asked for the same answer, exactly: the size, then the minutes, then the ids, a few at a time
so that every number stays small.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from readiness import solver
from readiness.course.plan import bits
from readiness.judging.cover_search import Found, Part

__all__ = ["solved"]

_AT_ONCE: Final = 8


def solved(part: Part) -> Found | None:
    """Return the best cover, proved; None where no solver is installed or it gives up."""
    if not solver.is_installed():
        return None
    program = _program(part)
    chosen: tuple[int, ...] | None = None
    for goal in _goals(part):
        chosen = program.least(goal)
        if chosen is None:
            return None
        program.hold({i: -cost for i, cost in goal.items()}, -sum(goal.get(i, 0) for i in chosen))
    return Found(tuple(i for i in chosen or () if i < len(part.reach)), proved=True)


def _goals(part: Part) -> Iterator[dict[int, int]]:
    """Yield what is to be as little as can be, one after the other."""
    count = len(part.reach)
    yield dict.fromkeys(range(count), 1)
    yield dict(enumerate(part.minutes))
    for first in range(0, count, _AT_ONCE):
        some = range(first, min(first + _AT_ONCE, count))
        yield {i: -(1 << (some[-1] - i)) for i in some}


def _program(part: Part) -> solver.Program:
    """Return the question: by number the skills, then what is settled of the groups."""
    count = len(part.reach)
    settled = [(e, of) for of, (members, _) in enumerate(part.groups) for e in bits(members)]
    program = solver.Program(count + len(settled))

    def helpers(thing: int) -> dict[int, int]:
        return {i: 1 for i, mask in enumerate(part.reach) if mask >> thing & 1}

    for e in bits(part.singles):
        program.hold(helpers(e), 1)
    for at, (e, _) in enumerate(settled, count):
        program.hold(helpers(e) | {at: -1}, 0)
    for number, (_, at_least) in enumerate(part.groups):
        program.hold({at: 1 for at, (_, of) in enumerate(settled, count) if of == number}, at_least)
    return program
