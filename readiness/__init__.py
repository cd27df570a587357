"""Answers "why does this student not move up yet?" from a course and a teacher's notes.

The names most people need, each loaded when first used, so that ``readiness --help`` is quick.
"""

from __future__ import annotations

from importlib import import_module
from typing import Any, Final

_HOMES: Final = {
    "answer_to_dict": "readiness.judging.as_json",
    "build_course": "readiness.course.load",
    "build_record": "readiness.record.load",
    "find_studio": "readiness.studio.find",
    "judge": "readiness.judging.engine",
    "load_course": "readiness.course.load",
    "load_record": "readiness.record.load",
    "load_studio": "readiness.studio.load",
    "recheck": "readiness.judging.recheck",
    "tell_answer": "readiness.words.why",
    "what_if": "readiness.judging.what_if",
}

__version__ = "0.1.0"
__all__ = list(_HOMES)


def __getattr__(name: str) -> Any:  # noqa: ANN401 - it is whatever the name stands for
    """Return one of the names above from the module it lives in."""
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(_HOMES[name]), name)
