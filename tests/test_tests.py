"""Every test asserts something: surely, or counted with `ran` in a loop or under an `if`."""

import ast
from collections.abc import Iterator, Mapping
from pathlib import Path

import pytest

HERE = Path(__file__).parent
FILES = sorted(HERE.glob("test_*.py"))
RAISES = ("pytest.raises", "pytest.warns")


class Asserting:
    """Which functions of a file are sure to assert something.

    Attributes:
        functions: Every function of the file, by name.
    """

    def __init__(self, text: str) -> None:
        """Read a file's text."""
        tree = ast.parse(text)
        found = (one for one in ast.walk(tree) if isinstance(one, ast.FunctionDef))
        self.functions: Mapping[str, ast.FunctionDef] = {one.name: one for one in found}

    def surely(self, body: list[ast.stmt], fixed: frozenset[str], within: frozenset[str]) -> bool:
        """Return whether some assertion of these statements runs whatever happens.

        Args:
            body: The statements.
            fixed: Names that stand for a display of values, which a loop surely goes through.
            within: Functions being looked into, so that none is entered twice.
        """
        for one in body:
            if isinstance(one, ast.Assign | ast.AnnAssign) and self._display(one.value, fixed):
                targets = one.targets if isinstance(one, ast.Assign) else [one.target]
                fixed |= {target.id for target in targets if isinstance(target, ast.Name)}
            if self._one(one, fixed, within):
                return True
        return False

    def _one(self, one: ast.stmt, fixed: frozenset[str], within: frozenset[str]) -> bool:
        inside: tuple[list[ast.stmt], ...] = ()  # each of them asserts, and one surely runs
        match one:
            case ast.Assert():
                return True
            case ast.With():
                if any(ast.unparse(item.context_expr).startswith(RAISES) for item in one.items):
                    return True
                inside = (one.body,)
            case ast.For() if self._display(one.iter, fixed):
                inside = (one.body,)
            case ast.If() if one.orelse:
                inside = (one.body, one.orelse)
            case ast.Match():
                inside = tuple(way.body for way in one.cases)
            case ast.Try():
                inside = ([*one.body, *one.finalbody],)
            case ast.Expr(value=ast.Call() as call):
                return self._asserting_call(call, within)
        return bool(inside) and all(self.surely(body, fixed, within) for body in inside)

    def _asserting_call(self, call: ast.Call, within: frozenset[str]) -> bool:
        name = ast.unparse(call.func)
        if name in ("ran", "pytest.fail", "pytest.raises"):
            return True
        function = self.functions.get(name)
        if function is None or name in within:
            return False
        return self.surely(function.body, frozenset(), within | {name})

    def _display(self, value: ast.expr | None, fixed: frozenset[str]) -> bool:
        """Return whether a loop over a value surely has a turn."""
        match value:
            case ast.Tuple() | ast.List():
                return bool(value.elts)
            case ast.Dict():
                return bool(value.keys)
            case ast.Name():
                return value.id in fixed
            case ast.Call(func=ast.Attribute(value=inner, attr="items" | "values" | "keys")):
                return self._display(inner, fixed)
            case ast.Call(func=ast.Name(id="range")):
                return True  # a test's own number; that it is not 0 is plain to see
        return False


def _silent(text: str) -> Iterator[str]:
    """Yield the tests of a file that may pass without an assertion of theirs run."""
    file = Asserting(text)
    for name, function in file.functions.items():
        if not name.startswith("test_"):
            continue
        counted = "ran" in [one.arg for one in function.args.args]
        if not counted and not file.surely(function.body, frozenset(), frozenset((name,))):
            yield name


@pytest.mark.parametrize("file", FILES, ids=[file.stem for file in FILES])
def test_every_test_asserts_surely_or_counts(file: Path) -> None:
    assert list(_silent(file.read_text(encoding="utf-8"))) == []


@pytest.mark.parametrize(
    ("body", "silent"),
    [
        ("assert x", False),
        ("for x in found(): assert x", True),
        ("for x in (1, 2): assert x", False),
        ("for x in (): assert x", True),
        ("if y: assert x", True),
        ("if y:\n        assert x\n    else:\n        assert not x", False),
        ("with pytest.raises(ValueError): f()", False),
        ("f(x)", True),
        ("holds(x)", False),
        ("may(x)", True),
    ],
)
def test_what_asserts_surely(body: str, *, silent: bool) -> None:
    helpers = "def holds(x):\n    assert x\ndef may(x):\n    if x:\n        assert x\n"
    assert list(_silent(f"{helpers}def test_a(y):\n    {body}\n")) == ["test_a"] * silent
