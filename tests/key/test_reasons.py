"""The reasons of a few students, worked out by hand from the rules, as the JSON tells them."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from by_hand import small

from readiness.course.load import build_course, load_course
from readiness.course.model import Course
from readiness.judging import Answer, answer_to_dict, judge
from readiness.judging.as_json import skill_to_dict
from readiness.judging.engine import ChangeError, what_if
from readiness.judging.history import known_on
from readiness.judging.lookahead import chain_up
from readiness.judging.recheck import Rechecked, recheck
from readiness.record.load import build_record, load_record
from readiness.record.model import Hold, Record
from readiness.testing import ask

PAIN = {"asks_pain": True, "always_look": True}
MADE_UP = small(
    {
        "one": {
            "stop": PAIN,
            "base": {},
            "other": {"stands_on": ["base"], "fade": "slow"},
            "more": {"days": 2, "kind": "ear"},
        },
        "two": {"top": {"stands_on": ["base"], "stands_on_some": [{"at_least": 1, "of": ["other", "more"]}]}},
    },
    {},
    date(2024, 1, 30),
)

UNDER_A_HOLD = """\
format = 1
name = "Nia"
born = "2018-01-01"
unit_start = [{ unit = "one", on = 2024-01-02 }]
[[settled]]
through = "one"
on = 2024-01-02
[[lesson]]
on = 2024-01-09
model = ["base"]
hands_on = ["top"]
[[lesson]]
on = 2024-01-16
model = ["base"]
alone = ["other"]
cue = ["top"]
[[hold]]
opened = 2024-01-16
words = "Sore."
part = "hand"
[[lesson]]
on = 2024-01-23
alone = ["base"]
"""
WHY_UNDER_A_HOLD = """\
hold-open opened=2024-01-16 part=hand line 17
skill-open skill=stop state=stale deciding=True
  settled through=one day=2024-01-02 line 5
  rule fresh_weeks.fast=3
skill-open skill=base state=wobbling deciding=True
  settled through=one day=2024-01-02 line 5
  note skill=base day=2024-01-09 help=model counts=False line 10
  kept-warm skill=base by=other day=2024-01-16 line 15
  rule days_needed.motor=1
  rule accepts.motor=alone
  needed-by skill=base by=top
under-a-hold skills=['base', 'top']
  note skill=base day=2024-01-16 help=model counts=False line 14
  note skill=base day=2024-01-23 help=alone counts=False line 23
  note skill=top day=2024-01-16 help=cue counts=False line 16
numbers
  rule fresh_weeks.fast=3
  rule days_needed.motor=1
  rule accepts.motor=alone
  rule carry_limit=2"""
"""Of stop nothing was seen in 28 days, limit 21. Base missed once; other used it on the day it began to hurt,
which stands because it counts. What base and top were on that day does not count, and so is no evidence."""

JUST_AFTER_ONE = """\
format = 1
name = "Nia"
born = "2018-01-01"
unit_start = [{ unit = "one", on = 2023-10-10 }]
[[lesson]]
on = 2023-10-17
alone = ["stop", "base"]
[[lesson]]
on = 2024-01-16
alone = ["stop", "base", "more"]
[[hold]]
opened = 2024-01-16
words = "Sore."
part = "hand"
closed = 2024-01-23
closed_by = "A parent"
closed_words = "Fine again."
[[lesson]]
on = 2024-01-23
alone = ["stop", "base"]
not_shown = ["other"]
"""
WHY_JUST_AFTER_ONE = """\
after-a-hold closed=2024-01-23 lesson_days=1 needed=2 line 11
group-open at_least=1 of=['other', 'more'] gap=False
  skill-open skill=other state=not-shown deciding=False
    note skill=other day=2024-01-23 help=not-shown counts=False line 21
    rule days_needed.motor=1
    rule accepts.motor=alone
  skill-open skill=more state=building deciding=False
    note skill=more day=2024-01-16 help=alone counts=True line 10
    rule spread_days=6
    rule accepts.ear=alone
  needed-by skill=other by=top
