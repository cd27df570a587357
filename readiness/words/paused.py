"""What is said while a student is paused.

The hold comes before everything: what to do now, what not to do, and who ends it. No
activity, no one thing, no date; no cause is guessed at, and the family's words about the
body stay in the file. What the notes would say otherwise is the last line, for the
teacher alone.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from readiness.advice.after_hold import closed_lately
from readiness.days import age_on
from readiness.record.consents import ADULT_AGE
from readiness.record.model import Hold, Record
from readiness.words.both import resting_section
from readiness.words.cautions import caution
from readiness.words.english import ENGLISH, VERDICT_BRIEF
from readiness.words.grammar import date_words, listed, quoted, tidy
from readiness.words.layout import Paragraph, Section, item
from readiness.words.phrases import Phrases

__all__ = [
    "PARTS", "after_hold", "after_hold_elsewhere", "care_words", "hold_notice", "hold_section",
    "mentions_pain", "pause_first", "pause_question", "paused_sections", "quiet_work", "rest_elsewhere",
    "stop_first",    "voice_rests",
]  # fmt: skip

STILL_TOLD = ("C5", "C7", "C13", "C14")
"""Cautions that stand beside C1; those about playing have no place here."""


TEACHING_SIDE = "On the teaching side, seat, height, breaks and the jump in practice are worth a look."
VOICE_SIDE = "On the teaching side, range, loudness, pauses, water and the jump in practice are worth a look."
VOICE_RESTS = "The voice rests: no singing, no humming along and no whispering in place of speaking."
CLOSING = (
    "Only an adult ends the pause, with a date and a few words. After that, begin with little and rise "
    "slowly."
)


PAIN = re.compile(
    r"\b(ache|aches|aching|hurt|hurts|hurting|numb|ouch|pain|painful|sore|swollen|tingl\w*|hoarse)\b|\bow\b",
    re.IGNORECASE,
)


GENTLY = "Play a small part of what was played before, with pauses, and let it rise over some weeks."


def mentions_pain(words: str) -> bool:
    """Return whether a remark speaks of something that hurts, so that pausing is offered.

    >>> mentions_pain("left wrist sore"), mentions_pain("now slower")
    (True, False)
    """
    return PAIN.search(words) is not None


def after_hold(record: Record, day: int) -> Iterator[str]:
    """Say to the teacher how to begin again, in the words of who closed the hold, for some weeks after."""
    for hold in closed_lately(record, day):
        yield (
            f"A pause ({hold.part}) was ended on {date_words(hold.closed or day)} by {tidy(hold.closed_by)}: "
            f"{quoted(hold.closed_words)}. Keep to that first. {GENTLY} "
            f"If it comes back, stop at once: `readiness pause {record.id}`."
        )


def after_hold_elsewhere(record: Record, day: int) -> Iterator[str]:
    """Say the same to somebody who has the page alone: no part of the body, and nobody's words."""
    closed = max((hold.closed or 0 for hold in closed_lately(record, day)), default=0)
    if closed:
        yield (
            f"Paused until {date_words(closed)}. {GENTLY} If anything hurts, stop at once, "
            "thank for saying so, and tell the family and the teacher the same day."
        )


def hold_notice(record: Record, day: int) -> str:
    """Return in one sentence that a student is paused; empty without an open hold.

    Neither the part of the body nor anybody's words about it: what it stands on may be printed.
    """
    since = min((hold.opened for hold in record.holds if hold.is_open(day)), default=None)
    if since is None:
        return ""
    return (
        f"{tidy(record.name)} has been paused since {date_words(since, day)}: nothing is played or sung "
        "until an adult ends the pause."
    )


def rest_elsewhere(record: Record, day: int) -> str:
    """Return in one sentence that another course of a student is paused; empty where none is."""
    resting = record.resting(day)
    if not resting:
        return ""
    since = date_words(min(hold.opened for hold in resting), day)
    parts = listed(list(dict.fromkeys(hold.part for hold in resting)))
    return (
        f"another course of {tidy(record.name)} has been PAUSED since {since}: nothing here uses the "
        f"{parts} until an adult ends the pause."
    )


def stop_first(record: Record, day: int) -> str:
    """Return what to do first (C1); of somebody who is of age no family is told."""
    return caution("C1", of_age=age_on(record.born, day) >= ADULT_AGE)


