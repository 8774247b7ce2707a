"""What is made ready for a wheel is what the files come to, and counts only with those files."""

from collections.abc import Iterator
from pathlib import Path
from types import ModuleType

import pytest

from validator import Rules, load_job, load_rules, review, review_data, review_text
from validator import ready as loading
from validator.readying import module_text
from validator.report.data import as_json
from validator.report.layout import Look

KEPT = loading._kept
ROOT = Path(__file__).resolve().parent.parent
JOBS = sorted(p for p in (ROOT / "fixtures/jobs").glob("*.yaml") if "findings" not in p.suffixes[0])


@pytest.fixture(scope="module")
def made() -> ModuleType:
    module = ModuleType("made")
    exec(module_text(), vars(module))  # noqa: S102  # as an import would
    return module


@pytest.fixture(scope="module")
def both(made: ModuleType) -> Iterator[tuple[Rules, Rules]]:
    """Return the rules made ready, and read in the ordinary way."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(loading, "_kept", lambda: made)
        yield load_rules(proofs=False), load_rules(proofs=False, ahead=False)


def told(job: Path, rules: Rules) -> str:
    found = review(load_job(job, rules), rules, every=True)
    return review_text(found, Look(), every=True) + as_json(review_data(found, "", {}))


@pytest.mark.parametrize("job", JOBS, ids=lambda job: job.stem)
def test_both_ways_tell_the_same(both: tuple[Rules, Rules], job: Path) -> None:
    made_ready, ordinary = both
    assert told(job, made_ready) == told(job, ordinary)


def test_both_ways_come_to_equal_tables(both: tuple[Rules, Rules]) -> None:
    made_ready, ordinary = both
    assert made_ready.codes == ordinary.codes
    for name in ("books", "facts", "sorts", "limits", "workings", "clauses", "children", "words"):
        assert getattr(made_ready.library, name) == getattr(ordinary.library, name), name


def test_nothing_is_read_again_where_it_is_ready(
    made: ModuleType, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(loading, "_kept", lambda: made)
    monkeypatch.setattr("validator.books.read_file", None)
    assert load_rules(installed=False, proofs=False).library.clauses


def test_further_books_are_checked_with_the_ready_ones(
    made: ModuleType, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setattr(loading, "_kept", lambda: made)
    further = tmp_path / "ways-in.yaml"
    further.write_text(
        "book: ways\ntitle: Screens\nabout: A pane.\nsorts: {way pane: {is: hinge panel}}\n"
    )
    found = load_rules(books=(further,), proofs=False).library
    ordinary = load_rules(books=(further,), proofs=False, ahead=False).library
    assert found.clauses == ordinary.clauses
    assert found.sorts == ordinary.sorts
    assert "way pane" in found.sorts


def test_a_changed_file_is_read_in_the_ordinary_way(
    made: ModuleType, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(loading, "import_module", lambda *_: made)
    whole = KEPT.__wrapped__
    assert whole() is made
    monkeypatch.setattr(made, "SOURCES", "of other files")
    assert whole() is None
