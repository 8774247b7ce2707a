"""A job's arrangement: found by its name, bound to the books, and its hand a program of its own."""

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from ruleset import RulesetError
from ruleset.hands import shapes
from ruleset.library import Library
from ruleset.plan import plan
from validator import Review, Rules, Verdict, judge, load_job, load_job_text, load_rules, review
from validator.command import main
from validator.remedy.turned import turned
from validator.schemas import schema
from validator.shipped import shipped_rules

ROOT = Path(__file__).parent.parent
JOBS = ROOT / "fixtures" / "jobs"
SLIDER = (shipped_rules() / "arrangements" / "in-line-slider.yaml").read_text(encoding="utf-8")
ORDINARY = (JOBS / "holds-ordinary.yaml").read_text(encoding="utf-8")
HAND = "  hand: left\n"
OWN = SLIDER.replace("arrangement: in-line slider", "arrangement: our slider")

Read = Callable[..., Verdict]


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    """Return a folder of jobs beside a folder of kits."""
    shutil.copytree(JOBS.parent / "kits", tmp_path / "kits")
    (tmp_path / "jobs").mkdir()
    return tmp_path


@pytest.fixture
def read(rules: Rules, shop: Path) -> Read:
    """Return what judges the ordinary job in the shop, its arrangement and other texts swapped."""

    def made(arrangement: str, *swaps: tuple[str, str]) -> Verdict:
        text = ORDINARY.replace("arrangement: in-line slider", f"arrangement: {arrangement}")
        for old, new in swaps:
            assert text.count(old) == 1, old
            text = text.replace(old, new)
        return judge(load_job_text(text, "job.yaml", rules, beside=shop / "jobs"), rules)

    return made


def put(folder: Path, name: str, text: str) -> Path:
    folder.mkdir(exist_ok=True)
    (folder / name).write_text(text, encoding="utf-8")
    return folder / name


@pytest.mark.parametrize("beside", ["jobs/arrangements", "arrangements"])
def test_an_arrangement_beside_the_jobs_or_their_folder_is_found(
    read: Read, shop: Path, beside: str
) -> None:
    put(shop / beside, "our-slider.yaml", OWN)
    own, shipped = read("our slider"), read("in-line slider")
    assert own.job.arrangement.name == "our slider"
    assert own.run == shipped.run


def test_one_of_a_folder_of_books_is_found_and_has_a_schema(
    shop: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    put(shop / "arrangements", "our-slider.yaml", OWN)
    rules = load_rules(books=(shop,), installed=False)
    assert {"in-line slider", "our slider"} <= {one.name for one in rules.arrangements()}
    words = schema("job", rules, "our slider")["properties"]["arrangement"]["enum"]
    assert words == ["our slider"]
    with pytest.raises(ValueError, match=r"Name the arrangement.* in-line slider.* our slider"):
        schema("job", rules)
    for asked, code in ((["--arrangement", "our slider"], 0), (["--arrangement", "ours"], 2)):
        call = ["paneproof", "schema", "job", "--books", str(shop), *asked]
        monkeypatch.setattr("sys.argv", call)
        with pytest.raises(SystemExit) as ended:
            main()
        assert ended.value.code == code
    assert "There is no arrangement 'ours'" in capsys.readouterr().err


def test_one_that_is_nowhere_is_told_with_the_nearest(read: Read, shop: Path) -> None:
    put(shop / "arrangements", "our-slider.yaml", OWN)
    put(shop / "arrangements", "odd.yaml", "arrangement: [")
    with pytest.raises(RulesetError) as refused:
        read("in-line-slyder")
    (fault,) = refused.value.faults
    assert str(fault.place) == "job.yaml:6:14"
    assert fault.says.startswith("There is no arrangement in-line-slyder in ")
    assert "There are: odd, our slider, " in fault.says
    assert fault.says.endswith(". Did you mean 'in-line slider'?")


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("bears: bar, comes_by", "bares: bar, comes_by", "fixed has no bears; it needs one, a bar"),
        ("shuts_on: [right, left]", "shuts_on: [right, leftt]", "There is no part leftt. Did you"),
        ("is: guide", "is: guyde", "There is no sort guyde. Did you mean 'guide'?"),
        ("parts:", "partz:", "has no field 'partz'"),
        ("arrangement: our slider", "arrangement: their slider", "but its arrangement is their"),
    ],
)
def test_a_broken_one_is_told_at_its_place_and_spares_every_other_job(
    read: Read, shop: Path, old: str, new: str, says: str
) -> None:
    assert OWN.count(old) == 1
    path = put(shop / "arrangements", "our-slider.yaml", OWN.replace(old, new))
    with pytest.raises(RulesetError) as refused:
        read("our slider")
    assert {fault.place.file for fault in refused.value.faults} == {path.as_posix()}
    assert says in str(refused.value)
    assert read("in-line slider").sizes_code


