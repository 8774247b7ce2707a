"""Bad jobs, kits and files: each fault is a whole sentence with its place, never a traceback."""

import datetime as dt
from collections.abc import Callable
from pathlib import Path

import pytest

from ruleset import RulesetError, assemble
from ruleset.book_reader import read_book
from ruleset.layers import read_layer
from ruleset.reader import MOST_BYTES, read_text
from validator import Review, Rules, load_job, review
from validator.hooks import new_manager

BARE = Path(__file__).parent / "books" / "arrangements"
BOOK = (Path(__file__).parent / "books/small.yaml").read_text(encoding="utf-8")
KIT = "kit: small-kit\ntitle: A kit\ndrop: 2 in\n"
CODE = "code: there\ntitle: A code set\n"
JOB = """\
job: 1
format: 2
arrangement: bare
units: in
kit: small-kit
code: there
survey:
  width: 9
  curb: {base: floor}
  lined: yes
  load: 5 kg
design:
  holes: none
"""
TODAY = dt.date(2026, 2, 3)


def small_rules() -> Rules:
    """Return the rules of the small book, without any plugin."""
    library = assemble([read_book(read_text(BOOK, "book"))])
    codes = {"there": read_layer(read_text(CODE, "code"))}
    return Rules(library=library, codes=codes, plugins=new_manager(), folders=(BARE,))


RULES = small_rules()


def told(make: Callable[[], object]) -> list[str]:
    """Return the faults of what cannot be used, each checked to be a whole sentence."""
    with pytest.raises(RulesetError) as caught:
        make()
    assert caught.value.faults
    for fault in caught.value.faults:
        assert fault.place.file
        assert fault.says.endswith((".", "?")), fault.says
        assert "\n" not in fault.says
        assert len(fault.says) < 500
        assert not fault.says.startswith(("Error", "KeyError", "ValueError"))
    return [str(fault) for fault in caught.value.faults]


Ask = Callable[..., Review]


