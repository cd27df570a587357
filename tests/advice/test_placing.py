"""A placing round with the demo's transfer student and made-up ones: order, ends, results, words."""

from __future__ import annotations

import json
import math
import re
import tomllib
from dataclasses import replace
from datetime import date, timedelta

import pytest
from drawn import situations
from hypothesis import given, settings
from hypothesis import strategies as st

from readiness.advice.placing_crowd import ASSUMED
from readiness.advice.placing_round import PlacingLooks, looks_ahead, placing_round
from readiness.cli.inputs import Entry
from readiness.cli.main import main
from readiness.cli.students import Asking
from readiness.course.load import build_course
from readiness.course.model import bits
from readiness.days import day_number
from readiness.judging import judge
from readiness.judging.history import known_on
from readiness.record.load import build_record, load_record
from readiness.record.noting import NewLesson, note_lesson
from readiness.testing import record_of

FIRST, SECOND = day_number("2025-12-04"), day_number("2025-12-11")
ALONE, NOT_SHOWN = 0, 4


@pytest.fixture(scope="module")
def newcomer(course):
    data = {"format": 1, "name": "Made up", "born": "2017-05-01", "placing": [{"on": date(2025, 12, 4)}]}
    return build_record("made-up", data, course)


def answered(course, record, shows, on=FIRST):
    """Ask until it is enough; return every state of the round and the answers."""
    helps: dict[str, int] = {}
    rounds = []
    while True:
        now = placing_round(course, record, on, helps)
        rounds.append(now)
        if now.next is None:
            return rounds, helps
        helps |= {skill: ALONE if shows(course.skill[skill]) else NOT_SHOWN for skill in now.next.skills}


def below_unit(course, number):
    return lambda skill: skill.always_look or course.unit[skill.unit].number < number


@pytest.mark.parametrize("number", [3, 9])
def test_somebody_who_has_all_of_the_units_before(course, newcomer, number):
    rounds, helps = answered(course, newcomer, below_unit(course, number))
    end = rounds[-1]
    assert end.stop in ("settled", "lesson-full")
    assert abs(course.unit[end.start].number - number) <= 1
    assert end.start in end.fits
    assert end.result.provisional
    assert len(helps) - 5 <= 15
    assert set(end.taken).isdisjoint({*end.seen, *end.result.implied, *end.patches, *helps})


def test_first_the_seat_at_one_glance_then_something_easy(course, newcomer):
    rounds, _ = answered(course, newcomer, below_unit(course, 6))
    assert [one.next.why for one in rounds[:2]] == ["always-look", "easy-first"]
    assert set(rounds[0].next.skills) == {skill.id for skill in course.skills if skill.always_look}
    assert all(len(one.next.skills) == 1 for one in rounds[1:-1])


def test_a_look_at_what_must_be_seen_says_so(course, newcomer):
    """Where nothing else may be asked for today it is what comes next."""
    seat = {s.id: ALONE for s in course.skills if s.always_look}
    entry = [course.plan.ids[i] for i in may_be_asked(evidence(course, newcomer, FIRST))]
    must = [skill for skill in entry if course.skill[skill].must_be_seen]
    assert must
    looks = {
        skill: placing_round(course, newcomer, FIRST, seat | {entry[0]: ALONE}, {*entry} - {skill}).next
        for skill in (*must, entry[-1])
    }
    whys = {(skill in must, look.why) for skill, look in looks.items() if look is not None}
    assert whys - {(True, "confirm"), (False, "confirm")} == {(True, "must-be-seen"), (False, "halves")}


def test_nothing_is_asked_twice_and_nothing_left_alone_is_asked(course, newcomer):
    rounds, _ = answered(course, newcomer, below_unit(course, 9))
    asked = [skill for one in rounds if one.next for skill in one.next.skills]
    assert len(asked) == len(set(asked))
    without = placing_round(course, newcomer, FIRST, dict.fromkeys(asked[:5], ALONE), asked[5:6])
    assert without.next.skills != (asked[5],)


def test_a_strand_is_left_alone_after_two_clear_misses_in_a_row(course, newcomer):
    seat = {skill.id: ALONE for skill in course.skills if skill.always_look}
    reading = [skill.id for skill in course.skills if skill.strand == "reading"][:2]
    one = placing_round(course, newcomer, FIRST, seat | {reading[0]: NOT_SHOWN, reading[1]: ALONE})
    assert one.strands_closed == ()
    two = placing_round(course, newcomer, FIRST, seat | dict.fromkeys(reading, NOT_SHOWN))
    assert two.strands_closed == ("reading",)
    assert two.next is None or course.skill[two.next.skills[0]].strand != "reading"


