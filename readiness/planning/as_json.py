"""A check sheet and a planned lesson as JSON objects, keys in a fixed order, dates as written."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict

from readiness.days import iso
from readiness.judging.answer import Answer
from readiness.judging.as_json import beside_to_dict
from readiness.planning.lesson_values import LessonBlock, LessonPlan
from readiness.planning.placing.round import PlacingRound
from readiness.planning.sheet_values import Sheet
from readiness.planning.startable import AroundHere
from readiness.record.model import Alternative, Said

__all__ = [
    "FORMAT", "agreed_to_dict", "around_to_dict", "head_to_dict", "plan_to_dict", "said_to_list",
    "sheet_to_dict", "start_to_dict",
]  # fmt: skip

FORMAT = 1


def sheet_to_dict(sheet: Sheet, answer: Answer) -> dict[str, object]:
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
        "cautions": list(sheet.cautions),
    }


def start_to_dict(now: PlacingRound) -> dict[str, object]:
    """Return where a student who is not placed starts so far, and how early and how late it may be."""
    return {"start": now.start, "as_early_as": now.fits[0], "as_late_as": now.fits[-1]}


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
        "begun": list(plan.begun),
        "look_first": list(plan.look_first),
        "looks": list(plan.looks),
        "probably_there": list(plan.presumed),
        "outer_edge": list(plan.outer_edge),
        "not_begun": [{"skill": one.skill, "why": one.why, "by": one.by or None} for one in plan.not_begun],
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
    if agreed is None:
        return None
    return {
        "skill": agreed.skill, "text": agreed.text, "agreed_with": agreed.agreed_with, "on": iso(agreed.on),
    }  # fmt: skip


def said_to_list(said: Iterable[Said]) -> list[dict[str, object]]:
    """Return the latest remarks as plain values."""
    return [
        {"skill": one.skill, "on": iso(one.on), "text": one.text, "tried_again": one.again or None}
        for one in said
    ]


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
