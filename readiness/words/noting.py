"""What is said around a lesson: how a thing was shown last, what was understood, noted, changed or corrected.

Short, because it is read between two children. A slip of the finger is always one command away from being
taken back, and that is said each time.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Final

from readiness.advice.skill_traits import played_under_hold
from readiness.course.model import Course
from readiness.days import iso
from readiness.judging.answer import Answer
from readiness.record.consents import CONSENTS, consent, is_of_age
from readiness.record.model import HELPS, Lesson, Record
from readiness.record.noting import NewLesson
from readiness.record.undo import as_new
from readiness.terms import Help, State, Verdict
from readiness.words.cautions import caution, hold_notice, if_it_hurts
from readiness.words.english import HELP_WORDS, noted_line, plain_verdict, verdict_brief
from readiness.words.grammar import (
    capital,
    counted,
    date_words,
    ended,
    few_of,
    listed,
    number_words,
    quoted,
    tidy,
    together,
    uncapital,
)
from readiness.words.layout import Heading, Page, Paragraph, bullets, copied, item, items, plain
from readiness.words.phrases import Phrases

__all__ = [
    "CORRECTS", "CROSSED_OUT", "KEPT", "HALF_ENTERED", "HURTS", "IN_ONE_LINE", "KEY_SAID", "NOTHING_NOTED",
    "NOTHING_SHOWN", "NOTHING_THERE", "NOT_THERE", "NO_KEY", "NO_PAUSE", "OTHER", "WHOSE", "ask_words",
    "corrected_words", "crossed_out_words", "entry_words", "far_words", "fine_words", "half_entered_first",
    "half_entered_words", "last_words", "left_words", "lessons_words", "moved_words", "no_lesson_words",
    "no_sheet_words",
    "not_kept_words", "not_noted_words", "noted_before_words", "noted_meanwhile_words", "noted_quietly",
    "noted_twice", "noted_words", "odd_words", "offer_words", "pausing_words", "played_words",
    "round_words", "sheet_used_words", "shown_words", "stays_words", "touch_words", "turn_words",
    "twice_that_day", "typed_words", "understood_words", "undone_words", "unnoted_words", "unwritten_words",
    "whole_words",
]  # fmt: skip

HALF_ENTERED: Final = "half done"
"""In the column that says how long ago the last lesson was."""

_NAMES: Final = 2
"""So many skills are named in a sentence; more are only counted."""
_CHANGED_AT_MOST: Final = 3
_NAMED_AT_MOST: Final = 15
KEPT: Final = "Kept for later, not noted yet. `readiness {} {}` goes on with it."
CROSSED_OUT: Final = (
    "The lines stay in the file, crossed out at its end. If they are about another student, delete them by "
    "hand, and the lines that cross them out too."
)
CORRECTS: Final = "If it was noted wrongly then, key i corrects it: only the new answer counts."


def stays_words(entry: str) -> str:
    """Return that the lines of an entry that was taken back stay; empty where they do not, or say little."""
    return CROSSED_OUT if entry.startswith("[[") and not entry.startswith("[[correction]]") else ""


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


def ask_words(course: Course, record: Record, day: int, played: Sequence[str]) -> Iterator[str]:
    """Yield the question before noting, with its keys."""
    names = _names(course, played)
    yield hold_notice(record, day) or f"A pause is open that concerns {names}."
    yield f"This notes {names}, although there is a pause. If it was played all the same: please stop now."
    yield "y note it as it was seen   any other key: do not note it, keep it for later"


def played_words(
    course: Course, record: Record, day: int, played: Sequence[str], *, was_noted: bool = True
) -> Iterator[str]:
    """Yield what comes first where playing was noted during a pause, or would be; nothing where none was."""
    if played:
        was = ("was" if len(played) == 1 else "were") if was_noted else "would be"
        noted = f"{_names(course, played)} {was} noted"
        first = "Stop playing now. Do not play through pain. It is kept as it was seen"
        yield f"There is a pause, and {noted}. {first}.{_counting(course, record, day, played, was_noted)}"


def _counting(course: Course, record: Record, day: int, played: Sequence[str], was_noted: bool) -> str:
    """Return whether what was played on a day counts (rule R1a); of what is quiet nothing is said."""
    loud = [one for one in played if not course.skill[one].quiet]
    if loud and any(hold.covers(day) for hold in record.holds):
        return " What is played during a pause does not count."
    if not loud or not any(hold.opened == day for hold in record.holds):
        return ""
    take = f"take it out: `readiness correct {record.id} {','.join(loud)} --on {iso(day)}`"
    first = "On the day a pause begins, what is noted without help counts as shown before it hurt"
    return f" {first}. If it was played after that, {take if was_noted else 'leave it out'}."


def _names(course: Course, skills: Sequence[str]) -> str:
    return few_of([quoted(course.skill[skill].name) for skill in skills], _NAMES)


def touch_words(record: Record, lesson: NewLesson) -> str:
    """Return the caution about touch where something was guided by hand, and that nobody agreed, if so."""
    if HELPS.index(Help.HANDS_ON) not in lesson.helps.values():
        return ""
    lacking = "" if consent(record, CONSENTS["touch"]) else "No consent to touch is noted. "
    return lacking + caution("C6", of_age=is_of_age(record, lesson.on))


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

    The note that stands last is the new one.
    """
    found = list[tuple[str, str]]()
    for skill, name in names:
        if earlier := [given for given, _ in _notes(record, skill, day)][:-1]:
            told = f"noted that day already, {HELP_WORDS[max(earlier)]}. The one with most help counts."
            found.append((told, quoted(name)))
    for told, alike in together(found).items():
        yield f"{few_of(alike, _NAMES)} {'were' if len(alike) > 1 else 'was'} {told}"


