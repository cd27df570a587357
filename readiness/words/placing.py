"""Where a student who comes from another teacher would start, in words.

The same start, and the same words for it, as a placing round (``words.placing_round``).
"""

from __future__ import annotations

from collections.abc import Iterator

from readiness.planning.placing.round import PlacingRound, placing_round
from readiness.words.grammar import VERDICT_WORDS, capital, date_words, tidy
from readiness.words.onward import one_thing_section
from readiness.words.page import Paragraph, Section, item
from readiness.words.phrases import Phrases
from readiness.words.placing_round import open_section, start_sections

__all__ = ["placing_sections"]


def placing_sections(say: Phrases) -> Iterator[Section]:
    """Return the sections for a student who has not begun a unit."""
    answer, placing = say.answer, say.answer.placing
    assert placing is not None
    now = placing_round(say.course, say.record, answer.on)
    yield Section(
        "",
        (
            Paragraph(f"{tidy(answer.name)} - {date_words(answer.on)}"),
            Paragraph(f"{capital(VERDICT_WORDS[answer.verdict])}."),
        ),
    )
    if now.looks:
        yield from start_sections(now, say)
    else:
        yield Section("Start here, for now", tuple(map(Paragraph, _unknown(say, now))))
        yield open_section(say, "To look at right away, in every check", placing.always_look_open)
    yield one_thing_section(say)
    yield Section(f"Next lesson, {say.day(answer.next_lesson)}", tuple(map(item, _next(say, now))))


def _unknown(say: Phrases, now: PlacingRound) -> Iterator[str]:
    yield f"{capital(say.unit(now.start))}."
    is_new = say.answer.last_lesson is None
    why = "No lesson is noted yet" if is_new else "Nothing was asked yet that tells more"
    yield f"{why}, so this is only where everybody starts."


def _next(say: Phrases, now: PlacingRound) -> Iterator[str]:
    if now.result.always_look_open:
        yield "Begin with what is looked at in every check."
    if now.next is not None or now.raises:
        yield f"In few looks, one question at a time: `readiness place {say.answer.student}`"
    elif now.stop != "paused":
        yield f"Enough was asked: begin the unit with `readiness decide {say.answer.student} move`."
