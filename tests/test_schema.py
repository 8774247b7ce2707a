"""Schemas of what people write: they fit the files there are, and the readers agree with them."""

import copy
import json
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from ruleset.arrangement import read_arrangement
from ruleset.assembly import assemble
from ruleset.book_form import LAYER
from ruleset.book_reader import read_book
from ruleset.errors import RulesetError
from ruleset.form import schema as schema_of
from ruleset.layers import read_layer
from ruleset.node import Node, plain
from ruleset.reader import read_file, read_text
from ruleset.schema_faults import faults_by_schema
from validator.arrangements import stem_of
from validator.books import Rules
from validator.facts import NOT_KNOWN
from validator.job import load_job, read_job
from validator.kit import read_kit
from validator.plugins import load_plugins
from validator.schemas import KINDS as ALL_KINDS
from validator.schemas import faults_of_arrangement, faults_of_book, faults_of_code, schema

HERE = Path(__file__).resolve().parent.parent
FILES = {
    "book": sorted(
        file
        for file in (HERE / "rules").rglob("*.yaml")
        if file.parent.name not in ("arrangements", "codes", "sheets")
    ),
    "arrangement": sorted((HERE / "rules/arrangements").glob("*")),
    "code": sorted([*(HERE / "rules/codes").glob("*"), *(HERE / "fixtures/policies").glob("*")]),
    "kit": sorted((HERE / "fixtures/kits").glob("*")),
    "job": [
        file
        for file in sorted((HERE / "fixtures/jobs").glob("*.[yj]*"))
        if not file.stem.endswith(".findings")
    ],
}
BARE = Path(__file__).parent / "books" / "arrangements"
EVERY_FIELD = {
    "book": """
book: small
title: A small book
about: It has every field.
facts:
  survey.width: {means: Width, kind: length, range: [1 in, 99 in], usual: [2 in, 3 in],
    stage: order, who: someone, absent: 5 in}
  survey.curb.base: {means: Base, kind: word, words: [curb, floor], also: {step: curb}}
  survey.read_on: {means: Day, kind: date, range: [2000-01-01, 2100-01-01]}
  design.lined: {means: Lined, kind: yes/no}
  design.holes: {means: Holes, list: hole, most: 3, absent: none}
  kit.bar.drop: {means: Drop, kind: length, range: [0 in, 9 in]}
  kit.side: {means: Side, kind: word, words: [inside, outside]}
  survey.note: {means: A note, kind: text}
  wall.survey.lean: {for: each wall, means: Lean, kind: length, range: [-9 in, 9 in]}
sorts:
  spare: {called: spare part}
  hole: {plural: holes, fields: {x: length, across: length}}
  wall: {plural: walls, called: side, groups: {doors: {sort: leaf, by: hung_on}}}
  leaf: {plural: leaves, is: [wall], roles: {hung_on: wall, shuts_on: [wall, leaf]}}
parts:
  side: {means: the side, sorts: [wall]}
  door:
    means: the door
    sorts: [leaf]
    roles: {hung_on: side, shuts_on: side}
    groups:
      holes: {sort: hole, are: [{means: first hole, x: kit.bar.drop, across: kit.bar.drop}],
        more: design.holes}
limits:
  gravity: {is: 9.8 N/kg, kind: load per mass, step: 1 N/kg, means: Pull, basis: {standing: memory}}
workings:
  door.width:
    means: Its width
    for: door
    is: survey.width
    built: survey.width
    kind: length
    frozen: order
    proofs:
      usual: {given: {survey.width: 9 in}, limits: {gravity: 9 N/kg}, units: mm, is: 9 in}
clauses:
  wide:
    title: It is wide
    for: door
    when: survey.curb.base == 'curb'
    needs: door.width >= limit.least
    limits:
      least: {is: 3 in, kind: length, step: 1 in, means: Least,
        basis: {document: A, edition: B, clause: C, standing: published, note: D}}
    level: error
    softer: {level: note, when: design.lined}
    stage: design
    basis: {standing: shop policy}
    why: It has to be.
    says: It is {actual}.
    do: Widen it.
    caution: Take care.
    levers: [survey.width]
    waivable: no
    proofs:
      holds: {at it: {given: {door.width: 3 in}, without: {door.width: unknown}, units: in}}
      fails: {under: {given: {door.width: 2 in, door.holes: [{x: 1 in}]}, limits: {least: 3 in},
        says: It is 2 in.}}
      exempt: {floor: {given: {survey.curb.base: floor}}}
      unknown: {none: {given: {}}}
      unmoved: {when dropped: It cannot matter.}
  bare:
    title: It is held by its limit's word
    needs: door.width >= limit.least
    limits: {least: {is: 3 in, basis: {standing: memory}}}
    level: note
    stage: order
    why: It has to be.
    says: It is not.
""",
    "arrangement": """
arrangement: bare
title: A bare one
about: It has every field.
hand: [left, right]
parts:
  one: {is: leaf, means: one leaf, hung_on: two, shuts_on: [three]}
  two: {is: wall, means: a wall}
  three: {is: [wall], means: another}
""",
    "code": """
code: there
format: 2
title: A code set
under: [other]
documents: [A]
amends:
  small.wide:
    limits: {least: {is: 4 in, means: Least, basis: {standing: published}}}
    level: warning
    off: no
    basis: {standing: published}
    why: The code says so.
clauses:
  wider:
    replaces: small.wide
    title: It is wider
    needs: door.width >= limit.least
    limits: {least: {is: 5 in, basis: {standing: memory}}}
    level: error
    stage: design
    why: The code says so.
    says: It is not.
states: {survey.width: {is: 4 in, why: We say so.}}
""",
    "kit": """
kit: small-kit
format: 2
title: A kit
maker: Someone
sheet: The sheet
notes: None
units: in
bar: {drop: 2 in}
side: inside
""",
    "job": """
job: 1
title: A job
format: 2
arrangement: bare
units: in
kit: small-kit
code: [there]
policy: shop
grid: 1/16 in
notes: None
survey: {width: 9 in, curb: {base: floor}, read_on: 2026-02-03, side: {lean: 0 in},
  door: {lean: 0 in}}
design: {lined: yes, holes: [{x: 1 in, across: 2 in}]}
order:
as_built:
waivers: [{clause: small.wide, subject: door, why: Because, by: Someone, until: 2027-01-01}]
""",
}
KINDS = tuple(one for one in ALL_KINDS if one != "stock")
"""Kinds that are written out below with every field; the stock has tests of its own."""
OWN_TEXT = {
    "book": (
        *("range", "usual", "absent", "is", "built", "when", "needs", "step", "for"),
        *("words", "also"),
    ),
    "arrangement": ("shuts_on",),
    "code": ("is", "needs"),
    "kit": ("drop",),
    "job": ("kit", "grid", "width", "read_on", "lean", "lined", "x", "across", "clause"),
}
"""Fields whose text is a quantity, a formula or a name: only the reader knows how it reads."""

