"""The sheet of levers: what a designer can change, how far it is tried and how dear it is."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace

from ruleset.book import Fact
from ruleset.fields import Faults, Fields
from ruleset.kinds import KINDS
from ruleset.library import Library
from ruleset.nearest import did_you_mean
from ruleset.node import Node, Table
from ruleset.quantity import QuantityError, read_quantity
from ruleset.reader import read_file
from ruleset.turns import HAND

from ..old_names import new_lever
from ..sheet_rows import read_once, sheet_files
from ..verdict import Verdict

SHEET = "levers"
STOCKS = ("handles", "thicknesses", "kits")
LENGTH = KINDS["length"]
MOST_STEPS = 1000


@dataclass(frozen=True, slots=True, kw_only=True)
class Declared:
    """One lever.

    Attributes:
        name: Its id.
        means: What it is, as a sentence has it.
        fact: The fact it moves; "" where its stock says which.
        cost: Its class.
        reach: Least and most that are tried, mm; None for a lever that is no length.
        easy: Furthest move that does not count a class dearer, mm; None for any.
        choices: Words that are tried.
        stock: What of the shop's stock is tried; "" for none.
        steps: What a step of the grid counts as, or another choice.
        then: What to look at when it moves; "" for nothing.
        handle: What a handle goes into; None for what is no handle.
        place: What one of the choices places besides; None for nothing.
    """

    name: str
    means: str
    fact: str
    cost: str
    reach: tuple[float, float] | None
    easy: float | None
    choices: tuple[str, ...]
    stock: str
    steps: int
    then: str
    handle: "HandlePlace | None"
    place: "Placing | None"


@dataclass(frozen=True, slots=True, kw_only=True)
class HandlePlace:
    """Where a handle goes, and which facts say what it is.

    Attributes:
        part: The pane.
        placed: Facts of where it is put; all others under their name say what it is.
        hole: Where its own hole stands, across the pane and up.
        further: The list of the pane's further holes.
        in_line: The limit that says how far out of line a second hole is still this handle's.
    """

    part: str
    placed: tuple[str, ...]
    hole: tuple[str, ...]
    further: str
    in_line: str

    @property
    def facts(self) -> str:
        """Return the name that all facts of the handle stand under, with its last dot."""
        return self.placed[0].rpartition(".")[0] + "."


@dataclass(frozen=True, slots=True, kw_only=True)
class Placing:
    """What one choice of a lever places besides: a further piece goes somewhere.

    Attributes:
        choice: The choice.
        fact: The fact of its place.
        at: Names of the places that are tried; the first goes before the others.
        says: What is told behind the choice, `...` where the place goes.
    """

    choice: str
    fact: str
    at: tuple[str, ...]
    says: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Follow:
    """Facts that repeat a working, and how near they must have been to it, mm."""

    facts: tuple[str, ...]
    sources: tuple[str, ...]
    within: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Again:
    """A yes that was given for the drawing as it was, and is taken back when it changes.

    Attributes:
        fact: The fact.
        do: What to do again.
        papers: Whether it is taken back too where only papers are written anew.
    """

    fact: str
    do: str
    papers: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteReadings:
    """Readings that are tried together, larger, to say what would do.

    Attributes:
        means: What they are readings of.
        facts: The readings.
        told: The one that is told.
        reach: How much more is tried, mm.
        follows: Readings that follow.
    """

    means: str
    facts: tuple[str, ...]
    told: str
    reach: float
    follows: tuple[Follow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Levers:
    """The whole sheet.

    Attributes:
        classes: Names of the classes, the cheapest first.
        levers: The levers.
        follows: What repeats what.
        again: What a change takes back.
        site: Readings that are tried in thought.
        guards: Clauses that are searched from the start; for speed alone.
        advised: Clauses that are cured as they advise, and not by another design.
        no_worse: Clauses that, where they fail already, may not fail by more.
    """

    classes: tuple[str, ...] = ()
    levers: tuple[Declared, ...] = ()
    follows: tuple[Follow, ...] = ()
    again: tuple[Again, ...] = ()
    site: tuple[SiteReadings, ...] = ()
    guards: tuple[str, ...] = ()
    advised: tuple[str, ...] = ()
    no_worse: tuple[str, ...] = ()


def load_levers(verdict: Verdict) -> Levers:
    """Return the levers that the sheets beside a job's books declare.

    Raises:
        RulesetError: A file cannot be read, or names what there is not; all faults at once.
    """
    return read_once(SHEET, verdict, Levers, read_levers)


def read_levers(node: Node | None, library: Library, faults: Faults) -> Levers:
    """Return the levers that a sheet declares, none for None; faults are kept."""
    return Levers() if node is None else _Reading(library, faults).sheet(node)


class _Reading:
    """One sheet's nodes, read against a library."""

    def __init__(self, library: Library, faults: Faults) -> None:
        self.library = library
        self.faults = faults
        self.classes: tuple[str, ...] = ()

    def sheet(self, node: Node) -> Levers:
        fields = Fields(node, self.faults, "the sheet of levers")
        fields.text("sheet", need=True)
        fields.node("basis")
        self.classes = fields.texts("classes")
        levers = fields.table("levers")
        found = Levers(
            classes=self.classes,
            levers=tuple(self._lever(one, key) for key, one in levers.items()),
            follows=tuple(self._follow(one) for one in fields.rows("follows")),
            again=tuple(self._again(one) for one in fields.rows("again")),
            site=tuple(self._site(one) for one in fields.rows("site")),
            guards=self._clauses(fields, "guards"),
            advised=self._clauses(fields, "advised"),
            no_worse=self._clauses(fields, "no_worse"),
        )
        fields.done()
        return found

    def _clauses(self, fields: Fields, key: str) -> tuple[str, ...]:
        names = fields.texts(key)
        for name in names:
            if name not in self.library.clauses:
                hint = did_you_mean(name, self.library.clauses)
                fields.wrong(key, f"There is no clause {name}.{hint}")
        return names

    def _lever(self, node: Node, name: str) -> Declared:
        fields = Fields(node, self.faults, f"the lever {name}")
        stock = fields.option("stock", STOCKS)
        fact = fields.text("fact", need=stock in ("", "thicknesses"))
        known = self._fact(fields, fact) if fact else None
        reach = tuple(_length(fields, "reach", text) for text in fields.texts("reach"))
        choices = self.library.hands if fact == HAND else fields.texts("choices")
        if reach and (len(reach) != 2 or reach[0] > reach[1]):  # noqa: PLR2004  # least and most
            fields.wrong(
                "reach", f"The reach of {name} is a least and a most; write both in order."
            )
        if known is not None and known.words:
            for choice in choices:
                if choice not in known.words:
                    hint = did_you_mean(choice, known.words)
                    fields.wrong("choices", f"{choice} is no word of {fact}.{hint}")
        elif known is not None and known.kind is not None:
            for choice in choices:
                try:
                    read_quantity(choice, known.kind)
                except QuantityError as error:
                    fields.wrong("choices", f"{choice} is no choice of {fact}: {error}")
        declared = Declared(
            name=name,
            means=fields.text("means", need=True),
            fact=fact,
            cost=fields.word("class", self.classes),
            reach=(reach[0], reach[1]) if len(reach) == 2 else None,  # noqa: PLR2004  # the same
            easy=_one_length(fields, "easy"),
            choices=choices,
            stock=stock,
            steps=_steps(fields) or 1,
            then=fields.text("then"),
            handle=self._handle(fields) if stock == "handles" else None,
            place=self._placing(fields, choices),
        )
        fields.done()
        return declared

    def _placing(self, above: Fields, choices: tuple[str, ...]) -> Placing | None:
        node = above.node("place")
        if node is None:
            return None
        fields = Fields(node, self.faults, "a place")
        place = Placing(
            choice=fields.word("choice", choices),
            fact=fields.text("fact", need=True),
            at=fields.texts("at"),
            says=fields.text("says", need=True),
        )
        self._fact(fields, place.fact)
        self._names(fields, "at", place.at)
        if not place.at:
            fields.wrong("at", "Name at least one place that is tried.")
        fields.done()
        return place

    def _names(self, fields: Fields, key: str, names: tuple[str, ...]) -> None:
        for name in names:
            if self.library.names.kind_of(name, {}) is None:
                hint = did_you_mean(name, self.library.names.all_names())
                fields.wrong(key, f"There is no {name}.{hint}")

    def _handle(self, fields: Fields) -> HandlePlace | None:
        place = HandlePlace(
            part=fields.text("part", need=True),
            placed=fields.texts("placed"),
            hole=fields.texts("hole"),
            further=fields.text("further", need=True),
            in_line=self._limit(fields, "in_line", need=True),
        )
        for fact in (*place.placed, place.further):
            self._fact(fields, fact)
        if place.part not in self.library.parts:
            hint = did_you_mean(place.part, self.library.parts)
            fields.wrong("part", f"There is no part {place.part}.{hint}")
        self._names(fields, "hole", place.hole)
        if not place.placed or len(place.hole) != 2:  # noqa: PLR2004  # across and up
            says = "A handle has `placed`, the facts of where it goes, and `hole`, two names."
            fields.wrong("placed", says)
            return None
        return place

    def _limit(self, fields: Fields, key: str, *, need: bool) -> str:
        name = fields.text(key, need=need)
        if name and name not in self.library.limits:
            hint = did_you_mean(name, self.library.limits)
            fields.wrong(key, f"There is no limit {name}.{hint}")
        return name

    def _fact(self, fields: Fields, name: str) -> Fact | None:
        fact = self.library.facts.get(name)
        if fact is None:
            hint = did_you_mean(name, self.library.facts)
            self.faults.add(fields.place, f"There is no fact {name}.{hint}")
        return fact

    def _follow(self, node: Node) -> Follow:
        fields = Fields(node, self.faults, "what follows")
        found = Follow(
            facts=fields.texts("facts"),
            sources=fields.texts("as"),
            within=_one_length(fields, "within") or 0.0,
        )
        for fact in found.facts:
            if "[" not in fact:
                self._fact(fields, fact)
        fields.done()
        return found

    def _again(self, node: Node) -> Again:
        fields = Fields(node, self.faults, "what is done again")
        found = Again(
            fact=fields.text("fact", need=True),
            do=fields.text("do", need=True),
            papers=fields.option("papers", ("yes", "no")) == "yes",
        )
        self._fact(fields, found.fact)
        fields.done()
        return found

    def _site(self, node: Node) -> SiteReadings:
        fields = Fields(node, self.faults, "a reading of the site")
        found = SiteReadings(
            means=fields.text("means", need=True),
            facts=fields.texts("facts"),
            told=fields.text("told", need=True),
            reach=_one_length(fields, "reach") or 0.0,
            follows=tuple(self._follow(one) for one in fields.rows("follows")),
        )
        for fact in (*found.facts, found.told):
            self._fact(fields, fact)
        fields.done()
        return found


