"""``studio.toml`` as it is written: where the course and the students are, and the dates of the term."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, model_validator
from pydantic_core import PydanticCustomError

from readiness.record.schema import Block, Day, RhythmTable
from readiness.toml.typed import Line, Name

__all__ = ["EventBlock", "StudioFile", "WordingTable"]


class EventBlock(Block):
    """``[[event]]``: one day (``on``), or a stretch such as holidays (``from`` and ``to``)."""

    name: Name = "Holidays"
    on: Day | None = None
    first: Annotated[Day | None, Field(alias="from")] = None
    last: Annotated[Day | None, Field(alias="to")] = None

    @model_validator(mode="after")
    def _one_day_or_a_stretch(self) -> EventBlock:
        """Refuse an event without days, or with two kinds of them."""
        stretch = self.first is not None and self.last is not None
        half = (self.first is None) != (self.last is None)
        if half or (self.on is not None) == stretch:
            raise PydanticCustomError("event-days", "an event has either one day (on) or two (from and to)")
        if self.first is not None and self.last is not None and self.last < self.first:
            raise PydanticCustomError("event-days", "this event ends before it begins")
        return self


class WordingTable(Block):
    """``[wording]``: what a studio calls things, in all that is said; in files and JSON nothing changes.

    ``dates`` is also the order in which a day is typed: with month-day, 10/27 is 27 October.
    """

    note_values: Literal["quarter", "crotchet"] = "quarter"
    seventh: Literal["B", "H"] = "B"
    seat: Literal["bench", "stool"] = "bench"
    dates: Literal["day-month", "month-day"] = "day-month"


class StudioFile(Block):
    """The whole file. Folders are given as seen from the folder this file is in.

    ``[courses]`` names further courses of the same students, by a word to ask for each with,
    as in ``voice = "../skill_graphs/first-year-voice"``; ``course`` stays the main one.
    """

    format: Literal[1]
    name: Name
    course: Name
    courses: dict[str, Name] = Field(default_factory=dict)
    students: Name
    teachers: dict[str, Line] = Field(default_factory=dict)
    term_end: Day | None = None
    event: list[EventBlock] = Field(default_factory=list)
    lesson_dates: dict[str, list[Day]] = Field(default_factory=dict)
    rhythm: RhythmTable | None = None
    wording: WordingTable = WordingTable()
    today: Day | None = None
