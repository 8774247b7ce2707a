"""Which plugins there are: the built-in ones, and those that are installed."""

import sys
from collections.abc import Iterable
from pathlib import Path
from types import ModuleType

import pluggy

from ruleset.errors import STOPS, Fault, PluginError, fault_of
from ruleset.formula.check import Function
from ruleset.place import Place

from . import builtin
from .hooks import GROUP, HOOKS, new_manager

BUILT_IN: tuple[tuple[str, ModuleType], ...] = (("built-in", builtin),)


def load_plugins(*, installed: bool = True) -> pluggy.PluginManager:
    """Return the manager with the built-in plugins and those of the entry-point group.

    Args:
        installed: Whether plugins of installed packages are taken too.

    Raises:
        PluginError: A plugin cannot be loaded or gives what it may not.
    """
    manager = new_manager()
    for name, plugin in BUILT_IN:
        register(manager, plugin, name)
    if installed and _any_installed():
        # Costs as much as all else that is imported, for what few have: asked for only then.
        from importlib.metadata import entry_points  # noqa: PLC0415

        for point in sorted(entry_points(group=GROUP), key=lambda point: point.name):
            try:
                plugin = point.load()
            except STOPS:
                raise
            except BaseException as error:
                raise _refused(point.name, f"cannot be loaded: {fault_of(error)}.") from error
            register(manager, plugin, point.name)
    return manager


def _any_installed() -> bool:
    """Return whether an installed package may have plugins: a quick look, never wrong with no."""
    for entry in sys.path:
        folder = Path(entry or ".")
        if not folder.is_dir():
            if folder.exists():
                return True  # an archive on the path: only the full look can tell
            continue
        for ending in ("dist-info", "egg-info"):
            for file in folder.glob(f"*.{ending}/entry_points.txt"):
                if f"[{GROUP}]" in file.read_text(encoding="utf-8", errors="replace"):
                    return True
    return False


def register(manager: pluggy.PluginManager, plugin: object, name: str) -> None:
    """Add a plugin, or refuse it.

    Raises:
        PluginError: The plugin has a hook that does not exist, one with other arguments, none at
            all, or a name that is taken.
    """
    if manager.has_plugin(name):
        raise _refused(name, "has the name of another plugin.")
    strange = [one for one in dir(plugin) if one.startswith(f"{GROUP}_") and one not in HOOKS]
    if strange:
        raise _refused(
            name, f"has {strange[0]}, which is no hook; the hooks are {', '.join(HOOKS)}."
        )
    try:
        manager.register(plugin, name)
        manager.check_pending()
    except (pluggy.PluginValidationError, ValueError) as error:
        manager.unregister(name=name)
        raise _refused(name, f"does not fit the hooks: {str(error).splitlines()[-1]}.") from error
    if not manager.get_hookcallers(plugin):
        manager.unregister(name=name)
        raise _refused(name, f"has no hook; a hook is marked @hook and named {', '.join(HOOKS)}.")


def checked_functions(plugin: str, given: object) -> Iterable[Function]:
    """Yield the functions that a plugin gives.

    Raises:
        PluginError: Something else is among them.
    """
    for one in _listed(plugin, given, "functions"):
        if not isinstance(one, Function):
            raise _refused(plugin, f"gives {one!r} as a function; give ruleset's Function.")
        yield one


def checked_paths(plugin: str, given: object) -> Iterable[Path]:
    """Yield the files and folders that a plugin gives.

    Raises:
        PluginError: Something else is among them.
    """
    for one in _listed(plugin, given, "paths"):
        if not isinstance(one, str | Path):
            raise _refused(plugin, f"gives {one!r} as a path; give a Path.")
        yield Path(one)


def _listed(plugin: str, given: object, what: str) -> list[object]:
    """Return what a plugin gives as a list."""
    if isinstance(given, str | bytes) or not isinstance(given, Iterable):
        raise _refused(plugin, f"gives {what} that are no list.")
    return list(given)


def _refused(name: str, says: str) -> PluginError:
    return PluginError(Fault(Place(file=f"plugin {name}"), f"The plugin {name} {says}"))
