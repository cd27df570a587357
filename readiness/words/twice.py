"""A skill that was noted more than once on one day: which note stands, and why (rule R1).

Both notes stay in the file. Nothing is said where they agree.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from readiness.record.model import Record
from readiness.words.grammar import HELP_WORDS, date_words, listed, quoted

__all__ = ["noted_twice", "twice_that_day"]


def noted_twice(record: Record, skill: str, beside: int) -> Iterator[str]:
    """Yield a sentence for each day up to ``beside`` with notes on a skill that differ, latest last."""
    days = sorted({lesson.on for lesson in record.lessons if lesson.on <= beside})
    for day in days:
        notes = _notes(record, skill, day)
        if len({help_ for help_, _ in notes}) > 1:
            lines = listed([f"{HELP_WORDS[help_]} ({_file(record)}:{line})" for help_, line in notes])
            stands = HELP_WORDS[max(notes)[0]]
            yield (
                f"Noted more than once on {date_words(day, beside)}: {lines}. The note with most help stands "
                f"for the day, {quoted(stands)}: that is what it took."
            )


def twice_that_day(record: Record, names: Iterable[tuple[str, str]], day: int) -> Iterator[str]:
    """Yield a sentence for each skill, given by id and name, that a note of the day does not move."""
    for skill, name in names:
        notes = _notes(record, skill, day)
        most, last = max(notes, default=(0, 0))[0], max(notes, key=lambda one: one[1], default=(0, 0))[0]
        if last != most:
            yield (
                f"{quoted(name)} was noted {quoted(HELP_WORDS[most])} that day already. That stands for the "
                "day, because the note with most help says what it took."
            )


def _notes(record: Record, skill: str, day: int) -> list[tuple[int, int]]:
    """Return help and line of each note on a skill on a day."""
    lessons = (lesson for lesson in record.lessons if lesson.on == day)
    return [(one.help, one.line) for lesson in lessons for one in lesson.showings if one.skill == skill]


def _file(record: Record) -> str:
    return record.path.name if record.path else f"{record.id}.toml"
