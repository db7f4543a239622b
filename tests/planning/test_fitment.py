"""Bad parts each give a message of their own; good ones none; what is advised does what is said."""

from __future__ import annotations

import copy
import re

import numpy as np
import pytest

import cornerwright as cw
from cars import tree_of_kind
from cornerwright.assembly.rig import Rig
from cornerwright.assembly.wheel_fit import WheelFit, profile_of
from cornerwright.model.car import Car
from cornerwright.model.carfile import load_car
from cornerwright.model.errors import Refusal
from cornerwright.planning.check import check
from cornerwright.planning.fit_inverse import Wanted
from cornerwright.planning.fitment import fit
from cornerwright.planning.part_rules import judge
from shared import PROJECT
from workshop import DROP, at_settings, car_with, put

SMALL = (9, 5)
SKERRY = PROJECT / "examples" / "skerry_nine" / "car.yaml"
LEFT = "front.left.wheel"


def found(edits, place="front_left"):
    """Findings of the example with these edits, at a place."""
    result = fit(car_with(edits), place if place in Car.model_fields or "_" in place else None, size=SMALL)
    return [one for one in result.findings if one.place == place]


def said(edits, about, level=None, place="front_left"):
    return [one.says for one in found(edits, place) if one.about == about and level in (None, one.level)]


def skerry(edits):
    tree = copy.deepcopy(load_car(SKERRY).to_document())
    for path, value in edits.items():
        put(tree, path, value)
    return Car.model_validate(tree)


@pytest.mark.parametrize("name", ["tarn_fell", "skerry_nine"])
def test_the_examples_fit(name):
    result = cw.fit(cw.load_car(PROJECT / "examples" / name / "car.yaml"), size=SMALL)
    assert result.verdict == "fits"
    assert set(result.corners) == {"front_left", "front_right", "rear_left", "rear_right"}
    assert {one.level for one in result.findings} <= {"note"}
    for corner in result.corners.values():
        assert corner.wheel is not None
        assert corner.clearances
        assert corner.lip_distance_mm > 0


BAD = [
    ({f"{LEFT}.rim.bore": 60}, "wheel", "limit", "wrong bore: 60 mm does not go over the spigot of 62 mm"),
    ({f"{LEFT}.rim.bore": 66.6}, "wheel", "warning", "wrong bore: the wheel's is 4.6 mm larger than the spigot"),
    (
        {f"{LEFT}.rim.pitch_circle": 100},
        "wheel",
        "limit",
        "wrong pitch circle: the wheel has 4 x 100 mm, the hub 4 x 102",
    ),
    ({f"{LEFT}.rim.bolts": 5}, "wheel", "limit", "the wheel has 5 holes, the hub takes 4"),
    ({f"{LEFT}.rim.load": 250}, "wheel", "limit", "the wheel may carry 250 kg; half of what the axle may carry is 270"),
    ({"front.left.tyre.marking": "185/60R14 60H"}, "tyre", "limit", "the tyre carries 250 kg (load index 60)"),
    (
        {"front.left.tyre.marking": "185/60R14 82Q"},
        "tyre",
        "limit",
        "speed symbol Q is for 160 km/h; the car reaches 175",
    ),
    ({f"{LEFT}.rim.width": "4 in"}, "tyre", "warning", "the tyre is too wide for the rim: the rim is 4 in wide"),
    (
        {"front.left.tyre.rims": ["6 in", "7 in"]},
        "tyre",
        "limit",
        "too wide for the rim: the rim is 5.5 in wide, its maker",
    ),
    ({f"{LEFT}.rim.width": "8 in"}, "tyre", "warning", "the tyre is too narrow for the rim"),
    ({"front.left.tyre.marking": "185/60R15 84H"}, "tyre", "limit", "the tyre is for a rim of 15 in, the wheel has 14"),
    ({"front.left.tyre.free_radius": 305}, "tyre", "warning", "a free radius of 305 mm is not that of a 185/60R14"),
    (
        {f"{LEFT}.spacer": {"thickness": 10, "bore": 62.1}},
        "spacer",
        "warning",
        "the spacer has no spigot and leaves 0 mm of the hub's for the wheel: its nuts alone centre it",
    ),
    (
        {f"{LEFT}.spacer.bore": 65},
        "spacer",
        "warning",
        "nothing centres the spacer on the hub: its bore is 3 mm larger",
    ),
    ({f"{LEFT}.spacer.bore": 61}, "spacer", "limit", "the spacer does not go on"),
    ({f"{LEFT}.spacer.pitch_circle": 98}, "spacer", "limit", "the spacer's holes are on a pitch circle of 98 mm"),
    ({"front.left.tyre.marking": "185/60R14"}, "tyre", "note", "has no load index"),
    ({"front.left.room": DROP}, "clearance", "note", "nothing around the wheel is measured"),
    ({"front.left.room.lock": DROP}, "clearance", "note", "looked at straight ahead only"),
]


