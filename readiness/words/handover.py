"""The one page for whoever takes a lesson over, in words that fit on it.

Safety comes first, blank lines stand where the files know nothing. It never says why
somebody is paused, and under a hold it asks for no playing anywhere.
"""

from __future__ import annotations

from collections.abc import Iterator

from readiness.advice.handover import Handover, LiveSkill, TakeOverBlock
from readiness.record.consents import Sharing
from readiness.record.model import AGAIN
from readiness.words.english import HELP_WORDS
from readiness.words.grammar import capital, counted, date_words, listed, quoted, tidy
from readiness.words.layout import Paragraph, Section, item, lay_out
from readiness.words.paused import after_hold_elsewhere, quiet_work, voice_rests
from readiness.words.phrases import Phrases
from readiness.words.why import brought_along

__all__ = ["handover_sections", "tell_handover"]

BLANK = "________"
NOT_ASKED = (
    "No consent to share with a substitute is noted. Ask the family first; until then give out what "
    "`readiness share` makes for a substitute, without name."
)
NOT_SHARED = "Left out: no consent to share with a substitute is noted."
NAMES_AT_MOST = 4
AGREED_AT_MOST = 2
PROMISES_AT_MOST = 3


def tell_handover(page: Handover, say: Phrases, sharing: Sharing, width: int = 80) -> str:
    """Return the page as a text.

    Args:
        page: what is on it.
        say: the words for the student's answer.
        sharing: what its reader may see.
        width: the widest line.
    """
    return lay_out(handover_sections(page, say, sharing), width)


def handover_sections(page: Handover, say: Phrases, sharing: Sharing) -> tuple[Section, ...]:
    """Return the page as titled sections, safety first."""
    asked = () if sharing.is_given or not sharing.may("name") else (item(NOT_ASKED),)
    return (
        Section("", (Paragraph(_title(page, say, sharing)),)),
        Section("Before you hand it over", asked),
        Section("1 Safety first", tuple(map(item, _safety(page, say)))),
        Section("2 Where the work is", tuple(map(item, _where(page, say, sharing)))),
        Section(_lesson_title(page), tuple(map(item, _lesson(page, say)))),
        Section("4 Promised, and the home task", tuple(map(item, _promised(page, say, sharing)))),
        Section("5 Words and help", tuple(map(item, _helps(page, say, sharing)))),
        Section("6 Consents", tuple(map(item, _consents(page, sharing)))),
        Section("7 After the lesson write", tuple(map(item, _after(page)))),
    )


def _title(page: Handover, say: Phrases, sharing: Sharing) -> str:
    who = tidy(say.answer.name) if sharing.may("name") else "A student (no consent to give the name)"
    return f"For the substitute: {who} - lesson on {date_words(page.on)}"


def _safety(page: Handover, say: Phrases) -> Iterator[str]:
    if page.holds:
        since = say.day(min(hold.opened for hold in page.holds))
        yield f"NO PLAYING: paused for care since {since}. Do not try it out, do not play through it."
        if voice_rests((*page.holds, *page.resting)):
            yield "The voice rests as well: no singing, no humming along."
    yield from after_hold_elsewhere(say.record, say.answer.on)
    for hold in page.resting:
        yield f"Another course is paused for care ({hold.part}): nothing here uses that part."
    own = page.particulars
    yield (
        f"Stop sign or word: {_filled(own.stop)}. At any soreness or tiredness: stop at once, thank, "
        "write it down."
    )
    if not page.holds:
        seat = f"bench {_filled(own.bench)}, footrest {_filled(own.footrest)}"
        yield f"Seat, before anything else: {seat}, distance mark {_filled(own.distance)}"
    may_touch = dict(page.consents)["touch"]
    words = "agreed by the family; ask each time" if may_touch else "no; show on yourself or use an object"
    yield f"Touch: {words}."


def _where(page: Handover, say: Phrases, sharing: Sharing) -> Iterator[str]:
    answer = say.answer
    if not sharing.may("unit"):
        yield NOT_SHARED
        return
    if answer.unit is not None:
        yield f"{capital(say.unit(answer.unit))}."
    elif answer.placing is not None:
        yield "New here, not placed yet; nothing is decided in this lesson."
    yield from (_last_time(one, say) for one in page.live)
    if page.brought_along and sharing.may("live-skills"):
        yield brought_along(say)
    for said in page.said if sharing.may("remarks") else ():
        name = tidy(say.course.skill[said.skill].name)
        how = f"tried again {AGAIN[said.again]}" if said.again else quoted(tidy(said.text))
        yield f"{name}, {say.day(said.on)}: {how}"
    if page.set_aside and sharing.may("set-aside"):
        yield f"Set aside by agreement, not asked for: {say.names(page.set_aside, NAMES_AT_MOST)}."
    if sharing.may("alternatives"):
        yield from _alternatives(page, say)


