"""The same decision told to three readers: the student, the family, the school.

All three are drafts for the teacher to edit; nothing is sent. Their texts stand in ``letter_texts`` or
in the studio's own ``letters``; what can be filled in is in ``letter_words`` and the class of each reader. No
letter compares, names another student, guesses at a cause or repeats what a family said about the body.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import cache
from inspect import getmembers, isfunction
from itertools import groupby
from pathlib import Path
from string import Template
from typing import Final

from readiness.advice.after_break import pain_noted
from readiness.advice.letter import home_thing
from readiness.course.model import Course
from readiness.course.translated import Names, called_in, names_in
from readiness.judging.answer import Answer
from readiness.lazy import dataclass
from readiness.record.consents import may_see
from readiness.record.model import Record, Task
from readiness.terms import LANGUAGES, Verdict
from readiness.toml.problems import Place, Problem
from readiness.toml.texts import is_slip, nearest
from readiness.words.cautions import caution, if_it_hurts
from readiness.words.grammar import counted, date_words, ended, listed, quoted, tidy
from readiness.words.layout import Paragraph, Section, bullets, plain
from readiness.words.letter_english import Letters
from readiness.words.letter_words import MARK, FamilyWords, LetterWords, SchoolWords, StudentWords
from readiness.words.phrases import Phrases
from readiness.words.spanish import Spanish

__all__ = [
    "IN", "READERS", "Letter", "LetterText", "draft_words", "is_shipped", "language_of", "letter",
    "letter_problems", "letter_sections", "letter_words", "school_sentences", "shipped_text", "task_in",
    "template_text",
]  # fmt: skip

READERS: Final[Mapping[str, type[LetterWords]]] = {
    words.reader: words for words in (StudentWords, FamilyWords, SchoolWords)
}
"""Who a letter may be for, and what it can say."""

IN: Final[Mapping[str, Letters]] = {"en": Letters(), "es": Spanish()}
"""What says the letters in each of ``terms.LANGUAGES``."""

_SAFETY: Final = {
    "family": ({"stop_now"}, {"gently"}, {"resting"}),
    "student": ({"stop_now", "what_rests"}, {"gently", "then"}, {"resting"}),
    "school": ({"resting"},),
}
"""What keeps the student safe: of each of these one is said, whatever the text of the letter is."""

_UNDER_A_PAUSE: Final = frozenset((
    "name", "day", "next_lesson", "paused_since", "came_back", "by_when", "what_hurts", "what_rests",
    "stop_now", "rest_voice", "quiet_work", "resting", "gently", "result", "goes_on",
))  # fmt: skip
"""What may be said during a pause; any other name has nothing to say then, wherever it stands."""


@dataclass(frozen=True)
class Letter:
    """A draft.

    Attributes:
        reader: student, family or school.
        title: for whom and about which day; not part of the draft.
        lines: the draft; an empty line begins a new paragraph, the name of a skill without forms of its
            own stands between marks.
        after: what the teacher should know before using it.
        skills, days: those that the draft names.
        language: a code of ``terms.LANGUAGES``.
    """

    reader: str
    title: str
    lines: tuple[str, ...]
    after: tuple[str, ...]
    skills: tuple[str, ...] = ()
    days: tuple[int, ...] = ()
    language: str = "en"

    @property
    def sentences(self) -> tuple[str, ...]:
        """Return the draft line by line, names that stand apart after theirs."""
        return tuple(part for line in self.lines if line for part in _apart(line))


def letter(
    reader: str, answer: Answer, course: Course, record: Record, letters: Path | None = None,
    language: str = "",
) -> Letter:  # fmt: skip
    """Return a draft for one reader (student or child, family, school).

    ``letters``: the folder of the studio's own; ``language``: of ``terms.LANGUAGES``, empty for the one
    in the student's file, else English.
    """
    reader = "student" if reader == "child" else reader
    code = language_of(record, language, reader)
    names = Names() if code == "en" else names_in(course, code)
    p = Phrases(answer, course if code == "en" else called_in(course, names), record)
    said = READERS[reader]
    own, wrong = ({}, []) if letters is None else _own_text(letters, reader, code)
    may_name = reader != "school" or may_see(record, "school", answer.on).may("name")
    words = said(p, tidy(answer.name) if may_name else "A student", IN[code])
    lines = list(_lines(words, own, code))
    if code != "en" and not names.reviewed_by and not words.is_kept:
        in_english = said(Phrases(answer, course, record), words.name(), IN["en"])
        safety = filter(None, (in_english.first_of_all, in_english.gently(), in_english.resting()))
        told = [*(_lines(in_english, {}, "en") if words.case == Verdict.PAUSED else safety)]
        lines += ["", "In English as well:", *told] if told else []
    named = {"student": "{}", "family": "the family of {}", "school": "the school"}[reader]
    title = f"For {named.format(tidy(answer.name))}, about {date_words(answer.on)}: a draft, please edit"
    hurts = pain_noted(record, answer.on) if words.first_of_all else ()
    shipped = ["The letter that comes with the program is used."] if wrong and not own else []
    about = (*map(_told, wrong), *shipped, *draft_words(code, names))
    after = (*about, *_after(reader, p, code, hurts))
    return Letter(reader, title, tuple(lines), after, *words.told, code)


def language_of(record: Record, asked: str = "", reader: str = "family") -> str:
    """Return the language asked for, else that of the student's file; English where it has no letter."""
    code = asked or record.language
    return code if code in IN and is_shipped(reader, code) else "en"


