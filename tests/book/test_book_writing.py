"""What goes into a book, what it amounts to, and that nothing of it can be changed."""

from __future__ import annotations

import random
import threading

import pytest
import sqlalchemy as sa

from cornerwright.book import history
from cornerwright.book.book import Book
from cornerwright.book.fold import fold
from cornerwright.book.history import START, corrections_of, rows_of
from cornerwright.book.making import make_book
from cornerwright.book.tables import entry
from cornerwright.book.verify import verify
from cornerwright.model.errors import Refusal
from cornerwright.model.record import Record
from diary import PNG, at, moved, opening, say
from workshop import example_car


def whole_history(book: Book) -> Record:
    """The record worked out from the first entry, whatever is kept at hand."""
    with book.store.reading() as connection:
        rows = list(rows_of(connection, START, None))
        return fold(Record(), rows, corrections_of(connection, START)).pruned()


def test_a_new_book_tells_of_its_car(book):
    record = book.record()
    assert record.name == "Tarn Fell 1300 hillclimb saloon"
    assert record.settings["rear_left.perch"] == 28
    assert record.currency == "EUR"
    assert book.count() == 2
    assert verify(book).troubles == []


def test_every_kind_of_entry_changes_what_it_should(book):
    book.append_all(
        [
            moved("rear_left.perch", 20, 1),
            say("fitted", 2, part="coil spring", place="rear_left", price=58.25, sets={
                "rear.both.spring.stack[0].rate": 92}),
            say("removed", 3, part="old spring", place="rear_left", kept="shelf B"),
            say("reading", 4, reading={"rear_left": {"height": 612}}),
            say("reading", 5, reading={"rear_left": {"height": 614, "toe": 0.1}}),
            say("joint", 6, joint="arm bolt", place="rear_left", torque="85 N·m", stood="hanging"),
            say("finding", 7, what="rust", place="rear", says="sill"),
            say("put_off", 8, job="paint", hours=2, price=10),
            say("done", 9, job="welding", hours=1.5, price=3.5, settles=("finding_9@rear",)),
            say("drive", 10, distance="30 mi"),
            say("note", 11, says="rain\u2028all day"),
        ]
    )  # fmt: skip
    record = book.record()
    assert record.settings["rear_left.perch"] == 20
    document = record.document_at(record.car)
    assert [document["rear"][side]["spring"]["stack"][0]["rate"] for side in ("left", "right")] == [92, 92]
    assert document["rear"]["left"]["adjusters"]["perch"]["setting"] == 20
    assert set(record.parts) == {"rear_left: coil spring"}
    assert record.kept["rear_left: old spring"]["where"] == "shelf B"
    assert record.read["rear_left"]["height"]["first"] == 612
    assert record.read["rear_left"]["height"]["value"] == 614
    assert record.joints["arm bolt"]["torque"] == 85
    assert record.findings == {}
    assert record.settled == {}
    assert list(record.put_off) == ["later_10@car"]
    assert (record.cents, record.hours) == (6175, 1.5)
    assert record.km == pytest.approx(48.2803, abs=1e-3)
    assert record.pruned().to_text() == whole_history(book).to_text()


def test_a_move_keeps_where_it_came_from(book):
    written = book.append(moved("rear_left.perch", 20))
    assert book.entry(written.number).body.to_document()["setting_from"] == 28


@pytest.mark.parametrize(
    ("new", "field"),
    [
        (lambda: moved("rear_left.nothing", 3), "body.adjuster"),
        (lambda: moved("rear_left.perch", 300), "body.setting_to"),
        (lambda: say("correction", corrects="0" * 32, says="slip"), "body.corrects"),
        (lambda: say("fitted", part="x", place="rear", sets={"rear.left.spring.stak": 3}), "body.sets"),
        (lambda: say("fitted", part="x", place="rear", sets={"rear.left.spring.stack[0].rate": "92 mm"}), "body.sets"),
        (lambda: say("note", 60 * 24 * 3650, says="the future"), "when"),
        (lambda: say("note", says="x").model_copy(update={"photos": ("ab" * 32,)}), "photos"),
    ],
)
def test_what_does_not_fit_the_car_is_refused_and_changes_nothing(book, new, field):
    before = verify(book).digest
    with pytest.raises(Refusal) as told:
        book.append_all([say("note", says="goes with it"), new()])
    assert told.value.problems[0].field.startswith(field)
    assert told.value.problems[0].file == book.where
    assert verify(book).digest == before


def test_the_same_entry_is_not_written_twice(book):
    one = say("note", says="once")
    book.append(one)
    with pytest.raises(Refusal, match="in the book already"):
        book.append(one)
    assert book.count() == 3


@pytest.mark.parametrize(
    "entries",
    [
        [],
        [say("note", says="no car")],
        [say("fitted", part="arm", place="front", sets={"front.track": 1400})],
        [moved("rear_left.perch", 20)],
    ],
)
def test_a_book_begins_with_its_car(place, entries):
    with pytest.raises(Refusal, match="car first"):
        make_book(place, entries)
    with make_book(place, opening()) as made:  # nothing was left behind
        assert made.count() == 2


