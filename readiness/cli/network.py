"""``readiness network``: each school gathers under codes, whoever looks after all judges and counts."""

from __future__ import annotations

import argparse
import json
import os
from collections.abc import Callable, Iterator, Sequence
from dataclasses import asdict
from pathlib import Path
from secrets import token_hex
from typing import TYPE_CHECKING, Final

from readiness.cli.commands import CommandError, Exit, command, epilog, option
from readiness.cli.context import add_full_option, open_studio, say_unread, studio_options
from readiness.cli.day import day_for
from readiness.cli.inputs import print_json, refuse
from readiness.cli.output import aside, say, watched
from readiness.cli.page_file import tell_written
from readiness.course.model import Course
from readiness.days import iso
from readiness.school.disclosure import numbers_outside, published_day
from readiness.studio.kept_files import cache_folder
from readiness.studio.load import Studio
from readiness.toml.write import Refusal, create, replace
from readiness.words.school import Report, gathered_words, left_out_words, network_words, verdicts_words

if TYPE_CHECKING:
    from readiness.cohort.columns import Unreadable
    from readiness.cohort.network import Engine, Found

CODES: Final = "network-codes.json"


@command(
    "network",
    studio_options(),
    option(
        "step", metavar="STEP", choices=("gather", "judge", "report"),
        help="gather: write this school's students as a part, under codes; judge: a table of all verdicts; "
        "report: how many are where, and what keeps them there",
    ),
    option("network", metavar="DIR", type=Path, help="the network: a folder a school"),
    option("--name", help="gather: what to call this school (default: the name of its folder)"),
    option("--codes", metavar="FILE", type=Path,
        help=f"gather: the list of codes (default: {CODES} in the studio)",
    ),
    option("--days-of-birth", action="store_true",
        help="gather: days of birth and not only months, so that a birthday counts in time",
    ),
    option("--to", metavar="FILE", type=Path, help="judge: the table to write, .csv or .parquet"),
    option("--engine", choices=("process", "dask"), help="many workers; changes no answer"),
    option("--workers", metavar="N", type=int, default=2, help="so many processes (default: 2)"),
    option("--scheduler", metavar="ADDRESS", help="a Dask cluster that runs already"),
    option(
        "--for", dest="reader", choices=("network", "third-party"), default="network",
        help="report: for a third party of the first of the month, nothing under 5",
    ),
    add_full_option,
    epilog("Exit code 2 where a part could not be counted; it is named, and hides no other."),
)
def run_network(args: argparse.Namespace) -> Exit:
    """Gather one school, or judge all of them."""
    try:
        import readiness.cohort  # noqa: F401 - whether it is there
    except ModuleNotFoundError as error:
        raise CommandError(str(error)) from None
    studio, course = open_studio(args)
    day = day_for(args, studio)
    if args.step == "gather":
        return _gather(args, studio, course)
    if args.step == "judge":
        return _judge(args, course, day)
    return _report(args, course, published_day(day) if args.reader == "third-party" else day)


# One school


def _gather(args: argparse.Namespace, studio: Studio, course: Course) -> Exit:
    from readiness.cohort.gather import gather
    from readiness.cohort.parquet import write_part

    home = studio.where.file.path.parent if studio.where.file is not None else None
    path = args.codes or (None if home is None or studio.where.is_demo else home / CODES)
    if path is None:
        raise CommandError("the list of codes has no place here; please name a file with --codes.")
    name = args.name or (home or Path.cwd()).resolve().name
    if name.startswith(".") or {"/", os.sep} & {*name}:
        raise CommandError(f'"{name}" is no name for a school: it is the name of a folder in {args.network}.')
    codes, source = _codes(path, sorted(studio.records))
    students = studio.records.values()
    columns = gather(
        name, students, course, codes.__getitem__, births_by_month=not args.days_of_birth,
        rhythm=studio.rhythm, source=source,
    )  # fmt: skip
    refuse(write_part(args.network / name, columns))
    if args.json:
        print_json({"part": str(args.network / name), "students": len(students), "codes": str(path)})
    else:
        tell_written(gathered_words(str(args.network / name), len(students), str(path)))
    return say_unread(studio, Exit.READY)


