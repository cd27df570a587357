"""A check sheet and a planned lesson as JSON objects, keys in a fixed order, dates as written."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict, fields

from readiness.advice.ground import AroundHere
from readiness.advice.handover import Handover
from readiness.advice.lesson_values import LessonBlock, LessonPlan
from readiness.advice.placing.round import PlacingRound
from readiness.advice.sheet import CheckSheet
from readiness.days import iso
from readiness.judging.answer import Answer
from readiness.judging.as_json import beside_to_dict
from readiness.record.consents import Sharing, kept_to_dict
from readiness.record.model import HELPS, Alternative, Hold, Said

__all__ = [
    "FORMAT", "agreed_to_dict", "around_to_dict", "ended_to_list", "handover_to_dict", "head_to_dict",
    "plan_to_dict", "said_to_list", "sheet_to_dict", "start_to_dict",
]  # fmt: skip

FORMAT = 1


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


def _block(block: LessonBlock) -> dict[str, object]:
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
            {"skill": one.skill, "last_help": _help(one.help), "last_note": iso(one.day)} for one in page.live
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
            for one, overdue in page.promises
        ] if sharing.may("promises") else None,
        "task": _task(page) if sharing.may("tasks") else None,
        "set_aside": list(page.set_aside) if sharing.may("set-aside") else None,
        "consents": dict(page.consents),
        "particulars": _particulars(page, sharing),
        "alternatives": [*map(agreed_to_dict, page.alternatives)] if sharing.may("alternatives") else None,
        "left_out": list(sharing.left_out),
    }


def _particulars(page: Handover, sharing: Sharing) -> dict[str, str | None]:
    parts = {"words": "own-words", "upsets": "own-words", "collects": "collects"}
    return {
        field.name: getattr(page.particulars, field.name)
        if sharing.may(parts.get(field.name, "stop-and-seat"))
        else None
        for field in fields(page.particulars)
    }


def _help(given: int | None) -> str | None:
    return None if given is None else HELPS[given]


def _task(page: Handover) -> dict[str, object] | None:
    if page.task is None:
        return None
    return {
        "given": iso(page.task.given),
        "for_skill": page.task.for_skill,
        "text": page.task.text,
        "minutes_day": page.task.minutes_day,
        "days_planned": page.task.days_planned,
        "days_reported": page.task.days_reported,
    }
