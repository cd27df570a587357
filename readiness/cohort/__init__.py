"""Judging a network of schools: a hundred thousand students and more, as columns of numbers.

An extra of its own, because one school needs none of it. The verdicts are the very same as those
of ``readiness.judge``. Reasons, advice and sentences are not made here: they are for one child
and the teacher who knows it.
"""

from __future__ import annotations

from importlib.util import find_spec

_MISSING = [name for name in ("numba", "numpy", "pyarrow") if find_spec(name) is None]
if _MISSING:
    raise ModuleNotFoundError(
        "Judging a network of schools needs more than one school does: pip install '.[cohort]'.",
        name=_MISSING[0],
    )

from readiness.cohort.columns import Columns, Unreadable, read_part, write_part
from readiness.cohort.gather import gather
from readiness.cohort.judge import JudgedPart, judge_columns, judge_parts, to_table
from readiness.cohort.kernel import STATES, VERDICTS
from readiness.cohort.network import Keeps, Tally, judge_network, keeps, numbers, parts_in

__all__ = [
    "STATES", "VERDICTS", "Columns", "JudgedPart", "Keeps", "Tally", "Unreadable", "gather", "judge_columns",
    "judge_network", "judge_parts", "keeps", "numbers", "parts_in", "read_part", "to_table", "write_part",
]  # fmt: skip
