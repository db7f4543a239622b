"""Commands that say what to turn, what to buy, what was learned, and why."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from cornerwright.cli.answers import Answer
from cornerwright.cli.commands import LOOK, TURN, CarFile, app
from cornerwright.cli.groups import AsJson


@app.command(rich_help_panel=TURN)
def plan(
    car: CarFile,
    targets: Annotated[Path, typer.Option(metavar="FILE", help="Targets file: what is wanted, with tolerance.")],
    readings: Annotated[
        Path | None,
        typer.Option(
            metavar="FILE",
            help="Readings file: what was measured, the last pass last. Without it the car is "
            "taken as its file has it.",
        ),
    ] = None,
    pdf: Annotated[Path | None, typer.Option(metavar="FILE", help="Also write the work card (PDF).")] = None,
    sheet: Annotated[
        Path | None,
        typer.Option(
            metavar="FILE",
            help="Also write a sheet with one corner drawn as the plan leaves it (PDF).",
        ),
    ] = None,
    corner: Annotated[
        str,
        typer.Option(metavar="CORNER", help="Corner on the sheet; also on the card if it has room."),
    ] = "rear_left",
    svg: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="Also draw the car from above with its moves (SVG)."),
    ] = None,
    straight_through: Annotated[
        bool, typer.Option("--straight-through", help="Turn everything before anything is read again.")
    ] = False,
    other_ways: Annotated[
        bool, typer.Option("--other-ways", help="Also look for plans of least work, with no arm off, with wheels on.")
    ] = False,
    as_json: AsJson = False,
) -> Answer:
    """Work out what to turn, how far, in which order, and what the car will then read."""
    import cornerwright
    from cornerwright.cli import options, papers, show_plan
    from cornerwright.cli.saving import check_outputs
    from cornerwright.cli.waiting import waiting

    wished = papers.Papers(pdf, sheet, svg, options.read_corner(corner))
    check_outputs(
        {"--pdf": pdf, "--sheet": sheet, "--svg": svg},
        {"CAR": car, "--readings": readings, "--targets": targets},
    )
    loaded, read, wanted = papers.load_all(car, readings, targets)
    with waiting(as_json) as line:
        result = cornerwright.plan(
            loaded, read, wanted, progress=line, read_between=not straight_through, alternatives=other_ways
        )
        papers.write_papers(loaded, read, result, wished, line)
    status = int(result.verdict in ("breaks a hard limit", "no plan"))
    return Answer(result, lambda page: show_plan.plan(page, result), as_json, status)


@app.command(rich_help_panel=TURN)
def choose(
    car: CarFile,
    targets: Annotated[
        Path,
        typer.Option(metavar="FILE", help="Targets file: heights and angles, and under ride what is wanted of it."),
    ],
    shelf: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="Shelf file: the parts to choose from. Without it the car's own."),
    ] = None,
    readings: Annotated[Path | None, typer.Option(metavar="FILE", help="Readings file, as for plan.")] = None,
    driven: Annotated[str, typer.Option(metavar="AXLE", help="Which axle is driven: front, rear or both.")] = "rear",
    most: Annotated[int, typer.Option(metavar="COUNT", help="Choices that are computed in full, 26 at most.")] = 12,
    take: Annotated[
        str | None, typer.Option(metavar="LETTER", help="Show this choice with all that is to be turned.")
    ] = None,
    write: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Also write the car with the parts of --take, comments kept.")
    ] = None,
    svg: Annotated[Path | None, typer.Option(metavar="FILE", help="Also draw the choices (SVG).")] = None,
    png: Annotated[Path | None, typer.Option(metavar="FILE", help="The same picture as PNG.")] = None,
    as_json: AsJson = False,
) -> Answer:
    """Choose springs, bars and dampers from the shelf: what each choice meets, costs and gives up."""
    from cornerwright.cli import show_choose
    from cornerwright.cli.run_choose import Wish, run

    result, letter = run(Wish(car, targets, shelf, readings, driven, most, take, write, svg, png), as_json)
    return Answer(
        result, lambda page: show_choose.choose(page, result, letter), as_json, int(result.verdict == "nothing fits")
    )


@app.command(rich_help_panel=LOOK)
def learn(
    car: CarFile,
    readings: Annotated[
        Path, typer.Option(metavar="FILE", help="Readings file: earlier passes teach if they name their settings.")
    ],
    write: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Also write the car with what was learned, comments kept.")
    ] = None,
    as_json: AsJson = False,
) -> Answer:
    """Say what the readings teach about the car, what they cannot see, and what to read next."""
    from cornerwright.cli import papers, show_learn
    from cornerwright.cli.saving import check_outputs
    from cornerwright.cli.waiting import waiting

    check_outputs({"--write": write}, {"CAR": car, "--readings": readings})
    loaded, read = papers.load_car_and_readings(car, readings)
    with waiting(as_json) as line:
        result = papers.teach(loaded, read, car, write, line)
    status = int(result.verdict in ("does not stand", "not converged"))
    return Answer(result, lambda page: show_learn.learn(page, result), as_json, status)


@app.command(rich_help_panel=LOOK)
def why(
    car: CarFile,
    key: Annotated[
        str,
        typer.Argument(
            metavar="KEY",
            help="Key of a number, as in the JSON of a command that looks at the car: camber_deg, "
            "cross_weight_percent, joint.torque_nm.",
        ),
    ],
    corner: Annotated[
        str | None,
        typer.Option(metavar="CORNER", help="Corner: front_left, front_right, rear_left or rear_right."),
    ] = None,
    joint: Annotated[
        str | None,
        typer.Option(metavar="NAME", help="Joint, as in front_left.lower_arm; without it the corner's wheel."),
    ] = None,
    readings: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="Readings file: the car at rest as it reads, and the doubt that is left."),
    ] = None,
    cars: Annotated[
        int,
        typer.Option(
            metavar="N",
            help="How sure a number of travel, fit, brakes, road or corner is, from N cars that the file could mean; "
            "a second or so each.",
        ),
    ] = 0,
    as_json: AsJson = False,
) -> Answer:
    """Say why a number is what it is: its equation and source, what goes into it, how sure it is."""
    import cornerwright
    from cornerwright.cli import options, papers, show_why
    from cornerwright.cli.waiting import waiting
    from cornerwright.model.errors import Refusal

    place = None if corner is None else options.read_corner(corner)
    if readings is None:
        loaded, read = cornerwright.load_car(car), None
    else:
        loaded, read = papers.load_car_and_readings(car, readings)
    try:
        with waiting(as_json) as line:
            result = cornerwright.why(loaded, key, place, read, joint, cars=cars, progress=line)
    except Refusal as refusal:
        if any(one.field for one in refusal.problems):  # of the command line, not of the file
            raise
        raise refusal.within(file=str(car)) from None
    return Answer(result, lambda page: show_why.why(page, result), as_json)
