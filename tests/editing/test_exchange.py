"""Sending a course to other tools and taking one in: forms, refusals, and what a foreign file lacks."""

from __future__ import annotations

import json
import random
import shutil
import tomllib
from dataclasses import replace
from datetime import date

import igraph
import networkx as nx
import pytest

from readiness.cli.main import main
from readiness.course.load import load_course
from readiness.editing.exchange import FORMS, export_course, import_course, incoming

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
    assert len(nx.descendants(nx.DiGraph(links), "feet-supported")) == 97
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


ANSWERS = ("--fill", "kind=motor", "--fill", "fade=medium", "--fill", "minutes=6", "--fill", "lesson_weeks=3")


def brought_in(capsys, file, folder, *words):
    code = main(["exchange", "import", str(file), str(folder), *words])
    out, err = capsys.readouterr()
    return code, " ".join(out.split()), " ".join(err.split())


def test_a_foreign_file_is_not_written_before_it_is_a_course(tmp_path, capsys):
    """What is missing is asked once a key; nothing is written that the check would refuse."""
    file = tmp_path / "foreign.json"
    file.write_text(json.dumps(FOREIGN), encoding="utf-8")
    code, out, err = brought_in(capsys, file, tmp_path / "course")
    assert code == 2
    assert not (tmp_path / "course").exists()
    assert "missing are kind (2), fade (2), minutes (2) and lesson_weeks (1)" in err
    assert "--fill kind=..." in err
    assert "[missing-key]" not in err
    assert "Taken: 2 skills, 1 unit and 1 link." in out
    code, out, err = brought_in(capsys, file, tmp_path / "course", *ANSWERS)
    assert code == 0
    assert 'Made up: a strand "from-elsewhere" for 2 of the 2 skills; the skill "tells-when-it-hurts"' in out
    graph = (tmp_path / "course" / "graph.toml").read_text(encoding="utf-8")
    assert '"s-1"' in graph.split("[skill.s-1-2]")[1]
    assert main(["check", str(tmp_path / "course")]) == 0
    assert brought_in(capsys, file, tmp_path / "other", "--fill", "speed=1")[0] == 2


def test_each_missing_key_is_asked_once_at_a_terminal(tmp_path, capsys, monkeypatch):
    file = tmp_path / "foreign.json"
    file.write_text(json.dumps(FOREIGN), encoding="utf-8")
    asked = []
    answers = iter(["motor", "slow", "5", "4"])
    monkeypatch.setattr("readiness.cli.course.is_terminal", lambda: True)
    monkeypatch.setattr("builtins.input", lambda prompt: asked.append(prompt) or next(answers))
    assert brought_in(capsys, file, tmp_path / "course")[0] == 0
    assert len(asked) == 4


def test_what_cannot_be_held_is_named(tmp_path, capsys):
    foreign = json.loads(json.dumps(FOREIGN))
    foreign["CFItems"][1]["educationLevel"] = ["K1"]
    foreign["CFRubrics"] = []
    for kind, two in (("exemplar", "c"), ("isRelatedTo", "elsewhere")):
        ends = {"originNodeURI": {"identifier": "b"}, "destinationNodeURI": {"identifier": two}}
        foreign["CFAssociations"].append({"associationType": kind, **ends})
    file = tmp_path / "foreign.json"
    file.write_text(json.dumps(foreign), encoding="utf-8")
    out = brought_in(capsys, file, tmp_path / "course", *ANSWERS)[1]
    assert "CFRubrics (1), educationLevel of items (1), exemplar links (1) and isRelatedTo links (1)" in out


def test_the_order_of_the_items_means_nothing(tmp_path, course_folder):
    """CASE 1.1: sequenceNumber and listEnumeration carry the order, not the place in the file."""
    package = json.loads(export_course(course_folder, "case", date(2026, 1, 1)))
    for part in ("CFItems", "CFAssociations"):
        random.Random(1).shuffle(package[part])
    (tmp_path / "sent.json").write_text(json.dumps(package), encoding="utf-8")
    assert import_course(tmp_path / "sent.json", tmp_path / "back") is None
    back, there = load_course(tmp_path / "back").course, load_course(course_folder).course
    assert [skill.id for skill in back.skills] == [skill.id for skill in there.skills]
    assert back.units == there.units
    assert back.strands == there.strands


CASE_DOCUMENT = {"identifier", "uri", "creator", "title", "lastChangeDateTime"}
CASE_ITEM = {"identifier", "uri", "fullStatement", "lastChangeDateTime"}
CASE_LINK = {"identifier", "uri", "associationType", "originNodeURI", "destinationNodeURI",
             "lastChangeDateTime"}  # fmt: skip
CASE_TYPES = {"isChildOf", "isPeerOf", "isPartOf", "exactMatchOf", "precedes", "isRelatedTo", "replacedBy",
              "exemplar", "hasSkillLevel", "isTranslationOf"}  # fmt: skip


def test_it_has_what_case_asks_for(course_folder, course):
    """1EdTech CASE 1.1, information model: the fields that must be there, and the types of associations.

    Both are written down from memory, so that a field this list lacks is no proof that CASE lacks it.
    """
    package = json.loads(export_course(course_folder, "case", date(2026, 1, 1)))
    items = {one["identifier"]: one for one in package["CFItems"]}
    assert set(package["CFDocument"]) >= CASE_DOCUMENT
    assert all(package["CFDocument"][key] for key in CASE_DOCUMENT)
    assert package["CFDocument"]["language"] == "en"
    for one in package["CFItems"]:
        assert set(one) >= CASE_ITEM
        assert one["listEnumeration"]
    for one in package["CFAssociations"]:
        assert set(one) >= CASE_LINK
        assert one["associationType"] in CASE_TYPES
        origin = items[one["originNodeURI"]["identifier"]]
        assert one["originNodeURI"]["title"] == origin["abbreviatedStatement"]
    in_order = [o for o in package["CFAssociations"] if o["associationType"] == "isChildOf"]
    in_order = [o for o in in_order if items[o["originNodeURI"]["identifier"]]["CFItemType"] == "Skill"]
    numbers = [one["sequenceNumber"] for one in in_order]
    assert sorted(numbers) == list(range(1, len(course.skills) + 1))