def hold_section(record: Record, day: int) -> Section:
    """Return that notice with what to do (C1), to stand above everything else; empty without a hold."""
    notice = hold_notice(record, day)
    return Section("", (Paragraph(f"{notice} {stop_first(record, day)}"),) if notice else ())


def paused_sections(say: Phrases, *, full: bool = False) -> Iterator[Section]:
    """Return the sections for a student with an open pause: safety first, in full, and nothing to play."""
    answer = say.answer
    where = (say.unit(answer.unit),) if answer.unit else ()
    holds = say.record.open_holds(answer.on)
    yield Section("", (
        Paragraph(" · ".join((tidy(answer.name), *where, date_words(answer.on)))),
        Paragraph(f"{ENGLISH.verdict(answer.verdict, None, 0)}. {caution('C1', of_age=say.of_age)}"),
    ))
    here = [hold for hold in say.record.holds if hold.is_open(answer.on)]
    yield Section("", (
        *(Paragraph(_since(say, hold)) for hold in here),
        *map(Paragraph, care_words(holds)),
        Paragraph(CLOSING),
    ))
    yield resting_section(say)
    yield Section(
        f"Next lesson, {say.day(answer.next_lesson)}, if it is comfortable", (Paragraph(_meanwhile(holds)),)
    )
    told = [one for one in answer.cautions if one in STILL_TOLD]
    yield Section("Cautions", tuple(item(caution(one)) for one in told), more=True)
    yield Section("", (
        Paragraph(_underlying(say), more=True),
        Paragraph(f"More: {'' if full else '--full · '}tell {answer.student} family"),
    ))


def care_words(holds: Sequence[Hold]) -> Iterator[str]:
    """Return what to leave alone and what to look at, for the parts that are sore."""
    parts = {hold.part for hold in holds}
    if "voice" in parts:
        yield VOICE_RESTS
        yield VOICE_SIDE
    if parts != {"voice"}:
        yield TEACHING_SIDE


def _since(say: Phrases, hold: Hold) -> str:
    return f"Paused since {say.day(hold.opened)} ({hold.part}, {say.line(hold.line)})."


def _meanwhile(holds: tuple[Hold, ...]) -> str:
    """Return what a lesson may hold: nothing that uses the sore part."""
    return (
        f"Without the instrument and with nothing that uses the sore part: {listed(quiet_work(holds))}."
    )


def voice_rests(holds: Sequence[Hold]) -> bool:
    """Return whether any of the holds asks the voice to rest as well."""
    return any(hold.part in ("voice", "all") for hold in holds)


def quiet_work(holds: Sequence[Hold]) -> tuple[str, ...]:
    """Return what may be done without playing and without the sore part of any of the holds."""
    parts = {hold.part for hold in holds}
    possible = ["listening", "looking at the page", "learning words", "planning"]
    if not parts & {"voice", "all"}:
        possible.insert(1, "rhythm by voice")
    return tuple(possible)


def _underlying(say: Phrases) -> str:
    words = VERDICT_BRIEF[say.answer.underlying]
    return (
        "For the teacher only, and not a reason to hurry: without the pause the notes would say "
        f'"{words}".'
    )


# What a page says on which a pause is noted: stop first, then the words, then whether it is meant.

PARTS = {"hand": "hand and arm", "voice": "the voice", "all": "everything"}
"""What may rest, by the part that a hold names."""


def pause_first(record: Record, day: int) -> tuple[str, ...]:
    """Return what comes before anything is typed, in paragraphs."""
    ask = (
        "What rests? Key 1: hand and arm. Key 2: the voice. Key 3: everything, if you are not sure. Then "
        "type what was said, in the words it was said in."
    )
    first = f"Stop playing now, and thank {tidy(record.name)} for saying so."
    return tuple(filter(None, (first, hold_notice(record, day), stop_first(record, day), ask)))


def pause_question(record: Record, part: str, words: str) -> str:
    """Return the one question before a hold is kept."""
    return (
        f"Pause {tidy(record.name)} ({PARTS[part]}): {quoted(words)}?\n\n"
        "From then on no playing, until an adult ends the pause. It cannot be taken back with Undo."
    )
