"""A whole network: many parts, one after the other or spread over processes and machines.

The same job for all of them, through the standard interface of ``concurrent.futures``: a pool
of processes on one machine, or ``dask.distributed.Client.get_executor()`` on many. Which of
them it is, and who is done first, changes no byte of the answer.
"""

from __future__ import annotations

from collections.abc import Iterable
from concurrent.futures import Executor
from functools import partial
from pathlib import Path

import pyarrow as pa

from readiness.cohort.columns import Unreadable
from readiness.cohort.judge import Judged, judge_columns
from readiness.cohort.kernel import VERDICTS
from readiness.cohort.parquet import read_part
from readiness.course.model import Course

__all__ = ["judge_parts", "to_table"]


def judge_parts(
    parts: Iterable[Path], course: Course, on: int, executor: Executor | None = None, states: bool = False
) -> tuple[Judged | Unreadable, ...]:
    """Judge all students of some parts.

    Args:
        parts: the folders; every process must find them under the same path.
        course: what is taught.
        on: the day asked about, a day number.
        executor: who does the work; without one it is done here.
        states: whether to keep the state of every skill.

    Returns:
        The answers of each part in the order given, or why it has none; a broken part hides no
        other.
    """
    job = partial(_judge_part, course=course, on=on, states=states)
    return tuple(map(job, parts) if executor is None else executor.map(job, parts))


def _judge_part(folder: Path, course: Course, on: int, states: bool) -> Judged | Unreadable:
    found = _read_and_judge(folder, course, on, states)
    if isinstance(found, Unreadable) and found.id == "no-file":  # it may have been written anew meanwhile
        found = _read_and_judge(folder, course, on, states)
    return found


def _read_and_judge(folder: Path, course: Course, on: int, states: bool) -> Judged | Unreadable:
    columns = read_part(folder)
    return columns if isinstance(columns, Unreadable) else judge_columns(columns, course, on, states)


def to_table(parts: Iterable[Judged | Unreadable]) -> pa.Table:
    """Return answers as one table: part, id, unit, band, verdict and the one beneath a hold or break.

    Parts that could not be read have no rows.
    """
    judged = (one for one in parts if isinstance(one, Judged))
    schema = pa.schema(
        [(name, pa.string()) for name in ("part", "id", "unit", "band", "verdict", "underlying")]
    )
    return pa.concat_tables([schema.empty_table(), *(_table(one, schema) for one in judged)])


def _table(judged: Judged, schema: pa.Schema) -> pa.Table:
    units = pa.array([*judged.units, None], pa.string())
    unit = judged.unit.astype("int64")
    unit[unit < 0] = len(judged.units)
    verdicts = pa.array(VERDICTS)
    columns = [
        pa.repeat(judged.part, len(judged.ids)),
        judged.ids,
        units.take(pa.array(unit)),
        pa.array(judged.bands, pa.string()).take(pa.array(judged.band)),
        verdicts.take(pa.array(judged.verdict)),
        verdicts.take(pa.array(judged.underlying)),
    ]
    return pa.table(columns, schema=schema)
