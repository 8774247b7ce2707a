"""The lists of several jobs: what the glass works, the driver and the saw are given."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from ruleset.explain import Amount
from ruleset.kinds import KINDS
from ruleset.show import Style, show

from ..cautions import CAUTIONS
from ..filled_tables import Cell, FilledRow, FilledTable, square_feet
from ..offcuts import Shelf
from .cut_list import Nested, cut_table, length_text, nests_of
from .jobs import QUANTITY, Enclosure, Pane

AREA, MASS = KINDS["area"], KINDS["mass"]
SUMMED = ("area", "mass")


@dataclass(frozen=True, slots=True, kw_only=True)
class Together:
    """The lists of several jobs.

    Attributes:
        style: How values print.
        jobs: The jobs that are in the lists.
        held_back: Those that are not, since they may not be ordered yet.
        tables: Glass by batch, pieces, delivery, cuts.
        notes: What is to be known beside them.
        cautions: Said at their end.
    """

    style: Style
    jobs: tuple[Enclosure, ...]
    held_back: tuple[Enclosure, ...]
    tables: tuple[FilledTable, ...]
    notes: tuple[str, ...]
    cautions: tuple[str, ...]


def together(found: Sequence[Enclosure], shelf: Shelf, style: Style) -> Together:
    """Return the lists of several jobs; what may not be ordered yet is left out, and named.

    Args:
        found: The jobs.
        shelf: The shop's offcuts.
        style: How values print; all of one system.
    """
    ready = tuple(one for one in found if one.standing.ready)
    usual = max((one.kerf for job in ready for one in job.wanted), default=0.0)
    kerf = usual if shelf.kerf is None else shelf.kerf
    nests = tuple(nests_of(ready, shelf, kerf))
    return Together(
        style=style,
        jobs=ready,
        held_back=tuple(one for one in found if not one.standing.ready),
        tables=(
            *_glass(ready, style),
            *_pieces(ready),
            *_delivery(ready, style),
            *(cut_table(*one, style) for one in nests),
        ),
        notes=tuple(_notes(ready, shelf, nests, length_text(usual, style))),
        cautions=CAUTIONS,
    )


def _glass(jobs: Iterable[Enclosure], style: Style) -> Iterator[FilledTable]:
    """Yield a table for all panes of one thickness, tint and work, the suppliers apart."""
    batches: dict[tuple[str, tuple[str, ...]], list[tuple[Enclosure, Pane]]] = {}
    for job in jobs:
        for pane in job.panes:
            batches.setdefault((job.supplier, pane.alike), []).append((job, pane))
    for number, ((supplier, alike), panes) in enumerate(sorted(batches.items()), start=1):
        rows = [
            FilledRow(item=f"{job.job} {pane.part}", part="", origin="", cells=pane.cells)
            for job, pane in panes
        ]
        rows.append(_sum(f"{len(panes)} pane{'s' if len(panes) > 1 else ''}", rows, style))
        yield FilledTable(
            key=f"glass.{number}",
            title=f"Glass: {', '.join(alike)}",
            form="grid",
            columns=tuple(cell.title for cell in panes[0][1].cells),
            rows=tuple(rows),
            notes=(f"From {supplier}.",) if supplier else (),
            missing=(),
        )


def _sum(item: str, rows: Sequence[FilledRow], style: Style) -> FilledRow:
    """Return a row with what columns of areas and weights come to; the others are empty."""
    cells = []
    for column in zip(*(row.cells for row in rows), strict=True):
        amounts = [cell.value for cell in column if cell.value is not None]
        whole = len(amounts) == len(column) and amounts[0].kind.name in SUMMED
        said = _amount(sum(one.value for one in amounts), amounts[0], style) if whole else None
        first, text = column[0], "" if said is None else said.text
        cells.append(Cell(key=first.key, title=first.title, name="", text=text, value=said))
    return FilledRow(item=item, part="", origin="", cells=tuple(cells))


def _amount(value: float, like: Amount, style: Style) -> Amount:
    kind = like.kind
    of_feet = kind.name == AREA.name and style.units == "in"
    text = square_feet(value) if of_feet else show(value, kind, style).text
    return Amount(value=value, kind=kind, text=text)


def _pieces(jobs: Iterable[Enclosure]) -> Iterator[FilledTable]:
    """Yield the tables that count pieces, each kind once with the jobs that want it."""
    tables: dict[str, FilledTable] = {}
    counts: dict[tuple[str, str, str, tuple[str, ...]], dict[str, int]] = {}
    cells: dict[tuple[str, str, str, tuple[str, ...]], tuple[Cell, ...]] = {}
    for job in jobs:
        for table in job.pieces:
            tables.setdefault(table.key, table)
            for row in table.rows:
                rest = tuple(cell for cell in row.cells if cell.key != QUANTITY)
                key = (table.key, row.item, job.kit, tuple(cell.text for cell in rest))
                cells.setdefault(key, rest)
                of = counts.setdefault(key, {})
                of[job.job] = of.get(job.job, 0) + _count(row)
    for name, table in tables.items():
        rows = tuple(
            _piece_row(key, of, cells[key]) for key, of in counts.items() if key[0] == name
        )
        titles = (_QUANTITY_TITLE, *(cell.title for cell in rows[0].cells[1:-1]), _JOBS_TITLE)
        yield replace(table, rows=rows, columns=titles, form="grid", notes=())


_QUANTITY_TITLE, _JOBS_TITLE = "Pieces", "For"


def _count(row: FilledRow) -> int:
    cell = next((cell for cell in row.cells if cell.key == QUANTITY), None)
    return round(cell.value.value) if cell is not None and cell.value is not None else 1


def _piece_row(
    key: tuple[str, str, str, tuple[str, ...]], of: Mapping[str, int], cells: tuple[Cell, ...]
) -> FilledRow:
    _, item, kit, _ = key
    count = Cell(key=QUANTITY, title=_QUANTITY_TITLE, name="", text=str(sum(of.values())))
    jobs = Cell(key="jobs", title=_JOBS_TITLE, name="", text=", ".join(of))
    return FilledRow(item=f"{item} ({kit})", part="", origin="", cells=(count, *cells, jobs))


def _delivery(jobs: Iterable[Enclosure], style: Style) -> Iterator[FilledTable]:
    """Yield what goes to each site: panes, their weight, the heaviest of them."""
    sites: dict[str, list[Enclosure]] = {}
    for job in jobs:
        sites.setdefault(job.site or "site not given", []).append(job)
    rows = tuple(_site_row(site, of, style) for site, of in sites.items())
    if rows:
        yield FilledTable(
            key="delivery",
            title="Delivery",
            form="block",
            columns=tuple(cell.title for cell in rows[0].cells),
            rows=rows,
            notes=("Weights are those of the glass, holes as glass; hardware comes on top.",),
            missing=(),
        )


def _site_row(site: str, jobs: Sequence[Enclosure], style: Style) -> FilledRow:
    panes = [(job, pane, _mass(pane)) for job in jobs for pane in job.panes]
    told = {"jobs": ", ".join(job.job for job in jobs), "panes": str(len(panes))}
    masses = [mass for *_, mass in panes if mass is not None]
    whole = _amount(sum(mass.value for mass in masses), masses[0], style) if masses else None
    job, pane, most = max(panes, key=lambda one: one[2].value if one[2] is not None else 0.0)
    heaviest = f"{job.job} {pane.part}" + (f", {most.text}" if most is not None else "")
    return FilledRow(
        item=site,
        part="",
        origin="",
        cells=(
            Cell(key="jobs", title="Jobs", name="", text=told["jobs"]),
            Cell(key="panes", title="Panes", name="", text=told["panes"]),
            Cell(
                key="weight", title="Weight", name="", text=whole.text if whole else "", value=whole
            ),
            Cell(key="heaviest", title="The heaviest", name="", text=heaviest),
        ),
    )


def _mass(pane: Pane) -> Amount | None:
    values = (cell.value for cell in pane.cells if cell.value is not None)
    return next((value for value in values if value.kind.name == MASS.name), None)


def _notes(
    jobs: Sequence[Enclosure], shelf: Shelf, nests: Sequence[Nested], usual: str
) -> Iterator[str]:
    suppliers = dict.fromkeys(job.supplier for job in jobs)
    if len(suppliers) > 1:
        named = ", ".join(one or "one that is not given" for one in suppliers)
        said = f"The glass comes from {len(suppliers)} suppliers: {named}."
        yield f"{said} Each has lists of its own."
    if nests and shelf.kerf is None:
        of = shelf.file or "a stock.yaml beside the jobs"
        word = next((one.word for job in jobs for one in job.wanted), "")
        takes = f"A cut takes {usual}: {word}"
        yield f"{takes}; write `kerf` in {of}."
    cut = {(kit, what) for kit, what, _ in nests}
    lacking = {
        (one.kit, one.of): None
        for job in jobs
        for one in job.wanted
        if (one.kit, one.of) not in cut
    }
    for kit, what in lacking:
        yield f"The kit {kit} does not say how long its {what} comes, so that none is laid out."
    for job in jobs:
        for one in job.wanted:
            if one.piece is None:
                yield f"{job.job}: the length of its {one.of} is {one.text}, so that it is not cut."
    known = {(one.kit, one.of) for job in jobs for one in job.wanted}
    idle = [one.name for one in shelf.offcuts if (one.kit, one.of) not in known]
    if idle:
        yield f"Offcuts that nothing here is cut from, by their kit: {', '.join(idle)}."
