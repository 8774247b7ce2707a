"""Several kits in one job: read as one, refused where two speak of the same, changed one by one."""

from pathlib import Path

import pytest

from ruleset.errors import RulesetError
from validator import Rules, load_job, load_job_text, load_kit, load_rules
from validator.kit import in_place_of

FIXTURES = Path(__file__).parent.parent / "fixtures"
JOBS, KITS = FIXTURES / "jobs", FIXTURES / "kits"
TEXT = (JOBS / "holds-hinged-walls.yaml").read_text(encoding="utf-8")
NAMED = "kit: [marden-wall, brill-seals]\n"
RULES = load_rules(installed=False)


def told(line: str, rules: Rules = RULES) -> str:
    assert NAMED in TEXT
    with pytest.raises(RulesetError) as error:
        load_job_text(TEXT.replace(NAMED, line), "job.yaml", rules, beside=JOBS)
    return "\n".join(str(fault) for fault in error.value.faults)


def test_the_kits_of_a_job_are_read_as_one() -> None:
    job = load_job(JOBS / "holds-hinged-walls.yaml", RULES)
    assert (job.kit.name, [one.name for one in job.kit.of]) == (
        "marden-wall, brill-seals",
        ["marden-wall", "brill-seals"],
    )
    assert job.kit.title.count(";") == 1
    assert {"kit.hinge.pin", "kit.bulb.most"} <= job.values.keys()
    assert job.kit.kinds == {"hinge", "channel", "clamp", "bulb", "sweep"}


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ("", ":1: A job has no kit; it needs one."),
        ("kit: []\n", ":7:6: kit is an empty list; write at least one."),
        ("kit: [marden-wall, marden-wall]\n", ":7:6: The kit marden-wall stands twice; name each"),
        (
            "kit: [marden-wall, marden-glass]\n",
            ":7:20: The kits marden-wall and marden-glass both give kit.hinge.mounts, ",
        ),
        ("kit: [marden-wall, brill]\n", ":7:20: There is no kit brill in "),
        ("kit: [marden-wall, 'a b']\n", "kit"),
        ("kit: {a: b}\n", ":7:6: kit is"),
    ],
)
def test_lists_of_kits_that_cannot_stand_are_refused_at_their_place(line: str, says: str) -> None:
    assert says in told(line)


def test_a_kit_that_is_missing_is_asked_for_and_not_made_up() -> None:
    job = load_job_text(TEXT.replace(NAMED, "kit: marden-wall\n"), "job.yaml", RULES, beside=JOBS)
    assert "kit.bulb.most" not in job.values


def test_another_kit_takes_the_place_of_the_one_of_its_kind() -> None:
    job = load_job(JOBS / "holds-hinged-walls.yaml", RULES)
    other = load_kit(KITS / "marden-glass.yaml", RULES.library)
    changed = in_place_of(job.kit, other)
    assert changed is not None
    assert [one.name for one in changed.of] == ["marden-glass", "brill-seals"]
    assert changed.values["kit.hinge.mounts"].text == "pane"
    slider = load_kit(KITS / "ostrel-inch.yaml", RULES.library)
    assert in_place_of(job.kit, slider) is None
    assert in_place_of(slider, other) is None
    tarrow = load_kit(KITS / "tarrow-walls.yaml", RULES.library)
    assert in_place_of(slider, tarrow) is tarrow
