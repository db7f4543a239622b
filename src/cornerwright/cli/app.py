"""The commands and what each takes. Heavy things are imported when a command runs."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

import typer
from typer.core import TyperGroup

from cornerwright.cli.answers import Answer
from cornerwright.cli.book import book

EPILOG = (
    "Every command takes --help, and --json for an answer that programs can read. Exit status: "
    "0 done; 1 the car breaks a hard limit; 2 bad input."
)

LOOK, TURN, START, PROGRAMS = "Look at the car", "Turn", "Start", "For programs"
RECORD = "Keep the record"


class ByTheJob(TyperGroup):
    """The group of all commands, listed by what one wants to do."""

    def format_commands(self, ctx: Any, formatter: Any) -> None:
        """Write one list a section."""
        for section in (START, LOOK, TURN, RECORD, PROGRAMS):
            rows = [
                (name, command.get_short_help_str(limit=200))
                for name, command in self.commands.items()
                if getattr(command, "rich_help_panel", None) == section
            ]
            with formatter.section(section):
                formatter.write_dl(rows, col_max=12)

    def resolve_command(self, ctx: Any, args: list[str]) -> Any:
        """Find the command, or refuse with the nearest name."""
        if args and args[0] not in self.commands and not args[0].startswith("-"):
            from cornerwright.cli.options import one_of

            one_of(args[0], tuple(self.commands), "COMMAND")
        return super().resolve_command(ctx, args)


app = typer.Typer(
    cls=ByTheJob,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    add_completion=False,
    epilog=EPILOG,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
)

app.add_typer(book, name="book", rich_help_panel=RECORD)

CarFile = Annotated[Path, typer.Argument(metavar="CAR", help="Car file (YAML).")]
AsJson = Annotated[bool, typer.Option("--json", help="Answer as JSON, for programs.")]
OutFolder = Annotated[
    Path | None,
    typer.Option(metavar="FOLDER", help="Keep every run there as it comes (Parquet), and go on from what is there."),
]
Processes = Annotated[
    int | None, typer.Option(metavar="COUNT", help="Processes on this machine; all cores without it.")
]
Cluster = Annotated[
    str | None, typer.Option(metavar="ADDRESS", help="A Dask cluster that does it, such as tcp://127.0.0.1:8786.")
]


def _version(asked: bool) -> None:
    if asked:
        import cornerwright

        typer.echo(f"cornerwright {cornerwright.__version__}")
        raise typer.Exit


@app.callback(invoke_without_command=True)
def main(
    context: typer.Context,
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Say the version.")
    ] = False,
) -> None:
    """What to turn on a car's suspension, how far, in which order, and what it does to the rest."""
    if context.invoked_subcommand is None:
        typer.echo(context.get_help())
        raise typer.Exit


@app.command(rich_help_panel=LOOK)
def check(car: CarFile, as_json: AsJson = False) -> Answer:
    """Say what is wrong with the car as its file describes it, and what to do about it."""
    import cornerwright
    from cornerwright.cli import show
    from cornerwright.cli.waiting import waiting

    loaded = cornerwright.load_car(car)
    with waiting(as_json) as line:
        line(0.0, "checking")
        result = cornerwright.check(loaded)
    broken = result.verdict == "breaks a hard limit" or result.stand.verdict != "stands"
    return Answer(result, lambda page: show.check(page, result), as_json, int(broken))


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
    from cornerwright.cli.travelling import Wish, travelled

    wish = Wish(car, corner, lift, steer, other, opposite, svg, png, views, rest)
    result = travelled(wish)
    return Answer(result, lambda page: show_travel.travel(page, result), as_json)


