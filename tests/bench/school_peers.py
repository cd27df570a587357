"""Engine and peers on the same students: they must agree, and how long each takes.

Compared are every verdict and every state, on students of the made-up school and on odd ones. The
naive reading with networkx knows no groups, holds, breaks and the like, so it gets students for
whom none of these matters. "Loading" is of values already in memory: records for the engine, facts
and tables for the peers.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Sequence
from typing import Any

from bench.judge_against_networkx import Naive
from bench.odd_students import odd_students
from bench.peers.programs import Clingo, DuckDB, Judged
from bench.peers.rows import Rows, rows_of_course, rows_of_day, rows_of_students
from bench.school import COURSE, TODAY, student_texts
from bench.timing import Best

from readiness.course.model import Course
from readiness.judging import Answer, judge
from readiness.record.load import build_record
from readiness.record.model import Record

__all__ = ["compare", "peers_in_turn"]

Toml = dict[str, Any]
PEERS = {"clingo": Clingo, "DuckDB, one thread": DuckDB}
ODD_SEEDS = (1, 2)


def compare(course: Course, many: int) -> tuple[int, int, int]:
    """Return how many verdicts and states were compared, and how many differ in any peer.

    Args:
        many: so many students of the school, and as many odd ones for each of two seeds.
    """
    verdicts = states = differ = 0
    for students in (_plain_school(course, many), *(list(odd_students(course, many, s)) for s in ODD_SEEDS)):
        said, rows = _of_engine(_answers(course, _records(course, students))), _rows(students)
        verdicts, states = verdicts + len(said.verdicts), states + len(said.states)
        differ += sum(_differences(said, peer(rows).judged()) for peer in PEERS.values())
    return verdicts, states, differ


def _differences(one: Judged, other: Judged) -> int:
    pairs = ((one.verdicts, other.verdicts), (one.states, other.states))
    return sum(a.get(key) != b.get(key) for a, b in pairs for key in a.keys() | b.keys())


def peers_in_turn(course: Course, many: int, naive: int, rounds: int) -> tuple[Best, int]:
    """Return the times of engine and peers a student, and how many were fit for the naive reading.

    Args:
        many: how many students each peer judges; naive: at most so many for the naive reading.
    """
    students = _plain_school(course, many)
    rows, best = _rows(students), Best()
    plain = list(_fit_for_naive(course, students))[:naive]
    for _ in range(rounds):
        records = _records(course, students)
        with best.of("engine"):
            _of_engine(_answers(course, records))
        with best.of("naive networkx"):
            found = [one.answer()[0] for one, _ in plain]
        assert found == [verdict for _, verdict in plain]
        for name, peer in PEERS.items():
            with best.of(f"{name}, loading"):
                loaded = peer(rows)
            with best.of(name):
                loaded.judged()
    parts = {name: len(plain) if name == "naive networkx" else many for name in best}
    return Best({name: seconds / parts[name] for name, seconds in best.items()}), len(plain)


def _plain_school(course: Course, many: int) -> list[Toml]:
    return [tomllib.loads(text) for _, text in student_texts(course, many)]


def _records(course: Course, students: Sequence[Toml]) -> list[Record]:
    return [build_record(f"s{at}", student, course) for at, student in enumerate(students)]


def _answers(course: Course, records: Sequence[Record]) -> list[Answer]:
    return [judge(course, record, TODAY.toordinal()) for record in records]


def _of_engine(answers: Sequence[Answer]) -> Judged:
    """Return verdicts and states, in the form of the peers."""
    states = {(at, s): one.state for at, a in enumerate(answers) for s, one in a.standings.items()}
    return Judged({at: answer.verdict for at, answer in enumerate(answers)}, states)


def _files() -> Iterator[Toml]:
    for name in ("graph", "pacing"):
        yield tomllib.loads((COURSE / f"{name}.toml").read_text(encoding="utf-8"))


def _rows(students: Sequence[Toml]) -> Rows:
    return rows_of_course(*_files()) | rows_of_day(TODAY) | rows_of_students(students)


def _fit_for_naive(course: Course, students: Sequence[Toml]) -> Iterator[tuple[Naive, str]]:
    """Yield the naive reading of each student for whom nothing matters that it does not know."""
    graph, pacing = _files()
    answers = _answers(course, _records(course, students))
    for student, answer in zip(students, answers, strict=True):
        odd = student.get("set_aside") or student.get("hold") or answer.away or answer.groups
        last = course.unit[answer.next_unit].number if answer.next_unit else 0
        optional = [s for s in course.skills if answer.band in s.optional_in]
        if last and not odd and not any(course.unit[s.unit].number <= last for s in optional):
            plain = {"settled": [], **student}
            yield Naive(graph, pacing, plain, answer.unit, answer.band), answer.verdict
