"""Judging: from what was seen to a verdict with reasons. Pure functions of (course, record, day)."""

from readiness.judging.answer import Answer
from readiness.judging.as_json import answer_to_dict
from readiness.judging.engine import ChangeError, judge, what_if

__all__ = ["Answer", "ChangeError", "answer_to_dict", "judge", "what_if"]
