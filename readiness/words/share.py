"""What one reader may see, in words, and below it what was left out for that reader.

Every text says who it is for. What nobody agreed to is not in it: a consent that is not
noted is a no.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from types import MappingProxyType
from typing import Final

from readiness.planning.handover import Handover
from readiness.record.seen import latest
from readiness.record.sharing import CONSENT_FOR, Sharing
from readiness.words.cautions import caution
from readiness.words.deciding import decided_words
from readiness.words.grammar import capital, date_words, listed, tidy
from readiness.words.handover import handover_sections
from readiness.words.kept import kept_sections
from readiness.words.letter_school import school_sentences
from readiness.words.page import Paragraph, Section, item, lay_out
from readiness.words.phrases import Phrases

__all__ = ["overview_words", "share_sections", "share_words"]

_PART: Final[Mapping[str, str]] = MappingProxyType({
    "name": "the name",
    "born": "the day of birth",
    "family": "the family",
    "instrument": "the instrument at home",
    "no-playing": 'whether it is "no playing" at present',
    "hold-words": "what was said about the body",
    "unit": "the unit",
    "live-skills": "where each of the skills in work stands",
    "results": "how things were shown and what follows",
    "lesson-notes": "lesson notes",
    "remarks": "the latest remark on each skill",
    "plan": "what to do in the lesson",
    "tasks": "home tasks",
    "promises": "promises",
    "decisions": "what the teacher decided",
    "set-aside": "what was set aside by agreement",
    "consents": "consents",
    "stop-and-seat": "stop sign, bench, footrest and distance",
    "own-words": "own words for things and what upsets",
    "collects": "who collects",
    "alternatives": "what is shown in another way by agreement",
    "told": "who was told what",
    "other-students": "other students, also of the same family",
})
_READER: Final[Mapping[str, str]] = MappingProxyType({
    "family": "the family",
    "substitute": "the substitute",
    "school": "the school",
})


def share_words(sharing: Sharing, say: Phrases, page: Handover, width: int = 80) -> str:
    """Return what a reader may see as a text.

    Args:
        sharing: the reader, and what that one may see.
        say: the words for the student's answer.
        page: the hand-over page, for a substitute.
        width: the widest line.
    """
    return lay_out(share_sections(sharing, say, page), width)


def share_sections(sharing: Sharing, say: Phrases, page: Handover) -> tuple[Section, ...]:
    """Return what a reader may see as titled sections, what was left out last."""
    left_out = Section("Left out for this reader", tuple(map(item, _left_out(sharing))))
    return (*_shared(sharing, say, page), left_out)


def _shared(sharing: Sharing, say: Phrases, page: Handover) -> Iterator[Section]:
    if sharing.reader == "substitute":
        yield from handover_sections(page, say, sharing)
        return
    yield Section("", (Paragraph(f"For {_READER[sharing.reader]}, {date_words(say.answer.on)}"),))
    if not sharing.sees:
        yield Section("", (Paragraph(_nothing(sharing)),))
    elif sharing.reader == "school":
        named = tidy(say.answer.name)
        yield Section("", (Paragraph(" ".join((*school_sentences(say, named), *_decided(say)))),))
    else:
        yield from kept_sections(say.record.entire, say.course, say.answer.on)


def _nothing(sharing: Sharing) -> str:
    if sharing.reader == "family":
        return "This student is an adult and has not agreed to share with a family, so nothing is in here."
    return f"No consent to share with {_READER[sharing.reader]} is noted, so nothing is in here."


def _decided(say: Phrases) -> tuple[str, ...]:
    """Return the teacher's latest decision in this unit, without its reason."""
    answer = say.answer
    last = latest(one for one in say.record.decisions if one.unit == answer.unit and one.on <= answer.on)
    if last is None or answer.verdict == "paused":
        return ()
    return (f"The teacher decided on {say.day(last.on)} {decided_words(last)}.",)


def _left_out(sharing: Sharing) -> Iterator[str]:
    yield f"{capital(_parts(sharing.left_out))}."
    if sharing.is_needed and not sharing.is_given:
        yield f"The consent {sharing.consent} is not noted as yes; what is not noted is a no."
    if sharing.reader == "family" and sharing.sees:
        yield (
            "A family may read all that is kept about their child. Who belongs to it, also after a parting, "
            "is for the family and local law to say."
        )


def overview_words(sharings: Mapping[str, Sharing], say: Phrases, width: int = 80) -> str:
    """Return who may see what about a student, for the teacher."""
    about = f"Who may see what about {tidy(say.answer.name)}, {date_words(say.answer.on)}"
    sections = [Section("", (Paragraph(about),))]
    for reader, sharing in sharings.items():
        sections.append(Section(capital(_READER[reader]), tuple(map(item, _overview(reader, sharing)))))
    others = [f"{key}: {'yes' if given else 'no'}" for key, given in sorted(say.record.consents.items())]
    noted = f"Noted: {listed(others)}. " if others else "Nothing is noted. "
    how = f"`readiness consent {say.record.id}` notes one."
    sections.append(Section("Consents", (Paragraph(f"{noted}Whatever is not noted is a no. {how}"),)))
    if not say.record.consents.get("video"):
        sections.append(Section("", (Paragraph(caution("C7")),)))
    return lay_out(sections, width)


def _overview(reader: str, sharing: Sharing) -> Iterator[str]:
    yield f"Sees {_parts(sharing.sees)}." if sharing.sees else "Sees nothing."
    if sharing.is_needed:
        yield f"Consent {CONSENT_FOR[reader]}: {'yes' if sharing.is_given else 'not noted, so no'}."
    if reader == "family" and sharing.sees:
        yield "Who belongs to the family, also after a parting, is for them and local law to say."
    yield f"Left out: {_parts(sharing.left_out)}."


def _parts(parts: Sequence[str]) -> str:
    return listed([_PART[part] for part in parts])
