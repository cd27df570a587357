"""A course as it stands in its files, before anybody has said that it is valid.

The checks of R9 read this and not the strict models, so that a misspelt key in one skill does not hide an
unknown id in another: an entry of the wrong shape is left out (the schema has named it already), all others
are here, each word with its place. Nothing here finds fault; that is the business of ``course.checks``.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import replace
from datetime import date
from fractions import Fraction
from functools import cached_property
from graphlib import CycleError, TopologicalSorter
from pathlib import Path as File
from typing import Final, NamedTuple, Protocol

from readiness.course.graph import SkillGraph
from readiness.course.model import Era, era_from, group_in, turning_days, union
from readiness.lazy import dataclass
from readiness.toml.problems import Place
from readiness.toml.texts import nearest

__all__ = [
    "Draft", "DraftBand", "DraftGroup", "DraftLinks", "DraftSkill", "DraftUnit", "Source",
    "TextAt", "Word", "Written", "blocks", "make_draft", "named_words", "one_table", "skill_in", "tables",
]  # fmt: skip

# What one entry says. Each word is kept with its place, so that whatever is found wrong can be pointed at.


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
        return tuple(name for name, _ in tables(self.data, kind))

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


# What stands on what in a course that nobody has checked yet: the links of a draft as a graph.
#
# Names that no skill has are left out, and a skill's link to itself; loops and links to later units
# are told here, and left out of what is concluded. Nothing here finds fault with anything.


class DraftLinks:
    """The links of some skills.

    Args:
        skills: the skills, in the order of the file.
        number: by skill, the number of its unit; without those whose unit there is not.
    """

    def __init__(self, skills: Sequence[DraftSkill], number: Mapping[str, int]) -> None:
        self._skills, self._number = skills, number
        self._ids = {skill.id: None for skill in skills}

    @cached_property
    def needs(self) -> Mapping[str, tuple[str, ...]]:
        """The known skills each skill names in ``stands_on``, each once, itself left out."""
        return {s.id: self._known(s, s.stands_on) for s in self._skills}

    @cached_property
    def group_members(self) -> Mapping[str, tuple[str, ...]]:
        """The known skills each skill names in ``stands_on_some``, each once, itself left out."""
        return {s.id: self._known(s, (word for group in s.groups for word in group.of)) for s in self._skills}

    def _known(self, skill: DraftSkill, words: Iterable[Word]) -> tuple[str, ...]:
        names = (word.text for word in words)
        return tuple(dict.fromkeys(n for n in names if n in self._ids and n != skill.id))

    @cached_property
    def position(self) -> Mapping[str, tuple[int, int]]:
        """Where in the teaching each skill stands: its unit's number, then its place in the file."""
        return {skill.id: (self._number.get(skill.id, 0), at) for at, skill in enumerate(self._skills)}

    @cached_property
    def _named(self) -> Mapping[str, tuple[str, ...]]:
        """What each skill names, each once, those of groups after those of ``stands_on``."""
        return {s: tuple(dict.fromkeys((*self.needs[s], *self.group_members[s]))) for s in self._ids}

    @cached_property
    def graph(self) -> SkillGraph:
        """The graph of all links, those of groups included; there may be loops in it."""
        return SkillGraph(self._named)

    @cached_property
    def in_loops(self) -> tuple[tuple[str, str], ...]:
        """The links (skill, what it stands on) that lead back in a loop, in file order."""
        if self._order is not None:
            return ()
        knot = {skill: at for at, knot in enumerate(self.graph.knots()) for skill in knot}
        return tuple(
            (skill, before)
            for skill, before in self._links()
            if knot.get(skill, -1) == knot.get(before, -2) and self.position[before] > self.position[skill]
        )

    @cached_property
    def _order(self) -> Sequence[str] | None:
        """The skills, each behind what it names, if that will do in the order of teaching; None in a loop."""
        place = self.position
        if all(place[before] < place[skill] for skill, before in self._links()):
            return sorted(place, key=place.__getitem__)
        with suppress(CycleError):
            return tuple(TopologicalSorter(self._named).static_order())
        return None

    @cached_property
    def to_later(self) -> tuple[tuple[str, str], ...]:
        """The links (skill, what it stands on) to a skill of a later unit, in file order."""
        number = self._number
        return tuple(
            (skill, before)
            for skill, before in self._links()
            if skill in number and before in number and number[before] > number[skill]
        )

    def _links(self) -> Iterator[tuple[str, str]]:
        return ((skill, before) for skill, named in self._named.items() for before in named)

    @cached_property
    def sound(self) -> Mapping[str, tuple[str, ...]]:
        """``needs`` without the links that are refused, so that nothing is concluded from those."""
        refused = {*self.in_loops, *self.to_later}
        if not refused:
            return self.needs
        return {s: tuple(n for n in needed if (s, n) not in refused) for s, needed in self.needs.items()}

    @cached_property
    def bit(self) -> Mapping[str, int]:
        """One bit for each skill, to make sets of skills that combine quickly."""
        return {skill: 1 << at for at, skill in enumerate(self._ids)}

    @cached_property
    def above(self) -> Mapping[str, int]:
        """All that each skill stands on over ``sound``, as a set of bits."""
        found: dict[str, int] = {}
        needs, bit = self.sound, self.bit
        for skill in self._order or TopologicalSorter(needs).static_order():
            found[skill] = union(found[before] | bit[before] for before in needs[skill])
        return found


