"""Beside lessons: ``decide``, ``pause``, ``resume``, ``task``, ``promise``; and ``undo``."""

from __future__ import annotations

import argparse
import re
from contextlib import suppress
from dataclasses import asdict, replace
from pathlib import Path

from readiness.advice.after_break import closed_lately, pain_noted, tasks_now
from readiness.advice.as_json import ended_to_list
from readiness.advice.ground import decision_on, unit_begun
from readiness.advice.skill_traits import days_freed
from readiness.cli.commands import CommandError, Exit, command, option, other_shape
from readiness.cli.context import day_for, day_meant, open_studio, print_problems, student_options
from readiness.cli.inputs import (
    Entry,
    each,
    find_care,
    never_the_demo,
    open_entry,
    print_json,
    refuse,
    respond,
    skill_typed,
    unit_typed,
    whole,
    write_file,
)
from readiness.cli.keys import Keys, ask_first, is_terminal
from readiness.cli.output import as_sentence, aside, say
from readiness.days import iso
from readiness.pages.document import PAPERS
from readiness.record.checks import why_no_adult
from readiness.record.consents import is_of_age
from readiness.record.entries import (
    TASK_DAYS,
    TASK_MINUTES,
    Practice,
    answer_promise,
    close_hold,
    decide,
    give_promise,
    give_task,
    open_hold,
    open_promises,
    open_tasks,
    practice_on,
    report_task,
)
from readiness.record.model import Hold, Promise, Record, Task
from readiness.record.noting import odd_letters
from readiness.record.rhythm import WEEK
from readiness.record.undo import first_day, import_token, last_entry, take_back, take_import_back
from readiness.terms import Verdict
from readiness.toml.texts import composed, did_you_mean
from readiness.toml.write import Refusal
from readiness.words import entries as entry_words
from readiness.words.cautions import ASK_FIRST, ended_lines, forbids_playing, if_it_hurts, resume_question
from readiness.words.grammar import listed, tidy
from readiness.words.importing import import_undone_words
from readiness.words.layout import Parts
from readiness.words.lists import no_hold_words, undo_words
from readiness.words.noting import undone_words
from readiness.words.phrases import passed_over


def _with_option(refusal: Refusal | None, student: str) -> Refusal | None:
    """Return a refusal that says by which option what it asks for is given."""
    reason = dict.fromkeys(("no-reason", "begun-already", "moved-already"), '--reason "..."')
    resume = f"`readiness resume {student} --by NAME --words WORDS`"
    options = {**reason, "which-hold": "--part", "on-hold": resume}
    if refusal is None or refusal.id not in options:
        return refusal
    return replace(refusal, message=f"{refusal.message.removesuffix('.')} with {options[refusal.id]}.")


@command(
    "decide",
    student_options("the day of the decision"),
    option("decided", metavar="WHAT", choices=["move", "stay"], help="move to the next unit, or stay"),
    option("--reason", metavar="WORDS", default="", help="why; asked for where you differ"),
    option("--until", metavar="DATE", help="the last day of a stay (default: for four lessons)"),
    option("--by", metavar="INITIALS", default="", help="who decided; kept with the reason"),
    option("--unit", metavar="UNIT", help="the starting unit, before the lessons in it"),
)
def run_decide(args: argparse.Namespace) -> Exit:
    """Keep the decision; with a move the next unit begins that day."""
    entry = open_entry(args)
    entry.check_day()
    answer = entry.answer()
    if args.unit is not None:
        entry.refuse_begun(answer)
    chosen = None if args.unit is None else unit_typed(entry.course, args.unit)
    starts = unit_begun(entry.course, entry.record, answer, chosen)
    reason = args.reason.strip() + (f" ({args.by.strip()})" if args.by.strip() else "")
    refuse(odd_letters(reason))
    given = reason if args.reason.strip() else ""
    until = _until(args, entry)
    decision = decision_on(entry.course, entry.record, answer, args.decided, given, chosen, until)
    refusal = _with_option(decide(entry.record, entry.folder, decision, starts), entry.record.id)
    if refusal is not None and refusal.id == "no-reason" and args.decided == "move":
        over = passed_over(entry.course, entry.record, entry.on)
        ended = ended_lines(entry.course, entry.record, entry.on)
        refusal = replace(refusal, message=" ".join((f"{refusal.message}{over}", *ended)))
    record = entry.written(refusal)
    begun = starts if args.decided == "move" else None
    return respond(args, lambda: {
        "student": record.id,
        "on": iso(entry.on),
        "unit": decision.unit,
        "computed": answer.verdict,
        "decided": args.decided,
        "until": iso(decision.until),
        "reason": decision.reason,
        "begins": begun,
        "line": record.decisions[-1].line,
        "after_pause": ended_to_list(closed_lately(entry.course, record, entry.on)),
    }, entry_words.decided_words(entry.phrases(answer, record), args.decided, begun, until))  # fmt: skip


