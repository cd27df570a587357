"""``readiness compare``: what another course, or an edit, would change for every student."""

from __future__ import annotations

import argparse
import json
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from readiness.cli.commands import CommandError, Exit, Parser, command
from readiness.cli.context import (
    add_full_option,
    locate_studio,
    print_problems,
    read_studio,
    say_unread,
    studio_options,
)
from readiness.cli.day import add_day_option, day_for
from readiness.cli.inputs import skill_typed, unit_typed
from readiness.cli.keys import wait_for_the_end
from readiness.cli.output import text_width
from readiness.course.find import named_skill
from readiness.course.layers import read_files
from readiness.course.load import LoadedCourse, course_of, load_course
from readiness.course.model import Course
from readiness.course.schema import RULES
from readiness.editing.as_json import retiring_to_dict, trial_to_dict
from readiness.editing.compare import Difference, differences
from readiness.editing.dry_run import Trial, Watcher, try_course
from readiness.editing.edits import Add, Drop, Edit, EditError, Move, Set, apply, parse_edit
from readiness.editing.retire import retiring
from readiness.studio.load import Studio
from readiness.toml.problems import errors, render
from readiness.words.cautions import brief_cautions
from readiness.words.course import retiring_sections
from readiness.words.editing import (
    comparison_words,
    difference_section,
    edit_words,
    lost_words,
    refusal_words,
    watching_words,
)
from readiness.words.layout import Section, item, lay_out
from readiness.words.wording import speak

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


def compare_arguments(parser: Parser) -> None:
    """Add the arguments."""
    parser.add_argument(
        "folders", metavar="COURSE_DIR", type=Path, nargs="*",
        help="two courses, the old one first; or one to edit (default: the studio's course)",
    )  # fmt: skip
    for name, metavar, words in EDITS:
        parser.add_argument(
            name, metavar=metavar, action=_Edits, help=f"{words} (may be given several times)"
        )
    add_day_option(parser)
    parser.add_argument("--students", metavar="DIR", type=Path, help="the folder with the student files")
    parser.add_argument("--json", action="store_true", help="one JSON object, for other programs")
    add_full_option(parser)
    parser.set_defaults(edits=[])


@command("compare", compare_arguments)
def run_compare(args: argparse.Namespace) -> Exit:
    """Say who changes; nothing is written."""
    try:
        edits = tuple(parse_edit(*typed) for typed in args.edits)
    except EditError as error:
        raise CommandError(f"{error}.") from None
    if len(args.folders) > 2 or (len(args.folders) == 2 and edits):
        raise CommandError("compare takes two course folders, or one with --add, --drop, --move or --set.")
    if len(args.folders) < 2 and not edits:
        raise CommandError("please name two course folders, or an edit such as --add SKILL:PREREQUISITE.")
    studio, course = open_with_course(args.folders[0] if args.folders else None, args.students)
    edits = tuple(_by_id(course, edit) for edit in edits)
    day = day_for(args, studio)
    tried = load_course(args.folders[1]) if len(args.folders) == 2 else edited_course(studio, edits)
    trial = try_course(studio, tried, day)
    other = trial.course if len(args.folders) == 2 else None
    different = differences(course, other) if other is not None else ()
    asked = tuple(item(f"{edit_words(edit, course)}.") for edit in edits)
    if any(isinstance(edit, Set) for edit in edits):
        asked = (*asked, item(brief_cautions(("C11",))))
    head = [Section("What if", asked)] if asked else []
    code = tell_trial(trial, course, day, head, different, as_json=args.json, full=args.full)
    return say_unread(studio, code)


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
    """Return the studio's course with some edits laid over it.

    Raises:
        CommandError: an edit names something that is not there.
    """
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
    as_json: bool = False,
    full: bool = False,
) -> Exit:
    """Print what a course would do: its problems, what is different, who changes."""
    code = Exit.READY if trial.course is not None and not trial.lost else Exit.WRONG
    if as_json:
        print(json.dumps(trial_to_dict(trial, day, different), ensure_ascii=False, indent=2))
        return code
    if trial.course is None or trial.comparison is None:
        if head:
            print(lay_out(head, text_width()))
        print("\n\n".join(render(problem, width=text_width()) for problem in trial.problems), end="\n\n")
        wrong = len(errors(trial.problems))
        print(refusal_words(wrong, len(trial.problems) - wrong), end="")
        return code
    if different:
        head = [*head, difference_section(different, course, trial.course)]
    print(comparison_words(trial.comparison, course, trial.course, head, text_width(), full=full), end="")
    for problem in trial.problems:
        print(f"\n{render(problem, width=text_width())}")
    if trial.lost:
        print(f"\n{lost_words(len(trial.lost), text_width())}\n")
        for one in trial.lost:
            print(
                "\n\n".join(render(problem, width=text_width()) for problem in errors(one.problems)),
                end="\n\n",
            )
    return code


