"""Check an answer without trusting the program that made it.

The certificate of an answer is its JSON object (rules, section 7). Here every key of it is worked out again
from course, record and calendar in the plainest way there is, in the modules ``recheck_*``. They share no
line with the rest of judging, so a mistake there cannot hide here. What cannot be confirmed is named.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from datetime import date
from fractions import Fraction
from math import ceil
from typing import TYPE_CHECKING, Any, Final, NamedTuple

from readiness.course.model import FADES, KINDS, Course, Skill
from readiness.judging.recheck_looks import LessonLooks, looks_on, one_thing, placing
from readiness.judging.recheck_rules import (
    GAPS,
    CourseLinks,
    Note,
    Student,
    StudentOnDay,
    Walk,
    earliest,
    holds,
    need_of,
    next_lesson,
    to_iso,
)
from readiness.record.model import HELPS, Record
from readiness.terms import READY, Help, Kind, State, Verdict
from readiness.toml.problems import Place

if TYPE_CHECKING:
    from readiness.record.rhythm import Calendar

__all__ = ["Rechecked", "Rechecker", "cautions", "findings", "recheck"]

# The findings and the cautions, put together a second time from notes, numbers, links and their lines.

Finding = dict[str, Any]


def findings(view: StudentOnDay) -> list[Finding]:
    """Return the findings of an answer, those that weigh most first."""
    return _Findings(view).all()


class _Findings:
    def __init__(self, view: StudentOnDay) -> None:
        self.view, self.student, self.course = view, view.student, view.student.ground.course
        self.where = view.student.wheres(view.band)
        path = self.student.record.path
        self.file = path.name if path else f"{self.student.record.id}.toml"

    def all(self) -> list[Finding]:
        holds = [
            self.at(hold.line, id="hold-open", opened=to_iso(hold.opened), part=hold.part)
            for hold in sorted(self.student.open_holds, key=lambda one: (one.opened, one.part))
        ]
        found = self.deciding() if self.student.unit else [{"id": "not-placed"}]
        found = [*holds, *found, *self.under_hold()]
        return [*found, {"id": "numbers", "because": self.numbers(found)}]

    def deciding(self) -> list[Finding]:
        found = [] if self.student.open_holds else [*self.away(), *self.after_hold()]
        found += [self.skill(skill, deciding=True) for skill in self.view.unsure]
        return [*found, *map(self.group, self.view.unmet), *self.rest()]

    def at(self, line: int, **found: object) -> Finding:
        """Return a finding on a line of the student's file."""
        return {**found, "file": self.file, "line": line} if line else found

    def note(self, skill: str, note: Note, *, counts: bool) -> Finding:
        day, help_, line = note
        return self.at(line, id="note", skill=skill, day=to_iso(day), help=HELPS[help_], counts=counts)

    def rule(self, name: str) -> Finding:
        """Return a number of the pacing with the line it stands on and whose it is."""
        band, value = self.view.band.name, self.view.band.numbers[name]
        whose = self.course.provenance.get((band, name))
        found = {"id": "rule", "rule": name, "band": band, "value": value}
        if whose is None:
            return {**found, "default": None, "changed": False, "changed_by": "", "basis": ""}
        found |= {"default": whose.default, "changed": value != whose.default, "changed_by": whose.changed_by}
        return _written({**found, "basis": whose.basis}, whose.place)

    def away(self) -> Iterator[Finding]:
        if self.view.away:
            kind, days, last = self.view.away
            rule = self.rule("break_weeks")
            yield {"id": kind, "days": days, "last_lesson": to_iso(last), "because": [rule]}

    def after_hold(self) -> Iterator[Finding]:
        if self.view.after_hold:
            closed, line, days = self.view.after_hold
            yield self.at(line, id="after-a-hold", closed=to_iso(closed), lesson_days=days, needed=2)

    def under_hold(self) -> Iterator[Finding]:
        """Yield what was noted under a hold, or tried on the day it was opened, and is no evidence."""
        band, skills, notes = self.view.band, list[str](), list[Finding]()
        for skill in self.course.skills if self.student.holds else ():
            noted, stand = self.student.notes.get(skill.id, {}), self.student.evidence(skill.id, band)
            lost = sorted({*noted.values()}.difference(stand))
            skills += [skill.id] if lost else []
            notes += [self.note(skill.id, note, counts=False) for note in lost]
        if skills:
            yield {"id": "under-a-hold", "skills": skills, "because": notes}

    def skill(self, skill: str, *, deciding: bool) -> Finding:
        """Return why a skill is not secure: notes, numbers, links."""
        one, state = self.course.skill[skill], self.view.state[skill]
        because = [*self.seen(one), *map(self.rule, _rules(one, state))]
        if deciding:
            because += [self.link(skill, owner) for owner in self.view.asked.needed.get(skill, [])]
        found = {"id": "skill-open", "skill": skill, "state": state, "deciding": deciding}
        return _written({**found, **({"because": because} if because else {})}, one.place)

    def seen(self, skill: Skill) -> Iterator[Finding]:
        where, block = self.where[skill.id], self.student.settled.get(self.student.ground.unit[skill.id])
        if block is not None:
            yield self.at(block.line, id="settled", through=block.through, day=to_iso(block.on))
        for note in where.walk.notes:
            yield self.note(skill.id, note, counts=note[0] in where.walk.counts)
        if where.warm is not None:
            day, by = where.warm
            line = self.student.notes[by][day][2]
            yield self.at(line, id="kept-warm", skill=skill.id, by=by, day=to_iso(day))

    def link(self, skill: str, owner: str) -> Finding:
        place = self.course.link_places.get((owner, skill))
        return _written({"id": "needed-by", "skill": skill, "by": owner}, place)

    def group(self, group: tuple[int, frozenset[str]]) -> Finding:
        members = self.student.ground.in_order(group[1])
        open_ = [skill for skill in members if self.view.state[skill] not in (State.SECURE, State.SET_ASIDE)]
        because = [self.skill(skill, deciding=False) for skill in open_]
        because += [self.link(members[0], owner) for owner in self.view.asked.groups[group]]
        found = {"id": "group-open", "at_least": group[0], "of": members, "gap": self.view.is_gap(group)}
        return {**found, "because": because}

    def rest(self) -> Iterator[Finding]:
        """Yield what is too much of the rest, or comes along."""
        view, loose = self.view, self.view.loose
        because = [self.rule("carry_limit"), *(self.skill(skill, deciding=False) for skill in loose)]
        if len(loose) > view.limit:
            gaps = sum(view.state[skill] in GAPS for skill in loose)
            found = {"id": "too-many-open", "skills": loose, "gaps_only": gaps > view.limit}
            yield {**found, "because": because}
        elif view.verdict == Verdict.READY_TAKING_ALONG:
            yield {"id": "taken-along", "skills": loose, "because": because}

    def numbers(self, found: list[Finding]) -> list[Finding]:
        """Return every number used, each once; where none was, those of all that decides."""
        if not self.student.unit:
            return [self.rule("carry_limit"), *(self.rule(f"accepts.{kind}") for kind in KINDS)]
        used = {one["rule"]: one for one in _every(found) if one["id"] == "rule"}
        if used:
            return [*used.values(), *([] if "carry_limit" in used else [self.rule("carry_limit")])]
        asked = [self.course.skill[skill] for skill in (*self.view.asked.must, *self.view.asked.rest)]
        kinds = [kind for kind in KINDS if any(one.kind == kind for one in asked)]
        fades = [fade for fade in FADES if any(one.fade == fade for one in asked)]
        names = ["carry_limit", *(f"days_needed.{kind}" for kind in kinds), "spread_days"]
        names += [*(f"accepts.{kind}" for kind in kinds), *(f"fresh_weeks.{fade}" for fade in fades)]
        return [self.rule(name) for name in names]


