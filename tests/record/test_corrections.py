"""What was noted wrongly stays in the file and is never judged; a moved lesson is in one file."""

from __future__ import annotations

import json
import os
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st
from second_reading.facts import as_corrected

from readiness.days import day_number
from readiness.record.append import finish
from readiness.record.consents import kept_on, kept_to_dict
from readiness.record.load import build_record, load_record
from readiness.record.noting import NewLesson
from readiness.record.undo import correct, move_lessons, take_back
from readiness.toml.write import Refusal

OF, NOW = day_number("2025-11-25"), day_number("2025-12-09")
SKILLS = st.lists(st.sampled_from(("feet-supported", "distance-set")), max_size=2, unique=True)
NOTED = st.fixed_dictionaries({"alone": SKILLS, "cue": SKILLS})
HEAD = {"format": 1, "name": "Nia", "born": "2019-05"}
HEAD["lesson"] = [
    {"on": date(2025, 11, 25), "alone": ["feet-supported", "distance-set"], "cue": ["sit-tall-balanced"]},
    {"on": date(2025, 11, 25), "alone": ["feet-supported"]},
    {"on": date(2025, 12, 2), "alone": ["feet-supported"]},
]


def shown(record):
    return [(one.on, [(s.skill, s.help) for s in one.showings]) for one in record.lessons]


def test_a_correction_takes_out_each_note_once_and_a_whole_lesson_with_its_day(course):
    def of(*corrections):
        found = [{"on": date(2025, 12, 9), "of": date(2025, 11, 25), **one} for one in corrections]
        return shown(build_record("nia", {**HEAD, "correction": found}, course))

    as_it_was = of()
    assert of({"alone": ["feet-supported"]}) == [
        (OF, [("distance-set", 0), ("sit-tall-balanced", 1)]), *as_it_was[1:],
    ]  # fmt: skip
    twice = of({"alone": ["feet-supported"]}, {"alone": ["feet-supported"]})
    assert twice[:2] == [(OF, [("distance-set", 0), ("sit-tall-balanced", 1)]), (OF, [])]
    assert of({"whole": True, "alone": ["feet-supported"]}) == [as_it_was[0], as_it_was[2]]
    assert of({"whole": True, "alone": ["distance-set"]}) == as_it_was
    assert of({"cue": ["feet-supported"]}) == as_it_was


@given(
    lists=st.lists(NOTED, min_size=1, max_size=4),
    wrong=st.lists(st.tuples(st.booleans(), NOTED), max_size=4),
)
def test_another_reading_leaves_out_the_same(course, lists, wrong):
    day = date(2025, 11, 25)
    lessons = [{"on": day, **one} for one in lists]
    corrections = [{"on": day, "of": day, "whole": whole, **one} for whole, one in wrong]
    found = build_record("nia", {**HEAD, "lesson": lessons, "correction": corrections}, course)
    names = ("alone", "cue")
    other = as_corrected({"lesson": lessons, "correction": corrections})
    assert [notes for _, notes in shown(found)] == [
        [(skill, given) for given, name in enumerate(names) for skill in one.get(name, [])] for one in other
    ]


def test_a_family_may_see_what_was_corrected_too(course):
    wrong = {"on": date(2025, 12, 9), "of": date(2025, 11, 25), "cue": ["sit-tall-balanced"]}
    record = build_record("nia", {**HEAD, "correction": [wrong]}, course)
    kept = json.loads(json.dumps(kept_to_dict(kept_on(record, NOW))))["corrected"]
    assert kept == [
        {"skill": "sit-tall-balanced", "help": "cue", "of": "2025-11-25", "on": "2025-12-09"}
        | {"by": "", "why": ""}
    ]
    assert kept_to_dict(kept_on(record, day_number("2025-12-08")))["corrected"] == []


def test_a_correction_that_takes_nothing_out_is_named(temwa, course):
    with temwa.open("a") as file:
        file.write('\n[[correction]]\non = 2025-12-09\nof = 2025-11-25\nmodel = ["wrist-lift"]\n')
    loaded = load_record(temwa, course)
    assert loaded.record is not None
    assert [(one.id, one.severity) for one in loaded.problems] == [("corrects-nothing", "warning")]


