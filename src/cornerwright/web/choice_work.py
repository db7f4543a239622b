"""What the screen that chooses parts asks: the shelf beside the car's papers, and the choices from it."""

from __future__ import annotations

from pathlib import Path
from typing import cast

from cornerwright.drawing.choice_charts import choice_charts
from cornerwright.model.car import Car
from cornerwright.model.carfile import load_shelf
from cornerwright.model.errors import Refusal
from cornerwright.model.results_choose import ChooseResult
from cornerwright.planning.shelf_choice import choose
from cornerwright.web.desk import Desk, Tell
from cornerwright.web.look import on_screen

MOST = 8
"""Choices that a phone shows."""


class ChoiceWork:
    """The choices of one desk, which keeps what was worked out last until car or shelf is another one."""

    def __init__(self, desk: Desk) -> None:
        self.desk = desk

    @property
    def places(self) -> tuple[Path, Path]:
        """Where a shelf is looked for; the first that is there goes before the car file's own."""
        papers = self.desk.papers
        return papers.folder / f"{papers.stem}-shelf.yaml", papers.folder / "shelf.yaml"

    def car(self) -> Car:
        """The car with the shelf that is beside it. Raises Refusal, also where there is no shelf at all."""
        car = self.desk.state.car
        for path in self.places:
            if path.is_file():
                return car.model_copy(update={"shelf": load_shelf(path).shelf()})
        if not (car.shelf.springs or car.shelf.bars or car.shelf.dampers):
            raise Refusal.of("no shelf", "springs, bars or dampers that could be fitted", file=str(self.places[1]))
        return car

    def choose(self, tell: Tell) -> ChooseResult:
        """The choices. Raises Refusal, and what `tell` raises."""
        tell(0.0, "looking at the shelf")
        state = self.desk.state
        targets = state.targets
        if targets is None:
            raise Refusal.of("no targets", "a targets file, or targets in the book, with wishes under `ride`")
        return self.desk.kept.anew(
            "choice", self._stamp(), lambda: choose(self.car(), targets, state.readings, most=MOST, progress=tell)
        )

    def last(self) -> ChooseResult | None:
        """As worked out last, if car and shelf are still the same."""
        return cast("ChooseResult | None", self.desk.kept.last("choice", self._stamp()))

    def picture(self, found: ChooseResult, width: float) -> str:
        """The choices to a phone's width [mm of paper], in the colours of the screen."""
        return on_screen(choice_charts(found, width).svg())

    def _stamp(self) -> str:
        marks = [(path.stat().st_mtime_ns, path.stat().st_size) if path.is_file() else () for path in self.places]
        return f"{self.desk.state.stamp} {marks}"
