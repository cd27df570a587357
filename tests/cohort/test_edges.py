"""Exactly on the limits, where chance seldom comes: every day around breaks and staleness, every group.

What is expected is what the engine says of the same students.
"""

from __future__ import annotations

from datetime import date, timedelta
from itertools import product

from cohort.test_same_as_the_engine import expected, rows
from hypothesis import find, settings

from readiness.cohort import gather, judge_columns
from readiness.course.load import build_course
from readiness.days import day_number
from readiness.record.model import BandChoice, Hold, Lesson, Record, SetAside, Settled, Showing, UnitStart
from readiness.testing import pacings

SETTLED = day_number("2025-09-01")


def test_every_day_after_all_was_settled(course):
    """The verdict turns on the very day on which the engine's does: a break, what is stale, a new band."""
    unit = course.units[4].id
    skill = next(one.id for one in course.skills if one.unit == unit)
    for lessons in ((0,), (0, 20), (0, 21), (0, 27), (0, 28), (0, 29)):
        records = [
            Record(
                id=band.name,
                name="Made up",
                born=SETTLED - 6 * 365,
                unit_starts=(UnitStart(unit, SETTLED),),
                settled=(Settled(unit, SETTLED),),
                lessons=tuple(Lesson(SETTLED + day, (Showing(skill, 0, 0),)) for day in lessons),
                band_choices=(BandChoice(band.name, SETTLED),),
            )
            for band in course.bands
        ]
        records.sort(key=lambda one: one.id)
        columns = gather("edge", records, course)
        for day in range(SETTLED, SETTLED + 60):
            found = rows(judge_columns(columns, course, day))
            assert found == expected(course, records, day, states=False), (lessons, day - SETTLED)


def skill(unit: str, **more: object) -> dict:
    return {
        "name": "Made up", "unit": unit, "strand": "only", "kind": "habit", "fade": "slow", "minutes": 3,
        "shown_when": "Shown 3 of 3.", "stands_on": [], "remedies": ["One way.", "Another."], **more,
    }  # fmt: skip


def test_every_way_to_meet_a_group() -> None:
    """Each of three members is set aside or not, and untried, shown, or tried with help."""
    members = ["a", "b", "c"]
    graph = {
        "format": 1, "name": "Made up", "edition": "1", "strand": {"only": {"name": "Only"}},
        "unit": {u: {"name": u, "aim": "Made up.", "lesson_weeks": 2} for u in ("one", "two")},
        "skill": {
            **{name: skill("one") for name in members},
            "z": skill("one", asks_pain=True, always_look=True),
            **{f"g{n}": skill("two", stands_on_some=[{"at_least": n, "of": members}]) for n in (1, 2, 3)},
        },
    }  # fmt: skip
    plain = find(pacings(), lambda _: True, settings=settings(database=None))
    for carry, left in product((0, 1, 4), ((), ("g3",), ("g2", "g3"))):
        pacing = {**plain, "band": {k: {**v, "carry_limit": carry} for k, v in plain["band"].items()}}
        course = build_course(
            {**graph, "skill": {k: v for k, v in graph["skill"].items() if k not in left}}, pacing
        )
        records = [
            Record(
                id=f"s{number:04}",
                name="Made up",
                born=date(2018, 1, 1).toordinal(),
                unit_starts=(UnitStart("one", SETTLED),),
                lessons=tuple(_lessons(members, helps)),
                set_aside=tuple(
                    SetAside(m, SETTLED) for m, is_aside in zip(members, aside, strict=True) if is_aside
                ),
            )
            for number, (aside, helps) in enumerate(
                product(product((0, 1), repeat=3), product((None, 0, 3), repeat=3))
            )
        ]
        on = SETTLED + 14
        assert rows(judge_columns(gather("edge", records, course), course, on)) == expected(
            course, records, on, states=False
        )


def _lessons(members: list[str], helps: tuple[int | None, ...]) -> list[Lesson]:
    """Return lessons in which each member is shown with so much help, or not at all."""
    shown = [
        Showing(m, help_given, 0)
        for m, help_given in zip(members, helps, strict=True)
        if help_given is not None
    ]
    return [Lesson(SETTLED + day, (*shown, Showing("z", 0, 0))) for day in (0, 7, 14)]


def test_a_day_before_anything_was_noted(course):
    long_ago = (date(1990, 1, 1) - timedelta(days=1)).toordinal()
    record = Record("s0", "Made up", SETTLED, unit_starts=(UnitStart(course.units[0].id, SETTLED),))
    columns = gather("edge", [record], course)
    for day in (long_ago, SETTLED - 1, SETTLED):
        assert rows(judge_columns(columns, course, day)) == expected(course, [record], day, states=False)


def test_every_day_of_a_hold_and_of_what_begins(course):
    """All counts from its very day on; a hold until the day before it is closed."""
    day = SETTLED + 10
    first, second = (unit.id for unit in course.units[:2])
    taught = [one.id for one in course.skills if one.unit == first]
    record = Record(
        id="s0",
        name="Made up",
        born=SETTLED - 6 * 365,
        unit_starts=(UnitStart(first, SETTLED), UnitStart(second, day), UnitStart(first, day)),
        settled=(Settled(first, SETTLED + 3),),
        lessons=(Lesson(SETTLED, (Showing(taught[0], 4, 0),)), Lesson(SETTLED + 8)),
        holds=(
            Hold(SETTLED + 4, "Made up.", "hand", closed=SETTLED + 6),
            Hold(SETTLED + 12, "Made up.", "all"),
        ),
        set_aside=(SetAside(taught[0], SETTLED + 1),),
        band_choices=(BandChoice("adult", day), BandChoice("4-5", day)),
    )
    columns = gather("edge", [record], course)
    for on in range(SETTLED - 1, SETTLED + 15):
        found = judge_columns(columns, course, on, states=True)
        assert rows(found) == expected(course, [record], on), on - SETTLED
