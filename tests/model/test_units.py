"""Units: what a file may write, what it becomes, and what is refused with which words."""

from __future__ import annotations

import json
import math
import subprocess
import sys
from fractions import Fraction
from typing import Annotated

import numpy as np
import pint
import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from jsonschema import Draft202012Validator
from pydantic import Field, ValidationError

from cornerwright.model.base import Document, Point
from cornerwright.model.errors import Problem, Refusal
from cornerwright.model.unit_names import _NAMES, _registry
from cornerwright.model.units import (
    ANGLE,
    FORCE,
    KINDS,
    LENGTH,
    MASS,
    RATE,
    SHARE,
    TORQUE,
    WEIGHT,
    Angle,
    Length,
    Mass,
    PositiveLength,
    PositiveRate,
    PositiveShare,
    Quantity,
    Rate,
    Share,
    Weight,
    describe,
    from_document,
    parse,
    to_document,
)


def refused(value, kind):
    with pytest.raises(Refusal) as caught:
        parse(value, kind)
    (problem,) = caught.value.problems
    return problem


@pytest.mark.parametrize(
    ("text", "kind", "document_value"),
    [
        (412, LENGTH, 412),
        ("412", LENGTH, 412),
        ("412 mm", LENGTH, 412),
        ("412mm", LENGTH, 412),
        ("  41.2   cm ", LENGTH, 412),
        ("16 1/4 in", LENGTH, 412.75),
        ("16-1/4 in", LENGTH, 412.75),
        ('16 1/4"', LENGTH, 412.75),
        ("16¼ in", LENGTH, 412.75),
        ("16 ¼″", LENGTH, 412.75),
        ("1/4 in", LENGTH, 6.35),
        ("-2 1/4 in", LENGTH, -57.15),
        ("−3 mm", LENGTH, -3),
        ("1.5e1 mm", LENGTH, 15),
        ("5'", LENGTH, 1524),
        ("5' 3 1/2\"", LENGTH, 1612.9),
        ("5 ft 3 in", LENGTH, 1600.2),
        ("40 thou", LENGTH, 1.016),
        ("-1.5", ANGLE, -1.5),
        ("-1.5°", ANGLE, -1.5),
        ("12°30'", ANGLE, 12.5),
        ("-12° 30' 36\"", ANGLE, -12.51),
        ("-0°30'", ANGLE, -0.5),
        ("30'", ANGLE, 0.5),
        ("1/2 deg", ANGLE, 0.5),
        ("2 turns", ANGLE, 720),
        ("31 lb", MASS, 14.06136347),
        ("2 t", MASS, 2000),
        ("2.5 kN", FORCE, 2500),
        ("689 lbs", WEIGHT, 312.52514293),
        (312.5, WEIGHT, 312.5),
        ("312.5 kgf", WEIGHT, 312.5),
        ("60", RATE, 60),
        ("60 N/mm", RATE, 60),
        ("60000 N/m", RATE, 60),
        ("60 N per mm", RATE, 60),
        ("85 Nm", TORQUE, 85),
        ("85 N·m", TORQUE, 85),
        ("85 N.m", TORQUE, 85),
        ("85 N*m", TORQUE, 85),
        ("55 %", SHARE, 55),
        ("55%", SHARE, 55),
        (np.float64(1.5), LENGTH, 1.5),
        (np.int64(3), LENGTH, 3),
        (Fraction(1, 2), LENGTH, 0.5),
    ],
)
def test_reads(text, kind, document_value):
    si = parse(text, kind)
    assert type(si) is float
    assert to_document(si, kind) == pytest.approx(document_value, rel=1e-15)


@pytest.mark.parametrize(
    "value",
    [
        True, False, None, [], [1], {}, b"1", "", " ", "mm", "twelve mm", "1 2 mm", "1/0 in",
        "1//2 in", "1e9999999999 mm", "1e999 mm", "1 e5", "--1 mm", "1 mm mm", "1 mm/", "1 /mm",
        "1 mm/mm/mm", "1 mm^1", "1 mm**99999999", "nan", "nan mm", "inf", "-inf", ".inf", "1_000",
        "0x10", "1:30", "2024-05-31", "1;2", "1 mm\n2", "9" * 101, "1 \x00", "1 foo", "10**10**10",
        float("nan"), float("inf"), float("-inf"), 1 + 0j,
        pytest.param(10**5000, id="huge"), pytest.param(-(10**5000), id="huge below"), object(),
    ],
)  # fmt: skip
def test_refuses(value):
    problem = refused(value, LENGTH)
    assert problem.expected.startswith("a length such as 412 or '16 1/4 in'")
    assert problem.found
    assert len(problem.found) < 80


