"""What one entry of a course's files says, before anybody has said that it is valid.

Each word is kept with its place, so that whatever is found wrong can be pointed at. Entries
know nothing of each other; that is the business of :class:`~readiness.course.draft.Draft`.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from fractions import Fraction
from typing import NamedTuple, Protocol

from readiness.course.model import group_in
from readiness.course.versions import Era
from readiness.lazy import dataclass
from readiness.toml.problems import Place

__all__ = [
    "DraftBand", "DraftChange", "DraftGroup", "DraftSkill", "DraftUnit", "Source", "Word", "Written",
    "named_words", "one_table", "skill_in",
]  # fmt: skip


class Word(NamedTuple):
    """A text in a file and where it stands."""

    text: str
    place: Place


class Source(Protocol):
    """A read file that can say where its keys and values stand."""

    def key_place(self, *path: str | int) -> Place:
        """Return where a key stands."""

    def value_place(self, *path: str | int) -> Place:
        """Return where a value stands."""


def one_table(value: object) -> object:
    """Return the table of ``[[skill.x]]`` in place of a list with it alone, anything else as it is."""
    alone = isinstance(value, list) and len(value) == 1 and isinstance(value[0], Mapping)
    return value[0] if alone and isinstance(value, list) else value


@dataclass(frozen=True)
class Written:
    """All that a file says, whatever its shape, and where; empty for an unreadable one."""

    data: Mapping[str, object]
    source: Source

    def get(self, *path: str | int) -> object:
        """Return what stands at a path, None where nothing does."""
        inside: object = self.data
        for step in path:
            if type(inside) is dict:  # nearly always, and this is asked thousands of times
                inside = inside.get(step)
                continue
            inside = one_table(inside) if isinstance(step, str) else inside
            if isinstance(inside, Mapping):
                inside = inside.get(step)
            elif isinstance(inside, list) and isinstance(step, int) and step < len(inside):
                inside = inside[step]
            else:
                return None
        return inside

    def text(self, *path: str | int) -> str | None:
        """Return the text at a path, None where there is none."""
        value = self.get(*path)
        return value if isinstance(value, str) else None

    def word(self, *path: str | int) -> Word | None:
        """Return the text at a path with its place, None where there is none."""
        value = self.get(*path)
        return Word(value, self.at(*path)) if isinstance(value, str) else None

    def texts(self, *path: str | int) -> tuple[Word, ...]:
        """Return the texts of a list with their places; whatever is no text is left out."""
        value = self.get(*path)
        items = enumerate(value) if isinstance(value, list) else ()
        return tuple(Word(one, self.at(*path, i)) for i, one in items if isinstance(one, str))

    def number(self, *path: str | int) -> int | float | None:
        """Return the number at a path, None where there is none."""
        value = self.get(*path)
        return value if isinstance(value, int | float) and not isinstance(value, bool) else None

    def ids(self, kind: str) -> tuple[str, ...]:
        """Return the names of the tables of a kind, in the order of the file."""
        tables = self.data.get(kind)
        found = tables.items() if isinstance(tables, Mapping) else ()
        return tuple(str(name) for name, table in found if isinstance(one_table(table), Mapping))

    def at(self, *path: str | int) -> Place:
        """Return where a value stands, or the nearest thing it is in."""
        return self.source.value_place(*path)


@dataclass(frozen=True)
class DraftUnit:
    """A ``[unit.x]`` table; ``number`` counts from 1."""

    id: str
    number: int
    name: str
    place: Place
    lesson_weeks: int | None
    weeks_place: Place


@dataclass(frozen=True)
class DraftGroup:
    """One entry of ``stands_on_some``."""

    at_least: int | None
    at_least_place: Place
    of: tuple[Word, ...]
    place: Place


@dataclass(frozen=True)
class DraftSkill:
    """A ``[skill.x]`` table."""

    id: str
    place: Place
    unit: Word | None
    strand: Word | None
    minutes: int | None
    stands_on: tuple[Word, ...]
    groups: tuple[DraftGroup, ...]
    optional_in: tuple[Word, ...]
    since: int | None = None
    retired: int | None = None
    replaced_words: tuple[Word, ...] = ()
    since_place: Place | None = None
    retired_place: Place | None = None
    always_look: bool = False
    safety: bool = False
    asks_pain: bool = False
    quiet: bool = False
    days: int | None = None
    days_place: Place | None = None

    @property
    def replaced_by(self) -> tuple[str, ...]:
        """The ids of what takes its place."""
        return tuple(word.text for word in self.replaced_words)


@dataclass(frozen=True)
class DraftBand:
    """A ``[band.x]`` table, as far as the checks ask."""

    name: str
    place: Place
    from_age: int | None
    age_place: Place
    lesson_minutes: int | None
    review_share: Fraction | None


@dataclass(frozen=True)
class DraftChange:
    """A ``[[change]]`` block of the pacing."""

    band: Word | None
    rule: Word | None


def named_words(skill: DraftSkill) -> Iterator[Word]:
    """Yield every word of a skill that names another: its links, then its groups."""
    yield from skill.stands_on
    for group in skill.groups:
        yield from group.of


def skill_in(era: Era, skill: DraftSkill) -> DraftSkill:
    """Return a skill as it is in an era; a replacement stands where the name it took over stands."""
    groups = (_group_in(era, skill.id, group) for group in skill.groups)
    return replace(
        skill,
        stands_on=_words_in(era, skill.id, skill.stands_on),
        groups=tuple(group for group in groups if group.of),
    )


def _words_in(era: Era, own: str, words: tuple[Word, ...]) -> tuple[Word, ...]:
    meant = dict(era.links(own, [word.text for word in words]))
    place = {word.text: word.place for word in reversed(words)}
    return tuple(Word(name, place[written]) for name, written in meant.items())


def _group_in(era: Era, own: str, group: DraftGroup) -> DraftGroup:
    words = _words_in(era, own, group.of)
    if group.at_least is None:
        return replace(group, of=words)
    at_least, _ = group_in(era, own, group.at_least, tuple(word.text for word in group.of))
    return replace(group, at_least=at_least, of=words)
