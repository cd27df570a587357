"""The steps of help are in the order that is published for prompting.

Source: least-to-most prompting as in Libby, Weiss, Bancroft and Ahearn (2008), Behavior
Analysis in Practice 1:37-43, and university teaching-support pages: independent, gesture or
indirect word, direct word, model, partial physical, full physical.
"""

from __future__ import annotations

from datetime import date, timedelta
from itertools import combinations, product

import pytest

from readiness.course.model import Course
from readiness.judging import judge
from readiness.record.load import build_record
from readiness.record.model import HELPS

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
STEPS = (*LADDER, "not-shown")
"""What was tried and did not come with any help stands after all the steps."""
DAY = date(2025, 12, 2)


@pytest.mark.parametrize(("less", "more"), list(combinations(STEPS, 2)))
def test_of_two_notes_on_one_day_the_one_higher_on_the_ladder_holds(starter: Course, less, more):
    """Rule R1, in whichever order they were written."""
    for first, second in ((less, more), (more, less)):
        lessons = [{"on": DAY, step.replace("-", "_"): ["high-low-sound"]} for step in (first, second)]
        record = build_record(
            "nobody", {"format": 1, "name": "Nobody", "born": "2018-03-02", "lesson": lessons}, starter
        )
        standing = judge(starter, record, DAY.toordinal()).standings["high-low-sound"]
        assert [HELPS[evidence.help] for evidence in standing.evidence] == [more]


def test_only_the_first_step_and_where_a_band_accepts_it_the_second_make_secure(starter: Course, pacing_file):
    """Shown six weeks running with one step of help, in every band and for every kind of skill."""
    days = [DAY - timedelta(weeks=week) for week in reversed(range(6))]
    examples = {skill.kind: skill.id for skill in starter.skills}
    for band, step in product(pacing_file["band"], STEPS):
        choice = [{"band": band, "on": days[0], "reason": "a test of this band"}]
        lessons = [{"on": day, step.replace("-", "_"): list(examples.values())} for day in days]
        head = {"format": 1, "name": "Nobody", "born": "2018-03-02"}
        record = build_record("nobody", {**head, "band_choice": choice, "lesson": lessons}, starter)
        standings = judge(starter, record, DAY.toordinal()).standings
        for kind, skill in examples.items():
            accepted = LADDER[: LADDER.index(pacing_file["band"][band]["accepts"][kind]) + 1]
            assert (standings[skill].state == "secure") == (step in accepted), (band, kind, step)
