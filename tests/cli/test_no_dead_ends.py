"""Where there is nothing to show, the answer ends in something the teacher can do."""

from __future__ import annotations

import re
import shlex

import pytest

from readiness.cli.commands import Exit

DAY = ("--on", "2025-12-02")
NEW = 'format = 1\nname = "Nil"\nborn = "2016-03"\n'
START = '\n[[unit_start]]\nunit = "{}"\non = 2025-11-01\n'
STUDENTS = {
    "unplaced": NEW,
    "placed": NEW + START.format("c-position"),
    "paused": NEW + START.format("c-position") + '\n[[hold]]\nopened = 2025-11-20\nwords = "thumb sore"\n',
    "last": NEW
    + START.format("together-pieces")
    + '\n[[settled]]\nthrough = "together-pieces"\non = 2025-11-25\n',
}
COMMANDS = {
    "roster": (),
    "why": ("nil",),
    "tell": ("nil", "family"),
    "resume": ("nil", "--by", "the mother", "--words", "all well"),
    "undo": ("nil",),
    "shown": ("nil",),
    "handover": ("nil",),
}
NEXT = re.compile(
    r"`readiness \w+|Start here: |PAUSED|[Nn]ext lesson(?:, | is on |\.)|Next time |see how it is|"
    r"[Hh]ave it looked at|"
    r"no day stands here: add it|first lesson we look|\blesson on \d+ \w+ \d{4}|Begin with a small part|"
    r"You can change it yourself in |ready to close this unit|Tell me when |"
    r"Mend |mend the |[Cc]orrect (?:it|the)|What to correct"
)
"""What a next step looks like: a command, a lesson with its day, a thing to work on, a line to mend."""


@pytest.fixture
def here(studio, monkeypatch, say):
    """Return the students folder of a studio without students, which is the current folder."""
    for path in (studio / "students").iterdir():
        path.unlink()
    monkeypatch.chdir(studio)
    return studio / "students"


@pytest.mark.parametrize("command", COMMANDS)
@pytest.mark.parametrize("student", STUDENTS)
def test_every_answer_about_a_student_has_a_next_step(here, say, student, command):
    (here / "nil.toml").write_text(STUDENTS[student], encoding="utf-8")
    said = say(command, *COMMANDS[command], *DAY)
    told = " ".join(f"{said.out} {said.err}".split())
    assert NEXT.search(told), told
    assert "thumb sore" not in told


@pytest.mark.parametrize("command", COMMANDS)
def test_a_studio_without_students_says_how_the_first_one_comes(here, say, command):
    said = say(command, *COMMANDS[command], *DAY)
    assert "`readiness enrol ID --name NAME --born YYYY-MM`" in f"{said.out} {said.err}"
    assert said.code == (0 if command == "roster" else Exit.WRONG)


@pytest.mark.parametrize("command", COMMANDS)
def test_a_studio_with_only_broken_files_says_what_to_mend(here, say, command):
    (here / "nil.toml").write_text('format = 1\nnmae = "Nil"\nborn = "2016-03"\n', encoding="utf-8")
    said = say(command, *COMMANDS[command], *DAY)
    told = " ".join(f"{said.out} {said.err}".split())
    assert 'did you mean "name"?' in told
    assert re.search("What to correct stands below|please correct the mistake above", told)
    assert "No students yet" not in told


def test_a_course_with_a_mistake_says_that_nothing_is_lost(here, say, tmp_path, course_folder):
    for name in ("graph.toml", "pacing.toml"):
        text = (course_folder / name).read_text(encoding="utf-8")
        (tmp_path / name).write_text(text.replace("carry_limit = 2", "carry_limt = 2", 1), encoding="utf-8")
    (here / "nil.toml").write_text(NEW, encoding="utf-8")
    said = say("why", "nil", "--course", tmp_path)
    assert said.code == Exit.WRONG
    assert "1 mistake to correct first, as said above. Nothing about any student is lost" in said.told


def test_a_hold_that_opens_later_is_named(here, say):
    (here / "nil.toml").write_text(STUDENTS["paused"], encoding="utf-8")
    said = say("resume", "nil", "--by", "the mother", "--words", "all well", "--on", "2025-11-10")
    assert "A later pause began on 20 November 2025" in said.told


