"""The student file as it is written: strict, nothing unknown, nothing guessed.

One model a kind of block (rules, section 1). Only what can be said by looking at one value
is checked here; what needs the course, or two values side by side, is in ``record.checks``.
Text with control characters is refused, because these texts are shown in terminals.

A student's own particulars may all be left out; whoever takes a lesson over reads them (common
practice, no source). Numbers are written with their unit, people by what they are to the student::

    [particulars]
    stop = "flat hand on the lid"            # the stop sign or word
    bench = "46 cm"
    footrest = "19 cm"
    distance = "knuckles reach the fallboard"
    words = "the hill is the wrist lift"     # own words for things
    upsets = "being hurried"
    collects = "the grandmother"             # a relation, no name

    [[alternative]]                          # a way of showing that counts like the usual one
    skill = "sings-up-down"
    text = "shows it with the hand"
    agreed_with = "the mother"
    on = 2025-11-18                          # since when

    [[correction]]                           # noted wrongly: this note of that day does not count
    on = 2025-12-09                          # the day on which that was said
    of = 2025-11-25
    alone = ["wrist-lift"]                   # as it was noted; whole = true: there was no such lesson

    [[told]]                                 # who was told what, and when
    to = "the mother"
    what = "no playing until the doctor has looked"
    on = 2025-12-02
"""

from __future__ import annotations

import re
from datetime import date, datetime
from typing import Annotated, Final, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field

from readiness.days import YEARS, dated
from readiness.toml.schema_errors import Called, Format, Line, Name, Text, refused

__all__ = ["Again", "Block", "Day", "LessonBlock", "ParticularsTable", "RhythmTable", "StudentFile"]

_BORN: Final = re.compile(r"\d{4}-\d{2}(-\d{2})?", re.ASCII)


def _day(value: object) -> object:
    """Accept a TOML date and nothing that merely looks like one."""
    if isinstance(value, datetime):
        raise refused("date-with-time", "a day is written without a time of day", f"write {value:%Y-%m-%d}")
    if isinstance(value, date):
        return _in_use(value)
    if isinstance(value, str):
        instead = dated(value) or "in 2025-12-02"
        raise refused("quoted-date", "a day is written without quotes", f"write it as {instead}")
    raise refused("not-a-date", "this must be a day", "write it as in 2025-12-02")


def _in_use(day: date) -> date:
    """Refuse a year that can only be a slip of the finger."""
    if day.year not in YEARS:
        years = f"it must be from {YEARS[0]} to {YEARS[-1]}"
        raise refused("odd-year", f"the year {day.year} is probably a slip of the finger", years)
    return day


def _born(value: object) -> object:
    """Accept ``"YYYY-MM-DD"``, ``"YYYY-MM"`` or a TOML date; return text."""
    if isinstance(value, date) and not isinstance(value, datetime):
        return _in_use(value).isoformat()
    if isinstance(value, str) and _is_real(value):
        return value
    hint = 'write it as in "2020-05-14", or the month alone: "2020-05"'
    if isinstance(value, str) and _BORN.fullmatch(value) and not "01" <= value[5:7] <= "12":
        hint = f"the year comes first, then the month, and there is no month {value[5:7]}"
    raise refused("not-a-birth-date", "this is no birth date", hint)


def _is_real(text: str) -> bool:
    if not _BORN.fullmatch(text):
        return False
    try:
        day = date.fromisoformat(text if len(text) == 10 else f"{text}-01")
    except ValueError:
        return False
    return day.year in YEARS


Day = Annotated[date, BeforeValidator(_day)]
Minutes = Annotated[int, Field(ge=0, le=600)]
Count = Annotated[int, Field(ge=0, le=366)]
Verdict = Literal["paused", "not-yet", "look-again", "ready-taking-along", "ready", "not-placed"]


class Block(BaseModel):
    """What every block shares: nothing is converted, nothing unknown is let in."""

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True, defer_build=True)


class UnitStartBlock(Block):
    """``[[unit_start]]``."""

    unit: Line
    on: Day


class SettledBlock(Block):
    """``[[settled]]``."""

    through: Line
    on: Day


Again = Literal["slower", "one-hand", "shorter", "on-the-lid", "hand-away"]
"""How something was tried again with less: the keys of ``model.AGAIN``."""


