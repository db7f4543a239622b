"""Figures and things of the knock-on in words."""

from __future__ import annotations

from cornerwright.model.results_book import Figure

UNITS = (("_percent", "%"), ("_mm", "mm"), ("_deg", "°"), ("_kg", "kg"), ("_n", "N"), ("_km", "km"))


def in_words(figure: Figure, value: float | None, signed: bool = False) -> str:
    """A figure's number with its unit."""
    if value is None:
        return "not known"
    unit = next((unit for end, unit in UNITS if figure.key.endswith(end)), "mm")
    decimals = 3 if figure.key == "toe_deg" else {"°": 2, "N": 0, "km": 0}.get(unit, 1)
    text = f"{value:+.{decimals}f}" if signed else f"{value:.{decimals}f}"
    if not text.strip("+-0."):
        text = text.lstrip("+-")
    return f"{text}{'' if unit == '°' else ' '}{unit}".replace("-", "−")


def key_words(key: str) -> str:
    """What a figure is."""
    words = {
        "damper_mm": "damper length",
        "spring_held_mm": "spring held at full droop",
        "stroke_percent": "damper rod",
        "lift_mm": "wheel in the body",
        "droop_end_mm": "full droop",
        "bump_end_mm": "full bump",
        "twist_mm": "twist in wheel lift",
        "push_n": "push at the wheel",
        "bar_mm": "bar preload in lift difference",
        "pitch_deg": "pitch, nose down positive",
        "beam_mm_at_10_m": "beam at 10 m",
        "cross_weight_percent": "cross weight",
        "load_kg": "load",
        "driven_km": "driven since",
        "moved_count": "adjusters moved",
    }
    return words.get(key, key.rpartition("_")[0].replace("_", " "))


def spoken(names: list[str]) -> list[str]:
    """Names of the program as they are said."""
    return [name.replace("_", " ").replace(".", " ") for name in names]


def listed(words: list[str], most: int = 4) -> str:
    """Words in a row; of a long one the first and how many more there are."""
    if len(words) > most:
        return f"{', '.join(words[:most])} and {len(words) - most} more"
    return " and ".join(words) if len(words) < 3 else f"{', '.join(words[:-1])} and {words[-1]}"
