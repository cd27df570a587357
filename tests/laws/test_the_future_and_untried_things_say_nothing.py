"""What is dated after the day asked about changes nothing, and neither does ``not_tried``."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from drawn import situations
from hypothesis import given

from readiness.advice.as_json import birthday_to_dict
from readiness.advice.timeline import birthday_changes
from readiness.testing import Situation, ask, without_places


@given(situations())
def test_the_future_and_untried_things_say_nothing(situation: Situation) -> None:
    units, skills = list(situation.graph["unit"]), list(situation.graph["skill"])
    any_other = next(skill for skill in skills if not situation.graph["skill"][skill].get("asks_pain"))
    later = situation.on + timedelta(days=1)
    more: dict[str, list[Any]] = {
        "lesson": [{"on": later, "not_shown": skills[:1]}, {"on": later, "alone": skills[1:]}],
        "settled": [{"through": units[-1], "on": later}],
        "unit_start": [{"unit": units[-1], "on": later}],
        "set_aside": [{"skill": any_other, "on": later, "agreed_with": "family"}],
        "band_choice": [{"band": next(iter(situation.pacing["band"])), "on": later, "reason": "Later."}],
        "hold": [{"opened": later, "words": "Sore.", "part": "hand"}],
    }
    grown = {name: [*situation.student.get(name, []), *blocks] for name, blocks in more.items()}
    plain = ask(situation)
    later_on = ask(situation.with_student(**grown), plain.course)
    assert without_places(later_on.json) == without_places(plain.json)
    noted_later = ask(situation.with_student(lesson=grown["lesson"]), plain.course)
    birthdays = [
        without_places(birthday_to_dict(ahead, None, plain.answer))
        for one in (noted_later, plain)
        for ahead in [birthday_changes(one.course, one.record, one.answer.on, one.calendar)]
    ]
    assert birthdays[0] == birthdays[1]
    known = {
        name: [b for b in value if b.get("on", b.get("opened")) <= situation.on]
        for name, value in situation.student.items()
        if isinstance(value, list)
    }
    at_the_time = ask(situation.with_student(**known), plain.course)
    assert without_places(at_the_time.json) == without_places(plain.json)
    silent = [{k: v for k, v in lesson.items() if k != "not_tried"} for lesson in situation.student["lesson"]]
    without_untried = ask(situation.with_student(lesson=silent), plain.course)
    assert without_places(without_untried.json) == without_places(plain.json)
