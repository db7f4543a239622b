"""Running `cornerwright choose`: reading what is wished, asking for it, writing picture and car."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import cornerwright
from cornerwright.cli import options, papers
from cornerwright.cli.saving import check_outputs, write_drawing
from cornerwright.cli.waiting import waiting
from cornerwright.model.errors import Problem, Refusal

if TYPE_CHECKING:
    from cornerwright.model.results_choose import ChooseResult

MOST = 26


@dataclass(frozen=True)
class Wish:
    """What stands on the command line."""

    car: Path
    targets: Path
    shelf: Path | None
    readings: Path | None
    driven: str
    most: int
    take: str | None
    write: Path | None
    svg: Path | None
    png: Path | None


def run(wish: Wish, as_json: bool) -> tuple[ChooseResult, str | None]:
    """The choices, and the letter taken; picture and car written. Raises Refusal, OSError."""
    driven = options.read_driven(wish.driven)
    if not 1 <= wish.most <= MOST:
        raise Refusal.of(f"{wish.most}", f"a count from 1 to {MOST}", field="--most")
    if wish.write is not None and wish.take is None:
        raise Refusal.of(
            "nothing", "--take with the letter of the choice whose parts are to be written", field="--take"
        )
    check_outputs(
        {"--write": wish.write, "--svg": wish.svg, "--png": wish.png},
        {"CAR": wish.car, "--targets": wish.targets, "--shelf": wish.shelf, "--readings": wish.readings},
    )
    car, read, targets = papers.load_all(wish.car, wish.readings, wish.targets)
    own = car.shelf
    if wish.shelf is not None:
        car = car.model_copy(update={"shelf": cornerwright.load_shelf(wish.shelf).shelf()})
    try:
        with waiting(as_json) as line:
            result = cornerwright.choose(
                car,
                targets,
                read,
                driven=driven,
                most=wish.most,
                progress=line,
            )
    except Refusal as refusal:
        raise Refusal([_placed(one, wish) for one in refusal.problems]) from None
    letter = None
    if wish.take is not None:
        letters = [one.letter for one in result.choices]
        letter = wish.take.strip().upper()
        if letter not in letters:
            raise Refusal.of(f"'{wish.take}'", f"a choice: {', '.join(letters) or 'there is none'}", field="--take")
    if wish.write is not None:
        from cornerwright.model.carfile import save_car
        from cornerwright.planning.shelf import car_with_parts

        one = next(choice for choice in result.choices if choice.letter == letter)
        fitted = car_with_parts(car, one.parts).model_copy(update={"shelf": own})
        save_car(wish.write, fitted, keep=wish.car)
    if wish.svg is not None or wish.png is not None:
        from cornerwright.drawing.choice_charts import choice_charts

        write_drawing(lambda: choice_charts(result), wish.svg, wish.png)
    return result, letter


def _placed(problem: Problem, wish: Wish) -> Problem:
    """In the file where it has to be put right: wishes in the targets, parts on the shelf, all else in the car's."""
    file = wish.targets if problem.field.startswith("ride") else wish.car
    if problem.field.startswith("shelf") and wish.shelf is not None:
        file = wish.shelf
    return Problem(str(file), problem.line, problem.field, problem.found, problem.expected)
