"""Courses, pacings, student files and days, made up by Hypothesis.

Everything is drawn as the plain dicts that ``tomllib`` would give, so that the library reads
them through the same door as a teacher's files and the second reading sees the very same
values. A drawn :class:`~readiness.testing.situation.Situation` is always valid: what must hold
of broken files is another matter.

How the shapes are chosen
    * *Acyclic by construction.* Skills are drawn unit by unit and a skill may only name skills that already
      exist, so no example is ever thrown away for a loop. The tables of the file are then put in an order of
      their own, because the order of skill tables in a file need not be the order of learning.
    * *Simple first.* Choices begin with what is plain (shown alone in every lesson, no
      flags, no groups, no hold, asked about on the day of the last lesson), so that a
      counterexample shrinks to the few odd things that matter.
    * *Small numbers.* Windows of one to four weeks, one to three days, limits of zero to
      two: with lessons some days or weeks apart every state of rule R6 is close by.
    * *Near the edges.* A birthday on which the band changes lies within weeks of the day asked about, and the
      gaps between lessons are drawn around the limits of the rules: 7 days for the spread, 14 and 21 for
      breaks and freshness, one more than those for "strictly more".
    * *A leaning for each question.* Some questions lean to what is rare else: groups, looks, holds,
      decisions, a birthday (:class:`Leaning`). The rest of the question is drawn as usual.
    * *A habit for each skill.* A skill has a short pattern of how it is shown lesson after
      lesson (always alone; help, help, then alone; fine until it slipped ...), which the
      lessons follow in turn. Independent notes would nearly never make a student ready.

"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import date, timedelta
from functools import cache
from itertools import combinations, product
from typing import Any, Final

from hypothesis import strategies as st

from readiness.course import model
from readiness.course.load import build_course
from readiness.course.model import Course
from readiness.course.schema import shipped_bands
from readiness.lazy import dataclass
from readiness.record.load import build_record
from readiness.record.model import Record
from readiness.record.rhythm import DAY_CODES
from readiness.testing.situation import Situation

__all__ = [
    "DAYS_AFTER_THE_LAST_LESSON", "HELP_LISTS", "LEANINGS", "Leaning", "band_of", "courses", "days",
    "pacings", "records", "situations", "situations_of", "student_files",
]  # fmt: skip

Table = dict[str, Any]
"""A table of a file, as ``tomllib`` reads it."""

KINDS: Final = tuple(map(str, model.KINDS))
FADES: Final = tuple(map(str, model.FADES))

HELP_LISTS: Final = ("alone", "cue", "model", "hands_on", "not_shown", "not_tried")
"""The lists of a lesson, as the student file names them."""

MONDAY = date(2024, 1, 8)
"""Where made-up time begins; 29 February is seven weeks away."""

STRANDS: Final = ("first", "second")
"""What a made-up course is made of, in turn."""

PATTERNS: tuple[tuple[str, ...], ...] = (
    *[("alone",)] * 4, (), ("", "alone"), ("alone", ""), ("cue",), ("cue", "alone"),
    ("alone", "alone", "cue", "cue"), ("alone", "alone", "alone", "model"),
    ("model", "cue", "alone", "alone", "alone"), ("hands_on", "model", "cue", "cue", "cue", "cue"),
    ("not_shown",), ("model", "not_shown", "not_shown"), ("not_tried", "alone"),
    ("alone", "", "", "", "", ""), ("", "", "", "", "cue", "cue"),
)  # fmt: skip
"""How a skill is shown lesson after lesson, starting again at the end; ``""`` says nothing."""

GAPS_BETWEEN_LESSONS = (*[7] * 12, 1, 3, 6, 8, 14, 15, 21, 29, 50)
DAYS_AFTER_THE_LAST_LESSON = (*[0] * 8, 1, 3, 6, 7, 8, 13, 14, 15, 21, 22, 40, -7, -3)

FLAGS: tuple[tuple[str, ...], ...] = (
    *[()] * 8, ("always_look",), ("safety",), ("must_be_seen",), ("always_look", "safety", "must_be_seen"),
    ("optional_in",), *[("quiet",)] * 2, ("quiet", "must_be_seen"),
)  # fmt: skip

_LINKS = (
    *[()] * 24,
    *list(combinations(range(1, 9), 1)) * 5,
    *list(combinations(range(1, 9), 2)) * 2,
    *combinations(range(1, 7), 3),
)
"""How many steps back the skills are that a skill stands on."""

_GROUPS = (
    *product((1, 2, 2), combinations(range(1, 6), 2)),
    *product((1, 2, 3, 3), combinations(range(1, 6), 3)),
)
"""How many of the skills so many steps back come first."""


@dataclass(frozen=True)
class Leaning:
    """What a question leans to; as it stands, to nothing.

    Attributes:
        links, groups, flags, own_days: choices for a skill of the course.
        patterns: how skills are shown; gaps: days between lessons; after: from the last one to the day asked.
        parts, holds, opened, closed: of holds: which part, how many, in which lessons (by index; none: any),
            days from the opening to the closing (-1: open).
        transfers, decides: one in so many is to be placed, or has decisions.
        settled: one in so many has nothing settled; at: days that the unit began before the first lesson;
            by: it is settled as the unit began, or in one of so many first lessons.
        birthdays: days from the last lesson to a birthday that changes the band.
        planned, away: one in so many has planned dates, or holidays; away_for: days that they last.
    """

    links: tuple[tuple[int, ...], ...] = _LINKS
    groups: tuple[tuple[int, tuple[int, ...]], ...] = (*[(1, ())] * 120, *_GROUPS)
    flags: tuple[tuple[str, ...], ...] = FLAGS
    own_days: tuple[int, ...] = (*[0] * 12, 1, 2, 3, 4)
    patterns: tuple[tuple[str, ...], ...] = PATTERNS
    gaps: tuple[int, ...] = GAPS_BETWEEN_LESSONS
    after: tuple[int, ...] = DAYS_AFTER_THE_LAST_LESSON
    parts: tuple[str, ...] = ("hand", "hand", "all", "voice")
    holds: tuple[int, ...] = (0, 0, 0, 0, 1, 1, 2)
    opened: tuple[int, ...] = ()
    closed: tuple[int, ...] = (7, 0, 1, 3, 14, 30, -1, -1)
    transfers: int = 10
    decides: int = 3
    settled: int = 6
    at: tuple[int, ...] = (1, 0, 8, 15)
    by: int = 3
    birthdays: tuple[int, ...] = (-200, -30, -8, -1, 0, 1, 5, 9, 20, 45, 200)
    planned: int = 4
    away: int = 5
    away_for: tuple[int, ...] = (10, 1, 30, 400)


_ALWAYS = (*[("alone",)] * 20, ("alone", "alone", "alone", "model"))
_NOW_AND_THEN = (*[()] * 6, ("alone", "", "", "", "", ""), ("alone", "", "", "", "", "cue"))
_AT_ONCE = (0, 0, 0, 1, 3, 6)
_LINKED = _LINKS[24:]
_APART = (*[()] * 90, *_LINKS)

LEANINGS: Mapping[str, Leaning] = {
    "nothing": Leaning(),
    "entry groups, met and not": Leaning(
        groups=(*[(1, ())] * 10, *_GROUPS), holds=(0,), after=_AT_ONCE, settled=1, transfers=99,
        patterns=(*[("alone",)] * 4, (), (), ("not_shown",), ("model",), ("alone", "alone", "model")),
    ),
    "much that is there above something that is not": Leaning(
        links=_LINKED, patterns=(("alone",), ("alone",), ("not_shown",), ("model",)), holds=(0,),
        after=_AT_ONCE, transfers=99,
    ),
    "settled long ago and seen now and then: several looks": Leaning(
        links=_APART, flags=((), ("always_look",), ("safety",)), patterns=_NOW_AND_THEN, settled=99,
        at=(40, 80), by=0, holds=(0,), after=_AT_ONCE, transfers=99,
    ),
    "just after a hold, or under one": Leaning(
        patterns=(*_ALWAYS, ("cue",), ("model",)), holds=(1, 2, 2), opened=(-2, -1), closed=(0, 1, 3, 7, 7),
        gaps=(7, 7, 6), after=_AT_ONCE, settled=99, links=_APART, own_days=(0,), transfers=99,
    ),
    "a hold under which quiet things are used": Leaning(
        flags=((), *[("quiet",)] * 8), links=_LINKED, holds=(1,), opened=(0,), closed=(-1, 30), settled=99,
        patterns=((), (), ("alone",), ("alone", "cue")), parts=("hand",), transfers=99,
    ),
    "what was decided about somebody who is nearly ready": Leaning(
        patterns=_ALWAYS, decides=1, holds=(0,), after=_AT_ONCE, gaps=(7,), transfers=99,
    ),
    "a little is left, and a birthday is soon": Leaning(
        links=((),), flags=((), (), ("optional_in",)), holds=(0,), gaps=(7,), settled=1, after=(0,),
        patterns=(*[("alone",)] * 5, ("not_shown",), ()), birthdays=(5, 2, 9), own_days=(0,), transfers=99,
    ),
    "somebody from elsewhere": Leaning(
        transfers=1, patterns=(*PATTERNS, ("not_shown",), ("model",)), holds=(0,),
    ),
    "no lesson to come": Leaning(away=1, away_for=(400,), planned=99, holds=(0,)),
}  # fmt: skip
"""What a question may lean to."""

_ANY_LEANING = st.sampled_from([LEANINGS["nothing"]] * 6 + list(LEANINGS.values()) * 2)


# --- courses ---------------------------------------------------------------------------------


@st.composite
def courses(
    draw: st.DrawFn,
    bands: Sequence[str] = (),
    most_units: int = 5,
    most_skills: int = 25,
    lean: Leaning = LEANINGS["nothing"],
) -> Table:
    """Draw a skill graph of 2 to 5 units and 3 to 25 skills; some may be optional in ``bands``."""
    units = [f"unit-{n}" for n in range(1, draw(st.integers(2, most_units)) + 1)]
    each = max(2, most_skills // len(units))
    skills: dict[str, Table] = {}
    for number, unit in enumerate(units):
        for _ in range(draw(st.integers(2 if number == 0 else 1, each))):
            name = f"skill-{len(skills) + 1:02}"
            skills[name] = draw(_skill(name, unit, tuple(skills), tuple(bands), lean))
    ids = list(skills)
    skills[ids[0]] |= {"asks_pain": True, "always_look": True, "optional_in": []}
    if draw(_one_in(4)):
        ids = draw(st.permutations(ids))
    return {
        "format": 1,
        "name": "Made up",
        "edition": "1",
        "strand": {strand: {"name": f"The {strand} one"} for strand in STRANDS},
        "unit": {
            unit: {"name": unit, "aim": "Made up.", "lesson_weeks": draw(st.integers(1, 5))} for unit in units
        },
        "skill": {name: skills[name] for name in ids},
    }


@st.composite
def _skill(
    draw: st.DrawFn, name: str, unit: str, before: tuple[str, ...], bands: tuple[str, ...], lean: Leaning
) -> Table:
    kind, fade = draw(_KIND_AND_FADE)
    skill: Table = {
        "name": name,
        "unit": unit,
        "strand": STRANDS[len(before) % len(STRANDS)],
        "kind": kind,
        "fade": fade,
        "minutes": draw(_MINUTES),
        "shown_when": "Shown 3 of 3.",
        "stands_on": _back(before, draw(st.sampled_from(lean.links))),
        "remedies": ["Try it one way.", "Try it another way."],
    }
    at_least, steps = draw(st.sampled_from(lean.groups))
    if members := _back(before, steps):
        skill["stands_on_some"] = [{"at_least": min(at_least, len(members)), "of": members}]
    if days := draw(st.sampled_from(lean.own_days)):
        skill["days"] = days
    for flag in draw(st.sampled_from(lean.flags)):
        if flag != "optional_in":
            skill[flag] = True
        elif bands:
            skill[flag] = [draw(st.sampled_from(bands))]
    return skill


def _back(before: tuple[str, ...], steps: tuple[int, ...]) -> list[str]:
    """Return the skills so many steps back, as far as there are any."""
    return [before[-step] for step in steps if step <= len(before)]


_KIND_AND_FADE = st.sampled_from(list(product(KINDS, FADES)))
_MINUTES = st.integers(1, 6)


@cache
def _one_in(times: int) -> st.SearchStrategy[bool]:
    """Draw True about one time in so many; False first."""
    return st.integers(0, times - 1).map(lambda n: n == times - 1)


# --- pacing ----------------------------------------------------------------------------------


@st.composite
def pacings(draw: st.DrawFn) -> Table:
    """Draw a pacing of two or three bands, from ages 5, 6 and 7."""
    ages = draw(st.sampled_from([(5, 6), (5, 6, 7), (6, 7)]))
    return {
        "format": 1,
        "name": "Made up",
        "edition": "1",
        "band": {f"from-{age}": draw(_band(age)) for age in ages},
        "basis": {},
    }


@st.composite
def _band(draw: st.DrawFn, age: int) -> Table:
    return band_of(age, draw(_LIMITS), draw(_FACTORS), draw(_BY_KIND))


def band_of(
    age: int, limits: Sequence[int], factors: Sequence[float], by_kind: Sequence[Sequence[Any]]
) -> Table:
    """Return a band from ``_LIMITS``, ``_FACTORS`` and ``_BY_KIND``; what is left has a shipped value."""
    (spread, carry, stuck, away), (least, most), (accepts, days, weeks) = limits, factors, by_kind
    return {
        **shipped_bands("")["6-7"],
        "from_age": age,
        "new_skills_per_lesson_max": 3,
        "spread_days": spread,
        "carry_limit": carry,
        "min_unit_factor": least,
        "max_unit_factor": most,
        "stuck_tries": stuck,
        "practice_minutes_day": [5, 10],
        "practice_days_week": 4,
        "play_without_pause_minutes": 5,
        "adult_beside": "always",
        "break_weeks": away,
        "lesson_minutes_range": [20, 30],
        "accepts": dict(zip(KINDS, accepts, strict=True)),
        "days_needed": dict(zip(KINDS, days, strict=True)),
        "fresh_weeks": dict(zip(FADES, weeks, strict=True)),
    }


_LIMITS = st.sampled_from(list(product((6, 7, 0, 8), (2, 1, 0), (4, 3, 2, 5, 1), (3, 4, 2, 1))))
"""``spread_days``, ``carry_limit``, ``stuck_tries``, ``break_weeks``."""

_FACTORS = st.sampled_from(list(product((0.5, 0.75, 1.0), (2.0, 1.1, 1.5))))
"""``min_unit_factor``, ``max_unit_factor``."""

_BY_KIND = st.sampled_from(list(product(
    (["alone"] * 5, ["alone", "cue", "cue", "alone", "cue"], ["cue"] * 5),
    ([1] * 5, [2, 1, 2, 2, 1], [2] * 5, [3, 2, 2, 3, 3]),
    ([3, 5, 9], [2, 4, 6], [1, 2, 4]),
)))  # fmt: skip
"""``accepts``, ``days_needed`` and ``fresh_weeks``."""


# --- student files ---------------------------------------------------------------------------


@st.composite
def student_files(
    draw: st.DrawFn, graph: Mapping[str, Any], pacing: Mapping[str, Any], lean: Leaning | None = None
) -> Table:
    """Draw a student's file for a course: a record of up to nine lesson days.

    One file in ten has no unit start, which makes the student one to be placed; most of these
    students have nothing settled either.
    """
    lean = draw(_ANY_LEANING) if lean is None else lean
    units, skills = list(graph["unit"]), list(graph["skill"])
    days = draw(_lesson_days(lean))
    at = draw(st.sampled_from([*range(len(units) - 1)] * 2 + [len(units) - 1]))
    student: Table = {"format": 1, "name": "Somebody", "born": draw(_born(days[-1], pacing, lean))}
    first = days[0] - timedelta(days=draw(st.sampled_from(lean.at)))
    placed = not draw(_one_in(lean.transfers))
    student["unit_start"] = draw(_unit_starts(units, at, first, days)) if placed else []
    student["settled"] = draw(_settled(units, at, first, days, lean)) if placed or draw(_one_in(3)) else []
    student["lesson"] = draw(_lessons(skills, days, lean))
    student["hold"] = draw(_holds(days, lean))
    student["set_aside"] = [
        {"skill": skill, "on": draw(st.sampled_from(days)), "agreed_with": "family"}
        for skill in draw(_few([s for s in skills if not graph["skill"][s].get("asks_pain")], one_in=6))
    ]
    student["band_choice"] = [
        {"band": band, "on": draw(st.sampled_from(days)), "reason": "Made up."}
        for band in draw(_few(list(pacing["band"]), one_in=8))
    ]
    student["decision"] = draw(_decisions(units, at, days)) if draw(_one_in(lean.decides)) else []
    if draw(_one_in(6)):
        student["rhythm"] = draw(_rhythms())
    if not student["unit_start"]:
        student["placing"] = [{"on": days[0]}]
    return {key: value for key, value in student.items() if value != []}


@st.composite
def _lesson_days(draw: st.DrawFn, lean: Leaning) -> list[date]:
    days = [MONDAY + timedelta(days=draw(st.integers(0, 45)))]
    for gap in draw(st.lists(st.sampled_from(lean.gaps), min_size=1, max_size=8)):
        days.append(days[-1] + timedelta(days=gap))
    return days


@st.composite
def _born(draw: st.DrawFn, near: date, pacing: Mapping[str, Any], lean: Leaning) -> str:
    """Draw a birth date so that a change of band is some weeks away, before or after."""
    age = draw(st.sampled_from([band["from_age"] for band in pacing["band"].values()][::-1]))
    birthday = near + timedelta(days=draw(st.sampled_from(lean.birthdays)))
    year = birthday.year - age
    kind = draw(st.sampled_from(["day", "day", "day", "month", "leap"]))
    if kind == "leap":
        return f"{year - year % 4}-02-29"
    day = min(birthday.day, 28)
    return f"{year}-{birthday.month:02}" + (f"-{day:02}" if kind == "day" else "")


@st.composite
def _unit_starts(draw: st.DrawFn, units: list[str], at: int, first: date, days: list[date]) -> list[Table]:
    starts = [{"unit": units[at], "on": first}]
    if at > 0 and draw(_one_in(3)):
        earlier = first - timedelta(days=draw(st.sampled_from([30, 0])))
        starts.insert(0, {"unit": units[at - 1], "on": earlier})
    if draw(_one_in(8)):
        starts.append({"unit": draw(st.sampled_from(units)), "on": draw(st.sampled_from(days))})
    return starts


@st.composite
def _settled(
    draw: st.DrawFn, units: list[str], at: int, first: date, days: list[date], lean: Leaning
) -> list[Table]:
    blocks = []
    if not draw(_one_in(lean.settled)):
        through = units[draw(st.integers(max(0, at - 1), at))]
        blocks.append({"through": through, "on": draw(st.sampled_from([first, *days[: lean.by]]))})
    if draw(_one_in(6)):
        again = [*(block["on"] for block in blocks * 4), *days]
        blocks.append({"through": draw(st.sampled_from(units)), "on": draw(st.sampled_from(again))})
    return blocks


@st.composite
def _lessons(draw: st.DrawFn, skills: list[str], days: list[date], lean: Leaning) -> list[Table]:
    """Draw the blocks: each skill follows its pattern, then some days get a second block."""
    patterns = {skill: draw(st.sampled_from(lean.patterns)) for skill in skills}
    lessons: list[Table] = []
    for number, day in enumerate(days):
        lesson: Table = {"on": day}
        for skill, pattern in patterns.items():
            if pattern and (shown := pattern[number % len(pattern)]):
                lesson.setdefault(shown, []).append(skill)
        lessons.append(lesson)
    for day in draw(st.lists(st.sampled_from(days), max_size=2)):
        extra = draw(st.dictionaries(st.sampled_from(skills), st.sampled_from(HELP_LISTS), max_size=4))
        block: Table = {"on": day}
        for skill, shown in extra.items():
            block.setdefault(shown, []).append(skill)
        lessons.append(block)
    return lessons


@st.composite
def _holds(draw: st.DrawFn, days: list[date], lean: Leaning) -> list[Table]:
    return [draw(_hold(days, lean)) for _ in range(draw(st.sampled_from(lean.holds)))]


@st.composite
def _hold(draw: st.DrawFn, days: list[date], lean: Leaning) -> Table:
    """Draw a pause, mostly one that was closed by the last lesson."""
    opened = draw(st.sampled_from([days[at] for at in lean.opened] or days))
    hold: Table = {"opened": opened, "words": "Sore.", "part": draw(st.sampled_from(lean.parts))}
    if draw(_one_in(3)):
        hold["since"] = opened - timedelta(days=draw(st.sampled_from([0, 3, 7, 14])))
    if (after := draw(st.sampled_from(lean.closed))) >= 0:
        closed = opened + timedelta(days=after)
        hold |= {"closed": closed, "closed_by": "An adult", "closed_words": "Fine again."}
    return hold


@st.composite
def _decisions(draw: st.DrawFn, units: list[str], at: int, days: list[date]) -> list[Table]:
    decisions = []
    for on in draw(st.lists(st.sampled_from(days), min_size=1, max_size=2)):
        decision: Table = {
            "on": on,
            "unit": draw(st.sampled_from([*[units[at]] * 4, *units])),
            "computed": "ready",
            "decided": draw(st.sampled_from(["stay", "stay", "stay", "move"])),
        }
        if draw(_one_in(2)):
            decision["until"] = on + timedelta(days=draw(st.sampled_from([0, 7, 21])))
        decisions.append(decision)
    return decisions


@st.composite
def _rhythms(draw: st.DrawFn) -> Table:
    rhythm: Table = {"day": draw(st.sampled_from(DAY_CODES))}
    if draw(st.booleans()):
        rhythm["weeks"] = draw(st.sampled_from([2, 1, 4]))
    return rhythm


@st.composite
def _few(draw: st.DrawFn, names: list[str], one_in: int) -> list[str]:
    """Draw no name, mostly, or one or two."""
    if not draw(_one_in(one_in)):
        return []
    return draw(st.lists(st.sampled_from(names), min_size=1, max_size=2, unique=True))


def days(student: Mapping[str, Any], lean: Leaning | None = None) -> st.SearchStrategy[date]:
    """Draw a day around a file's last lesson: mostly that one, or weeks after it, as ``lean`` has it."""
    last: date = max(lesson["on"] for lesson in student["lesson"])
    after = (lean or LEANINGS["nothing"]).after
    return st.sampled_from(after).map(lambda days: last + timedelta(days=days))


