"""How the ids and names in a file may look: one pattern each, with its sentence."""

import re
from dataclasses import dataclass, field
from keyword import kwlist


@dataclass(frozen=True, slots=True, kw_only=True)
class Pattern:
    """What a name looks like.

    Attributes:
        text: A regular expression, common to Python and ECMA 262, that the whole name matches.
        says: The sentence that tells an author so.
    """

    text: str
    says: str
    matcher: re.Pattern[str] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        """Compile the pattern."""
        object.__setattr__(self, "matcher", re.compile(self.text, re.ASCII))

    def fits(self, name: str) -> bool:
        """Return whether a name looks so.

        Example:
            >>> ID.fits("sliding"), ID.fits("../sliding")
            (True, False)
        """
        return self.matcher.fullmatch(name) is not None


_NOT_A_WORD_OF_FORMULAS = f"(?!(?:{'|'.join(kwlist)})(?![a-z0-9_]))"
_PART = f"{_NOT_A_WORD_OF_FORMULAS}[a-z](?:_?[a-z0-9])*"
_SOURCE = "(?:survey|design|kit|order|as_built|job)"
_SOURCE_OF_PARTS = "(?:survey|design|order|as_built)"
_ID = "[a-z][a-z0-9-]{0,60}"

SOME_TEXT = Pattern(text=r"[\s\S]*\S[\s\S]*", says="Write more than spaces.")
ID = Pattern(text=_ID, says="An id is small letters, digits and dashes, a letter first.")
KIT_ID = Pattern(
    text="[a-z0-9][a-z0-9-]{0,60}", says="A kit's id is small letters, digits and dashes."
)
ARRANGEMENT_NAME = Pattern(
    text="[a-z][a-z0-9-]*(?: [a-z0-9-]+)*",
    says="An arrangement's name is words of small letters, digits and dashes, a letter first.",
)
CLAUSE_NAME = Pattern(
    text=rf"{_ID}\.{_ID}", says="Write the book's id, a dot and the clause's id, or BOOK.limit."
)
FACT_NAME = Pattern(
    text=rf"(?:{_SOURCE}|{_PART}\.{_SOURCE_OF_PARTS})(?:\.{_PART})+",
    says=(
        "A fact's name begins with survey, design, kit, order, as_built or job, and one of each "
        "SORT with the sort's last word before that; then come words of small letters, digits "
        "and underscores, each after a dot, but not in, is or the like."
    ),
)
FOLLOWED_NAME = Pattern(
    text=(rf"(?:{_SOURCE}|{_PART}\.{_SOURCE_OF_PARTS})(?:\.{_PART})+|(?:{_ID}\.)?limit\.{_PART}"),
    says="Write the name of a fact, limit.NAME, or BOOK.limit.NAME.",
)
WORKING_NAME = Pattern(
    text=rf"{_PART}(?:\.{_PART})+",
    says="A working's name is a part's name, a dot and a word, such as pane.width.",
)
NAME = Pattern(
    text=_PART,
    says=(
        "A name is small letters, digits and underscores, a letter first, "
        "but not in, is or the like."
    ),
)
CHILD_KEY = Pattern(text=f"if|{_PART}", says=NAME.says)
PATH = Pattern(
    text=rf"{_PART}(?:\.{_PART})*",
    says=(
        "A field's name is small letters, digits and underscores, a letter first, but not in, is "
        "or the like; through a role or a fact its words are joined by dots."
    ),
)
SORT_NAME = Pattern(
    text=f"{_PART}(?: {_PART})*", says="A sort's name is one or more words of small letters."
)
GIVEN_NAME = Pattern(
    text=rf"{_PART}(?:\.{_PART}|\[[0-9]+\])*",
    says="Write the name of a fact, a working or a group, such as pane.width.",
)
ANY_NAME = Pattern(text=r"[\s\S]*\S[\s\S]*", says="Give it a name.")
SMALL_COUNT = Pattern(text="[1-9][0-9]?", says="Write a whole number from 1 to 99.")
DAY = Pattern(text="[0-9]{4}-[0-9]{2}-[0-9]{2}", says="Write a day such as 2027-03-31.")
