"""A student's own particulars: asked for at enrolling, on the page for a substitute, shared with consent."""

from __future__ import annotations

import json
import tomllib
from dataclasses import fields, replace

import pytest
from cli.test_note_round import needs_terminals, terminal
from hypothesis import given
from hypothesis import strategies as st

from readiness.record.consents import may_see
from readiness.record.enrol import change_particulars
from readiness.record.load import load_record
from readiness.record.model import Particulars

__all__ = ["terminal"]

OWN = {
    "stop": "flat hand on the lid", "bench": "46 cm", "footrest": "19 cm", "distance": "tape on the floor",
    "words": "the hill is the wrist", "upsets": "being hurried", "collects": "the grandmother",
}  # fmt: skip
NEW = ("enrol", "mia", "--name", "Mia", "--born", "2019-05", "--unit", "3", "--on", "2025-12-02")
AGREED = (
    "--alternative", "sings-up-down=lays pebbles in a row", "--agreed-with", "the mother",
    "--told", "the class teacher=she shows songs by hand",
)  # fmt: skip


@pytest.fixture
def here(studio, monkeypatch, say):
    """Return the studio of one's own, in which everything is said."""
    monkeypatch.chdir(studio)
    return studio


@pytest.fixture
def enrolled(say, here, course):
    """Return a function that enrols a student of whom everything is known."""

    def make():
        typed = [word for name, words in OWN.items() for word in (f"--{name}", words)]
        assert say(*NEW, *typed, *AGREED).code == 0
        path = here / "students" / "mia.toml"
        found = load_record(path, course).record
        assert found is not None
        return found, path

    return make


def test_all_that_is_typed_at_enrolling_is_kept_in_the_file(enrolled):
    record, path = enrolled()
    assert {one.name: getattr(record.particulars, one.name) for one in fields(Particulars)} == OWN
    found = tomllib.loads(path.read_text(encoding="utf-8"))
    assert found["particulars"] == OWN
    way, told = record.alternatives[0], record.told[0]
    assert (way.skill, way.text, way.agreed_with) == ("sings-up-down", "lays pebbles in a row", "the mother")
    assert (told.to, told.what) == ("the class teacher", "she shows songs by hand")
    assert way.on == told.on == record.unit_starts[0].on
    assert path.read_text(encoding="utf-8").splitlines()[way.line - 1] == "[[alternative]]"


def test_nobody_has_to_know_any_of_it(say, here):
    assert say(*NEW).code == 0
    assert "particulars" not in tomllib.loads((here / "students" / "mia.toml").read_text(encoding="utf-8"))
    assert "Stop sign or word          ____" in say("handover", "mia").out


@pytest.mark.parametrize(
    "words, told",
    [
        (("--alternative", "sings-up-down=by hand"), "please say with --agreed-with"),
        (("--alternative", "sings-up-down", "--agreed-with", "x"), "--alternative takes SKILL="),
        (("--alternative", "sings-upp=by hand", "--agreed-with", "x"), "sings-upp"),
        (("--told", "the mother"), "--told takes WHO="),
        (("--stop", "a\x1b[2J"), "U+001B"),
    ],
)
def test_a_slip_makes_no_file(words, told, say, here):
    said = say(*NEW, *words)
    assert said.code != 0
    assert told in said.told
    assert not (here / "students" / "mia.toml").exists()


def test_the_page_for_a_substitute_fills_itself(enrolled, say, flat):
    enrolled()
    say("consent", "mia", "substitute", "yes", "--by", "the mother", "--on", "2025-12-02")
    say("consent", "mia", "set-aside", "yes", "--by", "the mother", "--on", "2025-12-02")
    for command in (("handover", "mia"), ("share", "mia", "--for", "substitute")):
        page = flat(say(*command, "--on", "2025-12-02").out)
        for words in (*OWN.values(), "lays pebbles in a row", "agreed with the mother, 2 December"):
            assert words in page
        assert "she shows songs by hand" not in page
    values = json.loads(say("handover", "mia", "--json", "--on", "2025-12-02").out)
    assert values["particulars"] == OWN
    assert [one["skill"] for one in values["alternatives"]] == ["sings-up-down"]


