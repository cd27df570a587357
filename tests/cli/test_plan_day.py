"""Which lesson a plan is for: that of the day, as long as it is to come, else the next."""

from __future__ import annotations

import json


def test_the_command_says_which_day(say):
    for words, day, title in (
        (("--on", "2025-12-02"), "2025-12-09", "Next lesson · Temwa"),
        (("--on", "2025-12-05"), "2025-12-09", "Next lesson · Temwa"),
        (("--on", "2025-12-16"), "2025-12-16", "Next lesson · Temwa · 16 December, today"),
        (("--on", "2025-12-05", "--today"), "2025-12-05", "Next lesson · Temwa · 5 December, today"),
    ):
        found = json.loads(say("plan", "temwa", "--json", *words).out)
        assert (found["on"], found["lesson_on"]) == (words[1], day)
        assert say("plan", "temwa", *words).out.startswith(title)
    noted = say("plan", "temwa", "--on", "2025-12-02", "--today")
    assert noted.code == 2
    assert "the lesson of 2 December 2025 is noted already" in " ".join(noted.told.split())
