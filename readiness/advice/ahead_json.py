"""A way, a placing round and an estimate as JSON objects, keys in a fixed order."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict

from readiness.advice.after_break import AfterBreak
from readiness.advice.as_json import FORMAT, ended_to_list, head_to_dict, start_to_dict
from readiness.advice.big_day import BigDay
from readiness.advice.birthday import Birthday, OneDay
from readiness.advice.changes import Changed, Fact
from readiness.advice.estimates import Estimate
from readiness.advice.placing.presumed import Claim
from readiness.advice.placing.round import PlacingRound
from readiness.advice.review import KeepWarm
from readiness.advice.stuck import Standstill
from readiness.advice.together import Activity, Pair
from readiness.advice.way import Way
from readiness.course.model import Course
from readiness.days import iso
from readiness.judging.answer import Answer
from readiness.record.model import HELPS
from readiness.terms import Verdict

__all__ = [
    "back_to_dict", "birthday_to_dict", "changed_to_dict", "claim_to_dict", "keep_warm_to_dict",
    "pair_to_dict", "placing_to_dict", "season_to_dict", "standstill_to_dict", "way_to_dict",
    "when_to_dict",
]  # fmt: skip


def way_to_dict(way: Way) -> dict[str, object]:
    """Return a way as plain values, ready for ``json.dumps``."""
    return {
        "format": FORMAT,
        "student": way.student,
        "on": iso(way.on),
        "band": way.band,
        "to": way.target,
        "is_unit": way.is_unit,
        "minutes": way.minutes,
        "steps": [asdict(step) for step in way.steps],
        "choices": [{**asdict(one), "of": list(one.of), "taken": list(one.taken)} for one in way.choices],
        "new_skills_per_lesson": way.begins,
        "lessons": way.lessons,
        "earliest": iso(way.earliest),
        "not_before": iso(way.not_before),
        "proof": {"proved": way.proved, "at_least_minutes": way.at_least, "sets_compared": way.compared},
    }


def placing_to_dict(now: PlacingRound) -> dict[str, object]:
    """Return a placing round as plain values.

    ``start`` is where to start, ``start_unit`` what rule R10 says from what was seen and implied alone.
    """
    result, look = now.result, now.next
    return {
        "next": None if look is None else {"skills": list(look.skills), "why": look.why},
        "stop": now.stop or None,
        "start_unit": result.start_unit,
        "patches": list(result.patches),
        "stopped_by": list(result.stopped_by),
        **start_to_dict(now),
        "probably_missing": list(now.patches),
        "raises": list(now.raises),
        "seen": list(now.seen),
        "implied": list(result.implied),
        "taken_as_there": list(now.taken),
        "provisional": result.provisional,
        "always_look_open": list(result.always_look_open),
        "always_look_never_asked": list(now.seat_unseen),
        "strands_left_alone": list(now.strands_closed),
        "looks": now.looks,
        "room": now.room,
        "whole": now.whole,
    }


def claim_to_dict(held: Claim) -> dict[str, object]:
    """Return a claim held against what was seen as plain values."""
    return {
        "claimed": held.unit,
        "may_be_missing": held.limit,
        **{name: list(skills) for name, skills in held.lists.items()},
        "by_strand": {
            strand: {name: list(skills) for name, skills in lists.items()}
            for strand, lists in held.strands.items()
        },
    }


def when_to_dict(answer: Answer, found: Sequence[Estimate]) -> dict[str, object]:
    """Return the earliest date and, marked as estimates for the teacher, what earlier cases took."""
    told = [one for one in found if answer.verdict != Verdict.PAUSED]
    return {
        "format": FORMAT,
        "student": answer.student,
        "on": iso(answer.on),
        "verdict": answer.verdict,
        "earliest": iso(answer.earliest),
        "estimates_for_the_teacher_alone": [
            {
                "skill": one.skill,
                "kind": one.kind,
                "band": one.band,
                "lessons_so_far": one.so_far,
                "number_of_cases": len(one.cases),
                "cases": None if one.is_silent else list(one.cases),
                "under_way": one.under_way,
                "lessons_from_now": None if one.low is None else [one.low, one.high],
                "usual_weeks_of_the_unit": one.usual_weeks,
            }
            for one in told
        ],
        "cautions": (["C12"] if any(one.is_silent for one in told) else []) + ["C14"],
    }


# What lies ahead or went by, as JSON objects: breaks, birthdays, changes, things for two, a big day.
#
# Keys in a fixed order, dates as written.


def back_to_dict(back: AfterBreak, ahead: KeepWarm | None, answer: Answer) -> dict[str, object]:
    """Return what a break cost as plain values."""
    return {
        **head_to_dict(answer),
        "break": back.kind,
        "days": back.days,
        "last_lesson": iso(back.last_lesson),
        "due": [
            {
                "skill": one.skill,
                "role": one.role,
                "last_seen": iso(one.last_seen),
                "window_days": one.window,
                "due_before": one.before,
                "seen_again": one.again,
            }
            for one in back.due
        ],
        "not_due": list(back.kept),
        "look_on": iso(back.look_on),
        "looks": [asdict(one) for one in back.looks],
        "later": [asdict(one) for one in back.later],
        "no_smaller_list": back.proved,
        "resting": list(back.resting),
        "review_lessons": back.lessons,
        "after_pause": ended_to_list(back.lately),
        "ahead": None if ahead is None else keep_warm_to_dict(ahead),
    }


def keep_warm_to_dict(warm: KeepWarm) -> dict[str, object]:
    """Return a keep-warm list as plain values."""
    return {
        "name": warm.ahead.name,
        "from": iso(warm.ahead.first),
        "last_lesson_before": iso(warm.ahead.lesson),
        "first_lesson_back": iso(warm.ahead.back),
        "skills": list(warm.skills),
        "fresh_thanks_to_it": [*warm.kept, *warm.kept_more],
        "deciding_thanks_to_it": list(warm.kept),
        "used": list(warm.used),
        "due_all_the_same": list(warm.due),
    }


def changed_to_dict(found: Changed, known_by: str) -> dict[str, object]:
    """Return why a verdict changed as plain values."""
    return {
        "format": FORMAT,
        "student": found.later.student,
        "since": iso(found.earlier.on),
        "on": iso(found.later.on),
        "before": found.earlier.verdict,
        "after": found.later.verdict,
        "differs": found.asked,
        "turns_looked_for_from": iso(found.followed_from),
        "turns_looked_for_to": iso(found.followed_to),
        "turns": [{"on": iso(turn.day), "verdict": turn.verdict} for turn in found.turns],
        "restoring": [list(causes) for causes in found.restoring],
        "causes": [
            {"id": one.id, "alone": one.alone, "facts": [_fact(fact) for fact in one.facts]}
            for one in found.causes
        ],
        "made_a_difference_too": [
            {"id": one.id, "verdict_without": one.answer.verdict} for one in found.beside
        ],
        "without_effect": list(found.without_effect),
        "earlier_course": known_by,
    }


def _fact(fact: Fact) -> dict[str, object]:
    plain = {
        "id": fact.kind,
        "skill": fact.skill,
        "on": iso(fact.day),
        "rule": fact.rule or None,
        "before": fact.before,
        "after": fact.after,
        "by": fact.by or None,
        "line": fact.line or None,
    }
    return {key: value for key, value in plain.items() if value is not None}


def pair_to_dict(pair: Pair, on: int, course: Course) -> dict[str, object]:
    """Return what two can do as plain values; where either stands is not in it."""
    return {
        "format": FORMAT,
        "students": list(pair.students),
        "on": iso(on),
        "grow": [_activity(one, course) for one in pair.grow],
        "known": [_activity(one, course) for one in pair.known],
        "minutes": pair.minutes,
        "rests": list(pair.rests),
    }


def _activity(activity: Activity, course: Course) -> dict[str, object]:
    text = None if activity.remedy is None else course.skill[activity.skill].remedies[activity.remedy]
    return {"skill": activity.skill, "activity": text}


def birthday_to_dict(found: Birthday | None, near: OneDay | None, answer: Answer) -> dict[str, object]:
    """Return what the next birthday that counts changes as plain values.

    ``one_day_of_age`` is the verdict of the day asked about for somebody born one day earlier or
    later, where that is another one.
    """
    return {
        **head_to_dict(answer),
        "one_day_of_age": None
        if near is None
        else {"born_one_day": near.born, "band": near.answer.band, "verdict": near.answer.verdict},
        "birthday": None
        if found is None
        else {
            "on": iso(found.day),
            "age": found.age,
            "band_before": found.old,
            "band_after": found.new,
            "verdict_before": found.change.before.verdict,
            "verdict_after": found.change.after.verdict,
            "one_day_decides": found.one_day_decides,
            "asked_for": list(found.due),
            "not_asked_for_any_more": list(found.skipped),
            "numbers": [
                {"rule": rule, "before": before, "after": after} for rule, before, after in found.numbers
            ],
        },
    }


def season_to_dict(day: BigDay, answer: Answer) -> dict[str, object]:
    """Return what comes before an event as plain values."""
    return {
        **head_to_dict(answer),
        "event": day.event.name,
        "kind": day.kind,
        "from": iso(day.event.first),
        "to": iso(day.event.last),
        "lessons_before": [iso(one) for one in day.lessons],
        "last_new": iso(day.last_new),
        "choose_from": iso(day.choose[0]),
        "choose_to": iso(day.choose[1]),
        "pieces": [{**asdict(one), "fresh_until": iso(one.fresh_until)} for one in day.pieces],
        "due_by_then": list(day.due),
        "review": list(day.review),
        "going_on": list(day.going_on),
        "waits": list(day.waits),
        "glance": list(day.glance),
        "performing": list(day.performing),
        "keep_warm": None if day.warm is None else keep_warm_to_dict(day.warm),
    }


def standstill_to_dict(found: Standstill, answer: Answer) -> dict[str, object]:
    """Return what holds other things up as plain values."""
    pace = found.pace
    return {
        **head_to_dict(answer),
        "weak": [
            {
                "skill": one.skill,
                "state": one.state,
                "decides": one.decides,
                "waiting": list(one.waiting),
                "tries": one.tries,
                "first": iso(one.first),
                "last": iso(one.last),
                "best_help_early": None if one.early is None else HELPS[one.early],
                "best_help_late": None if one.late is None else HELPS[one.late],
                "improves": one.improves,
                "stuck": one.stuck,
            }
            for one in found.weak
        ],
        "pace": None
        if pace is None
        else {
            "lessons": pace.lessons,
            "weeks_without_a_lesson": pace.without,
            "usual": pace.usual,
            "quick_below": pace.least,
            "long_above": pace.most,
            "too_few_days": list(pace.short),
        },
    }
