"""Bad books, code sets and formulas: each fault is a whole sentence with its place."""

from collections.abc import Callable
from pathlib import Path

import pytest

from ruleset import KINDS, Function, Library, RulesetError, assemble
from ruleset.book_reader import FACT_KINDS, read_book
from ruleset.layers import in_order, lay, read_layer
from ruleset.patterns import FACT_NAME
from ruleset.place import Place
from ruleset.plan import plan
from ruleset.reader import read_file, read_text
from validator import Review, Rules, load_job_text, load_rules, review
from validator.books import read_books
from validator.hooks import new_manager
from validator.plugins import checked_paths

NEED = "a length is needed, such as 59 3/4 in or 1518 mm."
BARE = Path(__file__).parent / "books" / "arrangements"
BOOK = (Path(__file__).parent / "books/small.yaml").read_text(encoding="utf-8")
KIT = "kit: small-kit\ntitle: A kit\ndrop: 2 in\n"
CODE = "code: there\ntitle: A code set\n"
JOB = """\
job: 1
format: 2
arrangement: bare
units: in
kit: small-kit
code: there
survey:
  width: 9
  curb: {base: floor}
  lined: yes
  load: 5 kg
design:
  holes: none
"""


def small_rules(*books: str, functions: tuple[Function, ...] = ()) -> Rules:
    """Return the rules of the small book and of others, without any plugin."""
    library = assemble(
        (read_book(read_text(text, f"book{at}")) for at, text in enumerate((BOOK, *books))),
        functions,
    )
    codes = {"there": read_layer(read_text(CODE, "code"))}
    return Rules(library=library, codes=codes, plugins=new_manager(), folders=(BARE,))


def told(make: Callable[[], object]) -> list[str]:
    """Return the faults of what cannot be used, each checked to be a whole sentence."""
    with pytest.raises(RulesetError) as caught:
        make()
    assert caught.value.faults
    for fault in caught.value.faults:
        assert fault.place.file
        assert fault.says.endswith((".", "?")), fault.says
        assert "\n" not in fault.says
        assert len(fault.says) < 500
        assert not fault.says.startswith(("Error", "KeyError", "ValueError"))
    return [str(fault) for fault in caught.value.faults]


@pytest.fixture
def reviewed(tmp_path: Path) -> Callable[[Rules], Review]:
    """Return what reviews the job by some rules."""
    (tmp_path / "kits").mkdir()
    (tmp_path / "kits/small-kit.yaml").write_text(KIT, encoding="utf-8")

    def made(rules: Rules) -> Review:
        job = load_job_text(JOB, "job.yaml", rules, beside=tmp_path)
        return review(job, rules, tolerance=False)

    return made


LAYERS = {
    "unknown clause": (
        "amends: {small.wdie: {off: yes, why: x}}",
        ("3:22: there: There is no clause small.wdie. Did you mean 'small.wide'?"),
    ),
    "unknown book": (
        "amends: {smal.wide: {off: yes, why: x}}",
        ("3:21: there: There is no book smal to amend. Did you mean 'small'?"),
    ),
    "unknown limit": (
        "amends: {small.wide: {limits: {most: {is: 1 in}}, why: x}}",
        "3:38: there: small.wide has no limit most. It has: least.",
    ),
    "wrong unit": (
        "amends: {small.wide: {limits: {least: {is: 1 kg}}, why: x}}",
        (f"3:39: there: 1 kg is a mass; {NEED}"),
    ),
    "nothing to replace": (
        (
            "clauses: {c: {replaces: small.wdie, title: T, needs: survey.lined, "
            "level: note, stage: order, basis: {standing: memory}, why: x, says: x}}"
        ),
        ("3:14: there: There is no clause small.wdie to replace. Did you mean 'small.wide'?"),
    ),
    "unknown layer below": (
        "under: [theer]",
        ("1:1: There is no code set or policy theer; there are: there. Did you mean 'there'?"),
    ),
    "circle of layers": (
        "under: [there]",
        ("1:1: there is laid over there: this is a circle; take one of them out of an under."),
    ),
}
POLICIES = {
    "loosens": (
        "{limits: {least: {is: 2 in}}, why: x}",
        (
            "A policy may only tighten; "
            "small.wide.least is 3 in, and 2 in loosens it. Write 3 in or more."
        ),
    ),
    "drops": ("{off: yes, why: x}", "A policy may only tighten; it may not drop small.wide."),
    "softens": (
        "{level: note, why: x}",
        ("A policy may only tighten; small.wide is error and may not become note."),
    ),
}


