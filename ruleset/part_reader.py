"""Sorts and parts, from the nodes of a book."""

from collections.abc import Mapping

from .fields import Faults, Fields
from .kinds import KINDS, Kind
from .nearest import did_you_mean
from .node import Node, Text
from .part import THERE, Child, Group, Part, Role, Sort
from .patterns import CHILD_KEY, NAME, SORT_NAME


def read_sort(node: Node, name: str, book: str, faults: Faults) -> Sort:
    """Return a sort of a book."""
    fields = Fields(node, faults, f"the sort {name}")
    kinds: dict[str, Kind] = {}
    for key, one in fields.table("fields", NAME).items():
        text = one.text if isinstance(one, Text) else ""
        if text in KINDS:
            kinds[key] = KINDS[text]
        else:
            hint = did_you_mean(text, tuple(KINDS)) or f" The kinds are {', '.join(KINDS)}."
            faults.add(one.place, f"{text!r} is no kind.{hint}")
    sort = Sort(
        name=name,
        plural=fields.text("plural", default=f"{name}s", looks=SORT_NAME),
        fields=kinds,
        extends=fields.one_or_more("is", looks=SORT_NAME),
        roles=_roles(fields),
        groups=_groups(fields, name, book),
        called=fields.text("called"),
        place=fields.place,
    )
    fields.done()
    return sort


def _roles(fields: Fields) -> Mapping[str, Role]:
    found: dict[str, Role] = {}
    names, node = fields.table("roles", NAME), fields.node("roles")
    if not names or node is None:
        return found
    roles = Fields(node, fields.faults, "roles")
    for name in names:
        sorts = roles.one_or_more(name, looks=SORT_NAME)
        found[name] = Role(name=name, sorts=sorts, place=roles.key_place(name))
    return found


def read_part(node: Node, name: str, book: str, faults: Faults) -> Part:
    """Return a part of a book."""
    fields = Fields(node, faults, f"the part {name}")
    part = Part(
        name=name,
        means=fields.text("means", need=True),
        sorts=fields.texts("sorts"),
        groups=_groups(fields, "", book),
        roles={role: (who,) for role, who in fields.texts_of("roles", NAME).items()},
        place=fields.place,
    )
    fields.done()
    return part


def _groups(fields: Fields, of: str, book: str) -> Mapping[str, Group]:
    nodes = fields.table("groups", NAME)
    return {key: _group(one, key, of, book, fields.faults) for key, one in nodes.items()}


def _group(node: Node, name: str, of: str, book: str, faults: Faults) -> Group:
    fields = Fields(node, faults, f"the group {name}")
    group = Group(
        sort=fields.text("sort", need=True),
        are=tuple(_child(one, faults) for one in fields.rows("are")),
        more=fields.text("more"),
        by=fields.text("by", looks=NAME) if of else "",
        of=of,
        book=book,
        place=fields.place,
    )
    if group.by and {"are", "more"} & {*fields.names()}:
        fields.wrong(
            "by",
            f"The group {name} is of the parts that name it by {group.by}; leave out are and more.",
        )
    fields.done()
    return group


def _child(node: Node, faults: Faults) -> Child:
    fields = Fields(node, faults, "a child of a group")
    means, there = fields.text("means", need=True), fields.formula(THERE)
    formulas = {}
    for key in fields.names():
        if not CHILD_KEY.fits(key):
            faults.add(fields.key_place(key), f"{key!r} is no name of a field. {NAME.says}")
        if key not in ("means", THERE) and (formula := fields.formula(key)) is not None:
            formulas[key] = formula
    return Child(means=means, fields=formulas, there=there, place=fields.place)
