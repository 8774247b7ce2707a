"""Code sets and policies: each fault told once, whole, at its place; whose word then counts."""

from collections.abc import Callable

import pytest

from ruleset.errors import RulesetError
from ruleset.layers import MOST_UNDER, Layer, in_order, lay, read_layer, whose_word
from ruleset.library import Library
from ruleset.place import Place
from ruleset.reader import read_text

NAMED = "Write the book's id, a dot and the clause's id, or BOOK.limit."
AN_ID = "An id is small letters, digits and dashes, a letter first."
STANDINGS = "published, corroborated, memory, common practice, shop policy, kit"
TOWN = "code: town\ntitle: A layer\n"
ONE = f"{TOWN}amends: {{fence.low: {{why: so, "
BOOK = """
book: fence
title: A fence of the tests' own
about: Two clauses to be amended.
facts:
  design.size: {means: a size, kind: length, range: [0 in, 99 in]}
  design.gap: {means: a gap, kind: length, range: [0 in, 99 in]}
limits:
  grid: {is: 1/16 in, basis: {standing: memory}}
  step: {is: 1 in, basis: {standing: memory}}
clauses:"""
CLAUSE = """
  {name}:
    title: It asks
    needs: {needs}
    limits: {{least: {{is: 2 in, basis: {{standing: memory, note: a note}}}}, {more}}}
    level: warning
    stage: design
    basis: {{standing: published, document: {document}{note}}}
    why: It must be.
    says: It does not.
    levers: [design.size]
    proofs: {{}}
"""
MORE = "most: {is: 9 in, basis: {standing: memory}}"
CLAUSES = (
    ("low", "limit.least <= design.size <= limit.most", MORE, "Ours", ""),
    ("high", "design.size <= limit.least", "", "Ours", ""),
    ("equal", "design.size == limit.least", "", "Ours", ""),
    ("least", "design.size >= limit.least", "", "Theirs", ""),
    ("noted", "design.size >= limit.least", "", "Theirs", ", note: As seen"),
    ("ended", "design.size >= limit.least", "", "Theirs", ", note: As seen."),
    ("nobody", "design.size >= limit.least", "", "Unknown", ""),
)


@pytest.fixture(scope="module")
def library(library_of: Callable[..., Library]) -> Library:
    said = (
        CLAUSE.format(name=name, needs=needs, more=more, document=document, note=note)
        for name, needs, more, document, note in CLAUSES
    )
    return library_of("".join((BOOK, *said)))


def layer(text: str) -> Layer:
    return read_layer(read_text(text, "layer.yaml"))


def amending(of: str, change: str, first: str = "code: town") -> Layer:
    return layer(f"{first}\ntitle: A layer\namends: {{{of}: {{{change}, why: so}}}}")


