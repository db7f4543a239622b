"""Commands that drive the car: the road, the circle, and how sure that is."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from cornerwright.cli.answers import Answer
from cornerwright.cli.commands import LOOK, CarFile, Cluster, OutFolder, Processes, app
from cornerwright.cli.groups import AsJson

Whose = Annotated[
    str, typer.Option(metavar="COMMANDS", help="Whose figures: stand, corner, road, brakes, or several by commas.")
]
Radius = Annotated[float, typer.Option(metavar="METRES", help="Radius of the circle, for corner.")]
DrivenAxle = Annotated[str, typer.Option(metavar="AXLE", help="Which axle is driven, for corner.")]
RoadOn = Annotated[str, typer.Option("--class", metavar="CLASS", help="Class of the road, for road.")]
Speed = Annotated[str, typer.Option(metavar="SPEED", help="Speed in km/h, for road.")]
Seconds = Annotated[str, typer.Option(metavar="TIME", help="How long each car is driven, for road.")]


@app.command(rich_help_panel=LOOK)
def road(
    car: CarFile,
    on: Annotated[
        str, typer.Option("--class", metavar="CLASS", help="Class of the road, A (very good) to H, as in ISO 8608.")
    ] = "C",
    profile: Annotated[
        Path | None,
        typer.Option(
            metavar="FILE",
            help="A measured road in place of a class: a table (CSV) with distance_m, left_mm and right_mm.",
        ),
    ] = None,
    speed: Annotated[str, typer.Option(metavar="SPEED", help="Speed in km/h.")] = "60",
    seconds: Annotated[str, typer.Option(metavar="TIME", help="How long it is driven, in seconds.")] = "60",
    random: Annotated[
        int, typer.Option(metavar="NUMBER", help="The number a road is made from; the same makes the same road.")
    ] = 1,
    kerb_speed: Annotated[str, typer.Option(metavar="SPEED", help="Speed in km/h at which kerbs are met.")] = "20",
    svg: Annotated[Path | None, typer.Option(metavar="FILE", help="Also draw stroke, drops and kerbs (SVG).")] = None,
    png: Annotated[Path | None, typer.Option(metavar="FILE", help="The same charts as PNG.")] = None,
    as_json: AsJson = False,
) -> Answer:
    """Drive the car over a road: does it bottom or top out, leave the ground, and how does it ride."""
    from cornerwright.cli import show_road
    from cornerwright.cli.run_road import Wish, run

    result = run(Wish(car, on, profile, speed, seconds, random, kerb_speed, svg, png), as_json)
    return Answer(result, lambda page: show_road.road(page, result), as_json)


@app.command(rich_help_panel=LOOK)
def corner(
    car: CarFile,
    radius: Annotated[float, typer.Option(metavar="METRES", help="Radius of the circle in metres.")] = 30.0,
    driven: Annotated[str, typer.Option(metavar="AXLE", help="Which axle is driven: front, rear or both.")] = "rear",
    svg: Annotated[Path | None, typer.Option(metavar="FILE", help="Also draw steer and grip used (SVG).")] = None,
    png: Annotated[Path | None, typer.Option(metavar="FILE", help="The same charts as PNG.")] = None,
    as_json: AsJson = False,
) -> Answer:
    """Turn the car on a circle, faster until it ends: does it push or slide, roll, lift a wheel."""
    from cornerwright.cli import show_corner
    from cornerwright.cli.run_corner import Wish, run

    result = run(Wish(car, radius, driven, svg, png))
    return Answer(result, lambda page: show_corner.corner(page, result), as_json, int(result.verdict == "turns over"))


@app.command(rich_help_panel=LOOK)
def doubt(
    car: CarFile,
    of: Whose = "stand",
    cars: Annotated[
        int | None, typer.Option(metavar="COUNT", help="Cars in each sample; more make the shares surer.")
    ] = None,
    random: Annotated[
        int, typer.Option(metavar="NUMBER", help="The number the cars are drawn from; the same gives the same answer.")
    ] = 1,
    against: Annotated[
        Path | None, typer.Option(metavar="CAR", help="Another car file: what is different, and how sure that is.")
    ] = None,
    changed: Annotated[
        list[str] | None,
        typer.Option("--set", metavar="ADJUSTER=SETTING", help="The same at another setting; may be given again."),
    ] = None,
    radius: Radius = 30.0,
    driven: DrivenAxle = "rear",
    on: RoadOn = "C",
    speed: Speed = "60",
    seconds: Seconds = "16",
    out: OutFolder = None,
    processes: Processes = None,
    cluster: Cluster = None,
    as_json: AsJson = False,
) -> Answer:
    """Say how sure the car's figures are before anything is read, and what to measure better."""
    from cornerwright.cli import show_doubt
    from cornerwright.cli.many_cars import Many, Put
    from cornerwright.cli.run_doubt import Wish, run

    put, many = Put(radius, driven, on, speed, seconds), Many(processes, cluster, out)
    wish = Wish(car, of, cars, random, against, tuple(changed or ()), put, many)
    result = run(wish, as_json)
    return Answer(result, lambda page: show_doubt.doubt(page, result), as_json)


@app.command(rich_help_panel=LOOK)
def sweep(
    car: CarFile,
    over: Annotated[
        list[str],
        typer.Option(
            metavar="ADJUSTER=SETTINGS",
            help="What is turned: front_left.perch=10:30:2, or front.perch=12,14,18 on both sides; repeatable.",
        ),
    ],
    of: Whose = "stand",
    radius: Radius = 30.0,
    driven: DrivenAxle = "rear",
    on: RoadOn = "C",
    speed: Speed = "60",
    seconds: Seconds = "16",
    out: OutFolder = None,
    processes: Processes = None,
    cluster: Cluster = None,
    as_json: AsJson = False,
) -> Answer:
    """Put the car to many settings, each with each, and tell what that does to its figures."""
    from cornerwright.cli import show_sweep
    from cornerwright.cli.many_cars import Many, Put
    from cornerwright.cli.run_sweep import Wish, run

    put, many = Put(radius, driven, on, speed, seconds), Many(processes, cluster, out)
    result = run(Wish(car, tuple(over), of, put, many), as_json)
    return Answer(result, lambda page: show_sweep.sweep(page, result), as_json)
