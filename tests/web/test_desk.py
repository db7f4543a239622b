"""What the screens ask and tell, without a browser."""

from __future__ import annotations

import re

import pytest

import cornerwright as cw
from cars_in_hand import car_book, car_folder
from cornerwright.book.book import Book
from cornerwright.model.errors import Refusal
from cornerwright.model.parts import CORNERS
from cornerwright.web import rounds
from cornerwright.web.desk import Desk, Stopped
from cornerwright.web.overview import the_floor
from diary import say


@pytest.fixture(params=["files", "book"])
def desk(request, tmp_path):
    made = Desk(car_folder(tmp_path) if request.param == "files" else car_book(tmp_path))
    yield made
    made.close()


def planned(desk):
    return desk.make_plan(lambda share, what: None)


def test_a_picture_is_in_the_colours_of_the_screen(desk):
    svg = desk.picture(desk.pose("rear_right", 20.0))
    assert not re.findall(r'"#[0-9a-f]{6}"', svg)
    assert "rear right from behind" in svg


def test_a_step_of_an_adjuster_is_answered_by_all_corners(desk):
    told = desk.what_if({"front_left.perch": 4})
    loads = {one.corner: one.after - one.before for one in told.readings if one.reading == "load_kg"}
    assert set(loads) == set(CORNERS)
    assert all(abs(load) > 0.1 for load in loads.values())
    assert loads["front_left"] * loads["rear_right"] > 0 > loads["front_left"] * loads["front_right"]
    with pytest.raises(Refusal):
        desk.what_if({"front_left.perch": 100_000})


def test_the_floor_says_what_is_out_and_what_is_next(desk):
    told = the_floor(desk)
    assert {card.standing for card in told.corners.values()} == {"out"}
    assert told.next_go == "/plan"
    result = planned(desk)
    told = the_floor(desk)
    assert told.corners[result.moves[0].corner].standing == "next"
    for k in range(len(result.moves)):
        desk.tick(k, True)
    assert the_floor(desk).next_go == "/measure"


def test_the_floor_names_what_stops_the_car(tmp_path):
    where = car_book(tmp_path)
    with Book.open(where) as book:
        book.append(say("finding", what="crack", place="rear_left", says="arm cracked", stops_driving=True))
    desk = Desk(where)
    assert any("rear left" in words for words in the_floor(desk).stops)
    desk.close()


def test_a_round_is_stored_as_it_is_typed(desk):
    assert rounds.enter(desk, "front_left", "height", "24 1/8 in", "R.") is None
    assert "expected" in rounds.enter(desk, "rear_left", "camber", "askew")
    fields = {one.name: one for one in rounds.the_round(desk).fields}
    first = fields["read.front_left.height"]
    assert (first.text, first.who, first.trouble) == ("24 1/8 in", "R.", None)
    assert first.last is not None
    assert first.predicted == pytest.approx(first.last, abs=2)
    assert fields["read.rear_left.camber"].trouble
    # Once round the car.
    assert list(dict.fromkeys(one.corner for one in rounds.the_round(desk).fields)) == list(rounds.ROUND)
    with pytest.raises(Refusal):
        rounds.keep(desk)
    assert rounds.enter(desk, "rear_left", "camber", "-1,5") is None


def test_a_doubtful_value_is_questioned_at_once_and_let_in_when_read_again(desk):
    rounds.enter(desk, "front_left", "height", "61.2")
    doubts = rounds.the_round(desk).doubts
    assert [one.place for one in doubts] == ["front_left"]
    assert doubts[0].reading == "front_left.height"
    rounds.read_again(desk, "front_left.height")
    assert rounds.the_round(desk).doubts == ()
    assert rounds.draft(desk).checked == ("front_left.height",)
    # Typed anew, it is asked about again.
    rounds.enter(desk, "front_left", "height", "61.3")
    assert rounds.the_round(desk).doubts != ()


def test_a_round_is_worked_out_once_for_all_phones_and_anew_when_something_is_entered(desk):
    told = rounds.the_round(desk)
    assert rounds.the_round(desk) is told
    rounds.enter(desk, "front_left", "toe", "0.1")
    assert rounds.the_round(desk).entered == told.entered + 1


def test_what_is_expected_follows_the_moves(desk):
    before = {one.name: one.predicted for one in rounds.the_round(desk).fields}
    result = planned(desk)
    for k, move in enumerate(result.moves):
        if move.kind == "perch":
            desk.tick(k, True)
    after = {one.name: one.predicted for one in rounds.the_round(desk).fields}
    for corner in CORNERS:
        wanted = result.predicted[corner]["height_mm"]
        name = f"read.{corner}.height"
        assert abs(after[name] - wanted.value) < abs(before[name] - wanted.value) or abs(after[name] - wanted.value) < 2


