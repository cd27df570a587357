"""The four languages a picture is written in: well formed, whole, and safe whatever a name holds."""

from __future__ import annotations

import re
import shutil
import subprocess
from xml.etree import ElementTree as ET

import pytest

from readiness.course.load import build_course, load_course
from readiness.days import day_number
from readiness.judging import judge
from readiness.pictures.formats import STATE_ORDER, map_as_dot, map_as_mermaid, map_as_text, shown
from readiness.pictures.svg import PAPERS, map_as_svg
from readiness.record.load import load_record
from readiness.words.english import STATE_LETTERS

SVG = "{http://www.w3.org/2000/svg}"
NASTY = [
    '<script>alert("x")</script>', "a & b ]]> c", 'quote " and \\ and \\" end', "end", "%% {comment} #35;",
    "subgraph x --> y", "`code` | pipe ; semi", "naïve \u2013 dash ♯ 音", "two  spaces", "x" * 60,
]  # fmt: skip

_TEXT = r'"(?:[\w .,:!?()+/-]|#\d+;)*"'
MERMAID = re.compile(
    r"flowchart LR"
    rf"|  title\[{_TEXT}\]"
    rf"|  subgraph (?:u\d+\[{_TEXT}\]|letters)"
    rf"|    (?:s\d+|state\d)\[{_TEXT}\]"
    r"|  end"
    r"|  s\d+ (?:-->|-\.->) s\d+"
    r"|  classDef state\dLook [a-z#0-9:, -]+"
    r"|  class state\d(?:,s\d+)* state\dLook"
)
"""Every line a chart of ours may have; the forms are those of Mermaid's documentation, from memory."""

_ID = r'"(?:[^"\\]|\\.)*"'
_MARKS = rf'\[\w+=(?:{_ID}|[\w.]+)(?:, \w+=(?:{_ID}|[\w.]+))*\]'
DOT = re.compile(
    rf"digraph {_ID} \{{|  (?:graph|node|edge) {_MARKS};|  subgraph {_ID} \{{|    graph {_MARKS};"
    rf"|    {_ID} {_MARKS};|  \}}|  {_ID} -> {_ID}(?: {_MARKS})?;|\}}"
)
"""Every line a DOT file of ours may have (the DOT grammar of Graphviz, from memory)."""


@pytest.fixture(scope="module")
def nasty(course_folder):
    """Return a course whose names hold what each language minds."""
    graph = {
        "format": 1,
        "name": NASTY[0],
        "strand": {f"s{i}": {"name": name} for i, name in enumerate(NASTY)},
        "unit": {f"u{i}": {"name": name, "lesson_weeks": 4, "aim": name} for i, name in enumerate(NASTY[:3])},
        "skill": {
            f"k{i}": {
                "name": name, "unit": f"u{i % 3}", "strand": f"s{i}", "kind": "ear", "fade": "slow",
                "minutes": 5, "shown_when": "1 of 1", "stands_on": [f"k{i - 1}"] if i % 3 else [],
                "always_look": not i, "asks_pain": not i,
            }
            for i, name in enumerate(NASTY)
        },
    }  # fmt: skip
    import tomllib

    pacing = tomllib.loads((course_folder / "pacing.toml").read_text(encoding="utf-8"))
    return build_course(graph, pacing)


@pytest.fixture(scope="module")
def chikondi(course, demo_folder):
    """Return what is shown of a demo student."""
    record = load_record(demo_folder / "chikondi.toml", course).record
    return shown(course, judge(course, record, day_number("2025-12-02")))


@pytest.fixture(scope="module")
def pictures(course, nasty, chikondi, course_folder):
    """Return one of each: a course, a student, a unit, a course of odd names."""
    voice = load_course(course_folder.parent / "first-year-voice").course
    return [shown(course), chikondi, shown(course, None, "hands-take-turns"), shown(nasty), shown(voice)]


def words(element):
    """Return all text of an element, without the white space."""
    return "".join("".join(element.itertext()).split())