def test_never_more_than_two_lessons(course, newcomer):
    """Answers that make no sense settle nothing; then it ends all the same."""
    odd = iter([True, False] * 40)
    data = {"format": 1, "name": "Made up", "born": "2020-12-01", "lesson": []}
    total = 0
    for on in (FIRST, SECOND, SECOND + 7):
        record = build_record("made-up", data, course)
        rounds, helps = answered(course, record, lambda skill: skill.always_look or next(odd), on)
        assert len(helps) <= 15 + 5
        total += len(helps)
        day = date.fromordinal(on)
        shown = [skill for skill, given in helps.items() if given == ALONE]
        data["lesson"].append({"on": day, "alone": shown, "not_shown": [s for s in helps if s not in shown]})
    assert rounds[-1].stop in ("two-lessons", "settled", "nothing-left")
    assert helps == {}
    assert total <= 2 * 15 + 5


def test_the_second_lesson_confirms_what_was_taken_as_there(course, newcomer):
    shows = below_unit(course, 9)
    rounds, helps = answered(course, newcomer, shows)
    lesson = {"on": date(2025, 12, 4), "alone": [s for s in helps if helps[s] == ALONE]}
    lesson["not_shown"] = [s for s in helps if helps[s] != ALONE]
    record = build_record(
        "made-up", {"format": 1, "name": "Made up", "born": "2017-05-01", "lesson": [lesson]}, course
    )
    again, _ = answered(course, record, shows, SECOND)
    assert again[0].next.why == "confirm"
    assert len(again[-1].taken) < len(rounds[-1].taken)
    before, after = (course.unit[one[-1].result.start_unit].number for one in (rounds, again))
    assert before < after <= 10  # unit 10 asks for two things only that units 1 to 8 do not have


def lesson_of(course, day, helps):
    noted = {"alone": [s for s in helps if helps[s] == ALONE], "not_shown": [s for s in helps if helps[s]]}
    return {"on": date.fromordinal(day), **{name: skills for name, skills in noted.items() if skills}}


def student(course, *lessons, **more):
    data = {"format": 1, "name": "Made up", "born": "2017-05-01", "lesson": list(lessons), **more}
    return build_record("made-up", data, course)


def test_why_it_is_enough(course, newcomer):
    """Answers that contradict each other settle nothing: a lesson is full, then two were; never more."""
    entry = [course.plan.ids[i] for i in may_be_asked(evidence(course, newcomer, FIRST))]
    seat = {s.id: ALONE for s in course.skills if s.always_look}
    mixed = seat | {skill: (NOT_SHOWN if n % 2 else ALONE) for n, skill in enumerate(entry[::6][:15])}
    assert placing_round(course, newcomer, FIRST).stop == ""
    now = placing_round(course, newcomer, FIRST, mixed)
    assert (now.stop, now.next, now.room, now.looks) == ("lesson-full", None, 0, len(mixed) - len(seat))
    once = student(course, lesson_of(course, FIRST, mixed))
    assert placing_round(course, once, FIRST).stop == "lesson-full"
    again = placing_round(course, once, SECOND)
    assert (again.stop, again.room > 0, again.next is None) == ("", True, False)
    others = [*entry[3::6], *entry[4::6]][:15]
    more = {skill: (NOT_SHOWN if n % 2 else ALONE) for n, skill in enumerate(others)}
    full = placing_round(course, once, SECOND, more)
    assert (full.stop, full.next, full.room) == ("two-lessons", None, 0)
    at_the_seat = student(course, lesson_of(course, FIRST, mixed), lesson_of(course, SECOND, seat))
    assert placing_round(course, at_the_seat, SECOND + 7).stop == ""
    second = {skill: mixed[skill] for skill in [*mixed][len(seat) : len(seat) + 4]}
    twice = student(course, lesson_of(course, FIRST, mixed), lesson_of(course, SECOND, second))
    third = placing_round(course, twice, SECOND + 7)
    assert (third.stop, third.next, third.room > 0) == ("two-lessons", None, True)
    assert third.seat_unseen == ()
    everything = placing_round(course, newcomer, FIRST, seat, entry)
    assert (everything.stop, everything.next, everything.room > 0) == ("nothing-left", None, True)


def test_nothing_is_named_to_raise_a_start_that_the_rule_has_too(course, newcomer):
    """All that was asked of units one and two came; two things were not asked; both readings start alike."""
    seat = {s.id: ALONE for s in course.skills if s.always_look}
    left, missed = ("loud-soft-sound", "echo-sing-two"), ("arm-weight-drop", "ready-hands")
    came = (
        "groups-of-three", "middle-of-keyboard", "rounded-hand-rest", "tells-two-from-three",
        "echo-clap-four", "starts-stops-on-signal", "steady-beat-body", "names-arm-parts",
        "groups-of-two", "long-short-sound", "home-set-up", "steady-beat-keys",
    )  # fmt: skip
    helps = seat | dict.fromkeys(came, ALONE) | dict.fromkeys(missed, NOT_SHOWN)
    now = placing_round(course, newcomer, FIRST, helps)
    assert (now.start, now.taken, now.raises) == (now.result.start_unit, left, ())