def _written(found: Finding, place: Place | None) -> Finding:
    return found if place is None else {**found, "file": place.file.name, "line": place.line}


def _rules(skill: Skill, state: str) -> list[str]:
    """Return the names of the numbers that made a state."""
    if state == State.STALE:
        return [f"fresh_weeks.{skill.fade}"]
    days = [] if skill.days else [f"days_needed.{skill.kind}"]
    spread = ["spread_days"] if state == State.BUILDING else []
    return [*days, *spread, *([] if state == State.UNTRIED else [f"accepts.{skill.kind}"])]


def _every(found: Iterable[Finding]) -> Iterator[Finding]:
    """Yield findings with all below them."""
    for one in found:
        yield one
        yield from _every(one.get("because", ()))


FOLDING: Final = {"firm-fingertip", "rounded-hand-keys", "joins-two-tones"}


def cautions(view: StudentOnDay, shown: Iterable[str], found: list[Finding], *, seat_open: bool) -> list[str]:
    """Return the cautions that an answer calls for (the trade's table of cautions).

    Args:
        shown: the skills it puts before the teacher.
        found: its findings.
        seat_open: whether something that is always looked at is open.
    """
    course, record, day = view.student.ground.course, view.student.record, view.day
    skills = [course.skill[skill] for skill in shown]
    names = {name for skill in skills for name in course.names_of(skill.id)}
    past = [showings for on, _, showings in record.seen.lessons() if on <= day]
    held = any(s.help == HELPS.index(Help.HANDS_ON) and s.skill in names for one in past for s in one)
    resting = {hold.part for hold in (*view.student.open_holds, *record.resting(day))}
    tests = {
        "C1": bool(view.student.open_holds),
        "C2": any(skill.kind == Kind.MOTOR or skill.always_look for skill in skills),
        "C3": bool(names & FOLDING),
        "C5": seat_open and course.uses == "hand",
        "C6": held or any(skill.touches for skill in skills),
        "C7": any(skill.recorded for skill in skills) and not record.consents.get("video"),
        "C11": any(one.get("changed") for one in _every(found)),
        "C13": "voice" in resting,
        "C14": True,
    }
    return [caution for caution, applies in tests.items() if applies]


