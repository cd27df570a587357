"""Looking ahead: ``way``, ``when``, ``season``, ``review``; and ``back``, after a break."""

from __future__ import annotations

import argparse
from dataclasses import asdict

from readiness.advice.after_break import AfterBreak, after_break
from readiness.advice.as_json import back_to_dict, season_to_dict, way_to_dict, when_to_dict
from readiness.advice.estimates import estimates
from readiness.advice.plan import event_on, events_ahead
from readiness.advice.review import (
    DAYS,
    KeepWarm,
    Review,
    break_between,
    breaks,
    keep_warm,
    near_break,
    prepare,
    review,
)
from readiness.advice.way import way_to
from readiness.cli.commands import CommandError, Exit, command, option
from readiness.cli.context import add_full_option, day_meant, meant_so_far, student_options
from readiness.cli.inputs import open_entry, refuse, respond, whole
from readiness.cli.output import aside
from readiness.course.find import find_skill, find_unit, named_skill, unit_pair
from readiness.course.model import Course
from readiness.days import iso, month_too_short, written_day
from readiness.judging.answer import Answer
from readiness.record.model import Record
from readiness.record.rhythm import Event
from readiness.studio.load import Studio
from readiness.toml.texts import did_you_mean
from readiness.words.ahead import back_sections, review_sections, season_sections, way_sections, when_sections
from readiness.words.lists import other_file_words


@command(
    "way",
    student_options(),
    option(
        "--to", metavar="SKILL|UNIT", required=True,
        help="a skill or a unit, by id, name or a beginning; a unit also by number",
    ),
    add_full_option,
)
def run_way(args: argparse.Namespace) -> Exit:
    """Print the way."""
    entry = open_entry(args, writes=False)
    course = entry.course.on(entry.on)
    way = way_to(course, entry.record, entry.on, _target(course, args.to), entry.calendar)
    return respond(args, lambda: way_to_dict(way), way_sections(way, entry.phrases()))


def _target(course: Course, typed: str) -> str:
    """Return the id of what is typed in full, else begins so; a CommandError for none or several."""
    skill, unit = named_skill(course, typed), find_unit(course, typed)
    if skill is not None or typed.strip().lower() in course.unit:
        return skill or typed.strip().lower()
    begun = find_skill(course, typed)
    if isinstance(begun, str) and isinstance(unit, str):
        both = f"the skill {begun} or the unit {unit_pair(course.unit[unit])}"
        raise CommandError(f'"{typed}" could be {both}; please type a little more.')
    if isinstance(begun, str):
        return begun
    if isinstance(unit, str):
        return unit
    refuse(one for one in (begun, unit) if one.id.startswith("ambiguous"))
    raise CommandError(f"{begun.message} Units go by number too, as in --to {len(course.units)}.")


@command("when", student_options(), add_full_option)
def run_when(args: argparse.Namespace) -> Exit:
    """Print both."""
    entry = open_entry(args, writes=False, alone=False)
    studio, answer = entry.studio, entry.answer()
    if studio.broken:
        aside(other_file_words(len(studio.broken)))
    found, p = estimates(entry.course, studio.records.values(), entry.record, answer), entry.phrases(answer)
    respond(args, lambda: when_to_dict(answer, found, p.planned_move), when_sections(found, p))
    return Exit.READY if answer.is_ready else Exit.NOT_READY


@command(
    "season",
    student_options(),
    option(
        "--event", metavar="DATE|NAME",
        help="the day, or an event of studio.toml (default: the next one there)",
    ),
    add_full_option,
)
def run_season(args: argparse.Namespace) -> Exit:
    """Tell what comes before the event and what waits."""
    entry = open_entry(args, writes=False)
    event, answer = _event(args.event, entry.studio, entry.on), entry.answer()
    day = prepare(entry.course, entry.record, answer, event)
    return respond(args, lambda: season_to_dict(day, answer), season_sections(day, entry.phrases(answer)))


