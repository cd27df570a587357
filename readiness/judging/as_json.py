"""An answer as the JSON object of the rules, section 7: keys, order and dates as fixed there."""

from __future__ import annotations

from readiness.days import iso
from readiness.judging.answer import Answer, Blocker, Standing
from readiness.judging.findings import finding_to_dict
from readiness.record.model import HELPS

__all__ = ["answer_to_dict", "beside_to_dict", "skill_to_dict"]

FORMAT = 1


def answer_to_dict(answer: Answer) -> dict[str, object]:
    """Return an answer of ``judge`` as plain values, ready for ``json.dumps``.

    A student who has not begun a unit has ``placing`` and ``one_thing`` in place of the
    keys from ``deciding`` to ``look_first``.
    """
    head = {
        "format": FORMAT,
        "student": answer.student,
        "on": iso(answer.on),
        "band": answer.band,
        "unit": answer.unit,
        "next_unit": answer.next_unit,
        "verdict": answer.verdict,
    }
    fades = answer.fades_first
    tail = {
        "earliest": iso(answer.earliest),
        "holds_until": iso(answer.holds_until),
        "holds_because": answer.holds_because if fades is None else {"skill": fades},
        **beside_to_dict(answer),
        "proof": answer.proof if answer.look_proved else {"kind": "not-proved"},
        "findings": [finding_to_dict(finding) for finding in answer.findings],
        "cautions": list(answer.cautions),
    }
    return head | (_judged(answer) if answer.placing is None else _placing(answer)) | tail


def beside_to_dict(answer: Answer) -> dict[str, object]:
    """Return what every answer about a student says beside its own: next lesson, decision, brought along."""
    return {
        "next_lesson": iso(answer.next_lesson),
        "decision": _decision(answer),
        "brought_along": [one.skill for one in answer.brought_along],
    }


def skill_to_dict(answer: Answer, skill: str) -> dict[str, object]:
    """Return where one skill stands, with every note in scope, ready for ``json.dumps``."""
    standing = answer.standings[skill]
    return {
        "format": FORMAT,
        "student": answer.student,
        "on": iso(answer.on),
        "skill": skill,
        **_detail(standing),
        "settled_on": iso(standing.settled_on),
        "secure_since": iso(standing.secure_since),
        "slipped": standing.slipped,
        "kept_warm_by": standing.warmed_by,
        "notes": [
            {"on": iso(one.day), "help": HELPS[one.help], "counts": one.counts, "line": one.line}
            for one in standing.evidence
        ],
        "decides": skill in answer.deciding,
        "blocks": any(skill == one.skill for one in answer.blockers),
    }


def _judged(answer: Answer) -> dict[str, object]:
    asked = {*answer.deciding, *answer.rest}
    details = {skill: _detail(answer.standings[skill]) for skill in answer.standings if skill in asked}
    return {
        "deciding": {skill: details[skill]["state"] for skill in answer.deciding},
        "rest": {skill: details[skill]["state"] for skill in answer.rest},
        "details": details,
        "groups": [
            {"at_least": group.at_least, "of": list(group.of), "met": group.met, "gap": group.gap}
            for group in answer.groups
        ],
        "blockers": [_blocker(blocker) for blocker in answer.blockers],
        "taken_along": list(answer.taken_along),
        "notes": [{"id": remark.id, "skill": remark.skill} for remark in answer.remarks],
        "one_thing": answer.one_thing,
        "look_first": list(answer.look_first),
    }


def _placing(answer: Answer) -> dict[str, object]:
    placing = answer.placing
    assert placing is not None
    return {
        "placing": {
            "start_unit": placing.start_unit,
            "patches": list(placing.patches),
            "stopped_by": list(placing.stopped_by),
            "always_look_open": list(placing.always_look_open),
            "provisional": placing.provisional,
        },
        "one_thing": answer.one_thing,
    }


def _detail(standing: Standing) -> dict[str, object]:
    return {
        "state": standing.state,
        "have": standing.have,
        "need": standing.need,
        "last_note": iso(standing.last_note),
        "last_help": None if standing.last_help is None else HELPS[standing.last_help],
        "last_seen": iso(standing.last_seen),
        "fresh_until": iso(standing.fresh_until),
        "misses": standing.misses,
    }


def _decision(answer: Answer) -> dict[str, object] | None:
    now = answer.decision
    if now is None:
        return None
    return {"on": iso(now.on), "decided": now.decided, "until": iso(now.until), "in_force": now.in_force}


def _blocker(blocker: Blocker) -> dict[str, object]:
    group, needed_by = blocker.group, list(blocker.needed_by)
    if group is None:
        return {"skill": blocker.skill, "state": blocker.state, "needed_by": needed_by}
    return {"group": list(group.of), "at_least": group.at_least, "needed_by": needed_by}
