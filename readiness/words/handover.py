"""The one page for whoever takes a lesson over, in words that fit on it.

Safety stands in a box on top, blanks stand where the files know nothing. It never says why somebody is
paused, and during a pause it asks for no playing anywhere. What the teacher alone has to do before giving
it away is not on it (``not_asked``), and what its reader may not see is left out without a word.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Final

from readiness.advice.handover import Handover, LiveSkill, TakeOverBlock
from readiness.record.consents import Sharing
from readiness.record.model import AGAIN
from readiness.words.blocking import brought_along
from readiness.words.english import HELP_WORDS
from readiness.words.entries import promise_told, task_told
from readiness.words.grammar import capital, counted, date_words, listed, quoted, tidy, together
from readiness.words.layout import BLANK, Paragraph, Section, columns, item, noted, plain
from readiness.words.paused import GENTLY, SHORTEN, ended_lines, quiet_work, voice_rests
from readiness.words.phrases import Phrases
from readiness.words.wording import seat

__all__ = ["handover_sections", "not_asked"]

NAMES_AT_MOST: Final = 6
AGREED_AT_MOST: Final = 2
PROMISES_AT_MOST: Final = 3


def not_asked(sharing: Sharing, *, of_age: bool) -> str:
    """Return what the teacher has to do before giving the page away; empty where all may be seen."""
    ask = f"Ask {'the student' if of_age else 'the family'} first; until then give out what"
    share = "`readiness share` makes for a substitute, without name"
    told = f"No consent to share with a substitute is noted. {ask} {share}."
    return "" if sharing.is_given or not sharing.may("name") else told


def handover_sections(page: Handover, p: Phrases, sharing: Sharing) -> Iterator[Section]:
    """Yield the page: whose it is, the box, the lesson, where the work is, what helps, what to write."""
    may = sharing.may
    who = tidy(p.answer.name) if may("name") else "A student"
    longest = max((block.longest for block in page.blocks), default=0)
    most = "" if page.holds else f", nothing longer than {longest}"
    yield plain(f"For the substitute · {who} · {date_words(page.on)}")
    yield Section("Safety first", columns(tuple(_safety(page, p, sharing)), 0))
    unit = f"{p.unit(p.answer.unit)} · " if p.answer.unit is not None and may("unit") else ""
    yield Section(f"The lesson · {unit}{counted(page.minutes, 'minute')}{most}", (
        *columns(_blocks(page, p, sharing), 0),
        Paragraph(f"Do not start: {'any playing, ' if page.holds else ''}a new unit, a new piece, a check."),
    ))  # fmt: skip
    yield Section("Where the work is", tuple(_where(page, p, sharing)) if may("unit") else ())
    yield Section("Promised, and the home task", tuple(_promised(page, p)) if may("promises") else ())
    own = page.particulars
    words = [("Own words for things", _filled(own.words)), ("What upsets", _filled(own.upsets))]
    tries: dict[str, list[str]] = {}
    for skill, remedy in page.tries:
        tries.setdefault(skill, []).append(p.activity(remedy).rstrip("."))
    stuck = (Paragraph(f"When stuck, {p.name(one)}: {'. Or: '.join(told)}.") for one, told in tries.items())
    yield Section("Words and help", (*columns(words, 0), *stuck) if may("own-words") else ())
    done = "What was done" if page.holds else f"What was shown, and how ({', '.join(HELP_WORDS)}, not asked)"
    sore = f"Anything sore or tired: tell {'the teacher' if p.of_age else 'the family'} the same day."
    yield Section("After the lesson write", (Paragraph(f"{done}. {sore}"),))


def _safety(page: Handover, p: Phrases, sharing: Sharing) -> Iterator[tuple[str, str]]:
    own = page.particulars
    agreed = dict(page.consents)
    if page.holds:
        since = p.day(min(hold.opened for hold in page.holds))
        yield "Playing", f"NO PLAYING, paused since {since}. Not to try it out, not through pain."
        if voice_rests((*page.holds, *page.resting)):
            yield "Singing", "The voice rests as well: no singing, no humming along."
    if until := max((one.closed or 0 for one in page.lately), default=0):
        ended = ended_lines(p.course, p.record, p.answer.on, who=False)
        ended = ended if sharing.may("pause-ended") else iter([_ASK_WHAT])
        tell = f"tell {'' if p.of_age else 'the family and '}the teacher the same day"
        hurts = f"If anything hurts, stop at once, thank for saying so, and {tell}."
        yield "Gently", " ".join((f"Paused until {p.day(until)}.", *ended, SHORTEN, GENTLY, hurts))
    for hold in page.resting:
        yield "Paused elsewhere", f"Another course is paused ({hold.part}): nothing here uses that part."
    yield "Sore or tired", "Stop at once, thank the student, and write it down."
    video, photo = ("yes" if agreed[key] else "no" for key in ("video", "photo"))
    touch, how = ("yes", "Agreed by {}; ask each time.") if agreed["touch"] else ("no", _NO_TOUCH)
    recorded = "No video or photo" if (video, photo) == ("no", "no") else f"Video {video}, photo {photo}"
    agreed_by = "the student" if p.of_age else "the family"
    yield f"Touch: {touch}", f"{how.format(agreed_by)} {recorded}."
    yield "Stop sign or word", _filled(own.stop)
    if not page.holds:
        places = " · ".join(map(_filled, (own.bench, own.footrest, own.distance)))
        yield f"{capital(seat())}, footrest, distance", places
    if sharing.may("collects"):
        yield "Who collects", _filled(own.collects)


_NO_TOUCH: Final = "Show on yourself or an object."
_ASK_WHAT: Final = "Ask the teacher what the adult said who ended the pause; it comes first."


def _blocks(page: Handover, p: Phrases, sharing: Sharing) -> list[tuple[str, str]]:
    """Return the rows of the lesson; blocks that ask for the same are one."""
    minutes: dict[str, int] = {}
    for block in page.blocks:
        words = _block(page, block, p, sharing)
        minutes[words] = minutes.get(words, 0) + block.minutes
    return [(f"{long} min", words) for words, long in minutes.items()]


def _block(page: Handover, block: TakeOverBlock, p: Phrases, sharing: Sharing) -> str:
    """Return what to do in a block; skills are named to those alone who may know them."""
    asked = block.skills[:NAMES_AT_MOST] if sharing.may("live-skills") else ()
    last = {live.skill: f" ({_last_time(live, p)})" for live in page.live if block.part == "work"}
    alike = together((last.get(skill, ""), p.plain_name(skill)) for skill in asked)
    names = "; ".join(f"{'; '.join(skills)}{how}" for how, skills in alike.items())
    match block.part:
        case "opening":
            return "Feet, seat, distance and shoulders in one glance, then a song or a known piece."
        case "work":
            return f"{names}. A few good turns each." if names else "What the student likes to show."
        case "music":
            return f"Make music: {f'{names}, or ' if names else ''}a known piece or song of their own choice."
        case "quiet-opening":
            return "Ask how it is today; listen to something together. Stop at any time."
    quiet = names if block.part == "if-comfortable" else ""
    quiet = quiet or listed(quiet_work(plays=not page.holds))
    return f"Without the instrument, only if comfortable: {quiet}."


def _where(page: Handover, p: Phrases, sharing: Sharing) -> Iterator[Paragraph]:
    if p.answer.unit is None and p.answer.placing is not None:
        yield item("New here, no starting unit yet; nothing is decided in this lesson.")
    told = {skill for block in page.blocks if block.part == "work" for skill in block.skills[:NAMES_AT_MOST]}
    others = [live for live in page.live if live.skill not in told]
    yield from (item(f"{p.plain_name(live.skill)}: {_last_time(live, p)}.") for live in others)
    if page.brought_along:
        yield item(brought_along(p))
    for said in page.said:
        how = f"tried again {AGAIN[said.again]}" if said.again else quoted(tidy(said.text))
        yield item(f"{p.plain_name(said.skill)}, {p.day(said.on)}: {how}")
    if page.set_aside and sharing.may("set-aside"):
        yield item(f"Set aside by agreement, not asked for: {p.few(page.set_aside)}.")
        yield from noted(f"{p.inventory(page.set_aside)}.")
    if sharing.may("alternatives"):
        asked = {skill for block in page.blocks for skill in block.skills}
        yield from _first_few([
            f"{p.name(way.skill)} is shown in another way (agreed with {tidy(way.agreed_with)}, "
            f"{p.day(way.on)}): {tidy(way.text)}"
            for way in sorted(page.alternatives, key=lambda way: way.skill not in asked)
        ], AGREED_AT_MOST, "agreed way of showing")  # fmt: skip


def _first_few(texts: Sequence[str], most: int, noun: str) -> Iterator[Paragraph]:
    """Yield the first texts of a list, how many more there are, and on request those."""
    yield from map(item, texts[:most])
    if more := texts[most:]:
        yield item(f"{counted(len(more), f'more {noun}', f'more {noun}s')}.")
        yield from noted(*more)


def _last_time(live: LiveSkill, p: Phrases) -> str:
    if live.help is not None and live.day is not None:
        return f"last {HELP_WORDS[live.help]}, {p.day(live.day)}"
    seen = p.standing(live.skill).last_seen
    return f"last seen {p.day(seen)}" if seen is not None else "not asked yet"


def _promised(page: Handover, p: Phrases) -> Iterator[Paragraph]:
    promises = [capital(promise_told(promise, p.answer.on)) for promise, _ in page.promises]
    yield from _first_few(promises, PROMISES_AT_MOST, "promise")
    if page.holds:
        yield item("Whatever was promised about playing waits until an adult ends the pause. No home task.")
    elif page.task is not None:
        yield item(f"Home task, {p.day(page.task.given)}: {task_told(page.task)}")
    elif not promises:
        yield item("Nothing is promised, and no home task of the last weeks is noted.")


def _filled(words: str) -> str:
    """Return what is noted, or a blank to fill in."""
    return tidy(words).rstrip(".") or BLANK
