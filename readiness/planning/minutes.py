"""How the minutes of a lesson are shared out between its parts.

What a teacher sets is the length, the share of review and the longest activity; they are in
the pacing file. From them:

* *review*: the review share of the lesson, rounded to whole minutes, halves down. The opening
  (three minutes: seat and a song) is part of it.
* *home task*: a minute for every quarter of an hour, rounded.
* *make music or sing*: three minutes in ten, less five; rounded, halves down. The straight
  line through the usual shares of lessons from 30 to 50 minutes.
* *new*: what is left.

All of this is common practice, no source. Where nothing is begun the new minutes go elsewhere: in
the first lesson of all to making music, from what is known; in the first after a break and in a placing
lesson to more looks.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from math import ceil
from typing import Final

from readiness.course.model import Band

__all__ = ["Shares", "pieces", "share_out"]

OPENING: Final = 3
HALF: Final = Fraction(1, 2)


@dataclass(frozen=True, slots=True)
class Shares:
    """Minutes by part; they add up to the lesson. ``review`` is what comes beside the opening."""

    opening: int
    review: int
    new: int
    music: int
    home: int


def share_out(band: Band, minutes: int, instead_of_new: str = "") -> Shares:
    """Return the minutes of each part of a lesson.

    Args:
        band: whose pacing it goes by.
        minutes: the length of the lesson.
        instead_of_new: what the new minutes go to where nothing is begun: review or music.
    """
    share = Fraction(str(band.number("review_share")))
    opening = min(OPENING, minutes)
    home = min(_rounded(Fraction(minutes, 15)), minutes - opening)
    music = min(max(0, _rounded(Fraction(3 * minutes, 10) - 5)), minutes - opening - home)
    review = min(max(0, _rounded(share * minutes) - opening), minutes - opening - home)
    music = min(music, minutes - opening - home - review)
    new = minutes - opening - home - music - review
    if instead_of_new == "review":
        return Shares(opening, review + new, 0, music, home)
    if instead_of_new == "music":
        return Shares(opening, review, 0, music + new, home)
    return Shares(opening, review, new, music, home)


def _rounded(number: Fraction) -> int:
    """Return the nearest whole number, halves down.

    >>> _rounded(Fraction(35, 2)), _rounded(Fraction(63, 4))
    (17, 16)
    """
    return ceil(number - HALF)


def pieces(minutes: int, longest: int) -> tuple[int, ...]:
    """Return minutes cut into as few blocks as possible, none above ``longest``, as even as can be.

    >>> pieces(10, 4), pieces(4, 4), pieces(0, 4)
    ((4, 3, 3), (4,), ())
    """
    count = -(-minutes // longest)
    return tuple(minutes // count + (i < minutes % count) for i in range(count))
