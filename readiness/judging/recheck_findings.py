"""The findings and the cautions, put together a second time from notes, numbers, links and their lines.

For :mod:`readiness.judging.recheck`.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from typing import Any, Final

from readiness.course.model import FADES, KINDS, Skill
from readiness.files.problems import Place
from readiness.judging.recheck_states import Note, to_iso
from readiness.judging.recheck_verdict import View
from readiness.record.model import HELPS

__all__ = ["cautions", "findings"]

Found = dict[str, Any]


def findings(view: View) -> list[Found]:
    """Return the findings of an answer, those that weigh most first."""
    return _Findings(view).all()


class _Findings:
    def __init__(self, view: View) -> None:
        self.view, self.student, self.course = view, view.student, view.student.ground.course
        self.where = view.student.wheres(view.band)
        path = self.student.record.path
        self.file = path.name if path else f"{self.student.record.id}.toml"

    def all(self) -> list[Found]:
        holds = [
            self.at(hold.line, id="hold-open", opened=to_iso(hold.opened), part=hold.part)
            for hold in sorted(self.student.open_holds, key=lambda one: (one.opened, one.part))
        ]
        found = self.deciding() if self.student.unit else [{"id": "not-placed"}]
        found = [*holds, *found, *self.under_hold()]
        return [*found, {"id": "numbers", "because": self.numbers(found)}]

    def deciding(self) -> list[Found]:
        found = [] if self.student.open_holds else [*self.away(), *self.after_hold()]
        found += [self.skill(skill, deciding=True) for skill in self.view.unsure]
        return [*found, *map(self.group, self.view.unmet), *self.rest()]

    def at(self, line: int, **found: object) -> Found:
        """Return a finding on a line of the student's file."""
        return {**found, "file": self.file, "line": line} if line else found

    def note(self, skill: str, note: Note, *, counts: bool) -> Found:
        day, help_, line = note
        return self.at(line, id="note", skill=skill, day=to_iso(day), help=HELPS[help_], counts=counts)

    def rule(self, name: str) -> Found:
        """Return a number of the pacing with the line it stands on and whose it is."""
        band, value = self.view.band.name, self.view.band.numbers[name]
        whose = self.course.provenance.get((band, name))
        found = {"id": "rule", "rule": name, "band": band, "value": value}
        if whose is None:
            return {**found, "default": None, "changed": False, "changed_by": "", "basis": ""}
        changed = whose.changed if whose.default is None else value != whose.default
        found |= {"default": whose.default, "changed": changed, "changed_by": whose.changed_by}
        return _written({**found, "basis": whose.basis}, whose.place)

    def away(self) -> Iterator[Found]:
        if self.view.away:
            kind, days, last = self.view.away
            rule = self.rule("break_weeks")
            yield {"id": kind, "days": days, "last_lesson": to_iso(last), "because": [rule]}

    def after_hold(self) -> Iterator[Found]:
        if self.view.after_hold:
            closed, line, days = self.view.after_hold
            yield self.at(line, id="after-a-hold", closed=to_iso(closed), lesson_days=days, needed=2)

    def under_hold(self) -> Iterator[Found]:
        """Yield what was noted under a hold, or tried on the day it was opened, and is no evidence."""
        band, skills, notes = self.view.band, list[str](), list[Found]()
        for skill in self.course.skills:
            lost = [
                (day, *note)
                for day, note in sorted(self.student.notes.get(skill.id, {}).items())
                if not self.student.stands(skill, band, day, note[0])
            ]
            skills += [skill.id] if lost else []
            notes += [self.note(skill.id, note, counts=False) for note in lost]
        if skills:
            yield {"id": "under-a-hold", "skills": skills, "because": notes}

    def skill(self, skill: str, *, deciding: bool) -> Found:
        """Return why a skill is not secure: notes, numbers, links."""
        one, state = self.course.skill[skill], self.view.state[skill]
        because = [*self.seen(one), *map(self.rule, _rules(one, state))]
        if deciding:
            because += [self.link(skill, owner) for owner in self.view.needed.get(skill, [])]
        found = {"id": "skill-open", "skill": skill, "state": state, "deciding": deciding}
        return _written({**found, **({"because": because} if because else {})}, one.place)

    def seen(self, skill: Skill) -> Iterator[Found]:
        where, block = self.where[skill.id], self.student.settled.get(self.student.ground.unit[skill.id])
        if block is not None:
            yield self.at(block.line, id="settled", through=block.through, day=to_iso(block.on))
        for note in where.walk.notes:
            yield self.note(skill.id, note, counts=note[0] in where.walk.counts)
        if where.warm is not None:
            day, by = where.warm
            line = self.student.notes[by][day][1]
            yield self.at(line, id="kept-warm", skill=skill.id, by=by, day=to_iso(day))

    def link(self, skill: str, owner: str) -> Found:
        place = self.course.link_places.get((owner, skill))
        return _written({"id": "needed-by", "skill": skill, "by": owner}, place)

    def group(self, group: tuple[int, frozenset[str]]) -> Found:
        members = self.student.ground.in_order(group[1])
        open_ = [skill for skill in members if self.view.state[skill] not in ("secure", "set-aside")]
        because = [self.skill(skill, deciding=False) for skill in open_]
        because += [self.link(members[0], owner) for owner in self.view.groups[group]]
        found = {"id": "group-open", "at_least": group[0], "of": members, "gap": self.view.is_gap(group)}
        return {**found, "because": because}

    def rest(self) -> Iterator[Found]:
        """Yield what is too much of the rest, or comes along."""
        view, loose = self.view, self.view.loose
        because = [self.rule("carry_limit"), *(self.skill(skill, deciding=False) for skill in loose)]
        if len(loose) > view.limit:
            gaps = sum(view.state[skill] in ("with-help", "not-shown", "slipped") for skill in loose)
            found = {"id": "too-many-open", "skills": loose, "gaps_only": gaps > view.limit}
            yield {**found, "because": because}
        elif view.verdict == "ready-taking-along":
            yield {"id": "taken-along", "skills": loose, "because": because}

    def numbers(self, found: list[Found]) -> list[Found]:
        """Return every number used, each once; where none was, those of all that decides."""
        if not self.student.unit:
            return [self.rule("carry_limit"), *(self.rule(f"accepts.{kind}") for kind in KINDS)]
        used = {one["rule"]: one for one in _every(found) if one["id"] == "rule"}
        if used:
            return [*used.values(), *([] if "carry_limit" in used else [self.rule("carry_limit")])]
        asked = [self.course.skill[skill] for skill in (*self.view.must, *self.view.rest)]
        kinds = [kind for kind in KINDS if any(one.kind == kind for one in asked)]
        fades = [fade for fade in FADES if any(one.fade == fade for one in asked)]
        names = ["carry_limit", *(f"days_needed.{kind}" for kind in kinds), "spread_days"]
        names += [*(f"accepts.{kind}" for kind in kinds), *(f"fresh_weeks.{fade}" for fade in fades)]
        return [self.rule(name) for name in names]


