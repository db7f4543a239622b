"""Charts of a wheel's travel."""

from __future__ import annotations

import xml.etree.ElementTree as ET

import pytest
from drawing_samples import check_lettering, words_of
from hypothesis import given, settings
from hypothesis import strategies as st

from cornerwright.drawing.travel_charts import PANELS, drawn_racks, travel_charts
from cornerwright.model.results import TravelResult, TravelRow

NS = "{http://www.w3.org/2000/svg}"


def travel(*rows: TravelRow) -> TravelResult:
    return TravelResult(
        car="Brook saloon (invented)",
        corner="front_left",
        lowest_mm=-80,
        highest_mm=90,
        rows=rows,
    )


def row(lift: float, **changes: object) -> TravelRow:
    values = {
        "camber_deg": -1.2 - 0.018 * lift,
        "toe_deg": 0.05 + 0.0008 * lift,
        "half_track_mm": 0.04 * lift,
        "damper_mm": 431 - 0.61 * lift,
    }
    return TravelRow(lift_mm=lift, inside=True, **(values | changes))  # type: ignore[arg-type]


def find(results: TravelResult, tag: str) -> list[ET.Element]:
    return ET.fromstring(travel_charts(results).svg()).findall(f".//{NS}{tag}")


VALUE = st.none() | st.floats(-1e3, 1e3)
ROWS = st.builds(
    lambda lift, values, sigma: TravelRow(
        lift_mm=lift,
        inside=True,
        sigma={} if sigma is None else {key: sigma for key, _ in PANELS},
        **dict(zip([key for key, _ in PANELS], values, strict=True)),
    ),
    st.floats(-300, 300),
    st.tuples(VALUE, VALUE, VALUE, VALUE),
    st.none() | st.floats(0, 50),
)


@settings(max_examples=80, deadline=None)
@given(st.lists(ROWS, max_size=12), st.floats(140, 260), st.floats(30, 90))
def test_no_two_texts_overlap_and_none_leaves_the_page(rows: list[TravelRow], width: float, panel: float) -> None:
    rows.sort(key=lambda one: one.lift_mm)
    check_lettering(travel_charts(travel(*rows), width, panel))


def test_four_panels_with_their_units() -> None:
    words = words_of(travel_charts(travel(row(-50), row(0), row(50))))
    for title in ("camber, deg", "toe, deg", "half-track, mm", "damper length, mm", "lift, mm"):
        assert title in words
    assert len(find(travel(row(-50), row(0), row(50)), "polyline")) == 4


def test_a_curve_passes_through_its_ticks() -> None:
    """Damper length 400 at lift 0 and 450 at -50: the curve must cross there on the drawn axes."""
    results = travel(*(row(lift, damper_mm=400.0 - lift) for lift in (-50.0, 0.0, 50.0)))
    drawing = travel_charts(results)
    line = ET.fromstring(drawing.svg()).findall(f".//{NS}polyline")[3]
    spots = [tuple(map(float, s.split(","))) for s in line.get("points", "").split()]
    labels = [box for box in drawing.texts if box.words in ("400", "−50", "50")]
    height = next(box for box in labels if box.words == "400")
    assert spots[1][1] == pytest.approx(height.bottom - (0.24 + 0.36) * 2.9, abs=0.01)
    below = [box for box in labels if box.words == "−50" and box.top > spots[0][1]]
    assert any((b.left + b.right) / 2 == pytest.approx(spots[0][0], abs=0.01) for b in below)


def test_a_band_is_drawn_where_sigma_is_given_and_explained() -> None:
    plain = travel(row(-50), row(0), row(50))
    banded = travel(*(row(lift, sigma={"toe_deg": 0.02}) for lift in (-50, 0, 50)))
    assert len(find(plain, "polygon")) == 0
    assert len(find(banded, "polygon")) == 1
    assert "2 sigma" in words_of(travel_charts(banded))
    assert "2 sigma" not in words_of(travel_charts(plain))


def test_a_row_outside_the_travel_leaves_a_gap() -> None:
    gap = TravelRow(lift_mm=0, inside=False)
    results = travel(row(-60), row(-50), gap, row(50), row(60))
    assert len(find(results, "polyline")) == 8


def test_what_is_not_known_is_said() -> None:
    assert words_of(travel_charts(travel())).count("not known") == 4
    some = travel(row(-50, toe_deg=None), row(50, toe_deg=None))
    assert words_of(travel_charts(some)).count("not known") == 1


def test_small_pages_are_refused() -> None:
    with pytest.raises(ValueError, match="140 mm"):
        travel_charts(travel(), 100.0)


# ------------------------------------------------------- places of the rack, ends of the stroke


def steered(*racks: float, **changes: object) -> TravelResult:
    rows = [row(lift, toe_deg=0.3 * rack, steer_mm=rack) for rack in racks for lift in (-50.0, 0.0, 50.0)]
    return travel(*rows).model_copy(update=changes)


def curves_of(results: TravelResult) -> list[ET.Element]:
    return [one for one in find(results, "polyline") if float(one.get("stroke-width", "0")) >= 0.4]


def test_each_place_of_the_rack_has_a_curve_of_its_own_style() -> None:
    curves = curves_of(steered(-40.0, 0.0, 40.0))
    assert len(curves) == 12
    styles = {(one.get("stroke-dasharray"), one.get("stroke-width")) for one in curves}
    assert len(styles) == 3
    assert {one.get("stroke") for one in curves} == {"#000000"}, "told apart without colour"
    words = words_of(travel_charts(steered(-40.0, 0.0, 40.0)))
    for told in ("rack −40 mm", "rack 0 mm", "rack +40 mm"):
        assert told in words


def test_straight_ahead_is_the_full_line() -> None:
    assert drawn_racks(steered(-40.0, 5.0, 40.0).rows)[1] == (0, 5.0)
    assert drawn_racks(travel(row(0)).rows) == [(0, None)]


def test_of_many_places_five_are_drawn_ends_included() -> None:
    racks = drawn_racks(steered(*(10.0 * k for k in range(-6, 7))).rows)
    assert [place for _, place in racks] == [-60.0, -30.0, 0.0, 30.0, 60.0]
    assert sorted(number for number, _ in racks) == [0, 1, 2, 3, 4]


def test_only_straight_ahead_has_a_band() -> None:
    rows = [
        row(lift, steer_mm=rack, sigma={"camber_deg": 0.1}) for rack in (-40.0, 0.0, 40.0) for lift in (-50.0, 50.0)
    ]
    assert len(find(travel(*rows), "polygon")) == 1


def test_the_ends_of_the_stroke_are_marked_where_they_are_in_the_picture() -> None:
    plain = len(find(steered(0.0), "line"))
    marked = steered(0.0, damper_out_mm=-40.0, full_bump_mm=70.0)
    assert len(find(marked, "line")) == plain + 4
    assert "dashed uprights" in words_of(travel_charts(marked))
    far = steered(0.0, damper_out_mm=-140.0, full_bump_mm=170.0)
    assert len(find(far, "line")) == plain


@settings(max_examples=40, deadline=None)
@given(st.lists(st.floats(-90, 90), min_size=1, max_size=9, unique=True), st.floats(140, 260))
def test_no_texts_overlap_with_any_places_of_the_rack(racks: list[float], width: float) -> None:
    check_lettering(travel_charts(steered(*racks, damper_out_mm=-30.0, full_bump_mm=44.0), width))
