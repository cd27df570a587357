"""Lessons are noted (``note``), put right (``correct``, ``move-note``) or read from a sheet (``enter``).

Everything is checked first, and all mistakes are said at once; with a single one nothing is
written. Without anything to note, and with a terminal, it asks in a quick round.

``readiness enter ID CODES``: a sheet that was filled in on paper, as fast as it is read aloud.

A code is the number of a line and the letter of how it was shown: 1a 2c 3-. The word on the sheet says
that it is the very sheet the numbers belong to; without it the one is meant that would be printed now.
"""

from __future__ import annotations

import argparse
import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import field, replace
from pathlib import Path
from typing import TYPE_CHECKING, Final

from readiness.advice.offer import LADDER, far_skills
from readiness.advice.skill_traits import played_under_hold
from readiness.cli.commands import Argument, CommandError, Exit, Parser, command, option
from readiness.cli.context import student_options
from readiness.cli.inputs import Entry, find_care, open_entry, print_json, refuse, respond, taken
from readiness.cli.keys import ENTER, Keys, ask_first, is_terminal
from readiness.cli.output import aside, say, text_width
from readiness.course.find import Near, find_skill, find_skills
from readiness.course.model import Course
from readiness.days import iso
from readiness.judging.answer import Answer
from readiness.lazy import dataclass
from readiness.record import draft_entry as half_done
from readiness.record.consents import is_of_age
from readiness.record.entries import no_lesson, open_hold
from readiness.record.model import AGAIN, HELPS, SHOWN, Lesson, Record
from readiness.record.noting import NewLesson, check_lesson, note_lesson, odd_day, odd_letters
from readiness.record.undo import correct, last_entry, move_entry, move_lessons, stays
from readiness.toml.write import Refusal
from readiness.words import noting
from readiness.words.cautions import hold_notice, lesson_notice, stop_now
from readiness.words.english import CODES, HELP_WORDS
from readiness.words.entries import paused_words, unpaused_words
from readiness.words.grammar import few_of, quoted
from readiness.words.layout import lay_out
from readiness.words.lists import no_such_lesson_words

if TYPE_CHECKING:
    from readiness.advice.sheet import CheckSheet

__all__ = [
    "INSIST", "OfferedSkills", "day_unsure", "drop_kept_lesson", "kept_after_all", "kept_as_typed",
    "near_skills", "note_all_the_same", "pause_at_once", "steps", "write_lesson", "yes_option",
]  # fmt: skip

# Asking once before playing is noted for a day on which a hold is open.
#
# Only where somebody sits in front of the program; elsewhere it is noted and said. What is not
# noted is kept half entered, so that nothing is lost either way.


def note_all_the_same(entry: Entry, lesson: NewLesson, *, asks: bool) -> bool:
    """Return whether to note a lesson; asks once where something was played under a hold.

    On the day a hold is opened nothing is asked: what was played came before it.

    Args:
        asks: whether a question may be asked, where there is a terminal.
    """
    played = played_under_hold(entry.course, entry.record, lesson.on, lesson.helps)
    opened_before = any(
        hold.is_open(lesson.on) and hold.opened < lesson.on for hold in entry.record.entire.holds
    )
    if not played or not opened_before or not asks or not is_terminal():
        return True
    keys = Keys()
    keys.say(lay_out(noting.ask_words(entry.course, entry.record, lesson.on, played), text_width()), end="")
    if keys.key().lower() == "y":
        return True
    refusal = half_done.keep_beside(entry.path, lesson)
    keys.say(refusal.message if refusal else noting.KEPT.format("note", entry.record.id))
    return False


# What was typed for ``readiness note`` where it cannot be noted: kept half entered, never lost.
#
# A mistake in a file is mended at the desk; what was seen in a lesson is gone by then. No course
# is read here, so the skills are kept as they were typed and understood later.


