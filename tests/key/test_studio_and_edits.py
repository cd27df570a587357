"""The hand-worked answers about the whole studio, and about edits of the course."""

from __future__ import annotations

import tomllib
from datetime import date
from pathlib import Path
from shutil import copytree
from typing import Any

import pytest

from readiness.cli.main import main
from readiness.course.load import load_course
from readiness.course.model import Course, LoadedCourse
from readiness.judging import Answer, judge
from readiness.record.load import load_record
from readiness.record.model import Record
from readiness.record.rhythm import NO_CALENDAR
from readiness.school.questions import ask
from readiness.school.students import judge_all
from readiness.toml.problems import Problem

KEY = tomllib.loads(Path(__file__).with_name("answer_key.toml").read_text(encoding="utf-8"))
STUDIO = {case["id"]: case for case in KEY["studio_case"]}
EDITS = {case["id"]: case for case in KEY["edit_case"]}
STUDENTS = ("bogdan", "chikondi", "linnea", "noemi", "rafiq", "temwa")


def records(course: Course, folder: Path) -> dict[str, Record]:
    loaded = {name: load_record(folder / f"{name}.toml", course).record for name in STUDENTS}
    return {name: record for name, record in loaded.items() if record is not None}


def answers(course: Course, folder: Path, on: date) -> dict[str, Answer]:
    return {name: judge(course, record, on.toordinal()) for name, record in records(course, folder).items()}


# --- the whole studio ------------------------------------------------------------------------


def test_every_studio_case_has_a_test() -> None:
    assert set(STUDIO) == {
        "who-is-stuck", "who-may-not-play", "who-only-needs-a-look", "what-did-i-promise-the-banda-family",
    }  # fmt: skip


def test_who_is_stuck(course: Course, demo_folder: Path) -> None:
    case = STUDIO["who-is-stuck"]
    found = answers(course, demo_folder, case["as_of"])
    assert [name for name, a in found.items() if any(r.id == "stuck" for r in a.remarks)] == case["answer"]


def test_who_may_not_play(course: Course, demo_folder: Path) -> None:
    case = STUDIO["who-may-not-play"]
    found = answers(course, demo_folder, case["as_of"])
    assert [name for name, a in found.items() if a.verdict == "paused"] == case["answer"]


def test_who_only_needs_a_look(course: Course, demo_folder: Path) -> None:
    case = STUDIO["who-only-needs-a-look"]
    found = answers(course, demo_folder, case["as_of"])
    assert {name for name, a in found.items() if a.verdict == "look-again"} == set(case["answer"])


@pytest.mark.parametrize(
    "case, question",
    [("who-is-stuck", "stuck"), ("who-may-not-play", "paused"), ("who-only-needs-a-look", "look")],
)
def test_the_questions_give_what_the_key_has(
    case: str, question: str, course: Course, demo_folder: Path
) -> None:
    on = STUDIO[case]["as_of"].toordinal()
    judged = judge_all(course, records(course, demo_folder).values(), on, lambda _: NO_CALENDAR)
    rows = ask(course, judged, on, question).rows
    assert {row.student for row in rows} == set(STUDIO[case]["answer"])


def test_what_was_promised_to_one_family(course: Course, demo_folder: Path) -> None:
    """The key tells three promises: two open ones, and one that was answered on 2 December."""
    case = STUDIO["what-did-i-promise-the-banda-family"]
    as_of = case["as_of"].toordinal()
    family = {n: r for n, r in records(course, demo_folder).items() if r.family == "banda"}
    made = [(name, p) for name, r in family.items() for p in r.promises if p.given <= as_of]
    assert len(made) == len(case["answer"])
    for line in case["answer"]:
        fitting = [p for name, p in made if line.startswith(name) and _same_promise(p.text, line)]
        assert len(fitting) == 1, line
        answered = fitting[0].answered is not None and fitting[0].answered <= as_of
        assert answered == ("answered" in line), line


