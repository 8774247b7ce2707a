"""How a file is written: whole, or not at all. The one place that writes one."""

import contextlib
import errno
import os
import secrets
from collections.abc import Callable, Iterable
from pathlib import Path


def save_new(path: Path, data: bytes, *, like: Path | None = None) -> None:
    """Write a new file; one that is there already stays as it is.

    Args:
        path: The new file.
        data: What it holds.
        like: A file whose rights and owner it gets; those of any new file for None.

    Raises:
        OSError: The file is there already, or cannot be written; told with the file's own name.
    """
    if not path.parent.is_dir():
        says = "Its folder is not there; make that first, or choose another"
        raise FileNotFoundError(errno.ENOENT, says, str(path))
    _refuse_taken(path)

    def settle(made: Path) -> None:
        try:
            # A link fails where the name is taken meanwhile; a rename would put it out of the way.
            path.hardlink_to(made)
        except FileExistsError:
            raise _taken(path) from None
        except OSError:  # a disk without hard links, as sticks and cards have
            _refuse_taken(path)
            made.rename(path)

    _written(path, data, named=path, like=like, settle=settle)


def save_over(path: Path, data: bytes) -> None:
    """Write a file anew; its rights and owner stay, and of a link what it points to is written.

    Args:
        path: A file that is there.
        data: What it holds from now on.

    Raises:
        OSError: The file is not there, or may not be written; told with the file's own name.
    """
    target = path.resolve(strict=True)
    if not os.access(target, os.W_OK):
        raise PermissionError(errno.EACCES, "The file may not be written to", str(path))
    _written(target, data, named=path, like=target, settle=lambda made: made.replace(target))


def save_pieces(path: Path, pieces: Iterable[bytes]) -> None:
    """Write a file piece by piece, anew where it is there; it is whole or as it was.

    Args:
        path: The file.
        pieces: What it holds from now on.

    Raises:
        OSError: It cannot be written; told with the file's own name.
    """
    _written(path, pieces, named=path, like=None, settle=lambda made: made.replace(path))


def save_over_kept(path: Path, old: bytes, data: bytes) -> Path:
    """Write a file anew, once what it held is kept beside it as NAME.bak.

    Args:
        path: A file that is there.
        old: What it holds.
        data: What it holds from now on.

    Returns:
        The file that keeps what it held; one that holds just that keeps it already.

    Raises:
        OSError: Either file may not be written, or another backup is there already.
    """
    kept = path.with_name(f"{path.name}.bak")
    if not kept.exists():
        save_new(kept, old, like=path)
    elif kept.read_bytes() != old:
        says = "There is a backup already; move it away first"
        raise FileExistsError(errno.EEXIST, says, str(kept))
    save_over(path, data)
    return kept


def _written(
    path: Path,
    data: bytes | Iterable[bytes],
    *,
    named: Path,
    like: Path | None,
    settle: Callable[[Path], object],
) -> None:
    """Write a file beside another, and settle it there once it is whole and on the disk."""
    # The name says nothing of the file's own: that one may be as long as a name can be.
    made = path.with_name(f".paneproof-{secrets.token_hex(8)}.part")
    how = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0)
    try:
        with os.fdopen(os.open(made, how, 0o666), "wb") as file:
            file.writelines((data,) if isinstance(data, bytes) else data)
            file.flush()
            os.fsync(file.fileno())
        if like is not None:
            _dress(made, like)
        settle(made)
    except OSError as error:
        if error.filename == str(named):
            raise
        says = f"The file cannot be written ({error.strerror})"
        raise OSError(error.errno, says, str(named)) from None
    finally:
        with contextlib.suppress(OSError):
            made.unlink()
    _flush_folder(path.parent)


def _dress(made: Path, like: Path) -> None:
    """Give a file the owner and the rights of another, as far as the system lets us."""
    kept = like.stat()
    if hasattr(os, "chown"):
        for owner, group in ((kept.st_uid, kept.st_gid), (-1, kept.st_gid)):
            with contextlib.suppress(PermissionError):
                os.chown(made, owner, group)
                break
    made.chmod(kept.st_mode & 0o7777)


def _flush_folder(folder: Path) -> None:
    """Have the folder's own entry on the disk too, where a system can be asked for that."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def _refuse_taken(path: Path) -> None:
    if os.path.lexists(path):
        raise _taken(path)


def _taken(path: Path) -> FileExistsError:
    what = "folder" if path.is_dir() else "file"
    says = f"There is such a {what} already; choose another name"
    return FileExistsError(errno.EEXIST, says, str(path))
