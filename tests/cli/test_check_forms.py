"""``check --strict`` and ``check --format``: what other programs are told.

What a SARIF log must hold is taken from the standard: OASIS, "Static Analysis Results Interchange Format
(SARIF) Version 2.1.0"; the numbers are those of its sections.
"""

from __future__ import annotations

import json
import shutil

import pytest
from toml_files.slips import BAD, SMALL, lay_over

from readiness.course.checks.register import WARNINGS


@pytest.fixture
def course(tmp_path):
    """Return a copy of the small course, in a folder whose name has a space."""
    return shutil.copytree(SMALL, tmp_path / "my course")


def test_a_warning_counts_when_strict(say, course):
    assert say("check", course, "--strict").code == 0
    lay_over(course, "remedies_none")
    assert say("check", course).code == 0
    assert say("check", course, "--strict").code == 2
    assert json.loads(say("check", course, "--format", "json").out)["accepted"] is True
    assert json.loads(say("check", course, "--strict", "--json").out)["accepted"] is False


def test_json_says_where_a_word_ends(say, course):
    lay_over(course, "skill_misspelt")
    (one,) = json.loads(say("check", course, "--format", "json").out)["problems"]
    line = (course / "graph.toml").read_text("utf-8").splitlines()[one["line"] - 1]
    assert json.loads(line[one["column"] - 1 : one["end_column"] - 1]) not in ("", None)


def test_sarif_is_as_the_standard_has_it(say, course):
    lay_over(course, "number_unusual")
    lay_over(course, "names_alike")
    said = say("check", course, "--format", "sarif")
    log = json.loads(said.out)
    assert said.code == 0
    assert log["version"] == "2.1.0"  # 3.13.2
    (run,) = log["runs"]  # 3.13.4
    driver = run["tool"]["driver"]  # 3.18.2
    assert driver["name"]  # 3.19.8: shall be there
    ids = [rule["id"] for rule in driver["rules"]]
    assert len(set(ids)) == len(ids)  # 3.19.23: unique
    assert run["columnKind"] in ("utf16CodeUnits", "unicodeCodePoints")  # 3.14.17
    for result in run["results"]:
        assert result["message"]["text"]  # 3.27.11
        assert result["level"] in ("none", "note", "warning", "error")  # 3.27.10
        assert ids[result["ruleIndex"]] == result["ruleId"]  # 3.27.6
        for one in (*result["locations"], *result.get("relatedLocations", [])):
            place = one["physicalLocation"]
            assert " " not in place["artifactLocation"]["uri"]  # 3.4.3: a URI
            region = place["region"]  # 3.30: from 1; the end is behind the last letter
            assert 1 <= region["startLine"] <= region["endLine"]
            assert 1 <= region["startColumn"] < region["endColumn"]
    names = next(one for one in run["results"] if one["ruleId"] == "same-name")
    assert names["relatedLocations"][0]["message"]["text"] == "the other one"
    assert names["locations"][0]["physicalLocation"]["artifactLocation"]["uri"] == "my%20course/graph.toml"


def test_every_warning_can_be_allowed():
    told = "".join(path.read_text("utf-8") for path in BAD.glob("*/expected.txt"))
    named = {line.split("[")[1].split("]")[0] for line in told.splitlines() if ": warning: [" in line}
    assert named - WARNINGS == {"allowed-without-reason", "unused-allow"}  # of the allowing itself
    assert WARNINGS - named == set()
