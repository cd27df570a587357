"""``why ID``: why a student moves up, or not yet; ``recheck``: whether an answer follows from the files.

What only one of its options asks for is imported there, so that the plain question starts quickly.

Works every key of a saved ``why --json`` object out a second time, with code that shares nothing
with the one that made it, and names what it could not check. Without a file it does so for the
answers of today, of all or of the student who was typed: as they were told, where they are kept.
"""

from __future__ import annotations

import argparse
import json
import os
import sys
from collections.abc import Callable, Iterable, Iterator
from contextlib import suppress
from pathlib import Path
from typing import Any

from readiness.cli.commands import CommandError, Exit, command, option
from readiness.cli.context import (
    add_day_option,
    add_full_option,
    add_studio_options,
    answers_told,
    day_for,
    open_studio,
    pick_student,
    say_unread,
    student_options,
)
from readiness.cli.inputs import Entry, open_entry, print_json, respond, sides, skill_typed
from readiness.cli.output import as_sentence, aside, say
from readiness.course.model import Course
from readiness.days import day_number, iso
from readiness.judging.answer import Answer
from readiness.judging.as_json import answer_to_dict, skill_to_dict
from readiness.judging.engine import SHOW, ChangeError, what_if
from readiness.judging.reasons import pacing_rule
from readiness.record.consents import delete_by
from readiness.record.model import Record
from readiness.studio.load import Studio
from readiness.toml.texts import did_you_mean
from readiness.words.changes import since_then
from readiness.words.lists import deletion_words, kept_words, other_file_words, recheck_words
from readiness.words.reasons import reasons_outline, rule_section
from readiness.words.why import why_sections


@command(
    "why",
    student_options(),
    add_full_option,
    option("--reasons", action="store_true", help="the reasons, a line a skill; --full: the whole tree"),
    option("--rule", metavar="NAME", help="what one rule says, as in --rule carry_limit"),
    option("--skill", metavar="SKILL", help="all about one skill: days, what it means, when"),
    option(
        "--birthday", action="store_true", help="what the next birthday that changes the age group changes"
    ),
    option("--stuck", action="store_true", help="what other things wait for: stuck, or taking its time?"),
    option(
        "--list", dest="around", choices=("optional", "untried", "startable", "carries-over"),
        help="optional: not asked for at this age; untried: nothing is known of it; startable: could be "
        "started now; carries-over: what is the same in the student's other course",
    ),
    option(
        "--if", dest="changes", metavar="NAME=VALUE", action="append", default=[],
        help="ask again with one thing changed, and save nothing: carry_limit=1, days_needed.motor=2, "
        "accepts.motor=cue, show.SKILL=alone (may be given several times)",
    ),
)
def run_why(args: argparse.Namespace) -> Exit:
    """Answer the question; the exit code tells the answer too."""
    changes = changes_typed(args.changes)
    entry = open_entry(args, writes=False)
    _beside(entry)
    plain = answer = entry.answer()
    asked: tuple[tuple[object, _Alone], ...] = (
        (args.birthday, _tell_of_birthday),
        (args.around, _tell_around),
        (args.rule, _tell_rule),
        (args.stuck, _tell_stuck),
        (args.skill is not None, _tell_of_skill),
    )
    alone = next((tell for is_asked, tell in asked if is_asked), None)
    if alone is not None:
        return alone(args, entry, answer)
    values: dict[str, object] = {}
    if changes:
        answer, values = _supposed(entry, changes)
    if args.json:
        print_json(answer_to_dict(answer) | ({"if": values} if changes else {}))
    elif args.reasons:
        say(reasons_outline(answer.findings, full=args.full))
    elif changes:
        from readiness.words.changes import compare_sections

        say(compare_sections(entry.phrases(plain), entry.phrases(answer), values), full=args.full)
    else:
        say(why_sections(entry.phrases(answer)), full=args.full)
    return Exit.READY if answer.is_ready else Exit.NOT_READY


_Alone = Callable[[argparse.Namespace, Entry, Answer], Exit]


def _tell_of_birthday(args: argparse.Namespace, entry: Entry, answer: Answer) -> Exit:
    """Answer what the next birthday changes, and whether a day of age decides now."""
    from readiness.advice.as_json import birthday_to_dict
    from readiness.advice.timeline import birthday_changes, of_age_from, one_day_of_age
    from readiness.words.ahead import birthday_sections

    turning = birthday_changes(entry.course, entry.record, answer.on, answer.calendar)
    near = one_day_of_age(entry.course, entry.record, answer)
    told = birthday_sections(turning, near, entry.course, entry.record, answer.on)
    grown = of_age_from(entry.record, answer.on, turning)
    adult = {"of_age_from": None if grown is None else iso(grown)}
    return respond(args, lambda: birthday_to_dict(turning, near, answer) | adult, told)


