"""The engine judges as two programs do that share nothing with it: a logic program and SQL.

``tests/bench/peers/rules.lp`` (run by clingo, answer set programming) and ``rules.sql`` (run by
DuckDB) were written from the rules R0 to R7 alone. Every state of every skill and every verdict is
compared, on drawn courses near the edges of the rules and on students of the shipped course.
"""

from __future__ import annotations

import tomllib
from collections import Counter
from collections.abc import Sequence
from typing import Any

import pytest
from bench.odd_students import odd_graph, odd_students
from bench.peers.programs import Clingo, DuckDB, Judged
from bench.peers.rows import Rows, rows_of_course, rows_of_day, rows_of_students, rows_of_studio
from bench.school import TODAY
from drawn import situations
from hypothesis import given, settings

from readiness.course.load import build_course
from readiness.course.model import Course
from readiness.judging import Answer, judge
from readiness.record.load import build_record
from readiness.testing import Situation, ask

PEERS = {"logic program": Clingo, "SQL": DuckDB}
MANY = 100


def of_engine(answers: Sequence[Answer]) -> Judged:
    """Return what the engine says, in the form of the peers."""
    return Judged(
        {at: answer.verdict for at, answer in enumerate(answers)},
        {(at, one.skill): one.state for at, a in enumerate(answers) for one in a.standings.values()},
    )


def rows_of(situation: Situation) -> Rows:
    course = rows_of_course(situation.graph, situation.pacing) | rows_of_studio(situation.studio)
    return course | rows_of_day(situation.on) | rows_of_students([situation.student])


@pytest.mark.parametrize("peer", PEERS)
@settings(max_examples=40)
@given(situation=situations())
def test_on_drawn_courses(peer: str, situation: Situation) -> None:
    assert PEERS[peer](rows_of(situation)).judged() == of_engine([ask(situation).answer])


@pytest.fixture(scope="module")
def files(course_folder) -> tuple[dict[str, Any], dict[str, Any]]:
    """Return the shipped course, with quiet skills and days of their own everywhere."""
    graph, pacing = (
        tomllib.loads((course_folder / f"{name}.toml").read_text(encoding="utf-8"))
        for name in ("graph", "pacing")
    )
    return odd_graph(graph), pacing


@pytest.fixture(scope="module")
def odd_course(files) -> Course:
    return build_course(*files)


@pytest.fixture(scope="module")
def students(odd_course) -> list[dict[str, Any]]:
    return list(odd_students(odd_course, MANY, seed=9))


@pytest.fixture(scope="module")
def answers(odd_course, students) -> list[Answer]:
    records = [build_record(f"s{at}", student, odd_course) for at, student in enumerate(students)]
    return [judge(odd_course, record, TODAY.toordinal()) for record in records]


@pytest.mark.parametrize("peer", PEERS)
def test_on_students_of_the_shipped_course(peer, files, students, answers) -> None:
    rows = rows_of_course(*files) | rows_of_day(TODAY) | rows_of_students(students)
    assert PEERS[peer](rows).judged() == of_engine(answers)


def test_these_students_meet_every_rule(answers) -> None:
    """A comparison says nothing about what does not occur."""
    states = Counter(one.state for answer in answers for one in answer.standings.values())
    groups = Counter((group.met, group.gap) for answer in answers for group in answer.groups)
    assert len(states) == 9
    assert {answer.verdict for answer in answers} == {
        "paused", "not-yet", "look-again", "ready-taking-along", "ready", "not-placed",
    }  # fmt: skip
    assert set(groups) == {(True, False), (False, False), (False, True)}
    assert {answer.away for answer in answers} == {None, "on-a-break", "first-lesson-back"}
    assert len({answer.band for answer in answers}) == 5
    assert any(answer.after_hold and answer.verdict != answer.underlying for answer in answers)


MAY_BE_ABSENT = (
    "always_look", "safety", "must_be_seen", "quiet", "asks_pain", "own_days", "optional_in", "some_of",
    "settled", "set_aside", "band_choice", "hold", "hold_since", "rhythm",
)  # fmt: skip


def test_each_kind_of_row_is_of_weight(files, students) -> None:
    """Taken away, it changes what is judged of these students."""
    rows = rows_of_course(*files) | rows_of_day(TODAY) | rows_of_students(students)
    whole = DuckDB(rows).judged()
    assert [kind for kind in MAY_BE_ABSENT if DuckDB(rows | {kind: []}).judged() == whole] == []
