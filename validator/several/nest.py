"""Which piece is cut from which length: the fewest new lengths, and of offcuts the least."""

from collections.abc import Sequence
from dataclasses import dataclass

MOST = 50_000
"""Nodes of a search; past them the best that was found stands, and is not called proved."""
DEEPEST = 200
"""Pieces that are searched over; more are placed one by one, and proved by their sum or not."""
HAIR = 1e-6  # mm


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """A piece to be cut.

    Attributes:
        job: The job it is for.
        item: What it is.
        length: Its length, mm.
        lead: From its first end to its first tapped hole, mm; None where it has none.
    """

    job: str
    item: str
    length: float
    lead: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Length:
    """A length of stock, new or left over.

    Attributes:
        name: What the shop calls it.
        length: mm.
        hole: From its first end to its first tapped hole, mm; None where it has none.
        new: Whether any number of it can be had.
    """

    name: str
    length: float
    hole: float | None = None
    new: bool = False

    def bears(self, piece: Piece) -> bool:
        """Return whether a tapped piece can be cut from it, hole on hole."""
        if piece.lead is None or self.hole is None:
            return False
        before, behind = (
            self.hole - piece.lead,
            (self.length - self.hole) - (piece.length - piece.lead),
        )
        return min(before, behind) >= -HAIR


@dataclass(frozen=True, slots=True, kw_only=True)
class Cut:
    """A length with the pieces that are cut from it.

    Attributes:
        length: The length.
        pieces: The pieces, in the order of the cuts from its first end.
        first: What comes off its first end, mm; more than 0 before a tapped piece.
        left: What is left at its other end, mm, the last cut off it.
    """

    length: Length
    pieces: tuple[Piece, ...]
    first: float
    left: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Nest:
    """How pieces of one stock are cut.

    Attributes:
        cuts: The lengths that are cut.
        without: Pieces that no length is long enough for.
        proved: Whether no fewer new lengths would do.
    """

    cuts: tuple[Cut, ...]
    without: tuple[Piece, ...]
    proved: bool

    @property
    def new(self) -> int:
        """Return how many new lengths are cut."""
        return sum(cut.length.new for cut in self.cuts)


def nest(
    pieces: Sequence[Piece], lengths: Sequence[Length], *, kerf: float, most: int = MOST
) -> Nest:
    """Return which piece is cut from which length.

    Tapped pieces take a length each, since its holes are there once. Of others as many as it holds
    are cut from one length, with a kerf after each, but for one that ends with it.

    Args:
        pieces: Pieces of one stock.
        lengths: What there is of it: offcuts, and new lengths of which any number can be had.
        kerf: What one cut takes, mm.
        most: Nodes of the search.

    Returns:
        The nest with the fewest new lengths, and of those one that cuts up the least of offcuts.

    Example:
        >>> four = [Piece(job="a", item="bar", length=mm) for mm in (1200, 900, 900, 1100)]
        >>> new = Length(name="new", length=2400.0, new=True)
        >>> [[piece.length for piece in cut.pieces] for cut in nest(four, [new], kerf=3.0).cuts]
        [[1200, 1100], [900, 900]]
    """
    tapped = [piece for piece in pieces if piece.lead is not None]
    plain = [piece for piece in pieces if piece.lead is None]
    matched, lone = _matched(tapped, lengths)
    taken = {id(cut.length) for cut in matched if not cut.length.new}
    free = [one for one in lengths if id(one) not in taken]
    opened, proved = _Search(plain, free, kerf, most).found()
    placed = {id(piece) for *_, row in opened for piece in row}
    lone += [piece for piece in plain if id(piece) not in placed]
    cuts = (*matched, *(_cut(length, row, kerf) for length, _, row in opened))
    return Nest(cuts=cuts, without=tuple(lone), proved=proved)


def _cut(length: Length, pieces: tuple[Piece, ...], kerf: float) -> Cut:
    left = length.length - sum(piece.length + kerf for piece in pieces)
    return Cut(length=length, pieces=pieces, first=0.0, left=max(0.0, left))


def _matched(pieces: Sequence[Piece], lengths: Sequence[Length]) -> tuple[list[Cut], list[Piece]]:
    """Return a length for each tapped piece: as many offcuts as may be, the shortest first.

    Sets of offcuts that can be matched are the independent sets of a matroid, so that taking each
    in turn wherever it can still be matched gives the most of them, and of these the least length.
    """
    offcuts = sorted((one for one in lengths if not one.new), key=lambda one: one.length)
    of: dict[int, int] = {}  # piece to offcut

    def match(offcut: int, tried: set[int]) -> bool:
        for at, piece in enumerate(pieces):
            if at in tried or not offcuts[offcut].bears(piece):
                continue
            tried.add(at)
            if at not in of or match(of[at], tried):
                of[at] = offcut
                return True
        return False

    for offcut in range(len(offcuts)):
        match(offcut, set())
    cuts, without = [], []
    for at, piece in enumerate(pieces):
        new = (one for one in lengths if one.new and one.bears(piece))
        length = offcuts[of[at]] if at in of else min(new, key=lambda one: one.length, default=None)
        if length is None:
            without.append(piece)
            continue
        first = (length.hole or 0.0) - (piece.lead or 0.0)
        left = length.length - first - piece.length
        cuts.append(Cut(length=length, pieces=(piece,), first=first, left=left))
    return cuts, without