def kept_as_typed(args: argparse.Namespace, why: CommandError) -> CommandError:
    """Keep what was typed, and return why it was not noted, with where it is now."""
    try:
        care = find_care(args)
    except CommandError:
        return why
    helps, left = _shown_and_left({typed: given for given, typed in _listed(args, [])})
    remarks, again = (
        {skill.strip(): words.strip() for skill, _, words in (text.partition("=") for text in typed)}
        for typed in (args.remark, args.tried_again)
    )
    disliked, liked = tuple(args.disliked), tuple(args.liked_again)
    lesson = NewLesson(care.on, helps, left, args.by, args.text, remarks, disliked, liked, again)
    return why if lesson.is_empty else kept_after_all(care.record, care.path, lesson, str(why))


def _listed(args: argparse.Namespace, wrong: list[Refusal]) -> Iterator[tuple[int, str]]:
    """Yield what was typed behind ``--alone`` to ``--not-tried``, or a figure, each with its place there."""
    options = (args.alone, args.cue, args.model, args.hands_on, args.not_shown, args.not_tried)
    yield from ((given, typed) for given, option in enumerate(options) for typed in option)
    yield from steps(args.loose, wrong)


def _shown_and_left(given: Mapping[str, int]) -> tuple[dict[str, int], tuple[str, ...]]:
    """Return what was asked for, with its help, and what was not: that is one more than the ladder has."""
    helps = {skill: how for skill, how in given.items() if how < len(SHOWN)}
    return helps, tuple(skill for skill in given if skill not in helps)


def kept_after_all(record: Record, path: Path, lesson: NewLesson, why: str) -> CommandError:
    """Keep a lesson that could not be written, and return why, with where it is now."""
    refusal = half_done.keep_beside(path, lesson)
    if refusal is not None:
        return CommandError(noting.not_kept_words(why, refusal.message, record, lesson))
    return CommandError(noting.unnoted_words(why, record, lesson, half_done.half_done_path(path)))


def drop_kept_lesson(entry: Entry) -> None:
    """Forget what was half entered, and say so where it cannot be deleted: it is offered again then."""
    if refusal := half_done.drop(entry.path):
        aside(refusal.message)


def yes_option(parser: Parser) -> None:
    """Add ``--yes``, where a day may be odd or a student the wrong one."""
    told = "note it although the day is odd, or the lesson looks like another student's"
    parser.add_argument("--yes", action="store_true", help=told)


def steps(words: Iterable[str], wrong: list[Refusal], bare: int | None = None) -> list[tuple[int, str]]:
    """Return each list of skills behind a figure of the ladder with its help; not asked is one more.

    Args:
        words: what was typed; wrong: what cannot be understood is put here.
        bare: what a list before any figure is given; None where it needs one.
    """
    given, found, is_odd = bare, list[tuple[int, str]](), False
    words = [word.replace("_", "-") for word in words]
    figures = dict(zip((name.replace("_", "-") for name in SHOWN), LADDER, strict=True))
    for word in filter(figures.__contains__, words):
        written = f"{figures[word]} feet, or --{word} feet"
        told = f'"{word}" says how. Its figure comes before the skills: {written}.'
        wrong.append(Refusal("no-figure", told))
        return []
    for word in words:
        if word in (*LADDER, "-"):
            given, is_odd = len(LADDER) if word == "-" else LADDER.index(word), False
        elif is_odd := is_odd or word.isdecimal():  # what follows such a figure is left until it is right
            if word.isdecimal():
                told = f"{word} is not a figure from 1 (without help) to 5 (not shown)."
                wrong.append(Refusal("no-figure", told))
        elif given is None and not wrong:  # the others want the same
            told = f'How was "{word}" shown? A figure from 1 (without help) to 5 (not shown) comes first'
            figure, skills = word[0] if word[0] in LADDER else "1", word.lstrip(f"{LADDER},.:;= ")
            wrong.append(Refusal("no-figure", f"{told}, as in {figure} {skills or 'feet'}."))
        elif given is not None:
            found.append((given, word))
    return found


def _skills(name: str, how: str) -> Argument:
    told = f"{how}; ids, names or their beginnings, with commas between"
    return option(f"--{name.replace('_', '-')}", metavar="SKILLS", action="append", default=[], help=told)


