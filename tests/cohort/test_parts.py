"""The same job gives the same bytes plainly, on a pool of processes, on a cluster, in any order."""

from __future__ import annotations

import multiprocessing
import shutil
from concurrent.futures import ProcessPoolExecutor, ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import replace

import dask
import numpy as np
import pyarrow as pa
import pytest
from bench.cohort_made_up import TODAY, made_up, record_of
from distributed import Client, LocalCluster

from readiness.cohort import (
    VERDICTS,
    JudgedPart,
    Unreadable,
    judge_columns,
    judge_parts,
    keeps,
    numbers,
    read_part,
    to_table,
    write_part,
)  # fmt: skip
from readiness.judging import judge
from readiness.school import counts
from readiness.school.students import Judged

ARRAYS = ("verdict", "underlying", "unit", "band", "state", "gap", "look")


@pytest.fixture(scope="module")
def network(course, tmp_path_factory):
    """Return the folders of four schools; the third one is broken, the last one has nobody."""
    room = tmp_path_factory.mktemp("network")
    parts = [room / name for name in ("north", "south", "broken", "new")]
    for number, (part, students) in enumerate(zip(parts, (60, 41, 5, 0), strict=True)):
        assert write_part(part, made_up(course, students, seed=number, part=part.name)) is None
    (parts[2] / "students.parquet").write_bytes(b"no such thing")
    return parts


def as_bytes(found) -> list[bytes]:
    """Return everything an answer says, part by part."""
    said = []
    for one in found:
        if isinstance(one, Unreadable):
            said.append(repr(one).encode())
            continue
        sink = pa.BufferOutputStream()
        with pa.ipc.new_stream(sink, to_table([one]).schema) as stream:
            stream.write_table(to_table([one]))
        said.append(sink.getvalue().to_pybytes() + b"".join(getattr(one, a).tobytes() for a in ARRAYS))
    return said


@contextmanager
def processes():
    with ProcessPoolExecutor(2, mp_context=multiprocessing.get_context("spawn")) as pool:
        yield pool


@contextmanager
def threads():
    with ThreadPoolExecutor(2) as pool:
        yield pool


@contextmanager
def cluster():
    """Give the executor of a cluster on this machine: two processes, nothing to look at it with."""
    quick = {"distributed.comm.timeouts.connect": "20s", "distributed.admin.tick.interval": "1s"}
    with (
        dask.config.set(quick),
        LocalCluster(
            n_workers=2, threads_per_worker=1, processes=True, host="127.0.0.1", dashboard_address=None,
            worker_dashboard_address=None,
        ) as local,
        Client(local) as client,
    ):  # fmt: skip
        yield client.get_executor()


@pytest.mark.parametrize("engine", [threads, processes, cluster])
def test_the_engine_changes_no_byte(network, course, engine):
    plain = as_bytes(judge_parts(network, course, TODAY, states=True))
    with engine() as executor:
        assert as_bytes(judge_parts(network, course, TODAY, executor, states=True)) == plain
        backwards = judge_parts(network[::-1], course, TODAY, executor, states=True)
    assert as_bytes(backwards) == plain[::-1]


def test_a_broken_part_hides_no_other(network, course):
    north, south, broken, new = judge_parts(network, course, TODAY)
    assert [len(one.verdict) for one in (north, south, new)] == [60, 41, 0]
    assert broken.part == "broken"
    assert broken.id == "damaged"
    assert broken.message.startswith("broken: the files are not as they must be (")


def test_one_part_or_two_is_the_same(course, tmp_path):
    """What is said of a student does not depend on who else is in the part, nor on where blocks end."""
    whole = made_up(course, 2300, seed=7)
    assert len(whole.notes) == 1
    single = judge_columns(whole, course, TODAY, states=True)
    cut = int(np.searchsorted(whole.notes[0].student, 1111))
    blocks = tuple(
        type(n)(*(c[a:b] for c in n)) for n in whole.notes for a, b in [(0, cut), (cut, len(n.day))]
    )
    in_two = judge_columns(replace(whole, notes=blocks), course, TODAY, states=True)
    assert as_bytes([in_two]) == as_bytes([single])
    assert write_part(tmp_path / "made-up", whole) is None
    assert as_bytes(judge_parts([tmp_path / "made-up"], course, TODAY, states=True)) == as_bytes([single])