numbers
  rule days_needed.motor=1
  rule accepts.motor=alone
  rule spread_days=6
  rule accepts.ear=alone
  rule carry_limit=2"""
"""Three months lie between the first two lessons, but the latest is a week after the one before: no break.
More has one of its two days, so the group can still be met without other, which is a gap."""

NOT_PLACED = """\
format = 1
name = "Nia"
born = "2018-01-01"
[[lesson]]
on = 2024-01-23
alone = ["base"]
[[lesson]]
on = 2024-01-30
alone = ["base"]
[[hold]]
opened = 2024-01-16
words = "Sore."
part = "hand"
"""
WHY_NOT_PLACED = """\
hold-open opened=2024-01-16 part=hand line 10
not-placed
under-a-hold skills=['base']
  note skill=base day=2024-01-23 help=alone counts=False line 6
  note skill=base day=2024-01-30 help=alone counts=False line 9
numbers
  rule carry_limit=2
  rule accepts.motor=alone
  rule accepts.knowledge=alone
  rule accepts.ear=alone
  rule accepts.reading=alone
  rule accepts.habit=alone"""


def tree(findings: Any, depth: int = 0) -> Iterator[str]:
    """Yield a line a finding, with the line of the student's file."""
    for one in findings:
        named = {key: value for key, value in one.items() if key not in ("id", "file", "line", "because")}
        if one["id"] == "rule":
            named = {named["rule"]: named["value"]}
        line = [f"line {one['line']}"] if one.get("file") == "nia.toml" else []
        words = [one["id"], *(f"{key}={value}" for key, value in named.items()), *line]
        yield "  " * depth + " ".join(words)
        yield from tree(one.get("because", ()), depth + 1)


def course() -> Course:
    return build_course(dict(MADE_UP.graph), dict(MADE_UP.pacing))


def asked(text: str, folder: Path) -> tuple[Record, Answer]:
    path = folder / "nia.toml"
    path.write_text(text, encoding="utf-8")
    loaded = load_record(path, course())
    assert loaded.record is not None
    assert not loaded.problems
    return loaded.record, judge(course(), loaded.record, MADE_UP.on.toordinal())


def findings(answer: Answer) -> list[Mapping[str, Any]]:
    found = answer_to_dict(answer)["findings"]
    assert isinstance(found, list)
    return found


@pytest.mark.parametrize(
    ("text", "verdict", "reasons"),
    [
        (UNDER_A_HOLD, "paused", WHY_UNDER_A_HOLD),
        (JUST_AFTER_ONE, "look-again", WHY_JUST_AFTER_ONE),
        (NOT_PLACED, "paused", WHY_NOT_PLACED),
    ],
)
def test_the_tree_of_reasons(text: str, verdict: str, reasons: str, tmp_path: Path) -> None:
    _, answer = asked(text, tmp_path)
    assert answer.verdict == verdict
    assert "\n".join(tree(findings(answer))) == reasons


def test_what_is_supposed_stands_on_no_line_and_is_one_lesson_day(tmp_path: Path) -> None:
    record, answer = asked(JUST_AFTER_ONE, tmp_path)
    assert answer.next_lesson == date(2024, 1, 30).toordinal()
    two_shown = {"show.more": "cue", "show.other": "model"}
    supposed, _ = what_if(course(), record, answer.on, two_shown)
    told = "\n".join(tree(findings(supposed)))
    assert "note skill=more day=2024-01-30 help=cue counts=False\n" in told
    assert "note skill=other day=2024-01-30 help=model counts=False\n" in told
    assert "after-a-hold" not in told  # the 23rd and the 30th are two lesson days with playing
    known = known_on(course(), record, answer.on).with_showings([1], answer.on).with_showings([2], answer.on)
    assert known.lesson_days[-2:] == (date(2024, 1, 23).toordinal(), answer.on)


