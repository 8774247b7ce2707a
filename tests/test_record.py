"""Records: what data classes promise, without their price."""

import copy
import pickle
from dataclasses import FrozenInstanceError, field, fields, is_dataclass, replace

import pytest

from ruleset.place import Place
from ruleset.record import ordered_record, record


@record
class Bar:
    """A bar, for these tests."""

    length: float
    means: str = "a bar"
    holes: tuple[int, ...] = field(default_factory=tuple)

    def __post_init__(self) -> None:
        """Refuse a bar of no length."""
        if self.length <= 0:
            raise ValueError("no length")


@ordered_record
class Step:
    """A step, for these tests."""

    name: str
    at: int = field(default=0, compare=False)


def test_values_go_by_name_and_have_defaults() -> None:
    bar = Bar(length=2.0)
    assert (bar.length, bar.means, bar.holes) == (2.0, "a bar", ())
    assert repr(bar) == "Bar(length=2.0, means='a bar', holes=())"
    assert Bar.__doc__ == "A bar, for these tests."


def test_values_go_in_order() -> None:
    assert Step("a", 3).at == 3
    assert Step("a", 3) == Step("a", 4)
    assert hash(Step("a", 3)) == hash(Step("a", 4))
    assert Step("a") != Step("b")


@pytest.mark.parametrize(
    ("make", "says"),
    [
        (Bar, "without its length"),
        (lambda: Bar(length=1.0, width=2.0), "has no width"),  # type: ignore[call-arg]
        (lambda: Step("a", 1, 2), "takes each of"),  # type: ignore[call-arg]
        (lambda: Step("a", name="b"), "takes each of"),  # type: ignore[misc]
    ],
)
def test_wrong_values_are_refused(make: object, says: str) -> None:
    assert callable(make)
    with pytest.raises(TypeError, match=says):
        make()


def test_records_are_frozen_and_slotted() -> None:
    bar = Bar(length=1.0)
    with pytest.raises(FrozenInstanceError, match="its length cannot be changed"):
        bar.length = 2.0  # type: ignore[misc]  # what is tested
    with pytest.raises(FrozenInstanceError):
        del bar.length
    assert not hasattr(bar, "__dict__")


def test_a_record_is_checked_when_it_is_made() -> None:
    with pytest.raises(ValueError, match="no length"):
        Bar(length=0.0)


def test_the_tools_for_data_classes_work() -> None:
    bar = Bar(length=1.0)
    assert is_dataclass(bar)
    assert replace(bar, length=3.0) == Bar(length=3.0)
    assert [one.name for one in fields(bar)] == ["length", "means", "holes"]


def test_copies_are_equal() -> None:
    bar = Bar(length=1.0, holes=(1, 2))
    assert copy.copy(bar) == bar
    assert copy.deepcopy(bar) == bar


def test_pickles_of_shipped_records_are_equal() -> None:
    from ruleset.errors import Fault  # noqa: PLC0415

    fault = Fault(Place(file="job.yaml", line=3, column=1), "It is wrong.")
    assert pickle.loads(pickle.dumps(fault)) == fault  # noqa: S301  # our own bytes
