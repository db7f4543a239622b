"""Files written and changed: whole or not at all, and good ones keep their comments."""

from __future__ import annotations

import os
import stat

import pytest
import yaml_samples as samples
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from cornerwright.model import files
from cornerwright.model.base import Document
from cornerwright.model.errors import Refusal
from cornerwright.model.files import read_document, read_tree, update_file, validated, write_document
from filecars import GOOD, TREES, Car, Coil, completed, left_of, read_car, refusal_of

# ------------------------------------------------------------------ writing


def test_fresh_document_reads_back(tmp_path, put):
    car = read_car(put(GOOD))
    path = tmp_path / "new.yaml"
    write_document(path, car)
    assert read_document(path, Car) == car
    assert "wheelbase: 2395\n" in path.read_text()
    write_document(path, car, keep=tmp_path / "none.yaml")
    assert read_document(path, Car) == car


def test_keep_changes_only_what_changed(put):
    path = put(GOOD)
    car = read_car(path)
    write_document(path, car, keep=path, prepare=completed)
    assert path.read_text() == GOOD
    write_document(path, car.model_copy(update={"wheelbase": 2.4}), keep=path, prepare=completed)
    assert path.read_text() == GOOD.replace("2395 mm", "2400   ")
    assert "# as measured" in path.read_text()


def test_keep_writes_down_a_side_that_no_longer_follows(put):
    path = put(GOOD)
    car = read_car(path)
    changed = car.model_copy(update={"left": car.left.model_copy(update={"spacers": 0.004, "note": None})})
    write_document(path, changed, keep=path, prepare=completed)
    assert read_car(path) == changed
    assert read_tree(path).plain["right"]["spacers"] == 2
    assert "# as measured" in path.read_text()


def test_keep_follows_lists_that_grow_and_shrink(put):
    path = put(GOOD)
    car = read_car(path)
    coil = Coil(rate=4, free=60, block=13)
    for stack in ((*car.left.stack, coil), (coil,), (coil, coil, coil), car.left.stack):
        car = car.model_copy(update={"left": car.left.model_copy(update={"stack": stack})})
        write_document(path, car, keep=path, prepare=completed)
        assert read_car(path) == car
    assert "# main" in path.read_text()


def test_keep_must_be_good(put, tmp_path):
    path = put("name: x\n")
    with pytest.raises(Refusal):
        write_document(path, Coil(rate=1, free=2, block=1), keep=path)
    assert path.read_text() == "name: x\n"


def test_a_document_that_cannot_be_held_is_refused(tmp_path):
    class Note(Document):
        text: str

    with pytest.raises(Refusal), pytest.warns(UserWarning, match="serialized"):
        write_document(tmp_path / "x.yaml", Note.model_construct(text=5))
    assert not list(tmp_path.iterdir())


def test_update_keeps_everything_else(put):
    path = put(GOOD)
    update_file(
        path, {"left.stack[0].rate": 60.0, "right.turns": 4, "left.note": "yes", "left.linkage.top[2]": "28 in"}
    )
    expected = (
        GOOD.replace("450 lbf/in", "60        ").replace("turns: 8", "turns: 4").replace("note: soft", "note: yes")
        .replace("700]", "28 in]")
    )  # fmt: skip
    assert path.read_text() == expected


def test_update_makes_missing_groups_and_next_places(put):
    path = put("a: 1 # one\nb: [1]\n")
    update_file(path, {"c.d.e": 2, "b[1]": 3, "f[0].g": [1, {"h": None}], "a": {"x": "2024-05-31"}})
    assert read_tree(path).plain == {
        "a": {"x": "2024-05-31"}, "b": [1, 3], "c": {"d": {"e": 2}}, "f": [{"g": [1, {"h": None}]}],
    }  # fmt: skip


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("name.x", 1), ("left.stack[5]", 1), ("left.stack.rate", 1), ("left[0]", 1), ("bad[", 1), ("", 1),
        ("name", float("nan")), ("name", object()), ("name", {1: 2}), ("name", 10**400), ("name", "\ud800"),
        ("name", [float("inf")]), ("left.stack[0].rate.unit", 1),
    ],
)  # fmt: skip
def test_update_refuses_and_changes_nothing(put, field, value):
    path = put(GOOD)
    with pytest.raises(Refusal):
        update_file(path, {"wheelbase": 1, field: value})
    assert path.read_text() == GOOD
    assert [one.name for one in path.parent.iterdir()] == ["car.yaml"]


def test_update_asks_before_it_writes(put):
    path = put(GOOD)
    with pytest.raises(Refusal) as caught:
        update_file(path, {"left.turns": 99}, check=lambda tree: validated(tree, Car, completed, left_of))
    assert caught.value.problems[0].field == "left.turns"
    assert path.read_text() == GOOD


def test_update_does_not_change_through_an_alias(put):
    text = "a: &x {p: 1}\nb: *x\n"
    path = put(text)
    with pytest.raises(Refusal, match="other values"):
        update_file(path, {"b.p": 2})
    assert path.read_text() == text


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.lists(st.sampled_from(samples.PIECES), max_size=25).map("".join), TREES)
def test_update_of_anything_is_right_or_refused(tmp_path_factory, text, value):
    path = tmp_path_factory.getbasetemp() / "update.yaml"
    path.write_bytes(text.encode())
    try:
        before = read_tree(path).plain
        update_file(path, {"a": value})
    except Refusal:
        assert path.read_bytes().decode() == text
        return
    after = read_tree(path).plain
    assert samples.same({**before, "a": value}, after)


def test_layout_is_kept(put):
    text = "---\n# top\nlist:\n- a: 1   # first\n  b: \"two\"\n-   a: 2\nother:\n    deep:\n        x: '1'\n"
    path = put(text.replace("\n", "\r\n"))
    update_file(path, {"other.deep.x": "2"})
    assert path.read_bytes().decode() == text.replace("'1'", "'2'").replace("-   a", "- a").replace("\n", "\r\n")


def test_write_is_whole_or_not_at_all(put, monkeypatch):
    path = put(GOOD)
    path.chmod(0o640)

    def full(descriptor):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(files.os, "fsync", full)
    problem = refusal_of(path, lambda path: update_file(path, {"wheelbase": 1}))[0]
    assert "No space" in problem.found
    assert path.read_text() == GOOD
    assert [one.name for one in path.parent.iterdir()] == ["car.yaml"]
    monkeypatch.undo()
    update_file(path, {"wheelbase": 1})
    assert stat.S_IMODE(path.stat().st_mode) == 0o640


def test_new_content_is_on_the_disk_before_it_takes_the_name(put, monkeypatch):
    path = put(GOOD)
    calls = []
    fsync, replace = os.fsync, os.replace
    monkeypatch.setattr(files.os, "fsync", lambda one: (calls.append("fsync"), fsync(one)))
    monkeypatch.setattr(files.os, "replace", lambda *both: (calls.append("replace"), replace(*both)))
    update_file(path, {"wheelbase": 1})
    assert calls == ["fsync", "replace", "fsync"]


def test_a_link_stays_a_link(put, tmp_path):
    path = put(GOOD)
    link = tmp_path / "link.yaml"
    link.symlink_to(path)
    update_file(link, {"wheelbase": 1})
    assert link.is_symlink()
    assert "wheelbase: 1 " in path.read_text()


def test_writing_where_it_cannot_be(tmp_path):
    coil = Coil(rate=1, free=2, block=1)
    with pytest.raises(Refusal, match="a directory"):
        write_document(tmp_path, coil)
    with pytest.raises(Refusal, match="no such file"):
        write_document(tmp_path / "no" / "x.yaml", coil)
