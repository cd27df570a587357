"""``studio.toml`` as it is written, and JSON Schemas of all files a teacher writes, made from the models.

JSON Schema 2020-12 (json-schema.org), for editors that complete and explain TOML by it. What must stand in a
file is not asked here: a course may inherit it, and the check says it better.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Annotated, Any, Final, Literal

from pydantic import BaseModel, Field, ValidationInfo, field_validator, model_validator
from pydantic_core import PydanticCustomError

from readiness.course.model import BAND, BY_KIND
from readiness.course.schema import GraphFile, PacingFile
from readiness.record.schema import Block, Day, RhythmTable, StudentFile
from readiness.toml.schema_errors import Format, Line, Name, refused

__all__ = [
    "EXPLAINED", "FOLDER", "MODELS", "EventBlock", "StudioFile", "WordingTable", "schema_text", "schemas",
    "with_schema",
]  # fmt: skip


class EventBlock(Block):
    """``[[event]]``: one day (``on``), or a stretch such as holidays (``from`` and ``to``)."""

    name: Name = "Holidays"
    on: Day | None = None
    first: Annotated[Day | None, Field(alias="from")] = None
    last: Annotated[Day | None, Field(alias="to")] = None

    @field_validator("last")
    @classmethod
    def _ends_after_it_begins(cls, last: Day | None, info: ValidationInfo) -> Day | None:
        """Refuse a stretch whose last day is before its first."""
        first, name = info.data.get("first"), info.data.get("name")
        if first and last and last < first:
            message = f'"{name}" ends on {last}, before it begins on {first}'
            raise refused("event-days", message, "look at both: from is the first day, to is the last")
        return last

    @model_validator(mode="after")
    def _one_day_or_a_stretch(self) -> EventBlock:
        """Refuse an event without days, or with two kinds of them."""
        stretch = self.first is not None and self.last is not None
        half = (self.first is None) != (self.last is None)
        if half or (self.on is not None) == stretch:
            raise PydanticCustomError("event-days", "an event has either one day (on) or two (from and to)")
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

    format: Format
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


FOLDER: Final = "schemas"
"""Where they are in a studio."""
MODELS: Final[Mapping[str, type[BaseModel]]] = {
    "graph": GraphFile, "pacing": PacingFile, "student": StudentFile, "studio": StudioFile,
}  # fmt: skip
EXPLAINED: Final[Mapping[str, str]] = {
    "format": "Of this kind of file; always 1.",
    "name": "What it is called.",
    "edition": "Whatever you call this state of it.",
    "based_on": "The folder of another course: this file holds only what it does otherwise.",
    "uses": "What is played or sung with; of a skill, what it works where that is not the whole course's.",
    "alternatives_by_kind": "Another way of showing, for skills of a kind that have none of their own.",
    "shared": "Two students can do the skills of this strand in one lesson.",
    "lesson_weeks": "How many weekly lessons the unit usually takes.",
    "aim": "What a child can do after it.",
    "allow": "Warnings of the check that are meant, by their ids.",
    "reason": "Why it is so, for whoever reads it next.",
    "after": "Behind which unit it comes; only with based_on.",
    "unit": "The unit it is taught in.",
    "strand": "What it belongs to.",
    "kind": "What it is a matter of; pacing.toml has days and help for each.",
    "fade": "How soon it goes without use.",
    "minutes": "Minutes of teaching, all lessons together, until it is first shown without help.",
    "shown_when": "What is seen or heard when it is shown, with numbers.",
    "stands_on": "All of these come first.",
    "stands_on_some": "So many of these come first.",
    "at_least": "How many of them.",
    "of": "The skills of which some come first.",
    "always_look": "Looked at in every check of every unit.",
    "safety": "May never be left to finish later.",
    "must_be_seen": "Not kept fresh by being used inside a harder skill.",
    "days": "Needs so many different days, in place of the number of its kind.",
    "quiet": "Done without playing, singing or hard movement, so it may be done under a pause.",
    "asks_pain": "By it a child says that something hurts; always in the first unit, never optional.",
    "optional_in": "The ages at which it is neither asked for nor in the way.",
    "age_note": "What is different at which age.",
    "alternative": "Another way of showing the same thing.",
    "remedies": "Two short activities for when it does not come.",
    "advice": "Your own sentence, shown with every finding about it.",
    "said": 'How letters speak of it: "lifting the wrist".',
    "you": 'How it is said to the student: "you lift your wrist".',
    "at_home": "Which of its remedies are fit for home without a teacher; the first is 1.",
    "for_children": "Which of its remedies are made for children.",
    "for_two": "Which of its remedies two students can do together.",
    "touches": "Which of its remedies touch the student: asked for each time.",
    "recorded": "A video or photo is one way of showing it; needs consent.",
    "piece": "It is the playing of a piece.",
    "beats": "It is kept to a beat: the sheet says which speed suits the age.",
    "counts_groups": "Its right answer depends on the instrument: how many groups of black keys it has.",
    "since": "The first day it is asked for.",
    "retired": "The first day it is not asked for any more.",
    "replaced_by": "What takes its place from then on, with its notes.",
    **BY_KIND,
    **{rule: one.explained for rule, one in BAND.items()},
    "note": "A remark of your own.",
    "basis": "Where each number comes from.",
    "change": "Who changed a number, when and why.",
    "course": "The folder of the course, as seen from this file.",
    "students": "The folder of the student files, as seen from this file.",
    "term_end": "The last day of the term.",
    "born": "The day or month of birth: 2019-05 is enough.",
    "consents": "What the family agreed to; what is not named is not agreed to.",
    "lesson": "One lesson; the lists say how each skill was shown that day.",
    "alone": "Shown without help.",
    "cue": "Shown after a word or sign.",
    "model": "Shown after the teacher had shown it.",
    "hands_on": "Shown with the teacher's hand.",
    "not_shown": "Tried and not shown.",
    "not_tried": "Left out; says nothing.",
    "hold": "Something hurts: no playing until a named adult closes it.",
}
"""What a key means, whichever table it stands in."""


def schemas() -> dict[str, str]:
    """Return the schemas by the names of their files."""
    return {f"{name}.json": schema_text(name) for name in MODELS}


def schema_text(name: str) -> str:
    """Return one schema as JSON."""
    made = _explained(MODELS[name].model_json_schema())
    made = {"$schema": "https://json-schema.org/draft/2020-12/schema", **made}
    return json.dumps(made, ensure_ascii=False, separators=(",", ":")) + "\n"


def _explained(value: Any) -> Any:  # noqa: ANN401 - whatever a schema holds
    """Return a schema with its keys explained and nothing that must be there."""
    if isinstance(value, list):
        return [_explained(one) for one in value]
    if not isinstance(value, dict):
        return value
    found = {key: _explained(one) for key, one in value.items() if key not in ("required", "title")}
    keys = value.get("properties")
    if isinstance(keys, dict):
        told = {key: {"description": EXPLAINED[key]} if key in EXPLAINED else {} for key in keys}
        found["properties"] = {key: {**_explained(one), **told[key]} for key, one in keys.items()}
    return found


def with_schema(text: str, name: str, above: str) -> str:
    """Return a file with the line by which editors find its schema; ``above`` leads to the studio."""
    return f"#:schema {above}{FOLDER}/{name}.json\n{text}"