@pytest.mark.parametrize(
    ("text", "kind", "hint"),
    [
        ("450 lb/in", RATE, "write lbf/in"),
        ("8 kg/mm", RATE, "kgf/mm"),
        ("63 ft-lb", TORQUE, "write lbf·ft"),
        ("63 lb ft", TORQUE, "write lbf·ft"),
        ("8 kg·m", TORQUE, "kgf·m"),
        ("56 lb", FORCE, "not a unit of mass"),
        ("56 N", MASS, "not a unit of force"),
        ("3 mm", ANGLE, "not a length"),
        ("3 deg", LENGTH, "a length such as"),
        ("3 N", LENGTH, "a length such as"),
        ("3 %", ANGLE, "an angle such as"),
        ("3 rad", SHARE, "a share in percent"),
        ("3 N", RATE, "a spring rate such as"),
        ("3 Mm", LENGTH, "did you mean mm?"),
        ("3 MM", LENGTH, "did you mean mm?"),
        ("3 inchs", LENGTH, "did you mean inch"),
        ("60 nm", TORQUE, "a torque such as"),
        ("412,5 mm", LENGTH, "a decimal point, not a comma"),
        ("1,200 mm", LENGTH, "a decimal point, not a comma"),
        ("2 1/4", LENGTH, "a fraction needs its unit"),
    ],
)
def test_says_what_to_write_instead(text, kind, hint):
    assert hint in refused(text, kind).expected


def test_only_known_names_are_units():
    # A general parser knows nm and Mm; here they are slips of the pen.
    assert "nm" not in _NAMES
    assert "Mm" not in _NAMES


# Each kind's document unit and SI unit in pint's own spelling.
PINT = {
    "length": ("mm", "m"),
    "angle": ("deg", "rad"),
    "mass": ("kg", "kg"),
    "force": ("N", "N"),
    "weight": ("kgf", "N"),
    "rate": ("N/mm", "N/m"),
    "torque": ("N*m", "N*m"),
    "share": ("percent", ""),
    "stress": ("MPa", "Pa"),
    "angle_per_length": ("deg/mm", "rad/m"),
    "distance": ("km", "m"),
    "twist_rate": ("N*m/deg", "N*m/rad"),
    "pressure": ("bar", "Pa"),
    "temperature": ("delta_degC", "delta_degC"),
    "volume": ("cm**3", "m**3"),
    "swell": ("cm**3/bar", "m**3/Pa"),
    "speed": ("km/h", "m/s"),
    "rod_speed": ("mm/s", "m/s"),
    "time": ("s", "s"),
    "frequency": ("hertz", "hertz"),
}


@pytest.mark.parametrize(
    ("text", "kind", "si"),
    [
        ("212 °F", "temperature", 100.0),
        ("-40 degF", "temperature", -40.0),
        ("100 °C", "temperature", 100.0),
        ("1000 psi", "pressure", 6894757.293168361),
        ("7 MPa", "pressure", 7e6),
        ("60 mph", "speed", 26.8224),
        ("36 km/h", "speed", 10.0),
        ("0.1 m/s", "rod_speed", 0.1),
        ("5 in/s", "rod_speed", 0.127),
        ("2 min", "time", 120.0),
        ("10 mm3/bar", "swell", 1e-13),
        ("0.25 l", "volume", 2.5e-4),
        ("5000 miles", "distance", 8046720.0),
    ],
)
def test_units_of_brakes(text, kind, si):
    assert parse(text, kind) == pytest.approx(si, rel=1e-12)


@pytest.mark.parametrize("name", sorted(KINDS))
def test_document_units_agree_with_pint(name):
    document, si = PINT[name]
    registry = pint.UnitRegistry()
    assert from_document(1.0, name) == pytest.approx(registry.convert(1.0, document, si), rel=1e-15)
    assert KINDS[name].name == name
    assert KINDS[name].suffix.startswith("_")


@pytest.mark.parametrize("name", sorted({name for name, _ in _NAMES.values()}))
def test_every_unit_is_known_to_pint(name):
    assert _registry().Unit(name) is not None


sizes = st.floats(allow_nan=False, allow_infinity=False, min_value=-1e9, max_value=1e9).filter(
    lambda size: size == 0 or abs(size) > 1e-9
)


