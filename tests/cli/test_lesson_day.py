"""A lesson of six things: how many keys it takes, and that no idle key ever writes a showing."""

from __future__ import annotations

import random
from dataclasses import replace
from datetime import date
from itertools import combinations
from string import ascii_letters

import pytest

from readiness.advice.offer import KEYS, LADDER, Answers, Offered, far_skills, lesson_offer, line_letter
from readiness.advice.sheet import check_sheet
from readiness.cli.keys import Round
from readiness.cli.note import near_skills
from readiness.course.find import Near, find_skill, find_skills
from readiness.days import day_number
from readiness.judging import judge
from readiness.record.load import build_record
from readiness.record.model import HELPS
from readiness.record.noting import NewLesson
from readiness.record.rhythm import NO_CALENDAR

DAYS = ("2025-12-02", "2025-12-09")
WHO = ("temwa", "noemi", "bogdan", "chikondi", "rafiq")
IDLE = ["\n", " ", "\x1b", "\t", *ascii_letters, "ä", *"06789"]
"""Enter, space, arrows and escape (both come as one letter), and every letter: none is of the ladder."""


class Typist:
    """Somebody who presses these keys, counted, and types these lines."""

    def __init__(self, keys, lines=()):
        self.keys, self.lines, self.heard, self.pressed = list(keys), list(lines), [], 0

    def say(self, text, end="\n"):
        self.heard.append(text)

    def key(self):
        self.pressed += bool(self.keys)
        return self.keys.pop(0) if self.keys else ""

    def line(self, prompt):
        words = self.lines.pop(0) if self.lines else ""
        self.pressed += len(words) + 1
        return words


@pytest.fixture(scope="module")
def offers(course, records):
    """Return what each lesson of the demo offers."""
    return {
        (who, day): lesson_offer(course, records[who], day_number(day), NO_CALENDAR)
        for who in WHO
        for day in DAYS
    }


def round_of(course, offer, typist):
    asked = Round(course, offer.lines, NewLesson(offer.before.on), typist, lambda _: None)
    asked.last, asked.near = offer.last, near_skills(course, offer.skills, offer.before)
    return asked


@pytest.mark.parametrize("who", WHO)
def test_what_is_on_the_sheet_is_offered_on_days_with_a_note_and_without(course, records, who):
    record = records[who]
    noted = {one.on for one in record.lessons}
    for day in sorted(noted | {one + 3 for one in noted}):
        sheet = check_sheet(course, record, judge(course, record, day, NO_CALENDAR))
        wanted = {skill for item in sheet.items for skill in item.skills}
        offered = lesson_offer(course, record, day, NO_CALENDAR).skills
        assert wanted <= set(offered), (day, wanted - set(offered))
        assert len(offered) == len(set(offered))


def test_a_lesson_offers_its_plan_in_order_and_then_what_the_sheet_has_besides(course, offers):
    offer = offers["temwa", "2025-12-09"]
    assert [line.skills[0] for line in offer.lines[1:8]] == [
        "rounded-hand-keys", "echo-clap-four", "groups-high-low-middle", "wrist-lift", "groups-of-three",
        "sings-up-down", "free-black-key-piece",
    ]  # fmt: skip
    assert [line.why for line in offer.lines] == [
        "always-look", "one-thing", "fading", "fading", "look-first", "fading", "in-the-making", "music",
        "sure-success", "between",
    ]  # fmt: skip
    assert all(course.skill[one].always_look for one in offer.lines[0].skills)
    assert offer.last["wrist-lift"] == (0, day_number("2025-12-09"))  # noted on that day already


def test_the_keys_of_the_ladder_stand_in_its_order_and_no_other_key_is_a_help():
    assert [KEYS[key] for key in LADDER] == list(range(len(HELPS)))
    assert [key for key, does in KEYS.items() if isinstance(does, int)] == list(LADDER)
    assert not [key for key in (*IDLE, "") if KEYS.get(key.lower()) in (0, 1, 2, 3, 4, "fine", "hurts")]