@pytest.mark.parametrize("paper", PAPERS)
def test_svg_is_well_formed_and_fits_the_paper(pictures, paper):
    wide, high = PAPERS[paper]
    for content in pictures:
        root = ET.fromstring(map_as_svg(content, paper))
        assert root.tag == f"{SVG}svg"
        assert float(root.get("width").removesuffix("mm")) < wide
        assert float(root.get("height").removesuffix("mm")) < high
        assert {each.tag.removeprefix(SVG) for each in root.iter()} <= {
            "svg", "title", "style", "defs", "pattern", "rect", "path", "text", "g",
        }  # fmt: skip


def test_svg_shows_every_skill_and_names_every_strand_and_unit(pictures):
    for content in pictures:
        root = ET.fromstring(map_as_svg(content))
        boxes = {each.get("id"): each for each in root.iter(f"{SVG}g")}
        assert list(boxes) == [skill.id for skill in content.skills]
        for skill in content.skills:
            letter = STATE_LETTERS[content.states[skill.id]] if content.states else ""
            assert words(boxes[skill.id]) == letter + "".join(skill.name.split())
        everything = words(root)
        for one in (*content.units, *content.strands):
            assert "".join(one.name.split()) in everything


def test_svg_tells_states_without_a_colour(chikondi):
    svg = map_as_svg(chikondi)
    for colour in re.findall(r"#([0-9a-fA-F]{3,6})\b", svg):
        assert len(set(colour if len(colour) == 3 else (colour[:2], colour[2:4], colour[4:]))) == 1
    assert len({STATE_LETTERS[state] for state in STATE_ORDER}) == len(STATE_ORDER)
    assert set(STATE_ORDER) == set(STATE_LETTERS)


def test_mermaid_lines_are_all_of_a_known_form(pictures):
    for content in pictures:
        lines = map_as_mermaid(content).splitlines()
        assert [line for line in lines if not MERMAID.fullmatch(line)] == []
        assert lines.count("  end") == sum(line.startswith("  subgraph") for line in lines)
        assert sum("->" in line and '"' not in line for line in lines) == len(content.links)


def test_dot_lines_are_all_of_a_known_form(pictures):
    for content in pictures:
        lines = map_as_dot(content).splitlines()
        assert [line for line in lines if not DOT.fullmatch(line)] == []
        assert sum(re.fullmatch(rf"  {_ID} -> .*", line) is not None for line in lines) == len(content.links)


@pytest.mark.skipif(shutil.which("dot") is None, reason="Graphviz is not installed")
def test_graphviz_reads_our_dot(pictures):
    for content in pictures[1:]:
        done = subprocess.run(
            ["dot", "-Tplain"], input=map_as_dot(content).encode(), capture_output=True, check=False
        )
        assert done.returncode == 0, done.stderr.decode()
        assert done.stdout.decode().count("\nnode ") == len(content.skills)


def test_the_outline_fits_its_width_and_has_every_skill_once(pictures):
    for content in pictures:
        text = map_as_text(content)
        assert max(map(len, text.splitlines())) <= 80
        for skill in content.skills:
            assert len(re.findall(rf"\({re.escape(skill.id)}\)", text)) == 1


def test_the_outline_says_what_a_skill_stands_on(course):
    flat = " ".join(map_as_text(shown(course)).split())
    assert (
        "(plays-called-fingers) - Body and finger awareness builds on Shows finger numbers (unit 3); "
        "Keeps the hand rounded on the keys (unit 3); at least 1 of Places 2-3 on the group of two and "
        "Places 2-3-4 on the group of three"
    ) in flat


def test_a_unit_is_shown_with_what_is_under_and_over_it(course):
    content = shown(course, None, "hands-take-turns")
    here = {skill.id for skill in course.skills if skill.unit == "hands-take-turns"}
    assert here <= {skill.id for skill in content.skills}
    assert {"alternate-arms-steady", "white-key-piece"} <= {skill.id for skill in content.skills}
    for link in content.links:
        assert here & {link.before, link.after}
    assert len(content.skills) < len(course.skills)


def test_a_students_picture_has_the_states_of_the_answer(chikondi):
    assert chikondi.states["alternate-arms-steady"] == "slipped"
    assert (chikondi.here, chikondi.ahead) == ("hands-take-turns", "white-key-names")
    assert " W  Alternates the arms steadily" in map_as_text(chikondi)
