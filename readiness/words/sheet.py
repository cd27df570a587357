"""The page of a check sheet: a line an item; what to look for and what was left out on request.

For the teacher. Nothing here says how a child compares with anybody, and a sheet under a pause
begins with the pause.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from types import MappingProxyType
from typing import Final

from readiness.advice.sheet import CheckSheet, Expected, LeftOut, SheetItem
from readiness.course.model import Course
from readiness.judging.answer import Answer
from readiness.record.model import Record
from readiness.terms import Verdict
from readiness.words.blocking import ahead_lines, brought_along_section
from readiness.words.cautions import closing
from readiness.words.english import HELP_WORDS
from readiness.words.grammar import capital, counted, date_words, listed, tidy
from readiness.words.layout import Paragraph, Section, columns, lay_out, noted
from readiness.words.paused import hold_section, resting_section
from readiness.words.phrases import Phrases
from readiness.words.placing_round import start_words

__all__ = [
    "BOXES", "CODES", "CONDUCT", "FIELDS", "FOR_WHOM", "GLANCE", "PAUSED", "WHAT", "codes_lines",
    "expected_words", "item_title", "sheet_title", "tell_sheet", "why_words",
]  # fmt: skip

BOXES: Final = (*HELP_WORDS, "not asked")
"""The ways of showing, from least help to most, and a last box for what was left out."""
CODES: Final = "acmhn"
"""The letter of each help in the codes of a sheet, in the order of the boxes; - is not asked."""
FIELDS: Final = ("Day", "Seen by", "How it was today")
FOR_WHOM: Final = "For the teacher, and it has a name on it: keep it where no other family sees it."
GLANCE: Final = "At a glance, in every check"
PAUSED: Final = "Not a check: nothing is played or sung during the pause."
WHAT: Final = "What to look at"
CONDUCT: Final = (
    'Ask, do not test: "show me". One second try after a misunderstanding is fair; note the help it took.',
    "Keep a calm face, and mark out of sight. Touch only after asking, every time.",
    "Stop when anything hurts, tires or upsets. Half a sheet is fine; the rest was not asked.",
)
"""How a check is held. Common practice, no source."""


def tell_sheet(
    sheet: CheckSheet,
    answer: Answer,
    course: Course,
    record: Record,
    width: int = 80,
    *,
    with_counts: bool = False,
    full: bool = False,
) -> str:
    """Return a check sheet as a text for the teacher.

    Args:
        sheet: the sheet.
        answer: what it was made from.
        course: the course.
        record: the student's record.
        width: the widest line.
        with_counts: whether the counts of the instrument are told even if no item asks.
        full: whether all is told.
    """
    say = Phrases(answer, course, record)
    return lay_out(sheet_sections(sheet, say, with_counts=with_counts, full=full), width, full=full)


def sheet_sections(
    sheet: CheckSheet, say: Phrases, *, with_counts: bool = False, full: bool = False
) -> Iterator[Section]:
    """Yield a check sheet as titled sections."""
    is_paused = say.answer.verdict == Verdict.PAUSED
    counts = with_counts or any(one.expected for one in sheet.items)
    start = () if sheet.placing is None else (start_words(sheet.placing, say.course),)
    yield Section("", (
        Paragraph(sheet_title(say, sheet) + (f" · {sheet.word}" if sheet.items else "")),
        *((Paragraph(PAUSED, more=True),) if is_paused else ()),
        *map(Paragraph, filter(None, start)),
        *((Paragraph(expected_words(sheet.instrument)),) if counts else ()),
        *noted(*_size(sheet, say)),
    ))  # fmt: skip
    yield hold_section(say.record, say.answer.on)
    yield resting_section(say)
    title = "Only if it is comfortable, without playing" if is_paused and sheet.items else ""
    yield Section(title, tuple(_items(sheet, say)))
    yield Section("", (*map(Paragraph, ahead_lines(say)), *brought_along_section(say).paragraphs))
    yield Section("", noted(*codes_lines(sheet, say)))
    yield Section("Left out", noted(*left_out_lines(sheet.left_out, say)))
    yield Section("How to ask", () if is_paused else noted(*_conduct(say)))
    yield from closing((), sheet.cautions, full=full, of_age=say.of_age)


def sheet_title(say: Phrases, sheet: CheckSheet) -> str:
    """Return whose sheet it is, for which day, and how long it takes."""
    answer = say.answer
    what = "Placing look" if answer.placing is not None else "Check sheet"
    what = "Paused" if answer.verdict == Verdict.PAUSED else what
    where = f" · unit {say.course.unit[answer.unit].number}" if answer.unit else ""
    title = f"{what} · {tidy(answer.name)}{where} · {date_words(answer.on)}"
    if answer.verdict == Verdict.PAUSED:
        return title
    return f"{title} · {counted(len(sheet.items), 'thing')}, {counted(sheet.minutes, 'minute')}"


def _size(sheet: CheckSheet, say: Phrases) -> Iterator[str]:
    if say.answer.unit is not None:
        yield f"{capital(say.unit(say.answer.unit))}."
    if say.answer.verdict == Verdict.PAUSED:
        return
    usual = say.course.band[say.answer.band].whole("check_minutes")
    limit = "at this age" if sheet.minutes == usual else "in that time"
    yield f"At most {counted(sheet.most_items, 'thing')} {limit}."
    if all(one.why in ("sure-success", "always-look", "favourite") for one in sheet.items):
        yield "Nothing is unfinished, so it is short."
    if any(one.why == "probe" for one in sheet.items):
        yield "From easy to hard. Each was chosen because it says much about what it builds on."


def _conduct(say: Phrases) -> Iterator[str]:
    if say.answer.placing is not None:
        yield "Leave off a thread of skills after two clear misses in a row in it; go on with another."
    yield from CONDUCT


def _items(sheet: CheckSheet, say: Phrases) -> Iterator[Paragraph]:
    """Yield a line an item, and under it on request what to look for and what was last said of it."""
    titles = [item_title(say, one) for one in sheet.items]
    numbered = [(f"{number:>2}.", title, why_words(say, one)) for number, (title, one) in
                enumerate(zip(titles, sheet.items, strict=True), 1)]  # fmt: skip
    for line, one in zip(columns(numbered, 0), sheet.items, strict=True):
        yield line
        yield from _agreed(say, one)
        yield from (Paragraph(text, 6) for text in say.remarks(sheet.said, one.skills))
        yield from noted(*look_lines(say, one), indent=6)


def _agreed(say: Phrases, one: SheetItem) -> Iterator[Paragraph]:
    """Yield another way of showing that was agreed on, for it counts as much."""
    agreed = say.record.alternative(one.skills[0], say.answer.on) if len(one.skills) == 1 else None
    if agreed is not None:
        who = tidy(agreed.agreed_with)
        yield Paragraph(f"Or as agreed with {who}, which counts as much: {tidy(agreed.text)}", 6)


def look_lines(say: Phrases, one: SheetItem) -> Iterator[str]:
    """Yield what to look for and what the course says of the age."""
    if len(one.skills) > 1:
        yield f"{say.inventory(one.skills)}."
    if len(one.skills) != 1:
        return
    skill = say.course.skill[one.skills[0]]
    yield f"{skill.id}. Look for: {tidy(skill.shown_when)}"
    needed = next((b.needed_by for b in say.answer.blockers if b.skill == skill.id), ())
    if one.why in ("blocker", "group"):
        yield say.stands_on_it(skill.id, needed)
    if skill.age_note and not say.is_adult:
        yield f"On age: {tidy(skill.age_note)}"
    yield from say.advice(skill.id)


def item_title(say: Phrases, one: SheetItem) -> str:
    """Return what an item is called."""
    if one.why == "always-look":
        return GLANCE
    if not one.skills:
        return "A piece of their own choice" if not say.is_adult else "A piece of your student's choice"
    return tidy(say.course.skill[one.skills[0]].name)


def why_words(say: Phrases, one: SheetItem) -> str:
    """Return in a few words why an item is on the sheet, and where it stands."""
    if one.why == "always-look":
        due = [skill for skill in one.skills if not say.is_met(skill)]
        some = 0 < len(due) < len(one.skills) and say.answer.placing is None
        return f"{len(one.skills)} small things{f', {len(due)} to look at closely' if some else ''}"
    if one.why in ("favourite", "sure-success", "between", "care"):
        return _WHY[one.why]
    skill = one.skills[0]
    if one.why == "fading":
        until = say.standing(skill).fresh_until
        return "review" if until is None else f"review, look again by {say.day(until)}"
    return f"{_WHY[one.why]}{say.state_short(skill)}"


_WHY: Final[Mapping[str, str]] = MappingProxyType({
    "sure-success": "an easy start",
    "between": "easy, and review",
    "favourite": "to finish with",
    "care": "a sign or a nod is enough",
    "blocker": "needed: ",
    "group": "needed with others: ",
    "one-thing": "start here: ",
    "look-first": "look first: ",
    "beneath": "others build on it: ",
    "rest": "unfinished: ",
    "if-comfortable": "",
    "patch": "to strengthen: ",
    "stopped": "not far enough yet: ",
    "probe": "",
})


def expected_words(expected: Expected) -> str:
    """Return the right answers for counting groups on an instrument."""
    if expected.keys is None:
        return "The right count depends on the instrument in use: count its groups once yourself."
    if expected.twos is None or expected.threes is None:
        return f"{expected.keys} keys are no usual number: count the groups on the instrument once yourself."
    ends = [f"{name} at the {end} end" for name, end in expected.singles]
    single = f", and {counted(len(ends), 'single black key')}: {listed(ends)}" if ends else ""
    return (
        f"Right on {expected.keys} keys: {counted(expected.twos, 'group')} of two and "
        f"{counted(expected.threes, 'group')} of three{single}."
    )


def codes_lines(sheet: CheckSheet, say: Phrases) -> tuple[str, ...]:
    """Return how a sheet that was filled in on paper is entered, and what its letters mean."""
    if not sheet.items:
        return ()
    how = ", ".join(f"{code} {words}" for code, words in zip((*CODES, "-"), BOXES, strict=True))
    return f"Filled in on paper: `readiness enter {say.record.id} {sheet.word} 1a 2c 3-`", f"Letters: {how}."


def left_out_lines(left: Sequence[LeftOut], say: Phrases) -> Iterator[str]:
    """Yield what is not on the sheet and why, like reasons together."""
    for why, words in _LEFT.items():
        for by in dict.fromkeys(one.by if why == "comes-with" else "" for one in left if one.why == why):
            skills = [one.skill for one in left if one.why == why and by in ("", one.by)]
            yield f"{words.format(by=say.name(by) if by else '')}: {say.inventory(skills)}."


_LEFT: Final[Mapping[str, str]] = MappingProxyType({
    "on-hold": "Waits until the pause is over",
    "footing": "Waits until what it builds on is there",
    "no-room": "Not enough room this time",
    "comes-with": "Seen with {by}, when that is shown",
    "certain": "Secure and seen lately",
    "seen": "Seen here already",
    "implied": "Taken as there, because something that builds on it was shown",
    "optional": "Not asked at this age",
    "set-aside": "Set aside by agreement",
})