@pytest.mark.parametrize(("edits", "about", "level", "words"), BAD, ids=[one[3][:40] for one in BAD])
def test_each_bad_part_has_a_message_of_its_own(edits, about, level, words):
    told = said(edits, about, level)
    assert any(words in one for one in told), told
    assert not any(words in one.says for one in found({}))
    assert all(one.do for one in found(edits))


def test_flat_seats_that_the_spigot_does_not_help_are_a_limit():
    edits = {f"{LEFT}.rim.bore": 66.6, f"{LEFT}.rim.seat": "flat"}
    assert any("nothing does" in one for one in said(edits, "wheel", "limit"))


def test_a_ring_puts_the_bore_right():
    edits = {f"{LEFT}.rim.bore": 66.6, f"{LEFT}.rim.ring": {"inner": 62.05, "outer": 66.6}}
    assert said(edits, "wheel") == []


def test_without_a_plate_what_stands_on_the_tyre_counts():
    edits = {"front.most_load": DROP, "front.left.tyre.marking": "185/60R14 55H"}
    (one,) = said(edits, "tyre", "limit")
    assert "what stands on it is 239 kg" in one


def test_load_at_speed_counts():
    car = {"top_speed": 240, "front.left.tyre.marking": "185/60R14 65V"}
    (one,) = said(car, "tyre", "limit")
    assert one.startswith("the tyre carries 264 kg at 240 km/h (load index 65)")


def test_contact_is_a_limit_and_nearness_a_warning():
    bolt = {"at": [0, 640, 600], "radius": 5}
    (one,) = said({"front.left.room.obstacles.bolt": bolt}, "clearance", "limit")
    assert re.fullmatch(r"the tyre meets bolt by [\d.]+ mm at \+67 mm of lift(, turned [+-]\d+ deg)?", one)
    told = fit(car_with({"front.left.room.obstacles.bolt": bolt}), "front_left", size=SMALL).corners["front_left"]
    assert told.lift_to_contact_mm is not None
    assert 0 < told.lift_to_contact_mm < told.full_bump_mm
    assert told.chance_of_rubbing > 0.99
    assert any("comes within" in one for one in said({"front.left.room.gap": 12}, "clearance", "warning"))


def test_lift_to_contact_is_where_the_clearance_ends():
    bolt = {"at": [0, 687, 618], "radius": 0}
    car = car_with(
        {"front.left.room.obstacles": {"bolt": bolt}, "front.left.room.lip": DROP, "front.left.room.lock": DROP}
    )
    told = fit(car, "front_left", size=(41, 1)).corners["front_left"]
    # Straight over the middle of a level tread: contact when the tread has risen to it.
    assert told.lift_to_contact_mm == pytest.approx(618 - 279 - 291, abs=1.0)


def test_right_is_the_mirror_of_left():
    result = fit(car_with({}), size=SMALL)
    left, right = result.corners["front_left"], result.corners["front_right"]
    assert right.lip_distance_mm == pytest.approx(left.lip_distance_mm, abs=0.02)
    for mine, theirs in zip(left.clearances, right.clearances, strict=True):
        assert theirs.obstacle == mine.obstacle
        assert theirs.clearance_mm == pytest.approx(mine.clearance_mm, abs=0.02)
        assert theirs.at_mm[1] == pytest.approx(-mine.at_mm[1], abs=3.0)
    flipped = np.array(right.map.clearance_mm, dtype=float)[:, ::-1]
    assert flipped == pytest.approx(np.array(left.map.clearance_mm, dtype=float), abs=0.02)


