"""Home practice: a page for the fridge, and the report of a week by one line."""

from __future__ import annotations

import tomllib

import pytest

ON = ("--on", "2025-12-02")


@pytest.fixture
def temwa(studio, monkeypatch, say):
    monkeypatch.chdir(studio)
    return studio / "students" / "temwa.toml"


def test_a_week_is_reported_by_one_line_and_taken_back_by_one_word(temwa, say):
    before = temwa.read_bytes()
    said = say("task", "temwa", "5", "days", "fine", "--on", "2025-12-09")
    assert said.code == 0
    task = tomllib.loads(temwa.read_text(encoding="utf-8"))["task"][-1]
    assert (task["days_reported"], task["reported"]) == (5, "fine")
    assert "no task waits for a report" in say("task", "temwa", "5 days").told
    assert say("undo", "temwa").code == 0
    assert temwa.read_bytes().startswith(before[:200])
    assert say("task", "temwa", "0 days: she was ill").code == 0
    task = tomllib.loads(temwa.read_text(encoding="utf-8"))["task"][-1]
    assert (task["days_reported"], task["reported"]) == (0, "she was ill")


@pytest.mark.parametrize("words", [("fine",), ("five", "days"), ("days", "5")])
def test_what_is_no_report_is_said(temwa, say, words):
    before = temwa.read_bytes()
    said = say("task", "temwa", *words)
    assert (said.code, "as in `readiness task temwa 5 days fine`" in " ".join(said.told.split())) == (2, True)
    assert temwa.read_bytes() == before


def test_where_something_may_hurt_the_page_has_nothing_to_play(temwa, say, tmp_path):
    page = tmp_path / "fridge.html"
    say("note", "temwa", "--alone", "wrist-lift", "--text", "left wrist sore", *ON)
    said = say("task", "temwa", "--to", page, *ON)
    assert (said.code, page.exists()) == (2, False)
    assert "no open task of these two weeks without playing. Ask first how it is today. If" in said.told
    assert ": ask first; not for now." in " ".join(say("task", "temwa", *ON).out.split())
    listen = ("--give", "high-low-sound", "--text", "Listen for it", "--minutes", "2", "--days", "3")
    assert say("task", "temwa", *listen, *ON).code == 0
    assert say("task", "temwa", "--to", page, *ON).code == 0
    text = page.read_text(encoding="utf-8")
    waits = "Playing can wait until a grown-up has asked how you are."
    assert 0 < text.find(waits) < text.index("Listen for it")
    assert "Lid game" not in text
    say("note", "temwa", "--alone", "wrist-lift", "--on", "2025-12-09")
    assert say("task", "temwa", "--to", page, "--on", "2025-12-09").code == 0
    assert "Playing can wait" not in page.read_text(encoding="utf-8")


def test_the_page_for_the_fridge_has_a_box_a_day_and_no_name_if_wished(temwa, say, tmp_path):
    page = tmp_path / "fridge.html"
    assert say("task", "temwa", "--to", page, *ON).code == 0
    text = page.read_text(encoding="utf-8")
    assert "Temwa at home, 3 December to 9 December" in text
    assert "Lid game: wrist up in four" in text
    assert "2 minutes, on 4 days" in text
    assert text.count("<i></i>") == 7
    assert "Stop at once when something hurts" in text
    assert text.index(">Wed<") < text.index(">Tue<")
    assert say("task", "temwa", "--to", page, "--no-name", *ON).code == 0
    text = page.read_text(encoding="utf-8")
    assert "temwa" not in text.casefold()
    assert "script" not in text
    assert "http:" not in text


def test_the_page_is_in_the_language_of_the_family(temwa, say, tmp_path):
    page, head = tmp_path / "fridge.html", 'name = "Temwa"\n'
    text = temwa.read_text(encoding="utf-8")
    assert head in text
    temwa.write_text(text.replace(head, f'{head}language = "es"\n', 1), encoding="utf-8", newline="\n")
    said = say("task", "temwa", "--to", page, *ON)
    assert (said.code, "This Spanish is a draft" in said.told) == (0, True)
    text = page.read_text(encoding="utf-8")
    assert '<html lang="es">' in text
    assert "Temwa en casa, del 3 de diciembre al 9 de diciembre" in text
    assert "2 minutos, 4 días" in text
    assert "Si algo duele o cansa, hay que parar enseguida" in text
    assert "Stop at once when something hurts" in text  # until somebody has signed the Spanish


def test_nothing_to_play_goes_on_a_page_during_a_pause(temwa, say, tmp_path):
    said = say("task", "linnea", "--to", tmp_path / "x.html", *ON)
    assert (said.code, "Linnea is paused" in said.told) == (2, True)
    said = say("task", "noemi", "--to", tmp_path / "x.html", "--on", "2025-01-02")
    assert (said.code, "no open task" in said.told) == (2, True)
    assert not (tmp_path / "x.html").exists()


HURT = "If something hurts: stop playing, tell the family"


@pytest.mark.parametrize("words", ["her wrist hurts again", "a burning thumb", "le duele la mano"])
@pytest.mark.parametrize(
    "command",
    [("task", "temwa", "5 days {}"), ("promise", "temwa", "--give", "we talk: {}", "--to", "family")],
)
def test_whatever_is_kept_of_something_that_hurts_says_what_to_do(temwa, say, command, words):
    """Also where there is nothing that the words could be kept with (rule C1: stop first)."""
    for kept in (words, words, "it was fine"):
        said = say(*(word.format(kept) for word in command), *ON)
        assert (HURT in " ".join((said.out + said.told).split())) == (kept == words)
