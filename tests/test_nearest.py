"""The nearest name: held against the plain table, and quick however many are alike."""

from collections.abc import Callable, Iterator

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ruleset.nearest import did_you_mean, in_common, nearest

WORDS = st.text(alphabet="abc_.", max_size=14)


def by_table(one: str, other: str) -> int:
    """Return the length of the longest common subsequence by the table that textbooks fill in.

    Source:
        Cormen, Leiserson, Rivest and Stein, Introduction to Algorithms, section 15.4 (third
        edition); the recurrence is from memory.
    """
    above = [0] * (len(other) + 1)
    for letter in one:
        row = [0]
        for at, mine in enumerate(other):
            row.append(above[at] + 1 if letter == mine else max(above[at + 1], row[at]))
        above = row
    return above[-1]


@given(one=WORDS, other=WORDS)
def test_letters_in_common_are_those_of_the_table(one: str, other: str) -> None:
    assert in_common(one, other) == by_table(one, other)


@given(word=WORDS, known=st.lists(WORDS, max_size=6))
def test_the_order_of_names_does_not_matter(word: str, known: list[str]) -> None:
    assert nearest(word, known) == nearest(word, known[::-1])


def alike(count: int) -> Iterator[str]:
    """Yield names of 90 characters that differ in a few."""
    for at in range(count):
        yield f"survey.{'alike_and_long_' * 3}{at:04d}{'_and_alike_and_long' * 2}"[:90]


def test_a_hundred_names_among_nineteen_hundred_alike(
    calls: Callable[[Callable[[], object]], int],
) -> None:
    known = list(alike(1900))

    def asked() -> None:
        word = known[100].replace("alike", "alkie", 1)
        assert did_you_mean(word, known) == f" Did you mean '{known[100]}'?"

    # A file tells at most a hundred faults: a hundred times this. A letter of a name costs about
    # two calls; by difflib they are many more.
    assert calls(asked) < 3 * sum(map(len, known))


@pytest.mark.parametrize(
    ("found", "expected"),
    [
        ("widht", "width"),
        ("Width", "width"),
        ("door.widht", "door.width"),
        ("panel.width", "door.width"),
        ("clear_openng", "door.clear_opening"),
        ("zzz", None),
        ("", None),
        ("w" * 5_000, None),
    ],
)
def test_nearest(found: str, expected: str | None) -> None:
    known = ["door.width", "door.clear_opening", "door.height"]
    if not found.startswith("panel."):
        known.append("width")
    assert nearest(found, known) == expected
    assert did_you_mean(found, known) == (f" Did you mean '{expected}'?" if expected else "")


@pytest.mark.parametrize(
    ("found", "told"),
    [
        ("width:60 1/2", "write `width: 60 1/2`."),
        ("door.width:60", "write `width: 60`."),
        ("width:" + "6" * 99, "write `width: ...`."),
    ],
)
def test_a_value_run_on_to_a_known_name_is_told_with_its_space(found: str, told: str) -> None:
    assert did_you_mean(found, ["width", "door.width"]).endswith(told)