def test_a_substitute_asks_first_and_never_reads_what_was_said_about_the_body(say, here, flat):
    assert say("task", "temwa", "3", "days", "her", "hand", "hurt", "--on", "2025-12-02").code == 0
    give = ("promise", "temwa", "--give", "rest the sore wrist", "--to", "the mother", "--on", "2025-12-02")
    assert say(*give).code == 0
    assert say("consent", "temwa", "substitute", "yes", "--by", "the mother", "--on", "2025-12-02").code == 0
    for command in (("handover", "temwa"), ("share", "temwa", "--for", "substitute")):
        page = flat(say(*command, "--on", "2025-12-02").out)
        assert "How is it today? If something hurts, nothing is played." in page
        assert "her hand hurt" not in page + say(*command, "--json", "--on", "2025-12-02").out
        assert "sore wrist" not in page + say(*command, "--json", "--on", "2025-12-02").out


def test_without_consent_a_substitute_gets_what_keeps_the_lesson_safe_and_no_more(enrolled, say, flat):
    enrolled()
    page = flat(say("share", "mia", "--for", "substitute", "--on", "2025-12-02").out)
    for name, words in OWN.items():
        assert (words in page) == (name in ("stop", "bench", "footrest", "distance"))
    assert "lays pebbles in a row" not in page
    values = json.loads(say("share", "mia", "--for", "substitute", "--json", "--on", "2025-12-02").out)
    assert [name for name, words in values["particulars"].items() if words is None] == [
        "words", "upsets", "collects",
    ]  # fmt: skip
    assert values["alternatives"] is None


def test_the_school_gets_none_of_it_and_the_family_all(enrolled, say, flat):
    record, _ = enrolled()
    say("consent", "mia", "school", "yes", "--by", "the mother", "--on", "2025-12-02")
    texts = (*OWN.values(), "lays pebbles in a row", "she shows songs by hand")
    school = flat(say("share", "mia", "--for", "school", "--on", "2025-12-02").out)
    assert [one for one in texts if one in school] == []
    family = flat(say("share", "mia", "--for", "family", "--on", "2025-12-02").out)
    assert [one for one in texts if one not in family] == []
    kept = json.loads(say("share", "mia", "--for", "family", "--json", "--on", "2025-12-02").out)["kept"]
    assert kept["particulars"] == OWN
    assert kept["told"][0] == {
        "to": "the class teacher", "what": "she shows songs by hand", "on": "2025-12-02",
    }  # fmt: skip
    agreed = replace(record, consents={"share_substitute": True})
    assert not may_see(agreed, "substitute", 739587).may("alternatives")


def test_whoever_teaches_sees_the_agreed_way_where_the_skill_is_asked_about(enrolled, say, flat):
    enrolled()
    said = flat(say("why", "mia", "--skill", "sings-up-down", "--on", "2025-12-02").out)
    assert "agreed with the mother on 2 December" in said
    assert "lays pebbles in a row" in said
    before = flat(say("why", "mia", "--skill", "sings-up-down", "--on", "2025-12-01").out)
    assert "lays pebbles in a row" not in before


def test_the_sheet_says_the_agreed_way_beside_the_usual_one(say, here, flat):
    path = here / "students" / "temwa.toml"
    agreed = 'skill = "rounded-hand-keys"\ntext = "on the table"\nagreed_with = "Ana"\non = 2025-12-03\n'
    path.write_text(path.read_text(encoding="utf-8") + "\n[[alternative]]\n" + agreed, encoding="utf-8")
    assert "on the table" not in say("sheet", "temwa", "--on", "2025-12-02").out
    said = flat(say("sheet", "temwa", "--on", "2025-12-03").out)
    assert "Or as agreed with Ana, which counts as much: on the table" in said
    assert "agreed with Ana: on the table" in flat(say("why", "temwa", "--full", "--on", "2025-12-03").out)


def test_what_is_kept_between_two_readings_has_no_word_of_it(enrolled, say, tmp_path, monkeypatch):
    _, path = enrolled()
    cache = tmp_path / "cache"
    monkeypatch.setenv("READINESS_CACHE", str(cache))
    text = path.read_text(encoding="utf-8")
    for number in range(60):
        path.with_name(f"mia{number}.toml").write_text(text, encoding="utf-8")
    say("roster")
    data = b"".join(one.read_bytes() for one in cache.rglob("*") if one.is_file())
    assert b"mia7" in data
    said = (*OWN.values(), "lays pebbles in a row", "she shows songs by hand", "the class teacher")
    assert [one for one in said if one.encode() in data] == []
    assert "flat hand on the lid" in say("handover", "mia7").out


