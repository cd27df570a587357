"""Over a studio: who comes (``today``, ``pocket``), ``ask``, ``roster``, ``moderate``; over many ``network``.

Where a student file could not be read the answer lacks it. The text, the page and the JSON say so
themselves; a table stays a table, and the exit code says it for every shape.

``readiness network``: each school gathers under codes, whoever looks after all judges and counts.
"""

from __future__ import annotations

import argparse
import csv
import io
import json
import os
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import asdict, replace
from itertools import chain
from pathlib import Path
from typing import TYPE_CHECKING, Final

from readiness.advice.after_break import pain_noted
from readiness.advice.placing_round import placing_round
from readiness.cli.commands import CommandError, Exit, command, epilog, one_of, option, other_shape
from readiness.cli.context import (
    add_day_option,
    add_full_option,
    add_studio_options,
    answers_told,
    day_for,
    day_meant,
    latest_day,
    open_studio,
    print_problems,
    say_files,
    say_unread,
    studio_options,
)
from readiness.cli.inputs import (
    add_page_options,
    print_file,
    print_json,
    refuse,
    respond,
    show,
    tell_written,
    unit_typed,
    write_file,
)
from readiness.cli.output import aside, say, watched
from readiness.course.model import Course
from readiness.days import iso
from readiness.judging.engine import judge
from readiness.record.checks import odd_days
from readiness.record.consents import delete_by
from readiness.record.entries import open_promises
from readiness.record.model import HELPS, Record
from readiness.record.rhythm import WEEK
from readiness.school.counts import moderation, numbers_outside, published_day, rows_outside, there_on
from readiness.school.evening import evening, evening_to_dict, next_day
from readiness.school.questions import PROMISES, QUESTIONS, Reply, ask, ask_outside, reply_to_dict
from readiness.school.students import Judged, judge_all
from readiness.studio.kept_files import cache_folder
from readiness.studio.load import Studio
from readiness.terms import Verdict
from readiness.toml import write as writing
from readiness.toml.write import Refusal, create
from readiness.words import school
from readiness.words.cautions import ASK_FIRST, caution, may_play_but
from readiness.words.english import called, namesakes
from readiness.words.entries import overdue_words
from readiness.words.lists import deletion_words, roster_words, tell_evening
from readiness.words.placing_round import start_brief, start_words

if TYPE_CHECKING:
    from readiness.cohort.columns import Unreadable
    from readiness.cohort.network import Engine, Outcome


@command(
    "today",
    studio_options(),
    one_of(
        option("--next", action="store_true", help="the next day on which somebody comes"),
        option("--week", action="store_true", help="the seven days from that day on"),
    ),
    add_full_option,
)
def run_today(args: argparse.Namespace) -> Exit:
    """Say what is to be known of a day, of the next one with lessons, or of a week."""
    studio, course = open_studio(args)
    day = day_for(args, studio)
    judged = judge_all(course, studio.records.values(), day, studio.calendar)
    if args.next:
        found = next_day(judged, day)
        if found is None:
            raise CommandError("nobody is expected within a year; `readiness enrol` makes a new student.")
        day = found
        judged = judge_all(course, studio.records.values(), day, studio.calendar)
    told = evening(course, judged, day, day + (WEEK - 1) * args.week, studio.events, studio.term_end)
    unread = sorted(one.path.name for one in studio.broken.values())
    words = chain(school.not_known_words(unread), tell_evening(told, course, full=args.full))
    return say_unread(studio, respond(args, lambda: evening_to_dict(told), words))


