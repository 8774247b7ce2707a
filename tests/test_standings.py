"""How sure the books' words are: `published` is for text that somebody read, and says where.

A number that is known from a summary, a package's data or a guide that cites the document is
`corroborated` at most, however sure the trade is of it.
"""

from collections.abc import Iterator

import pytest

from ruleset.book import Basis
from validator import Rules, load_rules

READ = {
    # document: {clause: where its text, or a faithful copy of it, was read}
    "16 CFR 1201": {"1201.2(a)(4)": "the federal regulations, as reproduced"},
    "2010 ADA Standards": {
        "608.2.1": "a reference site on accessibility",
        "608.2.2": "an article of a consultant; a pocket guide",
        "608.7": "a pocket guide",
        "608.7 exception": "a pocket guide",
    },
    "ASTM E1300": {"table of minimum thicknesses": "a window-film association's table"},
    "Approved Document K": {"K5, 5.2(b)": "the document, as reproduced"},
    "DHHS (NIOSH) 94-110": {
        "1.3.5": "the manual, as transcribed",
        "1.4.3": "the manual, as transcribed",
        "Tables 6 and 7": "the manual, as transcribed",
    },
    "EN 572-1": {"general physical properties": "a glass maker's page"},
    "International Building Code": {
        "1607.14, interior walls and partitions": "the code of 2015, as reproduced",
        "2406.3": "plan sheets of a city that reproduce section 2406",
        "2403.2": "a wiki page that reproduces section 2403",
        "2403.4": "the same, and an engineers' page that quotes the code of 2021",
    },
    "International Plumbing Code": {
        "417.4": "questions and answers on codes, 2010",
        "417.4.1": "a forum on building codes that quotes it",
    },
    "International Residential Code": {
        "P2708.1.1": "a code site that quotes the sentence",
        "P2709.1": "a blog that reproduces chapter 27",
        "R308.1": "two forums of inspectors that quote it",
    },
    "NIST Handbook 44": {"5.52": "the handbook, as reproduced"},
    "Uniform Plumbing Code": {
        "408.5": "a forum of plumbers that quotes it",
        "408.7": "the code body's newsletter of March 2025",
        "408.7 exception 2": "the code body's newsletter of March 2025",
    },
    "a fabricator's published guide": {"": "the guide"},
    "a sealant maker's technical answers": {"one-part silicone, water-tight test": "the answers"},
    "edge-work grades as two fabricators publish them": {"": "both guides"},
}
NAMES = "designation "
"""Clauses that give a product its name: it says its size itself."""


@pytest.fixture(scope="module")
def rules() -> Rules:
    return load_rules(installed=False)


def bases(rules: Rules) -> Iterator[tuple[str, Basis]]:
    """Yield every basis of the shipped books and code sets, with whose it is."""
    named: list[tuple[str, Basis | None]] = []
    named += [(name, limit.basis) for name, limit in rules.library.limits.items()]
    named += [(name, one.clause.basis) for name, one in rules.library.clauses.items()]
    for layer in rules.codes.values():
        for of, amendment in layer.amends.items():
            named += [(f"{layer.name}: {of}", one.basis) for one in amendment.limits.values()]
            named.append((f"{layer.name}: {of}", amendment.basis))
        for of, clause in layer.clauses.items():
            named += [(f"{layer.name}: {of}", one.basis) for one in clause.limits.values()]
            named.append((f"{layer.name}: {of}", clause.basis))
    yield from ((name, basis) for name, basis in named if basis is not None)


def read(basis: Basis) -> bool:
    """Return whether somebody read what a basis names; a table is one clause for all its rows."""
    clauses = READ.get(basis.document, {})
    return basis.clause in clauses or any(basis.clause.startswith(f"{c}, ") for c in clauses if c)


def test_what_is_called_published_was_read(rules: Rules) -> None:
    published = [(name, one) for name, one in bases(rules) if one.standing == "published"]
    assert len(published) > 50
    unread = [
        f"{name}: {basis}"
        for name, basis in published
        if not (basis.clause.startswith(NAMES) or read(basis))
    ]
    assert unread == []


# What others say of a document is no text of it: drilling guides of fabricators who work to ASTM
# C1048, the data of a program that cites ASTM E1300, an article on the Florida edition of 2017.
@pytest.mark.parametrize(
    "name",
    [
        "glass.rim-to-corner.thicknesses",
        "glass.limit.surface_toughened",
        "glass.limit.surface_strengthened",
        "glass.limit.surface_annealed",
        "glass.limit.etched",
        "glass.deflection.share",
        "compartment.least-dimension.long_stall",
        "compartment.least-dimension.large",
        "compartment.wall-finish.least",
        "compartment.accessible-entry.alternate",
        "compartment.roll-in-length.alternate",
        "tolerance.limit.hole",
        "handling.limit.share_of_two",
    ],
)
def test_what_others_quote_is_corroborated(rules: Rules, name: str) -> None:
    basis = rules.library.limits[name].basis
    assert basis is not None
    assert basis.standing == "corroborated"


def test_a_number_that_is_derived_is_nobodys_text(rules: Rules) -> None:
    # The document asks that a leaf cannot leave its track; that this takes two stops follows.
    basis = rules.library.limits["sliding.stops-fitted.stops"].basis
    assert basis is not None
    assert basis.standing == "common practice"
    assert rules.library.clauses["sliding.stops-fitted"].clause.basis.standing == "published"