Facts = dict[str, Any]


Unchecked = tuple[tuple[str, str], ...]

_KEYS: Final = (
    "format", "student", "band", "unit", "next_unit", "verdict", "deciding", "rest", "details", "groups",
    "blockers", "taken_along", "notes", "one_thing", "look_first", "placing", "earliest", "holds_until",
    "holds_because", "next_lesson", "decision", "brought_along", "proof", "findings", "cautions",
)  # fmt: skip
"""The keys that an answer may have beside its day (rules, section 7)."""


class Rechecked(NamedTuple):
    """What came of it.

    Attributes:
        differ: the keys that do not follow from the files, missing and unknown ones too.
        unchecked: keys of which something could not be checked, and what: ``size``, that no look set is
            smaller; ``order``, that none of its size has fewer minutes or earlier ids; ``day``, anything,
            as the answer does not say of which day it is.
    """

    differ: tuple[str, ...] = ()
    unchecked: Unchecked = ()


def recheck(
    claim: Mapping[str, Any], course: Course, record: Record, calendar: Calendar | None = None
) -> Rechecked:
    """Check one answer.

    Args:
        claim: the JSON object of ``why --json``.
        course, record: what is taught, and what was seen.
        calendar: planned lessons, rhythm and holidays, as far as the studio says.
    """
    return Rechecker(course).check(claim, record, calendar)


class Rechecker:
    """Checks answers about many students of one course."""

    def __init__(self, course: Course) -> None:
        self.course = course
        self.grounds: dict[int, CourseLinks] = {}

    def check(self, claim: Mapping[str, Any], record: Record, calendar: Calendar | None = None) -> Rechecked:
        """Return which keys of an answer differ, missing and unknown ones too, and which were not checked."""
        try:
            day = date.fromisoformat(claim["on"]).toordinal()
        except (KeyError, TypeError, ValueError):
            every = dict.fromkeys([*_KEYS, *(claim if isinstance(claim, Mapping) else ())])
            return Rechecked(("on",), tuple((key, "day") for key in every if key != "on"))
        course = self.course.on(day)
        ground = self.grounds.get(id(course)) or self.grounds.setdefault(id(course), CourseLinks(course))
        truth, unchecked = _truth(StudentOnDay.of(Student.on(ground, record, calendar, day), day), claim)
        keys = (*truth, *(key for key in claim if key not in truth))
        is_whole = _same(claim, truth)
        same = {key for key in truth if is_whole or (key in claim and _same(claim[key], truth[key]))}
        open_ = tuple(one for one in unchecked if one[0] in same)
        return Rechecked(tuple(key for key in keys if key not in same), open_)


def _same(claimed: object, true: object) -> bool:
    """Return whether two JSON values are the same; true is not 1, and 1 is not 1.0."""
    try:
        return claimed == true and _alike(claimed, true)
    except RecursionError:
        return False


