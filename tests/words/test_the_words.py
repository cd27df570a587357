"""One voice: the words that are not said, one word for one thing, sentences of a breath, lines that fit.

Over the demo students on three days, every command that answers, its help, the options and the keys.
Words that people wrote (names, remarks, activities of the course) are theirs and are left out.
"""

from __future__ import annotations

import contextlib
import io
import re
import tomllib
from collections.abc import Iterator
from itertools import chain
from pathlib import Path
from typing import Final

import pytest
from drawn import situations
from hypothesis import given, settings
from hypothesis import strategies as st
from told import page_of, text_of

from readiness.cli import context
from readiness.cli.commands import COMMANDS, Exit
from readiness.cli.main import main
from readiness.school.questions import PROMISES, QUESTIONS
from readiness.school.questions import ask as ask_school
from readiness.school.students import Judged
from readiness.studio.find import Location
from readiness.studio.load import Studio
from readiness.testing import Situation, ask
from readiness.words.lists import roster_words
from readiness.words.noting import shown_words
from readiness.words.phrases import Phrases
from readiness.words.school import reply_words
from readiness.words.why import tell_answer
from tui.actions import actions_of

ROOT = Path(__file__).parents[2]
STUDENTS = ("bogdan", "chikondi", "linnea", "noemi", "rafiq", "temwa")
DAYS = ("2025-09-16", "2025-12-02", "2025-12-17")
WIDTHS = (40, 60, 80, 120)
SCREENS = (
    "studio", "why", "decide", "pause", "course", "placing", "lesson", "problems", "answers", "tellings",
)  # fmt: skip

NOT_SAID: Final = (
    r"is none of them", r"put right", r"without the word of", r"reckoned", r"another one than",
    r"(?:is|are) another one", r"anew\b", r"afresh\b", r"begun\b", r"no fault", r"no bar\b",
    r"what decide[sd]\b", r"what may come along", r"not yet sure", r"come[s]? along", r"coming along",
    r"what stopped the climb", r"sure success", r"settles? as much", r"nothing weak lies",
    r"nothing in them says", r"play(?:ing)? while it hurts", r"hands rest for a breath",
    r"numbers that decided", r"common practice, not",
    r"neither the verdict", r"as long as it was not seen", r"may not crowd out", r"a slip of the finger",
)  # fmt: skip
"""Sentences of before, as patterns."""

SECOND_WORDS: Final = (
    r"settled\b", r"come loose", r"due for a look", r"part-way", r"\d-week window", r"windows?\b",
    r"fad(?:es?|ing)\b", r"ke(?:ep|pt) (?:it )?warm", r"\bbands?\b(?![._-])", r"taking along",
    r"taken along", r"carried along", r"deciding", r"footings?\b", r"stands? on\b", r"stood on\b",
    r"contact help", r"small reminder", r"paused for care", r"strengthen", r"\bnot placed\b",
    r"\b(?:the|a|an|no|that|open|any|of) holds?\b(?! on| the| both| a)", r"blockers?\b",
    r"gone stale", r"turns stale",
)  # fmt: skip
"""Second words for one thing; keys of the files in backquotes or with a dot stay."""


WHY: Final = (
    ("--skill", "wrist-lift"), ("--stuck",), ("--birthday",), ("--if", "days_needed.motor=2"),
    *(("--list", which) for which in ("optional", "untried", "startable", "carries-over")),
)  # fmt: skip


def _about(student: str) -> tuple[tuple[str, ...], ...]:
    """Return every command about one student that only reads."""
    plain = "why sheet plan fading when back handover share shown task promise particulars consent"
    return (
        *((name, student) for name in plain.split()),
        *(("tell", student, reader) for reader in ("child", "family", "school")),
        ("way", student, "--to", "14"), ("season", student, "--event", "2026-01-20"),
        ("changed", student, "--since", "2025-09-10"),
        *(("why", student, *asked) for asked in WHY),
    )  # fmt: skip


OVER_MANY: Final = (
    ("roster",), ("today",), ("today", "--week"), ("moderate",), ("together", "temwa", "chikondi"),
    ("retire", "wrist-lift"),
    ("compare", "--set", "band.4-5.days_needed.motor=2"), ("compare", "--drop", "arm-arc-octave:wrist-lift"),
    *(("ask", question) for question in (*QUESTIONS, PROMISES, "all")),
)  # fmt: skip
FULL = frozenset({"why", "roster", "today", "ask", "changed", "shown", "compare", "retire", "moderate"})
NAMES = sorted({words[0] for words in (*_about("temwa"), *OVER_MANY)})


