"""What was understood of a table or a calendar, what cannot be placed, and what was written."""

from __future__ import annotations

import shlex
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Final

from readiness.advice.after_break import closed_lately, pain_noted
from readiness.course.model import Course
from readiness.days import WEEKDAYS
from readiness.judging.answer import Answer
from readiness.record.model import HELPS, Record
from readiness.record.table_file import ORDERS, Question, Table
from readiness.record.table_notes import NOT_TRIED, NOTHING, Understood
from readiness.studio import feed
from readiness.studio.school_calendar import EVENT, HOLIDAY, LEAVE, LESSON, SchoolEvent
from readiness.terms import Verdict
from readiness.words.cautions import ASK_FIRST, brief_cautions, ends_words, if_it_hurts, may_play_but
from readiness.words.english import HELP_WORDS
from readiness.words.grammar import counted, date_words, listed, quoted, tidy
from readiness.words.layout import Heading, Page, Paragraph, Section, columns, item, plain

__all__ = [
    "HOW_SAID", "NOT_A_TABLE", "POCKET_CARE", "POCKET_LABELS", "calendar_words", "feed_title",
    "may_play_words", "next_words", "pocket_day", "pocket_title", "pocket_unread", "question_words",
    "undated_words", "understood_words", "written_words",
]  # fmt: skip

_MOST_WORDS: Final = 12
_MOST_ROWS: Final = 5
NOT_A_TABLE: Final = "please name a table (CSV, XLSX or ODS), or ask for an empty one with --template."
HOW_SAID: Final[Mapping[str, str]] = {
    **dict(zip(HELPS, HELP_WORDS, strict=True)),
    NOT_TRIED: "not asked",
    NOTHING: "says nothing",
}
"""What a word of a table was taken for."""


def understood_words(file: Path, table: Table, found: Understood, course: Course, *, full: bool) -> Page:
    """Yield what was understood of a table, before anything is written; ``full``: every word and row."""
    rows = counted(max(len(table.rows) - found.heads.row - 1, 0), "row")
    yield plain(" · ".join(filter(None, (
        file.name,
        f'sheet "{tidy(table.sheet)}"' if table.sheet else "",
        rows,
    ))))  # fmt: skip
    yield Heading("Columns")
    yield from columns(list(_columns(found)), 0)
    percent = [quoted(one.head) for one in found.heads.columns if one.why == "percent"]
    kept = "Percentages and points are not kept: they do not say with how much help it was shown."
    yield f"Not read: {listed(percent[:3])}. {kept}" if percent else ""
    unknown = [quoted(one.head or "without a head") for one in found.heads.columns if one.why == "unknown"]
    some = ", ".join(unknown[:3]) + (f" and {len(unknown) - 3} more" if len(unknown) > 3 else "")
    yield f"Not read: {some}. `--column ROLE=HEAD` says what one holds." if unknown else ""
    sheets = ", ".join(map(tidy, table.others[:3]))
    yield f"Sheets not read: {sheets}. `--sheet NAME` reads one." if table.others else ""
    yield Heading("Words")
    words = [
        (quoted(word), f"{_meaning(role, word, meant, course)}, {counted(times, 'time')}")
        for (role, word, meant), times in sorted(found.words.items(), key=lambda one: _order(one[0]))
    ]
    told = words if full else words[:_MOST_WORDS]
    yield from columns(told, 0)
    left = len(words) - len(told)
    yield f"And {counted(left, 'word')} more: `--full` shows all." if left else ""
    say = f"Where it stands for more help, say so, as in `--word {found.ticks}=cue`."
    yield f"{quoted(found.ticks)} is taken for without help. {say}" if found.ticks else ""
    yield Section("To note", tuple(_notes(found, course)))
    yield Heading(f"Not placed: {counted(len(found.unplaced), 'row')}")
    unplaced = found.unplaced if full else found.unplaced[:_MOST_ROWS]
    yield from (item(f"row {one.number}: {one.why}{'' if one.why[-1] in '.?' else '.'}") for one in unplaced)
    rest = len(found.unplaced) - len(unplaced)
    yield f"And {rest} more: `--full` shows all." if rest else ""


def _columns(found: Understood) -> Iterator[tuple[str, str]]:
    """Yield what is in which column; those under skills, days or students as one row each kind."""
    for one in found.heads.columns:
        if one.role and not one.fixed:
            order = f" ({ORDERS[found.order]})" if one.role == "day" and found.order else ""
            yield one.role, f"{quoted(one.head)}{order}"
    for kind in ("skill", "day", "student"):
        heads = [tidy(one.head) for one in found.heads.columns if kind in one.fixed and one.role == "how"]
        if heads:
            some = f"{heads[0]}{' ...' if len(heads) > 1 else ''}"
            yield f"a {kind} each", f"{counted(len(heads), 'column')}: {some}"
    yield from ((kind, f"{cell} (above the table)") for kind, cell in found.heads.fixed.items())


