"""Every number of a course just inside and just outside what can be meant, and what is usual.

The table, of ``reference.test_pacing_as_delivered``, is written by hand.
"""

from __future__ import annotations

import re
import tomllib
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import pytest
import tomli_w
from hypothesis import given
from hypothesis import strategies as st
from reference.test_pacing_as_delivered import USUAL

from readiness.course.checks.units import (
    check_lesson_ranges,
    check_pauses,
    check_possible,
    check_sizes,
    check_usual,
    possible,
)
from readiness.course.draft import make_draft
from readiness.course.layers import read_files
from readiness.course.load import load_course

SMALL = Path(__file__).parent / "good_courses" / "small"
PACING = (SMALL / "pacing.toml").read_text("utf-8")
GRAPH = (SMALL / "graph.toml").read_text("utf-8")

AGES = {3: 0, 5: 0, 6: 1, 7: 1, 8: 2, 10: 2, 11: 3, 40: 3}
"""An age at which a band begins, and its column; both ends of each."""

OF_THE_GRAPH = (("skill.sit-tall", "minutes", 240, 1, 30), ("unit.hands", "lesson_weeks", 104, 1, 16))
FRACTIONS = ("review_share", "min_unit_factor", "max_unit_factor")

Row = tuple[str, float | None, float, float, str]


def rows() -> list[tuple[int, str, float | None, float, float, str]]:
    """Return every rule at every age: the age, the rule, the most, the usual range, what is added to it."""
    found = []
    for line in USUAL.split("\n")[1:-1]:
        rule, most, *usual = line.split()
        for age, column in AGES.items():
            low, high = map(float, usual[min(column, len(usual) - 1)].split("-"))
            added = " at this age" if usual[1:] else ""
            found.append((age, rule, None if most == "-" else float(most), low, high, added))
    return found


def of_the_table(text: str, header: str, key: str) -> tuple[int, int]:
    """Return where the value of a key stands, found by reading on from its header."""
    lines = text.split("\n")
    at = next(n for n in range(lines.index(header), len(lines)) if lines[n].startswith(f"{key} = "))
    return at + 1, len(key) + 4


def told(folder: Path, graph: str, pacing: str) -> list[tuple[str, str, int, int, str, str]]:
    """Return what both checks say of two files: id, file, line, column, message, hint."""
    (folder / "graph.toml").write_text(graph, "utf-8")
    (folder / "pacing.toml").write_text(pacing, "utf-8")
    files = read_files(folder)
    draft = make_draft(files.graph.written, files.pacing.written)
    found = [*check_possible(draft), *check_usual(draft)]
    assert {(p.id, p.severity) for p in found} <= {("out-of-range", "error"), ("unusual-number", "warning")}
    return [(p.id, p.place.file.name, p.place.line, p.place.column, p.message, p.hint) for p in found]


def expected(
    number: float, where: str, most: float | None, low: float, high: float, added: str = ""
) -> list[tuple[str, str, str]]:
    """Return what is to be said of a number: id, message, hint."""
    usual = f"usual is {low:g} to {high:g}{added}"
    if most is not None and number > most:
        why = "correct it"
        if where.startswith("carry_limit"):
            why = "the largest unit has 4 skills, and not all of one can stay unfinished"
        return [("out-of-range", f"{where} must be at most {most:g}, not {number:g}", f"{why}: {usual}")]
    if low <= number <= high:
        return []
    meant = 'allow = ["unusual-number"] and reason = "..."'
    hint = f"correct it, or say at the top of graph.toml that it is meant: {meant}"
    return [("unusual-number", f"{where} is {number:g}, and {usual}", hint)]


def near(rule: str, most: float | None, low: float, high: float) -> list[float]:
    """Return numbers at and just beyond every end."""
    step = 0.01 if rule in FRACTIONS else 1
    return [
        low,
        high,
        high + step,
        *([low - step] if low > 0 else []),
        *([most, most + step] if most else []),
    ]


