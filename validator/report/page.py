"""One clause on a page, with its examples; and the list of all clauses."""

from collections.abc import Iterator, Mapping

from ruleset.book import Basis, Book, Clause, Limit, Loop, Proof, braces
from ruleset.formula.cone import leaves
from ruleset.layers import Amendment, Layer
from ruleset.library import CheckedClause, Library
from ruleset.names import InFormula
from ruleset.node import Node, Rows, Table, Text

from ..desk import BOOK, LOOKS_AT, PRACTICE, TITLES
from .layout import Look, cells
from .text import standing_words

Asked = Mapping[str, Mapping[str, tuple[str, ...]]]
"""By arrangement, the clauses it asks, each with the parts it asks them of, in words."""
CHECKS = {f"{BOOK}.{slip}": title for slip, title in TITLES.items()}
"""What the papers are held to that no book has, with a title each."""
_MOST_PARTS = 4
"""Of so many parts a page still tells each."""


def clause_list(library: Library, asked: Asked, look: Look, *, every: bool = True) -> str:
    """Return every clause's name with its title by book, a line each; titles too long are cut.

    Args:
        library: The books.
        asked: What each arrangement asks.
        look: Width, colour and characters.
        every: Whether clauses that none of them asks are listed, too.
    """
    lines: list[str] = []
    for book in library.books.values():
        names = [
            one.name
            for one in book.clauses
            if one.name in library.clauses and (every or _who_asks(one.name, asked))
        ]
        if names:
            lines += ["", *_book(book, names, library, asked, look)]
    return "\n".join(lines[1:]) + "\n"


def check_list(look: Look) -> str:
    """Return what the papers are held to besides clauses, a line each."""
    about = f"{BOOK}: the order, the acknowledgement and the rack against the take-off"
    lines = ["", *(look.paint(line, "bold") for line in look.wrap(about))]
    pad = max(map(len, CHECKS)) + 2
    lines += [_line(name, CHECKS[name], pad, look) for name in CHECKS]
    return "\n".join(lines) + "\n"


def check_page(name: str, look: Look) -> str:
    """Return the page of one check of the papers.

    Args:
        name: One of `CHECKS`.
        look: Width, colour and characters.
    """
    said, unsure = standing_words(PRACTICE)
    lines = [look.paint(name, "bold"), *look.wrap(CHECKS[name]), ""]
    lines += look.field("Looks at", LOOKS_AT[name.removeprefix(f"{BOOK}.")], indent=2)
    lines += look.field("Level", "the paper's own clause, or less as the finding says", indent=2)
    lines += look.field("Stage", "the paper's own: order, or install for the rack", indent=2)
    lines += look.field("Basis", said, indent=2, how="yellow" if unsure else "")
    lines += look.field("Waiver", "none; the paper is put right, or the glass", indent=2)
    return "\n".join(lines) + "\n"


def _book(
    book: Book, names: list[str], library: Library, asked: Asked, look: Look
) -> Iterator[str]:
    """Yield a book's title, who asks its clauses, and a line for each of them."""
    who = {name: _who_asks(name, asked) for name in names}
    most = tuple(one for one in asked if any(one in some for some in who.values()))
    yield from (look.paint(line, "bold") for line in look.wrap(f"{book.name}: {book.title}"))
    yield from look.wrap(f"Asked in: {', '.join(most) or 'no arrangement there is'}", first="  ")
    pad = max(map(len, names)) + 2
    for name in names:
        yield _listed(library.clauses[name].clause, pad, look)
        if who[name] != most:
            only = f"only in: {', '.join(who[name]) or 'no arrangement there is'}"
            yield from look.wrap(only, first=" " * (pad + 2))


def _who_asks(name: str, asked: Asked) -> tuple[str, ...]:
    return tuple(one for one, clauses in asked.items() if name in clauses)


def _listed(clause: Clause, pad: int, look: Look) -> str:
    return _line(clause.name, clause.title, pad, look)


