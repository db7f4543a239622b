"""The car at rest, the travel of a wheel, and what a plan predicts: every number and its equation."""

from __future__ import annotations

from cornerwright.planning.why.explained import DEFINED, PRACTICE, Explained, of

REST = (
    "least potential energy of springs, dampers' gas, stops, bars, bushes, tyres and weights over heave, pitch, roll "
    "and the four lifts: dE/dq = 0, d2E/dq2 positive"
)
LAGRANGE = "statics as least energy, Lanczos, The Variational Principles of Mechanics (from memory)"
CURVE = (
    "jack table: cubic by least squares with the gauge's scatter and a prior; points: the pose that keeps every rod, "
    "pivot and guide at its length"
)
GELMAN = "Gelman et al., Bayesian Data Analysis, section 14.8; closure by Newton's method (both from memory)"
GEOMETRY = "plane geometry, signs of ISO 8855"
GILLESPIE_5 = "Gillespie, Fundamentals of Vehicle Dynamics, chapter 5 (from memory)"
MILLIKEN = "Milliken and Milliken, Race Car Vehicle Dynamics, ch. 16 and 17 (from memory)"
LINKAGE = "{corner}.linkage {axle}.linkage {corner}.wheel"
SPRING = "{corner}.spring.stack {corner}.spring.spacers {corner}.spring.around_damper"

CORNER: dict[str, Explained] = {
    "load_n": of(
        "Force of the ground on this wheel", f"tyre rate x (free radius - height of the wheel centre), at rest: {REST}",
        LAGRANGE, "total_kg cross_weight_percent spring_load_n",
        "mass {corner}.unsprung_mass {corner}.tyre {corner}.spring.stack",
    ),
    "load_kg": of(
        "What the scale under this wheel shows", "load_n / 9.80665 m/s²", "standard gravity, 3rd CGPM 1901", "load_n",
        "mass {corner}.unsprung_mass",
    ),
    "lift_mm": of(
        "Wheel centre against the body, from the reference pose; bump is positive", REST, LAGRANGE,
        "load_n spring_load_n", f"{SPRING} {{corner}}.tyre mass",
    ),
    "height_mm": of(
        "Height point over the ground", "heave + its place in the body turned by pitch and roll", GEOMETRY,
        "pitch_deg roll_deg lift_mm", "{corner}.height_point",
    ),
    "camber_deg": of(
        "Camber against the road; negative: top inboard",
        "camber of the linkage at this lift, turned by the body's roll and pitch, + compliance x (load - usual load)",
        f"{GELMAN}; rotation matrices", "lift_mm roll_deg load_n", f"{LINKAGE} {{corner}}.camber_compliance",
    ),
    "toe_deg": of(
        "Toe of this wheel against the car's centre line; positive: toe-in",
        "toe of the linkage at this lift, turned by the body's roll and pitch, + compliance x (load - usual load)",
        f"{GELMAN}; rotation matrices", "lift_mm roll_deg load_n", f"{LINKAGE} {{corner}}.toe_compliance",
    ),
    "caster_deg": of(
        "Caster of the steering axis; positive: leans back at the top",
        "caster of the linkage at this lift, turned by the body's pitch and roll", f"{GELMAN}; rotation matrices",
        "lift_mm pitch_deg", LINKAGE,
    ),
    "damper_mm": of(
        "Damper between its eyes", f"length at this lift and the adjusters' settings; {CURVE}", GELMAN, "lift_mm",
        f"{LINKAGE} {{corner}}.damper.open {{corner}}.damper.closed {{corner}}.adjusters",
    ),
    "spring_mm": of(
        "Spring between its seats", "distance of the seats at this lift, the perch's travel taken off", GELMAN,
        "lift_mm spring_load_n", f"{SPRING} {{corner}}.adjusters",
    ),
    "spring_load_n": of(
        "Force of the spring pack",
        "force at which the springs in series, each to its own coil bind, are as long as the seats are apart",
        "springs in series; EN 13906-1 for a coil's rate (from memory)", "spring_mm", SPRING,
    ),
    "droop_left_mm": of(
        "Wheel travel left to full droop", "lift now - lift where the damper is pulled right out or the linkage ends",
        DEFINED, "lift_mm damper_mm", "{corner}.damper.open {corner}.adjusters",
    ),
    "bump_left_mm": of(
        "Wheel travel left to full bump",
        "least of the lifts where the stop is squeezed as far as its curve goes, metal meets metal, a coil binds or "
        "the linkage ends, - lift now",
        DEFINED, "lift_mm damper_mm", f"{{corner}}.damper.closed {{corner}}.damper.bump_stop {SPRING}",
    ),
    "stop_gap_mm": of(
        "Wheel travel until the bump stop is touched; below zero: it is squeezed",
        "lift where damper length = closed length + length of the stop, - lift now", DEFINED, "lift_mm damper_mm",
        "{corner}.damper.closed {corner}.damper.bump_stop",
    ),
    "spring_held_mm": of(
        "How far the spring is squeezed at full droop; below zero: loose",
        "free length of the pack and its spacers - distance of the seats at full droop", PRACTICE,
        "droop_left_mm", f"{SPRING} {{corner}}.damper.open {{corner}}.adjusters",
    ),
    "stroke_percent": of(
        "Where the damper's rod stands: 0 closed, 100 open",
        "(damper's own length - closed) / (open - closed)", PRACTICE, "damper_mm",
        "{corner}.damper.open {corner}.damper.closed {corner}.adjusters",
    ),
    "ride_frequency_hz": of(
        "Frequency of the body over this wheel, both wheels of the axle in step",
        "sqrt(k / m) / (2 pi), 1/k = 1/wheel rate + 1/tyre rate, m = load/g - unsprung mass", GILLESPIE_5,
        "wheel_rate_n_per_mm load_n", "{corner}.tyre.rate {corner}.unsprung_mass",
    ),
    "wheel_rate_n_per_mm": of(
        "Force at the wheel per lift, both wheels of the axle in step",
        "spring rate x motion ratio² - spring force x change of the ratio, the same of the damper's gas and stop, "
        "+ bushes",
        MILLIKEN, "lift_mm spring_load_n", f"{SPRING} {LINKAGE} {{corner}}.bushes",
    ),
}  # fmt: skip
"""One corner of the car at rest."""

