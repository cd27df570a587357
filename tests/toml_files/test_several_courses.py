"""One student file for two courses: names, what carries over, and holds that pause each for its own part."""

from __future__ import annotations

import shutil
from dataclasses import replace
from pathlib import Path

import pytest

from readiness.advice.after_break import pain_day, pain_noted
from readiness.advice.placing_round import placing_round
from readiness.advice.plan import lessons_to_come
from readiness.cli.commands import Exit
from readiness.cli.main import main
from readiness.days import day_number
from readiness.judging import judge
from readiness.judging.as_json import answer_to_dict
from readiness.judging.recheck import recheck
from readiness.record.entries import close_hold, decide, open_tasks
from readiness.record.load import load_record
from readiness.record.model import Decision
from readiness.school.evening import day_of, evening
from readiness.school.students import Judged, judge_all
from readiness.studio.find import StudioNotFoundError, find_studio
from readiness.studio.load import load_studio
from readiness.toml.problems import errors

DAY = day_number("2025-12-05")


@pytest.fixture
def folder(tmp_path, demo_folder, course_folder):
    """Return a copy of the second demo studio, to be written to."""
    shutil.copytree(demo_folder / "two-courses", tmp_path / "demo_students" / "two-courses")
    shutil.copytree(course_folder.parent, tmp_path / "skill_graphs")
    return tmp_path / "demo_students" / "two-courses"


@pytest.fixture
def seen(folder):
    """Return a function that reads the studio as one course sees it."""

    def read(course=None):
        return load_studio(find_studio(Path(course) if course else None, folder, folder, {}))

    return read


def add(folder, student, text):
    path = folder / f"{student}.toml"
    path.write_text(path.read_text(encoding="utf-8") + "\n" + text, encoding="utf-8")


def verdict(studio, student, on=DAY):
    return judge(studio.course, studio.records[student], on).verdict


def hold(part, words="sore"):
    return f'[[hold]]\nopened = 2025-12-04\nwords = "{words}"\npart = "{part}"\n'


def test_both_courses_read_the_same_files_without_a_problem(seen):
    for course in (None, "voice"):
        studio = seen(course)
        assert errors(studio.problems) == ()
        assert [one.problems for one in studio.loaded] == [(), ()]
        assert list(studio.records) == ["dario", "marit"]
    assert seen().course.name == "First two years at the piano"
    assert seen("voice").course.name == "First year of singing"


def test_a_unit_belongs_to_the_course_that_teaches_it(seen):
    piano, voice = seen().records["marit"], seen("voice").records["marit"]
    assert [start.unit for start in piano.unit_starts] == ["arms-that-travel"]
    assert [start.unit for start in voice.unit_starts] == ["finding-the-voice"]
    assert [block.through for block in piano.settled] == ["hand-shape-wrist"]
    assert voice.settled == ()
    assert len(piano.entire.unit_starts) == 2


def test_a_note_of_a_shared_skill_counts_in_both(seen):
    for course in (None, "voice"):
        studio = seen(course)
        answer = judge(studio.course, studio.records["dario"], DAY)
        shown = [note.day for note in answer.standings["echo-clap-four"].evidence]
        assert shown == [day_number("2025-11-04"), day_number("2025-11-11")]
        assert answer.standings["echo-clap-four"].state == "secure"


def test_a_lesson_counts_where_it_names_a_skill(seen):
    piano = {lesson.on for lesson in seen().records["marit"].lessons}
    voice = {lesson.on for lesson in seen("voice").records["marit"].lessons}
    monday, thursday = day_number("2025-12-01"), day_number("2025-11-20")
    assert monday in piano
    assert monday not in voice
    assert thursday in piano & voice  # it named what both courses have


@pytest.mark.parametrize("course", [None, "voice"])
@pytest.mark.parametrize("student", ["dario", "marit"])
def test_a_lesson_of_the_other_course_moves_no_lesson_of_this_one(course, student, seen):
    """What is shared and was noted there counts here too; the day of the lesson does not."""
    studio = seen(course)
    record = studio.records[student]
    own = replace(record, lessons=tuple(one for one in record.lessons if not one.is_beside))
    assert {one.on for one in own.lessons} < {one.on for one in record.lessons}
    for day in range(day_number("2025-11-20"), day_number("2025-12-20")):
        answer = judge(studio.course, record, day)
        coming = judge(studio.course, own, day).next_lesson
        assert answer.next_lesson == next(lessons_to_come(record, answer)) == coming
        expected = [one.on for one in evening(studio.course, [Judged(record, answer)], day, day + 6).comes]
        assert [one for one in expected if one > day] == [coming] * (day < coming <= day + 6)
        assert recheck(answer_to_dict(answer), studio.course, record).differ == ()


