"""The shape of ``graph.toml`` and ``pacing.toml`` (rules, section 1), strictly.

Strict means: nothing is guessed from a wrong kind of value (``"15"`` is no number), and a
key that is not listed here is an error, so that a misspelt rule never passes unseen. Texts with
characters that do something instead of being seen are refused, as in student files.
Whether an id exists or a course makes sense is not asked here but in ``course.checks``.

One addition to the rules' format: ``pacing.toml`` may say who changed a number, in blocks
that are only ever added to::

    [[change]]
    band = "4-5"
    rule = "days_needed.motor"
    by = "OB"                      # optional, as are on and reason
    on = 2026-01-12
    reason = "three visits a term are not enough here"

and one to ``graph.toml``: ``uses = "voice"`` says which part of the body the course plays or
sings with, for a studio whose students take more than one course (hand is meant without).

A skill may say how letters speak of it: ``said = "lifting the wrist"`` and, to the student, ``you = "you
lift your wrist"``; without them its name stands on a line of its own. It may number some of its remedies:
those fit for home without a teacher (``at_home = [1]``), those made for children (``for_children``),
those that touch the student (``touches``) and those that two students can do together (``for_two``). It
may say that one way of showing it is a video or a photo (``recorded = true``); which parts of the body
it works, where that is not what its course plays or sings with, ``uses = ["hand", "voice"]`` (a quiet
skill: none); and that it is the playing of a piece: ``piece = true``. ``counts_groups = true``: the groups
of black keys are counted, so the right answer depends on the instrument. ``beats = true``: it is kept to a
beat, and the sheet says which speed suits the age (``beat_range`` of the pacing). A strand with
``shared = true`` is one whose skills two can do in one lesson.

A skill is retired, never deleted, so that old decisions stay explainable::

    [skill.wrist-lift]
    retired = 2026-09-01           # the first day it is not asked for any more
    replaced_by = ["floating-wrist"]   # optional: what takes its place, with its notes
    [skill.floating-wrist]
    since = 2026-09-01             # optional: not there before this day

A warning that is meant is silenced for a unit or, at the top of the file, for the course: ``allow =
["small-leap"]`` and, so that the next reader knows why, ``reason = "..."``.

And a course may hold only what it does otherwise than another: ``based_on`` in either file
(``course.layers``); ``after`` is for the units it adds.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping
from datetime import date
from functools import cache
from typing import TYPE_CHECKING, Annotated, Any, ClassVar, Final, Literal, get_args

import tomli
from pydantic import (
    AfterValidator,
    BaseModel,
    ConfigDict,
    Field,
    StringConstraints,
    ValidationInfo,
    create_model,
    field_validator,
)

from readiness.course.draft import tables
from readiness.course.model import BAND, BandRule
from readiness.shipped import shipped
from readiness.toml.schema_errors import Format, Text, Usual, refused

__all__ = [
    "MARKS", "RULES", "BandTable", "ChangeBlock", "Fade", "GraphFile", "GroupTable", "Kind", "PacingFile",
    "SkillTable", "StrandTable", "UnitTable", "shipped_bands", "shipped_marks",
]  # fmt: skip

# The values of the courses that come with the program: what a number was before a teacher changed it.
#
# Also what to suggest where a value is missing: never made up, always one that stands in a file.
# Nothing is put in place of what is missing.

_FIRST: Final = "first-two-years"
_COURSES: Final = (_FIRST, "first-year-voice")
_ALIKE: Final = ("minutes", "lesson_weeks", "fade")
"""What can be suggested from what most of its kind have."""
_BESIDE: Final = ("unit", "strand")
"""What can be suggested from what stands beside it."""


@cache
def shipped_bands(name: object) -> Mapping[str, Mapping[str, Any]]:
    """Return the bands of a pacing that comes with the program, as written.

    The one of that name, so that a copy of the singing course is held against the numbers for
    singing; else that of the first two years at the piano.
    """
    found = {course: _table(course, "pacing.toml") for course in _COURSES}
    named = next((one for one in found.values() if name and one.get("name") == name), None)
    return _tables(named or found[_FIRST], "band")


def usual_in_pacing(data: Mapping[str, Any], path: tuple[str | int, ...]) -> Usual | None:
    """Return the default of a rule that is missing in a band; a table of rules where that is missing.

    A band of the teacher's own is held against the one for its age.
    """
    if len(path) < 3 or path[0] != "band":
        return None
    name = data.get("name")
    bands, band = shipped_bands(name if isinstance(name, str) else ""), str(path[1])
    inside: Any = bands.get(band) or bands.get(_for_age(bands, _tables(data, "band").get(band, {}), band), {})
    for step in path[2:]:
        inside = inside.get(step) if isinstance(inside, Mapping) else None
    return None if inside is None else Usual(inside, is_default=True)


def usual_in_graph(data: Mapping[str, Any], path: tuple[str | int, ...]) -> Usual | None:
    """Return what a skill of that id has in the course that comes with the program, else what is usual."""
    if len(path) != 3:
        return None
    kind, id_, key = map(str, path)
    known = _tables(_table(_FIRST, "graph.toml"), kind)
    if (same := known.get(id_, {}).get(key)) is not None:
        return Usual(same, is_default=True)
    if key in _BESIDE:
        tables = _tables(data, kind)
        ids = list(tables)
        at = ids.index(id_) if id_ in tables else 0
        # what the table above says, or one further up, else the next one below
        said = (tables[one].get(key) for one in (*reversed(ids[:at]), *ids[at + 1 :]))
        beside = next((value for value in said if isinstance(value, str)), None)
        return None if beside is None else Usual(beside)
    values = Counter(one[key] for one in known.values() if key in one) if key in _ALIKE else Counter()
    return Usual(values.most_common(1)[0][0]) if values else None


def _for_age(bands: Mapping[str, Mapping[str, Any]], own: Mapping[str, Any], name: str) -> str:
    """Return the band for the age at which one begins, by its number or, without one, by its name."""
    begins = re.match(r"\d+", name)
    age = own.get("from_age", int(begins[0]) if begins else 0)
    younger = [one for one, table in bands.items() if not isinstance(age, int) or table["from_age"] <= age]
    return max(younger or list(bands)[:1], key=lambda one: int(bands[one]["from_age"]), default="")


def _tables(data: Mapping[str, Any], kind: str) -> Mapping[str, Mapping[str, Any]]:
    """Return the tables of a kind by name; whatever is no table is left out."""
    return dict(tables(data, kind))


@cache
def _table(course: str, file: str) -> Mapping[str, Any]:
    """Return a file that comes with the program, nothing where it cannot be read."""
    try:
        return tomli.loads(_text(course, file))
    except ValueError:
        return {}


def _text(course: str, file: str) -> str:
    path = shipped() / "skill_graphs" / course / file
    return path.read_text(encoding="utf-8") if path.is_file() else ""


MARKS: Final = ("safety", "always_look", "asks_pain")
"""What keeps a child safe."""


@cache
def shipped_marks() -> Mapping[tuple[str, str], tuple[str, ...]]:
    """Return the ``MARKS`` of the skills that come with the program, by id and what counts as shown.

    Looked for in the text: reading all of a course would double what every command takes to start.
    """
    tables = (table for course in _COURSES for table in _text(course, "graph.toml").split("\n[skill.")[1:])
    return {
        (table.partition("]")[0], table.partition('\nshown_when = "')[2].partition('"\n')[0]): marks
        for table in tables
        if (marks := tuple(mark for mark in MARKS if f"\n{mark} = true\n" in table))
    }


def _ascends(pair: list[int]) -> list[int]:
    if pair[0] > pair[1]:
        raise refused("pair-order", "the two numbers are the wrong way round", "the smaller one comes first")
    return pair


_TAUGHT: Final = range(1980, 2101)
"""The years in which a course can change."""


def _in_a_lifetime(day: date) -> date:
    if day.year not in _TAUGHT:
        years = f"a year from {_TAUGHT[0]} to {_TAUGHT[-1]}"
        raise refused("strange-year", "this year cannot be meant", years)
    return day


Id = Annotated[str, StringConstraints(pattern=r"^[a-z0-9-]+$")]
"""The id of a unit, skill or strand: a-z, 0-9 and hyphen."""

TeachingDay = Annotated[date, AfterValidator(_in_a_lifetime)]
AtLeastOne = Annotated[int, Field(ge=1)]
AtLeastNone = Annotated[int, Field(ge=0)]
"""What a number is at most stands in ``course.model``."""

Share = Annotated[float, Field(ge=0, le=1, allow_inf_nan=False)]
Factor = Annotated[float, Field(gt=0, allow_inf_nan=False)]
Pair = Annotated[list[AtLeastOne], Field(min_length=2, max_length=2), AfterValidator(_ascends)]

DaysOfOne = Annotated[int, Field(ge=1, le=10)]
"""How many different days one skill needs, in place of the number of its kind (rule R3)."""

Remedies = list[AtLeastOne]
"""Some of a skill's remedies, by number, the first is 1."""

