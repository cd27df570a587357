"""The folder of a studio: ``start``, ``backup``, ``restore``, ``doctor``."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from pathlib import Path

from readiness.cli.commands import CommandError, Exit, command, epilog, one_of, option
from readiness.cli.context import (
    add_studio_options,
    day_asked,
    latest_day,
    locate_studio,
    print_problems,
    read_studio,
    sought,
    studio_options,
)
from readiness.cli.inputs import never_the_demo, print_json, refuse, respond, taken
from readiness.cli.keys import Keys, ask_first, is_terminal
from readiness.cli.output import aside, say, text_width
from readiness.days import iso
from readiness.studio.doctor import MENDED, look_over, mend, unmend
from readiness.studio.find import find_students
from readiness.studio.folder import (
    Archive,
    RestoreStep,
    back_up,
    bring_back,
    group_of,
    make_studio,
    root_of,
    steps,
    unsealed,
)
from readiness.studio.load import Studio
from readiness.toml.problems import Problem, errors, render, sort_problems
from readiness.toml.write import WRITTEN, create
from readiness.words import lists
from readiness.words.grammar import date_words


@command(
    "start",
    option("folder", metavar="DIR", type=Path, help="a folder that is not there yet, or empty"),
    option("--name", metavar="NAME", default="", help="what the studio is called"),
    one_of(
        option("--with-demo", action="store_true", help="with the six invented students"),
        option(
            "--empty", action="store_true",
            help="to write a course of your own: one unit, every key explained",
        ),
    ),
    option("--shared", action="store_true", help="for all teachers of the folder's group"),
    option("--json", action="store_true", help="one JSON object, for other programs"),
)
def run_start(args: argparse.Namespace) -> Exit:
    """Make it and say what to do next."""
    name = args.name if args.name or args.with_demo else args.folder.resolve().name
    refuse(make_studio(args.folder, name, with_demo=args.with_demo, shared=args.shared, empty=args.empty))
    WRITTEN.set()
    group = group_of(args.folder)
    return respond(
        args,
        lambda: {"studio": str(args.folder), "with_demo": args.with_demo, "group": group or None},
        lists.started_words(args.folder, group, args.with_demo, args.empty),
    )


@command(
    "backup",
    studio_options("the day it is made on"),
    option("archive", metavar="FILE", type=Path, help="the archive to make, outside the studio"),
)
def run_backup(args: argparse.Namespace) -> Exit:
    """Make it, and say what is in it."""
    where = locate_studio(args.course, args.students)
    never_the_demo(where, args)
    if where.students is None or errors(where.problems):
        raise CommandError("no backup is made before studio.toml is corrected: `readiness doctor` says how.")
    own = [where.students] + ([where.file.path.parent] if where.file is not None else [])
    if any(args.archive.resolve().is_relative_to(one.resolve()) for one in own):
        raise CommandError("a backup in the studio is lost together with it; please name a place outside.")
    try:
        data, archive, left = back_up(where, day_asked(args.on, None, where.date_order))
    except OSError as error:
        why = f"{error.filename}: {(error.strerror or str(error)).lower()}"
        raise CommandError(f"no backup was made, because it would lack a file ({why}).") from None
    refuse(create(args.archive, args.archive.parent, data))
    return respond(args, lambda: {
        "archive": str(args.archive), "seal": archive.seal, "files": list(archive.files),
        "left_out": [{"file": str(path), "why": why} for path, why in left],
    }, lists.backup_words(args.archive, archive, left))  # fmt: skip


@command(
    "restore",
    option("archive", metavar="FILE", type=Path, help="an archive made by `readiness backup`"),
    option("--check", action="store_true", help="only say what would change, file by file"),
    option(
        "--bring-back", metavar="ID", nargs="+", default=[],
        help="students of whom something is to come back; of nobody else does it, since they may have left",
    ),
    option("--into", metavar="DIR", type=Path, help="the studio's folder, where none is found"),
    option("--json", action="store_true", help="one JSON object, for other programs"),
    add_studio_options,
    epilog("Exit code of --check: 0 nothing is missing, 1 something is, 2 the archive is damaged."),
)
def run_restore(args: argparse.Namespace) -> Exit:
    """Check the seal, say what would change, and with it done what was brought back."""
    archive = taken(unsealed(args.archive))
    root = _root(args)
    plan = steps(archive, root)
    if args.check:
        _tell(args, archive, plan)
        lost = any(one.state in ("adds", "missing", "not-here") for one in plan)
        return Exit.NOT_READY if lost else Exit.READY
    done, refusals = bring_back(archive, root, _named(args.bring_back, archive, plan))
    _tell(args, archive, steps(archive, root), done)
    refuse(refusals)
    return Exit.READY


def _root(args: argparse.Namespace) -> Path:
    if args.into is not None:
        return Path(args.into)
    where = sought(find_students, args.students)
    root = root_of(where)
    if root is None or where.is_demo:
        raise CommandError("there is no studio here; please say with --into which folder it is to be in.")
    return root


def _named(typed: Sequence[str], archive: Archive, plan: Sequence[RestoreStep]) -> tuple[str, ...]:
    """Return who is to come back; at a terminal each is asked about by name."""
    gone = {one.student: one.file for one in plan if one.state in ("adds", "not-here")}
    if strangers := [one for one in typed if one not in gone]:
        raise CommandError(f"nothing of {strangers[0]} can come back from this archive; see --check.")
    if typed or not is_terminal():
        return tuple(typed)
    keys = Keys()
    return tuple(id_ for id_, file in gone.items() if _wants(keys, id_, lists.name_in(archive.files[file])))


def _wants(keys: Keys, id_: str, name: str) -> bool:
    asked = f"{name or id_}: lost, or deleted on purpose? Type {id_} to bring it back, else Enter: "
    return (keys.line(asked) or "").strip() == id_


def _tell(
    args: argparse.Namespace, archive: Archive,
    plan: Sequence[RestoreStep], done: Sequence[RestoreStep] | None = None,
) -> None:  # fmt: skip
    if done is None:
        told = lists.restore_words(args.archive, archive, plan)
    else:
        told = lists.restored_words(done, plan)
    respond(args, lambda: {
        "archive": str(args.archive), "seal": archive.seal, "made": iso(archive.made),
        "files": [{"file": one.file, "state": one.state, "lines": one.lines} for one in plan],
        "brought_back": None if done is None else [one.file for one in done],
    }, told)  # fmt: skip


@command(
    "doctor",
    option("--fix", action="store_true", help="mend what is safe, after showing it and asking"),
    option("--yes", action="store_true", help="do not ask (needed without a terminal)"),
    option("--undo", action="store_true", help="undo what --fix mended last"),
    option("--json", action="store_true", help="one JSON object, for other programs"),
    add_studio_options,
    epilog("Exit code 0: nothing found, 1: something to mend, 2: a file that cannot be read."),
)
def run_doctor(args: argparse.Namespace) -> Exit:
    """Show what was found; the exit code says whether anything was."""
    studio = read_studio(locate_studio(args.course, args.students))
    folder = studio.where.students
    if folder is None:
        print_problems(studio.problems)
        raise CommandError("where the students are is not known until studio.toml is corrected.")
    if args.fix or args.undo:
        never_the_demo(studio.where, args)
    if args.undo:
        return _undone(folder)
    found = _looked_over(studio)
    _say_fixed_day(studio)
    if args.json:
        from readiness.editing.facts import problem_to_dict

        print_json({"findings": [{**problem_to_dict(one), "fix": one.id in MENDED} for one in found]})
    else:
        for problem in found:
            print(render(problem, width=text_width()), end="\n\n")
        say([lists.doctor_words(found, MENDED)])
    if args.fix and any(one.id in MENDED for one in found):
        found = _fixed(args, folder, studio, found)
    if errors(found):
        return Exit.WRONG
    return Exit.NOT_READY if found else Exit.READY


def _say_fixed_day(studio: Studio) -> None:
    """Say beside what is wrong with a studio of one's own that its answers are all of one day."""
    file = studio.where.file
    if studio.today is not None and file is not None and not studio.where.is_demo:
        where = f"{file.path.name}:{file.value_place('today').line}"
        day = date_words(studio.today)
        aside(f"{where} fixes the day: every answer is that of {day}, unless --on says another.")


def _looked_over(studio: Studio) -> tuple[Problem, ...]:
    """Return all that is wrong with a studio, its own letters too."""
    from readiness.words.letters import letter_problems

    letters = studio.where.letters
    told = () if letters is None else letter_problems(letters)
    return sort_problems((*look_over(studio, latest_day(studio.today)), *told))


def _fixed(
    args: argparse.Namespace, folder: Path, studio: Studio, found: Sequence[Problem]
) -> tuple[Problem, ...]:
    """Mend what is safe, once somebody has said so; return what is still to be mended."""
    if not args.yes:
        question = "Type yes to mend this, anything else to leave it: "
        ask_first("", question, "nothing was mended", "it is really meant")
        still = _looked_over(read_studio(studio.where))  # what stands may be another
        found = [one for one in found if one in still]
    refuse(mend(folder, found))
    left = _looked_over(read_studio(studio.where))
    if not args.json:
        say([lists.mended_words(left)])
    return left


def _undone(folder: Path) -> Exit:
    who, refusals = unmend(folder)
    refuse(refusals)
    if not who:
        raise CommandError("there is nothing that `readiness doctor --fix` mended and that is not undone.")
    print(f"As before --fix: {', '.join(f'{one}.toml' for one in who)}.")
    return Exit.READY
