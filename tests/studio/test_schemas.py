"""The schemas beside a studio's files: they take what is right, refuse what is not, and explain every key."""

from __future__ import annotations

import json
import tomllib
from datetime import date
from pathlib import Path

import jsonschema
import pytest

from readiness.studio.folder import make_studio
from readiness.studio.schema import EXPLAINED, MODELS, schema_text, schemas

ROOT = Path(__file__).parents[2]
FILES = [
    *(("graph", path) for path in (ROOT / "skill_graphs").glob("*/graph.toml")),
    *(("pacing", path) for path in (ROOT / "skill_graphs").glob("*/pacing.toml")),
    *(("student", path) for path in (ROOT / "demo_students").glob("*.toml") if path.name != "studio.toml"),
    ("studio", ROOT / "demo_students" / "studio.toml"),
]


def plain(path):
    """Return a file as JSON sees it: days are texts."""
    read = tomllib.loads(path.read_text(encoding="utf-8"))
    return json.loads(json.dumps(read, default=date.isoformat))


def validator(name):
    made = json.loads(schema_text(name))
    jsonschema.Draft202012Validator.check_schema(made)
    return jsonschema.Draft202012Validator(made)


@pytest.mark.parametrize("name, path", FILES, ids=lambda one: str(one)[-30:])
def test_every_shipped_file_is_as_its_schema_says(name, path):
    assert [one.message for one in validator(name).iter_errors(plain(path))] == []


def test_what_the_models_refuse_of_a_skill_the_schema_refuses():
    graph = plain(ROOT / "skill_graphs" / "first-two-years" / "graph.toml")
    for key, value in (("kind", "motr"), ("minutes", "8"), ("quite", True), ("stands_on", "wrist-lift")):
        broken = json.loads(json.dumps(graph))
        broken["skill"]["wrist-lift"][key] = value
        assert list(validator("graph").iter_errors(broken)), key


def test_every_key_of_a_course_is_explained():
    for name in ("graph", "pacing"):
        made = json.loads(schema_text(name))
        tables = [made, *made["$defs"].values()]
        keys = {key: one for table in tables for key, one in table.get("properties", {}).items()}
        plainly = set(keys) - {"band", "skill", "rule", "by", "on", "reason", "motor", "knowledge", "ear",
                               "reading", "habit", "fast", "medium", "slow"}  # fmt: skip
        assert not {key for key in plainly if not keys[key].get("description")}
    assert all(text.endswith(".") for text in EXPLAINED.values())


def test_a_new_studio_has_them_and_its_files_say_where(tmp_path):
    assert make_studio(tmp_path / "mine", "Mine") is None
    there = (tmp_path / "mine" / "schemas").iterdir()
    assert {path.name: path.read_text(encoding="utf-8") for path in there} == schemas()
    for file in ("course/graph.toml", "course/pacing.toml", "studio.toml"):
        path = tmp_path / "mine" / file
        first = path.read_text(encoding="utf-8").splitlines()[0]
        word, where = first.split()
        assert word == "#:schema"
        assert (path.parent / where).is_file()
    assert set(MODELS) == {"graph", "pacing", "student", "studio"}
