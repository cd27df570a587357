"""An entry is added at the end, taken back by a line there, and everything else stays as it was."""

from __future__ import annotations

import tomllib
from datetime import date

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from readiness.days import day_number
from readiness.record.append import add_blocks, block, fill_in
from readiness.record.entries import answer_promise, close_hold, open_hold
from readiness.record.marks import standing
from readiness.record.undo import SINCE, last_entry, take_back
from readiness.toml.write import Refusal

HEAD = 'format = 1\nname = "Mia"\nborn = "2019-05"\n'
BLOCKS = (
    "[[lesson]]\non = 2025-12-02\n",
    "[[promise]]\ngiven = 2025-12-02\nto = \"the mother\"\ntext = '''a\n# no remark\n'''\n",
    '[[task]]\ngiven = 2025-12-02\nfor_skill = "wrist-lift"\ntext = "x"\n# of [[promise]] no more\n',
)
ASIDE = st.sampled_from(["", "\n", "\n\n", "# a remark\n", "   # \u2028 \u0085 and a form\n", "\t\n"])
PROMISE = block("promise", [("given", date(2025, 12, 3)), ("to", "Mia"), ("text", 'a "b"\nc')])

files = st.builds(
    lambda parts, asides, bom, crlf, cut: (
        ("\ufeff" if bom else "")
        + (HEAD + "".join(a + b for a, b in zip(asides, parts, strict=False)))[: -1 if cut else None].replace(
            "\n", "\r\n" if crlf else "\n"
        )
    ).encode(),
    st.lists(st.sampled_from(BLOCKS), max_size=4),
    st.lists(ASIDE, min_size=4, max_size=4),
    st.booleans(),
    st.booleans(),
    st.booleans(),
)
texts = st.text(
    st.characters(codec="utf-8", exclude_categories=["Cc", "Cs", "Zl", "Zp"]), min_size=1, max_size=30
)
many = settings(suppress_health_check=[HealthCheck.function_scoped_fixture])


@many
@given(before=files, words=texts, skills=st.lists(st.just("wrist-lift"), max_size=12))
def test_undo_leaves_of_a_file_what_it_was_to_the_byte(before, words, skills, tmp_path, left):
    path = tmp_path / "mia.toml"
    path.write_bytes(before)
    text = block("lesson", [("on", date(2025, 12, 9)), ("alone", skills), ("note", words)])
    text += "\n" + block("unit_start", [("unit", "arms-that-travel"), ("on", date(2025, 12, 9))])
    answer = add_blocks(path, tmp_path, text)
    if answer is not None:  # a character that turns the line is refused, and nothing is written
        assert path.read_bytes() == before
        return
    after = path.read_bytes()
    assert after.startswith(before)
    assert tomllib.loads(after.decode("utf-8-sig"))["lesson"][-1]["note"] == words
    assert after.count(b"\r\n") in (0, after.count(b"\n"))
    assert take_back(path, tmp_path) == text
    undone = path.read_bytes()
    assert undone.startswith(after + b"# taken back ")
    assert undone.count(b"\n") == after.count(b"\n") + 1
    assert left(path) == before.rstrip(b"\r\n")
    assert add_blocks(path, tmp_path, text) is None  # the same once more: it has the same mark, and stands
    assert tomllib.loads(standing(path.read_bytes()).decode("utf-8-sig"))["lesson"][-1]["note"] == words


@many
@given(before=files, count=st.integers(1, 4))
def test_entries_are_taken_back_one_by_one(before, count, tmp_path, left):
    path = tmp_path / "mia.toml"
    path.write_bytes(before)
    stages = []
    for _ in range(count):
        stages.append(left(path))
        assert add_blocks(path, tmp_path, PROMISE) is None
    for stage in reversed(stages):
        assert take_back(path, tmp_path) == PROMISE
        assert left(path) == stage
    now = path.read_bytes()
    assert isinstance(take_back(path, tmp_path), Refusal)
    assert path.read_bytes() == now


