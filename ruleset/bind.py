"""An arrangement bound to books: its parts, their facts and their roles, all named and checked."""

from collections.abc import Iterator
from dataclasses import replace

from .arrangement import Arrangement
from .binding import above, facts_of, faults_of_roles, fields_lacking, part_of
from .book import SOURCES, Fact
from .errors import BookError, Fault
from .kept import Kept
from .kinds import KINDS
from .library import Library
from .names import PAIR, Names
from .nearest import did_you_mean
from .part import Part
from .sort_checks import between
from .sorts import Sorts
from .turns import HAND

TAKEN = frozenset((*SOURCES, *PAIR, "limit", "hand", "subject", "actual", "short"))
"""Names that every job, formula or sentence has."""


def bind(library: Library, arrangement: Arrangement) -> Library:
    """Return the books with an arrangement's parts in them.

    Args:
        library: The books, code sets and policies laid over them.
        arrangement: The arrangement.

    Raises:
        BookError: A sort, a role or a part is not known, a role is not filled or by what may not, a
            part stands alone, or what parts have does not fit together; all faults at once.
    """
    return _Binding(library, arrangement).bound()


class _Binding:
    """One binding; keeps the faults."""

    def __init__(self, library: Library, arrangement: Arrangement) -> None:
        self.library = library
        self.arrangement = arrangement
        self.has: Sorts = library.names.has
        self.own = {part.name: part_of(part, self.has) for part in arrangement.parts}
        self.parts = {**library.parts, **self.own}

    def bound(self) -> Library:
        faults = [*self._of_names(), *self._of_sorts()]
        if not faults:  # what stands on unknown sorts is not looked at
            faults = [*faults_of_roles(self.own, self.has), *self._alone(), *self._lacking()]
        facts = dict(self.library.facts)
        faults += [] if faults else [*self._write_facts(facts), *self._write_hand(facts)]
        if faults:
            raise BookError(faults)
        words = dict(self.library.words)
        for word in self.arrangement.hands:
            words.setdefault(word, float(len(words) + 1))
        names = self.library.names
        return replace(
            self.library,
            names=Names(
                books=names.books,
                facts=facts,
                sorts=names.sorts,
                parts=self.parts,
                workings=names.workings,
                functions=names.functions,
                has=self.has,
            ),
            facts=facts,
            parts=self.parts,
            words=words,
            hands=self.arrangement.hands,
            kept=Kept(),
        )

    def _of_names(self) -> Iterator[Fault]:
        firsts = {name.partition(".")[0]: name for name in self.library.names.workings}
        for part in self.own.values():
            if part.name in TAKEN:
                says = f"A part may not be called {part.name}; every job has that name."
                yield Fault(part.place, says)
            elif part.name in self.library.parts:
                first = self.library.parts[part.name].place
                yield Fault(part.place, f"There is a part {part.name} already, at {first}.")
            elif part.name in firsts:
                says = f"A part may not be called {part.name}; {firsts[part.name]} is a working of"
                yield Fault(part.place, f"{says} the whole job.")

    def _of_sorts(self) -> Iterator[Fault]:
        for part in self.arrangement.parts:
            for sort in part.sorts:
                if sort not in self.has.sorts:
                    says = f"There is no sort {sort}.{did_you_mean(sort, self.has.sorts)}"
                    yield Fault(part.places.get("is", part.place), says)
            sorts = self.own[part.name].sorts
            for key in dict.fromkeys(self.has.keys(sorts)) if len(part.sorts) > 1 else ():
                givers = self.has.givers(sorts, key)
                if len(givers) > 1:
                    yield Fault(part.place, between(part.name, key, givers))

    def _lacking(self) -> Iterator[Fault]:
        for part in self.own.values():
            yield from fields_lacking(part, self.has, self.library.names.workings)

    def _alone(self) -> Iterator[Fault]:
        """Yield a fault for each part that no role joins with most others, for some hand."""
        hands = self.arrangement.hands or ("",)
        outside = [set(self.own) - self._most(at) for at in range(len(hands))]
        for name, part in self.own.items():
            alone = [hand for hand, apart in zip(hands, outside, strict=True) if name in apart]
            if alone:
                of_hand = f" for the hand {alone[0]}" if len(alone) < len(hands) else ""
                says = (
                    f"No role joins {name} with the other parts{of_hand}; give it a role that one"
                )
                yield Fault(part.place, f"{says} of them fills, or have it fill one.")

    def _most(self, hand: int) -> set[str]:
        """Return the most parts that roles join with each other, for one hand."""
        beside: dict[str, set[str]] = {name: set() for name in self.own}
        for name, part in self.own.items():
            for who in part.roles.values():
                other = who[hand] if len(who) > 1 else who[0]
                beside[name].add(other)
                beside.setdefault(other, set()).add(name)
        most: set[str] = set()
        for name in self.own:
            found: set[str] = set()
            open_ = [] if name in most else [name]
            while open_:
                one = open_.pop()
                found.add(one)
                open_ += beside[one] - found
            most = max(most, found, key=len)
        return most

    def _write_facts(self, facts: dict[str, Fact]) -> Iterator[Fault]:
        whole = dict(facts)
        written: dict[str, Part] = {}
        every = [f for book in self.library.books.values() for f in book.facts if f.sort]
        for fact, part in facts_of(every, self.own.values(), self.has, self.library.stated):
            taken = facts.get(fact.name)
            if taken is not None:
                says = f"{fact.name} of the part {part.name} is a fact already, at {taken.place}."
                yield Fault(part.place, says)
            facts[fact.name] = fact
            written[fact.name] = part
        for name, part in written.items():
            over = above(name, facts)
            if over:
                says = f"{name} of the part {part.name} stands under the fact {over}."
                yield Fault(part.place, f"{says} Give the part another name.")
        for name in whole:
            over = above(name, written)
            if over:
                says = f"{over} of the part {written[over].name} has {name} under it."
                yield Fault(written[over].place, f"{says} Give the part another name.")

    def _write_hand(self, facts: dict[str, Fact]) -> Iterator[Fault]:
        arrangement = self.arrangement
        if not arrangement.hands:
            return
        known = facts.setdefault(HAND, _hand(arrangement))
        odd = [word for word in arrangement.hands if word not in known.words]
        if odd:
            says = f"{HAND} may be {' or '.join(known.words) or 'no word'}, at {known.place}; "
            yield Fault(arrangement.place, f"{says}the hand {' or '.join(odd)} is none of them.")


def _hand(arrangement: Arrangement) -> Fact:
    stage, who = SOURCES[HAND.partition(".")[0]]
    return Fact(
        name=HAND,
        means="Hand",
        kind=KINDS["word"],
        words=arrangement.hands,
        stage=stage,
        who=who,
        place=arrangement.place,
    )
