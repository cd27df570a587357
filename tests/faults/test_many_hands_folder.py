"""What shared folders, other clocks and half-finished merges leave behind is named, never dropped."""

from __future__ import annotations

import shutil

import pytest

from readiness.days import day_number
from readiness.record.checks import odd_days
from readiness.record.noting import NewLesson, lesson_text
from readiness.studio.find import Location
from readiness.studio.load import COPY, load_studio

COPIES = [
    "temwa (conflicted copy).toml",
    "temwa (Odalys's conflicted copy 2025-12-05).toml",
    "temwa (conflicted copy 2025-12-05 101010).toml",
    "temwa.sync-conflict-20251205-101010-K7ABCDE.toml",
    "temwa_conflict-20251205-101010.toml",
    "temwa-conflict.toml",
    "temwa - Copy.toml",
    "temwa - Copy (2).toml",
    "temwa (1).toml",
    "temwa(1).toml",
    "temwa 2.toml",
    "Copy of temwa.toml",
    "Copy (2) of temwa.toml",
    "Copy of temwa (1).toml",
    "Copy of temwa - Copy.toml",
    "copy_of_temwa.toml",
    "temwa copy.toml",
    "temwa copy 2.toml",
    "temwa (copy).toml",
    "temwa (another copy).toml",
    "temwa (3rd copy).toml",
    "temwa - Copy - Copy.toml",
    "temwa - Kopie.toml",
    "Kopie von temwa.toml",
    "temwa - copia.toml",
    "backup temwa.toml",
]
"""Names that programs give to a second copy."""


@pytest.fixture
def studio_of(course_folder):
    return lambda folder, only=None: load_studio(
        Location(course_folder, folder, None, is_demo=False, problems=()), only=only
    )


@pytest.mark.parametrize("name", [*COPIES, "temwa-STUDIOPC.toml", "old-temwa.toml"])
def test_a_second_copy_is_named_and_never_judged(name, folder, temwa, studio_of):
    shutil.copyfile(temwa, folder / name)
    studio = studio_of(folder)
    assert len(studio.records) == 6
    (copy,) = studio.broken.values()
    (problem,) = copy.problems
    assert (problem.id, problem.severity, problem.place.file.name) == (COPY, "error", name)
    assert problem.other.file == temwa
    assert "put the entries that only this one has at the end of temwa.toml" in problem.hint


@pytest.mark.parametrize("name", COPIES)
def test_a_copy_that_is_only_half_there_is_the_same_to_us(name, folder, temwa, studio_of):
    (folder / name).write_bytes(temwa.read_bytes()[:700])
    studio = studio_of(folder, only=temwa)
    assert list(studio.records) == ["temwa"]
    assert [one.path.name for one in studio.broken.values()] == [name]


OTHERS = ["temwa-2.toml", "temwa_b.toml", "temwab.toml", "chi.toml", "ada-temwa.toml", "temwa-bak.toml"]


@pytest.mark.parametrize("name", OTHERS)
def test_another_child_of_a_similar_name_is_another_child(name, folder, temwa, studio_of):
    text = temwa.read_text(encoding="utf-8").replace('born = "2020-05-14"', 'born = "2020-06-14"')
    (folder / name).write_text(text, encoding="utf-8")
    assert len(studio_of(folder).records) == 7


def test_a_name_that_is_no_id_is_no_copy_for_that_alone(folder, temwa, studio_of):
    shutil.copyfile(temwa, folder / "temwa maria.toml")
    (one,) = studio_of(folder).broken.values()
    assert [problem.id for problem in one.problems] == ["file-name"]


@pytest.mark.parametrize(
    "name",
    ["temwa (conflicted copy).toml", "temwa copy.toml", "Copy of temwa.toml", "Copy (2) of temwa.toml"],
)
def test_a_copy_whose_first_is_gone_says_which_name_to_give(name, folder, temwa, studio_of):
    temwa.rename(folder / name)
    (one,) = studio_of(folder).broken.values()
    (problem,) = one.problems
    assert problem.other is None
    assert "such as temwa.toml" in problem.hint


def test_who_asks_about_the_student_is_told_of_the_copy(folder, temwa, course_folder, capsys):
    from readiness.cli.main import main

    shutil.copyfile(temwa, folder / COPIES[0])
    main(["why", "temwa", "--course", str(course_folder), "--students", str(folder), "--on", "2025-12-02"])
    said = capsys.readouterr()
    assert said.out.startswith("Temwa")
    assert f"{COPIES[0]}:1:1: error: [second-copy]" in said.err
    main(["why", "noemi", "--course", str(course_folder), "--students", str(folder), "--on", "2025-12-02"])
    assert "second-copy" not in capsys.readouterr().err


@pytest.mark.parametrize("old", ["", "||||||| base\nold = 1\n"])
@pytest.mark.parametrize("ending", ["\n", "\r\n"])
def test_marks_of_a_merge_are_named_once_at_both_ends(old, ending, folder, temwa, studio_of):
    mine, theirs = (lesson_text(NewLesson(day_number("2025-12-09"), by=by, note="x")) for by in ("OB", "LN"))
    before = temwa.read_text(encoding="utf-8")
    text = f"{before}\n<<<<<<< HEAD\n{mine}{old}=======\n{theirs}>>>>>>> other\n"
    temwa.write_bytes(text.replace("\n", ending).encode())
    studio = studio_of(folder)
    (problem,) = studio.broken["temwa"].problems
    assert problem.id == "two-versions"
    assert "nobody has chosen yet" in problem.message
    lines = text.split("\n")
    assert lines[problem.place.line - 1] == "<<<<<<< HEAD"
    assert lines[problem.other.line - 1] == ">>>>>>> other"


def test_what_is_dated_ahead_of_the_clock_is_named(folder, temwa, read):
    text = (
        lesson_text(NewLesson(day_number("2026-12-09"), {"wrist-lift": 0}))
        + '[[hold]]\nopened = 2026-12-10\nwords = "thumb hurts"\n'
        + "[[unit_start]]\nunit = 'arms-that-travel'\non = 2026-12-11\n"
    )
    temwa.write_text(temwa.read_text(encoding="utf-8") + text, encoding="utf-8")
    record = read(temwa)
    found = list(odd_days(record, day_number("2026-12-08")))
    assert [one.id for one in found] == ["future-lesson", "future-hold", "future-unit-start"]
    assert {one.severity for one in found} == {"warning"}
    lines = temwa.read_text(encoding="utf-8").splitlines()
    kinds = ["[[lesson]]", "[[hold]]", "[[unit_start]]"]
    assert [lines[one.place.line - 1] for one in found] == kinds
    found = list(odd_days(record, day_number("2026-12-09")))
    assert [one.id for one in found] == ["future-hold", "future-unit-start", "far-away-day"]
    found = list(odd_days(record, day_number("2026-12-11")))
    assert [one.id for one in found] == ["far-away-day"]


def test_the_roster_says_so(folder, temwa, course_folder, capsys):
    from readiness.cli.main import main

    words = ["roster", "--course", str(course_folder), "--students", str(folder), "--on", "2025-12-08"]
    main(words)
    assert capsys.readouterr().err == ""
    temwa.write_text(temwa.read_text(encoding="utf-8") + "[[lesson]]\non = 2199-12-09\n", encoding="utf-8")
    main(words)
    told = " ".join(capsys.readouterr().err.split())
    assert "warning: [future-lesson] this lesson is dated 2199-12-09, which has not come yet" in told
