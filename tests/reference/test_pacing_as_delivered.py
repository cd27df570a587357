"""The shipped pacing is the table the trade gave: every number, by band.

All of it common practice, no source; where research points the same way the file's own
``[basis]`` names it. Whoever changes a shipped default changes it here too, on purpose.
"""

from __future__ import annotations

import pytest

from readiness.course.model import FADES, KINDS, Course

BANDS = ("4-5", "6-7", "8-10", "11-14", "adult")
FROM_AGE = (4, 6, 8, 11, 15)
TABLE = {
    "lesson_minutes": (30, 30, 40, 45, 50),
    "lesson_minutes_range": ((20, 30), (30, 30), (30, 45), (40, 60), (45, 60)),
    "activity_minutes": (4, 6, 9, 13, 18),
    "new_skills_per_lesson": (1, 2, 2, 3, 3),
    "new_skills_per_lesson_max": (2, 2, 3, 4, 4),
    "review_share": (0.60, 0.50, 0.40, 0.35, 0.35),
    "check_minutes": (8, 9, 10, 12, 12),
    "check_items_max": (8, 10, 12, 14, 14),
    "days_needed.motor": (3, 2, 2, 2, 2),
    "days_needed.knowledge": (2, 2, 2, 1, 1),
    "days_needed.ear": (2, 2, 2, 2, 2),
    "days_needed.reading": (3, 2, 2, 2, 2),
    "days_needed.habit": (3, 3, 2, 2, 2),
    "spread_days": (6, 6, 6, 6, 6),
    "fresh_weeks.fast": (3, 4, 5, 6, 5),
    "fresh_weeks.medium": (6, 8, 10, 12, 10),
    "fresh_weeks.slow": (12, 16, 20, 26, 20),
    "carry_limit": (2, 2, 2, 3, 3),
    "min_unit_factor": (0.75, 0.60, 0.50, 0.35, 0.40),
    "max_unit_factor": (2.00, 1.75, 1.50, 1.50, 1.75),
    "stuck_tries": (5, 5, 4, 4, 4),
    "check_gap_days": (7, 7, 7, 7, 7),
    "practice_minutes_day": ((5, 10), (10, 15), (15, 25), (20, 35), (20, 40)),
    "practice_days_week": (4, 5, 5, 5, 5),
    "play_without_pause_minutes": (5, 8, 12, 20, 25),
    "practice_rise_percent_week": (20, 20, 20, 20, 20),
    "adult_beside": ("always", "always or nearby", "nearby, looks in", "on request", "none"),
    "break_weeks": (3, 3, 4, 4, 4),
    "beat_range": ((100, 140), (90, 130), (70, 120), (60, 120), (60, 120)),
}
USUAL = """
lesson_minutes               180   15-45    20-45    20-60    20-90
lesson_minutes_range         180   15-45    20-45    20-60    20-90
activity_minutes             180   2-8      3-12     4-20     5-30
new_skills_per_lesson        20    1-3      1-3      1-4      1-5
new_skills_per_lesson_max    20    1-3      1-4      1-5      1-6
review_share                 -     0.2-0.8
check_minutes                180   4-15     5-15     5-20     5-25
check_items_max              100   4-12     4-14     4-18     4-24
spread_days                  90    1-14
carry_limit                  4     0-4
min_unit_factor              10    0.2-1
max_unit_factor              10    1-3
stuck_tries                  50    3-10
check_gap_days               90    3-21
practice_minutes_day         240   2-20     3-30     5-45     5-90
practice_days_week           -     3-7
play_without_pause_minutes   120   2-8      3-12     4-20     5-40
practice_rise_percent_week   25    0-20
break_weeks                  52    2-8
beat_range                   300   40-208
days_needed.motor            10    1-5
days_needed.knowledge        10    1-5
days_needed.ear              10    1-5
days_needed.reading          10    1-5
days_needed.habit            10    1-5
fresh_weeks.fast             520   1-12
fresh_weeks.medium           520   2-26
fresh_weeks.slow             520   4-52
"""
"""The rule, the most that can be meant ("-": the shape of the file ends it), and what a teacher finds usual
(common practice, no source), of four ages: under 6, from 6, from 8, from 11; one range is that of all. That
of ``beat_range`` are the marks of a metronome, 40 to 208, from any metronome's dial; that a rise of practice
ends at 25 per cent is nearer to "avoid sudden increases" (nasm-pama) than any more."""
CUE_ACCEPTED = ({"knowledge", "ear", "habit"}, {"habit"}, set(), set(), set())


def written(pacing_file, band: str, rule: str) -> object:
    value = pacing_file["band"][band]
    for part in rule.split("."):
        value = value[part]
    return tuple(value) if isinstance(value, list) else value


@pytest.mark.parametrize("rule", TABLE)
def test_rule(pacing_file, starter: Course, rule):
    assert tuple(written(pacing_file, band, rule) for band in BANDS) == TABLE[rule]
    assert tuple(band.numbers[rule] for band in starter.bands) == TABLE[rule]


def test_bands_and_their_ages(pacing_file, starter: Course):
    assert tuple(pacing_file["band"]) == tuple(band.name for band in starter.bands) == BANDS
    assert tuple(band.from_age for band in starter.bands) == FROM_AGE


def test_where_a_cue_is_enough(starter: Course):
    for band, kinds in zip(starter.bands, CUE_ACCEPTED, strict=True):
        assert {kind for kind, most in zip(KINDS, band.accepts, strict=True) if most == 1} == kinds


def test_the_table_is_whole(starter: Course):
    """No rule of the file is missing from the table."""
    accepts = {f"accepts.{kind}" for kind in KINDS}
    for band in starter.bands:
        assert set(band.numbers) - {"from_age", "note"} == set(TABLE) | accepts


def test_what_judging_reads_is_what_is_written(starter: Course):
    for at, band in enumerate(starter.bands):
        assert band.days_needed == tuple(TABLE[f"days_needed.{kind}"][at] for kind in KINDS)
        assert band.fresh_days == tuple(7 * TABLE[f"fresh_weeks.{fade}"][at] for fade in FADES)


def test_every_rule_has_a_basis(pacing_file):
    rules = {rule.partition(".")[0] for rule in TABLE} | {"accepts"}
    named = set(pacing_file["basis"])
    assert rules - {"lesson_minutes_range"} <= named
    assert all("common practice" in text for text in pacing_file["basis"].values())