_Opened = tuple[Length, float, tuple[Piece, ...]]
"""A length that something is cut from, what it has left for a further piece, and its pieces."""


class _Search:
    """Branch and bound over plain pieces, the longest first."""

    def __init__(
        self, pieces: Sequence[Piece], lengths: Sequence[Length], kerf: float, most: int
    ) -> None:
        """Keep the pieces, and put the lengths in the order that they are tried in."""
        self.pieces = sorted(pieces, key=lambda piece: -piece.length)
        self.new = sorted((one for one in lengths if one.new), key=lambda one: one.length)
        self.offcuts = sorted((one for one in lengths if not one.new), key=lambda one: one.length)
        self.kerf, self.most, self.nodes = kerf, most, 0
        self.longest = max((one.length for one in self.new), default=0.0)
        self.best: tuple[_Opened, ...] = self._one_by_one()
        self.cost = self._cost(self.best, len(self.pieces))

    def found(self) -> tuple[tuple[_Opened, ...], bool]:
        """Return the best there is, and whether it is proved."""
        if len(self.pieces) > DEEPEST:
            return self.best, self._least(0, (), self.offcuts) >= self.cost
        self._place(0, (), self.offcuts)
        return self.best, self.nodes <= self.most

    def _one_by_one(self) -> tuple[_Opened, ...]:
        """Return each piece on the length that it leaves the least of, a new one at the last."""
        opened: list[_Opened] = []
        offcuts = list(self.offcuts)
        for piece in self.pieces:
            fits = [at for at, one in enumerate(opened) if self._holds(one, piece)]
            if fits:
                at = min(fits, key=lambda at: opened[at][1])
                opened[at] = self._with(opened[at], piece)
                continue
            one = next((o for o in (*offcuts, *self.new) if o.length + HAIR >= piece.length), None)
            if one is not None:
                opened.append((one, one.length - piece.length, (piece,)))
                offcuts = [o for o in offcuts if o is not one]
        return tuple(opened)

    def _holds(self, opened: _Opened, piece: Piece) -> bool:
        return opened[1] + HAIR >= piece.length + self.kerf

    def _with(self, opened: _Opened, piece: Piece) -> _Opened:
        length, left, row = opened
        return length, left - piece.length - self.kerf, (*row, piece)

    def _place(self, at: int, opened: tuple[_Opened, ...], offcuts: Sequence[Length]) -> None:
        self.nodes += 1
        if self.nodes > self.most or self._least(at, opened, offcuts) >= self.cost:
            return
        if at == len(self.pieces):
            self.cost, self.best = self._cost(opened, at), opened
            return
        piece, seen = self.pieces[at], set[tuple[float, bool]]()
        for one in sorted(range(len(opened)), key=lambda one: opened[one][1]):
            alike = (round(opened[one][1], 6), opened[one][0].new)
            if self._holds(opened[one], piece) and alike not in seen:
                seen.add(alike)
                more = (*opened[:one], self._with(opened[one], piece), *opened[one + 1 :])
                self._place(at + 1, more, offcuts)
        self._open(at, opened, offcuts)

    def _open(self, at: int, opened: tuple[_Opened, ...], offcuts: Sequence[Length]) -> None:
        """Place a piece on a length that nothing was cut from yet, or on none."""
        piece, tried = self.pieces[at], set[tuple[float, bool]]()
        for length in (*offcuts, *self.new):
            alike = (length.length, length.new)
            if length.length + HAIR >= piece.length and alike not in tried:
                tried.add(alike)
                rest = [one for one in offcuts if one is not length]
                more = (*opened, (length, length.length - piece.length, (piece,)))
                self._place(at + 1, more, rest)
        if piece.length > self.longest + HAIR:
            self._place(at + 1, opened, offcuts)

    @staticmethod
    def _cost(opened: Sequence[_Opened], at: int) -> tuple[int, int, float]:
        """Return what it costs: pieces that have none, new lengths, and offcuts cut up, mm."""
        lone = at - sum(len(row) for *_, row in opened)
        new = sum(length.new for length, *_ in opened)
        return lone, new, sum(length.length for length, *_ in opened if not length.new)

    def _least(
        self, at: int, opened: Sequence[_Opened], offcuts: Sequence[Length]
    ) -> tuple[int, int, float]:
        """Return what it costs at least: all that is to come needs room somewhere."""
        lone, new, cut_up = self._cost(opened, at)
        room = sum(left for _, left, _ in opened) + sum(one.length + self.kerf for one in offcuts)
        to_come = self.pieces[at:]
        over = sum(one.length + self.kerf for one in to_come) - room - HAIR * (len(opened) + 1)
        more = -(-over // (self.longest + self.kerf)) if over > 0 and self.longest else 0
        return lone, new + int(more), cut_up