@pytest.mark.parametrize(
    "change", ["days_needed.motor", "fresh_weeks.fast", "break_weeks", "carry_limit", "spread_days"]
)
def test_a_number_is_supposed_from_its_least_on(change: str, tmp_path: Path) -> None:
    record, answer = asked(JUST_AFTER_ONE, tmp_path)
    least = 0 if change in ("carry_limit", "spread_days") else 1
    assert what_if(course(), record, answer.on, {change: str(least)})[1] == {change: least}
    for value in (str(least - 1), "521", "0.5", "many"):
        with pytest.raises(ChangeError):
            what_if(course(), record, answer.on, {change: value})


def test_only_what_is_one_number_is_supposed_and_what_was_meant_is_said(tmp_path: Path) -> None:
    record, answer = asked(JUST_AFTER_ONE, tmp_path)
    meant = {"adult_beside": None, "beat_range": None, "show.bsae": "show.base", "motor": "days_needed.motor"}
    for name, other in meant.items():
        with pytest.raises(ChangeError) as refused:
            what_if(course(), record, answer.on, {name: "1"})
        assert (other or "one number") in str(refused.value)


def test_a_number_says_whether_it_is_the_shipped_one(course_folder: Path, tmp_path: Path) -> None:
    for name in ("graph.toml", "pacing.toml"):
        text = (course_folder / name).read_text(encoding="utf-8")
        (tmp_path / name).write_text(text.replace("carry_limit = 2", "carry_limit = 1"), encoding="utf-8")
    for folder, changed in ((course_folder, set()), (tmp_path, {"carry_limit"})):
        loaded = load_course(folder).course
        assert loaded is not None
        student = build_record("nia", {"format": 1, "name": "Nia", "born": "2018-01-01"}, loaded)
        answer = judge(loaded, student, MADE_UP.on.toordinal())
        (numbers,) = [one for one in findings(answer) if one["id"] == "numbers"]
        assert {one["rule"] for one in numbers["because"] if one["changed"]} == changed
        assert all(one["file"] == "pacing.toml" and one["line"] > 1 for one in numbers["because"])
        assert ("C11" in answer.cautions) == bool(changed)
        assert recheck(json.loads(json.dumps(answer_to_dict(answer))), loaded, student) == Rechecked()


@pytest.mark.parametrize(("day", "told"), [(29, False), (30, True), (31, False)])
def test_contact_help_is_cautioned_from_its_own_day_on(day: int, told: bool, tmp_path: Path) -> None:
    """A lesson of the 31st is not known on the 30th; one of the 29th with a model was no contact."""
    help_list = "model" if day == 29 else "hands_on"
    text = UNDER_A_HOLD.replace('hands_on = ["top"]\n', "")
    text += f'[[lesson]]\non = 2024-01-{day}\n{help_list} = ["base"]\n'
    _, answer = asked(text, tmp_path)
    assert ("C6" in answer.cautions) == told


def test_a_sore_voice_is_cautioned_from_its_own_day_on(tmp_path: Path) -> None:
    record, answer = asked(JUST_AFTER_ONE, tmp_path)
    for on, part, told in ((0, "voice", True), (1, "voice", False), (0, "hand", False)):
        held = replace(record, holds=(Hold(answer.on + on, "hoarse", part),))
        found = judge(course(), held, answer.on)
        assert ("C13" in found.cautions) == told


@pytest.mark.parametrize("recorded", [True, False])
@pytest.mark.parametrize("consents", [{}, {"video": False}, {"video": True}])
def test_a_picture_is_cautioned_where_nobody_agreed_to_one(recorded: bool, consents: dict[str, bool]) -> None:
    skills = {"stop": PAIN, "base": {"recorded": recorded, "remedies": ["Look at a photo."]}}
    made_up = small(
        {"one": skills, "two": {"top": {"stands_on": ["base"]}}},
        {"unit_start": [{"unit": "one", "on": date(2024, 1, 2)}]},
        date(2024, 1, 30),
    )
    now = ask(made_up)
    found = judge(now.course, replace(now.record, consents=consents), now.answer.on).cautions
    assert ("C7" in found) == (recorded and not consents.get("video"))
    assert "C6" not in found


