"""Reading a job's files together, and writing its papers and drawings."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import cornerwright
from cornerwright.cli.saving import write_whole
from cornerwright.model.car import Car
from cornerwright.model.errors import Problem, Refusal
from cornerwright.model.parts import CornerName
from cornerwright.model.reading import Readings
from cornerwright.model.results_plan import LearnResult, PlanResult
from cornerwright.model.target import Targets


@dataclass(frozen=True)
class Papers:
    """Which papers to write, and the corner drawn on them."""

    pdf: Path | None
    sheet: Path | None
    svg: Path | None
    corner: CornerName


def load_all(car: Path, readings: Path | None, targets: Path) -> tuple[Car, Readings | None, Targets]:
    """The three files of a job. Raises Refusal with the problems of all of them at once."""
    loads = [
        lambda: cornerwright.load_car(car),
        lambda: None if readings is None else cornerwright.load_readings(readings),
        lambda: cornerwright.load_targets(targets),
    ]
    loaded_car, loaded_readings, loaded_targets = _loaded(loads)
    return loaded_car, loaded_readings, loaded_targets


def load_car_and_readings(car: Path, readings: Path) -> tuple[Car, Readings]:
    """A car and its readings. Raises Refusal with the problems of both at once."""
    loaded_car, loaded_readings = _loaded(
        [lambda: cornerwright.load_car(car), lambda: cornerwright.load_readings(readings)]
    )
    return loaded_car, loaded_readings


def _loaded(loads: Sequence[Callable[[], Any]]) -> list[Any]:
    """What each of these loads. Raises Refusal with the problems of all of them at once."""
    found, problems = [], list[Problem]()
    for load in loads:
        try:
            found.append(load())
        except Refusal as refusal:
            problems += refusal.problems
    if problems:
        raise Refusal(problems)
    return found


def teach(
    car: Car, readings: Readings, source: Path, write: Path | None, progress: Callable[[float, str], None]
) -> LearnResult:
    """Learn from the readings and, where asked, write the car that they show. Raises Refusal, OSError."""
    from cornerwright.model.carfile import save_car
    from cornerwright.planning.lessons import explained, fitted
    from cornerwright.planning.taught import taught_car

    progress(0.1, "fitting the car to its readings")
    rig, belief = fitted(car, readings)
    result = explained(rig, belief, readings)
    if write is None or result.verdict != "fitted":
        return result
    progress(0.7, "writing the car")
    save_car(write, taught_car(rig, belief), keep=source)
    return result.model_copy(update={"written": str(write)})


def write_papers(
    car: Car,
    readings: Readings | None,
    result: PlanResult,
    papers: Papers,
    progress: Callable[[float, str], None],
) -> None:
    """Write what is asked for: work card and corner sheet (PDF), the car from above (SVG).

    Where there is no plan nothing is written. Raises Refusal, OSError.
    """
    if result.verdict == "no plan":
        return
    from cornerwright.drawing.above import car_from_above

    if papers.svg is not None:
        write_whole(papers.svg, car_from_above(result).svg().encode())
    if papers.pdf is None and papers.sheet is None:
        return
    from cornerwright.paper.card import corner_sheet, work_card
    from cornerwright.paper.press import DoesNotFitError
    from cornerwright.planning.scene import scene_after

    progress(1.0, "drawing the corner")
    scene = scene_after(car, readings, result, papers.corner)
    progress(1.0, "setting the pages")
    if papers.sheet is not None:
        write_whole(papers.sheet, corner_sheet(scene))
    if papers.pdf is not None:
        try:
            card = work_card(result, scene)
        except DoesNotFitError:
            raise Refusal.of(
                f"a plan of {len(result.moves)} moves, too many for one readable page",
                "a plan that fits; take this one from the screen, or with --svg",
                field="--pdf",
            ) from None
        write_whole(papers.pdf, card)
