"""What is said around noting: what is kept of a round, what was noted, what it changes.

Short, because it is read between two children. A slip of the finger is always one command away from being
taken back, and that is said each time.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Final

from readiness.advice.skill_traits import played_under_hold
from readiness.course.model import Course
from readiness.days import iso
from readiness.judging.answer import Answer
from readiness.record.consents import is_of_age
from readiness.record.model import HELPS, Lesson, Record
from readiness.record.noting import NewLesson
from readiness.terms import Help, State, Verdict
from readiness.words.brief import noted_line, plain_verdict, verdict_brief
from readiness.words.cautions import caution
from readiness.words.english import HELP_WORDS
from readiness.words.grammar import (
    capital,
    counted,
    date_words,
    few_of,
    listed,
    quoted,
    tidy,
    together,
    uncapital,
)
from readiness.words.layout import Paragraph, Section, bullets, item, lay_out, lines, plain
from readiness.words.paused import hold_notice, hold_section, if_it_hurts
from readiness.words.phrases import Phrases

__all__ = [
    "CROSSED_OUT", "HALF_ENTERED", "ask_words", "half_entered_words", "hold_words", "kept_words",
    "not_kept_words",
    "noted_quietly", "noted_twice", "noted_words", "offer_words", "pausing_words", "played_words",
    "round_words", "shown_words", "turn_words", "twice_that_day", "undone_words", "unnoted_words",
]  # fmt: skip

HALF_ENTERED: Final = "half done"
"""In the column that says how long ago the last lesson was."""

_NAMES: Final = 2
"""So many skills are named in a sentence; more are only counted."""
_CHANGED_AT_MOST: Final = 3
_NAMED_AT_MOST: Final = 15
_HANDS_ON = HELPS.index(Help.HANDS_ON)
_WHOSE_PAUSE: Final = "If it was another student who said that something hurts: `readiness pause ID`, now."
CROSSED_OUT: Final = (
    "These lines stay in the file, crossed out at its end. If they are about another student, delete them by "
    "hand, and the lines that cross them out too."
)


def noted_quietly(lesson: NewLesson, before: Answer, now: Answer, course: Course) -> str:
    """Return what went well in a lesson that was noted, and then, in one quiet sentence, the answer.

    It is read while the child still stands beside it: no skill that did not come, no large word. ``before``
    and ``now`` are the answers without the lesson and with it.
    """
    well = "Thank you for trying so many things."
    for lead, helps in (("Went well with a little help", (1, 2, 3)), ("Went well", (0,))):
        came = [skill for skill, given in lesson.helps.items() if given in helps]
        if names := [uncapital(tidy(course.skill[skill].name)) for skill in came]:
            well = f"{lead}: {few_of(names, 3)}."
    then, today = verdict_brief(before), verdict_brief(now)
    states = ((one, before.standings[one].state, now.standings[one].state) for one in lesson.helps)
    new = [course.skill[one].name for one, was, here in states if was != here == State.SECURE]
    secure = f" Secure now: {few_of([uncapital(tidy(name)) for name in new], 3)}." if new else ""
    return f"{well}\nNoted. Before: {then}. Now: {today}.{secure} Key u takes it back."


# Playing that is noted for a day on which there is a pause: stop playing comes first. What was seen is kept,
# and none of it is called a step forward.


def ask_words(course: Course, record: Record, day: int, played: Sequence[str], width: int = 80) -> str:
    """Return the question before noting, with its keys."""
    names = _names(course, played)
    return lines((
        hold_notice(record, day) or f"A pause is open that concerns {names}.",
        f"This notes {names}, although there is a pause. If it was played all the same: please stop now.",
        "y note it as it was seen   any other key: do not note it, keep it for later",
    ), width)  # fmt: skip


def played_words(course: Course, played: Sequence[str], *, was_noted: bool = True) -> Iterator[str]:
    """Yield what comes first where playing was noted during a pause, or would be; nothing where none was."""
    if played:
        noted = f"{_names(course, played)} {'was' if was_noted else 'would be'} noted"
        yield (
            f"There is a pause, and {noted}. Stop playing now. Do not play "
            "through pain. It is kept as it was seen and counts for nothing until the pause ends."
        )


def _names(course: Course, skills: Sequence[str]) -> str:
    return few_of([quoted(course.skill[skill].name) for skill in skills], _NAMES)


def hold_words(record: Record, day: int, width: int = 80) -> str:
    """Return that a student is paused, above the questions of a round."""
    return lay_out([hold_section(record, day)], width)


def pausing_words(record: Record, lesson: NewLesson) -> str:
    """Return how to pause where a few words of a lesson speak of something that hurts, else nothing."""
    return if_it_hurts(record, lesson.on, lesson.note, *lesson.remarks.values())


# A skill that was noted more than once on one day: which note stands, and why (rule R1). All notes stay in
# the file; later on nothing is said where they agree.


def noted_twice(record: Record, skill: str, beside: int) -> Iterator[str]:
    """Yield a sentence for each day up to ``beside`` with notes on a skill that differ, latest last."""
    for day in sorted({lesson.on for lesson in record.lessons if lesson.on <= beside}):
        notes = _notes(record, skill, day)
        if len({given for given, _ in notes}) > 1:
            told = listed([f"{HELP_WORDS[given]} ({record.file}:{line})" for given, line in notes])
            most = f"The one with most help counts for the day: {HELP_WORDS[max(notes)[0]]}."
            yield f"Noted more than once on {date_words(day, beside)}: {told}. {most}"


def twice_that_day(record: Record, names: Iterable[tuple[str, str]], day: int) -> Iterator[str]:
    """Yield which skills, given by id and name, were noted that day before, those that are alike together.

    The note on the last line of the file is the new one.
    """
    found = list[tuple[str, str]]()
    for skill, name in names:
        *earlier, (_, new) = sorted((line, given) for given, line in _notes(record, skill, day)) or [(0, 0)]
        if earlier:
            was = max(given for _, given in earlier)
            kept = "Both are kept" if len(earlier) == 1 else "All are kept"
            counts = "count once" if was == new else "the one with most help counts for the day"
            found.append((f"noted that day already, {HELP_WORDS[was]}. {kept}, and {counts}.", quoted(name)))
    for told, alike in together(found).items():
        yield f"{few_of(alike, _NAMES)} {'were' if len(alike) > 1 else 'was'} {told}"


def _notes(record: Record, skill: str, day: int) -> list[tuple[int, int]]:
    """Return help and line of each note on a skill on a day."""
    lessons = (lesson for lesson in record.lessons if lesson.on == day)
    return [(note.help, note.line) for lesson in lessons for note in lesson.showings if note.skill == skill]


# What was noted or taken back, and what that makes of the verdict.


def noted_words(
    before: Answer, after: Answer, course: Course, record: Record, lesson: NewLesson, width: int = 80,
    today: tuple[Answer, Answer] | None = None,
) -> str:  # fmt: skip
    """Return what was noted, what it changes, and how to take it back.

    ``before`` and ``after`` are the answers on the day of the lesson, without it and with it; ``today``
    those of today, where the lesson is noted late. ``record`` has the lesson in it.
    """
    line = max((each.line for each in record.entire.lessons), default=0)
    played = played_under_hold(course, record, lesson.on, lesson.helps)
    is_held = bool(played) or after.verdict == Verdict.PAUSED
    noted = f"Noted for {tidy(record.name)}, {date_words(lesson.on)}: {noted_line(lesson)}"
    late = ""
    if today is not None:
        was, now = (plain_verdict(answer, course) for answer in today)
        late = f"Today, {date_words(today[1].on)}. Before this note: {was}. Now: {now}."
        late = "" if was == now else late
    return lines([
        hold_notice(record, lesson.on),
        f"{noted} ({record.file}:{line}).",
        *played_words(course, played),
        *(() if is_held else _changes(before, after, course, record, lesson.helps)),
        *twice_that_day(record, ((skill, course.skill[skill].name) for skill in lesson.helps), lesson.on),
        turn_words("Before this lesson", before, "After it", after, course, record),
        late,
        caution("C6", of_age=is_of_age(record, lesson.on)) if _HANDS_ON in lesson.helps.values() else "",
        pausing_words(record, lesson),
        f"A slip? `readiness undo {record.id}` takes this back.",
    ], width)  # fmt: skip


def undone_words(
    before: Answer, after: Answer, course: Course, record: Record, text: str, width: int = 80
) -> str:
    """Return what was taken back, to the letter, and what that makes of the verdict."""
    block = "".join(f"  {line}\n" for line in text.splitlines() if line)
    is_correction, moved = text.startswith("[[correction]]"), "# moved " in text
    what = "It no longer counts; nothing else has changed"
    what = "What it corrected counts again" if is_correction else what
    left = (
        CROSSED_OUT if text.startswith("[[") and not is_correction else "",
        _WHOSE_PAUSE if text.startswith("[[hold]]") else "",
        "It had been moved: it is taken back in both files and counts where it came from." if moved else "",
        hold_notice(record, after.on),
        turn_words(f"{date_words(after.on)}, with it", before, "Without it", after, course, record),
    )
    return lines([f"Taken back for {tidy(record.name)}. {what}:"], width) + block + lines(left, width)


def _changes(
    before: Answer, after: Answer, course: Course, record: Record, skills: Collection[str]
) -> Iterator[str]:
    """Yield the skills whose state has changed, those that changed alike in one sentence."""
    now, earlier = Phrases(after, course, record), Phrases(before, course, record)
    states = [(skill, now.state(skill), earlier.state(skill)) for skill in course.skill if skill in skills]
    alike = together((f"{then} (before: {was})", skill) for skill, then, was in states if then != was)
    yield from (f"{now.names(skills, _NAMES)}: {words}." for words, skills in alike.items())


def turn_words(first: str, was: Answer, then: str, now: Answer, course: Course, record: Record) -> str:
    """Return the verdict without something and with it, or that it is the same."""
    before, after = (plain_verdict(answer, course) for answer in (was, now))
    late = min((one for one in record.unit_starts if one.on > now.on), key=lambda one: one.on, default=None)
    if now.unit is None and late is not None and now.verdict != Verdict.PAUSED:
        began = f"Unit {course.unit[late.unit].number} began on {date_words(late.on)}, says {record.file}"
        return f"{began}, after this lesson. If it began earlier, correct the day there."
    if now.unit is None and now.placing is not None and now.verdict != Verdict.PAUSED:
        from readiness.advice.placing.round import placing_round  # here, since few are being placed

        unit = course.unit[placing_round(course, record, now.on).start]
        so_far = f"{after}; so far it would be unit {unit.number}"
        return f"{so_far}." if before == after else f"{first}: {before}. {then}: {so_far}."
    if before == after:
        return f"The verdict on {date_words(now.on)} is as before: {after}."
    return f"{first}: {before}. {then}: {after}."


# What was shown on one day.


def shown_words(
    before: Answer, after: Answer, course: Course, record: Record, width: int = 80, *, full: bool = True
) -> str:
    """Return what was shown on one day, each thing with its help and what it changed.

    ``before`` and ``after`` are the answers on that day without its lessons and with them; ``full``: with
    what is as before, ids and lines of the file.
    """
    page = _Shown(after, course, record)
    sections = page.sections(Phrases(before, course, record), full=full)
    last = turn_words("Before this lesson", before, "After it", after, course, record)
    if not page.shown:
        more = f"`readiness note {record.id} --on {iso(after.on)}` adds some"
        last = f"No skill was noted that day; {more}. {last}"
    return lay_out([*sections, plain(last)], width, full=full)


class _Shown(Phrases):
    """The lessons of a day."""

    @property
    def today(self) -> list[Lesson]:
        return [lesson for lesson in self.record.lessons if lesson.on == self.answer.on]

    @property
    def shown(self) -> list[str]:
        noted = {note.skill for lesson in self.today for note in lesson.showings}
        return [skill for skill in self.course.skill if skill in noted]

    def sections(self, earlier: Phrases, *, full: bool) -> Iterator[Section]:
        where = f" ({', '.join(self.line(lesson.line) for lesson in self.today)})" if full else ""
        yield plain(f"{tidy(self.record.name)}, {self.day(self.answer.on)}{where}")
        for given, words in enumerate(HELP_WORDS):
            these = [skill for skill in self.shown if self.help_that_day(skill) == given]
            yield Section(capital(words), tuple(self.now(earlier, these, full=full)))
        not_tried = (skill for lesson in self.today for skill in lesson.not_tried)
        left = (self.called(skill, full=full) for skill in not_tried if skill not in self.shown)
        yield bullets("Not asked", left)
        yield bullets("Remarks", (words for lesson in self.today for words in self.said(lesson, full=full)))

    def help_that_day(self, skill: str) -> int | None:
        evidence = reversed(self.standing(skill).evidence)
        return next((note.help for note in evidence if note.day == self.answer.on), None)

    def called(self, skill: str, *, full: bool) -> str:
        return self.titled(skill) if full else self.plain_name(skill)

    def said(self, lesson: Lesson, *, full: bool) -> Iterator[str]:
        """Yield what was said in a lesson, about its skills and then about all of it."""
        for skill, text in (*lesson.remarks.items(), *self.beside(lesson)):
            yield f"{self.called(skill, full=full)}: {tidy(text)}"
        yield tidy(lesson.note)

    def now(self, earlier: Phrases, skills: Sequence[str], *, full: bool) -> Iterator[Paragraph]:
        """Yield each skill with its state and the one before; in short only the first that have changed."""
        changed = [skill for skill in skills if self.state(skill) != earlier.state(skill)]
        told = skills if full else changed[:_CHANGED_AT_MOST]
        for skill in told:
            yield item(f"{self.called(skill, full=full)}: {self.turn(earlier, skill, full=full)}")
        if rest := [skill for skill in skills if skill not in told]:
            before = "As before" if len(told) == len(changed) else "Also"
            many = len(self.shown) > _NAMED_AT_MOST
            yield item(f"{before}: {f'{len(rest)} more' if many else self.inventory(rest)}")

    def turn(self, earlier: Phrases, skill: str, *, full: bool) -> str:
        now, before = self.state(skill), earlier.state(skill)
        if now == before:
            return f"as before, {now}"
        is_new = not full and earlier.standing(skill).state == State.UNTRIED
        return f"{now} ({'new' if is_new else f'before: {before}'})"


# What is kept of a lesson that is half entered, or could not be noted.


def half_entered_words(lesson: NewLesson) -> str:
    """Return that a lesson is half entered, and the key that goes on with it."""
    return f"Half entered, {date_words(lesson.on)}: {noted_line(lesson)}. Key l goes on with it."


def offer_words(record: Record, lesson: NewLesson) -> str:
    """Return that a half-entered lesson is still there."""
    half = f"A lesson of {tidy(record.name)} on {date_words(lesson.on)} is half entered"
    keys = "Enter = go on with it, d = drop it and start again, q = leave it"
    return f"{half}: {noted_line(lesson)}. {keys}"


def kept_words(record: Record) -> str:
    """Return that what was entered is safe, and how to go on."""
    return f"Kept for later, not noted yet. `readiness note {record.id}` goes on with it."


def round_words(record: Record, on: int, titles: Mapping[str, str], width: int = 80) -> str:
    """Return the head of a round, and by letter what it asks for, a line each."""
    told = f"{tidy(record.name)}, {date_words(on)}: {counted(len(titles), 'thing')} to look at, one key each."
    rows = (f"  {letter}  {title}" for letter, title in titles.items())
    return "\n".join([told, *(row if len(row) <= width else f"{row[: width - 1]}…" for row in rows)])


def unnoted_words(why: str, record: Record, lesson: NewLesson, kept: Path) -> str:
    """Return why a lesson is not noted, in which file it is kept, and how to go on."""
    where = f"Not noted yet, but kept as you typed it, for {date_words(lesson.on)}, in {kept}."
    where += f" Once that is corrected, `readiness note {record.id}` goes on with it."
    return "\n".join(filter(None, (why, where, pausing_words(record, lesson))))


def not_kept_words(why: str, why_not_kept: str, record: Record, lesson: NewLesson) -> str:
    """Return why a lesson is neither noted nor kept, so that it is written down elsewhere."""
    told = [why, why_not_kept, "Please write it down and note it later.", pausing_words(record, lesson)]
    return "\n".join(filter(None, told))
