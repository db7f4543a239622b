"""`learn`: its answer, the car it writes, what it refuses."""

import cornerwright as cw
from shared import fits_schema


def test_what_was_learned_is_said_and_fits_its_schema(cornerwright, job):
    told = cornerwright("learn", job.car, "--readings", job.readings)
    assert (told.status, told.err) == (0, "")
    words = " ".join(told.out.split())
    for one in ("total mass", "What they cannot see", "height of the centre of gravity", "What to read next", "maker"):
        assert one in words
    answer = cornerwright("learn", job.car, "--readings", job.readings, "--json").answer
    fits_schema(cornerwright, "learn", answer)
    assert answer["verdict"] == "fitted"


def test_the_car_is_written_with_its_comments_and_can_be_used(cornerwright, job, tmp_path):
    file = tmp_path / "taught.yaml"
    told = cornerwright("learn", job.car, "--readings", job.readings, "--write", file, "--json")
    assert told.status == 0
    assert told.answer["written"] == str(file)
    before, after = cw.load_car(job.car), cw.load_car(file)
    assert after.mass.total != before.mass.total
    assert after.doubt.total_mass < before.doubt.total_mass
    comments = [line.split("#")[1] for line in job.car.read_text(encoding="utf-8").splitlines() if "#" in line]
    text = file.read_text(encoding="utf-8")
    assert sum(one in text for one in comments) > 0.8 * len(comments)
    assert cornerwright("plan", file, "--targets", job.targets).status == 0


def test_its_own_input_is_not_overwritten(cornerwright, job):
    text = job.car.read_text(encoding="utf-8")
    told = cornerwright("learn", job.car, "--readings", job.readings, "--write", job.car)
    assert told.status == 2
    assert job.car.read_text(encoding="utf-8") == text