def evidence(course, record, on):
    return PlacingLooks(course, record, known_on(course, record, on), frozenset(), ())


def may_be_asked(now):
    skills = now.course.skills
    open_ = bits(now.footings.asked_by[-1] & ~now.asked)
    return [i for i in open_ if skills[i].strand not in now.strands_closed]


def table(now):
    """Return, by unit that is likely at all, its chance and by skill that of a showing from there."""
    units = [now.belief.within(who) for who in now.footings.starts]
    return [
        (chance, {i: now.belief.shows(i, parts) / chance for i in may_be_asked(now)})
        for chance, parts in units
        if chance > ASSUMED.negligible
    ]


@given(situations() | situations(most_units=2), st.integers(1, 4))
@settings(max_examples=30)
def test_looks_on_paper_lessen_the_doubts_most(situation, count):
    """Each time the sum of the Bhattacharyya bounds on taking a unit for the one two on is the least."""
    situation = situation.with_student(unit_start=[], hold=[])
    course = build_course(dict(situation.graph), dict(situation.pacing))
    record, on = record_of(situation, course), situation.on.toordinal()
    now = evidence(course, record, on)
    rows, able, chosen = table(now), may_be_asked(now), []
    apart = 2 if len(rows) > 2 else 1

    def doubts(looks):
        total = 0.0
        for (one, shows), (other, shows_too) in zip(rows, rows[apart:], strict=False):
            alike = math.sqrt(one * other)
            for i in looks:
                a, b = shows[i], shows_too[i]
                alike *= math.sqrt(a * b) + math.sqrt((1 - a) * (1 - b))
            total += alike
        return total

    found = [course.plan.index[skill] for skill in looks_ahead(course, record, on, count)]
    assert len(found) == (min(count, len(able)) if len(rows) > 1 else 0)
    for i in found:
        assert i in able
        assert i not in chosen
        least = min(doubts([*chosen, other]) for other in able if other not in chosen)
        assert doubts([*chosen, i]) == pytest.approx(least)
        chosen.append(i)


@pytest.mark.parametrize("few", [{}, {"cue": ["skill-02"]}, {"not_shown": ["skill-03"]}])
@given(situations())
@settings(max_examples=25)
def test_the_next_look_tells_most_or_nearly_and_is_the_easiest_of_those(few, situation):
    """What it tells is the mutual information of its outcome and the start unit, in bits (Shannon 1948)."""
    seat = [skill for skill, table in situation.graph["skill"].items() if table.get("always_look")]
    once = {"on": situation.on - timedelta(days=7), "alone": seat, **few}
    situation = situation.with_student(unit_start=[], hold=[], settled=[], lesson=[once])
    course = build_course(dict(situation.graph), dict(situation.pacing))
    record, on = record_of(situation, course), situation.on.toordinal()
    look = placing_round(course, record, on).next
    if look is None or look.why in ("always-look", "confirm"):
        return
    now = evidence(course, record, on)
    rows, (asked,) = table(now), map(course.plan.index.__getitem__, look.skills)

    def comes_out_well(i):
        return sum(chance * shows[i] for chance, shows in rows)

    def told(i):
        well, found = comes_out_well(i), 0.0
        for chance, shows in rows:
            for here, overall in ((shows[i], well), (1 - shows[i], 1 - well)):
                found += chance * here * math.log2(here / overall)
        return found

    entry = [i for i, _ in now.in_order() if now.footings.asked_by[-1] >> i & 1]
    least = ASSUMED.at_least if entry else ASSUMED.first_at_least
    if entry and now.shown[1] >> entry[-1] & 1:
        least = ASSUMED.after_miss_at_least
    able = [i for i in may_be_asked(now) if comes_out_well(i) >= least] or may_be_asked(now)
    best = max(map(told, able))
    assert asked in able
    assert told(asked) >= 0.9 * best - 0.005
    surely_as_good = [i for i in able if told(i) >= 0.9 * best + 0.005]
    assert all(course.plan.unit[asked] <= course.plan.unit[i] for i in surely_as_good)
    must = bool(course.plan.must_be_seen >> asked & 1)
    assert look.why == ("easy-first" if not entry else "must-be-seen" if must else "halves")


def test_the_demo_student_starts_where_the_hand_worked_answer_says(course, records):
    now = placing_round(course, records["rafiq"], FIRST)
    assert now.start == now.result.start_unit == "white-key-names"
    assert now.result.patches == ("rounded-hand-keys", "holds-long-notes")
    assert now.stop == "lesson-full"
    assert course.unit[now.fits[0]].number <= 7 <= course.unit[now.fits[-1]].number