@app.command(rich_help_panel=LOOK)
def stand(car: CarFile, as_json: AsJson = False) -> Answer:
    """Show the car at rest: loads, heights, angles, and the travel left at each corner."""
    import cornerwright
    from cornerwright.cli import show

    result = cornerwright.stand(cornerwright.load_car(car))
    broken = result.verdict != "stands" or any(one.level == "limit" for one in result.findings)
    return Answer(result, lambda page: show.stand(page, result), as_json, int(broken))


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
    from cornerwright.cli import jointing, show_joint

    asked = jointing.Asked(
        thread, marking, torque, into, engagement, length, grip, depth, method, friction, shear, axial
    )
    result = jointing.answered(car, name, asked, svg, png)
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
    from cornerwright.cli.fitting import FitWish, fitted

    wish = FitWish(car, corner, lip_distance, gap, shelf, camber, engagement, svg, png)
    result = fitted(wish)
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
    from cornerwright.cli.braking import Wish, braked

    wish = Wish(car, load, wet, wanted, at, stops, fast, slow, rate, every, lap, laps, air, svg, png, card)
    result = braked(wish)
    broken = result.verdict == "breaks a hard limit"
    return Answer(result, lambda page: show_brakes.brakes(page, result), as_json, int(broken))


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
    from cornerwright.cli.roading import Wish, roaded

    result = roaded(Wish(car, on, profile, speed, seconds, random, kerb_speed, svg, png), as_json)
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
    from cornerwright.cli.turning import Wish, turned

    result = turned(Wish(car, radius, driven, svg, png))
    return Answer(result, lambda page: show_corner.corner(page, result), as_json, int(result.verdict == "turns over"))


@app.command(rich_help_panel=LOOK)
def doubt(
    car: CarFile,
    of: Annotated[
        str, typer.Option(metavar="COMMANDS", help="Whose figures: stand, corner, road, brakes, or several by commas.")
    ] = "stand",
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
    radius: Annotated[float, typer.Option(metavar="METRES", help="Radius of the circle, for corner.")] = 30.0,
    driven: Annotated[str, typer.Option(metavar="AXLE", help="Which axle is driven, for corner.")] = "rear",
    on: Annotated[str, typer.Option("--class", metavar="CLASS", help="Class of the road, for road.")] = "C",
    speed: Annotated[str, typer.Option(metavar="SPEED", help="Speed in km/h, for road.")] = "60",
    seconds: Annotated[str, typer.Option(metavar="TIME", help="How long each car is driven, for road.")] = "16",
    out: OutFolder = None,
    processes: Processes = None,
    cluster: Cluster = None,
    as_json: AsJson = False,
) -> Answer:
    """Say how sure the car's figures are before anything is read, and what to measure better."""
    from cornerwright.cli import show_doubt
    from cornerwright.cli.doubting import Many, Wish, doubted

    many = Many(processes, cluster, out)
    wish = Wish(car, of, cars, random, against, tuple(changed or ()), radius, driven, on, speed, seconds, many)
    result = doubted(wish, as_json)
    return Answer(result, lambda page: show_doubt.doubt(page, result), as_json)


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
    as_json: AsJson = False,
) -> Answer:
    """Say why a number is what it is: its equation and source, what goes into it, how sure it is."""
    import cornerwright
    from cornerwright.cli import options, papers, show_why
    from cornerwright.model.errors import Refusal

    place = None if corner is None else options.read_corner(corner)
    if readings is None:
        loaded, read = cornerwright.load_car(car), None
    else:
        loaded, read = papers.load_car_and_readings(car, readings)
    try:
        result = cornerwright.why(loaded, key, place, read, joint)
    except Refusal as refusal:
        if any(one.field for one in refusal.problems):  # of the command line, not of the file
            raise
        raise refusal.within(file=str(car)) from None
    return Answer(result, lambda page: show_why.why(page, result), as_json)


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
    from cornerwright.cli.choosing import Wish, chosen

    result, letter = chosen(Wish(car, targets, shelf, readings, driven, most, take, write, svg, png), as_json)
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


