"""What can be asked of a picture without looking at it: nothing overlaps, every link can be followed."""

from __future__ import annotations

from itertools import combinations, pairwise

import pytest
from bench.crossings import way_to

from readiness.course.load import load_course
from readiness.pages.map import map_page
from readiness.pictures import geometry
from readiness.pictures.formats import FEWER_CROSS, map_as_dot, map_as_text, shown
from readiness.pictures.geometry import lay_out_map
from readiness.pictures.svg import map_as_svg


@pytest.fixture(scope="module", params=["first-two-years", "first-year-voice"])
def drawn(request, course_folder):
    course = load_course(course_folder.parent / request.param).course
    content = shown(course)
    return content, lay_out_map(content)


def test_no_two_boxes_overlap_and_all_are_on_the_sheet(drawn):
    _, layout = drawn
    for one, other in combinations(layout.boxes, 2):
        apart = one.y + one.height <= other.y or other.y + other.height <= one.y
        assert one.x != other.x or apart, (one.skill.id, other.skill.id)
    for box in layout.boxes:
        assert box.x >= 0
        assert box.x + box.width <= layout.width
        assert box.y >= 0
        assert box.y + box.height <= layout.height


def test_every_skill_stands_in_the_column_of_its_unit_and_in_the_row_of_its_strand(drawn):
    content, layout = drawn
    column = {one.unit.id: at for at, one in enumerate(layout.columns)}
    rows = {one.strand.id: one for one in layout.rows}
    assert [box.skill for box in layout.boxes] == list(content.skills)
    for box in layout.boxes:
        at = column[box.skill.unit]
        row = rows[box.skill.strand]
        assert box.x == layout.columns[at].x
        assert row.top[at] <= box.y
        assert box.y + box.height <= row.bottom[at]


def test_rows_keep_their_order_in_every_column(drawn):
    _, layout = drawn
    for over, under in pairwise(layout.rows):
        for bottom, top in zip(over.bottom, under.top, strict=True):
            assert bottom == pytest.approx(top)


def test_every_link_runs_in_one_piece_from_its_skill_to_its_box(drawn):
    content, layout = drawn
    box = {one.skill.id: one for one in layout.boxes}
    lines = {(line.before, line.some): line for line in layout.lines}
    for link in content.links:
        way = way_to(lines[link.before, link.some], link.after)
        before, after = box[link.before], box[link.after]
        for one, other in pairwise(way):
            assert one.end == other.start
        (x, y), (u, v) = way[0].start, way[-1].end
        assert before.x <= x <= before.x + before.width
        assert before.y <= y <= before.y + before.height
        assert after.x <= u <= after.x + after.width
        assert after.y <= v <= after.y + after.height


def test_a_line_that_passes_a_column_runs_through_no_box(drawn):
    _, layout = drawn
    passing = [
        curve for line in layout.lines for curve in line.curves if not curve.after and not curve.pull
    ]
    assert passing
    for curve in passing:
        for box in layout.boxes:
            in_column = curve.start[0] <= box.x < curve.end[0]
            assert not in_column or not box.y <= curve.start[1] <= box.y + box.height


def test_no_two_links_enter_a_box_at_one_point(drawn):
    _, layout = drawn
    ends = [(curve.after, curve.end) for line in layout.lines for curve in line.curves if curve.after]
    from_the_side = [one for one in ends if one[1][0] in {column.x for column in layout.columns}]
    assert len(set(from_the_side)) == len(from_the_side)


def test_where_the_steps_do_not_suffice_it_is_said_on_the_picture_and_on_the_pages(drawn, monkeypatch):
    content, layout = drawn
    assert layout.suffices
    assert FEWER_CROSS not in map_as_svg(content) + map_page(content, "a4")
    monkeypatch.setattr(geometry, "_STEPS", 0)
    pages = map_page(content, "a4")
    assert map_as_svg(content).count(FEWER_CROSS) == 1
    assert pages.count(FEWER_CROSS) == pages.count("<section>") > 1


@pytest.mark.parametrize("unit", [None, "hand-shape-wrist"])
def test_every_format_says_how_much_is_on_it_alike(course_folder, unit):
    content = shown(load_course(course_folder).course, None, unit)
    much = f"{len(content.skills)} skills, {len(content.links)} lines."
    for made in (map_as_text(content), map_as_dot(content), map_as_svg(content), map_page(content, "a4")):
        assert much in made


def test_a_name_is_on_its_box_word_for_word(drawn):
    _, layout = drawn
    for box in layout.boxes:
        assert "".join(" ".join(box.words).split()) == "".join(box.skill.name.split())