def test_under_a_hold_only_what_is_quiet_is_supposed() -> None:
    """Rule R1a: what moves is not played under a hold, and so is supposed in vain."""
    made_up = small(
        {"one": {"stop": PAIN, "base": {}, "hears": {"kind": "ear", "quiet": True}}, "two": {"top": {}}},
        {
            "unit_start": [{"unit": "one", "on": date(2024, 1, 2)}],
            "lesson": [{"on": date(2024, 1, 23), "alone": ["stop"]}],
            "hold": [{"opened": date(2024, 1, 24), "words": "Sore.", "part": "hand"}],
        },
        date(2024, 1, 29),
    )
    now = ask(made_up)
    changes = {"show.base": "alone", "show.hears": "alone"}
    supposed, _ = what_if(now.course, now.record, now.answer.on, changes)
    assert supposed.on == date(2024, 1, 30).toordinal()
    states = {skill: supposed.standings[skill].state for skill in ("base", "hears")}
    assert states == {"base": "untried", "hears": "secure"}


def test_a_chain_of_links_leads_up_to_what_is_missing_or_there_is_none() -> None:
    plan = course().plan
    base, other, top = (plan.index[name] for name in ("base", "other", "top"))
    assert chain_up(plan, base, 1 << other | 1 << top) in ((base, other), (base, top))
    assert chain_up(plan, base, 1 << base) == (base,)
    assert chain_up(plan, top, 1 << base) == ()
    assert chain_up(plan, base, 0) == ()


def test_what_waits_for_the_one_thing_is_named(tmp_path: Path) -> None:
    """Base was shown with a model only: it decides, and itself, other and top wait for it."""
    begun = UNDER_A_HOLD.partition("[[settled]]")[0]
    _, answer = asked(begun + '[[lesson]]\non = 2024-01-23\nalone = ["stop"]\nmodel = ["base"]\n', tmp_path)
    assert (answer.one_thing, answer.frees, answer.chain) == ("base", ("base", "other", "top"), ("base",))
    told = {skill: skill_to_dict(answer, skill) for skill in ("stop", "base", "more")}
    assert [one["decides"] for one in told.values()] == [True, True, False]
    assert [one["blocks"] for one in told.values()] == [False, True, False]


def test_nothing_waits_where_nothing_is_to_be_worked_on(tmp_path: Path) -> None:
    """Under a hold nothing is suggested, and where everything decided is secure nothing is needed."""
    shown = '[[lesson]]\non = 2024-01-29\nalone = ["stop", "base", "other"]\n'
    ready = UNDER_A_HOLD.partition("[[settled]]")[0] + shown
    for text, verdict in ((UNDER_A_HOLD, "paused"), (ready, "ready-taking-along")):
        _, answer = asked(text, tmp_path)
        assert answer.verdict == verdict
        assert (answer.one_thing, answer.frees, answer.chain) == (None, (), ())


def test_what_settles_most_and_does_not_decide_leads_up_to_what_does() -> None:
    """Low, of a group, and high, which stands on it and decides, each settle one thing: low comes first."""
    one_of = [{"at_least": 1, "of": ["low", "other"]}]
    made_up = small(
        {
            "one": {"stop": PAIN, "low": {}, "high": {"stands_on": ["low"]}, "other": {}},
            "two": {"top": {"stands_on": ["high"], "stands_on_some": one_of}},
        },
        {
            "unit_start": [{"unit": "one", "on": date(2024, 1, 2)}],
            "lesson": [{"on": date(2024, 1, 29), "alone": ["stop"]}],
        },
        date(2024, 1, 30),
    )
    answer = ask(made_up).answer
    assert (answer.verdict, answer.one_thing, answer.chain) == ("look-again", "low", ("low", "high"))
