"""A school's calendar (iCalendar, RFC 5545): its holidays and lesson days, put into ``studio.toml``.

Read through ``icalendar`` and ``recurring-ical-events`` (the extra ``calendar``), which know recurrences,
exceptions and time zones; here they become days. What an event is taken for is shown before anything is
written and can be said otherwise. Only lines are added to ``studio.toml``: all other bytes stay.
"""

from __future__ import annotations

import re
from codecs import BOM_UTF8
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta, tzinfo
from pathlib import Path
from typing import Any, Final
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

import tomli

from readiness.lazy import dataclass
from readiness.record.append import block, quoted
from readiness.record.marks import line_end
from readiness.studio.find import Settings, settings_of
from readiness.studio.schema import StudioFile
from readiness.toml.locate import locate, offset
from readiness.toml.statements import words
from readiness.toml.texts import unseen
from readiness.toml.write import Refusal
from readiness.toml.write import replace as write_anew

__all__ = [
    "EVENT", "HOLIDAY", "KINDS", "LEAVE", "LESSON", "SchoolEvent", "add_to_studio", "new_in",
    "read_calendar",
]  # fmt: skip

HOLIDAY: Final = "holiday"
LESSON: Final = "lesson"
EVENT: Final = "event"
LEAVE: Final = "leave"
KINDS: Final = (HOLIDAY, LESSON, EVENT, LEAVE)
"""What an event of a school can be taken for; the last is left out."""

_MOST_BYTES: Final = 5_000_000
_MOST_TIMES: Final = 10_000
_NO_LESSON: Final = frozenset({"holiday", "holidays", "vacation", "closed", "closure", "break", "recess"})
_NONE: Final = re.compile(r"\b(?:no|without) lessons?\b|\blessons? cancelled\b")
_IN_A_LINE: Final = 6
_LONGEST: Final = 200


@dataclass(frozen=True)
class SchoolEvent:
    """All events of one name that are taken for the same.

    Attributes:
        name: as the calendar calls it; kind: one of KINDS.
        who: of lessons, whose: a student's id, or ``all``.
        days: first and last day of each, in order.
        dropped: how many lesson days were left out, since they lie in holidays of the same calendar.
    """

    name: str
    kind: str
    who: str
    days: tuple[tuple[int, int], ...]
    dropped: int = 0


def read_calendar(
    path: Path, span: tuple[int, int], zone: str, said: Mapping[str, str], students: Mapping[str, str]
) -> tuple[SchoolEvent, ...] | Refusal:
    """Read a calendar; content never raises.

    Args:
        path: the file; span: the first and last day looked at.
        zone: the time zone of the days, by name; empty: that of the calendar, else that of this computer.
        said: by the name of an event, what it is: one of KINDS, or ``lesson:ID``.
        students: by what a student is called, the id; where two are called so, none.
    """
    first, last = span
    try:
        import icalendar
        import recurring_ical_events
    except ImportError:
        return Refusal("extra", "reading a calendar needs `pip install '.[calendar]'`.")
    try:
        if path.stat().st_size > _MOST_BYTES:
            return Refusal("calendar", f"{path} is larger than 5 MB, which no school's calendar needs to be.")
        calendar, *more = icalendar.Calendar.from_ical(path.read_bytes(), multiple=True)
        calendar.subcomponents += [one for other in more for one in other.subcomponents]
        local = _zone(zone or str(calendar.get("X-WR-TIMEZONE") or ""))
        if isinstance(local, Refusal):
            return local
        odd = _take_out_odd(calendar)
        _name_apart(calendar)
        query = recurring_ical_events.of(calendar, skip_bad_series=True)
        begin, end = (date.fromordinal(day) for day in (first, last + 1))
        found = query.between(begin - timedelta(days=1), end + timedelta(days=1))
    except (OSError, ValueError, KeyError, TypeError, AttributeError, IndexError, OverflowError) as error:
        why = (error.strerror if isinstance(error, OSError) else None) or "it is no iCalendar file"
        return Refusal("calendar", f"{path} cannot be read: {why.lower()}.")
    spans = [(_name(one), *_days(one, local), _is_all_day(one)) for one in found
             if str(one.get("STATUS", "")).upper() != "CANCELLED"]  # fmt: skip
    spans += [(name, 0, 0, False) for name in odd]
    near = [one for one in spans if not one[1] or (one[1] <= last and one[2] >= first)]
    return _sorted(near, said, students)


def _zone(name: str) -> tzinfo | Refusal | None:
    try:
        return ZoneInfo(name) if name else None
    except (ZoneInfoNotFoundError, ValueError, OSError):
        return Refusal("zone", f'there is no time zone "{name}"; write it as in --zone Europe/Vienna.')