def test_in_the_last_unit_a_yes_closes_it_and_then_keeps_it(here, say):
    (here / "nil.toml").write_text(STUDENTS["last"], encoding="utf-8")
    told = " ".join(say("why", "nil", *DAY).out.split())
    assert "Ready to finish the course." in told
    assert "`readiness decide nil move`" in told
    for words in (("roster",), ("when", "nil"), ("tell", "nil", "school")):
        assert "move on" not in say(*words, *DAY).out
    say("decide", "nil", "move", *DAY)
    told = " ".join(say("why", "nil", *DAY).out.split())
    assert "readiness decide" not in told
    assert "`readiness review nil` says what to look at soon" in told
    assert "On 2 December: to finish the course." in " ".join(say("why", "nil", "--full", *DAY).out.split())


def test_the_last_thing_noted_by_hand_is_changed_by_hand(here, say):
    (here / "nil.toml").write_text(STUDENTS["placed"], encoding="utf-8")
    said = say("undo", "nil")
    assert f"You can change it yourself in {here / 'nil.toml'}; `readiness forget nil`" in said.told


def test_a_skill_nobody_knows_says_where_all_are(say):
    assert "`readiness map` shows them all." in say("why", "temwa", "--skill", "zzzz").told
    assert 'there is no student "zz". The files are in' in say("why", "zz").told
    assert "`readiness roster` lists everybody." in say("why", "zz").told


def test_before_the_first_lesson_nothing_is_counted_that_is_not_there(here, say):
    (here / "nil.toml").write_text(STUDENTS["placed"], encoding="utf-8")
    told = " ".join(say("back", "nil", *DAY).out.split())
    assert "Nothing secure waits for a look." in told
    assert "Next: `readiness plan nil`" in told
    told = " ".join(say("task", "nil", *DAY).out.split())
    assert "`readiness task nil --give SKILL --text WORDS --minutes N --days N` gives one." in told


def test_a_folder_without_a_course_says_how_to_come_by_one(say, tmp_path):
    (tmp_path / "empty").mkdir()
    said = say("check", "empty")
    assert said.code == Exit.WRONG
    assert "there is no course in empty: graph.toml and pacing.toml would be there." in said.told
    assert "`readiness start FOLDER`" in said.told


PRINTED = re.compile(
    r"`readiness ([a-z-]+[^`]*)`|(?:: |^ +)readiness ([a-z]+ [^·\n`]*)"
    r"|(?<=· )((?:tell|sheet|plan|ask) [a-z].*?)(?= ·|\n\n|\Z)",
    re.MULTILINE | re.DOTALL,
)
FORM = re.compile(r"\b(?:[A-Z_]{2,}|N|YYYY-MM|A B)\b|\.\.\.|\|")
"""What only shows how something is written: a word in capitals stands for one of the teacher's own."""
OF_ONE = (
    "why", "sheet", "plan", "place", "review", "back", "season --event 2025-12-19", "shown", "when",
    "handover", "changed --since 2025-11-20", "task", "consent", "promise", "particulars",
    "share --for family", "undo", "tell family", "tell student", "tell school", "way --to 4", "correct",
    "decide stay --reason x", "decide move --reason x", "note --alone feet-supported", "note --alone zzzz",
    "move-note zz",
    "resume --by Ana --words 'all well' --yes", "pause 'thumb sore'",
)  # fmt: skip
OF_ALL = (
    "roster", "today", "ask all", "ask ready", "ask stuck", "ask look", "ask time", "ask due", "moderate",
    "doctor", "map", "pocket", "check", "recheck", "calendar", "ask zz", "why zz",
)  # fmt: skip


@pytest.fixture
def new_studio(say, tmp_path):
    """Return a fresh studio in a folder with a space in its name: one placed, one not, one paused."""
    folder = tmp_path / "my studio"
    assert say("start", folder).code == 0
    with (folder / "studio.toml").open("a", encoding="utf-8") as file:
        file.write("today = 2025-12-02\n")
    new = ("--born", "2019-05", "--on", "2025-11-03", "--students", folder / "students")
    assert say("enrol", "mia", "--name", "Mia", "--unit", "1", *new).code == 0
    assert say("enrol", "nop", "--name", "Nop", *new).code == 0
    assert say("enrol", "lio", "--name", "Lio", "--unit", "2", *new).code == 0
    assert say("pause", "lio", "thumb sore", "--on", "2025-11-28", *new[-2:]).code == 0
    return folder