Path_ = tuple[str | int, ...]


def small_rules() -> Rules:
    """Return the small book's rules; its kit and code sets stand beside no job."""
    library = assemble([read_book(read_text(EVERY_FIELD["book"], "small"))])
    layer = read_layer(read_text(EVERY_FIELD["code"], "there"))
    codes = {"there": layer, "shop": layer}
    return Rules(
        library=library, codes=codes, plugins=load_plugins(installed=False), folders=(BARE,)
    )


RULES = small_rules()
KIT = read_kit(read_text(EVERY_FIELD["kit"], "kits/small-kit.yaml"), RULES.library)
RULES.kits[Path("kits/small-kit.yaml")] = KIT
SCHEMAS = {kind: schema(kind, RULES) for kind in KINDS}
READERS: dict[str, Callable[[Node], object]] = {
    "book": read_book,
    "arrangement": read_arrangement,
    "code": read_layer,
    "kit": lambda node: read_kit(node, RULES.library),
    "job": lambda node: read_job(node, RULES, beside=Path(), folders=()),
}
DOCUMENTS: dict[str, Any] = {kind: plain(read_text(EVERY_FIELD[kind], kind)) for kind in KINDS}


def paths(value: object, above: Path_ = ()) -> Iterator[Path_]:
    """Return the way to every value inside a value."""
    members = value.items() if isinstance(value, dict) else ()
    for key, one in enumerate(value) if isinstance(value, list) else members:
        yield (*above, key)
        yield from paths(one, (*above, key))


