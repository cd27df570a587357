"""Places in hand-written TOML that is correct and unpleasant."""

from __future__ import annotations

import tomllib

import pytest
from toml_files.in_order import levels, levels_placed

from readiness.toml.locate import Spot, locate

NASTY = {
    "dotted keys": "a.b.c = 1\na.b.d = 2\na.\"e f\".'g.h' = 3\n[x.y]\nz.q = 1\na . b = 2\n",
    "tables in any order": "[a.b.c]\nd = 1\n[a]\ne = 2\n[a.b]\nf = 3\n",
    "lists of tables in lists of tables": (
        "[[a]]\n[[a.b]]\nc = 1\n[[a.b]]\nc = 2\n[a.b.d]\ne = 1\n[[a]]\n[[a.b]]\nc = 3\n[a.x]\ny = 1\n"
    ),
    "inline tables in lists": 'a = [{ b = 1, c = [2, { d = 3 }] }, {}, { e.f = 4, "g h" = [] }]\n',
    "comments in lists": "a = [ # one, [two\n  1, # ]\n  # 2,\n  [ 3 # }\n  , 4, ],\n]\nb = 1 # = [\n",
    "quotes in triple quotes": (
        'a = """x " y "" z \\""" [b]\nc = 1 """""\nd = \'\'\'it\'s \'\' [e]\nf = 2\'\'\'\'\'\n'
        'g = """"a""""\nh = ""\n'
    ),
    "quotes in quotes": 'a = "b = \\" c"\nd = \'e = "f" \\\'\n"g\\"h\\u00e9" = 1\n"" = 2\n\'i "j"\' .x = 3\n',
    "windows line ends": 'a = [\r\n  1,\r\n  2\r\n]\r\n[b]\r\nc = """x\r\ny"""\r\nd = 3\r\n',
    "dates": (
        "a = 2025-12-02 10:30:00\nb = [2025-12-02 , 2025-12-03 07:32:00Z, 07:32:00]\n"
        "c = 2025-12-02T10:30:00+01:00\nd = 2025-12-02 # 10\n"
    ),
    "numbers": "a = [+1_000, -0.5e-3, 0xff, inf, -nan, true]\n1 = 1\n2025-12-02 = 1\n3.14 = 1\n",
    "tabs and blanks": "\t[ a . b ]\t# c\n \td\t=\t[\t1\t,\n\t2]\n[[ e ]]\n",
    "letters beyond ascii": '"日本" = "é日" # é\n"é" = ["日", "b"]\n[x]\ny = "🎹"\nz = { "🎹" = 1, a = 2 }\n',
    "odd line separators in text": 'a = "x\u2028y\u0085z"\nb = 1\n',
    "nothing": "",
    "only a comment": "# a = 1",
    "no newline at the end": "a = {b = [1]}",
}


@pytest.mark.parametrize("text", NASTY.values(), ids=NASTY.keys())
def test_the_paths_are_those_of_tomllib_in_its_order(text):
    assert levels_placed(locate(text)) == levels(tomllib.loads(text))


@pytest.mark.parametrize("text", NASTY.values(), ids=NASTY.keys())
def test_every_place_is_in_the_text(text):
    lines = text.replace("\r\n", "\n").split("\n")
    for spot in locate(text).spots.values():
        assert lines[spot.line - 1][spot.column - 1 :].strip()
        assert lines[spot.value_line - 1][spot.value_column - 1 :].strip()


def test_keys_values_and_items_are_where_they_stand():
    text = '[skill.wrist-lift]\n  unit = "up"\nstands_on_some = [{ at_least = 1, of = ["a",\n  "b"] }]\n'
    places = locate(text)
    skill = ("skill", "wrist-lift")
    assert places.spots[skill] == Spot(1, 8, 1, 8)
    assert places.spots[*skill, "unit"] == Spot(2, 3, 2, 10)
    assert places.at_value((*skill, "stands_on_some", 0)) == (3, 19)
    assert places.at_key((*skill, "stands_on_some", 0, "of")) == (3, 35)
    assert places.at_value((*skill, "stands_on_some", 0, "of")) == (3, 40)
    assert places.at_value((*skill, "stands_on_some", 0, "of", 1)) == (4, 3)


def test_what_is_not_there_is_looked_for_in_what_it_would_be_in():
    places = locate("[a.b]\nc = 1\n[[d]]\ne = [1]\n")
    assert places.at_key(("a", "b", "missing", 3)) == (1, 4)
    assert places.at_value(("d", 0, "e", 7)) == (4, 1)
    assert places.at_value(("nowhere",)) == (1, 1)


def test_a_table_is_at_its_own_header_even_when_others_imply_it():
    places = locate("[a.b]\nc = 1\n[ a ] # own\nd = 2\n")
    assert places.at_key(("a",)) == (3, 3)
    assert places.header(("a", "d")) == (("a",), "[ a ]")
    assert places.header(("a", "b", "c")) == (("a", "b"), "[a.b]")
    assert places.header(("e",)) == ((), "")


def test_each_table_of_a_list_is_at_its_own_header():
    places = locate("[[lesson]]\non = 1\n\n[[lesson]]\non = 2\n[lesson.remarks]\nx = 1\n")
    assert places.at_key(("lesson",)) == (1, 3)
    assert places.at_key(("lesson", 1)) == (4, 3)
    assert places.at_key(("lesson", 1, "remarks")) == (6, 9)


def test_columns_count_letters_and_windows_line_ends_change_nothing():
    text = '"日本" = ["é", "b"]\nc = """x\ny""" # z\nd = 1\n'
    places = locate(text)
    assert places.at_value(("日本", 1)) == (1, 14)
    assert places.at_key(("d",)) == (4, 1)
    assert locate(text.replace("\n", "\r\n")).spots == places.spots


def test_deep_nesting_and_many_tables_do_not_overflow():
    deep = "a = " + "[" * 900 + "]" * 900  # deeper than tomllib itself can follow
    assert len(locate(deep).spots) == 900
    many = "".join(f"[skill.s{i}]\nof = [1, 2]\n" for i in range(5000))
    assert locate(many).at_value(("skill", "s4999", "of", 1)) == (10000, 10)