@command(
    "pocket",
    option("--week", action="store_true", help="seven days, in place of one"),
    option("--names", action="store_true", help="given names in place of initials"),
    option("--to", metavar="FILE", type=Path, help="write the page to this file"),
    studio_options("the first day"),
)
def run_pocket(args: argparse.Namespace) -> Exit:
    """Print the page, or write it."""
    from readiness.pages.pocket import pocket_page, visits
    from readiness.studio.feed import codes

    studio, course = open_studio(args)
    on = day_for(args, studio)
    until = on + (WEEK - 1 if args.week else 0)
    records = list(studio.records.values())
    judged = judge_all(course, records, on, studio.calendar)
    shared = namesakes(one.name for one in records)
    by_id = {one.id: called(one.name, one.id, shared) for one in records} if args.names else codes(records)
    if args.json:
        print_json({
            "on": iso(on), "until": iso(until),
            "lessons": [
                {"on": iso(one.day), "student": by_id[one.student.record.id],
                 "may_play": one.student.answer.verdict != Verdict.PAUSED, "look": list(one.looks),
                 "one_thing": one.student.answer.one_thing,
                 "promises": len(open_promises(one.student.record, on))}
                for one in visits(course, judged, until)
            ],
        })  # fmt: skip
        return say_unread(studio, Exit.READY)
    page = pocket_page(course, judged, by_id, (on, until), names=args.names, unread=len(studio.broken))
    if args.to is None:
        print_file(page, "pocket.html")
        aside(caution("C8"))
    else:
        write_file(args.to, page, is_page=True)
    return say_unread(studio, Exit.READY)


_STARTS_A_FORMULA: Final = ("=", "+", "-", "@", "\t", "\r")


@command(
    "ask",
    studio_options(),
    option(
        "question", metavar="QUESTION", choices=(*QUESTIONS, PROMISES, "all"),
        help="paused: may not play; ready; stuck: tried often; look: look again first; due: a check is; "
        "where: students get stuck most; time: how long units take; numbers: students by verdict and unit; "
        "all: the first five, a line each; promises: what is still open",
    ),
    other_shape("--csv", action="store_true", help="a table, for spreadsheets (not with all)"),
    add_page_options,
    option(
        "--for", dest="reader", choices=("school", "third-party"), default="school",
        help="third-party: counts of the first of the month, no names, nothing under 5 (default: school)",
    ),
    option("--unit", metavar="UNIT", help="only students in this unit (not for a third party)"),
    option("--limit", metavar="N", type=int, help="at most N rows a list; says how many more"),
    add_full_option,
    epilog(
        "Exit code 2 where a student file could not be read, whatever the shape: the answer lacks that "
        "student. Text, page and JSON say so themselves; a CSV table is only a table."
    ),
)
def run_ask(args: argparse.Namespace) -> Exit:
    """Answer; files with problems come below, on the error stream, and are not counted."""
    _refuse_what_does_not_fit(args)
    studio, course = open_studio(args)
    day = day_for(args, studio)
    records = tuple(studio.records.values())
    if args.reader == "third-party":
        day = published_day(day)
        records = tuple(one for one in records if there_on(one, day))
    judged = judge_all(course, watched(records, len(records), "Judging"), day, studio.calendar)
    replies = _answers(args, course, judged, day, sorted(one.path.name for one in studio.broken.values()))
    found = [reply_to_dict(reply) for reply in replies]
    if args.json:
        print_json({"answers": found} if args.question == "all" else found[0])
    elif args.csv:
        print(_table(replies[0], found[0]["rows"]), end="")
    else:
        told = school.reply_words(replies, course, full=args.full)
        show(args, told, lambda paper: _page(replies, course, paper))
    if args.reader == "school":
        for due in (deletion_words(one, day, delete_by(one.path)) for one in records):
            if due:
                aside(due)
    return _with_problems(studio, records, day)


def _with_problems(studio: Studio, records: Iterable[Record], day: int) -> Exit:
    """Say what is wrong in any file, and which days are odd; return the code of a run over all students."""
    latest = max(day, latest_day(studio.today))
    say_files(studio.loaded)
    print_problems(problem for one in records for problem in odd_days(one, latest))
    return Exit.WRONG if studio.broken else Exit.READY