def inside(document: Any, path: Path_) -> Any:  # noqa: ANN401 - whatever a document holds
    for step in path:
        document = document[step]
    return document


OTHER_VALUES: dict[type, tuple[object, ...]] = {
    str: ("", "  ", "zzz", [], {}),
    list: ("", "zzz", {}, [], ["zzz"], [""], [[]]),
    dict: ("", "zzz", [], [{}], {}, {"zzz": "zzz"}),
}


def drop(document: Any, path: Path_) -> None:  # noqa: ANN401
    del inside(document, path[:-1])[path[-1]]


def rename(document: Any, path: Path_) -> None:  # noqa: ANN401
    table = inside(document, path[:-1])
    if isinstance(table, dict):
        table[f"{path[-1]}x"] = table.pop(path[-1])


def add(document: Any, path: Path_) -> None:  # noqa: ANN401
    value = inside(document, path)
    if isinstance(value, dict):
        value["zzz"] = "zzz"
    elif isinstance(value, list):
        value.append("zzz")


def put(document: Any, path: Path_, value: object) -> None:  # noqa: ANN401
    inside(document, path[:-1])[path[-1]] = copy.deepcopy(value)


def part_around(document: Any, path: Path_) -> Any:  # noqa: ANN401
    """Return a document with nothing beside a path but texts: a small one is soon checked."""
    if not isinstance(document, dict) or len(path) == 1:
        return document
    kept = {key: one for key, one in document.items() if isinstance(one, str)}
    return {**kept, path[0]: part_around(document[path[0]], path[1:])}


def changes(document: Any, path: Path_) -> Iterator[Callable[[Any], None]]:  # noqa: ANN401
    """Return what may be changed at a place: each change alters a copy of the document."""
    yield lambda copied: drop(copied, path)
    yield lambda copied: rename(copied, path)
    yield lambda copied: add(copied, path)
    for value in OTHER_VALUES[type(inside(document, path))]:
        yield lambda copied, value=value: put(copied, path, value)  # type: ignore[misc]  # a default binds the loop's value


def compare(kind: str, document: object, *, own_text: bool) -> None:
    """Assert that the reader and the schema have one verdict on a document.

    Args:
        kind: What the document is.
        document: Its values.
        own_text: Whether a text was changed that only the reader knows how to read.
    """
    node = read_text(json.dumps(document), kind)
    by_schema = faults_by_schema(node, SCHEMAS[kind])
    by_reader: tuple[object, ...] = ()
    try:
        READERS[kind](node)
    except RulesetError as error:
        by_reader = error.faults
    one_verdict = bool(by_schema) == bool(by_reader) or (own_text and not by_schema)
    assert one_verdict, f"the schema: {by_schema}; the reader: {by_reader}"


@pytest.mark.parametrize("kind", KINDS)
def test_shipped_rules_have_schemas(kind: str, rules: Rules) -> None:
    made = schema(kind, rules, "in-line slider")
    Draft202012Validator.check_schema(made)
    assert json.loads(json.dumps(made)) == made
    assert made["$id"] == f"urn:paneproof:schema:{kind}"


@pytest.mark.parametrize(
    ("kind", "file"),
    [(kind, file) for kind, files in FILES.items() for file in files],
    ids=lambda part: part if isinstance(part, str) else part.name,
)
def test_every_file_there_is_fits_its_schema_and_its_reader(
    kind: str, file: Path, rules: Rules
) -> None:
    node = read_file(file)
    arrangement = load_job(file, rules).arrangement.name if kind == "job" else ""
    assert faults_by_schema(node, schema(kind, rules, arrangement)) == ()
    if kind == "book":
        assert faults_of_book(node) == ()
        assert read_book(node).name == file.stem
    elif kind == "arrangement":
        assert faults_of_arrangement(node) == ()
        assert stem_of(read_arrangement(node).name) == file.stem
    elif kind == "code":
        assert faults_of_code(node) == ()
        assert read_layer(node).name == file.stem
    elif kind == "kit":
        assert read_kit(node, rules.library).name == file.stem
    else:
        assert load_job(file, rules).file == file.as_posix()


