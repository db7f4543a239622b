"""What the screens put into the book, without a browser."""

from __future__ import annotations

import io
from uuid import uuid4

import pytest
from PIL import Image

from cars_in_hand import car_book, car_folder
from cornerwright.book.book import Book
from cornerwright.book.making import make_book
from cornerwright.book.verify import verify
from cornerwright.model.errors import Refusal
from cornerwright.planning.joint_sheet import joint_body, joint_sheet
from cornerwright.web import rounds
from cornerwright.web.bookwork import compared, lately, take_back, write
from cornerwright.web.desk import Desk
from cornerwright.web.snapshots import clean_photo
from diary import opening, say
from servers import SERVER, drop


@pytest.fixture
def desk(tmp_path):
    made = Desk(car_book(tmp_path))
    yield made
    made.close()


def photo(red: int) -> bytes:
    held = io.BytesIO()
    Image.new("RGB", (40, 30), (red, 30, 30)).save(held, "JPEG")
    return clean_photo(held.getvalue())


def test_a_second_tap_writes_nothing(desk):
    count = desk.papers.book.count()
    first = write(desk, [say("note", says="new arm").body.to_document()], key="one form", who="R.")
    again = write(desk, [say("note", says="new arm").body.to_document()], key="one form", who="R.")
    assert again.written == first.written
    assert desk.papers.book.count() == count + 1
    write(desk, [say("note", says="new arm").body.to_document()], key="another form")
    assert desk.papers.book.count() == count + 2


def test_what_a_form_has_wrong_is_named_by_its_field(desk):
    count = desk.papers.book.count()
    line = joint_sheet(desk.state.car, desk.state.record)[0]
    with pytest.raises(Refusal) as refusal:
        write(desk, [joint_body(line, "tightened", torque="tight enough")])
    assert refusal.value.problems[0].field == "torque"
    assert "a torque" in refusal.value.problems[0].expected
    assert desk.papers.book.count() == count


def test_all_bodies_are_written_or_none(desk):
    count = desk.papers.book.count()
    with pytest.raises(Refusal):
        write(desk, [{"kind": "note", "says": "one"}, {"kind": "fitted", "part": "x", "place": "boot"}])
    assert desk.papers.book.count() == count


def test_the_last_of_several_entries_has_the_photos(desk):
    bodies = [{"kind": "removed", "part": "old coil", "place": "rear"}, {"kind": "note", "says": "the new one"}]
    told = write(desk, bodies, photos=[photo(200)], note="as bought")
    first, last = (desk.papers.book.entry(number).to_document() for number in told.written)
    assert first["photos"] == []
    assert len(last["photos"]) == 1
    assert last["note"] == "as bought"
    assert desk.photo(last["photos"][0]) is not None


def test_what_was_done_is_taken_back_once(desk):
    told = write(desk, [{"kind": "drive", "distance": "60 km"}])
    line = next(one for one in joint_sheet(desk.state.car, desk.state.record) if "wheel" in one.words)
    write(desk, [joint_body(line, "tightened", torque="100")])
    assert "wheel_nuts@front" in {job.name for job in desk.jobs().jobs}
    done = write(desk, [{"kind": "done", "job": "nuts again", "place": "front"}], settles=["wheel_nuts@front"])
    assert done.settled == ("wheel_nuts@front",)
    assert [one.number for one in lately(desk)] == list(done.written)
    back = take_back(desk, done.written[0], "R.")
    assert "wheel_nuts@front" in {job.name for job in back.stale}
    assert lately(desk) == ()
    count = desk.papers.book.count()
    take_back(desk, done.written[0], "R.")
    assert desk.papers.book.count() == count
    with pytest.raises(Refusal, match="the entry itself"):
        take_back(desk, back.written[0])
    assert told.written


def test_two_moments_and_their_photos(desk):
    first = write(desk, [{"kind": "finding", "what": "rust", "place": "rear_left", "says": "sill"}], photos=[photo(90)])
    write(desk, [{"kind": "measured", "what": "pads", "sets": {"brakes.measured.front_left.pad": 5.5}}])
    last = write(desk, [{"kind": "done", "job": "welded", "place": "rear_left"}], photos=[photo(220)],
                 settles=[f"finding_{first.written[0]}@rear_left"])  # fmt: skip
    found = compared(desk, f"#{first.written[0]}", "now")
    assert found.told.entries == 2
    assert "car file brakes.measured.front_left.pad" in {one.what for one in found.told.changes}
    (place, was, now), = found.photos  # fmt: skip
    assert (place, was.number, now.number) == ("rear_left", first.written[0], last.written[0])
    # The other way round it is the same.
    assert compared(desk, "now", f"#{first.written[0]}") == found
    (_, none, _), = compared(desk, "#1", "").photos  # fmt: skip
    assert none is None
    for nonsense in ("yesterday", "#9999", "2020-01-01"):
        with pytest.raises(Refusal):
            compared(desk, nonsense, "now")


def test_a_struck_entrys_photo_is_not_shown(desk):
    told = write(desk, [{"kind": "finding", "what": "rust", "place": "front", "says": "x"}], photos=[photo(1)])
    assert compared(desk, "#1", "").photos
    take_back(desk, told.written[0])
    assert compared(desk, "#1", "").photos == ()


