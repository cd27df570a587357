"""No text of a lesson day says a word that is never said, and none of them promises anything."""

from __future__ import annotations

import re
from pathlib import Path

from readiness.cli.commands import COMMANDS

AVOIDED = [
    line
    for line in (Path(__file__).parents[1] / "words" / "avoided.txt").read_text(encoding="utf-8").splitlines()
    if line and not line.startswith("#")
]
NEVER = re.compile(
    "|".join([*(rf"\b{re.escape(word)}" for word in AVOIDED), r"\bwill be\b", "%"]), re.IGNORECASE
)
A_LESSON_DAY = (
    ("note", "chikondi", "--alone", "piece", "--hands-on", "alternate", "--not-shown", "memory"),
    ("shown", "chikondi"), ("undo", "chikondi"), ("note", "chikondi", "--alone", "zzz"),
    ("note", "chikondi", "--alone", "reads"), ("undo", "chikondi"), ("decide", "chikondi", "move"),
    ("decide", "chikondi", "move", "--reason", "x"), ("decide", "temwa", "stay"), ("task", "chikondi"),
    ("task", "temwa", "--give", "wrist", "--text", "x", "--minutes", "40", "--days", "9"), ("task", "temwa"),
    ("task", "temwa", "--report", "2", "--days", "1"), ("promise", "temwa", "--give", "x", "--to", "y"),
    ("promise", "temwa", "--answer", "2"), ("promise", "temwa"), ("pause", "temwa", "--words", "x"),
    ("undo", "temwa"), ("task", "temwa"), ("decide", "temwa", "move"), ("note", "temwa", "--cue", "sit"),
    ("resume", "temwa", "--by", "M", "--words", "x"), ("enrol", "mia", "--name", "Mia", "--born", "2019-05"),
    ("enrol", "mia", "--name", "Mia", "--born", "2019-05"), ("decide", "mia", "move"), ("forget", "mia"),
    ("forget", "mia", "--yes"), ("roster",),
)  # fmt: skip


def test_every_text_of_a_lesson_day(studio, monkeypatch, say):
    monkeypatch.chdir(studio)
    for words in A_LESSON_DAY:
        day = () if words[0] == "forget" else ("--on", "2025-12-02")
        said = say(*words, *day)
        assert said.out or said.err
        assert not NEVER.findall(said.out + said.err), words


def test_every_help(say):
    for row in COMMANDS:
        assert not NEVER.findall(say(row.name, "--help").out), row.name