def _order(word: tuple[str, str, str]) -> tuple[int, bool, str]:
    """Return where a word stands: ways of showing first, then what is written in other words."""
    roles = ("how", "student", "skill", "unit")
    return roles.index(word[0]) if word[0] in roles else 9, word[1].casefold() == word[2], word[1].casefold()


def _meaning(role: str, word: str, meant: str, course: Course) -> str:
    if role == "how":
        return HOW_SAID.get(meant, meant)
    if role == "skill" and meant in course.skill:
        name = tidy(course.skill[meant].name)
        return name if word == meant else meant if word == name else f"{name} ({meant})"
    return f"unit {course.unit[meant].number}, {meant}" if role == "unit" and meant in course.unit else meant


def _notes(found: Understood, course: Course) -> Iterator[Paragraph]:
    for one in found.students:
        lessons = list(one.lessons.values())
        new = "a new student; " if one.new is not None else ""
        starts = f"{counted(len(one.starts), 'unit')} started; " if one.starts else ""
        notes = sum(len({*each.helps, *each.not_tried, *each.remarks}) + bool(each.note) for each in lessons)
        days = counted(len({each.on for each in lessons}), "day")
        said = f"{counted(notes, 'note')} on {days}" if lessons else "no lesson"
        yield Paragraph(f"{new}{starts}{said}", 0, f"{tidy(one.record.name)} ({one.record.id})  ")
    for one in found.students:  # of words that speak of something that hurts the last day, and what to do
        lessons = sorted(one.lessons.values(), key=lambda lesson: -lesson.on)
        hurts = ((each.on, if_it_hurts(one.record, each.on, each.note, *each.remarks.values()))
                 for each in lessons)  # fmt: skip
        for day, told in [(day, told) for day, told in hurts if told][:1]:
            name = f"{tidy(one.record.name)} ({one.record.id})"
            yield item(f"{name}, {date_words(day)}, words about something that hurts. {told}")
    if held := list(found.held(course)):
        notes = sum(len(skills) for _, _, skills in held)
        told = counted(notes, "note is of playing", "notes are of playing")
        yield Paragraph(f"{told} during a pause: kept, and never counted.")
        for record, day, skills in held:
            names = listed([tidy(course.skill[one].name) for one in skills])
            yield item(f"{tidy(record.name)} ({record.id}), {date_words(day)}: {names}.")
    stays = counted(found.already, "note is there and stays", "notes are there and stay")
    second = counted(found.again, "is a second note", "are second notes")
    rows = ", ".join(map(str, found.silent[:_MOST_ROWS])) + " ..." * (len(found.silent) > _MOST_ROWS)
    yield from map(Paragraph, filter(None, (
        "Of a birth only the year and the month are kept; the day is left out." if found.days_cut else "",
        f"{stays} as before." if found.already else "",
        f"{second} of a skill on one day; the way with more help is kept." if found.again else "",
        f"Nothing is said of how in {counted(len(found.silent), 'row')}: {rows}." if found.silent else "",
        "" if found.students or found.already else "Nothing.",
    )))  # fmt: skip


def next_words(found: Understood) -> str:
    """Return what can be done where nothing was written."""
    if not found.students:
        return "Nothing is written."
    kept = " What is not placed is then kept in a file to finish." if found.unplaced else ""
    safe = "`readiness backup` first keeps everything as it is now."
    return f"Nothing is written yet: `--write` writes it.{kept} {safe}"


def question_words(question: Question) -> str:
    """Return a question, and with which option it is answered."""
    if question.kind != "column":
        say = "the order with --dates" if question.kind == "dates" else "the one without help with --scale"
        return f"{question.text} Say {say} {' or '.join(question.choices)}."
    column = shlex.quote(f"{question.about}={question.choices[0] if question.choices else 'HEAD'}")
    other = {"student": ", or --student ID for all rows", "day": ", or --on DATE for all rows"}
    rest = f" (the heads are {listed(question.choices)})" if len(question.choices) > 1 else ""
    return f"{question.text} Say it with `--column {column}`{rest}{other.get(question.about, '')}."


def written_words(
    noted: Sequence[str], new: Sequence[str], unfinished: Path | None, token: str
) -> Iterator[str]:
    """Yield for whom something was noted and who is new, how both are taken back, and where the rest is."""
    done = {*noted, *new}
    yield f"Written for {counted(len(done), 'student')}." if done else "Nothing new to write."
    yield f"A slip? `readiness undo --import {token}` takes back all that was noted." if noted else ""
    yield f"A student too many? `readiness forget {new[0]}` deletes a file that is new." if new else ""
    if unfinished is not None:
        rest = "with the reasons: correct it there and import it."
        yield f"What could not be placed is in {unfinished}, {rest}"


