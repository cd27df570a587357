"""What must hold of any course, and of any student in it: one function each, that raises where it does not.

Each is asked of a course (a :class:`CourseFolder`), or of a drawn question
(:class:`~readiness.testing.situation.Situation`) together with a :class:`random.Random` that chooses what is
changed. Those of a question are in :data:`OF_ANY_RECORD`. Where one does not hold it raises
:class:`AssertionError` with a sentence that names what was found.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date, timedelta
from functools import cached_property
from pathlib import Path
from random import Random
from typing import Any, Final

import networkx as nx

from readiness.advice.after_break import after_break
from readiness.advice.as_json import back_to_dict
from readiness.advice.sheet import check_sheet
from readiness.course.checks import CHECKS
from readiness.course.checks.links import check_implied_links, check_loops, check_self_links
from readiness.course.draft import Draft, make_draft
from readiness.course.layers import CourseFiles, read_files
from readiness.course.load import course_of
from readiness.course.model import Course, LoadedCourse
from readiness.course.schema import shipped_bands
from readiness.days import iso
from readiness.judging.answer import GAP_STATES, OPEN_STATES
from readiness.lazy import dataclass
from readiness.terms import Fade, Help, Kind, State, Verdict
from readiness.testing.situation import Asked, Situation, ask, ask_on, without_places
from readiness.testing.strategies import HELP_LISTS, MONDAY
from readiness.toml.problems import Problem, few

__all__ = [
    "OF_ANY_RECORD", "PROMISES", "CourseFolder", "a_good_showing_never_worsens", "acyclic_and_reduced",
    "another_teacher_changes_nothing", "every_unit_can_be_left", "ids_mean_nothing", "keeps_its_promise",
    "lessons_to_reach_every_unit", "nothing_taught_later_is_asked", "order_means_nothing",
    "pain_is_on_every_sheet", "shaped_as_the_format_says", "weeks_change_only_dates",
]  # fmt: skip

Check = Callable[[Draft], Any]
"""One of ``readiness.course.checks.CHECKS``."""

PROMISES: Final[tuple[Check, ...]] = tuple(
    one for one in CHECKS if one not in (check_self_links, check_loops, check_implied_links)
)
"""The checks of a course; of those left out :func:`acyclic_and_reduced` has another opinion."""


def _must(holds: bool, otherwise: str) -> None:
    if not holds:
        raise AssertionError(otherwise)


@dataclass(frozen=True)
class CourseFolder:
    """A course as it was read, with mistakes or without."""

    files: CourseFiles
    folder: Path

    @classmethod
    def read(cls, folder: Path) -> CourseFolder:
        """Read the two files of a folder and all they are based on."""
        return cls(read_files(folder), folder)

    @cached_property
    def draft(self) -> Draft:
        """What is written, before anybody has said that it is valid."""
        return make_draft(self.files.graph.written, self.files.pacing.written)

    @cached_property
    def loaded(self) -> LoadedCourse:
        """The course, and all that is wrong with it."""
        return course_of(self.files, self.folder)

    @property
    def course(self) -> Course | None:
        """The course; None where it has an error."""
        return self.loaded.course

    @property
    def last_day(self) -> date:
        """A day on which the course is as it will stay: no skill comes or goes after it."""
        turning = self.course.turning_days if self.course else ()
        return date.fromordinal(max((MONDAY.toordinal(), *turning)))


# --- of the files ----------------------------------------------------------------------------


def shaped_as_the_format_says(read: CourseFolder) -> None:
    """Both files are TOML, with the tables and keys of the format (rules, section 1)."""
    wrong = [*read.files.graph.problems, *read.files.pacing.problems]
    _must(not wrong, _told(wrong))


def acyclic_and_reduced(read: CourseFolder) -> None:
    """No skills wait for each other in a ring, and no link is said twice over (rule R9).

    Asked of networkx and not of the course's own checks: a graph without loops has one smallest graph that
    says the same (Aho, Garey and Ullman, "The transitive reduction of a directed graph", 1972).
    """
    drafts = read.draft.eras
    for draft in drafts:
        links = _links(draft, with_groups=True)
        if not nx.is_directed_acyclic_graph(links):
            ring = [skill for skill, _ in nx.find_cycle(links)]
            raise AssertionError(f"these skills wait for each other: {', '.join(ring)}")
    links = _links(drafts[-1])
    over = sorted(set(links.edges) - set(nx.transitive_reduction(links).edges))
    _must(not over, "; ".join(f"{skill} need not name {before}" for before, skill in over))


def _links(draft: Draft, *, with_groups: bool = False) -> nx.DiGraph[str]:
    """Return what stands on what, as written, from what comes first to what stands on it."""
    links: nx.DiGraph[str] = nx.DiGraph()
    for skill in draft.skills:
        words = [*skill.stands_on, *(word for group in skill.groups if with_groups for word in group.of)]
        links.add_edges_from((word.text, skill.id) for word in words if word.text in draft.skill)
    return links


def keeps_its_promise(check: Check, read: CourseFolder) -> tuple[Problem, ...]:
    """Return what a check warns of; its docstring says what it promises of the course (rule R9).

    Raises:
        AssertionError: it finds an error.
    """
    own = {(one.id, one.place) for era in (read.draft, *read.draft.eras) for one in few(check(era))}
    found = [problem for problem in read.loaded.problems if (problem.id, problem.place) in own]
    wrong = [problem for problem in found if problem.severity == "error"]
    _must(not wrong, _told(wrong))
    return tuple(found)


def _told(problems: Sequence[Problem]) -> str:
    return "\n".join(f"{one.place.file.name}:{one.place.line}: {one.message}; {one.hint}" for one in problems)


# --- of a course -----------------------------------------------------------------------------


def lessons_to_reach_every_unit(read: CourseFolder, band: str) -> int:
    """Return in how many weekly lessons a student who shows everything has closed the last unit.

    In every lesson some skills are begun, in the order of teaching and as many as the band begins in one
    (``new_skills_per_lesson``); all that was begun is shown alone. The student moves on in the first lesson
    with a ready verdict (rule R7). What was shown in the units before is from then on ``settled``.

    Raises:
        AssertionError: the student stands still in a unit; the text says in which.
    """
    course = _of(read)
    day, lessons = read.last_day, 0
    for unit in course.units:
        days = [day + timedelta(weeks=week) for week in range(_enough_lessons(course, unit.id, band))]
        lesson = _shown_in_turn(course, unit.id, band, days)
        left = next(_ready(course, _student(course, unit.id, band, days[0], lesson=lesson), days), None)
        _must(left is not None, f"who shows everything stands still in {unit.id} ({len(days)} lessons)")
        assert left is not None
        lessons += days.index(left) + 1
        day = left + timedelta(weeks=1)
    return lessons


def every_unit_can_be_left(read: CourseFolder, band: str) -> None:
    """From every unit a student moves on who shows what is asked for in this band, and nothing else.

    What is optional in the band is never asked for (rule R7), so no group may hang on it alone. The lessons
    are six days apart, so that no number for breaks (``break_weeks``) stands in the way.
    """
    course = _of(read)
    stuck = []
    for unit in course.units:
        asked = [skill.id for skill in _there(course, unit.id) if band not in skill.optional_in]
        days = [read.last_day + timedelta(days=6 * n) for n in range(_enough_lessons(course, unit.id, band))]
        lesson = [{"on": day, "alone": asked} for day in days]
        student = _student(course, unit.id, band, days[0], settled=False, lesson=lesson)
        if next(_ready(course, student, days[::-1]), None) is None:
            stuck.append(unit.id)
    _must(not stuck, f"in {band} nobody leaves: {', '.join(stuck)}")


def pain_is_on_every_sheet(read: CourseFolder, band: str) -> None:
    """On every sheet of every unit the child is asked whether something hurts or tires, under a hold too.

    Common practice, no source: pain stops the work, so a child must be able to say so in every lesson.
    """
    course, on = _of(read), read.last_day
    signals = {skill.id for skill in course.skills if skill.asks_pain}
    for unit in course.units:
        student = _student(course, unit.id, band, on)
        for part in (None, "hand", "voice", "all"):
            hold = [] if part is None else [{"opened": on, "words": "Sore.", "part": part}]
            asked = ask(Situation({}, {}, {**student, "hold": hold}, on), course)
            sheet = check_sheet(asked.course.on(on.toordinal()), asked.record, asked.answer)
            on_it = {skill for item in sheet.items for skill in item.skills}
            _must(bool(signals & on_it), f"no sign for pain on the sheet of {unit.id}, hold: {part}")


def _of(read: CourseFolder) -> Course:
    _must(read.course is not None, "the course has errors")
    assert read.course is not None
    return read.course


def _there(course: Course, unit: str) -> list[Any]:
    """Return the skills of the units up to one that are there in the end, in the order of teaching."""
    last = course.unit[unit].number
    whole = course.eras[-1]
    there = [s for s in whole.skills if s.id not in whole.gone and whole.unit[s.unit].number <= last]
    depth = whole.plan.depth
    return sorted(there, key=lambda s: (whole.unit[s.unit].number, depth[whole.plan.index[s.id]]))


def _enough_lessons(course: Course, unit: str, band: str) -> int:
    """Return in how many lessons everything of a unit has been shown often enough, far enough apart."""
    own = [skill for skill in _there(course, unit) if skill.unit == unit]
    rules = course.band[band]
    often = max([*rules.days_needed, *(skill.days or 0 for skill in own)])
    return len(own) // max(1, rules.whole("new_skills_per_lesson")) + often + rules.whole("spread_days") + 3


def _student(
    course: Course, unit: str, band: str, on: date, *, settled: bool = True, **tables: object
) -> dict[str, Any]:
    """Return a file of a student who begins a unit, with all before it settled; in a band, whatever the age.

    ``settled`` says whether the units before are settled on that day; where not, they are shown in lessons.
    """
    at = course.unit[unit].number - 1
    file: dict[str, Any] = {
        "format": 1,
        "name": "Somebody",
        "born": f"{on.year - course.band[band].from_age}-01-01",
        "unit_start": [{"unit": unit, "on": on}],
        "band_choice": [{"band": band, "on": on, "reason": "All bands are tried."}],
        **tables,
    }
    if at and settled:
        file["settled"] = [{"through": course.units[at - 1].id, "on": on}]
    return file


def _shown_in_turn(course: Course, unit: str, band: str, days: Sequence[date]) -> list[dict[str, Any]]:
    """Return lessons in which the skills of a unit are begun in turn, and all begun are shown alone."""
    every = [skill.id for skill in _there(course, unit)]
    old = sum(skill.unit != unit for skill in _there(course, unit))
    new = max(1, course.band[band].whole("new_skills_per_lesson"))
    return [{"on": day, "alone": every[: old + new * n]} for n, day in enumerate(days, start=1)]


def _ready(course: Course, student: Mapping[str, Any], days: Sequence[date]) -> Iterator[date]:
    """Yield the days after whose lesson the student may move on, with nothing left open."""
    asked = ask(Situation({}, {}, student, max(days)), course)
    for day in days:
        answer = ask_on(asked, day)
        if answer.may_move and all(
            answer.standings[skill].state in (State.SECURE, State.SET_ASIDE)
            for skill in (*answer.deciding, *answer.rest)
        ):
            yield day


# --- of any record ---------------------------------------------------------------------------


def nothing_taught_later_is_asked(situation: Situation, chance: Random) -> None:  # noqa: ARG001 - as all of these
    """What decides, what is looked at and what is on the sheet is of the student's unit or earlier (rule R7).

    Except that what is easy on the sheet may be of a later unit, where it is secure already.
    """
    asked = ask(situation)
    answer, course = asked.answer, asked.course.on(asked.answer.on)
    if answer.unit is None:
        return
    groups = [skill for group in answer.groups for skill in group.of]
    sheet = check_sheet(course, asked.record, answer)
    on_it = [s for item in sheet.items for s in item.skills if answer.standings[s].state != State.SECURE]
    for skill in (*answer.deciding, *answer.rest, *groups, *answer.look_first, *on_it):
        unit = course.unit[course.skill[skill].unit]
        _must(unit.number <= course.unit[answer.unit].number, f"{skill} is asked for in {answer.unit}")


def a_good_showing_never_worsens(situation: Situation, chance: Random) -> None:
    """One more showing alone, on a day after the last note of a skill, never worsens any state.

    *Worse* is falling on this ladder: a gap state (with-help, not-shown, slipped), an open one
    (untried, building, wobbling, stale), met (secure, set-aside). Within the middle of the ladder
    a showing may well move a skill sideways, as from wobbling to stale, when the showing is older
    than the window. It works out because a showing alone counts in every band, so it ends the row
    of misses and lengthens the list of days; and what it refreshes elsewhere only grows fresher.

    The same holds for the verdict without hold and break. A lesson can also end a break, or be
    the first one after it, so the verdict itself is left out.
    """
    skill = chance.choice(list(situation.graph["skill"]))
    first = _last_note(situation, skill) + timedelta(days=1)
    day = max(first, situation.on - timedelta(days=chance.randint(0, 40)))
    on = max(situation.on, day)
    lessons = [*situation.student["lesson"], {"on": day, "alone": [skill]}]
    before = ask(replace(situation, on=on))
    after = ask(replace(situation, on=on).with_student(lesson=lessons), before.course)
    for name, standing in before.answer.standings.items():
        now = after.answer.standings[name].state
        _must(_rank(now) >= _rank(standing.state), f"{skill} shown alone made {name} {now}")
    if before.answer.unit is not None:
        steps = [_LADDER.index(asked.answer.underlying) for asked in (before, after)]
        _must(steps[0] <= steps[1], f"{skill} shown alone made it {after.answer.underlying}")


_LADDER: Final = ("not-yet", "look-again", "ready-taking-along", "ready")


def _rank(state: State) -> int:
    """Return 0 for a gap state, 1 for an open one, 2 for one that is met."""
    return 0 if state in GAP_STATES else 1 if state in OPEN_STATES else 2


def _last_note(situation: Situation, skill: str) -> date:
    """Return the last day on which anything is said of a skill, else the day before all lessons."""
    lessons = situation.student["lesson"]
    said = [lesson["on"] for lesson in lessons if any(skill in lesson.get(h, []) for h in HELP_LISTS)]
    first = min(lesson["on"] for lesson in lessons)
    last: date = max([first - timedelta(days=1), *said])
    return last


def ids_mean_nothing(situation: Situation, chance: Random) -> None:
    """Renaming skills, units and bands renames the answer and changes nothing else.

    Rule R8 breaks its last ties by the id of a skill, so the new names of skills keep the
    alphabetical order of the old ones. Units and bands break no ties and are renamed freely. Ids that are
    words of the files too (a unit called ``reading``) keep their names, and so do all of their kind; so do
    the bands of a pacing that comes with the program, whose numbers are the defaults of bands so called.
    The cautions are not compared: one of them goes by the ids of the course that comes with the program.
    """
    new = _new_names(situation, chance)
    tables = (situation.graph, situation.pacing, situation.student)
    graph, pacing, student = (_renamed(one, new) for one in tables)
    renamed = replace(situation, graph=graph, pacing=pacing, student=student)
    plain, other = ask(situation), ask(renamed, name="another")
    expected = _renamed(without_places(plain.json), {**new, "somebody": "another"})
    _same(other, {**expected, "cautions": list(other.answer.cautions)}, "new names")


def _new_names(situation: Situation, chance: Random) -> dict[str, str]:
    graph, new = situation.graph, dict[str, str]()
    bands = [] if shipped_bands(situation.pacing["name"]) else situation.pacing["band"]
    words = {*_WORDS, *graph, *(key for table in graph["skill"].values() for key in table)}
    for kind, names in (("thing", graph["skill"]), ("part", graph["unit"]), ("age", bands)):
        numbers = chance.sample(range(1000), len(names))
        if not words & set(names):
            drawn = sorted(numbers) if kind == "thing" else numbers
            new |= {name: f"{kind}-{number:03}" for name, number in zip(sorted(names), drawn, strict=True)}
    return new


_WORDS: Final = frozenset({
    *Kind, *Fade, *Help, *State, *Verdict, *HELP_LISTS, "hand", "voice", "all", "move", "stay", "birthday",
})  # fmt: skip


def _renamed(value: Any, new: Mapping[str, str]) -> Any:  # noqa: ANN401 - of any table or JSON
    """Rename every key and text that is exactly an old name; names shown to people may stay."""
    if isinstance(value, Mapping):
        return {new.get(k, k): _renamed(v, new) for k, v in value.items()}
    if isinstance(value, (list, tuple)):
        return [_renamed(item, new) for item in value]
    return new.get(value, value) if isinstance(value, str) else value


def order_means_nothing(situation: Situation, chance: Random) -> None:
    """Tables and blocks may stand in any order in the files, and so may names within a list.

    With two exceptions: the order of units is that of teaching; and of two ``unit_start`` (or two
    ``band_choice``, or two ``decision``) on one day the later in the file holds, so blocks of these kinds
    keep their order within a day. Skills are named as they stand in the course, and of equal reasons
    the first; so with its tables in another order, lists are compared without theirs, and not the reasons,
    which of two skills fades first on one day, nor the first look of somebody who is not placed.
    """
    asked = ask(situation)
    student = _shuffled(situation.student, chance)
    mixed = {name: _mixed(name, blocks, chance) for name, blocks in student.items()}
    other = ask(replace(situation, student=mixed), asked.course)
    _same(other, without_places(asked.json), "in another order of the blocks")
    graph = {**_shuffled(situation.graph, chance), "unit": situation.graph["unit"]}
    graph["skill"] = {skill: _mixed_lists(table, chance) for skill, table in graph["skill"].items()}
    other = ask(replace(situation, graph=graph, pacing=_shuffled(situation.pacing, chance)))
    one, two = (_in_order(said) for said in (asked.json, other.json))
    by_order = {"findings", "proof", *(["one_thing"] if asked.answer.unit is None else [])}
    by_order |= {"holds_because"} if asked.answer.fades_first and other.answer.fades_first else set()
    wrong = [key for key in one if one[key] != two[key] and key not in by_order]
    _must(not wrong, f"in another order of the tables: another {', '.join(wrong)}")


_ORDER_COUNTS_WITHIN_A_DAY: Final = ("unit_start", "band_choice", "decision")


def _shuffled(tables: Mapping[str, Any], chance: Random) -> dict[str, Any]:
    """Return tables in another order, and the tables in them."""
    entries = [(k, _shuffled(v, chance) if isinstance(v, Mapping) else v) for k, v in tables.items()]
    chance.shuffle(entries)
    return dict(entries)


def _mixed(name: str, value: Any, chance: Random) -> Any:  # noqa: ANN401 - of any table
    """Return the blocks of one kind in another order, as far as their order means nothing."""
    if not isinstance(value, list):
        return value
    blocks = chance.sample(value, len(value))
    if name in _ORDER_COUNTS_WITHIN_A_DAY:
        days = list(dict.fromkeys(block["on"] for block in blocks))
        return [block for day in days for block in value if block["on"] == day]
    return [_mixed_lists(block, chance) for block in blocks]


def _mixed_lists(block: Mapping[str, Any], chance: Random) -> dict[str, Any]:
    """Mix the entries of a table among themselves, and the names in each of its lists."""
    entries = chance.sample(list(block.items()), len(block))
    return {k: chance.sample(v, len(v)) if isinstance(v, list) else v for k, v in entries}


def _in_order(value: Any) -> Any:  # noqa: ANN401 - JSON is anything
    """Return JSON without places, its lists in an order of their own."""
    value = without_places(value)
    if isinstance(value, Mapping):
        return {key: _in_order(one) for key, one in value.items()}
    return sorted(map(_in_order, value), key=repr) if isinstance(value, list) else value


def weeks_change_only_dates(situation: Situation, chance: Random) -> None:
    """Everything some weeks earlier or later gives the same answer with its dates so many weeks off.

    A birthday is no whole number of weeks away. So either everything moves by 28 years, after which the
    calendar repeats, leap days and weekdays (Gregorian calendar, between 1901 and 2099), or by any weeks
    while the band is chosen and no age decides.
    """
    first = min(lesson["on"] for lesson in situation.student["lesson"])
    weeks = chance.choice([*_WEEKS_OF_28_YEARS, chance.randint(1, 200), -chance.randint(1, 200)])
    born = date.fromordinal(ask(situation).record.born).isoformat()
    start = situation.with_student(born=born)
    if weeks not in _WEEKS_OF_28_YEARS:
        band = chance.choice(list(situation.pacing["band"]))
        chosen = {"band": band, "on": first - timedelta(days=1000), "reason": "No age decides."}
        start = start.with_student(band_choice=[chosen])
    moved = Situation(
        *(_later(one, weeks) for one in (start.graph, start.pacing, start.student, start.on, start.studio))
    )
    _same(ask(moved), _later(without_places(ask(start).json), weeks), f"{weeks} weeks later")


_WEEKS_OF_28_YEARS: Final = (-1461, 1461)


def _later(value: Any, weeks: int) -> Any:  # noqa: ANN401 - of any table or JSON
    """Return tables or JSON with every date so many weeks later."""
    if isinstance(value, Mapping):
        return {key: _later(one, weeks) for key, one in value.items()}
    if isinstance(value, (list, tuple)):
        return [_later(one, weeks) for one in value]
    if isinstance(value, date):
        return value + timedelta(weeks=weeks)
    if isinstance(value, str) and _ISO_DATE.fullmatch(value):
        return iso(date.fromisoformat(value).toordinal() + 7 * weeks)
    return value


_ISO_DATE: Final = re.compile(r"\d{4}-\d{2}-\d{2}")


def another_teacher_changes_nothing(situation: Situation, chance: Random) -> None:
    """Who noted it changes nothing, neither in the answer nor in what is advised after a break.

    A fact of fairness: common practice, no source.
    """
    first, second = (_noted_by(situation, chance.choices(_TEACHERS, k=chance.randint(1, 4))) for _ in "ab")
    some, others = (ask(one) for one in (first, second))
    _must(_said(some) == _said(others), f"noted by others: {others.answer.verdict}")


_TEACHERS: Final = ("A.K.", "B.", "Ms C", "Ö")


def _noted_by(situation: Situation, teachers: Sequence[str]) -> Situation:
    lessons = situation.student["lesson"]
    return situation.with_student(
        lesson=[{**lesson, "by": teachers[n % len(teachers)]} for n, lesson in enumerate(lessons)]
    )


def _said(asked: Asked) -> str:
    back = after_break(asked.course, asked.record, asked.answer)
    return json.dumps([asked.json, back_to_dict(back, None, asked.answer)])


def _same(asked: Asked, expected: Any, what: str) -> None:  # noqa: ANN401 - JSON is anything
    said = without_places(asked.json)
    other = [key for key, value in expected.items() if said[key] != value]
    _must(list(said) == list(expected) and not other, f"{what}: another {', '.join(other)}")


OF_ANY_RECORD: Final[tuple[Callable[[Situation, Random], None], ...]] = (
    nothing_taught_later_is_asked,
    a_good_showing_never_worsens,
    ids_mean_nothing,
    order_means_nothing,
    weeks_change_only_dates,
    another_teacher_changes_nothing,
)
"""What must hold of any question, with a source of chance for what is changed."""
