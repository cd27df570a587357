"""A start that was only said is looked at before anything is built on it."""

from __future__ import annotations

import tomllib
from pathlib import Path

ODA = ("enrol", "oda", "--name", "Oda", "--born", "2020-05", "--unit", "6")


def test_whoever_was_enrolled_far_on_and_never_seen_is_looked_at_first(say, studio, monkeypatch):
    """Enrolled in unit 6, placed in the first lesson, and begun where that says; then no start is chosen."""
    monkeypatch.chdir(studio)
    assert say(*ODA, "--on", "2025-12-02").code == 0
    for command in ("why", "plan", "sheet"):
        told = " ".join(say(command, "oda", "--on", "2025-12-02").out.split())
        assert "Whether unit 6 is right was not seen yet. To find the start in few looks" in told
        assert "`readiness place oda`" in told
        assert "Nothing is unfinished" not in told
    path = Path("students") / "oda.toml"
    with path.open("a", encoding="utf-8") as file:
        file.write("\n[[placing]]\non = 2025-12-02\n\n[[lesson]]\non = 2025-12-02\n")
        file.write('alone = ["feet-supported", "steady-beat-keys"]\nnot_shown = ["piece-one-hand"]\n')
    assert "Start here, for now" in say("place", "oda", "--on", "2025-12-02").out
    move = ("decide", "oda", "move", "--unit", "4", "--on", "2025-12-02")
    assert "please say why with --reason" in " ".join(say(*move).told.split())
    begun = say(*move, "--reason", "seen in the placing lesson")
    assert "Noted: Oda begins with unit 4" in begun.out
    assert tomllib.loads(path.read_text(encoding="utf-8"))["unit_start"][-1]["unit"] == "arms-that-travel"
    assert say("why", "oda", "--on", "2025-12-02").err == ""
    for words in (move, ("place", "oda", "--on", "2025-12-02")):
        assert "Oda has begun unit 4" in say(*words).told


def test_a_start_that_was_said_may_be_looked_at_until_a_second_lesson(say, studio, monkeypatch):
    """It is provisional until then (rule R10)."""
    monkeypatch.chdir(studio)
    say(*ODA, "--on", "2025-11-03")
    for day, is_open in (("2025-11-04", True), ("2025-11-11", False)):
        say("note", "oda", "--not-shown", "groups-of-two", "--on", day)
        asked = say("place", "oda", "--on", day)
        assert ("Oda has begun unit 6" in asked.told) is not is_open
        assert ("Where does Oda start?" in asked.out) is is_open


def test_nobody_is_sent_to_placing_once_a_start_was_decided(say, studio, monkeypatch):
    """Then `place` refuses, so `why`, `plan` and `sheet` do not name it."""
    monkeypatch.chdir(studio)
    say("enrol", "eli", "--name", "Eli", "--born", "2018-03", "--placing", "--on", "2025-12-02")
    move = say("decide", "eli", "move", "--unit", "5", "--reason", "seen", "--on", "2025-12-02")
    assert "begins with unit 5" in " ".join(move.out.split())
    assert say("place", "eli", "--on", "2025-12-02").code == 2
    for command in ("why", "plan", "sheet"):
        told = " ".join(say(command, "eli", "--on", "2025-12-02").out.split())
        assert "Whether unit 5 is right was not seen yet. Look first at what it builds on." in told
