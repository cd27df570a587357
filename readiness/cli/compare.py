"""What is different: an edit (``compare``, ``watch``, ``retire``), a day (``changed``), and ``shown``."""

from __future__ import annotations

import argparse
import json
from collections.abc import Collection, Iterable, Iterator, Mapping
from contextlib import ExitStack, nullcontext, redirect_stdout
from dataclasses import replace
from io import StringIO
from pathlib import Path
from typing import Any

from readiness.advice import timeline
from readiness.advice.as_json import changed_to_dict
from readiness.advice.changes import ChangeQuestion, why_changed
from readiness.cli.commands import CommandError, Exit, command, one_of, option
from readiness.cli.context import (
    add_day_option,
    add_full_option,
    course_without_errors,
    day_for,
    day_meant,
    locate_studio,
    print_problems,
    read_studio,
    say_unread,
    student_options,
    studio_options,
)
from readiness.cli.inputs import open_entry, print_json, respond, skill_typed, unit_typed
from readiness.cli.keys import wait_for_the_end
from readiness.cli.output import aside, say, text_width, watched
from readiness.course.find import named_skill
from readiness.course.layers import read_files
from readiness.course.load import course_of, load_course
from readiness.course.model import Course, LoadedCourse
from readiness.course.schema import RULES
from readiness.days import iso
from readiness.editing.compare import Difference, by_effect, differences
from readiness.editing.course_history import CourseThen, course_at, course_then
from readiness.editing.dry_run import CourseWatcher, Trial, retiring, try_course
from readiness.editing.edits import Add, Drop, Edit, EditError, Move, Set, apply, parse_edit
from readiness.editing.facts import retiring_to_dict, trial_to_dict
from readiness.judging.answer import Answer
from readiness.record.model import HELPS, Record
from readiness.studio.load import Studio
from readiness.toml.problems import errors, render
from readiness.words import changes
from readiness.words.cautions import brief_cautions
from readiness.words.course import retiring_sections
from readiness.words.grammar import date_words, listed, speak
from readiness.words.layout import Section, as_markdown, item, lay_out
from readiness.words.lists import no_lesson_words
from readiness.words.noting import shown_words

__all__ = ["open_with_course", "tell_trial"]

EDITS = (
    ("--add", "SKILL:PREREQUISITE", "ask what one link more would do"),
    ("--drop", "SKILL:PREREQUISITE", "ask what one link less would do"),
    ("--move", "SKILL:UNIT", "ask what teaching a skill in another unit would do"),
    ("--set", "WHERE=VALUE", "ask what another number would do: band.6-7.carry_limit=1"),
)


class _Edits(argparse.Action):
    """Keeps the edits of all options in the order they are typed."""

    def __call__(
        self,
        _parser: object,
        namespace: argparse.Namespace,
        values: Any,  # noqa: ANN401 - argparse says so
        option: str | None = None,
    ) -> None:
        namespace.edits = [*getattr(namespace, "edits", []), (str(option).lstrip("-"), str(values))]


@command(
    "compare",
    option(
        "folders", metavar="COURSE_DIR", type=Path, nargs="*",
        help="two courses, the old one first, or one to edit (default: the studio's course); "
        "in place of a folder a revision of git: `compare HEAD~1` says what changed since",
    ),
    *(
        option(name, metavar=metavar, action=_Edits, help=f"{words} (may be given several times)")
        for name, metavar, words in EDITS
    ),
    add_day_option,
    option("--students", metavar="DIR", type=Path, help="the folder with the student files"),
    one_of(
        option("--json", action="store_true", help="one JSON object, for other programs"),
        option(
            "--markdown", action="store_true",
            help="as a comment in a review; it names nobody, unless --full does",
        ),
    ),
    add_full_option,
    lambda parser: parser.set_defaults(edits=[]),
)
def run_compare(args: argparse.Namespace) -> Exit:
    """Say who changes; nothing is written."""
    try:
        edits = tuple(parse_edit(*typed) for typed in args.edits)
    except EditError as error:
        raise CommandError(f"{error}.") from None
    if len(args.folders) > 2 or (len(args.folders) == 2 and edits):
        raise CommandError("compare takes two course folders, or one with --add, --drop, --move or --set.")
    with ExitStack() as kept:
        return _compared(args, edits, _with_revisions(args, kept) if not edits else {})


