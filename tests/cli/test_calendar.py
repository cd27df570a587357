"""Calendars in and out: every recurrence, exceptions, time zones to local days, and the studio file kept."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, timedelta
from itertools import product, takewhile
from zoneinfo import ZoneInfo

import icalendar
import pytest
import tomli
from dateutil.rrule import rrulestr
from hypothesis import given, settings
from hypothesis import strategies as st

from readiness.days import day_number, iso
from readiness.studio.school_calendar import EVENT, HOLIDAY, LEAVE, LESSON, read_calendar

START = datetime(2025, 9, 2, 15, 30)  # noqa: DTZ001 - a time of day, wherever that is
ZONES = ("Europe/Vienna", "America/New_York", "Asia/Tokyo")
SPAN = date(2025, 6, 1).toordinal(), date(2026, 12, 31).toordinal()
ON = ("--on", "2025-09-01")


def event(*lines, name="Lessons"):
    """Return an event as RFC 5545 has it; lines that it does not give itself are added."""
    own = [] if any(line.startswith("DTSTART") for line in lines) else [f"DTSTART:{START:%Y%m%dT%H%M%S}"]
    return "\r\n".join(["BEGIN:VEVENT", f"SUMMARY:{name}", "UID:a@school", "DTSTAMP:20250101T000000Z",
                        *own, *lines, "END:VEVENT"])  # fmt: skip


def calendar(*events, more=()):
    return "\r\n".join(["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//School//EN", *more, *events,
                        "END:VCALENDAR", ""])  # fmt: skip


@pytest.fixture(scope="module")
def path(tmp_path_factory):
    return tmp_path_factory.mktemp("calendars") / "school.ics"


def days(path, *events, more=(), zone="", said=None, students=None):
    """Return the days of lessons in a calendar."""
    path.write_bytes(calendar(*events, more=more).encode())
    found = read_calendar(path, SPAN, zone, said or {}, students or {})
    return sorted(iso(first) for one in found if one.kind == LESSON for first, _ in one.days)


def first_of(rule):
    """Return a start that fits its rule; of another one RFC 5545 (3.8.5.3) does not say what comes."""
    return next(iter(rrulestr(rule, dtstart=START)), START)


def by_reference(rule, start=START):
    """Return the days that python-dateutil gives for a rule."""
    last = datetime.combine(date.fromordinal(SPAN[1]), datetime.max.time())
    times = takewhile(lambda one: one <= last, rrulestr(rule, dtstart=start))
    return sorted({one.date().isoformat() for one in times})


RULES = (
    "FREQ=DAILY;COUNT=5",
    "FREQ=DAILY;INTERVAL=3;UNTIL=20251101T000000",
    "FREQ=DAILY;BYMONTH=1,2;UNTIL=20260301T000000",
    "FREQ=WEEKLY",
    "FREQ=WEEKLY;INTERVAL=2",
    "FREQ=WEEKLY;BYDAY=TU,TH;COUNT=9",
    "FREQ=WEEKLY;INTERVAL=2;WKST=SU;BYDAY=SU,TU",
    "FREQ=WEEKLY;INTERVAL=2;WKST=MO;BYDAY=SU,TU",
    "FREQ=MONTHLY",
    "FREQ=MONTHLY;BYMONTHDAY=2,15,-1",
    "FREQ=MONTHLY;BYDAY=1TU,-1TU",
    "FREQ=MONTHLY;BYDAY=MO,TU,WE,TH,FR;BYSETPOS=-1",
    "FREQ=MONTHLY;BYDAY=FR;BYMONTHDAY=13",
    "FREQ=MONTHLY;BYMONTHDAY=31",
    "FREQ=YEARLY",
    "FREQ=YEARLY;BYMONTH=1,6;BYDAY=2TU",
    "FREQ=YEARLY;BYYEARDAY=1,100,-1",
    "FREQ=YEARLY;BYWEEKNO=20;BYDAY=MO",
    "FREQ=YEARLY;BYDAY=20MO",
    "FREQ=YEARLY;BYMONTH=11;BYMONTHDAY=2,3,4,5,6,7,8;BYDAY=TU",
    "FREQ=HOURLY;INTERVAL=49;COUNT=20",
    "FREQ=MINUTELY;INTERVAL=1440;COUNT=4",
    "FREQ=SECONDLY;INTERVAL=86400;COUNT=3",
    "FREQ=DAILY;BYHOUR=9,23;BYMINUTE=0;COUNT=6",
    "FREQ=DAILY;BYSETPOS=1;BYHOUR=9,10;COUNT=4",
)
"""Every frequency and every part of RFC 5545, section 3.3.10, many of them its own examples (3.8.5.3)."""


@pytest.mark.parametrize("rule", RULES)
def test_a_recurrence_gives_the_days_that_dateutil_gives(path, rule):
    start = first_of(rule)
    assert days(path, event(f"DTSTART:{start:%Y%m%dT%H%M%S}", f"RRULE:{rule}")) == by_reference(rule, start)


_BY = {
    "BYMONTH": st.integers(1, 12), "BYMONTHDAY": st.integers(1, 28) | st.integers(-28, -1),
    "BYDAY": st.sampled_from(["MO", "TU", "WE", "TH", "FR", "SA", "SU"]),
}  # fmt: skip


@given(
    st.sampled_from(["DAILY", "WEEKLY", "MONTHLY", "YEARLY"]), st.integers(1, 3), st.integers(1, 20),
    st.fixed_dictionaries({}, optional={by: st.lists(of, min_size=1, max_size=3, unique=True)
                                        for by, of in _BY.items()}),
)  # fmt: skip
@settings(max_examples=50)
def test_any_recurrence_gives_the_days_that_dateutil_gives(path, frequency, interval, count, parts):
    if frequency == "WEEKLY" or "BYDAY" in parts:
        parts.pop("BYMONTHDAY", None)  # not allowed there; with a weekday, forty times can be centuries
    if frequency == "MONTHLY" and "BYMONTH" in parts:
        interval = 1  # every second month from September never is one in April
    by = "".join(f";{name}={','.join(map(str, values))}" for name, values in parts.items())
    rule = f"FREQ={frequency};INTERVAL={interval};COUNT={count}{by}"
    start = first_of(rule)
    assert days(path, event(f"DTSTART:{start:%Y%m%dT%H%M%S}", f"RRULE:{rule}")) == by_reference(rule, start)


def test_days_taken_out_put_in_moved_and_cancelled(path):
    """RFC 5545: EXDATE (3.8.5.1), RDATE (3.8.5.2), RECURRENCE-ID (3.8.4.4), STATUS (3.8.1.11)."""
    weekly = event("RRULE:FREQ=WEEKLY;COUNT=5", "EXDATE:20250909T153000", "RDATE:20250912T153000")
    moved = event("RECURRENCE-ID:20250916T153000", "DTSTART:20250917T100000", name="Lessons (moved)")
    gone = event("RECURRENCE-ID:20250923T153000", "STATUS:CANCELLED", "DTSTART:20250923T153000")
    assert days(path, weekly, moved, gone) == ["2025-09-02", "2025-09-12", "2025-09-17", "2025-09-30"]


@pytest.mark.parametrize(("zone", "own"), [*product(ZONES, repeat=2)])
def test_a_moment_is_the_day_it_has_where_the_teacher_is(path, zone, own):
    """The days are those of the standard library's zoneinfo, over a change of the clocks."""
    rule = "FREQ=WEEKLY;COUNT=12"
    start = START.replace(hour=23)
    meant = [
        one.replace(tzinfo=ZoneInfo(own)).astimezone(ZoneInfo(zone)).date().isoformat()
        for one in rrulestr(rule, dtstart=start)
    ]
    lessons = event(f"DTSTART;TZID={own}:{start:%Y%m%dT%H%M%S}", f"RRULE:{rule}", "DURATION:PT1H")
    assert days(path, lessons, zone=zone) == meant
    assert days(path, lessons, more=[f"X-WR-TIMEZONE:{zone}"]) == meant
    late = event("DTSTART:20250902T233000Z")
    local = datetime(2025, 9, 2, 23, 30, tzinfo=UTC).astimezone(ZoneInfo(zone)).date()
    assert days(path, late, zone=zone) == [local.isoformat()]


