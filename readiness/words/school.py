"""The answers to questions over a whole school, in words: each with its title, its rows and cautions.

Whoever waits for a grown-up to act stands in the order of waiting, everybody else in that of names; how
it goes for a child makes no order. For a reader outside there are counts only, and a small one is said
to be hidden, never left out quietly.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from types import MappingProxyType
from typing import Any, Final

from readiness.course.model import Course
from readiness.lazy import dataclass
from readiness.school.counts import FEW, Stay
from readiness.school.moderation import Criterion, Moderation
from readiness.school.questions import LISTS, Reply
from readiness.school.students import Ready
from readiness.words.cautions import brief_cautions, caution
from readiness.words.english import HELP_WORDS
from readiness.words.grammar import counted, date_words, listed, tidy
from readiness.words.layout import Paragraph, Section, columns, item, lay_out, under
from readiness.words.school_rows import row_lines, unit_words, who

__all__ = [
    "CHART_WORDS", "FOR_OUTSIDE", "FOR_SCHOOL", "QUESTION_WORDS", "SPAN_WORDS", "ReplyPart", "Told",
    "caution_section", "contents_words", "folded_words", "head_words", "lead_words", "moderation_words",
    "reply_words", "students_words", "tell_reply", "title_words", "unread_words", "usual_words",
]  # fmt: skip

_NOBODY: Final[Mapping[str, str]] = MappingProxyType({
    "ready": "Nobody is ready and waiting.",
    "look": "Nobody needs only a look.",
    "stuck": "Nobody is stuck.",
    "paused": "Nobody is paused.",
    "due": "No check is due.",
    "where": "No skill is stuck or with help for anybody.",
    "time": "Nobody has finished a unit here yet.",
    "numbers": "",
    "promises": "Every promise is answered, every home task reported.",
})
_NOTHING_OUTSIDE: Final = f"Nothing here comes from {FEW} students or more, so nothing is shown."

FILES_AT_MOST: Final = 8
"""So many names of files stand at the top; where it is about who may not play, all do."""

STUDENTS_AT_MOST: Final = 6
"""So many names stand in one line of all the answers; more are counted. Who may not play is never folded."""


def head_words(reply: Reply) -> tuple[str, ...]:
    """Return what stands above everything: that files could not be read; nothing where all could."""
    if reply.unread == 0:
        return ()
    if reply.outside:
        some = f"Fewer than {FEW}" if reply.unread is None else str(reply.unread)
        return (f"{some} student files could not be read; the counts lack them.",)
    return unread_words(reply.unread_files)


def unread_words(files: Sequence[str]) -> tuple[str, ...]:
    """Return that student files could not be read, which, and where it is said what to correct."""
    if not files:
        return ()
    names = [*map(tidy, files)]
    rest = [f"{len(names) - FILES_AT_MOST} more"] if len(names) > FILES_AT_MOST + 1 else []
    named = listed([*(names[:FILES_AT_MOST] if rest else names), *rest])
    missing = f"{counted(len(names), 'student file')} could not be read, so this lacks "
    what = "it" if len(names) == 1 else "them"
    return (f"{missing}{what}: {named}. `readiness roster` says what to correct.",)


def lead_words(reply: Reply) -> Iterator[str]:
    """Yield what stands above the rows of an answer, that there are none included."""
    if not reply.rows:
        yield _nothing(reply)
    elif not reply.outside and reply.question in _ORDER:
        yield f"{students_words(reply)}{_ORDER[reply.question] if len(reply.rows) > 1 else ''}."
    if reply.question == "paused" and reply.unread_files:
        who = "this student plays" if len(reply.unread_files) == 1 else "any of these students plays"
        yield f"Not known from {listed([*map(tidy, reply.unread_files)])}: please ask before {who}."
    if reply.question == "where" and reply.left_out != 0:
        yield f"Paused students are left out{f': {reply.left_out}' if reply.left_out else ''}."
    if reply.question == "time" and reply.rows:
        yield "The age is that at the start of the unit, or the one you chose."


_ORDER: Final[Mapping[str, str]] = MappingProxyType({
    "paused": ", the longest paused first",
    "ready": ", the longest waiting first",
    "stuck": "",
    "look": "",
    "due": "",
    "promises": ", the longest overdue first",
})
"""In which order the students of a list stand, where it is not that of their names."""


def usual_words(reply: Reply, course: Course) -> Iterator[str]:
    """Yield the weeks the course gives where no case is; one sentence also for many units."""
    if len(reply.usual) == 1:
        ((unit, weeks),) = reply.usual
        given = counted(weeks, "week")
        yield f"The course gives {given} for {unit_words(course, unit)}: a custom, not research."
    elif reply.usual and not reply.rows:
        every = [each for _, each in reply.usual]
        span = f"{min(every)} to {counted(max(every), 'week')}"
        yield f"The course gives a unit {span}: a custom, not research."


def students_words(reply: Reply) -> str:
    """Return how many students are on a list."""
    return counted(len({row.student for row in reply.rows}), "student")


def _nothing(reply: Reply) -> str:
    if reply.outside:
        return _NOTHING_OUTSIDE
    if reply.question == "paused" and reply.unread:
        return "Nobody whose file could be read is paused."
    return _NOBODY[reply.question]


QUESTION_WORDS: Final[Mapping[str, str]] = MappingProxyType({
    "paused": "May not play",
    "ready": "Ready",
    "stuck": "Stuck",
    "look": "Needs one more look",
    "due": "Check due",
    "where": "Where students get stuck most",
    "time": "How long units take",
    "numbers": "How many are where",
    "promises": "Promises and home tasks still open",
})
"""The heading of each question."""

CHART_WORDS: Final[Mapping[str, str]] = MappingProxyType({
    "verdicts": "Students by verdict",
    "units": "Students by unit",
    "stuck": "Skills that students are stuck on, by number of students",
    "with_help": "Skills with help so far, by number of students",
    "time": "Lesson days a unit takes, by age",
})
"""The title of each chart."""

SPAN_WORDS: Final = ("half of the cases", "the middle", "usual in this course")
PAGE_TITLE: Final = "The school"
FOR_SCHOOL: Final = "For the school. It has names on it: keep it where no family sees another's."
BY_MONTH: Final = (
    "This is always the first day of a month. Give nobody two tables that are less than a term apart: a "
    "difference of one is one child."
)
FOR_OUTSIDE: Final = f"For readers outside: counts only, no names, and nothing under {FEW}. {BY_MONTH}"

@dataclass(frozen=True)
class ReplyPart:
    """Rows that stand together, under a title of their own or none."""

    title: str
    rows: tuple[Any, ...]


@dataclass(frozen=True)
class Told:
    """One answer as it is put on a page: what is said first, the rows, what is said last."""

    title: str
    lead: tuple[str, ...]
    parts: tuple[ReplyPart, ...]
    last: tuple[str, ...]


def reply_words(replies: Sequence[Reply], course: Course, width: int = 80, *, full: bool = True) -> str:
    """Return answers as text, with the cautions that belong to them at the end.

    Args:
        replies: one or more answers of one day; course: what is taught.
        width: the widest line.
        full: several answers one after the other, as for a reader outside; else a line a question.
    """
    title, full = title_words(replies, course), full or replies[0].outside
    if len(replies) > 1 and not full:
        return lay_out((Section(title, tuple(_overview(replies))), _last(replies)), width)
    lacking = Section("", tuple(map(Paragraph, head_words(replies[0]))))
    told = (_section(reply, tell_reply(reply), course) for reply in replies)
    end = caution_section(replies) if full else _last(replies)
    return lay_out((Section("", (Paragraph(title),)), lacking, *told, end), width, full=full)


def _overview(replies: Sequence[Reply]) -> Iterator[Paragraph]:
    """Yield a line a question: may not play, ready, stuck, needs one more look, check due."""
    yield from map(Paragraph, head_words(replies[0]))
    lists = (reply for reply in replies if reply.question in LISTS)
    yield from columns([(QUESTION_WORDS[one.question], _whom(one)) for one in lists], 0)


def _whom(reply: Reply) -> str:
    """Return who is on a list in a few words."""
    names = list(dict.fromkeys(who(row.name, row.student) for row in reply.rows))
    if reply.question != "paused" and len(names) > STUDENTS_AT_MOST + 1:
        names = [*names[:STUDENTS_AT_MOST], f"{len(names) - STUDENTS_AT_MOST} more"]
    unknown = listed([*map(tidy, reply.unread_files)]) if reply.question == "paused" else ""
    asks = f"; ask before anybody of {unknown} plays" if unknown else ""
    return f"{listed(names) or 'nobody'}{asks}"


def _last(replies: Sequence[Reply]) -> Section:
    """Return the cautions in a line each, and what to ask next."""
    first, several = replies[0], len(replies) > 1
    paused = any(reply.question == "paused" and reply.rows for reply in replies)
    few = not several and first.question in ("where", "time") and _has_few(first)
    told = (
        "Paused: stop playing now, tell the family that day, ask a licensed clinician." if paused else "",
        brief_cautions(("C12", "C14") if few else ("C14",)),
        f"More: --full{' · ask look' if several else ''}",
    )
    return Section("", tuple(map(Paragraph, filter(None, told))))


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
    lines = [Paragraph(words) for words in (*told.lead, *usual_words(reply, then))]
    for part in told.parts:
        lines += [Paragraph(f"{part.title}:")] if part.title else []
        lines += [line for row in part.rows for line in row_lines(row, then, reply.on)]
    return Section(told.title, (*lines, *map(Paragraph, told.last)))


def _parts(reply: Reply) -> Iterator[ReplyPart]:
    """Yield the rows; those ready to move on apart from those with nowhere to move."""
    closes = tuple(row for row in reply.shown if _closes(row))
    others = tuple(row for row in reply.shown if not _closes(row))
    if others:
        yield ReplyPart("Ready for the next unit" if isinstance(others[0], Ready) else "", others)
    if closes:
        yield ReplyPart("Ready to finish the course", closes)


def _closes(row: object) -> bool:
    return isinstance(row, Ready) and row.next_unit is None


# ---------------------------------------------------------------- cautions


def caution_section(replies: Sequence[Reply]) -> Section:
    """Return the cautions of some answers, each once."""
    return Section("Cautions", tuple(map(item, dict.fromkeys(c for one in replies for c in _cautions(one)))))


def _cautions(reply: Reply) -> Iterator[str]:
    if reply.question == "time":
        yield "Weeks without a lesson are not counted."
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


def moderation_words(
    found: Moderation, course: Course, width: int = 80, unread: Sequence[str] = (), *, full: bool = True
) -> str:
    """Return how the notes of two compare, the criteria with most disagreement first.

    Args:
        found: the comparison; course: what is taught.
        width: the widest line.
        unread: the names of the student files that could not be read.
    """
    lacking = Section("", tuple(map(Paragraph, unread_words(unread))))
    if not found.pairs:
        return lay_out((lacking, Section("Noted by two", (Paragraph(_NONE),))), width)
    return lay_out(
        (
            lacking,
            Section("Noted by two", tuple(map(item, _over_all(found)))),
            Section("Improve the wording", _criteria(found, course, agreed=False)),
            Section("Noted alike so far", _criteria(found, course, agreed=True), more=True),
            Section("Cautions", tuple(map(item, _moderation_cautions(found))), more=True),
        ),
        width,
        full=full,
    )


def _over_all(found: Moderation) -> Iterator[str]:
    what = f"{counted(found.checks, 'check')} on {counted(found.days, 'day')}"
    alike = f"{found.agreed} alike, {found.pairs - found.agreed} not"
    yield f"{what}, {counted(found.pairs, 'thing')} noted by two: {alike}."
    if found.too_few:
        yield (
            f"No figure is given: it would need at least {FEW} checks on {FEW} different days, because what "
            "is noted in one check hangs together. Look at the criteria one by one."
        )
    else:
        plain, ordered = _figure(found.kappa), _figure(found.weighted)
        yield f"Beyond chance: kappa {plain}; one step of help apart counted for less: {ordered}. {_KAPPA}"


def _figure(value: float | None) -> str:
    return "cannot be told, everything is on one level" if value is None else f"{value:.2f}"


def _criteria(found: Moderation, course: Course, *, agreed: bool) -> tuple[Paragraph, ...]:
    lines: list[Paragraph] = []
    for one in found.criteria:
        if (one.agreed == one.pairs) == agreed:
            skill = course.skill[one.skill]
            lines.append(item(f"{tidy(skill.name)} ({one.skill}): {_counts(one)}"))
            if not agreed:
                lines.append(under(f"Side by side: {'; '.join(_levels(one))}."))
                lines.append(under(f"Shown when: {tidy(skill.shown_when)}"))
    return tuple(lines)


def _counts(criterion: Criterion) -> str:
    few = " Too few to conclude." if criterion.too_few else ""
    further = criterion.pairs - criterion.agreed - criterion.one_apart
    parts = [f"{criterion.agreed} of {criterion.pairs} alike"]
    parts += [f"{criterion.one_apart} one step apart"] if criterion.one_apart else []
    parts += [f"{further} further apart"] if further else []
    where = f"in {counted(criterion.checks, 'check')} on {counted(criterion.days, 'day')}"
    return f"{', '.join(parts)}, {where}.{few}"


def _levels(one: Criterion) -> Iterator[str]:
    """Yield the levels that were given for the same thing, with how often."""
    for (less, more), times in one.levels:
        if less != more:
            yield f"{HELP_WORDS[less]} and {HELP_WORDS[more]}, {counted(times, 'time')}"


def _moderation_cautions(found: Moderation) -> Iterator[str]:
    if found.too_few or any(one.too_few for one in found.criteria):
        yield caution("C12")
    yield "Read the criterion together, say what each saw, and write it so that both would note the same."