@app.command("app", rich_help_panel=START)
def open_app(
    where: Annotated[
        str,
        typer.Argument(
            metavar="BOOK-OR-CAR",
            help="A book (its folder or PostgreSQL URL), a folder with car.yaml, or a car file (YAML); a folder "
            "without a car: one is begun there.",
        ),
    ],
    port: Annotated[
        int, typer.Option(metavar="PORT", min=0, max=65535, help="Port to answer at; 0: any that is free.")
    ] = 8480,
    lan: Annotated[
        bool,
        typer.Option(
            "--lan", help="Answer phones on the same network too, and ask them for a pass phrase that is shown here."
        ),
    ] = False,
    called: Annotated[
        list[str] | None,
        typer.Option(metavar="NAME", help="Another name or address of this machine, with --lan; may be given again."),
    ] = None,
    quiet: Annotated[
        float | None,
        typer.Option("--end-after", metavar="MINUTES", min=0.01, help="End when no page has been open for so long."),
    ] = None,
) -> None:
    """Open the car in a browser, on the phone beside it: begin it, look, measure, tick off the plan."""
    import os

    from cornerwright.web.serving import serve

    phrase = os.environ.get("CORNERWRIGHT_PHRASE") or None
    serve(where, port, lan, phrase, typer.echo, quiet and quiet * 60.0, [name.lower() for name in called or ()])


@app.command(rich_help_panel=PROGRAMS)
def schema(
    name: Annotated[
        str,
        typer.Argument(
            metavar="[NAME]",
            help="A file: car, readings, targets, shelf, entries; or an answer: check, travel, stand, joint, fit, "
            "brakes, road, corner, doubt, choose, why, plan, learn, new, demo, book_made, book_added, book_log, "
            "book_now, book_diff, book_jobs, book_joints, book_report, book_verify, error.",
        ),
    ] = "car",
    as_json: Annotated[bool, typer.Option("--json", help="Changes nothing: a schema is JSON.")] = False,
) -> Answer:
    """Print the JSON Schema of a file or of an answer."""
    from cornerwright.cli import options, schemas

    which = options.one_of(name, schemas.NAMES, "NAME")
    return Answer(schemas.schema_of(which), lambda page: None, True)


@app.command(rich_help_panel=START)
def new(
    file: Annotated[
        Path,
        typer.Argument(
            metavar="FILE",
            help="Car file to write; readings and targets are written beside it.",
        ),
    ],
    front_spring: Annotated[
        str,
        typer.Option(metavar="WHERE", help="Front spring: around (the damper) or apart (from it)."),
    ] = "around",
    rear_spring: Annotated[
        str,
        typer.Option(metavar="WHERE", help="Rear spring: around (the damper) or apart (from it)."),
    ] = "apart",
    force: Annotated[bool, typer.Option("--force", help="Overwrite files that are there.")] = False,
    as_json: AsJson = False,
) -> Answer:
    """Write a starter car file that says how to measure each value, with readings and targets."""
    from cornerwright.cli import starter

    result = starter.write_starter(file, front_spring, rear_spring, force)
    return Answer(result, lambda page: starter.show(page, result), as_json)


@app.command(rich_help_panel=START)
def demo(
    out: Annotated[Path, typer.Option(metavar="DIR", help="Folder for what is written; made if need be.")] = Path(
        "cornerwright-demo"
    ),
    open_app: Annotated[
        bool,
        typer.Option("--app", help="Open the example's book in the app too, until half an hour after its last use."),
    ] = False,
    as_json: AsJson = False,
) -> Answer:
    """Run the whole job on the invented example car and write its papers and its book into a folder."""
    from cornerwright.cli import example
    from cornerwright.cli.waiting import waiting

    with waiting(as_json) as line:
        result = example.run_example(out, line, open_app)
    status = int(result.plan.verdict in ("breaks a hard limit", "no plan"))
    return Answer(result, lambda page: example.show(page, result), as_json, status)