def _alike(left: Any, right: Any) -> bool:  # noqa: ANN401 - any JSON value
    """Return whether two equal values have the same kinds of numbers everywhere."""
    if isinstance(left, dict):
        return all(_alike(value, right[key]) for key, value in left.items() if type(value) is not str)
    if isinstance(left, list):
        return all(_alike(*pair) for pair in zip(left, right, strict=True) if type(pair[0]) is not str)
    return isinstance(left, str) or type(left) is type(right)


def _truth(view: StudentOnDay, claim: Mapping[str, Any]) -> tuple[Facts, Unchecked]:
    """Return the object as it should be, and what of it was taken as claimed."""
    student, ahead = view.student, next_lesson(view.student)
    placed, units = student.unit_start, view.student.ground.course.units
    found = findings(view)
    looks = looks_on(student, ahead) if placed and ahead is not None and not student.open_holds else None
    look, proof, unchecked = _look(looks, claim)
    middle = _judged(view, looks) | {"look_first": look} if placed else _not_placed(view)
    until, because = holds(student) if placed and view.verdict in READY else (None, None)
    head = {
        "format": 1,
        "student": student.record.id,
        "on": to_iso(view.day),
        "band": view.band.name,
        "unit": placed and placed[1],
        "next_unit": next((unit.id for unit in units if placed and unit.number == student.unit + 1), None),
        "verdict": view.verdict,
    }
    tail = {
        "earliest": to_iso(_earliest(view)) if placed else None,
        "holds_until": to_iso(until),
        "holds_because": because,
        "next_lesson": to_iso(ahead),
        "decision": _decision(student),
        "brought_along": _brought_along(view) if placed else [],
        "proof": proof,
        "findings": found,
    }
    return head | middle | tail | {"cautions": _cautions(view, middle, found)}, unchecked


def _look(looks: LessonLooks | None, claim: Mapping[str, Any]) -> tuple[object, object, Unchecked]:
    """Return the look set, its proof, and what could not be checked of them.

    An answer may bring no proof, or say that it has none; a proof it brings must be one.
    """
    if looks is None:
        return [], None, ()
    claimed, proof, own = claim.get("look_first"), claim.get("proof"), looks.smallest()
    nothing = proof if proof == {"kind": "not-proved"} else None
    if own is not None:
        return own, proof if looks.is_shown(own, proof) else nothing, ()
    skills = [skill for skill in looks.makes if isinstance(claimed, list) and skill in claimed]
    if skills != claimed or looks.gained(skills) != looks.reachable:
        return None, proof, ()
    is_shown = looks.is_shown(skills, proof)
    unchecked = (("look_first", "order" if is_shown else "size"),) if skills else ()
    return skills, proof if is_shown else nothing, unchecked


def _judged(view: StudentOnDay, looks: LessonLooks | None) -> Facts:
    state, asked, in_order = view.state, view.asked, view.student.ground.in_order
    of = {group: in_order(group[1]) for group in asked.groups}
    groups = [
        {"at_least": group[0], "of": of[group], "met": view.is_met(group), "gap": view.is_gap(group)}
        for group in of
    ]
    skills = [{"skill": s, "state": state[s], "needed_by": asked.needed.get(s, [])} for s in view.unsure]
    open_ = [{"group": of[g], "at_least": g[0], "needed_by": asked.groups[g]} for g in view.unmet]
    return {
        "deciding": {skill: state[skill] for skill in asked.must},
        "rest": {skill: state[skill] for skill in asked.rest},
        "details": {skill: _detail(view, skill) for skill in in_order([*asked.must, *asked.rest])},
        "groups": groups,
        "blockers": [*skills, *open_],
        "taken_along": view.loose if view.verdict == Verdict.READY_TAKING_ALONG else [],
        "notes": [{"id": note, "skill": skill} for note, skill in _notes(view)],
        "one_thing": None if view.verdict in (Verdict.PAUSED, *READY) else one_thing(view, looks),
    }