def records(course: Course) -> st.SearchStrategy[Record]:
    """Draw a student's record of up to nine lesson days for a course, made up or read."""
    return student_files(*_outline(course)).map(lambda file: build_record("somebody", file, course))


def _outline(course: Course) -> tuple[Table, Table]:
    """Return of a course that is there what :func:`student_files` needs of its two files."""
    graph = {
        "unit": course.unit,
        "skill": {skill.id: {"asks_pain": skill.asks_pain} for skill in course.skills},
    }
    return graph, {"band": {band.name: {"from_age": band.from_age} for band in course.bands}}


# --- whole questions -------------------------------------------------------------------------


@st.composite
def situations(
    draw: st.DrawFn,
    most_units: int = 4,
    most_skills: int = 16,
    planned: bool = True,
    lean: Leaning | None = None,
) -> Situation:
    """Draw a question: course, pacing, a student's file, maybe ``planned`` lessons, a day near the last."""
    lean = draw(_ANY_LEANING) if lean is None else lean
    pacing = draw(pacings())
    graph = draw(courses(tuple(pacing["band"]), most_units, most_skills, lean))
    student = draw(student_files(graph, pacing, lean))
    on = draw(days(student, lean))
    return Situation(graph, pacing, student, on, draw(_studios(on, lean)) if planned else {})