def laid(text: str) -> Library:
    """Return the small book under a code set or a policy."""
    layer = read_layer(read_text(text, "code"))
    layers = in_order({layer.name: layer}, [layer.name], Place(file="job"))
    return lay(small_rules().library, layers)


@pytest.mark.parametrize(("text", "says"), LAYERS.values(), ids=LAYERS)
def test_a_code_set_that_fits_no_book(text: str, says: str) -> None:
    assert told(lambda: laid(f"{CODE}{text}\n")) == [f"code:{says}"]


@pytest.mark.parametrize(("text", "says"), POLICIES.values(), ids=POLICIES)
def test_a_policy_that_does_not_tighten(text: str, says: str) -> None:
    policy = f"policy: shop\ntitle: House rules\namends:\n  small.wide: {text}\n"
    (found,) = told(lambda: laid(policy))
    assert found.startswith("code:4:")
    assert found.endswith(f": shop: {says}")


def test_a_policy_that_tightens_is_taken() -> None:
    limits = "amends: {small.wide: {limits: {least: {is: 4 in}}, why: x}}"
    library = laid(f"policy: shop\ntitle: T\n{limits}\n")
    assert library.limits["small.wide.least"].value == pytest.approx(4 * 25.4)


def test_layers_over_layers_are_neither_slow_nor_too_deep() -> None:
    texts = {f"l{at}": f"under: [l{at - 1}, l{at - 1}]" for at in range(1, 60)} | {"l0": ""}
    layers = {
        name: read_layer(read_text(f"code: {name}\ntitle: T\n{under}\n", name))
        for name, under in texts.items()
    }
    assert len(in_order(layers, ["l49"], Place(file="job"))) == 50
    assert told(lambda: in_order(layers, ["l59"], Place(file="job"))) == [
        ("l10:1:1: Code sets lie over each other at most 50 deep; l9 is deeper. Take out an under.")
    ]


def more(needs: str, *, workings: str = "") -> str:
    """Return a second book with one clause."""
    return (
        f"book: more\ntitle: More\n{workings}clauses:\n  ask:\n    title: It is asked\n"
        f'    needs: "{needs}"\n    level: note\n    stage: survey\n'
        "    basis: {standing: memory}\n    why: It has to be.\n    says: It is not so.\n"
    )


FORMULAS = {
    "survey.width.__class__ == 1": "The name survey.width.__class__ may not start with an "
    "underscore nor hold two.",
    "().__class__": "A name is words joined by dots, such as pane.width or pane.holes[1].x; "
    "nothing else may stand before the dot.",
    "open('x') > 1": "There is no function open.",
    "__import__('os').system('x')": "Only a listed function may be called, by its plain name.",
    "2 ** 99999999 > 1": "A power is written ** 2, ** 3 or ** 4, and no other.",
    "9 ** 9 ** 9 > 1": "A power is written ** 2, ** 3 or ** 4, and no other.",
    "1e999 > 1": "The number is too large to be worked with.",
    "survey.widht > 0": "There is no survey.widht here. Did you mean 'survey.width'?",
    "survey.width > 3": "Length and a plain number do not go together here; both sides must be of "
    "one dimension. A number with a dimension is a named limit.",
    "survey.width > survey.load": "Length and mass do not go together here; both sides must be of "
    "one dimension.",
    "survey.curb.base == 'flor'": "'flor' is none of its words, which are curb, floor. "
    "Did you mean 'floor'?",
    "survey.width": "A clause asks a yes/no; this is length.",
    "survey.lined and survey.width > 0": "A clause asks one thing; an `and` is two clauses.",
}


