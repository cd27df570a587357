"""Deciding, pausing, home tasks and promises, as a person types them."""

from __future__ import annotations

import json
import re
import tomllib

import pytest

from readiness.cli.commands import Exit


@pytest.fixture
def here(studio, monkeypatch, say):
    """Return the students folder of a studio that is the current folder."""
    monkeypatch.chdir(studio)
    return studio / "students"


@pytest.fixture
def on(say, here):
    """Return a function that carries out a command on a day, with its text on one line."""

    def carry_out(day, *words):
        said = say(*words, "--on", day)
        return said._replace(out=" ".join(said.out.split()))

    return carry_out


DAY = "2025-12-02"


# decide


def test_moving_against_the_verdict_keeps_both_and_begins_the_unit(on, say, here):
    refused = on(DAY, "decide", "temwa", "move")
    assert refused.code == Exit.WRONG
    assert "That is yours to decide, so please say why with --reason" in refused.told
    said = on(DAY, "decide", "temwa", "move", "--reason", "she is sure of it", "--by", "OB")
    assert said.code == 0
    assert "Temwa moves on to unit 4, Arms that travel, decided on 2 December 2025." in said.out
    assert "That day: Look again first. Both stay in temwa.toml" in said.out
    kept = tomllib.loads((here / "temwa.toml").read_text(encoding="utf-8"))["decision"][-1]
    assert (kept["computed"], kept["decided"]) == ("look-again", "move")
    assert kept["reason"] == "she is sure of it (OB)"
    assert json.loads(say("why", "temwa", "--json", "--on", DAY).out)["unit"] == "arms-that-travel"
    told = on(DAY, "why", "temwa", "--full").out
    assert "On 2 December: to move on. Computed then: look again first." in told
    undone = say("undo", "temwa")
    assert "[[unit_start]]" in undone.out
    assert json.loads(say("why", "temwa", "--json", "--on", DAY).out)["unit"] == "hand-shape-wrist"


def test_staying_is_kept_and_told_with_the_reasons(on, say):
    said = on(DAY, "decide", "chikondi", "stay")
    assert "Chikondi stays in unit 6, Hands take turns" in said.out
    story = say("why", "chikondi", "--on", DAY)
    assert "Your own decision" in story.out
    assert "On 2 December: to stay." in story.out


def test_a_decision_to_stay_is_followed_by_every_list_and_date(on):
    assert on(DAY, "decide", "bogdan", "stay", "--reason", "cold hands").code == 0
    assert "Bogdan (you decided to stay)" in on(DAY, "ask", "all").out
    assert "nothing stands in the way" not in on(DAY, "when", "bogdan").out
    assert "Go on in this unit. Your decision holds" in on(DAY, "when", "bogdan").out


def test_a_student_who_is_not_placed_begins_where_the_placing_says(on, say):
    said = on("2025-12-04", "decide", "rafiq", "move", "--json")
    found = json.loads(said.out)
    assert (found["unit"], found["begins"], found["computed"]) == ("white-key-names",) * 2 + ("not-placed",)
    assert json.loads(say("why", "rafiq", "--on", "2025-12-04", "--json").out)["unit"] == "white-key-names"
    again = on("2025-12-04", "decide", "rafiq", "move", "--unit", "c-position", "--reason", "x")
    assert "Rafiq has begun unit 7" in again.told


def test_how_a_unit_is_begun_again_is_said_where_it_is_asked_for_and_holds(on, say, here):
    asked = on(DAY, "decide", "temwa", "move", "--unit", "2", "--reason", "a long summer")
    told = " ".join(asked.told.split())
    assert f'add [[unit_start]] with unit = "..." and on = {DAY} to temwa.toml.' in told
    with (here / "temwa.toml").open("a", encoding="utf-8") as file:
        file.write(f'\n[[unit_start]]\nunit = "black-key-groups"\non = {DAY}\n')
    assert json.loads(say("why", "temwa", "--json", "--on", DAY).out)["unit"] == "black-key-groups"


def test_a_student_who_is_not_placed_begins_where_the_teacher_says(on):
    wrong = on("2025-12-04", "decide", "rafiq", "move", "--unit", "c-postion")
    assert 'there is no unit "c-postion" in the course. Did you mean "9 c-position"?' in wrong.told
    said = on("2025-12-04", "decide", "rafiq", "move", "--unit", "c-position")
    assert "Rafiq begins with unit 9, C five-finger position" in said.out


