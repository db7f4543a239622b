"""The car on the road and in a turn: every number and its equation."""

from __future__ import annotations

from cornerwright.planning.why.explained import DEFINED, Explained, of

RUN = "run in time of the car's seven equations of motion over the road, step by step"
NEWTON = "Newton and Euler; Gillespie, Fundamentals of Vehicle Dynamics, ch. 5 (from memory)"
CHANCE = "one run over one made road: another number makes another road of the same class"
COUNTED = "counted over the run"
LINEAR = "straightened springs and dampers, response to the road's spectrum"
STATISTICAL = "statistical linearisation, Caughey (1963); Roberts and Spanos (from memory)"
COMFORT = "rms of the body's vertical acceleration weighted by Wk"
ISO_2631 = "ISO 2631-1:1997 (Wk as public programs print it, the rest from memory)"
SCALED = "the same run, the road's heights scaled to the class"
FALL = "run in time from a fall of this height with all wheels, or over a kerb with the left ones"
ASKED = "the question"
DAMPERS = "{corner}.damper.curve {corner}.spring.stack {corner}.tyre"

ROAD: dict[str, Explained] = {
    "speed_km_per_h": of("Speed", "given", ASKED),
    "seconds": of("Time driven and counted", "given", ASKED),
    "random": of("Number that the road was made from", "given", ASKED),
    "roughness_m_per_km": of(
        "International Roughness Index of the left track", "mean stroke of the reference car's spring per distance",
        "ASTM E1926; World Bank Technical Paper 46 (1986)",
    ),
    "weighted_m_per_s2": of("Weighted vertical acceleration of the body", COMFORT, ISO_2631, "speed_km_per_h", "",
                            CHANCE),
    "corners.stroke_mm": of("Stroke of the damper, metal to metal", "open - closed", DEFINED, "",
                            "{corner}.damper.open {corner}.damper.closed"),
    "corners.stands_at_mm": of("Where it stands on the level", "damper length at rest - closed", DEFINED),
    "corners.stop_mm": of("Below here the bump stop is touched", "length of the stop", DEFINED, "",
                          "{corner}.damper.bump_stop"),
    "corners.least_mm": of("Least stroke over the run", RUN, NEWTON, "stands_at_mm", DAMPERS, CHANCE),
    "corners.most_mm": of("Greatest stroke over the run", RUN, NEWTON, "stands_at_mm", DAMPERS, CHANCE),
    "corners.stop_per_minute": of("How often the bump stop is touched", COUNTED, DEFINED, "stop_mm", "", CHANCE),
    "corners.bottoms_per_minute": of("How often it bottoms", COUNTED, DEFINED, "least_mm", "", CHANCE),
    "corners.tops_per_minute": of("How often the damper is pulled right out", COUNTED, DEFINED, "most_mm", "", CHANCE),
    "corners.lifts_per_minute": of("How often the wheel leaves the ground", COUNTED, DEFINED, "", "", CHANCE),
    "corners.air_percent": of("Time in the air", COUNTED, DEFINED, "", "", CHANCE),
    "corners.load_variation_percent": of("Scatter of the tyre's load over its mean", "standard deviation / mean",
                                         DEFINED, "", "", CHANCE),
    "corners.lift_rms_mm": of("Scatter of the wheel against the body", "rms about the mean", DEFINED, "", "", CHANCE),
    "corners.damper_rms_mm_per_s": of("Scatter of the damper's speed", "rms", DEFINED, "", "", CHANCE),
    "corners.stroke.from_mm": of("Begin of a part of the stroke", "even parts", DEFINED),
    "corners.stroke.to_mm": of("End of a part of the stroke", "even parts", DEFINED),
    "corners.stroke.time_percent": of("Time in this part of the stroke", COUNTED, DEFINED, "", "", CHANCE),
    "roads.weighted_m_per_s2": of("Weighted acceleration on that class", SCALED, ISO_2631, "", "", CHANCE),
    "roads.worst_load_variation_percent": of("Worst load variation there", SCALED, DEFINED, "", "", CHANCE),
    "roads.stop_per_minute": of("Stops touched there, worst corner", SCALED, DEFINED, "", "", CHANCE),
    "roads.bottoms_per_minute": of("Bottoming there, worst corner", SCALED, DEFINED, "", "", CHANCE),
    "roads.tops_per_minute": of("Topping out there, worst corner", SCALED, DEFINED, "", "", CHANCE),
    "roads.air_percent": of("Time in the air there, worst corner", SCALED, DEFINED, "", "", CHANCE),
    "modes.frequency_hz": of("Frequency at which the car swings by itself", "|eigenvalue| / (2 pi)", STATISTICAL),
    "modes.damping_percent": of("Its damping", "-real part / |eigenvalue|", STATISTICAL),
    "straightened.weighted_m_per_s2": of("The same by frequencies", LINEAR, STATISTICAL),
    "straightened.lift_rms_mm": of("Scatter of the lifts by frequencies", LINEAR, STATISTICAL),
    "straightened.load_variation_percent": of("Load variation by frequencies", LINEAR, STATISTICAL),
    "drops.height_mm": of("Height of the fall", "tried", ASKED),
    "drops.least_mm": of("Least stroke left", FALL, NEWTON, "height_mm"),
    "drops.peak_load_n": of("Greatest load on each tyre", FALL, NEWTON, "height_mm"),
    "kerbs.height_mm": of("Height of the kerb", "tried", ASKED),
    "kerbs.least_mm": of("Least stroke left", FALL, NEWTON, "height_mm"),
    "kerbs.peak_load_n": of("Greatest load on each tyre", FALL, NEWTON, "height_mm"),
    "drop_bottoms_from_mm": of("Least fall from which a corner bottoms", "of those tried", DEFINED),
    "kerb_bottoms_from_mm": of("Least kerb from which a corner bottoms", "of those tried", DEFINED),
    "kerb_speed_km_per_h": of("Speed at which kerbs are met", "given", ASKED),
    "energy_off_percent": of("How far the energy's books do not close", "|in - stored - lost| / in", DEFINED,
                             doubt="a measure of the solver, not of the car"),
}  # fmt: skip