def test_the_worst_of_the_map_is_the_worst_of_the_list():
    for corner in fit(skerry({}), size=SMALL).corners.values():
        moving = [row.clearance_mm for row in corner.clearances if row.on != "carrier"]
        assert min(value for row in corner.map.clearance_mm for value in row) == pytest.approx(min(moving), abs=1e-3)


@pytest.mark.parametrize("kind", ["live_axle_four_link", "twist_beam", "strut", "semi_trailing_arm"])
def test_every_sort_of_linkage_has_an_envelope(kind):
    tree = tree_of_kind(kind)
    result = fit(Car.model_validate(tree), size=SMALL)
    for name, corner in result.corners.items():
        tied = name.startswith("rear") and kind in ("live_axle_four_link", "twist_beam")
        assert corner.map is not None, name
        assert corner.across_what == (
            "other wheel" if tied else "rack" if name.startswith("front") else "straight ahead"
        )
        assert all(np.isfinite(value) for row in corner.map.clearance_mm for value in row)


def test_moved_out_by_a_spacer_the_numbers_agree_with_the_linkage_measured_so():
    """The inverse moves the wheel in thought; a car written with that spacer must say the same."""
    thick = fit(car_with({}), "rear_left", Wanted(0.012, 0.005, shelf=(0.015,), camber=(-0.05, 0.05)), size=SMALL)
    best = thick.corners["rear_left"].inverse.best
    moved = {"rear.track": 1352 + 20, "rear.left.wheel.spacer.thickness": 15}
    car = car_with(moved)
    if best.moves:
        name, count = re.match(r"([a-z ]+) ([\d.]+) notch: ", best.moves[0]).groups()
        adjuster = car.corners["rear_left"].adjusters[name.replace(" ", "_")]
        sign = 1 if best.moves[0].endswith(adjuster.words(1)) else -1
        full = f"rear_left.{name.replace(' ', '_')}"
        car = at_settings(car, {full: adjuster.setting + sign * float(count) * adjuster.unit_travel})
    told = fit(car, "rear_left", size=(41, 21)).corners["rear_left"]
    assert told.lip_distance_mm == pytest.approx(best.lip_distance_mm, abs=0.05)
    carried = [row.clearance_mm for row in told.clearances if row.on != "carrier"]
    # What is on the carrier was measured against the wheel as it stood, so it is not moved by writing another spacer.
    assert min(carried) >= best.least_clearance_mm - 0.3


def test_the_inverse_keeps_gap_shelf_and_camber():
    wanted = Wanted(0.015, 0.005, shelf=(0.0, 0.005, 0.020), camber=(-0.035, -0.02), engagement=0.014)
    told = fit(car_with({}), "front_left", wanted, size=SMALL).corners["front_left"].inverse
    for one in (told.best, *told.others):
        assert one.spacer_mm in (0, 5, 20)
        assert -2.01 <= one.camber_deg <= -1.14
        assert one.keeps_gap
        assert one.least_clearance_mm >= 5
        assert one.stud_mm == pytest.approx(one.spacer_mm + 11 + 14)
    assert told.verdict in ("found", "nearest only")


def camber_at(notches):
    """Camber at rest [rad], from the body, of the rear left wheel with its cam this far on."""
    car = at_settings(car_with({}), {"rear_left.inner_cam": notches * 0.8e-3})
    wheel = WheelFit(Rig(car).vary(), 2, profile_of(car.corners["rear_left"]), (1, 1))
    return -np.arcsin(wheel.resting.axis[0, 2])


def moves_to(notches, edits=()):
    """Moves that the inverse names when only the camber of the cam at this notch will do."""
    camber = camber_at(notches)
    wanted = Wanted(0.012, 0.005, shelf=(0.0, 0.010), camber=(camber - 1e-4, camber + 1e-4))
    return fit(car_with(dict(edits)), "rear_left", wanted, size=SMALL).corners["rear_left"].inverse.best.moves


@pytest.mark.parametrize(("notches", "words"), [(-6, "mark downward"), (6, "mark upward")])
def test_the_inverse_takes_an_adjuster_to_both_ends_of_its_range(notches, words):
    assert moves_to(notches) == (f"inner cam 6 notch: {words}",)