def test_what_lies_before_the_unit_is_not_settled_by_it_and_can_be_said_to_be(on, say, here):
    said = say("decide", "rafiq", "move", "--unit", "c-position", "--on", "2025-12-04")
    assert "The skills of units 1 to 8 are not secure by that" in " ".join(said.out.split())
    block = said.out[said.out.index("[[settled]]") :].split("\n")[:3]
    file = here / "rafiq.toml"
    file.write_text(f"{file.read_text(encoding='utf-8')}\n" + "\n".join(block) + "\n", encoding="utf-8")
    standing = json.loads(say("why", "rafiq", "--json", "--on", "2025-12-04").out)
    assert standing["unit"] == "c-position"
    assert standing["details"]["finds-middle-c"]["state"] == "secure"


def test_after_a_start_and_a_stay_a_move_is_no_second_one(on, here):
    day = "2025-12-04"
    assert on(day, "decide", "rafiq", "move").code == 0
    assert "the start of Rafiq was decided on 2025-12-04 already" in on(day, "decide", "rafiq", "move").told
    assert on(day, "decide", "rafiq", "stay", "--reason", "to look first").code == 0
    assert on(day, "decide", "rafiq", "move").told.startswith("readiness: this differs")


def test_a_second_move_on_one_day_is_said_to_be_decided_already(on, here):
    assert on(DAY, "decide", "temwa", "move", "--reason", "she is sure of it").code == 0
    before = (here / "temwa.toml").read_bytes()
    again = on(DAY, "decide", "temwa", "move")
    assert again.code == Exit.WRONG
    assert "a move of Temwa was decided on 2025-12-02 already" in again.told
    same = on(DAY, "decide", "temwa", "move", "--reason", "she is sure of it")  # the same command again
    assert same.code == Exit.WRONG
    assert "give that move a reason of its own with --reason" in same.told
    assert (here / "temwa.toml").read_bytes() == before
    assert on(DAY, "decide", "temwa", "move", "--reason", "two at once").code == 0
    assert on("2025-12-09", "decide", "temwa", "move").told.startswith("readiness: this differs")


def test_the_last_unit_is_closed_without_a_next_one(on, say, here):
    last = '\n[[unit_start]]\nunit = "together-pieces"\non = 2025-12-04\n'
    path = here / "bogdan.toml"
    path.write_text(path.read_text(encoding="utf-8") + last, encoding="utf-8")
    said = on("2025-12-05", "decide", "bogdan", "move", "--reason", "enough")
    assert "Bogdan finishes the course" in said.out
    assert path.read_text(encoding="utf-8").count("[[unit_start]]") == 2


def test_no_move_against_a_hold(on, here):
    before = (here / "linnea.toml").read_bytes()
    said = on("2025-12-04", "decide", "linnea", "move", "--reason", "the concert is near")
    assert said.code == Exit.WRONG
    assert "There is no move during a pause" in said.told
    assert (here / "linnea.toml").read_bytes() == before


# pause and resume


def test_a_pause_says_what_comes_first(on, say, here):
    said = on(DAY, "pause", "temwa", "--words", "my thumb hurts", "--part", "hand")
    assert said.out.startswith("Paused: Temwa, from 2 December 2025 (hand and arm). Stop playing")
    for words in ("Do not play through pain", "the same day", "licensed clinician", "No playing tasks"):
        assert words in said.out
    assert json.loads(say("why", "temwa", "--on", DAY, "--json").out)["verdict"] == "paused"
    assert (
        "is paused already (the hand, since 2025-12-02)"
        in on(DAY, "pause", "temwa", "--words", "x", "--part", "hand").told
    )
    assert "only an adult ends it" in say("undo", "temwa").told


def test_resuming_begins_with_little(on, say, here):
    said = on("2025-12-20", "resume", "linnea", "--by", "the mother", "--words", "fine, after advice")
    assert "ended on 20 December 2025, by the mother." in said.out
    assert "Begin with a small part of what was done before, with rests, and add a little" in said.out
    assert json.loads(say("why", "linnea", "--on", "2025-12-20", "--json").out)["verdict"] != "paused"
    again = on("2025-12-20", "resume", "linnea", "--by", "the mother", "--words", "x")
    assert again.told == (
        "readiness: Linnea is not paused on 20 December 2025. The last pause ended on 20 December 2025. "
        "Where things stand: `readiness why linnea`"
    )


