"""Old jobs laid out at random, by lines and in braces, commented everywhere: none loses a thing."""

import json
import random
from collections.abc import Iterator, Mapping

import pytest

from ruleset.node import Node, Rows, Table, Text
from ruleset.reader import read_text
from ruleset.written import comments, written
from validator.convert import convert

SEEDS = range(240)
Tree = dict[str, "Tree | list[dict[str, str]] | str"]
Value = Tree | list[dict[str, str]] | str

# Where each value of an old job belongs, by the hand `left`: written down by hand from what each
# name means, "fixed" being the wall that the fixed panel stands at, on the side of the hand.
MOVED = {
    "survey.head_height": "survey.front.head_height",
    "survey.width.sill": "survey.front.width.sill",
    "survey.width.middle": "survey.front.width.middle",
    "survey.width.head": "survey.front.width.head",
    "survey.lean.fixed": "survey.left.lean",
    "survey.lean.strike": "survey.right.lean",
    "survey.bow.fixed": "survey.left.bow",
    "survey.bow.strike": "survey.right.bow",
    "survey.diagonal.rising": "survey.left.diagonal",
    "survey.diagonal.falling": "survey.right.diagonal",
    "survey.curb.fall.fixed": "survey.left.fall",
    "survey.curb.fall.strike": "survey.right.fall",
    "survey.curb.drop.fixed": "survey.left.drop",
    "survey.curb.drop.split": "survey.fixed.drop",
    "survey.curb.drop.strike": "survey.right.drop",
    "survey.wall.fixed.backing": "survey.left.backing",
    "survey.wall.fixed.pipes_known": "survey.left.pipes_known",
    "survey.wall.fixed.hollow": "survey.left.hollow",
    "survey.wall.fixed.tile_outward": "survey.left.tile_outward",
    "survey.wall.fixed.tile_upward": "survey.left.tile_upward",
    "survey.wall.strike.backing": "survey.right.backing",
    "survey.wall.strike.pipes_known": "survey.right.pipes_known",
    "survey.wall.strike.hollow": "survey.right.hollow",
    "survey.wall.strike.tile_outward": "survey.right.tile_outward",
    "survey.wall.strike.tile_upward": "survey.right.tile_upward",
    "survey.ceiling.inside.fixed": "survey.left.ceiling.inside",
    "survey.ceiling.inside.strike": "survey.right.ceiling.inside",
    "survey.ceiling.outside.fixed": "survey.left.ceiling.outside",
    "survey.ceiling.outside.strike": "survey.right.ceiling.outside",
    "design.split": "design.fixed.split",
    "design.wall_gap": "design.fixed.wall_gap",
    "design.sill_lift": "design.fixed.sill_lift",
    "design.first_hole": "design.fixed.first_hole",
    "design.overlap": "design.door.overlap",
    "design.floor_gap": "design.door.floor_gap",
    "design.eccentric": "design.door.eccentric",
    "design.handle.kind": "design.door.handle.kind",
    "design.handle.setback": "design.door.handle.setback",
    "design.handle.half_width": "design.door.handle.half_width",
    "design.handle.panel_side": "design.door.handle.panel_side",
    "design.handle.height": "design.door.handle.height",
    "design.handle.hole": "design.door.handle.hole",
    "design.handle.mass": "design.door.handle.mass",
    "design.bar_offset": "design.bar.offset",
    "design.curb_fixing": "design.curb.fixing",
    "order.ack.door_width": "order.door.acknowledged.width",
    "order.ack.door_height": "order.door.acknowledged.height",
    "order.ack.door_holes": "order.door.acknowledged.holes",
    "order.ack.fixed_width": "order.fixed.acknowledged.width",
    "order.ack.fixed_height": "order.fixed.acknowledged.height",
    "order.ack.fixed_holes": "order.fixed.acknowledged.holes",
    "as_built.goods.door_width": "as_built.door.goods.width",
    "as_built.goods.door_height": "as_built.door.goods.height",
    "as_built.goods.door_holes": "as_built.door.goods.holes",
    "as_built.goods.fixed_width": "as_built.fixed.goods.width",
    "as_built.goods.fixed_height": "as_built.fixed.goods.height",
    "as_built.goods.fixed_holes": "as_built.fixed.goods.holes",
    "as_built.setting_blocks": "as_built.fixed.setting_blocks",
    "as_built.head_held": "as_built.fixed.head_held",
    "as_built.floor_gap.leading": "as_built.door.floor_gap.leading",
    "as_built.floor_gap.trailing": "as_built.door.floor_gap.trailing",
    "as_built.floor_gap.open": "as_built.door.floor_gap.open",
    "as_built.adjustment_left": "as_built.door.adjustment_left",
    "as_built.retainers_set": "as_built.door.retainers_set",
    "as_built.guide_capture": "as_built.door.guide_capture",
    "as_built.handle_clearance": "as_built.door.handle_clearance",
    "as_built.bar_height": "as_built.bar.height",
    "as_built.bar_level": "as_built.bar.level",
    "as_built.stops_fitted": "as_built.bar.stops_fitted",
}
STAYED = (
    "survey.read_on",
    "survey.base",
    "survey.window.near",
    "survey.curb.flat_width",
    "survey.curb.above_floor",
    "survey.compartment.width",
    "survey.receptor.slope",
    "design.height",
    "design.door.thickness",
    "design.door.glass",
    "design.door.holes",
    "design.fixed.thickness",
    "design.fixed.holes",
    "order.crew",
    "order.second_check",
    "order.door.width",
    "order.door.holes",
    "order.fixed.width",
    "as_built.fixed.out_of_plumb",
    "as_built.cured",
)
# On which of the two walls the shower head is, by the hand `left`: the panel's, and the other.
SHOWER = {"fixed": ("yes", "no"), "strike": ("no", "yes"), "opposite": ("no", "no")}
# Waivers of the hand `left`, and what becomes of their clause and subject.
WAIVERS = (
    ({"clause": "papers.order-door"}, ("papers.order", "door")),
    ({"clause": "papers.goods-fixed", "subject": ""}, ("papers.goods", "fixed")),
    ({"clause": "papers.acknowledged-door", "subject": "door"}, ("papers.acknowledged", "door")),
    ({"clause": "opening.backing", "subject": "fixed_wall"}, ("opening.backing", "left")),
    ({"clause": "opening.rake", "subject": "strike_wall"}, ("opening.rake", "right")),
    (
        {"clause": "opening.readings-fresh", "subject": "opening"},
        ("opening.readings-fresh", "front"),
    ),
    ({"clause": "opening.curb-width"}, ("opening.curb-width", None)),
)
TEXTS = (
    "1/16",
    "59 15/16",
    "yes",
    "0",
    "2 %",
    "3/8 in +- 1/16 in",
    "4' 11\"",
    "48 h",
    "mid",
    "-1",
    "a, b",
)