@command(
    "note",
    _skills("alone", "shown without help"),
    _skills("cue", "shown with a reminder"),
    _skills("model", "shown after being shown"),
    _skills("hands_on", "guided by hand (only with permission)"),
    _skills("not_shown", "asked for, not shown"),
    _skills("not_tried", "not asked; says nothing about them"),
    option("--text", metavar="WORDS", default="", help="a few words about the lesson"),
    option(
        "--remark", metavar="SKILL=WORDS", action="append", default=[],
        help="a few words about one skill (may be given several times)",
    ),
    _skills("disliked", "not liked by the student, so another is proposed where one will do"),
    _skills("liked_again", "liked after all; takes --disliked back"),
    option(
        "--tried-again", metavar="SKILL=HOW", action="append", default=[],
        help=f"tried again with less: {', '.join(AGAIN)} (may be given several times)",
    ),
    option("--by", metavar="INITIALS", default="", help="who noted it"),
    yes_option,
    option("--drop", action="store_true", help="forget a half-entered round"),
    option("--no-lesson", action="store_true", help="no lesson took place that day; --text says why"),
    student_options("the day of the lesson"),
    option(
        "loose", metavar="HOW SKILLS", nargs="*",
        help="1 to 5 for how, as in the five options, then the skills: 1 wri,rou 2 feet; - is not asked",
    ),
)
def run_note(args: argparse.Namespace) -> Exit:
    """Note a lesson, from what was typed or by asking."""
    try:
        entry = open_entry(args)
    except CommandError as error:
        raise (error if args.no_lesson else kept_as_typed(args, error)) from None
    if args.no_lesson:
        return _no_lesson(args, entry)
    if args.drop:
        refuse(half_done.drop(entry.path))
        print(f"No half-entered lesson of {entry.record.name} is kept any more.")
        return Exit.READY
    before = entry.answer()
    asked = _SkillsMeant(entry.course, near_skills(entry.course, OfferedSkills(entry), before))
    lesson = asked.lesson(args, entry.on)
    unsure, latest = day_unsure(args, entry), entry.latest
    if lesson.is_empty and not asked.wrong:
        refuse([*check_lesson(entry.course, entry.record, replace(lesson, note="-"), (), latest), *unsure])
        return _by_asking(args, entry, before, lesson)
    found = check_lesson(entry.course, entry.record, lesson, asked.listed, latest)
    wrong = [one for one in found if not (asked.wrong and one.id == "nothing-to-note")]
    refuse([*asked.wrong, *wrong, *unsure])
    return write_lesson(args, entry, before, lesson)


def _no_lesson(args: argparse.Namespace, entry: Entry) -> Exit:
    wrong = list[Refusal]()
    if any(_listed(args, wrong)) or wrong:
        raise CommandError("--no-lesson says that there was none, so no skill goes with it.")
    entry.check_day()
    refuse(odd_letters(args.text))
    record, why = entry.record, args.text.strip()
    refuse(no_lesson(record, entry.folder, entry.on, why))
    return respond(args, lambda: {
        "student": record.id, "on": iso(entry.on), "no_lesson": True, "text": why,
    }, noting.no_lesson_words(record, entry.on, why))  # fmt: skip


_LAST: Final = 3
"""So many lessons back a word may still mean what it was noted for; common practice, no source."""
INSIST: Final = Refusal("insist", "If that is right all the same, say it again with --yes.")


def day_unsure(args: argparse.Namespace, entry: Entry, more: Sequence[Refusal] = ()) -> list[Refusal]:
    """Return what is odd about the day of a lesson; nothing where somebody insists, or says so when asked."""
    odd = [*odd_day(entry.record, entry.on, entry.today, entry.studio.events), *more]
    if args.yes or not odd or entry.on > entry.latest:
        return []
    if args.json or not is_terminal():
        return [*odd, INSIST]
    keys = Keys()
    keys.say(noting.odd_words([one.message for one in odd]))
    if keys.key().lower() == "y":
        return []
    keys.say(noting.NOTHING_NOTED)
    raise CommandError