def _until(args: argparse.Namespace, entry: Entry) -> int | None:
    if args.until is None:
        return None
    if args.decided != "stay":
        raise CommandError("--until is the last day of a stay; a move has none.")
    until = day_meant(args.until, "--until", entry.on, entry.studio.date_order, 1)
    if until < entry.on:
        raise CommandError(f"{iso(until)} is before the decision, on {iso(entry.on)}.")
    return until


# ``readiness pause ID``: somebody said that something hurts. Ten seconds, and nothing else matters.
#
# So no course is read, and no mistake in any file hinders it; and where the hold cannot be kept
# after all, what comes first is said all the same.


@command(
    "pause",
    student_options("the day it was said"),
    option("loose", metavar="WORDS", nargs="*", help="what was said, in the words it was said in"),
    option("--words", metavar="WORDS", help=argparse.SUPPRESS),
    option(
        "--part", choices=["hand", "voice", "all"], default="all", help="what rests (default: everything)"
    ),
)
def run_pause(args: argparse.Namespace) -> Exit:
    """Open the hold and say what comes first."""
    args.words, refusal, of_age = " ".join(args.loose) or args.words or "", None, False
    try:
        care = find_care(args)
        args.student, of_age = care.record.id, is_of_age(care.record, care.on)
        if not args.words.strip() and is_terminal():
            args.words = Keys().line(entry_words.WHAT_WAS_SAID) or ""
        refuse(odd_letters(args.words))
        print_problems(care.problems)
        refusal = open_hold(care.record, care.folder, care.on, args.words.strip(), args.part)
        refuse(refusal)
    except CommandError as error:
        told = entry_words.unpaused_words(str(error), refusal, args.student, of_age=of_age)
        raise CommandError(told) from None
    record = care.again()
    hold = record.holds[-1] if record.holds else Hold(care.on, args.words.strip(), args.part)
    if not care.problems and args.part != "all":
        with suppress(CommandError):  # a course that can be read says whether another one goes on
            record = open_entry(args, writes=False).record
    respond(args, lambda: {
        "student": record.id, "on": iso(care.on), "part": hold.part, "words": hold.words,
        "line": hold.line, "cautions": ["C1"],
    }, entry_words.paused_words(record, hold))  # fmt: skip
    if care.problems:
        aside(entry_words.KEPT_IN_BROKEN.format(record.file))
    return Exit.READY