# ---------------------------------------------------------------------- never changed


def test_entries_cannot_be_changed_deleted_or_replaced(book):
    row = {"number": 1, "id": "f" * 32, "moment": "x", "kind": "note", "digest": "0" * 64, "line": "{}"}
    ways = [
        sa.update(entry).values(line="{}"),
        sa.delete(entry),
        sa.insert(entry).values(row) if book.store.server else sa.insert(entry).prefix_with("OR REPLACE").values(row),
    ]
    if book.store.server:
        ways.append(sa.text("TRUNCATE entry"))
    for way in ways:
        with pytest.raises(Refusal), book.store.writing() as connection:
            connection.execute(way)
    assert verify(book).troubles == []


def test_a_correction_stands_in_the_place_of_its_entry(book):
    slip = book.append(moved("rear_left.perch", 20, 1))
    book.append(moved("rear_left.body", 30, 2))
    right = {"kind": "move", "adjuster": "rear_left.perch", "setting_to": 22}
    book.append(say("correction", 3, corrects=slip.id, says="misread", instead=right))
    assert book.record().settings["rear_left.perch"] == 22
    assert book.record(book.order_of(slip.number)).settings["rear_left.perch"] == 22
    assert book.record_as_written(slip.number).settings["rear_left.perch"] == 20
    assert book.log(kind="move")[0].corrected_by == 5
    assert book.entry(slip.number).body.to_document()["setting_to"] == 20


def test_a_correction_of_a_correction_corrects_the_entry(book):
    slip = book.append(say("drive", 1, distance=50))
    first = say("correction", 2, corrects=slip.id, says="misread", instead={"kind": "drive", "distance": 5})
    book.append(first)
    book.append(say("correction", 3, corrects=first.id, says="it never drove"))
    assert book.record().km == 0
    assert verify(book).troubles == []


def test_the_car_a_book_begins_with_is_not_struck_out(book):
    """Every later entry is said of it: without it nothing fits and nothing can be worked out."""
    first = book.entry(1)
    for instead in (None, {"kind": "note", "says": "other car"}):
        with pytest.raises(Refusal, match="car first"):
            book.append(say("correction", 1, corrects=first.id, says="other car", instead=instead))
    other = first.to_document()["body"] | {"currency": "CHF"}
    book.append(say("correction", 2, corrects=first.id, says="other money", instead=other))
    with pytest.raises(Refusal, match="car first"):  # nor by way of the correction
        book.append(say("correction", 3, corrects=book.entry(3).id, says="no"))
    assert book.record().currency == "CHF"
    assert verify(book).troubles == []


def test_settling_goes_with_a_struck_out_entry(book):
    book.append(say("finding", 1, what="play", place="front", says="ball joint"))
    done = book.append(say("done", 2, job="renewed", settles=("finding_3@front",)))
    assert book.record().findings == {}
    book.append(say("correction", 3, corrects=done.id, says="other car"))
    assert list(book.record().findings) == ["finding_3@front"]


NOTHING = {"kind": "note", "says": "nothing"}


def _range_taken_back(book):
    """The perch stands where only the longer thread lets it stand."""
    long = say("fitted", 5, part="long thread", place="front_left",
               sets={"front.left.adjusters.perch.range": [0, 90]})  # fmt: skip
    book.append(long)
    book.append(moved("front_left.perch", 80, 6))
    return say("correction", 7, corrects=long.id, says="other car", instead=NOTHING)


def _spring_taken_back(book):
    """The second spring that a later entry changes was never there."""
    spring = {"rate": 90, "free_length": 190, "block_length": 80}
    two = say("fitted", 5, part="helper", place="rear_left", sets={"rear.left.spring.stack": [spring, spring]})
    book.append(two)
    book.append(say("fitted", 6, part="stiff", place="rear_left", sets={"rear.left.spring.stack[1].rate": 60}))
    return say("correction", 7, corrects=two.id, says="other car", instead=NOTHING)


def _spring_fitted_before(book):
    """The same, told by an entry that is written down late."""
    spring = {"rate": 90, "free_length": 190, "block_length": 80}
    book.append(say("fitted", 5, part="helper", place="rear_left", sets={"rear.left.spring.stack": [spring, spring]}))
    book.append(say("fitted", 9, part="stiff", place="rear_left", sets={"rear.left.spring.stack[1].rate": 60}))
    return say("fitted", 7, part="alone", place="rear_left", sets={"rear.left.spring.stack": [spring]})


@pytest.mark.parametrize("happens", [_range_taken_back, _spring_taken_back, _spring_fitted_before])
def test_the_past_is_not_told_so_that_no_car_is_left(book, happens):
    new = happens(book)
    before = book.record().to_text()
    with pytest.raises(Refusal, match="a change of the past"):
        book.append(new)
    assert book.record().to_text() == before
    assert verify(book).troubles == []
    book.append(say("note", 10, says="the book goes on"))