def test_a_hold_for_the_voice_pauses_singing_and_not_playing(seen):
    assert verdict(seen(), "marit") == "ready"
    assert verdict(seen("voice"), "marit") == "paused"


def test_a_hold_for_the_hand_pauses_playing_and_not_singing(folder, seen):
    add(folder, "dario", hold("hand"))
    assert verdict(seen(), "dario") == "paused"
    assert verdict(seen("voice"), "dario") == "ready"


def test_a_hold_for_all_pauses_both(folder, seen):
    add(folder, "dario", hold("all"))
    assert verdict(seen(), "dario") == verdict(seen("voice"), "dario") == "paused"


@pytest.mark.parametrize("part", ["hand", "voice", "all"])
def test_where_one_course_is_taught_any_hold_pauses_it(part, course, demo_folder, tmp_path):
    path = tmp_path / "temwa.toml"
    shutil.copy(demo_folder / "temwa.toml", path)
    add(tmp_path, "temwa", hold(part))
    record = load_record(path, course).record
    assert judge(course, record, DAY).verdict == "paused"
    assert record.resting(DAY) == ()


def test_what_rests_for_the_other_course_is_known_beside(seen):
    assert [one.part for one in seen().records["marit"].resting(DAY)] == ["voice"]
    assert seen("voice").records["marit"].resting(DAY) == ()
    assert "C13" in judge(seen().course, seen().records["marit"], DAY).cautions


@pytest.mark.parametrize("skill", ["easy-range", "arm-arc-octave"])
def test_what_may_hurt_in_a_lesson_of_one_course_is_asked_about_in_both(skill, folder, seen):
    assert {skill in seen(course).course.skill for course in (None, "voice")} == {True, False}
    noted = f'[[lesson]]\non = 2025-12-05\nalone = ["{skill}"]\nremarks = {{ {skill} = "left wrist sore" }}\n'
    add(folder, "dario", noted)
    for course in (None, "voice"):
        record = seen(course).records["dario"]
        assert pain_day(record, DAY) == DAY
        assert pain_noted(record, DAY) == ("left wrist sore",)
    add(folder, "dario", hold("hand").replace("12-04", "12-05"))
    assert not any(pain_noted(seen(course).records["dario"], DAY) for course in (None, "voice"))


def test_what_was_noted_for_one_course_is_not_asked_about_in_the_other(folder, seen):
    add(folder, "dario", '[[lesson]]\non = 2025-12-12\nalone = ["arm-arc-octave"]\n')
    on = day_number("2025-12-13")
    studio = seen("voice")
    judged = judge_all(studio.course.on(on), studio.records.values(), on, studio.calendar)
    assert "dario" not in [one.student for one in day_of(studio.course, judged, on).not_noted]


def test_answers_of_both_courses_follow_from_the_files(seen):
    for course in (None, "voice"):
        studio = seen(course)
        for record in studio.records.values():
            claim = answer_to_dict(judge(studio.course, record, DAY))
            assert recheck(claim, studio.course, record).differ == ()


def test_every_answer_key_course_is_as_before(course):
    assert course.uses == "hand"
    assert course.beside == ()


def test_a_name_no_course_has_is_an_error_and_one_of_the_other_is_none(folder, seen):
    add(folder, "dario", '[[lesson]]\non = 2025-12-05\nalone = ["throat-cart"]\n')
    (broken,) = [one for one in seen().loaded if one.record is None]
    (problem,) = errors(broken.problems)
    assert problem.id == "unknown-skill"
    assert problem.hint.startswith('did you mean "throat-card"?')


@pytest.mark.parametrize("course", [[], ["skill_graphs/first-two-years"], ["skill_graphs/first-year-voice"]])
def test_students_are_checked_by_every_course_of_their_studio(course, folder, tmp_path, capsys, monkeypatch):
    monkeypatch.chdir(tmp_path)
    asked = ["check", "--students", "demo_students/two-courses", *course]
    assert main(asked) == Exit.READY
    add(folder, "dario", '[[lesson]]\non = 2025-12-05\nalone = ["throat-cart"]\n')
    capsys.readouterr()
    assert main(asked) == Exit.WRONG
    told = " ".join(capsys.readouterr().out.split())
    assert told.count(": error:") == 1
    assert 'did you mean "throat-card"?' in told


