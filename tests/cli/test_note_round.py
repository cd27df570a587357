"""The quick round: one key a line, a way back, and nothing lost when it stops."""

from __future__ import annotations

import os
import re
import select
import signal
import sys
import time
import tomllib
from pathlib import Path

import pytest

from readiness.advice.sheet import SheetItem
from readiness.cli import keys as typed
from readiness.cli.keys import Round
from readiness.record.draft_entry import half_done_path, offered
from readiness.record.noting import NewLesson

ROOT = Path(__file__).parents[2]
ITEMS = (
    SheetItem(("wrist-lift",), "blocker", quiet=True, hard=True),
    SheetItem(("feet-supported", "sit-tall-balanced"), "always-look", quiet=True, hard=False),
    SheetItem(("sings-up-down",), "rest", quiet=False, hard=False),
    SheetItem((), "favourite", quiet=False, hard=False),
)


class Script:
    """Somebody who presses these keys and types these lines."""

    def __init__(self, keys, lines=()):
        self.keys, self.lines, self.heard = list(keys), list(lines), []

    def say(self, text, end="\n"):
        self.heard.append(text)

    def key(self):
        return self.keys.pop(0) if self.keys else ""

    def line(self, prompt):
        return self.lines.pop(0)


def play(course, keys, lines=(), lesson=None):
    script, kept = Script(keys, lines), []
    done = Round(course, ITEMS, lesson or NewLesson(1), script, kept.append).go()
    return done, kept, script


def test_one_key_a_line_and_enter_at_the_end(course):
    done, kept, _ = play(course, "125\n")
    assert done == NewLesson(
        1, {"wrist-lift": 0, "feet-supported": 1, "sit-tall-balanced": 1, "sings-up-down": 4}
    )
    assert [len(one.helps) for one in kept] == [1, 3, 4]


def test_not_asked_is_one_key_too(course):
    done, _, _ = play(course, "3-4\n")
    assert done.helps == {"wrist-lift": 2, "sings-up-down": 3}
    assert done.not_tried == ("feet-supported", "sit-tall-balanced")


def test_enter_is_not_asked_and_a_space_answers_nothing(course):
    done, _, _ = play(course, "\n 2\n\n")
    assert done.helps == {"feet-supported": 1, "sit-tall-balanced": 1}
    assert done.not_tried == ("wrist-lift", "sings-up-down")


def test_how_the_keys_work_is_said_once_before_the_first_question(course):
    _, _, script = play(course, "111\n")
    assert script.heard[0].startswith("One key answers, and counts at once.")
    assert sum("at once." in text for text in script.heard) == 1


def test_at_the_end_every_key_is_said_and_one_that_does_nothing_says_so(course):
    done, kept, script = play(course, "1qxq")
    assert done is None
    assert kept[-1].helps == {"wrist-lift": 0}
    assert script.heard[-3:-1] == [script.heard[-1], "That key does nothing here."]
    for keys in ("Enter note it", "u back", "q leave it for later"):
        assert keys in script.heard[-1]


def test_an_answer_is_said_beside_its_question_before_anything_that_follows_from_it(course):
    script = Script("1")
    Round(course, ITEMS, NewLesson(1), script, lambda _: script.say("kept")).go()
    assert script.heard[2:4] == ["without help", "kept"]


def test_no_word_of_the_last_question_is_cut(course):
    script = Script("q")
    given = {one.id: i % 5 for i, one in enumerate(course.skills[4:40])}
    left = tuple(one.id for one in course.skills[40:52])
    Round(course, ITEMS, NewLesson(1, given, left), script, print, 60).go()
    last = script.heard[-1].split("\n")
    assert len(last) > 2
    assert max(map(len, last[:-1])) <= 60


def test_back_takes_an_answer_away(course):
    done, kept, _ = play(course, "1u22u-1\n")
    assert done.helps == {"wrist-lift": 1, "sings-up-down": 0}
    assert done.not_tried == ("feet-supported", "sit-tall-balanced")
    assert kept[1].helps == {}


def test_back_at_the_beginning_and_at_the_end(course):
    assert play(course, "uu111\n")[0].helps["wrist-lift"] == 0
    assert play(course, "111u5\n")[0].helps["sings-up-down"] == 4


def test_several_can_be_taken_one_by_one(course):
    done, _, _ = play(course, "1s152\n")
    assert done.helps == {"wrist-lift": 0, "feet-supported": 0, "sit-tall-balanced": 4, "sings-up-down": 1}


