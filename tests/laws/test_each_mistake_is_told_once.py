"""A course with several mistakes at once: each is told, once, at its place, and nothing else is.

The mistakes are planted in the small course, which has none, at skills, units, strands and ages that are
drawn. Two mistakes never share a table, so that none of them can be what another one leads to.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from copy import deepcopy
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import tomli_w
from hypothesis import example, given
from hypothesis import strategies as st

from readiness.course.checks.register import WARNINGS
from readiness.course.load import load_course

SMALL = Path(__file__).parents[1] / "toml_files" / "good_courses" / "small"
GRAPH = tomllib.loads((SMALL / "graph.toml").read_text("utf-8"))
PACING = tomllib.loads((SMALL / "pacing.toml").read_text("utf-8"))

Plant = Callable[[dict[str, Any], str], None]
"""Puts a mistake into a table, which has an id."""


def put(**values: Any) -> Plant:
    """Return what gives a table these values."""
    return lambda table, _: table.update(values)


def shown(text: str) -> Plant:
    """Return what gives a skill a criterion of its own."""
    return lambda table, id_: table.update(shown_when=f"{text} ({id_})")


def change(key: str, edit: Callable[[Any], Any]) -> Plant:
    """Return what changes a value of a table."""
    return lambda table, _: table.update({key: edit(table[key])})


def rename(table: dict[str, Any], old: str, new: str) -> None:
    """Give a value another key."""
    table[new] = table.pop(old, [])


OF_A_SKILL: dict[str, tuple[str, Plant, str]] = {
    "pain in the criterion": ("through-pain", shown("3 times despite the ache."), "shown_when"),
    "pain in a remedy": ("through-pain", change("remedies", lambda r: [*r, "Ignore the pain."]), "remedies"),
    "no name": ("empty-name", put(name=" "), "name"),
    "a long name": ("long-name", change("name", lambda name: name + " and so on" * 9), "name"),
    "its id for a name": ("name-is-id", lambda table, id_: table.update(name=id_), "name"),
    "no criterion": ("vague-criterion", put(shown_when=""), "shown_when"),
    "an open criterion": ("vague-criterion", shown("TODO 3"), "shown_when"),
    "no number": ("vague-criterion", shown("Does it nicely."), "shown_when"),
    "more than all": ("vague-criterion", shown("Does it five of 4 times."), "shown_when"),
    "too many weeks": ("criterion-beyond-unit", shown("Does it in 9 weeks."), "shown_when"),
    "none of all": ("vague-criterion", shown("Does it 0 of 4 times."), "shown_when"),
    "hours": ("criterion-beyond-lesson", shown("Does it for 2 hours."), "shown_when"),
    "an open remedy": ("unfinished-text", change("remedies", lambda r: [*r, "TODO"]), "remedies"),
    "an empty note": ("unfinished-text", put(age_note=""), "age_note"),
    "one listed twice": ("double-entry", put(at_home=[1, 1]), "at_home"),
    "no remedies": ("few-remedies", put(remedies=[]), ""),
    "one remedy": ("few-remedies", put(remedies=["Do it.", ""]), "remedies"),
    "one twice": ("same-remedy", put(remedies=["Do it.", "do  it"]), "remedies"),
    "too many minutes": ("out-of-range", put(minutes=1000), "minutes"),
    "no such unit": ("unknown-unit", change("unit", lambda unit: f"{unit}x"), "unit"),
    "no such strand": ("unknown-strand", change("strand", lambda strand: f"{strand}x"), "strand"),
    "no such kind": ("not-allowed", put(kind="movement"), "kind"),
    "an unknown key": ("unknown-key", put(colour="red"), "colour"),
    "another word": ("unknown-key", lambda table, _: rename(table, "stands_on", "builds_on"), "builds_on"),
    "seconds without end": ("criterion-beyond-lesson", shown("Does it for 2000 s."), "shown_when"),
    "a sentence for a phrase": ("odd-phrase", put(said="Lift it."), "said"),
    "not to the student": ("odd-phrase", put(you="she lifts it"), "you"),
}
OF_A_UNIT: dict[str, tuple[str, Plant, str]] = {
    "no aim": ("no-aim", put(aim=""), ""),
    "a blank name": ("empty-name", put(name="\t"), "name"),
    "a long name": ("long-name", change("name", lambda name: name + " and so on" * 9), "name"),
    "too many weeks": ("out-of-range", put(lesson_weeks=200), "lesson_weeks"),
}
OF_A_STRAND: dict[str, tuple[str, Plant, str]] = {"a blank name": ("empty-name", put(name=""), "name")}
OF_AN_AGE: dict[str, tuple[str, Plant, str]] = {
    "too long a lesson": ("out-of-range", put(lesson_minutes=3000), "lesson_minutes"),
    "too steep a rise": ("out-of-range", put(practice_rise_percent_week=26), "practice_rise_percent_week"),
    "too much taken along": ("out-of-range", put(carry_limit=50), "carry_limit"),
    "factors swapped": ("swapped-numbers", put(min_unit_factor=2.5), "min_unit_factor"),
    "a long activity": ("longer-than-lesson", put(activity_minutes=31), "activity_minutes"),
    "a share of all": ("unusual-number", put(review_share=1.0), "review_share"),
    "an odd share": ("unusual-number", put(review_share=0.15), "review_share"),
    "outside": ("outside-range", put(lesson_minutes=31), "lesson_minutes"),
}
MISTAKES = {"skill": OF_A_SKILL, "unit": OF_A_UNIT, "strand": OF_A_STRAND, "band": OF_AN_AGE}


@st.composite
def broken(draw: st.DrawFn) -> list[tuple[str, str, str]]:
    """Draw some mistakes: kind of table, its id, name of the mistake; at most one of a table."""
    places = [(kind, id_) for kind in ("skill", "unit", "strand") for id_ in GRAPH[kind]]
    places += [("band", age) for age in PACING["band"]]
    chosen = draw(st.lists(st.sampled_from(places), unique=True, max_size=6))
    drawn = [(kind, id_, draw(st.sampled_from(sorted(MISTAKES[kind])))) for kind, id_ in chosen]
    endless = {id_ for kind, id_, mistake in drawn if (kind, mistake) == ("unit", "too many weeks")}

    def is_hidden(kind: str, id_: str, mistake: str) -> bool:
        """Whether nothing can be concluded, as the weeks of the unit themselves are wrong."""
        return (kind, mistake) == ("skill", "too many weeks") and GRAPH[kind][id_]["unit"] in endless

    return [one for one in drawn if not is_hidden(*one)]


SLIPS = {
    "two equals": ("minutes = 6", "minutes == 6", "equals-twice"),
    "no figure after the point": ("minutes = 6", "minutes = 6.", "number-form"),
    "no quotes": ('unit = "', "unit = ", "no-quotes"),
    "a curly quote": ('unit = "', "unit = “", "curly-quotes"),
    "a colon": ("minutes =", "minutes:", "colon"),
    "no equals": ("minutes =", "minutes", "no-equals"),
    "no bracket": ("[skill.", "skill.", "header"),
    "something behind": ("minutes = 6", "minutes = 6 about", "after-value"),
}


@given(broken(), st.sampled_from(sorted(GRAPH["skill"])), st.sampled_from(sorted(SLIPS)))
def test_a_slip_hides_no_error(mistakes: list[tuple[str, str, str]], skill: str, slip: str) -> None:
    kept = [one for one in mistakes if one[:2] != ("skill", skill)]
    right, wrong, told = SLIPS[slip]

    def with_slip(graph: str) -> str:
        before, header, after = graph.partition(f"[skill.{skill}]")
        return before + f"{header}{after}".replace(right, wrong, 1)

    found, wanted = _found(kept, with_slip)
    assert told in {one[3] for one in found}
    errors = {one for one in wanted if one[3] not in WARNINGS}
    assert errors <= set(found)
    assert len([one for one in found if one[3] not in WARNINGS]) == len(errors) + 1


@given(broken())
@example([])
@example([("skill", "finds-distance", "hours"), ("band", "4-5", "too long a lesson")])
def test_each_is_told_once(mistakes: list[tuple[str, str, str]]) -> None:
    found, wanted = _found(mistakes, str)
    assert sorted(found) == sorted(wanted)


def _found(
    mistakes: list[tuple[str, str, str]], spoil: Callable[[str], str]
) -> tuple[list[tuple[str, ...]], set[tuple[str, ...]]]:
    """Return what is told of the small course with some mistakes, and what should be."""
    files = {"graph.toml": deepcopy(GRAPH), "pacing.toml": deepcopy(PACING)}
    wanted: set[tuple[str, ...]] = set()
    for kind, id_, mistake in mistakes:
        file = "pacing.toml" if kind == "band" else "graph.toml"
        said, plant, key = MISTAKES[kind][mistake]
        plant(files[file][kind][id_], id_)
        wanted.add((file, kind, id_, said, key))
    with TemporaryDirectory() as name:
        folder = Path(name)
        for file, data in files.items():
            text = tomli_w.dumps(data, multiline_strings=False)
            (folder / file).write_text(spoil(text) if file == "graph.toml" else text, "utf-8")
        return [_told(one) for one in load_course(folder).problems], wanted


def _told(problem: Any) -> tuple[str, str, str, str, str]:
    """Return a problem by file, table and key, as read from the line it points at."""
    lines = problem.place.file.read_text("utf-8").splitlines()
    above = [line for line in lines[: problem.place.line] if line.startswith("[")]
    kind, _, id_ = above[-1].strip("[]").partition(".") if above else ("", "", "")
    id_ = id_.strip('"')
    at = problem.place.line - 1
    while lines[at].startswith((" ", "]")):  # an item of a list that goes over several lines
        at -= 1
    key = "" if lines[at].startswith("[") else lines[at].partition(" =")[0]
    return problem.place.file.name, kind, id_, problem.id, key