def test_forgetting_takes_it_all_and_a_copy_has_it(enrolled, say, here, tmp_path):
    _, path = enrolled()
    data, copy = path.read_bytes(), tmp_path / "copy.toml"
    assert say("forget", "mia", "--yes", "--export", copy).code == 0
    assert copy.read_bytes() == data
    left = [one for one in here.rglob("*") if one.is_file() and b"flat hand on the lid" in one.read_bytes()]
    assert left == []


@needs_terminals
def test_at_a_terminal_it_is_asked_for_and_the_large_key_goes_on(terminal, studio, course):
    started = terminal(*NEW, "--bench", "46 cm")
    for asked, typed in (
        ("stop sign or word: ", "flat hand"), ("footrest is: ", ""), ("is found: ", ""), ("for things: ", ""),
        ("what upsets: ", "hurry"), ("no name): ", ""), ("by agreement: ", "sings-upp"),
        ("by agreement: ", "sings-up-down"), ("in which way: ", "by hand"), ("with whom: ", "the mother"),
        ("2025-12-02): ", "2025-11-30"), ("(not the name): ", "\x04"),
    ):  # fmt: skip
        started.until(asked)
        started.type(typed if typed == "\x04" else f"{typed}\n")
    started.until("has a file now")
    assert started.ended() == 0
    record = load_record(studio / "students" / "mia.toml", course).record
    assert record is not None
    assert record.particulars == Particulars(stop="flat hand", bench="46 cm", upsets="hurry")
    assert [(one.skill, one.text) for one in record.alternatives] == [("sings-up-down", "by hand")]
    assert record.alternatives[0].on == record.unit_starts[0].on - 2
    assert record.told == ()


def changed_lines(before, after):
    """Return the lines of two texts that are not in both, those that went and those that came."""
    gone = [one for one in before.splitlines() if one not in after.splitlines()]
    return gone, [one for one in after.splitlines() if one not in before.splitlines()]


@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_only_the_words_that_change_are_changed_in_the_file(end, enrolled, say):
    """A remark behind the value, another order, line ends: all of it stays to the byte."""
    _, path = enrolled()
    text = path.read_text(encoding="utf-8").replace('bench = "46 cm"', "bench  =  '46 cm'   # the black one")
    path.write_bytes(text.replace("\n", end).encode())
    before = path.read_bytes()
    said = say("particulars", "mia", "--bench", "48 cm", "--upsets", "", "--on", "2025-12-03")
    assert said.code == 0
    assert 'Bench: 48 cm (before: "46 cm")' in " ".join(said.out.split())
    assert 'What upsets: taken out (before: "being hurried")' in " ".join(said.out.split())
    wanted = before.replace(b"'46 cm'", b'"48 cm"').replace(f'upsets = "being hurried"{end}'.encode(), b"")
    assert path.read_bytes() == wanted


def test_a_table_that_is_not_there_is_put_into_the_head_and_the_rest_stays(say, here):
    path = here / "students" / "temwa.toml"
    before = path.read_text(encoding="utf-8")
    assert say("particulars", "temwa", "--stop", "flat hand", "--collects", "the aunt").code == 0
    gone, come = changed_lines(before, path.read_text(encoding="utf-8"))
    assert (gone, come) == ([], ["[particulars]", 'stop = "flat hand"', 'collects = "the aunt"'])
    assert tomllib.loads(path.read_text(encoding="utf-8"))["particulars"]["stop"] == "flat hand"


def test_what_was_agreed_and_told_is_added_at_the_end_with_what_changes_in_one_step(enrolled, say, course):
    _, path = enrolled()
    ways = ("--alternative", "wrist=on the table", "--agreed-with", "the aunt", "--told", "the aunt=both")
    assert say("particulars", "mia", "--bench", "48 cm", *ways, "--on", "2025-12-03").code == 0
    record = load_record(path, course).record
    assert record is not None
    assert record.particulars.bench == "48 cm"
    assert [one.text for one in record.alternatives] == ["lays pebbles in a row", "on the table"]
    assert [one.what for one in record.told] == ["she shows songs by hand", "both"]
    assert say("undo", "mia").code == 0
    left = load_record(path, course).record
    assert left is not None
    assert (left.particulars.bench, len(left.alternatives), len(left.told)) == ("48 cm", 1, 1)