def _with_revisions(args: argparse.Namespace, kept: ExitStack) -> Mapping[str, Path]:
    """Put folders in place of the revisions that were typed, for as long as they are needed; return both.

    A single one is compared with the studio's course as it is now.
    """
    typed = [one for one in args.folders[:2] if not one.is_dir()]
    if not typed:
        return {}
    of_studio = next((one for one in args.folders if one.is_dir()), None)
    folder = of_studio or locate_studio(None, args.students).course
    found = {one: kept.enter_context(course_at(folder, str(one))) for one in typed if folder is not None}
    if (lost := [one for one in typed if found.get(one) is None]) and not lost[0].is_absolute():
        raise CommandError(f'"{lost[0]}" is no folder here, and no revision that git knows of this course.')
    folders = [found.get(one) or one for one in args.folders]
    named = {str(one): there for one, there in found.items() if there is not None}
    args.folders = [*folders, folder] if named and len(folders) == 1 else folders
    return named


def _compared(args: argparse.Namespace, edits: tuple[Edit, ...], then: Mapping[str, Path]) -> Exit:
    if len(args.folders) < 2 and not edits:
        raise CommandError("please name two course folders, or an edit such as --add SKILL:PREREQUISITE.")
    studio, course = open_with_course(args.folders[0] if args.folders else None, args.students)
    edits = tuple(_by_id(course, edit) for edit in edits)
    day = day_for(args, studio)
    tried = load_course(args.folders[1]) if len(args.folders) == 2 else edited_course(studio, edits)
    trial = try_course(studio, tried, day, _counted)
    other = trial.course if len(args.folders) == 2 else None
    different = by_effect(differences(course, other), trial.comparison) if other is not None else ()
    asked = tuple(item(f"{changes.edit_words(edit, course)}.") for edit in edits)
    if any(isinstance(edit, Set) for edit in edits):
        asked = (*asked, item(brief_cautions(("C11",))))
    head = [Section("What if", asked)] if asked else []
    shape = "json" if args.json else "markdown" if args.markdown else "text"
    with redirect_stdout(StringIO()) if then else nullcontext() as told:
        code = tell_trial(trial, course, day, head, different, shape=shape, full=args.full)
    if told is None:
        return say_unread(studio, code)
    text = told.getvalue()
    for revision, folder in then.items():
        text = text.replace(str(folder), revision)
    print(text, end="")
    if studio.broken:
        who = listed(sorted(studio.broken))
        aside(f"left out, since their files name what was not in the course of then: {who}.")
    return code


def _counted(students: Collection[str]) -> Iterator[str]:
    return watched(students, len(students), "Judging by both courses")


def _by_id(course: Course, edit: Edit) -> Edit:
    """Return an edit with the ids of what it names, however that was typed."""
    if isinstance(edit, Move):
        return Move(skill_typed(course, edit.skill), unit_typed(course, edit.unit))
    if isinstance(edit, Add | Drop):
        return type(edit)(skill_typed(course, edit.skill), skill_typed(course, edit.before))
    if isinstance(edit, Set) and edit.path[0] in {rule.partition(".")[0] for rule in RULES}:
        rule, band = ".".join(edit.path), course.bands[0].name
        raise CommandError(
            f"--set {rule} is about an age: please say which, as in --set band.{band}.{rule}={edit.value}"
        )
    return edit


def open_with_course(course: Path | None, students: Path | None) -> tuple[Studio, Course]:
    """Return the studio with a course that has no error; files of students may have some.

    Raises:
        CommandError: the course has errors; they have been printed.
    """
    studio = read_studio(locate_studio(course, students))
    if studio.course is None or errors(studio.problems):
        print_problems(errors(studio.problems))
        raise CommandError
    speak(studio.wording)
    return studio, studio.course


