"""The answers to questions over a whole school, in words: each with its title, its rows and cautions.

Whoever waits for a grown-up to act stands in the order of waiting, everybody else in that of names; how it
goes for a child makes no order. For a reader outside there are counts only, and a small one is said to be
hidden, never left out quietly.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any, Final, NamedTuple

from readiness.course.model import Course
from readiness.school.counts import FEW, Criterion, Hidden, Moderation, Numbers, OutsideCount, Stay, Where
from readiness.school.questions import LISTS, Reply
from readiness.school.students import CheckDue, OneLook, Paused, Promised, Ready, Stuck
from readiness.terms import Verdict
from readiness.toml.texts import HARD_SPACE
from readiness.words.cautions import ASK_FIRST, brief_cautions, caution, may_play_but
from readiness.words.english import HELP_WORDS, VERDICT_BRIEF, verdict_words, who
from readiness.words.grammar import (
    capital,
    counted,
    date_words,
    ended,
    few_of,
    listed,
    quoted,
    tidy,
    to_come,
    uncapital,
    unit_words,
)
from readiness.words.layout import Heading, Page, Paragraph, Section, bullets, columns, item, items, plain

if TYPE_CHECKING:
    from readiness.cohort.columns import Unreadable
    from readiness.cohort.network import Keeps

__all__ = [
    "AWAY", "CHART_WORDS", "FOLDED", "FOR_OUTSIDE", "FOR_SCHOOL", "QUESTION_WORDS", "SPAN_WORDS",
    "VERDICTS_SHORT", "RowWords", "caution_section", "contents_words", "gathered_words",
    "head_words", "headings", "lead_words", "left_out_words", "moderation_words", "more_words",
    "network_words", "not_known_words", "parts", "reply_words", "row_words", "title_words",
    "verdicts_words",
]  # fmt: skip

_QUESTIONS: Final[Mapping[str, tuple[str, str]]] = {
    "paused": ("May not play", "Nobody is paused."),
    "ready": ("Ready", "Nobody is ready and waiting."),
    "stuck": ("Stuck", "Nobody is stuck."),
    "look": ("Look again first", "Nobody needs only a look."),
    "due": ("Check due", "No check is due."),
    "where": ("Where students get stuck most", "No skill is stuck or with help for anybody."),
    "time": ("How long units take", "Nobody has finished a unit here yet."),
    "numbers": ("How many are where", ""),
    "promises": ("Promises and home tasks still open", "Every promise is answered, every task reported."),
}
"""The heading of each question, and what is said where nobody is on its list."""

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

FOLDED: Final = "Show all {} rows"
"""The line that opens a long table."""
FILES_AT_MOST: Final = 8
"""So many names of files stand at the top; where it is about who may not play, all do."""
STUDENTS_AT_MOST: Final = 6
"""So many names stand in one line of all the answers; more are counted. Who may not play is never folded."""


def reply_words(replies: Sequence[Reply], course: Course, *, full: bool = True) -> Page:
    """Yield answers of one day, with the cautions that belong to them at the end.

    ``full``: several answers one after the other, as for a reader outside; else a line a question.
    """
    full, several = full or replies[0].outside, len(replies) > 1
    title = title_words(replies, course)
    yield Heading(title) if several and not full else plain(title)
    yield from head_words(replies[0])
    if several and not full:
        lists = (reply for reply in replies if reply.question in LISTS)
        yield from columns([(QUESTION_WORDS[reply.question], _whom(reply)) for reply in lists], 0)
    else:
        yield from (_section(reply, course.on(reply.on)) for reply in replies)
    if full:
        yield caution_section(replies)
        return
    paused = any(map(_stops, replies))
    yield plain(
        "Paused: stop playing now, tell the family that day, ask a licensed clinician." if paused else "",
        brief_cautions(("C12", "C14") if not several and _has_few(replies[0]) else ("C14",)),
        f"More: --full{' · ask look' if several else ''}",
    )


def title_words(replies: Sequence[Reply], course: Course) -> str:
    """Return what the answers are about, the unit if one, and the day."""
    unit = f", {unit_words(course, replies[0].unit)}" if replies[0].unit is not None else ""
    return f"The school{unit}, {date_words(replies[0].on)}"


def head_words(reply: Reply) -> tuple[str, ...]:
    """Return what stands above everything: that files could not be read; nothing where all could."""
    if not reply.outside or reply.unread == 0:
        return _unread_words(reply.unread_files)
    some = f"Fewer than {FEW}" if reply.unread is None else str(reply.unread)
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
    names, rest = dict[str, None](), ""
    for row in reply.rows:
        name = who(row.name, row.student)
        stays = isinstance(row, Ready) and row.stay_decided is not None
        if _goes_on(row):
            rest += f"; {name}: {uncapital(may_play_but(row.rests))}"
        else:
            names[name + " (you decided to stay)" * stays] = None
    if reply.question != Verdict.PAUSED:
        return few_of([*names], STUDENTS_AT_MOST) or "nobody"
    unknown = listed([*map(tidy, reply.unread_files)])
    asks = f"; ask before anybody of {unknown} plays" if unknown else ""
    return f"{listed([*names]) or 'nobody'}{rest}{asks}"


def _goes_on(row: object) -> bool:
    """Return whether only another course of a student is paused."""
    return isinstance(row, Paused) and row.goes_on


def _stops(reply: Reply) -> bool:
    """Return whether somebody is on the list of those who may not play."""
    return reply.question == Verdict.PAUSED and not all(map(_goes_on, reply.rows))


def contents_words(reply: Reply) -> str:
    """Return what stands behind the title of an answer in the list of contents: how many are on it."""
    if reply.outside or reply.question not in LISTS:
        return ""
    return f": {counted(len({row.student for row in reply.rows}), 'student') if reply.rows else 'nobody'}"


def more_words(reply: Reply) -> str:
    """Return how many rows are not listed; empty where all are."""
    return f"{reply.more} more, not listed here." if reply.more else ""


def _section(reply: Reply, then: Course) -> Section:
    lines, every = [*map(Paragraph, lead_words(reply))], sorted(weeks for _, weeks in reply.usual)
    if every and not reply.rows:
        weeks = " to ".join(map(str, dict.fromkeys((every[0], every[-1]))))
        lines += [Paragraph(f"The course gives a unit {weeks} weeks: a custom, not research.")]
    for title, rows in parts(reply):
        lines += [Paragraph(f"{title}:")] if title else []
        lines += [line for row in rows for line in row_words(row, then, reply.on).lines]
    lines += [Paragraph(more_words(reply))] if reply.more else []
    return Section(QUESTION_WORDS[reply.question], tuple(lines))


def lead_words(reply: Reply) -> Iterator[str]:
    """Yield what stands above the rows of an answer, that there are none included."""
    if not reply.rows:
        none = _QUESTIONS[reply.question][1]
        if reply.question == Verdict.PAUSED and reply.unread:
            none = "Nobody whose file could be read is paused."
        hidden = f"Nothing here comes from {FEW} students or more, so nothing is shown."
        yield hidden if reply.outside else none
    elif reply.question == Verdict.PAUSED and not _stops(reply):
        yield "Nobody has to stop playing."
    if reply.question == Verdict.PAUSED:
        yield from not_known_words(reply.unread_files)
    if reply.question == "where" and reply.left_out != 0:
        yield f"Paused students are left out{f': {reply.left_out}' if reply.left_out else ''}."


def not_known_words(files: Sequence[str]) -> Iterator[str]:
    """Yield that some files cannot be read, so that nobody knows whether those students may play."""
    whoever = "this student plays" if len(files) == 1 else "any of these students plays"
    if files:
        yield f"Not known from {listed([*map(tidy, files)])}: please ask before {whoever}."


def parts(reply: Reply) -> Iterator[tuple[str, tuple[Any, ...]]]:
    """Yield the rows, under a title or none; those ready to move on apart from those with nowhere to move."""
    closes = tuple(row for row in reply.shown if isinstance(row, Ready) and row.next_unit is None)
    if others := tuple(row for row in reply.shown if row not in closes):
        yield ("Ready for the next unit" if isinstance(others[0], Ready) else "", others)
    if closes:
        yield "Ready to finish the course", closes


def caution_section(replies: Sequence[Reply]) -> Section:
    """Return the cautions of some answers, each once."""
    told: dict[str, None] = {}
    for reply in replies:
        are = {
            "Weeks without a lesson are not counted.": reply.question == "time",
            f"Counts under {FEW} are not shown, nor those that would give one of them away.": reply.outside,
            BY_MONTH: reply.outside,
            caution("C1"): _stops(reply) and not reply.outside,
            caution("C12"): not reply.outside and _has_few(reply),
            caution("C14"): reply.question in LISTS and reply.rows and not reply.outside,
        }
        told |= dict.fromkeys(words for words, is_due in are.items() if is_due)
    return bullets("Cautions", told)


def _has_few(reply: Reply) -> bool:
    rows = reply.rows if reply.question in ("where", "time") else ()
    return any((row.cases if isinstance(row, Stay) else max(row.stuck, row.with_help)) < FEW for row in rows)


# Where two teachers noted the same check differently: it is the criterion that is made clearer.
# Nobody is named. Who wants to know what a colleague saw asks the colleague.


def moderation_words(found: Moderation, course: Course, unread: Sequence[str] = ()) -> Page:
    """Yield how the notes of two compare, the criteria with most disagreement first.

    ``unread`` holds the names of the student files that could not be read.
    """
    yield plain(*_unread_words(unread))
    yield Heading("Noted by two")
    if not found.pairs:
        yield "No check was noted by two teachers. Each notes it with initials: `readiness note ID --by OB`"
        return
    alike = f"{found.agreed} alike, {found.pairs - found.agreed} not"
    yield item(f"{_counted(found)}, {counted(found.pairs, 'thing')} noted by two: {alike}.")
    yield item(
        f"Not a figure under {FEW} checks on {FEW} days: look at the criteria one by one."
        if found.too_few else
        f"Beyond chance: kappa {_figure(found.kappa)}; one step of help apart counted for less: "
        f"{_figure(found.weighted)}. Kappa is 1 where both always agree and 0 where they agree as often as "
        "chance would have it. It says how clear the criteria are, not how good anybody is."
    )  # fmt: skip
    yield Section("Noted differently", tuple(_criteria(found, course, agreed=False)))
    yield Section("Noted alike so far", tuple(_criteria(found, course, agreed=True)), more=True)
    few = found.too_few or any(criterion.too_few for criterion in found.criteria)
    read = "Read the criterion together, say what each saw, and write it so that both note the same."
    yield bullets("Cautions", (caution("C12") if few else "", read), more=True)


def _counted(found: Moderation | Criterion) -> str:
    return f"{counted(found.checks, 'check')} on {counted(found.days, 'day')}"


def _figure(value: float | None) -> str:
    return "cannot be told, everything is on one level" if value is None else f"{value:.2f}"


def _criteria(found: Moderation, course: Course, *, agreed: bool) -> Iterator[Paragraph]:
    for one in (one for one in found.criteria if (one.agreed == one.pairs) == agreed):
        skill, few = course.skill[one.skill], " Too few to conclude." if one.too_few else ""
        alike = f"{one.agreed} of {one.pairs} alike, in {_counted(one)}"
        yield item(f"{tidy(skill.name)} ({skill.id}): {alike}.{few}")
        if not agreed:
            levels = (f"{HELP_WORDS[less]} and {HELP_WORDS[more]}, {counted(times, 'time')}"
                      for (less, more), times in one.levels if less != more)  # fmt: skip
            yield Paragraph(f"Side by side: {'; '.join(levels)}.", 4)
            yield Paragraph(f"Shown when: {tidy(skill.shown_when)}", 4)


# A network of schools in words: how many are where, what keeps most of them, and what was left out.

SKILLS: Final = 8
"""So many of the skills that keep students are named; all with ``--full``."""


def network_words(
    found: Numbers[int] | Numbers[Hidden], keeps: Sequence[Keeps], schools: int, course: Course, on: int,
    left_out: Sequence[Unreadable],
) -> Page:  # fmt: skip
    """Yield the counts of a network on a day: how many are where, and which skills keep them there.

    ``schools``: how many are counted; ``left_out``: the parts that are not, of which a reader outside is
    told none.
    """
    students = found.students
    who = f"fewer than {FEW} students" if students is None else counted(students, "student")
    yield f"{counted(schools, 'school')} · {who} · {date_words(on)}"
    yield from items(left_out_words(left_out))
    yield Section("", row_words(found, course, on).lines)
    yield Heading("What keeps most students in their unit")
    rows = columns([
        (tidy(course.skill[row.skill].name), f"{_few(row.gap)} to work on, {_few(row.look)} to look at")
        for row in keeps
    ], 0)  # fmt: skip
    yield from (replace(row, more=at >= SKILLS) for at, row in enumerate(rows))
    if (rest := len(rows) - SKILLS) > 0:
        yield Paragraph(f"And {rest} more: --full", brief=True)
    few = any(0 < (count or 0) < FEW for row in keeps for count in (row.gap, row.look))
    yield plain(caution("C12") if few else "")


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
    **{verdict: verdict_words(verdict, None, 0) for verdict in Verdict},
    Verdict.READY: "Ready for the next unit, or to finish the course",
}

AWAY: Final[Mapping[str | None, str]] = {
    "on-a-break": "On a break", "first-lesson-back": "Just back from a break",
}  # fmt: skip
"""Where a break alone stands in the way."""


class RowWords(NamedTuple):
    """One row of an answer: as lines, what is not needed every time marked so, and as the cells of a table.

    The counts of a school are several rows of cells.
    """

    lines: tuple[Paragraph, ...]
    cells: tuple[tuple[str, ...], ...] = ()


def row_words(row: object, course: Course, on: int) -> RowWords:
    """Return the words of one row of an answer; ``course`` as it is on the day ``on``."""
    told, rows = _KINDS[type(row)][0](_Rows(course, on), row), headings(row)
    if isinstance(told, RowWords):
        return told
    named, *others = told  # a row of a table is a line with the head of each cell before it
    cells = ((head, cell) for head, cell in zip(rows[1:], others, strict=True) if cell)
    parts = (ended(cell if cell.startswith(head) else f"{head}: {cell}") for head, cell in cells)
    return RowWords((item(" ".join((ended(named), *parts))),), (told,))


def headings(row: object) -> tuple[str, ...]:
    """Return what stands over the columns of rows of this kind; nothing for one that is no table."""
    named = _KINDS[type(row)][1]
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

    def names(self, skills: Iterable[str]) -> str:
        return "; ".join(map(self.skill, skills))

    def lesson(self, day: int | None) -> str:
        return to_come(day, self.on).replace(" ", HARD_SPACE)

    # lists of students

    def ready(self, row: Ready) -> tuple[str, ...]:
        decided = "" if row.closed is None else f"Finished, {self.cell_day(row.closed)}"
        decided = decided if row.stay_decided is None else f"Stay, {self.cell_day(row.stay_decided)}"
        days = (self.cell_day(row.since), self.lesson(row.next_lesson))
        return _who(row), self.place(row.unit), *days, self.names(row.taking_along), decided

    def look(self, row: OneLook) -> tuple[str, ...]:
        after = f", after {quoted(row.after) if row.after else 'the break'}"
        move = self.cell_day(row.move_on) + after * (row.move_on not in (None, row.earliest))
        stay = "" if row.stay_decided is None else f"You decided to stay, {self.cell_day(row.stay_decided)}"
        age = f"A birthday comes first, then {VERDICT_BRIEF[row.by_birthday]}" if row.by_birthday else ""
        beside = filter(None, (ASK_FIRST * row.ask_first, AWAY.get(row.away, ""), stay, age))
        return _who(row), "; ".join(beside), self.names(row.items), self.lesson(row.next_lesson), move

    def stuck(self, row: Stuck) -> tuple[str, ...]:
        cells = (self.skill(row.skill), str(row.days), self.cell_day(row.since), HELP_WORDS[row.best_help])
        first = row.one_thing or row.lowest
        return _who(row), *cells, "another way in" if first == row.skill else self.skill(first)

    def paused(self, row: Paused) -> RowWords:
        since, rests = self.day(row.since), f"here uses the {listed(row.rests)}"
        until, told = "until an adult ends the pause", listed([*map(tidy, row.told)])
        also = f" In another course too: nothing {rests}." if row.rests else ""
        here = f"PAUSED since {since}. No playing {until}.{also}"
        other = f"Another course is PAUSED since {since}. Nothing {rests} {until}."
        line = f"{uncapital(may_play_but(row.rests))}. {other}" if row.goes_on else here
        since_then = f" Told since then: {told}." if told else ""
        lines = (item(f"{_who(row)}: {line}{since_then}"),)
        without = f"without the {listed(row.rests)}" if row.rests else ""
        what = capital(", ".join(filter(None, ("" if row.goes_on else "No playing", without))))
        return RowWords(lines, ((_who(row), self.cell_day(row.since), what, told),))

    def due(self, row: CheckDue) -> tuple[str, ...]:
        lessons, shown = f"{row.lesson_days}, usually {row.usual}", f"{row.shown} of {row.asked}"
        days = (self.cell_day(row.last_check) or "Not made yet", self.lesson(row.next_lesson))
        return _who(row), self.place(row.unit), lessons, shown, str(row.secure), *days

    def promised(self, row: Promised) -> RowWords:
        due = "" if row.due is None else f", due {self.day(row.due)}"
        over = "" if row.days_over is None else f" ({counted(row.days_over, 'day')} over)"
        promise = f"promise {row.number} to {tidy(row.to)}"
        what = promise if row.kind == "promise" else f"task {row.number}"
        given = f"given {self.day(row.given)}{due}{over}"
        return RowWords((item(f"{_who(row)}, {what}, {given}: {ended(row.text)}"),))

    # counts

    def where(self, row: Where) -> tuple[str, ...]:
        unit = self.course.unit[row.unit].number
        return self.skill(row.skill), str(unit), _count(row.stuck), _count(row.with_help)

    def time(self, row: Stay) -> tuple[str, ...]:
        half = f"{row.low:g}" if row.low == row.high else f"{row.low:g} to {row.high:g}"
        cases = f"{row.cases}, too few to conclude" if row.cases < FEW else str(row.cases)
        of = self.place(row.unit), self.course.years(row.band)
        return *of, f"{row.middle:g}", half, str(row.usual), cases

    def numbers(self, row: Numbers[int] | Numbers[Hidden]) -> RowWords:
        counts: list[tuple[str, int | None]] = [(VERDICTS_SHORT[one], count) for one, count in row.verdicts]
        counts += ((self.place(unit), count) for unit, count in row.units)
        hidden = "; ".join(what for what, count in counts if count is None)
        lines = (f"In all: {_how_many(row.students)}.",
                 *(f"{what}: {_how_many(count)}." for what, count in counts if count),
                 f"{capital(HIDDEN)}: {hidden}." if hidden else "")  # fmt: skip
        cells = ((capital(what), _count(count)) for what, count in counts if count != 0)
        return RowWords(tuple(items(lines)), (("In all", _count(row.students)), *cells))

    def outside(self, row: OutsideCount) -> RowWords:
        of = "" if row.of is None else f", of {row.of} in all"
        return RowWords((item(f"{capital(_how_many(row.count))}{of}."),))


def _who(row: Ready | OneLook | Stuck | Paused | CheckDue | Promised) -> str:
    return who(row.name, row.student)


def _how_many(count: int | None) -> str:
    return HIDDEN if count is None else counted(count, "student")


def _count(count: int | None) -> str:
    return HIDDEN if count is None else str(count)


_KINDS: Final[Mapping[type, tuple[Callable[[_Rows, Any], RowWords | tuple[str, ...]], str]]] = {
    Ready: (_Rows.ready, "Name|Unit|Ready since|Next lesson|To finish on the way|Decided"),
    OneLook: (_Rows.look, "Name|Note|Look at|Next lesson|Move at the earliest"),
    Stuck: (_Rows.stuck, "Name|Stuck on|Days tried|Since|With the least help|Begin with"),
    Paused: (_Rows.paused, "Name|Paused since|Until an adult ends the pause|Told since then"),
    CheckDue: (_Rows.due, "Name|Unit|Lessons so far|Shown at least once|Secure|Last decision|Next lesson"),
    Promised: (_Rows.promised, ""),
    Where: (_Rows.where, "Skill|Unit|Students stuck|With help so far"),
    Stay: (_Rows.time, "Unit|Age|Middle, in lessons|Half of them|Usual here|Cases"),
    Numbers: (_Rows.numbers, "What|Students"),
    OutsideCount: (_Rows.outside, ""),
}  # fmt: skip
"""The cells of rows of one kind, or their words, and what stands over their columns, with strokes between."""