BodyPart = Literal["hand", "voice"]
Kind = Literal["motor", "knowledge", "ear", "reading", "habit"]
Fade = Literal["fast", "medium", "slow"]
CountingHelp = Literal["alone", "cue"]


class _Table(BaseModel):
    """A table with exactly these keys."""

    model_config = ConfigDict(strict=True, extra="forbid", frozen=True, defer_build=True)


class StrandTable(_Table):
    """One ``[strand.x]``."""

    name: Text
    shared: bool = False


class UnitTable(_Table):
    """One ``[unit.x]``."""

    name: Text
    lesson_weeks: AtLeastOne
    aim: Text = ""
    after: str = ""
    allow: list[str] = Field(default_factory=list)
    reason: Text = ""


class GroupTable(_Table):
    """One ``{ at_least = 1, of = [...] }``; how many is possible is asked in the checks."""

    at_least: int
    of: list[str]


class SkillTable(_Table):
    """One ``[skill.x]``."""

    name: Text
    unit: str
    strand: str
    kind: Kind
    fade: Fade
    minutes: AtLeastOne
    shown_when: Text
    stands_on: list[str] = Field(default_factory=list)
    stands_on_some: list[GroupTable] = Field(default_factory=list)
    always_look: bool = False
    safety: bool = False
    must_be_seen: bool = False
    days: DaysOfOne | None = None
    quiet: bool = False
    asks_pain: bool = False
    uses: list[BodyPart] | None = None
    piece: bool = False
    counts_groups: bool = False
    beats: bool = False
    optional_in: list[str] = Field(default_factory=list)
    age_note: Text = ""
    alternative: Text = ""
    remedies: list[Text] = Field(default_factory=list)
    for_two: Remedies = Field(default_factory=list)
    advice: Text = ""
    said: Text = ""
    you: Text = ""
    at_home: Remedies = Field(default_factory=list)
    for_children: Remedies = Field(default_factory=list)
    touches: Remedies = Field(default_factory=list)
    recorded: bool = False
    since: TeachingDay | None = None
    retired: TeachingDay | None = None
    replaced_by: list[str] = Field(default_factory=list)

    @field_validator("at_home", "for_children", "touches", "for_two")
    @classmethod
    def _names_remedies(cls, numbers: list[int], others: ValidationInfo) -> list[int]:
        """Refuse the number of a remedy that is not there."""
        there = len(others.data.get("remedies", numbers))
        if any(number > there for number in numbers):
            told = "this is not the number of a remedy of the skill"
            raise refused("no-such-remedy", told, "the first remedy is 1")
        return numbers


