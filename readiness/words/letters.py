"""The same decision told to three readers: the child, the family, the school.

All three are drafts for the teacher to edit; nothing is sent. Each is a tuple of sentences
made from the same answer. To the child: one or two short ones, what to do, no verdict word.
To the family: what was seen, what decides, one thing at home, when we look again. To the
school: facts, rule, basis, dates. No letter compares, names another student, guesses at a
cause or repeats what a family said about the body.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from readiness.advice.letter import home_thing
from readiness.course.model import Course
from readiness.judging.answer import Answer
from readiness.record.consents import ADULT_AGE, may_see
from readiness.record.model import Record
from readiness.terms import Verdict
from readiness.words.cautions import caution
from readiness.words.grammar import date_words, listed, tidy
from readiness.words.layout import Paragraph, Section, item, lay_out
from readiness.words.letter_family import family_sentences
from readiness.words.letter_school import school_sentences
from readiness.words.letter_student import adult_sentences, child_sentences
from readiness.words.phrases import Phrases

__all__ = ["READERS", "Letter", "letter", "letter_words", "tell"]

GROWN_TONE_AGE: Final = 13
"""From here on the tone for children is dropped."""


@dataclass(frozen=True, slots=True)
class Letter:
    """A draft.

    Attributes:
        reader: child, family or school.
        title: for whom and about which day; not part of the draft.
        sentences: the draft; a sentence may quote an activity with full stops of its own.
        after: what the teacher should know before using it.
    """

    reader: str
    title: str
    sentences: tuple[str, ...]
    after: tuple[str, ...]


def tell(reader: str, answer: Answer, course: Course, record: Record, width: int = 80) -> str:
    """Return a draft for one reader as a text.

    Args:
        reader: child, family or school.
        answer: what was judged.
        course: the course it was judged by.
        record: the student's record.
        width: the widest line.
    """
    return letter_words(letter(reader, answer, course, record), width)


def letter(reader: str, answer: Answer, course: Course, record: Record) -> Letter:
    """Return a draft for one reader as a value."""
    say = Phrases(answer, course, record)
    title = f"For {_for(reader, say)}, about {date_words(answer.on)}: a draft, please edit"
    sentences = (*READERS[reader](say), *_resting(reader, say))
    return Letter(reader, title, sentences, _after(reader, say))


def _resting(reader: str, say: Phrases) -> Iterator[str]:
    """Yield that a part of the body rests for another course, where this one goes on; the school is told."""
    resting = say.record.resting(say.answer.on)
    if not resting or say.answer.verdict == Verdict.PAUSED:
        return
    if reader == "family" and say.answer.age >= ADULT_AGE:
        return
    parts = listed(list(dict.fromkeys(hold.part for hold in resting)))
    since = say.day(min(hold.opened for hold in resting))
    if reader == "child" and say.answer.age < GROWN_TONE_AGE:
        yield f"Your {parts} can rest, and we use other things until a grown-up says that it is good again."
    elif reader != "school":
        whose = "your" if reader == "child" else "the"
        yield (
            f"Another course is paused for care since {since}, so nothing here or at home uses {whose} "
            f"{parts} until an adult closes the hold."
        )


def letter_words(draft: Letter, width: int = 80) -> str:
    """Return a draft laid out: the title, the draft, and under it what the teacher should know."""
    return lay_out(
        (
            Section("", (Paragraph(draft.title),)),
            Section("", (Paragraph(" ".join(draft.sentences)),)),
            Section("Before you use it", tuple(map(item, draft.after))),
        ),
        width,
    )


def _for(reader: str, say: Phrases) -> str:
    named = tidy(say.answer.name)
    return {"child": named, "family": f"the family of {named}", "school": "the school"}[reader]


def _to_student(say: Phrases) -> tuple[str, ...]:
    return adult_sentences(say) if say.answer.age >= GROWN_TONE_AGE else child_sentences(say)


def _to_family(say: Phrases) -> tuple[str, ...]:
    named = tidy(say.answer.name)
    if say.answer.age < ADULT_AGE:
        return family_sentences(say, named)
    return (
        f"{named} is an adult.",
        f"Nothing about the lessons goes to anybody else without the word of {named}.",
    )


def _to_school(say: Phrases) -> tuple[str, ...]:
    may_name = may_see(say.record, "school", say.answer.on).may("name")
    return school_sentences(say, tidy(say.answer.name) if may_name else "A student")


READERS: Final[Mapping[str, Callable[[Phrases], tuple[str, ...]]]] = {
    "child": _to_student,
    "family": _to_family,
    "school": _to_school,
}
"""Who a letter may be for."""


def _after(reader: str, say: Phrases) -> tuple[str, ...]:
    """Return what the teacher should know before using a draft."""
    found = []
    if reader == "family" and say.answer.age < ADULT_AGE:
        found.append(caution("C10"))
        home = home_thing(say.course, say.record, say.answer)
        if home is not None and home.is_too_much:
            found.append(caution("C4"))
    if reader == "school" and not may_see(say.record, "school", say.answer.on).may("name"):
        found.append(
            "No consent for sharing with the school is noted, so no name stands here. Ask the family first "
            "and show them this draft; until then nothing goes to the school."
        )
    if say.answer.verdict == Verdict.PAUSED:
        found.append("While the hold is open nothing else is urgent; rest comes first.")
    return tuple(found)
