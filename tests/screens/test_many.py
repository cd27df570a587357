"""Fifteen hundred students: the list draws what is seen and filters what is typed."""

from __future__ import annotations

from dataclasses import replace

from screens.hands import desk_at, press, read, shows, use
from tui.desk import Desk


class LargeDesk(Desk):
    """A desk whose studio has fifteen hundred students, made from the few of the demo."""

    def read(self, progress=lambda _done, _all: None):
        view = super().read(progress)
        rows = []
        for number in range(1500):
            row = view.rows[number % len(view.rows)]
            name = f"{row.record.name} {number:04}"
            record = replace(row.record, name=name, id=f"{row.record.id}-{number:04}")
            answer = replace(row.answer, name=name, student=record.id)
            rows.append(replace(row, record=record, answer=answer))
            progress(number + 1, 1500)
        self.view = replace(view, rows=tuple(rows))
        return self.view


def test_the_list_scrolls_filters_and_opens_among_many(students):
    plain = desk_at(students)
    desk = LargeDesk(*plain._named, plain._day, plain.now)

    async def walk(pilot):
        await press(pilot, "end")
        assert shows(pilot.app, "▸Noemi 1497") or shows(pilot.app, "1499")
        await press(pilot, "pageup pageup home")
        assert shows(pilot.app, "0000")
        await press(pilot, "slash 0 7 3 1 enter")
        rows = [line for line in read(pilot.app)[6:16] if "Temwa" in line or "Linnea" in line]
        assert len(rows) == 1
        await press(pilot, "enter")
        assert "0731" in read(pilot.app)[0]

    use(desk, walk)
