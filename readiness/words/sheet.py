"""The words of a check sheet: what to look at, why, what to look for, and what was left out.

For the teacher. Nothing here says how a child compares with anybody, and a sheet under a hold
begins with the hold.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from types import MappingProxyType
from typing import Final

from readiness.advice.sheet import Expected, LeftOut, Sheet, SheetItem
from readiness.course.model import Course
from readiness.judging.answer import Answer, Blocker
from readiness.record.model import Record
from readiness.terms import State, Verdict
from readiness.words.both import resting_section
from readiness.words.cautions import caution
from readiness.words.english import HELP_WORDS
from readiness.words.grammar import capital, counted, date_words, listed, number_words, tidy
from readiness.words.layout import Paragraph, Section, item, lay_out, under
from readiness.words.paused import hold_section
from readiness.words.phrases import Phrases
from readiness.words.placing_round import start_words
from readiness.words.remarked import remark_lines
from readiness.words.why import brought_along_section

__all__ = [
    "BOXES", "CONDUCT", "FIELDS", "FOR_WHOM", "LEFT_OUT", "NOTE", "ONE_GLANCE", "PAUSED", "WHAT",
    "expected_words", "item_title", "left_out_lines", "sheet_sections", "sheet_title", "short_why",
    "start_lines", "tell_sheet", "why_words",
]  # fmt: skip

CONDUCT: Final = (
    'Ask, do not test: "show me". One second try after a misunderstanding is fair; note the help it took.',
    "Keep a calm face, and mark out of sight. Touch only after asking, every time.",
    "Stop when anything hurts, tires or upsets. Half a sheet is fine; the rest was not asked.",
)
"""How a check is held. Common practice, no source."""

_SHORT: Final[Mapping[str, str]] = MappingProxyType({
    "sure-success": "a sure success",
    "always-look": "in every check",
    "blocker": "decides",
    "group": "decides, one of several",
    "one-thing": "the one thing",
    "look-first": "settles most",
    "beneath": "others build on it",
    "rest": "open in this unit",
    "fading": "fresh for a short time yet",
    "between": "easy, in between",
    "favourite": "to end with",
    "patch": "to strengthen",
    "stopped": "stopped the climb",
    "probe": "says much",
    "if-comfortable": "if comfortable",
    "care": "comes first",
})


def tell_sheet(
    sheet: Sheet,
    answer: Answer,
    course: Course,
    record: Record,
    width: int = 80,
    *,
    with_counts: bool = False,
) -> str:
    """Return a check sheet as a text for the teacher.

    Args:
        sheet: the sheet.
        answer: what it was made from.
        course: the course.
        record: the student's record.
        width: the widest line.
        with_counts: whether the counts of the instrument are told even if no item asks.
    """
    return lay_out(sheet_sections(sheet, Phrases(answer, course, record), with_counts=with_counts), width)


def sheet_sections(sheet: Sheet, say: Phrases, *, with_counts: bool = False) -> tuple[Section, ...]:
    """Return a check sheet as titled sections."""
    is_paused = say.answer.verdict == Verdict.PAUSED
    head = (sheet_title(say), _size(sheet, say), *start_lines(sheet, say))
    probes = any(one.why == "probe" for one in sheet.items)
    items = (
        *((Paragraph(_PROBES),) if probes else ()),
        *(line for number, one in enumerate(sheet.items, 1) for line in _noted(say, sheet, one, number)),
    )
    counts = with_counts or any(one.expected for one in sheet.items)
    return (
        Section("", tuple(map(Paragraph, head))),
        hold_section(say.record, say.answer.on),
        resting_section(say),
        Section("The instrument", (item(expected_words(sheet.instrument)),) if counts else ()),
        Section(_order_title(say, sheet), items),
        brought_along_section(say),
        Section("Left out", tuple(map(item, left_out_lines(sheet.left_out, say)))),
        Section("How to ask", () if is_paused else tuple(map(item, _conduct(say)))),
        Section("Cautions", tuple(item(caution(one)) for one in sheet.cautions if one != "C1")),
    )


def sheet_title(say: Phrases) -> str:
    """Return whose sheet it is and for which day."""
    answer = say.answer
    what = "Placing look" if answer.placing is not None else "Check sheet"
    what = "Paused for care" if answer.verdict == Verdict.PAUSED else what
    where = f" - {say.unit(answer.unit)}" if answer.unit else ""
    return f"{what} - {tidy(answer.name)}{where} - {date_words(answer.on)}"


def _size(sheet: Sheet, say: Phrases) -> str:
    if say.answer.verdict == Verdict.PAUSED:
        return "No check, and nothing is played or sung while the hold is open."
    few = counted(len(sheet.items), "item")
    usual = say.course.band[say.answer.band].whole("check_minutes")
    limit = "at this age" if sheet.minutes == usual else "in that time"
    size = f"{few} (at most {sheet.most_items} {limit}), in about {counted(sheet.minutes, 'minute')}."
    nothing_open = all(one.why in ("sure-success", "always-look", "favourite") for one in sheet.items)
    return f"{size} Nothing is open, so it is short." if nothing_open else size


def start_lines(sheet: Sheet, say: Phrases) -> Iterator[str]:
    """Yield where a student who is not placed starts so far; the sheet may change it."""
    if sheet.placing is not None:
        yield start_words(sheet.placing, say.course)


def _order_title(say: Phrases, sheet: Sheet) -> str:
    if say.answer.verdict == Verdict.PAUSED:
        return "Only if it is comfortable, without playing" if sheet.items else ""
    return "In this order, from easy to hard" if say.answer.placing else "In this order"


def _conduct(say: Phrases) -> Iterator[str]:
    if say.answer.placing is not None:
        yield "Leave off a thread of skills after two clear misses in a row in it; go on with another."
    yield from CONDUCT


def _noted(say: Phrases, sheet: Sheet, sheet_item: SheetItem, number: int) -> Iterator[Paragraph]:
    """Yield an item with what was last remarked about its skills."""
    yield from _item(say, sheet_item, number)
    yield from map(under, remark_lines(say, sheet.said, sheet_item.skills))


def _item(say: Phrases, one: SheetItem, number: int) -> Iterator[Paragraph]:
    yield Paragraph(f"{item_title(say, one)}", lead=f"{number:>2}. ")
    if one.why != "probe" or say.standing(one.skills[0]).state != State.UNTRIED:
        yield under(why_words(say, one))
    if len(one.skills) == 1:
        skill = say.course.skill[one.skills[0]]
        yield under(f"Look for: {tidy(skill.shown_when)}")
        if agreed := say.record.alternative(skill.id, say.answer.on):
            who = tidy(agreed.agreed_with)
            yield under(f"Or as agreed with {who}, which counts as much: {tidy(agreed.text)}")
        if skill.age_note and not say.is_adult:
            yield under(f"On age: {tidy(skill.age_note)}")
        yield from map(under, say.advice(skill.id))


def item_title(say: Phrases, one: SheetItem) -> str:
    """Return what an item is called."""
    if not one.skills:
        return "A piece of their own choice" if not say.is_adult else "A piece of your student's choice"
    if len(one.skills) > 1:
        return f"In one glance: {listed([tidy(say.course.skill[skill].name) for skill in one.skills])}"
    return say.titled(one.skills[0])


def short_why(one: SheetItem) -> str:
    """Return in a few words why an item is on the sheet."""
    return _SHORT[one.why]


def why_words(say: Phrases, one: SheetItem) -> str:
    """Return in a sentence why an item is on the sheet."""
    if one.why == "always-look":
        return f"Looked at in every check.{_seat_due(say, one.skills)}"
    if one.why == "favourite":
        return "To end with something that sounds."
    assert one.skills
    return f"{capital(_reason(say, one, one.skills[0]))}."


def _seat_due(say: Phrases, skills: Sequence[str]) -> str:
    """Return which of the always-look items are not settled, where that is not all of them."""
    due = [skill for skill in skills if not say.is_met(skill)]
    if len(due) == len(skills):
        return ""
    return f" Above all this time: {say.names(due)}." if due and say.answer.placing is None else ""


def _reason(say: Phrases, one: SheetItem, skill: str) -> str:
    state = say.state(skill)
    if one.why in ("blocker", "group"):
        needed = next((b.needed_by for b in say.answer.blockers if _is_about(b, skill)), ())
        return f"decides; {state}. {say.stands_on_it(skill, needed)}".rstrip(".")
    if one.why == "fading":
        return f"settled, and seen as fresh only until {_fresh(say, skill)}"
    return _REASONS[one.why].format(state=state)


def _is_about(blocker: Blocker, skill: str) -> bool:
    return blocker.skill == skill or (blocker.group is not None and skill in blocker.group.of)


_REASONS: Final[Mapping[str, str]] = MappingProxyType({
    "one-thing": "the one thing to work on: {state}",
    "look-first": "one look at it settles what decides; {state}",
    "beneath": "what is looked at today builds on it; {state}",
    "rest": "open in this unit, and no reason alone to stay: {state}",
    "sure-success": "a sure success to begin with, kept warm by it",
    "between": "easy, between two harder ones, and kept warm by it",
    "if-comfortable": "if comfortable; {state}",
    "care": "asked after in every lesson, the more so now; a word, a sign or a nod is enough",
    "patch": "to strengthen on the way; {state}",
    "stopped": "this is what stopped the climb; {state}",
    "probe": "{state}",
})


_PROBES: Final = "Each was chosen because it says much about what lies under it."


def _fresh(say: Phrases, skill: str) -> str:
    until = say.standing(skill).fresh_until
    return say.day(until) if until is not None else "an open day"


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


def left_out_lines(left: Sequence[LeftOut], say: Phrases, at_most: int = 6) -> Iterator[str]:
    """Yield what is not on the sheet and why, like reasons together, some names of each."""
    by_why: dict[str, list[LeftOut]] = {}
    for one in left:
        by_why.setdefault(one.why, []).append(one)
    for why, words in _LEFT.items():
        if why == "comes-with":
            yield from _brought(by_why.get(why, ()), say)
        elif why in by_why:
            skills = [one.skill for one in by_why[why]]
            yield f"{words} ({number_words(len(skills))}): {say.names(skills, at_most)}."


def _brought(left: Sequence[LeftOut], say: Phrases) -> Iterator[str]:
    """Yield what another item brings along."""
    for by in dict.fromkeys(one.by for one in left):
        skills = [one.skill for one in left if one.by == by]
        yield f"Kept warm by {say.name(by)}, when that is shown: {say.names(skills)}."


_LEFT: Final[Mapping[str, str]] = MappingProxyType({
    "on-hold": "Waits until the hold is closed",
    "footing": "Waits until what it builds on is there",
    "no-room": "No room this time",
    "comes-with": "",
    "certain": "Certain and fresh",
    "seen": "Seen here already",
    "implied": "Taken as there, because something that stands on it was shown",
    "optional": "Not asked at this age",
    "set-aside": "Set aside by agreement",
})


# The few words that stand on the page of a check sheet alone: heads of columns, fields, for whom it is.

BOXES: Final = (*HELP_WORDS, "not asked")
"""The ways of showing, from least help to most, and a last box for what was left out."""
FIELDS: Final = ("Day", "Seen by", "How it was today")
FOR_WHOM: Final = "For the teacher, and it has a name on it: keep it where no other family sees it."
LEFT_OUT: Final = "Left out."
NOTE: Final = "In your own words"
ONE_GLANCE: Final = "seen in one glance, in every check"
PAUSED: Final = "No check, and nothing is played or sung while the hold is open."
WHAT: Final = "What to look at"