@given(sizes, st.sampled_from(sorted(KINDS)))
@example(0.412, "length")
def test_si_survives_the_document(si, name):
    assert from_document(to_document(si, name), name) == pytest.approx(si, rel=1e-12)


@given(sizes, st.sampled_from(sorted(KINDS)))
def test_what_was_read_comes_back_exactly(written, name):
    si = parse(written, name)
    assert from_document(to_document(si, name), name) == si


@given(st.integers(-(10**6), 10**6), st.sampled_from(sorted(KINDS)))
def test_what_a_person_writes_is_written_back(thousandths, name):
    written = thousandths / 1000
    assert to_document(parse(written, name), name) == written


@given(
    st.integers(-(10**6), 10**6),
    st.sampled_from(["mm", "cm", "m", "in", "ft", "thou", "yd", "um", "dm"]),
)
def test_text_agrees_with_pint(thousandths, unit):
    said = parse(f"{thousandths / 1000} {unit}", LENGTH)
    assert said == pytest.approx(pint.get_application_registry().convert(
        thousandths / 1000, {"in": "inch"}.get(unit, unit), "m"), rel=1e-12, abs=1e-30)  # fmt: skip


@given(st.integers(0, 99), st.integers(0, 63), st.sampled_from([2, 4, 8, 16, 32, 64]))
def test_inch_fractions_are_exact(whole, top, bottom):
    said = to_document(parse(f"{whole} {top}/{bottom} in", LENGTH), LENGTH)
    assert said == float((whole + Fraction(top, bottom)) * Fraction("25.4"))


@given(st.one_of(st.text(max_size=120), st.from_regex(r"[-+0-9 ./'\"°eEmincftlbN%]*")))
def test_any_text_is_read_or_refused(text):
    for kind in KINDS.values():
        try:
            assert math.isfinite(parse(text, kind))
        except Refusal as refusal:
            assert refusal.problems[0].expected  # noqa: PT017


ANYTHING = (
    st.none() | st.booleans() | st.binary() | st.integers() | st.floats() | st.complex_numbers()
    | st.dates() | st.decimals() | st.text() | st.lists(st.integers())
    | st.dictionaries(st.text(), st.text())
)  # fmt: skip


@given(ANYTHING)
def test_describe_is_short_and_printable(value):
    assert describe(value).isprintable()
    assert 0 < len(describe(value)) < 80


# ------------------------------------------------------------------ the pydantic types


class Sample(Document):
    rate: PositiveRate = 60e3
    free: Length | None = None
    share: Share = 0.05
    at: Point | None = None
    scale: Annotated[Weight, Field(ge=0)] | None = None


def test_attributes_are_si_and_dumps_are_document_units():
    sample = Sample(rate="450 lbf/in", free="16 1/4 in", share=53, at=[0, "24 in", 12.5])
    assert sample.rate == pytest.approx(78807.0758609, rel=1e-11)
    assert sample.free == 0.41275
    assert sample.at == Point(0.0, 0.6096, 0.0125)
    assert sample.to_document() == {
        "rate": pytest.approx(78.8070758609, rel=1e-11),
        "free": 412.75,
        "share": 53.0,
        "at": [0.0, 609.6, 12.5],
    }
    assert Sample.model_validate(sample.to_document()) == sample
    assert Sample.model_validate(sample.model_dump()) == sample
    assert Sample.model_validate_json(sample.model_dump_json()) == sample


def test_copy_takes_si():
    assert Sample().model_copy(update={"free": 0.4}).to_document()["free"] == 400.0


def test_documents_are_frozen_and_strict():
    sample = Sample()
    with pytest.raises(ValidationError):
        sample.free = 1.0
    with pytest.raises(ValidationError):
        Sample.model_validate({"fre": 1})


@pytest.mark.parametrize(
    ("kind", "good", "bad"),
    [
        (PositiveLength, [1e-9, "1 mm"], [0, -1, "-1 in", "0 mm"]),
        (PositiveRate, [1], [0, -1]),
        (Rate, [0, 1], [-1e-9]),
        (Mass, [0], [-1]),
        (Share, [0, 100, "100 %"], [-0.1, 100.1]),
        (PositiveShare, [0.1, 100], [0, 101]),
        (Angle, [-400], [True]),
    ],
)
def test_limits(kind, good, bad):
    class Holder(Document):
        value: kind

    for value in good:
        Holder(value=value)
    for value in bad:
        with pytest.raises(ValidationError) as caught:
            Holder(value=value)
        context = caught.value.errors()[0]["ctx"]
        assert context["expected"].startswith("a")
        assert context["found"] == describe(value)


