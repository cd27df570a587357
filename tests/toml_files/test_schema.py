"""What is said when a file is TOML but not what its model wants."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Annotated, Literal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, model_validator
from pydantic_core import PydanticCustomError

from readiness.toml.problems import Place, Problem, render, sort_problems
from readiness.toml.read import parse_toml, read_toml
from readiness.toml.texts import did_you_mean, nearest

HERE = Path("here.toml")


class Strict(BaseModel):
    model_config = ConfigDict(extra="forbid", strict=True)


def even(value):
    if value == 3:
        raise PydanticCustomError("odd-number", "this {what} is odd", {"what": "number", "hint": "add one"})
    if value == 5:
        raise ValueError("five is too much")
    return value


Id = Annotated[str, Field(pattern="^[a-z0-9-]+$")]


class Group(Strict):
    at_least: int = Field(ge=1, le=9)
    of: list[str] = Field(min_length=1)


class Skill(Strict):
    name: str = Field(min_length=1)
    kind: Literal["motor", "ear", "reading"] = "motor"
    minutes: int = Field(gt=0, lt=100, default=5)
    share: float = Field(ge=0, allow_inf_nan=False, default=0.5)
    safety: bool = False
    on: date | None = None
    unit: Id = "a"
    stands_on: list[str] = Field(max_length=3, default=[])
    stands_on_some: list[Group] = []
    remarks: dict[str, str] = {}
    pairs: Annotated[int, BeforeValidator(even)] = 0
    by: str | list[str] = ""

    @model_validator(mode="after")
    def _agrees(self):
        if self.name == self.unit:
            raise PydanticCustomError("same-name", "name and unit are the same", {})
        return self


class Course(Strict):
    format: Literal[1]
    skill: dict[Id, Skill] = {}
    lesson: list[Skill] = []


def problems_of(text, model=Course):
    return parse_toml(text, HERE, model).problems


def said(lines, above="format = 1\n[skill.wrist-lift]\nname = 'x'\n"):
    """Return (id, the rest of the line from its place on, message, hint) of the only problem."""
    text = above + lines
    (problem,) = problems_of(text)
    rest = text.split("\n")[problem.place.line - 1][problem.place.column - 1 :]
    return problem.id, rest, problem.message, problem.hint


SKILL = "[skill.wrist-lift]"

CASES = {
    "a key nearly right": (
        'stand_on = ["a"]',
        ("unknown-key", 'stand_on = ["a"]', f'{SKILL} has no key "stand_on"', 'did you mean "stands_on"?'),
    ),
    "a word for a whole number": (
        'minutes = "15"',
        (
            "wrong-type",
            '"15"',
            f"minutes in {SKILL} must be a whole number, not text",
            "write 15 without the quotes",
        ),
    ),
    "a point for a whole number": (
        "minutes = 1.5",
        (
            "wrong-type",
            "1.5",
            f"minutes in {SKILL} must be a whole number, not a number with a decimal point",
            "write 1 or 2",
        ),
    ),
    "true for a whole number": (
        "minutes = true",
        ("wrong-type", "true", f"minutes in {SKILL} must be a whole number, not true or false", ""),
    ),
    "text for a number": (
        'share = "0.5"',
        (
            "wrong-type",
            '"0.5"',
            f"share in {SKILL} must be a number, not text",
            "write 0.5 without the quotes",
        ),
    ),
    "text for true": (
        'safety = "True"',
        (
            "wrong-type",
            '"True"',
            f"safety in {SKILL} must be true or false, not text",
            "write true without the quotes",
        ),
    ),
    "text for a date": (
        'on = "2025-12-02"',
        (
            "wrong-type",
            '"2025-12-02"',
            f"on in {SKILL} must be a date, not text",
            "write the date without quotes: 2025-12-02",
        ),
    ),
    "a number for text": (
        "unit = 3",
        ("wrong-type", "3", f"unit in {SKILL} must be text in quotes, not a number", 'put it in quotes: "3"'),
    ),
    "text for a list": (
        'stands_on = "a"',
        (
            "wrong-type",
            '"a"',
            f"stands_on in {SKILL} must be a list, not text",
            'put it in square brackets: ["a"]',
        ),
    ),
    "a list for a table": (
        "remarks = ['x']",
        ("wrong-type", "['x']", f"remarks in {SKILL} must be a table, not a list", ""),
    ),
    "a number in a list of texts": (
        "stands_on = ['a', 3]",
        (
            "wrong-type",
            "3]",
            f"stands_on, item 2 in {SKILL} must be text in quotes, not a number",
            'put it in quotes: "3"',
        ),
    ),
    "a number in a list in a table in a list": (
        "stands_on_some = [{ at_least = 1, of = ['a', 3] }]",
        (
            "wrong-type",
            "3] }]",
            f"stands_on_some, item 1, of, item 2 in {SKILL} must be text in quotes, not a number",
            'put it in quotes: "3"',
        ),
    ),
    "an unknown key in braces": (
        "stands_on_some = [{ atleast = 1, at_least = 1, of = ['a'] }]",
        (
            "unknown-key",
            "atleast = 1, at_least = 1, of = ['a'] }]",
            f'{SKILL} has no key "atleast"',
            'did you mean "at_least"?',
        ),
    ),
    "a missing key in braces": (
        "stands_on_some = [{ at_least = 1 }]",
        (
            "missing-key",
            "{ at_least = 1 }]",
            f"stands_on_some, item 1 in {SKILL} needs the key of",
            "add inside the braces: of = [...]",
        ),
    ),
    "a number under a free name": (
        "remarks = { wrist = 3 }",
        (
            "wrong-type",
            "3 }",
            f"remarks, wrist in {SKILL} must be text in quotes, not a number",
            'put it in quotes: "3"',
        ),
    ),
    "no allowed word": (
        'kind = "mtor"',
        (
            "not-allowed",
            '"mtor"',
            f'kind in {SKILL} must be one of motor, ear, reading, not "mtor"',
            'did you mean "motor"?',
        ),
    ),
    "too small": ("minutes = 0", ("out-of-range", "0", f"minutes in {SKILL} must be more than 0, not 0", "")),
    "too large": (
        "minutes = 100",
        ("out-of-range", "100", f"minutes in {SKILL} must be less than 100, not 100", ""),
    ),
    "no number at all": (
        "share = nan",
        ("out-of-range", "nan", f"share in {SKILL} must be an ordinary number, not nan", ""),
    ),
    "an empty list": (
        "stands_on_some = [{ at_least = 1, of = [] }]",
        ("empty", "[] }]", f"stands_on_some, item 1, of in {SKILL} is empty", "write at least one"),
    ),
    "a list too long": (
        "stands_on = ['a', 'b', 'c', 'd']",
        ("too-long", "['a', 'b', 'c', 'd']", f"stands_on in {SKILL} may have at most 3 items", ""),
    ),
    "no id": (
        'unit = "Wrist Lift"',
        (
            "bad-form",
            '"Wrist Lift"',
            f'"Wrist Lift" is not written the way unit in {SKILL} needs it',
            "an id is written with a-z, 0-9 and hyphens, as in wrist-lift",
        ),
    ),
    "a model's own words": ("pairs = 3", ("odd-number", "3", "this number is odd", "add one")),
    "a model's plain error": ("pairs = 5", ("not-valid", "5", f"pairs in {SKILL}: five is too much", "")),
    "a model's words about a whole table": (
        "unit = 'x'",
        ("same-name", "wrist-lift]", "name and unit are the same", ""),
    ),
}


@pytest.mark.parametrize("lines, expected", CASES.values(), ids=CASES.keys())
def test_what_is_said_at_which_word(lines, expected):
    assert said(lines) == expected


def test_a_missing_key_is_at_the_header_of_its_table():
    assert said("[skill.b]\nminutes = 4\n") == (
        "missing-key",
        "b]",
        "[skill.b] needs the key name",
        'add below [skill.b]: name = "..."',
    )


def test_a_missing_key_of_the_second_of_two_tables_is_at_the_second():
    (problem,) = problems_of("format = 1\n[[lesson]]\nname = 'b'\n\n[[lesson]]\nminutes = 1\n")
    assert (problem.place, problem.message) == (Place(HERE, 5, 3), "[[lesson]] needs the key name")


def test_a_missing_key_of_the_file_is_at_its_beginning():
    (problem,) = problems_of("# nothing\n")
    assert (problem.place, problem.hint) == (Place(HERE, 1, 1), "add above the first table: format = 1")


def test_a_missing_table_is_asked_for_by_its_header():
    class Needs(Strict):
        basis: dict[str, str]
        band: dict[str, Group]

    (problem,) = problems_of("[band.a]\nat_least = 1\nof = ['x']\n", Needs)
    assert problem.message == "the file needs the table [basis]"


def test_an_unknown_table_names_the_nearest():
    assert said("[skil.a]\nname = 'b'\n")[2:] == (
        "this kind of file has no table [skil]",
        'did you mean "skill"?',
    )


def test_an_unknown_key_with_nothing_near_lists_what_there_is():
    assert said("x1 = 1", above="format = 1\n")[2:] == (
        'this kind of file has no key "x1" above its tables',
        "known here: format, lesson, skill",
    )


def test_a_wrong_table_name_is_at_the_name():
    assert said("[skill.'Wrist Lift']\nname = 'b'\n")[:2] == ("bad-form", "'Wrist Lift']")


def test_names_of_types_are_no_part_of_the_path():
    found = problems_of("format = 1\n[skill.a]\nname = 'b'\nby = ['x', 3]\n")
    assert {problem.place.line for problem in found} == {4}
    assert Place(HERE, 4, 12) in [problem.place for problem in found]


def test_every_mistake_of_a_file_is_reported_in_its_order():
    text = "format = 2\nnme = 1\n[skill.a]\nminutes = 0\nkind = 'x'\n[skill.b]\nname = ''\n"
    assert [(p.place.line, p.id) for p in problems_of(text)] == [
        (1, "not-allowed"),
        (2, "unknown-key"),
        (3, "missing-key"),
        (4, "out-of-range"),
        (5, "not-allowed"),
        (7, "empty"),
    ]


def test_a_good_file_has_a_value_and_places(tmp_path):
    file = tmp_path / "good.toml"
    file.write_text("format = 1\n[skill.a]\nname = 'b'\n")
    loaded = read_toml(file, Course)
    assert loaded.problems == ()
    assert loaded.value is not None
    assert loaded.value.skill["a"].name == "b"
    assert loaded.value_place("skill", "a", "name") == Place(file, 3, 8)
    assert loaded.key_place("skill", "a", "missing") == Place(file, 2, 8)


def test_a_problem_is_printed_for_an_editor_to_jump_to():
    text = 'format = 1\n[skill.a]\nname = "b"\nkind = "mtor"\n'
    (problem,) = problems_of(text)
    assert render(problem, {HERE: text}) == (
        "here.toml:4:8: error: [not-allowed] "
        'kind in [skill.a] must be one of motor, ear, reading, not "mtor"\n'
        '    4 | kind = "mtor"\n'
        "               ^\n"
        '  did you mean "motor"?'
    )


def test_a_problem_without_its_file_is_printed_without_the_line():
    problem = Problem("a", "warning", Place(Path("not there.toml"), 3, 1), "b", "c", Place(HERE, 1, 2), "d")
    assert render(problem) == "not there.toml:3:1: warning: [a] b\n  d: here.toml:1:2\n  c"


def test_a_problem_cannot_make_up_lines():
    problem = Problem("a", "error", Place(HERE, 1, 1), 'no key "x\nhere.toml:1:1: error: [b] c"')
    assert "\n" not in render(problem, {HERE: ""})


def test_problems_are_sorted_by_place_and_each_is_there_once():
    first, second = (Problem("a", "error", Place(HERE, line, 1), "m") for line in (2, 10))
    assert sort_problems([second, first, second]) == (first, second)


NAMES = ["wrist-lift", "rounded-hand-keys", "loose-shoulders", "echo-clap-four", "echo-sing-two", "use"]


@pytest.mark.parametrize(
    "word, meant",
    [
        ("wrsit-lift", "wrist-lift"),
        ("wrist-lfit", "wrist-lift"),
        ("lift-wrist", "wrist-lift"),
        ("Wrist_Lift", "wrist-lift"),
        ("wrist lift", "wrist-lift"),
        ("wristlift", "wrist-lift"),
        ("rounded-hand-key", "rounded-hand-keys"),
        ("ues", "use"),
        ("echo-clap-for", "echo-clap-four"),
        ("dynamics", None),
        ("", None),
        ("x" * 100_000, None),
    ],
)
def test_the_nearest_name(word, meant):
    assert nearest(word, NAMES) == meant
    assert did_you_mean(word, NAMES) == (f'did you mean "{meant}"?' if meant else "")


VALUES = st.sampled_from(
    [
        "1",
        "0",
        "-3",
        "1.5",
        '"x"',
        '""',
        '"2025-12-02"',
        "2025-12-02",
        "true",
        "[]",
        "[1]",
        '["a"]',
        "{ a = 1 }",
        "nan",
    ]
)
KEYS = st.sampled_from([*Skill.model_fields, "nme", "skill", "format", '"odd key"'])


@settings(max_examples=200, deadline=None)
@given(
    st.lists(st.dictionaries(KEYS, VALUES, max_size=6), max_size=3),
    st.sampled_from(["[skill.s{}]", "[[lesson]]"]),
)
def test_every_problem_is_at_a_line_that_holds_what_it_names(tables, header):
    blocks = [
        "\n".join([header.format(n), *(f"{key} = {value}" for key, value in table.items())])
        for n, table in enumerate(tables)
    ]
    text = "\n\n".join(["format = 1", *blocks])
    loaded = parse_toml(text, HERE, Course)
    assert (loaded.value is None) == bool(loaded.problems)
    for problem in loaded.problems:
        line = text.split("\n")[problem.place.line - 1]
        key = line.partition(" =")[0].strip('"')
        if problem.id == "missing-key":
            assert line.startswith("[")
            assert problem.message.startswith(f"{line} needs ")
        elif problem.id in ("unknown-key", "wrong-type", "not-allowed", "out-of-range", "empty"):
            assert key in problem.message
            assert line[problem.place.column - 1 :].strip()