class _Nowhere:
    """The source of a file that says nothing."""

    def key_place(self, *path: str | int) -> Place:
        del path
        return Place(File(), 1, 1)

    value_place = key_place


_TEXTS: Final[Mapping[str, tuple[str, ...]]] = {
    "strand": ("name",),
    "unit": ("name", "aim"),
    "skill": ("name", "shown_when", "age_note", "alternative", "advice", "said", "you"),
}
"""The texts of each kind of table; those of a list stand apart."""
_OF_A_BAND: Final = ("adult_beside", "note")

_Path = tuple[str | int, ...]
TextAt = tuple[str, _Path]
"""A text, and the path where it stands."""
NOTHING: Final = Written({}, _Nowhere())
"""A file that says nothing."""


@dataclass(frozen=True)
class Draft:
    """All that the two files say in a readable shape, in the order of the files.

    Where skills come and go, each of ``eras`` is the draft of one stretch of days, from its
    ``first`` day on (``course.model``). ``graph`` and ``pacing`` are the files as they are written.
    """

    units: tuple[DraftUnit, ...]
    strands: tuple[str, ...]
    skills: tuple[DraftSkill, ...]
    bands: tuple[DraftBand, ...]
    first: int | None = None
    graph: Written = NOTHING
    pacing: Written = NOTHING

    @cached_property
    def eras(self) -> tuple[Draft, ...]:
        """The drafts of all stretches of days, the earliest first; itself where nothing has a date."""
        days = turning_days(self.skills)
        return tuple(self._in(era_from(day, self.skill)) for day in (None, *days)) if days else (self,)

    def _in(self, era: Era) -> Draft:
        there = (skill for skill in self.skills if skill.id in era.active)
        return replace(self, skills=tuple(skill_in(era, skill) for skill in there), first=era.first)

    @cached_property
    def unit(self) -> Mapping[str, DraftUnit]:
        """Units by id."""
        return {unit.id: unit for unit in self.units}

    @cached_property
    def skill(self) -> Mapping[str, DraftSkill]:
        """Skills by id."""
        return {skill.id: skill for skill in self.skills}

    def changed(self, key: str) -> Iterator[Word | None]:
        """Return what each ``[[change]]`` block of the pacing says under a key."""
        return (self.pacing.word("change", at, key) for at, _ in blocks(self.pacing.get("change")))

    def unit_of(self, skill: DraftSkill) -> DraftUnit | None:
        """Return the unit a skill names, None if there is no such unit."""
        return self.unit.get(skill.unit.text) if skill.unit else None

    @cached_property
    def meant_unit(self) -> Mapping[str, str]:
        """The unit each skill is put in; a misspelt one counts as the unit it most resembles.

        So that one slip is reported once, and not as a unit that is short of a skill too.
        """
        found: dict[str, str] = {}
        for skill in self.skills:
            name = skill.unit.text if skill.unit else ""
            unit = name if name in self.unit else nearest(name, self.unit)
            if unit is not None:
                found[skill.id] = unit
        return found

    @cached_property
    def members(self) -> Mapping[str, tuple[DraftSkill, ...]]:
        """The skills of each unit, by ``meant_unit``."""
        found: dict[str, list[DraftSkill]] = {unit.id: [] for unit in self.units}
        for skill_id, unit in self.meant_unit.items():
            found[unit].append(self.skill[skill_id])
        return {unit: tuple(skills) for unit, skills in found.items()}

    @cached_property
    def texts(self) -> tuple[TextAt, ...]:
        """Every text of the graph that is said to, or of, a child."""
        found: list[tuple[object, _Path]] = [(self.graph.get("name"), ("name",))]
        for kind, keys in _TEXTS.items():
            for id_, table in tables(self.graph.data, kind):
                found += [(table[key], (kind, id_, key)) for key in keys if key in table]
                if isinstance(remedies := table.get("remedies"), list):
                    found += [(text, (kind, id_, "remedies", at)) for at, text in enumerate(remedies)]
        kinds = self.graph.get("alternatives_by_kind")
        if isinstance(kinds, Mapping):
            found += [(text, ("alternatives_by_kind", kind)) for kind, text in kinds.items()]
        return tuple((text, path) for text, path in found if isinstance(text, str))

    @cached_property
    def pacing_texts(self) -> tuple[TextAt, ...]:
        """Every text of the pacing that is shown to somebody."""
        found: list[tuple[object, _Path]] = [
            (table.get(key), ("band", name, key))
            for name, table in tables(self.pacing.data, "band")
            for key in _OF_A_BAND
        ]
        basis = self.pacing.get("basis")
        if isinstance(basis, Mapping):
            found += [(text, ("basis", rule)) for rule, text in basis.items()]
        return tuple((text, path) for text, path in found if isinstance(text, str))

    @cached_property
    def elsewhere(self) -> frozenset[str]:
        """The names of tables under a header that there is not, such as ``[skills.x]``: skills, probably."""
        known = ("skill", "unit", "strand", "alternatives_by_kind")
        odd = {kind: names for kind, names in self.graph.data.items() if kind not in known}
        within = [item for _, table in tables(self.graph.data, "unit") for item in table.items()]
        found = [(kind, names) for kind, names in (*odd.items(), *within) if isinstance(names, Mapping)]
        return frozenset(str(name) for kind, names in found for name in (kind, *names))

    @cached_property
    def named_by(self) -> Mapping[str, tuple[DraftSkill, ...]]:
        """For each skill, the skills that name it in a link or group; misspelt names count too."""
        found: dict[str, list[DraftSkill]] = {skill.id: [] for skill in self.skills}
        meant: dict[str, str | None] = {name: name for name in found}
        for skill in self.skills:
            for word in named_words(skill):
                if word.text not in meant:
                    meant[word.text] = nearest(word.text, found)
                name = meant[word.text]
                if name is not None:
                    found[name].append(skill)
        return {name: tuple(skills) for name, skills in found.items()}

    @cached_property
    def links(self) -> DraftLinks:
        """What stands on what."""
        return DraftLinks(self.skills, {s.id: unit.number for s in self.skills if (unit := self.unit_of(s))})