def test_the_inverse_takes_only_sizes_that_are_on_the_shelf():
    """What lies between two shims of the shelf cannot be fitted, however small the adjuster's step."""
    sizes = {"rear.left.adjusters.inner_cam.sizes": ["-4 notch", "0 notch", "4 notch"]}
    assert moves_to(-4, sizes) == ("inner cam 4 notch: mark downward",)
    with pytest.raises(Refusal, match="camber"):
        moves_to(-3, sizes)


def test_without_a_thread_asked_for_the_studs_are_what_the_fastening_needs():
    """Nut on its cone behind its seat by 3 mm, one diameter of thread in it (common practice)."""
    wanted = Wanted(0.015, 0.005, shelf=(0.0, 0.005, 0.020), camber=(-0.035, -0.02))
    told = fit(car_with({}), "front_left", wanted, size=SMALL).corners["front_left"].inverse
    for one in (told.best, *told.others):
        assert one.stud_mm == pytest.approx(one.spacer_mm + 11 - 3 + 12)


def test_where_nothing_keeps_the_gap_it_says_so():
    wanted = Wanted(0.012, 0.200, shelf=(0.0, 0.010))
    told = fit(car_with({}), "front_left", wanted, size=SMALL).corners["front_left"].inverse
    assert told.verdict == "none keeps the gap"
    assert not told.best.keeps_gap


def test_what_cannot_be_worked_out_is_refused():
    bare = car_with({"front.left.room.lip": DROP})
    with pytest.raises(Refusal, match="room that names its lip"):
        fit(bare, "front_left", Wanted(0.01), size=SMALL)
    with pytest.raises(Refusal, match="camber"):
        fit(car_with({}), "front_left", Wanted(0.01, camber=(0.5, 0.6)), size=SMALL)
    with pytest.raises(Refusal, match="a corner"):
        fit(car_with({}), "middle", size=SMALL)


def test_a_car_that_says_nothing_of_wheels_is_not_enough():
    edits = {}
    for end in ("front", "rear"):
        for member in ("wheel.rim", "wheel.hub", "wheel.spacer", "wheel.instead_of", "tyre.marking", "room"):
            edits[f"{end}.*.{member}"] = DROP
    edits["parts"] = []
    result = fit(car_with(edits))
    assert result.verdict == "not enough is known"
    assert result.corners == {}
    assert not {one.about for one in check(car_with(edits)).findings} & {"tyre", "wheel", "clearance", "part", "spacer"}


def test_check_includes_it():
    result = check(car_with({"front.left.tyre.marking": "185/60R14 60H"}))
    assert result.verdict == "breaks a hard limit"
    assert any(one.about == "tyre" and "load index 60" in one.says for one in result.findings)


def test_wheel_rate_and_track_against_the_wheel_before():
    told = fit(car_with({}), "front_left", size=SMALL).corners["front_left"].wheel
    assert told.further_out_mm == pytest.approx(38 - 25)
    assert told.track_change_mm == pytest.approx(26)
    assert told.bearing_moment_change_nm == pytest.approx(
        fit(car_with({}), "front_left", size=SMALL).corners["front_left"].tyre.load_kg * 9.80665 * 0.013, rel=1e-6
    )
    same = {"front.left.wheel.instead_of": {"width": "5.5 in", "inset": 35, "spacer": 10, "tyre": "185/60R14 82H"}}
    still = fit(car_with(same), "front_left", size=SMALL).corners["front_left"].wheel
    assert still.further_out_mm == pytest.approx(0)
    assert still.wheel_rate_change_percent == pytest.approx(0, abs=1e-9)


# ------------------------------------------------------------------ parts


def parts(*given, **edits):
    return car_with({"parts": list(given), **edits})


def part_says(*given, **edits):
    result = fit(parts(*given, **edits), size=SMALL)
    return [(one.level, one.says) for one in result.findings if one.about == "part"]


