"""What is worked out before a lesson as JSON objects: a sheet, a plan, a way, a placing round, an estimate.

Keys in a fixed order, dates as written.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import asdict

from readiness.advice.after_break import AfterBreak
from readiness.advice.changes import Changed, Fact
from readiness.advice.estimates import Estimate
from readiness.advice.ground import AroundHere, Claim, Standstill
from readiness.advice.handover import Activity, Handover, Pair
from readiness.advice.placing_round import PlacingRound
from readiness.advice.plan import Later, LessonPlan, PlanBlock
from readiness.advice.review import BigDay, KeepWarm
from readiness.advice.sheet import CheckSheet
from readiness.advice.timeline import Birthday, OneDay
from readiness.advice.way import Way
from readiness.course.model import Course
from readiness.days import iso
from readiness.judging.answer import Answer
from readiness.judging.as_json import FORMAT, beside_to_dict
from readiness.lazy import fields_of
from readiness.record.consents import Sharing, kept_to_dict
from readiness.record.model import HELPS, Alternative, Hold, Said
from readiness.terms import Verdict

__all__ = [
    "agreed_to_dict", "around_to_dict", "back_to_dict", "birthday_to_dict", "changed_to_dict",
    "claim_to_dict", "ended_to_list", "handover_to_dict", "head_to_dict", "keep_warm_to_dict",
    "pair_to_dict", "placing_to_dict", "plan_to_dict", "said_to_list", "season_to_dict", "sheet_to_dict",
    "standstill_to_dict", "start_to_dict", "way_to_dict", "when_to_dict",
]  # fmt: skip


def sheet_to_dict(sheet: CheckSheet, answer: Answer) -> dict[str, object]:
    """Return a sheet as plain values, ready for ``json.dumps``."""
    return {
        **head_to_dict(answer),
        **({} if sheet.placing is None else start_to_dict(sheet.placing)),
        "minutes": sheet.minutes,
        "most_items": sheet.most_items,
        "proved": sheet.proved,
        "items": [{**asdict(one), "skills": list(one.skills)} for one in sheet.items],
        "left_out": [{"skill": one.skill, "why": one.why, "by": one.by or None} for one in sheet.left_out],
        "instrument": asdict(sheet.instrument),
        "remarks": said_to_list(sheet.said),
        "after_pause": ended_to_list(sheet.lately),
        "cautions": list(sheet.cautions),
    }


def start_to_dict(now: PlacingRound) -> dict[str, object]:
    """Return where a student who is not placed starts so far, and how early and how late it may be."""
    range_ = {"as_early_as": now.fits[0], "as_late_as": now.fits[-1]}
    return {"start": now.start, **range_, "clear_enough_to_tell": now.is_clear}


def plan_to_dict(plan: LessonPlan, answer: Answer) -> dict[str, object]:
    """Return a plan as plain values, ready for ``json.dumps``."""
    season = plan.season
    return {
        **head_to_dict(answer),
        "lesson_on": iso(plan.on),
        "minutes": plan.minutes,
        "proved": plan.proved,
        "review_minutes": plan.review,
        "review_wanted": plan.review_wanted,
        "first_lesson": plan.is_first,
        "first_lesson_back": plan.is_first_back,
        "season": None if season is None else {**asdict(season), "first": iso(season.first)},
        "blocks": [_block(block) for block in plan.blocks],
        "remarks": said_to_list(plan.said),
        "after_pause": ended_to_list(plan.lately),
        "begun": list(plan.begun),
        "look_first": list(plan.look_first),
        "looks": list(plan.looks),
        "probably_there": list(plan.presumed),
        "outer_edge": list(plan.outer_edge),
        **{
            name: [{"skill": one.skill, "why": one.why, "by": one.by or None} for one in found]
            for name, found in (("not_begun", plan.not_begun), ("from_before", plan.from_before))
        },
        "later": _later(plan.later),
        "too_much": list(plan.too_much),
        "cautions": list(plan.cautions),
    }


def around_to_dict(found: AroundHere, answer: Answer) -> dict[str, object]:
    """Return what lies around a student as plain values, for an optional skill the band it comes back in."""
    pairs = {"optional": dict(found.optional), "shared": dict(found.shared)}
    rests = [{"part": part, "since": iso(since)} for part, since in found.rests]
    return {**head_to_dict(answer), **asdict(found), **pairs, "rests": rests}


def head_to_dict(answer: Answer) -> dict[str, object]:
    """Return whom and which day it is about and where that student stands, to come before all else."""
    return {
        "format": FORMAT,
        "student": answer.student,
        "on": iso(answer.on),
        "band": answer.band,
        "unit": answer.unit,
        "verdict": answer.verdict,
        **beside_to_dict(answer),
    }


def agreed_to_dict(agreed: Alternative | None) -> dict[str, object] | None:
    """Return another way of showing a skill that was agreed on, as plain values; None for none."""
    return None if agreed is None else kept_to_dict(agreed)


def said_to_list(said: Iterable[Said]) -> list[dict[str, object]]:
    """Return the latest remarks as plain values."""
    return [
        {"skill": one.skill, "on": iso(one.on), "text": one.text, "tried_again": one.again or None}
        for one in said
    ]


def ended_to_list(lately: Iterable[Hold]) -> list[dict[str, object]]:
    """Return the pauses that a student still comes back from, with what the adult said who ended each."""
    return [{"closed": iso(one.closed), "words": one.closed_words} for one in lately]


def _block(block: PlanBlock) -> dict[str, object]:
    return {
        "part": block.part,
        "minutes": block.minutes,
        "skills": list(block.skills),
        "why": block.why,
        "review": block.is_review,
        "begins": block.begins,
        "remedy": None if block.remedy is None else block.remedy + 1,
        "quiet": block.quiet,
        "hard": block.hard,
        "pause_before": block.pause_before,
    }


def _later(later: Later | None) -> dict[str, object] | None:
    return None if later is None else {"skills": list(later.skills), "move": iso(later.move)}


# The one page as a JSON object; what its reader may not see is null.


def handover_to_dict(page: Handover, answer: Answer, sharing: Sharing) -> dict[str, object]:
    """Return the page as plain values, ready for ``json.dumps``."""
    may = sharing.may("live-skills")
    return {
        "format": FORMAT,
        "for": sharing.reader,
        "consent_noted": sharing.is_given,
        "student": answer.student if sharing.may("name") else None,
        "name": answer.name if sharing.may("name") else None,
        "on": iso(answer.on),
        "lesson_on": iso(page.on),
        "no_playing_since": iso(min((hold.opened for hold in page.holds), default=None)),
        "after_pause": ended_to_list(page.lately) if sharing.may("pause-ended") else None,
        "unit": answer.unit if sharing.may("unit") else None,
        "brought_along": list(page.brought_along) if may else None,
        "live": [
            {"skill": one, "last_help": HELPS[now.last_help or 0], "last_note": iso(now.last_note)}
            for one in page.live if (now := answer.standings[one])
        ] if may else None,
        "remarks": said_to_list(page.said) if sharing.may("remarks") else None,
        "minutes": page.minutes,
        "blocks": [
            {
                "part": one.part, "minutes": one.minutes, "longest": one.longest,
                "skills": list(one.skills if may else ()),
            }
            for one in page.blocks
        ],
        "when_stuck": [{"skill": skill, "activity": text} for skill, text in page.tries if may],
        "promises": [
            {"given": iso(one.given), "to": one.to, "text": one.text, "due": iso(one.due), "overdue": overdue}
            for one, overdue in page.promises if sharing.may_tell(one.text)
        ] if sharing.may("promises") else None,
        "task": {
            name: value for name, value in kept_to_dict(page.task).items() if name != "reported"
        } if page.task and sharing.may("tasks") else None,
        "set_aside": list(page.set_aside) if sharing.may("set-aside") else None,
        "consents": dict(page.consents),
        "particulars": _particulars(page, sharing),
        "alternatives": [*map(agreed_to_dict, page.alternatives)] if sharing.may("alternatives") else None,
        "left_out": list(sharing.left_out),
    }


def _particulars(page: Handover, sharing: Sharing) -> dict[str, str | None]:
    parts = {"words": "own-words", "upsets": "own-words", "collects": "collects"}
    return {
        name: words if sharing.may(parts.get(name, "stop-and-seat")) else None
        for name, words in fields_of(page.particulars)
    }


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
        "not_counted": list(way.beside),
        "new_skills_per_lesson": way.begins,
        "lessons": way.lessons,
        "earliest": iso(way.earliest),
        "not_before": iso(way.not_before),
        "proof": {"proved": way.proved, "at_least_minutes": way.at_least, "sets_compared": way.compared},
    }


def placing_to_dict(now: PlacingRound) -> dict[str, object]:
    """Return a placing round as plain values; ``start_unit`` is where it would start by rule R10 alone."""
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


def when_to_dict(answer: Answer, found: Sequence[Estimate], later: Later | None) -> dict[str, object]:
    """Return the earliest date and, marked as estimates for the teacher, what earlier cases took.

    ``later``: what the plan of the next lesson leaves for later, and when a move comes then.
    """
    told = [one for one in found if answer.verdict != Verdict.PAUSED]
    return {
        "format": FORMAT,
        "student": answer.student,
        "on": iso(answer.on),
        "verdict": answer.verdict,
        "earliest": iso(answer.earliest),
        "later": _later(later),
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
        "paused": pair.paused,
        "ask_first": pair.ask_first,
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
        "one_day_of_age": near
        and {"born_one_day": near.born, "band": near.answer.band, "verdict": near.answer.verdict},
        "birthday": found
        and {
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
        "pace": pace
        and {
            "lessons": pace.lessons,
            "weeks_without_a_lesson": pace.without,
            "usual": pace.usual,
            "quick_below": pace.least,
            "long_above": pace.most,
            "too_few_days": list(pace.short),
        },
    }