@st.composite
def _studios(draw: st.DrawFn, on: date, lean: Leaning) -> Table:
    """Draw planned dates, a rhythm and holidays around a day; mostly none of them."""
    studio: Table = {}
    if draw(_one_in(lean.planned)):
        gaps = draw(st.lists(st.sampled_from([7, 3, 0, 14, 30, -7]), min_size=1, max_size=4, unique=True))
        studio["lesson_dates"] = {"all": [on + timedelta(days=gap) for gap in gaps]}
    if draw(_one_in(8)):
        studio["rhythm"] = draw(_rhythms())
    if draw(_one_in(lean.away)):
        first = on + timedelta(days=draw(st.sampled_from([1, -3, 5, 8, 0])))
        last = first + timedelta(days=draw(st.sampled_from(lean.away_for)))
        studio["event"] = [{"name": "Holidays", "from": first, "to": last}]
    return studio


class _OfACourse(Situation):
    """A question about a course that is known: only what is drawn is printed."""

    def __repr__(self) -> str:
        """Return the student's tables and the day."""
        return f"student={self.student!r}, on={self.on!r}, studio={self.studio!r}"


def situations_of(graph: Mapping[str, Any], pacing: Mapping[str, Any]) -> st.SearchStrategy[Situation]:
    """Draw a question about the course of these tables, which is built once for all of them."""
    return _about(graph, pacing, cache(lambda: build_course(dict(graph), dict(pacing))))


@st.composite
def _about(
    draw: st.DrawFn, graph: Mapping[str, Any], pacing: Mapping[str, Any], course: Callable[[], Course]
) -> Situation:
    lean = draw(_ANY_LEANING)
    student = draw(student_files(graph, pacing, lean))
    on = draw(days(student, lean))
    return _OfACourse(graph, pacing, student, on, draw(_studios(on, lean))).of_course(course())