def _take_out_odd(calendar: Any) -> list[str]:  # noqa: ANN401 - a component of the library
    """Take out what cannot be read, and what repeats every minute for ever, and return the names of those."""
    odd = [one for one in calendar.walk("VEVENT") if _is_odd(one)]
    calendar.subcomponents = [one for one in calendar.subcomponents if not any(one is other for other in odd)]
    return [_name(one) for one in odd]


def _is_odd(event: Any) -> bool:  # noqa: ANN401
    if event.errors or "DTSTART" not in event:
        return True
    rules = event.get("RRULE") or []
    return any(_is_odd_rule(rule) for rule in (rules if isinstance(rules, list) else [rules]))


def _is_odd_rule(rule: Mapping[str, Sequence[Any]]) -> bool:
    is_often = (rule.get("FREQ") or [""])[0] in ("SECONDLY", "MINUTELY")
    is_short = 0 < (rule.get("COUNT") or [0])[0] <= _MOST_TIMES
    return (rule.get("INTERVAL") or [1])[0] < 1 or (is_often and not is_short)


def _name_apart(calendar: Any) -> None:  # noqa: ANN401
    """Give events of different names different UIDs, as RFC 5545 has it, where a program gave them one."""
    names: dict[str, set[str]] = {}
    for one in calendar.walk("VEVENT"):
        if "RECURRENCE-ID" not in one:  # a moved day may have a name of its own
            names.setdefault(str(one.get("UID", "")), set()).add(_name(one))
    for one in calendar.walk("VEVENT"):
        if len(names.get(uid := str(one.get("UID", "")), ())) > 1:
            one["UID"] = f"{uid} {_name(one)}"


def _name(event: Any) -> str:  # noqa: ANN401
    text = " ".join(str(event.get("SUMMARY", "")).split())[:_LONGEST]
    return "".join(letter for letter in text if not unseen(letter)) or "without a name"


def _is_all_day(event: Any) -> bool:  # noqa: ANN401
    return not isinstance(event.start, datetime)


def _days(event: Any, zone: tzinfo | None) -> tuple[int, int]:  # noqa: ANN401
    """Return the first and last local day; the end of an event is not part of it (RFC 5545, 3.6.1).

    What begins late and ends after midnight is on the day it begins.
    """
    start, end = event.start, event.end
    if _is_all_day(event):
        return start.toordinal(), max(start.toordinal(), end.toordinal() - 1)
    begin, finish = _local(start, zone), _local(end, zone)
    last = finish - timedelta(microseconds=1) if finish - begin >= timedelta(days=1) else begin
    return begin.toordinal(), last.toordinal()


def _local(moment: datetime, zone: tzinfo | None) -> datetime:
    """Return a moment as a clock of the zone shows it; one without a zone is local everywhere."""
    return moment if moment.tzinfo is None else moment.astimezone(zone).replace(tzinfo=None)


def _sorted(
    spans: Sequence[tuple[str, int, int, bool]], said: Mapping[str, str], students: Mapping[str, str]
) -> tuple[SchoolEvent, ...]:
    """Return the events by name and by what they are taken for."""
    told = {_plain(name): meaning for name, meaning in said.items()}
    called = {_plain(name): student for name, student in students.items()}
    found: dict[tuple[str, str, str], set[tuple[int, int]]] = {}
    for name, first, last, all_day in spans:
        kind, who = _meant(name, first, last, all_day=all_day, told=told, called=called)
        found.setdefault((name, kind, who), set()).update({(first, last)} if first else ())
    free = [span for (_, kind, _), days in found.items() if kind == HOLIDAY for span in days]
    rows = [_without(SchoolEvent(*key, tuple(sorted(days))), free) for key, days in found.items()]
    return tuple(sorted(rows, key=lambda one: (KINDS.index(one.kind), one.days, one.name)))


def _without(event: SchoolEvent, free: Sequence[tuple[int, int]]) -> SchoolEvent:
    """Return lessons without those in holidays; anything else as it is."""
    if event.kind != LESSON:
        return event
    held = tuple(one for one in event.days if not any(first <= one[0] <= last for first, last in free))
    return replace(event, days=held, dropped=len(event.days) - len(held))