@command(
    "resume",
    student_options("the day it ended"),
    option("--by", metavar="NAME", required=True, help="the adult who ends it"),
    option("--words", metavar="WORDS", required=True, help="in a few words, after what advice"),
    option("--part", choices=["hand", "voice", "all"], help="which pause, of several"),
    option("--yes", action="store_true", help="the words allow playing; needed where they seem not to"),
)
def run_resume(args: argparse.Namespace) -> Exit:
    """Close the hold and say how to begin again; where the words seem to forbid it, once somebody insists."""
    entry = open_entry(args)
    entry.check_day()
    refuse(odd_letters(args.by, args.words))
    were_open = [i for i, hold in enumerate(entry.record.entire.holds) if hold.is_open(entry.on)]
    if were_open and not args.yes and not is_terminal() and forbids_playing(args.words):
        part = f" --part {args.part}" if args.part else ""
        raise CommandError(entry_words.not_resumed_words(entry.record, entry.on, args.by, args.words, part))
    if were_open and is_terminal() and not args.yes:
        stays = f"the pause stays. To keep the words: `readiness note {entry.record.id} --text WORDS`"
        ask_first(resume_question(entry.record, args.words), "Type yes or no: ", stays)
    refusal = close_hold(
        entry.record, entry.folder, entry.on, args.by.strip(), args.words.strip(), args.part or ""
    )
    if refusal is not None and refusal.id == "no-hold":
        raise CommandError(no_hold_words(entry.record, entry.on, args.part or ""))
    record = entry.written(_with_option(refusal, entry.record.id))
    holds = record.entire.holds
    closed = next(holds[i] for i in were_open if not holds[i].is_open(entry.on))
    still = [hold for hold in holds if hold.is_open(entry.on)]
    freed = days_freed(entry.course, entry.record, record)
    return respond(args, lambda: {
        "student": record.id, "on": iso(entry.on), "part": closed.part, "by": closed.closed_by,
        "words": closed.closed_words, "line": closed.line, "still_open": [hold.part for hold in still],
        "counts_now": [iso(day) for day in freed],
    }, entry_words.resumed_words(record, closed, still, freed))  # fmt: skip


@command(
    "task",
    student_options("the day it is given, or the day listed"),
    other_shape("--to", metavar="FILE", type=Path, help="write a page of the week for the fridge"),
    option("--no-name", action="store_true", help="leave the name off the page"),
    option("--paper", choices=list(PAPERS), default="a4", help="its paper (default: a4)"),
    option("--give", metavar="SKILL", help="give a task, with --text, --minutes and --days"),
    option("--text", metavar="WORDS", default="", help="what is done at home"),
    option("--minutes", metavar="N", help="minutes a day"),
    option("--report", metavar="NUMBER", help="note the report about a task, with --days"),
    option("--days", metavar="N", help="days planned (--give) or done (--report)"),
    option("--words", metavar="WORDS", default="", help="what was said about it"),
    option("loose", metavar="REPORT", nargs="*", help="the report of the week in one line: 5 days fine"),
)
def run_task(args: argparse.Namespace) -> Exit:
    """List, give or report."""
    if args.loose:
        entry = open_entry(args)
        tasks, hurt = entry.record.entire.tasks, if_it_hurts(entry.record, entry.on, " ".join(args.loose))
        said = re.fullmatch(
            r"(\d{1,3}|no) ?(?:days?|times?|x)?\b[ ,;:.]*(.*)", " ".join(args.loose), re.DOTALL
        )
        still = [number for number, task in enumerate(tasks, 1) if task.days_reported is None]
        if said is None:
            typed = tidy(" ".join(args.loose))
            told = f'a report is a number of days and a few words, not "{typed}", as in'
            raise CommandError(f"{told} `readiness task {args.student} 5 days fine`. {hurt}".strip())
        if not still:
            told = f"no task waits for a report; `readiness task {args.student}` lists them."
            raise CommandError(f"{told} {hurt}".strip())
        args.report, args.days, args.words = str(still[-1]), said[1].replace("no", "0"), said[2]
    if args.to is not None:
        return _to_the_fridge(args, open_entry(args, writes=False))
    gives, reports = args.give is not None, args.report is not None
    if gives and reports:
        raise CommandError("--give and --report are two steps; please take one after the other.")
    if not (gives or reports) and (args.text or args.minutes or args.days or args.words):
        raise CommandError("--text, --minutes, --days and --words go with --give SKILL or --report NUMBER.")
    entry = open_entry(args, writes=gives or reports)
    if gives:
        return _give(args, entry)
    return _report(args, entry) if reports else _list(args, entry)


