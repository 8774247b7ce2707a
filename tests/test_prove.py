"""Each way in which a book can prove less than it should is reported, and nothing else is."""

from collections.abc import Callable

import pytest

from ruleset.library import Library
from ruleset.prove import faults_of, prove

FACTS = """
book: small
title: One clause
about: None of it means anything.
sorts: {hole: {plural: holes, fields: {x: length}}}
parts: {door: {means: the door, sorts: [], groups: {holes: {sort: hole, more: design.holes}}}}
facts:
  design.size: {means: a size, kind: length, range: [0 in, 99 in]}
  design.other: {means: another, kind: length, range: [0 in, 99 in]}
  design.sure: {means: whether so, kind: yes/no}
  design.glass: {means: glass, kind: word, words: [clear, etched, wired]}
  design.wall: {means: a wall, kind: word, words: [brick, stud]}
  design.holes: {means: holes, list: hole, most: 4}
"""
GLASSES = ("clear", "etched", "wired")
AT = "at it: {given: {design.size: 2 in}}"
PAST = "past it: {given: {design.size: 1 15/16 in}, says: It is too small.}"
LIMIT = "limits: {least: {is: 2 in, basis: {standing: memory}}}"


def clause(
    needs: str = "design.size >= limit.least",
    *,
    holds: str = AT,
    fails: str = PAST,
    says: str = "It is too small.",
    more: str = LIMIT,
    exempt: str = "",
    unmoved: str = "",
) -> str:
    return f"""{FACTS}
clauses:
  asks:
    title: It asks
    needs: "{needs}"
    {more}
    level: warning
    stage: design
    basis: {{standing: memory}}
    why: It must be.
    says: "{says}"
    levers: [design.size]
    proofs:
      holds: {{{holds}}}
      fails: {{{fails}}}
      exempt: {{{exempt}}}
      unmoved: {{{unmoved}}}
"""


def working(text: str, given: str, result: str, *, kind: str = "length", units: str = "in") -> str:
    return f"""{FACTS}
workings:
  door.size:
    means: A size
    is: "{text}"
    kind: {kind}
    proofs: {{usual: {{given: {{{given}}}, is: {result}, units: {units}}}}}
"""


WHEN = f"{LIMIT}\n    when: design.sure"
SURE_AT = "at it: {given: {design.size: 2 in, design.sure: yes}}"
SURE_PAST = "past it: {given: {design.size: 1 15/16 in, design.sure: yes}, says: It is too small.}"
NOT_SURE = "not so: {given: {design.size: 1 15/16 in, design.sure: no}}"
CHAIN = (
    "limits: {least: {is: 2 in, basis: {standing: memory}}, "
    "most: {is: 3 in, basis: {standing: memory}}}"
)
LOW = PAST
HIGH = "over: {given: {design.size: 3 1/16 in}, says: It is too small.}"
AT_MOST = "at most: {given: {design.size: 3 in}}"
EITHER = "design.sure or design.size >= limit.least"
BIG = "big: {given: {design.size: 2 in, design.sure: no}}"
IS_SURE = (
    "sure: {given: {design.size: 1 15/16 in, design.sure: yes}, without: {design.size: holds}}"
)
NEITHER = "neither: {given: {design.size: 1 15/16 in, design.sure: no}, says: It is too small.}"
GLASS = "design.glass in ('clear', 'etched')"
WIRED = "wired: {given: {design.glass: wired}, says: It is too small.}"
CLEAR = "clear: {given: {design.glass: clear}}"
ETCHED = "etched: {given: {design.glass: etched}}"
GROUP = "all(h.x > 0 for h in door.holes)"

