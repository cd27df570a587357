"""What an example of the main law reaches, by name, and how often its fixed examples must.

A law that is never tried proves nothing. Counted are the very examples that the law is tried on.
What is drawn also depends a little on the modules that happen to be loaded, so the limits leave much room.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from readiness.judging.findings import Finding, HoldOpen, NoteSeen, UnderHold
from readiness.record.model import Record
from readiness.testing import Asked

__all__ = ["OFTEN", "reached"]

OFTEN: Mapping[int, tuple[str, ...]] = {
    6: (
        "days of a skill", "earliest later", "holds until no-lesson", "holidays", "note long",
        "one thing with a look set", "rhythm", "state secure", "state stale", "verdict look-again",
        "verdict not-yet", "verdict ready",
    ),
    3: (
        "band chosen", "brought along", "decision in force", "earliest never",
        "earliest on the next lesson", "finding first-lesson-back", "finding group-open",
        "finding kept-warm", "finding too-many-open", "finding under-a-hold", "group met", "hold closed",
        "hold open", "hold since", "last unit", "no lesson to come", "note fade-soon", "note fast",
        "note stuck", "planned dates", "rhythm of several weeks", "state slipped", "state untried",
        "state wobbling", "verdict not-placed", "verdict paused",
    ),
    2: (
        "counted on the opening day", "finding after-a-hold", "group gap",
        "group open", "holds until fading", "miss on the opening day", "note footing",
        "note young", "quiet refresh under a hold", "settled twice on a day", "skill set aside",
        "state not-shown", "state with-help",
    ),
    1: (
        "finding on-a-break", "look set of two", "hold of one day", "holds that overlap",
        "holds until birthday", "look set of three or more", "patches", "placing stopped",
        "state building", "stay lapsed", "verdict ready-taking-along",
    ),
}  # fmt: skip
"""So many of the fixed examples, or more, reach each of these."""


def reached(asked: Asked) -> frozenset[str]:
    """Return the names of all that an example reaches."""
    said = asked.json
    placed = () if asked.answer.placing is not None else (*_states(said), *_looks(said), *_later(asked, said))
    return frozenset((*_always(asked, said), *_holds(asked), *_files(asked), *placed))


def _true(**names: bool) -> Iterator[str]:
    return (name.replace("_", " ") for name, true in names.items() if true)


def _always(asked: Asked, said: Mapping[str, Any]) -> Iterator[str]:
    yield f"verdict {said['verdict']}"
    placing = asked.answer.placing
    yield from _true(
        patches=placing is not None and bool(placing.patches),
        placing_stopped=placing is not None and bool(placing.stopped_by),
        no_lesson_to_come=said["next_lesson"] is None,
        no_lesson_noted=asked.answer.last_lesson is None,
    )
    yield from (f"finding {one}" for one in _ids(asked.answer.findings))


def _ids(findings: tuple[Finding, ...]) -> Iterator[str]:
    for one in findings:
        yield getattr(one, "kind", one.id)
        yield from _ids(one.because)


def _states(said: Mapping[str, Any]) -> Iterator[str]:
    yield from (f"state {state}" for state in (*said["deciding"].values(), *said["rest"].values()))
    yield from (f"group {'met' if one['met'] else 'gap' if one['gap'] else 'open'}" for one in said["groups"])
    yield from (f"note {one['id']}" for one in said["notes"])


def _looks(said: Mapping[str, Any]) -> Iterator[str]:
    yield from _true(
        last_unit=said["next_unit"] is None,
        look_set_of_two=len(said["look_first"]) == 2,
        look_set_of_three_or_more=len(said["look_first"]) > 2,
        one_thing_with_a_look_set=bool(said["look_first"] and said["one_thing"]),
        brought_along=bool(said["brought_along"]),
    )


def _later(asked: Asked, said: Mapping[str, Any]) -> Iterator[str]:
    waits, decision = said["verdict"] in ("not-yet", "look-again"), said["decision"]
    yield from _true(
        earliest_on_the_next_lesson=waits and said["earliest"] == said["next_lesson"] is not None,
        earliest_later=waits and (said["earliest"] or "") > (said["next_lesson"] or "9"),
        earliest_never=waits and said["earliest"] is None,
        decision_in_force=decision is not None and decision["in_force"],
        stay_lapsed=decision is not None and decision["decided"] == "stay" and not decision["in_force"],
        days_of_a_skill=any(asked.course.skill[skill].days for skill in {*said["deciding"], *said["rest"]}),
    )
    because = said["holds_because"]
    if because is not None:
        yield f"holds until {'fading' if isinstance(because, Mapping) else because}"


def _holds(asked: Asked) -> Iterator[str]:
    record, on = asked.record, asked.answer.on
    known = [hold for hold in record.holds if hold.opened <= on]
    tried = {note.day for note in _under_hold(asked.answer.findings)}
    yield from _true(
        hold_open=any(isinstance(one, HoldOpen) for one in asked.answer.findings),
        hold_closed=any(hold.closed is not None and hold.closed <= on for hold in known),
        hold_since=any(hold.since is not None for hold in known),
        hold_of_one_day=any(hold.closed == hold.opened for hold in known),
        holds_that_overlap=any(a is not b and b.covers(a.opened) for a in known for b in known),
        miss_on_the_opening_day=any(hold.since is None and hold.opened in tried for hold in known),
        counted_on_the_opening_day=_is_counted_as_one_opened(asked, record, on),
        quiet_refresh_under_a_hold=_refreshes_quietly(asked, record),
    )


def _under_hold(findings: tuple[Finding, ...]) -> tuple[NoteSeen, ...]:
    return tuple(
        note
        for one in findings
        if isinstance(one, UnderHold)
        for note in one.because
        if isinstance(note, NoteSeen)
    )


def _is_counted_as_one_opened(asked: Asked, record: Record, on: int) -> bool:
    opened = {hold.opened for hold in record.holds if hold.since is None and hold.opened <= on}
    return any(
        note.day in opened and note.counts and not asked.course.skill[skill].quiet
        for skill, one in asked.answer.standings.items()
        for note in one.evidence
    )


def _refreshes_quietly(asked: Asked, record: Record) -> bool:
    return any(
        one.warmed_by is not None and any(hold.covers(one.last_seen or 0) for hold in record.holds)
        for one in asked.answer.standings.values()
    )


def _files(asked: Asked) -> Iterator[str]:
    student, studio = asked.situation.student, asked.situation.studio
    rhythms = [one["rhythm"] for one in (student, studio) if "rhythm" in one]
    settled = [one["on"] for one in student.get("settled", ())]
    yield from _true(
        planned_dates=any(day >= asked.situation.on for day in asked.situation.planned),
        holidays="event" in studio,
        rhythm=bool(rhythms),
        rhythm_of_several_weeks=any(one.get("weeks", 1) > 1 for one in rhythms),
        skill_set_aside="set_aside" in student,
        band_chosen="band_choice" in student,
        settled_twice_on_a_day=len(settled) > len(set(settled)),
    )
