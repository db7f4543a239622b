"""Published: ISO 898-1, bolts: stress areas [mm2], proof loads and least breaking loads [N]; ISO 898-2, nuts.

The standards were not opened. Areas and loads of coarse pitches were read in the tables of three suppliers of
fasteners, which agree; the stresses of the classes in a table after ISO 898-1:1999 of an engineering school; the loads
of nuts in a supplier's table. Fine pitches, and the stress of 8.8 up to 16 mm, are from memory. The tables are computed
with rounded areas: 1 % is allowed, 0.7 % is kept.
"""

import pytest

from cornerwright.assembly.joints import nut_tensile
from cornerwright.mechanics.strength import bolt_strength
from cornerwright.mechanics.threads import stress_area
from cornerwright.model.thread import Thread
from evidence import Outside

ISO_898 = Outside("bolts", "ISO 898-1, as suppliers' tables print it", "standard")
FINE = Outside("bolts", "ISO 898-1, fine pitches, and 8.8 up to 16 mm", "standard", memory=True)
CLASS = Outside("bolts", "ISO 898-1:1999, as an engineering school's table prints it", "standard")
ISO_898_2 = Outside("bolts", "ISO 898-2, nuts, as a supplier's table prints it", "standard")

AREAS = [
    ("M6", 20.1), ("M8", 36.6), ("M10", 58.0), ("M12", 84.3), ("M14", 115.0), ("M16", 157.0), ("M18", 192.0),
    ("M20", 245.0),
]  # fmt: skip
FINE_AREAS = [
    ("M8x1", 39.2), ("M10x1.25", 61.2), ("M10x1", 64.5), ("M12x1.25", 92.1), ("M12x1.5", 88.1),
    ("M14x1.5", 125.0), ("M16x1.5", 167.0),
]  # fmt: skip

CLASSES = ("8.8", "10.9", "12.9")

PROOF = [
    ("M6", 11600, 16700, 19500), ("M8", 21200, 30400, 35500), ("M10", 33700, 48100, 56300),
    ("M12", 48900, 70000, 81800), ("M14", 66700, 95500, 112000), ("M16", 91000, 130000, 152000),
    ("M18", 115000, 159000, 186000), ("M20", 147000, 203000, 238000),
]  # fmt: skip
FINE_PROOF = [
    ("M8x1", 22700, 32500, 38000), ("M10x1.25", 35500, 50800, 59400), ("M10x1", 37400, 53500, 62700),
    ("M12x1.25", 53400, 76400, 89300), ("M12x1.5", 51100, 73100, 85500), ("M16x1.5", 96900, 139000, 162000),
]  # fmt: skip

BREAKING = [
    ("M6", 16100, 20900, 24500), ("M8", 29200, 38100, 44600), ("M10", 46400, 60300, 70800),
    ("M12", 67400, 87700, 103000), ("M14", 92000, 120000, 140000), ("M16", 125000, 163000, 192000),
    ("M18", 159000, 200000, 234000), ("M20", 203000, 255000, 299000),
]  # fmt: skip


def area_of(text):
    thread = Thread.read(text)
    return thread, float(stress_area(thread.diameter, thread.pitch))


@pytest.mark.parametrize(("text", "printed"), AREAS)
def test_stress_areas(text, printed):
    digits = 0.5 if printed >= 100 else 0.05
    ISO_898.agrees("tensile stress area, metric threads", printed, area_of(text)[1] * 1e6, "mm2", abs=1.01 * digits)


@pytest.mark.parametrize(("text", "printed"), FINE_AREAS)
def test_stress_areas_of_fine_pitches(text, printed):
    digits = 0.5 if printed >= 100 else 0.05
    FINE.agrees("tensile stress area, metric threads", printed, area_of(text)[1] * 1e6, "mm2", abs=1.01 * digits)


@pytest.mark.parametrize("row", PROOF, ids=lambda row: row[0])
def test_proof_loads(row):
    thread, area = area_of(row[0])
    for marking, printed in zip(CLASSES, row[1:], strict=True):
        ISO_898.agrees("proof load", printed, bolt_strength(marking, thread.diameter).proof * area, "N", rel=0.007)


@pytest.mark.parametrize("row", FINE_PROOF, ids=lambda row: row[0])
def test_proof_loads_of_fine_pitches(row):
    thread, area = area_of(row[0])
    for marking, printed in zip(CLASSES, row[1:], strict=True):
        FINE.agrees("proof load", printed, bolt_strength(marking, thread.diameter).proof * area, "N", rel=0.007)


@pytest.mark.parametrize("row", BREAKING, ids=lambda row: row[0])
def test_least_breaking_loads(row):
    thread, area = area_of(row[0])
    for marking, printed in zip(CLASSES, row[1:], strict=True):
        ISO_898.agrees(
            "least breaking load", printed, bolt_strength(marking, thread.diameter).tensile * area, "N", rel=0.007
        )


def test_8_8_is_weaker_up_to_16_mm():
    FINE.agrees("proof stress of 8.8 up to 16 mm", 580e6, bolt_strength("8.8", 0.016).proof, "Pa", abs=1e-3)


@pytest.mark.parametrize(
    ("marking", "diameter", "printed"),
    [
        # tensile strength, yield and proof stress [MPa]
        ("8.8", 0.018, (830, 660, 600)),
        ("9.8", 0.016, (900, 720, 650)),
        ("10.9", 0.012, (1040, 940, 830)),
        ("12.9", 0.012, (1220, 1100, 970)),
        ("5.8", 0.012, (520, 420, 380)),
        ("4.8", 0.012, (420, 340, 310)),
        ("4.6", 0.012, (400, 240, 225)),
    ],
)
def test_stresses_of_the_classes(marking, diameter, printed):
    found = bolt_strength(marking, diameter)
    ours = [one / 1e6 for one in (found.tensile, found.yields, found.proof)]
    CLASS.agrees("tensile strength, yield and proof stress of a class", printed, ours, "MPa")


def test_a_class_says_nothing_of_thicker_bolts():
    ISO_898.refuses("class 9.8 above 16 mm", lambda: bolt_strength("9.8", 0.018), "9.8")


NUTS = [
    ("M6", 17200, 20900, 23100), ("M8", 31800, 38100, 42500), ("M10", 50500, 60300, 67300),
    ("M12", 74200, 88500, 100300), ("M14", 101200, 120800, 136900), ("M16", 138200, 164900, 186800),
]  # fmt: skip


@pytest.mark.parametrize("row", NUTS, ids=lambda row: row[0])
def test_the_strength_taken_for_a_nuts_thread_is_not_above_its_proof_stress(row):
    """A nut of class n holds a little more than n times 100 MPa on the bolt's stress area."""
    _, area = area_of(row[0])
    for marking, printed in zip(CLASSES, row[1:], strict=True):
        found = nut_tensile(marking) * area / printed
        ISO_898_2.holds("strength taken for a nut's thread over its proof load", found, at_least=0.85, at_most=1.05)
