"""The command `sweep`."""

from __future__ import annotations

import pytest


def test_it_tells_how_far_figures_go(cornerwright, job):
    done = cornerwright("sweep", job.car, "--over", "front.perch=18:24:2")
    assert done.status == 0, done.err
    assert "4 settings: front.perch at 4 settings" in done.out
    assert "height" in done.out
    asked = cornerwright("sweep", job.car, "--over", "front.perch=18:24:2", "--json").answer
    assert [row[0] for row in asked["rows"]] == [18.0, 20.0, 22.0, 24.0]
    assert asked["over"][0]["adjusters"] == ["front_left.perch", "front_right.perch"]


def test_two_adjusters_and_a_list(cornerwright, job):
    over = ("--over", "front_left.perch=18,20", "--over", "rear_left.perch=28")
    asked = cornerwright("sweep", job.car, *over, "--json").answer
    assert asked["points"] == 2
    assert [row[:2] for row in asked["rows"]] == [[18.0, 28.0], [20.0, 28.0]]


@pytest.mark.parametrize(
    "over",
    ["front.perch", "front.perch=", "front.nothing=1", "front.perch=1:2", "front.perch=30:10:2", "front.perch=1:20:0",
     "front.perch=1000", "front.perch=a", "front.perch=1:20:0.000001", "front.perch=1:20:2:3"],
)  # fmt: skip
def test_what_cannot_be_is_named(cornerwright, job, over):
    done = cornerwright("sweep", job.car, "--over", over)
    assert done.status == 2
    assert "--over" in done.err
    assert "Traceback" not in done.err