def test_six_things_anywhere_in_the_first_twelve_lines_take_twelve_keys_at_most(course):
    """Each of the 924 choices, with any help: a letter a thing, a figure for all of one help, and the end."""
    chance, most = random.Random(12), 0
    lines = [Offered((one.id,), "rest") for one in course.skills[:14]]
    for chosen in combinations(range(12), 6):
        helps = {lines[at].skills[0]: chance.randrange(len(HELPS)) for at in chosen}
        keys = "".join(
            "".join(line_letter(at) for at in chosen if helps[lines[at].skills[0]] == given) + LADDER[given]
            for given in sorted(set(helps.values()))
        )
        typist = Typist(keys + ".")
        assert Round(course, lines, NewLesson(1), typist, lambda _: None).go().helps == helps
        most = max(most, typist.pressed)
    assert most == 12


def test_down_the_lines_six_things_take_a_key_each_and_the_twelfth_line_three(course, offers):
    offer = offers["temwa", "2025-12-09"]
    typist = Typist("\n123451.")
    assert len(round_of(course, offer, typist).go().helps) == 6
    assert typist.pressed == 8
    lines = [Offered((one.id,), "rest") for one in course.skills[:12]]
    typist = Typist("L3.")
    assert Round(course, lines, NewLesson(1), typist, lambda _: None).go().helps == {course.skills[11].id: 2}
    assert typist.pressed == 3


def test_a_letter_writes_nothing_and_what_is_asked_is_the_line_it_names(course, offers):
    offer = offers["temwa", "2025-12-09"]
    typist = Typist("DBZ1\nq\n")
    done = round_of(course, offer, typist).go()
    assert done.helps == dict.fromkeys((*offer.lines[3].skills, *offer.lines[1].skills), 0)
    told = " ".join(" ".join(typist.heard).split())
    assert "D, B Finds groups high, low and middle; Keeps the hand rounded on the keys:" in told
    assert "There is no such line." in told


def test_a_thousand_rounds_of_idle_keys_write_no_showing(course, offers):
    chance = random.Random(17)
    for _ in range(1000):
        offer = chance.choice(list(offers.values()))
        keys = chance.choices(IDLE, weights=[9, 5, 5, *[1] * (len(IDLE) - 3)], k=chance.randrange(1, 60))
        done = round_of(course, offer, Typist([*keys, "q", "\n"], ["", "li", "x"] * 20)).go()
        assert done is None or replace(done, not_tried=()).is_empty


def test_no_idle_key_writes_anything_on_any_screen(course, offers):
    """A thousand rounds through the one function that decides what a key does, everywhere."""
    chance = random.Random(18)
    for _ in range(1000):
        offer = chance.choice(list(offers.values()))
        answers = Answers(course, offer.lines, NewLesson(1))
        for key in chance.choices(IDLE, k=chance.randrange(1, 80)):
            answers.press(key)
        assert replace(answers.finished(), not_tried=()).is_empty


def test_enter_keeps_an_answer_that_is_there_and_undo_brings_the_one_before_back(course, offers):
    offer = offers["temwa", "2025-12-09"]
    answers = Answers(course, offer.lines, NewLesson(1))
    assert [answers.press(key) for key in "\n2B\nB4u"] == ["left", 1, "line", "pass", "line", 3, "back"]
    assert answers.lesson.helps == {"rounded-hand-keys": 1}
    assert answers.lesson.not_tried == offer.lines[0].skills
    assert answers.asked == [offer.lines[1]]


@pytest.mark.parametrize("who", WHO)
def test_between_what_was_meant_idle_keys_add_nothing(course, offers, who):
    """Six things in order with idle keys that answer nothing between them: those six and no others."""
    offer, chance = offers[who, DAYS[1]], random.Random(who)
    for _ in range(20):
        given = [chance.choice(LADDER) for _ in range(6)]
        keys = [key for one in given for key in (*chance.choices([" ", "\x1b", "z", "k", "8"], k=3), one)]
        done = round_of(course, offer, Typist([*keys, "."])).go()
        meant = zip(offer.lines, given, strict=False)
        assert done.helps == {skill: int(key) - 1 for line, key in meant for skill in line.skills}


def test_one_key_says_that_the_glance_was_fine(course, offers):
    offer = offers["temwa", "2025-12-09"]
    done = round_of(course, offer, Typist(["\n", "u", "\n", *"2*."])).go()
    assert done.helps == {"rounded-hand-keys": 1}  # it was passed over as not asked, so it is no longer open
    done = round_of(course, offer, Typist("*2.")).go()
    assert done.helps == {**dict.fromkeys(offer.lines[0].skills, 0), "rounded-hand-keys": 1}


