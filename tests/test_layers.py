"""Code sets and policies: what they change, what they may not, and which way a limit tightens."""

from collections.abc import Callable, Mapping

import pytest

from ruleset.errors import BookError, RulesetError, ShapeError
from ruleset.formula.check import check
from ruleset.formula.direction import directions, never_negative
from ruleset.formula.grammar import parse
from ruleset.layers import Layer, in_order, lay, read_layer
from ruleset.library import Library
from ruleset.names import InFormula
from ruleset.place import Place
from ruleset.prove import prove
from ruleset.reader import read_text

PLACE = Place(file="layers")


def clause(name: str, needs: str, *, limit: str = "2 in", more: str = "") -> str:
    return f"""
  {name}:
    title: It asks
    needs: {needs}
    {more}
    limits: {{least: {{is: {limit}, basis: {{standing: memory}}}}}}
    level: warning
    stage: design
    why: It must be.
    says: It does not.
    levers: [design.size]
    proofs: {{}}
"""


BOOK = (
    """
book: small
title: Clauses to be amended
about: None of it means anything.
sorts: {pane: {plural: panes, fields: {thick: length}}, hole: {plural: holes, fields: {x: length}}}
parts:
  door: {means: the door, sorts: [pane], groups: {holes: {sort: hole, more: design.holes}}}
facts:
  design.size: {means: a size, kind: length, range: [0 in, 99 in]}
  design.gap: {means: a size, kind: length, range: [-9 in, 99 in]}
  design.thick: {means: a thickness, kind: length, range: [1 mm, 99 mm]}
  design.ratio: {means: a ratio, kind: number, range: [0, 9]}
  design.sure: {means: whether so, kind: yes/no}
  design.glass: {means: glass, kind: word, words: [clear, etched]}
  design.holes: {means: holes, list: hole, most: 4}
limits: {grid: {is: 1/16 in, basis: {standing: memory}}}
workings:
  door.thick: {means: thickness, is: design.thick, kind: length, proofs: {}}
  door.double: {means: both, is: 2 * door.thick + abs(design.gap), kind: length, proofs: {}}
  door.rest: {means: what is left, is: design.size - design.thick, kind: length, proofs: {}}
  pane.twice: {for: each pane, means: twice, is: 2 * pane.thick, kind: length, proofs: {}}
  pane.less: {for: each pane, means: less, is: pane.thick - design.gap, kind: length, proofs: {}}
clauses:"""
    + clause("at-least", "design.size >= limit.least")
    + clause("at-most", "design.size <= limit.least")
    + clause("chain", "limit.least <= design.size <= limit.least * 3")
    + clause("low-of-chain", "limit.least <= design.size <= design.gap")
    + clause("product", "design.gap >= limit.least * design.thick", limit="2")
    + clause("of-working", "design.gap >= limit.least * door.double", limit="2")
    + clause("of-field", "design.gap >= limit.least * pane.thick", limit="2", more="for: each pane")
    + clause("of-twice", "design.gap >= limit.least * pane.twice", limit="2", more="for: each pane")
    + clause("of-less", "design.gap >= limit.least * pane.less", limit="2", more="for: each pane")
    + clause("of-rest", "design.gap >= limit.least * door.rest", limit="2")
    + clause("of-gap", "design.size >= limit.least * design.gap", limit="2")
    + clause("share", "design.gap <= design.size / limit.least", limit="2")
    + clause("below-none", "design.gap >= limit.least * design.thick", limit="-2")
    + clause("square", "design.gap >= limit.least ** 2 / design.thick")
    + clause("root", "design.ratio >= sqrt(limit.least / design.thick)")
    + clause("least-of", "design.gap <= min(design.size, limit.least)")
    + clause("less", "design.gap - limit.least >= 0")
    + clause("not", "not design.gap < limit.least")
    + clause("either", "design.sure or design.gap >= limit.least")
    + clause("when", "design.gap >= limit.least", more="when: design.size > limit.least")
    + clause("equal", "design.gap == limit.least")
    + clause("apart", "abs(design.gap - limit.least) <= design.size")
    + clause("grid", "round_up(design.gap, limit.least) <= design.size")
    + clause("rounded", "round_up(limit.least, limit.grid) <= design.size")
    + clause("group", "all(h.x >= limit.least for h in door.holes)")
    + clause("choice", "design.gap >= (limit.least if design.sure else limit.least * 2)")
    + clause("tested", "design.gap >= (design.size if design.size > limit.least else 0)")
    + clause("both-sides", "design.gap + limit.least >= limit.least * 2")
)


