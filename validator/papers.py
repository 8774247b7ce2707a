"""The papers that glass sizes stand on, and how they are read: order, acknowledgement, rack."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

from ruleset.book import LEVELS
from ruleset.fields import Faults, Fields
from ruleset.library import Library
from ruleset.nearest import did_you_mean
from ruleset.node import Node

from .as_built import Frozen, frozen_steps
from .sheet_rows import read_once
from .slips import is_near
from .verdict import Verdict

SHEET = "order-check"


@dataclass(frozen=True, slots=True, kw_only=True)
class Paper:
    """One paper that sizes stand on.

    Attributes:
        at: What stands between a pane and what the paper gives of it, such as order.acknowledged.
        clause: The clause that asks for its sizes.
        apart: The limit for holes.
        named: What it is, to begin a sentence.
        made: What glass of its sizes is judged as, to begin a sentence; "" where none is.
        cut: Whether it tells of glass that is there, so that nothing on it is a slip of the pen.
        do: What to do about a slip on it.
    """

    at: str
    clause: str
    apart: str
    named: str
    made: str
    cut: bool
    do: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """A piece that is fixed through its own hole and further ones.

    Attributes:
        part: The pane.
        placed: Facts of where it is put.
    """

    part: str
    placed: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Goods:
    """What the order may list besides glass.

    Attributes:
        part: The part it is of.
        item: What it is, in a sentence.
        ordered: The fact by which the order gives its length, how many there are, or their kind.
        needed: The name of what is needed.
        exact: Whether it is a piece of the maker's, so that a longer one is wrong too.
    """

    part: str
    item: str
    ordered: str
    needed: str
    exact: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """How what is cut besides glass is held against the take-off.

    Attributes:
        goods: What the order may list.
        apart: The limit for how far a length may be from what is needed.
        level: The level of what is wrong with it.
        do: What to do then.
        why: Why.
    """

    goods: tuple[Goods, ...]
    apart: str
    level: str
    do: str
    why: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Papers:
    """The sheet.

    Attributes:
        papers: The papers, in the order in which they come.
        not_for: Clauses and books that are asked of papers and not of glass.
        hands: What each hand is, as a sentence has it.
        pieces: What is fixed through several holes.
        made: Why glass that differs from a measure made into hardware does not fit it, by the fact.
        cut: What the order may list besides glass; None for nothing.
    """

    papers: tuple[Paper, ...] = ()
    not_for: tuple[str, ...] = ()
    hands: Mapping[str, str] = field(default_factory=dict)
    pieces: tuple[Piece, ...] = ()
    made: Mapping[str, str] = field(default_factory=dict)
    cut: Cut | None = None

    def hand(self, word: str) -> str:
        """Return what a hand is, for a sentence."""
        return self.hands.get(word, f"the hand {word}")


def papers_of(verdict: Verdict) -> Papers:
    """Return how the papers of a job are read.

    Raises:
        RulesetError: A sheet cannot be read, or names what there is not; all faults at once.
    """
    return read_once(SHEET, verdict, Papers, read_papers)


def read_papers(node: Node | None, library: Library, faults: Faults) -> Papers:
    """Return how papers are read, as a sheet says; nothing for None. Faults are kept."""
    if node is None:
        return Papers()
    fields = Fields(node, faults, "the sheet of papers")
    fields.text("sheet", need=True)
    made = (Fields(row, faults, "what is made into hardware") for row in fields.rows("made"))
    goods = fields.node("goods")
    found = Papers(
        papers=tuple(_paper(one, library, faults) for one in fields.table("papers").values()),
        not_for=fields.texts("not_for"),
        hands=_hands(fields.rows("hands"), faults),
        pieces=tuple(_piece(row, library, faults) for row in fields.rows("pieces")),
        made=dict(_made(one, library) for one in made),
        cut=None if goods is None else _cut(goods, library, faults),
    )
    fields.done()
    return found


def _paper(node: Node, library: Library, faults: Faults) -> Paper:
    fields = Fields(node, faults, "a paper")
    paper = Paper(
        at=fields.text("at", need=True),
        clause=fields.text("clause", need=True),
        apart=fields.text("apart", need=True),
        named=fields.text("named", need=True),
        made=fields.text("made"),
        cut=fields.option("cut", ("yes", "no")) == "yes",
        do=fields.text("do", need=True),
    )
    if paper.clause and f"{paper.clause}.most" not in library.limits:
        says = f"{paper.clause} is no clause with a limit `most`."
        fields.wrong("clause", f"{says}{did_you_mean(paper.clause, library.clauses)}")
    if paper.apart and paper.apart not in library.limits:
        hint = did_you_mean(paper.apart, library.limits)
        fields.wrong("apart", f"There is no limit {paper.apart}.{hint}")
    fields.done()
    return paper


def _hands(rows: tuple[Node, ...], faults: Faults) -> Mapping[str, str]:
    found: dict[str, str] = {}
    for row in rows:
        fields = Fields(row, faults, "what hands are")
        found |= {name: fields.text(name, need=True) for name in fields.names()}
        fields.done()
    return found


def _piece(node: Node, library: Library, faults: Faults) -> Piece:
    fields = Fields(node, faults, "a piece")
    piece = Piece(part=fields.text("part", need=True), placed=fields.texts("placed"))
    for fact in piece.placed:
        _known(fields, "placed", fact, library)
    fields.done()
    return piece


def _made(fields: Fields, library: Library) -> tuple[str, str]:
    fact, says = fields.text("fact", need=True), fields.text("says", need=True)
    _known(fields, "fact", fact, library)
    fields.done()
    return fact, says


def _cut(node: Node, library: Library, faults: Faults) -> Cut:
    fields = Fields(node, faults, "what is cut besides glass")
    cut = Cut(
        goods=tuple(_goods(row, library, faults) for row in fields.rows("rows")),
        apart=fields.text("apart", need=True),
        level=fields.word("level", LEVELS),
        do=fields.text("do", need=True),
        why=fields.text("why", need=True),
    )
    if cut.apart and cut.apart not in library.limits:
        hint = did_you_mean(cut.apart, library.limits)
        fields.wrong("apart", f"There is no limit {cut.apart}.{hint}")
    fields.done()
    return cut


def _goods(node: Node, library: Library, faults: Faults) -> Goods:
    fields = Fields(node, faults, "goods of the order")
    goods = Goods(
        part=fields.text("part", need=True),
        item=fields.text("item", need=True),
        ordered=fields.text("ordered", need=True),
        needed=fields.text("needed", need=True),
        exact=fields.option("exact", ("yes", "no")) == "yes",
    )
    _known(fields, "ordered", goods.ordered, library)
    if goods.needed and library.names.kind_of(goods.needed, {}) is None:
        hint = did_you_mean(goods.needed, library.names.all_names())
        fields.wrong("needed", f"There is no {goods.needed}.{hint}")
    fields.done()
    return goods


def _known(fields: Fields, key: str, fact: str, library: Library) -> None:
    if fact and fact not in library.facts:
        fields.wrong(key, f"There is no fact {fact}.{did_you_mean(fact, library.facts)}")


def fact_on(verdict: Verdict, paper: Paper, part: str, what: str) -> str:
    """Return the fact by which a paper gives something of a pane, such as its width."""
    return verdict.plan.plain(f"{part}.{paper.at}.{what}")


def paper_sizes(verdict: Verdict, paper: Paper) -> tuple[Frozen, ...]:
    """Return the sizes that a paper gives."""
    return tuple(_given(verdict, paper))


def _given(verdict: Verdict, paper: Paper) -> Iterator[Frozen]:
    given = verdict.job.values
    for step in frozen_steps(verdict):
        part, _, side = step.name.rpartition(".")
        fact = fact_on(verdict, paper, part, side)
        if fact in given:
            yield Frozen(step=step.name, fact=fact, value=given[fact].value)


def within(verdict: Verdict, paper: Paper) -> float:
    """Return how far a size on a paper may be from the take-off, mm."""
    return verdict.library.limits[f"{paper.clause}.most"].value


def is_right(verdict: Verdict, paper: Paper, size: Frozen) -> bool:
    """Return whether a size on a paper is the take-off's, within what is allowed."""
    drawn = verdict.answer(size.step)
    allowed = within(verdict, paper)
    return drawn.known and is_near(drawn.value, size.value, allowed)


def glass_sizes(verdict: Verdict) -> Mapping[str, Frozen]:
    """Return the sizes that the glass has: as measured on the rack, else as rightly ordered."""
    made = [paper for paper in papers_of(verdict).papers if paper.made]
    return {
        size.step: size
        for paper in sorted(made, key=lambda one: one.cut)
        for size in paper_sizes(verdict, paper)
        if paper.cut or is_right(verdict, paper, size)
    }
