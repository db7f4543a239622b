"""Jobs put off until something, told that it has come, taken back; what was measured or marked on the car."""

from __future__ import annotations

import pytest

import cornerwright as cw
from cornerwright.book.book import Book
from cornerwright.book.making import make_book
from cornerwright.model.entry import Entry
from cornerwright.planning.adding import add_entries
from cornerwright.planning.open_work import work_open
from cornerwright.planning.telling import by_group, difference, entry_words
from diary import moved, opening, say

RULE = "lamps@car"


@pytest.fixture
def book(tmp_path):
    with make_book(tmp_path / "a.book", opening()) as made:
        made.append_all([moved("rear_left.perch", 46.0, 3), moved("rear_right.perch", 46.0, 4)])
        yield made


def jobs(book: Book):
    return {job.name: job for job in work_open(book.record(), book, "book", cw.__version__).jobs}


def ready(*names: str, says: str = "the rods have come") -> Entry:
    return Entry.model_validate({"ready": names, "body": {"kind": "note", "says": says}})


def put_off(name: str, until: str = "the rods have come") -> Entry:
    return say("put_off", job="later", of=name, until=until)


def added(book: Book, *entries: Entry):
    return add_entries(book, entries, (), cw.__version__)


def test_a_job_of_the_rules_waits_under_its_own_name_until_it_has_come(book):
    before = jobs(book)
    assert before["toe@rear"].waits is None
    added(book, put_off("toe@rear"))
    job = jobs(book)["toe@rear"]
    assert job.waits == "the rods have come"
    assert "Put off" in job.reason
    assert before["toe@rear"].reason in job.reason
    assert jobs(book).keys() == before.keys()
    added(book, ready("toe@rear"))
    job = jobs(book)["toe@rear"]
    assert job.waits is None
    assert "told on" in job.reason


def test_put_off_it_stops_the_car_still(book):
    assert jobs(book)["hoses@rear"].stops_driving
    added(book, put_off("hoses@rear"))
    job = jobs(book)["hoses@rear"]
    assert job.stops_driving
    assert "hoses@rear" in work_open(book.record(), book, "b", cw.__version__).stops_driving


def test_done_in_between_it_counts_anew(book):
    added(book, put_off(RULE))
    assert jobs(book)[RULE].waits
    added(book, Entry.model_validate({"settles": [RULE], "body": {"kind": "done", "job": "lamps aimed"}}))
    assert RULE not in jobs(book)
    added(book, moved("rear_left.perch", 12.0), moved("rear_right.perch", 12.0))
    assert jobs(book)[RULE].waits is None


def test_a_reading_in_between_counts_anew_too(book):
    added(book, put_off("toe@rear"))
    corner = {"toe": 0.2}
    added(book, say("reading", reading={"rear_left": corner, "rear_right": corner}))
    assert "toe@rear" not in jobs(book)
    added(book, moved("rear_left.perch", 10.0), moved("rear_right.perch", 10.0))
    assert jobs(book)["toe@rear"].waits is None


def test_taken_back_it_stands_in_the_list_again(book):
    number = added(book, put_off("toe@rear")).written[0]
    was = book.entry(number)
    strike = {"kind": "correction", "corrects": was.id, "says": "taken back"}
    added(book, Entry.model_validate({"body": strike}))
    assert jobs(book)["toe@rear"].waits is None
    assert "Put off" not in jobs(book)["toe@rear"].reason
    done = added(book, Entry.model_validate({"settles": ["lamps@car"], "body": {"kind": "done", "job": "aimed"}}))
    assert "lamps@car" in done.settled
    strike["corrects"] = done.ids[0]
    back = added(book, Entry.model_validate({"body": strike}))
    assert "lamps@car" in {job.name for job in back.stale}


def test_a_job_of_its_own_is_told_the_same_way(book):
    number = added(book, say("put_off", job="paint", until="it is warm", stands="raised")).written[0]
    name = f"later_{number}@car"
    assert jobs(book)[name].waits == "it is warm"
    added(book, ready(name, says="a warm week"))
    assert jobs(book)[name].waits is None
    assert "waits no longer" in entry_words(book.log(last=1)[0].plain)


def test_what_waits_for_nothing_is_named(book):
    added(book, put_off("toe@rear"))
    with pytest.raises(cw.Refusal, match="did you mean toe@rear"):
        added(book, ready("toe@raer"))
    with pytest.raises(cw.Refusal, match="an open job"):
        added(book, put_off("toe@roof"))
    count = book.count()
    added(book, ready("toe@rear"))
    with pytest.raises(cw.Refusal, match="put off until something"):
        added(book, ready("toe@rear"))
    assert book.count() == count + 1


def test_measured_changes_the_car_and_fits_nothing(book):
    before = book.record()
    told = added(book, say("measured", what="pads", place="front", sets={"brakes.measured.front_left.pad": 6.2}))
    after = book.record()
    document = after.document_at(after.car)
    assert document["brakes"]["measured"]["front_left"]["pad"] == 6.2
    assert after.parts == before.parts
    assert told.stale == ()
    groups = by_group(difference(before, after, "book").changes)
    assert [one.what for one in groups["The car's own file"]] == ["brakes.measured.front_left.pad"]
    with pytest.raises(cw.Refusal, match="thicker than a new one"):
        added(book, say("measured", what="pads", sets={"brakes.measured.front_left.pad": 90.0}))


def test_a_marked_joint_stays_as_it_was_tightened(book):
    mark = {"joint": "front left wheel nuts", "place": "front_left", "did": "marked", "marked": "white paint"}
    with pytest.raises(cw.Refusal, match="tightened first"):
        added(book, say("joint", **mark))
    added(book, say("joint", joint="front left wheel nuts", place="front_left", torque=80))
    before = book.record().joints["front left wheel nuts"]
    added(book, say("joint", **mark))
    after = book.record().joints["front left wheel nuts"]
    assert after == {**before, "marked": "white paint"}
    with pytest.raises(ValueError, match="only marked"):
        say("joint", **mark, torque=80)


def test_an_older_line_reads_as_it_was_written(book):
    line = book.log(last=1)[0].plain
    assert "ready" not in line
    assert Entry.model_validate(line).to_document() == line