@pytest.fixture(scope="module")
def library(library_of: Callable[..., Library]) -> Library:
    text = BOOK.replace("proofs: {}}", "proofs: {usual: {given: {}, is: unknown}}}")
    return library_of(text)


def layer(text: str) -> Layer:
    return read_layer(read_text(text, "layer.yaml"))


def amending(of: str, change: str, *, policy: bool = False, name: str = "local") -> Layer:
    kind = "policy" if policy else "code"
    return layer(f"""
{kind}: {name}
title: A layer
amends:
  {of}:
    {change}
    why: It is so here.
""")


def limit_is(value: str, basis: str = "") -> str:
    return f"limits: {{least: {{is: {value}{basis}}}}}"


def refusal(library: Library, *layers: Layer) -> str:
    with pytest.raises(BookError) as refused:
        lay(library, layers)
    return " ".join(fault.says for fault in refused.value.faults)


# --- what a layer changes ------------------------------------------------------------------------


def test_a_limit_is_amended_with_its_basis(library: Library) -> None:
    basis = ", basis: {document: A code, clause: '1', standing: published}"
    laid = lay(library, [amending("small.at-least", limit_is("24 in", basis))])
    limit = laid.limits["small.at-least.least"]
    assert (limit.value, limit.text) == (609.6, "24 in")
    clause = laid.clauses["small.at-least"].clause
    assert clause.limits["least"] == limit
    assert (clause.basis.document, clause.basis.standing) == ("A code", "published")
    assert library.limits["small.at-least.least"].text == "2 in"
    assert laid.limits["small.at-most.least"].text == "2 in"


def test_one_program_serves_every_value_of_a_limit(library: Library) -> None:
    assert lay(library, [amending("small.at-least", limit_is("24 in"))]).kept is library.kept
    off = lay(library, [amending("small.at-least", "off: yes")])
    assert off.kept is not library.kept


def test_a_limit_of_a_book_is_amended(library: Library) -> None:
    laid = lay(library, [amending("small.limit", "limits: {grid: {is: 1/8 in}}")])
    assert laid.limits["small.limit.grid"].value == pytest.approx(3.175)


def test_a_level_is_changed_and_a_clause_switched_off(library: Library) -> None:
    laid = lay(library, [amending("small.at-least", "level: error")])
    assert laid.clauses["small.at-least"].clause.level == "error"
    laid = lay(library, [amending("small.at-least", "off: yes")])
    assert "small.at-least" not in laid.clauses
    assert "small.at-most" in laid.clauses


REPLACING = """
code: local
title: A layer
amends: {}
clauses:
  wider:
    replaces: small.at-least
    title: It asks more
    needs: design.size >= limit.more * 2
    limits: {more: {is: 3 in, basis: {standing: published, document: A code}}}
    level: error
    stage: design
    why: It is so here.
    says: "It is {actual}; {limit} is needed."
    levers: [design.size]
    proofs:
      holds: {at it: {given: {design.size: 6 in}}}
      fails: {past it: {given: {design.size: 5 7/8 in}, says: It is 5 7/8 in; 6 in is needed.}}
"""


def test_a_whole_clause_is_replaced_with_its_own_proofs(library: Library) -> None:
    laid = lay(library, [layer(REPLACING)])
    clause = laid.clauses["small.at-least"].clause
    assert (clause.title, clause.level, set(clause.limits)) == ("It asks more", "error", {"more"})
    results = [one for one in prove(laid) if one.owner == "small.at-least"]
    assert results
    assert [one for one in results if one.wrong] == []
    again = lay(laid, [amending("small.at-least", "limits: {more: {is: 4 in}}")])
    assert again.limits["small.at-least.more"].text == "4 in"


def test_a_later_layer_has_the_last_word(library: Library) -> None:
    one = amending("small.at-least", limit_is("3 in"))
    two = amending("small.at-least", limit_is("1 in"))
    assert lay(library, [one, two]).limits["small.at-least.least"].text == "1 in"
    assert lay(library, [two, one]).limits["small.at-least.least"].text == "3 in"


# --- what is refused -----------------------------------------------------------------------------


