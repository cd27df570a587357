"""Letters in Spanish: whole texts, what may never come out, the file of names, and who has signed it."""

from __future__ import annotations

import re
import shutil
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from string import Formatter

import pytest
from drawn import situations
from hypothesis import given, settings
from hypothesis import strategies as st
from pinned import hold_against
from told import text_of
from words.test_golden import DAYS

from readiness.advice.letter import home_thing
from readiness.course.load import load_course
from readiness.course.translated import called_in, names_in, names_problems
from readiness.days import day_number
from readiness.judging import judge
from readiness.terms import LANGUAGES
from readiness.testing import ask
from readiness.words.layout import cells
from readiness.words.letter_english import Letters
from readiness.words.letters import IN, letter, letter_words, template_text
from readiness.words.spanish import Spanish

ROOT = Path(__file__).parents[2]
COURSES = ("first-two-years", "first-year-voice")
HERE = Path(__file__).parent / "letters_es"
ENGLISH = re.compile(r"\b(the|and|with|your|you|unit|lesson|hand|keys|playing|next|we)\b", re.IGNORECASE)
TU = re.compile(r"\b(tú|tu|tus|te|ti|contigo|has|puedes|tienes|eliges)\b")
USTED = re.compile(r"\b(usted|ustedes|consulten|cuéntenme|su|sus)\b", re.IGNORECASE)


@pytest.mark.parametrize("student, on", DAYS)
@pytest.mark.parametrize("reader", ["family", "student"])
def test_whole_letters(student, on, reader, course, records, answered):
    text = text_of(
        letter_words,
        letter(reader, answered(student, on), course, records[student], language="es"))
    hold_against(HERE / f"{student}-{on}-{reader}.txt", text)


@pytest.mark.parametrize("student, on", DAYS)
@pytest.mark.parametrize("reader", ["family", "student"])
def test_all_of_it_is_spanish_and_speaks_to_one_person_in_one_way(
    student, on, reader, course, records, answered
):
    draft = letter(reader, answered(student, on), course, records[student], language="es")
    told = list(draft.lines)
    told = told[: told.index("In English as well:")] if "In English as well:" in told else told
    home = home_thing(course, records[student], answered(student, on))
    text = " ".join(told).replace(home.text.rstrip(".") if home and home.is_given else "\0", "")
    assert not ENGLISH.search(text), text
    assert not (TU if reader == "family" else USTED).search(text), text


@pytest.mark.parametrize("reader", ["family", "student"])
def test_the_spanish_text_has_the_paragraphs_of_the_english_one(reader):
    heads = re.compile(r"(?m)^\[(.*)\]$")
    spanish, english = (heads.findall(template_text(reader, code)) for code in ("es", "en"))
    assert spanish == english


def test_every_sentence_is_said_in_every_language():
    sentences = {name for name in vars(Letters) if name[0] != "_"} - {"by_count", "ended_words"}
    assert set(IN) == set(LANGUAGES)
    for code, language in IN.items():
        assert code == "en" or not sentences - vars(type(language)).keys()


def test_a_sentence_is_filled_with_what_it_has_in_english_too():
    """A name in braces that nobody fills would stop a letter; one that is missing would say half of it."""

    def names(sentence):
        forms = enumerate(sentence) if isinstance(sentence, tuple) else [(None, sentence)]
        forms = sentence.items() if isinstance(sentence, Mapping) else forms
        return {key: {field for _, field, *_ in Formatter().parse(form) if field is not None} - {"n"}
                for key, form in forms}  # fmt: skip

    kinds = str | Mapping | tuple
    told = {name for name, one in vars(Letters).items() if isinstance(one, kinds) and name[0] != "_"}
    assert len(told) > 50
    for name in told - {"look_at", "that", "asks_days", "week_days"}:
        english, spanish = names(getattr(Letters, name)), names(getattr(Spanish, name))
        for key, fields in spanish.items():
            assert fields == english.get(key, english.get(0)), (name, key)


@pytest.mark.parametrize("name", COURSES)
def test_every_skill_and_unit_of_the_shipped_courses_has_its_names(name):
    course = load_course(ROOT / "skill_graphs" / name).course
    assert course is not None
    names = names_in(course, "es")
    assert names_problems(course) == ()
    assert names.unit.keys() == course.unit.keys()
    assert names.skill.keys() == course.skill.keys()
    for skill in called_in(course, names).skills:
        assert skill.said, skill.id
        assert skill.you, skill.id
        assert len(skill.at_home) == len(course.skill[skill.id].at_home), skill.id
        assert re.match(r"\w+[aeií]r(se)?\b", skill.said), skill.id
        assert re.match(r"(te )?\w+s\b", skill.you), skill.id
        assert not re.search(r'["$]', skill.said + skill.you + skill.name), skill.id
        assert not ENGLISH.search(f"{skill.name} {skill.said} {skill.you}"), skill.id


