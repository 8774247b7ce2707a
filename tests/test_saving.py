"""Files are written whole or not at all, whatever stops the writing."""

import errno
import os
import random
import signal
import stat
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from validator.saving import save_new, save_over

LONG = "n" * 255  # bytes: the longest name that common systems take

forks = pytest.mark.skipif(not hasattr(os, "fork"), reason="no fork on this system")


def names(folder: Path) -> list[str]:
    return sorted(one.name for one in folder.iterdir())


def test_a_new_file_has_the_rights_of_any_new_file(tmp_path: Path) -> None:
    save_new(tmp_path / "a", b"whole")
    (tmp_path / "b").write_bytes(b"whole")
    assert (tmp_path / "a").read_bytes() == b"whole"
    assert (tmp_path / "a").stat().st_mode == (tmp_path / "b").stat().st_mode
    before = os.umask(0o077)
    try:
        save_new(tmp_path / "c", b"")
    finally:
        os.umask(before)
    assert stat.S_IMODE((tmp_path / "c").stat().st_mode) == 0o600
    assert names(tmp_path) == ["a", "b", "c"]


@pytest.mark.parametrize("there", ["file", "folder", "link", "link to nothing"])
def test_what_is_there_already_stays(tmp_path: Path, there: str) -> None:
    path, other = tmp_path / "a", tmp_path / "other"
    if there == "file":
        path.write_text("mine")
    elif there == "folder":
        path.mkdir()
    else:
        if there == "link":
            other.write_text("mine")
        path.symlink_to(other)
    before = names(tmp_path)
    what = "folder" if there == "folder" else "file"
    with pytest.raises(FileExistsError, match=f"There is such a {what} already") as refused:
        save_new(path, b"new")
    assert refused.value.filename == str(path)
    assert names(tmp_path) == before
    assert not other.exists() or other.read_text() == "mine"