class LessonBlock(Block):
    """``[[lesson]]``: the lists say how each skill was shown that day."""

    on: Day
    alone: list[Line] = Field(default_factory=list)
    cue: list[Line] = Field(default_factory=list)
    model: list[Line] = Field(default_factory=list)
    hands_on: list[Line] = Field(default_factory=list)
    not_shown: list[Line] = Field(default_factory=list)
    not_tried: list[Line] = Field(default_factory=list)
    by: Called = ""
    note: Text = ""
    remarks: dict[str, Text] = Field(default_factory=dict)
    disliked: list[Line] = Field(default_factory=list)
    liked_again: list[Line] = Field(default_factory=list)
    tried_again: dict[str, Again] = Field(default_factory=dict)


class CorrectionBlock(Block):
    """``[[correction]]``: what was noted wrongly of the day ``of``, said on the day ``on``.

    The lists name the notes as they were made; ``whole`` says that the lesson with just these lists was none.
    """

    on: Day
    of: Day
    whole: bool = False
    alone: list[Line] = Field(default_factory=list)
    cue: list[Line] = Field(default_factory=list)
    model: list[Line] = Field(default_factory=list)
    hands_on: list[Line] = Field(default_factory=list)
    not_shown: list[Line] = Field(default_factory=list)
    by: Called = ""
    why: Text = ""


class HoldBlock(Block):
    """``[[hold]]``: paused for care; ``since`` is the first day that is known to have hurt."""

    opened: Day
    since: Day | None = None
    words: Text
    part: Literal["hand", "voice", "all"] = "all"
    closed: Day | None = None
    closed_by: Line = ""
    closed_words: Text = ""


class SetAsideBlock(Block):
    """``[[set_aside]]``."""

    skill: Line
    on: Day
    agreed_with: Line = ""


class ParticularsTable(Block):
    """``[particulars]``: what whoever teaches this student has to know, see above."""

    stop: Line = ""
    bench: Line = ""
    footrest: Line = ""
    distance: Line = ""
    words: Text = ""
    upsets: Text = ""
    collects: Line = ""


class AlternativeBlock(Block):
    """``[[alternative]]``: another way of showing a skill; how it is shown, not why."""

    skill: Line
    text: Text
    agreed_with: Line
    on: Day


class ToldBlock(Block):
    """``[[told]]``: who was told what."""

    to: Line
    what: Text
    on: Day


class BandChoiceBlock(Block):
    """``[[band_choice]]``."""

    band: Line
    on: Day
    reason: Text = ""


class DecisionBlock(Block):
    """``[[decision]]``."""

    on: Day
    unit: Line
    computed: Verdict
    decided: Literal["move", "stay"]
    until: Day | None = None
    reason: Text = ""


class TaskBlock(Block):
    """``[[task]]``: home practice."""

    given: Day
    for_skill: Line
    text: Text
    minutes_day: Minutes = 0
    days_planned: Count = 0
    days_reported: Count | None = None
    reported: Text = ""


class PromiseBlock(Block):
    """``[[promise]]``."""

    given: Day
    to: Line
    text: Text
    due: Day | None = None
    answered: Day | None = None
    answer: Text = ""


class PlacingBlock(Block):
    """``[[placing]]``: a transfer student's placing lesson."""

    on: Day
    confirmed: Day | None = None


class RhythmTable(Block):
    """``rhythm = { day = "tue", weeks = 1 }``: on which weekday a lesson falls, every so many weeks."""

    day: Literal["mon", "tue", "wed", "thu", "fri", "sat", "sun"]
    weeks: Annotated[int, Field(ge=1, le=26)] = 1


class StudentFile(Block):
    """The whole file: a short header, then blocks that are only ever appended."""

    format: Format
    name: Name
    family: Called = ""
    language: Line = ""
    born: Annotated[str, BeforeValidator(_born), Field(examples=["2018-05"])]
    home_keys: Annotated[int, Field(ge=0, le=128)] | None = None
    rhythm: RhythmTable | None = None
    consents: dict[str, bool] = Field(default_factory=dict)
    particulars: ParticularsTable = Field(default_factory=ParticularsTable)
    unit_start: list[UnitStartBlock] = Field(default_factory=list)
    settled: list[SettledBlock] = Field(default_factory=list)
    lesson: list[LessonBlock] = Field(default_factory=list)
    correction: list[CorrectionBlock] = Field(default_factory=list)
    hold: list[HoldBlock] = Field(default_factory=list)
    set_aside: list[SetAsideBlock] = Field(default_factory=list)
    band_choice: list[BandChoiceBlock] = Field(default_factory=list)
    decision: list[DecisionBlock] = Field(default_factory=list)
    task: list[TaskBlock] = Field(default_factory=list)
    promise: list[PromiseBlock] = Field(default_factory=list)
    placing: list[PlacingBlock] = Field(default_factory=list)
    alternative: list[AlternativeBlock] = Field(default_factory=list)
    told: list[ToldBlock] = Field(default_factory=list)