class _Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def said(*words: str, width: int = 80) -> str:
    """Return what a command prints on a terminal of some width, or why it does not."""
    out, err = _Terminal(), _Terminal()
    streams = contextlib.redirect_stdout(out), contextlib.redirect_stderr(err)
    with pytest.MonkeyPatch.context() as patch, streams[0], streams[1]:
        patch.setenv("COLUMNS", str(width))
        patch.chdir(ROOT)
        with contextlib.suppress(SystemExit):
            assert main(list(words)) != Exit.OWN_ERROR, err.getvalue()
    assert out.getvalue() or err.getvalue(), words
    return out.getvalue() or err.getvalue()


@pytest.fixture(scope="module", autouse=True)
def _read_once() -> Iterator[None]:
    """Read the studio of the demo once, since nothing here writes to it.

    A command that is loaded meanwhile goes on with this reading, so later it must read again each time.
    """
    read, kept, over = context.read_studio, {}, []

    def read_once(where: Location, only: Path | None = None) -> Studio:
        asked = where.course, where.students, only
        if asked not in kept or over:
            kept[asked] = read(where, only)
        return kept[asked]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(context, "read_studio", read_once)
        yield
    over.append(True)


@pytest.fixture(scope="module")
def texts() -> dict[tuple[str, ...], str]:
    """Return what every reading command says, of every student on every day, in short and in full."""
    asked = (*chain.from_iterable(map(_about, STUDENTS)), *OVER_MANY)
    every = (
        (*words, *full, "--on", day)
        for words in asked
        for day in DAYS
        for full in (((), ("--full",)) if words[0] in FULL else ((),))
    )
    return {words: said(*words) for words in every}


@pytest.fixture(scope="module")
def own_words() -> tuple[str, ...]:
    """Return what people wrote into the courses and the student files, the longest first."""
    files = [*(ROOT / "demo_students").glob("*.toml"), *(ROOT / "skill_graphs").glob("*/*.toml")]
    values = chain.from_iterable(_strings(tomllib.loads(path.read_text(encoding="utf-8"))) for path in files)
    return tuple(sorted({" ".join(one.split()) for one in values if " " in one}, key=len, reverse=True))


def _strings(value: object) -> Iterator[str]:
    if isinstance(value, str):
        yield from (value, value[:1].lower() + value[1:], value.rstrip("."))
    elif isinstance(value, dict):
        yield from chain.from_iterable(map(_strings, value.values()))
    elif isinstance(value, list):
        yield from chain.from_iterable(map(_strings, value))


def ours(text: str, own_words: tuple[str, ...]) -> str:
    """Return a text on one line without what people wrote, and without what is typed or copied."""
    flat = " ".join(text.split())
    beginnings = {flat[at : at + 5] for at in range(len(flat))}
    for words in own_words:
        if words[:5] in beginnings:  # of some thousands few stand in a text
            flat = flat.replace(words, "X")
    return re.sub(r"`[^`]*`|\S+\.toml:\d+|\[\[.*?\]\]", "X", flat)


def paragraphs(text: str, width: int) -> Iterator[str]:
    """Yield the paragraphs of a text: a line goes on where its first word found no room above."""
    held, last = "", ""
    for line in text.splitlines():
        first = line.split()[:1]
        if held and first and len(last) + 1 + len(first[0]) > width:
            held = f"{held} {line.strip()}"
        else:
            yield held
            held = line.strip()
        last = line
    yield held


def sentences(text: str, width: int) -> Iterator[str]:
    """Yield the sentences of a text; a colon ends one too, and so do the gaps of columns."""
    for paragraph in paragraphs(text, width):
        yield from re.split(r"(?<=[.!?:;])\s+|\s{2,}|\s·\s", paragraph)


def of(texts: dict[tuple[str, ...], str], name: str) -> Iterator[tuple[tuple[str, ...], str]]:
    yield from ((words, text) for words, text in texts.items() if words[0] == name)


@pytest.mark.parametrize("name", NAMES)
def test_one_word_for_one_thing_and_no_sentence_of_before(name, texts, own_words):
    odd = re.compile("|".join((*NOT_SAID, *SECOND_WORDS)), re.IGNORECASE)
    found = {words: odd.findall(ours(text, own_words)) for words, text in of(texts, name)}
    assert {words: set(told) for words, told in found.items() if told} == {}


@pytest.mark.parametrize("name", NAMES)
def test_no_sentence_is_longer_than_thirty_words(name, texts, own_words):
    for words, text in of(texts, name):
        long = [one for one in sentences(text, 80) if len(one.split()) > 30]
        assert [one for one in long if len(ours(one, own_words).split()) > 30] == [], words


@pytest.mark.parametrize("name", NAMES)
def test_at_most_three_names_stand_in_a_sentence(name, texts):
    for words, text in of(texts, name):
        assert [one for one in sentences(text, 80) if len(re.findall(r'"[^"]+"', one)) > 3] == [], words