GOOD = {
    "a limit": clause(),
    "a limit in mm": clause(
        more="limits: {least: {is: 50 mm, step: 1 mm, basis: {standing: memory}}}",
        holds="at it: {given: {design.size: 50 mm}}",
        fails="past it: {given: {design.size: 49 mm}, units: mm, says: It is 49 mm.}",
        says="It is {design.size}.",
    ),
    "a sentence with its three": clause(
        fails="past it: {given: {design.size: 1 15/16 in}, "
        "says: 'Here 1 15/16 in, not 2 in: 1/16 in more.'}",
        says="Here {actual}, not {limit}: {short} more.",
    ),
    "a condition": clause(more=WHEN, holds=SURE_AT, fails=SURE_PAST, exempt=NOT_SURE),
    "a chain": clause(
        "limit.least <= design.size <= limit.most",
        more=CHAIN,
        holds=f"{AT}, {AT_MOST}",
        fails=f"{LOW}, {HIGH}",
    ),
    "an or": clause(EITHER, holds=f"{BIG}, {IS_SURE}", fails=NEITHER).replace(
        "big: {given: {design.size: 2 in, design.sure: no}}",
        "big: {given: {design.size: 2 in, design.sure: no}, without: {design.sure: holds}}",
    ),
    "words": clause(GLASS, more="", holds=f"{CLEAR}, {ETCHED}", fails=WIRED),
    "a group": clause(
        GROUP,
        more="",
        holds="in: {given: {door.holes: [{x: 1/16 in}, {x: 2 in}]}}",
        fails="on: {given: {door.holes: [{x: 2 in}, {x: 0 in}]}, says: It is too small.}",
        exempt="none: {given: {door.holes: []}}",
    ),
    "an amended limit": clause(
        holds=f"{AT}, other: {{given: {{design.size: 1 in}}, limits: {{least: 1 in}}}}"
    ),
    "a marked change": clause(
        fails="past it: {given: {design.size: 1 in}, says: It is too small.}",
        unmoved="limit least down: nobody sells it",
    ),
    "a clause that only asks": clause(
        "design.glass in ('clear', 'etched', 'wired')",
        holds=", ".join(f"{one}: {{given: {{design.glass: {one}}}}}" for one in GLASSES),
        fails="",
        more="",
        unmoved="fails: it is there to ask",
    ),
    "a sum": working("design.size + design.other", "design.size: 1 in, design.other: 2 in", "3 in"),
    "a word": working("design.glass", "design.glass: etched", "etched", kind="word"),
    "an undefined": working(
        "design.size / (design.other - design.other) * design.other",
        "design.size: 1 in, design.other: 2 in",
        "unknown",
    ),
    "a count": working("count(door.holes)", "door.holes: [{x: 1 in}]", "1", kind="count"),
}


def wrongs(library: Library) -> list[str]:
    return [f"{one.proof}: {one.wrong}" for one in prove(library) if one.wrong]


@pytest.mark.parametrize("name", GOOD)
def test_a_good_book_proves_itself(library_of: Callable[..., Library], name: str) -> None:
    library = library_of(GOOD[name])
    assert wrongs(library) == []
    assert faults_of(prove(library)) == ()


