"""Commands that look at the car as its file describes it."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from cornerwright.cli.answers import Answer
from cornerwright.cli.commands import LOOK, CarFile, app
from cornerwright.cli.groups import AsJson


@app.command(rich_help_panel=LOOK)
def check(car: CarFile, as_json: AsJson = False) -> Answer:
    """Say what is wrong with the car as its file describes it, and what to do about it."""
    import cornerwright
    from cornerwright.cli import show_stand
    from cornerwright.cli.waiting import waiting

    loaded = cornerwright.load_car(car)
    with waiting(as_json) as line:
        line(0.0, "checking")
        result = cornerwright.check(loaded)
    broken = result.verdict == "breaks a hard limit" or result.stand.verdict != "stands"
    return Answer(result, lambda page: show_stand.check(page, result), as_json, int(broken))


@app.command(rich_help_panel=LOOK)
def travel(
    car: CarFile,
    corner: Annotated[
        str,
        typer.Option(metavar="CORNER", help="Corner: front_left, front_right, rear_left or rear_right."),
    ],
    lift: Annotated[
        str | None,
        typer.Option(
            metavar="LIFTS",
            help="Lifts in mm: from:to:step as in -80:80:20, or single ones as in -40,0,25. "
            "Without it: the measured range in even steps.",
        ),
    ] = None,
    steer: Annotated[
        str | None,
        typer.Option(
            metavar="RACK",
            help="Travels of the steering rack in mm, positive to the left, written as for --lift; a row "
            "for every lift at each of them. Needs a linkage of points.",
        ),
    ] = None,
    other: Annotated[
        str | None,
        typer.Option(
            metavar="LIFT",
            help="Hold the other wheel of the axle at this lift in mm. Without it both go together.",
        ),
    ] = None,
    opposite: Annotated[
        bool, typer.Option("--opposite", help="Move the other wheel of the axle the other way, as in roll.")
    ] = False,
    svg: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="Also draw camber, toe, half-track and damper over lift (SVG)."),
    ] = None,
    png: Annotated[Path | None, typer.Option(metavar="FILE", help="The same charts as PNG.")] = None,
    views: Annotated[
        Path | None,
        typer.Option(
            metavar="FILE",
            help="Also draw the corner at droop, at rest and at bump from behind, from the side and from "
            "above; SVG or PNG by the name's ending.",
        ),
    ] = None,
    rest: Annotated[
        Path | None,
        typer.Option(
            metavar="FILE",
            help="Also draw the corner at rest, from behind, with its dimensions; SVG or PNG.",
        ),
    ] = None,
    as_json: AsJson = False,
) -> Answer:
    """Show what a wheel does through its travel: angles, track, damper and spring, and what ends it."""
    from cornerwright.cli import show_travel
    from cornerwright.cli.run_travel import Wish, run

    wish = Wish(car, corner, lift, steer, other, opposite, svg, png, views, rest)
    result = run(wish)
    return Answer(result, lambda page: show_travel.travel(page, result), as_json)


@app.command(rich_help_panel=LOOK)
def stand(car: CarFile, as_json: AsJson = False) -> Answer:
    """Show the car at rest: loads, heights, angles, and the travel left at each corner."""
    import cornerwright
    from cornerwright.cli import show_stand

    result = cornerwright.stand(cornerwright.load_car(car))
    broken = result.verdict != "stands" or any(one.level == "limit" for one in result.findings)
    return Answer(result, lambda page: show_stand.stand(page, result), as_json, int(broken))


@app.command(rich_help_panel=LOOK)
def joint(
    car: Annotated[Path | None, typer.Argument(metavar="[CAR]", help="Car file (YAML).")] = None,
    name: Annotated[
        str | None,
        typer.Argument(metavar="[NAME]", help="One joint in full, as in front_left.fastening; without it all of them."),
    ] = None,
    thread: Annotated[
        str | None,
        typer.Option(metavar="THREAD", help="A single question without a car: M12x1.5, M12 or 1/2-20 UNF."),
    ] = None,
    marking: Annotated[
        str | None, typer.Option("--class", metavar="CLASS", help="What stands on the bolt's head, as in 10.9.")
    ] = None,
    torque: Annotated[str | None, typer.Option(metavar="TORQUE", help="The maker's torque in N·m.")] = None,
    into: Annotated[
        str | None,
        typer.Option(metavar="MATERIAL", help="What it is screwed into: steel, cast_iron, aluminium... or nut."),
    ] = None,
    engagement: Annotated[str | None, typer.Option(metavar="LENGTH", help="Full thread that is in, in mm.")] = None,
    length: Annotated[str | None, typer.Option(metavar="LENGTH", help="Bolt under its head, in mm.")] = None,
    grip: Annotated[str | None, typer.Option(metavar="LENGTH", help="All that is clamped, in mm.")] = None,
    depth: Annotated[str | None, typer.Option(metavar="LENGTH", help="Thread in a blind hole, in mm.")] = None,
    method: Annotated[
        str | None, typer.Option(metavar="METHOD", help="How it is tightened: torque, torque_tested, angle, impact...")
    ] = None,
    friction: Annotated[
        str | None,
        typer.Option(
            metavar="FRICTION", help="In thread and under head: a class (A to E), 0.12, or a range 0.10:0.16."
        ),
    ] = None,
    shear: Annotated[str | None, typer.Option(metavar="FORCE", help="What pulls across the bolt, in N.")] = None,
    axial: Annotated[str | None, typer.Option(metavar="FORCE", help="What pulls along the bolt, in N.")] = None,
    svg: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="Also draw the section through hub, spacer, wheel and stud (SVG)."),
    ] = None,
    png: Annotated[Path | None, typer.Option(metavar="FILE", help="The same section as PNG.")] = None,
    as_json: AsJson = False,
) -> Answer:
    """Show whether joints have enough thread and the right clamp: those of a car, one, or one asked about."""
    from cornerwright.cli import show_joint
    from cornerwright.cli.run_joint import Asked, run

    asked = Asked(thread, marking, torque, into, engagement, length, grip, depth, method, friction, shear, axial)
    result = run(car, name, asked, svg, png)
    single = name is not None or thread is not None
    return Answer(
        result,
        lambda page: show_joint.one(page, result) if single else show_joint.every(page, result),
        as_json,
        int(result.verdict == "breaks a hard limit"),
    )


@app.command(rich_help_panel=LOOK)
def fit(
    car: CarFile,
    corner: Annotated[
        str | None,
        typer.Option(metavar="CORNER", help="Only this corner: front_left, front_right, rear_left or rear_right."),
    ] = None,
    lip_distance: Annotated[
        str | None,
        typer.Option(
            metavar="LENGTH",
            help="Also work out which spacer and camber put the tyre's outer face so far inside the arch lip.",
        ),
    ] = None,
    gap: Annotated[
        str | None, typer.Option(metavar="LENGTH", help="Least clearance then; without it that of the file.")
    ] = None,
    shelf: Annotated[
        str | None,
        typer.Option(metavar="LENGTHS", help="Spacers to choose from, as in 0,5,10,15. Without it: the usual ones."),
    ] = None,
    camber: Annotated[
        str | None, typer.Option(metavar="FROM:TO", help="Camber allowed then, as in -2.5:-0.5 degrees.")
    ] = None,
    engagement: Annotated[
        str | None,
        typer.Option(metavar="LENGTH", help="Thread that the studs need in the nuts, for the studs' length."),
    ] = None,
    svg: Annotated[
        Path | None,
        typer.Option(
            metavar="FILE",
            help="Also draw one corner in its arch, from behind and from above, and its clearance over lift and "
            "lock (SVG). Without --corner: the tightest one.",
        ),
    ] = None,
    png: Annotated[Path | None, typer.Option(metavar="FILE", help="The same drawing as PNG.")] = None,
    as_json: AsJson = False,
) -> Answer:
    """Say whether wheels, tyres and spacers fit hub, load and arch, and how near the tyre ever comes."""
    from cornerwright.cli import show_fit
    from cornerwright.cli.run_fit import Wish, run

    wish = Wish(car, corner, lip_distance, gap, shelf, camber, engagement, svg, png)
    result = run(wish)
    return Answer(result, lambda page: show_fit.fit(page, result), as_json, int(result.verdict == "does not fit"))


@app.command(rich_help_panel=LOOK)
def brakes(
    car: CarFile,
    load: Annotated[
        str,
        typer.Option(
            metavar="LOAD", help="Who is aboard: light (all that can be taken out is out), driven, full (all is in)."
        ),
    ] = "driven",
    wet: Annotated[bool, typer.Option("--wet", help="Pads and rotors wet.")] = False,
    wanted: Annotated[
        str | None,
        typer.Option(
            metavar="SHARE", help="Wanted share of the brake force in front, in percent: what to change to get there."
        ),
    ] = None,
    at: Annotated[
        float, typer.Option(metavar="G", help="Deceleration, in units of gravity, at which that share is meant.")
    ] = 0.6,
    stops: Annotated[int, typer.Option(metavar="COUNT", help="Stops that heat the brakes.")] = 10,
    fast: Annotated[str, typer.Option("--from", metavar="SPEED", help="Speed in km/h that each begins at.")] = "100",
    slow: Annotated[str, typer.Option("--to", metavar="SPEED", help="Speed in km/h that each ends at.")] = "0",
    rate: Annotated[float, typer.Option(metavar="G", help="Deceleration of each stop, in units of gravity.")] = 0.6,
    every: Annotated[str, typer.Option(metavar="TIME", help="Seconds from one stop to the next.")] = "45",
    lap: Annotated[
        Path | None,
        typer.Option(
            metavar="FILE",
            help="A lap in place of stops: a table (CSV) with the columns time_s and speed_km_per_h.",
        ),
    ] = None,
    laps: Annotated[int, typer.Option(metavar="COUNT", help="How often the lap is driven.")] = 1,
    air: Annotated[str, typer.Option(metavar="TEMPERATURE", help="Of the air, in °C; the brakes begin at it.")] = "20",
    svg: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="Also draw forces, grip used and temperatures (SVG)."),
    ] = None,
    png: Annotated[Path | None, typer.Option(metavar="FILE", help="The same charts as PNG.")] = None,
    card: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Also write the service cards, a page each (PDF).")
    ] = None,
    as_json: AsJson = False,
) -> Answer:
    """Show the brakes: which axle locks first, pedal, heat, wear, hoses, and what to change."""
    from cornerwright.cli import show_brakes
    from cornerwright.cli.run_brakes import Wish, run

    wish = Wish(car, load, wet, wanted, at, stops, fast, slow, rate, every, lap, laps, air, svg, png, card)
    result = run(wish)
    broken = result.verdict == "breaks a hard limit"
    return Answer(result, lambda page: show_brakes.brakes(page, result), as_json, int(broken))