def _steps(fields: Fields) -> int:
    """Return what another choice counts as, 0 where the sheet does not say."""
    text = fields.text("steps")
    if not text:
        return 0
    if not (text.isascii() and text.isdigit() and 1 <= int(text[:5]) <= MOST_STEPS):
        fields.wrong("steps", f"steps is {text[:20]}; write a whole number from 1 to {MOST_STEPS}.")
        return 0
    return int(text)


def _one_length(fields: Fields, key: str) -> float | None:
    text = fields.text(key)
    return _length(fields, key, text) if text else None


def _length(fields: Fields, key: str, text: str) -> float:
    try:
        return read_quantity(text, LENGTH).value
    except QuantityError as error:
        fields.wrong(key, f"{key}: {error}")
        return 0.0


def lever_keys(library: Library) -> Iterator[str]:
    """Yield the key of every lever, those of parts that this job does not have too."""
    for file in sheet_files(library, SHEET):
        sheet = read_file(file)
        levers = sheet.entries.get("levers") if isinstance(sheet, Table) else None
        yield from levers.entries if isinstance(levers, Table) else ()


def amended(levers: Levers, fields: Fields, every: Callable[[], Iterable[str]]) -> Levers:
    """Return the sheet as a shop's own classes and amounts amend it.

    What it says of a lever counts for every part that has it.

    Args:
        levers: The sheet.
        fields: The shop's file; `classes` and `levers` of it are taken.
        every: Gives the keys of all levers, those of parts that this job does not have too.
    """
    classes = fields.texts("classes") or levers.classes
    if sorted(classes) != sorted(levers.classes):
        says = f"The classes are {', '.join(levers.classes)}; write each once, the cheapest first."
        fields.wrong("classes", says)
        classes = levers.classes
    changes = fields.table("levers")
    known = dict.fromkeys(every()) if changes else {}
    for name, node in changes.items():
        if name not in known:
            new = new_lever(name)
            says = f"{name} {new}." if new else f"There is no lever {name}."
            fields.faults.add(node.place, says if new else f"{says}{did_you_mean(name, known)}")
    rows = tuple(
        _amended(one, Fields(changes[key], fields.faults, f"the lever {key}"), classes)
        if (key := key_of(one.name)) in changes
        else one
        for one in levers.levers
    )
    return replace(levers, classes=classes, levers=rows)


def key_of(name: str) -> str:
    """Return the key in the sheet of a lever, which may be written out for several parts.

    Example:
        >>> key_of("split.left_panel")
        'split'
    """
    return name.partition(".")[0]


def _amended(lever: Declared, fields: Fields, classes: tuple[str, ...]) -> Declared:
    easy, reach = _one_length(fields, "easy"), fields.texts("reach")
    ends = tuple(_length(fields, "reach", text) for text in reach)
    if ends and (len(ends) != 2 or ends[0] > ends[1]):  # noqa: PLR2004  # least and most
        fields.wrong("reach", "A reach is a least and a most; write both in order.")
    cost = fields.option("class", classes) or lever.cost
    steps = _steps(fields) or lever.steps
    fields.done()
    return replace(
        lever,
        cost=cost,
        steps=steps,
        easy=lever.easy if easy is None else easy,
        reach=(ends[0], ends[1]) if len(ends) == 2 else lever.reach,  # noqa: PLR2004  # the same
    )