BAD = {
    "does not hold": (
        clause(holds="at it: {given: {design.size: 1 in}}"),
        "at it: It fails; the proof says it holds.",
    ),
    "does not fail": (
        clause(fails="past it: {given: {design.size: 3 in}, says: It is too small.}"),
        "past it: It holds; the proof says it fails.",
    ),
    "is not exempt": (
        clause(
            more=WHEN, holds=SURE_AT, fails=SURE_PAST, exempt="odd: {given: {design.sure: yes}}"
        ),
        "odd: It is unknown; the proof says it is exempt.",
    ),
    "another sentence": (
        clause(fails=PAST.replace("small", "large")),
        "past it: It says: 'It is too small.'; the proof says: 'It is too large.'.",
    ),
    "no sentence": (
        clause(fails="past it: {given: {design.size: 1 15/16 in}}"),
        "past it: A failing proof gives the exact sentence; this one has no says.",
    ),
    "no failing proof": (
        clause(fails=""),
        "fails: No proof shows it failing; a clause that cannot fail is no clause.",
    ),
    "not at the limit": (
        clause(holds="far: {given: {design.size: 4 in}}"),
        "change: limit least up: No proof notices this change: limit least up.",
    ),
    "not just past the limit": (
        clause(fails="far: {given: {design.size: 1 in}, says: It is too small.}"),
        "change: limit least down: No proof notices this change: limit least down.",
    ),
    "strictness not noticed": (
        clause(holds="near: {given: {design.size: 2 1/16 in}}"),
        "change: comparison 1 strict: No proof notices this change: comparison 1 strict.",
    ),
    "one side of a chain": (
        clause("limit.least <= design.size <= limit.most", more=CHAIN, holds=f"{AT}, {AT_MOST}"),
        "change: limit most up: No proof notices this change: limit most up.",
    ),
    "unused limit": (
        clause(more=LIMIT.replace("limits: {", "limits: {odd: {is: 1 in}, ")),
        (
            "change: limit odd is not used by the clause: "
            "No proof notices this change: limit odd is not used by the clause."
        ),
    ),
    "a word nobody proves": (
        clause(GLASS, more="", holds=CLEAR, fails=WIRED),
        "change: word etched dropped: No proof notices this change: word etched dropped.",
    ),
    "an operand nobody proves": (
        clause(EITHER, holds=IS_SURE, fails=NEITHER),
        "change: operand 2 dropped: No proof notices this change: operand 2 dropped.",
    ),
    "a condition nobody proves": (
        clause(more=WHEN, holds=SURE_AT, fails=SURE_PAST),
        "change: when dropped: No proof notices this change: when dropped.",
    ),
    "marked, but noticed": (
        clause(unmoved="limit least down: nobody sells it"),
        (
            "change: limit least down: "
            "A proof notices the change 'limit least down', which is marked as unmoved."
        ),
    ),
    "marked as only asking, but it can fail": (
        clause(unmoved="fails: it is there to ask"),
        (
            "unmoved: fails: There is no change 'fails'; there are: "
            "comparison 1 strict, limit least down, limit least up."
        ),
    ),
    "marked, but no change": (
        clause(unmoved="limit most down: nobody sells it"),
        (
            "unmoved: limit most down: There is no change 'limit most down'; there are: "
            "comparison 1 strict, limit least down, limit least up."
        ),
    ),
    "an unused name": (
        clause(holds="at it: {given: {design.size: 2 in, design.other: 2 in}}"),
        "at it: design.other is given, but the clause does not use it.",
    ),
    "no such name": (
        clause(holds="at it: {given: {design.sise: 2 in}}"),
        "at it: design.sise is given, but there is no such name.",
    ),
    "a list for a value": (
        clause(holds="at it: {given: {design.size: [{x: 1 in}]}}"),
        "at it: design.size[1].x is given, but there is no such name.",
    ),
    "a value of another kind": (clause(holds="at it: {given: {design.size: 2 kg}}"), "2 kg"),
    "a word of another fact": (
        clause(
            GLASS,
            more="",
            holds=f"{CLEAR}, {ETCHED}, odd: {{given: {{design.glass: brick}}}}",
            fails=WIRED,
        ),
        "odd: 'brick' is no word that design.glass may be.",
    ),
    "no such limit": (
        clause(holds=f"{AT}, odd: {{given: {{design.size: 1 in}}, limits: {{most: 1 in}}}}"),
        "odd: There is no limit most here.",
    ),
    "a limit of another kind": (
        clause(holds=f"{AT}, odd: {{given: {{design.size: 1 in}}, limits: {{least: 1 kg}}}}"),
        "odd: limit.least: ",
    ),
    "unknown without it, and not said": (
        clause(
            EITHER,
            holds=f"{BIG}, {IS_SURE.replace(', without: {design.size: holds}', '')}",
            fails=NEITHER,
        ),
        "sure, without design.size: Without design.size it holds, not unknown.",
    ),
    "said to hold without it": (
        clause(holds="at it: {given: {design.size: 2 in}, without: {design.size: holds}}"),
        "at it, without design.size: Without design.size it is unknown, not holds.",
    ),
    "without what is not given": (
        clause(holds="at it: {given: {design.size: 2 in}, without: {design.sure: holds}}"),
        "at it: It says what follows without design.sure, which is not given.",
    ),
    "another sum": (
        working("design.size + design.other", "design.size: 1 in, design.other: 2 in", "4 in"),
        "usual: It is 3 in, not 4 in.",
    ),
    "a sum not known": (
        working("design.size + design.other", "design.size: 1 in", "4 in"),
        "usual: It is unknown.",
    ),
    "a sum known": (
        working("design.size", "design.size: 1 in", "unknown"),
        "usual: It is known.",
    ),
    "a sum of what is not used": (
        working("design.size", "design.size: 1 in, design.other: 1 in", "1 in"),
        "usual: design.other is given, but the formula does not use it.",
    ),
    "another word": (
        working("design.glass", "design.glass: etched", "clear", kind="word"),
        "usual: It is 'etched', not 'clear'.",
    ),
    "a result that cannot be read": (working("design.size", "design.size: 1 in", "1 kg"), "1 kg"),
}


@pytest.mark.parametrize("name", BAD)
def test_what_is_wrong_is_told(library_of: Callable[..., Library], name: str) -> None:
    text, says = BAD[name]
    told = wrongs(library_of(text))
    assert any(says in one for one in told), told


def test_a_fault_tells_its_place(library_of: Callable[..., Library]) -> None:
    text, _ = BAD["another sum"]
    (fault,) = faults_of(prove(library_of(text)))
    line = text.splitlines()[fault.place.line - 1]
    assert "usual" in line
    assert fault.place.file == "book1.yaml"
    assert fault.says == "door.size, usual: It is 3 in, not 4 in."