def task_in(task: Task, course: Course, names: Names) -> Task:
    """Return a home task in the language of the names where it is an activity of the course."""
    skill, said = course.skill.get(task.for_skill), names.skill.get(task.for_skill)
    if skill is None or said is None or len(said.at_home) != len(skill.at_home):
        return task
    ways = {skill.remedies[at - 1]: words for at, words in zip(skill.at_home, said.at_home, strict=True)}
    return replace(task, text=ways.get(task.text, task.text))


def draft_words(code: str, names: Names) -> Iterator[str]:
    """Yield that a text in another language is a draft, and what is wrong with its names."""
    if code == "en":
        return
    if not names.reviewed_by:
        yield (
            f"This {LANGUAGES[code]} is a draft: somebody who speaks it must read it first. Whoever has "
            f"read it signs in names.{code}.toml (reviewed_by); until then safety stands in English too."
        )
    yield from map(_told, names.problems)


def _told(problem: Problem) -> str:
    line = f":{problem.place.line}" if problem.place.line else ""
    hint = f" ({problem.hint})" if problem.hint else ""
    return f"{problem.place.file.name}{line} {problem.message}{hint}."


def school_sentences(p: Phrases, named: str) -> tuple[str, ...]:
    """Return the shipped letter to the school, line by line; ``named`` is whom it is about."""
    return tuple(_lines(SchoolWords(p, named, IN["en"]), {}, "en"))


def _names(words: type[LetterWords]) -> Mapping[str, Callable[[LetterWords], str]]:
    """Return what says each name of a letter."""
    return {name: method for name, method in getmembers(words, isfunction) if not name.startswith("_")}


def _lines(words: LetterWords, own: LetterText, language: str) -> Iterator[str]:
    """Yield the paragraph that fits best, the teacher's first, filled; and what safety asks for beyond it."""
    asked, names = set[str](), _names(type(words))

    def value(name: str) -> str:
        asked.add(name)
        is_kept_back = words.case == Verdict.PAUSED and name not in _UNDER_A_PAUSE
        return "" if is_kept_back else str(names[name](words))

    texts, fits = (own, shipped_text(words.reader, language)), ("adult",) if words.is_kept else words.fits
    told = [*_filled(next(text[name] for name in fits for text in texts if name in text), value)]
    due = (value(min(one)) for one in _SAFETY[words.reader] if not one & asked)
    first = () if words.is_kept else (words.first_of_all, *due)
    lines = [*filter(None, first), "", *told]
    for at, line in enumerate(lines):  # none is empty at both ends, nor two in a row
        if line or (any(lines[:at]) and any(lines[at:]) and lines[at - 1]):
            yield line


def letter_words(draft: Letter) -> Iterator[Section]:
    """Yield the title, the draft, and under it what the teacher should know."""
    yield from letter_sections(draft)
    yield bullets("Before you use it", draft.after)