def told(error: RulesetError) -> list[str]:
    return [f"{one.place.line}:{one.place.column} {one.says}" for one in error.faults]


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("- a", ["1:1 A code set is a table of fields; here is a list."]),
        ("code: A Town\ntitle: A layer", [f"1:7 code is 'A Town'. {AN_ID}"]),
        ("code: town", ["1:1 A code set has no title; it needs one."]),
        (
            "policy: shop\ncode: town\ntitle: A layer",
            ["2:7 A file is a code set or a policy; keep one of code and policy."],
        ),
        (
            "policy: shop\ntitle: A layer\nodd: 1",
            [
                (
                    "3:1 A code set has no field 'odd'. It may have format, policy, code, amends, "
                    "title, under, documents, clauses, states."
                )
            ],
        ),
        (f"{TOWN}under: [A Town]", [f"3:9 'A Town' may not stand in under. {AN_ID}"]),
        (f"{TOWN}amends: {{low: {{why: so}}}}", [f"3:10 'low' may not stand in amends. {NAMED}"]),
        (
            f"{ONE}limits: {{A B: {{is: 1 in}}}}}}}}",
            [
                (
                    "3:40 'A B' may not stand in limits. A name is small letters, digits and "
                    "underscores, a letter first, but not in, is or the like."
                )
            ],
        ),
        (
            f"{ONE}limits: {{least: 1 in}}}}}}",
            ["3:47 The limit least is a table of fields; here is text."],
        ),
        (
            f"{ONE}limits: {{least: {{odd: 1}}}}}}}}",
            [
                "3:47 The limit least has no is; it needs one.",
                "3:48 The limit least has no field 'odd'. It may have is, basis, means.",
            ],
        ),
        (
            f"{ONE}limits: {{least: {{is: 1 in, means: []}}}}}}}}",
            ["3:65 means is text; here is a list."],
        ),
        (
            f"{ONE}limits: {{least: {{is: 1 in, basis: {{standing: odd}}}}}}}}}}",
            [f"3:76 standing is 'odd'; it may be {STANDINGS}."],
        ),
        (
            f"{ONE}basis: {{standing: odd}}}}}}",
            [f"3:49 standing is 'odd'; it may be {STANDINGS}."],
        ),
        (f"{ONE}off: perhaps}}}}", ["3:36 off is 'perhaps'; it may be yes, no."]),
        (f"{ONE}level: fatal}}}}", ["3:38 level is 'fatal'; it may be note, warning, error."]),
        (
            f"{TOWN}amends: {{fence.low: {{}}}}",
            ["3:21 The amendment of fence.low has no why; it needs one."],
        ),
        (
            f"{TOWN}clauses: {{A B: {{replaces: fence.low}}}}",
            [f"3:11 'A B' may not stand in clauses. {AN_ID}"],
        ),
        (
            f"{TOWN}clauses: {{one: {{title: A}}, two: {{replaces: low}}, three: []}}",
            [
                "3:16 The clause one of town has no replaces; it needs one.",
                f"3:44 replaces is 'low'. {NAMED}",
                "3:57 The clause three of town is a table of fields; here is a list.",
            ],
        ),
    ],
)
def test_each_fault_of_a_layer_s_file_is_told_whole_at_its_place(
    text: str, says: list[str]
) -> None:
    with pytest.raises(RulesetError) as refused:
        layer(text)
    assert told(refused.value) == says


def test_what_a_layer_leaves_out_changes_nothing(library: Library) -> None:
    plain = layer(f"{TOWN}amends: {{fence.low: {{limits: {{least: {{is: 1 in}}}}, why: so}}}}")
    assert (plain.policy, plain.under, plain.documents, plain.clauses) == (False, (), (), {})
    change = plain.amends["fence.low"]
    assert (change.level, change.off, change.basis, change.why) == ("", False, None, "so")
    kept = amending("fence.low", "off: no")
    assert "fence.low" in lay(library, [kept]).clauses


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (amending("other.limit", "off: no"), "There is no book other to amend. There are: fence."),
        (
            amending("fense.low", "off: no"),
            "There is no book fense to amend. Did you mean 'fence'?",
        ),
        (
            amending("fence.zzzzzzzz", "off: no"),
            "There is no clause fence.zzzzzzzz. `cite` lists them.",
        ),
        (
            amending("fence.hihg", "off: no"),
            "There is no clause fence.hihg. Did you mean 'fence.high'?",
        ),
        (
            amending("fence.low", "limits: {zz: {is: 1 in}}"),
            "fence.low has no limit zz. It has: least, most.",
        ),
        (
            amending("fence.limit", "limits: {zz: {is: 1 in}}"),
            "fence.limit has no limit zz. It has: grid, step.",
        ),
        (
            amending("fence.low", "limits: {laest: {is: 1 in}}"),
            "fence.low has no limit laest. Did you mean 'least'?",
        ),
        (
            amending("fence.equal", "limits: {least: {is: 1 in}}", "policy: town"),
            (
                "Which way fence.equal.least tightens cannot be told from its formula; a code set "
                "may amend it, a policy may not."
            ),
        ),
        (
            amending("fence.high", "limits: {least: {is: 3 in}}", "policy: town"),
            (
                "A policy may only tighten; fence.high.least is 2 in, and 3 in loosens it. "
                "Write 2 in or less."
            ),
        ),
        (
            amending("fence.least", "limits: {least: {is: 1 in}}", "policy: town"),
            (
                "A policy may only tighten; fence.least.least is 2 in, and 1 in loosens it. "
                "Write 2 in or more."
            ),
        ),
        (
            amending("fence.high", "off: yes", "policy: town"),
            "A policy may only tighten; it may not drop fence.high.",
        ),
        (
            amending("fence.high", "level: note", "policy: town"),
            "A policy may only tighten; fence.high is warning and may not become note.",
        ),
        (
            layer(f"{TOWN}states: {{design.size: {{is: 1 in, why: We say so.}}}}"),
            "A code set states nothing of a job; a shop's policy may, as its own word.",
        ),
    ],
)
def test_each_fault_of_what_a_layer_changes_is_told_whole(
    library: Library, change: Layer, says: str
) -> None:
    with pytest.raises(RulesetError) as refused:
        lay(library, [change])
    assert [one.says for one in refused.value.faults] == [f"town: {says}"]
    assert {one.place.file for one in refused.value.faults} == {"layer.yaml"}