def import_undone_words(found: Mapping[str, tuple[int, int, object]], bare: Sequence[str]) -> Iterator[str]:
    """Yield what of an import was taken back for whom, and how many lessons stay as they were corrected.

    ``found``: by student, both numbers first; ``bare``: who has a file and no note now.
    """
    taken = listed([f"{count} of {one}" for one, (count, *_) in found.items() if count])
    yield f"Taken back, the whole import: {taken}."
    for one, (_, kept, _) in found.items():
        stay = f"{counted(kept, 'lesson stays', 'lessons stay')} as corrected since"
        yield f"{stay}: `readiness undo {one}` takes back the last of {one}." if kept else ""
    for one in bare:
        leave = f"`readiness forget {one}` is for a student who should not be here"
        yield f"{one} has a file and no note now; {leave}."


# The calendar of a school, and the one to subscribe to.

_KIND_SAID: Final[Mapping[str, str]] = {
    HOLIDAY: "no lessons", LESSON: "lesson days", EVENT: "days with a name", LEAVE: "left out",
}  # fmt: skip
_FEED_SAID: Final[Mapping[str, str]] = {
    feed.LESSON: "Lesson", feed.CHECK: "Check due", feed.PROMISE: "Promise due",
}  # fmt: skip


def feed_title(kind: str, called: str) -> str:
    """Return what an event of the calendar is called."""
    return f"{_FEED_SAID[kind]}: {tidy(called)}"


def undated_words(called: Sequence[str]) -> str:
    """Return whose lessons are not in the calendar, because nothing says when they are."""
    return f"Not in it, for no lesson day is noted: {listed([*map(tidy, called)])}."


def calendar_words(file: Path, events: Sequence[SchoolEvent], new: int, to: Path | None) -> Page:
    """Yield what a school's calendar holds and what each event of it is taken for.

    ``new``: how many days or stretches are not in studio.toml yet; ``to``: where they were written, if so.
    """
    rows = [(quoted(one.name), _KIND_SAID[one.kind] + (f" ({one.who})" if one.who else ""), _span_words(one))
            for one in events]  # fmt: skip
    left = next((one.name for one in events if one.kind == LEAVE), None)
    example = quoted(f"{left}=lesson") if left else '"NAME=KIND"'
    hint = f"`--as {example}` says what the events of a name are: holiday, lesson, lesson:ID, event or leave."
    told = f"{counted(new, 'entry is', 'entries are')} new. Nothing is written yet: `--write` writes it."
    if to is not None:
        told = f"{counted(new, 'entry', 'entries')} added to {to}; everything in it stays as it was."
    told = told if new else "Nothing in it is new."
    yield Section(file.name, columns(rows, 0) or (Paragraph("No event in these days."),))
    yield plain(hint if rows else "", told)


def _span_words(event: SchoolEvent) -> str:
    dropped = f"{event.dropped} in holidays left out" if event.dropped else ""
    if not event.days:
        return dropped or "not read: it has a mistake, or repeats every minute for ever"
    first, last = event.days[0][0], event.days[-1][1]
    span = date_words(first) if first == last else f"{date_words(first, last)} to {date_words(last)}"
    often = f"{len(event.days)} times, {date_words(first, last)} to {date_words(last)}"
    return "; ".join(filter(None, (often if len(event.days) > 1 else span, dropped)))


# The page for the pocket.

POCKET_LABELS: Final[Mapping[str, str]] = {
    "look": "Look", "work": "The one thing", "promise": "Promised",
    "away": "Nothing more planned in these days",
}  # fmt: skip
POCKET_CARE: Final = (
    ("These are notes about children, for your eyes only: lock the phone, send the page to nobody, and "
     "delete it after the last lesson. Nothing else is kept of it. Local law may ask for more."),
    brief_cautions(("C14",)),
)  # fmt: skip


def pocket_title(first: int, last: int) -> str:
    """Return the title of the page."""
    return f"Lessons, {date_words(first, last)}" + (f" to {date_words(last)}" if last > first else "")


def pocket_unread(files: int) -> str:
    """Return that some files cannot be read, so that nobody knows whether those students may play."""
    return f"{counted(files, 'file')} cannot be read: ask before anybody plays who is not on this page."


def pocket_day(day: int) -> str:
    """Return a day with its weekday."""
    return f"{WEEKDAYS[(day - 1) % 7]}, {date_words(day, day)}"


def may_play_words(course: Course, answer: Answer, record: Record) -> str:
    """Return whether there is playing, without a word of why."""
    if answer.verdict == Verdict.PAUSED:
        return f"NO PLAYING until {ends_words(record, answer.on)}"
    if rests := may_play_but(hold.part for hold in record.resting(answer.on)):
        return rests
    if pain_noted(record, answer.on):
        return ASK_FIRST
    return "May play: gently, after a pause" if closed_lately(course, record, answer.on) else "May play"
