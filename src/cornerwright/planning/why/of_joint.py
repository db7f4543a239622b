"""Joints: every number and its equation. The maker's torque goes before all of them."""

from __future__ import annotations

from cornerwright.planning.why.explained import DEFINED, GIVEN, PRACTICE, VDI, Explained, of

ISO_724 = "ISO 724, ISO 898-1; inch threads: ASME B1.1 (as public tables print them)"
STRIP = "FED-STD-H28/2B (from memory)"
FRICTION = "friction from its least to its greatest, and the scatter of the method of tightening"
STACK = "sum along the stud from the hub's face"
THREAD = "diameter_mm pitch_mm"

JOINT: dict[str, Explained] = {
    "diameter_mm": of("Nominal diameter", "by the thread's name", "ISO 261, ASME B1.1 (from memory)"),
    "pitch_mm": of("Pitch", "by the thread's name", "ISO 261, ASME B1.1 (from memory)"),
    "pitch_diameter_mm": of("Pitch diameter", "d2 = d - 3/4 H, H = P sqrt(3) / 2", ISO_724, THREAD),
    "minor_diameter_mm": of("Minor diameter of the nut or hole", "d1 = d - 5/4 H", ISO_724, THREAD),
    "core_diameter_mm": of("Core diameter of the bolt", "d3 = d1 - H/6", ISO_724, THREAD),
    "stress_area_mm2": of(
        "Tensile stress area", "pi/4 ((d2 + d3) / 2)²", ISO_724, "pitch_diameter_mm core_diameter_mm"
    ),
    "proof_load_n": of(
        "Load that the bolt bears without lasting stretch", "proof stress of its class x stress area",
        "ISO 898-1 (as suppliers' tables print it), SAE J429 (from memory)", "stress_area_mm2",
    ),
    "breaking_load_n": of(
        "Least load at which the bolt breaks", "tensile strength of its class x stress area",
        "ISO 898-1 (as suppliers' tables print it), SAE J429 (from memory)", "stress_area_mm2",
    ),
    "engagement_mm": of("Full thread of both in each other", STACK, "the joint's entry in the car file"),
    "engagement_turns": of("The same in turns", "engagement / pitch", DEFINED, "engagement_mm pitch_mm"),
    "engagement_diameters": of("The same in diameters", "engagement / diameter", DEFINED, "engagement_mm diameter_mm"),
    "needed_mm": of(
        "Least engagement that the trade asks for", "so many diameters by the hole's material", PRACTICE, "diameter_mm",
        doubt="the maker's figure goes first",
    ),
    "needed_turns": of("The same in turns", "needed / pitch", DEFINED, "needed_mm pitch_mm"),
    "equal_strength_mm": of(
        "Engagement at which the bolt breaks before a thread strips",
        "2 x stress area / shear area of the bolt's thread per length; longer by the ratio of strengths where the "
        "hole's thread is the weaker", STRIP,
        "breaking_load_n pitch_diameter_mm minor_diameter_mm",
    ),
    "full_strength_mm": of(
        "The same by the other rule, with the nut's swelling and the threads' bending",
        "breaking load / (C1 C3 or C1 C2 x 0.6 x tensile strength x shear area per length)", VDI, "breaking_load_n",
    ),
    "strip_load_n": of(
        "Load at which the weaker thread strips", "0.6 x tensile strength x shear area over the engagement", STRIP,
        "engagement_mm",
    ),
    "torque_nm": of(
        "Torque that the clamp is computed from",
        "the maker's; where none is given, the least of those that use 90 % of the yield stress",
        "the joint's entry in the car file", "",
    ),
    "torque_90_least_nm": of(
        "Torque that uses 90 % of the yield stress at the least friction",
        "clamp there x (P / (2 pi) + mu d2 / (2 cos 30°) + mu_head x arm of the head)", VDI,
        "friction_low pitch_mm pitch_diameter_mm",
    ),
    "torque_90_mean_nm": of(
        "The same at the mean friction", "as torque_90_least_nm", VDI, "friction_low friction_high",
        between="torque_90_least_nm torque_90_most_nm",
    ),
    "torque_90_most_nm": of("The same at the greatest friction", "as torque_90_least_nm", VDI, "friction_high"),
    "clamp_90_n": of(
        "Clamp that uses 90 % of the yield stress at the mean friction",
        "0.9 Rp As / sqrt(1 + 3 (3/2 d2/dS (P/(pi d2) + 1.155 mu))²)", VDI, "stress_area_mm2 pitch_diameter_mm",
    ),
    "alpha": of(
        "Greatest over least clamp by the method of tightening", "table by method", VDI, doubt="a table of experience"
    ),
    "friction_low": of(
        "Least friction in thread and under the head", "given, or by its class A to E", VDI,
        between="friction_low friction_high",
    ),
    "friction_high": of(
        "Greatest friction", "given, or by its class A to E", VDI, between="friction_low friction_high"
    ),
    "clamp.low_n": of(
        "Least clamp, preload after tightening",
        "lesser of that at the greatest friction and middle x (1 - x), x = (alpha - 1)/(alpha + 1)", VDI,
        "middle_n alpha friction_high",
    ),
    "clamp.middle_n": of(
        "Clamp (preload) after tightening",
        "torque / (P / (2 pi) + mu d2 / (2 cos 30°) + mu_head x arm of the head), mu at the middle of its range", VDI,
        "torque_nm pitch_mm pitch_diameter_mm friction_low friction_high", doubt=FRICTION, between="low_n high_n",
    ),
    "clamp.high_n": of(
        "Greatest clamp",
        "greater of that at the least friction and middle x (1 + x), x = (alpha - 1)/(alpha + 1)", VDI,
        "middle_n alpha friction_low",
    ),
    "yield_percent": of(
        "Share of the yield stress used while tightening, at the middle clamp",
        "clamp / (clamp that uses all of the yield stress, as clamp_90_n)", VDI, "clamp.middle_n stress_area_mm2",
    ),
    "yield_high_percent": of("The same at the high clamp", "as yield_percent", VDI, "clamp.high_n friction_low"),
    "settles_mm": of("How far the faces settle", "table by number of faces and roughness", VDI),
    "settling_loss_n": of(
        "Clamp lost as the faces settle", "settling / (resilience of bolt + resilience of parts)", VDI, "settles_mm"
    ),
    "clamp_left_n": of(
        "Least clamp left, settled and under the load along the bolt",
        "least clamp - loss by settling - (1 - share taken by the bolt) x load along it", VDI,
        "clamp.low_n settling_loss_n",
    ),
    "slip_safety": of(
        "Friction at the least clamp over the load across the bolt", "mu x clamp left x faces / load",
        "Coulomb; VDI 2230", "clamp_left_n",
    ),
    "pressure_mpa": of("Pressure under the head or nut", "clamp / bearing area", VDI, "clamp.middle_n"),
    "retorque_km": of("After so many km it is checked again", GIVEN, "the maker; else common practice"),
    "thread_in_mm": of("Rod ends: thread in at the present setting", "thread given - travel of the adjuster", DEFINED),
    "thread_in_least_mm": of("The same at the end of the range", "as thread_in_mm", DEFINED),
    "angle_deg": of(
        "Rod ends: greatest turn through travel and lock", "angle of stud to housing less that at reference", DEFINED
    ),
    "wheel.count": of("How many studs or bolts", GIVEN, "the car file"),
    "wheel.pitch_circle_mm": of("Pitch circle", GIVEN, "the car file"),
    "wheel.flange_mm": of("Thickness of the hub's flange", GIVEN, "the car file"),
    "wheel.spacer_mm": of("Thickness of the spacer", GIVEN, "the car file"),
    "wheel.pad_mm": of("Thickness of the wheel at its holes", GIVEN, "the car file"),
    "wheel.plain_mm": of("Stud without thread, from the hub's face", GIVEN, "the car file"),
    "wheel.tip_mm": of("Tip of the stud from the hub's face", STACK, DEFINED),
    "wheel.nut_from_mm": of("Where the nut's full thread begins", STACK, DEFINED, "spacer_mm pad_mm"),
    "wheel.nut_to_mm": of("Where it ends", STACK, DEFINED, "nut_from_mm"),
    "wheel.nut_end_mm": of("Where the stud would meet a closed nut's end", STACK, DEFINED),
    "wheel.seat_diameter_mm": of("Mean diameter of the seat", "given, or 1.5 x the thread's", PRACTICE),
    "wheel.spigot_mm": of("Spigot out of the hub's face", GIVEN, "the car file"),
    "wheel.spigot_diameter_mm": of("Its diameter", GIVEN, "the car file"),
    "wheel.spacer_spigot_mm": of("Spigot of the spacer", GIVEN, "the car file"),
    "wheel.bore_chamfer_mm": of("Chamfer of the wheel's bore", GIVEN, "the car file"),
    "wheel.spigot_left_mm": of("How far the wheel sits on the spigot", "spigot - spacer - chamfer", DEFINED,
                               "spigot_mm spacer_mm spacer_spigot_mm bore_chamfer_mm"),
    "wheel.length_needed_mm": of("Stud that gives the thread asked for", "spacer + pad + needed", DEFINED,
                                 "spacer_mm pad_mm needed_mm"),
    "wheel.holds_moment_nm": of(
        "Moment about the axle that friction holds", "studs x middle clamp x mu x pitch circle / 2", "Coulomb",
        "count clamp.middle_n pitch_circle_mm",
    ),
    "wheel.asked_moment_nm": of(
        "What the tyre can put on it on good tarmac", "standing load x free radius of the tyre x grip 1", "Coulomb"
    ),
}  # fmt: skip