def test_stopping_here_leaves_the_rest_not_asked(course):
    done, _, script = play(course, "1q\n")
    assert done.helps == {"wrist-lift": 0}
    assert done.not_tried == ("feet-supported", "sit-tall-balanced", "sings-up-down")
    assert "2 things left open, noted as not asked" in script.heard[-1]


@pytest.mark.parametrize("keys", ["1ql", "1q", "1", "", "111l", "111"])
def test_leaving_it_for_later_notes_nothing(keys, course):
    assert play(course, keys)[0] is None


def test_a_liking_and_how_it_was_tried_again_have_a_key_each(course):
    done, kept, script = play(course, "(&&12q\n")
    assert done.disliked == kept[0].disliked == ("wrist-lift",)
    assert [one.tried_again for one in kept[:3]] == [{}, {"wrist-lift": "slower"}, {"wrist-lift": "one-hand"}]
    assert done.tried_again == {"wrist-lift": "one-hand"}
    assert "not liked, so another where one will do; tried again with one hand" in script.heard


def test_what_was_not_liked_before_is_liked_again(course):
    script = Script("(1")
    kept = []
    Round(course, ITEMS, NewLesson(1), script, kept.append, disliked={"wrist-lift"}).go()
    assert (kept[-1].disliked, kept[-1].liked_again) == ((), ("wrist-lift",))


def test_words_go_to_a_skill_or_to_the_lesson(course):
    done, _, _ = play(course, '"111"\n', ["left sinks", "good day"])
    assert (done.remarks, done.note) == ({"wrist-lift": "left sinks"}, "good day")


def test_a_question_mark_says_what_counts_and_any_other_key_which_there_are(course):
    _, _, script = play(course, "?")
    assert course.skill["wrist-lift"].shown_when in " ".join(" ".join(script.heard).split())
    _, _, script = play(course, "x")
    assert any("1 without help   2 with a reminder" in text for text in script.heard[2:])


def test_a_round_goes_on_where_it_stopped_and_keeps_what_the_sheet_no_longer_has(course):
    lesson = NewLesson(1, {"wrist-lift": 0, "ready-hands": 1}, ("sings-up-down",))
    done, _, _ = play(course, "\x1b1\n", lesson=lesson)
    assert done.helps == {"wrist-lift": 0, "ready-hands": 1, "feet-supported": 0, "sit-tall-balanced": 0}
    assert done.not_tried == ("sings-up-down",)


def test_a_glance_that_was_half_done_goes_on_one_by_one(course):
    lesson = NewLesson(1, {"wrist-lift": 0, "sit-tall-balanced": 4})
    done, _, script = play(course, "12\n", lesson=lesson)
    assert done.helps == {
        "wrist-lift": 0, "feet-supported": 0, "sit-tall-balanced": 4, "sings-up-down": 1,
    }  # fmt: skip
    assert script.heard[1].startswith("B/D  Feet supported (every check):")


def test_a_long_question_is_broken_between_words(course):
    skills = tuple(skill.id for skill in course.skills if skill.always_look)
    script = Script("")
    items = [SheetItem(skills, "always-look", quiet=True, hard=False)]
    Round(course, items, NewLesson(1), script, print, 60).go()
    assert "\n" in script.heard[1]
    assert max(map(len, script.heard[1].split("\n"))) <= 60


# In a real terminal.


class Terminal:
    """A program in a terminal of its own."""

    def __init__(self, words, folder, ignored=()):
        import pty

        self.pid, self.file = pty.fork()
        if self.pid == 0:  # pragma: no cover - another process
            for number in ignored:
                signal.signal(number, signal.SIG_IGN)
            os.chdir(folder)
            environment = {**os.environ, "PYTHONPATH": str(ROOT), "COLUMNS": "90"}
            os.execve(sys.executable, [sys.executable, "-m", "readiness", *words], environment)
        self.text = ""

    def until(self, wanted):
        """Read until a text comes."""
        end = time.monotonic() + 60
        while wanted not in self.text:
            assert select.select([self.file], [], [], max(0, end - time.monotonic()))[0], self.text
            try:
                self.text += os.read(self.file, 4096).decode(errors="replace")
            except OSError:
                break
        assert wanted in self.text, self.text
        _, _, self.text = self.text.partition(wanted)

    def type(self, keys):
        os.write(self.file, keys.encode())

    def hang_up(self):
        """Take the terminal away."""
        os.close(self.file)
        self.file = None

    def ended(self):
        _, status = os.waitpid(self.pid, 0)
        if self.file is not None:
            os.close(self.file)
        return os.waitstatus_to_exitcode(status)