def _notes(record: Record, skill: str, day: int) -> list[tuple[int, int]]:
    lessons = (lesson for lesson in record.lessons if lesson.on == day)
    return [(note.help, note.line) for lesson in lessons for note in lesson.showings if note.skill == skill]


def noted_words(
    before: Phrases, after: Phrases, lesson: NewLesson, today: tuple[Answer, Answer] | None = None
) -> Iterator[str]:
    """Yield what was noted, what it changes, and how to take it back.

    ``before`` and ``after``: on the day of the lesson, without it and with it; ``today``: the answers of
    today, where the lesson is noted late.
    """
    course, record = after.course, after.record
    played = played_under_hold(course, record, lesson.on, lesson.helps)
    yield hold_notice(record, lesson.on)
    noted = f"Noted for {tidy(record.name)}, {date_words(lesson.on)}: {noted_line(lesson)}"
    yield f"{noted} ({record.file}:{max((each.line for each in record.entire.lessons), default=0)})."
    yield from played_words(course, record, lesson.on, played)
    if not played and after.answer.verdict != Verdict.PAUSED:
        states = [(one, after.state(one), before.state(one)) for one in course.skill if one in lesson.helps]
        alike = together((f"{then} (before: {was})", skill) for skill, then, was in states if then != was)
        yield from (f"{after.names(skills, _NAMES)}: {words}." for words, skills in alike.items())
    yield from twice_that_day(record, ((one, course.skill[one].name) for one in lesson.helps), lesson.on)
    yield turn_words("Before this lesson", before.answer, "After it", after)
    if today is not None:
        was, now = (plain_verdict(answer, course) for answer in today)
        yield "" if was == now else f"Today, {date_words(today[1].on)}. Before this note: {was}. Now: {now}."
    yield touch_words(record, lesson)
    yield pausing_words(record, lesson)
    yield f"A slip? `readiness undo {record.id}` takes this back."


def undone_words(before: Answer, after: Phrases, text: str) -> Iterator[Paragraph | str]:
    """Yield what was taken back, to the letter, and what that makes of the verdict."""
    record, on = after.record, after.answer.on
    what = "It no longer counts; nothing else has changed"
    what = "What it corrected counts again" if text.startswith("[[correction]]") else what
    yield f"Taken back for {tidy(record.name)}. {what}:"
    yield from copied(*filter(None, text.splitlines()))
    yield stays_words(text)
    whose = "If it was another student who said that something hurts: `readiness pause ID`, now."
    yield whose if text.startswith("[[hold]]") else ""
    if "# moved " in text:
        yield "It had been moved: it is taken back in both files and counts where it came from."
    yield hold_notice(record, on)
    yield turn_words(f"{date_words(on)}, with it", before, "Without it", after)