def letter_sections(draft: Letter) -> Iterator[Section]:
    """Yield a draft alone, as its reader sees it: the title, the paragraphs."""
    yield plain(draft.title)
    for is_break, block in groupby(draft.lines, lambda line: not line):
        text, told = "", list[Paragraph]()
        for line in () if is_break else block:
            sentence, *names = _apart(line)
            text = f"{text} {sentence}".strip()
            if names:  # a name that has no forms stands on a line of its own
                told += (Paragraph(text), *(Paragraph(name, 4) for name in names))
                text = ""
        yield Section("", (*told, *plain(text).paragraphs))


def _apart(line: str) -> list[str]:
    """Return a line of a draft, and after it the names that stand in it between marks."""
    parts = line.split(MARK)
    return ["".join(parts[::2]), *parts[1::2]]


def _after(reader: str, p: Phrases, code: str, hurts: Sequence[str]) -> Iterator[str]:
    """Yield what the teacher should know before using a draft.

    ``hurts``: the words on which it rests that something hurts, because no word-list is sure of that.
    """
    home = home_thing(p.course, p.record, p.answer)
    to_family = reader == "family" and bool(may_see(p.record, reader, p.answer.on).sees)
    is_nameless = reader == "school" and not may_see(p.record, reader, p.answer.on).may("name")
    said, sure = listed([*map(quoted, hurts)]), "If nothing hurts, take that sentence out."
    told = {
        f"{ended(f'What was noted may speak of something that hurts: {said}')} {sure}": hurts,
        if_it_hurts(p.record, p.answer.on, *hurts): hurts,
        f"The home task stands in your own words: say it in {LANGUAGES[code]} if need be.":
            code != "en" and home is not None and home.is_given,
        caution("C10"): to_family,
        caution("C4"): to_family and home is not None and home.is_too_much,
        "No consent for sharing with the school is noted, so no name stands here. Ask the "
        f"{'student' if p.of_age else 'family'} first and show them this draft; until then nothing goes to "
        "the school.": is_nameless,
        "Nothing says when the lessons are, so no day stands here: add it.":
            not p.answer.is_day_known and (reader != "student" or p.is_grown),
        "Nothing else is urgent during the pause; rest comes first.": p.answer.verdict == Verdict.PAUSED,
    }  # fmt: skip
    return (words for words, is_due in told.items() if is_due)


# The text of a letter: named paragraphs with ``$names``, the shipped ones or the teacher's own.
# Filled by ``string.Template``; nothing in it is run. A text with a name that does not exist is not used;
# what is wrong with it is told with its line, and the shipped letter stands in.

SHIPPED: Final = Path(__file__).with_name("letter_texts")
LARGEST: Final = 100_000
"""A letter's text with more bytes than this is none."""

_HEAD: Final = re.compile(r"\[([^\]]*)\]\s*")

LetterText = Mapping[str, Sequence[str]]
"""The lines of each paragraph by its name; an empty line begins a new paragraph."""


def _file(reader: str, language: str) -> str:
    return f"{reader}.txt" if language == "en" else f"{reader}.{language}.txt"


@cache
def shipped_text(reader: str, language: str = "en") -> LetterText:
    """Return the text that comes with the program for family, student or school."""
    return _unnumbered(template_text(reader, language))


def is_shipped(reader: str, language: str) -> bool:
    """Return whether a letter comes with the program in a language."""
    return (SHIPPED / _file(reader, language)).exists()


_SHIPPED_FOR: Final = {
    _file(reader, code): (reader, code) for code in IN for reader in READERS if is_shipped(reader, code)
}
"""Which letter the file of a name is for."""


@cache
def template_text(reader: str, language: str = "en") -> str:
    """Return the shipped text as it stands in its file."""
    return (SHIPPED / _file(reader, language)).read_text(encoding="utf-8")


def letter_problems(folder: Path) -> Iterator[Problem]:
    """Yield what is wrong with the studio's own letters in a folder, which may be missing."""
    for reader, language in _SHIPPED_FOR.values():
        yield from _own_text(folder, reader, language)[1]