needs_terminals = pytest.mark.skipif(sys.platform == "win32", reason="terminals are another thing there")


@pytest.fixture
def terminal(studio):
    return lambda *words, ignored=(): Terminal(words, studio, ignored)


def answer(terminal, keys):
    """Give the keys one by one, each when it is asked for."""
    for key in keys:
        terminal.until("): ")
        terminal.type(key)


@needs_terminals
def test_a_round_in_a_terminal_ends_with_one_block(terminal, studio):
    path = studio / "students" / "temwa.toml"
    before = path.read_bytes()
    started = terminal("note", "temwa", "--on", "2025-12-02", "--by", "OB")
    started.until("2 December 2025: ")
    answer(started, "12")
    started.until("): ")
    started.type("q")
    started.until("Enter note it")
    started.type("\n")
    started.until("takes this back.")
    assert started.ended() == 0
    added = path.read_text(encoding="utf-8").removeprefix(before.decode())
    assert added.count("[[lesson]]") == 1
    assert 'by = "OB"' in added
    assert "not_tried = [" in added
    assert not half_done_path(path).exists()


@needs_terminals
@pytest.mark.parametrize("end", [signal.SIGKILL, signal.SIGHUP, "\x03"])
def test_a_round_that_is_killed_is_offered_again(end, terminal, studio):
    path = studio / "students" / "temwa.toml"
    before = path.read_bytes()
    started = terminal("note", "temwa", "--on", "2025-12-02")
    answer(started, "12")
    started.until("): ")
    kept = offered(path)
    assert sorted(kept.helps.values()) == [0] * (len(kept.helps) - 1) + [1] or 1 in kept.helps.values()
    if isinstance(end, str):
        started.type(end)
        started.until("Kept for later, not noted yet. `readiness note temwa` goes on with it.")
        assert started.ended() == 130
    else:
        os.kill(started.pid, end)
        assert started.ended() == -end
    assert path.read_bytes() == before
    assert offered(path) == kept
    again = terminal("note", "temwa", "--on", "2025-12-03")
    again.until("on 2 December 2025 is half entered")
    again.type("\n")
    again.until("): ")
    again.type("q")
    again.until("Enter note it")
    again.type("\n")
    again.until("takes this back.")
    assert again.ended() == 0
    noted = tomllib.loads(path.read_text(encoding="utf-8"))["lesson"][-1]
    assert noted["on"].isoformat() == "2025-12-02"
    assert {*noted["alone"], *noted["cue"]} == set(kept.helps)
    assert not half_done_path(path).exists()


@needs_terminals
def test_a_late_lesson_is_noted_before_the_half_entered_one(terminal, studio):
    path = studio / "students" / "temwa.toml"
    started = terminal("note", "temwa", "--on", "2025-12-10")
    answer(started, "12")
    started.until("): ")
    started.type("\x03")
    assert started.ended() == 130
    kept = offered(path)
    late = terminal("note", "temwa", "--on", "2025-12-09")
    late.until("n = note 9 December 2025 first")
    late.type("n")
    late.until("as in 1 feet,sit 2 dist: ")
    late.type("1 wrist-lift\n")
    late.until("takes this back.")
    assert late.ended() == 0
    noted = tomllib.loads(path.read_text(encoding="utf-8"))["lesson"][-1]
    assert (noted["on"].isoformat(), noted["alone"]) == ("2025-12-09", ["wrist-lift"])
    assert offered(path) == kept


@needs_terminals
@pytest.mark.parametrize("end", [signal.SIGTERM, "\x04", "gone"])
def test_a_round_ends_where_signals_are_ignored_and_keeps_all(end, terminal, studio):
    """By a termination, by the end of the input, and by a terminal that has gone."""
    path = studio / "students" / "temwa.toml"
    before = path.read_bytes()
    started = terminal("note", "temwa", "--on", "2025-12-02", ignored=(signal.SIGINT, signal.SIGHUP))
    answer(started, "12")
    started.until("): ")
    kept = offered(path)
    os.kill(started.pid, signal.SIGINT)
    if end == "gone":
        started.hang_up()
        assert started.ended() >= 0
    elif end == "\x04":
        started.type(end)
        started.until("Kept for later, not noted yet.")
        assert started.ended() == 0
    else:
        os.kill(started.pid, end)
        assert started.ended() == -end
    assert path.read_bytes() == before
    assert offered(path) == kept
    assert kept.helps