def _for_whom(args: argparse.Namespace, entry: Entry, before: Answer, lesson: NewLesson) -> Entry | None:
    """Return whose lesson it is: asked about where most of it is far from the student's unit.

    None where nobody says so. Elsewhere than at a terminal it is refused, with the way to insist.
    """
    far = () if args.yes else far_skills(entry.course, entry.record, before, lesson.helps)
    if not far:
        return entry
    told = noting.far_words(entry.course, entry.record, before, far)
    if args.json or not is_terminal():
        raise CommandError(f"{told}\n{INSIST.message} For another student: `readiness note ID`.")
    keys = Keys()
    keys.say(told)
    typed = (keys.line(noting.WHOSE.format(name=entry.record.name)) or "").strip()
    if typed.lower() in ("y", ""):
        return entry if typed else None
    args.student, args.on = typed, iso(lesson.on)
    return open_entry(args)


class OfferedSkills:
    """The skills that the lesson of the day offers; it is worked out when a word could be more than one."""

    def __init__(self, entry: Entry) -> None:
        self._entry = entry

    def __iter__(self) -> Iterator[str]:
        return iter(self._entry.offer.skills)


def near_skills(course: Course, offered: Iterable[str], answer: Answer) -> Near:
    """Return where a skill that is typed is looked for: what to look at first, the day's offer, the unit."""
    first = (answer.one_thing,) if answer.one_thing else ()
    at = course.unit[answer.unit].number if answer.unit else 0
    begun = (one.id for one in course.on(answer.on).skills if course.unit[one.unit].number <= at)
    noted = {(note.day, skill) for skill, one in answer.standings.items() for note in one.evidence}
    days = sorted({day for day, _ in noted})[-_LAST:]
    own = (*answer.look_first, *first), offered, (*answer.deciding, *answer.rest)
    return Near(own, tuple(begun), sorted(skill for day, skill in noted if day in days))


@dataclass
class _SkillsMeant:
    """What skills are meant by what was typed, those that were listed, and what cannot be understood."""

    course: Course
    near: Near
    listed: list[str] = field(default_factory=list)
    wrong: list[Refusal] = field(default_factory=list)

    def lesson(self, args: argparse.Namespace, on: int) -> NewLesson:
        """Return the lesson of a day as far as it can be understood."""
        given: dict[str, int] = {}
        for help_, text in [*_listed(args, self.wrong)]:
            for skill in self.found(text):
                self.listed.append(skill)
                given[skill] = help_
        return NewLesson(
            on,
            *_shown_and_left(given),
            args.by,
            args.text,
            remarks=dict(self.pairs(args.remark, "--remark", '"a few words"', "remark")),
            disliked=self.skills(args.disliked),
            liked_again=self.skills(args.liked_again),
            tried_again=dict(self.pairs(args.tried_again, "--tried-again", "HOW", "way")),
        )

    def found(self, text: str) -> list[str]:
        found = find_skills(self.course, text, near=self.near)
        self.wrong += [one for one in found if isinstance(one, Refusal)]
        return [one for one in found if isinstance(one, str)]

    def skills(self, typed: Iterable[str]) -> tuple[str, ...]:
        """Return the skills of some lists, each once."""
        return tuple(dict.fromkeys(one for text in typed for one in self.found(text)))

    def pairs(self, typed: Iterable[str], option: str, wanted: str, name: str) -> Iterator[tuple[str, str]]:
        """Yield each skill with what was typed behind the equals sign; ``name`` is what that is called."""
        seen: set[str] = set()
        for text in typed:
            word, equals, words = (part.strip() for part in text.partition("="))
            if not (word and equals and words):
                message = f'{option} takes SKILL={wanted}, and "{text}" is not that.'
                self.wrong.append(Refusal("pair", message))
                continue
            skill = find_skill(self.course, word, near=self.near)
            if isinstance(skill, Refusal):
                self.wrong.append(skill)
            elif skill in seen:
                message = f'"{skill}" has two {name}s; please make them one.'
                self.wrong.append(Refusal("pair-twice", message))
            else:
                seen.add(skill)
                yield skill, words