def edited_course(studio: Studio, edits: Iterable[Edit]) -> LoadedCourse:
    """Return the studio's course with edits laid over it; a CommandError where one names nothing there."""
    folder = studio.where.course
    assert folder is not None
    try:
        return course_of(apply(read_files(folder), edits), folder)
    except EditError as error:
        raise CommandError(f"{error}{'' if str(error).endswith('?') else '.'}") from None


def tell_trial(
    trial: Trial,
    course: Course,
    day: int,
    head: list[Section],
    different: tuple[Difference, ...] = (),
    *,
    shape: str = "text",
    full: bool = False,
) -> Exit:
    """Print what a course would do: who changes, what is different, its problems."""
    code = Exit.READY if trial.course is not None and not trial.lost else Exit.WRONG
    if shape == "json":
        print_json(trial_to_dict(trial, day, different))
        return code
    if trial.course is None or trial.comparison is None:
        if head:
            print(lay_out(head, text_width()))
        print("\n\n".join(render(problem, width=text_width()) for problem in trial.problems), end="\n\n")
        print(changes.refusal_words(trial.problems), end="")
        return code
    found = trial.comparison
    answered = len(found.changed) + len(found.advised) + len(found.unchanged)
    head = [*head, changes.lost_words(len(trial.lost), len(trial.lost) + answered)]
    different_words = [changes.difference_section(different, course, trial.course)] if different else []
    if shape == "markdown":
        who = changes.comparison_sections(found, course, trial.course)
        counts = [changes.comparison_counts(found)]
        print(as_markdown([*head, *(who if full else counts), *different_words]), end="")
    else:
        say([*head, *changes.comparison_sections(found, course, trial.course), *different_words], full=full)
    _tell_problems(trial, shape)
    return code


def _tell_problems(trial: Trial, shape: str) -> None:
    """Print the problems of the course and of the files it does not fit; in a review nobody's file."""
    fence = "\n```" if shape == "markdown" else ""
    for problem in trial.problems:
        print(f"{fence}\n{render(problem, width=text_width())}{fence}")
    print(end="\n" if trial.lost else "")
    for one in trial.lost if not fence else ():
        told = (render(problem, width=text_width()) for problem in errors(one.problems))
        print("\n\n".join(told), end="\n\n")


@command(
    "retire",
    studio_options(),
    option("skills", metavar="SKILL", nargs="+", help="the skill's id or name; several are merged"),
    option(
        "--into", metavar="SKILL", action="append", default=[],
        help="what takes its place: one new id renames it, two split it; one that is there merges it in",
    ),
    add_full_option,
)
def run_retire(args: argparse.Namespace) -> Exit:
    """Say what would happen, and which lines to write; nothing is written."""
    studio, course = open_with_course(args.course, args.students)
    skills = tuple(dict.fromkeys(skill_typed(course, one) for one in args.skills))
    into = tuple(dict.fromkeys(named_skill(course, one) or one for one in args.into))
    if len(skills) > 1 and len(into) != 1:
        raise CommandError("several skills are merged into one: please give one --into SKILL.")
    try:
        found = retiring(studio, skills, into, day_for(args, studio), _counted)
    except EditError as error:
        raise CommandError(f"{error}{'' if str(error).endswith('?') else '.'}") from None
    code = Exit.READY if found.trial.course is not None else Exit.WRONG
    if args.json:
        print(json.dumps(retiring_to_dict(found), ensure_ascii=False, indent=2))
        return say_unread(studio, code)
    trial = found.trial
    say(retiring_sections(found, course))
    for problem in trial.problems:
        print(f"\n{render(problem, width=text_width())}")
    if trial.course is None or trial.comparison is None:
        print(f"\n{changes.refusal_words(trial.problems)}", end="")
    else:
        print()
        say(changes.comparison_sections(trial.comparison, course, trial.course), full=args.full)
    return say_unread(studio, code)


SECONDS = 0.4


