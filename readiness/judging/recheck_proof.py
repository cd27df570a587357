"""Follow a proof that no smaller set of looks will do; nothing is searched here.

For :mod:`readiness.judging.recheck`. A proof is data that anybody may have written, so every step is
checked before it is believed. ``disjoint`` names wants that share no helper; ``tree`` names what was taken
and dropped, and then every choice there is, each with its dead end.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

__all__ = ["Want", "proves"]

Proof = dict[str, Any]
Want = tuple[frozenset[str], int]
"""At least so many of a set of skills are to become secure."""


class _NoProofError(Exception):
    """A step of a proof does not hold."""


def proves(
    proof: object, makes: Mapping[str, frozenset[str]], wants: Sequence[Want], size: int
) -> bool:
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

    def does_as_much(self, one: str, other: str) -> bool:
        """Return whether a skill does as much as another for all that is unmet."""
        pairs = [(want, self.brings(one, want), self.brings(other, want)) for want in self.unmet]
        return all(theirs <= mine or (mine and self.missing(want) == 1) for want, mine, theirs in pairs)


def _proved(proof: Proof, state: _State, size: int) -> bool:
    _holds(proof["proves"] == ["size"])
    if proof["kind"] == "disjoint":
        _holds(proof.keys() == {"kind", "proves", "wants"})
        return _apart(state, state.wants) and sum(_least(state, want) for want in state.wants) == size
    _holds(proof["kind"] == "tree" and proof.keys() == {"kind", "proves", "wants", "steps", "parts"})
    taken = 0
    for step in proof["steps"]:
        state, taken = _after(state, step), taken + (step[0] == "take")
    owner = {want: n for n, part in enumerate(proof["parts"]) for want in part["wants"]}
    _holds(len(owner) == sum(len(part["wants"]) for part in proof["parts"]) and _apart(state, owner))
    for part in proof["parts"]:
        _follow(part, state)
    return bool(taken + sum(part["at_least"] for part in proof["parts"]) == size)


def _apart(state: _State, owner: Mapping[int, object]) -> bool:
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
