"""No part, sort or arrangement of the shipped rules is named in the program: it serves them all.

What is counted are texts of the program, not its comments and docstrings: a text that is or has a
path through a part or a variable, is the name of a sort, or speaks of one in a sentence.
"""

import ast
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

from validator import load_rules

ROOT = Path(__file__).parent.parent
VIEWS = "validator/drawing/sorts"
"""The sorts that are drawn are named where they are drawn."""
OF_ALL = frozenset(
    ("pane", "side", "hole", "notch", "papers", "opening", "wall", "hardware", "route", "rim")
)
"""Sorts whose names are plain words, in sentences that are true of every arrangement."""
FUNCTIONS = (
    "validator/functions.py",
    "validator/beam.py",
    "validator/statics.py",
    "validator/swing.py",
)
"""What a function of formulas works out is told in words of what it was made for."""
ALONE = frozenset(("left", "right", "papers", "hole", "notch", "rim"))
"""Names of parts that are words of their own, such as what is left and what is right."""
WORD = re.compile(r"[a-z_]+")
PATH = re.compile(r"[a-z_]+(?:\[[^\]]*\])?(?:\.[a-z_]+(?:\[[^\]]*\])?)+")


@cache
def _names() -> tuple[frozenset[str], frozenset[str]]:
    """Return the words that may stand in no path, and those that may stand in no sentence."""
    rules = load_rules(installed=False, proofs=False)
    sorts = rules.library.sorts.values()
    parts = {one.name for bound in rules.arrangements() for one in bound.parts}
    variables = {name for sort in sorts for name in (sort.bound, sort.whole)}
    words = {sort.name for sort in sorts} | {bound.name for bound in rules.arrangements()}
    return frozenset(parts | variables), frozenset(words - OF_ALL)


def _texts(source: str) -> Iterator[tuple[int, str]]:
    tree = ast.parse(source)
    told: set[int] = set()
    for node in ast.walk(tree):
        body = getattr(node, "body", [])
        for one in body if isinstance(body, list) else []:
            if isinstance(one, ast.Expr) and isinstance(one.value, ast.Constant):
                told.add(id(one.value))
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in told:
            yield node.lineno, node.value


def named(source: str) -> list[str]:
    """Return where a program names a part or a sort."""
    in_paths, in_words = _names()
    found = []
    for line, text in _texts(source):
        is_name = " " not in text
        paths = [text] if is_name and "." in text else PATH.findall(text)
        steps = {step for path in paths for step in WORD.findall(path)} & in_paths
        words = {one for one in in_words if re.search(rf"\b{re.escape(one)}\b", text)}
        alone = {text} & (in_paths - ALONE)
        bad = (steps if is_name else steps - OF_ALL) | words | alone
        if bad:
            found.append(f"{line}: {sorted(bad)} in {text!r}")
    return found


FILES = sorted(
    path
    for folder in ("ruleset", "validator")
    for path in (ROOT / folder).rglob("*.py")
    if VIEWS not in path.as_posix() and not path.as_posix().endswith(FUNCTIONS)
)


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.relative_to(ROOT).as_posix())
def test_no_part_and_no_sort_is_named(path: Path) -> None:
    assert named(path.read_text(encoding="utf-8")) == []


@pytest.mark.parametrize(
    ("source", "bad"),
    [
        ('x = "design.door.thickness"', "door"),
        ('x = f"fixed.{side}"', "fixed"),
        ('x = "door.holes[*].x"', "door"),
        ('x = "curb"', "curb"),
        ('x = "the edge of the fixed panel"', "fixed panel"),
        ('x = "write bar.height"', "bar"),
        ('x = "one in-line slider"', "in-line slider"),
    ],
)
def test_a_name_is_found(source: str, bad: str) -> None:
    (one,) = named(source)
    assert f"'{bad}'" in one


def test_comments_and_plain_words_are_no_names() -> None:
    assert named('"""The door."""\n# door.width\nx = "What is left of the pane has a hole."') == []