def _to_the_fridge(args: argparse.Namespace, entry: Entry) -> Exit:
    """Write the open tasks of the last two weeks as a page to tick; none while a hold is open."""
    from readiness.course.translated import Names, names_in
    from readiness.pages.sheets import fridge_page
    from readiness.words.letters import IN, draft_words, language_of, task_in

    if entry.record.open_holds(entry.on):
        raise CommandError(f"{entry.record.name} is paused, so there is no page with things to play.")
    now, since = tasks_now(entry.course, entry.record, entry.on), entry.on - 2 * WEEK
    found = [task for _, task in open_tasks(entry.record, entry.on) if task.given > since and task in now]
    hurts = pain_noted(entry.record, entry.on)
    if not found:
        ask = f" without playing. {ASK_FIRST}. {if_it_hurts(entry.record, entry.on, *hurts)}"
        none = f"{entry.record.name} has no open task of these two weeks"
        raise CommandError(f"{none}{ask if hurts else '; --give gives one.'}")
    ended = [hold.closed_words for hold in closed_lately(entry.course, entry.record, entry.on)]
    code, name = language_of(entry.record), "" if args.no_name else entry.record.name
    names = Names() if code == "en" else names_in(entry.course, code)
    tasks, is_signed = [task_in(task, entry.course, names) for task in found], bool(names.reviewed_by)
    spoken = [IN[one] for one in dict.fromkeys((code, code if is_signed else "en"))]
    first = [one.ended_words(ended) for one in spoken if ended]
    first += [one.ask_first for one in spoken] if hurts else []
    write_file(args.to, fridge_page(tasks, entry.on, spoken, code, name, args.paper, first), is_page=True)
    for words in draft_words(code, names):
        aside(words)
    return Exit.READY


def _give(args: argparse.Namespace, entry: Entry) -> Exit:
    needed = {"--text WORDS": args.text.strip(), "--minutes N a day": args.minutes, "--days N": args.days}
    if missing := [one for one, typed in needed.items() if not typed]:
        raise CommandError(f"--give takes also {listed(missing)}.")
    entry.check_day()
    answer, text = entry.answer(), args.text.strip()
    skill, minutes, days = each(
        lambda: skill_typed(entry.course, args.give, (*answer.deciding, *answer.rest)),
        lambda: whole(args.minutes, "--minutes", TASK_MINUTES[0], TASK_MINUTES[-1]),
        lambda: whole(args.days, "--days", TASK_DAYS[0], TASK_DAYS[-1]),
    )
    refuse(odd_letters(args.text))
    refusal = give_task(entry.record, entry.folder, entry.on, skill, text, minutes, days)
    record = entry.written(_with_option(refusal, entry.record.id))
    practice = practice_on(record.tasks, entry.course.band[answer.band], entry.on)
    tasks = record.entire.tasks
    return respond(args, lambda: {
        "student": record.id, "on": iso(entry.on), "task": _plain(len(tasks), tasks[-1]),
        "practice": _sums(practice), "cautions": ["C4"] if practice.too_much else [],
    }, entry_words.task_words(entry.phrases(answer, record), practice))  # fmt: skip


def _report(args: argparse.Namespace, entry: Entry) -> Exit:
    if args.days is None:
        raise CommandError("--report takes also --days: on how many days it was done.")
    number, days = whole(args.report, "--report", 1, 9999), whole(args.days, "--days", 0, 366)
    refuse(odd_letters(args.words))
    record = entry.written(report_task(entry.record, entry.folder, number, days, args.words.strip()))
    return respond(
        args,
        lambda: {"student": record.id, "task": _plain(number, record.entire.tasks[number - 1])},
        entry_words.reported_words(record, entry.on, number),
    )


def _list(args: argparse.Namespace, entry: Entry) -> Exit:
    """List the tasks; none while a hold is open."""
    answer, record = entry.answer(), entry.record
    practice = practice_on(record.tasks, entry.course.band[answer.band], entry.on)
    paused = answer.verdict == Verdict.PAUSED
    tasks = [
        _plain(i, task) for i, task in enumerate(record.entire.tasks, 1)
        if task in record.tasks and task.given <= entry.on and not paused
    ]  # fmt: skip
    return respond(args, lambda: {
        "student": record.id, "on": iso(entry.on), "paused": paused, "tasks": tasks,
        "practice": None if paused else _sums(practice),
        "cautions": ["C1"] if paused else ["C4"] if practice.too_much else [],
    }, entry_words.task_list_words(entry.phrases(answer), practice))  # fmt: skip


def _plain(number: int, task: Task) -> dict[str, object]:
    return {"number": number, **asdict(task), "given": iso(task.given)}