def test_the_description_of_the_car_may_be_told_otherwise(book):
    car = example_car().to_document() | {"name": "its other name"}
    instead = {"kind": "car", "car": car}
    book.append(say("correction", 7, corrects=book.entry(1).id, says="its name", instead=instead))
    assert book.record().name == "its other name"


# ---------------------------------------------------------------------- order and snapshots


def test_events_count_in_the_order_they_happened(book):
    book.append(moved("rear_left.perch", 20, 10))
    book.append(moved("rear_left.perch", 25, 5))  # written later, happened before
    assert book.record().settings["rear_left.perch"] == 20
    assert book.record((at(7).strftime("%Y-%m-%dT%H:%M:%S.%fZ"), 2**62)).settings["rear_left.perch"] == 25


@pytest.mark.parametrize("seed", range(3))
def test_what_is_kept_at_hand_is_what_the_entries_amount_to(book, seed, monkeypatch):
    monkeypatch.setattr(history, "SNAPSHOT_EVERY", 7)
    monkeypatch.setattr(history, "FAR_APART", 14)
    monkeypatch.setattr("cornerwright.book.book.SNAPSHOT_EVERY", 7)
    draw = random.Random(seed)
    ids = []
    for _ in range(60):
        choice = draw.random()
        when = draw.uniform(0, 1000)
        if choice < 0.2 and ids:
            instead = draw.choice([None, {"kind": "drive", "distance": draw.randrange(1, 9)}])
            one = say("correction", when, corrects=draw.choice(ids), says="slip", instead=instead)
        elif choice < 0.6:
            one = moved(draw.choice(["rear_left.perch", "front_left.perch"]), draw.randrange(1, 40), when)
        elif choice < 0.8:
            one = say("drive", when, distance=draw.randrange(1, 50))
        else:
            one = say("reading", when, reading={"rear_left": {"height": draw.randrange(600, 640)}})
        if one.body.kind != "correction":
            ids.append(one.id)
        book.append(one)
        assert book.record().pruned().to_text() == whole_history(book).to_text()
    with book.store.reading() as connection:
        steps = connection.execute(sa.text("SELECT step FROM snapshot ORDER BY step")).scalars().all()
    assert len(steps) > 2
    assert all(step % 14 == 0 for step in steps[:-3])
    for step in range(1, 61, 6):
        until = book.order_of(step)
        with book.store.reading() as connection:
            rows, instead = list(rows_of(connection, START, until)), corrections_of(connection, START)
        assert book.record(until).pruned().to_text() == fold(Record(), rows, instead).pruned().to_text()
    assert verify(book).troubles == []


def test_what_another_version_kept_at_hand_is_worked_out_again(book, monkeypatch):
    for name in ("cornerwright.book.history", "cornerwright.book.book"):
        monkeypatch.setattr(f"{name}.SNAPSHOT_EVERY", 2)
    book.append(moved("rear_left.perch", 20))
    with book.store.writing() as connection:
        connection.execute(sa.text("UPDATE snapshot SET state = replace(state, :was, :now)"),
                           {"was": '"format":2', "now": '"format":0'})  # fmt: skip
    assert book.record().settings["rear_left.perch"] == 20
    book.append_all([moved("rear_left.perch", 21), moved("rear_left.perch", 22)])
    assert book.record().pruned().to_text() == whole_history(book).to_text()
    assert verify(book).troubles == []


def test_the_log_is_cut_as_asked(book):
    book.append_all([say("note", says=str(k)) for k in range(10)])
    book.append(say("finding", what="rust", place="rear", says="sill"))
    assert [one.number for one in book.log(3)] == [11, 12, 13]
    assert [one.number for one in book.log(2, before=5)] == [3, 4]
    assert [one.number for one in book.log(kind="finding")] == [13]
    assert [one.number for one in book.log(place="rear")] == [13]


# ---------------------------------------------------------------------- photos


def test_a_photo_is_kept_by_what_is_in_it(book):
    written = book.append(say("finding", what="rust", place="rear", says="sill"), [PNG, PNG])
    (digest,) = book.entry(written.number).photos
    assert book.photo(digest) == PNG
    assert book.photo("00" * 32) is None
    assert [one.number for one in book.log(with_photos=True)] == [written.number]
    assert verify(book).photos == 1


# ---------------------------------------------------------------------- several at once


def test_several_who_write_at_once_lose_nothing_and_see_each_other(book, place):
    written: list[str] = []
    troubles: list[BaseException] = []

    def work(name: str) -> None:
        try:
            with Book.open(place) as own:
                for k in range(15):
                    one = own.append(say("note", says=f"{name} {k}"))
                    assert own.entry(one.number).id == one.id
                    written.append(one.id)
        except BaseException as trouble:
            troubles.append(trouble)

    hands = [threading.Thread(target=work, args=(name,)) for name in "RMKT"]
    for hand in hands:
        hand.start()
    for hand in hands:
        hand.join()
    assert troubles == []
    found = verify(book)
    assert (found.troubles, found.entries) == ([], 62)
    assert {one.plain["id"] for one in book.log(1000)} >= set(written)
    assert len(set(written)) == 60