@pytest.mark.parametrize(
    "words, last, listed",
    [
        # Real Academia Española, Ortografía de la lengua española (2010): e before the sound of i, but y
        # before hie- and ia-; u before o and ho-.
        (["leer", "imitar"], "and", "leer e imitar"),
        (["aguja", "hilo"], "and", "aguja e hilo"),
        (["agua", "hielo"], "and", "agua y hielo"),
        (["cantar", "oír"], "or", "cantar u oír"),
        (["minutos", "horas"], "or", "minutos u horas"),
        (["cantar", "oír"], "and", "cantar y oír"),
        (["a", "b", "irse"], "and", "a, b e irse"),
        (["tocar"], "and", "tocar"),
    ],
)
def test_y_and_o_before_their_own_sounds(words, last, listed):
    assert Spanish().listed(words, last) == listed


def test_days_and_numbers():
    day = day_number("2025-12-02")
    assert Spanish().day(day, day) == "2 de diciembre"
    assert Spanish().day(day, day_number("2026-01-02")) == "2 de diciembre de 2025"
    said = "Llevamos un día de dos, así que solo falta un día más, y todo va bien."
    assert Spanish().so_far(1, 2, is_all=True, well=Spanish.well) == said
    assert Spanish().by_count(Spanish.minutes, 1) == "un minuto"
    assert Spanish().by_count(Spanish.a_week, 3) == "tres días a la semana"


@given(situation=situations(), width=st.integers(40, 120))
@settings(max_examples=30)
def test_no_letter_raises_and_nothing_is_left_unfilled(situation, width):
    asked = ask(situation)
    for reader in ("family", "student"):
        draft = letter(reader, asked.answer, asked.course, asked.record, language="es")
        english = letter(reader, asked.answer, asked.course, asked.record)
        assert set(english.days) == set(draft.days)
        text = text_of(
            letter_words,
            letter(reader, asked.answer, asked.course, asked.record, language="es"),
            width=width)
        assert max(map(cells, text.splitlines())) <= width
        assert not re.search(r"None|\{|\$|(?<=\S)  |[\x00-\x09\x0b-\x1f]", text)


def test_until_somebody_signs_what_is_about_safety_stands_in_english_too(course, records, answered, tmp_path):
    linnea, record = answered("linnea", "2025-12-04"), records["linnea"]
    draft = letter("family", linnea, course, record, language="es")
    said = " ".join(draft.sentences)
    assert "Stop playing now. Do not play through pain. No playing at home either, until" in said
    assert "No se debe tocar con dolor. En casa tampoco se toca hasta que" in said
    assert any("somebody who speaks it must read it first" in one for one in draft.after)
    folder = tmp_path / "course"
    shutil.copytree(course.folder, folder)
    path = folder / "names.es.toml"
    path.write_text(path.read_text("utf-8").replace('reviewed_by = ""', 'reviewed_by = "Inés"'), "utf-8")
    signed = letter("family", linnea, replace(course, folder=folder), record, language="es")
    assert "Stop playing" not in " ".join(signed.sentences)
    assert "Hay que dejar de tocar" in " ".join(signed.sentences)
    assert not any("must read it first" in one for one in signed.after)


def test_a_name_that_does_not_exist_is_told_with_its_line(course, records, answered, tmp_path):
    folder = tmp_path / "course"
    folder.mkdir()
    (folder / "names.es.toml").write_text(
        'format = 1\nlanguage = "es"\n[skill.wrist-lfit]\nname = "x"\n[skill.wrist-lift]\nname = "Levanta"\n'
        'said = "levantar"\nat_home = ["a", "b", "c"]\n',
        "utf-8",
    )
    own = replace(course, folder=folder)
    (unknown, count) = names_problems(own)
    assert (unknown.id, unknown.place.line) == ("names-no-skill", 3)
    assert "wrist-lift" in unknown.hint
    assert (count.id, count.place.line) == ("names-at-home", 8)
    draft = letter("family", answered("temwa", "2025-12-02"), own, records["temwa"], language="es")
    assert any(one.startswith('names.es.toml:3 there is no skill "wrist-lfit"') for one in draft.after)
    assert "Keeps the hand rounded on the keys" in draft.sentences
    (folder / "names.es.toml").write_text("language = 3\n", "utf-8")
    assert letter("family", answered("temwa", "2025-12-02"), own, records["temwa"], language="es").lines


def test_a_skill_that_has_no_name_stands_on_a_line_of_its_own(course, records, answered):
    draft = letter("student", answered("temwa", "2025-12-02"), replace(course, folder=None), records["temwa"],
                   language="es")  # fmt: skip
    assert draft.sentences[:3] == (
        "Ya haces estas dos, sin ninguna ayuda.", "Keeps the hand rounded on the keys", "Lifts the wrist",
    )  # fmt: skip


def test_nothing_of_an_adult_is_told_in_any_language(course, records):
    answer = judge(course, records["bogdan"], day_number("2025-12-05"))
    text = " ".join(letter("family", answer, course, records["bogdan"], language="es").sentences)
    assert text.startswith("Bogdan es una persona adulta. Nada de las clases se cuenta a nadie sin")
