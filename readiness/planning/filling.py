"""Fill some minutes with the things that matter most: the best filling there is.

Each thing gets either no minutes or a whole number of them between its least and its most.
Of all fillings that keep to the minutes, and begin no more new things than may be begun, the
best one is the one with, compared in this sequence,

1. the most *worth*: the numbers of the things worked on, added up place by place and compared
   from the left, so that one thing of an earlier place beats any number of later ones;
2. the most minutes used;
3. the fewest different things;
4. the most minutes for the first thing of the list, then for the second, and so on.

It is found by dynamic programming over whole minutes: for every number of minutes and of
things begun, only the best filling of the things so far can be part of a best one, because
adding the same to two fillings never changes which of them is better. No guess, no order of
grabbing. Where that would be too many, as in a lesson of days, only the best of these are followed,
and some lengths only, and that is said. Nothing here knows a skill or a student.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, NamedTuple

__all__ = ["Choice", "Filled", "Filling", "best_filling"]

Filling = tuple[int, ...]
"""Minutes for each choice, in their order."""

_Merit = tuple[tuple[int, ...], int, int, Filling]
"""What speaks for a filling, to be compared from left to right."""


_STEPS: Final = 300_000
"""How many ways to go on are looked at, in all, before only the best are followed."""

_LENGTHS: Final = 60
"""How many lengths of one thing are tried at most."""


@dataclass(frozen=True, slots=True)
class Choice:
    """Something that may be worked on.

    Attributes:
        least, most: the fewest minutes that make sense, and the most that do.
        worth: what working on it is worth, most important place first.
        begins: whether it would be begun, and so counts against what may be begun.
    """

    least: int
    most: int
    worth: tuple[int, ...]
    begins: bool = False


class Filled(NamedTuple):
    """Minutes for each choice; ``proved`` is false where not all fillings were compared."""

    minutes: Filling
    proved: bool


def best_filling(choices: Sequence[Choice], minutes: int, begin_at_most: int = 0) -> Filled:
    """Return the best filling.

    Args:
        choices: what there is; all with a ``worth`` of one length.
        minutes: how many there are.
        begin_at_most: how many may be begun.
    """
    nothing = (0,) * len(choices[0].worth) if choices else ()
    best: dict[tuple[int, int], _Merit] = {(0, 0): (nothing, 0, 0, ())}
    lengths = [_lengths(choice, minutes) for choice in choices]
    width = max(1, _STEPS // max(1, sum(map(len, lengths))))
    proved = all(len(own) <= _LENGTHS for own in lengths)
    for choice, own in zip(choices, lengths, strict=True):
        further: dict[tuple[int, int], _Merit] = {}
        for (used, begun), filling in best.items():
            for length in own:
                state = used + length, begun + (choice.begins and length > 0)
                if state[0] > minutes or state[1] > begin_at_most:
                    continue
                longer = _with(filling, choice, length)
                if state not in further or longer > further[state]:
                    further[state] = longer
        best = further
        if len(best) > width:
            proved = False
            best = dict(sorted(best.items(), key=lambda one: one[1], reverse=True)[:width])
    return Filled(max(best.values())[3], proved)


def _lengths(choice: Choice, minutes: int) -> tuple[int, ...]:
    """Return the minutes a thing may get, none first; of very many only some, evenly apart."""
    most = min(choice.most, minutes)
    every = range(max(1, choice.least), most + 1)
    return (0, *sorted({*every[:: len(every) // _LENGTHS + 1], *every[-1:]}))


def _with(before: _Merit, choice: Choice, length: int) -> _Merit:
    """Return what speaks for a filling with minutes for one thing more."""
    worth, used, things, filling = before
    if not length:
        return worth, used, things, (*filling, 0)
    more = tuple(map(sum, zip(worth, choice.worth, strict=True)))
    return more, used + length, things - 1, (*filling, length)
