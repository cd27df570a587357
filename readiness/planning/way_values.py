"""A way to a skill or a unit, as values: what is still to secure, in order, and since when it could be."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["Choice", "Way", "WayStep"]


@dataclass(frozen=True, slots=True)
class WayStep:
    """One skill still to secure.

    Attributes:
        state: its state on the day asked about.
        minutes: teaching minutes; for what was shown before, one for each day needed as things are.
        days: how many showings without help it needs at least, at the age at which it is settled.
        lesson: the lesson (1 is the next) in which it is first asked for, None where no lessons
            are reckoned; settled: the lesson in which it can be secure at the earliest.
        probably_there: whether it was never asked for and something shown stands on it, so that it is
            looked at and not taught.
    """

    skill: str
    state: str
    minutes: int
    days: int
    lesson: int | None = None
    settled: int | None = None
    probably_there: bool = False


@dataclass(frozen=True, slots=True)
class Choice:
    """Where some of a group are enough: ``taken`` is the cheapest on the whole, of ``of``."""

    owner: str
    at_least: int
    of: tuple[str, ...]
    taken: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Way:
    """The cheapest way to ``target`` (a skill or a unit) as things are on a day.

    Attributes:
        steps: in teachable order.
        minutes: of all steps; at_least: no other way takes fewer.
        proved: whether it is certain that there is no cheaper way; compared: the number of
            sets that were compared to know.
        begins: how many new skills are begun in one lesson at most.
        lessons: how many lessons until all is secure at the earliest.
        earliest: the day of the last of them, None while paused, and where it lies too far away.
        not_before: the same day where it is proved to be the earliest there can be, else a
            day before which it cannot be.
        is_placed, is_paused: whether a unit was begun, and whether a hold is open.
    """

    student: str
    name: str
    target: str
    is_unit: bool
    on: int
    band: str
    steps: tuple[WayStep, ...]
    choices: tuple[Choice, ...]
    minutes: int
    at_least: int
    proved: bool
    compared: int
    begins: int
    lessons: int | None
    earliest: int | None
    not_before: int | None
    is_placed: bool
    is_paused: bool