def _detail(view: StudentOnDay, skill: str) -> Facts:
    where = view.student.wheres(view.band)[skill]
    last = where.walk.notes[-1] if where.walk.notes else None
    return {
        "state": view.state[skill],
        "have": where.walk.have,
        "need": need_of(view.student.ground.course.skill[skill], view.band),
        "last_note": to_iso(last and last[0]),
        "last_help": last and HELPS[last[1]],
        "last_seen": to_iso(where.seen),
        "fresh_until": to_iso(where.until),
        "misses": where.walk.misses,
    }


def _notes(view: StudentOnDay) -> list[tuple[str, str | None]]:
    """Return the notes beside the verdict (R8)."""
    student, where, state = view.student, view.student.wheres(view.band), view.state
    gaps, under = view.those(*GAPS) - view.asked.left_out, student.ground.under
    secure = [skill for skill in view.asked.must if state[skill] == State.SECURE]
    loose = student.ground.in_order([*view.unsure, *view.loose])
    stuck = [skill for skill in loose if _is_stuck(view, where[skill].walk)]
    fading = [skill for skill in secure if (where[skill].until or 0) + 1 <= view.day + 14]
    youngest = min(band.from_age for band in student.ground.course.bands)
    return [
        *((pace, None) for pace in _pace(view)),
        *(("stuck", skill) for skill in stuck),
        *(("footing", skill) for skill in secure if skill in view.asked.needed and under[skill] & gaps),
        *(("fade-soon", skill) for skill in fading),
        *((("young", None),) if student.chosen is None and student.age(view.day) < youngest else ()),
    ]


def _pace(view: StudentOnDay) -> list[str]:
    student = view.student
    start = student.unit_start[0] if student.unit_start else 0
    days = sum(day >= start and not student.paused(day) for day in student.lessons)
    weeks = student.ground.course.units[student.unit - 1].lesson_weeks
    least, most = (ceil(Fraction(str(view.band.number(f"{m}_unit_factor"))) * weeks) for m in ("min", "max"))
    return [pace for pace, is_so in (("fast", 0 < days < least), ("long", days > most)) if is_so]


def _is_stuck(view: StudentOnDay, walk: Walk) -> bool:
    row = [help_ for _, help_, _ in walk.notes[len(walk.notes) - walk.misses :]]
    enough = len(row) >= view.band.whole("stuck_tries") and len(row) > 3
    return enough and min(row[-3:]) >= min(row[:-3])


def _earliest(view: StudentOnDay) -> int | None:
    if view.verdict == Verdict.PAUSED:
        return None
    return view.day if view.verdict in READY else earliest(view.student)


def _decision(student: Student) -> Facts | None:
    """Return what was decided last about the unit (R11)."""
    unit = student.unit_start and student.unit_start[1]
    every = [(one.on, n, one) for n, one in enumerate(student.record.seen.decisions) if one.on <= student.day]
    last = max((one for one in every if one[2].unit == unit), default=None)
    if last is None:
        return None
    one = last[2]
    later = sum(day > one.on for day in student.lessons)
    stands = later < 4 if one.until is None else student.day <= one.until
    return {
        "on": to_iso(one.on), "decided": one.decided, "until": to_iso(one.until),
        "in_force": one.decided == "stay" and stands,
    }  # fmt: skip


def _brought_along(view: StudentOnDay) -> list[str]:
    """Return what is unfinished from earlier units (R12)."""
    unit, out = view.student.ground.unit, view.asked.left_out
    earlier = [skill for skill in unit if unit[skill] < view.student.unit and skill not in out]
    return [skill for skill in earlier if view.state[skill] in (*GAPS, State.BUILDING)]


def _not_placed(view: StudentOnDay) -> Facts:
    found = placing(view)
    first = next(iter(found["always_look_open"]), None)
    return {"placing": found, "one_thing": None if view.student.open_holds else first}


def _cautions(view: StudentOnDay, middle: Facts, found: list[Facts]) -> list[str]:
    """Return the cautions for what an answer puts before the teacher."""
    if "placing" in middle:
        seat, patches, stop = (middle["placing"][k] for k in ("always_look_open", "patches", "stopped_by"))
        return cautions(view, [*seat, *patches, *stop], found, seat_open=bool(seat))
    skill = view.student.ground.course.skill
    shown = {middle["one_thing"], *(middle["look_first"] or ()), *view.unsure, *view.loose} - {None}
    return cautions(view, shown, found, seat_open=any(skill[s].always_look for s in view.unsure))