def _own_text(folder: Path, reader: str, language: str) -> tuple[LetterText, list[Problem]]:
    """Return the teacher's own text with what is wrong with it, which is then not used."""
    path, wrong, text = folder / _file(reader, language), [], ""
    try:
        wrong = [_unread(one, path.name) for one in sorted(folder.iterdir()) if _is_slip_of(one, path.name)]
        if not path.exists():
            return {}, wrong
        data = path.read_bytes()
        text = data.decode("utf-8-sig") if len(data) <= LARGEST else ""
        told = "nothing stands in it" if not data.strip() else ""
    except FileNotFoundError:
        return {}, wrong
    except (OSError, UnicodeDecodeError):
        told = ""
    if not text.strip():
        told = told or "this cannot be read as text"
        return {}, [*wrong, Problem("own-letter", "error", Place(path, 0, 0), told)]
    faults: dict[tuple[str, str], list[int]] = {}
    for line, *fault in _faults(text, reader):
        faults.setdefault((fault[0], fault[1]), []).append(line)
    for (message, hint), (line, *more) in faults.items():
        also = f", and in {counted(len(more), 'line')} more" if more else ""
        wrong.append(Problem("own-letter", "error", Place(path, line, 1), message + also, hint))
    return ({} if faults else _unnumbered(text)), wrong


def _is_slip_of(path: Path, name: str) -> bool:
    """Return whether a file is called almost as a letter is, so that no letter is made of it."""
    plain = path.name.casefold().replace(".txt", "") + ".txt"
    near = {known for known in _SHIPPED_FOR if plain == known or is_slip(plain, known)}
    return path.suffix.lower() == ".txt" and path.name not in _SHIPPED_FOR and name in near


def _unread(path: Path, name: str) -> Problem:
    told = "no letter is made of a file with this name"
    return Problem("own-letter", "warning", Place(path, 0, 0), told, f"call it {name}")


def _read(text: str) -> Iterator[tuple[int, str, str]]:
    """Yield each line with its number and the name of its paragraph, that of a name as "#"."""
    name = ""
    for number, line in enumerate(text.splitlines(), 1):
        if head := _HEAD.fullmatch(line.strip()):
            name = tidy(head[1]).lower()
            yield number, name, "#"
        elif not line.startswith("#") and (name or line.strip()):
            yield number, name, line.strip()


def _unnumbered(text: str) -> LetterText:
    lines = [(name, line) for _, name, line in _read(text)]
    return {name: [line for of, line in lines if of == name and line != "#"] for name, _ in lines}


def _faults(text: str, reader: str) -> Iterator[tuple[int, str, str]]:
    """Yield each line that cannot stand in a letter, why, and what to do."""
    paragraphs, first = shipped_text(reader), dict[str, int]()
    for number, name, line in _read(text):
        is_head, there_are = line == "#", _there_are(name, paragraphs, "[{}]")
        if not is_head and _is_like_a_head(line, paragraphs):
            how = f"write [{next(iter(paragraphs))}], with nothing else on its line"
            yield number, "this looks like the name of a paragraph, and is none", how
        elif name not in paragraphs and name not in first:
            what = f"there is no paragraph [{name}]" if name else "this line stands before any paragraph"
            yield number, what, there_are
        elif is_head and name in first:
            yield number, f"there is a paragraph [{name}] in line {first[name]} already", "keep one of them"
        if is_head or not name:
            first.setdefault(name, number)
        yield from ((number, *fault) for fault in _name_faults(line, _names(READERS[reader])))


def _name_faults(line: str, names: Iterable[str]) -> Iterator[tuple[str, str]]:
    template = Template(line)
    if not template.is_valid():
        yield "there is no name after this $", "write $$ for a dollar"
        return
    for one in template.get_identifiers():
        if one not in names:
            yield f"there is no ${one}", _there_are(one, names, "${}")


def _is_like_a_head(line: str, paragraphs: Iterable[str]) -> bool:
    bare = tidy(line.strip("[](){}<>:*=\uff3b\uff3d\u3010\u3011 ")).lower()
    is_open = line.startswith("[") or (line.endswith("]") and "[" not in line)
    is_near = bare != line.lower() and any(is_slip(bare, one) for one in paragraphs)
    return is_open or is_near or bare in paragraphs


def _there_are(word: str, known: Iterable[str], form: str) -> str:
    """Return which name was meant, else all that there are."""
    near = nearest(word, known)
    meant = None if near is None else f"did you mean {form.format(near)}?"
    return meant or f"there are: {listed([form.format(one) for one in known])}"


def _filled(lines: Sequence[str], value: Callable[[str], str]) -> Iterator[str]:
    """Yield the lines with their names filled in, without those in which one has nothing to say."""
    for line in lines:
        template = Template(line)
        values = {name: value(name) for name in template.get_identifiers()}
        if all(values.values()):
            yield template.substitute(values)
