"""Laying out cornering: what gives up first, then the turns, then what a slide takes."""

from __future__ import annotations

from cornerwright.cli.page import Page
from cornerwright.cli.show import good_to_know, small_print, wrong
from cornerwright.drawing.corner_charts import answer
from cornerwright.drawing.lettering import figure
from cornerwright.model.results_corner import CornerResult


def corner(page: Page, result: CornerResult) -> None:
    """The whole answer."""
    page.title(result.car, "cornering")
    page.para(answer(result), style="strong")
    more = figure(result.understeer_deg_per_g, 2, True)
    roll, front = figure(result.roll_deg_per_g, 1), figure(result.front_transfer_percent)
    centres = ", ".join(f"{end} {figure(height)} mm" for end, height in result.roll_centre_mm.items())
    page.para(
        f"Slow, it asks for {more} deg of steer per g (more is push, less is loose). It rolls {roll} deg per g; the "
        f"front takes {front} % of the load that goes over. Roll centres: {centres}."
    )
    wrong(page, result.findings)
    driven = "both axles driven" if result.driven == "both" else f"{result.driven} driven"
    page.head(f"On a circle of {result.radius_m:g} m, to the left, {driven}")
    page.columns(
        [
            [
                figure(row.lateral_g, 2),
                figure(row.speed_km_per_h),
                figure(row.steer_deg, 1),
                figure(row.slip_deg, 1),
                figure(row.roll_deg, 1),
                f"{figure(row.front_used_percent)} / {figure(row.rear_used_percent)}",
                f"{figure(row.camber_deg['front_right'], 1)} / {figure(row.camber_deg['rear_right'], 1)}",
                f"{figure(row.load_kg['front_left'])} / {figure(row.load_kg['rear_left'])}",
            ]
            for row in (*result.rows[1:-1:2], result.limit)
        ],
        align=">>>>>>>>",
        header=["g", "km/h", "steer°", "slip°", "roll°", "grip% f/r", "outer camber°", "inner kg"],
    )
    at = {end: f"{figure(result.limit.camber_deg[end], 1)}°" for end in result.limit.camber_deg}
    page.para(
        f"Camber to the road at the limit: front {at['front_left']} inner, {at['front_right']} outer; rear "
        f"{at['rear_left']} inner, {at['rear_right']} outer.",
        indent=2,
    )
    page.para(_lock(result), indent=2)
    if result.slides:
        page.head("Held in a slide by the driver")
        page.columns(
            [
                [
                    figure(one.slip_deg),
                    figure(one.speed_km_per_h),
                    figure(one.steer_deg, 1),
                    figure(one.power_kw),
                    {True: "yes", False: "NO", None: "not known"}[one.within_lock],
                ]
                for one in result.slides
            ],
            align=">>>><",
            header=["slip°", "km/h", "steer°", "kW at the wheels", "lock enough"],
        )
        page.para("On closed ground only. Such a turn does not hold itself: lift off, and the car spins.", indent=2)
    good_to_know(page, result.findings)
    small_print(page, result.caution, result.assumed)


def _lock(result: CornerResult) -> str:
    """How far the wheels steer, and what they would touch."""
    lock = result.lock
    if lock is None:
        return "Steering lock: not in the file."
    words = f"Steering lock: {figure(lock.left_deg)}° into the turn, {figure(lock.right_deg)}° the other way"
    rubs = [
        f"{figure(angle)}° {way}"
        for angle, way in ((lock.rubs_left_deg, "into the turn"), (lock.rubs_right_deg, "the other way"))
        if angle is not None
    ]
    if rubs:
        return f"{words}; a tyre touches from {' and '.join(rubs)} on."
    return f"{words}; " + ("no tyre touches." if lock.clearance_known else "what a tyre touches is not known.")
