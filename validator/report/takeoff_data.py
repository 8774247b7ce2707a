"""The take-off for programs, in a fixed order of keys; values in internal units."""

from dataclasses import asdict

from ..filled_tables import Cell, FilledRow, FilledTable, Missing
from ..settingout import HoldPoint, SettingOut, WorkStep
from ..take_off import Takeoff
from .data import FORMAT, amount_data, as_json, assumed_data


def write(takeoff: Takeoff, version: str) -> str:
    """Return the take-off as JSON.

    Args:
        takeoff: The take-off.
        version: Version of the program that made it.
    """
    return as_json(takeoff_data(takeoff, version))


def takeoff_data(takeoff: Takeoff, version: str) -> dict[str, object]:
    """Return the take-off as dictionaries, lists, texts and numbers.

    Args:
        takeoff: The take-off.
        version: Version of the program that made it.
    """
    return {
        "paneproof": version,
        "format": FORMAT,
        "job": takeoff.job,
        "file": takeoff.file,
        "kit": takeoff.kit,
        "code": list(takeoff.codes),
        "release": None if takeoff.standing is None else asdict(takeoff.standing),
        "sizes_code": takeoff.sizes_code,
        "tables": [table_data(table) for table in takeoff.tables],
        "missing": [missing_data(one) for one in takeoff.missing],
        "assumed": [assumed_data(one) for one in takeoff.assumed],
        "cautions": list(takeoff.cautions),
    }


def table_data(table: FilledTable) -> dict[str, object]:
    """Return a filled table."""
    return {
        "table": table.key,
        "title": table.title,
        "rows": [_row(row) for row in table.rows],
        "notes": list(table.notes),
        "missing": list(table.missing),
    }


def missing_data(missing: Missing) -> dict[str, object]:
    """Return a fact that is still to be supplied."""
    return {"fact": missing.fact, "means": missing.means, "who": missing.who}


def _row(row: FilledRow) -> dict[str, object]:
    return {
        "item": row.item,
        "part": row.part,
        "from": row.origin,
        "cells": {cell.key: cell_data(cell) for cell in row.cells if cell.text},
    }


def cell_data(cell: Cell) -> dict[str, object]:
    """Return one value: null for a word and for what is not known, with its text."""
    return {
        "title": cell.title,
        "name": cell.name,
        "text": cell.text,
        "value": amount_data(cell.value),
        "exact": amount_data(cell.exact),
        "basis": cell.basis,
        "missing": list(cell.missing),
    }


def setting_out_data(found: SettingOut, version: str) -> dict[str, object]:
    """Return the setting-out as dictionaries, lists, texts and numbers.

    Args:
        found: The setting-out.
        version: Version of the program that made it.
    """
    return {
        "paneproof": version,
        "format": FORMAT,
        "job": found.job,
        "file": found.file,
        "kit": found.kit,
        "code": list(found.codes),
        "tables": [table_data(table) for table in found.tables],
        "steps": [_step(step) for step in found.steps],
        "hold_points": [_hold(hold) for hold in found.hold_points],
        "missing": [missing_data(one) for one in found.missing],
        "cautions": list(found.cautions),
    }


def _step(step: WorkStep) -> dict[str, object]:
    return {
        "number": step.number,
        "step": step.key,
        "do": step.do,
        "after": list(step.after),
        "values": [cell_data(cell) for cell in step.values],
        "cautions": list(step.cautions),
        "holds": [hold.clause for hold in step.holds],
        "basis": step.basis,
    }


def _hold(hold: HoldPoint) -> dict[str, object]:
    return {
        "clause": hold.clause,
        "subject": hold.subject,
        "title": hold.title,
        "stage": hold.stage,
        "level": hold.level,
        "shows": hold.shows,
        "readings": [
            {"fact": r.fact, "means": r.means, "expected": r.expected, "given": r.given}
            for r in hold.readings
        ],
        "signs": hold.signs,
        "outcome": hold.outcome,
        "says": hold.says,
        "caution": hold.caution,
        "basis": hold.basis,
    }
