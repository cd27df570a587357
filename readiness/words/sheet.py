"""The page of a check sheet: a line an item; what to look for and what was left out on request.

For the teacher. Nothing here says how a child compares with anybody, and a sheet under a pause
begins with the pause.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Final

from readiness.advice.sheet import CheckSheet, Expected, SheetItem
from readiness.terms import Verdict
from readiness.words.cautions import closing
from readiness.words.english import HELP_WORDS, WHY_BRIEF
from readiness.words.grammar import capital, counted, date_words, listed, tidy
from readiness.words.layout import Heading, Page, Paragraph, Section, columns, noted, plain
from readiness.words.paused import QUIETLY, after_hold, hold_section, resting_section
from readiness.words.phrases import Phrases
from readiness.words.placing_round import SURER, start_words, what_is_left
from readiness.words.why import ahead_lines, brought_along_section

__all__ = [
    "BOXES", "CODES", "CONDUCT", "FIELDS", "FOR_WHOM", "GLANCE", "PAUSED", "WHAT", "beat_words",
    "expected_words", "item_title", "needed_at_a_glance", "sheet_sections", "sheet_title", "why_words",
]  # fmt: skip

BOXES: Final = (*HELP_WORDS, "not asked")
"""The ways of showing, from least help to most, and a last box for what was left out."""
CODES: Final = "acmhn"
"""The letter of each help in the codes of a sheet, in the order of the boxes; - is not asked."""
FIELDS: Final = ("Day", "Seen by", "How it was today")
FOR_WHOM: Final = "For the teacher, and it has a name on it: keep it where no other family sees it."
GLANCE: Final = "At a glance, in every check"
PAUSED: Final = "Not a check: the pause comes first."
WHAT: Final = "What to look at"
CONDUCT: Final = (
    'Ask, do not test: "show me". One second try after a misunderstanding is fair; note the help it took.',
    "Keep a calm face, and mark out of sight. Touch only after asking, every time.",
    "Stop when anything hurts, tires or upsets. Half a sheet is fine; the rest was not asked.",
)
"""How a check is held. Common practice, no source."""


def sheet_sections(sheet: CheckSheet, p: Phrases, *, with_counts: bool = False) -> Page:
    """Yield a check sheet, and the answer it was made from.

    ``with_counts``: the counts of the instrument are told even if no item asks for them.
    """
    answer, is_paused = p.answer, p.answer.verdict == Verdict.PAUSED
    counts = with_counts or any(item.expected for item in sheet.items)
    yield sheet_title(p, sheet) + (f" · {sheet.word}" if sheet.items else "")
    yield from noted(PAUSED if is_paused else "")
    yield p.start_unseen if sheet.placing is None else start_words(sheet.placing, p.course)
    yield what_is_left(sheet.placing, p, SURER) if sheet.placing and sheet.placing.is_over else ""
    yield expected_words(sheet.instrument) if counts else ""
    yield from noted(f"{capital(p.unit(answer.unit))}." if answer.unit else "")
    yield from () if is_paused else noted(*_size(sheet, p))
    yield hold_section(p.record, answer.on)
    lately = [*after_hold(p.course, p.record, answer.on)]
    yield plain(*lately, "A check can wait: look in passing, and leave out what tires." if lately else "")
    yield resting_section(p)
    yield Heading(QUIETLY if is_paused and sheet.items else "")
    rows = [(f"{number:>2}.", item_title(p, item), why_words(p, item))
            for number, item in enumerate(sheet.items, 1)]  # fmt: skip
    for line, item in zip(columns(rows, 0), sheet.items, strict=True):
        yield from _item(line, item, sheet, p)
    if sheet.items:
        how = ", ".join(f"{code} {words}" for code, words in zip((*CODES, "-"), BOXES, strict=True))
        yield f"On paper? Note it with `readiness enter {p.record.id} {sheet.word} 1a 2c 3-`"
        yield from noted(f"Letters: {how}.")
    ahead, look = [*ahead_lines(p)], answer.look_first
    first = f"To look at first: {p.names(look, len(look))}." if ahead else ""
    yield Section("", (*plain(first, *ahead).paragraphs, *brought_along_section(p).paragraphs))
    yield Heading("Left out")
    for why, words in _LEFT.items():
        same = [out for out in sheet.left_out if out.why == why]
        for by in dict.fromkeys(out.by if why == "comes-with" else "" for out in same):
            skills = [out.skill for out in same if by in ("", out.by)]
            yield from noted(f"{words.format(by=p.name(by) if by else '')}: {p.inventory(skills)}.")
    apart = "Leave off a thread of skills after two clear misses in a row in it; go on with another."
    conduct = (apart if answer.placing is not None else "", *CONDUCT)
    yield Heading("How to ask")
    yield from () if is_paused else noted(*conduct)
    yield from closing((), sheet.cautions, of_age=p.of_age)


def sheet_title(p: Phrases, sheet: CheckSheet) -> str:
    """Return whose sheet it is, for which day, and how long it takes."""
    answer = p.answer
    where = f" · unit {p.course.unit[answer.unit].number}" if answer.unit else ""
    title = f"{tidy(answer.name)}{where} · {date_words(answer.on)}"
    if answer.verdict == Verdict.PAUSED:
        return f"Paused · {title}"
    what = "To look at in passing" if sheet.lately else "Check sheet"
    what = "Placing look" if answer.placing is not None else what
    return f"{what} · {title} · {counted(len(sheet.items), 'thing')}, {counted(sheet.minutes, 'minute')}"


def _size(sheet: CheckSheet, p: Phrases) -> Iterator[str]:
    usual = p.course.band[p.answer.band].whole("check_minutes") == sheet.minutes
    yield f"At most {counted(sheet.most_items, 'thing')} {'at this age' if usual else 'in that time'}."
    whys = {item.why for item in sheet.items}
    waits = any(out.why == "footing" for out in sheet.left_out)
    why = "The rest waits until what it builds on was seen" if waits else "Nothing is unfinished"
    yield f"{why}, so it is short." if whys <= {"sure-success", "always-look", "favourite"} else ""
    hard = "From easy to hard. Each was chosen because it says much about what it builds on."
    yield hard if "probe" in whys else ""


def _item(line: Paragraph, item: SheetItem, sheet: CheckSheet, p: Phrases) -> Iterator[Paragraph]:
    """Yield the line of an item, and on request what to look for and what the course says of the age."""
    yield line
    one = p.course.skill[item.skills[0]] if len(item.skills) == 1 else None
    if one is not None and (agreed := p.record.alternative(one.id, p.answer.on)):
        who = tidy(agreed.agreed_with)
        yield Paragraph(f"Or as agreed with {who}, which counts as much: {tidy(agreed.text)}", 6)
    yield from (Paragraph(text, 6) for text in p.remarks(sheet.said, item.skills))
    if one is None:
        yield from noted(f"{p.inventory(item.skills)}." if item.skills else "", indent=6)
        return
    needed = next((b.needed_by for b in p.answer.blockers if b.skill == one.id), ())
    yield from noted(
        f"{one.id}. Look for: {tidy(one.shown_when)}",
        beat_words(p) if one.beats else "",
        p.stands_on_it(one.id, needed) if item.why in ("blocker", "group") else "",
        f"On age: {tidy(one.age_note)}" if one.age_note and not p.is_adult else "",
        *p.advice(one.id),
        indent=6,
    )


def beat_words(p: Phrases) -> str:
    """Return which speed suits the age."""
    slow, fast = p.course.band[p.answer.band].pair("beat_range")
    return f"{slow} to {fast} beats a minute suit this age."


def item_title(p: Phrases, item: SheetItem) -> str:
    """Return what an item is called."""
    if item.why == "always-look":
        return GLANCE
    if not item.skills:
        return "A piece of your student's choice" if p.is_adult else "A piece of their own choice"
    return p.plain_name(item.skills[0])


def needed_at_a_glance(p: Phrases, item: SheetItem) -> tuple[str, ...]:
    """Return what of a glance is not secure, and so needed; none before a unit has begun."""
    return () if p.answer.unit is None else tuple(skill for skill in item.skills if not p.is_met(skill))


def why_words(p: Phrases, item: SheetItem) -> str:
    """Return in a few words why an item is on the sheet, and where it stands."""
    if item.why == "always-look":
        due = needed_at_a_glance(p, item)
        rest = len(item.skills) - len(due)
        told = [f"needed: {p.inventory(due)}"] if due else []
        small = counted(rest, "small thing")
        told += [f"and {small} more" if due else small] if rest else []
        return "; ".join(told)
    if item.why in ("favourite", "sure-success", "between", "care"):
        return WHY_BRIEF[item.why]
    if item.why == "fading":
        until = p.standing(item.skills[0]).fresh_until
        return "review" if until is None else f"review, look again by {p.day(until)}"
    state = p.state_short(item.skills[0])
    return state if item.why in ("if-comfortable", "probe") else f"{WHY_BRIEF[item.why]}: {state}"


def expected_words(expected: Expected) -> str:
    """Return the right answers for counting groups on an instrument."""
    if expected.keys is None:
        return "The right count depends on the instrument in use: count its groups once yourself."
    if expected.twos is None or expected.threes is None:
        return f"{expected.keys} keys are no usual number: count the groups on the instrument once yourself."
    ends = [f"{name} at the {end} end" for name, end in expected.singles]
    single = f", and {counted(len(ends), 'single black key')}: {listed(ends)}" if ends else ""
    groups = f"{counted(expected.twos, 'group')} of two and {counted(expected.threes, 'group')} of three"
    return f"Right on {expected.keys} keys: {groups}{single}."


_LEFT: Final[Mapping[str, str]] = {
    "on-hold": "Waits until the pause is over",
    "footing": "Waits until what it builds on is there",
    "no-room": "Not enough room this time",
    "comes-with": "Seen with {by}, when that is shown",
    "certain": "Secure and seen lately",
    "seen": "Seen here already",
    "implied": "Taken as there, because something that builds on it was shown",
    "optional": "Not asked at this age",
    "set-aside": "Set aside by agreement",
}