def _line(name: str, title: str, pad: int, look: Look) -> str:
    line = f"  {name.ljust(pad)}{look.clean(title)}"
    if cells(line) > look.width:
        while cells(line) > look.width - 3:
            line = line[:-1]
        line = f"{line.rstrip()}..."
    return look.paint(line[: pad + 2], "bold") + line[pad + 2 :]


def clause_page(
    name: str, library: Library, codes: Mapping[str, Layer], asked: Asked, look: Look
) -> str:
    """Return the page of one clause.

    Args:
        name: Full name of a clause of the library.
        library: The books, no code set laid over them.
        codes: Every code set and policy.
        asked: What each arrangement asks.
        look: Width, colour and characters.
    """
    checked = library.clauses[name]
    clause = checked.clause
    lines = [look.paint(clause.name, "bold"), *look.wrap(clause.title), ""]
    lines += _what(checked, library, asked, look)
    lines += _names(checked, library, look)
    lines += _limits(checked, library, look)
    lines += _word(clause, look)
    lines += _change(clause, library, look)
    lines += _changed(checked, library, codes, look)
    lines += _examples(clause, look)
    return "\n".join(lines) + "\n"


def _rows(label: str, texts: list[str], look: Look) -> Iterator[str]:
    for at, text in enumerate(texts):
        yield from look.field("" if at else label, text, indent=2)


def _what(checked: CheckedClause, library: Library, asked: Asked, look: Look) -> Iterator[str]:
    clause = checked.clause
    level = clause.level
    if clause.softer is not None:
        level = f"{level}; {clause.softer.level} when {clause.softer.when.text}"
    yield from look.field("Asks", clause.needs.text, indent=2)
    yield from look.field("For", loop_words(clause.loop, library), indent=2)
    yield from _rows("In", list(_parts_by_arrangement(clause, asked)), look)
    yield from look.field("When", clause.when.text if clause.when else "always", indent=2)
    yield from look.field("Level", level, indent=2)
    yield from look.field("Stage", clause.stage, indent=2)


def _parts_by_arrangement(clause: Clause, asked: Asked) -> Iterator[str]:
    """Yield each arrangement that asks a clause, with the parts it is asked of where few."""
    for one in _who_asks(clause.name, asked):
        parts = asked[one][clause.name]
        tells = bool(clause.loop.sorts or clause.loop.subject) and len(parts) <= _MOST_PARTS
        yield f"{one}: {', '.join(parts)}" if tells else one
    if not _who_asks(clause.name, asked):
        yield "no arrangement there is"


def loop_words(loop: Loop, library: Library) -> str:
    """Return which parts a loop is for, in words."""
    if loop.subject:
        return library.parts[loop.subject].means
    if not loop.sorts:
        return "the job as a whole"
    first, *outer = loop.sorts
    said = f"each two {first}" if loop.pairs else f"each {first}"
    return " of ".join([said, *(f"each {sort}" for sort in outer)])


def _used(checked: CheckedClause) -> tuple[str, ...]:
    trees = (checked.needs, checked.when, checked.softer)
    asked = (name for tree in trees if tree is not None for name in leaves(tree))
    told = braces(checked.clause.says) + braces(checked.clause.do)
    return tuple(dict.fromkeys([*asked, *told]))


def _names(checked: CheckedClause, library: Library, look: Look) -> Iterator[str]:
    """Say what the names in the formulas mean, as far as they have a meaning of their own."""
    said = []
    variables = library.names.variables(checked.clause.loop)
    for name in _used(checked):
        meaning = library.names.means_of(name, variables)
        if meaning:
            said.append(f"{name}: {meaning}")
    yield from _rows("Names", said, look)


def _limits(checked: CheckedClause, library: Library, look: Look) -> Iterator[str]:
    said = [
        f"{name}: {limit.text}{_by(limit.basis)}"
        for name, limit in limits_of(checked, library).items()
    ]
    yield from _rows("Limits", said, look)


def limits_of(checked: CheckedClause, library: Library) -> Mapping[str, Limit]:
    """Return the limits that a clause compares with, by the names its formulas use."""
    clause = checked.clause
    scope = InFormula(library.names, clause.book, clause.limits, {})
    found = {f"limit.{short}": limit for short, limit in clause.limits.items()}
    for name in _used(checked):
        limit = scope.limit(name)
        if limit is not None:
            found[name] = limit
    return found