ODD = {
    "no start": "BEGIN:VEVENT\r\nSUMMARY:Lessons\r\nUID:q\r\nEND:VEVENT",
    "no such frequency": event("RRULE:FREQ=OFTEN"), "every no weeks": event("RRULE:FREQ=WEEKLY;INTERVAL=0"),
    "no such weekday": event("RRULE:FREQ=WEEKLY;BYDAY=XX"), "no such day": event("DTSTART:20251399T100000"),
    "every second for ever": event("RRULE:FREQ=SECONDLY"),
}  # fmt: skip


@pytest.mark.parametrize("name", ODD)
def test_an_event_with_a_mistake_is_left_out_and_hides_no_other(path, name):
    path.write_bytes(calendar(ODD[name], event(name="Lessons B").replace("a@school", "b@school")).encode())
    found = {one.name: one for one in read_calendar(path, SPAN, "", {}, {})}
    assert (found["Lessons"].kind, found["Lessons"].days) == (LEAVE, ())
    assert len(found["Lessons B"].days) == 1


def test_what_an_event_is_taken_for(path):
    path.write_bytes(calendar(
        event("DTSTART;VALUE=DATE:20251222", "DTEND;VALUE=DATE:20260103", name="Winter"),
        event("DTSTART;VALUE=DATE:20251027", name="Bank holiday"),
        event("DTSTART;VALUE=DATE:20251101", name="Concert"),
        event("DTSTART;VALUE=DATE:20251117", name="Staff day - no lessons"),
        event("DTSTART:20251118T090000", name="Staff training, no lessons"),
        event("DTSTART;VALUE=DATE:20251119", name="Lessons as usual, no concert"),
        event("DTSTART:20251003T090000", name="Staff meeting"),
        event("DTSTART:20251004T090000", name="Temwa"),
        event("RRULE:FREQ=WEEKLY;COUNT=18", name="Piano lesson Noemi"),
        event("RRULE:FREQ=SECONDLY", name="Odd"),
    ).encode())  # fmt: skip
    students = {"Temwa": "temwa", "Noemi": "noemi"}
    found = {one.name: one for one in read_calendar(path, SPAN, "", {"concert": "holiday"}, students)}
    assert {name: (one.kind, one.who) for name, one in found.items()} == {
        "Winter": (HOLIDAY, ""), "Bank holiday": (HOLIDAY, ""), "Concert": (HOLIDAY, "all"),
        "Staff meeting": (LEAVE, ""), "Temwa": (LESSON, "temwa"), "Piano lesson Noemi": (LESSON, "noemi"),
        "Odd": (LEAVE, ""), "Staff day - no lessons": (HOLIDAY, ""),
        "Staff training, no lessons": (LEAVE, ""), "Lessons as usual, no concert": (EVENT, ""),
    }  # fmt: skip
    assert found["Winter"].days == ((day_number("2025-12-22"), day_number("2026-01-02")),)
    assert found["Piano lesson Noemi"].dropped == 2