def test_two_files_of_one_name_are_refused(read: Read, shop: Path) -> None:
    put(shop / "arrangements", "in-line-slider.yaml", SLIDER)
    with pytest.raises(RulesetError, match="The arrangement in-line slider has more than one file"):
        read("in-line slider")


def test_a_library_is_bound_once_for_its_layers_and_shares_its_programs(rules: Rules) -> None:
    job = load_job(JOBS / "holds-ordinary.yaml", rules)
    plain, under = rules.bound(job.arrangement), judge(job, rules).library
    assert plain is rules.bound(job.arrangement)
    assert under is judge(job, rules).library
    assert under is not plain
    assert under.kept is plain.kept
    assert not rules.library.parts


def test_a_policy_states_what_each_part_of_a_sort_has(read: Read, shop: Path) -> None:
    states = "states: {panel.design.wall_gap: {is: 1/4 in, why: We leave as much.}}\n"
    put(shop / "policies", "ours.yaml", f"policy: ours\nformat: 2\ntitle: Ours\n{states}")
    gone = ("    wall_gap: 1/8\n", "")
    verdict = read("in-line slider", ("code: irc-2021", "code: irc-2021\npolicy: ours"), gone)
    assert verdict.answer("design.fixed.wall_gap").value == pytest.approx(25.4 / 4)
    (told,) = (one for one in verdict.assumed if one.fact == "design.fixed.wall_gap")
    assert told.source == "ours says: We leave as much."


# --- the hand ------------------------------------------------------------------------------------


def test_a_path_goes_to_the_wall_that_the_hand_says(read: Read) -> None:
    left = read("in-line slider", ("left: {lean: 1/16", "left: {lean: 1/8"))
    right = read("in-line slider", ("left: {lean: 1/16", "left: {lean: 1/8"), (HAND, ""))
    assert left.answer("fixed.beside.survey.lean").value == pytest.approx(25.4 / 8)
    assert left.answer("door.shuts_on.survey.lean").value == pytest.approx(25.4 / 16)
    assert not right.answer("fixed.beside.survey.lean").known


def test_a_job_without_a_hand_tells_nothing_that_one_hand_denies(rules: Rules, shop: Path) -> None:
    for name in ("fails-several-faults", "fails-spray-into-lap", "fails-curb-falls"):
        text = (JOBS / f"{name}.yaml").read_text(encoding="utf-8")
        assert text.count(HAND) == 1
        found = []
        for hand in (HAND, "  hand: right\n", ""):
            job = load_job_text(text.replace(HAND, hand), "j.yaml", rules, beside=shop / "jobs")
            said = review(job, rules, every=True, tolerance=False)
            found.append({(one.clause, one.subject): one for one in said.findings})
        left, right, neither = found
        assert neither["fixed.side-chosen", "fixed"].missing == ("design.hand",)
        for at, one in neither.items():
            hands = {left[at].outcome, right[at].outcome} if at in left and at in right else set()
            if one.outcome == "fails":
                assert hands == {"fails"}, at
            elif one.outcome == "holds":
                assert hands <= {"holds", "exempt"}, at


@pytest.mark.parametrize(
    "name",
    ["fails-too-little-lap", "fails-several-faults", "fails-hinged-heel", "fails-bar-sags"],
)
def test_what_fails_for_every_hand_is_told_before_the_hand_is_known(
    rules: Rules, name: str
) -> None:
    text = (JOBS / f"{name}.yaml").read_text(encoding="utf-8")
    hand = next(line for line in text.splitlines(keepends=True) if line.startswith("  hand: "))
    found = []
    for line in ("  hand: left\n", "  hand: right\n", ""):
        job = load_job_text(text.replace(hand, line), "j.yaml", rules, beside=JOBS)
        said = review(job, rules, tolerance=False)
        assert not said.broken
        found.append({(one.clause, one.subject): one for one in said.findings})
    left, right, neither = found
    code = "papers.second-check"  # is of the sizes of one hand
    either = {
        at
        for at, one in left.items()
        if one.outcome == "fails" and at in right and right[at].outcome == "fails" and at[0] != code
    }
    assert len(either) > 1
    for at in either:
        said_so = neither[at]
        assert said_so.outcome == "fails", at
        assert said_so.level in (left[at].level, right[at].level)
        assert "nan" not in " ".join((said_so.says, *said_so.working))
        for one in (left[at], right[at]):
            if said_so.actual is not None and one.actual is not None:
                assert said_so.actual == one.actual, at


def test_what_fails_otherwise_for_each_hand_is_told_of_each(rules: Rules) -> None:
    text = (JOBS / "fails-bar-sags.yaml").read_text(encoding="utf-8")
    assert "  hand: " in text
    lines = [line for line in text.splitlines() if not line.startswith("  hand: ")]
    job = load_job_text("\n".join(lines), "j.yaml", rules, beside=JOBS)
    says = [one.says for one in review(job, rules, tolerance=False).findings]
    assert any("With the hand left: " in one and "With the hand right: " in one for one in says)


