"""Which jobs are meant: a formula of the books' language, over facts, workings and a job's names.

Beside it two things may stand that a book has no use for: a quantity with its unit, and what the
job names (`kit == 'x'`). Both are taken out first and stand as names for what they are.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass, field

from ruleset.errors import Fault, FormulaError, RulesetError
from ruleset.formula.answer import Answer
from ruleset.formula.check import YES_NO, Type, check, in_words
from ruleset.formula.grammar import parse
from ruleset.formula.tree import Node
from ruleset.kinds import KINDS
from ruleset.library import Library
from ruleset.place import Place
from ruleset.quantity import QuantityError, read_quantity
from ruleset.units import UNITS

from ..books import Rules
from ..verdict import Verdict

PLACE = Place(file="--where")
OWN = "asked"
NAMED = ("arrangement", "code", "job", "kit")
_UNITS = "|".join(re.escape(one) for one in sorted(UNITS, key=len, reverse=True))
_NAMED = re.compile(rf"\b({'|'.join(NAMED)})\s*(==|!=)\s*(?:'([^']*)'|\"([^\"]*)\")")
_AMOUNT = re.compile(rf"(?<![\w.])(\d+(?: \d+/\d+|/\d+|\.\d+)?) ?({_UNITS})(?![\w/^])")
_QUOTED = re.compile(r"'[^']*'|\"[^\"]*\"")


@dataclass(slots=True)
class Where:
    """The formula of which jobs are meant.

    Attributes:
        text: The formula.
        rules: The rules, for the names there are.
    """

    text: str
    rules: Rules
    tree: Node = field(init=False)
    _tests: dict[str, tuple[str, bool, str]] = field(default_factory=dict, init=False)
    _amounts: dict[str, tuple[float, Type]] = field(default_factory=dict, init=False)
    _checked: dict[int, tuple[Library, Node | None]] = field(default_factory=dict, init=False)

    def __post_init__(self) -> None:
        """Read the formula and hold its names against every arrangement.

        Raises:
            FormulaError: It is not in the language, or no arrangement has its names.
        """
        self.tree = parse(self._plain(), PLACE)
        wrong: RulesetError | None = None
        for arrangement in self.rules.arrangements():
            try:
                self._check(self.rules.bound(arrangement))
            except FormulaError as error:
                wrong = error
            else:
                return
        if wrong is not None:
            raise wrong

    def said(self, verdict: Verdict) -> str | None:
        """Return None for a job that is meant, "" for one that is not, else what is not known."""
        tree = self._known(verdict.library)
        if tree is None:
            return ""  # a job of an arrangement without such a name

        def answer(name: str) -> Answer:
            if name in self._amounts:
                return Answer(self._amounts[name][0])
            if name in self._tests:
                return Answer(float(self._holds(name, verdict)))
            return verdict.answer(name)

        found = verdict.answering.over(answer).answer(tree)
        if found.known:
            return None if found.value else ""
        missing = ", ".join(sorted(found.missing)) or "it has no value"
        return f"--where cannot be said of it: not known are {missing}."

    def _plain(self) -> str:
        text = _NAMED.sub(self._test, self.text)
        parts, at = [], 0
        for quoted in _QUOTED.finditer(text):
            parts += [_AMOUNT.sub(self._amount, text[at : quoted.start()]), quoted[0]]
            at = quoted.end()
        return "".join([*parts, _AMOUNT.sub(self._amount, text[at:])])

    def _test(self, found: re.Match[str]) -> str:
        name = f"{OWN}.test{len(self._tests)}"
        self._tests[name] = (found[1], found[2] == "==", found[3] or found[4] or "")
        return name

    def _amount(self, found: re.Match[str]) -> str:
        name = f"{OWN}.amount{len(self._amounts)}"
        kind = KINDS[UNITS[found[2]].kind]
        try:
            value = read_quantity(found[0], kind).value
        except QuantityError as error:
            raise FormulaError(Fault(PLACE, f"--where: {error}")) from None
        self._amounts[name] = (value, Type(dims=kind.dims))
        return name

    def _known(self, library: Library) -> Node | None:
        if id(library) not in self._checked:
            try:
                tree: Node | None = self._check(library)
            except FormulaError:
                tree = None
            self._checked[id(library)] = (library, tree)  # kept, so that no other has its id
        return self._checked[id(library)][1]

    def _check(self, library: Library) -> Node:
        typed = check(self.tree, _Scope(library, self._tests, self._amounts), {}, PLACE)
        if typed.type != YES_NO:
            says = f"--where is a question of yes or no; this is {in_words(typed.type)}."
            raise FormulaError(Fault(PLACE, says))
        return typed.node

    def _holds(self, name: str, verdict: Verdict) -> bool:
        what, same, text = self._tests[name]
        job = verdict.job
        has = {
            "arrangement": (job.arrangement.name,),
            "code": tuple(layer.name for layer in verdict.layers),
            "job": (job.name,),
            "kit": tuple(one.name for one in job.kit.of) or (job.kit.name,),
        }[what]
        return (text in has) == same


@dataclass(frozen=True, slots=True)
class _Scope:
    library: Library
    tests: dict[str, tuple[str, bool, str]]
    amounts: dict[str, tuple[float, Type]]

    def type_of(self, name: str) -> Type | None:
        if name in self.tests:
            return YES_NO
        if name in self.amounts:
            return self.amounts[name][1]
        return self.library.names.type_of(name)

    def is_group(self, name: str) -> bool:
        return bool(name) and False

    def lacking(self, name: str) -> str:
        return name and ""

    def names(self) -> Iterable[str]:
        return (*self.library.facts, *(one.working.name for one in self.library.workings))