def write_lesson(
    args: argparse.Namespace, entry: Entry, before: Answer, lesson: NewLesson, *, drop: bool = False
) -> Exit:
    """Write the lesson and say what it changes; ``drop``: it was entered in a round, which is kept."""
    whose = _for_whom(args, entry, before, lesson)
    if whose is None:
        print(noting.KEPT.format("note", entry.record.id) if drop else noting.NOTHING_NOTED)
    if whose is None or not note_all_the_same(whose, lesson, asks=not args.json):
        return Exit.READY
    if whose is not entry:
        if drop:
            drop_kept_lesson(entry)
        entry, before = whose, whose.answer()
    if drop:
        _keep(entry, lesson)
    refused = note_lesson(entry.course, entry.record, lesson, entry.folder, entry.latest, entry.checked)
    if refused:
        raise kept_after_all(entry.record, entry.path, lesson, "\n".join(one.message for one in refused))
    kept = None if drop else half_done.offered(entry.path)
    if drop or (kept is not None and half_done.understood(entry.course, kept) == lesson):
        drop_kept_lesson(entry)
    _tell(args, entry, before, lesson, understood=not drop)
    return Exit.READY


def _tell(
    args: argparse.Namespace, entry: Entry, before: Answer, lesson: NewLesson, *, understood: bool
) -> None:
    """Say what was noted and what it changes; ``understood``: with what was understood of what was typed."""
    record = entry.again()
    if odd := entry.studio.odd_initials(lesson.by):
        aside(f"{'; '.join(odd)}.".replace("?.", "?"))
    after = entry.answer(record)
    if args.json:
        helps = lesson.helps.items()
        shown = {how: [skill for skill, given in helps if HELPS[given] == how] for how in HELPS}
        print_json({
            "student": record.id,
            "on": iso(lesson.on),
            "noted": shown | {"not-tried": list(lesson.not_tried)},
            "line": max(one.line for one in record.entire.lessons),
            "played_under_hold": list(played_under_hold(entry.course, record, lesson.on, lesson.helps)),
            "verdict_before": before.verdict,
            "verdict": after.verdict,
            "changed": {
                skill: [before.standings[skill].state, after.standings[skill].state]
                for skill in lesson.helps
                if before.standings[skill].state != after.standings[skill].state
            },
        })  # fmt: skip
    else:
        late = replace(entry, on=entry.today)
        today = (late.answer(), late.answer(record)) if late.on > lesson.on else None
        told = [*(noting.understood_words(entry.course, lesson) if understood else ())]
        noted = [*noting.noted_words(entry.phrases(before), entry.phrases(after, record), lesson, today)]
        say([*noted, *told] if hold_notice(record, lesson.on) else [*told, *noted])  # a pause comes first


def _by_asking(args: argparse.Namespace, entry: Entry, before: Answer, lesson: NewLesson) -> Exit:
    """Ask for the lesson in a round over what its day offers."""
    if not is_terminal():
        raise CommandError(
            "nothing was entered. Say how things were shown, as in --alone wrist-lift --cue feet-supported; "
            f"in a terminal, `readiness note {entry.record.id}` alone asks for everything."
        )
    from readiness.cli.keys import Round  # here, since whoever types it all is asked nothing

    keys = Keys()
    kept = _offer(args, entry, keys)
    if kept is _LEFT:
        return run_note(args) if args.loose else Exit.READY
    if kept is not None and kept.on != entry.on:
        entry = replace(entry, on=kept.on)
        before = entry.answer()
    today = entry.today
    if notice := lesson_notice(entry.record, entry.on, today):
        keys.say(lay_out([notice, stop_now(entry.record, today)], text_width()), end="")
    asked = Round(
        entry.course, entry.offer.lines, kept or lesson, keys, lambda now: _keep(entry, now), text_width(),
        entry.record.disliked(entry.on),
    )  # fmt: skip
    asked.answers.rest(entry.record, entry.on)
    asked.last = entry.offer.last
    asked.near = near_skills(entry.course, entry.offer.skills, before)
    asked.pause = lambda words: pause_at_once(entry, words)
    keys.say(lay_out(noting.round_words(entry.record, entry.on, asked.titles()), text_width()), end="")
    try:
        with keys:
            done = asked.go()
    except KeyboardInterrupt:
        keys.say("\n" + noting.KEPT.format("note", entry.record.id))
        raise
    if done is None:
        keys.say(noting.KEPT.format("note", entry.record.id))
        return Exit.READY
    if done.says_nothing:
        drop_kept_lesson(entry)
        keys.say(noting.NOTHING_SHOWN)
        return Exit.READY
    return write_lesson(args, entry, before, done, drop=True)


