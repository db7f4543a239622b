"""Wheel, tyre and room: every number and its equation."""

from __future__ import annotations

from cornerwright.planning.why.explained import DEFINED, FILE, GIVEN, PRACTICE, Explained, of

ETRTO = "ETRTO, UN R30 annex 5 (from memory)"
ENVELOPE = "least distance of the obstacle from the tyre's outline over all lifts and locks"
OURS = "derived here; held against dense meshes in tests/outside/test_envelope_meshes.py"
FACES = "effective inset and half the section width, from the hub's mounting face"
CHANGED = "now - with the wheel that was here before"

FIT: dict[str, Explained] = {
    "tyre.section_width_mm": of(
        "Section width on this rim", "S = S1 + K (A - A1), K = 0.4", ETRTO, "marking",
        doubt="a tyre may be 4 % wider than designed",
    ),
    "tyre.tread_width_mm": of("Width of the tread", "given, or a share of the section width", PRACTICE,
                              "section_width_mm tread_guessed"),
    "tyre.overall_diameter_mm": of("Design diameter by the marking", "d + 2 H", ETRTO, "marking",
                                   between="diameter_low_mm diameter_high_mm"),
    "tyre.diameter_low_mm": of("Least diameter of a new tyre", "d + 2 H x 0.97", "UN R30 6.1.5 (from memory)"),
    "tyre.diameter_high_mm": of("Greatest diameter of a new tyre", "d + 2 H x 1.04", "UN R30 6.1.5 (from memory)"),
    "tyre.free_radius_mm": of("Radius without load", GIVEN, FILE, "", "{corner}.tyre.free_radius"),
    "tyre.loaded_radius_mm": of("Radius under its load at rest", "free radius - load / tyre rate", DEFINED,
                                "free_radius_mm load_kg", "{corner}.tyre.rate"),
    "tyre.rim_low_mm": of("Narrowest rim it may go on", "its maker's, or by aspect ratio", ETRTO),
    "tyre.rim_high_mm": of("Widest rim it may go on", "its maker's, or by aspect ratio", ETRTO),
    "tyre.load_kg": of("Load on it, the car at rest", "see load_kg of the car at rest", DEFINED),
    "tyre.load_needed_kg": of("Load it must be made for", "half of what the axle may carry, or the load at rest",
                              PRACTICE),
    "tyre.load_allowed_kg": of("Load by its index, at the car's top speed", "table x share at that speed",
                               "ISO 4000-1, UN R30 2.29 (from memory)", "speed_km_per_h"),
    "tyre.speed_km_per_h": of("Speed by its symbol", "table", "ISO 4000-1 (as public tables print it)"),
    "wheel.inset_mm": of("Mounting face to the rim's middle", GIVEN, FILE),
    "wheel.spacer_mm": of("Thickness of the spacer", GIVEN, FILE),
    "wheel.effective_inset_mm": of("Inset with the spacer", "inset - spacer", DEFINED, "inset_mm spacer_mm"),
    "wheel.inner_face_mm": of("Inner face of the tyre", FACES, DEFINED, "effective_inset_mm tyre.section_width_mm"),
    "wheel.outer_face_mm": of("Outer face of the tyre", FACES, DEFINED, "effective_inset_mm tyre.section_width_mm"),
    "wheel.spigot_play_mm": of("Play of the bore on its spigot", "bore - spigot", DEFINED),
    "wheel.spigot_held_mm": of("Spigot within the bore", "spigot - spacer - chamfer", DEFINED),
    "wheel.further_out_mm": of("Against the wheel that was here before", CHANGED, DEFINED, "effective_inset_mm"),
    "wheel.track_change_mm": of("Change of the axle's track", "both sides' further out", DEFINED, "further_out_mm"),
    "wheel.scrub_mm": of("Kingpin offset at the ground", "contact to steering axis at the ground", "ISO 8855"),
    "wheel.scrub_change_mm": of("Change of it", CHANGED, DEFINED),
    "wheel.bearing_moment_nm": of("Moment of the load about the bearings", "load x (wheel plane - bearing middle)",
                                  "statics"),
    "wheel.bearing_moment_change_nm": of("Change of it", CHANGED, DEFINED),
    "wheel.wheel_rate_n_per_mm": of("Wheel rate", "see wheel_rate_n_per_mm of the car at rest", DEFINED),
    "wheel.wheel_rate_change_percent": of("Change of it by the wheel's place alone", CHANGED, DEFINED),
    "wheel.studs_mm": of("Spacer and wheel at its holes", "spacer + thickness at the holes", DEFINED, "spacer_mm"),
    "clearances.clearance_mm": of("How near this obstacle ever comes", ENVELOPE, OURS, "lift_mm across",
                                  sigma="sigma_mm"),
    "clearances.sigma_mm": of("Standard deviation of the clearance",
                              "obstacle's place, tyre's size and wheel's place, added as squares",
                              "linear propagation of normal errors", "", "doubt.point"),
    "clearances.chance": of("Probability that it is touched", "normal probability of clearance < 0",
                            "normal distribution", "clearance_mm sigma_mm"),
    "clearances.lift_mm": of("Lift at which it is nearest", ENVELOPE, OURS),
    "clearances.across": of("Lock or other wheel's lift at which it is nearest", ENVELOPE, OURS),
    "clearances.at_mm": of("Place on the obstacle", ENVELOPE, OURS),
    "clearances.tyre_mm": of("Place on the tyre", ENVELOPE, OURS),
    "clearances.at_rest_mm": of("Clearance at rest, straight ahead", "as clearance_mm, one pose", OURS),
    "map.lifts_mm": of("Lifts of the map", "even steps from full droop to full bump", DEFINED),
    "map.across": of("Locks of the map", "even steps from lock to lock", DEFINED),
    "map.clearance_mm": of("Least clearance over lift and lock", ENVELOPE, OURS),
    "least_mm": of("Least clearance of all", "least of the clearances", OURS, "clearances.obstacle"),
    "lip_distance_mm": of("Tyre's outermost place above the wheel's middle to the arch lip",
                          "sideways distance at rest", DEFINED),
    "lift_to_contact_mm": of("Least lift in bump at which anything is touched", "clearance = 0, at any lock", OURS),
    "full_droop_mm": of("Lift of full droop", "damper pulled right out, or the linkage's end", DEFINED),
    "full_bump_mm": of("Lift of full bump", "stop squeezed as far as its curve goes, or metal", DEFINED),
    "chance_of_rubbing": of("Probability that anything is touched", "joint normal probability of any clearance < 0",
                            "multivariate normal distribution", "least_mm"),
    "outline_mm": of("Half the outline of tyre and rim", "arcs through crown, shoulder and bead", "our own choice"),
    "obstacles.radius_mm": of("Rounding of the obstacle", GIVEN, FILE),
    "obstacles.points_mm": of("Points of the obstacle", GIVEN, FILE),
    "poses.lift_mm": of("Lift of the drawn pose", "at rest, and where it comes nearest", DEFINED),
    "poses.across": of("Lock of the drawn pose", "at rest, and where it comes nearest", DEFINED),
    "poses.centre_mm": of("Wheel centre at that pose", "from the linkage", DEFINED),
    "poses.axis": of("Wheel axis at that pose", "from the linkage", DEFINED),
    "inverse.wanted_mm": of("Distance from the lip that is wanted", "given", "the question"),
    "inverse.gap_mm": of("Least clearance then", "given", "the question"),
}  # fmt: skip

SUGGESTED: dict[str, Explained] = {
    "spacer_mm": of("Spacer that puts the tyre there", "chosen from the shelf's lengths", DEFINED),
    "camber_deg": of("Camber at rest then", "solved for the wanted distance from the lip", DEFINED),
    "lip_distance_mm": of("Distance from the lip then", "as lip_distance_mm", DEFINED),
    "least_clearance_mm": of("Least clearance then", ENVELOPE, OURS),
    "stud_mm": of("Stud out of the hub's face then", "spacer + pad + engagement asked for", DEFINED),
}  # fmt: skip
FIT |= {f"inverse.{which}.{key}": one for which in ("best", "others") for key, one in SUGGESTED.items()}