def _tell_rule(args: argparse.Namespace, entry: Entry, answer: Answer) -> Exit:
    """Answer what one rule of the student's age says, what it does and where it comes from."""
    course = entry.course.on(answer.on)
    band = course.band[answer.band]
    if args.rule not in band.numbers:
        hint = did_you_mean(args.rule, band.numbers) or "The names are those of pacing.toml."
        raise CommandError(f"--rule: there is no rule {args.rule}. {as_sentence(hint)}")
    say([rule_section(course, pacing_rule(course, band, args.rule))])
    return Exit.READY


def _tell_around(args: argparse.Namespace, entry: Entry, answer: Answer) -> Exit:
    """Answer with one list: what may be left out, what was never tried, what could be started."""
    from readiness.advice.as_json import around_to_dict
    from readiness.advice.ground import around_here
    from readiness.advice.lesson import plan_lesson
    from readiness.words.reasons import around_sections

    found = around_here(entry.course, entry.record, answer, plan_lesson(entry.course, entry.record, answer))
    told = around_sections(found, args.around, entry.phrases(answer))
    return respond(args, lambda: around_to_dict(found, answer), told)


def _beside(entry: Entry) -> None:
    """Say what else is to be known of the files."""
    studio, record = entry.studio, entry.record
    if studio.broken:
        aside(other_file_words(len(studio.broken)))
    if due := deletion_words(record, entry.on, delete_by(record.path)):
        aside(due)
    if then := since_then(entry.course, entry.on, entry.today):
        aside(then)


def _supposed(entry: Entry, changes: dict[str, str]) -> tuple[Answer, dict[str, object]]:
    """Return the answer with the changes of ``--if``, and the changes as values."""
    changes = {_by_id(entry.course.on(entry.on), name): value for name, value in changes.items()}
    try:
        return what_if(entry.course, entry.record, entry.on, changes, entry.calendar)
    except ChangeError as error:
        stop = "" if error.meant else "."
        raise CommandError(f"--if: {error}{stop}") from None


def _by_id(course: Course, name: str) -> str:
    """Return the name of a change with the id of its skill, however that was typed."""
    if not name.startswith(SHOW):
        return name
    try:
        return SHOW + skill_typed(course, name.removeprefix(SHOW))
    except CommandError as error:
        raise CommandError(f"--if: {error}") from None


def _tell_of_skill(args: argparse.Namespace, entry: Entry, answer: Answer) -> Exit:
    """Answer about one skill alone; it may be typed by its name or a beginning."""
    if args.changes or args.reasons:
        raise CommandError("--skill goes with neither --if nor --reasons; please ask one thing at a time.")
    skill = skill_typed(entry.course, args.skill)
    from readiness.advice.as_json import agreed_to_dict
    from readiness.words.reasons import skill_sections

    agreed = {"alternative": agreed_to_dict(entry.record.alternative(skill, answer.on))}
    respond(args, lambda: skill_to_dict(answer, skill) | agreed, skill_sections(entry.phrases(answer), skill))
    return Exit.READY if answer.is_ready else Exit.NOT_READY


def _tell_stuck(args: argparse.Namespace, entry: Entry, answer: Answer) -> Exit:
    """Answer what holds other things up alone."""
    if args.changes or args.reasons or args.skill is not None:
        raise CommandError(
            "--stuck goes with neither --if, --reasons nor --skill; please ask one thing at a time."
        )
    from readiness.advice.as_json import standstill_to_dict
    from readiness.advice.ground import standstill
    from readiness.words.reasons import standstill_sections

    found = standstill(entry.course, entry.record, answer)
    told = standstill_sections(found, entry.phrases(answer))
    respond(args, lambda: standstill_to_dict(found, answer), told)
    return Exit.READY if answer.is_ready else Exit.NOT_READY


def changes_typed(typed: list[str]) -> dict[str, str]:
    """Return the changes of ``--if`` by name; a CommandError for one without ``=`` or twice."""
    changes: dict[str, str] = {}
    for text in typed:
        name, value = sides(text, "--if takes NAME=VALUE, as in carry_limit=1")
        if name in changes:
            raise CommandError(f"--if changes {name} twice. Please keep one of the two.")
        changes[name] = value
    return changes