def _by(basis: Basis | None) -> str:
    return "" if basis is None else f", by {standing_words(basis)[0].rstrip('.')}"


def _word(clause: Clause, look: Look) -> Iterator[str]:
    said, unsure = standing_words(clause.basis)
    yield from look.field("Basis", said, indent=2, how="yellow" if unsure else "")
    if clause.why:
        yield from look.field("Why", clause.why, indent=2)
    if clause.caution:
        yield from look.field("Danger", clause.caution, indent=2, how="yellow")


def _change(clause: Clause, library: Library, look: Look) -> Iterator[str]:
    yield from look.field("Says", clause.says, indent=2)
    if clause.do:
        yield from look.field("To do", clause.do, indent=2)
    variables = library.names.variables(clause.loop)
    means = {name: library.names.means_of(name, variables) for name in clause.levers}
    levers = [f"{name}: {said}" if said else name for name, said in means.items()]
    yield from _rows("Change", levers, look)
    waiver = (
        "a job may depart from it; its waiver says why, who answers for it and until when"
        if clause.waivable
        else "no job may depart from it"
    )
    yield from look.field("Waiver", waiver, indent=2)
    yield from look.field("Where", str(clause.place), indent=2)


def _changed(
    checked: CheckedClause, library: Library, codes: Mapping[str, Layer], look: Look
) -> Iterator[str]:
    said = [text for layer in codes.values() for text in _by_layer(checked, library, layer)]
    if said:
        yield from look.heading("Changed by")
    for text in said:
        yield from look.wrap(text, first="  - ")


def _by_layer(checked: CheckedClause, library: Library, layer: Layer) -> Iterator[str]:
    clause = checked.clause
    amendment = layer.amends.get(clause.name)
    if amendment is not None:
        yield f"{layer.name} ({layer.title}): {_amended(amendment)}"
    own = layer.clauses.get(clause.name)
    if own is not None:
        limits = "".join(f"; {k}: {one.text}{_by(one.basis)}" for k, one in own.limits.items())
        yield (
            f"{layer.name} ({layer.title}) puts another clause in its place, at {own.place}: "
            f"{own.needs.text}{limits}"
        )
    for name, limit in limits_of(checked, library).items():
        book, _, short = limit.name.partition(".limit.")
        shared = layer.amends.get(f"{book}.limit") if short else None
        if shared is not None and short in shared.limits:
            new = shared.limits[short]
            why = f"; {shared.why}"
            yield f"{layer.name} ({layer.title}): {name} is {new.text}{_by(new.basis)}{why}"


def _amended(amendment: Amendment) -> str:
    said = []
    if amendment.off:
        said.append("does not apply")
    if amendment.level:
        said.append(f"level {amendment.level}")
    said += [f"{name}: {new.text}{_by(new.basis)}" for name, new in amendment.limits.items()]
    return f"{'; '.join(said)}{_by(amendment.basis)}. {amendment.why}"


def _examples(clause: Clause, look: Look) -> Iterator[str]:
    if clause.proofs:
        yield from look.heading("Worked examples")
    for proof in clause.proofs:
        lead = "  - "
        for line in look.wrap(f"{proof.name}: {proof.expects}", first=lead):
            yield look.paint(line, "bold")
        for text in _given(proof):
            yield from look.wrap(text, first=" " * 6, rest=" " * 8)
        if proof.says:
            yield from look.wrap(f'"{proof.says}"', first=" " * 6)


def _given(proof: Proof) -> Iterator[str]:
    for name, node in proof.given.items():
        yield f"{name} = {written(node)}"
    for name, text in proof.limits.items():
        yield f"limit.{name} = {text}"


def written(node: Node) -> str:
    """Return a given value on one line, as it was written."""
    match node:
        case Text():
            return node.text
        case Rows():
            return "; ".join(written(item) for item in node.items) or "none"
        case Table():
            return ", ".join(f"{key} {written(one)}" for key, one in node.entries.items())