TURN = "equilibrium of forces and moments of a car on four wheels, tyres by the brush model"
TYRES = "Fiala (1954); Pacejka, Tyre and Vehicle Dynamics, ch. 3 (from memory)"
TRANSFER = "roll stiffness and roll centre of each axle, the rest over its geometry"
MILLIKEN = "Milliken and Milliken, Race Car Vehicle Dynamics, ch. 16 and 18 (from memory)"
ROLLS = "springs, stops, droop ends and bar of each axle in roll, its load held, tyres in series"
WORK = "virtual work of the axle's two lifts"
LOCKS = "the rack's travel through the linkage, or the lock under room; mean of both front wheels"
GRIP = "the tyres' grip and stiffness, which few know: see `assumed` in the answer"

ROW: dict[str, Explained] = {
    "lateral_g": of("Lateral acceleration", "speed² / radius / g", DEFINED, "speed_km_per_h radius_m"),
    "speed_km_per_h": of("Speed", "sqrt(lateral x radius)", DEFINED, "lateral_g radius_m"),
    "steer_deg": of("Steer of the front wheels", TURN, TYRES, "lateral_g", "wheelbase", GRIP),
    "slip_deg": of("Slip of the body", TURN, TYRES, "lateral_g", "", GRIP),
    "roll_deg": of("Roll of the body", "moment about the roll axis / (roll stiffness - weight x arm)", MILLIKEN,
                   "lateral_g roll_deg_per_g"),
    "front_used_percent": of("Grip used in front", "force of the axle's tyres / their grip", TYRES, "", "", GRIP),
    "rear_used_percent": of("Grip used behind", "force of the axle's tyres / their grip", TYRES, "", "", GRIP),
    "load_kg": of("Load on each wheel", TRANSFER, MILLIKEN, "lateral_g front_transfer_percent"),
    "camber_deg": of("Camber to the road", "camber of the linkage at that lift + roll", DEFINED, "roll_deg"),
    "power_kw": of("Power that the tyres take", "drive force x speed", "conservation of energy", "", "", GRIP),
    "lift_mm": of("Lift of each wheel from rest", ROLLS, WORK, "roll_deg"),
}  # fmt: skip

CORNERING: dict[str, Explained] = {
    "radius_m": of("Radius of the circle", "given", ASKED),
    "understeer_deg_per_g": of(
        "More steer for more lateral acceleration, slow", "d(steer)/d(lateral) at small lateral acceleration",
        "Gillespie, Fundamentals of Vehicle Dynamics, ch. 6 (from memory)", "", "", GRIP,
    ),
    "roll_deg_per_g": of("Roll per lateral acceleration", "roll / lateral, small", MILLIKEN),
    "front_transfer_percent": of("Share of the load that goes over in front, at the limit", TRANSFER, MILLIKEN, "",
                                 "front.bar rear.bar"),
    "front_transfer_slow_percent": of("The same before a wheel lifts or a stop is met", TRANSFER, MILLIKEN, "",
                                      "front.bar rear.bar"),
    "stops_from_g": of("From here roll touches the bump stop", "lift = that at which it is touched", WORK),
    "droop_from_g": of("From here roll takes the wheel to full droop", "lift = full droop", WORK),
    "lock.left_deg": of("Full lock to the left", LOCKS, DEFINED, "", "front.rack"),
    "lock.right_deg": of("Full lock to the right", LOCKS, DEFINED, "", "front.rack"),
    "lock.rubs_left_deg": of("Lock to the left from which a tyre touches", "least clearance = 0", DEFINED),
    "lock.rubs_right_deg": of("Lock to the right from which a tyre touches", "least clearance = 0", DEFINED),
    "roll_centre_mm": of("Roll centre of each axle", "instant centre construction", MILLIKEN),
    "lifts_from_g": of("From here an inside wheel leaves the ground", "load = 0", MILLIKEN),
    "slides.slip_deg": of("Slip of the body in a held slide", "given", ASKED),
    "slides.speed_km_per_h": of("Speed of it", TURN, TYRES, "slip_deg", "", GRIP),
    "slides.steer_deg": of("Steer of it; negative: opposite lock", TURN, TYRES, "slip_deg", "", GRIP),
    "slides.power_kw": of("Power of it", "drive force x speed", "conservation of energy", "slip_deg", "", GRIP),
}  # fmt: skip
CORNERING |= {f"{part}.{key}": one for part in ("limit", "rows") for key, one in ROW.items()}