@needs_terminals
def test_keys_typed_ahead_are_answers_too_and_are_not_shown_twice(terminal, studio):
    """Typed in one go, and while the next question is worked out: each key is one answer."""
    (studio / "students" / "alma.toml").write_text('format = 1\nname = "Alma"\nborn = "2018-03-02"\n')
    started = terminal("place", "alma", "--on", "2025-12-02")
    started.until("): ")
    started.type("11\x1b[A2 3")
    for answer_said in ("): with a reminder", "): after being shown", "): "):
        started.until(answer_said)
    kept = offered(studio / "students" / "alma.toml")
    assert list(kept.helps.values())[-3:] == [0, 1, 2]
    assert set(list(kept.helps.values())[:-3]) == {0}
    started.type("q")
    started.until("q leave it for later")
    started.type("\n")
    started.until("Where does Alma start?")
    assert started.ended() == 0
    noted = tomllib.loads((studio / "students" / "alma.toml").read_text(encoding="utf-8"))["lesson"]
    assert [[len(one[help_]) for help_ in ("alone", "cue", "model")] for one in noted] == [[6, 1, 1]]


def half_placed(terminal, studio):
    """Return the file of a new student whose placing lesson of 2 December was left after two looks."""
    file = studio / "students" / "alma.toml"
    file.write_text('format = 1\nname = "Alma"\nborn = "2018-03-02"\n')
    started = terminal("place", "alma", "--on", "2025-12-02")
    answer(started, "12\x03")
    started.until("`readiness place alma` goes on with it.")
    started.ended()
    return file


@needs_terminals
def test_a_half_entered_placing_goes_on_on_any_later_day(terminal, studio, start):
    file = half_placed(terminal, studio)
    kept, mine = offered(file), {"READINESS_STUDIO": str(studio)}
    first, second = (start("place", "alma", "--next", *day, **mine) for day in ((), ("--on", "2025-12-03")))
    assert "half entered of 2 December 2025" in first.err
    for asked in (("doctor",), ("today", "--on", "2025-12-03")):  # noted as any lesson it would be no placing
        assert "`readiness place alma`" in " ".join(start(*asked, **mine).out.split())
    assert (second.err, first.out == second.out) == ("", False)
    other = terminal("place", "alma", "--on", "2025-12-03")
    other.until("`readiness place alma` goes on")
    assert (other.ended(), offered(file)) == (2, kept)
    again = terminal("place", "alma")
    again.until("half entered of 2 December 2025.")
    answer(again, "q")
    again.until("q leave it for later")
    again.type("\n")
    again.until("Where does Alma start?")
    assert again.ended() == 0
    (noted,) = tomllib.loads(file.read_text(encoding="utf-8"))["lesson"]
    assert noted["on"].isoformat() == "2025-12-02"


@needs_terminals
def test_a_pause_since_a_half_entered_placing_asks_for_nothing(terminal, studio, start):
    file = half_placed(terminal, studio)
    with file.open("a") as added:
        added.write('[[hold]]\nopened = 2025-12-04\nwords = "sore"\n')
    said = start("place", "alma", "--next", READINESS_STUDIO=str(studio))
    assert "Shown when" not in said.out
    paused = terminal("place", "alma")
    paused.until("Paused")
    assert "): " not in paused.text
    paused.ended()


@needs_terminals
def test_who_enrols_for_placing_is_asked_at_once(terminal, studio):
    words = ("--name", "Nia", "--born", "2018-03", "--placing", "--on", "2025-12-02")
    started = terminal("enrol", "nia", *words)
    started.until("stop sign or word: ")
    started.type("\x04")
    started.until("has a file now")
    answer(started, "11q")
    started.until("q leave it for later")
    started.type("\n")
    started.until("Where does Nia start?")
    assert started.ended() == 0
    found = tomllib.loads((studio / "students" / "nia.toml").read_text(encoding="utf-8"))
    assert [one["on"].isoformat() for one in found["placing"]] == ["2025-12-02"]
    assert [one["on"].isoformat() for one in found["lesson"]] == ["2025-12-02"]


