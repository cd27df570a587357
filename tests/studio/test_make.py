"""A new studio with the invented students: only what is one's own is written anew."""

from __future__ import annotations

import tomllib

import pytest

from readiness.studio.folder import make_studio


@pytest.mark.parametrize("name", ["Our school", r'A "odd\1" one', "events = [name = ]"])
def test_only_the_studio_itself_gets_the_name(name, tmp_path, demo_folder):
    assert make_studio(tmp_path / "mine", name, with_demo=True) is None
    made = tomllib.loads((tmp_path / "mine" / "studio.toml").read_text(encoding="utf-8"))
    shipped = tomllib.loads((demo_folder / "studio.toml").read_text(encoding="utf-8"))
    assert shipped["event"]
    assert made == shipped | {"name": name, "course": "course", "students": "students"}


def test_without_a_name_it_keeps_that_of_the_demo(tmp_path, demo_folder):
    assert make_studio(tmp_path / "mine", "", with_demo=True) is None
    made = tomllib.loads((tmp_path / "mine" / "studio.toml").read_text(encoding="utf-8"))
    assert made["name"] == tomllib.loads((demo_folder / "studio.toml").read_text(encoding="utf-8"))["name"]