def turn_words(first: str, was: Answer, then: str, p: Phrases) -> str:
    """Return the verdict without something and with it, or that it is the same."""
    now, course, record = p.answer, p.course, p.record
    before, after = (plain_verdict(answer, course) for answer in (was, now))
    late = min((one for one in record.unit_starts if one.on > now.on), key=lambda one: one.on, default=None)
    if now.unit is None and late is not None and now.verdict != Verdict.PAUSED:
        began = f"Unit {course.unit[late.unit].number} began on {date_words(late.on)}, says {record.file}"
        return f"{began}, after this lesson. If it began earlier, correct the day there."
    if now.unit is None and p.placing is not None and now.verdict != Verdict.PAUSED:
        so_far = f"{after}; so far it would be unit {course.unit[p.placing.start].number}"
        return f"{so_far}." if before == after else f"{first}: {before}. {then}: {so_far}."
    if before == after:
        return f"The verdict on {date_words(now.on)} is not changed by this: {after}."
    return f"{first}: {before}. {then}: {after}."


def shown_words(before: Phrases, p: Phrases, *, full: bool = True) -> Page:
    """Yield what was shown on one day, each thing with its help and what it changed.

    ``before`` and ``p``: on that day without its lessons and with them; ``full``: with what is as before,
    ids and lines of the file; in short only the first that have changed.
    """
    record, on, name = p.record, p.answer.on, p.titled if full else p.plain_name
    today = [lesson for lesson in record.lessons if lesson.on == on]
    noted = {note.skill for lesson in today for note in lesson.showings}
    shown = [skill for skill in p.course.skill if skill in noted]
    where = f" ({', '.join(p.line(lesson.line) for lesson in today)})" if full else ""
    yield f"{tidy(record.name)}, {p.day(on)}{where}"
    helps = {skill: [note.help for note in p.standing(skill).evidence if note.day == on] for skill in shown}
    for given, words in enumerate(HELP_WORDS):
        these = [skill for skill in shown if helps[skill][-1:] == [given]]
        changed = [skill for skill in these if p.state(skill) != before.state(skill)]
        told = these if full else changed[:_CHANGED_AT_MOST]
        yield Heading(capital(words))
        for skill in told:
            now, was = p.state(skill), before.state(skill)
            is_new = not full and before.standing(skill).state == State.UNTRIED
            turn = f"{now} ({'new' if is_new else f'before: {was}'})"
            yield item(f"{name(skill)}: {f'as before, {now}' if now == was else turn}")
        if rest := [skill for skill in these if skill not in told]:
            also = f"{len(rest)} more" if len(shown) > _NAMED_AT_MOST else p.inventory(rest)
            yield item(f"Also: {also}" if told else also)
    left = (skill for lesson in today for skill in lesson.not_tried if skill not in shown)
    yield bullets("Not asked", map(name, left))
    yield bullets("Noted during a pause: kept, not counted", (name(one) for one in shown if not helps[one]))
    yield Heading("Remarks")
    for lesson in today:  # of its skills, and then of all of it
        beside = (*lesson.remarks.items(), *p.beside(lesson))
        yield from items([*(f"{name(skill)}: {tidy(text)}" for skill, text in beside), tidy(lesson.note)])
    more = f"No skill was noted that day; `readiness note {record.id} --on {iso(on)}` adds some. "
    last = turn_words("Before this lesson", before.answer, "After it", p)
    yield plain(last if shown else more + last)


def half_entered_words(lesson: NewLesson) -> str:
    """Return that a lesson is half entered, and the key that goes on with it."""
    return f"Half entered, {date_words(lesson.on)}: {noted_line(lesson)}. Key l goes on with it."


def half_entered_first(lesson: NewLesson, day: int) -> str:
    """Return that a lesson of another day is half entered, and how to begin the one that was asked for."""
    return (
        f"The lesson of {date_words(lesson.on)} is half entered: {noted_line(lesson)}. Enter once more opens "
        f"that one. Key x there begins the lesson of {date_words(day)} in its place."
    )