def test_a_fault_hides_none_of_those_after_it(library: Library) -> None:
    limits = "{a: {is: 1 in}, least: {is: 1 kg}, b: {is: 1 in}}"
    with pytest.raises(RulesetError) as refused:
        lay(library, [amending("fence.low", f"limits: {limits}"), amending("fence.lo", "off: no")])
    start, also = "town: fence.low has no limit", "It has: least, most."
    assert told(refused.value) == [
        "3:20 town: There is no clause fence.lo. Did you mean 'fence.low'?",
        f"3:34 {start} a. {also}",
        "3:53 town: 1 kg is a mass; a length is needed, such as 59 3/4 in or 1518 mm.",
        f"3:68 {start} b. {also}",
    ]


REPLACING = """
{kind}: town
title: A layer
clauses:
  its-own:
    replaces: fence.{name}
    title: It asks more
    needs: design.size >= 3 * design.gap
    level: error
    stage: design
    basis: {{standing: published, document: {document}}}
    why: It is so here.
    says: It is not so.
    levers: [design.size]
    proofs: {{}}
"""


def test_only_a_code_set_replaces_a_clause_that_there_is(library: Library) -> None:
    def refusal(kind: str, name: str) -> list[str]:
        with pytest.raises(RulesetError) as refused:
            lay(library, [layer(REPLACING.format(kind=kind, name=name, document="Ours"))])
        return told(refused.value)

    says = "town: There is no clause fence.hihg to replace. Did you mean 'fence.high'?"
    assert refusal("code", "hihg") == [f"6:5 {says}"]
    says = "town: A policy may tighten limits and levels of fence.high, not replace it; "
    assert refusal("policy", "high") == [f"6:5 {says}a code set may."]
    laid = lay(library, [layer(REPLACING.format(kind="code", name="high", document="Ours"))])
    replaced = laid.clauses["fence.high"].clause
    assert (replaced.name, replaced.level, dict(replaced.limits)) == ("fence.high", "error", {})


# --- whose word ----------------------------------------------------------------------------------


def test_a_limit_has_the_word_it_is_amended_by_and_keeps_its_own_without_one(
    library: Library,
) -> None:
    basis = "basis: {document: A code, standing: published}"
    laid = lay(
        library,
        [amending("fence.low", f"limits: {{least: {{is: 1 in, {basis}}}, most: {{is: 8 in}}}}")],
    )
    least, most = (laid.limits[f"fence.low.{short}"] for short in ("least", "most"))
    assert (least.value, least.text, least.basis and least.basis.document) == (
        25.4,
        "1 in",
        "A code",
    )
    assert (least.place.file, least.place.line, least.place.column) == ("layer.yaml", 3, 38)
    assert (most.value, most.basis) == (8 * 25.4, library.limits["fence.low.most"].basis)
    clause = laid.clauses["fence.low"].clause
    assert (clause.basis.document, clause.level) == ("A code", "warning")
    assert dict(clause.limits) == {"least": least, "most": most}