CAR: dict[str, Explained] = {
    "residual_n": of(
        "Greatest force left over where the car was taken to rest", "max |dE/dq|", LAGRANGE,
        doubt="a measure of the solver, not of the car",
    ),
    "total_kg": of("Weight of the whole car", "sum of the four loads / 9.80665 m/s²", DEFINED, "", "mass.total"),
    "front_percent": of("Share of the weight on the front wheels", "(FL + FR) / total", PRACTICE, "", "mass.front"),
    "left_percent": of("Share of the weight on the left wheels", "(FL + RL) / total", PRACTICE, "", "mass.left"),
    "cross_weight_percent": of(
        "Cross weight", "(front right + rear left) / total", PRACTICE, "",
        "front.left.adjusters front.right.adjusters rear.left.adjusters rear.right.adjusters front.bar rear.bar",
    ),
    "pitch_deg": of("Turn of the body about the cross axis; positive: nose down", REST, LAGRANGE, "", "mass"),
    "roll_deg": of("Turn of the body about the long axis; positive: left side up", REST, LAGRANGE, "", "mass"),
}  # fmt: skip
"""The whole car at rest."""

PREDICTED: dict[str, Explained] = {
    "cg_height_mm": of(
        "Centre of gravity of the whole car over the ground, as it stands",
        "(body mass x its height + sum of unsprung mass x wheel centre height) / total", "ISO 10392 (from memory)", "",
        "mass.cg_height mass.total",
    ),
    "half_track_mm": of(
        "Wheel centre outboard of the body's centre plane", CURVE, GELMAN, "lift_mm", f"{LINKAGE} {{axle}}.track"
    ),
    "bind_margin_mm": of(
        "Wheel travel from full bump on to coil bind", "lift at coil bind - lift at full bump", DEFINED, "", SPRING
    ),
}  # fmt: skip
"""What a plan predicts beside what `stand` shows."""