@pytest.mark.parametrize("typed, ends", [("yes", True), ("no", False), ("", False), (None, False)])
def test_at_a_terminal_it_is_asked_whether_the_words_allow_playing(typed, ends, on, here, monkeypatch):
    asked, words = [], "no playing until Christmas, it still hurts"
    monkeypatch.setattr("readiness.cli.entries.is_terminal", lambda: True)
    monkeypatch.setattr("readiness.cli.keys.is_terminal", lambda: True)
    monkeypatch.setattr("readiness.cli.keys.Keys.line", lambda self, prompt: asked.append(prompt) or typed)
    before = (here / "linnea.toml").read_bytes()
    said = on("2025-12-20", "resume", "linnea", "--by", "the mother", "--words", words)
    assert said.out.startswith(f'"{words}" Do these words allow Linnea to play again?')
    assert asked == ["Type yes or no: "]
    assert ((here / "linnea.toml").read_bytes() != before) is ends
    assert (said.code == 0) is ends
    assert ends or "the pause stays. To keep the words: `readiness note linnea --text WORDS`" in said.told
    if not ends:
        assert on("2025-12-20", "resume", "linnea", "--by", "M", "--words", "fine", "--yes").code == 0
    assert on("2025-12-20", "resume", "linnea", "--by", "M", "--words", "fine").code == Exit.WRONG
    assert asked == ["Type yes or no: "]


def test_a_closing_by_mistake_is_taken_back_and_no_lesson_with_it(on, say, here):
    on("2025-12-05", "note", "linnea", "--alone", "major-minor-ear")
    before = (here / "linnea.toml").read_bytes()
    said = on("2025-12-19", "resume", "linnea", "--by", "her mother", "--words", "she says it is fine")
    assert "or it was a slip: `readiness undo linnea` pauses again." in " ".join(said.out.split())
    undone = say("undo", "linnea")
    assert undone.code == 0
    assert 'closed_words = "she says it is fine"' in undone.out
    assert "Linnea has been paused since 27 November" in " ".join(undone.out.split())
    left = (here / "linnea.toml").read_bytes()
    assert re.fullmatch(rb"# noted above (\w+)\n# taken back above \1\n", left.removeprefix(before))
    assert on("2025-12-20", "resume", "linnea", "--by", "her mother", "--words", "after advice").code == 0


def test_a_hold_closed_on_a_later_day_says_so_and_can_be_opened_again_in_the_same_words(on, say, here):
    on("2025-12-19", "resume", "linnea", "--by", "her mother", "--words", "she says it is fine")
    on("2025-12-19", "note", "linnea", "--alone", "major-minor-ear")
    for part in ((), ("--part", "hand")):
        said = on("2025-12-10", "resume", "linnea", "--by", "her mother", "--words", "x", *part)
        assert "was still open on 10 December 2025" in said.told
        assert "ended on 19 December 2025, by her mother" in said.told
        assert "`readiness undo linnea` pauses again where nothing was noted since" in said.told
    assert on("2025-12-19", "pause", "linnea", "--part", "hand", "--words", "the same").code == 0
    assert json.loads(say("why", "linnea", "--on", "2025-12-20", "--json").out)["verdict"] == "paused"
    kept = (here / "linnea.toml").read_text(encoding="utf-8")
    assert "she says it is fine" in kept


def test_a_closing_with_too_early_a_day_can_be_followed_by_a_pause_on_a_day_before_it(on, say, here):
    on("2025-12-19", "resume", "linnea", "--by", "her mother", "--words", "x")
    assert on("2025-12-10", "pause", "linnea", "--part", "hand", "--words", "x").code == 0
    assert json.loads(say("why", "linnea", "--on", "2025-12-20", "--json").out)["verdict"] == "paused"


@pytest.mark.parametrize("by", ["me", "Myself", " I ", "we", "1", "?"])
def test_somebody_is_named_who_closes_a_hold(by, on, here):
    before = (here / "linnea.toml").read_bytes()
    said = on("2025-12-19", "resume", "linnea", f"--by={by}", "--words", "fine")
    assert said.code == Exit.WRONG
    assert "does not say which adult ends the pause; please give a name" in said.told
    assert (here / "linnea.toml").read_bytes() == before