def _sums(practice: Practice) -> dict[str, object]:
    return {
        "minutes_day": practice.minutes_day, "usual": list(practice.usual),
        "minutes_week": practice.minutes_week, "week_before": practice.week_before,
        "too_much": list(practice.too_much),
    }  # fmt: skip


@command(
    "promise",
    student_options("the day it is given or answered, or the day listed", may_leave_out=True),
    option("--family", metavar="NAME", help="list those about all of a family, in place of ID"),
    option("--give", metavar="WORDS", help="what is promised, with --to"),
    option("--to", metavar="WHOM", default="", help="to whom"),
    option("--due", metavar="DATE", help="until when"),
    option("--answer", metavar="NUMBER", help="mark a promise as answered"),
    option("--words", metavar="WORDS", default="", help="what was answered"),
)
def run_promise(args: argparse.Namespace) -> Exit:
    """List, give or answer."""
    gives, answers = args.give is not None, args.answer is not None
    if gives and answers:
        raise CommandError("--give and --answer are two steps; please take one after the other.")
    if not gives and (args.to or args.due):
        raise CommandError('--to and --due go with --give "what is promised".')
    if not answers and args.words:
        raise CommandError("--words goes with --answer NUMBER.")
    if args.family is not None:
        return _family(args)
    if args.student is None:
        raise CommandError("please say whose promises: a student's id, or --family NAME.")
    entry = open_entry(args, writes=gives or answers)
    if gives:
        return _give_promise(args, entry)
    return _answer(args, entry) if answers else _list_promises(args, entry)


def _give_promise(args: argparse.Namespace, entry: Entry) -> Exit:
    entry.check_day()
    lacking = Refusal("no-words", "please say with --to to whom it was promised.")
    _, due = each(
        lambda: refuse(None if args.to.strip() else lacking),
        lambda: args.due and day_meant(args.due, "--due", entry.on, entry.studio.date_order, 1),
    )
    refuse(odd_letters(args.give, args.to))
    to, text = args.to.strip(), args.give.strip()
    record = entry.written(give_promise(entry.record, entry.folder, entry.on, to, text, due))
    last = len(record.promises)
    return _tell_promise(args, record, last, entry.on, entry_words.promised_words(record, entry.on))


def _answer(args: argparse.Namespace, entry: Entry) -> Exit:
    entry.check_day()
    number = whole(args.answer, "--answer", 1, 9999)
    refuse(odd_letters(args.words))
    record = entry.written(answer_promise(entry.record, entry.folder, number, entry.on, args.words.strip()))
    return _tell_promise(args, record, number, entry.on, entry_words.answered_words(record, entry.on, number))


def _tell_promise(args: argparse.Namespace, record: Record, number: int, day: int, words: Parts) -> Exit:
    promise = _plain_promise(number, record.promises[number - 1], day)
    return respond(args, lambda: {"student": record.id, "promise": promise}, words)


def _list_promises(args: argparse.Namespace, entry: Entry) -> Exit:
    record = entry.record
    found = [_plain_promise(number, one, entry.on) for number, one in open_promises(record, entry.on)]
    told = entry_words.promise_list_words(record, entry.on)
    return respond(args, lambda: {"student": record.id, "on": iso(entry.on), "open": found}, told)


def _family(args: argparse.Namespace) -> Exit:
    """List what was promised about brothers and sisters, what was answered too."""
    if args.student is not None or args.give is not None or args.answer is not None:
        raise CommandError("--family only lists; please name one student to give or answer a promise.")
    studio, _ = open_studio(args)
    day = day_for(args, studio)
    wanted = composed(args.family.strip()).casefold()
    family = [one for one in studio.records.values() if one.family and one.family.casefold() == wanted]
    if not family:
        known = sorted({one.family for one in studio.records.values() if one.family})
        hint = as_sentence(did_you_mean(args.family, known), "See the line family = in the student files.")
        raise CommandError(f'no student has the family "{args.family}". {hint}')
    found = {
        one.id: [_plain_promise(i, p, day) for i, p in enumerate(one.promises, 1) if p.given <= day]
        for one in family
    }
    told = entry_words.family_promise_words(family, day)
    return respond(args, lambda: {"family": args.family, "on": iso(day), "promises": found}, told)