def _last_time(live_skill: LiveSkill, say: Phrases) -> str:
    name = tidy(say.course.skill[live_skill.skill].name)
    if live_skill.help is not None and live_skill.day is not None:
        return f"{name}: last {HELP_WORDS[live_skill.help]}, {say.day(live_skill.day)}."
    seen = say.standing(live_skill.skill).last_seen
    return f"{name}: {f'last seen {say.day(seen)}' if seen is not None else 'not asked yet'}."


def _alternatives(page: Handover, say: Phrases) -> Iterator[str]:
    """Yield the other ways of showing that count; of skills in this lesson first."""
    asked = {skill for block in page.blocks for skill in block.skills}
    for one in sorted(page.alternatives, key=lambda one: one.skill not in asked)[:AGREED_AT_MOST]:
        who = f"agreed with {tidy(one.agreed_with)}, {say.day(one.on)}"
        yield f"{say.name(one.skill)} is shown in another way ({who}): {tidy(one.text)}"
    more = len(page.alternatives) - AGREED_AT_MOST
    if more > 0:
        yield f"{counted(more, 'more agreed way')} of showing in the file."


def _lesson_title(page: Handover) -> str:
    most = max((block.longest for block in page.blocks), default=0)
    turns = f", no single activity longer than {most}" if not page.holds else ""
    return f"3 Do this lesson: {counted(page.minutes, 'minute')}{turns}"


def _lesson(page: Handover, say: Phrases) -> Iterator[str]:
    for block in page.blocks:
        yield f"{counted(block.minutes, 'minute')}: {_block(page, block, say)}"
    if page.holds:
        yield "Do not start: any playing, a new unit, a new piece, a check."
    else:
        yield "Do not start: a new unit, a new piece, a check."


def _block(page: Handover, block: TakeOverBlock, say: Phrases) -> str:
    names = say.names(block.skills, NAMES_AT_MOST)
    if block.part == "opening":
        return "feet, seat, distance and shoulders in one glance, then a song or a known piece."
    if block.part == "work":
        return f"{names}. A few good turns each." if names else "what the student likes to show."
    if block.part == "music":
        return f"make music: {f'{names}, or ' if names else ''}a known piece or song of their own choice."
    if block.part == "quiet-opening":
        return "ask how it is today; listen to something together. Stop at any time."
    if block.part == "if-comfortable":
        return f"without the instrument, only if comfortable: {names}."
    return f"without the instrument: {listed(quiet_work((*page.holds, *page.resting)))}."


def _promised(page: Handover, say: Phrases, sharing: Sharing) -> Iterator[str]:
    if not sharing.may("promises"):
        yield NOT_SHARED
        return
    for one, is_overdue in page.promises[:PROMISES_AT_MOST]:
        due = "" if one.due is None else f", {'was due' if is_overdue else 'due'} {say.day(one.due)}"
        yield f"To {tidy(one.to)}, {say.day(one.given)}{due}: {tidy(one.text)}"
    more = len(page.promises) - PROMISES_AT_MOST
    if more > 0:
        yield f"{counted(more, 'more promise')} in the file."
    if not page.promises:
        yield "No open promise."
    if page.holds:
        yield "Whatever was promised about playing waits until an adult closes the hold. No home task."
        return
    yield _task(page, say)


def _task(page: Handover, say: Phrases) -> str:
    task = page.task
    if task is None:
        return "No home task of the last weeks is noted."
    reported = f"reported: {counted(task.days_reported, 'day')}" if task.days_reported is not None else ""
    said = f"{reported}{f', {tidy(task.reported)}' if task.reported else ''}" or "no report yet"
    return (
        f"Home task, {say.day(task.given)}: {tidy(task.text)} "
        f"({counted(task.minutes_day, 'minute')} a day, {counted(task.days_planned, 'day')} a week; {said})"
    )


def _helps(page: Handover, say: Phrases, sharing: Sharing) -> Iterator[str]:
    if sharing.may("own-words"):
        own = page.particulars
        yield f"Own words for things: {_filled(own.words)}. What upsets: {_filled(own.upsets)}."
    else:
        yield NOT_SHARED
    for skill, remedy in page.tries:
        yield f"When stuck, {say.name(skill)}: {tidy(remedy)}"


def _consents(page: Handover, sharing: Sharing) -> Iterator[str]:
    words = [f"{key} {'yes' if given else 'no'}" for key, given in page.consents if key != "touch"]
    who = _filled(page.particulars.collects) if sharing.may("collects") else "left out without consent"
    yield f"{capital(listed(words))}. Who collects: {who}."


def _filled(words: str) -> str:
    """Return what is noted, or a line to write on."""
    return tidy(words).rstrip(".") or BLANK


def _after(page: Handover) -> Iterator[str]:
    if not page.holds:
        yield (
            f"What was shown, and how (without help, with a reminder, after being shown, guided by hand, "
            f"not shown; what was not asked says nothing): {BLANK}"
        )
    else:
        yield f"What was done: {BLANK}"
    yield f"Anything sore or tired (tell the family the same day): {BLANK}"
