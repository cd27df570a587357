"""The one page as a JSON object; what its reader may not see is null."""

from __future__ import annotations

from dataclasses import fields

from readiness.days import iso
from readiness.judging.answer import Answer
from readiness.planning.as_json import agreed_to_dict, said_to_list
from readiness.planning.handover import Handover
from readiness.record.model import HELPS
from readiness.record.sharing import Sharing

__all__ = ["handover_to_dict"]

FORMAT = 1


def handover_to_dict(page: Handover, answer: Answer, sharing: Sharing) -> dict[str, object]:
    """Return the page as plain values, ready for ``json.dumps``."""
    return {
        "format": FORMAT,
        "for": sharing.reader,
        "consent_noted": sharing.is_given,
        "student": answer.student if sharing.may("name") else None,
        "name": answer.name if sharing.may("name") else None,
        "on": iso(answer.on),
        "lesson_on": iso(page.on),
        "no_playing_since": iso(min((hold.opened for hold in page.holds), default=None)),
        "unit": answer.unit if sharing.may("unit") else None,
        "brought_along": list(page.brought_along) if sharing.may("live-skills") else None,
        "live": _live(page) if sharing.may("live-skills") else None,
        "remarks": said_to_list(page.said) if sharing.may("remarks") else None,
        "minutes": page.minutes,
        "blocks": [
            {"part": one.part, "minutes": one.minutes, "longest": one.longest, "skills": list(one.skills)}
            for one in page.blocks
        ],
        "when_stuck": [{"skill": skill, "activity": activity} for skill, activity in page.tries],
        "promises": _promises(page) if sharing.may("promises") else None,
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


def _live(page: Handover) -> list[dict[str, object]]:
    return [
        {
            "skill": one.skill,
            "last_help": None if one.help is None else HELPS[one.help],
            "last_note": iso(one.day),
        }
        for one in page.live
    ]


def _promises(page: Handover) -> list[dict[str, object]]:
    return [
        {"given": iso(one.given), "to": one.to, "text": one.text, "due": iso(one.due), "overdue": is_overdue}
        for one, is_overdue in page.promises
    ]


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