def test_no_other_kind_of_file() -> None:
    with pytest.raises(ValueError, match="no kind of file 'jobs'; there are book"):
        schema("jobs", RULES)


@pytest.mark.parametrize("kind", KINDS)
def test_small_documents_have_every_field(kind: str) -> None:
    compare(kind, DOCUMENTS[kind], own_text=False)
    READERS[kind](read_text(EVERY_FIELD[kind], kind))
    used = {step for path in paths(DOCUMENTS[kind]) for step in path}
    assert set(_fields(SCHEMAS[kind])) - used <= {"policy", "for", "when", "softer", *_CLAUSE_ONLY}


_CLAUSE_ONLY = {"do", "caution", "levers", "waivable", "proofs", "document", "edition", "clause",
    "note", "kind", "step", "holds", "fails", "exempt", "unknown", "unmoved", "given", "units",
    "without", "built"}  # fmt: skip


def _fields(part: object) -> Iterator[str]:
    if isinstance(part, dict):
        yield from part.get("properties", {})
        for one in part.values():
            yield from _fields(one)
    elif isinstance(part, list):
        for one in part:
            yield from _fields(one)


@pytest.mark.parametrize("kind", KINDS)
def test_reader_refuses_what_the_schema_refuses(kind: str, ran: Callable[[], None]) -> None:
    for path in paths(DOCUMENTS[kind]):
        around = part_around(DOCUMENTS[kind], path)
        for change in changes(around, path):
            document = copy.deepcopy(around)
            change(document)
            own = _is_own(kind, path) and path in set(paths(document))
            ran()
            compare(kind, document, own_text=own)


def _is_own(kind: str, path: Path_) -> bool:
    return any(step in OWN_TEXT[kind] for step in path[-2:])


@settings(max_examples=100, deadline=None)
@given(st.data())
def test_reader_and_schema_agree_on_several_changes_at_once(data: st.DataObject) -> None:
    kind = data.draw(st.sampled_from(KINDS))
    document = copy.deepcopy(DOCUMENTS[kind])
    own = False
    for _ in range(data.draw(st.integers(2, 4))):
        at = list(paths(document))
        if not at:
            break
        path = data.draw(st.sampled_from(at))
        data.draw(st.sampled_from(list(changes(document, path))))(document)
        own = own or _is_own(kind, path)
    compare(kind, document, own_text=own)


def test_a_job_s_schema_helps_its_writer(rules: Rules) -> None:
    made = schema("job", rules, "in-line slider")
    assert made["required"] == ["format", "job", "arrangement", "kit"]
    survey = made["properties"]["survey"]["anyOf"][0]["properties"]
    assert survey["base"]["enum"] == ["curb", "floor", "rim", *NOT_KNOWN, "", None]
    assert survey["base"]["title"] == rules.library.facts["survey.base"].means
    front = survey["front"]["anyOf"][0]["properties"]
    sill = front["width"]["anyOf"][0]["properties"]["sill"]
    assert sill["description"] == "Length, 12 in to 240 in."
    assert sill["not"] == {"type": ["object", "array"]}  # a named type is offered by editors
    assert sill["examples"] == ["59 3/4 in", "1518 mm"]
    holes = made["properties"]["design"]["anyOf"][0]["properties"]["door"]["anyOf"][0]["properties"]
    assert holes["holes"]["anyOf"][1]["maxItems"] == 8


def test_schema_of_code_knows_policies() -> None:
    policy = {"policy": "shop", "title": "House rules"}
    compare("code", policy, own_text=False)
    both = read_text(json.dumps({**policy, "code": "there"}), "f")
    assert [fault.says for fault in faults_of_code(both)] == [
        "Exactly one of the fields code and policy has to stand here."
    ]
    assert schema_of(LAYER, title="t", id="urn:x")["additionalProperties"] is False
