"""What a plugin may give: one file of hook specifications, and the manager that holds them."""

from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import pluggy

from ruleset.errors import STOPS, fault_of
from ruleset.formula.check import Function

if TYPE_CHECKING:
    from .finding import Finding
    from .verdict import Verdict

GROUP = "paneproof"
spec = pluggy.HookspecMarker(GROUP)
PluginManager = pluggy.PluginManager
hook = pluggy.HookimplMarker(GROUP)
"""Marks a plugin's functions: @hook above def paneproof_books()."""


class Specification:
    """Every hook. All are called when rules are loaded, or once around a run."""

    @spec
    def paneproof_books(self) -> Iterable[Path]:
        """Return files or folders of books."""
        raise NotImplementedError

    @spec
    def paneproof_codes(self) -> Iterable[Path]:
        """Return files or folders of code sets and policies."""
        raise NotImplementedError

    @spec
    def paneproof_functions(self) -> Iterable[Function]:
        """Return functions that formulas may call."""
        raise NotImplementedError

    @spec
    def paneproof_findings(self, verdict: "Verdict") -> "Iterable[Finding]":
        """Return findings that YAML cannot say, for one job; called once a run."""
        raise NotImplementedError


HOOKS: Sequence[str] = tuple(name for name in vars(Specification) if name.startswith(GROUP))


def new_manager() -> PluginManager:
    """Return a manager that knows the hooks and no plugin."""
    manager = PluginManager(GROUP)
    manager.add_hookspecs(Specification)
    return manager


def call_each(
    manager: PluginManager, name: str, *, told: Callable[[str, str], None], **given: object
) -> list[tuple[str, object]]:
    """Return what each plugin gives for a hook, by plugin name; one that fails is told.

    What can be gone through comes as a list: all of it, or all that came before it failed.

    Args:
        manager: The plugins.
        name: Name of the hook.
        told: Called with the name of a plugin that fails, and what it failed with.
        given: The hook's arguments.
    """
    found: list[tuple[str, object]] = []
    for implementation in getattr(manager.hook, name).get_hookimpls():
        wanted = {key: given[key] for key in implementation.argnames}
        came: list[object] = []
        try:
            given_back = implementation.function(**wanted)
            if isinstance(given_back, Iterable) and not isinstance(given_back, str | bytes):
                found.append((implementation.plugin_name, came))
                came.extend(given_back)
            else:
                found.append((implementation.plugin_name, given_back))
        except STOPS:
            raise
        except BaseException as error:  # noqa: BLE001  # a stranger's code: it may not lose the job
            told(implementation.plugin_name, fault_of(error))
    return found