# Making a :class:`Draft` from two files that TOML could read.
#
# Lenient on purpose: whatever has the wrong shape is left out, because the strict models
# (``course.schema``) have already said so. Nothing here reports anything.


def make_draft(graph: Written, pacing: Written) -> Draft:
    """Read the tables of the two files."""
    units = enumerate(tables(graph.data, "unit"), start=1)
    return Draft(
        units=tuple(_unit(graph, number, *table) for number, table in units),
        strands=tuple(name for name, _ in tables(graph.data, "strand")),
        skills=tuple(_skill(graph, *table) for table in tables(graph.data, "skill")),
        bands=tuple(_band(pacing, *table) for table in tables(pacing.data, "band")),
        graph=graph,
        pacing=pacing,
    )


def tables(data: Mapping[str, object], kind: str) -> Iterator[tuple[str, Mapping[str, object]]]:
    """Yield the tables of a kind by name; whatever is no table is left out."""
    tables = data.get(kind)
    if isinstance(tables, Mapping):
        for name, written in tables.items():
            table = one_table(written)
            if isinstance(table, Mapping):
                yield name, table


def blocks(value: object) -> Iterator[tuple[int, Mapping[str, object]]]:
    """Yield the tables of a list with their numbers; whatever is no table is left out."""
    if isinstance(value, list):
        yield from ((i, block) for i, block in enumerate(value) if isinstance(block, Mapping))