@pytest.mark.parametrize("age, rule, most, low, high, added", rows())
def test_a_number_of_an_age(age, rule, most, low, high, added, tmp_path):
    table, _, key = rule.rpartition(".")
    header = f'[band."6-7".{table}]' if table else '[band."6-7"]'
    before, after = PACING.split('[band."6-7"]\n')
    after = re.sub("^from_age = 6$", f"from_age = {age}", after, flags=re.MULTILINE)
    usual = told(tmp_path, GRAPH, f'{before}[band."6-7"]\n{after}')
    for number in near(rule, most, low, high):
        for pair in (0, 1) if rule.endswith(("_range", "minutes_day")) else (None,):
            head, rest = after.split(f"{header}\n") if table else ("", after)
            inside = round((low + high) / 2)
            value = (
                f"{number:g}"
                if pair is None
                else ", ".join(f"{n:g}" for n in ((number, inside), (inside, number))[pair])
            )
            written = value if pair is None else f"[{value}]"
            rest = re.sub(rf"^{key} = .*$", f"{key} = {written}", rest, count=1, flags=re.MULTILINE)
            text = f'{before}[band."6-7"]\n{head}{header if table else ""}{chr(10) if table else ""}{rest}'
            line, column = of_the_table(text, header, key)
            column += 0 if pair is None else 1 + pair * (len(f"{inside:g}, "))
            own = [
                (i, "pacing.toml", line, column, m, h)
                for i, m, h in expected(number, f"{key} in {header}", most, low, high, added)
            ]
            others = [one for one in usual if one[2] != line]
            assert sorted(told(tmp_path, GRAPH, text)) == sorted([*others, *own])


@pytest.mark.parametrize("age", [2, 3, 25, 26, 99, 100])
def test_the_age_at_which_a_band_begins(age, tmp_path):
    text = PACING.replace("from_age = 6", f"from_age = {age}", 1)
    line, column = of_the_table(text, '[band."6-7"]', "from_age")
    said = expected(age, 'from_age in [band."6-7"]', 99, 3, 25)
    own = [(i, "pacing.toml", line, column, m, h) for i, m, h in said]
    assert [one for one in told(tmp_path, GRAPH, text) if one[2] == line] == own


@pytest.mark.parametrize("table, key, most, low, high", OF_THE_GRAPH)
def test_a_number_of_the_graph(table, key, most, low, high, tmp_path):
    for number in (1, low, high, high + 1, most, most + 1):
        head, rest = GRAPH.split(f"[{table}]\n")
        text = f"{head}[{table}]\n" + re.sub(rf"\b{key} = \d+", f"{key} = {number}", rest, count=1)
        line, column = of_the_table(text, f"[{table}]", key)
        found = expected(number, f"{key} in [{table}]", most, low, high)
        assert told(tmp_path, text, PACING) == [(i, "graph.toml", line, column, m, h) for i, m, h in found]


@pytest.mark.parametrize("key, most", [("minutes", 240), ("lesson_weeks", 104), ("lesson_minutes", 180)])
def test_nothing_is_concluded_from_what_cannot_be_meant(key, most):
    assert [possible(key, number) for number in (None, 1, most, most + 1)] == [None, 1, most, None]


def test_what_has_no_end_here_can_be_meant():
    assert possible("practice_days_week", 10**9) == 10**9


@pytest.mark.parametrize("number", ["inf", "nan", "-inf"])
def test_what_is_no_number_is_told_once(number, tmp_path):
    (tmp_path / "graph.toml").write_text(GRAPH, "utf-8")
    wrong = PACING.replace("max_unit_factor = 2.0", f"max_unit_factor = {number}", 1)
    (tmp_path / "pacing.toml").write_text(wrong, "utf-8")
    (found,) = load_course(tmp_path).problems
    assert (found.severity, found.place.line) == ("error", wrong[: wrong.index(number)].count("\n") + 1)


NOT_MORE = (
    ("min_unit_factor", "max_unit_factor", "swapped-numbers"),
    ("new_skills_per_lesson", "new_skills_per_lesson_max", "swapped-numbers"),
    ("fresh_weeks.fast", "fresh_weeks.medium", "fade-order"),
    ("fresh_weeks.medium", "fresh_weeks.slow", "fade-order"),
    ("activity_minutes", "lesson_minutes", "longer-than-lesson"),
    ("check_minutes", "lesson_minutes", "longer-than-lesson"),
)