COMMENTED = """\
# our studio
lesson_dates = { all = [2025-09-30], temwa = [] } # planned

[[event]] # the autumn
name = "Autumn"
from = 2025-10-27 # a Monday
to = 2025-10-31
"""
LISTED = """\
[lesson_dates] # planned
all = [
  2025-09-30, # the first
  2025-10-07 # and the second
  # more to come
]
[teachers]
OB = "Odalys" # since 2020
"""


@pytest.mark.parametrize("mark", ["", "\ufeff"])
@pytest.mark.parametrize("kept", ["", COMMENTED, LISTED, LISTED.replace("\n", "\r\n")])
def test_it_goes_into_the_studio_file_and_every_line_of_it_stays(studio, say, monkeypatch, kept, mark):
    monkeypatch.chdir(studio)
    file, end = studio / "studio.toml", "\r\n" if "\r" in kept else "\n"
    before = mark + file.read_text(encoding="utf-8").replace("\n", end) + kept
    file.write_bytes(before.encode())
    (studio / "school.ics").write_bytes(calendar(
        event("DTSTART;VALUE=DATE:20251222", "DTEND;VALUE=DATE:20260103", name='Winter "break"'),
        event("RRULE:FREQ=WEEKLY;COUNT=10"), event("DTSTART:20251004T090000", name="Temwa"),
    ).encode())  # fmt: skip
    shown = say("calendar", "import", "school.ics", *ON)
    assert shown.code == 0
    assert "Nothing is written yet" in shown.out
    assert file.read_bytes() == before.encode()
    assert say("calendar", "import", "school.ics", "--write", *ON).code == 0
    after = file.read_bytes().decode()
    words = re.findall(r"#[^\r\n]*|\S+ = [^\[\r\n]*", before)
    assert all(word in after for word in words)
    assert after.count("\n") == after.count(end)
    assert after.startswith(mark)
    read, was = (tomli.loads(text.removeprefix(mark)) for text in (after, before))
    assert read["event"][-1] == {"name": 'Winter "break"', "from": date(2025, 12, 22), "to": date(2026, 1, 2)}
    lessons = {date(2025, 9, 2) + timedelta(weeks=week) for week in range(10)}
    assert set(read["lesson_dates"]["all"]) == lessons
    assert read["lesson_dates"]["temwa"] == [date(2025, 10, 4)]
    assert {key: value for key, value in read.items() if key not in ("event", "lesson_dates")} == {
        key: value for key, value in was.items() if key not in ("event", "lesson_dates")
    }
    assert say("calendar", "import", "school.ics", "--write", *ON).code == 0
    assert file.read_bytes().decode() == after
    assert "2 September 2025" in say("why", "temwa", *ON).out or say("why", "temwa", *ON).code in (0, 1)


