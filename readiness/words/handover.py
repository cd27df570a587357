"""The one page for whoever takes a lesson over, in words that fit on it.

Safety stands in a box on top, blank lines stand where the files know nothing. It never says why
somebody is paused, and during a pause it asks for no playing anywhere. What the teacher alone has to do
before giving it away is not on it (``not_asked``).
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from readiness.advice.handover import Handover, LiveSkill, TakeOverBlock
from readiness.record.consents import Sharing
from readiness.record.model import AGAIN
from readiness.words.blocking import brought_along
from readiness.words.english import HELP_WORDS
from readiness.words.grammar import capital, counted, date_words, listed, quoted, tidy
from readiness.words.layout import Paragraph, Section, columns, item, lay_out, noted
from readiness.words.paused import after_hold_elsewhere, quiet_work, voice_rests
from readiness.words.phrases import Phrases
from readiness.words.wording import seat

__all__ = ["handover_sections", "not_asked", "tell_handover"]

BLANK: Final = "________"
NOT_SHARED: Final = "Left out: no consent to share with a substitute is noted."
NAMES_AT_MOST: Final = 6
AGREED_AT_MOST: Final = 2
PROMISES_AT_MOST: Final = 3


def not_asked(sharing: Sharing) -> str:
    """Return what the teacher has to do before giving the page away; empty where all may be seen."""
    if sharing.is_given or not sharing.may("name"):
        return ""
    return (
        "No consent to share with a substitute is noted. Ask the family first; until then give out what "
        "`readiness share` makes for a substitute, without name."
    )


def tell_handover(
    page: Handover, say: Phrases, sharing: Sharing, width: int = 80, *, full: bool = False
) -> str:
    """Return the page as a text.

    Args:
        page: what is on it.
        say: the words for the student's answer.
        sharing: what its reader may see.
        width: the widest line.
        full: whether all is told.
    """
    return lay_out(handover_sections(page, say, sharing), width, full=full)


def handover_sections(page: Handover, say: Phrases, sharing: Sharing) -> tuple[Section, ...]:
    """Return the page as titled sections: the title, what stands in the box, the rest, room to write."""
    who = tidy(say.answer.name) if sharing.may("name") else "A student (no consent to give the name)"
    return (
        Section("", (Paragraph(f"For the substitute · {who} · {date_words(page.on)}"),)),
        Section("Safety first", tuple(map(item, _safety(page, say)))),
        Section(_lesson_title(page), tuple(_lesson(page, say, sharing))),
        Section("Where the work is", tuple(_where(page, say, sharing))),
        Section("Promised, and the home task", tuple(_promised(page, say, sharing))),
        Section("Words and help", tuple(map(item, _helps(page, say, sharing)))),
        Section("Consents", tuple(map(item, _consents(page, sharing)))),
        Section("After the lesson write", tuple(map(item, _after(page)))),
    )


# The box: whether there is playing, touch, the stop sign, the seat.


def _safety(page: Handover, say: Phrases) -> Iterator[str]:
    if page.holds:
        since = say.day(min(hold.opened for hold in page.holds))
        yield f"NO PLAYING, paused since {since}. Not to try it out, not through pain."
        if voice_rests((*page.holds, *page.resting)):
            yield "The voice rests as well: no singing, no humming along."
    yield from after_hold_elsewhere(say.record, say.answer.on)
    for hold in page.resting:
        yield f"Another course is paused ({hold.part}): nothing here uses that part."
    may_touch = dict(page.consents)["touch"]
    touch = "agreed by the family; ask each time" if may_touch else "no; show on yourself or use an object"
    yield f"Touch: {touch}."
    own = page.particulars
    yield f"Stop sign or word: {_filled(own.stop)}."
    yield "At any soreness or tiredness: stop at once, thank, write it down."
    if not page.holds:
        place = f"{capital(seat())} {_filled(own.bench)}, footrest {_filled(own.footrest)}"
        yield f"{place}, distance mark {_filled(own.distance)}."


def _lesson_title(page: Handover) -> str:
    most = max((block.longest for block in page.blocks), default=0)
    longest = "" if page.holds else f", nothing longer than {most}"
    return f"The lesson: {counted(page.minutes, 'minute')}{longest}"


def _lesson(page: Handover, say: Phrases, sharing: Sharing) -> Iterator[Paragraph]:
    may = sharing.may("live-skills")
    rows = [(f"{block.minutes} min", _block(page, block, say, may=may)) for block in page.blocks]
    yield from columns(rows, 0)
    playing = "any playing, " if page.holds else ""
    yield Paragraph(f"Do not start: {playing}a new unit, a new piece, a check.")


def _block(page: Handover, block: TakeOverBlock, say: Phrases, *, may: bool) -> str:
    """Return what to do in a block; skills are named to those alone who may know them."""
    names = say.inventory(block.skills[:NAMES_AT_MOST]) if may else ""
    if block.part == "opening":
        return "Feet, seat, distance and shoulders in one glance, then a song or a known piece."
    if block.part == "work":
        return f"{names}. A few good turns each." if names else "What the student likes to show."
    if block.part == "music":
        return f"Make music: {f'{names}, or ' if names else ''}a known piece or song of their own choice."
    if block.part == "quiet-opening":
        return "Ask how it is today; listen to something together. Stop at any time."
    quiet = listed(quiet_work((*page.holds, *page.resting)))
    if block.part == "if-comfortable" and names:
        return f"Without the instrument, only if comfortable: {names}."
    return f"Without the instrument, only if comfortable: {quiet}."


def _where(page: Handover, say: Phrases, sharing: Sharing) -> Iterator[Paragraph]:
    answer = say.answer
    if not sharing.may("unit"):
        yield item(NOT_SHARED)
        return
    if answer.unit is not None:
        yield item(f"{capital(say.unit(answer.unit))}.")
    elif answer.placing is not None:
        yield item("New here, no starting unit yet; nothing is decided in this lesson.")
    yield from (item(_last_time(one, say)) for one in page.live)
    if page.brought_along and sharing.may("live-skills"):
        yield item(brought_along(say))
    for said in page.said if sharing.may("remarks") else ():
        name = tidy(say.course.skill[said.skill].name)
        how = f"tried again {AGAIN[said.again]}" if said.again else quoted(tidy(said.text))
        yield item(f"{name}, {say.day(said.on)}: {how}")
    if page.set_aside and sharing.may("set-aside"):
        yield item(f"Set aside by agreement, not asked for: {say.few(page.set_aside)}.")
        yield from noted(f"{say.inventory(page.set_aside)}.")
    if sharing.may("alternatives"):
        yield from _rest_on_request(tuple(_alternatives(page, say)), AGREED_AT_MOST, "agreed way of showing")


def _rest_on_request(texts: tuple[str, ...], most: int, noun: str) -> Iterator[Paragraph]:
    """Yield the first texts of a list, how many more there are, and on request those."""
    yield from map(item, texts[:most])
    if more := texts[most:]:
        yield item(f"{counted(len(more), f'more {noun}', f'more {noun}s')}.")
        yield from noted(*more)


def _last_time(live_skill: LiveSkill, say: Phrases) -> str:
    name = tidy(say.course.skill[live_skill.skill].name)
    if live_skill.help is not None and live_skill.day is not None:
        return f"{name}: last {HELP_WORDS[live_skill.help]}, {say.day(live_skill.day)}."
    seen = say.standing(live_skill.skill).last_seen
    return f"{name}: {f'last seen {say.day(seen)}' if seen is not None else 'not asked yet'}."


def _alternatives(page: Handover, say: Phrases) -> Iterator[str]:
    """Yield the other ways of showing that count; of skills in this lesson first."""
    asked = {skill for block in page.blocks for skill in block.skills}
    for one in sorted(page.alternatives, key=lambda one: one.skill not in asked):
        who = f"agreed with {tidy(one.agreed_with)}, {say.day(one.on)}"
        yield f"{say.name(one.skill)} is shown in another way ({who}): {tidy(one.text)}"


def _promised(page: Handover, say: Phrases, sharing: Sharing) -> Iterator[Paragraph]:
    if not sharing.may("promises"):
        yield item(NOT_SHARED)
        return
    promises = []
    for one, is_overdue in page.promises:
        due = "" if one.due is None else f", {'was due' if is_overdue else 'due'} {say.day(one.due)}"
        promises.append(f"To {tidy(one.to)}, {say.day(one.given)}{due}: {tidy(one.text)}")
    yield from _rest_on_request(tuple(promises), PROMISES_AT_MOST, "promise")
    if not promises:
        yield item("Nothing is promised.")
    if page.holds:
        yield item("Whatever was promised about playing waits until an adult ends the pause. No home task.")
    else:
        yield item(_task(page, say))


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
    for skill, remedy in page.tries if sharing.may("live-skills") else ():
        yield f"When stuck, {say.name(skill)}: {say.activity(remedy)}"


def _consents(page: Handover, sharing: Sharing) -> Iterator[str]:
    words = [f"{key} {'yes' if given else 'no'}" for key, given in page.consents if key != "touch"]
    who = _filled(page.particulars.collects) if sharing.may("collects") else "left out without consent"
    yield f"{capital(listed(words))}. Who collects: {who}."


def _filled(words: str) -> str:
    """Return what is noted, or a line to write on."""
    return tidy(words).rstrip(".") or BLANK


def _after(page: Handover) -> Iterator[str]:
    if page.holds:
        yield f"What was done: {BLANK}"
    else:
        yield f"What was shown, and how ({', '.join(HELP_WORDS)}, or not asked): {BLANK}"
    yield f"Anything sore or tired (tell the family the same day): {BLANK}"
