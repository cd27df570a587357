"""One more showing alone, on a day after the last note of a skill, never worsens any state.

*Worse* is falling on this ladder: a gap state (with-help, not-shown, slipped), an open one
(untried, building, wobbling, stale), met (secure, set-aside). Within the middle of the ladder
a showing may well move a skill sideways, as from wobbling to stale, when the showing is older
than the window. It works out because a showing alone counts in every band, so it ends the row
of misses and lengthens the list of days; and what it refreshes elsewhere only grows fresher.

The same holds for the verdict without hold and break. A lesson can also end a break, or be
the first one after it, so the verdict itself is left out.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

from hypothesis import given
from hypothesis import strategies as st
from laws.asking import ask, rank
from strategies import HELP_LISTS, Situation, situations

LADDER = ("not-yet", "look-again", "ready-taking-along", "ready")


@given(situations(), st.data())
def test_a_good_showing_never_worsens_a_state(situation: Situation, data: st.DataObject) -> None:
    skill = data.draw(st.sampled_from(list(situation.graph["skill"])))
    first = _last_note(situation, skill) + timedelta(days=1)
    day = max(first, situation.on - timedelta(days=data.draw(st.integers(0, 40))))
    on = max(situation.on, day)
    lessons = [*situation.student["lesson"], {"on": day, "alone": [skill]}]
    before = ask(replace(situation, on=on))
    after = ask(replace(situation, on=on).with_student(lesson=lessons), before.course)
    for name, standing in before.answer.standings.items():
        assert rank(after.answer.standings[name].state) >= rank(standing.state), name
    if before.answer.unit is not None:
        steps = [LADDER.index(asked.answer.underlying) for asked in (before, after)]
        assert steps[0] <= steps[1]


def _last_note(situation: Situation, skill: str) -> date:
    """Return the last day on which anything is said of a skill, else the day before all lessons."""
    lessons = situation.student["lesson"]
    said = [lesson["on"] for lesson in lessons if any(skill in lesson.get(h, []) for h in HELP_LISTS)]
    return max(said, default=min(lesson["on"] for lesson in lessons) - timedelta(days=1))
