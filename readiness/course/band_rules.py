"""The rules of a band that are one value each: what each may be, how it is said, and what it does.

What is declared here is the shape of ``pacing.toml`` (``course.schema``), the range asked about
(``course.checks.units``), the help of an editor (``studio.schema``) and the words (``words.reasons``). The
basis of the ranges is common practice, as it stands beside each default in ``[basis]``; that of
``practice_rise_percent_week`` is "avoid sudden increases" (nasm-pama), that of ``beat_range`` the marks of a
metronome, 40 to 208.
"""

from __future__ import annotations

from bisect import bisect
from collections.abc import Mapping
from typing import Final, NamedTuple

AGES: Final = (6, 8, 11)
"""Where another usual range begins; the first is for the younger ones."""


class Range(NamedTuple):
    """What a number can be: at most, and usually, alike at all ages or for those of ``AGES``."""

    most: int | None
    usual: tuple[tuple[float, float], ...]
    why: str = "correct it"

    def at_age(self, age: int) -> tuple[float, float]:
        """Return the usual range of the ages that begin with this one."""
        return self.usual[min(bisect(AGES, age), len(self.usual) - 1)]


class BandRule(NamedTuple):
    """One rule of a band.

    Attributes:
        said: the value in words; ``{n}`` is the value, ``{day}`` and ``{week}`` so many of these.
        range: what the number can be; None for what is no number.
        does: what follows from it, as sentences.
        shape: the kind of value, a name in ``course.schema``.
        example: for a pair of numbers.
    """

    said: str
    range: Range | None
    does: str = ""
    shape: str = "AtLeastOne"
    example: tuple[int, int] | None = None

    @property
    def explained(self) -> str:
        """What it means, as sentences."""
        title = self.said.removesuffix(": {n}")
        return self.does or f"{title[0].upper()}{title[1:]}."


BAND: Final[Mapping[str, BandRule]] = {
    "from_age": BandRule(
        "from the age of: {n}", Range(99, ((3, 25),)),
        "The age in whole years from which this band holds.", shape="AtLeastNone",
    ),
    "lesson_minutes": BandRule(
        "minutes of a lesson: {n}", Range(180, ((15, 45), (20, 45), (20, 60), (20, 90))),
    ),
    "activity_minutes": BandRule(
        "minutes for one activity: {n}", Range(180, ((2, 8), (3, 12), (4, 20), (5, 30))),
    ),
    "new_skills_per_lesson": BandRule(
        "new things in a lesson: {n}", Range(20, ((1, 3), (1, 3), (1, 4), (1, 5))),
    ),
    "new_skills_per_lesson_max": BandRule(
        "new things in a lesson, at most: {n}", Range(20, ((1, 3), (1, 4), (1, 5), (1, 6))),
    ),
    "review_share": BandRule(
        "share of the lesson for what is known: {n}", Range(None, ((0.2, 0.8),)), shape="Share",
    ),
    "check_minutes": BandRule("minutes for a check: {n}", Range(180, ((4, 15), (5, 15), (5, 20), (5, 25)))),
    "check_items_max": BandRule(
        "things on a check sheet, at most: {n}", Range(100, ((4, 12), (4, 14), (4, 18), (4, 24))),
    ),
    "spread_days": BandRule(
        "first and last of those days: at least {day} apart", Range(90, ((1, 14),)),
        "The first and the last of those days lie so far apart, so that it lasts.", shape="AtLeastNone",
    ),
    "carry_limit": BandRule(
        "may be finished later: at most {n}", Range(None, ((0, 4),)),
        "So many things of a unit may be unfinished at the move. None of them is about safety, looked at "
        "in every check, or needed straight away in the next unit.", shape="AtLeastNone",
    ),
    "min_unit_factor": BandRule(
        "a quick unit: below {n} times its usual lessons", Range(10, ((0.2, 1),)),
        "Fewer lessons than this in a unit are quick, which never holds a move up.", shape="Factor",
    ),
    "max_unit_factor": BandRule(
        "a long unit: above {n} times its usual lessons", Range(10, ((1, 3),)),
        "More lessons than this in a unit are long, which never holds a move up.", shape="Factor",
    ),
    "stuck_tries": BandRule(
        "no change for a while: {day} tried in a row", Range(50, ((3, 10),)),
        "After so many days in a row without less help, another way in is suggested.",
    ),
    "check_gap_days": BandRule("days between two checks: {n}", Range(90, ((3, 21),)), shape="AtLeastNone"),
    "practice_minutes_day": BandRule(
        "minutes of practice a day: {n}",
        Range(240, ((2, 20), (3, 30), (5, 45), (5, 90))), shape="Pair", example=(5, 10),
    ),
    "practice_days_week": BandRule(
        "days of practice a week: {n}", Range(None, ((3, 7),)), shape="DaysOfAWeek",
    ),
    "play_without_pause_minutes": BandRule(
        "minutes of playing without a pause: {n}", Range(120, ((2, 8), (3, 12), (4, 20), (5, 40))),
    ),
    "practice_rise_percent_week": BandRule(
        "hundredths by which practice may rise in a week: {n}", Range(25, ((0, 20),)), shape="AtLeastNone",
    ),
    "adult_beside": BandRule("an adult sits beside: {n}", None, shape="Text"),
    "break_weeks": BandRule(
        "a break: {week} or more without a lesson", Range(52, ((2, 8),)),
        "After so long without a lesson, the first one back is for looking, and a new unit waits.",
    ),
    "beat_range": BandRule(
        "beats in a minute: {n}", Range(300, ((40, 208),)), shape="Pair", example=(90, 130),
    ),
    "lesson_minutes_range": BandRule(
        "minutes that a lesson may have: {n}",
        Range(180, ((15, 45), (20, 45), (20, 60), (20, 90))), shape="Pair", example=(20, 30),
    ),
}  # fmt: skip
"""By name, in the order of the file. Two have no end here: the shape ends ``review_share`` and
``practice_days_week``, and ``carry_limit`` ends with the units."""

BY_KIND: Final[Mapping[str, str]] = {
    "accepts": "A day counts where there was no more help than this.",
    "days_needed": "A skill is secure after so many different days. One good day may be luck.",
    "fresh_weeks": "After so many weeks a skill is looked at again. It is not lost, only not seen lately.",
}
"""What the rules do that have a value for each kind of skill, or for how soon it fades."""
