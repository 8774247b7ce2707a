"""Reading text into nodes: what stays as written, where it stands, what is refused."""

import json
from collections.abc import Callable
from pathlib import Path

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from ruleset import reader
from ruleset.errors import ReadError
from ruleset.node import Node, Rows, Table, Text, plain
from ruleset.place import step_into
from ruleset.reader import read_file, read_text

LOADERS = [yaml.SafeLoader, *([yaml.CSafeLoader] if hasattr(yaml, "CSafeLoader") else [])]


@pytest.fixture(params=LOADERS, ids=lambda loader: loader.__name__)
def either_parser(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """Run a test with the pure parser and with the C one."""
    monkeypatch.setattr(reader, "LOADER", request.param)


both = pytest.mark.usefixtures("either_parser")


def faults(text: str | bytes) -> list[str]:
    """Return all faults of a text that must be refused."""
    with pytest.raises(ReadError) as refused:
        read_text(text, "job.yaml")
    return [str(fault) for fault in refused.value.faults]


def table(node: Node) -> Table:
    """Return the node, which must be a table."""
    assert isinstance(node, Table)
    return node


def walk(node: Node, pointer: str = "") -> list[tuple[str, Node]]:
    """Return every node with the pointer it should have."""
    match node:
        case Text():
            inner: list[tuple[str, Node]] = []
        case Rows():
            inner = [(str(i), item) for i, item in enumerate(node.items)]
        case Table():
            inner = list(node.entries.items())
    found = [(pointer, node)]
    for step, child in inner:
        found += walk(child, step_into(pointer, step))
    return found


@both
@pytest.mark.parametrize(
    "written",
    ["no", "Yes", "010", "0x1F", "12:30", "2021.10", "1e5", "nULL", "~~", "null 1", "=", ".inf",
     "1_000", "2021-01-05", "59 3/4 in", "4' 11 3/4\"", "C:\\shop", "a#b"],
)  # fmt: skip
def test_text_stays_as_written(written: str) -> None:
    root = table(read_text(f"value: {written}\n", "f"))
    value = root.entries["value"]
    assert isinstance(value, Text)
    assert value.text == written
    assert not value.quoted


@both
@pytest.mark.parametrize("nothing", ["~", "null", "Null", "NULL"])
def test_nothing_is_a_value_left_empty(nothing: str) -> None:
    # YAML 1.2, section 10.3.2: these five forms are null, the empty one among them.
    root = table(read_text(f"a: {nothing}\nb: [{nothing}, x]\nc: '{nothing}'\n", "f"))
    assert plain(root) == {"a": "", "b": ["", "x"], "c": nothing}
    assert root.entries["c"] == Text(place=root.entries["c"].place, text=nothing, quoted=True)
    assert plain(read_text(f"{nothing}: x", "f")) == {nothing: "x"}  # a field's name is text
    assert faults(f"{nothing}\n") == ["job.yaml: The file is empty; write its fields into it."]


@both
def test_empty_value_is_empty_text() -> None:
    root = table(read_text("a:\nb: ''\nc: []\n", "f"))
    a, b = root.entries["a"], root.entries["b"]
    assert (a, b) == (
        Text(place=a.place, text=""),
        Text(place=b.place, text="", quoted=True),
    )
    assert (a.place.line, a.place.column) == (1, 3)


@both
def test_places_of_keys_and_values() -> None:
    root = table(read_text("a/b: 1\nlist:\n  - x\n  - {k~: [y]}\n", "f"))
    assert plain(root) == {"a/b": "1", "list": ["x", {"k~": ["y"]}]}
    assert [(str(n.place), n.place.pointer) for _, n in walk(root)] == [
        ("f:1:1", ""),
        ("f:1:6", "/a~1b"),
        ("f:3:3", "/list"),
        ("f:3:5", "/list/0"),
        ("f:4:5", "/list/1"),
        ("f:4:10", "/list/1/k~0"),
        ("f:4:11", "/list/1/k~0/0"),
    ]
    assert [(k, str(p), p.pointer) for k, p in root.keys.items()] == [
        ("a/b", "f:1:1", "/a~1b"),
        ("list", "f:2:1", "/list"),
    ]


@both
@pytest.mark.parametrize("start", ["", "\ufeff"])
@pytest.mark.parametrize("ending", ["\n", "\r\n", "\r"])
def test_columns_with_any_line_ending_and_mark(start: str, ending: str) -> None:
    text = start + ending.join(["é: 'x'", "", "b:   2 # remark", "😀: [z, w]", ""])
    for given_text in (text, text.encode()):
        root = table(read_text(given_text, "f"))
        assert [str(p) for p in root.keys.values()] == ["f:1:1", "f:3:1", "f:4:1"]
        assert [str(n.place) for _, n in walk(root)][1:] == [
            "f:1:4", "f:3:6", "f:4:4", "f:4:5", "f:4:8"]  # fmt: skip


@both
def test_json_escapes_and_columns() -> None:
    text = r'{"a\/b": "\ud83d\ude00\u00e9\t\\ud83d", "c": [1.50, true, null]}'
    root = table(read_text(text, "f"))
    assert plain(root) == {"a/b": "😀é\t\\ud83d", "c": ["1.50", "true", ""]}
    assert root.keys["c"].column == text.index('"c"') + 1


@both
def test_surrogate_escapes_outside_double_quotes_stay() -> None:
    written = "a: \\uD83d\\uDe00\nb: '\\ud83d\\ude00'\nc: \"\\ud83d\\ude00\"\n"
    assert plain(read_text(written, "f")) == {
        "a": "\\uD83d\\uDe00",
        "b": "\\ud83d\\ude00",
        "c": "😀",
    }


@both
def test_json_indented_with_tabs() -> None:
    assert plain(read_text('{\n\t"a": 1,\n\t"b": [\n\t\t2\n\t]\n}', "f")) == {"a": "1", "b": ["2"]}


_letters = st.text(
    st.characters(codec="utf-8", exclude_categories=["Cc", "Cs", "Zl", "Zp"]), max_size=12
).filter(lambda text: "\ufeff" not in text and not any(ord(c) & 0xFFFE == 0xFFFE for c in text))
_json = st.recursive(
    _letters | st.booleans() | st.integers(-999, 999) | st.none(),
    lambda inner: (
        st.lists(inner, max_size=4) | st.dictionaries(_letters.filter(bool), inner, max_size=4)
    ),
    max_leaves=12,
)


def texts_of(value: object) -> object:
    """Return a JSON value with every scalar as it is written in JSON."""
    if isinstance(value, dict):
        return {key: texts_of(each) for key, each in value.items()}
    if isinstance(value, list):
        return [texts_of(each) for each in value]
    if value is None:
        return ""  # not known yet, like a value left empty
    return value if isinstance(value, str) else json.dumps(value)


@settings(max_examples=150, deadline=None)
@given(
    value=_json.filter(lambda value: value is not None),
    ascii_only=st.booleans(),
    indent=st.sampled_from([None, 1, "\t"]),
    loader=st.sampled_from(LOADERS),
)
def test_any_json_is_read(
    *, value: object, ascii_only: bool, indent: int | str | None, loader: type
) -> None:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(reader, "LOADER", loader)
        root = read_text(json.dumps(value, ensure_ascii=ascii_only, indent=indent), "f")
    assert plain(root) == texts_of(value)
    assert all(node.place.pointer == pointer for pointer, node in walk(root))


@settings(max_examples=300, deadline=None)
@given(st.text(st.sampled_from("ab:- \n\t[]{},'\"#&*!|>%@\\?~u0<."), max_size=40))
def test_any_text_is_read_or_refused(ran: Callable[[], None], text: str) -> None:
    for loader in LOADERS:
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(reader, "LOADER", loader)
            try:
                found = walk(read_text(text, "f"))
            except ReadError as error:
                refused = error.faults
            else:
                refused = ()
                ran()
                assert all(node.place.pointer == pointer for pointer, node in found)
        assert all(fault.place.file == "f" and fault.says.endswith(".") for fault in refused)


REFUSED = {
    "doubled field": ("a: 1\nb: 2\na: 3\n", "3:1", ("The field 'a' stands twice in one table, "
                      "first at line 1, column 1; keep one of them.")),
    "alias": ("a: *x\n", "1:4", "'*x' repeats another value; write that out here."),
    "anchor": ("a: &x 1\n", "1:4", "'&x' marks a value for repeating; remove it."),
    "tag": ("a: !!python/object:os.system x\n", "1:4", ("'!' puts a type on this value; remove it, "
            "or quote the text if it starts so.")),
    "merge": ("<<: {a: 1}\n", "1:1", "'<<' merges another table in; write its fields out here."),
    "second document": ("a: 1\n---\nb: 2\n", "2:1", ("A second document starts here; a file holds "
                        "one, so move this one to a file of its own.")),
    "directive": ("# x\n%YAML 1.1\n---\na: 1\n", "2:1",
                  "A line that starts with '%' instructs the parser; remove it."),
    "late directive": ("a: 1\n...\n%TAG ! x\n", "3:1",
                       "A line that starts with '%' instructs the parser; remove it."),
    "list as a name": ("? [a]\n: 1\n", "1:3", ("A list stands where the name of a field is needed; "
                       "write the name as text, in quotes if it starts with a bracket.")),
    "no name": ("a: 1\n'': 2\n", "2:1", "The field has no name before its colon; write one."),
    "long name": (f"{'k' * 201}: 1\n", "1:1",
                  "The name of this field has 201 characters; it may have 200."),
    "tab": ("a:\n\tb: 1\n", "2:1", "A tab stands where spaces are needed; indent with spaces."),
    "tab after spaces": ("a:\n  b: 1\n \tc: 2\n", "3:2",
                         "A tab stands where spaces are needed; indent with spaces."),
    "open quote": ("a: 'x\nb: 1\n", "1:4", "The quotation mark here is never closed; close it."),
    "second colon": ("a: b: c\n", "1:5",
                     ("A colon may not stand here; put the text in quotes, or correct the "
                     "indentation.")),
    "no space": ("a:\n  b:1 1/2  # read\n\n  # next\n  c: 2\n", "2:3",
                 "A space is missing after the colon; write `b: 1 1/2`."),
    "no space in a row": ("a:\n  - b:1\n    c: 2\n", "2:5",
                          "A space is missing after the colon; write `b: 1`."),
    "an address": ("a: 1\nhttp://x\nb: 2\n", None,
                   "A name stands without its colon and space; write 'name: value'."),
    "no colon": ("a: 1\nbc\nd: 2\n", None, ("A name stands without its colon and space; write "
                 "'name: value'.")),
    "indentation": ("a:\n    b: 1\n  c: 2\n", "3:3", ("This does not fit under the fields above; "
                    "line it up with them, or quote the whole text.")),
    "bracket": ("a: [1, 2\nb: 3\n", None,
                "The list in brackets lacks a comma or its closing bracket before here."),
    "control character": ("a: b\x07\n", "1:5",
                          "The control character U+0007 stands here; remove it."),
    "written control character": ('a: "\\u0000"\n', "1:4",
                                  ("An escape in this text makes the control character U+0000; "
                                  "only a tab and a line break may be written so.")),
    "escape": ('a: "C:\\shop"\n', None, ("This backslash starts no known escape; write two "
               "backslashes, or use single quotes.")),
    "after the end": ("[a] b\n", "1:5", ("Nothing may stand here, after the end of the value; "
                      "remove it or quote the value.")),
}  # fmt: skip


@both
@pytest.mark.parametrize(("text", "place", "says"), REFUSED.values(), ids=REFUSED)
def test_refused(text: str, place: str | None, says: str) -> None:
    found = faults(text)
    if place is None:
        assert [fault.split(": ", 1)[1] for fault in found] == [says]
    else:
        assert found == [f"job.yaml:{place}: {says}"]


WHOLE = {
    "nothing": (b"", "The file is empty; write its fields into it."),
    "remarks only": (b"# a\n", "The file is empty; write its fields into it."),
    "a bare start": (b"---\n", "The file is empty; write its fields into it."),
    "UTF-16": ("a: 1".encode("utf-16"), "The file is in UTF-16 or UTF-32; save it as UTF-8."),
    "binary": (b"\x89PNG\x00", "The file is not text (it holds a zero byte); give YAML or JSON."),
    "too big": (b"a" * 1_000_001, "The file is over 1,000 kB; split it."),
}


@pytest.mark.parametrize(("content", "says"), WHOLE.values(), ids=WHOLE)
def test_refused_as_a_whole(content: bytes, says: str, tmp_path: Path) -> None:
    path = tmp_path / "job.yaml"
    path.write_bytes(content)
    with pytest.raises(ReadError) as refused:
        read_file(path)
    assert [str(fault) for fault in refused.value.faults] == [f"{path.as_posix()}: {says}"]


def test_not_utf8_says_where() -> None:
    assert faults("a: 1\né: ".encode() + b"\xe9") == [
        "job.yaml:2:4: The byte 0xe9 here is not UTF-8; save the file as UTF-8."
    ]


def test_missing_file_and_folder(tmp_path: Path) -> None:
    missing = tmp_path / "none.yaml"
    with pytest.raises(ReadError, match=r"There is no such file; check its name\."):
        read_file(missing)
    with pytest.raises(ReadError, match="This is a folder; give the name"):
        read_file(tmp_path)
    with pytest.raises(ReadError, match="cannot be opened"):
        read_file(Path("a\0b"))


def test_file_is_named_as_given(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "sub").mkdir()
    (tmp_path / "sub" / "job.yaml").write_text("a: 1\n", encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    assert read_file(Path("sub") / "job.yaml").place.file == "sub/job.yaml"


@both
def test_all_faults_at_once() -> None:
    found = faults("a: *x\nb: &y 1\na: 2\n<<: {}\nc: [\n")
    assert [fault.split(": ")[0] for fault in found[:4]] == [
        f"job.yaml:{place}" for place in ("1:4", "2:4", "3:1", "4:1")
    ]
    assert len(found) == 5


@both
def test_depth_and_count_at_their_limits() -> None:
    deep = "[" * reader.MOST_DEPTH + "]" * reader.MOST_DEPTH
    assert len(walk(read_text(deep, "f"))) == reader.MOST_DEPTH
    assert faults(f"[{deep}]") == [
        "job.yaml:1:31: Values are nested more than 30 deep here; write them flatter."
    ]


def test_count_at_its_limit() -> None:
    rows = "- a\n" * (reader.MOST_NODES - 1)
    assert len(walk(read_text(rows, "f"))) == reader.MOST_NODES
    assert faults(rows + "- a\n") == [
        "job.yaml:50000:3: The file holds more than 50,000 names and values; split it."
    ]


HOSTILE = {
    "brackets": "[" * 999_999,
    "braces": "{a: " * 249_000,
    "dashes": "- " * 499_000,
    "question marks": "? " * 499_000,
    "directives": "%TAG !a! x\n" * 80_000,
    "late directives": "a: 1\n...\n" + "%TAG !a! x\n" * 80_000,
    "aliases": "- &a [x]\n" + "- [*a, *a]\n" * 80_000,
    "anchors": "- &a b\n" * 100_000,
    "rows": "- a\n" * 240_000,
    "fields": "".join(f"k{i}: 1\n" for i in range(70_000)),
    "doubled fields": "a: 1\n" * 160_000,
    "documents": "--- a\n" * 160_000,
    "open quote": "'" + "a\n" * 490_000,
    "backslashes": '"' + "\\" * 999_000,
    "exclamation marks": "!" * 999_000,
    "indentation": "\n".join(" " * i + "a:" for i in range(1_300)),
    "escapes": '["' + "\\ud83d\\ude00" * 80_000 + '",',
    "different escapes": ",".join(f"'\\ud83d\\u{0xDC00 + i % 1023:04x}'" for i in range(49_000)),
}


@pytest.mark.parametrize("text", HOSTILE.values(), ids=HOSTILE)
def test_hostile_file_is_refused(text: str) -> None:
    faults(text)  # about a second; what this guards against takes hours, or ends in a crash