@many
@given(before=files, later=st.lists(st.sampled_from(BLOCKS), max_size=2), aside=ASIDE)
def test_filling_in_puts_lines_into_one_block_and_changes_no_other(before, later, aside, tmp_path, left):
    path = tmp_path / "mia.toml"
    ending = "\r\n" if b"\r\n" in before else "\n"
    middle = '\n[[promise]]\ngiven = 2025-12-04\nto = "x"\ntext = "the one"\n' + aside + "".join(later)
    before = before + middle.replace("\n", ending).encode()
    path.write_bytes(before)
    number = [one["text"] for one in tomllib.loads(before.decode("utf-8-sig"))["promise"]].index("the one")
    said, text = {"answered": date(2025, 12, 5), "answer": "done"}, 'answered = 2025-12-05\nanswer = "done"'
    known, other = {"text": "the one", "answered": None}, {"text": "the other", "answered": None}
    assert fill_in(path, tmp_path, ("promise", number), said, other).id == "changed"
    assert fill_in(path, tmp_path, ("promise", number), said, known) is None
    after = path.read_bytes()
    found = tomllib.loads(after.decode("utf-8-sig"))["promise"][number]
    assert (found["text"], found["answer"]) == ("the one", "done")
    plain = after.decode().split("# noted above ")[0]
    mark = after.decode().rstrip().rpartition(" ")[2]
    added = "".join(f"{line} # {mark}{ending}" for line in text.split("\n"))
    assert plain.replace(added, "", 1).removesuffix(ending) == before.decode().removesuffix(ending)
    assert add_blocks(path, tmp_path, PROMISE) is None
    assert take_back(path, tmp_path) == PROMISE
    assert left(path) == after.rstrip(b"\r\n")
    assert take_back(path, tmp_path) == text + "\n"
    says = f"# noted above {mark}".encode()
    assert left(path).removesuffix(says).rstrip(b"\r\n") == before.rstrip(b"\r\n")
    tomllib.loads(path.read_bytes().decode("utf-8-sig"))
    assert fill_in(path, tmp_path, ("promise", number), said, known) is None  # and once more
    assert take_back(path, tmp_path) == text + "\n"


def test_a_hold_that_was_a_mistake_is_crossed_out_with_who_said_so(temwa, folder, read):
    before, day = temwa.read_bytes(), day_number("2025-12-10")
    text = block("promise", [("given", date(2025, 12, 10)), ("to", "the mother"), ("text", "x")])
    assert add_blocks(temwa, folder, text) is None
    assert open_hold(read(temwa), folder, day, "thumb hurts", "hand") is None
    held = temwa.read_bytes()
    assert "thumb hurts" in take_back(temwa, folder, mistake="says OB: meant for\nanother")
    assert temwa.read_bytes().startswith(held + b"# entered by mistake, says OB: meant for another\n")
    assert not any(hold.is_open(day) for hold in read(temwa).holds)
    assert take_back(temwa, folder) == text  # and one entry further back
    assert temwa.read_bytes().startswith(before)
    assert open_hold(read(temwa), folder, day, "thumb hurts", "hand") is None
    assert read(temwa).holds[-1].is_open(day)


@pytest.mark.parametrize(
    "change",
    [
        lambda data: data + b"# mine\n",
        lambda data: data.replace(b"the mother", b"the father"),
        lambda data: data.rstrip(b"\n"),
        lambda data: data + b"\n[[lesson]]\non = 2025-12-20\n",
    ],
)
def test_what_was_changed_by_hand_since_is_not_taken_back(change, temwa, folder):
    text = block("promise", [("given", date(2025, 12, 10)), ("to", "the mother"), ("text", "x")])
    assert add_blocks(temwa, folder, text) is None
    temwa.write_bytes(change(temwa.read_bytes()))
    before = temwa.read_bytes()
    answer = take_back(temwa, folder)
    assert isinstance(answer, Refusal)
    assert answer.id == "nothing-to-undo"
    assert temwa.read_bytes() == before


