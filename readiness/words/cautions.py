"""The cautions C1 to C14: short sentences a teacher can also say to a family.

Which of them apply is decided in ``judging.reasons`` and by the outputs they belong to;
here are only their words. They are teaching information. None of them diagnoses, names a
cause or prescribes an exercise; where somebody may be hurt they point to a licensed
clinician, and where a law may bind they say "local law" and no more.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Final

from readiness.words.layout import Paragraph, Section, item, noted

__all__ = ["CAUTIONS", "brief_cautions", "caution", "closing"]

CAUTIONS: Final[Mapping[str, str]] = {
    "C1": (
        "Stop playing now. Do not play through pain. Tell the family the same day and "
        "advise seeing a licensed clinician, if possible one who knows musicians. No playing tasks are "
        "given until an adult ends the pause."
    ),
    "C2": (
        "What is said here about posture, hands and touch is general teaching information, not medical "
        "advice."
    ),
    "C3": (
        "Fingertips that fold in are common. Lighten the sound and support the finger; "
        "never force or squeeze. If joints hurt or tire easily, tell the family; a licensed "
        "clinician decides."
    ),
    "C4": (
        "This may be too much or too sudden. The numbers are common practice only; comfort decides. Add a "
        "little at a time, with pauses."
    ),
    "C5": "Look at the seat before anything else: feet, height, distance.",
    "C6": (
        "Touch only after asking, every time, and only where the family has agreed; showing on yourself or "
        "using an object is always another way."
    ),
    "C7": "No consent for video or photos is noted: do not record.",
    "C8": (
        "Before this leaves your hands: who is it for, does that reader need the names, and is everything "
        "left out that they do not need?"
    ),
    "C9": (
        "Keep as little as the lessons need, in words that the student and the family could read. Whoever "
        "it is about may see all of it. "
        "Set a day to delete it; local law decides how long it may be kept."
    ),
    "C10": "This is a draft for you to edit. Compare with nobody, and end with what to do next.",
    "C11": "A number of the pacing was changed here; the default stands beside it.",
    "C12": "Fewer than 5 cases: too few to conclude anything.",
    "C13": (
        "Rest the voice: no pushing and no whispering, and water to drink. If it stays hoarse for two weeks, "
        "see a licensed clinician."
    ),
    "C14": "This is advice to a teacher. It knows only what was noted; the teacher decides.",
}


_OF_AGE: Final[Mapping[str, str]] = {
    "C1": (
        "Stop playing now. Do not play through pain. Advise seeing a licensed clinician, if possible one "
        "who knows musicians. No playing tasks are given until an adult ends the pause."
    ),
    "C3": (
        "Fingertips that fold in are common. Lighten the sound and support the finger; "
        "never force or squeeze. If joints hurt or tire easily, a licensed clinician decides."
    ),
    "C6": (
        "Touch only after asking, every time, and only where the student has agreed; showing on yourself "
        "or using an object is always another way."
    ),
}
"""The cautions that speak of a family, for a student who is of age."""


def caution(id: str, *, of_age: bool = False) -> str:  # noqa: A002 - it is an id
    """Return the words of C1 to C14; of an adult (``of_age``) no family is spoken of."""
    return _OF_AGE.get(id, CAUTIONS[id]) if of_age else CAUTIONS[id]


_BRIEF: Final[Mapping[str, str]] = {
    "C3": "Fingertips that fold in are common: lighten, support, never force.",
    "C4": "Add a little at a time, with pauses; comfort decides.",
    "C5": "Look at the seat first.",
    "C6": "Touch only after asking, where the family agreed.",
    "C7": "No consent for video or photos is noted: do not record.",
    "C11": "A number of the pacing was changed here.",
    "C12": "Fewer than 5 cases: too few to conclude anything.",
    "C13": "Rest the voice: no pushing, no whispering, water to drink.",
    "C14": "Teaching advice, not medical; you decide.",
}
"""The cautions once they have been read in full; the last one holds C2 too."""


def brief_cautions(ids: Iterable[str], *, of_age: bool = False) -> str:
    """Return cautions in a few words each."""
    brief = {**_BRIEF, "C6": "Touch only after asking and with consent."} if of_age else _BRIEF
    return " ".join(brief[one] for one in ids if one in brief)


def closing(texts: Iterable[str], ids: Iterable[str], *, of_age: bool = False) -> Iterator[Section]:
    """Yield what a page ends with, and its cautions: in full, or each in a few words.

    C1 stands above everything else and is not among them.
    """
    told, last = [one for one in ids if one != "C1"], " ".join(filter(None, texts))
    brief = " ".join(filter(None, (last, brief_cautions(told, of_age=of_age), "More: --full")))
    yield Section("", (Paragraph(brief, brief=True), *noted(last)))
    yield Section("Cautions", tuple(item(caution(one, of_age=of_age)) for one in told), more=True)