@pytest.mark.parametrize("by", ["Linnea", "Linnea herself", "the child", "the student herself."])
def test_the_child_ends_no_pause_by_whatever_name(by, on, here):
    before = (here / "linnea.toml").read_bytes()
    assert "Linnea is not of age" in on("2025-12-19", "resume", "linnea", "--by", by, "--words", "fine").told
    assert (here / "linnea.toml").read_bytes() == before
    assert on("2025-12-19", "resume", "linnea", "--by", "Linnea's mother", "--words", "fine").code == 0


@pytest.mark.parametrize(
    "words",
    [
        ("task", "temwa", "--report", "1", "--days", "3", "--words", "she liked it"),
        ("promise", "temwa", "--answer", "1", "--words", "told her"),
    ],
    ids=lambda words: words[0],
)
def test_a_report_and_an_answer_are_taken_back_and_nothing_else(words, on, say, here):
    on(DAY, "note", "temwa", "--alone", "wrist-lift")
    before = (here / "temwa.toml").read_bytes()
    assert on(DAY, *words).code == 0
    assert say("undo", "temwa").code == 0
    left = (here / "temwa.toml").read_bytes()
    assert re.fullmatch(rb"# noted above (\w+)\n# taken back above \1\n", left.removeprefix(before))


def test_after_enrolling_there_is_nothing_to_take_back_and_that_is_said_as_it_is(say, here):
    say("enrol", "nil", "--name", "Nil", "--born", "2019-05", "--unit", "white-key-names")
    said = say("undo", "nil")
    assert said.code == Exit.WRONG
    assert "It stood there when the file was made" in said.told
    assert "`readiness forget nil` is for a student who should not be here" in said.told


def test_another_hold_stays_open(on):
    on("2025-12-04", "pause", "linnea", "--words", "hoarse", "--part", "voice")
    both = on("2025-12-05", "resume", "linnea", "--by", "M", "--words", "x")
    assert "please say which with --part" in both.told
    said = on("2025-12-05", "resume", "linnea", "--by", "M", "--words", "x", "--part", "voice")
    assert "Still paused: hand and arm, since 27 November 2025. No playing tasks" in said.out
    assert "Begin with" not in said.out


@pytest.mark.parametrize(
    "words",
    [
        ("pause", "temwa", "--words", " "), ("pause", "temwa", "--words", "a\x07"), ("pause", "temwa"),
        ("resume", "linnea", "--by", " ", "--words", "x"), ("resume", "linnea", "--by", "M", "--words", ""),
        ("resume", "linnea", "--by", "M\nN", "--words", "x"),
        ("pause", "temwa", "--words", "x", "--part", "foot"),
        ("resume", "linnea", "--by", "M"),
    ],
)  # fmt: skip
def test_a_hold_needs_words_and_names(words, on, here):
    before = {path: path.read_bytes() for path in here.iterdir()}
    said = on("2025-12-04", *words)
    assert said.code == Exit.WRONG
    assert said.err.startswith("readiness: ")
    assert {path: path.read_bytes() for path in here.iterdir()} == before


# tasks


def test_tasks_are_listed_with_their_reason_and_their_sum(on, say):
    said = on(DAY, "task", "chikondi")
    assert "task 1, given 25 November" in said.out
    assert "done on 3 days" in said.out
    assert "the place to start" in said.out
    assert "3 minutes a day together. Usual at age 6-7: 10 to 15 (a custom of the trade)." in said.out
    assert "An adult sits beside: always or nearby." in said.out
    found = json.loads(say("task", "chikondi", "--on", DAY, "--json").out)
    assert [task["number"] for task in found["tasks"]] == [1, 2]
    assert found["practice"]["minutes_week"] == 15


@pytest.mark.parametrize(("day", "runs"), [("2025-12-08", True), ("2025-12-09", False)])
def test_where_no_task_was_given_in_seven_days_none_is_said_to_run(day, runs, on):
    """In place of "0 minutes a day together. Usual 10 to 15"."""
    told = " ".join(on(day, "task", "chikondi").out.split())
    assert "given 2 December" in told
    assert ("minutes a day together" in told) is runs


def test_a_task_that_is_much_is_kept_and_said_to_be(on):
    words = (
        "task",
        "chikondi",
        "--give",
        "alternate",
        "--text",
        "with the song",
        "--minutes",
        "12",
        "--days",
        "5",
    )
    said = on(DAY, *words)
    assert said.code == 0
    assert "with the song. 12 minutes a day on 5 days" in said.out
    assert "75 minutes in this week after 15 in the one before: up to 18 would be a slow rise." in said.out
    assert "The numbers are common practice only; comfort decides." in said.out