def test_a_hold_is_not_taken_back(temwa, folder, read):
    day = day_number("2025-12-10")
    assert open_hold(read(temwa), folder, day, "thumb hurts", "hand") is None
    answer = take_back(temwa, folder)
    assert isinstance(answer, Refusal)
    assert answer.id == "undo-hold"
    assert close_hold(read(temwa), folder, day, "Odalys", "fine after advice") is None
    assert take_back(temwa, folder) == (
        'closed = 2025-12-10\nclosed_by = "Odalys"\nclosed_words = "fine after advice"\n'
    )
    assert read(temwa).holds[-1].closed is None
    answer = take_back(temwa, folder)
    assert isinstance(answer, Refusal)
    assert answer.id == "undo-hold"


@pytest.mark.parametrize(
    "change",
    [
        lambda data: data.replace(b"fine after", b"good after"),
        lambda data: data.replace(b"the mother", b"the father"),
        lambda data: data.replace(b"closed_by", b"# mine\nclosed_by"),
    ],
)
def test_a_closing_is_left_alone_where_the_file_was_changed_by_hand_since(change, temwa, folder, read):
    day = day_number("2025-12-10")
    assert open_hold(read(temwa), folder, day, "thumb hurts", "hand") is None
    assert close_hold(read(temwa), folder, day, "Odalys", "fine after advice") is None
    temwa.write_bytes(change(temwa.read_bytes()))
    before = temwa.read_bytes()
    answer = take_back(temwa, folder)
    assert isinstance(answer, Refusal)
    assert answer.id == "changed-since"
    assert temwa.read_bytes() == before


def test_the_lesson_asked_for_is_not_taken_back_where_something_else_came_last(temwa, folder, read):
    """A closing stands in an older block, so the lesson is still the last entry of the file."""
    lesson = block("lesson", [("on", date(2025, 12, 9)), ("alone", ["wrist-lift"])])
    day = day_number("2025-12-10")
    assert add_blocks(temwa, folder, PROMISE) is None
    promised = last_entry(temwa)[2]
    assert add_blocks(temwa, folder, lesson) is None
    noted = last_entry(temwa)[2]
    assert take_back(temwa, folder, promised) == SINCE
    assert answer_promise(read(temwa), folder, 1, day, "done") is None
    assert take_back(temwa, folder, noted) == SINCE
    assert take_back(temwa, folder) == 'answered = 2025-12-10\nanswer = "done"\n'
    assert take_back(temwa, folder, noted) == lesson


def test_a_block_that_moved_since_it_was_read_is_left_alone(temwa, folder, read):
    """A promise taken out by hand must not get its answer written into the next one."""
    text = block("promise", [("given", date(2025, 12, 10)), ("to", "the mother"), ("text", "second")])
    assert add_blocks(temwa, folder, text) is None
    record = read(temwa)
    data = temwa.read_text(encoding="utf-8")
    start = data.index("[[promise]]")
    temwa.write_text(data[:start] + data[data.index("[[lesson]]", start) :], encoding="utf-8")
    before = temwa.read_bytes()
    answer = answer_promise(record, folder, 1, day_number("2025-12-10"), "done")
    assert answer is not None
    assert answer.id == "changed"
    assert temwa.read_bytes() == before


@pytest.mark.parametrize(
    "broken, added, id_",
    [
        ("[[lesson]\n", PROMISE, "broken-file"),
        ("colour = 1\n", PROMISE, "broken-file"),
        ("", 'promise = "x"\n', "would-break"),
        ("", "[[promise]]\ngiven = 2025-12-03\n", "would-break"),
        ("", '[[lesson]]\non = 2025-12-03\nnote = "\\u0007"\n', "would-break"),
        ("", '[[lesson]]\non = 2025-12-03\nnote = "\udcff"\n', "odd-character"),
    ],
)
def test_nothing_is_added_to_a_broken_file_and_nothing_that_breaks_one(broken, added, id_, tmp_path):
    path = tmp_path / "mia.toml"
    path.write_text(HEAD + broken, encoding="utf-8")
    before = path.read_bytes()
    refusal = add_blocks(path, tmp_path, added)
    assert refusal is not None
    assert refusal.id == id_
    assert path.read_bytes() == before