@pytest.mark.parametrize(
    "words, told",
    [
        (("--bench", "a\x1bb"), "U+001B"),
        (("--bench", "46 cm", "--alternative", "wrist=x"), "please say with --agreed-with"),
        (("--bench", "46 cm", "--told", "x"), "--told takes WHO="),
        (("--told", "x=y", "--on", "2199-01-01"), "2199-01-01 has not come yet"),
    ],
)
def test_a_slip_changes_nothing(words, told, enrolled, say):
    _, path = enrolled()
    before = path.read_bytes()
    said = say("particulars", "mia", *words)
    assert said.code != 0
    assert told in said.told
    assert path.read_bytes() == before


@pytest.mark.parametrize("own", ['particulars = { bench = "46 cm" }', 'particulars.bench = "46 cm"'])
def test_a_table_written_in_a_way_of_its_own_is_left_to_whoever_wrote_it(own, say, here):
    path = here / "students" / "temwa.toml"
    text = path.read_text(encoding="utf-8").replace("format = 1\n", f"format = 1\n{own}\n", 1)
    path.write_text(text, encoding="utf-8")
    said = say("particulars", "temwa", "--bench", "48 cm")
    assert said.code != 0
    assert "is written in a way of its own; change it by hand" in said.told
    assert path.read_text(encoding="utf-8") == text


def test_without_anything_to_change_they_are_listed(enrolled, say, here):
    _, path = enrolled()
    before = path.read_bytes()
    said = say("particulars", "mia")
    assert all(words in said.out for words in (*OWN.values(), "she shows songs by hand"))
    assert json.loads(say("particulars", "mia", "--json").out)["particulars"] == OWN
    assert path.read_bytes() == before
    assert "Nothing is noted yet" in say("particulars", "temwa").out


def test_who_changed_the_same_words_meanwhile_is_not_overwritten(enrolled, here, course):
    record, path = enrolled()
    text = path.read_text(encoding="utf-8").replace("46 cm", "47 cm")
    path.write_text(text, encoding="utf-8")
    refusal = change_particulars(record, here / "students", {"bench": "48 cm"})
    assert refusal is not None
    assert refusal.id == "changed"
    assert path.read_text(encoding="utf-8") == text
    assert change_particulars(record, here / "students", {"stop": "a bell"}) is None


WORDS = st.text(st.characters(exclude_categories=("C", "Z")), min_size=1, max_size=12)
CHANGES = st.dictionaries(st.sampled_from(sorted(OWN)), WORDS | st.just(""), min_size=1)
HEAD = 'format = 1\nname = "Mia"  # so called\nborn = "2019-05"\n'
TABLE = "\n[particulars]\nstop = 'x' # y\n"
REST = '\n# the first one\n[[lesson]]\non = 2025-12-02\n'


def test_whatever_is_changed_nothing_else_of_the_file_is(course, tmp_path_factory):
    """Against a plain dictionary; and without the table the file is what it was."""

    @given(st.lists(CHANGES, min_size=1, max_size=4), st.sampled_from(["", TABLE]))
    def holds(changes, table):
        path = tmp_path_factory.mktemp("students") / "mia.toml"
        path.write_text(f"{HEAD}{table}{REST}", encoding="utf-8")
        wanted = {"stop": "x"} if table else {}
        for changed in changes:
            record = load_record(path, course).record
            assert record is not None
            assert change_particulars(record, path.parent, changed) is None
            wanted = {name: words for name, words in {**wanted, **changed}.items() if words}
            text = path.read_text(encoding="utf-8")
            assert tomllib.loads(text).get("particulars", {}) == wanted
            before, _, after = text.partition("\n[particulars]\n")
            assert before == HEAD if after else text == HEAD + REST
            assert not after or after.endswith(REST)

    holds()


@needs_terminals
def test_at_a_terminal_each_is_asked_for_with_the_words_that_stand(enrolled, terminal, course):
    _, path = enrolled()
    started = terminal("particulars", "mia", "--on", "2025-12-02")
    for asked, typed in (
        ("word (flat hand on the lid): ", "\n"), ("(46 cm): ", "48 cm\n"), ("(19 cm): ", "-\n"),
        ("(tape on the floor): ", "\x04"),
    ):  # fmt: skip
        started.until(asked)
        started.type(typed)
    started.until('Bench: 48 cm (before: "46 cm")')
    assert started.ended() == 0
    record = load_record(path, course).record
    assert record is not None
    assert record.particulars == Particulars(**{**OWN, "bench": "48 cm", "footrest": ""})