def test_any_course_closes_the_hold_that_is_meant(folder, seen):
    add(folder, "marit", hold("hand"))
    record = seen().records["marit"]
    assert close_hold(record, folder, DAY, "the mother", "fine again after advice", "voice") is None
    assert verdict(seen("voice"), "marit") != "paused"
    assert verdict(seen(), "marit") == "paused"


def test_a_move_is_refused_in_the_paused_course_alone(folder, seen):
    move = Decision(DAY, "arms-that-travel", "ready", "move", "")
    assert decide(seen().records["marit"], folder, move, "finger-number-pieces") is None
    sung = Decision(DAY, "finding-the-voice", "paused", "move", "wants to")
    refusal = decide(seen("voice").records["marit"], folder, sung, "echo-and-direction")
    assert refusal.id == "on-hold"


def test_home_tasks_keep_their_numbers(folder, seen):
    for skill in ("throat-card", "wrist-lift"):
        add(folder, "dario", f'[[task]]\ngiven = 2025-12-05\nfor_skill = "{skill}"\ntext = "twice a day"\n')
    assert [number for number, _ in open_tasks(seen().records["dario"], DAY)] == [2]
    assert [number for number, _ in open_tasks(seen("voice").records["dario"], DAY)] == [1]


def test_courses_that_mean_different_things_by_one_id_are_told(folder, seen):
    graph = folder.parent.parent / "skill_graphs" / "first-year-voice" / "graph.toml"
    text = graph.read_text(encoding="utf-8")
    at = text.index("[skill.high-low-sound]")
    graph.write_text(text[:at] + text[at:].replace('fade = "slow"', 'fade = "fast"', 1), encoding="utf-8")
    (problem,) = [one for one in seen().problems if one.id == "skill-means-two-things"]
    assert problem.severity == "warning"
    assert problem.message == (
        '"high-low-sound" has fade = fast, and slow in "First two years at the piano"'
    )


def test_a_unit_in_two_courses_is_refused(folder, seen):
    graph = folder.parent.parent / "skill_graphs" / "first-year-voice" / "graph.toml"
    text = graph.read_text(encoding="utf-8").replace("sharing-songs", "arms-that-travel")
    graph.write_text(text, encoding="utf-8")
    studio = seen()
    assert studio.course is None
    assert [problem.id for problem in errors(studio.problems)] == ["unit-in-two-courses"]


def test_an_unknown_course_says_where_names_are_looked_up(folder, seen):
    with pytest.raises(StudioNotFoundError, match=r"no course folder voise and no course of that name in"):
        seen("voise")


def test_an_edited_copy_stands_for_the_main_course(folder, seen, course_folder, tmp_path):
    copy = tmp_path / "copy"
    shutil.copytree(course_folder, copy)
    studio = seen(copy)
    assert studio.course.folder == copy.resolve()
    assert [one.name for one in studio.course.beside] == ["First year of singing"]
    assert verdict(studio, "marit") == "ready"


def test_lessons_at_the_keys_are_no_placing_lessons_of_singing(folder, seen):
    """What both courses have tells little of where to start, however often it was shown (rule R10)."""
    shared = '["steady-beat-body", "loud-soft-sound", "echo-clap-four", "long-short-sound"]'
    lessons = "".join(f"[[lesson]]\non = 2025-11-{day}\nalone = {shared}\n" for day in (11, 18, 25))
    (folder / "ada.toml").write_text(f'format = 1\nname = "Ada"\nborn = 2017-04-02\n{lessons}', "utf-8")
    studio = seen("voice")
    now = placing_round(studio.course, studio.records["ada"], DAY)
    assert (now.start, now.stop) == (now.result.start_unit, "")
    assert len(now.seen) == 4
    own = '["joins-one-tone", "throat-card", "stands-balanced", "tells-when-it-hurts"]'
    add(folder, "ada", "".join(f"[[lesson]]\non = 2025-12-0{day}\nalone = {own}\n" for day in (1, 2)))
    again = seen("voice")
    assert placing_round(again.course, again.records["ada"], DAY).stop == "two-lessons"