class AlternativesTable(_Table):
    """``[alternatives_by_kind]``: another way of showing, for every skill of a kind."""

    motor: Text = ""
    knowledge: Text = ""
    ear: Text = ""
    reading: Text = ""
    habit: Text = ""


class GraphFile(_Table):
    """The whole of ``graph.toml``."""

    usual: ClassVar = staticmethod(usual_in_graph)
    beside: ClassVar[tuple[str, type[BaseModel]]]

    format: Format
    name: Text
    strand: Annotated[dict[Id, StrandTable], Field(min_length=1)]
    unit: Annotated[dict[Id, UnitTable], Field(min_length=1)]
    skill: Annotated[dict[Id, SkillTable], Field(min_length=1)]
    edition: Text = ""
    based_on: str = ""
    uses: BodyPart = "hand"
    allow: list[str] = Field(default_factory=list)
    reason: Text = ""
    alternatives_by_kind: AlternativesTable = AlternativesTable()


_SHAPES: Final[Mapping[str, object]] = {
    "AtLeastOne": AtLeastOne, "AtLeastNone": AtLeastNone, "Share": Share, "Factor": Factor, "Pair": Pair,
    "DaysOfAWeek": Annotated[int, Field(ge=0, le=7)], "Text": Text,
}  # fmt: skip


class _Band(_Table):
    """One ``[band.x]``: every rule of the pacing (``course.model``); only ``note`` may be left out."""

    from_age: AtLeastNone


_PARTS: Final[Mapping[str, tuple[tuple[str, ...], object]]] = {
    "accepts": (get_args(Kind), CountingHelp), "days_needed": (get_args(Kind), AtLeastOne),
    "fresh_weeks": (get_args(Fade), AtLeastOne),
}  # fmt: skip
"""The tables of a band that have a value for each kind of skill, or for each fade."""

if TYPE_CHECKING:
    BandTable = _Band
else:

    def _rule(rule: BandRule) -> tuple[object, object]:
        return _SHAPES[rule.shape], Field(examples=[list(rule.example)] if rule.example else None)

    def _part(name: str, keys: tuple[str, ...], kind: object) -> tuple[type[_Table], object]:
        return create_model(name, __base__=_Table, **dict.fromkeys(keys, (kind, ...))), ...

    _rules = {name: _rule(rule) for name, rule in BAND.items()}
    _parts = {name: _part(name, *of) for name, of in _PARTS.items()}
    BandTable = create_model("BandTable", __base__=_Band, **_rules, **_parts, note=(Text, ""))

RULES: Final = (*BAND, *(f"{table}.{key}" for table, (keys, _) in _PARTS.items() for key in keys))
"""Every rule of a band by its dotted name: ``carry_limit``, ``days_needed.motor``."""


class ChangeBlock(_Table):
    """One ``[[change]]``: who changed a number of a band, when and why."""

    band: Text
    rule: Text
    by: Text = ""
    on: TeachingDay | None = None
    reason: Text = ""


class PacingFile(_Table):
    """The whole of ``pacing.toml``."""

    usual: ClassVar = staticmethod(usual_in_pacing)
    beside: ClassVar[tuple[str, type[BaseModel]]]

    format: Format
    band: Annotated[dict[Text, BandTable], Field(min_length=1)]
    name: Text = ""
    edition: Text = ""
    based_on: str = ""
    basis: dict[Text, Text] = {}
    change: list[ChangeBlock] = []


GraphFile.beside, PacingFile.beside = ("pacing.toml", PacingFile), ("graph.toml", GraphFile)