def test_without_a_terminal_the_next_command_of_a_placing_is_said(start, studio):
    words = ("enrol", "nia", "--name", "Nia", "--born", "2018-03", "--placing", "--on", "2025-12-02")
    said = start(*words, READINESS_STUDIO=str(studio))
    assert said.code == 0
    (command,) = re.findall(r"placing lesson: `(readiness place [^`]+)`", " ".join(said.out.split()))
    assert start(*command.split()[1:], READINESS_STUDIO=str(studio)).out.startswith("Where does Nia start?")


@needs_terminals
def test_a_half_entered_round_can_be_dropped(terminal, studio, say):
    path = studio / "students" / "temwa.toml"
    for drop in (lambda: say("note", "temwa", "--drop", "--students", studio / "students"), None):
        started = terminal("note", "temwa", "--on", "2025-12-02")
        answer(started, "1q")
        started.until("Enter note it")
        started.type("l")
        started.until("Kept for later")
        assert started.ended() == 0
        assert offered(path) is not None
        if drop:
            assert drop().code == 0
            assert offered(path) is None
    again = terminal("note", "temwa", "--on", "2025-12-02")
    again.until("d = drop it")
    again.type("d")
    again.until("): ")
    assert offered(path) is None
    os.kill(again.pid, signal.SIGKILL)
    again.ended()


def test_without_a_terminal_nothing_is_asked(start, studio):
    said = start("note", "temwa", "--students", str(studio / "students"))
    assert said.code == 2
    assert re.search(r"nothing was entered\. Say how things were shown, as in --alone wrist-lift", said.told)


@needs_terminals
def test_a_pause_opened_in_a_round_is_kept_beside_what_was_seen_before_it(terminal, studio):
    path = studio / "students" / "temwa.toml"
    started = terminal("note", "temwa", "--on", "2025-12-16", "--yes")
    answer(started, "2!")
    started.until("what was said: ")
    started.type("my wrist hurts\n")
    started.until("Paused: Temwa, from 16 December 2025")
    started.until("Enter note it")
    started.type("\n")
    started.until("takes this back.")
    assert started.ended() == 0
    found = tomllib.loads(path.read_text(encoding="utf-8"))
    assert (found["hold"][-1]["words"], found["hold"][-1]["part"]) == ("my wrist hurts", "all")
    assert found["lesson"][-1]["cue"]
    assert "alone" not in found["lesson"][-1]


@needs_terminals
def test_what_hurts_again_in_a_round_of_a_paused_student_can_be_kept_with_the_lesson(terminal, start, studio):
    words = ("--on", "2025-12-16", "--students", str(studio / "students"))
    assert start("pause", "temwa", "sore", *words).code == 0
    started = terminal("note", "temwa", "--on", "2025-12-16", "--yes")
    answer(started, "2!")
    started.until("what was said: ")
    started.type("my wrist hurts\n")
    started.until("is paused already")
    started.until("Stop playing now.")
    started.until("`readiness note temwa --text WORDS`")
    os.kill(started.pid, signal.SIGKILL)
    started.ended()


@needs_terminals
def test_at_a_terminal_an_odd_day_and_another_childs_lesson_are_asked_about(terminal, studio, course):
    students = studio / "students"
    before = {path: path.read_bytes() for path in students.glob("*.toml")}
    far = ",".join(one.id for one in course.skills if course.unit[one.unit].number == 9)
    started = terminal("note", "temwa", "1", "wrist-lift", "--on", "1.9.2025")
    started.until("2025-09-01 is before the first lesson noted")
    started.type("n")
    started.until("Nothing was noted.")
    assert started.ended() == 2
    started = terminal("note", "temwa", "1", far, "--on", "10.12.2025")
    started.until("for whom is this?")
    started.until("Enter for nobody yet: ")
    started.type("bogdan\n")
    started.until("Noted for Bogdan, 10 December 2025")
    assert started.ended() == 0
    changed = [path.stem for path, data in before.items() if path.read_bytes() != data]
    assert changed == ["bogdan"]


@needs_terminals
def test_nothing_is_read_before_it_is_there(monkeypatch):
    """A read that waits would not hear of a Ctrl-C that came in the moment before it."""
    there, write = os.pipe()
    looked = []

    def look(files, *rest):
        looked.append(files)
        if len(looked) == 3:
            os.write(write, b"2")
        return real(files, [], [], 0)

    real = select.select
    monkeypatch.setattr("readiness.cli.keys.select.select", look)
    assert typed._read(there, 1) == b"2"
    assert looked == [[there]] * 3
    os.close(there)
    os.close(write)
