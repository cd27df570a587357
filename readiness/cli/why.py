"""``readiness why ID``: why a student moves up, or not yet.

What only one of its options asks for is imported there, so that the plain question starts quickly.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable

from readiness.cli.commands import CommandError, Exit, command, option
from readiness.cli.context import add_full_option, day_asked, student_options
from readiness.cli.inputs import open_entry, print_json, respond, sides, skill_typed
from readiness.cli.output import as_sentence, aside, say
from readiness.course.model import Course
from readiness.judging.answer import Answer
from readiness.judging.as_json import answer_to_dict, skill_to_dict
from readiness.judging.reasons import pacing_rule
from readiness.judging.what_if import SHOW, ChangeError, what_if
from readiness.record.consents import delete_by
from readiness.record.model import Record
from readiness.record.rhythm import Calendar
from readiness.studio.load import Studio
from readiness.toml.texts import did_you_mean
from readiness.words.changes import since_then
from readiness.words.lists import deletion_words, other_file_words
from readiness.words.phrases import Phrases
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
    studio, course, record, day = entry.studio, entry.course, entry.record, entry.on
    _beside(studio, course, record, day)
    plain = answer = entry.answer()
    asked: tuple[tuple[object, _Alone], ...] = (
        (args.birthday, _tell_of_birthday),
        (args.around, _tell_around),
        (args.rule, _tell_rule),
        (args.stuck, tell_stuck),
        (args.skill is not None, tell_of_skill),
    )
    alone = next((tell for is_asked, tell in asked if is_asked), None)
    if alone is not None:
        return alone(args, answer, course, record)
    values: dict[str, object] = {}
    if changes:
        answer, values = _supposed(course, record, day, changes, entry.calendar)
    if args.json:
        found = answer_to_dict(answer) | ({"if": values} if changes else {})
        print_json(found)
    elif args.reasons:
        say(reasons_outline(answer.findings, full=args.full))
    elif changes:
        from readiness.words.changes import compare_sections

        both = Phrases(plain, course, record), Phrases(answer, course, record)
        say(compare_sections(*both, values), full=args.full)
    else:
        say(why_sections(Phrases(answer, course, record)), full=args.full)
    return Exit.READY if answer.is_ready else Exit.NOT_READY


_Alone = Callable[[argparse.Namespace, Answer, Course, Record], Exit]


def _tell_of_birthday(args: argparse.Namespace, answer: Answer, course: Course, record: Record) -> Exit:
    """Answer what the next birthday changes, and whether a day of age decides now."""
    from readiness.advice.as_json import birthday_to_dict
    from readiness.advice.timeline import birthday_changes, one_day_of_age
    from readiness.words.ahead import birthday_sections

    turning = birthday_changes(course, record, answer.on, answer.calendar)
    near = one_day_of_age(course, record, answer)
    return respond(
        args,
        lambda: birthday_to_dict(turning, near, answer),
        birthday_sections(turning, near, course, record, answer.on),
    )


def _tell_rule(args: argparse.Namespace, answer: Answer, course: Course, _: Record) -> Exit:
    """Answer what one rule of the student's age says, what it does and where it comes from."""
    course = course.on(answer.on)
    band = course.band[answer.band]
    if args.rule not in band.numbers:
        hint = did_you_mean(args.rule, band.numbers) or "The names are those of pacing.toml."
        raise CommandError(f"--rule: there is no rule {args.rule}. {as_sentence(hint)}")
    say([rule_section(pacing_rule(course, band, args.rule))])
    return Exit.READY


def _tell_around(args: argparse.Namespace, answer: Answer, course: Course, record: Record) -> Exit:
    """Answer with one list: what may be left out, what was never tried, what could be started."""
    from readiness.advice.as_json import around_to_dict
    from readiness.advice.ground import around_here
    from readiness.advice.lesson import plan_lesson
    from readiness.words.asked import around_sections

    plan = plan_lesson(course, record, answer)
    found = around_here(course, record, answer, plan)
    return respond(
        args,
        lambda: around_to_dict(found, answer),
        around_sections(found, args.around, Phrases(answer, course, record)),
    )


def _beside(studio: Studio, course: Course, record: Record, day: int) -> None:
    """Say what else is to be known of the files."""
    if studio.broken:
        aside(other_file_words(len(studio.broken)))
    if due := deletion_words(record, day, delete_by(record.path)):
        aside(due)
    if then := since_then(course, day, day_asked(None, studio.today)):
        aside(then)


def _supposed(
    course: Course, record: Record, day: int, changes: dict[str, str], calendar: Calendar
) -> tuple[Answer, dict[str, object]]:
    """Return the answer with the changes of ``--if``, and the changes as values."""
    changes = {_by_id(course.on(day), name): value for name, value in changes.items()}
    try:
        return what_if(course, record, day, changes, calendar)
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


def tell_of_skill(args: argparse.Namespace, answer: Answer, course: Course, record: Record) -> Exit:
    """Answer about one skill alone; it may be typed by its name or a beginning."""
    if args.changes or args.reasons:
        raise CommandError("--skill goes with neither --if nor --reasons; please ask one thing at a time.")
    skill = skill_typed(course, args.skill)
    from readiness.advice.as_json import agreed_to_dict
    from readiness.words.asked import skill_sections

    agreed = agreed_to_dict(record.alternative(skill, answer.on))
    respond(
        args,
        lambda: skill_to_dict(answer, skill) | {"alternative": agreed},
        skill_sections(Phrases(answer, course, record), skill),
    )
    return Exit.READY if answer.is_ready else Exit.NOT_READY


def tell_stuck(args: argparse.Namespace, answer: Answer, course: Course, record: Record) -> Exit:
    """Answer what holds other things up alone."""
    if args.changes or args.reasons or args.skill is not None:
        raise CommandError(
            "--stuck goes with neither --if, --reasons nor --skill; please ask one thing at a time."
        )
    from readiness.advice.as_json import standstill_to_dict
    from readiness.advice.ground import standstill
    from readiness.words.asked import standstill_sections

    found = standstill(course, record, answer)
    respond(
        args,
        lambda: standstill_to_dict(found, answer),
        standstill_sections(found, Phrases(answer, course.on(answer.on), record)),
    )
    return Exit.READY if answer.is_ready else Exit.NOT_READY


def changes_typed(typed: list[str]) -> dict[str, str]:
    """Return the changes of ``--if`` by name.

    Raises:
        CommandError: one has no ``=``, or a name comes twice.
    """
    changes: dict[str, str] = {}
    for text in typed:
        name, value = sides(text, "--if takes NAME=VALUE, as in carry_limit=1")
        if name in changes:
            raise CommandError(f"--if changes {name} twice. Please keep one of the two.")
        changes[name] = value
    return changes