def test_the_command_tells_the_promises_of_a_family(
    demo_folder: Path, course_folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """All three, each beside the sibling it was given for, and nobody compared."""
    case = STUDIO["what-did-i-promise-the-banda-family"]
    where = ["--course", str(course_folder), "--students", str(demo_folder), "--on", str(case["as_of"])]
    assert main(["promise", "--family", "banda", *where]) == 0
    said = " ".join(capsys.readouterr().out.split())
    parts = {"chikondi": said[: said.index("Temwa")], "temwa": said[said.index("Temwa") :]}
    for line in case["answer"]:
        name = line.split()[0].strip(":")
        assert _same_promise(parts[name], line), line
        assert ("answered" in line) <= ("answered on 2 December" in parts[name]), line


def _same_promise(text: str, line: str) -> bool:
    """Return whether a line of the key retells a promise: they share a run of three words."""
    words = text.lower().strip(".").replace(",", "").split()
    plain = line.lower().replace(",", "")
    return any(" ".join(words[at : at + 3]) in plain for at in range(len(words) - 2))


# --- edits of the course ---------------------------------------------------------------------


def edited(course_folder: Path, tmp_path: Path, skill: str, before: str) -> LoadedCourse:
    """Return the shipped course with one more name in the ``stands_on`` of a skill."""
    folder = copytree(course_folder, tmp_path / "course")
    text = (folder / "graph.toml").read_text(encoding="utf-8")
    at = text.index("stands_on = [", text.index(f"[skill.{skill}]")) + len("stands_on = [")
    rest = text[at:]
    more = f'"{before}"' if rest.startswith("]") else f'"{before}", '
    (folder / "graph.toml").write_text(text[:at] + more + rest, encoding="utf-8")
    return load_course(folder)


def only_problem(loaded: LoadedCourse, severity: str) -> Problem:
    found = [p for p in loaded.problems if p.severity == severity]
    assert len(found) == 1, found
    return found[0]


def names_in_order(text: str, path: list[str]) -> bool:
    """Return whether a text names the skills of a path one after the other."""
    at = 0
    for skill in path:
        at = text.find(skill, at)
        if at < 0:
            return False
        at += len(skill)
    return True


def test_every_edit_case_has_a_test() -> None:
    assert set(EDITS) == {"edit-cycle", "edit-redundant", "edit-inversion", "edit-affects"}


def test_a_loop_is_refused_and_shown(course_folder: Path, tmp_path: Path) -> None:
    """The same link also reaches into a later unit, which is said on its own."""
    loaded = edited(course_folder, tmp_path, "rounded-hand-rest", "wrist-lift")
    assert loaded.course is None
    (problem,) = [p for p in loaded.problems if p.id == "loop"]
    loop = EDITS["edit-cycle"]["path"][:-1]
    turns = [[*loop[at:], *loop[: at + 1]] for at in range(len(loop))]
    assert any(names_in_order(problem.message, turn) for turn in turns), problem.message


def test_an_implied_link_is_warned_of_with_the_way(course_folder: Path, tmp_path: Path) -> None:
    loaded = edited(course_folder, tmp_path, "wrist-lift", "rounded-hand-rest")
    assert loaded.course is not None
    path = EDITS["edit-redundant"]["path"]
    told = [p for p in loaded.problems if p.severity == "warning" and "rounded-hand-rest" in p.message]
    assert len(told) == 1
    assert names_in_order(told[0].message.split(":")[-1], path), told[0].message


def test_a_prerequisite_in_a_later_unit_is_refused(course_folder: Path, tmp_path: Path) -> None:
    loaded = edited(course_folder, tmp_path, "white-key-piece", "same-moment")
    problem = only_problem(loaded, "error")
    assert loaded.course is None
    assert "13" in problem.message
    assert "7" in problem.message


def test_a_new_link_changes_one_student(course_folder: Path, tmp_path: Path, demo_folder: Path) -> None:
    """On the day of each student's last answer in the key."""
    case: dict[str, Any] = EDITS["edit-affects"]
    loaded = edited(course_folder, tmp_path, "thumb-on-side-tip", "separate-touch")
    plain = load_course(course_folder).course
    assert loaded.course is not None
    assert plain is not None
    days = {c["student"]: c["on"] for c in KEY["case"]}
    before = {n: answers(plain, demo_folder, days[n])[n] for n in STUDENTS}
    after = {n: answers(loaded.course, demo_folder, days[n])[n] for n in STUDENTS}
    kept = [n for n in STUDENTS if _decided(before[n]) == _decided(after[n])]
    assert set(kept) == set(case["unchanged"])
    (new,) = set(after["chikondi"].blockers) - set(before["chikondi"].blockers)
    assert (new.skill, new.state) == ("separate-touch", "stale")
    standing = after["chikondi"].standings["separate-touch"]
    settled, limit = date(2025, 8, 26).toordinal(), 56
    assert standing.settled_on == settled
    assert standing.fresh_until == settled + limit
    assert after["chikondi"].on - settled == 98


def _decided(answer: Answer) -> tuple[Any, ...]:
    return answer.verdict, {(b.skill, b.state) for b in answer.blockers}, answer.taken_along