SINGLE = "first derivative along the motion asked for, from the same equations"
TRAVEL: dict[str, Explained] = {
    "lowest_mm": of("Lowest lift that was measured, or that the linkage reaches", CURVE, GELMAN),
    "highest_mm": of("Highest lift that was measured, or that the linkage reaches", CURVE, GELMAN),
    "damper_out_mm": of("Lift where the damper is pulled right out", "damper length = open length", DEFINED),
    "full_bump_mm": of(
        "Lift of full bump", "damper length = closed length, or closed + what is left of the squeezed stop", DEFINED
    ),
    "coil_bind_mm": of("Lift where every coil touches", "seat distance = sum of block lengths and spacers", DEFINED),
    "limits.steer_mm": of("Rack travel asked for", "given", "the question"),
    "limits.lowest_mm": of(
        "Lowest lift of the linkage itself", "where the constraints' Jacobian loses rank, followed by arc length",
        "Allgower and Georg, Numerical Continuation Methods (from memory)",
    ),
    "limits.highest_mm": of(
        "Highest lift of the linkage itself", "where the constraints' Jacobian loses rank, followed by arc length",
        "Allgower and Georg, Numerical Continuation Methods (from memory)",
    ),
    "rows.lift_mm": of("Lift asked for", "given", "the question"),
    "rows.steer_mm": of("Rack travel asked for", "given", "the question"),
    "rows.other_lift_mm": of("Lift of the axle's other wheel", "given by the motion asked for", "the question"),
    "rows.camber_deg": of("Camber against the body", CURVE, GELMAN, sigma="sigma.camber_deg"),
    "rows.toe_deg": of("Toe against the body", CURVE, GELMAN, sigma="sigma.toe_deg"),
    "rows.caster_deg": of("Caster against the body", CURVE, GELMAN, sigma="sigma.caster_deg"),
    "rows.kingpin_deg": of("Steering axis inclination", "lean of the axis in the rear view", GEOMETRY),
    "rows.scrub_mm": of("Kingpin offset at the ground", "contact to axis at the ground, sideways", "ISO 8855"),
    "rows.trail_mm": of("Caster trail at the ground", "axis ahead of the contact at the ground", "ISO 8855"),
    "rows.wheel_x_mm": of("Wheel centre along the car", CURVE, GELMAN),
    "rows.wheel_y_mm": of("Wheel centre across the car", CURVE, GELMAN),
    "rows.half_track_mm": of(
        "Change of half-track from the reference lift", CURVE, GELMAN, sigma="sigma.half_track_mm"
    ),
    "rows.damper_mm": of("Damper between its eyes", CURVE, GELMAN, sigma="sigma.damper_mm"),
    "rows.spring_mm": of("Spring between its seats", CURVE, GELMAN, sigma="sigma.spring_mm"),
    "rows.damper_ratio": of("Damper length change per lift", SINGLE, MILLIKEN),
    "rows.spring_ratio": of("Spring length change per lift", SINGLE, MILLIKEN),
    "rows.bump_steer_deg_per_mm": of("Change of toe per lift", SINGLE, DEFINED),
    "rows.roll_centre_mm": of(
        "Height at which the normals to both contacts' paths meet", "instant centre construction in the rear view",
        MILLIKEN,
    ),
    "rows.roll_centre_y_mm": of("Where they meet, from the centre plane", "as roll_centre_mm", MILLIKEN),
    "rows.brake_path_deg": of("Side view angle of the contact's path, brake locked", SINGLE, MILLIKEN),
    "rows.drive_path_deg": of("Side view angle of the wheel centre's path", SINGLE, MILLIKEN),
    "rows.anti_dive_percent": of(
        "Share of the braking load transfer that the front linkage carries past the springs",
        "tan(brake path) x brake share x wheelbase / height of the centre of gravity, brakes sharing as the grip does",
        "Gillespie, Fundamentals of Vehicle Dynamics, chapter 7 (from memory)", "brake_path_deg",
        "wheelbase mass.cg_height mass.front",
    ),
    "rows.anti_lift_percent": of(
        "The same of the rear axle under braking",
        "tan(brake path) x (1 - brake share) x wheelbase / height of the centre of gravity",
        "Gillespie, Fundamentals of Vehicle Dynamics, chapter 7 (from memory)", "brake_path_deg",
        "wheelbase mass.cg_height",
    ),
    "rows.anti_squat_percent": of(
        "The same of a driven rear axle", "tan(path) x wheelbase / height of the centre of gravity",
        "Gillespie, Fundamentals of Vehicle Dynamics, chapter 7 (from memory)", "drive_path_deg",
        "wheelbase mass.cg_height",
    ),
    "rows.rocker_deg": of("Turn of the rocker from the reference pose", CURVE, GELMAN),
    "rows.shaft_plunge_mm": of("Drive shaft in its joints", "distance of its joints less that at reference", GEOMETRY),
    "rows.joints_deg": of("Angle used at each joint", "angle of its stud to its housing less at reference", GEOMETRY),
    "rows.sigma": of("Standard deviation of each value that has one", "of the fitted curve at this lift", GELMAN),
}  # fmt: skip
"""A wheel through its travel."""