def _event(typed: str | None, studio: Studio, on: int) -> Event:
    """Return the event that is meant; a CommandError where there is none, or it is past."""
    ahead = events_ahead(studio.events, on)
    if typed is None:
        if not ahead:
            raise CommandError("no event lies ahead in studio.toml. Please name a day: --event DATE")
        return ahead[0]
    low = typed.casefold()
    found = [one for one in ahead if one.name.casefold().startswith(low)]
    if not found and (day := written_day(typed, on, studio.date_order, 1)) is not None:
        if day <= on:
            raise CommandError(f"{iso(day)} is not after the day asked about, {iso(on)}.")
        return event_on(meant_so_far(day, typed, "--event", on, studio.date_order), ahead)
    if not found:
        hint = month_too_short(typed, studio.date_order) or did_you_mean(typed, [one.name for one in ahead])
        hint = hint or "--event also takes a day such as 2025-12-19"
        raise CommandError(f'no event ahead in studio.toml is called "{typed}"; {hint.rstrip(".")}.')
    return found[0]


@command(
    "review",
    student_options(),
    option("--days", metavar="N", default=str(DAYS), help=f"how far to look (default: {DAYS})"),
    add_full_option,
)
def run_review(args: argparse.Namespace) -> Exit:
    """Tell what needs a review."""
    days = whole(args.days, "--days", 1, 366, "a number")
    entry = open_entry(args, writes=False)
    course, record = entry.course, entry.record
    found = review(course, record, entry.on, days)
    away = breaks(course, record, entry.answer())
    page = review_sections(found, away, course.on(entry.on), record)
    return respond(args, lambda: _to_dict(found, away[0], record.id), page)


def _to_dict(found: Review, back: AfterBreak, student: str) -> dict[str, object]:
    return {
        "student": student,
        "on": iso(found.on),
        "until": iso(found.until + 1),  # the first day that is not looked at
        "paused": found.paused,
        "fading": [
            {**asdict(one), "last_seen": iso(one.last_seen), "fresh_until": iso(one.fresh_until)}
            for one in found.skills
        ],
        "play": list(found.play),
        "due_already": [one.skill for one in back.due if not one.again],
    }


@command(
    "back",
    student_options(),
    option(
        "--ahead", metavar=("FROM", "TO"), nargs="+",
        help="a break to come, first and last day: what to review (default: a near one in studio.toml)",
    ),
    add_full_option,
)
def run_back(args: argparse.Namespace) -> Exit:
    """Tell what is due and what comes first."""
    entry = open_entry(args, writes=False)
    course, record, answer = entry.course.on(entry.on), entry.record, entry.answer()
    back = after_break(course, record, answer)
    warm = _warm(args.ahead, entry.studio, course, record, answer)
    told = back_sections((back, warm), entry.phrases(answer))
    return respond(args, lambda: back_to_dict(back, warm, answer), told)


def _warm(
    typed: list[str] | None, studio: Studio, course: Course, record: Record, answer: Answer
) -> KeepWarm | None:
    """Return the list for the break that was typed, else for the next one of the calendar, if one is near."""
    if typed is None:
        return near_break(course, record, answer)
    if len(typed) > 2:
        raise CommandError("--ahead takes the first day away and the last one, and nothing more.")
    first, *rest = (day_meant(one, "--ahead", answer.on, studio.date_order, 1) for one in typed)
    if first <= answer.on:
        raise CommandError("--ahead is about a break to come: its first day comes after the day asked about.")
    stretches = [one for one in studio.events if one.last > one.first]
    event = next((one for one in stretches if one.first <= first <= one.last), None)
    if len(typed) == 1 and event is None:
        raise CommandError(
            f"no event in studio.toml covers {typed[0]}. Please give the last day: --ahead {typed[0]} DATE"
        )
    last = rest[0] if rest else event.last if event else first
    if last < first:
        raise CommandError("--ahead takes the first day away before the last one.")
    name = event.name if event is not None and (first, last) == (event.first, event.last) else ""
    return keep_warm(course, record, answer, break_between(record, answer, first, last, name))