def _refuse_what_does_not_fit(args: argparse.Namespace) -> None:
    if args.csv and args.question == "all":
        raise CommandError("--csv is one table; please ask one question at a time.")
    if args.unit is not None and args.reader == "third-party":
        raise CommandError(
            "--unit is not for a third party: what one unit leaves of the whole would give small counts "
            "away. `readiness ask numbers --for third-party` has every unit that can be shown."
        )
    if args.question == PROMISES and args.reader == "third-party":
        raise CommandError("promises are not for a third party: they hold words said to families.")
    if args.limit is not None and args.limit < 1:
        raise CommandError("--limit takes a whole number from 1 on: how many rows of a list are wanted.")


def _answers(
    args: argparse.Namespace, course: Course, judged: Sequence[Judged], day: int, unread: Sequence[str]
) -> list[Reply]:
    asked = QUESTIONS if args.question == "all" else (args.question,)
    if args.reader == "third-party":
        found = [ask_outside(course, judged, day, question, unread) for question in asked]
    else:
        unit = None if args.unit is None else unit_typed(course, args.unit)
        found = [ask(course, judged, day, question, unread, unit) for question in asked]
    return [replace(one, limit=args.limit) for one in found]


def _page(replies: list[Reply], course: Course, paper: str) -> str:
    from readiness.pages.school import school_page

    try:
        return school_page(replies, course, paper)
    except ModuleNotFoundError as missing:
        needed = f"the charts of a page need {missing.name}, which is not installed"
        raise CommandError(f"{needed}: `pip install '.[charts]'`.") from None


def _table(reply: Reply, rows: object) -> str:
    """Return rows as CSV; a cell that a spreadsheet would work out is made text."""
    assert isinstance(rows, list)
    flat = [_flat(row) for row in rows]
    text = io.StringIO()
    lines = csv.writer(text, lineterminator="\n")
    lines.writerow(flat[0] if flat else reply.columns)
    lines.writerows(map(_cell, row.values()) for row in flat)
    return text.getvalue()


def _flat(row: Mapping[str, object]) -> dict[str, object]:
    """Return a row with the counts inside it as columns of their own."""
    flat: dict[str, object] = {}
    for name, value in row.items():
        flat |= value if isinstance(value, dict) else {name: value}
    return flat


def _cell(value: object) -> str:
    if isinstance(value, list):
        return "; ".join(map(str, value))
    text = "" if value is None else str(value)
    return f"'{text}" if text.startswith(_STARTS_A_FORMULA) else text


@command(
    "moderate",
    studio_options("the last day looked at"),
    option("--since", metavar="DATE", help="the first day looked at (default: all)"),
    add_full_option,
)
def run_moderate(args: argparse.Namespace) -> Exit:
    """Compare what two noted; files with problems come below, on the error stream, and are not counted."""
    studio, course = open_studio(args)
    until = day_for(args, studio)
    since = None if args.since is None else day_meant(args.since, "--since", until, studio.date_order, -1)
    found = moderation(course, studio.records.values(), since, until)
    unread = sorted(one.path.name for one in studio.broken.values())
    respond(args, lambda: {
        "since": iso(since), "on": iso(until), "checks": found.checks, "days": found.days,
        "pairs": found.pairs, "agreed": found.agreed, "kappa": found.kappa,
        "weighted_kappa": found.weighted, "too_few": found.too_few,
        "unread": len(unread), "unread_files": unread,
        "criteria": [{
            "skill": one.skill, "checks": one.checks, "days": one.days, "pairs": one.pairs,
            "agreed": one.agreed, "one_apart": one.one_apart, "too_few": one.too_few,
            "levels": [[HELPS[less], HELPS[more], times] for (less, more), times in one.levels],
        } for one in found.criteria],
    }, school.moderation_words(found, course, unread))  # fmt: skip
    return _with_problems(studio, (), until)


