"""The steps of help are in the order that is published for prompting.

Source: least-to-most prompting as in Libby, Weiss, Bancroft and Ahearn (2008), Behavior
Analysis in Practice 1:37-43, and university teaching-support pages: independent, gesture or
indirect word, direct word, model, partial physical, full physical.
"""

from __future__ import annotations

from datetime import date
from itertools import combinations

import pytest

from readiness.course.model import Course
from readiness.judging import judge
from readiness.record.load import build_record
from readiness.record.model import HELPS
from readiness.record.schema import SHOWN, LessonBlock

PUBLISHED = ("independent", "gesture", "direct word", "model", "partial physical", "full physical")
FOLDED = {
    "independent": "alone",
    "gesture": "cue",  # gesture and word are one step here: as much as can be noted in a lesson
    "direct word": "cue",
    "model": "model",
    "partial physical": "hands-on",  # both physical steps are one here
    "full physical": "hands-on",
}
LADDER = tuple(dict.fromkeys(FOLDED[step] for step in PUBLISHED))
DAY = date(2025, 12, 2)


def test_order_of_help():
    """What was tried and did not come with any help stands after all the steps."""
    assert (*LADDER, "not-shown") == HELPS


def test_a_lesson_lists_them_in_the_same_order():
    assert tuple(name.replace("_", "-") for name in SHOWN) == HELPS
    assert [name for name in LessonBlock.model_fields if name in SHOWN] == list(SHOWN)


@pytest.mark.parametrize(("less", "more"), list(combinations(HELPS, 2)))
def test_of_two_notes_on_one_day_the_one_higher_on_the_ladder_holds(starter: Course, less, more):
    """Rule R1, in whichever order they were written."""
    for first, second in ((less, more), (more, less)):
        lessons = [{"on": DAY, step.replace("-", "_"): ["high-low-sound"]} for step in (first, second)]
        record = build_record(
            "nobody", {"format": 1, "name": "Nobody", "born": "2018-03-02", "lesson": lessons}, starter
        )
        standing = judge(starter, record, DAY.toordinal()).standings["high-low-sound"]
        assert [HELPS[evidence.help] for evidence in standing.evidence] == [more]


def test_only_the_first_two_steps_can_count(starter: Course, pacing_file):
    """A band accepts nothing, or a cue; what counts is never further up than that."""
    for band in starter.bands:
        written = pacing_file["band"][band.name]["accepts"]
        assert set(written.values()) <= set(LADDER[:2])
        assert [HELPS[most] for most in band.accepts] == list(written.values())