def _codes(path: Path, students: Sequence[str]) -> tuple[dict[str, str], str]:
    """Return the code of each student and the word of the school, with new ones where there were none."""
    found: dict[str, dict[str, str]] = {}

    def edit(before: bytes | None) -> bytes | Refusal:
        known = json.loads(before) if before else {}
        if not isinstance(known, dict) or not isinstance(known.get("codes", {}), dict):
            return Refusal("not-codes", f"{path} is no list of codes; nothing was written.")
        codes = {**{one: token_hex(8) for one in students}, **known.get("codes", {})}
        found.update(codes=codes, school={"source": known.get("source") or token_hex(8)})
        return json.dumps({**found["school"], "codes": codes}, ensure_ascii=False, indent=2).encode() + b"\n"

    try:
        refusal = _written(path, edit)
    except ValueError:
        raise CommandError(f"{path} is no list of codes; nothing was written.") from None
    refuse(refusal)
    return found["codes"], found["school"]["source"]


def _written(path: Path, edit: Callable[[bytes | None], bytes | Refusal]) -> Refusal | None:
    if path.exists():
        return replace(path, path.parent, edit)
    data = edit(None)
    return data if isinstance(data, Refusal) else create(path, path.parent, data)


# All schools


def _answers(args: argparse.Namespace, course: Course, day: int) -> Iterator[Found]:
    """Yield the answers of all parts; at a terminal it is said how far it is."""
    from readiness.cohort.network import judge_network, parts_in

    try:
        parts = parts_in(args.network)
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise CommandError(f"{args.network} cannot be read: {reason}.") from None
    if not parts:
        raise CommandError(f"{args.network} holds no school yet; `readiness network gather` writes one.")
    found = judge_network(parts, course, day, cache=cache_folder(os.environ), engine=_engine(args))
    yield from watched(found, len(parts), "Judging the schools")


def _engine(args: argparse.Namespace) -> Engine | None:
    from readiness.cohort.network import dask, processes

    if args.workers < 1:
        raise CommandError("--workers takes a whole number from 1 on.")
    if args.engine == "dask" or args.scheduler is not None:
        try:
            return dask(args.workers, args.scheduler)
        except ModuleNotFoundError:
            raise CommandError("the engine dask needs more packages: `pip install '.[cluster]'`.") from None
    return processes(args.workers) if args.engine == "process" else None


def _judge(args: argparse.Namespace, course: Course, day: int) -> Exit:
    from readiness.cohort.network import write_verdicts

    to: Path | None = args.to
    if to is None or to.suffix not in (".csv", ".parquet"):
        raise CommandError("judge writes a table: please name a file with --to, ending in .csv or .parquet.")
    if to.exists():
        raise CommandError(f"{to} is there already; nothing was written. Please name another file.")
    try:
        students, left_out = write_verdicts(to, _answers(args, course, day))
    except OSError as error:
        raise CommandError(f"{to} cannot be written: {(error.strerror or str(error)).lower()}.") from None
    if args.json:
        _print({"on": iso(day), "table": str(to), "students": students}, left_out)
    else:
        tell_written(verdicts_words(str(to), students))
        for words in left_out_words(left_out):
            aside(words)
    return Exit.WRONG if left_out else Exit.READY


def _report(args: argparse.Namespace, course: Course, day: int) -> Exit:
    from readiness.cohort.columns import Unreadable
    from readiness.cohort.counts import Tally, keeps_outside

    tally, left_out, parts = Tally(course), list[Unreadable](), 0
    for one in _answers(args, course, day):
        tally.add(one)
        if isinstance(one, Unreadable):
            left_out.append(one)
        else:
            parts += 1
    outside = args.reader == "third-party"
    found = numbers_outside(tally.numbers) if outside else tally.numbers
    keeps = keeps_outside(tally.keeps, course, tally.numbers.students) if outside else tally.keeps
    if args.json:
        counts = {"numbers": asdict(found), "keeps": [asdict(one) for one in keeps]}
        _print({"on": iso(day), "schools": parts, **counts}, left_out)
    else:
        report = Report(day, parts, found, keeps, left_out)
        say(network_words(report, course), full=args.full)
    return Exit.WRONG if left_out else Exit.READY


def _print(said: dict[str, object], left_out: Sequence[Unreadable]) -> None:
    named = [{"part": one.part, "id": one.id, "message": one.message} for one in left_out]
    print_json({**said, "left_out": named})
