"""Files: every bad one is refused with its line and in plain words."""

from __future__ import annotations

import os

import pytest
import yaml_samples as samples
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from cornerwright.model import files
from cornerwright.model.base import Point
from cornerwright.model.errors import Refusal
from cornerwright.model.files import read_document, read_tree, validated, write_document
from cornerwright.model.problems import problems_from
from cornerwright.model.reader import MOST_NODES, plain_value, read_text
from cornerwright.model.tree import MOST_PROBLEMS, dotted, path_of
from filecars import GOOD, NAMES, TREES, Car, Coil, completed, left_of, read_car, refusal_of


def test_good_file(put):
    car = read_car(put(GOOD))
    assert car.wheelbase == 2.395
    assert car.left.stack[0].rate == pytest.approx(78807.0758609, rel=1e-11)
    assert car.right.linkage.top == Point(0.0, 0.55, 0.7)
    assert car.right.turns == 8
    assert car.left.turns == 6


# ------------------------------------------------------------------ bad files


@pytest.mark.parametrize(
    ("text", "line", "field", "found"),
    [pytest.param(*rest, id=name) for name, *rest in samples.BAD],
)
def test_bad_text(put, text, line, field, found):
    problem = refusal_of(put(text))[0]
    assert (problem.line, problem.field) == (line, field)
    assert found in problem.found


def test_missing_and_directory_and_pipe(tmp_path):
    assert refusal_of(tmp_path / "none.yaml")[0].found == "no such file"
    assert refusal_of(tmp_path)[0].found == "a directory"
    assert refusal_of(tmp_path / "none.yaml" / "more")[0].found
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    assert "not a regular file" in refusal_of(pipe)[0].found
    assert "not a regular file" in refusal_of("/dev/zero")[0].found


def test_path_with_a_zero_byte():
    with pytest.raises(Refusal):
        read_tree("a\0b")
    with pytest.raises(Refusal):
        write_document("a\0b", Coil(rate=1, free=2, block=1))


@pytest.mark.skipif(os.geteuid() == 0, reason="root may read everything")
def test_no_permission(put):
    path = put(GOOD)
    path.chmod(0)
    assert refusal_of(path)[0].found == "no permission"


def test_too_large(put):
    assert "MB" in refusal_of(put("#" * (4 * 1024 * 1024 + 1)))[0].found
    with pytest.raises(Refusal, match="empty"):
        read_tree(put("#" * (4 * 1024 * 1024)))


def test_many_problems_are_all_told_up_to_a_number(put):
    problems = refusal_of(put("a: {" + "!t b: 1, " * 50 + "}\n"))
    assert len(problems) == 50 + 49  # each tag, and each name but the first
    problems = refusal_of(put("a:\n" + " - !t 1\n" * 1000))
    assert len(problems) == MOST_PROBLEMS + 1


def test_aliases_within_reason_are_read():
    tree = read_text("a: &x {p: 1, q: [2]}\nb: *x\nc: [*x]\nd: &n 5\ne: *n\n")
    assert tree.plain == {"a": {"p": 1, "q": [2]}, "b": {"p": 1, "q": [2]}, "c": [{"p": 1, "q": [2]}], "d": 5, "e": 5}
    first = tree.plain
    first["b"]["q"].append(3)
    assert first["a"]["q"] == [2]


def test_just_deep_enough():
    read_text("a: " + "[" * 49 + "1" + "]" * 49)
    with pytest.raises(Refusal, match="too deep"):
        read_text("a: " + "[" * 50 + "]" * 50)
    # levels by anchor, each holding the one before, are counted as they stand expanded
    with pytest.raises(Refusal, match="too deep"):
        read_text("".join(f"a{i}: &a{i} [{'*a' + str(i - 1) if i else 1}]\n" for i in range(60)))


def test_just_few_enough():
    # the root, a, its list; x with its 999 entries; each alias counts as all it stands for
    text = "x: &x [" + "1," * 999 + "]\na:\n" + " - *x\n" * 198
    assert len(read_text(text).plain["a"]) == 198
    with pytest.raises(Refusal, match=str(MOST_NODES)):
        read_text(text + " - *x\n")


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("yes", "yes"), ("no", "no"), ("on", "on"), ("y", "y"), ("true", True), ("False", False), ("~", None),
        ("", None), ("null", None), ("12", 12), ("-12", -12), ("012", 12), ("0o14", 12), ("0xC", 12),
        ("1_000", "1_000"), ("1.5", 1.5), ("1e3", 1000.0), (".5", 0.5), ("5.", 5.0),
        ("1:30", "1:30"), ("2024-05-31", "2024-05-31"),
        (".inf", float("inf")), ("16 1/4 in", "16 1/4 in"), ("nan", "nan"),
    ],
)  # fmt: skip
def test_scalars_by_the_core_schema(text, value):
    assert plain_value(text) == value
    assert type(plain_value(text)) is type(value)