def unwritten_words(typed: Iterable[str]) -> str:
    """Return that words were typed into forms and are written nowhere; empty where none were."""
    told = few_of([quoted(tidy(words)) for words in typed], _NAMES)
    return told and ended(f"Typed and not written: {told}")


def left_words(forms: Mapping[str, Mapping[tuple[str, ...], str]]) -> str:
    """Return what was typed into forms and not written: a pause first, with the key that goes on with it."""
    pause = tidy(" ".join(forms.get("pause", {}).values()))
    begun = f"{ended(f'A pause is begun and not kept: {quoted(pause)}')} Key ! goes on with it."
    others = (one for form, words in forms.items() if form != "pause" for one in words.values())
    return " ".join(filter(None, (begun if pause else "", unwritten_words(others))))


def typed_words(words: str) -> str:
    """Return that words were typed and are not kept."""
    return ended(f"Typed and not kept, so it is not noted: {quoted(tidy(words))}")


def noted_meanwhile_words(record: Record, lesson: Lesson) -> str:
    """Return that somebody noted a lesson of this day since this one was opened."""
    return (
        f"A lesson of {tidy(record.name)} on {date_words(lesson.on)} was noted meanwhile, with "
        f"{noted_line(as_new(lesson))}. Noted as well, this is a second one of that day."
    )


def noted_before_words(lessons: Iterable[Lesson]) -> str:
    """Return what is noted of a day already; empty where nothing is."""
    told = "; ".join("a lesson" if one.is_empty else noted_line(one) for one in map(as_new, lessons))
    return told and f"Noted already: {told}."


IN_ONE_LINE: Final = "what was shown, as in 1 feet,sit 2 dist: "


def offer_words(record: Record, lesson: NewLesson, on: int) -> str:
    """Return that a half-entered lesson is still there; ``on``: the day of which one was to be noted."""
    half = f"A lesson of {tidy(record.name)} on {date_words(lesson.on)} is half entered: {noted_line(lesson)}"
    first = "" if on == lesson.on else f", n = note {date_words(on)} first, in one line"
    return f"{half}. Enter = go on with it{first}, d = drop it and start again, q = leave it"


def round_words(record: Record, on: int, titles: Mapping[str, str]) -> Iterator[Paragraph]:
    """Yield the head of a round, and by letter what it asks for, a line each."""
    many = f"{counted(len(titles), 'thing')} to look at, one key each."
    yield Paragraph(f"{tidy(record.name)}, {date_words(on)}: {many}")
    yield from (Paragraph(title, lead=f"  {letter}  ") for letter, title in titles.items())


def unnoted_words(why: str, record: Record, lesson: NewLesson, kept: Path) -> str:
    """Return why a lesson is not noted, in which file it is kept, and how to go on."""
    where = f"Not noted yet, but kept as you typed it, for {date_words(lesson.on)}, in {kept}."
    where += f" Once that is corrected, `readiness note {record.id}` goes on with it."
    return "\n".join(filter(None, (why, where, pausing_words(record, lesson))))


def not_kept_words(why: str, why_not_kept: str, record: Record, lesson: NewLesson) -> str:
    """Return why a lesson is neither noted nor kept, so that it is written down elsewhere."""
    told = [why, why_not_kept, "Please write it down and note it later.", pausing_words(record, lesson)]
    return "\n".join(filter(None, told))


HURTS: Final = (
    "Stop playing now. Do not play through pain. Type what was said and a pause is opened with it; "
    "Enter alone goes back."
)
NO_KEY: Final = "That key does nothing here."
NO_PAUSE: Final = "No pause was opened. Where something hurts, `readiness pause` opens one at any time."
OTHER: Final = "a few letters of the skill: "
NOT_THERE: Final = "Key + asks again."
NOTHING_NOTED: Final = "Nothing was noted."
KEY_SAID: Final[Mapping[str, str]] = {
    "left": "not asked", "pass": "as it was", "back": "back", "apart": "one by one", "other": "another",
    "stop": "stop here", "done": "stop here",
}  # fmt: skip
"""What is said at once of what a key did, by the ids of ``advice.offer.KEYS``."""
NOTHING_THERE: Final[Mapping[int | str, str]] = {
    "back": "Nothing to take back.", "apart": "There is nothing to take apart here.",
    "fine": "No glance is left open.", "line": "There is no such line.",
}  # fmt: skip
"""What is said where a key found nothing to do, by the same ids."""
WHOSE: Final = "y for {name}, another student's id for that one, Enter for nobody yet: "
NOTHING_SHOWN: Final = "Nothing was shown and no word said, so nothing was noted."