def _reminders(record: Record, day: int) -> Iterator[str]:
    """Yield what is to be known of a student beside the answer; an empty text is nothing."""
    yield rests + "." if (rests := may_play_but(hold.part for hold in record.resting(day))) else ""
    yield f"{ASK_FIRST}." if pain_noted(record, day) else ""
    yield overdue_words(record, day)
    yield deletion_words(record, day, delete_by(record.path))


@command(
    "roster",
    add_day_option,
    option("--json", action="store_true", help="one JSON object a line, as `why --json` has it"),
    add_full_option,
    add_studio_options,
)
def run_roster(args: argparse.Namespace) -> Exit:
    """List the students; files with problems come below, on the error stream."""
    studio, course = open_studio(args)
    day = day_for(args, studio)
    records = watched(studio.records.values(), len(studio.records), "Judging")
    if args.json:
        for told, _ in answers_told(studio, records, day):
            print(told)
    else:
        answers = [judge(course, record, day, studio.calendar(record.id)) for record in records]
        reminders = {one.id: tuple(filter(None, _reminders(one, day))) for one in studio.records.values()}
        unplaced = (one.student for one in answers if one.verdict == Verdict.NOT_PLACED)
        rounds = {one: placing_round(course, studio.records[one], day) for one in unplaced}
        starts = {one: (start_brief(now, course), start_words(now, course)) for one, now in rounds.items()}
        listed = roster_words(answers, course, reminders, len(studio.broken), starts, full=args.full)
        say(listed, full=args.full)
    return _with_problems(studio, studio.records.values(), day)


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
    from readiness.cohort.columns import write_part
    from readiness.cohort.gather import gather

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
    part, many = args.network / name, len(students)
    refuse(write_part(part, columns))
    told = school.gathered_words(str(part), many, str(path))
    values = {"part": str(part), "students": many, "codes": str(path)}
    return say_unread(studio, respond(args, lambda: values, [told]))


def _codes(path: Path, students: Sequence[str]) -> tuple[dict[str, str], str]:
    """Return the code of each student and the word of the school, with new ones where there were none."""
    from secrets import token_hex

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
        return writing.replace(path, path.parent, edit)
    data = edit(None)
    return data if isinstance(data, Refusal) else create(path, path.parent, data)


# All schools


def _judged(args: argparse.Namespace, course: Course, day: int) -> Iterator[Outcome]:
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
        students, left_out = write_verdicts(to, _judged(args, course, day))
    except OSError as error:
        raise CommandError(f"{to} cannot be written: {(error.strerror or str(error)).lower()}.") from None
    if args.json:
        _print({"on": iso(day), "table": str(to), "students": students}, left_out)
    else:
        tell_written(school.verdicts_words(str(to), students))
        for words in school.left_out_words(left_out):
            aside(words)
    return Exit.WRONG if left_out else Exit.READY


def _report(args: argparse.Namespace, course: Course, day: int) -> Exit:
    from readiness.cohort.columns import Unreadable
    from readiness.cohort.network import Tally

    tally, left_out, parts = Tally(course), list[Unreadable](), 0
    for one in _judged(args, course, day):
        tally.add(one)
        if isinstance(one, Unreadable):
            left_out.append(one)
        else:
            parts += 1
    outside = args.reader == "third-party"
    found = numbers_outside(tally.numbers) if outside else tally.numbers
    keeps = rows_outside(tally.keeps, course, tally.numbers.students) if outside else tally.keeps
    if args.json:
        counts = {"numbers": asdict(found), "keeps": [asdict(one) for one in keeps]}
        _print({"on": iso(day), "schools": parts, **counts}, left_out)
    else:
        told = school.network_words(found, keeps, parts, course, day, () if outside else left_out)
        say(told, full=args.full)
    return Exit.WRONG if left_out else Exit.READY


def _print(said: dict[str, object], left_out: Sequence[Unreadable]) -> None:
    named = [{"part": one.part, "id": one.id, "message": one.message} for one in left_out]
    print_json({**said, "left_out": named})