# ``readiness retire``: what taking a skill out, renaming, splitting or merging would do.


def retire_arguments(parser: Parser) -> None:
    """Add the arguments."""
    studio_options(parser)
    parser.add_argument(
        "skills", metavar="SKILL", nargs="+", help="the skill's id or name; several are merged"
    )
    parser.add_argument(
        "--into", metavar="SKILL", action="append", default=[],
        help="what takes its place: one new id renames it, two split it; one that is there merges it in",
    )  # fmt: skip
    add_full_option(parser)


@command("retire", retire_arguments)
def run_retire(args: argparse.Namespace) -> Exit:
    """Say what would happen, and which lines to write; nothing is written."""
    studio, course = open_with_course(args.course, args.students)
    skills = tuple(dict.fromkeys(skill_typed(course, one) for one in args.skills))
    into = tuple(dict.fromkeys(named_skill(course, one) or one for one in args.into))
    if len(skills) > 1 and len(into) != 1:
        raise CommandError("several skills are merged into one: please give one --into SKILL.")
    try:
        found = retiring(studio, skills, into, day_for(args, studio))
    except EditError as error:
        raise CommandError(f"{error}{'' if str(error).endswith('?') else '.'}") from None
    code = Exit.READY if found.trial.course is not None else Exit.WRONG
    if args.json:
        print(json.dumps(retiring_to_dict(found), ensure_ascii=False, indent=2))
        return say_unread(studio, code)
    trial = found.trial
    print(lay_out(retiring_sections(found, course), text_width()), end="")
    for problem in trial.problems:
        print(f"\n{render(problem, width=text_width())}")
    if trial.course is None or trial.comparison is None:
        wrong = len(errors(trial.problems))
        print(f"\n{refusal_words(wrong, len(trial.problems) - wrong)}", end="")
    else:
        told = comparison_words(trial.comparison, course, trial.course, (), text_width(), full=args.full)
        print(f"\n{told}", end="")
    return say_unread(studio, code)


# ``readiness watch``: edit a course in any editor and see after each save what it does.

SECONDS = 0.4


def watch_arguments(parser: Parser) -> None:
    """Add the arguments."""
    parser.add_argument(
        "course", metavar="COURSE_DIR", type=Path, nargs="?",
        help="the folder with graph.toml and pacing.toml (default: the studio's course)",
    )  # fmt: skip
    add_day_option(parser)
    parser.add_argument("--students", metavar="DIR", type=Path, help="the folder with the student files")


@command("watch", watch_arguments)
def run_watch(args: argparse.Namespace) -> Exit:
    """Watch until interrupted, or until the input ends; nothing is written."""
    studio, course = open_with_course(args.course, args.students)
    folder = studio.where.course
    if folder is None:
        raise CommandError
    day = day_for(args, studio)
    watcher = Watcher(studio, folder, day)
    try:
        print(watching_words(folder, len(studio.records)), flush=True)
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
