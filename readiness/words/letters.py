"""The same decision told to three readers: the student, the family, the school.

All three are drafts for the teacher to edit; nothing is sent. Their texts stand in ``letter_texts`` or
in the studio's own ``letters``; what can be filled in is in ``letter_words`` and the class of each reader. No
letter compares, names another student, guesses at a cause or repeats what a family said about the body.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import groupby
from pathlib import Path
from typing import Final

from readiness.advice.letter import home_thing
from readiness.course.model import Course
from readiness.judging.answer import Answer
from readiness.lazy import dataclass
from readiness.record.consents import may_see
from readiness.record.model import Record
from readiness.terms import Verdict
from readiness.words.cautions import caution
from readiness.words.grammar import date_words, tidy
from readiness.words.layout import Paragraph, Section, item, lay_out
from readiness.words.letter_family import FamilyWords
from readiness.words.letter_file import filled, own_text, shipped_text
from readiness.words.letter_school import SchoolWords
from readiness.words.letter_student import StudentWords
from readiness.words.letter_words import MARK, LetterWords, case_of
from readiness.words.phrases import Phrases

__all__ = ["READERS", "Letter", "called", "letter", "letter_words", "school_sentences", "tell"]

READERS: Final[Mapping[str, type[LetterWords]]] = {
    "student": StudentWords,
    "family": FamilyWords,
    "school": SchoolWords,
}
"""Who a letter may be for, and what it can say."""

_SAFETY: Final = {
    "family": ({"stop_now"}, {"gently"}, {"resting"}),
    "student": ({"stop_now", "what_rests"}, {"gently", "then"}, {"resting"}),
    "school": ({"resting"},),
}
"""What keeps the student safe: of each of these one is said, whatever the text of the letter is."""


@dataclass(frozen=True)
class Letter:
    """A draft.

    Attributes:
        reader: student, family or school.
        title: for whom and about which day; not part of the draft.
        lines: the draft; an empty line begins a new paragraph, the name of a skill without forms of its
            own stands between marks.
        after: what the teacher should know before using it.
    """

    reader: str
    title: str
    lines: tuple[str, ...]
    after: tuple[str, ...]

    @property
    def sentences(self) -> tuple[str, ...]:
        """Return the draft line by line, names that stand apart after theirs."""
        return tuple(part for line in self.lines if line for part in _apart(line))


def called(reader: str) -> str:
    """Return the reader that is meant; a student may be called a child."""
    return "student" if reader == "child" else reader


def tell(
    reader: str, answer: Answer, course: Course, record: Record, width: int = 80, letters: Path | None = None
) -> str:
    """Return a draft for one reader as a text.

    Args:
        reader: student (or child), family or school.
        answer: what was judged.
        course: the course it was judged by.
        record: the student's record.
        width: the widest line.
        letters: the folder of the studio's own letters.
    """
    return letter_words(letter(reader, answer, course, record, letters), width)


def letter(
    reader: str, answer: Answer, course: Course, record: Record, letters: Path | None = None
) -> Letter:
    """Return a draft for one reader as a value; the arguments are those of ``tell``."""
    reader, say = called(reader), Phrases(answer, course, record)
    own, wrong = ({}, ()) if letters is None else own_text(letters, reader, _names(READERS[reader]))
    title = f"For {_for(reader, say)}, about {date_words(answer.on)}: a draft, please edit"
    lines = tuple(_lines(reader, say, _named(reader, say), own))
    return Letter(reader, title, lines, (*wrong, *_after(reader, say)))


def school_sentences(say: Phrases, named: str) -> tuple[str, ...]:
    """Return the shipped letter to the school, line by line; ``named`` is whom it is about."""
    return tuple(_lines("school", say, named, {}))


def _names(words: type[LetterWords]) -> list[str]:
    """Return the names that a letter may use."""
    return [one for one in dir(words) if not one.startswith("_") and callable(getattr(words, one))]


def _lines(reader: str, say: Phrases, named: str, own: Mapping[str, Sequence[str]]) -> Iterator[str]:
    """Yield the filled lines of the paragraph that fits, and what safety asks for beyond them."""
    words, asked = READERS[reader](say, named), set()

    def value(name: str) -> str:
        asked.add(name)
        return str(getattr(words, name)())

    yield from _trimmed(list(filled(_paragraph(reader, say, words, own), value)))
    if reader != "family" or not _is_kept_from_family(say):
        yield from filter(None, [value(min(one)) for one in _SAFETY[reader] if not one & asked])


def _trimmed(lines: list[str]) -> list[str]:
    """Return lines without empty ones at both ends or in a row."""
    return [
        line
        for at, line in enumerate(lines)
        if line or (any(lines[:at]) and any(lines[at:]) and lines[at - 1])
    ]


def _paragraph(
    reader: str, say: Phrases, words: LetterWords, own: Mapping[str, Sequence[str]]
) -> Sequence[str]:
    """Return the lines of the paragraph that fits best: of its own for the day first, the teacher's first."""
    case, shipped = case_of(say), shipped_text(reader)
    tone = words.tone if isinstance(words, StudentWords) else ""
    fits = {"family": (case,), "student": (f"{tone} {case}", tone), "school": (case, "report")}[reader]
    if reader == "family" and _is_kept_from_family(say):
        fits = ("adult",)
    return next(text[name] for name in fits for text in (own, shipped) if name in text)


