"""Small good files of every kind, to begin with where bytes are tried; together they use every key."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from readiness.course.load import load_course
from readiness.course.model import Course

__all__ = ["EVERY_VALUE", "SMALL", "STUDENT", "STUDIO", "small_course"]

SMALL = Path(__file__).parents[1] / "toml_files" / "good_courses" / "small"
"""The folder of a small course."""

STUDENT = """\
format = 1
name = "Mia"
born = "2019-05-14"
[[unit_start]]
unit = "hands"
on = 2025-10-07
[[settled]]
through = "sitting"
on = 2025-10-07
[[lesson]]
on = 2025-11-18
alone = ["rounded-hand-rest", "names-arm-parts"]
cue = ["rounded-hand-keys"]
remarks = { rounded-hand-keys = "left sinks" }
[[lesson]]
on = 2025-11-25
alone = ["rounded-hand-rest", "rounded-hand-keys", "feet-supported"]
not_shown = ["wrist-lift"]
not_tried = ["sit-tall"]
by = "OB"
note = "short lesson"
[[hold]]
opened = 2025-11-26
words = "wrist sore"
part = "hand"
closed = 2025-11-30
closed_by = "mother"
closed_words = "all well"
[[set_aside]]
skill = "names-arm-parts"
on = 2025-11-25
agreed_with = "family"
[[decision]]
on = 2025-11-25
unit = "hands"
computed = "look-again"
decided = "stay"
[[task]]
given = 2025-11-25
for_skill = "wrist-lift"
text = "Twice a day."
minutes_day = 2
days_planned = 4
days_reported = 3
[[promise]]
given = 2025-11-25
to = "the mother"
text = "one more lesson"
due = 2025-12-09
[[placing]]
on = 2025-10-07
"""
EVERY_VALUE = r"""
title = "a \u00e9 \"b\" \\ \t" # remark
'quoted key' = 'c:\d'
a.b."c d" = '''
two
lines'''
x = [1, +2, -3, 1_000, 0xff, 0o17, 0b11, 1.5, -0.0, 6.6e-3, inf, nan]
y = [true, false, [[], [{}]], { p = 1, q.r = 2 }]
d = [2025-12-02, 07:32:00, 07:32:00.999, 1979-05-27T07:32:00Z, 1979-05-27 07:32:00.5-07:00]
[t.u]
k = 1
[[t.v]]
[[t.v]]
k = 2
[t.v.w]
"""
STUDIO = """\
format = 1
name = "Small studio"
course = "course"
students = "."
term_end = 2025-12-19
today = 2025-12-02
[courses]
other = "course"
[teachers]
OB = "One"
[[event]]
name = "Sharing afternoon"
on = 2026-03-14
[[event]]
from = 2025-12-20
to = 2026-01-04
[lesson_dates]
all = [2025-12-16]
mia = [2025-12-11]
"""


@cache
def small_course() -> Course:
    """Return the small course, read once."""
    course = load_course(SMALL).course
    assert course is not None
    return course