def test_a_task_is_reported(on, say):
    said = on(DAY, "task", "temwa", "--report", "1", "--days", "3", "--words", "she liked it")
    assert said.out == 'Noted for Temwa, task 1: 3 days of 4 planned, "she liked it" (temwa.toml).'
    assert 'done on 3 days ("she liked it")' in on(DAY, "task", "temwa").out
    assert "has its report already" in on(DAY, "task", "temwa", "--report", "1", "--days", "3").told


def test_while_a_hold_is_open_there_is_no_task_anywhere(on, say):
    on(DAY, "pause", "chikondi", "--words", "sore")
    for words in (("task", "chikondi"), ("promise", "chikondi"), ("why", "chikondi"), ("roster",)):
        out = on(DAY, *words).out
        assert "lack-key" not in out
        assert "minutes a day" not in out
    assert json.loads(say("task", "chikondi", "--on", DAY, "--json").out)["tasks"] == []
    words = ("task", "chikondi", "--give", "alternate", "--text", "x", "--minutes", "2", "--days", "2")
    assert "no home task during a pause" in on(DAY, *words).told


@pytest.mark.parametrize(
    "words, told",
    [
        (("--give", "nonsense-q", "--text", "x", "--minutes", "2", "--days", "2"), "there is no skill"),
        (("--give", "wrist", "--text", "x", "--minutes", "2"), "--give takes also"),
        (("--give", "wrist", "--text", " ", "--minutes", "2", "--days", "2"), "--give takes also"),
        (
            ("--give", "wrist", "--text", "x", "--minutes", "0", "--days", "2"),
            "--minutes takes a whole number",
        ),
        (("--give", "wrist", "--text", "x", "--minutes", "two", "--days", "2"), 'and "two" is not'),
        (("--give", "wrist", "--text", "x", "--minutes", "2", "--days", "-1"), "--days"),
        (("--report", "1"), "--report takes also --days"),
        (("--report", "9", "--days", "2"), "there is no task number 9"),
        (("--report", "1", "--give", "wrist"), "two steps"),
        (("--text", "x"), "go with --give SKILL or --report NUMBER"),
    ],
)
def test_a_slip_with_a_task_is_one_sentence(words, told, on, here):
    before = (here / "temwa.toml").read_bytes()
    said = on(DAY, "task", "temwa", *words)
    assert said.code == Exit.WRONG
    assert told in said.told
    assert (here / "temwa.toml").read_bytes() == before


def test_no_task_yet(on):
    told = on(DAY, "task", "noemi").out
    assert told.startswith("No home task is noted for Noemi; `readiness task noemi --give")


# promises


def test_a_promise_is_given_becomes_overdue_and_is_answered(on, say):
    words = (
        "promise",
        "temwa",
        "--give",
        "say about the holidays",
        "--to",
        "the mother",
        "--due",
        "2025-12-05",
    )
    said = on(DAY, *words)
    assert "promise 2, given 2 December to the mother, due 5 December: say about the holidays" in said.out
    late = on("2025-12-08", "promise", "temwa").out
    assert late.index("promise 2") < late.index("promise 1")
    assert "due 5 December: 3 days over" in late
    assert "Home task given last - given 2 December: Lid game" in late
    assert "1 promise overdue since 5 December" in on("2025-12-08", "roster").out
    assert "Promised and overdue - promise 2" in on("2025-12-08", "why", "temwa").out
    assert "overdue" not in on("2025-12-05", "roster").out
    found = json.loads(say("promise", "temwa", "--on", "2025-12-08", "--json").out)["open"]
    assert [(one["number"], one["overdue"]) for one in found] == [(2, True), (1, False)]
    answered = on("2025-12-08", "promise", "temwa", "--answer", "2", "--words", "told her")
    assert answered.out == "Noted for Temwa: promise 2 to the mother is answered: told her (temwa.toml)."
    assert "overdue" not in on("2025-12-08", "roster").out
    assert "was answered on 2025-12-08 already" in on("2025-12-08", "promise", "temwa", "--answer", "2").told


