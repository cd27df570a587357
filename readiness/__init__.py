"""Answers "why does this student not move up yet?" from a course and a teacher's notes.

Begin with ``open_studio("my-studio")``, or with ``demo()``, the invented one. A ``Studio`` has ``students``,
names by id. Ask it: ``why`` gives an ``Answer``, ``plan`` a ``LessonPlan``, and so on; each comes with
``to_dict()`` and ``text()``, and a ``FilesError`` says what is wrong in the files.

>>> import readiness
>>> from datetime import date
>>> studio, day = readiness.demo(), date(2025, 12, 2)
>>> answer = studio.why("temwa", on=day)
>>> print(answer.name, answer.verdict, answer.earliest, answer.one_thing)
Temwa look-again 2025-12-09 rounded-hand-keys
>>> first = studio.plan("temwa", on=day).value.blocks[0]
>>> print(first.minutes, first.part, first.skills[0])
3 opening feet-supported

Days are ``datetime.date`` in what is asked and in an ``Answer``. In all other values, such as a plan's, and
in the functions of this page that a studio asks for you, days are numbers (``date.toordinal``). The errors
that they raise, ``ChangeError`` and ``StudioNotFoundError``, are here too.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from readiness.advice.plan import LessonPlan, PlanBlock
    from readiness.api import Answer, FilesError, Result, Studio, demo, open_studio
    from readiness.course.load import build_course, load_course
    from readiness.judging.answer import Blocker
    from readiness.judging.as_json import answer_to_dict
    from readiness.judging.engine import ChangeError as ChangeError
    from readiness.judging.engine import judge, what_if
    from readiness.judging.recheck import recheck
    from readiness.record.load import build_record, load_record
    from readiness.studio.find import StudioNotFoundError as StudioNotFoundError
    from readiness.studio.find import find_studio
    from readiness.studio.load import load_studio
    from readiness.terms import Fade, Help, Kind, State, Verdict
    from readiness.words.why import tell_answer

__version__ = "0.1.0"
__all__ = [
    "Answer", "Blocker", "Fade", "FilesError", "Help", "Kind", "LessonPlan", "PlanBlock", "Result", "State",
    "Studio", "Verdict", "answer_to_dict", "build_course", "build_record", "demo", "find_studio", "judge",
    "load_course", "load_record", "load_studio", "open_studio", "recheck", "tell_answer", "what_if",
]  # fmt: skip

_ROOMS: Final = {
    "api": ("Answer", "FilesError", "Result", "Studio", "demo", "open_studio"),
    "advice.plan": ("LessonPlan", "PlanBlock"),
    "course.load": ("build_course", "load_course"),
    "judging.answer": ("Blocker",),
    "judging.as_json": ("answer_to_dict",),
    "judging.engine": ("ChangeError", "judge", "what_if"),
    "judging.recheck": ("recheck",),
    "record.load": ("build_record", "load_record"),
    "studio.find": ("StudioNotFoundError", "find_studio"),
    "studio.load": ("load_studio",),
    "terms": ("Fade", "Help", "Kind", "State", "Verdict"),
    "words.why": ("tell_answer",),
}
_HOMES: Final = {name: room for room, names in _ROOMS.items() for name in names}


def __getattr__(name: str) -> object:
    """Return one of the names above from the module it lives in."""
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(import_module(f"{__name__}.{_HOMES[name]}"), name)


def __dir__() -> list[str]:
    """Return the names above, so that ``help`` and editors know them."""
    return [*__all__, "__doc__", "__file__", "__name__", "__path__", "__version__"]
