"""The page for the pocket: whole, large, nothing from outside, no name unless wished, right about playing."""

from __future__ import annotations

import re
from dataclasses import replace
from html import unescape
from itertools import combinations

import pytest

from readiness.cli.main import main
from readiness.days import day_number, iso
from readiness.judging import judge
from readiness.judging.history import known_on
from readiness.pages.pocket import pocket_page, two_looks, visits
from readiness.record.model import Hold, Promise
from readiness.school.students import Judged
from readiness.studio.feed import codes
from readiness.words.grammar import listed
from readiness.words.importing import POCKET_CARE

DAYS = ("2025-09-16", "2025-11-25", "2025-12-02", "2025-12-08")


@pytest.fixture(scope="module")
def judged_on(course, records):
    def on(day, **changes):
        changed = {id_: replace(one, **changes) for id_, one in records.items()}
        return [Judged(one, judge(course, one, day_number(day))) for one in changed.values()]

    return on


def page(course, judged, day, **options):
    called = codes([one.record for one in judged])
    return pocket_page(course, judged, called, (day_number(day), day_number(day) + 6), **options)


@pytest.mark.parametrize("day", DAYS)
def test_it_is_one_file_with_large_letters_and_no_name(course, judged_on, day):
    judged = judged_on(day)
    text = page(course, judged, day)
    assert "default-src 'none'" in text
    assert 'name="viewport" content="width=device-width' in text
    for word in ("<script", "http:", "https:", "url(", "src=", "href=", "@import"):
        assert word not in text
    assert min(int(size) for size in re.findall(r"(\d+)px(?:/|;| A)", text) if int(size) > 12) >= 17
    for one in judged:
        for word in (one.record.id, one.record.name, one.record.family):
            assert not re.search(rf"(?<!\w){word}(?!\w)", text, re.IGNORECASE) or not word
    assert all(line.partition(".")[0] in text for line in POCKET_CARE)
    assert text == page(course, judged_on(day), day)


@pytest.mark.parametrize("day", DAYS)
def test_it_names_every_lesson_of_the_week_and_nobody_else(course, judged_on, day):
    found = visits(course, judged_on(day), day_number(day) + 6)
    for one in judged_on(day):
        days = [iso(visit.day) for visit in found if visit.student.record.id == one.record.id]
        known = known_on(course, one.record, day_number(day), one.answer.calendar)
        said = known.lessons_to_come() if one.answer.is_day_known else ()  # else no day is made up
        ahead = [coming for coming, _ in zip(said, range(9), strict=False)]
        assert days == [iso(coming) for coming in ahead if coming <= day_number(day) + 6]


def test_without_a_lesson_it_is_said_once(course, judged_on):
    judged = judged_on("2025-12-07")
    called = codes([one.record for one in judged])
    text = pocket_page(course, judged, called, (day_number("2025-12-07"),) * 2)
    assert text.count("Nothing more planned in these days") == 1
    assert f"Nothing more planned in these days: {listed([called[one.record.id] for one in judged])}." in text
    assert pocket_page(course, [], {}, (1, 1)).count("Nothing more planned in these days.") == 1


@pytest.mark.parametrize("day", DAYS)
def test_no_other_two_looks_settle_more(course, judged_on, day):
    """Judged anew with each pair of the look set supposed to be shown, by the judging that answers why."""
    for one in judged_on(day):
        looks, answer = two_looks(course, one), one.answer
        told, more = page(course, [one], day), len(answer.look_first) - len(looks)
        assert f">and {more} more<" in told or not more or answer.verdict == "paused"
        assert set(looks) <= set(answer.look_first)
        if len(answer.look_first) > 2:
            assert _settled(course, one, looks) == max(
                _settled(course, one, pair) for pair in combinations(answer.look_first, 2)
            )
        else:
            assert looks == answer.look_first


def _settled(course, one, pair):
    """Return how many deciding skills would be secure on the next lesson, and how many groups met."""
    from readiness.judging.states import decide, judge_states

    on, plan = one.answer.next_lesson, course.plan
    known = known_on(course, one.record, one.answer.on, one.answer.calendar)
    known = known.with_showings([plan.index[skill] for skill in pair], on)
    band = known.band_on(course, on)
    deciding, states = decide(plan, known.unit, band, known.set_aside), judge_states(plan, known, band, on)
    return (deciding.skills & states.secure).bit_count() - len(list(deciding.unmet(states)))


def test_a_pause_is_in_capitals_and_nothing_is_played_under_it(course, judged_on):
    hold = Hold(day_number("2025-11-20"), "thumb sore", "all")
    promised = Promise(day_number("2025-11-20"), "mother", "A call to the mother of Temwa")
    text = page(course, judged_on("2025-12-02", holds=(hold,), promises=(promised,)), "2025-12-02")
    assert "NO PLAYING until an adult ends the pause" in text
    for word in ("May play", ">Look<", ">The one thing<", "thumb", "sore"):
        assert word not in text
    assert "A call to the mother of" in text
    names = page(course, judged_on("2025-12-08", promises=(promised,)), "2025-12-08")
    assert "A call to the mother of TB" in names


def test_it_is_written_over_its_own_and_gone_when_deleted(tmp_path, monkeypatch, demo_folder, capsys):
    monkeypatch.chdir(tmp_path)
    words = ["pocket", "--week", "--students", str(demo_folder), "--on", "2025-12-08"]
    for _ in range(2):
        assert main([*words, "--to", "week.html"]) == 0
    assert [path.name for path in tmp_path.iterdir()] == ["week.html"]
    capsys.readouterr()
    assert main([*words, "--names"]) == 0
    assert "Temwa" in capsys.readouterr().out
    (tmp_path / "week.html").write_text("mine")
    assert main([*words, "--to", "week.html"]) == 2


def test_no_name_of_any_student_stands_in_what_was_promised_to_another(course, records):
    """Siblings, friends, the child itself; with capitals, without, with an accent typed or not."""
    day, everybody = day_number("2025-12-08"), list(records.values())
    told = [
        words.format(name=one.name, LARGE=one.name.upper(), small=one.name.lower().replace("e", "é"))
        for one in everybody
        for words in ("A duet with {name}", "{name}'s book", "ask {LARGE} and {small}", "{name}-{name} plays")
    ]
    promised = tuple(Promise(day, "mother", words) for words in told)
    judged = [Judged(mine, judge(course, mine, day)) for one in everybody
              for mine in [replace(one, promises=promised)]]  # fmt: skip
    text = unescape(page(course, judged, "2025-12-08")).casefold().replace("é", "e")
    assert "a duet with" in text
    assert not [one.name for one in everybody if one.name.casefold() in text]
    assert all(one.name in page(course, judged, "2025-12-08", names=True) for one in everybody)


def test_a_family_name_of_two_children_is_its_letter_alone_and_small_words_stay(course, records):
    day = day_number("2025-12-08")
    names = (("Kofi", "Adjei van Dam"), ("Ama", "Adjei"), ("Bo", ""))
    promised = (Promise(day, "mother", "Kofi Adjei van Dam, Ama Adjei: the van may come"),)
    changed = [
        replace(one, name=name, family=family, promises=promised)
        for one, (name, family) in zip(records.values(), names, strict=False)
    ]
    text = page(course, [Judged(it, judge(course, it, day)) for it in changed], "2025-12-08")
    assert "KAVD A van KAVD, AA A: the van may come" in text
    assert "KAVD van KAVD, AA KAVD: the van may come" in text  # on the card of the one whose name it is