def test_the_whole_pass_goes_into_the_papers(desk):
    passes = len(desk.state.readings.passes)
    result = planned(desk)
    for k in range(len(result.moves)):
        desk.tick(k, True, "R.")
    desk.tick(0, False)
    desk.tick(0, True)
    for corner in CORNERS:
        rounds.enter(desk, corner, "height", f"{result.predicted[corner]['height_mm'].value:.1f}")
        rounds.enter(desk, corner, "camber", f"{result.predicted[corner]['camber_deg'].value:.2f}")
    rounds.keep(desk, "R.")
    state = desk.state
    assert len(state.readings.passes) == passes + 1
    latest = state.readings.latest
    for move in result.moves:
        name = f"{move.corner}.{move.adjuster}"
        adjuster = state.car.adjusters()[name]
        assert adjuster.travel_of(latest.settings[name]) == pytest.approx(move.to_mm / 1e3, abs=1e-6)
    # The pass before it teaches still: it names the settings it was read at.
    assert all(one.settings for one in state.readings.passes)
    assert desk.plan() is None
    assert not desk.ticked()
    assert not rounds.the_round(desk).entered
    if desk.papers.book is not None:
        kinds = [line.plain["body"]["kind"] for line in desk.papers.book.log(last=40)]
        assert kinds.count("move") == len(result.moves)
        assert kinds[-1] == "reading"
    again = planned(desk)
    assert len(again.moves) <= len(result.moves)


def test_killed_while_keeping_the_round_is_there_once(desk, monkeypatch):
    result = planned(desk)
    desk.tick(0, True)
    for corner in CORNERS:
        rounds.enter(desk, corner, "height", f"{result.predicted[corner]['height_mm'].value:.1f}")
    passes = len(desk.state.readings.passes)

    def killed(*names):
        raise KeyboardInterrupt

    monkeypatch.setattr(desk.ledger, "clear", killed)
    with pytest.raises(KeyboardInterrupt):
        rounds.keep(desk)
    monkeypatch.undo()
    rounds.keep(desk)
    assert len(desk.state.readings.passes) == passes + 1
    if desk.papers.book is not None:
        assert sum(line.plain["body"]["kind"] == "move" for line in desk.papers.book.log()) == 1


def test_what_is_changed_after_such_a_crash_is_another_round_and_its_moves_are_there_once(desk, monkeypatch):
    planned(desk)
    desk.tick(0, True)
    for corner in CORNERS:
        rounds.enter(desk, corner, "height", "610.0")
    passes = len(desk.state.readings.passes)

    def killed(*names):
        raise KeyboardInterrupt

    monkeypatch.setattr(desk.ledger, "clear", killed)
    with pytest.raises(KeyboardInterrupt):
        rounds.keep(desk)
    monkeypatch.undo()
    rounds.enter(desk, "rear_left", "height", "611.0")
    rounds.keep(desk)
    state = desk.state
    assert len(state.readings.passes) == passes + 2
    assert state.readings.latest.corners["rear_left"].height == pytest.approx(0.611)
    if desk.papers.book is not None:
        assert sum(line.plain["body"]["kind"] == "move" for line in desk.papers.book.log()) == 1


def test_loads_are_all_there_or_none(desk):
    rounds.enter(desk, "front_left", "load", "240")
    rounds.enter(desk, "front_left", "height", "612")
    with pytest.raises(Refusal, match="all four"):
        rounds.keep(desk)
    assert rounds.the_round(desk).entered == 2


def test_long_work_is_told_and_can_be_stopped(desk):
    told = []

    def tell(share, what):
        if told:
            raise Stopped
        told.append((share, what))

    with pytest.raises(Stopped):
        desk.make_plan(tell)
    assert told
    assert desk.plan() is None


def test_no_plan_over_moves_that_were_not_read(desk):
    planned(desk)
    desk.tick(0, True)
    with pytest.raises(Refusal, match="readings first"):
        planned(desk)
    with pytest.raises(Refusal):
        desk.tick(99, True)


def test_the_plan_and_its_ticks_outlive_the_app(tmp_path):
    folder = car_folder(tmp_path)
    desk = Desk(folder)
    result = planned(desk)
    desk.tick(1, True, "R.")
    desk.close()
    again = Desk(folder)
    assert again.plan() == result
    assert again.ticked() == {1}
    again.close()


def test_papers_changed_by_another_program_are_seen(tmp_path):
    folder = car_folder(tmp_path)
    desk = Desk(folder)
    before = desk.stamp, desk.pose("front_left").camber_deg
    text = (folder / "readings.yaml").read_text()
    (folder / "readings.yaml").write_text(text.replace("camber: -1.6", "camber: -1.1"))
    assert desk.stamp != before[0]
    assert desk.pose("front_left").camber_deg > before[1] + 0.2
    desk.close()


def test_what_is_no_car_is_refused(tmp_path):
    with pytest.raises(Refusal, match="without a book"):
        Desk(tmp_path)
    with pytest.raises(Refusal, match="no such file"):
        Desk(tmp_path / "none.yaml")
    assert cw.Refusal is Refusal