def test_a_clause_has_the_word_of_its_amendment_before_that_of_a_limit(library: Library) -> None:
    def document(change: str) -> str:
        return (
            lay(library, [amending("fence.high", change)])
            .clauses["fence.high"]
            .clause.basis.document
        )

    first, second = (f"basis: {{document: {name}, standing: memory}}" for name in ("One", "Two"))
    assert document("level: error") == "Ours"
    assert document(f"limits: {{least: {{is: 1 in, {second}}}}}") == "Two"
    assert document(f"{first}, limits: {{least: {{is: 1 in, {second}}}}}") == "One"


def test_a_clause_of_a_code_that_is_not_adopted_says_so(library: Library) -> None:
    ours, theirs = (
        layer(f"code: {name}\ntitle: A layer\ndocuments: [{document}]")
        for name, document in (("ours", "Ours"), ("theirs", "Theirs"))
    )

    def notes(*adopted: Layer) -> dict[str, str]:
        laid = whose_word(library, adopted, ["Ours", "Theirs"])
        return {name.partition(".")[2]: one.clause.basis.note for name, one in laid.clauses.items()}

    own = {"low": "", "high": "", "equal": "", "nobody": ""}
    assert notes(ours) == {
        **own,
        "least": "no code set of this job has a word of its own here",
        "noted": "As seen; no code set of this job has a word of its own here",
        "ended": "As seen. No code set of this job has a word of its own here.",
    }
    as_written = {**own, "least": "", "noted": "As seen", "ended": "As seen."}
    assert notes(ours, theirs) == as_written
    assert list(notes(theirs)) == [name for name, *_ in CLAUSES]
    assert {name for name, note in notes(theirs).items() if note != as_written[name]} == {
        "low",
        "high",
        "equal",
    }


# --- the order of layers -------------------------------------------------------------------------


def chain(length: int) -> dict[str, Layer]:
    """Return code sets, each laid over the next."""
    names = [f"n{at}" for at in range(length)]
    return {
        name: layer(f"code: {name}\ntitle: A layer\nunder: [{', '.join(names[at + 1 : at + 2])}]")
        for at, name in enumerate(names)
    }


def test_code_sets_lie_over_each_other_only_so_deep() -> None:
    place = Place(file="job")
    assert [one.name for one in in_order(chain(MOST_UNDER), ("n0",), place)] == [
        f"n{at}" for at in reversed(range(MOST_UNDER))
    ]
    with pytest.raises(RulesetError) as refused:
        in_order(chain(MOST_UNDER + 1), ("n0",), place)
    says = "layer.yaml:1:1: Code sets lie over each other at most 50 deep; n50 is deeper. "
    assert str(refused.value) == f"{says}Take out an under."


def test_what_is_not_there_or_goes_round_is_told_where_it_is_named() -> None:
    def refusal(known: dict[str, Layer], name: str) -> str:
        with pytest.raises(RulesetError) as refused:
            in_order(known, (name,), Place(file="job", line=7, column=3))
        return "\n".join(str(one) for one in refused.value.faults)

    def over(name: str, under: str) -> Layer:
        return layer(f"code: {name}\ntitle: A layer\nunder: [{under}]")

    no_set = "There is no code set or policy"
    assert refusal({}, "far") == f"job:7:3: {no_set} far; there are: none."
    known = {"ours": over("ours", "far"), "theirs": over("theirs", "ours")}
    assert refusal(known, "zz") == f"job:7:3: {no_set} zz; there are: ours, theirs."
    assert refusal(known, "theirs") == f"layer.yaml:1:1: {no_set} far; there are: ours, theirs."
    assert refusal({"ours": over("ours", "theirs"), "theirs": over("theirs", "ours")}, "ours") == (
        "layer.yaml:1:1: ours is laid over theirs is laid over ours: this is a circle; "
        "take one of them out of an under."
    )