def pause_at_once(entry: Entry, words: str) -> str:
    """Open a pause in the midst of a round, and return what comes first."""
    odd, whose = next(iter(odd_letters(words)), None), entry.record
    if refusal := odd or open_hold(whose, entry.folder, entry.on, words, "all"):
        return unpaused_words(refusal.message, refusal, whose.id, of_age=is_of_age(whose, entry.on))
    record = entry.again()
    return lay_out(paused_words(record, record.entire.holds[-1]), text_width())


def _keep(entry: Entry, lesson: NewLesson) -> None:
    """Keep a round safe; where the disk does not let us, say so and go on, since noting may still work."""
    refusal = half_done.keep(entry.path, lesson, entry.record)
    if refusal is not None:
        aside(refusal.message)


_LEFT: Final = NewLesson(0)
"""A half-entered lesson that stays where it is for now."""


def _offer(args: argparse.Namespace, entry: Entry, keys: Keys) -> NewLesson | None:
    """Return what is half entered; None to begin. What is noted first in one line is put to ``args``."""
    refuse(half_done.why_unreadable(entry.path))
    found = half_done.offered(entry.path)
    if found is None or found.is_empty:
        drop_kept_lesson(entry)
        return None
    kept = half_done.understood(entry.course, found)
    keys.say(noting.offer_words(entry.record, kept, entry.on))
    while True:
        key = keys.key().lower()
        if key == "n" and kept.on != entry.on:
            args.on, args.loose = iso(entry.on), (keys.line(noting.IN_ONE_LINE) or "").split()
            return _LEFT
        if key == ENTER:
            return kept
        if key == "d":
            drop_kept_lesson(entry)
            return None
        if key in ("q", ""):
            return _LEFT


@command(
    "correct",
    option("--why", metavar="WORDS", default="", help="a few words, kept beside it"),
    option("--by", metavar="INITIALS", default="", help="who says so"),
    option("--yes", action="store_true", help="a whole lesson is meant, unasked"),
    student_options("the day that was noted wrongly", "that of the latest lesson"),
    option(
        "loose", metavar="SKILLS", nargs="*",
        help="what was noted wrongly; a figure (1 to 5) before it: how it was in truth; nothing: all of it",
    ),
)
def run_correct(args: argparse.Namespace) -> Exit:
    """Keep that something was noted wrongly; the old note stays and counts no longer."""
    entry, lessons = _lessons(args)
    refuse(odd_letters(args.by, args.why))
    answer = entry.answer()
    near = near_skills(entry.course, OfferedSkills(entry), answer)
    noted = [one.skill for lesson in lessons for one in lesson.showings]
    wrong: list[Refusal] = []
    given: dict[str, int] = {}
    for how, text in steps(args.loose, wrong, bare=-1):
        for skill in find_skills(entry.course, text, near=Near((noted, *near.own))):
            if isinstance(skill, Refusal):
                wrong.append(skill)
            elif skill not in noted:
                told = noting.not_noted_words(entry.course, entry.record, entry.on, skill, how)
                wrong.append(Refusal("not-noted", told))
            else:
                given[skill] = how
    if args.loose and not (given or wrong):
        here = f"`readiness correct {entry.record.id} {' '.join(args.loose)} SKILL`"
        raise CommandError(f"please say of which skill, as in {here}. Nothing was corrected.")
    refuse(wrong)
    if not given and len(noted) > 1 and not args.yes and is_terminal():
        told = noting.whole_words(entry.record, entry.on, lessons)
        ask_first(told, "Type yes or no: ", "nothing was corrected")
    helps = {skill: how for skill, how in given.items() if 0 <= how < len(SHOWN)}
    today, why = entry.today, args.why.strip()
    instead = NewLesson(entry.on, helps, by=args.by.strip())
    record = entry.written(correct(entry.record.entire, entry.folder, list(given), instead, today, why))
    after = entry.answer(record)
    return respond(args, lambda: {
        "student": record.id, "on": iso(entry.on), "corrected": list(given) or noted,
        "verdict_before": answer.verdict, "verdict": after.verdict,
    }, noting.corrected_words(answer, entry.phrases(after, record), given, lessons))  # fmt: skip


