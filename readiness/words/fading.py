"""What turns stale soon, and what a birthday changes: two looks ahead, in words."""

from __future__ import annotations

from collections.abc import Iterator

from readiness.course.model import Course
from readiness.planning.birthday import Birthday
from readiness.planning.fading import Fading, FadingSkill
from readiness.record.model import Record
from readiness.words.cautions import caution
from readiness.words.grammar import VERDICT_WORDS, counted, date_words, listed, number_words, quoted, tidy
from readiness.words.page import Paragraph, Section, item, lay_out, under
from readiness.words.who_changes import comparison_reasons
from readiness.workbench.compare import decided

__all__ = ["tell_birthday", "tell_fading"]

NAMES_AT_MOST = 12


def tell_fading(found: Fading, course: Course, record: Record, width: int = 80) -> str:
    """Return what turns stale soon and what keeps it fresh."""
    return lay_out(_fading(found, course, record), width)


def _fading(found: Fading, course: Course, record: Record) -> Iterator[Section]:
    until = date_words(found.until, found.on)
    yield Section("", (Paragraph(f"{tidy(record.name)} - what fades - {date_words(found.on)} to {until}"),))
    if not found.skills:
        yield Section("", (Paragraph(f"Nothing that is settled turns due for a look before {until}."),))
        return
    lines: list[Paragraph] = []
    for one in found.skills:
        decides = "; it decides about the next unit" if one.decides else ""
        seen, last = (date_words(day, found.on) for day in (one.last_seen, one.fresh_until))
        lines.append(item(f"{_name(course, one.skill)}: last seen {seen}, fresh until {last}{decides}."))
        lines.append(under(_kept(course, one)))
    yield Section(f"Due for a look soon: {counted(len(found.skills), 'skill')}", tuple(lines))
    if found.paused:
        yield Section(
            "Cautions",
            (item(caution("C1")), item("While the hold is open nothing is to be played for this.")),
        )
    elif found.play:
        things = tuple(item(f"{_name(course, skill)}.") for skill in found.play)
        words = f"The fewest things that keep all of it fresh: {number_words(len(things))}"
        yield Section(words, things)


def _name(course: Course, skill: str) -> str:
    return f"{tidy(course.skill[skill].name)} ({skill})"


def _kept(course: Course, one: FadingSkill) -> str:
    task = " A home task for it is open." if one.task else ""
    if not one.kept_by:
        return f"Nothing else keeps it fresh: one look at it.{task}"
    names = listed([quoted(course.skill[skill].name) for skill in one.kept_by], "or")
    return f"Kept fresh by {names}.{task}"


def tell_birthday(found: Birthday | None, course: Course, record: Record, on: int, width: int = 80) -> str:
    """Return what the next birthday that counts changes."""
    return lay_out(_birthday(found, course, record, on), width)


def _birthday(found: Birthday | None, course: Course, record: Record, on: int) -> Iterator[Section]:
    if found is None:
        chosen = any(choice.on <= on for choice in record.band_choices)
        why = "the band was set by the teacher" if chosen else "no older band begins"
        yield Section("", (Paragraph(f"No birthday of {tidy(record.name)} changes anything: {why}."),))
        return
    day = date_words(found.day)
    yield Section("", (Paragraph(
        f"{tidy(record.name)} turns {found.age} on {day}: band {found.new} in place of band {found.old}."
    ),))  # fmt: skip
    yield Section("The verdict that day, with nothing new noted", tuple(_verdict(found, course)))
    yield Section("Asked for from then on", tuple(item(f"{_name(course, skill)}.") for skill in found.due))
    yield Section(
        "Not asked for any more", tuple(item(f"{_name(course, skill)}.") for skill in found.skipped)
    )
    rows = tuple(item(f"{rule}: {_plain(old)} > {_plain(new)}.") for rule, old, new in found.numbers)
    yield Section("Numbers that change", rows)


def _plain(value: object) -> str:
    return " to ".join(map(str, value)) if isinstance(value, tuple) else tidy(str(value))


def _verdict(found: Birthday, course: Course) -> Iterator[Paragraph]:
    before, after = found.change.before, found.change.after
    was, now = VERDICT_WORDS[before.verdict], VERDICT_WORDS[after.verdict]
    if before.verdict == after.verdict:
        yield item(f"The same by both bands: {now}.")
    else:
        yield item(f"By band {found.old}: {was}; by band {found.new}: {now}.")
    if decided(before) != decided(after):
        yield from (under(f"{words}.") for words in comparison_reasons(found.change, course))
