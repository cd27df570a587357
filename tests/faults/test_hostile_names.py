"""Names and texts that would command a terminal are refused; those that look like HTML stay names.

Every text a course or a student file can hold is made hostile, and every command that only looks
is asked. Nothing of it comes out as a command to the terminal, and in no page is it markup.
"""

from __future__ import annotations

import re
import tomllib
from html.parser import HTMLParser
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest
import tomli_w

from readiness.cli.main import main
from readiness.course.load import load_course
from readiness.record.load import load_record

ROOT = Path(__file__).parents[2]
COURSE = ROOT / "skill_graphs" / "first-two-years"
COMMANDS_TERMINAL = "\x1b[2J\x1b]0;owned\x07\u202egnp\u2028\x9b31m"
LOOKS_LIKE_HTML = "<script>alert('x')</script>&amp;\"><b onload=x>$x^2$ </svg>--> ]]>"
TEXTS = (
    "name", "aim", "shown_when", "age_note", "alternative", "advice", "edition", "adult_beside", "note", "by",
)  # fmt: skip


def spoiled(value, bad):
    """Return plain values with something added to every text that people read."""
    if isinstance(value, list):
        return [spoiled(one, bad) for one in value]
    if not isinstance(value, dict):
        return value
    return {
        key: f"{one}{bad}" if isinstance(one, str) and key in TEXTS
        else [f"{text}{bad}" for text in one] if key == "remedies"
        else spoiled(one, bad)
        for key, one in value.items()
    }  # fmt: skip


def read(path):
    return tomllib.loads(path.read_text(encoding="utf-8"))


@pytest.fixture(scope="module")
def studio(tmp_path_factory):
    """Return a studio in which every name looks like HTML."""
    folder = tmp_path_factory.mktemp("hostile")
    (folder / "course").mkdir()
    (folder / "students").mkdir()
    for name in ("graph.toml", "pacing.toml"):
        text = tomli_w.dumps(spoiled(read(COURSE / name), LOOKS_LIKE_HTML))
        (folder / "course" / name).write_text(text, encoding="utf-8")
    for path in (ROOT / "demo_students").glob("*.toml"):
        if path.name != "studio.toml":
            text = tomli_w.dumps(spoiled(read(path), LOOKS_LIKE_HTML))
            (folder / "students" / path.name).write_text(text, encoding="utf-8")
    (folder / "studio.toml").write_text(
        tomli_w.dumps({
            "format": 1, "name": LOOKS_LIKE_HTML, "course": "course", "students": "students",
            "event": [{"name": LOOKS_LIKE_HTML, "on": read(ROOT / "demo_students" / "studio.toml")["today"]}],
            "teachers": {"OB": LOOKS_LIKE_HTML},
        }), encoding="utf-8",
    )  # fmt: skip
    return folder


LOOKING = [
    ["why", "temwa"], ["why", "temwa", "--json"], ["why", "temwa", "--reasons"], ["roster"], ["ask", "all"],
    ["ask", "all", "--json"], ["sheet", "temwa"], ["plan", "temwa"], ["tell", "temwa", "family"],
    ["handover", "temwa"], ["shown", "temwa"], ["task", "temwa"], ["promise", "temwa"], ["map"], ["moderate"],
    ["why", "x\x1b[2J"], ["why", "\u202ex"], ["note", "temwa", "--alone", "\x1b[2Jx"], ["ask", "\x1b[2J"],
    ["\x1b[2J"], ["check", "course"], ["check", "\x1b[2J"], ["why", "temwa", "--if", "\x1b[2J=1"],
]  # fmt: skip


@pytest.mark.parametrize("words", LOOKING, ids=repr)
def test_nothing_that_is_said_commands_the_terminal(words, studio, monkeypatch, capsys):
    monkeypatch.chdir(studio)
    main(words)
    out, err = capsys.readouterr()
    assert "Traceback" not in err
    seen = {ch for ch in out + err if not ch.isprintable()} - {"\n"}
    assert not seen, seen


@pytest.mark.parametrize("ch", [*COMMANDS_TERMINAL[:1], *"\x07\u202e\u2028\x9b\x7f\u2066\x00\x08"])
@pytest.mark.parametrize("name", ["graph.toml", "pacing.toml"])
def test_a_course_with_unseen_characters_is_refused_at_each_of_them(name, ch, tmp_path):
    for one in ("graph.toml", "pacing.toml"):
        (tmp_path / one).write_bytes((COURSE / one).read_bytes())
    text = tomli_w.dumps(spoiled(read(COURSE / name), ch))
    (tmp_path / name).write_text(text, encoding="utf-8")
    loaded = load_course(tmp_path)
    assert loaded.course is None
    assert {problem.id for problem in loaded.problems} >= {"unseen-character"}


def test_a_band_or_a_basis_with_an_unseen_name_is_refused(tmp_path):
    (tmp_path / "graph.toml").write_bytes((COURSE / "graph.toml").read_bytes())
    pacing = read(COURSE / "pacing.toml")
    pacing["basis"]["x\x1b[2J"] = "y"
    pacing["band"]["4-5\x07"] = pacing["band"].pop("4-5")
    (tmp_path / "pacing.toml").write_text(tomli_w.dumps(pacing), encoding="utf-8")
    assert [p.id for p in load_course(tmp_path).problems].count("unseen-character") == 2


@pytest.mark.parametrize("key", ["name", "family"])
def test_a_student_with_an_unseen_character_in_a_name_is_refused(key, tmp_path, course):
    data = {"format": 1, "name": "Mia", "born": "2019-05", key: f"Mia{COMMANDS_TERMINAL}"}
    (tmp_path / "mia.toml").write_text(tomli_w.dumps(data), encoding="utf-8")
    (problem,) = load_record(tmp_path / "mia.toml", course).problems
    assert problem.id == "unseen-character"


class Tags(HTMLParser):
    """Every tag a browser would see, and the text between them."""

    def __init__(self, page):
        super().__init__()
        self.tags, self.handlers, self.text = set(), [], ""
        self.feed(page)

    def handle_starttag(self, tag, attrs):
        self.tags.add(tag)
        self.handlers += [name for name, _ in attrs if name.startswith("on")]

    def handle_data(self, data):
        self.text += data


PAGES = [
    ["sheet", "temwa", "--html"],
    ["sheet", "linnea", "--html"],
    ["handover", "temwa", "--html"],
    ["ask", "all", "--html"],
    ["ask", "all", "--for", "third-party", "--html"],
]


@pytest.mark.parametrize("words", PAGES, ids=" ".join)
def test_in_no_page_a_name_is_markup(words, studio, tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(studio)
    page = tmp_path / "page.html"
    assert main([*words, str(page), "--on", "2025-12-05"]) in (0, 1)
    text = page.read_text(encoding="utf-8")
    found = Tags(text)
    assert not found.tags & {"script", "iframe", "img", "object", "link"}
    assert found.handlers == []
    assert "alert" in found.text
    assert not re.search(r"""(?:src|href)\s*=\s*(?!["']?#)""", re.sub(r"xmlns\S+", "", text))


def test_the_map_is_one_drawing_whatever_the_names(studio, tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(studio)
    file = tmp_path / "map.svg"
    assert main(["map", "--student", "temwa", "--on", "2025-12-05", "--out", str(file)]) == 0
    tree = ET.fromstring(file.read_text(encoding="utf-8"))  # a name that is markup would not be read
    assert not [one for one in tree.iter() if one.tag.rpartition("}")[2] in ("script", "b", "foreignObject")]
    assert "alert" in "".join(tree.itertext())