def test_a_wrong_handed_part_is_a_limit():
    (one,) = part_says({"name": "arm", "at": "front_right", "hand": "left"})
    assert one == ("limit", "arm: it is made for the left side and is on the right")
    assert part_says({"name": "arm", "at": "front_left", "hand": "left"}) == []
    assert part_says({"name": "arm", "at": "front", "hand": "left"})[0][0] == "note"


@pytest.mark.parametrize(("side", "right"), [("left", "clockwise"), ("right", "counterclockwise")])
def test_the_vanes_count_and_not_the_holes(side, right):
    """A left wheel seen from outboard turns counterclockwise driving on; vanes must lean back against that."""
    wrong = {"clockwise": "counterclockwise", "counterclockwise": "clockwise"}[right]
    place = f"front_{side}"
    assert part_says({"name": "disc", "at": place, "vanes": right, "holes": right}) == []
    (note,) = part_says({"name": "disc", "at": place, "vanes": right, "holes": wrong})
    assert note[0] == "note"
    assert "the holes" not in note[1]
    (limit,) = part_says({"name": "disc", "at": place, "vanes": wrong, "holes": right})
    assert limit[0] == "limit"
    assert f"must run {right}" in limit[1]
    assert part_says({"name": "disc", "at": place, "vanes": "straight", "holes": wrong}) == []


@pytest.mark.parametrize(
    ("rule", "verdict"),
    [
        ("saloon 1971-1979 front", True),
        ("saloon 1971 to 1979", True),
        ("saloon from 1975", False),
        ("saloon until 1972", False),
        ("1973", True),
        ("1974", False),
        ("not 1971-1979", False),
        ("saloon not from 1975", True),
        ("not 1974", True),
        ("not saloon 1973", False),
        ("1973 not coupe", True),
        ("coupe", False),
        ("not coupe", True),
        ("not saloon", False),
        ("rear axle", False),
        ("left side only", True),
        ("right", False),
        ("saloon with wide hubs", None),
        ("estate with wide hubs", False),
    ],
)
def test_rules_in_words(rule, verdict):
    car = parts({"name": "arm", "at": "front_left"})
    holds, unknown = judge(rule, car, car.parts[0])
    assert holds is verdict
    assert ("hubs" in unknown) == ("hubs" in rule)


def test_a_part_that_fits_nothing_here_is_a_limit_and_what_is_not_known_a_note():
    (one,) = part_says({"name": "arm", "at": "front_left", "fits": ["coupe", "estate from 1975"]})
    assert one[0] == "limit"
    assert "this is: saloon 1973 front left" in one[1]
    (one,) = part_says({"name": "arm", "at": "front_left", "fits": ["saloon 1968-1979"]}, body_style=DROP)
    assert one == ("note", "arm: it fits saloon 1968-1979: the car file does not say its body_style")
    assert part_says({"name": "arm", "at": "front_left", "fits": ["coupe", "saloon"]}) == []


def test_what_a_part_needs():
    def needs(**need):
        return part_says({"name": "wheel", "at": "front", "needs": [need]})

    assert "it needs a centring ring (66.6 mm): there is none at front left" in needs(what="ring", size=66.6)[0][1]
    assert needs(what="other", says="a short valve", met=False)[0] == (
        "warning",
        "wheel: it needs a short valve, which is missing",
    )
    assert needs(what="other", says="a short valve", met=True) == []
    assert needs(what="other", says="a short valve")[0][0] == "note"
    assert needs(what="clearance", size=2) == []
    assert "are left at" in needs(what="clearance", size=30)[0][1]
    assert needs(what="studs", size=40)[0][0] == "note"
    ring = {"front.*.wheel.rim.bore": 66.6, "front.*.wheel.rim.ring": {"inner": 62.05, "outer": 66.6}}
    with_ring = part_says({"name": "wheel", "at": "front", "needs": [{"what": "ring", "size": 66.6}]}, **ring)
    assert with_ring == []


def test_settings_are_those_of_the_file():
    """The envelope is of the car as it is set, not as it was measured."""
    car = car_with({})
    turned = at_settings(car, {"front_left.camber_plate": 0.010})
    assert Rig(turned).settings.shape == Rig(car).settings.shape
    here, there = (fit(one, "front_left", size=SMALL).corners["front_left"] for one in (car, turned))
    assert there.lip_distance_mm < here.lip_distance_mm - 1.0