@pytest.mark.parametrize("name", NAMES)
def test_nothing_of_the_program_shows_through(name, texts):
    for words, text in of(texts, name):
        assert not re.search(r"\bNone\b|[{}]", text), words
        assert all(letter.isprintable() or letter == "\n" for letter in text), words


def is_whole(line):
    """Return whether a line is never broken: one word, or a command, which is copied."""
    return " " not in line or line.startswith("`readiness ")


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("name", NAMES)
def test_no_line_is_wider_than_the_page(name, width):
    for words in (*_about("temwa"), *_about("linnea"), *OVER_MANY):
        if words[0] == name:
            full = ("--full",) if name in FULL else ()
            lines = said(*words, *full, "--on", DAYS[1], width=width).splitlines()
            assert [line for line in lines if len(line) > width and not is_whole(line.strip())] == [], words


@pytest.mark.parametrize("command", COMMANDS, ids=lambda one: one.name)
def test_the_help_and_the_options_use_the_same_words(command, own_words):
    odd = re.compile("|".join((*NOT_SAID, *SECOND_WORDS)), re.IGNORECASE)
    assert odd.findall(ours(f"{command.help}. {said(command.name, '--help')}", own_words)) == []


@pytest.mark.parametrize("screen", SCREENS)
def test_the_keys_use_the_same_words(screen):
    odd = re.compile("|".join((*NOT_SAID, *SECOND_WORDS)), re.IGNORECASE)
    assert odd.findall(" ".join(f"{one.title}. {one.help}" for one in actions_of(screen))) == []


# How long the answers over many are, at 80 columns: a line a student; a line a question; one screen.


@pytest.mark.parametrize("day", DAYS)
def test_the_answers_over_many_are_short(day, texts):
    listed = texts["roster", "--on", day].splitlines()
    assert len(listed) == len(STUDENTS) + 2  # and what is next
    unplaced = [line for line in listed if "No starting unit yet" in line]
    assert all("; so far unit " in line for line in unplaced)
    full = texts["roster", "--full", "--on", day]
    assert full.count("Start so far:") == len(unplaced)
    assert len(texts["ask", "all", "--on", day].splitlines()) <= 12
    for question in (*QUESTIONS, PROMISES):
        assert len(texts["ask", question, "--on", day].splitlines()) <= 24, question
    for student in STUDENTS:
        for name in ("shown", "changed"):
            asked = next(words for words, _ in of(texts, name) if words[1] == student and words[-1] == day)
            assert len(texts[asked].splitlines()) <= 24, asked


@pytest.mark.parametrize("day", DAYS)
def test_why_is_answered_in_a_screen(day, texts):
    """The verdict on line 2, the next lesson by line 14, 20 lines in all; the same is in the full answer."""
    for student in STUDENTS:
        lines = texts["why", student, "--on", day].splitlines()
        assert len(lines) <= 20, student
        assert next(at for at, line in enumerate(lines, 1) if line.startswith("Next lesson")) <= 14, student
        full = texts["why", student, "--full", "--on", day].splitlines()
        assert full[1].split()[:2] == lines[1].split()[:2]
        for asked in WHY:
            assert len(texts["why", student, *asked, "--on", day].splitlines()) <= 24, (student, asked)


@pytest.mark.parametrize("day", DAYS)
def test_what_is_left_out_is_said_with_full(day, texts):
    """Every name that stands in the short form stands in the long one too."""
    for question in QUESTIONS:
        short, full = (texts["ask", question, *more, "--on", day] for more in ((), ("--full",)))
        names = re.compile("|".join(map(str.capitalize, STUDENTS)))
        assert set(names.findall(short)) <= set(names.findall(full))


@given(situations(), st.integers(40, 120), st.booleans())
@settings(max_examples=40)
def test_whatever_is_answered_can_be_told(situation: Situation, width: int, full: bool) -> None:
    asked = ask(situation)
    judged, on = [Judged(asked.record, asked.answer)], asked.answer.on
    lessons = tuple(one for one in asked.record.lessons if one.on != on)
    told = [text_of(roster_words, [asked.answer], asked.course, width=width, full=full)]
    for question in (*QUESTIONS, PROMISES):
        reply = ask_school(asked.course, judged, on, question)
        told.append(text_of(reply_words, [reply], asked.course, width=width, full=full))
    if lessons != asked.record.lessons:
        told.append(
            page_of(
                shown_words,
                Phrases(asked.answer, asked.course, asked.record),
                asked.answer, asked.course, asked.record,
                width=width,
                full=full,
            )
        )
    told.append(tell_answer(asked.answer, asked.course, asked.record, width, full=full))
    for text in told:
        lines = (line.strip() for line in text.splitlines() if len(line) > width)
        assert all(line.startswith("`readiness ") for line in lines), text
        assert not re.search(r"\bNone\b|[{}]", text)
        assert all(letter.isprintable() or letter == "\n" for letter in text)
        assert text.endswith("\n")
