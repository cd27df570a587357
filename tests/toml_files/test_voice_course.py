"""The singing course: whole, without a warning, careful of the voice, and at one with the piano course."""

from __future__ import annotations

import re
import tomllib

import pytest

from readiness.course.checks.units import BIG, SMALL
from readiness.course.load import load_course
from readiness.studio.load import check_together

NUMBER = re.compile(r"\d")


@pytest.fixture(scope="module")
def folder(course_folder):
    return course_folder.parent / "first-year-voice"


@pytest.fixture(scope="module")
def voice(folder):
    found = load_course(folder)
    assert found.problems == ()
    return found.course


def test_its_size(voice):
    assert 40 <= len(voice.skills) <= 60
    assert 6 <= len(voice.units) <= 8
    assert voice.uses == "voice"


def test_every_criterion_has_a_number_and_every_skill_two_remedies(voice):
    for skill in voice.skills:
        assert NUMBER.search(skill.shown_when), skill.id
        assert len(skill.remedies) == 2, skill.id
        assert len(set(skill.remedies)) == 2, skill.id


def test_no_unit_is_a_leap_too_big_or_too_small_in_any_band(voice):
    for band in voice.bands:
        room = band.whole("lesson_minutes") * (1 - band.number("review_share"))
        for unit in voice.units:
            asked = [s for s in voice.skills if s.unit == unit.id and band.name not in s.optional_in]
            minutes = sum(skill.minutes for skill in asked)
            assert SMALL < minutes / (room * unit.lesson_weeks) < BIG, (band.name, unit.id)


def test_care_of_the_voice_decides_and_is_looked_at_always(voice):
    always = {skill.id for skill in voice.skills if skill.always_look}
    assert {"tells-when-it-hurts", "throat-card", "stands-balanced"} == always
    safe = {skill.id for skill in voice.skills if skill.safety}
    assert {
        "tells-when-it-hurts", "throat-card", "water-and-pauses", "gentle-warm-up", "stops-when-hoarse",
        "full-not-pushed", "own-warm-up",
    } == safe  # fmt: skip
    for skill in ("throat-card", "water-and-pauses", "stops-when-hoarse", "own-warm-up"):
        assert voice.skill[skill].must_be_seen


def test_full_singing_stands_on_the_warm_up_and_the_throat_card(voice):
    plan = voice.plan
    under = set(plan.names(plan.ancestors[plan.index["full-not-pushed"]]))
    assert {"gentle-warm-up", "throat-card", "tells-when-it-hurts", "soft-and-clear"} <= under


def test_the_range_begins_at_d4_to_a4_and_is_widened_by_ear(voice):
    assert "D4 and A4" in voice.skill["easy-range"].shown_when
    assert "exact pitch is not judged" in voice.skill["easy-range"].age_note


def test_hoarseness_that_stays_goes_to_a_clinician(voice):
    assert "licensed clinician" in voice.skill["stops-when-hoarse"].age_note


SHARED = {
    "tells-when-it-hurts", "high-low-sound", "loud-soft-sound", "starts-stops-on-signal", "steady-beat-body",
    "echo-sing-two", "sings-standing-easy", "up-down-same-ear", "long-short-sound", "echo-clap-four",
    "sings-up-down", "claps-word-rhythm", "beat-against-rhythm", "strong-beat-groups", "beat-and-half-speed",
    "quarter-half-claps",
}  # fmt: skip

SAME = ("name", "kind", "fade", "minutes", "shown_when", "must_be_seen", "safety", "always_look")


def test_a_skill_with_the_same_id_is_the_same_skill_at_the_piano(voice, course):
    both = set(voice.skill) & set(course.skill)
    assert both == SHARED
    for skill in both:
        here, there = voice.skill[skill], course.skill[skill]
        for name in SAME:
            assert getattr(here, name) == getattr(there, name), (skill, name)
    assert list(check_together([course, voice])) == []
    assert not set(voice.unit) & set(course.unit)


def test_its_pacing_has_the_same_bands_and_asks_a_voice_for_no_more(voice, course):
    assert [(b.name, b.from_age) for b in voice.bands] == [(b.name, b.from_age) for b in course.bands]
    for band in voice.bands:
        piano = course.band[band.name]
        for rule in ("lesson_minutes", "activity_minutes", "play_without_pause_minutes", "check_minutes"):
            assert band.whole(rule) <= piano.whole(rule)
        assert band.numbers["practice_minutes_day"] <= piano.numbers["practice_minutes_day"]


def test_its_numbers_are_defaults_and_common_practice_only(voice, folder):
    assert not [key for key, one in voice.provenance.items() if one.changed]
    basis = tomllib.loads((folder / "pacing.toml").read_text(encoding="utf-8"))["basis"]
    assert all(text.startswith("common practice") for text in basis.values())
    assert not [text for text in basis.values() if re.search(r"[a-z]+\d{4}", text)]


def test_a_changed_number_is_held_against_the_numbers_for_singing(folder, tmp_path):
    for name in ("graph.toml", "pacing.toml"):
        (tmp_path / name).write_bytes((folder / name).read_bytes())
    pacing = tmp_path / "pacing.toml"
    text = pacing.read_text(encoding="utf-8")
    pacing.write_text(text.replace("lesson_minutes = 25", "lesson_minutes = 26"), encoding="utf-8")
    found = load_course(tmp_path).course
    changed = {key: one.default for key, one in found.provenance.items() if one.changed}
    assert changed == {("4-5", "lesson_minutes"): 25}
