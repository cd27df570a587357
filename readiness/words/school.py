"""The answers to questions over a whole school, in words: each with its title, its rows and cautions.

What stands above a list is said in ``words.school_leads``. Whoever waits for a grown-up to act stands
in the order of waiting, everybody else in that of names; how it goes for a child makes no order. For
a reader outside there are counts only, and a small one is said to be hidden, never left out quietly.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any, Final

from readiness.course.model import Course
from readiness.school.counts import FEW, Stay
from readiness.school.questions import LISTS, Reply
from readiness.school.students import Ready
from readiness.words.cautions import caution
from readiness.words.grammar import capital, date_words
from readiness.words.page import Paragraph, Section, item, lay_out
from readiness.words.school_leads import head_words, lead_words, students_words
from readiness.words.school_rows import sentences, unit_words

__all__ = [
    "CHART_WORDS", "FOR_OUTSIDE", "FOR_SCHOOL", "QUESTION_WORDS", "SPAN_WORDS", "Part", "Told",
    "caution_section", "contents_words", "folded_words", "reply_words", "tell_reply", "title_words",
]  # fmt: skip

QUESTION_WORDS: Final[Mapping[str, str]] = MappingProxyType({
    "paused": "May not play at present",
    "ready": "Ready and waiting",
    "stuck": "No change for a while",
    "look": "Need a look",
    "due": "A check is due",
    "where": "Where students get stuck most",
    "time": "How long units take",
    "numbers": "How many are where",
})
"""The heading of each question."""

CHART_WORDS: Final[Mapping[str, str]] = MappingProxyType({
    "verdicts": "Students by what was found",
    "units": "Students by unit",
    "stuck": "Skills that students are stuck on, by number of students",
    "with_help": "Skills shown only with help so far, by number of students",
    "time": "Lesson days a unit takes, by age",
})
"""The title of each chart."""

SPAN_WORDS: Final = ("the middle half of the cases", "the middle", "usual in this course")
PAGE_TITLE: Final = "Questions over the school"
FOR_SCHOOL: Final = "For the school; it may have names on it: keep it where no family sees another's."
BY_MONTH: Final = (
    "This is always the first day of a month. Two such tables can be taken from one another, and a "
    "difference of one is one child: give nobody two that are less than a term apart."
)
FOR_OUTSIDE: Final = f"For readers outside: counts only, no names, and nothing under {FEW}. {BY_MONTH}"

@dataclass(frozen=True, slots=True)
class Part:
    """Rows that stand together, under a title of their own or none."""

    title: str
    rows: tuple[Any, ...]


@dataclass(frozen=True, slots=True)
class Told:
    """One answer as it is put on a page: what is said first, the rows, what is said last."""

    title: str
    lead: tuple[str, ...]
    parts: tuple[Part, ...]
    last: tuple[str, ...]


def reply_words(replies: Sequence[Reply], course: Course, width: int = 80) -> str:
    """Return answers as text, with the cautions that belong to them at the end."""
    head = Section("", (Paragraph(title_words(replies, course)),))
    lacking = Section("", tuple(map(Paragraph, head_words(replies[0]))))
    told = (_section(reply, tell_reply(reply), course) for reply in replies)
    return lay_out((head, lacking, *told, caution_section(replies)), width)


def title_words(replies: Sequence[Reply], course: Course) -> str:
    """Return what the answers are about, the unit if one, and the day."""
    unit = f", {unit_words(course, replies[0].unit)}" if replies[0].unit is not None else ""
    return f"{PAGE_TITLE}{unit}, {date_words(replies[0].on)}"


def contents_words(reply: Reply) -> str:
    """Return what stands behind the title of an answer in the list of contents: how many are on it."""
    if reply.outside or reply.question not in LISTS:
        return ""
    return f": {students_words(reply) if reply.rows else 'nobody'}"


def folded_words(rows: int) -> str:
    """Return the line that opens a long table."""
    return f"Show all {rows} rows"


def tell_reply(reply: Reply) -> Told:
    """Return one answer as it is put on a page."""
    last = (f"{reply.more} more, not listed here.",) if reply.more else ()
    return Told(QUESTION_WORDS[reply.question], tuple(lead_words(reply)), tuple(_parts(reply)), last)


def _section(reply: Reply, told: Told, course: Course) -> Section:
    then = course.on(reply.on)
    lines = [Paragraph(words) for words in told.lead]
    for part in told.parts:
        lines += [Paragraph(f"{part.title}:")] if part.title else []
        lines += [item(capital(words)) for row in part.rows for words in sentences(row, then, reply.on)]
    return Section(told.title, (*lines, *map(Paragraph, told.last)))


def _parts(reply: Reply) -> Iterator[Part]:
    """Yield the rows; those ready to move on apart from those with nowhere to move."""
    closes = tuple(row for row in reply.shown if _closes(row))
    others = tuple(row for row in reply.shown if not _closes(row))
    if others:
        yield Part("Ready to move on" if isinstance(others[0], Ready) else "", others)
    if closes:
        yield Part("Ready to close the last unit", closes)


def _closes(row: object) -> bool:
    return isinstance(row, Ready) and row.next_unit is None


# ---------------------------------------------------------------- cautions


def caution_section(replies: Sequence[Reply]) -> Section:
    """Return the cautions of some answers, each once."""
    return Section("Cautions", tuple(map(item, dict.fromkeys(c for one in replies for c in _cautions(one)))))


def _cautions(reply: Reply) -> Iterator[str]:
    if reply.question == "time":
        yield "Lesson days are counted, so weeks without a lesson are left out."
    if reply.outside:
        yield f"Counts under {FEW} are not shown, nor those that would give one of them away."
        yield BY_MONTH
        return
    if reply.question == "paused" and reply.rows:
        yield caution("C1")
    if reply.question in ("where", "time") and _has_few(reply):
        yield caution("C12")
    if reply.question in LISTS and reply.rows:
        yield caution("C14")


def _has_few(reply: Reply) -> bool:
    """Return whether a figure comes from few cases."""
    counts = [row.cases if isinstance(row, Stay) else max(row.stuck, row.with_help) for row in reply.rows]
    return any(count < FEW for count in counts)
