"""An edit under review: against a revision of git, a rename as a rename, what touches students first."""

from __future__ import annotations

import json
import shutil
import subprocess

import pytest

from readiness.cli.main import main
from readiness.words.layout import as_markdown

DAY = ("--on", "2025-12-02")
EDIT = ('stands_on = ["rounded-hand-keys", "finger-numbers-shown"]',
        'stands_on = ["finger-numbers-shown", "separate-touch"]')  # fmt: skip


@pytest.fixture
def kept(tmp_path, monkeypatch, course_folder, demo_folder, capsys):
    """Return a studio in git, with a function that carries out a command there."""
    if shutil.which("git") is None:
        pytest.skip("git is not here")
    shutil.copytree(course_folder, tmp_path / "course")
    (tmp_path / "students").mkdir()
    for path in demo_folder.glob("*.toml"):
        if path.name != "studio.toml":
            shutil.copy(path, tmp_path / "students")
    where = 'course = "course"\nstudents = "students"\n'
    (tmp_path / "studio.toml").write_text(f'format = 1\nname = "S"\n{where}')
    monkeypatch.chdir(tmp_path)
    git("init", "-q")
    commit()

    def say(*words):
        capsys.readouterr()
        code = main([str(word) for word in words])
        out, err = capsys.readouterr()
        return code, out, " ".join(err.split())

    return tmp_path / "course" / "graph.toml", say


def git(*words):
    subprocess.run(["git", "-c", "user.name=A", "-c", "user.email=a@b.example", *words], check=True)


def commit():
    git("add", "-A")
    git("commit", "-qm", "so")


def edit(path, *pairs):
    text = path.read_text(encoding="utf-8")
    for old, new in pairs:
        assert old in text
        text = text.replace(old, new)
    path.write_text(text, encoding="utf-8")


def test_a_revision_stands_for_the_course_it_held(kept):
    graph, say = kept
    edit(graph, EDIT)
    told = say("compare", "HEAD", *DAY)
    assert told[0] == 0
    assert "Who changes on 2 December 2025: 1 of 6 students" in told[1]
    assert told[1].index("Who changes") < told[1].index("Different in the course")
    commit()
    assert say("compare", "HEAD~1", *DAY)[1] == told[1]
    both = say("compare", "HEAD~1", "HEAD", *DAY)[1]
    assert both == say("compare", "HEAD~1", "HEAD", *DAY)[1]
    assert "HEAD/graph.toml:" in both
    assert both.split("HEAD/graph.toml")[0] in told[1]
    assert say("compare", "HEAD~1", "course", *DAY)[1].split("course/graph")[0] in told[1]
    assert "Nobody's answer changes" in say("compare", "HEAD", *DAY)[1]
    code, _, err = say("compare", "HEAD~9", *DAY)
    assert (code, "no revision that git knows" in err) == (2, True)


def test_a_skill_noted_since_leaves_only_that_student_out(kept):
    graph, say = kept
    table = '\n[skill.new-one]\nname = "New"\nunit = "hands-take-turns"\nstrand = "sound"\nkind = "motor"\n'
    graph.write_text(graph.read_text() + table + 'fade = "fast"\nminutes = 1\nshown_when = "1 of 1."\n')
    student = graph.parents[1] / "students" / "chikondi.toml"
    student.write_text(student.read_text() + '\n[[lesson]]\non = 2025-12-02\nalone = ["new-one"]\n')
    code, out, err = say("compare", "HEAD", *DAY)
    assert code == 0
    assert "left out, since their files name what was not in the course of then: chikondi." in err
    assert "Temwa" in out


RETIRED = '\n[skill.wrist-lift]\nretired = 2026-01-01\nreplaced_by = ["wrist-rises"]\n'


def test_a_rename_is_told_as_a_rename_and_nothing_else(kept):
    graph, say = kept
    old = graph.read_text(encoding="utf-8")
    table = old[old.index("[skill.wrist-lift]") : old.index("[skill.beat-and-half-speed]")]
    new = table.replace("[skill.wrist-lift]", "[skill.wrist-rises]\nsince = 2026-01-01")
    edit(graph, (table, table.replace("]\n", "]\n" + RETIRED.split("]\n", 1)[1], 1) + new))
    found = json.loads(say("compare", "HEAD", *DAY, "--json")[1])["different"]
    assert [(one["id"], one["subject"], one["what"]) for one in found] == [
        ("skill-renamed", "wrist-rises", "wrist-lift")
    ]
    assert "and its notes count for it" in " ".join(say("compare", "HEAD", *DAY)[1].split())


def test_a_rename_by_search_and_replace_is_told_with_what_is_lost(kept):
    graph, say = kept
    edit(graph, ("wrist-lift", "wrist-rises"), ("phrase-lift", "phrase-rises"))
    code, out, _ = say("compare", "HEAD", *DAY)
    told = " ".join(out.split())
    assert code == 2
    assert "Different in the course: 2 things" in told
    assert told.count("notes under the old id are not found: put its table back") == 2


def test_what_touches_a_student_comes_before_what_does_not(kept):
    graph, say = kept
    edit(
        graph, EDIT,
        ('name = "Feet supported"', 'name = "Feet well supported"'), ("minutes = 14", "minutes = 13"),
    )  # fmt: skip
    edit(graph.with_name("pacing.toml"), ("lesson_minutes = 30", "lesson_minutes = 31"))
    found = json.loads(say("compare", "HEAD", *DAY, "--json")[1])["different"]
    assert found[0]["what"] == "separate-touch"
    assert found[-1]["what"] == "name"


def test_a_review_comment_names_nobody_unless_asked(kept):
    graph, say = kept
    edit(graph, EDIT)
    _, out, _ = say("compare", "HEAD", *DAY, "--markdown")
    assert "### In short, on 2 December 2025\n\n- 1 student: " in out
    assert "### Different in the course: 2 things\n\n- " in out
    assert "Chikondi" not in out
    assert "Chikondi" in say("compare", "HEAD", *DAY, "--markdown", "--full")[1]


def test_markdown_makes_nothing_of_a_name():
    from readiness.words.layout import Section, item

    told = as_markdown([Section("A_b", (item("*x* <y> `z`"),))])
    assert told == "### A\\_b\n\n- \\*x\\* \\<y> \\`z\\`\n"
