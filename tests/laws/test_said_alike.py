"""A fact about one student and one day is the same wherever it is said: answer, JSON, plan, sheet, lists.

Compared are the values that texts and screens are made of, never words.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from datetime import date
from functools import cached_property
from itertools import takewhile
from typing import Any, Final

from by_hand import small
from drawn import questions
from hypothesis import example, given
from told import text_of

from readiness.advice.after_break import NO_BREAK, after_break
from readiness.advice.as_json import (
    back_to_dict,
    handover_to_dict,
    placing_to_dict,
    plan_to_dict,
    season_to_dict,
    sheet_to_dict,
    standstill_to_dict,
    when_to_dict,
)
from readiness.advice.changes import Changed, ChangeQuestion, why_changed
from readiness.advice.ground import decision_on, standstill, unit_begun
from readiness.advice.handover import hand_over
from readiness.advice.lesson import plan_lesson
from readiness.advice.letter import moved
from readiness.advice.placing_round import PlacingRound, placing_round
from readiness.advice.plan import lessons_to_come
from readiness.advice.review import prepare
from readiness.advice.sheet import check_sheet
from readiness.advice.way import way_to
from readiness.days import iso
from readiness.judging.as_json import skill_to_dict
from readiness.judging.engine import judge
from readiness.record.consents import as_if_agreed
from readiness.record.rhythm import FURTHEST
from readiness.school.counts import numbers
from readiness.school.evening import evening
from readiness.school.questions import LISTS, reply_to_dict
from readiness.school.questions import ask as ask_school
from readiness.school.students import Judged
from readiness.studio.load import Event
from readiness.terms import Verdict
from readiness.testing import Asked, ask
from readiness.words.ahead import back_sections, when_sections
from readiness.words.grammar import date_words
from readiness.words.letter_english import Letters
from readiness.words.letter_words import LetterWords
from readiness.words.letters import READERS, Letter, letter
from readiness.words.phrases import GROWN_TONE_AGE, Phrases
from tui.view import StudentRow

FAR: Final = 400
"""An event so many days ahead lies behind the next lesson."""


class Said:
    """All that is said about one student on one day, each worked out once."""

    def __init__(self, asked: Asked) -> None:
        self.course, self.record, self.answer = asked.course, asked.record, asked.answer
        self.about = self.course, self.record, self.answer
        self.why, self.on, self.calendar = asked.json, self.answer.on, asked.calendar
        self.plan, self.sheet = plan_lesson(*self.about), check_sheet(*self.about)
        self.back, self.page = after_break(*self.about), hand_over(*self.about)
        self.judged = Judged(self.record, self.answer)
        self.row = StudentRow(self.record, self.course, self.on, self.calendar)
        self.still = standstill(*self.about)
        self.big_day = prepare(*self.about, Event("", self.on + FAR, self.on + FAR))

    @cached_property
    def heads(self) -> dict[str, dict[str, Any]]:
        """The JSON of every answer about this student."""
        answer = self.answer
        return {
            "why": self.why,
            "plan": plan_to_dict(self.plan, answer),
            "sheet": sheet_to_dict(self.sheet, answer),
            "back": back_to_dict(self.back, None, answer),
            "season": season_to_dict(self.big_day, answer),
            "stuck": standstill_to_dict(self.still, answer),
        }

    @cached_property
    def letters(self) -> dict[str, Letter]:
        """The letters, in English."""
        return {reader: letter(reader, self.answer, self.course, self.record) for reader in READERS}

    @cached_property
    def readers(self) -> dict[str, LetterWords]:
        """What each letter may say."""
        say = Phrases(self.answer, self.course, self.record)
        return {reader: words(say, "N", Letters()) for reader, words in READERS.items()}

    @cached_property
    def handed(self) -> dict[str, Any]:
        """The JSON of the page for a substitute, as if all were agreed to."""
        return handover_to_dict(self.page, self.answer, as_if_agreed(self.record, "substitute", self.on))

    @cached_property
    def rows(self) -> dict[str, tuple[Any, ...]]:
        """The rows of every list over the school, for a school of this one student."""
        return {name: found(self.course, (self.judged,)) for name, (found, _) in LISTS.items()}

    def listed(self, key: str) -> Iterator[tuple[str, Any]]:
        """Yield what the JSON of the lists says under a key."""
        for name in LISTS:
            told: Any = reply_to_dict(ask_school(self.course, (self.judged,), self.on, name))
            yield from ((f"ask {name}", row[key]) for row in told["rows"] if key in row)

    @cached_property
    def changed(self) -> Changed:
        """What changed since the day before."""
        course = self.course
        return why_changed(ChangeQuestion(self.record, self.on - 1, self.on, course, calendar=self.calendar))

    @cached_property
    def round(self) -> PlacingRound:
        """Where placing stands."""
        return placing_round(self.course, self.record, self.on)


Facts = Iterator[tuple[str, object]]


def next_lesson(said: Said) -> Facts:
    yield "answer", iso(said.answer.next_lesson)
    yield from ((where, told["next_lesson"]) for where, told in said.heads.items())
    yield "plan", iso(said.plan.on)
    yield "plan --json", said.heads["plan"]["lesson_on"]
    yield "back", iso(said.back.look_on)
    yield "back --json", said.heads["back"]["look_on"]
    yield "hand-over", iso(said.page.on)
    yield "hand-over --json", said.handed["lesson_on"]
    yield "days to come", iso(next(lessons_to_come(said.record, said.answer), None))
    yield "season", iso(next(iter(said.big_day.lessons), None))
    yield from said.listed("next_lesson")


def verdict(said: Said) -> Facts:
    """Yield the verdict; a list that is of one verdict says it by having the student in it."""
    answer = said.answer
    yield "answer", answer.verdict
    yield from ((where, told["verdict"]) for where, told in said.heads.items())
    yield "when", when_to_dict(answer, (), None)["verdict"]
    yield "changed", said.changed.later.verdict
    yield "screens", said.row.answer.verdict
    yield from ((f"ask {row.verdict}", row.verdict) for row in said.rows["ready"])
    yield from (("ask look", "look-again") for _ in said.rows["look"])
    yield from (("ask paused", "paused") for row in said.rows["paused"] if not row.goes_on)
    counted = dict(numbers(said.course, (said.judged,)).verdicts)
    yield "ask numbers", answer.verdict if counted["ready" if answer.is_ready else answer.verdict] else ""


def verdict_before(said: Said) -> Facts:
    """Yield the verdict of the day before, as it was on that day and as it is told beside a change."""
    before = said.changed.earlier
    yield "changed", before.verdict
    yield "answer", judge(said.course, said.record, before.on, said.calendar).verdict


def on_the_lists(said: Said) -> Facts:
    """Yield the lists that are about a verdict, and have the student in them."""
    here = {"ready": said.answer.is_ready, "look": said.answer.verdict == "look-again"}
    here["paused"] = said.answer.verdict == "paused"
    yield "answer", {name for name, is_there in here.items() if is_there}
    yield "ask", {name for name in here if said.rows[name]}
    yield "screens", said.row.lists & set(here)


def one_thing(said: Said) -> Facts:
    """Yield the one thing; a plan or a sheet that gives it a place of its own names the same."""
    one = said.answer.one_thing
    yield "answer", one
    yield "why --json", said.why["one_thing"]
    blocks = (*said.plan.blocks, *said.sheet.items)
    yield from (("plan and sheet", item.skills[0]) for item in blocks if item.why == "one-thing")
    yield from (("ask stuck", row.one_thing) for row in said.rows["stuck"])
    if not said.answer.look_first and one is not None:
        yield from (("ask look", row.items[0]) for row in said.rows["look"])


def look_first(said: Said) -> Facts:
    looks = list(said.answer.look_first)
    yield "answer", looks
    yield "why --json", said.why.get("look_first", [])
    yield "plan", list(said.plan.look_first)
    yield "plan --json", said.heads["plan"]["look_first"]
    yield from (("ask look", list(row.items)) for row in said.rows["look"] if looks)
    named = {skill for item in (*said.plan.blocks, *said.sheet.items) if item.why == "look-first"
             for skill in item.skills}  # fmt: skip
    yield "plan and sheet", looks if named <= set(looks) else sorted(named)


def start(said: Said) -> Facts:
    """Yield where a student who is not placed starts; nothing else names a start."""
    if said.answer.placing is None or said.answer.verdict == "paused":
        return
    now = said.round
    told = placing_to_dict(now)
    yield "place", (now.start, now.fits[-1])
    yield "place --json", (told["start"], told["as_late_as"])
    yield "decide", (unit_begun(*said.about), now.fits[-1])
    yield "the decision", (decision_on(*said.about, "move", "").unit, now.fits[-1])


def start_of_the_rules(said: Said) -> Facts:
    """Yield the start of rule R10, which counts as missing what was not asked."""
    if said.answer.placing is None:
        return
    keys = ("start_unit", "patches", "stopped_by", "always_look_open", "provisional")
    told = placing_to_dict(said.round)
    yield "why --json", {key: said.why["placing"][key] for key in keys}
    yield "place --json", {key: told[key] for key in keys}
    yield "answer", said.why["placing"] if said.answer.placing == said.round.result else said.round.result


def open_holds(said: Said) -> Facts:
    """Yield since when nothing is played; None where no hold pauses this course."""
    open_now = [hold.opened for hold in said.record.holds if hold.is_open(said.on)]
    since = iso(min(open_now, default=None))
    yield "answer", since if (said.answer.verdict == "paused") == bool(open_now) else said.answer.verdict
    yield "hand-over", iso(min((hold.opened for hold in said.page.holds), default=None))
    yield "hand-over --json", said.handed["no_playing_since"]
    paused = [iso(row.since) for row in said.rows["paused"] if not row.goes_on]
    yield "ask paused", paused[0] if paused else None
    yield "plan", since if said.plan.is_paused == bool(open_now) else "another"
    yield "screens", since if said.row.is_paused == bool(open_now) else "another"
    yield "place", since if (said.round.stop == "paused") == bool(open_now) else "another"
    way = way_to(said.course, said.record, said.on, said.course.units[-1].id, said.calendar)
    yield "way", since if way.is_paused == bool(open_now) else "another"


def stands_until(said: Said) -> Facts:
    """Yield how long a yes stands; the list of who is ready has nobody whose yes is over."""
    answer = said.answer
    until = iso(answer.holds_until)
    because = {"skill": answer.fades_first} if answer.fades_first else answer.holds_because
    yield "answer", (until, because)
    yield "why --json", (said.why["holds_until"], said.why["holds_because"])
    is_over = answer.holds_until is not None and answer.holds_until < said.on
    yield from (("ask ready", "over" if is_over else (until, because)) for _ in said.rows["ready"])


def decision(said: Said) -> Facts:
    now = said.answer.decision
    told = now and {"on": iso(now.on), "decided": now.decided}
    told = now and told | {"until": iso(now.until), "in_force": now.in_force}
    yield "answer", told
    yield from ((where, one["decision"]) for where, one in said.heads.items())
    closed = said.answer.closed
    yield from (("ask ready", told if row.closed == closed else row.closed) for row in said.rows["ready"])


def stay(said: Said) -> Facts:
    """Yield the day of a stay in force, which keeps a ready student from whatever is of the next unit."""
    answer = said.answer
    since = answer.decision.on if answer.waits_by_decision and answer.decision else None
    yield "answer", since
    yield from (("ask ready", row.stay_decided) for row in said.rows["ready"])
    if since is not None:
        units = {said.course.skill[skill].unit for skill in (*said.plan.begun, *said.plan.outer_edge)}
        yield "plan", since if answer.next_unit not in units else "it goes on to the next unit"
        yield "letters", since if moved(*said.about) is None else "they tell of a move"
        move = answer.earliest_told
        onward = any(said.letters[reader].days[-1:] == (move,) for reader in ("family", "student"))
        is_told = onward and move != answer.next_lesson
        yield "letters", "they name a day of a move" if is_told else since
        for reader, words in said.readers.items():
            told = (words.case in ("ready", "last unit"), bool(words.next_unit()))
            yield f"letter to the {reader}", since if not any(told) else "it goes on to the next unit"


def in_letters(said: Said) -> Facts:
    """Yield what a letter has to say: the next lesson, that nothing is played, what is brought along."""
    answer = said.answer
    lesson = answer.next_lesson
    yield "answer", "as it is"
    for reader, draft in said.letters.items():
        words = said.readers[reader]
        is_of_age = answer.age >= GROWN_TONE_AGE
        if words.is_kept or (reader == "student" and not is_of_age):
            continue
        if lesson is not None and reader != "school" and answer.is_day_known:
            yield f"letter to the {reader}", "as it is" if lesson in draft.days else "no next lesson"
        ahead = {day for day in draft.days if day > said.on}
        later = said.plan.later
        own = {lesson, later.move if later else answer.earliest_told, answer.holds_until}
        yield f"letter to the {reader}", "as it is" if ahead <= own else "another day"
    for reader, draft in said.letters.items():
        words = said.readers[reader]
        since = min((hold.opened for hold in said.record.holds if hold.is_open(said.on)), default=None)
        is_said = (words.case == "paused") == (since is not None)
        yield f"letter to the {reader}", "as it is" if is_said else "another pause"
        if words.is_kept or words.case in ("paused", "finished", "placing", "first lesson"):
            continue
        before = [one.skill for one in answer.brought_along]
        named = {*draft.skills} & {*before}
        is_child = reader == "student" and answer.age < GROWN_TONE_AGE
        text = " ".join(draft.sentences)
        all_named = named >= {*before[:3]} or len(named) >= 3 or (is_child and "from before" in text)
        yield f"letter to the {reader}", "as it is" if all_named or not before else (before, text)


def brought_along(said: Said) -> Facts:
    yield "answer", [one.skill for one in said.answer.brought_along]
    yield from ((where, told["brought_along"]) for where, told in said.heads.items())
    yield "hand-over", list(said.page.brought_along)
    yield "hand-over --json", said.handed["brought_along"]


def left_for_later(said: Said) -> Facts:
    """Yield what the plan leaves for later, and the day of a move then, where "when" says it."""
    later = Phrases(said.answer, said.course, said.record).planned_move
    if later is not None:
        yield "plan --json", said.heads["plan"]["later"]
        yield "when --json", when_to_dict(said.answer, (), later)["later"]
        told = text_of(when_sections, (), Phrases(said.answer, said.course, said.record))
        by_plan = "no move is in sight" if later.move is None else f"from {date_words(later.move, said.on)}"
        yield "when", said.heads["plan"]["later"] if by_plan in " ".join(told.split()) else told


def days_missing(said: Said) -> Facts:
    """Yield how many days are missing, of each skill on the way to the last unit."""
    way = way_to(said.course, said.record, said.on, said.course.units[-1].id, said.calendar)
    on_it = {step.skill: said.answer.standings[step.skill] for step in way.steps}
    here = [skill for skill in on_it if skill in said.why.get("details", {})]
    yield "answer", {skill: on_it[skill].missing for skill in here}
    yield "why --json", {skill: _missing(said.why["details"][skill]) for skill in here}
    yield "why --skill", {skill: _missing(skill_to_dict(said.answer, skill)) for skill in here}
    shown = ("building", "wobbling", "stale")
    costs = {step.skill: step.minutes for step in way.steps if step.state in shown}
    yield "way", {skill: costs.get(skill, on_it[skill].missing) for skill in here}


def _missing(told: Mapping[str, Any]) -> int:
    return 1 if told["state"] in ("wobbling", "stale") else max(1, told["need"] - told["have"])


def lessons_in_the_unit(said: Said) -> Facts:
    if said.answer.lesson_days is None:
        return
    yield "answer", said.answer.lesson_days
    yield from (("note", one.days) for one in said.answer.remarks if one.id in ("fast", "long"))
    yield "why --stuck", said.still.pace.lessons if said.still.pace else None
    yield from (("ask due", row.lesson_days) for row in said.rows["due"])


def stuck(said: Said) -> Facts:
    """Yield what is stuck, with the days it was tried on in vain."""
    asked = {*said.answer.deciding, *said.answer.rest}
    yield "answer", {one.skill: one.days for one in said.answer.remarks if one.id == "stuck"}
    yield "why --stuck", {one.skill: one.tries for one in said.still.weak if one.stuck and one.skill in asked}
    if said.answer.verdict != "paused":
        yield "ask stuck", {row.skill: row.days for row in said.rows["stuck"]}


FACTS: Final[tuple[Callable[[Said], Facts], ...]] = (
    next_lesson, verdict, verdict_before, on_the_lists, one_thing, look_first, start, start_of_the_rules,
    open_holds, stands_until, decision, stay, in_letters, brought_along, left_for_later, days_missing,
    lessons_in_the_unit, stuck,
)  # fmt: skip


TWO: Final = {
    "a": {"says": {"always_look": True, "asks_pain": True}, "hand": {}},
    "b": {"arm": {"stands_on": ["hand"]}},
}
"""A course of two units."""


def in_unit(unit: str, **blocks: object) -> dict[str, Any]:
    """Return the file of a student who began a unit on 1 January and showed all of it a week later."""
    shown = {"on": date(2024, 1, 8), "alone": ["says", "hand", "arm"]}
    return {"unit_start": [{"unit": unit, "on": date(2024, 1, 1)}], "lesson": [shown], **blocks}


CLOSED: Final = small(
    TWO,
    in_unit(
        "b", decision=[{"on": date(2024, 1, 2), "unit": "b", "computed": "not-yet", "decided": "move"}]
    ),
    date(2024, 1, 9),
)
"""The last unit was closed before all of it was there."""

ABOUT_ANOTHER: Final = small(
    {**TWO, "c": {"song": {"stands_on": ["arm"]}}},
    in_unit(
        "a",
        decision=[
            {"on": date(2024, 1, 8), "unit": "a", "computed": "ready", "decided": "stay"},
            {"on": date(2024, 1, 9), "unit": "c", "computed": "ready", "decided": "move"},
        ],
    ),
    date(2024, 1, 9),
)
"""What was decided last is about a unit in which nobody is, and no unit began by it: the stay is told."""

FORTNIGHTLY: Final = small(
    TWO, in_unit("a"), date(2024, 1, 23), {5: {"break_weeks": 2}},
    {"rhythm": {"day": "mon", "weeks": 2}},
)  # fmt: skip
"""Two weeks without a lesson are no break where the studio says that a lesson comes every other week."""

NOT_SEEN_LATELY: Final = small(TWO, in_unit("a"), date(2024, 3, 1))
"""Shown on as many days as are asked for, and not seen for a while: one look is missing."""

SORE: Final = {"opened": date(2024, 1, 2), "words": "Sore.", "part": "hand"}
RESTED: Final = small(
    TWO,
    in_unit(
        "a",
        hold=[{**SORE, "closed": date(2024, 1, 7), "closed_by": "An adult", "closed_words": "Fine."}],
    )
    | {"lesson": [{"on": date(2024, 1, 4)}, {"on": date(2024, 1, 8), "alone": ["says", "hand"]}]},
    date(2024, 1, 9),
)
"""A lesson without playing counts for no unit."""

AFTER_A_PAUSE: Final = small(
    TWO,
    in_unit(
        "b",
        hold=[{**SORE, "closed": date(2024, 1, 7), "closed_by": "An adult", "closed_words": "Fine."}],
    )
    | {"lesson": [{"on": date(2024, 1, day), "alone": ["says"], "model": ["hand"]} for day in (1, 8)]},
    date(2024, 1, 9),
)
"""Begun with little, what is open from the unit before comes along all the same."""


@example(ask(CLOSED))
@example(ask(ABOUT_ANOTHER))
@example(ask(FORTNIGHTLY))
@example(ask(RESTED))
@example(ask(AFTER_A_PAUSE))
@example(ask(NOT_SEEN_LATELY))
@given(questions(most_units=3, most_skills=12))
def test_a_break_is_one_wherever_it_is_said(asked: Asked) -> None:
    said, on = Said(asked), asked.answer.on
    comes = evening(said.course, [said.judged], on, on + FAR).comes
    rows = {row.on: row for row in comes if row.perhaps is None}
    coming = lessons_to_come(said.record, said.answer) if said.answer.is_day_known else iter(())
    unnoted = [day for day, row in rows.items() if not row.is_noted and day <= on + FURTHEST]
    assert unnoted == [*takewhile(lambda one: one <= on + FURTHEST, coming)]
    kind = said.back.kind
    assert said.answer.away == kind or (said.answer.away is None and (kind == NO_BREAK or is_elsewhere(said)))
    if on in rows:
        assert rows[on].is_back == (kind == ("first-lesson-back" if rows[on].is_noted else "on-a-break"))
    if (ahead := rows.get(said.answer.next_lesson or 0)) and not ahead.is_noted and ahead.on > on:
        told = " ".join(
            text_of(back_sections, (said.back, None), Phrases(said.answer, *said.about[:2])).split()
        )
        assert said.plan.is_first_back == ahead.is_back
        assert kind != NO_BREAK or is_elsewhere(said) or ahead.is_back == ("first after a break" in told)


def is_elsewhere(said: Said) -> bool:
    """Return whether a break is no matter for the verdict: paused, or no unit has begun (rule R7)."""
    return said.answer.verdict == Verdict.PAUSED or said.answer.unit is None


@given(questions(most_units=3, most_skills=12))
def test_every_fact_is_the_same_wherever_it_is_said(asked: Asked) -> None:
    said = Said(asked)
    for fact in FACTS:
        told = list(fact(said))
        assert all(value == told[0][1] for _, value in told), (fact.__name__, told)