def test_under_a_hold_nothing_reminds(on):
    on(DAY, "promise", "temwa", "--give", "the piece", "--to", "Temwa", "--due", "2025-12-03")
    on("2025-12-04", "pause", "temwa", "--words", "sore")
    assert "overdue" not in on("2025-12-08", "roster").out
    assert "the piece" not in on("2025-12-08", "why", "temwa").out


@pytest.mark.parametrize(
    "words, told",
    [
        (("--give", "x"), "to whom"),
        (("--give", " ", "--to", "y"), "what was promised"),
        (("--give", "x", "--to", "y", "--due", "2025-12-01"), "before the day of the promise"),
        (("--give", "x", "--to", "y", "--due", "soon"), "--due takes a day"),
        (("--give", "x", "--to", "y\nz"), "cannot be shown"),
        (("--answer", "7"), "there is no promise number 7"),
        (("--answer", "one"), "--answer takes a whole number"),
        (("--to", "y"), "go with --give"),
        (("--words", "y"), "goes with --answer"),
        (("--give", "x", "--answer", "1"), "two steps"),
    ],
)
def test_a_slip_with_a_promise_is_one_sentence(words, told, on, here):
    before = (here / "temwa.toml").read_bytes()
    said = on(DAY, "promise", "temwa", *words)
    assert said.code == Exit.WRONG
    assert told in said.told
    assert (here / "temwa.toml").read_bytes() == before


@pytest.mark.parametrize(
    "words",
    [
        ("decide", "temwa", "stay"), ("pause", "temwa", "--words", "x"),
        ("task", "temwa", "--give", "wrist", "--text", "x", "--minutes", "2", "--days", "2"),
        ("promise", "temwa", "--give", "x", "--to", "y"),
    ],
    ids=lambda words: words[0],
)  # fmt: skip
@pytest.mark.parametrize(
    "day, told", [("2199-01-01", "has not come yet"), ("2019-01-01", "before Temwa was born")]
)
def test_a_day_that_cannot_be_is_refused(words, day, told, on, here):
    before = (here / "temwa.toml").read_bytes()
    said = on(day, *words)
    assert said.code == Exit.WRONG
    assert told in said.told
    assert (here / "temwa.toml").read_bytes() == before


@pytest.mark.parametrize(
    "words",
    [
        ("pause", "temwa", "--words", "x"), ("resume", "linnea", "--by", "M", "--words", "x"),
        ("task", "temwa", "--give", "wrist", "--text", "x", "--minutes", "2", "--days", "2"),
        ("task", "temwa", "--report", "1", "--days", "2"), ("promise", "temwa", "--answer", "1"),
        ("promise", "temwa", "--give", "x", "--to", "y"), ("decide", "temwa", "stay"),
    ],
    ids=lambda words: " ".join(words[:3]),
)  # fmt: skip
def test_everything_is_there_for_other_programs_too(words, say, here):
    found = json.loads(say(*words, "--on", "2025-12-04", "--json").out)
    assert found["format"] == 1
    assert found["student"] in ("temwa", "linnea")


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("undo", "temwa", "--by", "Temwa"), ("Temwa is not of age", "please say with --why")),
        (("undo", "temwa", "--why", "slip"), ("please say with --by which adult",)),
        (("task", "temwa", "five", "days"), ('not "five days", as in `readiness task temwa 5 days fine`',)),
        (("task", "temwa", "--give", "wrist"), ("also --text WORDS, --minutes N a day and --days N.",)),
        (("task", "temwa", "--give", "wrist", "--text", "x", "--days", "3"), ("also --minutes N a day.",)),
        (
            ("task", "temwa", "--give", "zzz", "--text", "x", "--minutes", "z", "--days", "99"),
            ('no skill "zzz"', '"z" is not.', '"99" is not.'),
        ),
        (("promise", "temwa", "--give", "x", "--due", "soon"), ("say with --to", '"soon" is not a day')),
        (
            ("enrol", "mia", "--name", "Mia", "--born", "19", "--home-keys", "x", "--delete-by", "soon"),
            ('"19" is not.', '"x" is not.', '"soon" is not a day'),
        ),
    ],
)
def test_all_that_is_missing_or_wrong_is_named_at_once(words, told, say, here):
    say("pause", "temwa", "--words", "sore", "--on", DAY)
    before = (here / "temwa.toml").read_bytes()
    said = say(*words, "--on", DAY)
    assert said.code == 2
    flat = " ".join(said.told.split())
    assert [one for one in told if one not in flat] == []
    assert (here / "temwa.toml").read_bytes() == before
