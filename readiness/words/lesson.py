"""The pages of a lesson: the check sheet, a line an item, and the plan, a line a block.

For the teacher. Nothing here says how a child compares with anybody. Under a pause each page begins with
the pause, and a plan holds no playing and no home task.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import cycle
from typing import Final

from readiness.advice.after_break import pain_noted
from readiness.advice.handover import Pair
from readiness.advice.plan import Later, LessonPlan, PlanBlock
from readiness.advice.sheet import CheckSheet, Expected, SheetItem
from readiness.course.model import Course
from readiness.judging.reasons import skill_cautions
from readiness.terms import Kind, Verdict
from readiness.words.cautions import (
    SHORTEN,
    after_hold,
    ask_first,
    caution,
    closing,
    hold_section,
    not_done,
    without,
)
from readiness.words.english import CODES, HELP_WORDS, STATE_WORDS, WHY_BRIEF, season_words
from readiness.words.grammar import capital, counted, date_words, listed, number_words, tidy
from readiness.words.layout import Heading, Page, Paragraph, bullets, cells, columns, fit, item, noted, plain
from readiness.words.phrases import RESTS, SOFTLY, Phrases
from readiness.words.placing_round import SURER, start_words, what_is_left
from readiness.words.why import ahead_lines, brought_along, brought_along_section

__all__ = [
    "BOXES", "CONDUCT", "FIELDS", "FOR_WHOM", "GLANCE", "PAUSED", "WHAT", "beat_words",
    "expected_words", "first_song", "item_title", "needed_at_a_glance", "not_new", "own_choice",
    "pair_sections", "plan_sections", "sheet_sections", "sheet_title", "why_words",
]  # fmt: skip

BOXES: Final = (*HELP_WORDS, "not asked")
"""The ways of showing, from least help to most, and a last box for what was left out."""
FIELDS: Final = ("Day", "Seen by", "How it was today")
FOR_WHOM: Final = "For the teacher, and it has a name on it: keep it where no other family sees it."
GLANCE: Final = "At a glance, in every check"
PAUSED: Final = "Not a check: the pause comes first."
WHAT: Final = "What to look at"
_QUIETLY: Final = "Only if it is comfortable, without {}, and not as a check"
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
    yield hold_section(p.record, answer.on)
    lately = [*after_hold(p.course, p.record, answer.on)]
    yield plain(*lately, "A check can wait: look in passing, and leave out what tires." if lately else "")
    yield Heading(_QUIETLY.format(without(p.record, answer.on)) if is_paused and sheet.items else "")
    rows = [(f"{number:>2}.", item_title(p, item), why_words(p, item))
            for number, item in enumerate(sheet.items, 1)]  # fmt: skip
    for line, one in zip(columns(rows, 0), sheet.items, strict=True):
        fits = (why for why in (line.text, *_why_short(p, one)) if cells(line.lead + why) <= WIDEST)
        short = next(fits, line.text)
        yield from (replace(line, text=short, brief=True),) if short != line.text else ()
        yield from _item(replace(line, more=short != line.text), one, sheet, p)
    if sheet.items:
        how = ", ".join(f"{code} {words}" for code, words in zip((*CODES, "-"), BOXES, strict=True))
        yield f"On paper? Note it with `readiness enter {p.record.id} {sheet.word} 1a 2c 3-`"
        yield from noted(f"Letters: {how}.")
    ahead, look = [*ahead_lines(p)], answer.look_first
    yield Heading("")
    yield from (f"To look at first: {p.names(look, len(look))}." if ahead else "", *ahead)
    yield from brought_along_section(p).paragraphs
    yield Heading("Left out")
    for why, words in _LEFT.items():
        same = [out for out in sheet.left_out if out.why == why]
        for by in dict.fromkeys(out.by for out in same):
            skills = [out.skill for out in same if out.by == by]
            yield from noted(f"{words.format(by=p.name(by) if by else '')}: {p.inventory(skills)}.")
    apart = "Leave off a thread of skills after two clear misses in a row in it; go on with another."
    yield Heading("How to ask")
    yield from () if is_paused else noted(apart if answer.placing is not None else "", *CONDUCT)
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


def _item(line: Paragraph, item: SheetItem, sheet: CheckSheet, p: Phrases) -> Iterator[Paragraph]:
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
        f"On age: {tidy(one.age_note)}" if one.age_note and not p.is_grown else "",
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
        return f"A piece of {own_choice(p)}{', softly' if p.tender else ''}"
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


def _why_short(p: Phrases, item: SheetItem) -> Iterator[str]:
    """Yield the same in fewer and fewer words, for a row that is long already."""
    if item.why == "always-look":
        yield f"{len(needed_at_a_glance(p, item))} of the {len(item.skills)} still needed"
    elif item.skills:
        state = STATE_WORDS[p.standing(item.skills[0]).state]
        yield from (f"{WHY_BRIEF[item.why]}: {state}", WHY_BRIEF[item.why])


def expected_words(expected: Expected) -> str:
    """Return the right answers for counting groups on an instrument."""
    if expected.keys is None:
        return "The right count depends on the instrument in use: count its groups once yourself."
    if expected.twos is None or expected.threes is None:
        keys = counted(expected.keys, "key is", "keys are")
        return f"{keys} no usual number: count the groups on the instrument once yourself."
    ends = [f"{name} at the {end} end" for name, end in expected.singles]
    single = f", and {counted(len(ends), 'single black key')}: {listed(ends)}" if ends else ""
    groups = f"{counted(expected.twos, 'group')} of two and {counted(expected.threes, 'group')} of three"
    return f"Right on {expected.keys} keys: {groups}{single}."


_LEFT: Final[Mapping[str, str]] = {
    "on-hold": "Waits until the pause is over",
    "footing": "Waits until {by} is there",
    "easy-between": "Left for another day, so that something easy comes between hard things",
    "no-room": "Not enough room this time",
    "comes-with": "Seen with {by}, when that is shown",
    "certain": "Secure and seen lately",
    "seen": "Seen here already",
    "implied": "Taken as there, because something that builds on it was shown",
    "optional": "Not asked at this age",
    "set-aside": "Set aside by agreement",
}
WIDEST: Final = 80
"""So many columns has an item of a sheet where that is enough to tell it on one line."""
PLAN_AT_MOST: Final = 20
"""So many lines has a plan, a line a block."""
ABOVE: Final = "above"
"""Where something unfinished is that is in the lesson."""
ROOM: Final = 71
"""So many columns an activity may take with the name of its skill: a block has a line."""


def plan_sections(plan: LessonPlan, p: Phrases) -> Page:
    """Yield a planned lesson, and the answer it was made from; the sums go first where it is long."""
    return fit(lambda sums: _planned(plan, p, sums), (1, 0), PLAN_AT_MOST)


def _planned(plan: LessonPlan, p: Phrases, sums: int) -> Page:
    on, ahead, is_paused = p.answer.on, p.answer.next_unit, plan.is_paused
    what = "Placing lesson" if p.answer.placing is not None and not is_paused else "Next lesson"
    longest = f"no block over {max((block.minutes for block in plan.blocks), default=0)}"
    size = f"nothing is {not_done(p.record, on)}" if is_paused else longest
    yield f"{what} · {tidy(p.answer.name)} · {p.to_come} · {counted(plan.minutes, 'minute')}, {size}"
    yield from noted(f"Worked out for {date_words(on)}.")
    resting = hold_section(p.record, on)
    if is_paused:
        yield from (resting, Heading(_QUIETLY.format(without(p.record, on))))
    else:
        yield from (f"{resting.title}. {one.text}" for one in resting.paragraphs)
        yield from _special(plan, p)
    yield from _blocks(plan, p)
    review = f"{plan.review} of {plan.review_wanted} minutes of review, with the opening."
    yield plain("" if plan.proved else _UNPROVED, review if p.any_seen and not is_paused else "", more=True)
    yield from _not_this_time(plan, p)
    begun = ahead is not None and any(p.course.skill[skill].unit == ahead for skill in plan.begun)
    beside, minutes = _beside(plan, p), "" if is_paused else _minutes(plan, p)
    above = [] if sums else [skill for skill, where in beside.items() if where == ABOVE]
    waits = ahead and any(left.why == "stay" for left in plan.not_begun)
    yield from noted(brought_along(p, beside, named=beside.keys() - above), "" if sums else minutes)
    what = "" if p.course.uses == "voice" else "the hands "
    yield from closing((
        f"Rest {what}for a breath between blocks." if any(one.pause_before for one in plan.blocks) else "",
        minutes if sums else "",
        f"Nothing of unit {p.next_number} yet." if waits else "",
        _later(plan.later, p) if plan.later else "",
        f"The new things are of unit {p.next_number}, after the move." if begun else "",
        brought_along(p, beside, named=above),
    ), plan.cautions, of_age=p.of_age)  # fmt: skip


def _not_this_time(plan: LessonPlan, p: Phrases) -> Page:
    looked_at = {skill for block in plan.blocks for skill in block.skills}
    waiting = looked_at.union(left.skill for left in plan.not_begun)
    yield Heading("More that could be worked on")
    later = [skill for skill in plan.looks if skill not in looked_at]
    yield from noted(p.listing("To look at in the lesson after", later))
    beyond = (skill for skill in plan.outer_edge if skill not in waiting)
    yield from noted(*(f"{p.with_unit(skill)}: {p.state(skill)}." for skill in beyond))
    yield Heading("Not started this time")
    yield from noted(*(
        f"{p.titled(left.skill)}: first {p.name(left.by)} ({p.state(left.by)})."
        for left in plan.not_begun if left.why == "footing"
    ))  # fmt: skip
    for why, words in _NOT_BEGUN.items():
        yield from noted(p.listing(words, [left.skill for left in plan.not_begun if left.why == why]))


def _beside(plan: LessonPlan, p: Phrases) -> dict[str, str]:
    """Return of what is unfinished from earlier units where it is in the lesson, or why it is not."""
    waits = {"on-hold": "rests during the pause", "no-room": "no minutes left"}
    left = {one.skill: waits.get(one.why) or f"first {p.name(one.by)}" for one in plan.from_before}
    return dict.fromkeys((one.skill for one in p.answer.brought_along), ABOVE) | left


def _special(plan: LessonPlan, p: Phrases) -> Iterator[str]:
    yield from after_hold(p.course, p.record, p.answer.on)
    yield SHORTEN if plan.lately else ""
    yield what_is_left(p.placing, p, SURER)
    yield p.new_age
    yield from not_new(plan, p)
    yield p.start_unseen if plan.is_first else ""
    if season := plan.season:
        which = ("On the day of", "The last lesson before", "Two lessons left before")[season.lessons]
        limits = (
            "" if plan.is_first_back else "look, but teach nothing new",
            "only pieces that are secure" if p.any_secure else "",
        )
        told = "; ".join(filter(None, limits))
        yield f"{which} {season_words(season, p.answer.on)}{told and f': {told}'}."
    yield from (_TOO_MUCH[why] for why in plan.too_much)


def not_new(plan: LessonPlan, p: Phrases) -> Iterator[str]:
    """Yield why the lesson starts nothing new, where no big day and no holidays are the reason."""
    if plan.is_first:
        game = "" if p.is_grown else ", as a game"
        yield f"The first lesson: ask what is there already{game}, before anything is taught."
    if plan.is_first_back and p.answer.placing is None:
        yield "The first lesson back is for looking and making music; nothing new is started."
    yield f"{_NOT_BEGUN['gentle']}." if plan.lately else ""


def _minutes(plan: LessonPlan, p: Phrases) -> str:
    minutes = Counter[str]()
    for block in plan.blocks:
        minutes[block.part if block.part in _PART else "quiet"] += block.minutes
    named = {**_PART, "review": _PART["review"] if p.any_seen else "looking"}
    sums = ", ".join(f"{minutes[part]} {name}" for part, name in named.items() if part in minutes)
    return f"{sums}."


def _later(later: Later, p: Phrases) -> str:
    day = f"no move before {p.day(later.move)}" if later.move else "no move is in sight"
    return f"Left for later: {p.few(later.skills)}, so {day}." if later.skills else f"With this lesson {day}."


# The blocks, minute by minute. What is looked for and what was last said of it is shown on request.


def _blocks(plan: LessonPlan, p: Phrases) -> Iterator[Paragraph]:
    start, told, songs = 0, set[str](), cycle(_SONGS)
    for block in plan.blocks:
        when = f"{start}-{start + block.minutes}"
        song = "" if block.part != "music" or block.skills else next(songs).format(tidy(p.answer.name))
        told_now = _block(block, plan, p, song, is_first=told.isdisjoint(block.skills))
        yield Paragraph(told_now, lead=f"{when:>7}  ", row=(when,))
        said = p.remarks(plan.said, {*block.skills} - told)
        yield from noted(*_about(block, plan, p, told), *said, indent=9)
        told.update(block.skills)
        start += block.minutes


def _why(block: PlanBlock) -> str:
    """Return what a block is for: the one thing is only looked at where nothing is taught."""
    is_look = block.why == "one-thing" and block.is_review and block.remedy is None
    return _WHY["look-first" if is_look else block.why]


def _block(block: PlanBlock, plan: LessonPlan, p: Phrases, song: str, *, is_first: bool) -> str:
    match block.part:
        case "opening":
            if plan.is_paused:
                return "Ask how it is today, and stop at any time. Listen to something together."
            things = f"{number_words(len(block.skills))} things" if len(block.skills) > 1 else "one thing"
            glance = f"A glance at the {things} of every lesson; then {first_song(p)}"
            return glance if block.skills else f"{capital(first_song(p))} to begin with"
        case "music":
            named = f"{p.name(block.skills[0])}, or " if block.skills else ""
            return f"Music{', softly' if p.tender else ''}: {named}{own_choice(p, song)}"
        case "home":
            named = f"{p.name(block.skills[0])}; write it down" if block.skills else ""
            hurts, sure = pain_noted(p.record, p.answer.on), own_choice(p, _NO_TASK[p.any_secure])
            spares = "something that spares what rested" if plan.lately else sure
            none = "nothing to play before you know how it is" if hurts else spares
            always = str(p.numbers.get("adult_beside", "")).startswith("always")
            return f"Home task: {named or f'{none}; write it down'}{' with the adult' if always else ''}"
    if block.part in _UNPLAYED:
        return _UNPLAYED[block.part]
    skill = block.skills[0]
    to_do = f"{_why(block)}{'; probably there' if skill in plan.presumed else ''}"
    if block.remedy is not None and _has_room(block, p):
        look = "look once, without help. " if is_first and skill in plan.look_first else ""
        to_do = f"{look}{p.activity(p.course.skill[skill].remedies[block.remedy])}"
    return f"{p.plain_name(skill)}: {p.gently(to_do, skill)}"


def first_song(p: Phrases) -> str:
    """Return what comes after the glance."""
    return "something quiet" if p.tender or p.record.resting(p.answer.on) else "a song"


def own_choice(p: Phrases, otherwise: str = "") -> str:
    """Return what music is made, which uses nothing that rests in another course."""
    resting = {hold.part for hold in p.record.resting(p.answer.on)}
    own = "their own choice"
    return f"{own} without the {listed(sorted(resting))}" if resting else otherwise or own


def _has_room(block: PlanBlock, p: Phrases) -> bool:
    skill = p.course.skill[block.skills[0]]  # the activity of the one thing always stands in its line
    return block.why == "one-thing" or cells(f"{skill.name}: {skill.remedies[block.remedy or 0]}") <= ROOM


def _about(block: PlanBlock, plan: LessonPlan, p: Phrases, told: Collection[str]) -> Iterator[str]:
    if block.part == "opening" and block.skills and not plan.is_paused:
        yield f"At a glance: {p.inventory(block.skills)}."
    if block.part not in ("review", "new") or not block.skills:
        return
    skill = p.course.skill[block.skills[0]]
    if block.remedy is not None and not _has_room(block, p):
        yield f"To try: {p.activity(skill.remedies[block.remedy])}"
    if skill.id in told:
        return
    until = p.standing(skill.id).fresh_until
    is_near = until is not None and (block.why == "fading" or p.answer.on <= until < (plan.on or 0))
    state = f"{p.state(skill.id)}{f', look again by {p.day(until)}' if is_near else ''}"
    state = f"about {counted(skill.minutes, 'minute')} of teaching in all" if block.begins else state
    why = f"; {_why(block)}" if block.remedy is not None and _has_room(block, p) else ""
    yield f"{capital(state)}{why}. Shown when: {tidy(skill.shown_when)}"


_SONGS: Final = ("a song you both know", "you play and {} joins in")
"""Music where no piece is sure yet, each way in its turn."""
_NO_TASK: Final = ("a song from the lesson", "something that is sure already")
"""A home task without a skill, where nothing is sure yet and where something is."""
_UNPLAYED: Final[Mapping[str, str]] = {
    "listening": "Listening: two short pieces; what is different, which is liked better?",
    "page": "Looking at the page of a piece: find things, follow while it sounds.",
    "words": "Words and signs: a few, on cards or by pointing.",
    "planning": "Planning: what to choose when playing comes back.",
}
_WHY: Final[Mapping[str, str]] = {
    **WHY_BRIEF,
    "one-thing": "the one thing to work on",
    "look-first": "look first, without help",
    "beneath": "look, because others of today build on it",
    "blocker": "look, needed to move on",
    "group": "look, needed with others to move on",
    "waited-for": "look, other things wait for it",
    "rest": "look, unfinished in this unit",
    "begin": "new",
}
_UNPROVED: Final = "So long a lesson leaves too much to compare: a better filling than this one may exist."
_PART: Final[Mapping[str, str]] = {
    "opening": "opening", "review": "review", "new": "new or unfinished", "music": "music",
    "home": "homework", "quiet": "without playing",
}  # fmt: skip
_NOT_BEGUN: Final[Mapping[str, str]] = {
    "probably-there": "Probably there; to look at in passing another time",
    "ask-later": "To ask for in the lessons after",
    "limit": "Enough new things for one lesson at this age",
    "no-room": "No minutes left",
    "gentle": "Nothing new for the part that rested, in the first weeks after a pause",
    "season": "Waits until after the day or the break",
    "away": "Waits for the lessons after the first one back",
    "on-hold": "Waits until the pause in the other course is over",
    "stay": "Ready to start, but part of the next unit",
}
_TOO_MUCH: Final[Mapping[str, str]] = {
    "lesson": "This lesson is longer than is usual at this age.",
    "block": "One block may be longer than playing without a pause usually is at this age.",
    "above-usual": "The home tasks of this week add up to more minutes a day than is usual at this age.",
    "without-pause": "One home task is longer than playing without a pause usually is at this age.",
    "sudden-rise": "The home tasks of this week ask for much more than those of the week before.",
}


# The page for two: what both can do, in what way, and for how long. It says nothing of either one alone and
# compares nobody.


def pair_sections(pair: Pair, names: Sequence[str], day: int, course: Course) -> Page:
    """Yield what two students can do together on a day; ``names``: what both are called."""
    both = listed([tidy(name) for name in sorted(names, key=str.casefold)])
    minutes = f"about {counted(pair.minutes, 'minute')} for one thing"
    yield plain(f"{both} · together · {date_words(day)} · {minutes}")
    softly = f"Soon after a pause. {SOFTLY} The words of the adult who ended the pause come first."
    if pair.paused:
        uses = "" if "all" in pair.rests else f" nothing here uses the {listed(pair.rests)}, and"
        stop = [f"During a pause{uses} nobody plays.", caution("C1", of_age=pair.of_age)]
        is_sung = course.uses == "voice" and pair.rests == ("voice",)
        rests = [words.replace("play", "sing") for words in stop] if is_sung else stop
    else:
        rests = [f"Another course is paused: the {part} rests. {RESTS[part]}" for part in pair.rests]
        rests += [softly] if pair.gentle else []
    rests += [ask_first("ID", of_age=pair.of_age)] if pair.ask_first else []
    yield bullets("What comes first", rests)
    for title, activities in (
        ("To learn together", pair.grow), ("Both know it: for the joy of it", pair.known),
    ):  # fmt: skip
        yield Heading(title)
        for one in activities:
            skill = course.skill[one.skill]
            usual = _ECHO if pair.rests else _IN_TURN.get(skill.kind, _ECHO)
            way = usual if one.remedy is None else tidy(skill.remedies[one.remedy])
            yield item(f"{tidy(skill.name)}: {_LISTEN if pair.paused else way}")
            yield from noted(one.skill, indent=4)
    shown = () if pair.paused else (one.skill for one in (*pair.grow, *pair.known))
    how = "Where a teacher is named, one of the two is the teacher. Then swap: each leads and follows."
    if not pair.grow and not pair.known:
        listen = "Listen to something together, or let each choose a piece for the other to hear."
        how = f"Nothing of rhythm, ear or singing fits both just now. {listen}"
    elif pair.paused:
        how = "Stop at any time."
    yield from closing([how], (*skill_cautions(course, shown), "C14"), of_age=pair.of_age)


_LISTEN: Final = "the teacher makes the sounds; both point to what it was, only if it is comfortable."
_ECHO: Final = "one does it, the other answers with the same or something of their own; swap."
_IN_TURN: Final = {
    Kind.EAR: "one makes the sound, the other shows with eyes shut what it was; swap.",
    Kind.READING: "one points along, the other claps or says it; swap.",
    Kind.KNOWLEDGE: "one asks, the other shows; swap.",
}