def _lessons(args: argparse.Namespace) -> tuple[Entry, Sequence[Lesson]]:
    """Return the file and the lessons of the day that was typed; without one those of the latest day."""
    entry = open_entry(args)
    lessons = entry.record.entire.lessons
    crossed = {one.of for one in entry.record.entire.corrected}
    days = [one for one in (*(lesson.on for lesson in lessons), *crossed) if one <= entry.on]
    if args.on is None and days:
        entry = replace(entry, on=max(days))
    found = [one for one in lessons if one.on == entry.on and (one.showings or one.on not in crossed)]
    if not found and not (entry.on in crossed and getattr(args, "loose", False)):
        crossed_out = noting.crossed_out_words(entry.record, entry.on)
        raise CommandError(crossed_out or no_such_lesson_words(entry.record, entry.on))
    return entry, found


@command(
    "move-note",
    student_options("the day of a lesson", "what was noted last, whatever it was"),
    option("other", metavar="OTHER", help="whose it was"),
)
def run_move_note(args: argparse.Namespace) -> Exit:
    """Take a lesson, or what was noted last, out of one file and put it into another, in one step."""
    entry, lessons = _moving(args)
    there = open_entry(argparse.Namespace(**{**vars(args), "student": args.other, "on": iso(entry.on)}))
    if there.record.id == entry.record.id:
        raise CommandError(f"both are {entry.record.name}; please say for which other student it was.")
    there.check_day()
    were = entry.answer(), there.answer()
    if lessons:
        what = noting.lessons_words(lessons)
        refused = move_lessons(entry.record.entire, there.record, entry.folder, lessons, entry.today)
    else:
        found = taken(last_entry(entry.path))
        refuse(stays(found[1], entry.record, there.record))
        what, refused = noting.entry_words(found[0]), move_entry(entry.path, there.path, entry.folder)
    refuse(refused)
    now = [(one, one.again()) for one in (entry, there)]
    turns = [(was, one.phrases(record=record)) for was, (one, record) in zip(were, now, strict=True)]
    return respond(args, lambda: {
        "from": entry.record.id, "to": there.record.id, "on": iso(entry.on), "moved": what,
        "verdicts": {after.record.id: after.answer.verdict for _, after in turns},
    }, noting.moved_words(what, turns))  # fmt: skip


def _moving(args: argparse.Namespace) -> tuple[Entry, Sequence[Lesson]]:
    """Return the file and the lessons to be moved: of a day, else noted last; none: another entry."""
    entry = open_entry(args)
    found = last_entry(entry.path)
    if args.on is not None or isinstance(found, Refusal) or found[1] == {"lesson"}:
        entry, lessons = _lessons(args)
        if args.on is None:
            lessons = [max(entry.record.entire.lessons, key=lambda one: one.line)]
            entry = replace(entry, on=lessons[0].on)
        return entry, lessons
    return entry, ()


_CODE: Final = re.compile(rf"(?P<line>\d{{1,2}})(?:\.(?P<part>\d{{1,2}}))?(?P<how>[{CODES}-])", re.IGNORECASE)
_WORD: Final = re.compile(r"[a-z]{3,4}", re.IGNORECASE)
_KEPT_ON_PAPER: Final = 21
"""So many days a printed sheet is looked for by its word; common practice, no source."""