@pytest.mark.parametrize(("formula", "says"), FORMULAS.items())
def test_a_formula_outside_the_language(formula: str, says: str) -> None:
    assert told(lambda: small_rules(more(formula))) == [f"book1:6:13: {says}"]


@pytest.mark.parametrize(
    "formula",
    [
        "any(x.across > 0 for x in nowhere)",
        "[x for x in design.holes]",
        "f'{survey.width}' == 'a'",
        "survey.width[0] > 0",
        "(lambda: 1)() > 0",
        "survey.width := 1",
        "1 if",
        "not " * 60 + "1",
        "1" + " + 1" * 600,
        "s\u0443rvey.width > 0",
        "design.holes > 0",
        "sum(1) > 0",
        "survey > 0",
        "",
        "  ",
    ],
)
def test_a_formula_is_refused_at_its_own_line(formula: str) -> None:
    (says,) = told(lambda: small_rules(more(formula)))
    assert says.startswith("book1:6:")


BOOKS = {
    "bad range": (
        "range: [1 in, 99 in]",
        "range: [99 in, 1 in]",
        ("4:53: range is 99 in to 1 in; the least comes first, then the most."),
    ),
    "no number in a range": (
        "range: [1 in, 99 in]",
        "range: [nan, 9 in]",
        (f"4:53: range: nan does not begin with a number; {NEED}"),
    ),
    "absent that is no value": (
        "range: [1 kg, 99 kg]",
        "range: [1 kg, 99 kg], absent: six",
        (
            "7:72: absent: six does not begin with a number; a mass is needed, such as 100 lb or "
            "45.4 kg."
        ),
    ),
    "absent that is absurd": (
        "range: [1 kg, 99 kg]",
        "range: [1 kg, 99 kg], absent: 0 kg",
        "7:72: absent is 0 kg, which is outside the range; widen that.",
    ),
    "unknown kind": (
        "kind: yes/no",
        "kind: yes",
        (f"6:38: kind is 'yes'; it may be {', '.join(FACT_KINDS)}."),
    ),
    "most that is no count": (
        "most: 2",
        "most: many",
        ("8:50: most is 'many'. Write a whole number from 1 to 99."),
    ),
    "limit that is no value": (
        "{is: 1 in,",
        "{is: 1e999 kg,",
        (
            "34:26: is: 1e999 kg is out of "
            "range, powers of ten go to 99; a mass is needed, such as 100 lb or 45.4 kg."
        ),
    ),
    "no basis": (
        "    basis: {standing: shop policy}\n",
        "",
        ("22:5: The clause small.strict has no basis; say by whose word it holds."),
    ),
    "unknown level": (
        "level: error",
        "level: fatal",
        ("17:12: level is 'fatal'; it may be note, warning, error."),
    ),
    "name of another sort": (
        "survey.lined:",
        "lined:",
        (f"6:3: 'lined' may not stand in facts. {FACT_NAME.says}"),
    ),
    "id that is a path": (
        "book: small",
        "book: ../small",
        ("1:7: book is '../small'. An id is small letters, digits and dashes, a letter first."),
    ),
    "unknown field": (
        "waivable: no",
        "waiveable: no",
        ("26:5: The clause small.strict has no field 'waiveable'. Did you mean 'waivable'?"),
    ),
}


@pytest.mark.parametrize(("old", "new", "says"), BOOKS.values(), ids=BOOKS)
def test_a_book_with_one_fault(old: str, new: str, says: str) -> None:
    assert old in BOOK
    found = told(lambda: read_book(read_text(BOOK.replace(old, new, 1), "book")))
    assert found == [f"book:{says}"]