def test_to_judging_a_corrected_note_is_as_if_it_never_was(temwa, folder, read):
    before, bytes_before = read(temwa), temwa.read_bytes()
    instead = NewLesson(OF, {"wrist-lift": 2})
    assert correct(before, folder, ["wrist-lift"], instead, NOW, "it was so") is None
    after = read(temwa)
    assert dict(after.seen.notes)["wrist-lift"][0][:2] == (OF, 2)
    as_it_was, now = (dict(one.seen.notes) for one in (before, after))
    assert {k: v for k, v in now.items() if k != "wrist-lift"} == {
        k: v for k, v in as_it_was.items() if k != "wrist-lift"
    }
    assert temwa.read_bytes().startswith(bytes_before)
    assert "it was so" in take_back(temwa, folder)
    assert read(temwa).seen.notes == before.seen.notes


def test_a_whole_day_noted_wrongly_is_no_lesson_day(temwa, folder, read):
    before = read(temwa)
    assert correct(before, folder, (), NewLesson(OF), NOW) is None
    assert set(before.seen.lesson_days) - set(read(temwa).seen.lesson_days) == {OF}


@pytest.fixture
def noemi(folder):
    return folder / "noemi.toml"


def test_a_lesson_is_moved_in_both_files_and_taken_back_in_both_by_one_step(temwa, noemi, folder, read):
    for undone_in in (noemi, temwa):
        here, there = read(temwa), read(noemi)
        lesson = here.lessons[-1]
        assert move_lessons(here, there, folder, [lesson], NOW) is None
        assert [one[1] for one in shown(read(noemi))][-1] == [(s.skill, s.help) for s in lesson.showings]
        assert shown(read(temwa)) == shown(here)[:-1]
        assert not isinstance(take_back(undone_in, folder), Refusal)
        assert (shown(read(temwa)), shown(read(noemi))) == (shown(here), shown(there))


@pytest.mark.skipif(not hasattr(os, "fork"), reason="ended in a process of its own")
@pytest.mark.parametrize("undoing", [False, True])
def test_ended_at_any_moment_it_is_in_one_file_once_somebody_looks(temwa, noemi, folder, read, undoing):
    """The process is ended before each durable step in turn, as by a battery that is empty."""
    here, there = read(temwa), read(noemi)
    if undoing:
        assert move_lessons(here, there, folder, [here.lessons[-1]], NOW) is None
    start = {path: path.read_bytes() for path in (temwa, noemi)}
    ended = 0
    for moment in range(1, 60):
        for path, data in start.items():
            path.write_bytes(data)
        if _ended_at(moment, lambda: _move_or_back(undoing, here, there, folder, temwa)):
            break
        ended += 1
        finish(folder)
        assert not (folder / ".moving.json").exists()
        lessons = len(read(temwa).lessons) - len(here.lessons), len(read(noemi).lessons) - len(there.lessons)
        assert lessons in ((0, 0), (-1, 1))
    assert ended > 3


def _move_or_back(undoing, here, there, folder, path):
    if undoing:
        take_back(path, folder)
    else:
        move_lessons(here, there, folder, [here.lessons[-1]], NOW)


def _ended_at(moment, does):
    """Do something in a process that ends at the so-manieth sync; return whether it came to its end."""
    if (child := os.fork()) == 0:  # pragma: no cover - another process
        left, sync = [moment], os.fsync

        def end(file):
            left[0] -= 1
            if not left[0]:
                os._exit(9)
            sync(file)

        os.fsync = end
        does()
        os._exit(0)
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1]) == 0


def test_where_one_file_cannot_be_written_nothing_is_moved(temwa, noemi, folder, read):
    here, there = read(temwa), read(noemi)
    temwa.write_bytes(temwa.read_bytes() + b"\nnonsense\n")
    start = noemi.read_bytes()
    refusal = move_lessons(here, there, folder, [here.lessons[-1]], NOW)
    assert refusal.id == "broken-file"
    assert shown(read(noemi)) == shown(there)
    assert noemi.read_bytes().startswith(start)
    assert not (folder / ".moving.json").exists()
