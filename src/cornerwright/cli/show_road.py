"""Laying out the road: will it run out of travel, first; then each corner, other roads, single events, swings."""

from __future__ import annotations

from cornerwright.cli.page import Page
from cornerwright.cli.show import cautions, good_to_know, small_print, wrong
from cornerwright.drawing.lettering import figure, place_words
from cornerwright.drawing.road_charts import answer
from cornerwright.model.results_road import Landing, RoadResult


def road(page: Page, result: RoadResult) -> None:
    """The whole answer."""
    page.title(result.car, "on the road")
    page.para(answer(result), style="strong")
    if result.weighted_m_per_s2 is not None:
        ride = f"{figure(result.weighted_m_per_s2, 2)} m/s² weighted over the centre of gravity: {result.feel}"
        page.para(f"{ride} (ISO 2631-1). Road: {figure(result.roughness_m_per_km, 1)} m/km of roughness (IRI).")
    wrong(page, result.findings)
    if result.corners:
        _corners(page, result)
    _roads(page, result)
    _single(page, result)
    _modes(page, result)
    good_to_know(page, result.findings)
    cautions(page, result.cautions)
    small_print(page, result.caution, result.assumed)


def _corners(page: Page, result: RoadResult) -> None:
    page.head(f"Each corner, {figure(result.seconds)} s")
    page.columns(
        [
            [
                place_words(name),
                f"{figure(one.least_mm)} to {figure(one.most_mm)} of {figure(one.stroke_mm)}",
                figure(one.stop_per_minute),
                figure(one.bottoms_per_minute),
                figure(one.tops_per_minute),
                figure(one.air_percent, 1),
                "-" if one.load_variation_percent is None else figure(one.load_variation_percent),
            ]
            for name, one in result.corners.items()
        ],
        align="<<>>>>>",
        header=["", "stroke used mm", "stop/min", "bottom", "top", "air %", "load ±%"],
    )


def _roads(page: Page, result: RoadResult) -> None:
    page.head("The same car on other roads, worst corner" if len(result.roads) > 1 else "Worst corner")
    rows = []
    for one in result.roads:
        if one.weighted_m_per_s2 is None:
            rows.append([one.road, "-", "-", "-", "-", "-", "not computed"])
            continue
        rows.append(
            [
                one.road,
                figure(one.stop_per_minute or 0.0),
                figure(one.bottoms_per_minute or 0.0),
                figure(one.tops_per_minute or 0.0),
                figure(one.air_percent or 0.0, 1),
                figure(one.worst_load_variation_percent or 0.0),
                f"{figure(one.weighted_m_per_s2, 2)} m/s², {one.feel}",
            ]
        )
    page.columns(rows, align="<>>>>>~", header=["road", "stop/min", "bottom", "top", "air %", "load ±%", "ride"])


def _single(page: Page, result: RoadResult) -> None:
    page.head("Single events")
    kerb = f"kerb under the left wheels at {figure(result.kerb_speed_km_per_h)} km/h"
    tried = (
        ("drop onto all four wheels", result.drops, result.drop_bottoms_from_mm),
        (kerb, result.kerbs, result.kerb_bottoms_from_mm),
    )
    for what, landings, first in tried:
        page.para(f"{what}: {_travel(landings, first)}", indent=2)


def _travel(landings: tuple[Landing, ...], first: float | None) -> str:
    if first is None:
        return f"travel left up to {figure(landings[-1].height_mm)} mm, the highest tried"
    at = next(one for one in landings if one.height_mm == first)
    most = max(at.peak_load_n.values())
    where = ", ".join(place_words(one) for one in at.bottoms)
    return f"all the travel is used from {figure(first)} mm on ({where}; up to {figure(most)} N on a tyre)"


def _modes(page: Page, result: RoadResult) -> None:
    if not result.modes:
        return
    page.head("How it swings by itself")
    page.columns(
        [[one.what, figure(one.frequency_hz, 2), figure(one.damping_percent)] for one in result.modes],
        align="<>>",
        header=["", "Hz", "damping %"],
    )
    straight = result.straightened
    if straight is not None and straight.weighted_m_per_s2 is not None:
        page.para(
            f"By frequencies alone, dampers straightened: {figure(straight.weighted_m_per_s2, 2)} m/s² weighted.",
            indent=2,
        )