Claim = dict[str, Any]


@command(
    "recheck",
    option(
        "file", metavar="FILE", nargs="?",
        help="answers saved from `why --json` or `roster --json`, - for the input; or a student's id",
    ),
    option("--student", metavar="ID", help="work out and recheck this student alone"),
    option("--fresh", action="store_true", help="take no answer as it was told; work every one out again"),
    add_day_option,
    add_studio_options,
)
def run_recheck(args: argparse.Namespace) -> Exit:
    """Say of each answer whether it follows; 0 when every key was confirmed, 2 when a file was left out."""
    from readiness.judging.recheck import Rechecked, Rechecker
    from readiness.studio.cache import drop_kept
    from readiness.studio.kept_files import cache_folder

    if args.file is not None and not args.student and _may_be_a_student(args.file):
        args.student, args.file = args.file, None
    if args.file is not None and (args.student or args.on):
        raise CommandError("a saved answer names its student and its day; leave out --student and --on.")
    saved = _read(args.file) if args.file is not None else None
    studio, course = open_studio(args)
    claims = _told(args, studio) if saved is None else _saved(saved, studio)
    checker, all_follow, many = Rechecker(course), True, 0
    for claim, record, day, is_kept in claims:
        found = checker.check(claim, record, studio.calendar(record.id))
        all_follow, many = all_follow and found == Rechecked(), many + is_kept
        say(recheck_words(record.name, day, *found, kept=is_kept))
        if is_kept and found.differ and record.path is not None:
            drop_kept(cache_folder(os.environ), record.path)
    if many:
        aside(kept_words(many))
    code = Exit.READY if all_follow else Exit.NOT_READY
    return code if saved is not None or args.student else say_unread(studio, code)


def _may_be_a_student(typed: str) -> bool:
    """Return whether a word that was typed is no file, and does not look like one."""
    path = Path(typed)
    return typed != "-" and not path.suffix and len(path.parts) == 1 and not path.exists()


Asked = tuple[Claim, Record, int, bool]
"""An answer, whose and of which day it should be, and whether it was told before."""


def _told(args: argparse.Namespace, studio: Studio) -> Iterator[Asked]:
    """Yield the answers of one student, or of all, on the day asked about."""
    day = day_for(args, studio)
    records = [pick_student(studio, args.student)] if args.student else [*studio.records.values()]
    told = answers_told(studio, records, day, fresh=args.fresh)
    for record, (text, is_kept) in zip(records, told, strict=True):
        found: object = None
        with suppress(ValueError, RecursionError):
            found = json.loads(text)
        yield found if isinstance(found, dict) and found.get("on") == iso(day) else {}, record, day, is_kept


def _saved(claims: Iterable[Claim], studio: Studio) -> Iterator[Asked]:
    for claim in claims:
        record = studio.records.get(claim["student"]) or pick_student(studio, claim["student"])
        yield claim, record, day_number(claim["on"]), False


def _read(name: str) -> list[Claim]:
    """Return the saved answers, one object or one a line; a CommandError where the file holds none."""
    try:
        text = sys.stdin.read() if name == "-" else Path(name).read_text(encoding="utf-8")
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) else "it is not text in UTF-8"
        raise CommandError(f"{name} cannot be read: {reason}.") from None
    try:
        found = [json.loads(text)]
    except (ValueError, RecursionError):
        lines = enumerate(text.splitlines(), 1)
        found = [_object(line, f"{name}, line {i}") for i, line in lines if line.strip()]
    if not found:
        raise CommandError(f"{name} is empty; it should hold an answer of `readiness why --json`.")
    return [_claim(one, name) for one in found]


def _object(line: str, where: str) -> object:
    try:
        return json.loads(line)
    except (ValueError, RecursionError):
        raise CommandError(f"{where} is not JSON as `readiness why --json` writes it.") from None


def _claim(found: object, name: str) -> Claim:
    """Return a saved answer, checked as far as it says whose it is and of which day."""
    if not isinstance(found, dict) or not all(isinstance(found.get(key), str) for key in ("student", "on")):
        raise CommandError(f"{name} holds something else than answers of `readiness why --json`.")
    if "if" in found:
        raise CommandError(f"{name} holds a what-if answer (--if); recheck takes plain ones.")
    try:
        day_number(found["on"])
    except ValueError:
        told = f'"on" in {name} takes a day such as 2025-12-02, and "{found["on"]}" is not a day.'
        raise CommandError(told) from None
    return found