def test_the_other_hand_is_another_program_on_the_same_facts(bound: Library, rules: Rules) -> None:
    job = load_job(JOBS / "fails-spray-into-lap.yaml", rules)
    verdict = judge(job, rules)
    other = turned(verdict)
    (made,) = other.plans.values()
    assert [case.subject for case in made.cases] == [case.subject for case in verdict.plan.cases]
    asked = {verdict.plan.cases[at].clause.name for at in other.cases}
    assert "sliding.spray-into-lap" in asked
    assert not asked & {"opening.backing", "opening.curb-slope", "glass.mark", "compartment.area"}
    lists = tuple((one.name, 0) for one in bound.facts.values() if one.rows)
    left, right = (plan(bound, shape) for shape in shapes(bound, lists))
    assert [step.name for step in sorted(left.steps, key=lambda one: one.name)] == [
        step.name for step in sorted(right.steps, key=lambda one: one.name)
    ]


def test_the_other_hand_of_a_symmetrical_job_asks_nothing_else(rules: Rules, shop: Path) -> None:
    left, right = (ORDINARY.index(f"  {wall}: {{lean") for wall in ("left", "right"))
    after = ORDINARY.index("  fixed: {drop")
    alike = ORDINARY[:right] + ORDINARY[left:right].replace("left:", "right:") + ORDINARY[after:]
    for text, asked in ((ORDINARY, True), (alike, False)):
        verdict = judge(load_job_text(text, "j.yaml", rules, beside=shop / "jobs"), rules)
        assert bool(turned(verdict).cases) is asked


LAMPS = """\
book: lamps
title: Lamps
about: A sort that no shipped book has, with a size that is cut when the job is ordered.
sorts: {opening lamp: {roles: {run: opening}}}
facts:
  lamp.design.size: {for: each opening lamp, means: Size, kind: length, range: [0 in, 9 in]}
workings:
  lamp.cover:
    for: each opening lamp
    means: Length of the cover
    is: lamp.design.size * 2
    kind: length
    frozen: order
    proofs: {worked: {given: {lamp.design.size: 2 in}, is: 4 in}}
clauses:
  small:
    title: The lamp is small
    for: each opening lamp
    needs: lamp.cover <= limit.most
    limits: {most: {is: 4 in, basis: {standing: shop policy, note: made up}}}
    level: error
    stage: design
    why: A large one is in the way.
    says: "The cover is {actual} long; at most {limit} is allowed."
    do: Make it smaller.
    levers: [lamp.design.size]
    proofs:
      holds: {at the limit: {given: {lamp.cover: 4 in}}}
      fails:
        over:
          given: {lamp.cover: 4 1/16 in}
          says: The cover is 4 1/16 in long; at most 4 in is allowed.
"""
LIT = (
    OWN.replace("our slider", "lit slider")
    + "  lamp: {is: opening lamp, means: the lamp, run: front}\n"
)


def _lit(shop: Path, fixture: str, book: str = LAMPS) -> Review:
    """Return the review of a fixture whose slider has a lamp of 3 in."""
    put(shop, "lamps.yaml", book)
    put(shop / "arrangements", "lit-slider.yaml", LIT)
    rules = load_rules(books=(shop,), installed=False)
    text = (JOBS / f"{fixture}.yaml").read_text(encoding="utf-8")
    text = text.replace("arrangement: in-line slider", "arrangement: lit slider")
    text = text.replace("\ndesign:\n", "\ndesign:\n  lamp: {size: 3 in}\n")
    return review(load_job_text(text, "job.yaml", rules, beside=shop / "jobs"), rules)


@pytest.mark.parametrize("fixture", ["holds-ordinary", "fails-order-disagrees"])
def test_a_book_may_freeze_a_size_of_a_further_part(rules: Rules, shop: Path, fixture: str) -> None:
    found = _lit(shop, fixture)
    plain = review(load_job(JOBS / f"{fixture}.yaml", rules), rules)
    told = [one for one in found.findings if one.clause == "lamps.small"]
    assert [one.says for one in told] == ["The cover is 6 in long; at most 4 in is allowed."]
    rest = [(one.clause, one.level, one.subject) for one in found.findings if one not in told]
    assert rest == [(one.clause, one.level, one.subject) for one in plain.findings]


def test_a_part_that_lacks_a_field_of_its_sort_is_refused_where_it_stands(shop: Path) -> None:
    asks = LAMPS.replace("run: opening}", "run: opening}, fields: {reach: length}")
    with pytest.raises(RulesetError) as refused:
        _lit(shop, "holds-ordinary", asks)
    (fault,) = refused.value.faults
    file = shop / "arrangements" / "lit-slider.yaml"
    assert (fault.place.file, fault.place.line) == (file.as_posix(), len(LIT.splitlines()))
    assert fault.says == (
        "lamp is an opening lamp, and no book gives lamp.reach, which each has. Write a working, "
        "or name a sort that has one."
    )