@command(
    "watch",
    option(
        "course", metavar="COURSE_DIR", type=Path, nargs="?",
        help="the folder with graph.toml and pacing.toml (default: the studio's course)",
    ),
    add_day_option,
    option("--students", metavar="DIR", type=Path, help="the folder with the student files"),
)
def run_watch(args: argparse.Namespace) -> Exit:
    """Watch until interrupted, or until the input ends; nothing is written."""
    studio, course = open_with_course(args.course, args.students)
    folder = studio.where.course
    assert folder is not None
    day = day_for(args, studio)
    watcher = CourseWatcher(studio, folder, day)
    try:
        print(changes.watching_words(folder, len(studio.records)), flush=True)
        while not wait_for_the_end(SECONDS):
            trial = watcher.look()
            if trial is not None:
                print("\n" + "-" * 40 + "\n")
                different = differences(course, trial.course) if trial.course is not None else ()
                tell_trial(trial, course, day, [], different)
                print(end="", flush=True)
    except KeyboardInterrupt:
        pass
    print()
    return Exit.READY


@command(
    "changed",
    student_options("the later day"),
    option("--since", metavar="DATE", required=True, help="the earlier day, as in 2025-11-25"),
    option(
        "--old-course", metavar="DIR", type=Path,
        help="a copy of the course as it was on the earlier day (default: from its folder's git history)",
    ),
    add_full_option,
)
def run_changed(args: argparse.Namespace) -> Exit:
    """Tell what changed, when and why."""
    entry = open_entry(args, writes=False)
    course, record, on = entry.course, entry.record, entry.on
    since = day_meant(args.since, "--since", on, entry.studio.date_order, -1)
    if since >= on:
        raise CommandError(
            f"--since takes a day before {date_words(on)}, the day asked about; --on asks about another day."
        )
    copy = args.old_course
    then = course_then(course, since, on) if copy is None else CourseThen(
        course_without_errors(copy), (timeline.Edit(None, "", "", course),), "folder"
    )  # fmt: skip
    found = why_changed(ChangeQuestion(record, since, on, then.course, then.edits, entry.calendar))
    told = changes.changed_sections(found, then.now.on(on), record, then.known_by)
    respond(args, lambda: changed_to_dict(found, then.known_by), told)
    return Exit.READY if found.later.is_ready else Exit.NOT_READY


@command("shown", student_options("the lesson of that day, or the one before"), add_full_option)
def run_shown(args: argparse.Namespace) -> Exit:
    """Show the latest lesson day up to the day asked about."""
    entry = open_entry(args, writes=False)
    days = [lesson.on for lesson in entry.record.lessons if lesson.on <= entry.on]
    if not days:
        raise CommandError(no_lesson_words(entry.record, entry.on))
    entry = replace(entry, on=max(days))
    record = entry.record
    without = replace(record, lessons=tuple(one for one in record.lessons if one.on != entry.on))
    before, after = entry.answer(without), entry.answer()
    told = shown_words(entry.phrases(before, without), entry.phrases(after), full=args.full)
    return respond(args, lambda: _shown_to_dict(before, after, entry.course, record), told)


def _shown_to_dict(before: Answer, after: Answer, course: Course, record: Record) -> dict[str, object]:
    states = {skill: [before.standings[skill].state, after.standings[skill].state] for skill in course.skill}
    return {
        "student": record.id,
        "on": iso(after.on),
        "lessons": [
            {
                "line": lesson.line,
                "by": lesson.by,
                "shown": {one.skill: HELPS[one.help] for one in lesson.showings},
                "not_tried": list(lesson.not_tried),
                "note": lesson.note,
                "remarks": dict(lesson.remarks),
                "disliked": list(lesson.disliked),
                "liked_again": list(lesson.liked_again),
                "tried_again": dict(lesson.tried_again),
            }
            for lesson in record.lessons
            if lesson.on == after.on
        ],
        "changed": {skill: pair for skill, pair in states.items() if pair[0] != pair[1]},
        "verdict_before": before.verdict,
        "verdict": after.verdict,
    }