@pytest.fixture
def ask(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Ask:
    """Return what reviews a job's text by small rules; its file is job.yaml beside a kits/."""
    monkeypatch.chdir(tmp_path)
    Path("kits").mkdir()
    Path("kits/small-kit.yaml").write_text(KIT, encoding="utf-8")

    def asked(text: str | bytes) -> Review:
        data = text if isinstance(text, bytes) else text.encode()
        Path("job.yaml").write_bytes(data)
        rules = small_rules()  # kits are read once for the same rules
        return review(load_job(Path("job.yaml"), rules), rules, today=TODAY, tolerance=False)

    return asked


def changed(old: str, new: str) -> str:
    """Return the job with one piece of text in place of another."""
    assert old in JOB
    return JOB.replace(old, new, 1)


def test_the_job_itself_is_good(ask: Ask) -> None:
    found = ask(JOB)
    assert (found.findings, found.broken, found.release.ready) == ((), (), True)


NEED = "a length is needed, such as 59 3/4 in or 1518 mm."
LENGTHS = {
    "12 kg": f"12 kg is a mass; {NEED}",
    "12 furlongs": f"furlongs is not a known unit; {NEED}",
    "nan": f"nan does not begin with a number; {NEED}",
    ".NaN": f".NaN does not begin with a number; {NEED}",
    "inf": f"inf does not begin with a number; {NEED}",
    "-.inf": f"-.inf does not begin with a number; {NEED}",
    "1e999": f"1e999 is out of range, powers of ten go to 99; {NEED}",
    "1/0": f"1/0 divides by zero; {NEED}",
    "six": f"six does not begin with a number; {NEED}",
    "7\u041e": (
        f"7\u041e has the letter cyrillic capital letter o, only plain letters, digits and "
        f"signs are read; {NEED}"
    ),
}


@pytest.mark.parametrize(("text", "says"), LENGTHS.items())
def test_a_length_that_is_none(ask: Ask, text: str, says: str) -> None:
    assert told(lambda: ask(changed("width: 9", f"width: {text}"))) == [
        f"job.yaml:8:10: survey.width: {says}"
    ]


@pytest.mark.parametrize(
    ("text", "shown"), [("-9", "-9 in"), ("0", "0 in"), ("900", "900 in"), ("9 ft", "108 in")]
)
def test_a_negative_or_absurd_size(ask: Ask, text: str, shown: str) -> None:
    assert told(lambda: ask(changed("width: 9", f"width: {text}"))) == [
        (
            f"job.yaml:8:10: survey.width is {shown}; it lies between 1 in and 99 in. "
            "Check the reading and its unit."
        )
    ]


def test_a_bare_number_without_units(ask: Ask) -> None:
    assert told(lambda: ask(changed("units: in\n", ""))) == [
        f"job.yaml:7:10: survey.width: 9 has no unit; {NEED}"
    ]


def test_many_bare_numbers_without_units_are_told_once(ask: Ask) -> None:
    job = changed("units: in\n", "").replace("holes: none", "holes: [{across: 2}, {across: 3}]")
    (says,) = told(lambda: ask(job))
    assert says == (
        "job.yaml:7:10: survey.width: 9 has no unit, nor have 2 further lengths; write units: in "
        "or units: mm at the head of the file, or a unit with each."
    )


def whole(says: str) -> str:
    """Return a sentence with the folders that the test is run in."""
    here = Path.cwd()
    return says.replace("HERE", here.as_posix()).replace("ABOVE", here.parent.as_posix())


CHANGES = {
    "missing kit": (
        "small-kit",
        "tall-kit",
        (
            "5:6: There is no kit tall-kit in HERE/kits, ABOVE/kits. "
            "There are: small-kit. Did you mean 'small-kit'?"
        ),
    ),
    "no kit": ("kit: small-kit\n", "", "1:1: A job has no kit; it needs one."),
    "kit above": (
        "small-kit",
        "../x",
        ("5:6: kit is '../x'. A kit's id is small letters, digits and dashes."),
    ),
    "kit elsewhere": (
        "small-kit",
        "/etc/passwd",
        ("5:6: kit is '/etc/passwd'. A kit's id is small letters, digits and dashes."),
    ),
    "kit by backslash": (
        "small-kit",
        r"..\x",
        (
            r"5:6: kit is '..\x'. A kit's id is small letters, "
            "digits and dashes."
        ),
    ),
    "kit with a zero character": (
        "small-kit",
        r'"a\0b"',
        (
            "5:6: An escape in this text makes the "
            "control character U+0000; only a tab and a line break may be written so."
        ),
    ),
    "unknown code": (
        "code: there",
        "code: theer",
        ("6:7: There is no code set or policy theer; there are: there. Did you mean 'there'?"),
    ),
    "no code": (
        "code: there\n",
        "",
        (
            "1:1: The job names no code set, and none was asked for. "
            "Write one, such as `code: irc-2021`; there are: there."
        ),
    ),
    "misspelt fact": (
        "width: 9",
        "widht: 9",
        ("8:3: There is no fact survey.widht. Did you mean 'survey.width'?"),
    ),
    "misspelt inner fact": (
        "base: floor",
        "bsae: floor",
        ("9:10: There is no fact survey.curb.bsae. Did you mean 'survey.curb.base'?"),
    ),
    "fact like no other": (
        "width: 9",
        "qqq: 9",
        ("8:3: There is no fact survey.qqq. Allowed here: width, curb, lined, load."),
    ),
    "misspelt field": (
        "survey:",
        "survay:",
        ("7:1: A job has no field 'survay'. Did you mean 'survey'?"),
    ),
    "look-alike field": (
        "  lined",
        "  l\u0456ned",
        ("10:3: There is no fact survey.l\u0456ned. Did you mean 'survey.lined'?"),
    ),
    "look-alike word": (
        "base: floor",
        "base: fl\u043eor",
        (
            "9:16: survey.curb.base: 'fl\u043eor' "
            "is none of its words, which are curb, floor. Did you mean 'floor'?"
        ),
    ),
    "neither yes nor no": (
        "lined: yes",
        "lined: maybe",
        ("10:10: survey.lined: maybe is neither yes nor no; write yes or no."),
    ),
    "value where a table is": (
        "{base: floor}",
        "floor",
        ("9:9: survey.curb is a table of facts; here is text."),
    ),
    "table where a value is": (
        "width: 9",
        "width: {a: 9}",
        ("8:10: survey.width is one value; here is a table."),
    ),
    "text where a list is": (
        "holes: none",
        "holes: 3",
        ("13:10: design.holes is a list of rows, or none; here is text."),
    ),
    "row that is none": (
        "holes: none",
        "holes: [3]",
        ("13:11: A row of design.holes is a table with across; here is text."),
    ),
    "field of a row": (
        "holes: none",
        "holes: [{acros: 3}]",
        ("13:12: A row of design.holes has no acros. Did you mean 'across'?"),
    ),
    "absurd size in a row": (
        "holes: none",
        f"holes: [{{across: {'9' * 39}}}]",
        (
            "13:20: across is far too large; it lies between -1000 in and 1000 in. "
            "Check it and its unit."
        ),
    ),
    "too many rows": (
        "holes: none",
        "holes: [{}, {}, {}]",
        ("13:10: design.holes has 3 rows; at most 2 are read."),
    ),
    "units of another name": (
        "units: in",
        "units: inch",
        ("4:8: units is 'inch'; it may be in, mm."),
    ),
    "another arrangement": (
        "arrangement: bare",
        "arrangement: bear",
        (
            f"3:14: There is no arrangement bear in HERE/arrangements, ABOVE/arrangements, "
            f"{BARE.as_posix()}. There are: bare. Did you mean 'bare'?"
        ),
    ),
    "doubled field": (
        "  width: 9",
        "  width: 9\n  width: 8",
        (
            "9:3: The field 'width' stands twice "
            "in one table, first at line 8, column 3; keep one of them."
        ),
    ),
    "a grid of nothing": (
        "job: 1",
        "job: 1\ngrid: 0",
        ("2:7: grid is 0; it is more than 0 and at most 1 in."),
    ),
    "a schema named as a field": (
        "job: 1",
        "job: 1\n$schema: x",
        (
            "2:1: A job has no field "
            "'$schema'. It may have format, job, title, arrangement, units, grid, survey, design, "
            "order, as_built, code, policy, waivers, kit, notes."
        ),
    ),
}


@pytest.mark.parametrize(("old", "new", "says"), CHANGES.values(), ids=CHANGES)
def test_a_job_with_one_fault(ask: Ask, old: str, new: str, says: str) -> None:
    assert told(lambda: ask(changed(old, new))) == [whole(f"job.yaml:{says}")]


NO_FILES: dict[str, tuple[bytes, str]] = {
    "empty": (b"", ": The file is empty; write its fields into it."),
    "only a remark": (b"# later\n", ": The file is empty; write its fields into it."),
    "binary": (
        bytes(range(256)),
        (": The file is not text (it holds a zero byte); give YAML or JSON."),
    ),
    "10 MB": (
        b"a: " + b"x" * 10_000_000,
        (f": The file is over {MOST_BYTES // 1000:,} kB; split it."),
    ),
    "nested in brackets": (
        b"a: " + b"[" * 5000,
        (":1:1003: Far too many brackets are open here; write the values flatter."),
    ),
    "nested in lines": (
        "\n".join(f"{' ' * at}a:" for at in range(99)).encode(),
        (":31:31: Values are nested more than 30 deep here; write them flatter."),
    ),
    "not UTF-8": (
        b"job: \xc4lder\n",
        (":1:6: The byte 0xc4 here is not UTF-8; save the file as UTF-8."),
    ),
    "UTF-16": ("job: 1".encode("utf-16"), ": The file is in UTF-16 or UTF-32; save it as UTF-8."),
    "a list": (b"- job\n- kit\n", ":1:1: A job is a table of fields; here is a list."),
    "a word": (b"job\n", ":1:1: A job is a table of fields; here is text."),
    "a book": (
        b"book: own\ntitle: Ours\n",
        (
            ":1:1: This file is no job but a book of rules; the rules in force have it, or it is "
            "given by --books. A job begins with `job:`."
        ),
    ),
    "a code set": (
        b"format: 2\ncode: own-1\namends: {}\n",
        (
            ":1:1: This file is no job but a code set or a policy; a job names it under `code` or "
            "`policy`. A job begins with `job:`."
        ),
    ),
    "a stock": (
        b"stock: ours\nformat: 2\n",
        (
            ":1:1: This file is no job but a shop's stock, which stands beside its jobs as "
            "stock.yaml. A job begins with `job:`."
        ),
    ),
    "an arrangement": (
        b"arrangement: ours\nparts: {}\n",
        (
            ":1:1: This file is no job but an arrangement; a job names it under `arrangement`. A "
            "job begins with `job:`."
        ),
    ),
    "a tag": (
        b"job: !!python/name:os.system x\n",
        (":1:6: '!' puts a type on this value; remove it, or quote the text if it starts so."),
    ),
}


@pytest.mark.parametrize(("data", "says"), NO_FILES.values(), ids=NO_FILES)
def test_a_file_that_is_no_job(ask: Ask, data: bytes, says: str) -> None:
    assert told(lambda: ask(data)) == [f"job.yaml{says}"]


def test_repeated_values_cannot_grow(ask: Ask) -> None:
    layers = "".join(f"b{at}: &b{at} [*b{at - 1}, *b{at - 1}]\n" for at in range(1, 40))
    says = told(lambda: ask("b0: &b0 [x, x]\n" + layers))
    assert says[0] == "job.yaml:1:5: '&b0' marks a value for repeating; remove it."
    assert len(says) <= 101


@pytest.mark.parametrize("start", ["", "\ufeff"])
@pytest.mark.parametrize("ending", ["\n", "\r\n"])
def test_line_endings_and_a_mark_of_byte_order_are_read(ask: Ask, start: str, ending: str) -> None:
    assert ask(start + JOB.replace("\n", ending)).release.ready
    bad = start + changed("width: 9", "width: x").replace("\n", ending)
    assert told(lambda: ask(bad))[0].startswith("job.yaml:8:10: ")


def test_letters_of_any_language_are_read_as_text(ask: Ask) -> None:
    title = "title: \N{LATIN CAPITAL LETTER A WITH DIAERESIS}lder, \u93e1, \U0001fa9f\n"
    assert ask(title + JOB).title == title.removeprefix("title: ").strip()


def test_a_file_that_cannot_be_opened(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    name = tmp_path.as_posix()
    assert told(lambda: load_job(tmp_path, RULES)) == [
        f"{name}: This is a folder; give the name of a YAML or JSON file."
    ]
    assert told(lambda: load_job(tmp_path / "no.yaml", RULES)) == [
        f"{name}/no.yaml: There is no such file; check its name."
    ]
    assert "not one the system can use" in told(lambda: load_job(Path("a\0b"), RULES))[0]
    (tmp_path / "job.yaml").write_text(JOB, encoding="utf-8")

    def refused(*_: object, **__: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", refused)
    assert told(lambda: load_job(tmp_path / "job.yaml", RULES)) == [
        (
            f"{name}/job.yaml: The file cannot be opened (Permission denied); "
            "check its name and who may read it."
        )
    ]


def test_a_list_that_is_missing_is_unknown_and_an_empty_one_has_nothing_to_check(ask: Ask) -> None:
    for empty in ("none", "[]"):
        assert ask(changed("holes: none", f"holes: {empty}")).release.ready
    for missing in ("holes:", "holes: ''"):
        found = ask(changed("holes: none", missing))
        assert not found.release.ready
        assert [(one.clause, one.outcome, one.missing) for one in found.findings] == [
            ("small.across", "unknown", ("design.holes",))
        ]
        assert [one.fact for one in found.asked] == ["design.holes"]
    narrow = ask(changed("holes: none", "holes: [{across: -3}, {}]")).findings
    assert [(one.subject, one.outcome) for one in narrow] == [
        ("design.holes[1]", "fails"),
        ("design.holes[2]", "unknown"),
    ]


def waived(text: str, job: str = "") -> str:
    """Return a job with a waiver."""
    return f"{job or JOB}waivers:\n  - {{{text}}}\n"


WAIVERS = {
    "clause: small.wdie, why: x, by: y": "15:14: There is no clause small.wdie to waive. "
    "Did you mean 'small.wide'?",
    "clause: wide, why: x, by: y": "15:14: There is no clause wide to waive. "
    "Did you mean 'small.wide'?",
    "clause: small.wide, by: y": "15:5: A waiver has no why; it needs one.",
    "clause: small.wide, why: x": "15:5: A waiver has no by; it needs one.",
    "clause: small.wide, why: x, by: y, until: soon": "15:48: until is 'soon'. "
    "Write a day such as 2027-03-31.",
    "clause: small.wide, why: x, by: y, until: 20270101": "15:48: until is '20270101'. "
    "Write a day such as 2027-03-31.",
    "clause: small.wide, why: x, by: y, until: 2027-02-30": "15:48: until is 2027-02-30, "
    "which is no day of the calendar.",
    "clause: small.wide, why: x, by: y, untill: 2027-02-01": "15:41: A waiver has no field "
    "'untill'. Did you mean 'until'?",
}


@pytest.mark.parametrize(("text", "says"), WAIVERS.items())
def test_a_waiver_that_cannot_be_read(ask: Ask, text: str, says: str) -> None:
    assert told(lambda: ask(waived(text))) == [f"job.yaml:{says}"]


def test_waivers_that_do_not_stand_are_told(ask: Ask) -> None:
    narrow = changed("width: 9", "width: 2")
    text = "clause: small.wide, why: Agreed, by: A. Fitter, until: "
    stands = ask(waived(f"{text}2026-02-03", narrow))
    assert [(one.clause, one.outcome) for one in stands.findings] == [("small.wide", "exempt")]
    assert stands.release.ready
    ended = ask(waived(f"{text}2026-02-02", narrow))
    assert [one.says for one in ended.findings] == [
        "It is 2 in; at least 3 in is needed. The waiver by A. Fitter ended on 2026-02-02."
    ]
    assert not ended.release.ready
    strict = waived("clause: small.strict, why: Agreed, by: A. Fitter", changed("yes", "no"))
    assert [one.says for one in ask(strict).findings] == [
        "It is not lined. The waiver by A. Fitter does not stand: this may not be waived."
    ]


def test_kits_that_cannot_be_used(ask: Ask, ran: Callable[[], None]) -> None:
    cases = {
        KIT.replace("drop: 2 in", "dorp: 2 in"): "3:1: There is no fact kit.dorp. "
        "Did you mean 'kit.drop'?",
        KIT.replace("2 in", "99 in"): "3:7: kit.drop is 99 in; it lies between 0 in and 9 in. "
        "Check the reading and its unit.",
        KIT.replace("2 in", "2"): f"3:7: kit.drop: 2 has no unit; {NEED}",
        KIT.replace("title: A kit\n", ""): "1:1: A kit has no title; it needs one.",
        KIT.replace("kit: small-kit", "kit: other"): "1:1: The file is named small-kit.yaml, but "
        "its kit is other.",
        "- a\n": "1:1: A kit is a table of fields; here is a list.",
    }
    for text, says in cases.items():
        ran()
        Path("kits/small-kit.yaml").write_text(text, encoding="utf-8")
        assert told(lambda: ask(JOB)) == [f"kits/small-kit.yaml:{says}"]


def flood(start: str, row: str) -> str:
    """Return a piece of a job with the same fault five thousand times."""
    return start + "".join(row.format(at) for at in range(5000))


FLOODS = {
    "facts": changed("  width: 9\n", flood("  width: 9\n", "  widht{}: 9\n")),
    "fields": flood(JOB, "survay{}: 9\n"),
    "waivers": flood(f"{JOB}waivers:\n", "- {{clause: small.wdie{}, why: x, by: y}}\n"),
    "codes": changed("code: there", flood("code: [", "A{},") + "]"),
    "kit": None,
}


@pytest.mark.parametrize("text", FLOODS.values(), ids=FLOODS)
def test_the_first_hundred_faults_are_told(ask: Ask, text: str | None) -> None:
    if text is None:
        Path("kits/small-kit.yaml").write_text(flood(KIT, "dorp{}: 1 in\n"), encoding="utf-8")
    says = told(lambda: ask(text or JOB))
    assert len(says) == 101
    last = ": These are the first 100 faults; correct them first."
    assert any(one.endswith(last) for one in says[-2:])  # two at one place stand by their letters


def test_a_kit_that_is_a_folder_or_may_not_be_looked_at(
    ask: Ask, monkeypatch: pytest.MonkeyPatch
) -> None:
    Path("kits/tall-kit.yaml").mkdir()
    missing = whole("job.yaml:5:6: There is no kit tall-kit in HERE/kits, ABOVE/kits.")
    tall = changed("small-kit", "tall-kit")
    (says,) = told(lambda: ask(tall))
    assert says == f"{missing} There are: small-kit. Did you mean 'small-kit'?"

    seen = Path.is_file

    def refused(path: Path) -> bool:
        if "kits" in path.parts:
            raise PermissionError(13, "Permission denied")
        return seen(path)

    monkeypatch.setattr(Path, "is_file", refused)
    assert told(lambda: ask(tall)) == [missing]


@pytest.mark.parametrize("written", ["There", "THERE", "ther e"])
def test_a_code_set_by_its_title_is_told_with_its_id(ask: Ask, written: str) -> None:
    (says,) = told(lambda: ask(changed("code: there", f"code: {written}")))
    assert says.endswith(" Did you mean 'there'?")