@given(st.builds(Sample, rate=st.floats(1e-6, 1e9), free=st.none() | st.floats(-1e6, 1e6),
                 share=st.floats(0, 100),
                 at=st.none() | st.lists(st.floats(-1e6, 1e6), min_size=3, max_size=3)))  # fmt: skip
def test_every_document_validates_back_to_itself(sample):
    assert Sample.model_validate(json.loads(json.dumps(sample.to_document()))) == sample


class TestPoint:
    def test_list_and_group_are_the_same(self):
        assert Point.read([1, 2, 3]) == Point.read({"x": 1, "y": 2, "z": 3}) == (0.001, 0.002, 0.003)

    def test_mirror(self):
        assert Point(1.0, 2.0, 3.0).mirrored() == Point(1.0, -2.0, 3.0)
        assert math.copysign(1, Point(1.0, 0.0, 3.0).mirrored().y) == 1

    def test_is_an_array_row(self):
        assert np.array([Point(1.0, 2.0, 3.0)]).shape == (1, 3)

    @pytest.mark.parametrize(
        ("value", "at"),
        [
            ([1, 2], []), ([1, 2, 3, 4], []), ("1 2 3", []), (True, []), ({"x": 1, "y": 2}, []),
            ({"x": 1, "y": 2, "z": 3, "w": 4}, ["w"]), ([1, True, 3], [1]), ([1, 2, "3 kg"], [2]),
            ({"x": 1, "y": "up", "z": 3}, ["y"]), ({1: 2}, ["1"]), ([[1], 2, 3], [0]),
        ],
    )  # fmt: skip
    def test_refuses(self, value, at):
        with pytest.raises(ValidationError) as caught:
            Sample(at=value)
        assert caught.value.errors()[0]["ctx"]["at"] == at


def test_unknown_by_default_is_left_out_and_unknown_on_purpose_kept():
    class Inner(Document):
        note: str | None = None
        gap: float | None = 1.0

    class Outer(Document):
        rows: tuple[Inner, ...]
        named: dict[str, Inner]
        column: list[float | None]

    outer = Outer(rows=[Inner(gap=None)], named={"a": Inner()}, column=[None, 1.0])
    dumped = outer.to_document()
    assert dumped == {"rows": [{"gap": None}], "named": {"a": {"gap": 1.0}}, "column": [None, 1.0]}
    assert Outer.model_validate(dumped) == outer


def test_schema_is_in_document_units():
    schema = Sample.model_json_schema()
    assert schema["properties"]["share"]["default"] == 5.0
    assert schema["properties"]["rate"]["default"] == 60.0
    validator = Draft202012Validator(schema)
    assert validator.is_valid({"rate": "450 lbf/in", "at": [1, "2 in", 3]})
    assert validator.is_valid({"at": {"x": 1, "y": 2, "z": 3}})
    assert not validator.is_valid({"rate": -1})
    assert not validator.is_valid({"share": 101})
    assert not validator.is_valid({"at": [1, 2]})
    assert not validator.is_valid({"other": 1})


def test_quantity_words_name_the_limits():
    assert Quantity(LENGTH, above=0.0).words() == "a length above 0 such as 412 or '16 1/4 in'"


def test_refusal_reads_as_one_line_a_problem():
    refusal = Refusal(
        [
            Problem("car.yaml", 12, "front.left.rate", "nothing", "a spring rate"),
            Problem(None, None, "", "", "closed must be shorter than open"),
        ]
    )
    assert str(refusal) == (
        "car.yaml:12: front.left.rate: found nothing, expected a spring rate\nclosed must be shorter than open"
    )
    inside = Refusal.of("a", "b", field="[0].rate").within(file="x.yaml", field="front.stack")
    assert inside.problems[0].field == "front.stack[0].rate"
    assert inside.problems[0].file == "x.yaml"
    with pytest.raises(ValueError, match="at least one"):
        Refusal([])


def test_neither_pint_nor_ruamel_is_imported_before_it_is_needed():
    code = (
        "import sys, cornerwright.model.units as units, cornerwright.model.base\n"
        "units.parse('412 mm', 'length'), units.parse('60 N/mm', 'rate'), units.parse('1°30\\'', 'angle')\n"
        "assert not {'pint', 'ruamel.yaml', 'numpy'} & set(sys.modules), 'slow start'\n"
        "units.parse('1 in', 'length')\n"
        "assert 'pint' in sys.modules\n"
    )
    subprocess.run([sys.executable, "-c", code], check=True)
