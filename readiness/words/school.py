"""The answers to questions over a whole school, in words: each with its title, its rows and cautions.

Whoever waits for a grown-up to act stands in the order of waiting, everybody else in that of names; how it
goes for a child makes no order. For a reader outside there are counts only, and a small one is said to be
hidden, never left out quietly.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Any, Final, NamedTuple

from readiness.course.model import Course
from readiness.lazy import dataclass
from readiness.school.counts import FEW, Numbers, Stay, Where
from readiness.school.disclosure import OutsideCount, OutsideNumbers, WhereOutside
from readiness.school.moderation import Criterion, Moderation
from readiness.school.questions import LISTS, Reply
from readiness.school.students import Due, OneLook, Paused, Promised, Ready, Stuck
from readiness.terms import Verdict
from readiness.toml.wrapping import HARD_SPACE
from readiness.words.brief import who
from readiness.words.cautions import brief_cautions, caution
from readiness.words.english import ENGLISH, HELP_WORDS
from readiness.words.grammar import (
    capital,
    counted,
    date_words,
    few_of,
    listed,
    quoted,
    tidy,
    to_come,
    uncapital,
    unit_words,
)
from readiness.words.layout import (
    Paragraph,
    Section,
    asked_for,
    bullets,
    columns,
    item,
    lay_out,
    plain,
    under,
)

if TYPE_CHECKING:
    from readiness.cohort.columns import Unreadable
    from readiness.cohort.counts import Keeps, KeepsOutside

__all__ = [
    "AWAY", "CHART_WORDS", "FOR_OUTSIDE", "FOR_SCHOOL", "QUESTION_WORDS", "SPAN_WORDS", "VERDICTS_SHORT",
    "Report", "caution_section", "cells", "contents_words", "folded_words",
    "gathered_words", "head_words", "headings", "left_out_words", "moderation_words", "network_words",
    "lead_words", "more_words", "parts", "reply_words", "row_lines", "title_words", "verdicts_words",
]  # fmt: skip

_QUESTIONS: Final[Mapping[str, tuple[str, str, str | None]]] = {
    "paused": ("May not play", "Nobody is paused.", ", the longest paused first"),
    "ready": ("Ready", "Nobody is ready and waiting.", ", the longest waiting first"),
    "stuck": ("Stuck", "Nobody is stuck.", ""),
    "look": ("Needs one more look", "Nobody needs only a look.", ""),
    "due": ("Check due", "No check is due.", ""),
    "where": ("Where students get stuck most", "No skill is stuck or with help for anybody.", None),
    "time": ("How long units take", "Nobody has finished a unit here yet.", None),
    "numbers": ("How many are where", "", None),
    "promises": (
        "Promises and home tasks still open", "Every promise is answered, every home task reported.",
        ", the longest overdue first",
    ),
}  # fmt: skip
"""The heading of each question, what is said where nobody is on its list, and the order of a list of
students."""

QUESTION_WORDS: Final = {question: words[0] for question, words in _QUESTIONS.items()}

CHART_WORDS: Final[Mapping[str, str]] = {
    "verdicts": "Students by verdict",
    "units": "Students by unit",
    "stuck": "Skills that students are stuck on, by number of students",
    "with_help": "Skills with help so far, by number of students",
    "time": "Lesson days a unit takes, by age",
}
"""The title of each chart."""

SPAN_WORDS: Final = ("half of the cases", "the middle", "usual in this course")
FOR_SCHOOL: Final = "For the school. It has names on it: keep it where no family sees another's."
BY_MONTH: Final = (
    "This is always the first day of a month. Give nobody two tables that are less than a term apart: a "
    "difference of one is one child."
)
FOR_OUTSIDE: Final = f"For readers outside: counts only, no names, and nothing under {FEW}. {BY_MONTH}"

FILES_AT_MOST: Final = 8
"""So many names of files stand at the top; where it is about who may not play, all do."""
STUDENTS_AT_MOST: Final = 6
"""So many names stand in one line of all the answers; more are counted. Who may not play is never folded."""


def reply_words(replies: Sequence[Reply], course: Course, width: int = 80, *, full: bool = True) -> str:
    """Return answers of one day as text, with the cautions that belong to them at the end.

    ``full``: several answers one after the other, as for a reader outside; else a line a question.
    """
    title, full = title_words(replies, course), full or replies[0].outside
    lacking = tuple(map(Paragraph, head_words(replies[0])))
    if len(replies) > 1 and not full:
        lists = (reply for reply in replies if reply.question in LISTS)
        rows = columns([(QUESTION_WORDS[reply.question], _whom(reply)) for reply in lists], 0)
        return lay_out((Section(title, (*lacking, *rows)), _last(replies)), width)
    told = (_section(reply, course) for reply in replies)
    end = caution_section(replies) if full else _last(replies)
    return lay_out((plain(title), Section("", lacking), *told, end), width, full=full)


def title_words(replies: Sequence[Reply], course: Course) -> str:
    """Return what the answers are about, the unit if one, and the day."""
    unit = f", {unit_words(course, replies[0].unit)}" if replies[0].unit is not None else ""
    return f"The school{unit}, {date_words(replies[0].on)}"


def head_words(reply: Reply) -> tuple[str, ...]:
    """Return what stands above everything: that files could not be read; nothing where all could."""
    some = f"Fewer than {FEW}" if reply.unread is None else str(reply.unread)
    if reply.unread == 0 or not reply.outside:
        return _unread_words(reply.unread_files) if reply.unread != 0 else ()
    return (f"{some} student files could not be read; the counts lack them.",)


def _unread_words(files: Sequence[str]) -> tuple[str, ...]:
    """Return that student files could not be read, which, and where it is said what to correct."""
    if not files:
        return ()
    many, what = counted(len(files), "student file"), "it" if len(files) == 1 else "them"
    named = few_of([*map(tidy, files)], FILES_AT_MOST)
    lacking = f"{many} could not be read, so this lacks {what}: {named}."
    return (f"{lacking} `readiness roster` says what to correct.",)


def _whom(reply: Reply) -> str:
    names = list(dict.fromkeys(who(row.name, row.student) for row in reply.rows))
    if reply.question != "paused":
        return few_of(names, STUDENTS_AT_MOST) or "nobody"
    unknown = listed([*map(tidy, reply.unread_files)])
    asks = f"; ask before anybody of {unknown} plays" if unknown else ""
    return f"{listed(names) or 'nobody'}{asks}"


def _last(replies: Sequence[Reply]) -> Section:
    """Return the cautions in a line each, and what to ask next."""
    several = len(replies) > 1
    paused = any(reply.question == "paused" and reply.rows for reply in replies)
    return plain(
        "Paused: stop playing now, tell the family that day, ask a licensed clinician." if paused else "",
        brief_cautions(("C12", "C14") if not several and _has_few(replies[0]) else ("C14",)),
        f"More: --full{' · ask look' if several else ''}",
    )


def contents_words(reply: Reply) -> str:
    """Return what stands behind the title of an answer in the list of contents: how many are on it."""
    if reply.outside or reply.question not in LISTS:
        return ""
    return f": {_students(reply) if reply.rows else 'nobody'}"


def folded_words(rows: int) -> str:
    """Return the line that opens a long table."""
    return f"Show all {rows} rows"


def more_words(reply: Reply) -> str:
    """Return how many rows are not listed; empty where all are."""
    return f"{reply.more} more, not listed here." if reply.more else ""


def _section(reply: Reply, course: Course) -> Section:
    then = course.on(reply.on)
    lines = [Paragraph(words) for words in (*lead_words(reply), *_usual(reply, then))]
    for title, rows in parts(reply):
        lines += [Paragraph(f"{title}:")] if title else []
        lines += [line for row in rows for line in row_lines(row, then, reply.on)]
    lines += [Paragraph(more_words(reply))] if reply.more else []
    return Section(QUESTION_WORDS[reply.question], tuple(lines))


def lead_words(reply: Reply) -> Iterator[str]:
    """Yield what stands above the rows of an answer, that there are none included."""
    if not reply.rows:
        yield _nothing(reply)
    elif not reply.outside and (order := _QUESTIONS[reply.question][2]) is not None:
        yield f"{_students(reply)}{order if len(reply.rows) > 1 else ''}."
    if reply.question == "paused" and reply.unread_files:
        whoever = "this student plays" if len(reply.unread_files) == 1 else "any of these students plays"
        yield f"Not known from {listed([*map(tidy, reply.unread_files)])}: please ask before {whoever}."
    if reply.question == "where" and reply.left_out != 0:
        yield f"Paused students are left out{f': {reply.left_out}' if reply.left_out else ''}."
    if reply.question == "time" and reply.rows:
        yield "The age is that at the start of the unit, or the one you chose."


def _nothing(reply: Reply) -> str:
    if reply.outside:
        return f"Nothing here comes from {FEW} students or more, so nothing is shown."
    if reply.question == "paused" and reply.unread:
        return "Nobody whose file could be read is paused."
    return _QUESTIONS[reply.question][1]


def _usual(reply: Reply, course: Course) -> Iterator[str]:
    """Yield the weeks the course gives where no case is; one sentence also for many units."""
    given = ""
    if len(reply.usual) == 1:
        ((unit, weeks),) = reply.usual
        given = f"{counted(weeks, 'week')} for {unit_words(course, unit)}"
    elif reply.usual and not reply.rows:
        every = [weeks for _, weeks in reply.usual]
        given = f"a unit {min(every)} to {counted(max(every), 'week')}"
    if given:
        yield f"The course gives {given}: a custom, not research."


def _students(reply: Reply) -> str:
    return counted(len({row.student for row in reply.rows}), "student")


def parts(reply: Reply) -> Iterator[tuple[str, tuple[Any, ...]]]:
    """Yield the rows, under a title or none; those ready to move on apart from those with nowhere to move."""
    closes = tuple(row for row in reply.shown if isinstance(row, Ready) and row.next_unit is None)
    if others := tuple(row for row in reply.shown if row not in closes):
        yield ("Ready for the next unit" if isinstance(others[0], Ready) else "", others)
    if closes:
        yield "Ready to finish the course", closes


def caution_section(replies: Sequence[Reply]) -> Section:
    """Return the cautions of some answers, each once."""
    return bullets("Cautions", dict.fromkeys(words for reply in replies for words in _cautions(reply)))


def _cautions(reply: Reply) -> Iterator[str]:
    if reply.question == "time":
        yield "Weeks without a lesson are not counted."
    if reply.outside:
        yield f"Counts under {FEW} are not shown, nor those that would give one of them away."
        yield BY_MONTH
        return
    if reply.question == "paused" and reply.rows:
        yield caution("C1")
    if _has_few(reply):
        yield caution("C12")
    if reply.question in LISTS and reply.rows:
        yield caution("C14")


def _has_few(reply: Reply) -> bool:
    """Return whether a figure comes from few cases."""
    rows = reply.rows if reply.question in ("where", "time") else ()
    return any((row.cases if isinstance(row, Stay) else max(row.stuck, row.with_help)) < FEW for row in rows)


# Where two teachers noted the same check differently: it is the criterion that is made clearer.
#
# Nobody is named. Who wants to know what a colleague saw asks the colleague.

_NONE: Final = (
    "No check was noted by two teachers. For that, each of you notes the same check with your own initials: "
    "readiness note ID --by OB."
)
_KAPPA: Final = (
    "Kappa is 1 where both always agree and 0 where they agree as often as chance would have it. It says how "
    "clear the criteria are, not how good anybody is."
)
_TOO_FEW: Final = (
    f"No figure is given: it would need at least {FEW} checks on {FEW} different days, because what is noted "
    "in one check hangs together. Look at the criteria one by one."
)
_READ: Final = "Read the criterion together, say what each saw, and write it so that both note the same."


def moderation_words(
    found: Moderation, course: Course, width: int = 80, unread: Sequence[str] = (), *, full: bool = True
) -> str:
    """Return how the notes of two compare, the criteria with most disagreement first.

    ``unread`` holds the names of the student files that could not be read.
    """
    lacking = plain(*_unread_words(unread))
    if not found.pairs:
        return lay_out((lacking, Section("Noted by two", (Paragraph(_NONE),))), width)
    few = found.too_few or any(criterion.too_few for criterion in found.criteria)
    return lay_out((
        lacking,
        bullets("Noted by two", _over_all(found)),
        Section("Improve the wording", tuple(_criteria(found, course, agreed=False))),
        Section("Noted alike so far", tuple(_criteria(found, course, agreed=True)), more=True),
        bullets("Cautions", (caution("C12") if few else "", _READ), more=True),
    ), width, full=full)  # fmt: skip


def _over_all(found: Moderation) -> Iterator[str]:
    what = f"{counted(found.checks, 'check')} on {counted(found.days, 'day')}"
    alike = f"{found.agreed} alike, {found.pairs - found.agreed} not"
    yield f"{what}, {counted(found.pairs, 'thing')} noted by two: {alike}."
    ordered = f"one step of help apart counted for less: {_figure(found.weighted)}. {_KAPPA}"
    yield _TOO_FEW if found.too_few else f"Beyond chance: kappa {_figure(found.kappa)}; {ordered}"


def _figure(value: float | None) -> str:
    return "cannot be told, everything is on one level" if value is None else f"{value:.2f}"


def _criteria(found: Moderation, course: Course, *, agreed: bool) -> Iterator[Paragraph]:
    for criterion in (one for one in found.criteria if (one.agreed == one.pairs) == agreed):
        skill = course.skill[criterion.skill]
        yield item(f"{tidy(skill.name)} ({skill.id}): {_counts(criterion)}")
        if not agreed:
            levels = (f"{HELP_WORDS[less]} and {HELP_WORDS[more]}, {counted(times, 'time')}"
                      for (less, more), times in criterion.levels if less != more)  # fmt: skip
            yield under(f"Side by side: {'; '.join(levels)}.")
            yield under(f"Shown when: {tidy(skill.shown_when)}")


def _counts(criterion: Criterion) -> str:
    few = " Too few to conclude." if criterion.too_few else ""
    further = criterion.pairs - criterion.agreed - criterion.one_apart
    parts = [f"{criterion.agreed} of {criterion.pairs} alike"]
    parts += [f"{criterion.one_apart} one step apart"] if criterion.one_apart else []
    parts += [f"{further} further apart"] if further else []
    where = f"in {counted(criterion.checks, 'check')} on {counted(criterion.days, 'day')}"
    return f"{', '.join(parts)}, {where}.{few}"


# A network of schools in words: how many are where, what keeps most of them, and what was left out.

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
    return lay_out((
        Section("", (Paragraph(title), *map(item, left_out_words(() if outside else report.left_out)))),
        Section("", tuple(row_lines(report.found, course, report.on))),
        Section("What keeps most students in their unit", tuple(_keeps(report.keeps, course, full=full))),
        plain(caution("C12") if few else ""),
    ), width, full=full)  # fmt: skip


def _keeps(rows: Sequence[Keeps | KeepsOutside], course: Course, *, full: bool) -> Iterator[Paragraph]:
    told = rows if full else rows[:SKILLS]
    yield from columns([
        (tidy(course.skill[row.skill].name), f"{_few(row.gap)} to work on, {_few(row.look)} to look at")
        for row in told
    ], 0)  # fmt: skip
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


# One row of an answer about a whole school: a student with a day, or a count, as a sentence and as cells. The
# same facts in both; a count that is hidden is said to be.

HIDDEN: Final = "not shown"
"""In place of a count; the cautions say why."""

VERDICTS_SHORT: Final[Mapping[str, str]] = {
    **{verdict: ENGLISH.verdict(verdict, None, 0) for verdict in Verdict},
    Verdict.READY: "Ready for the next unit, or to finish the course",
}

AWAY: Final[Mapping[str | None, str]] = {
    "on-a-break": "on a break", "first-lesson-back": "just back from a break",
}  # fmt: skip
"""Where a break alone stands in the way."""


def row_lines(row: object, course: Course, on: int) -> Iterator[Paragraph]:
    """Yield the lines of one row, what is not needed every time marked so.

    ``row`` is of a :class:`~readiness.school.questions.Reply`, ``course`` as it is on the day ``on``.
    """
    return _KINDS[type(row)].lines(_Rows(course, on), row)


def cells(row: object, course: Course, on: int) -> Iterator[tuple[str, ...]]:
    """Yield the cells of one row of an answer; the counts of a school are several rows."""
    return _KINDS[type(row)].cells(_Rows(course, on), row)


def headings(row: object) -> tuple[str, ...]:
    """Return what stands over the columns of rows of this kind; nothing for one that is no table."""
    named = _KINDS[type(row)].headings if type(row) in _KINDS else ""
    return tuple(named.split("|")) if named else ()


class _Rows(NamedTuple):
    """The rows of a day."""

    course: Course
    on: int

    def day(self, day: int | None) -> str:
        return date_words(day, self.on)

    def cell_day(self, day: int | None) -> str:
        """Return a day that no line ends in; empty without one."""
        return "" if day is None else date_words(day, self.on).replace(" ", HARD_SPACE)

    def skill(self, skill: str) -> str:
        return tidy(self.course.skill[skill].name)

    def place(self, unit: str | None) -> str:
        return capital(unit_words(self.course, unit))

    def names(self, skills: Sequence[str]) -> Iterator[Paragraph]:
        """Yield the names of some skills, if there are any, as a list that is no sentence."""
        if skills:
            yield Paragraph("; ".join(map(self.skill, skills)), 4)

    # lists of students

    def ready(self, row: Ready) -> Iterator[Paragraph]:
        along = counted(len(row.taking_along), "thing")
        finish = f", with {along} to finish on the way" if row.taking_along else ""
        decided = f"; the unit was finished on {self.day(row.closed)}" if row.closed is not None else ""
        if row.stay_decided is not None:
            decided = f"; you decided to stay, on {self.day(row.stay_decided)}"
        lesson = to_come(row.next_lesson, self.on)
        yield item(f"{_who(row)}: since {self.day(row.since)}{finish}; next lesson {lesson}{decided}.")
        yield from self.names(row.taking_along)

    def ready_cells(self, row: Ready) -> Iterator[tuple[str, ...]]:
        decided = f"Finished, {self.cell_day(row.closed)}" if row.closed is not None else ""
        if row.stay_decided is not None:
            decided = f"Stay, {self.cell_day(row.stay_decided)}"
        days = (self.cell_day(row.since), self.cell_day(row.next_lesson))
        along = "; ".join(map(self.skill, row.taking_along))
        yield (_who(row), self.place(row.unit), *days, along, decided)

    def look(self, row: OneLook) -> Iterator[Paragraph]:
        lesson = to_come(row.next_lesson, self.on)
        away = f"{AWAY[row.away]}; " if row.away in AWAY else ""
        what = f"{counted(len(row.items), 'look')} on {lesson}" if row.items else f"next lesson {lesson}"
        first = "" if row.earliest is None else f"; ready on {self.day(row.earliest)} at the earliest"
        yield item(f"{_who(row)}: {away}{what}{first}.")
        yield from self.names(row.items)

    def look_cells(self, row: OneLook) -> Iterator[tuple[str, ...]]:
        days = (self.cell_day(row.next_lesson), self.cell_day(row.earliest))
        yield (_who(row), "; ".join(map(self.skill, row.items)), *days, capital(AWAY.get(row.away, "")))

    def stuck(self, row: Stuck) -> Iterator[Paragraph]:
        first = row.one_thing or row.lowest
        begin = "Try another way in." if first == row.skill else f"Begin with {quoted(self.skill(first))}."
        tried = f"{quoted(self.skill(row.skill))} has been {ENGLISH.tried(row.days)}"
        yield item(f"{_who(row)}: {tried}. {begin}")
        yield Paragraph(f"Since {self.day(row.since)}; with the least help: {HELP_WORDS[row.best_help]}.", 4)

    def stuck_cells(self, row: Stuck) -> Iterator[tuple[str, ...]]:
        since, least = self.cell_day(row.since), capital(HELP_WORDS[row.best_help])
        first = self.skill(row.one_thing or row.lowest)
        yield (_who(row), self.skill(row.skill), str(row.days), since, least, first)

    def paused(self, row: Paused) -> Iterator[Paragraph]:
        since, rests = self.day(row.since), f"Nothing here uses the {listed(row.rests)}"
        until = "until an adult ends the pause"
        if row.goes_on:
            yield item(f"{_who(row)}: another course is PAUSED since {since}. {rests} {until}.")
        else:
            also = f" In another course too: {uncapital(rests)}." if row.rests else ""
            yield item(f"{_who(row)}: PAUSED since {since}. No playing {until}.{also}")
        if row.told:
            yield under(f"Told since then: {listed([*map(tidy, row.told)])}.")

    def paused_cells(self, row: Paused) -> Iterator[tuple[str, ...]]:
        rests = f"without the {listed(row.rests)}" if row.rests else ""
        what = capital(", ".join(filter(None, ("" if row.goes_on else "No playing", rests))))
        yield (_who(row), self.cell_day(row.since), what, listed([*map(tidy, row.told)]))

    def due(self, row: Due) -> Iterator[Paragraph]:
        why = f"{row.shown} of {row.asked} shown at least once, {row.secure} secure"
        if row.by_lessons:
            why = f"{row.lesson_days} lessons in it, usually {row.usual}; {why}"
        unit = f"unit {self.course.unit[row.unit].number}"
        yield item(f"{_who(row)}, {unit}: {why}; next lesson {to_come(row.next_lesson, self.on)}.")
        last = "No decision yet" if row.last_check is None else f"Last decision {self.day(row.last_check)}"
        yield from asked_for([under(f"{self.place(row.unit)}. {last}.")])

    def due_cells(self, row: Due) -> Iterator[tuple[str, ...]]:
        lessons, shown = f"{row.lesson_days}, usually {row.usual}", f"{row.shown} of {row.asked}"
        days = (self.cell_day(row.last_check) or "None yet", self.cell_day(row.next_lesson))
        yield (_who(row), self.place(row.unit), lessons, shown, str(row.secure), *days)

    def promised(self, row: Promised) -> Iterator[Paragraph]:
        due = "" if row.due is None else f", due {self.day(row.due)}"
        over = "" if row.days_over is None else f" ({counted(row.days_over, 'day')} over)"
        promise = f"promise {row.number} to {tidy(row.to)}"
        what = promise if row.kind == "promise" else f"task {row.number}"
        given = f"given {self.day(row.given)}{due}{over}"
        yield item(f"{_who(row)}, {what}, {given}: {tidy(row.text).rstrip('.')}.")

    # counts

    def where(self, row: Where | WhereOutside) -> Iterator[Paragraph]:
        parts = [("stuck", row.stuck), ("with help so far", row.with_help)]
        told = "; ".join(f"{what}: {_how_many(count)}" for what, count in parts if count != 0)
        yield item(f"{self.skill(row.skill)} (unit {self.course.unit[row.unit].number}); {told}.")

    def where_cells(self, row: Where | WhereOutside) -> Iterator[tuple[str, ...]]:
        unit = str(self.course.unit[row.unit].number)
        yield (self.skill(row.skill), unit, _count(row.stuck), _count(row.with_help))

    def time(self, row: Stay) -> Iterator[Paragraph]:
        few = " Too few to conclude." if row.cases < FEW else ""
        took = f"{row.middle:g} lessons in the middle, half of them {row.low:g} to {row.high:g}"
        cases = f"usual here {row.usual}. {counted(row.cases, 'case')}.{few}"
        yield item(f"{self.place(row.unit)}, age {row.band}: {took}; {cases}")

    def time_cells(self, row: Stay) -> Iterator[tuple[str, ...]]:
        half, few = f"{row.low:g} to {row.high:g}", ", too few to conclude" if row.cases < FEW else ""
        figures = (f"{row.middle:g}", half, str(row.usual), f"{row.cases}{few}")
        yield (self.place(row.unit), row.band, *figures)

    def counts(self, row: Numbers | OutsideNumbers) -> list[tuple[str, int | None]]:
        units = ((self.place(unit), count) for unit, count in row.units)
        return [*((VERDICTS_SHORT[verdict], count) for verdict, count in row.verdicts), *units]

    def numbers(self, row: Numbers | OutsideNumbers) -> Iterator[Paragraph]:
        yield item(f"In all: {_how_many(row.students)}.")
        yield from (item(f"{what}: {_how_many(count)}.") for what, count in self.counts(row) if count)
        if hidden := [what for what, count in self.counts(row) if count is None]:
            yield item(f"{capital(HIDDEN)}: {'; '.join(hidden)}.")

    def numbers_cells(self, row: Numbers | OutsideNumbers) -> Iterator[tuple[str, ...]]:
        yield "In all", _count(row.students)
        yield from ((capital(what), _count(count)) for what, count in self.counts(row) if count != 0)

    def outside(self, row: OutsideCount) -> Iterator[Paragraph]:
        of = "" if row.of is None else f", of {row.of} in all"
        yield item(f"{capital(_how_many(row.count))}{of}.")

    def no_cells(self, _row: object) -> Iterator[tuple[str, ...]]:
        yield from ()


def _who(row: Ready | OneLook | Stuck | Paused | Due | Promised) -> str:
    return who(row.name, row.student)


def _how_many(count: int | None) -> str:
    """Return how many students, or that it is not shown."""
    return HIDDEN if count is None else counted(count, "student")


def _count(count: int | None) -> str:
    return HIDDEN if count is None else str(count)


class _Kind(NamedTuple):
    """How rows of one kind are told, and what stands over their columns, with strokes between."""

    lines: Callable[[_Rows, Any], Iterator[Paragraph]]
    cells: Callable[[_Rows, Any], Iterator[tuple[str, ...]]] = _Rows.no_cells
    headings: str = ""


_WHERE: Final = _Kind(_Rows.where, _Rows.where_cells, "Skill|Unit|Students stuck|With help so far")
_NUMBERS: Final = _Kind(_Rows.numbers, _Rows.numbers_cells, "What|Students")
_KINDS: Final[Mapping[type, _Kind]] = {
    Ready: _Kind(_Rows.ready, _Rows.ready_cells,
                 "Name|Unit|Ready since|Next lesson|To finish on the way|Decided"),
    OneLook: _Kind(_Rows.look, _Rows.look_cells,
                   "Name|Look at|Next lesson|Ready at the earliest|Beside it"),
    Stuck: _Kind(_Rows.stuck, _Rows.stuck_cells,
                 "Name|Stuck on|Days tried|Since|With the least help|Begin with"),
    Paused: _Kind(_Rows.paused, _Rows.paused_cells,
                  "Name|Paused since|Until an adult ends the pause|Told since then"),
    Due: _Kind(_Rows.due, _Rows.due_cells,
               "Name|Unit|Lessons so far|Shown at least once|Secure|Last decision|Next lesson"),
    Promised: _Kind(_Rows.promised),
    Where: _WHERE, WhereOutside: _WHERE,
    Stay: _Kind(_Rows.time, _Rows.time_cells,
                "Unit|Age|Middle, in lessons|Half of them|Usual here|Cases"),
    Numbers: _NUMBERS, OutsideNumbers: _NUMBERS,
    OutsideCount: _Kind(_Rows.outside),
}  # fmt: skip