def _unit(file: Written, number: int, id_: str, table: Mapping[str, object]) -> DraftUnit:
    name = table.get("name")
    return DraftUnit(
        id=id_,
        number=number,
        name=name if isinstance(name, str) else id_,
        place=file.source.key_place("unit", id_),
        lesson_weeks=_whole(table.get("lesson_weeks")),
        weeks_place=file.source.key_place("unit", id_, "lesson_weeks"),
    )


def _skill(file: Written, id_: str, table: Mapping[str, object]) -> DraftSkill:
    at = ("skill", id_)
    places = {key: file.at(*at, key) for key in ("since", "retired", "days") if key in table}
    return DraftSkill(
        id=id_,
        place=file.source.key_place(*at),
        unit=file.word(*at, "unit"),
        strand=file.word(*at, "strand"),
        minutes=_whole(table.get("minutes")),
        stands_on=file.texts(*at, "stands_on"),
        groups=tuple(_groups(file, *at, "stands_on_some")) if "stands_on_some" in table else (),
        optional_in=file.texts(*at, "optional_in"),
        since=_day(table.get("since")),
        retired=_day(table.get("retired")),
        replaced_words=file.texts(*at, "replaced_by"),
        since_place=places.get("since"),
        retired_place=places.get("retired"),
        always_look=bool(table.get("always_look")),
        safety=bool(table.get("safety")),
        asks_pain=bool(table.get("asks_pain")),
        quiet=table.get("quiet") is True,
        days=_whole(table.get("days")),
        days_place=places.get("days"),
    )


def _groups(file: Written, *at: str | int) -> Iterator[DraftGroup]:
    """Yield the groups; names that stand there without one are a group, of how many nobody knows."""
    for i, block in blocks(file.get(*at)):
        at_least = _number(block.get("at_least")) if isinstance(block.get("of"), list) else None
        here, own = file.at(*at, i, "at_least"), file.source.key_place(*at, i)
        yield DraftGroup(at_least, here, file.texts(*at, i, "of"), own)
    if names := file.texts(*at):
        yield DraftGroup(None, names[0].place, names, names[0].place)


def _band(file: Written, name: str, table: Mapping[str, object]) -> DraftBand:
    share = file.number("band", name, "review_share")
    return DraftBand(
        name=name,
        place=file.source.key_place("band", name),
        from_age=_number(table.get("from_age")),
        age_place=file.at("band", name, "from_age"),
        lesson_minutes=_whole(table.get("lesson_minutes")),
        review_share=Fraction(str(share)) if share is not None and 0 <= share <= 1 else None,
    )


def _day(value: object) -> int | None:
    return value.toordinal() if type(value) is date else None


def _number(value: object) -> int | None:
    return value if isinstance(value, int) and not isinstance(value, bool) else None


def _whole(value: object) -> int | None:
    """Return a whole number of at least 1, None for anything else."""
    number = _number(value)
    return number if number is not None and number >= 1 else None