@pytest.fixture(scope="module")
def judged(course):
    columns = made_up(course, 400, seed=3)
    return columns, judge_columns(columns, course, TODAY)


def test_made_up_students_are_judged_as_the_engine_does(judged, course):
    columns, found = judged
    paused = VERDICTS.index("paused")
    rows = [row for row in range(0, 400, 9) if found.verdict[row] != paused]
    said = [judge(course, record_of(columns, row), TODAY).verdict for row in rows]
    assert said == [VERDICTS[found.verdict[row]] for row in rows]
    assert {"ready-taking-along", "look-again", "not-yet"} <= {verdict for _, verdict in found.verdicts()}


def test_counts_are_those_of_the_school(judged, course, records):
    columns, found = judged
    rows = [row for row in range(400) if VERDICTS[found.verdict[row]] != "paused"][:60]
    of_school = [
        Judged(record, judge(course, record, TODAY))
        for record in (record_of(columns, r) for r in rows)
    ]
    some = replace(found, verdict=found.verdict[rows], unit=found.unit[rows])
    half = [replace(some, verdict=some.verdict[a], unit=some.unit[a]) for a in (slice(25), slice(25, None))]
    assert numbers(half, course) == counts.numbers(course, of_school)
    assert numbers([], course) == counts.numbers(course, [])


def test_small_counts_are_hidden_from_readers_outside(judged, course):
    _, found = judged
    rows = keeps([found, found], course)
    assert [one.gap + one.look for one in rows] == sorted((one.gap + one.look for one in rows), reverse=True)
    assert any(0 < one.gap < 5 for one in rows)
    shown = [count for one in counts.rows_outside(rows, course, 800) for count in (one.gap, one.look)]
    assert None in shown
    assert all(count is None or count >= 5 for count in shown)
    assert sum(one.gap for one in rows) == 2 * int(found.gap.sum())
    order = [one.skill for one in counts.rows_outside(rows, course, 800)]
    assert order == sorted(order, key=list(course.skill).index), "an order by counts would tell them"


def test_a_part_that_cannot_be_read_is_not_counted_and_stops_nothing(network, course, tmp_path):
    (tmp_path / "stray").mkdir()
    found = judge_parts([*network, tmp_path / "stray"], course, TODAY)
    good = [one for one in found if isinstance(one, JudgedPart)]
    assert len(good) < len(found)
    assert numbers(found, course) == numbers(good, course)
    assert keeps(found, course) == keeps(good, course)
    assert to_table(found).equals(to_table(good))


def test_the_answers_as_one_table(network, course):
    found = [one for one in judge_parts(network, course, TODAY) if isinstance(one, JudgedPart)]
    table = to_table(found)
    assert table.column_names == ["part", "id", "unit", "band", "verdict", "underlying"]
    assert table["part"].to_pylist() == ["north"] * 60 + ["south"] * 41
    assert list(zip(table["id"].to_pylist(), table["verdict"].to_pylist(), strict=True)) == [
        pair for one in found for pair in one.verdicts()
    ]
    assert set(table["unit"].to_pylist()) <= set(course.unit)
    assert to_table([]).num_rows == 0


def test_a_student_who_is_not_placed_has_no_unit_in_the_table(course):
    columns = made_up(course, 3)
    nobody = replace(
        columns.unit_starts, start=np.zeros(4, np.int64), what=columns.born[:0], on=columns.born[:0]
    )
    table = to_table([judge_columns(replace(columns, unit_starts=nobody), course, TODAY)])
    assert table["unit"].to_pylist() == [None] * 3
    assert set(table["verdict"].to_pylist()) <= {"not-placed", "paused"}


def test_a_part_that_is_gone_is_said(course, tmp_path):
    (found,) = judge_parts([tmp_path / "nowhere"], course, TODAY)
    assert found == Unreadable("nowhere", "no-file", "nowhere: a file of this part is not there.")
    assert write_part(tmp_path / "west", made_up(course, 2)) is None
    shutil.move(next((tmp_path / "west").glob("notes-*")), tmp_path / "lost.parquet")
    (found,) = judge_parts([tmp_path / "west"], course, TODAY)
    assert found == Unreadable("west", "no-file", "west: a file of this part is not there.")
    assert isinstance(read_part(tmp_path / "west", keep=True), Unreadable)
