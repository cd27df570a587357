"""Sending a course to other tools and taking one in: forms, refusals, and what a foreign file lacks."""

from __future__ import annotations

import json
from datetime import date

import networkx as nx
import pytest

from readiness.cli.main import main
from readiness.editing.exchange import export_course, import_course

FOREIGN = {
    "CFDocument": {"identifier": "d", "title": "From elsewhere"},
    "CFItems": [
        {"identifier": "a", "fullStatement": "Sitting", "CFItemType": "Standard"},
        {"identifier": "b", "fullStatement": "Sits tall for a minute", "humanCodingScheme": "S.1"},
        {"identifier": "c", "fullStatement": "Finds the middle", "humanCodingScheme": "S.1"},
    ],
    "CFAssociations": [
        {
            "associationType": kind,
            "originNodeURI": {"identifier": one},
            "destinationNodeURI": {"identifier": two},
        }
        for kind, one, two in [("isChildOf", "b", "a"), ("isChildOf", "c", "a"), ("precedes", "b", "c")]
    ],
}


def test_graphml_is_read_by_networkx_as_the_same_graph(course, course_folder):
    """Outside check: networkx reads the file by itself; links and counts are those of the course."""
    graph = nx.parse_graphml(export_course(course_folder, "graphml", date(2026, 1, 1)))
    links = {(a, b) for a, b, told in graph.edges(data=True) if told["via"] == "stands_on"}
    assert links == {(before, skill.id) for skill in course.skills for before in skill.stands_on}
    assert len(nx.descendants(nx.DiGraph(links), "feet-supported")) == 98
    assert graph.nodes["wrist-lift"]["minutes"] == course.skill["wrist-lift"].minutes


def test_the_json_has_items_and_associations(course, course_folder):
    package = json.loads(export_course(course_folder, "case", date(2026, 1, 1)))
    assert list(package) == ["CFDocument", "CFItems", "CFAssociations"]
    kinds = {link["associationType"] for link in package["CFAssociations"]}
    assert kinds == {"isChildOf", "isPartOf", "precedes"}
    precedes = [link for link in package["CFAssociations"] if link["associationType"] == "precedes"]
    assert len(precedes) == sum(len(skill.stands_on) for skill in course.skills)
    ids = [one["identifier"] for one in (*package["CFItems"], *package["CFAssociations"])]
    assert len(ids) == len(set(ids))


def test_nothing_about_a_student_is_in_it(course_folder, demo):
    for form in ("graphml", "case"):
        text = export_course(course_folder, form, date(2026, 1, 1))
        assert not any(record.name in text for record in demo.records.values())


def test_a_foreign_file_is_taken_in_and_told_what_it_lacks(tmp_path, capsys):
    file = tmp_path / "foreign.json"
    file.write_text(json.dumps(FOREIGN), encoding="utf-8")
    assert main(["exchange", "import", str(file), str(tmp_path / "course")]) == 2
    told = capsys.readouterr()
    assert "[missing-key] [skill.s-1] needs the key minutes" in " ".join(told.err.split())
    graph = (tmp_path / "course" / "graph.toml").read_text(encoding="utf-8")
    assert "[skill.s-1-2]" in graph
    assert '"s-1",' in graph.split("[skill.s-1-2]")[1]
    assert "[unit.sitting]" in graph


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("<graphml", "no GraphML that can be read"),
        ('<!DOCTYPE x [<!ENTITY a "b">]><graphml/>', "defines entities"),
        ("{}", "no JSON of items and associations"),
        ("[" * 5000, "no JSON of items and associations"),
        ('{"CFDocument": {}, "CFItems": [{"identifier": "a"}]}', "no JSON of items and associations"),
        ('{"CFDocument": 1, "CFItems": 2}', "no JSON of items and associations"),
        ('{"CFDocument": {"extensions": {"on": {"day": "x"}}}, "CFItems": []}', "no JSON of items"),
        ('{"CFDocument": {"title": [null]}, "CFItems": []}', "values that a course cannot have"),
    ],
)  # fmt: skip
def test_what_is_no_course_is_refused_and_writes_nothing(tmp_path, text, said):
    file = tmp_path / "file"
    file.write_text(text, encoding="utf-8")
    refusal = import_course(file, tmp_path / "course")
    assert said in refusal.message
    assert not (tmp_path / "course").exists()


def test_nothing_is_written_over(tmp_path, capsys, course_folder):
    file = tmp_path / "sent.graphml"
    assert main(["exchange", "export", str(course_folder), str(file), "--as", "graphml"]) == 0
    assert main(["exchange", "export", str(course_folder), str(file), "--as", "graphml"]) == 2
    assert main(["exchange", "import", str(file), str(tmp_path / "new")]) == 0
    before = (tmp_path / "new" / "graph.toml").read_bytes()
    assert main(["exchange", "import", str(file), str(tmp_path / "new")]) == 2
    assert "there already is a graph.toml" in capsys.readouterr().err
    assert (tmp_path / "new" / "graph.toml").read_bytes() == before


def test_a_variant_is_sent_whole(tmp_path, course_folder, course):
    own = tmp_path / "hill"
    own.mkdir()
    (own / "graph.toml").write_text(
        f'format = 1\nname = "Hill"\nbased_on = "{course_folder.as_posix()}"\n'
        '[unit.singing]\nname = "Singing"\nlesson_weeks = 1\nafter = "sitting-high-low"\n',
        encoding="utf-8",
    )
    (tmp_path / "sent").write_text(export_course(own, "case", date(2026, 1, 1)), encoding="utf-8")
    assert import_course(tmp_path / "sent", tmp_path / "back") is None
    from readiness.course.load import load_course

    back = load_course(tmp_path / "back").course
    assert [unit.id for unit in back.units][:2] == ["sitting-high-low", "singing"]
    assert len(back.skills) == len(course.skills)