def test_a_name_taken_while_the_file_was_written(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "a"

    def fsync(_handle: int) -> None:
        if not path.exists():
            path.write_text("theirs")

    monkeypatch.setattr(os, "fsync", fsync)
    with pytest.raises(FileExistsError, match="There is such a file already"):
        save_new(path, b"ours")
    assert path.read_text() == "theirs"
    assert names(tmp_path) == ["a"]


@pytest.mark.parametrize("reason", [errno.EPERM, errno.ENOTSUP, errno.EMLINK])
def test_a_disk_without_hard_links(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, reason: int
) -> None:
    def link(self: Path, _target: Path) -> None:
        raise OSError(reason, os.strerror(reason), str(self))

    monkeypatch.setattr(Path, "hardlink_to", link)
    save_new(tmp_path / "a", b"whole")
    assert (tmp_path / "a").read_bytes() == b"whole"
    with pytest.raises(FileExistsError):
        save_new(tmp_path / "a", b"other")
    assert names(tmp_path) == ["a"]


@pytest.mark.parametrize("step", ["write", "fsync", "link"])
def test_a_full_disk_leaves_nothing_and_names_no_other_file(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, step: str
) -> None:
    full = OSError(errno.ENOSPC, os.strerror(errno.ENOSPC), ".paneproof-0.part")

    def fails(*_: object) -> None:
        raise full

    if step == "write":
        monkeypatch.setattr(os, "fdopen", fails)
    elif step == "fsync":
        monkeypatch.setattr(os, "fsync", fails)
    else:
        monkeypatch.setattr(Path, "hardlink_to", fails)
        monkeypatch.setattr(Path, "rename", fails)
    path = tmp_path / "a"
    with pytest.raises(OSError, match="The file cannot be written") as told:
        save_new(path, b"whole")
    assert told.value.filename == str(path)
    assert ".part" not in str(told.value)
    assert names(tmp_path) == []


def test_a_folder_that_takes_no_file_is_told_by_the_files_name(tmp_path: Path) -> None:
    path = tmp_path / ("x" * 300)
    with pytest.raises(OSError, match=r"The file cannot be written|File name too long") as told:
        save_new(path, b"")
    assert ".part" not in str(told.value)
    with pytest.raises(FileNotFoundError, match="Its folder is not there"):
        save_new(tmp_path / "no" / "a", b"")


def test_the_longest_name_there_is(tmp_path: Path) -> None:
    save_new(tmp_path / LONG, b"one")
    save_over(tmp_path / LONG, b"two")
    assert (tmp_path / LONG).read_bytes() == b"two"


@pytest.mark.parametrize("mode", [0o600, 0o664, 0o640])
def test_rights_and_owner_stay(tmp_path: Path, mode: int) -> None:
    path = tmp_path / "a"
    path.write_text("old")
    path.chmod(mode)
    if os.geteuid() == 0:
        os.chown(path, 1234, 4321)
    before = path.stat()
    save_over(path, b"new")
    after = path.stat()
    assert path.read_bytes() == b"new"
    assert (after.st_mode, after.st_uid, after.st_gid) == (
        before.st_mode, before.st_uid, before.st_gid)  # fmt: skip
    save_new(tmp_path / "b", b"", like=path)
    assert (tmp_path / "b").stat().st_mode == before.st_mode


def test_an_owner_that_cannot_be_kept_stops_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "a"
    path.write_text("old")
    asked: list[int] = []

    def chown(_path: Path, owner: int, _group: int) -> None:
        asked.append(owner)
        raise PermissionError(errno.EPERM, "no")

    monkeypatch.setattr(os, "chown", chown)
    save_over(path, b"new")
    assert path.read_bytes() == b"new"
    assert asked == [path.stat().st_uid, -1]  # the group at least, where the owner is not ours


def test_a_links_target_is_written_and_the_link_stays(tmp_path: Path) -> None:
    store = tmp_path / "store"
    store.mkdir()
    (store / "a").write_text("old")
    link = tmp_path / "a"
    link.symlink_to(Path("store") / "a")
    save_over(link, b"new")
    assert link.is_symlink()
    assert (store / "a").read_bytes() == b"new"
    assert (names(tmp_path), names(store)) == (["a", "store"], ["a"])


def test_a_file_that_may_not_be_written_to_stays(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "a"
    path.write_text("old")
    monkeypatch.setattr(os, "access", lambda *_: False)  # root may write to anything
    with pytest.raises(PermissionError, match="may not be written to"):
        save_over(path, b"new")
    assert path.read_text() == "old"


def killed(work: Callable[[], None], after: float) -> None:
    """Run work in a process of its own, and kill that some seconds after it began."""
    begun, begin = os.pipe()
    child = os.fork()
    if not child:
        try:
            os.write(begin, b".")
            work()
        finally:
            os._exit(0)
    os.read(begun, 1)
    os.close(begun)
    os.close(begin)
    time.sleep(after)
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)


@forks
def test_killed_three_hundred_times_nothing_is_half(tmp_path: Path) -> None:
    path = tmp_path / "job.yaml"
    texts = [letter * 200_000 for letter in (b"a", b"b")]
    path.write_bytes(texts[0])
    seed = random.Random(27)  # noqa: S311  # any moments will do

    def work() -> None:
        for at in range(1, 1000):
            save_over(path, texts[at % 2])
            save_new(tmp_path / f"new-{os.getpid()}-{at}", texts[at % 2])

    start = time.perf_counter()
    save_over(path, texts[0])
    save_new(tmp_path / "first", texts[0])
    usual = time.perf_counter() - start
    seen: set[bytes] = set()
    for _ in range(300):
        killed(work, seed.uniform(0, 4 * usual))
        seen.add(path.read_bytes())
        for one in tmp_path.glob("new-*"):
            assert one.read_bytes() in texts
            one.unlink()
    assert seen == set(texts)  # it was stopped on either side, so in between too
    # What was never settled is left, hidden and under a name that is nobody's.
    assert {one.suffix for one in tmp_path.iterdir()} <= {".yaml", ".part", ""}