def with_numbers(pacing: dict[str, Any], **numbers: float) -> dict[str, Any]:
    """Return a pacing with other numbers at its second age; ``__`` stands for a point."""
    band = pacing["band"]["6-7"]
    for rule, number in numbers.items():
        table, _, key = rule.rpartition("__")
        (band[table] if table else band)[key] = number
    return pacing


def of_sizes(folder: Path, **numbers: Any) -> list[tuple[str, str, str]]:
    """Return what the checks of sizes say: id, the line pointed at, the other line."""
    path = folder / "pacing.toml"
    path.write_text(tomli_w.dumps(with_numbers(tomllib.loads(PACING), **numbers)), "utf-8")
    (folder / "graph.toml").write_text(GRAPH, "utf-8")
    files, lines = read_files(folder), path.read_text("utf-8").split("\n")
    draft = make_draft(files.graph.written, files.pacing.written)
    found = [*check_sizes(draft), *check_pauses(draft), *check_lesson_ranges(draft)]
    return [(p.id, lines[p.place.line - 1], lines[p.other.line - 1] if p.other else "") for p in found]


@pytest.mark.parametrize("small, large, id_", NOT_MORE)
@given(number=st.integers(1, 7), more=st.integers(-3, 3))
def test_a_part_is_not_more_than_the_whole(small, large, id_, number, more):
    beside = {"lesson_minutes_range": [1, 180], "play_without_pause_minutes": 1}
    numbers = {small.replace(".", "__"): max(1, number + more), large.replace(".", "__"): number}
    if "medium" in small:
        beside["fresh_weeks__fast"] = 1
    if "medium" in large:
        beside["fresh_weeks__slow"] = 520
    beside |= {"activity_minutes": 1, "check_minutes": 1} if large == "lesson_minutes" else {}
    with TemporaryDirectory() as folder:
        found = of_sizes(Path(folder), **beside | numbers)
    key = [one.rpartition(".")[2] for one in (small, large)]
    line = [f"{name} = {number}" for name, number in zip(key, numbers.values(), strict=True)]
    assert found == ([(id_, *line)] if max(1, number + more) > number else [])


@pytest.mark.parametrize("small, large, id_", NOT_MORE)
@pytest.mark.parametrize("number", [0, -1, float("-inf"), 10**6])
def test_nothing_is_compared_with_what_cannot_be_meant(small, large, id_, number, tmp_path):
    assert not of_sizes(tmp_path, **{(small if number > 0 else large).replace(".", "__"): number})


@pytest.mark.parametrize("age, has_pause", [(3, False), (5, False), (6, True), (7, True)])
def test_the_youngest_have_a_pause(age, has_pause, tmp_path):
    for minutes, is_told in ((29, False), (30, not has_pause), (31, not has_pause)):
        found = of_sizes(tmp_path, from_age=age, lesson_minutes=30, play_without_pause_minutes=minutes)
        told = ("no-pause", f"play_without_pause_minutes = {minutes}", "lesson_minutes = 30")
        assert found == ([told] if is_told else [])


def test_a_lesson_is_in_its_range(tmp_path):
    for minutes in (24, 25, 30, 31):
        found = of_sizes(tmp_path, lesson_minutes=minutes, lesson_minutes_range=[25, 30])
        lines = (f"lesson_minutes = {minutes}", "lesson_minutes_range = [")
        assert found == ([] if minutes in (25, 30) else [("outside-range", *lines)])
    for pair in ([0, 20], [500, 600], [20]):
        assert not of_sizes(tmp_path, lesson_minutes=30, lesson_minutes_range=pair)


@pytest.mark.parametrize("rule", sorted({line.split()[0] for line in USUAL.split("\n")[1:-1]}))
def test_a_number_beyond_all_is_told_once(rule, tmp_path):
    value: Any = 10**6
    if rule.endswith(("_range", "minutes_day")):
        value = [1, 10**6] if rule != "lesson_minutes_range" else [20, 10**6]
    pacing = with_numbers(tomllib.loads(PACING), **{rule.replace(".", "__"): value})
    (tmp_path / "pacing.toml").write_text(tomli_w.dumps(pacing), "utf-8")
    (tmp_path / "graph.toml").write_text(GRAPH, "utf-8")
    (found,) = [one for one in load_course(tmp_path).problems if one.severity == "error"]
    assert rule.rpartition(".")[2] in found.message