def _written(found: Found, place: Place | None) -> Found:
    return found if place is None else {**found, "file": place.file.name, "line": place.line}


def _rules(skill: Skill, state: str) -> list[str]:
    """Return the names of the numbers that made a state."""
    if state == "stale":
        return [f"fresh_weeks.{skill.fade}"]
    days = [] if skill.days else [f"days_needed.{skill.kind}"]
    spread = ["spread_days"] if state == "building" else []
    return [*days, *spread, *([] if state == "untried" else [f"accepts.{skill.kind}"])]


def _every(found: Iterable[Found]) -> Iterator[Found]:
    """Yield findings with all below them."""
    for one in found:
        yield one
        yield from _every(one.get("because", ()))


# ---------------------------------------------------------------- cautions

FOLDING: Final = {"firm-fingertip", "rounded-hand-keys", "joins-two-tones"}


def cautions(view: View, shown: Iterable[str], found: list[Found], *, seat_open: bool) -> list[str]:
    """Return the cautions that an answer calls for (the trade's table of cautions).

    Args:
        shown: the skills it puts before the teacher.
        found: its findings.
        seat_open: whether something that is always looked at is open.
    """
    course, record, day = view.student.ground.course, view.student.record, view.day
    skills = [course.skill[skill] for skill in shown]
    names = {name for skill in skills for name in course.names_of(skill.id)}
    past = [lesson for lesson in record.lessons if lesson.on <= day]
    texts = " ".join(t for s in skills for t in (s.shown_when, s.age_note, s.alternative, *s.remedies))
    held = any(s.help == HELPS.index("hands-on") and s.skill in names for one in past for s in one.showings)
    hurts = [one.words for one in (*view.student.open_holds, *record.resting(day))]
    said = " ".join([text for one in past for text in (one.note, *one.remarks.values())] + hurts)
    tests = {
        "C1": bool(view.student.open_holds),
        "C2": any(skill.kind == "motor" or skill.always_look for skill in skills),
        "C3": bool(names & FOLDING),
        "C5": seat_open and course.uses == "hand",
        "C6": held or _says(r"permission\b|touch", texts),
        "C7": not record.consents.get("video") and _says(r"(photo|video|film|recording|recorded)\b", texts),
        "C11": any(one.get("changed") for one in _every(found)),
        "C13": _says("hoarse", said),
        "C14": True,
    }
    return [caution for caution, applies in tests.items() if applies]


def _says(words: str, text: str) -> bool:
    return re.search(rf"\b({words})", text, re.IGNORECASE) is not None
