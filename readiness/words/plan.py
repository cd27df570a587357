"""The page of a planned lesson: a line a block, then what the hands, the calendar and the pacing ask for.

A plan is a suggestion to a teacher. Under a hold it begins with the hold and holds no playing and no
home task.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from itertools import cycle
from typing import Final

from readiness.advice.after_hold import tender_skills
from readiness.advice.lesson_values import LessonBlock, LessonPlan
from readiness.advice.together import Pair
from readiness.course.model import Course
from readiness.judging.remarks import skill_cautions
from readiness.terms import Kind
from readiness.words.cautions import caution, closing
from readiness.words.grammar import capital, counted, date_words, listed, number_words, quoted, tidy, to_come
from readiness.words.layout import Heading, Page, Paragraph, bullets, cells, item, noted, plain
from readiness.words.paused import QUIETLY, SHORTEN, after_hold, hold_section, not_done, resting_section
from readiness.words.phrases import Phrases
from readiness.words.placing_round import SURER, what_is_left
from readiness.words.why import brought_along

__all__ = ["first_song", "own_choice", "pair_sections", "plan_sections"]

ROOM: Final = 71
"""So many columns an activity may take with the name of its skill: a block has a line."""


def plan_sections(plan: LessonPlan, p: Phrases) -> Page:
    """Yield a planned lesson, and the answer it was made from."""
    on, ahead, is_paused = p.answer.on, p.answer.next_unit, plan.is_paused
    unit = f"{capital(p.unit(p.answer.unit))}. " if p.answer.unit else ""
    what = "First lesson" if plan.is_first else "Lesson" if plan.on == on else "Next lesson"
    what = "Placing lesson" if p.answer.placing is not None and not is_paused else what
    longest = f"no block over {max((block.minutes for block in plan.blocks), default=0)}"
    size = f"nothing is {not_done(p.record.open_holds(on))}" if is_paused else longest
    minutes = f"{counted(plan.minutes, 'minute')}, {size}"
    if not is_paused:
        yield resting_section(p)
    yield f"{what} · {tidy(p.answer.name)} · {to_come(plan.on, on)} · {minutes}"
    yield from noted(f"{unit}Worked out for {date_words(on)}.")
    if is_paused:
        yield hold_section(p.record, on)
        yield Heading(QUIETLY)
    else:
        yield from _special(plan, p)
    yield from _blocks(plan, p)
    is_short = plan.review < plan.review_wanted and not (plan.is_first or is_paused)
    sums = f"{plan.review} of {plan.review_wanted} minutes of review, with the opening."
    yield plain(
        "" if plan.proved else _UNPROVED,
        "" if is_paused else sums,
        "Too little is known yet to review more. The rest goes to making music." if is_short else "",
        more=True,
    )
    looked_at = {skill for block in plan.blocks for skill in block.skills}
    later = [skill for skill in plan.looks if skill not in looked_at]
    waiting = looked_at.union(left.skill for left in plan.not_begun)
    yield Heading("More that could be worked on")
    yield from noted(f"To look at in the lesson after: {p.inventory(later)}." if later else "")
    for skill in (skill for skill in plan.outer_edge if skill not in waiting):
        unit = f"unit {p.course.unit[p.course.skill[skill].unit].number}"
        yield from noted(f"{p.titled(skill)}, {unit}: {p.state(skill)}.")
    yield Heading("Not started this time")
    yield from noted(*(
        f"{p.titled(left.skill)}: first {p.name(left.by)} ({p.state(left.by)})."
        for left in plan.not_begun if left.why == "footing"
    ))  # fmt: skip
    for why, words in _NOT_BEGUN.items():
        skills = [left.skill for left in plan.not_begun if left.why == why]
        yield from noted(f"{words}: {p.inventory(skills)}." if skills else "")
    begun = ahead is not None and any(p.course.skill[skill].unit == ahead for skill in plan.begun)
    yield from closing((
        "Rest the hands for a breath between blocks." if any(one.pause_before for one in plan.blocks) else "",
        "" if is_paused else _minutes(plan, p),
        f"The new things are of unit {p.next_number}, after the move." if begun else "",
        brought_along(p, _beside(plan, p)),
    ), plan.cautions, of_age=p.of_age)  # fmt: skip


def _beside(plan: LessonPlan, p: Phrases) -> dict[str, str]:
    """Return of what is unfinished from earlier units where it is in the lesson, or why it is not."""
    waits = {"on-hold": "rests during the pause", "no-room": "no minutes left"}
    left = {one.skill: waits.get(one.why) or f"first {p.name(one.by)}" for one in plan.from_before}
    return dict.fromkeys((one.skill for one in p.answer.brought_along), "above") | left


def _special(plan: LessonPlan, p: Phrases) -> Iterator[str]:
    yield from after_hold(p.course, p.record, p.answer.on)
    yield SHORTEN if plan.lately else ""
    yield what_is_left(p.placing, p, SURER)
    if plan.is_first:
        yield "The first lesson: ask what is there already, as a game, before anything is taught."
        yield p.start_unseen
    if plan.is_first_back and p.answer.placing is None:
        yield "The first lesson after a break is for looking and making music; nothing new is started."
    if season := plan.season:
        name = quoted(season.name) if season.name else "a long break"
        when = f"before {name}, {'on' if season.kind == 'event' else 'from'} {p.day(season.first)}"
        which = (f"This is the day of {name}", f"The last lesson {when}", f"Two lessons left {when}")
        yield f"{which[min(season.lessons, 2)]}: look, but teach nothing new; only pieces that are secure."
    yield from (_TOO_MUCH[why] for why in plan.too_much)


def _minutes(plan: LessonPlan, p: Phrases) -> str:
    minutes: Counter[str] = Counter()
    for block in plan.blocks:
        minutes[block.part if block.part in _PART else "quiet"] += block.minutes
    names = {**_PART, "review": "first looks"} if plan.is_first else _PART
    sums = ", ".join(f"{minutes[part]} {names[part]}" for part in _PART if part in minutes)
    waits = p.next_number and any(left.why == "stay" for left in plan.not_begun)
    return f"{sums}.{f' Nothing of unit {p.next_number} yet.' if waits else ''}"


# The blocks, minute by minute. What is looked for and what was last said of it is shown on request.


def _blocks(plan: LessonPlan, p: Phrases) -> Iterator[Paragraph]:
    start = 0
    told: set[str] = set()
    songs = cycle(_SONGS)
    for block in plan.blocks:
        when = f"{start}-{start + block.minutes}"
        song = "" if block.part != "music" or block.skills else next(songs).format(tidy(p.answer.name))
        yield Paragraph(_block(block, plan, p, song), lead=f"{when:>7}  ", row=(when,))
        more = (*_about(block, plan, p), *p.remarks(plan.said, set(block.skills) - told))
        yield from noted(*more, indent=9)
        told.update(block.skills)
        start += block.minutes


def _block(block: LessonBlock, plan: LessonPlan, p: Phrases, song: str) -> str:
    match block.part:
        case "opening":
            if plan.is_paused:
                return "Ask how it is today, and stop at any time. Listen to something together."
            things = f"{number_words(len(block.skills))} things" if len(block.skills) > 1 else "one thing"
            glance = f"A glance at the {things} of every lesson; then {first_song(p)}"
            return glance if block.skills else f"{capital(first_song(p))} to begin with"
        case "music":
            return f"Music: {f'{p.name(block.skills[0])}, or ' if block.skills else ''}{own_choice(p, song)}"
        case "home":
            named = f"{p.name(block.skills[0])}; write it down" if block.skills else ""
            task = named or _NO_TASK[bool(plan.lately)]
            always = str(p.numbers.get("adult_beside", "")).startswith("always")
            return f"Home task: {task}{' with the adult' if always else ''}"
    if block.part in _UNPLAYED:
        return _UNPLAYED[block.part]
    skill = block.skills[0]
    to_do = "look in passing, probably there" if skill in plan.presumed else _WHY[block.why]
    if block.remedy is not None and _has_room(block, p):
        to_do = p.activity(p.course.skill[skill].remedies[block.remedy])
    is_tender = skill in tender_skills(p.course, p.record, p.answer.on)
    return f"{p.plain_name(skill)}: {f'{_SOFTLY}{capital(to_do)}' if is_tender else to_do}"


def first_song(p: Phrases) -> str:
    """Return what comes after the glance."""
    return "something quiet" if p.record.resting(p.answer.on) else "a song"


def own_choice(p: Phrases, otherwise: str = "") -> str:
    """Return what music is made, which uses nothing that rests in another course."""
    resting = {hold.part for hold in p.record.resting(p.answer.on)}
    own = "their own choice"
    return f"{own}, without the {listed(sorted(resting))}" if resting else otherwise or own


def _has_room(block: LessonBlock, p: Phrases) -> bool:
    """Return whether the activity of a block stands in its line; that of the one thing always does."""
    skill = p.course.skill[block.skills[0]]
    return block.why == "one-thing" or cells(f"{skill.name}: {skill.remedies[block.remedy or 0]}") <= ROOM


def _about(block: LessonBlock, plan: LessonPlan, p: Phrases) -> Iterator[str]:
    if block.part == "opening" and block.skills and not plan.is_paused:
        yield f"At a glance: {p.inventory(block.skills)}."
    if block.part == "home":
        yield "Show it, do it once, write it down."
    if block.part not in ("review", "new") or not block.skills:
        return
    skill = p.course.skill[block.skills[0]]
    if block.remedy is not None and not _has_room(block, p):
        yield f"To try: {p.activity(skill.remedies[block.remedy])}"
    until = p.standing(skill.id).fresh_until
    seen = f", look again by {p.day(until)}" if block.why == "fading" and until is not None else ""
    state = f"{p.state(skill.id)}{seen}"
    if skill.id in plan.presumed:
        state = "not seen here yet, but probably there, because something that builds on it was shown"
    elif block.begins:
        state = f"about {counted(skill.minutes, 'minute')} of teaching in all"
    yield f"{capital(state)}; {_WHY[block.why]}. Shown when: {tidy(skill.shown_when)}"


_SONGS: Final = ("a song you both know", "you play and {} joins in")
"""Music where no piece is sure yet, each way in its turn."""
_NO_TASK: Final = {
    True: "something that spares what rested; write it down",
    False: "something that is sure already; write it down",
}
"""A home task without a skill, after a pause of late and else."""
_SOFTLY: Final = "A turn or two, softly, then rest; leave it at the first sign of soreness. "
_UNPLAYED: Final[Mapping[str, str]] = {
    "listening": "Listening: two short pieces; what is different, which is liked better?",
    "page": "Looking at the page of a piece: find things, follow while it sounds.",
    "words": "Words and signs: a few, on cards or by pointing.",
    "planning": "Planning: what to choose when playing comes back.",
}
_WHY: Final[Mapping[str, str]] = {
    "one-thing": "the one thing to work on",
    "look-first": "look first, once without help",
    "beneath": "look, because others of today build on it",
    "blocker": "look, needed to move on",
    "group": "look, needed with others to move on",
    "from-before": "unfinished from before",
    "waited-for": "look, other things wait for it",
    "rest": "look, unfinished in this unit",
    "in-the-making": "go on with it",
    "begin": "new",
    "fading": "review",
    "keep-warm": "review",
    "in-passing": "look in passing",
    "placing": "see it once",
    "if-comfortable": "if comfortable",
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
    uses = "" if "all" in pair.rests else f" nothing here uses the {listed(pair.rests)}, and"
    rests = [f"During a pause{uses} nobody plays.", caution("C1", of_age=pair.of_age)] if pair.rests else []
    if pair.gentle and not pair.rests:
        rests = [f"Soon after a pause. {_SOFTLY}The words of the adult who ended the pause come first."]
    yield bullets("What comes first", rests)
    for title, activities in (
        ("To learn together", pair.grow), ("Both know it: for the joy of it", pair.known),
    ):  # fmt: skip
        yield Heading(title)
        for one in activities:
            skill = course.skill[one.skill]
            way = _IN_TURN.get(skill.kind, _ECHO) if one.remedy is None else tidy(skill.remedies[one.remedy])
            yield item(f"{tidy(skill.name)}: {_LISTEN if pair.rests else way}")
            yield from noted(one.skill, indent=4)
    shown = () if pair.rests else (one.skill for one in (*pair.grow, *pair.known))
    how = "Where a teacher is named, one of the two is the teacher. Then swap: each leads and follows."
    if not pair.grow and not pair.known:
        listen = "Listen to something together, or let each choose a piece for the other to hear."
        how = f"Nothing of rhythm, ear or singing fits both just now. {listen}"
    elif pair.rests:
        how = "Stop at any time."
    yield from closing([how], (*skill_cautions(course, shown), "C14"), of_age=pair.of_age)
    praise = "Praise what they did together. Notes are for each one's own file: readiness note"
    yield from noted(praise)


_LISTEN: Final = "the teacher makes the sounds; both point to what it was, only if it is comfortable."
_ECHO: Final = "one does it, the other answers with the same or something of their own; swap."
_IN_TURN: Final = {
    Kind.EAR: "one makes the sound, the other shows with eyes shut what it was; swap.",
    Kind.READING: "one points along, the other claps or says it; swap.",
    Kind.KNOWLEDGE: "one asks, the other shows; swap.",
}