def moved(name: str, hand: str) -> str:
    """Return where a value of an old job belongs."""
    new = MOVED.get(name, name)
    if hand == "right" and name in MOVED:
        part = new.split(".")[1]
        other = {"left": "right", "right": "left"}.get(part, part)
        new = new.replace(f".{part}.", f".{other}.", 1)
    return new


class Writer:
    """A job, and its text, by a seed."""

    def __init__(self, seed: int) -> None:
        """Draw the job."""
        self.dice = random.Random(seed)  # noqa: S311
        self.remarks = 0
        self.share = self.dice.choice((0.0, 0.1, 0.4))
        self.braces = self.dice.choice((0.1, 0.5, 0.9))
        self.step = self.dice.choice((2, 2, 4))
        self.hand = self.dice.choice(("left", "right"))
        self.job: Tree = {"job": "A1", "arrangement": "in-line slider", "kit": "k"}
        names = [n for n in (*MOVED, *STAYED) if self.dice.random() < self.dice.choice((0.3, 0.9))]
        self.dice.shuffle(names)
        values: dict[str, Value] = {name: self.value(name) for name in names}
        values["design.hand"] = self.hand
        if self.dice.random() < 0.7:
            values["survey.shower.wall"] = self.dice.choice((*SHOWER, ""))
        for name, value in values.items():
            *tables, last = name.split(".")
            at: Tree = self.job
            for table in tables:
                inner = at.setdefault(table, {})
                assert isinstance(inner, dict)
                at = inner
            at[last] = value
        self.waivers = self.dice.sample(WAIVERS, self.dice.choice((0, 0, 1, 3)))
        if self.waivers:
            self.job["waivers"] = [{**row, "by": "us"} for row, _ in self.waivers]

    def value(self, name: str) -> Value:
        """Return a value that may stand under a name."""
        if name.rpartition("_")[2].endswith("holes") and self.dice.random() < 0.8:
            return [
                {"x": self.dice.choice(TEXTS), "y": "2"} for _ in range(self.dice.randint(1, 2))
            ]
        return self.dice.choice(("", *TEXTS))

    def wanted(self) -> Mapping[str, str]:
        """Return every value that the new job has, by its name."""
        found = {"format": "2"}
        other = {"left": "right", "right": "left"} if self.hand == "right" else {}
        for at, (_, (clause, subject)) in enumerate(self.waivers):
            found |= {f"waivers[{at}].clause": clause, f"waivers[{at}].by": "us"}
            if subject is not None:
                found[f"waivers[{at}].subject"] = other.get(subject, subject)
        for name, text in flat({key: one for key, one in self.job.items() if key != "waivers"}):
            if name == "survey.shower.wall":
                near, far = SHOWER.get(text, ("", ""))
                sides = ("left", "right") if self.hand == "left" else ("right", "left")
                found |= {f"survey.{s}.shower": t for s, t in zip(sides, (near, far), strict=True)}
                continue
            head = name.split("[", 1)[0]
            found[moved(head, self.hand) + name[len(head) :]] = text
        return found

    # The layout.

    def often(self, share: float) -> bool:
        """Return yes for a share of all calls."""
        return self.dice.random() < share

    def remark(self) -> str:
        """Return a comment like no other."""
        self.remarks += 1
        return f"# {self.dice.choice(('note', 'a: {b}', 'it is, so', '- x'))} {self.remarks}"

    def yaml(self) -> str:
        """Return the job as YAML."""
        lines = [self.remark(), "---"] if self.often(0.2) else []
        if self.often(0.15):
            text = "\n".join([*lines, self.in_braces(self.job, 0)]) + "\n"
        else:
            text = "\n".join([*lines, *self.on_lines(self.job, 0)]) + "\n"
        if self.often(self.share):
            text += f"{self.remark()}\n"
        if self.often(0.1):
            text = text.rstrip("\n")
        return text.replace("\n", "\r\n") if self.often(0.3) else text

    def key(self, name: str) -> str:
        """Return a name, in quotes or not."""
        return self.dice.choice((f'"{name}"', f"'{name}'")) if self.often(0.1) else name

    def text(self, text: str) -> str:
        """Return a scalar, in quotes or not."""
        if not text:
            return self.dice.choice(("", "", "~", "null"))
        if (self.often(0.2) or "," in text) and '"' not in text:
            return f'"{text}"'
        return "'" + text.replace("'", "''") + "'" if self.often(0.1) else text

    def on_lines(self, table: Mapping[str, Value], column: int, *, row: bool = False) -> list[str]:
        """Return a table's lines; in a row of a list no text stands in a block."""
        indent, lines = " " * column, []
        for name, value in table.items():
            lines += [""] if self.often(0.1) else []
            lines += [f"{indent}{self.remark()}" for _ in range(2) if self.often(self.share)]
            head = f"{indent}{self.key(name)}:"
            end = (
                f"{self.dice.choice((' ', '  '))}{self.remark()}" if self.often(self.share) else ""
            )
            if isinstance(value, dict) and not self.often(self.braces):
                inner = column + self.step
                lines += [f"{head}{end}", *self.on_lines(value, inner)]
                lines += [f"{' ' * inner}{self.remark()}"] if self.often(self.share / 2) else []
            elif isinstance(value, list) and not self.often(self.braces):
                dash = " " * (column + self.dice.choice((0, self.step)))
                lines += [f"{head}{end}"]
                for one in value:
                    if self.often(0.5):
                        lines += [f"{dash}- {self.in_braces(one, column + 4)}"]
                        continue
                    first, *rest = "\n".join(self.on_lines(one, 0, row=True)).split("\n")
                    if first.startswith("#") or not first:
                        first, rest = "", [first, *rest]
                    lines += [f"{dash}- {first}".rstrip() if first else f"{dash}-"]
                    lines += [f"{dash}  {line}" if line else "" for line in rest]
            elif isinstance(value, str) and value and not row and self.often(0.05):
                sign = self.dice.choice(("|-", ">-"))
                lines += [f"{head} {sign}{end}", f"{indent}  {value}"]
            elif value == "a, b":
                lines += [f"{head} {value}{end}"]
            elif isinstance(value, str):
                gap = f"\n{indent}   " if value and self.often(0.05) else " "
                lines += [f"{head}{gap}{self.text(value)}{end}"]
            else:
                lines += [f"{head} {self.flow(value, column)}{end}"]
        return lines

    def flow(self, value: Value, column: int) -> str:
        """Return a value in brackets or braces, or a scalar."""
        if isinstance(value, dict):
            return self.in_braces(value, column)
        if isinstance(value, list):
            return f"[{', '.join(self.in_braces(row, column) for row in value)}]"
        return self.text(value)

    def in_braces(self, table: Mapping[str, Value], column: int) -> str:
        """Return a table in braces, in one line or in several."""
        several = self.often(0.3)
        inner = f"\n{' ' * (column + self.step)}"
        parts = [f" {self.remark()}" if several and self.often(self.share) else ""]
        for at, (name, value) in enumerate(table.items()):
            remark = f"{inner}{self.remark()}" if several and self.often(self.share) else ""
            lead = f"{remark}{inner}" if several else " " * (at > 0)
            end = "," if at < len(table) - 1 or (several and self.often(0.1)) else ""
            if end and several and self.often(self.share / 4):
                end = f"  {self.remark()}{inner},"
            after = f"  {self.remark()}" if several and self.often(self.share) else ""
            parts.append(f"{lead}{self.key(name)}: {self.flow(value, column + 2)}{end}{after}")
        last = f"{inner}{self.remark()}" if several and self.often(self.share / 4) else ""
        tail = f"{last}\n{' ' * column} " if several else ""
        return "{" + "".join(parts) + tail + "}"

    def json(self) -> str:
        """Return the job as JSON."""
        indent = self.dice.choice((None, None, 1, 2, "\t"))
        marks = self.dice.choice(((",", ":"), (", ", ": "))) if indent is None else (",", ": ")
        return json.dumps(self.job, indent=indent, separators=marks, ensure_ascii=False)