def _is_kept_from_family(say: Phrases) -> bool:
    return not may_see(say.record, "family", say.answer.on).sees


def _named(reader: str, say: Phrases) -> str:
    may_name = reader != "school" or may_see(say.record, "school", say.answer.on).may("name")
    return tidy(say.answer.name) if may_name else "A student"


def letter_words(draft: Letter, width: int = 80) -> str:
    """Return a draft laid out: the title, the draft, and under it what the teacher should know."""
    return lay_out(
        (
            Section("", (Paragraph(draft.title),)),
            *_laid_out(draft.lines),
            Section("Before you use it", tuple(map(item, draft.after))),
        ),
        width,
    )


def _laid_out(lines: Sequence[str]) -> Iterator[Section]:
    """Yield the paragraphs of a draft; a name that has no forms stands on a line of its own."""
    for is_break, block in groupby(lines, lambda line: not line):
        if not is_break:
            yield Section("", tuple(_paragraphs(block)))


def _paragraphs(lines: Iterable[str]) -> Iterator[Paragraph]:
    text = ""
    for line in lines:
        sentence, *names = _apart(line)
        text = f"{text} {sentence}".strip()
        if names:
            yield Paragraph(text)
            yield from (Paragraph(name, 4) for name in names)
            text = ""
    if text:
        yield Paragraph(text)


def _apart(line: str) -> list[str]:
    """Return a line of a draft, and after it the names that stand in it between marks."""
    parts = line.split(MARK)
    return ["".join(parts[::2]), *parts[1::2]]


def _for(reader: str, say: Phrases) -> str:
    named = tidy(say.answer.name)
    return {"student": named, "family": f"the family of {named}", "school": "the school"}[reader]


def _after(reader: str, say: Phrases) -> Iterator[str]:
    """Yield what the teacher should know before using a draft."""
    if reader == "family" and not _is_kept_from_family(say):
        yield caution("C10")
        home = home_thing(say.course, say.record, say.answer)
        if home is not None and home.is_too_much:
            yield caution("C4")
    if reader == "school" and not may_see(say.record, "school", say.answer.on).may("name"):
        yield (
            "No consent for sharing with the school is noted, so no name stands here. Ask the family first "
            "and show them this draft; until then nothing goes to the school."
        )
    if say.answer.verdict == Verdict.PAUSED:
        yield "Nothing else is urgent during the pause; rest comes first."