def test_what_names_nothing_known_is_refused(library: Library) -> None:
    says = refusal(library, amending("small.at-lest", "level: error"))
    assert "no clause small.at-lest" in says
    assert "Did you mean 'small.at-least'?" in says
    says = refusal(library, amending("small.at-least", "limits: {leest: {is: 1 in}}"))
    assert "has no limit leest" in says
    assert "Did you mean 'least'?" in says
    assert "no book other" in refusal(library, amending("other.limit", limit_is("1 in")))
    missing = layer(REPLACING.replace("small.at-least", "small.at-lest"))
    assert "no clause small.at-lest to replace" in refusal(library, missing)


def test_a_limit_of_another_kind_is_refused(library: Library) -> None:
    assert "kg" in refusal(library, amending("small.at-least", limit_is("1 kg")))


def test_a_clause_that_is_off_cannot_be_amended_later(library: Library) -> None:
    off = amending("small.at-least", "off: yes")
    assert "no clause" in refusal(library, off, amending("small.at-least", limit_is("3 in")))


def test_all_faults_are_told_at_once(library: Library) -> None:
    with pytest.raises(BookError) as refused:
        lay(library, [amending("small.one", "level: error"), amending("small.two", "off: yes")])
    assert len(refused.value.faults) == 2


@pytest.mark.parametrize(
    "text",
    [
        "title: A layer\namends: {}",
        "code: local\ntitle: A layer\namends: {a.b: {level: fatal, why: so}}",
        "code: local\ntitle: A layer\namends: {a.b: {level: error}}",
        "code: local\ntitle: A layer\namends: {a.b: {odd: 1, why: so}}",
        "code: local\ntitle: A layer\nclauses: {a: {title: It asks}}",
    ],
)
def test_a_layer_of_another_shape_is_refused(text: str) -> None:
    with pytest.raises(ShapeError):
        layer(text)


# --- the order of layers -------------------------------------------------------------------------


def named(name: str, *under: str, policy: bool = False) -> Layer:
    kind = "policy" if policy else "code"
    return layer(f"{kind}: {name}\ntitle: A layer\nunder: [{', '.join(under)}]\namends: {{}}")


def order(known: Mapping[str, Layer], *names: str) -> list[str]:
    return [one.name for one in in_order(known, names, PLACE)]


def test_layers_stand_after_those_they_are_laid_over_and_policies_last() -> None:
    layers = [named("model"), named("state", "model"), named("town", "state"), named("other")]
    known = {one.name: one for one in (*layers, named("shop", policy=True))}
    assert order(known, "town") == ["model", "state", "town"]
    assert order(known, "shop", "town", "state") == ["model", "state", "town", "shop"]
    assert order(known, "other", "state") == ["other", "model", "state"]


def test_a_circle_and_an_unknown_layer_are_refused() -> None:
    known = {"one": named("one", "two"), "two": named("two", "one"), "far": named("far", "farr")}
    with pytest.raises(RulesetError, match="one is laid over two is laid over one"):
        order(known, "one")
    with pytest.raises(RulesetError, match="Did you mean 'far'"):
        order(known, "far")


# --- policies only tighten -----------------------------------------------------------------------

RAISING = """at-least product of-working of-field of-twice share square root less not either
group choice rounded low-of-chain"""
LOWERING = "at-most least-of"
NOT_CLEAR = "chain of-less of-rest of-gap below-none when equal apart grid tested both-sides"


def amended(library: Library, name: str, by: int) -> Layer:
    number, _, unit = library.limits[f"small.{name}.least"].text.partition(" ")
    value = f"{int(number) + by} {unit}".strip()
    return amending(f"small.{name}", limit_is(value), policy=True, name="shop")


@pytest.mark.parametrize("name", RAISING.split())
def test_a_policy_may_raise_what_tightens_upward(library: Library, name: str) -> None:
    lay(library, [amended(library, name, 1)])
    lay(library, [amended(library, name, 0)])
    assert "may only tighten" in refusal(library, amended(library, name, -1))


@pytest.mark.parametrize("name", LOWERING.split())
def test_a_policy_may_lower_what_tightens_downward(library: Library, name: str) -> None:
    lay(library, [amended(library, name, -1)])
    assert "may only tighten" in refusal(library, amended(library, name, 1))