def test_another_skill_is_found_by_letters_and_asked_next(course, offers):
    offer = offers["temwa", "2025-12-09"]
    typist = Typist("++3.", ["zzz", "counts-g"])
    done = round_of(course, offer, typist).go()
    assert any('there is no skill "zzz"' in text for text in typist.heard)
    ((skill, given),) = done.helps.items()
    assert (skill, given, skill in offer.skills) == ("counts-groups", 2, False)


def test_what_hurts_opens_a_pause_with_its_words_and_stops_the_questions(course, offers):
    said = []
    asked = round_of(course, offers["temwa", "2025-12-09"], Typist("1!!\n", ["", "wrist hurts"]))
    asked.pause = lambda words: said.append(words) or "Paused."
    done = asked.go()
    assert said == ["wrist hurts"]
    assert len(done.helps) == len(offers["temwa", "2025-12-09"].lines[0].skills)
    assert "Stop playing now" in " ".join(asked.typist.heard)
    assert any("No pause was opened" in text for text in asked.typist.heard)


def test_a_remark_and_how_it_was_last_stand_beside_the_question(course, offers):
    typist = Typist('\n"1.', ["left sinks"])
    done = round_of(course, offers["temwa", "2025-12-09"], typist).go()
    assert done.remarks == {"rounded-hand-keys": "left sinks"}
    asked = " ".join(" ".join(typist.heard).split())
    assert "(start here; last without help, 9 December)" in asked


@pytest.mark.parametrize("day", ["2025-11-03", "2025-11-10"])
def test_a_glance_claims_only_what_was_seen(course, day):
    """What was never asked is counted; on the day itself "new" would be as untrue as on the one after."""
    noted = {"on": date.fromisoformat(day), "alone": ["feet-supported", "sit-tall-balanced"],
             "cue": ["distance-set"]}  # fmt: skip
    start = [{"unit": course.units[0].id, "on": date(2025, 11, 3)}]
    data = {"format": 1, "name": "Ann", "born": "2020-03", "unit_start": start, "lesson": [noted]}
    record = build_record("ann", data, course)
    typist = Typist([])
    round_of(course, lesson_offer(course, record, day_number("2025-11-10"), NO_CALENDAR), typist).go()
    told = " ".join(" ".join(typist.heard).split())
    assert "last without help: 2; with a reminder: finds the distance from the keys; never asked: 2" in told


# By arguments.


def shortest(course, skill, near):
    """Return the fewest letters, two at least, that mean a skill here."""
    name = course.skill[skill].name.lower()
    begins = {text[at:] for text in (skill, name) for at in (0, *starts(text))}
    ways = {text[:size] for text in begins for size in range(2, 9)}
    fitting = [one.strip() for one in ways if find_skill(course, one, near=near) == skill]
    return min((one for one in fitting if len(one) > 1 and " " not in one), key=lambda one: (len(one), one))


def starts(text):
    return [at + 1 for at, letter in enumerate(text) if letter in "- "]


@pytest.mark.parametrize("who", WHO)
def test_six_things_by_arguments_take_forty_five_keys_at_most(course, offers, who):
    """Everything typed, from the name of the program to Enter."""
    for day in DAYS:
        offer = offers[who, day]
        near = near_skills(course, offer.skills, offer.before)
        six = [line.skills[0] for line in offer.lines[:6]]
        words = [shortest(course, one, near) for one in six]
        first, second = ",".join(words[:3]), ",".join(words[3:])
        assert [*find_skills(course, first, near=near), *find_skills(course, second, near=near)] == six
        assert len(f"readiness note {who[:2]} 1 {first} 2 {second}\n") <= 45


def test_a_word_that_fits_a_skill_of_the_own_unit_is_that_one(course):
    for typed, meant in (
        ("steady beat", "steady-beat-keys"), ("steady beat", "steady-beat-body"),
        ("finds the middle", "finds-middle-c"), ("finds the middle", "middle-of-keyboard"),
    ):  # fmt: skip
        unit = [one.id for one in course.skills if one.unit == course.skill[meant].unit]
        assert find_skill(course, typed, near=Near([(), unit])) == meant
    assert find_skill(course, "middle-of-keyboard", near=Near([["finds-middle-c"]])) == "middle-of-keyboard"