def _meant(
    name: str, first: int, last: int, *, all_day: bool, told: Mapping[str, str], called: Mapping[str, str]
) -> tuple[str, str]:
    """Return what an event is taken for, and whose lesson it is.

    Several whole days are holidays. One whole day is a day with a name, unless that says that there is no
    lesson. A time of day is a lesson where its name is a student's or has that word; else it is left out.
    """
    if (meaning := told.get(_plain(name))) is not None:
        kind, _, who = meaning.partition(":")
        return kind, who or "all"
    words = set(re.findall(r"\w+", _plain(name)))
    if not first:
        return LEAVE, ""
    is_none = _NONE.search(_plain(name)) is not None
    if last > first or (all_day and (words & _NO_LESSON or is_none)):
        return HOLIDAY, ""
    if all_day:
        return EVENT, ""
    if words & {"lesson", "lessons"} and not is_none:
        named = {called[word] for word in words if word in called}
        return (LESSON, named.pop() if len(named) == 1 else "all") if len(named) < 2 else (LEAVE, "")
    return (LESSON, called[_plain(name)]) if _plain(name) in called else (LEAVE, "")


def _plain(text: str) -> str:
    return " ".join(text.casefold().split())


# Putting days into ``studio.toml``: lines are added, nothing is changed.


def new_in(file: Settings, events: Iterable[SchoolEvent]) -> tuple[list[str], dict[str, list[date]]]:
    """Return what a ``studio.toml`` lacks: blocks of events, and lesson days by whose they are."""
    there = {(one.first, one.last, one.is_stretch) for one in file.events}
    blocks, lessons = list[str](), dict[str, list[int]]()
    for event in events:
        for first, last in event.days:
            if event.kind == LESSON:
                if first not in (*file.lesson_dates.get(event.who, ()), *lessons.get(event.who, ())):
                    lessons.setdefault(event.who, []).append(first)
            elif event.kind != LEAVE and (first, last, event.kind == HOLIDAY) not in there:
                there.add((first, last, event.kind == HOLIDAY))
                begin, end = date.fromordinal(first), date.fromordinal(last)
                days = [("from", begin), ("to", end)] if event.kind == HOLIDAY else [("on", begin)]
                blocks.append(block("event", [("name", event.name), *days]))
    return blocks, {who: list(map(date.fromordinal, sorted(days))) for who, days in lessons.items()}


def add_to_studio(path: Path, events: Sequence[SchoolEvent]) -> Refusal | None:
    """Add what is new to a ``studio.toml``; with nothing new, it is not touched."""

    def edit(before: bytes) -> bytes | Refusal:
        text = before.removeprefix(BOM_UTF8).decode("utf-8").replace("\r\n", "\n")
        blocks, lessons = new_in(settings_of(StudioFile.model_validate(tomli.loads(text))), events)
        for who, days in lessons.items():
            text = _with_days(text, who, days)
        text = "\n".join([text if text.endswith("\n") else f"{text}\n", *blocks]) if blocks else text
        wrong = _wrong(path, text, events)
        mark = BOM_UTF8 * before.startswith(BOM_UTF8)
        return wrong or mark + text.encode().replace(b"\n", line_end(before))

    return write_anew(path, path.parent, edit)


def _wrong(path: Path, text: str, events: Sequence[SchoolEvent]) -> Refusal | None:
    """Return that a file would no longer be right, or would not hold all of it."""
    try:
        after = settings_of(StudioFile.model_validate(tomli.loads(text)))
    except ValueError:
        after = None
    if after is None or any(new_in(after, events)):
        message = (
            f"nothing was written: [lesson_dates] of {path} is written in a way that only a person can add "
            "to; please add a line for them by hand."
        )
        return Refusal("would-break", message)
    return None


def _with_days(text: str, who: str, days: Sequence[date]) -> str:
    """Return a text with days added to somebody's list of lesson dates, which is made where there is none."""
    places = locate(text)
    key = who if re.fullmatch(r"[A-Za-z0-9_-]+", who) else quoted(who)
    lines = [", ".join(map(str, days[at : at + _IN_A_LINE])) for at in range(0, len(days), _IN_A_LINE)]
    items = "".join(f"  {line},\n" for line in lines)
    if ("lesson_dates", who) in places.spots:
        spot = places.spots["lesson_dates", who]
        return _into_list(text, offset(text, spot.value_line, spot.value_column), items)
    if ("lesson_dates",) in places.headers:
        head = places.spots[("lesson_dates",)].line
        rows = text.split("\n")
        return "\n".join([*rows[:head], f"{key} = [\n{items}]", *rows[head:]])
    return f"{text.rstrip(chr(10))}\n\n[lesson_dates]\n{key} = [\n{items}]\n"


def _into_list(text: str, begin: int, items: str) -> str:
    """Return a text with lines put in before the bracket that ends a list."""
    last, after = "", begin
    for piece in words(text, begin):
        if text[piece.start] == "]":
            comma = "," if last not in ("[", ",") else ""
            lead = text[after : piece.start]
            turn = "" if lead.rstrip(" \t").endswith("\n") else "\n"
            return f"{text[:after]}{comma}{lead.rstrip(' ' + chr(9))}{turn}{items}{text[piece.start :]}"
        last, after = text[piece.start], piece.end
    return text
