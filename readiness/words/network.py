"""A network of schools in words: how many are where, what keeps most of them, and what was left out."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING, Final

from readiness.course.model import Course
from readiness.lazy import dataclass
from readiness.school.counts import FEW, Numbers
from readiness.school.disclosure import OutsideNumbers
from readiness.words.cautions import caution
from readiness.words.grammar import counted, date_words, tidy
from readiness.words.layout import Paragraph, Section, columns, item, lay_out
from readiness.words.school_rows import row_lines

if TYPE_CHECKING:
    from readiness.cohort.columns import Unreadable
    from readiness.cohort.counts import Keeps, KeepsOutside

__all__ = ["Report", "gathered_words", "left_out_words", "network_words", "verdicts_words"]

SKILLS: Final = 8
"""So many of the skills that keep students are named; all with ``--full``."""


@dataclass(frozen=True)
class Report:
    """The counts of a network on a day.

    Attributes:
        on: the day; parts: how many schools are counted.
        found: how many are where; keeps: which skills keep them there.
        left_out: the parts that are not counted.
    """

    on: int
    parts: int
    found: Numbers | OutsideNumbers
    keeps: Sequence[Keeps | KeepsOutside]
    left_out: Sequence[Unreadable]


def network_words(report: Report, course: Course, width: int, *, full: bool) -> str:
    """Return the counts of a network as a text; ``full``: with all skills."""
    outside, students = isinstance(report.found, OutsideNumbers), report.found.students
    who = f"fewer than {FEW} students" if students is None else counted(students, "student")
    title = f"{counted(report.parts, 'school')} · {who} · {date_words(report.on)}"
    few = any(0 < (count or 0) < FEW for row in report.keeps for count in (row.gap, row.look))
    sections = (
        Section("", (Paragraph(title), *map(item, left_out_words(() if outside else report.left_out)))),
        Section("", tuple(row_lines(report.found, course, report.on))),
        Section("What keeps most students in their unit", tuple(_keeps(report.keeps, course, full=full))),
        Section("", (Paragraph(caution("C12")),) if few else ()),
    )
    return lay_out(sections, width, full=full)


def _keeps(rows: Sequence[Keeps | KeepsOutside], course: Course, *, full: bool) -> Iterator[Paragraph]:
    told = rows if full else rows[:SKILLS]
    yield from columns(
        [
            (tidy(course.skill[row.skill].name), f"{_few(row.gap)} to work on, {_few(row.look)} to look at")
            for row in told
        ],
        0,
    )
    if len(rows) > len(told):
        yield Paragraph(f"And {len(rows) - len(told)} more: --full")


def _few(count: int | None) -> str:
    return f"under {FEW}" if count is None else str(count)


def left_out_words(left_out: Iterable[Unreadable]) -> list[str]:
    """Return which parts are not counted, and why."""
    return [f"Not counted: {one.message}" for one in left_out]


def gathered_words(part: str, students: int, codes: str) -> str:
    """Return what was written for a network, and what stays here."""
    return (
        f"{part} is written: {counted(students, 'student')} under codes, without names or words. "
        f"The list of codes stays here, in {codes}: it alone can undo them. {caution('C8')}"
    )


def verdicts_words(table: str, students: int) -> str:
    """Return that the table of all verdicts is written."""
    return f"{table} is written: {counted(students, 'student')}, a line each. {caution('C8')}"