def test_nothing_changes_when_nothing_did(tmp_path, course_folder):
    for name in ("one.json", "two.json"):
        assert main(["exchange", "export", str(course_folder), str(tmp_path / name)]) == 0
    assert (tmp_path / "one.json").read_bytes() == (tmp_path / "two.json").read_bytes()


@pytest.mark.parametrize("form", sorted(FORMS))
def test_what_is_allowed_is_carried(tmp_path, course_folder, form):
    shutil.copytree(course_folder, tmp_path / "course")
    graph = tmp_path / "course" / "graph.toml"
    allow = 'allow = ["small-leap"]\nreason = "It is meant."\n'
    text = graph.read_text("utf-8").replace("format = 1\n", f"format = 1\n{allow}", 1)
    graph.write_text(text.replace("lesson_weeks = 5\n", f"lesson_weeks = 5\n{allow}", 1), "utf-8")
    (tmp_path / "sent").write_text(export_course(tmp_path / "course", form, date(2026, 1, 1)), "utf-8")
    assert import_course(tmp_path / "sent", tmp_path / "back") is None
    back = tomllib.loads((tmp_path / "back" / "graph.toml").read_text("utf-8"))
    there = tomllib.loads(graph.read_text("utf-8"))
    assert (back["allow"], back["reason"]) == (["small-leap"], "It is meant.")
    assert back["unit"] == there["unit"]
    assert any("allow" in unit for unit in back["unit"].values())


@pytest.mark.parametrize("form", ["graphml", "case"])
def test_that_nothing_comes_first_is_kept_and_links_are_counted_as_a_check_counts_them(
    form, tmp_path, course_folder, course
):
    (tmp_path / "sent").write_text(export_course(course_folder, form, date(2026, 1, 1)), "utf-8")
    found = incoming(tmp_path / "sent", {})
    assert found.taken["link"] == sum(len({*skill.named}) for skill in course.skills)
    assert import_course(tmp_path / "sent", tmp_path / "back") is None
    folders = (tmp_path / "back", course_folder)
    skills = [tomllib.loads((one / "graph.toml").read_text("utf-8"))["skill"] for one in folders]
    back, there = ({id_: table.get("stands_on") for id_, table in one.items()} for one in skills)
    assert back == there
    assert [] in there.values()
    now, was = ({one.id for one in load_course(folder).problems} for folder in folders)
    assert now <= was


def test_the_comments_that_are_lost_are_counted(tmp_path, course_folder, capsys):
    assert main(["exchange", "export", str(course_folder), str(tmp_path / "one.graphml")]) == 0
    paths = (course_folder / "graph.toml", course_folder / "pacing.toml")
    lines = [line for path in paths for line in path.read_text(encoding="utf-8").splitlines()]
    count = sum(line.startswith("#") or " # " in line for line in lines)
    told = f"Not in it: {count} comments of the files and names.es.toml, which this form cannot hold."
    assert told in " ".join(capsys.readouterr().out.split())


def test_through_igraph_and_back_it_is_the_same_course(tmp_path, course_folder):
    """Outside check: igraph writes numbers as 4.0, nothing as an empty text, and ids of its own."""
    (tmp_path / "sent.graphml").write_text(export_course(course_folder, "graphml", date(2026, 1, 1)))
    igraph.Graph.Read_GraphML(str(tmp_path / "sent.graphml")).write_graphml(str(tmp_path / "again.graphml"))
    assert import_course(tmp_path / "again.graphml", tmp_path / "back") is None
    back, there = load_course(tmp_path / "back").course, load_course(course_folder).course
    assert back.skills == tuple(replace(one, place=back.skill[one.id].place) for one in there.skills)
    assert (back.units, back.bands) == (there.units, there.bands)


def test_links_without_direction_are_no_prerequisites(tmp_path):
    nx.write_graphml(nx.Graph([("a", "b")]), tmp_path / "file.graphml")
    assert "have no direction" in import_course(tmp_path / "file.graphml", tmp_path / "course").message


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("<graphml", "no GraphML that can be read"),
        ('<!DOCTYPE x [<!ENTITY a "b">]><graphml/>', "defines entities"),
        ("{}", "no JSON of items and associations"),
        ("[" * 5000, "JSON"),
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


def test_an_item_without_its_long_words_is_named(tmp_path, capsys, course_folder):
    """Its short ones are its name; what it is shown by is then told for each skill that lacks it."""
    package = json.loads(export_course(course_folder, "case", date(2026, 1, 1)))
    for item in package["CFItems"]:
        if item["humanCodingScheme"] in ("wrist-lift", "rhythm"):
            del item["fullStatement"]
    (tmp_path / "sent.json").write_text(json.dumps(package))
    assert main(["exchange", "import", str(tmp_path / "sent.json"), str(tmp_path / "new")]) == 2
    told = " ".join(capsys.readouterr().err.split())
    assert told.count("[missing-key]") == told.count("[skill.wrist-lift] needs the key shown_when") == 1


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
    back = load_course(tmp_path / "back").course
    assert [unit.id for unit in back.units][:2] == ["sitting-high-low", "singing"]
    assert len(back.skills) == len(course.skills)