def test_readings_teach_on_after_the_pads_were_measured(desk):
    before = desk.state.readings
    assert before is not None
    write(desk, [{"kind": "measured", "what": "pads", "sets": {"brakes.measured.front_left.pad": 5.5}}])
    assert desk.state.readings.passes == before.passes
    write(desk, [{"kind": "fitted", "part": "coil", "place": "rear", "sets": {"rear.both.spring.stack[0].rate": 99}}])
    assert desk.state.readings is None


def test_a_car_file_gets_a_book_in_one_go(tmp_path):
    folder = car_folder(tmp_path)
    desk = Desk(folder)
    with pytest.raises(Refusal, match="begin one"):
        write(desk, [{"kind": "note", "says": "x"}])
    before = desk.state
    rounds.enter(desk, "front_left", "height", "606.5", "R.")
    texts = {path.name: path.read_bytes() for path in folder.glob("*.yaml")}
    where = desk.begin_book()
    assert where == folder / "car.book"
    assert desk.papers.book is not None
    assert verify(desk.papers.book).troubles == []
    # What was entered, what was read and where the adjusters stand have all come along.
    assert {one.name: one.text for one in rounds.the_round(desk).fields}["read.front_left.height"] == "606.5"
    assert len(desk.state.readings.passes) == len(before.readings.passes)
    assert desk.state.targets == before.targets
    standing = before.car.at_settings(
        {name: before.car.adjusters()[name].travel_of(value)
         for name, value in before.readings.latest.settings.items()}
    )  # fmt: skip
    for name, adjuster in desk.state.car.adjusters().items():
        assert adjuster.setting == pytest.approx(standing.adjusters()[name].setting, abs=1e-9)
    assert texts == {path.name: path.read_bytes() for path in folder.glob("*.yaml")}
    with pytest.raises(Refusal, match="has a book"):
        desk.begin_book()
    desk.close()
    again = Desk(folder)
    assert again.papers.book is not None, "the folder opens as its book from now on"
    again.close()
    file = Desk(folder / "car.yaml")
    with pytest.raises(Refusal, match="there already"):
        file.begin_book()
    assert file.papers.book is None
    file.close()


def test_a_way_is_picked_and_given_up_again(tmp_path):
    desk = Desk(car_folder(tmp_path))
    said: list[str] = []
    first = desk.make_plan(lambda share, what: said.append(what), other_ways=True)
    assert desk.ways() == first
    assert first.alternatives
    assert any("looking for a plan with" in what for what in said)
    name = first.alternatives[0].name
    other = desk.make_plan(lambda share, what: None, way=name)
    assert other.way == name
    assert desk.plan() == other
    assert desk.ways() == first
    desk.best_way()
    assert desk.plan() == first
    desk.tick(0, True)
    with pytest.raises(Refusal):
        desk.best_way()
    desk.close()


def test_the_plan_is_kept_to_compare_with_what_is_read(tmp_path):
    desk = Desk(car_folder(tmp_path))
    assert desk.last_plan() is None
    planned = desk.make_plan(lambda share, what: None)
    for number in range(len(planned.moves)):
        desk.tick(number, True)
    rounds.enter(desk, "front_left", "height", "606")
    rounds.keep(desk)
    assert desk.last_plan() == (planned, True)
    # A round after no moves has nothing to compare with.
    rounds.enter(desk, "front_left", "height", "606.5")
    rounds.keep(desk)
    assert desk.last_plan() is None
    desk.close()


@pytest.mark.skipif(not SERVER, reason="no CORNERWRIGHT_TEST_POSTGRESQL: PostgreSQL not tested")
def test_a_book_on_a_server_keeps_what_is_entered_on_this_machine(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path / "state"))
    where = f"{SERVER}#t_{uuid4().hex}"
    make_book(where, [*opening(), say("reading", 5, reading={"rear_left": {"height": 612}})]).close()
    try:
        desk = Desk(where)
        assert desk.papers.ledger.parent == tmp_path / "state" / "cornerwright"
        rounds.enter(desk, "rear_left", "height", "613", "R.")
        assert '"613"' in desk.papers.ledger.read_text()
        told = write(desk, [{"kind": "finding", "what": "leak", "place": "front", "says": "hose"}], photos=[photo(9)])
        assert f"finding_{told.written[0]}@front" in {job.name for job in desk.jobs().jobs}
        assert compared(desk, "#1", "").photos
        rounds.keep(desk, "R.")
        # Another app on the same book has its own file of what is entered.
        with Book.open(where) as other:
            assert other.log(last=1)[0].plain["body"]["kind"] == "reading"
        desk.close()
        Desk(where).close()
    finally:
        drop(where)


def test_a_server_that_is_not_there_is_named(tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_STATE_HOME", str(tmp_path))
    with pytest.raises(Refusal, match="nobody@"):
        Desk(f"postgresql://nobody@/none?host={tmp_path}#car")
    with pytest.raises(Refusal, match="postgresql"):
        Desk("mysql://x/y")