def test_an_open_hold_ends_everything(course, newcomer):
    data = {
        "format": 1, "name": "Made up", "born": "2017-05-01",
        "hold": [{"opened": date(2025, 12, 1), "words": "sore", "part": "all"}],
    }  # fmt: skip
    now = placing_round(course, build_record("made-up", data, course), FIRST)
    assert (now.next, now.stop) == (None, "paused")


class Scripted:
    """Somebody at the keys who shows everything below a unit."""

    def __init__(self, keys):
        self.keys, self.said = iter(keys), []

    def say(self, text, end="\n"):
        self.said.append(text)

    def key(self):
        return next(self.keys)

    def line(self, prompt):
        return ""


def test_asking_at_the_terminal(course, demo_folder, tmp_path):
    path = tmp_path / "made-up.toml"
    path.write_text('format = 1\nname = "Made up"\nborn = "2017-05-01"\n', encoding="utf-8")
    record = load_record(path, course).record
    entry = Entry(None, course, record, tmp_path, FIRST, FIRST)
    keys = Scripted(["1", "1", "5", "u", "2", *"555555555555555555555555"])
    asking = Asking(entry, NewLesson(FIRST), keys)
    while asking.answers.asked:
        asking._ask()
    lesson = asking.answers.finished()
    assert list(lesson.helps.values())[:5] == [ALONE] * 5
    assert list(lesson.helps.values())[6] == 1
    assert any("Enough" in text for text in keys.said)
    assert note_lesson(course, record, lesson, tmp_path, FIRST, is_placing=True) == ()
    kept = tomllib.loads(path.read_text(encoding="utf-8"))
    assert kept["placing"] == [{"on": date(2025, 12, 4)}]
    after = load_record(path, course).record
    assert placing_round(course, after, FIRST).looks == len(lesson.helps) - 5
    assert judge(course, after, FIRST).verdict == "not-placed"


@pytest.mark.parametrize("answers", ["1" * 24, "111551151515151515151111"])
def test_the_counter_of_a_round_is_never_less_than_what_follows(course, tmp_path, answers):
    path = tmp_path / "made-up.toml"
    path.write_text('format = 1\nname = "Made up"\nborn = "2017-05-01"\n', encoding="utf-8")
    record = load_record(path, course).record
    keys = Scripted(list(answers))
    asking = Asking(Entry(None, course, record, tmp_path, FIRST, FIRST), NewLesson(FIRST), keys)
    while asking.answers.asked:
        asking._ask()
    questions = [" ".join(text.split()) for text in keys.said if text.rstrip().endswith("):")]
    left = [re.search(r"after this at most (\d+) more|the last one today", text) for text in questions]
    told = [int(found[1] or 0) for found in left if found]
    assert len(told) == len(questions) > 3
    assert told == sorted(told, reverse=True)
    assert all(more >= len(told) - at for at, more in enumerate(told, 1))
    assert not any(re.match(r"\d+/\d+", text) for text in questions)


@pytest.mark.parametrize("words", [["place", "rafiq", "--on", "2025-12-04"], ["place", "rafiq", "--next"]])
def test_what_is_said(capsys, monkeypatch, tmp_path, words):
    monkeypatch.chdir(tmp_path)
    assert main(words) == 0
    out = capsys.readouterr().out
    assert "%" not in out
    assert ("Unit 7, White key names" in out) == ("--next" not in words)


def test_as_json(capsys, monkeypatch, tmp_path):
    monkeypatch.chdir(tmp_path)
    assert main(["place", "rafiq", "--on", "2025-12-04", "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert (found["start_unit"], found["stop"]) == ("white-key-names", "lesson-full")
    assert found["provisional"]
    assert found["start"] == found["start_unit"]
    assert found["as_late_as"] == "together-pieces"
    assert found["stopped_by"] == [
        "free-black-key-piece", "repeats-one-spot", "reads-two-rows", "strong-beat-groups",
    ]  # fmt: skip
    assert not any(isinstance(value, float) for value in found.values())


def test_who_has_begun_is_not_placed(capsys, monkeypatch, tmp_path):
    monkeypatch.chdir(tmp_path)
    assert main(["place", "temwa"]) == 2
    assert "has begun unit 3" in capsys.readouterr().err


def test_the_same_looks_for_everybody_alike(course, newcomer):
    """The next look depends on the answers alone, not on the name or the file."""
    other = replace(newcomer, id="other", name="Other")
    shows = below_unit(course, 7)
    assert answered(course, newcomer, shows)[1] == answered(course, other, shows)[1]