@command(
    "enter",
    option("--by", metavar="INITIALS", default="", help="who noted it"),
    option("--text", metavar="WORDS", default="", help="a few words about the lesson"),
    yes_option,
    student_options("the day of the sheet"),
    option(
        "loose", metavar="CODES", nargs="*",
        help="the word of the sheet, then a code a line, such as 2c: its number, and a without help, c with "
        "a reminder, m after being shown, h guided by hand, n not shown, - not asked",
    ),
)
def run_enter(args: argparse.Namespace) -> Exit:
    """Note a sheet from its codes."""
    entry = open_entry(args)
    words = " ".join(args.loose).replace(",", " ").split()
    word = words[0].lower() if words and _WORD.fullmatch(words[0]) else ""
    sheet = next((one for one in _sheets(entry) if word in ("", one.word)), None)
    if sheet is None:
        raise CommandError(noting.no_sheet_words(entry.record, word))
    given = _read(sheet, words[bool(word) :])
    lesson = NewLesson(entry.on, *_shown_and_left(given), args.by, args.text)
    since = [one.on for one in entry.record.lessons if (sheet.last_lesson or 0) < one.on < entry.on]
    used = [Refusal("used", noting.sheet_used_words(min(since)))] if since else []
    unsure = day_unsure(args, entry, used)
    refuse([*check_lesson(entry.course, entry.record, lesson, tuple(given), entry.latest), *unsure])
    return write_lesson(args, entry, entry.answer(), lesson)


def _sheets(entry: Entry) -> Iterator[CheckSheet]:
    """Yield every sheet that may have been printed, the usual one of now first.

    One of the day may have been printed before its lesson was noted, and before what was decided that day.
    """
    from readiness.advice.sheet import check_sheet

    for on in range(entry.on, entry.on - _KEPT_ON_PAPER, -1):
        then, now = replace(entry, on=on), entry.record
        noted = replace(now, lessons=tuple(one for one in now.lessons if one.on != on))
        begun = tuple(one for one in now.unit_starts if one.on != on)
        decided = replace(noted, unit_starts=begun, decisions=tuple(d for d in now.decisions if d.on != on))
        for record in [one for i, one in enumerate((now, noted, decided)) if one not in (now, noted)[:i]]:
            answer = then.answer(record)
            yield (usual := check_sheet(entry.course, record, answer))
            for room in range(usual.most_items - 1, 0, -1):
                minutes = -(-room * usual.minutes // usual.most_items)
                yield check_sheet(entry.course, record, answer, None, minutes)


def _read(sheet: CheckSheet, words: Sequence[str]) -> dict[str, int]:
    """Return what codes say, a line's before its parts'; a CommandError that names all that are no codes."""
    text, given, wrong = " ".join(words), dict[str, int](), list[Refusal]()
    if (odd := [word for word in words if _CODE.sub("", word)]) or not words:
        are = "is not a code" if len(odd) == 1 else "are not codes"
        told = f"{few_of([quoted(one) for one in odd], 3)} {are}" if odd else "there are no codes"
        ladder = ", ".join(f"{code} {words}" for code, words in zip(CODES, HELP_WORDS, strict=True))
        told += f"; a code is a line and how it was shown, as in 1a 2c 3-: {ladder}, - not asked."
        wrong.append(Refusal("no-code", told))
    seen: set[tuple[str, str | None]] = set()
    for code in sorted(_CODE.finditer(text), key=lambda one: bool(one["part"])):
        line, part, how = code.groups()
        skills = _sheet_skills(sheet, int(line), part)
        twice = (line, part) in seen
        if not skills or twice:
            why = "is there twice" if twice else "names no line of this sheet with a skill"
            wrong.append(Refusal("odd-code", f"{code[0]} {why}."))
        seen.add((line, part))
        given |= dict.fromkeys(skills, f"{CODES}-".index(how.lower()))
    refuse(wrong)
    return given


def _sheet_skills(sheet: CheckSheet, line: int, part: str | None) -> tuple[str, ...]:
    skills = sheet.items[line - 1].skills if 1 <= line <= len(sheet.items) else ()
    return skills if part is None else skills[int(part) - 1 : int(part)] if int(part) else ()