def test_a_word_that_also_means_another_skill_of_the_student_is_asked_about(course):
    """One word, two skills: near is one of unit 2, and it begins one of unit 1, or was noted for that."""
    units = [one.id for one in course.skills if course.unit[one.unit].number <= 2]
    own, both = [["closed-hand-drop"]], ("loose-shoulders", "closed-hand-drop")
    for word, more in (("loose", {"begun": units}), ("drop", {"lately": ["loose-shoulders"]})):
        assert find_skill(course, word, near=Near(own)) == "closed-hand-drop"
        found = find_skill(course, word, near=Near(own, **more))
        assert all(f"({one})" in found.message for one in both)
        assert all(find_skill(course, one, near=Near(own, **more)) == one for one in both)
    every = Near(own, units, ["loose-shoulders"])
    assert find_skill(course, "drops a loose closed hand", near=every) == "closed-hand-drop"
    assert find_skill(course, "closed", near=every) == "closed-hand-drop"


def test_a_word_that_meant_another_skill_in_the_last_lessons_is_asked_about(studio, monkeypatch, say):
    monkeypatch.chdir(studio)
    say("enrol", "hu", "--name", "Hu", "--born", "2019-06", "--unit", "1", "--on", "2025-10-01")
    for day in ("2025-10-07", "2025-10-14", "2025-10-21"):
        assert "Lets the shoulders drop" in say("note", "hu", "1", "drop,feet,sit", "--on", day).out
    hu = studio / "students" / "hu.toml"
    with hu.open("a", encoding="utf-8") as file:
        file.write('\n[[unit_start]]\nunit = "black-key-groups"\non = 2025-10-27\n')
    before, told = hu.read_bytes(), say("note", "hu", "1", "drop", "--on", "2025-10-28")
    assert told.code == 2
    assert hu.read_bytes() == before
    assert all(f"({one})" in told.err for one in ("loose-shoulders", "closed-hand-drop"))


def test_what_was_understood_is_shown(studio, monkeypatch, say):
    monkeypatch.chdir(studio)
    said = say("note", "temwa", "1", "li,ro,sin", "--on", "2025-12-09", "2", "fe", "-", "ec")
    assert said.out.startswith("Without help: Lifts the wrist; Keeps the hand rounded on the keys; Sings up")
    assert "With a reminder: Feet supported.\nNot asked: Echoes a four-beat clap.\n" in said.out
    said = say("note", "temwa", "li", "1", "ro")
    assert said.code == 2
    assert 'How was "li" shown?' in said.told
    for typed in ("2,li", "2li", "2=li"):
        said = say("note", "temwa", typed)
        assert said.told.strip().endswith("comes first, as in 2 li.")


def test_most_of_a_lesson_far_away_is_perhaps_of_another_child(course, records):
    day = day_number("2025-12-09")
    answer = judge(course, records["temwa"], day)
    far = [one.id for one in course.skills if course.unit[one.unit].number == 9]
    assert far_skills(course, records["temwa"], answer, far) == tuple(far)
    assert far_skills(course, records["temwa"], answer, far[:2]) == tuple(far[:2])
    assert far_skills(course, records["temwa"], answer, far[:1]) == ()
    for number, is_far in ((5, False), (6, True)):
        ahead = [one.id for one in course.skills if course.unit[one.unit].number == number]
        assert bool(far_skills(course, records["temwa"], answer, ahead[:2])) == is_far
    assert far_skills(course, records["temwa"], answer, answer.deciding) == ()
    assert far_skills(course, records["rafiq"], judge(course, records["rafiq"], day), far) == ()
    on, record = day_number("2025-12-15"), records["bogdan"]  # in unit 12, and most of unit 1 was long ago
    answer = judge(course, record, on)
    early = [one for one in course.skills if course.unit[one.unit].number <= 4 and not one.always_look]
    by_state = {answer.standings[one.id].state == "secure": [] for one in early}
    for one in early:
        by_state[answer.standings[one.id].state == "secure"].append(one.id)
    assert far_skills(course, record, answer, by_state[True]) == tuple(by_state[True])
    assert far_skills(course, record, answer, by_state[False]) == ()