def last_words(last: Mapping[str, tuple[int, int] | None], otherwise: str = "not noted yet") -> str:
    """Return how a thing, or the things of one glance, were shown last, ``otherwise`` where that is unknown.

    ``last`` is by name, help and day.

    >>> last_words({"Lifts the wrist": (1, 739215)})
    'last with a reminder, 25 November'
    >>> last_words({"Feet supported": (1, 739218), "Sits tall": (0, 739218), "Loose shoulders": None})
    'last with a reminder: feet supported; without help: 1; never asked: 1'
    """
    found = {name: one for name, one in last.items() if one is not None}
    if not found:
        return otherwise
    if len(last) == 1:
        ((given, day),) = found.values()
        return f"last {HELP_WORDS[given]}, {date_words(day, day)}"
    how = together((HELP_WORDS[one[0]] if one else "never asked", name) for name, one in last.items())
    if len(how) == 1:
        return f"last {''.join(how)}"
    named = {words: listed([*map(uncapital, names)]) for words, names in how.items()}
    named |= {words: str(len(how[words])) for words in (HELP_WORDS[0], "never asked") if words in how}
    return f"last {'; '.join(f'{words}: {names}' for words, names in named.items())}"


def fine_words(count: int) -> str:
    """Return that what is looked at in every check was fine."""
    return f"looked at and fine: {counted(count, 'small thing')}"


def understood_words(course: Course, lesson: NewLesson) -> Iterator[str]:
    """Yield what was understood of what was typed, a line for each help that was given."""
    for given, words in enumerate(HELP_WORDS):
        if names := [tidy(course.skill[one].name) for one, how in lesson.helps.items() if how == given]:
            yield f"{capital(words)}: {'; '.join(names)}."
    if lesson.not_tried:
        yield f"Not asked: {'; '.join(tidy(course.skill[one].name) for one in lesson.not_tried)}."


def no_lesson_words(record: Record, on: int, why: str) -> Iterator[str]:
    """Yield that it is noted that no lesson took place."""
    yield f"Noted for {tidy(record.name)}: no lesson on {date_words(on)}{f', {tidy(why)}' if why else ''}."
    yield if_it_hurts(record, on, why)
    yield f"A slip? `readiness undo {record.id}` takes this back."


def no_sheet_words(record: Record, word: str) -> str:
    """Return that no sheet of a student has a word, and what it may be."""
    note = f"`readiness note {record.id}` takes names of skills."
    if len(word) < 4:
        look = f"If its lines are those of `readiness sheet {record.id}`, type the codes alone."
        return f'"{word}" is the word of an older sheet and does not say whose it is. {look} Else {note}'
    told = f'no sheet of {record.name} for that day has the word "{word}"'
    return f"{told}: it is of another student or day (--on), or more was noted since. {note}"


def sheet_used_words(day: int) -> str:
    """Return that a sheet was made before a lesson that is noted since."""
    return f"This sheet was made before the lesson of {date_words(day)}, and a sheet is for one lesson."


def odd_words(odd: Sequence[str]) -> str:
    """Return what is odd about a day, with the keys."""
    return "\n".join([*odd, "y note it all the same   any other key: note nothing"])


def far_words(course: Course, record: Record, answer: Answer, far: Sequence[str]) -> str:
    """Return that most of a lesson lies far from a student's unit, as a question."""
    units = sorted({course.unit[course.skill[one].unit].number for one in far})
    where = f"unit{'s' if len(units) > 1 else ''} {listed([*map(str, units)])}"
    here = f"{tidy(record.name)} is in unit {course.unit[answer.unit].number if answer.unit else 0}"
    return f"{capital(number_words(len(far)))} skills of {where}; {here}: for whom is this?"


