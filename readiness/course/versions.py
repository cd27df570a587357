"""A course through the years: what was retired, what took its place, what came new.

A skill is never deleted, because the decisions of past days rest on it. From the day it is
``retired`` the course is read as if its table were not there and every list that names it
named its replacements instead (none: nothing). A skill with ``since`` is not there before
that day. Between two such days nothing changes: that stretch is an :class:`Era`.

Nothing here knows a student or a file; that dates and names fit is asked in ``course.checks``.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Protocol

from readiness.lazy import dataclass

__all__ = ["Dated", "Era", "era_from", "turning_days"]


class Dated(Protocol):
    """A skill as far as its dates go."""

    @property
    def since(self) -> int | None:
        """The first day it is there; None: from the beginning."""

    @property
    def retired(self) -> int | None:
        """The first day it is there no more; None: it stays."""

    @property
    def replaced_by(self) -> tuple[str, ...]:
        """The ids that take its place."""


@dataclass(frozen=True)
class Era:
    """A stretch of days with one course.

    Attributes:
        first: its first day, None for the one before all dates.
        active: the skills that are there.
        stands_for: for every skill that is gone, the skills there that took its place.
        parts: for every skill that took a place, those it took it from, and itself where it
            was there before.
    """

    first: int | None
    active: frozenset[str]
    stands_for: Mapping[str, tuple[str, ...]]
    parts: Mapping[str, frozenset[str]]

    def not_asked(self, agreed: frozenset[str]) -> frozenset[str]:
        """Return what is not asked for: what is gone, and what was set aside by agreement.

        A new name of a skill that was set aside is set aside too; what took the place of several
        only when all of them were.
        """
        found = agreed
        while more := {heir for heir, parts in self.parts.items() if parts <= found} - found:
            found |= more
        return found | frozenset(self.stands_for)

    def links(self, own: str, named: Iterable[str]) -> tuple[tuple[str, str], ...]:
        """Return what a skill's list means here: (skill meant, the name as written), each once.

        A name nobody has stays as it is, so that it can be reported.
        """
        meant: dict[str, str] = {}
        for name in named:
            for heir in (name,) if name in self.active else self.stands_for.get(name, (name,)):
                if heir != own or name == own:
                    meant.setdefault(heir, name)
        return tuple(meant.items())


def turning_days(skills: Iterable[Dated]) -> tuple[int, ...]:
    """Return the days on which something comes or goes, in order."""
    return tuple(sorted({day for one in skills for day in (one.since, one.retired) if day is not None}))


def era_from(first: int | None, skills: Mapping[str, Dated]) -> Era:
    """Return the course's era that begins on a day (None: before all dates)."""
    active = frozenset(name for name, one in skills.items() if _is_there(one, first))
    over = {name: one.retired for name, one in skills.items() if _is_over(one, first)}
    found: dict[str, set[str]] = {}
    for name, retired in over.items():
        for heir in skills[name].replaced_by:
            since = skills[heir].since if heir in skills else None
            earlier = since is None or (retired is not None and since < retired)
            found.setdefault(heir, set()).update([name, heir] if earlier else [name])
    return Era(
        first,
        active,
        {name: _heirs(name, first, skills, active) for name in skills if name not in active},
        {heir: frozenset(parts) for heir, parts in found.items()},
    )


def _is_there(dated: Dated, day: int | None) -> bool:
    if day is None:
        return dated.since is None
    return (dated.since is None or dated.since <= day) and (dated.retired is None or dated.retired > day)


def _is_over(one: Dated, day: int | None) -> bool:
    return day is not None and one.retired is not None and one.retired <= day


def _heirs(
    gone: str, day: int | None, skills: Mapping[str, Dated], active: frozenset[str]
) -> tuple[str, ...]:
    """Return who took a skill's place, over any number of steps; nobody for one still to come."""
    found: dict[str, None] = {}
    met, waiting = {gone}, [gone]
    while waiting:
        name = waiting.pop()
        if name in active:
            found[name] = None
        elif name in skills and _is_over(skills[name], day):
            new = [heir for heir in skills[name].replaced_by if heir not in met]
            met.update(new)
            waiting += reversed(new)
    return tuple(found)