def _plain_promise(number: int, promise: Promise, day: int) -> dict[str, object]:
    return {
        "number": number, "given": iso(promise.given), "to": promise.to, "text": promise.text,
        "due": iso(promise.due),
        "overdue": promise.answered is None and promise.due is not None and promise.due < day,
        "answered": iso(promise.answered), "answer": promise.answer, "line": promise.line,
    }  # fmt: skip


@command(
    "undo",
    option("--by", metavar="NAME", default="", help="of a pause: the adult who says that it was a mistake"),
    option("--why", metavar="WORDS", default="", help="of a pause: why; both are kept in the file"),
    option("--import", dest="token", metavar="MARK", help="all that one import brought"),
    student_options("the day on which the verdict is compared", may_leave_out=True),
)
def run_undo(args: argparse.Namespace) -> Exit:
    """Take the last entry back and show it; of an import all that it brought."""
    if args.token:
        return _undo_import(args, args.token)
    if args.student is None:
        own = next(iter(open_studio(args)[0].records), "ID")
        raise CommandError(f"please say whose last note is taken back, as in `readiness undo {own}`.")
    entry = open_entry(args)
    if token := import_token(entry.path):
        return _undo_import(args, token, entry.record.id)
    taken = take_back(entry.path, entry.folder, mistake=_mistake(args, entry))
    if isinstance(taken, Refusal):
        by_hand = taken.id in ("nothing-to-undo", "changed-since")
        raise CommandError(undo_words(taken.message, entry.record, entry.path) if by_hand else taken.message)
    record = entry.again()
    if args.on is None:
        entry = replace(entry, on=first_day(taken) or entry.on)
    before, after = entry.answer(), entry.answer(record)
    return respond(args, lambda: {
        "student": record.id,
        "on": iso(entry.on),
        "taken_back": taken,
        "verdict_before": before.verdict,
        "verdict": after.verdict,
    }, undone_words(before, entry.phrases(after, record), taken))  # fmt: skip


def _mistake(args: argparse.Namespace, entry: Entry) -> str:
    """Return who says why a pause of today or yesterday was a mistake; nothing where nobody says so."""
    if not args.by and not args.why:
        return ""
    by, why, today = args.by.strip(), args.why.strip(), entry.today
    refuse(odd_letters(by, why))
    adult = why_no_adult(by, entry.record.name, entry.record.born, today)
    adult = adult if by else "please say with --by which adult says that it was a mistake"
    wrong = (adult, "" if why else "please say with --why why the pause was a mistake")
    refuse(Refusal("mistake", f"{one}.") for one in wrong if one)
    found = last_entry(entry.path)
    opened = None if isinstance(found, Refusal) or found[1] != {"hold"} else first_day(found[0])
    if opened is None or not today - 1 <= opened <= today:
        told = "--by and --why take out a pause of today or yesterday that was noted last"
        raise CommandError(f"{told}; an older one is ended: `readiness resume {entry.record.id}`.")
    return f"says {by} on {iso(today)}: {why}"


def _undo_import(args: argparse.Namespace, token: str, last: str = "") -> Exit:
    """Take back what an import brought, in all files, and say what of it stays."""
    studio, _ = open_studio(args)
    never_the_demo(studio.where, args)
    folder = studio.where.students
    assert folder is not None
    found = take_import_back(folder, token, last) if re.fullmatch("[0-9a-f]{8}", token) else {}
    if not found:
        raise CommandError(f'nothing stands in any file of an import "{token}".')
    taken = {student: count for student, (count, *_) in found.items() if count}
    left = {student: why.message for student, (*_, why) in found.items() if why is not None}
    records = open_studio(args)[0].records
    bare = [one for one in taken if one in records and not records[one].lessons]
    if args.json:
        print_json({"import": token, "taken_back": taken, "stays": left, "no_note_now": bare})
    elif taken:
        say(import_undone_words(found, bare))
    refuse(Refusal("stays", f"{student}: {why}") for student, why in left.items())
    return Exit.READY