@pytest.mark.parametrize("name", NOT_CLEAR.split())
def test_a_policy_may_not_amend_what_is_unclear(library: Library, name: str) -> None:
    for by in (-1, 1):
        assert "cannot be told" in refusal(library, amended(library, name, by))


def test_a_policy_may_not_make_a_factor_negative(library: Library) -> None:
    negative = amending("small.square", limit_is("-9 in"), policy=True)
    assert "cannot be told" in refusal(library, negative)


def test_a_code_set_may_amend_what_a_policy_may_not(library: Library) -> None:
    amended = lay(library, [amending("small.chain", limit_is("1 in"))])
    assert amended.limits["small.chain.least"].value == 25.4


def test_a_policy_tightens_levels_only(library: Library) -> None:
    tight = lay(library, [amending("small.at-least", "level: error", policy=True)])
    assert tight.clauses["small.at-least"].clause.level == "error"
    assert "may only tighten" in refusal(
        library, amending("small.at-least", "level: note", policy=True)
    )
    assert "may not drop" in refusal(library, amending("small.at-least", "off: yes", policy=True))
    limits = amending("small.limit", "limits: {grid: {is: 1/8 in}}", policy=True)
    assert "cannot be told" in refusal(library, limits)
    policy = layer(REPLACING.replace("code: local", "policy: local"))
    assert "not replace it" in refusal(library, policy)


@pytest.mark.parametrize(
    ("text", "signs"),
    [
        ("design.size - design.gap", {"design.size": 1, "design.gap": -1}),
        ("design.size * design.thick", {"design.size": 1, "design.thick": 1}),
        ("design.size / design.thick", {"design.size": 1, "design.thick": -1}),
        ("design.size * design.gap", {"design.size": 0, "design.gap": 0}),
        ("design.gap * 2", {"design.gap": 0}),
        ("design.size ** 3", {"design.size": 1}),
        ("design.gap ** 2", {"design.gap": 0}),
        ("min(design.gap, -design.size)", {"design.gap": 1, "design.size": -1}),
        ("round_up(design.gap, design.size)", {"design.gap": 1, "design.size": 0}),
        ("abs(design.gap)", {"design.gap": 0}),
        ("design.gap > 0 and not design.sure", {"design.gap": 1, "design.sure": -1}),
        ("design.gap < design.gap + design.size", {"design.gap": 0, "design.size": 1}),
        ("design.glass == 'clear'", {"design.glass": 0}),
        ("design.glass in ('clear',)", {"design.glass": 0}),
    ],
)
def test_which_way_a_value_follows(library: Library, text: str, signs: Mapping[str, int]) -> None:
    scope = InFormula(library.names, "small", {}, {})
    node = check(parse(text, PLACE), scope, {}, PLACE).node
    assert directions(node, lambda name: library.facts[name].low >= 0) == signs


@pytest.mark.parametrize(
    ("text", "surely"),
    [
        ("design.size + 2 * design.thick / design.size", True),
        ("design.size - design.thick", False),
        ("-design.size", False),
        ("0", True),
        ("design.gap ** 2", True),
        ("design.gap ** 3", False),
        ("design.size ** 3", True),
        ("abs(design.gap)", True),
        ("sqrt(design.size ** 2)", True),
        ("max(design.gap, design.size)", True),
        ("min(design.gap, design.size)", False),
        ("min(design.thick, design.size)", True),
        ("round_to(design.gap, design.size)", False),
        ("round_to(design.size, design.gap)", True),
        ("design.size if design.sure else design.thick", True),
        ("design.size if design.sure else design.gap", False),
    ],
)
def test_what_is_never_negative(text: str, surely: bool) -> None:
    node = parse(text, PLACE)
    assert never_negative(node, lambda name: name != "design.gap") == surely


def test_a_policy_states_a_value_as_its_own_word(library: Library) -> None:
    def stating(text: str) -> Layer:
        return layer(f"policy: shop\ntitle: A layer\nstates: {text}")

    fact = lay(library, [stating("{design.sure: {is: yes, why: We ask.}}")]).facts["design.sure"]
    assert (fact.absent, fact.stated) == ("yes", "shop says: We ask.")
    missing = refusal(library, stating("{design.suer: {is: yes, why: We ask.}}"))
    assert missing == "shop: There is no fact design.suer. Did you mean 'design.sure'?"
    with pytest.raises(ShapeError, match=r"What is stated of design\.sure has no why"):
        stating("{design.sure: {is: yes}}")