def not_noted_words(course: Course, record: Record, day: int, skill: str, how: int) -> str:
    """Return that a skill was not noted on a day, and where to see what was; or that it was crossed out."""
    name, see = quoted(course.skill[skill].name), f"`readiness shown {record.id} --on {iso(day)}`"
    if crossed := crossed_out_words(record, day, name, skill, f"{how + 1} {skill}" if how >= 0 else ""):
        return crossed
    return f"{name} is not noted for {date_words(day)}; {see} says what is."


def crossed_out_words(
    record: Record, day: int, what: str = "the lesson", skill: str = "", instead: str = ""
) -> str:
    """Return that a note of a skill, or a whole lesson, was crossed out, and the ways back; else nothing.

    ``instead``: how it was in truth, as it is typed, such as ``2 wrist-lift``.
    """
    found = [one.on for one in record.entire.corrected if one.of == day and skill in ("", one.skill)]
    if not found:
        return ""
    note = " ".join(filter(None, ("readiness note", record.id, instead, f"--on {iso(day)}")))
    return (
        f"{what} of {date_words(day)} was crossed out on {date_words(max(found), day)}. `{note}` says how it "
        f"was; `readiness undo {record.id}` brings it back, if nothing was noted since."
    )


def whole_words(record: Record, on: int, lessons: Iterable[Lesson]) -> str:
    """Return that all that was noted on a day is to be crossed out, as it is asked."""
    noted = "; ".join(noted_line(as_new(one)) for one in lessons)
    return f"This crosses out all of {tidy(record.name)}'s lesson of {date_words(on)}: {noted}."


def corrected_words(
    before: Answer, after: Phrases, given: Mapping[str, int], lessons: Sequence[Lesson]
) -> Iterator[str]:
    """Yield what no longer counts, how it was instead, and what that makes of the verdict.

    ``given``: by skill what was wrong, and the help it took in truth, -1 where that was not said; ``lessons``
    are those of the day.
    """
    course, record, on = after.course, after.record, after.answer.on
    shown = [one for lesson in lessons for one in lesson.showings if not given or one.skill in given]
    told = [f"{tidy(course.skill[one.skill].name)}, noted {HELP_WORDS[one.help]}" for one in shown]
    known = {skill: how for skill, how in given.items() if how in range(len(HELP_WORDS))}
    what = "; ".join(dict.fromkeys(told)) if given else f"all that was noted ({counted(len(told), 'thing')})"
    yield hold_notice(record, on)
    noted = f"Corrected for {tidy(record.name)}, {date_words(on)}: {what}"
    yield f"{noted}. It stays in the file and no longer counts."
    yield from understood_words(course, NewLesson(on, known))
    yield turn_words("As it was noted", before, "Now", after)
    yield f"A slip? `readiness undo {record.id}` takes this back."


_KINDS: Final[Mapping[str, str]] = {
    "placing": "a placing lesson", "task": "a task for home", "promise": "a promise",
    "told": "who was told what", "alternative": "what is agreed in place of a skill",
}  # fmt: skip


def entry_words(text: str) -> str:
    """Return what an entry that is no lesson holds: its kind and its words, as they stand."""
    kind = next((words for name, words in _KINDS.items() if f"[[{name}]]" in text), "an entry")
    rows = (row for row in text.splitlines() if row.startswith(("text =", "what =")))
    return ": ".join([kind, *(row.partition(" = ")[2].strip('"') for row in rows)])


def lessons_words(lessons: Sequence[Lesson]) -> str:
    """Return which lessons were moved: their days, and how many things."""
    day = listed([date_words(one) for one in sorted({lesson.on for lesson in lessons})])
    return f"{day}, {counted(sum(len(one.showings) for one in lessons), 'thing')}"


def moved_words(what: str, turns: Sequence[tuple[Answer, Phrases]]) -> Iterator[str]:
    """Yield what went from one student to another, and what that makes of both verdicts.

    ``what`` was moved, in words; ``turns``: of the first and of the other student, before and after.
    """
    here, there = (now.record for _, now in turns)
    yield from (hold_notice(now.record, now.answer.on) for _, now in turns)
    yield f"Moved from {tidy(here.name)} to {tidy(there.name)}: {what}."
    for was, now in turns:
        yield f"{tidy(now.record.name)}. {turn_words('Before', was, 'Now', now)}"
    yield CROSSED_OUT
    yield f"A slip? `readiness undo {there.id}` takes this back in both files."