def flat(value: Value, name: str = "") -> Iterator[tuple[str, str]]:
    """Yield each text of a job with its name."""
    if isinstance(value, str):
        yield name, value
    elif isinstance(value, list):
        for at, row in enumerate(value):
            yield from flat(dict(row), f"{name}[{at}]")
    else:
        for key, inner in value.items():
            yield from flat(inner, f"{name}.{key}" if name else key)


def told(node: Node, name: str = "") -> Iterator[tuple[str, str]]:
    """Yield each text of a file with its name."""
    if isinstance(node, Text):
        yield name, node.text
    elif isinstance(node, Rows):
        for at, row in enumerate(node.items):
            yield from told(row, f"{name}[{at}]")
    elif isinstance(node, Table):
        for key, inner in node.entries.items():
            yield from told(inner, f"{name}.{key}" if name else key)


@pytest.mark.parametrize("seed", SEEDS)
def test_a_job_in_any_layout_keeps_values_and_comments(seed: int) -> None:
    writer = Writer(seed)
    text = writer.yaml()
    assert dict(told(read_text(text, "job.yaml"))) == dict(flat(writer.job))
    assert str(written(text)) == text
    assert len(comments(text)) == writer.remarks
    made = convert(text.encode(), "job.yaml")
    assert made.data is not None
    new = made.data.decode()
    assert dict(told(read_text(new, "job.yaml"))) == writer.wanted()
    assert sorted(comments(new)) == sorted(comments(text))
    assert "\r\n" not in text or new.count("\r\n") == new.count("\n")
    assert convert(made.data, "job.yaml").data is None


@pytest.mark.parametrize("seed", SEEDS[:40])
def test_a_job_in_json_stays_json(seed: int) -> None:
    writer = Writer(seed)
    made = convert(writer.json().encode(), "job.json")
    assert made.data is not None
    data = json.loads(made.data)
    assert data.pop("format") == 2
    assert {"format": "2", **dict(flat(data))} == writer.wanted()