def test_paths():
    path = ("front", "left", "stack", 0, "rate")
    assert dotted(path) == "front.left.stack[0].rate"
    assert path_of(dotted(path)) == path
    assert path_of("a[1][2]") == ("a", 1, 2)
    assert dotted(("a\x1b[2J",)) == "a?[2J"
    for bad in ("", ".", "a.", "a[", "a[x]", "a]", "[0]", "a[-1]"):
        with pytest.raises(Refusal):
            path_of(bad)


def test_lines_fall_back_to_what_holds_the_place():
    tree = read_text("# one\na:\n  - b: 1\n  - c:\n      d: 2\n")
    assert tree.line_of(("a", 1, "c", "d")) == 5
    assert tree.line_of(("a", 1, "c", "e")) == 4
    assert tree.line_of(("a", 1, "x", "y")) == 4
    assert tree.line_of(("a", 7)) == 2
    assert tree.line_of(("z",)) == 2
    assert tree.nearest(("a", 1, "c", "e", "f")) == ("a", 1, "c")
    assert tree.nearest(("a", 0, "b")) == ("a", 0, "b")
    assert tree.nearest(("a", "0")) == ("a",)


# ------------------------------------------------------------------ bad values


@pytest.mark.parametrize(
    ("before", "after", "line", "field", "found", "expected"),
    [pytest.param(*rest, id=name) for name, *rest in samples.BAD_VALUES],
)
def test_bad_value(put, before, after, line, field, found, expected):
    assert before in GOOD
    problems = refusal_of(put(GOOD.replace(before, after, 1)), read_car)
    assert [(one.line, one.field) for one in problems] == [(line, field)]
    assert problems[0].found == found
    assert expected in problems[0].expected
    # nothing of pydantic's or Python's own language
    said = problems[0].expected
    for jargon in ("Input should", "valid", "dictionary", "instance", "NoneType", "str ", "float", "string", "tuple"):
        assert jargon not in said


def test_all_problems_at_once_in_the_order_of_the_file(put):
    text = GOOD.replace("2395", "true").replace("450 lbf/in", "450 lb/in").replace("turns: 8", "turns: 99")
    problems = refusal_of(put(text), read_car)
    assert [one.field for one in problems] == ["wheelbase", "left.stack[0].rate", "right.turns"]
    assert [one.line for one in problems] == sorted(one.line for one in problems)


def test_a_problem_on_the_left_is_not_told_again_for_the_right(put):
    problems = refusal_of(put(GOOD.replace("free: 180", "free: tall")), read_car)
    assert [one.field for one in problems] == ["left.stack[0].free"]


def test_a_problem_only_on_the_completed_right_is_told_at_the_left_line(put):
    def bent(plain):
        plain = completed(plain)
        return {**plain, "right": {**plain["right"], "spacers": -5}}

    tree = read_tree(put(GOOD))
    with pytest.raises(Refusal) as caught:
        validated(tree, Car, bent, left_of)
    (problem,) = caught.value.problems
    assert problem.field == "right.spacers"
    assert problem.line == tree.line_of(("left", "spacers"))


def test_refusal_of_the_completing_step_gets_the_file(put):
    def refuse(plain):
        raise Refusal.of("something", "something else", field="left")

    assert refusal_of(put(GOOD), lambda path: read_document(path, Car, prepare=refuse))[0].field == "left"


def test_problems_need_no_aliases(put):
    tree = read_tree(put("rate: 1\n"))
    try:
        Coil.model_validate(tree.plain)
    except ValueError as error:
        told = problems_from(error, tree, Coil)
    assert [(one.field, one.line, one.found) for one in told] == [("free", 1, "nothing"), ("block", 1, "nothing")]


# ------------------------------------------------------------------ anything at all


@settings(max_examples=300, deadline=None)
@given(st.binary(max_size=400) | st.text(max_size=400).map(lambda text: text.encode("utf-8", "surrogatepass")))
def test_any_bytes_are_read_or_refused(tmp_path_factory, data):
    path = tmp_path_factory.getbasetemp() / "any.yaml"
    path.write_bytes(data)
    with pytest.raises(Refusal):
        read_document(path, Coil)


@settings(max_examples=400, deadline=None)
@given(st.lists(st.sampled_from(samples.PIECES), max_size=40).map("".join))
def test_any_yaml_like_text_is_read_or_refused(text):
    try:
        tree = read_text(text)
    except Refusal:
        return
    assert isinstance(tree.plain, dict)
    with pytest.raises(Refusal):
        validated(tree, Car, completed, left_of)


@settings(max_examples=300, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.dictionaries(NAMES, TREES, max_size=5), st.sampled_from(["left", "wheelbase", "linkage"]), TREES)
def test_any_tree_is_read_or_refused(plain, name, grafted):
    text = files.dump(files.fresh(samples.savable(plain)), files.Layout()) if plain else "{}"
    base = read_text(GOOD).plain
    base["left"][name] = grafted
    for prepare in (completed, lambda _: base):
        try:
            validated(read_text(text), Car, prepare, left_of)
        except Refusal as refusal:
            assert all(one.expected and str(one) for one in refusal.problems)  # noqa: PT017