def test_a_way_of_writing_that_cannot_be_added_to_is_said(studio, say, monkeypatch):
    monkeypatch.chdir(studio)
    file = studio / "studio.toml"
    file.write_text(file.read_text() + "lesson_dates = { temwa = [] }\n")
    (studio / "school.ics").write_bytes(calendar(event()).encode())
    before = file.read_bytes()
    said = say("calendar", "import", "school.ics", "--write", *ON)
    assert said.code == 2
    assert "only a person can add to" in said.told
    assert file.read_bytes() == before


@pytest.mark.parametrize("data", [b"", b"PK\x03\x04", b"BEGIN:VCALENDAR\r\nEND:VEVENT\r\n", b"\xff\xfe\0"])
def test_what_is_no_calendar_is_one_sentence(studio, say, monkeypatch, data):
    monkeypatch.chdir(studio)
    (studio / "school.ics").write_bytes(data)
    said = say("calendar", "import", "school.ics")
    assert said.code == 2 or "No event" in said.out
    assert say("calendar", "import", "school.ics", "--zone", "Nowhere/Else").code == 2


def test_the_calendar_out_is_right_the_same_and_names_nobody(studio, say, monkeypatch):
    monkeypatch.chdir(studio)
    promise = ("--give", "a video of Temwa", "--to", "mother", "--due", "2025-12-05")
    say("promise", "temwa", *promise, "--on", "2025-12-01")
    said = say("calendar", "--on", "2025-12-02", "--weeks", "3")
    assert said == say("calendar", "--on", "2025-12-02", "--weeks", "3")
    found = icalendar.Calendar.from_ical(said.out)
    events = found.walk("VEVENT")
    assert found["VERSION"] == "2.0"  # RFC 5545, 3.6 and 3.6.1: what a calendar and an event must have
    assert found["PRODID"]
    assert all(one.get("UID") and one.get("DTSTAMP") and one.get("DTSTART") for one in events)
    assert {one["DTSTAMP"].dt for one in events} == {datetime(2025, 12, 2, tzinfo=UTC)}
    uids = [str(one["UID"]) for one in events]
    assert len(uids) == len(set(uids))
    for name in ("Temwa", "temwa", "Linnea", "linnea", "video", "mother", "Bogdan"):
        assert name not in said.out
    days = {(str(one["SUMMARY"]), one["DTSTART"].dt) for one in events}
    assert ("Promise due: TB", date(2025, 12, 5)) in days
    assert ("Lesson: TB", date(2025, 12, 9)) in days
    assert any(title.startswith("Check due") for title, _ in days)
    later = icalendar.Calendar.from_ical(say("calendar", "--on", "2025-12-03", "--weeks", "3").out)
    same = {str(one["UID"]) for one in later.walk("VEVENT")} & set(uids)
    assert len(same) > len(uids) // 2
    assert "Lesson: Temwa" in say("calendar", "--on", "2025-12-02", "--names").out


def test_no_lesson_day_is_made_up(studio, say, monkeypatch):
    monkeypatch.chdir(studio)
    say("enrol", "dora", "--name", "Dora", "--born", "2020-01", "--placing", "--on", "2025-12-02")
    said = say("calendar", "--on", "2025-12-02", "--names")
    assert "Dora" not in said.out
    assert "Not in it, for no lesson day is noted: Dora and Rafiq." in " ".join(said.err.split())


def test_it_is_written_to_a_file_and_over_its_own_alone(studio, say, monkeypatch):
    monkeypatch.chdir(studio)
    for _ in range(2):
        said = say("calendar", "--to", "out.ics", "--on", "2025-12-02")
        assert said.code == 0
        assert "who is it for" in " ".join(said.out.split())
    (studio / "other.ics").write_text("mine")
    assert say("calendar", "--to", "other.ics").code == 2
    assert (studio / "other.ics").read_text() == "mine"
    assert all(len(line) <= 75 for line in (studio / "out.ics").read_bytes().split(b"\r\n"))  # RFC 5545, 3.1
