"""Where a result goes: a name that nothing has yet, and a file that is there whole or not at all."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path


def free_stem(folder: Path, stem: str, suffixes: tuple[str, ...]) -> str:
    """The first of "stem", "stem (2)", "stem (3)"… that no file of these suffixes has and no program holds open."""
    return next(
        name for name in _names(stem) if not any(_taken(folder / f"{name}{suffix}") for suffix in suffixes)
    )


def _names(stem: str) -> Iterator[str]:
    yield stem
    number = 2
    while True:
        yield f"{stem} ({number})"
        number += 1


def _taken(path: Path) -> bool:
    locks = (path.with_name(f"~${path.name}"), path.with_name(f".~lock.{path.name}#"))
    return path.exists() or any(lock.exists() for lock in locks)


def write_whole(path: Path, write: Callable[[Path], None]) -> None:
    """Let `write` fill a file under another name and give it its own name at the end; raises FileExistsError if that is taken.

    A run that is stopped half-way leaves nothing under the name.
    """
    handle, name = tempfile.mkstemp(prefix=".feesheet-", suffix=path.suffix, dir=path.parent)
    os.close(handle)
    draft = Path(name)
    try:
        write(draft)
        draft.chmod(0o644)
        _give_name(draft, path)
    finally:
        draft.unlink(missing_ok=True)


def _give_name(draft: Path, path: Path) -> None:
    """Rename without ever overwriting: a link fails where the name is taken; where links can't be made, the name is reserved."""
    try:
        os.link(draft, path)
    except FileExistsError:
        raise
    except OSError:
        with path.open("xb"):
            pass
        draft.replace(path)
