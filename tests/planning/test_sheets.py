"""The sheets of joints and parts, and what they write; predicted against read; the first entries of a book."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

import cornerwright as cw
from cornerwright.book.beginning import first_entries
from cornerwright.book.making import make_book
from cornerwright.model.car import Car
from cornerwright.model.entry import Entry
from cornerwright.model.reading import Readings
from cornerwright.planning.adding import add_entries
from cornerwright.planning.afterwards import against
from cornerwright.planning.joint_sheet import find_joint, joint_body, joint_sheet
from cornerwright.planning.joints import joints
from cornerwright.planning.part_sheet import Fitting, find_part, new_body, part_sheet, swap_bodies
from cornerwright.planning.passes import alike
from cornerwright.planning.plan import plan
from diary import opening, say
from workshop import example_car, example_reading, example_targets


@pytest.fixture
def book(tmp_path):
    with make_book(tmp_path / "a.book", opening()) as made:
        yield made


def write(book, *bodies):
    return add_entries(book, [Entry.model_validate({"body": body}) for body in bodies], (), cw.__version__)


def car_of(book):
    record = book.record()
    return Car.model_validate(record.document_at(record.car))


# ---------------------------------------------------------------------- joints


def test_every_joint_of_the_file_is_there_once_and_the_books_own_too(book):
    car = example_car()
    names = [line.answer.name for line in joint_sheet(car, None)]
    assert sorted(names) == sorted(one.name for one in joints(car).joints)
    assert all(line.told is None for line in joint_sheet(car, None))
    write(book, {"kind": "joint", "joint": "rear left trailing arm pin", "place": "rear_left", "torque": 60})
    lines = joint_sheet(car, book.record())
    assert len(lines) == len(names) + 1
    assert find_joint(lines, "Rear left trailing-arm pin").state == "tightened"


def test_what_is_recorded_is_told_of_the_same_joint_again(book):
    car = example_car()
    for line in joint_sheet(car, book.record()):
        write(book, joint_body(line, "tightened", torque="81,5", tool="wrench 40 to 200", stood="ride_height"))
    lines = joint_sheet(car, book.record())
    assert len(lines) == len(joint_sheet(car, None))
    assert {line.state for line in lines} == {"tightened"}
    assert {line.told_by for line in lines} == {"book"}
    assert {line.told.torque_nm for line in lines} == {81.5}


def test_a_wheels_joint_has_the_words_that_the_rules_look_for(book):
    line = find_joint(joint_sheet(example_car(), book.record()), "front_left.fastening")
    assert "wheel" in line.name
    told = write(book, joint_body(line, "tightened", torque="80"))
    assert "wheel_nuts@front" in {job.name for job in told.stale}


def test_a_bush_that_is_snug_or_tightened_hanging_stays_open(book):
    line = next(one for one in joint_sheet(example_car(), book.record()) if one.bush)
    assert "bush" in line.name
    told = write(book, joint_body(line, "snug"))
    job = next(job for job in told.stale if job.name.startswith("joint@"))
    assert job.stops_driving
    assert "ride height" in job.do
    write(book, joint_body(line, "tightened", torque="70 N·m", stood="hanging"))
    assert "hanging" in find_joint(joint_sheet(example_car(), book.record()), line.name).told.open
    told = write(book, joint_body(line, "tightened", torque="70 N·m", stood="ride_height"))
    assert job.name in told.settled


def test_whose_torque_it_is_is_told():
    lines = joint_sheet(example_car(), None)
    assert any(line.makers for line in lines)
    assert all(line.value_nm is not None for line in lines if line.makers)


def test_marked_after_it_was_tightened(book):
    line = joint_sheet(example_car(), book.record())[0]
    write(book, joint_body(line, "tightened", torque="80"), joint_body(line, "marked", marked="yellow line"))
    told = find_joint(joint_sheet(example_car(), book.record()), line.name).told
    assert (told.marked, told.torque_nm) == ("yellow line", 80)
    loose = find_joint(joint_sheet(example_car(), book.record()), line.name)
    assert any(job.stops_driving for job in write(book, joint_body(loose, "loose")).stale)


# ---------------------------------------------------------------------- parts


def test_each_corner_has_its_parts_with_facts():
    lines = part_sheet(example_car(), None)
    keys = {line.key for line in lines}
    for corner in ("front_left", "rear_right"):
        assert {f"{corner}.{sort}.0" for sort in ("spring", "damper", "tyre", "wheel", "pads", "disc")} <= keys
    rate = next(one for one in find_part(lines, "rear_left.spring.0").facts if one.fact.words == "rate")
    assert (rate.field, rate.text) == ("rear.left.spring.stack[0].rate", "84")
    with pytest.raises(cw.Refusal):
        find_part(lines, "rear_left.boot.0")


def test_a_spring_is_swapped_on_both_sides(book):
    line = find_part(part_sheet(example_car(), book.record()), "rear_left.spring.0")
    fitting = Fitting(
        "Stiff 95", both=True, values={"rear.left.spring.stack[0].rate": "95"}, price="58,5", kept="shelf B"
    )
    bodies = swap_bodies(line, book.record(), fitting)
    assert [one["kind"] for one in bodies] == ["removed", "fitted"]
    told = write(book, *bodies)
    assert {"height@rear", "damper@rear"} <= {job.name for job in told.stale}
    car = car_of(book)
    assert {side.spring.stack[0].rate for side in (car.rear.left, car.rear.right)} == {95e3}
    for corner in ("rear_left", "rear_right"):
        line = find_part(part_sheet(car, book.record()), f"{corner}.spring.0")
        assert (line.told, line.price, line.number) == ("Stiff 95 spring", 58.5, told.written[1])
    # Swapped again, what the book has goes off by its own name.
    again = swap_bodies(line, book.record(), Fitting("coil 84", both=True))
    assert [(one["kind"], one["part"]) for one in again] == [
        ("removed", "Stiff 95 spring"), ("fitted", "coil 84")
    ]  # fmt: skip


def test_a_value_in_another_unit_is_taken_and_nonsense_is_refused(book):
    line = find_part(part_sheet(example_car(), book.record()), "rear_left.spring.0")
    field = "rear.left.spring.stack[0].rate"
    write(book, *swap_bodies(line, book.record(), Fitting("spring", values={field: "500 lbf/in"})))
    assert car_of(book).rear.left.spring.stack[0].rate == pytest.approx(500 * 175.127, rel=1e-4)
    count = book.count()
    with pytest.raises(cw.Refusal, match="rate"):
        write(book, *swap_bodies(line, book.record(), Fitting("spring", values={field: "soft"})))
    with pytest.raises(cw.Refusal):
        swap_bodies(line, book.record(), Fitting(" "))
    with pytest.raises(cw.Refusal):
        swap_bodies(line, book.record(), Fitting("x", values={field: ""}))
    assert book.count() == count


def test_a_part_that_the_file_has_no_fields_for(book):
    told = write(book, new_body("brake hose", "front_left", Fitting("brake hose", price="19")))
    assert "bleed@car" in {job.name for job in told.stale}
    with pytest.raises(cw.Refusal, match="rear_left"):
        new_body("hose", "boot", Fitting("hose"))


def test_readings_hold_over_what_moves_none(book):
    before = book.record()
    write(book, {"kind": "measured", "what": "pads", "sets": {"brakes.measured.front_left.pad": 6.2}})
    worn = book.record()
    line = find_part(part_sheet(car_of(book), worn), "rear_left.spring.0")
    write(book, *swap_bodies(line, worn, Fitting("s", values={"rear.left.spring.stack[0].rate": "95"})))
    sprung = book.record()
    assert before.doc != worn.doc
    assert alike(before.docs[before.doc], worn.docs[worn.doc])
    assert not alike(before.docs[before.doc], sprung.docs[sprung.doc])


# ---------------------------------------------------------------------- after a round, before a book


def test_predicted_against_read():
    planned = plan(example_car(), example_reading(), example_targets())
    one = planned.predicted["rear_left"]["height_mm"]
    reading = example_reading().model_copy(
        update={
            "rear_left": example_reading().rear_left.model_copy(update={"height": (one.value + one.sigma) / 1e3}),
            "rear_right": example_reading().rear_right.model_copy(update={"height": (one.value + 40) / 1e3}),
        }
    )
    told = {(row.corner, row.key): row for row in against(planned, reading)}
    near, far = told["rear_left", "height_mm"], told["rear_right", "height_mm"]
    assert near.off == pytest.approx(one.sigma, abs=1e-6)
    assert near.explained
    assert not far.explained
    assert far.inside is False
    assert all(row.corner in planned.predicted for row in told.values())


def test_a_way_that_is_asked_for_is_the_plan():
    told = plan(example_car(), example_reading(), example_targets(), alternatives=True)
    assert told.way is None
    for other in told.alternatives:
        again = plan(example_car(), example_reading(), example_targets(), way=other.name)
        assert again.way == other.name
        assert [(m.corner, m.adjuster, m.steps) for m in again.moves] == [
            (m.corner, m.adjuster, m.steps) for m in other.moves
        ]
        assert again.chance == pytest.approx(other.chance)


def test_a_book_begins_with_what_was_read_and_turned_before(tmp_path):
    first = example_reading().model_copy(update={"when": datetime(2026, 3, 1, 20, tzinfo=UTC), "settings": {}})
    later = first.model_copy(
        update={"when": datetime(2026, 3, 4, 20, tzinfo=UTC), "settings": {"rear_left.perch": "10 turn"}}
    )
    readings = Readings(format="cornerwright readings 1", passes=(first, later))
    entries = first_entries(example_car(), example_targets(), readings, who="R.")
    assert [one.body.kind for one in entries] == ["car", "targets", "reading", "move", "reading"]
    with make_book(tmp_path / "b.book", entries) as made:
        record = made.record()
        assert record.settings["rear_left.perch"] == 30.0
        assert record.read["rear_left"]["height"]["value"] == pytest.approx(1e3 * first.rear_left.height)
        assert record.described["moment"].startswith("2026-03-01")
    assert [one.body.kind for one in first_entries(example_car())] == ["car"]
    assert say("note", says="x").body.kind == "note"