@pytest.fixture
def demo(say, tmp_path):
    """Return a copy of the demo."""
    say("start", tmp_path / "demo", "--with-demo")
    return tmp_path / "demo"


@pytest.mark.parametrize("asked", [*OF_ONE, *OF_ALL])
@pytest.mark.parametrize("place", ["demo", "new_studio", "new_studio from elsewhere"])
def test_every_command_that_is_printed_does_what_it_says(say, place, asked, request, monkeypatch):
    """Typed to the letter, in the same folder; what asks at a terminal may be refused without one."""
    folder = request.getfixturevalue(place.split()[0])
    is_here = " " not in place
    where = () if is_here else ("--course", folder / "course", "--students", folder / "students")
    if is_here:
        monkeypatch.chdir(folder)
    files = {path: path.read_bytes() for path in (folder / "students").glob("*.toml")}
    command, *words = shlex.split(asked)
    whose = [path.stem for path in files if path.name != "studio.toml"] if asked in OF_ONE else [None]
    for one in whose:
        said = say(command, *filter(None, (one, *words)), *where)
        then_there = {path: path.read_bytes() for path in files}
        found = PRINTED.findall(f"{said.out}\n\n{said.told}")
        typed = {" ".join(next(filter(None, one)).split()).rstrip(".") for one in found}
        for again in sorted(each for each in typed if not FORM.search(each)):
            then = say(*shlex.split(again))
            assert then.code != Exit.WRONG or "terminal" in then.told, (again, then.told)
            for path, data in then_there.items():
                path.write_bytes(data)
        for path, data in files.items():
            path.write_bytes(data)


def test_what_start_prints_is_typed_as_it_stands(say, tmp_path, monkeypatch):
    """Into a folder with a space in its name, and into the one that is there."""
    said = say("start", "my studio", "--name", "Mine")
    lines = [line.strip() for line in said.out.splitlines() if line.startswith("  ")]
    assert shlex.split(lines[-2]) == ["cd", "my studio"]
    monkeypatch.chdir(tmp_path / "my studio")
    assert say(*shlex.split(lines[-1])[1:]).code == 0
    (tmp_path / "other").mkdir()
    monkeypatch.chdir(tmp_path / "other")
    assert "cd " not in say("start", ".", "--name", "Mine").out


def test_a_command_to_pause_again_has_words_in_it(say, new_studio, monkeypatch):
    monkeypatch.chdir(new_studio)
    assert say("resume", "lio", "--by", "Ana", "--words", "all well", "--yes").code == 0
    again = re.search(r"`readiness (pause lio [^`]+)`", say("plan", "lio").out)[1]
    assert shlex.split(again)[2:] == ["it hurts again", "--part", "all"]
    assert say(*shlex.split(again)).code == 0


REFUSED = {
    "readiness note nil --text WORDS": ("pause Nil sore", "pause Nil again"),
    "readiness resume nil --by NAME --words WORDS": ("pause nil sore", "undo Nil"),
    "readiness undo nil --by NAME --why WORDS": ("pause nil sore", "undo Nil"),
    "readiness consent nil WHAT no --by NAME": ("consent nil family yes --by mother", "undo Nil"),
    "readiness note nil": ("note Nil",),
    "readiness tell nil student|family|school": ("tell nil",),
}


@pytest.mark.parametrize("command", REFUSED)
def test_a_command_that_is_told_names_the_student_it_is_about(here, say, command):
    (here / "nil.toml").write_text(STUDENTS["placed"], encoding="utf-8")
    *before, last = REFUSED[command]
    assert [say(*words.split(), *DAY).code for words in before] == [Exit.READY] * len(before)
    said = say(*last.split(), *DAY)
    told = " ".join(f"{said.out} {said.err}".split())
    assert said.code == Exit.WRONG
    assert f"`{command}`" in told
    assert " ID" not in told