def circle(first: str, second: str) -> str:
    """Return two workings that need each other."""
    proofs = "proofs: {u: {given: {survey.width: 1 in}, is: 1 in}}"
    return (
        "workings:\n"
        f"  door.one: {{means: One, is: {first}, kind: length, {proofs}}}\n"
        f"  door.other: {{means: Other, is: {second}, kind: length, {proofs}}}\n"
    )


@pytest.mark.parametrize(
    "first",
    ["door.other", "survey.width + door.other", '"door.other if 1 > 2 else survey.width"'],
)
def test_a_circle_of_workings(first: str) -> None:
    book = more("door.one > 0", workings=circle(first, "door.one"))
    says = told(lambda: plan(small_rules(book).library, (("design.holes", 0),)))
    way = "The workings go in a circle: door.one needs door.other needs door.one. Break it at"
    assert says == [f"book1:4:13: {way} door.one.", f"book1:5:15: {way} door.other."]


UNDEFINED = (
    "survey.width / (survey.width - survey.width) > 1",
    "sqrt(-1) > 0",
    "round_up(survey.width, survey.width - survey.width) > survey.width",
    "1 / 0 > 0",
    "(1e300 * 1e300) / (1e300 * 1e300) > 0",
    "round_up(1e300 * 1e300, 0.5) > 0",
    "round_to(1e99, 1 / 1e300) > 0",
)


@pytest.mark.parametrize("formula", UNDEFINED)
def test_a_clause_without_a_value_is_the_books_fault(
    reviewed: Callable[[Rules], Review], formula: str
) -> None:
    found = reviewed(small_rules(more(formula)))
    assert len(found.broken) == 1
    assert found.broken[0].startswith("more.ask on job is undefined on this job though nothing is")
    assert found.broken[0].endswith("This is the book's fault, at book1:5:5.")
    assert (found.exit_code, found.release.ready) == (2, False)


def test_a_function_that_fails_is_told(reviewed: Callable[[Rules], Review]) -> None:
    def fails(_: float) -> float:
        raise KeyError("a stranger's mistake")

    function = Function(
        name="strange",
        takes=(KINDS["length"],),
        gives=KINDS["number"],
        call=fails,
        means="something",
        source="",
    )
    rules = small_rules(more("strange(survey.width) > 0"), functions=(function,))
    found = reviewed(rules)
    assert any(
        one.startswith("The function strange failed: ") and "a stranger's mistake" in one
        for one in found.broken
    )
    assert (found.exit_code, found.release.ready) == (2, False)


def test_a_book_of_a_name_that_is_taken() -> None:
    assert told(lambda: small_rules(BOOK)) == [
        "book1:1:1: The book small is declared twice; first at book0:1:1."
    ]


GIVEN = {
    "one text": ("books", "The plugin p gives paths that are no list."),
    "numbers": ([3], "The plugin p gives 3 as a path; give a Path."),
    "nothing": (None, "The plugin p gives paths that are no list."),
}


@pytest.mark.parametrize(("given", "says"), GIVEN.values(), ids=GIVEN)
def test_a_plugin_gives_paths(given: object, says: str) -> None:
    assert told(lambda: list(checked_paths("p", given))) == [f"plugin p: {says}"]


def test_a_folder_that_the_system_does_not_show(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refused(_: Path) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "iterdir", refused)
    assert told(lambda: read_books([tmp_path])) == [
        (
            f"{tmp_path.as_posix()}: The folder cannot be read (Permission denied); "
            "check its name and who may read it."
        )
    ]


def test_books_from_a_folder_are_told_together(tmp_path: Path) -> None:
    (tmp_path / "a.yaml").write_text("", encoding="utf-8")
    (tmp_path / "b.yaml").write_text("- a\n", encoding="utf-8")
    name = tmp_path.as_posix()
    assert told(lambda: load_rules(books=[tmp_path], installed=False)) == [
        f"{name}/a.yaml: The file is empty; write its fields into it.",
        f"{name}/b.yaml:1:1: A book is a table of fields; here is a list.",
    ]
    assert told(lambda: read_file(tmp_path / "none"))[0].startswith(f"{name}/none: There is no")
