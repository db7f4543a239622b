"""What is known of a joint, in trade units."""

from __future__ import annotations

from typing import Any

from cornerwright.assembly.joints import Facts
from cornerwright.mechanics import threads
from cornerwright.model.results_joint import Clamp, JointAnswer
from cornerwright.model.units import FORCE, LENGTH, SHARE, STRESS, TORQUE, Kind, to_document


def shown(value: float | None, kind: Kind) -> float | None:
    """A value [SI] in the document unit without the noise of its last digits; None stays None."""
    return None if value is None else float(f"{to_document(value, kind):.10g}")


def answer_of(facts: Facts, name: str, place: str, kind: str, **more: Any) -> JointAnswer:
    """The answer; `more` holds what only its kind has (`what`, `wheel`, `thread_in_mm`...)."""
    frame = facts.frame
    thread, tight = frame.thread, frame.tightening
    places = (thread.diameter, thread.pitch)
    torques = facts.torques or (None, None, None)
    strip = facts.strip
    engagement = frame.engagement
    clamp = None
    if facts.band is not None:
        clamp = Clamp(low_n=facts.band.low, middle_n=facts.band.middle, high_n=facts.band.high)
    return JointAnswer.model_validate(
        {
            "name": name,
            "place": place,
            "kind": kind,
            "thread": thread.text,
            "left_hand": thread.left_hand,
            "property_class": frame.property_class,
            "diameter_mm": shown(thread.diameter, LENGTH),
            "pitch_mm": shown(thread.pitch, LENGTH),
            "pitch_diameter_mm": shown(float(threads.pitch_diameter(*places)), LENGTH),
            "minor_diameter_mm": shown(float(threads.minor_diameter(*places)), LENGTH),
            "core_diameter_mm": shown(float(threads.core_diameter(*places, thread.form)), LENGTH),
            "stress_area_mm2": to_document(to_document(facts.area, LENGTH), LENGTH),
            "proof_load_n": shown(facts.proof, FORCE),
            "breaking_load_n": shown(facts.breaking, FORCE),
            "engagement_mm": shown(engagement, LENGTH),
            "engagement_turns": None if engagement is None else engagement / thread.pitch,
            "engagement_diameters": None if engagement is None else engagement / thread.diameter,
            "needed_mm": shown(frame.least_engagement, LENGTH),
            "needed_turns": frame.least_engagement / thread.pitch,
            "equal_strength_mm": shown(facts.equal, LENGTH),
            "full_strength_mm": shown(facts.full, LENGTH),
            "strip_load_n": None if strip is None else strip.load,
            "strips_first": None if strip is None else ("nut or hole" if strip.inner_first else "bolt"),
            "torque_nm": shown(facts.torque, TORQUE),
            "torque_from": facts.torque_from,
            "torque_90_least_nm": shown(torques[0], TORQUE),
            "torque_90_mean_nm": shown(torques[1], TORQUE),
            "torque_90_most_nm": shown(torques[2], TORQUE),
            "clamp_90_n": shown(facts.clamp_90, FORCE),
            "alpha": facts.alpha,
            "friction_low": tight.friction[0],
            "friction_high": tight.friction[1],
            "clamp": clamp,
            "yield_percent": shown(facts.share, SHARE),
            "yield_high_percent": shown(facts.share_high, SHARE),
            "settles_mm": shown(facts.settles, LENGTH),
            "settling_loss_n": shown(facts.loss, FORCE),
            "clamp_left_n": shown(facts.left, FORCE),
            "slip_safety": facts.slip,
            "pressure_mpa": shown(facts.pressure, STRESS),
            "retorque_km": tight.retorque_km,
            "assumed": facts.assumed,
            **more,
        }
    )
