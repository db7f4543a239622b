"""Entries as documents: what they take, what they refuse, and that a line always reads back."""

from __future__ import annotations

import json
from datetime import UTC, datetime, timedelta, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from cornerwright.model.entry import Entry, canonical, day_of, moment
from diary import opening, say


@pytest.mark.parametrize("entry", [*opening(), say("drive", distance="30 mi"), say("note", says="größer\u2028")])
def test_a_line_reads_back_to_the_same_line(entry):
    line = entry.line()
    assert "\n" not in line
    again = Entry.model_validate(json.loads(line))
    assert again.line() == line


@given(st.text(min_size=1, max_size=50), st.floats(0.1, 1e4), st.datetimes(datetime(2000, 1, 1), datetime(2026, 1, 1)))
def test_any_joint_reads_back(words, torque, when):
    entry = Entry.model_validate(
        {"when": when.replace(tzinfo=UTC), "body": {"kind": "joint", "joint": words, "torque": torque}}
    )
    line = entry.line()
    again = Entry.model_validate(json.loads(line))
    assert again.line() == line
    assert json.loads(line)["body"]["torque"] == torque


def test_values_carry_their_units():
    entry = say("joint", joint="bolt", torque="63 lbf·ft", angle="90")
    assert entry.body.torque == pytest.approx(85.4165, abs=1e-3)
    assert entry.to_document()["body"]["angle"] == 90


@pytest.mark.parametrize(
    "body",
    [
        {"kind": "nothing"},
        {"kind": "joint", "joint": ""},
        {"kind": "joint", "joint": "a", "torque": 0},
        {"kind": "joint", "joint": "a", "torque": "85 lbf"},
        {"kind": "joint", "joint": "a", "state": "loose", "torque": 3},
        {"kind": "fitted", "part": "a", "place": "middle"},
        {"kind": "fitted", "part": "a", "place": "rear", "price": -1},
        {"kind": "fitted", "part": "a", "place": "rear", "price": float("nan")},
        {"kind": "move", "adjuster": "perch", "setting_to": 1},
        {"kind": "drive", "distance": 0},
        {"kind": "finding", "what": "rust", "place": "rear"},
        {"kind": "correction", "corrects": "12", "says": "x"},
        {"kind": "correction", "corrects": "0" * 32, "says": "x",
         "instead": {"kind": "correction", "corrects": "0" * 32, "says": "x"}},
        {"kind": "note", "says": "x", "more": 1},
    ],
)  # fmt: skip
def test_what_no_entry_can_say_is_refused(body):
    with pytest.raises(ValidationError):
        Entry.model_validate({"body": body})


@pytest.mark.parametrize("job", ["toe", "toe@rear", "joint@arm_bolt", "later_12@rear_left"])
def test_names_of_jobs(job):
    assert say("note", says="x", settles=(job,)).settles == (job,)


@pytest.mark.parametrize("job", ["", "Toe", "toe@", "toe rear", "../x", "a@b@c"])
def test_what_is_no_name_of_a_job(job):
    with pytest.raises(ValidationError):
        say("note", says="x", settles=(job,))


def test_moments_sort_as_they_happened():
    whens = [datetime(2026, 5, 3, 19, tzinfo=timezone(timedelta(hours=h))) for h in (5, 2, 0, -3)]
    assert sorted(map(moment, whens)) == [moment(one) for one in whens]
    assert len({len(moment(one)) for one in whens}) == 1
    assert day_of(moment(datetime(2026, 5, 3, 12, tzinfo=UTC))) == "2026-05-03"


def test_the_text_that_digests_are_taken_of_does_not_depend_on_order():
    one, other = {"b": 1.0, "a": [True, None]}, {"a": [True, None], "b": 1.0}
    assert canonical(one) == canonical(other) == '{"a":[true,null],"b":1.0}'
