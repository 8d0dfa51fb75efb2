"""A process apart that opens files, so that a hostile one can take down nothing but itself.

Run as `python -m feesheet.reading.worker`. `Job`s come in and `FileContent`s go out over standard input and
output, each as eight bytes of length and a pickle. Only the columns that a table knows ever leave it.
"""

from __future__ import annotations

import gc
import os
import pickle
import sys
from pathlib import Path
from typing import IO, Any

from feesheet.problems import Problem
from feesheet.reading.gate import Refusal
from feesheet.reading.grids import read
from feesheet.reading.invoices.papers import papers
from feesheet.reading.kept_sheets import KeptSheets
from feesheet.reading.messages import FileContent, Job
from feesheet.reading.pieces import content

MOST_MEMORY = 768 * 2**20
"""Bytes of address space that the process may take, where the system can hold it to that."""


MOST_LOOSE = 500_000
"""Objects made and not let go after which cycles among them are looked for."""


def main() -> None:
    """Answer jobs until the other side hangs up."""
    limit_memory()
    gc.disable()  # very many rows and hardly a cycle: looking for cycles among them takes an eighth of the time
    kept = KeptSheets()
    source = sys.stdin.buffer
    answers = os.fdopen(os.dup(sys.stdout.fileno()), "wb")
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    while (job := receive(source)) is not None:
        send(answers, read_one(job, kept))
        if gc.get_count()[0] > MOST_LOOSE:
            gc.collect()


def limit_memory() -> None:
    """Hold this process to `MOST_MEMORY`; on systems without such limits the gate stands alone."""
    try:
        import resource  # POSIX only
    except ImportError:
        return
    _, hard = resource.getrlimit(resource.RLIMIT_AS)
    most = MOST_MEMORY if hard == resource.RLIM_INFINITY else min(MOST_MEMORY, hard)
    resource.setrlimit(resource.RLIMIT_AS, (most, hard))


def read_one(job: Job, kept: KeptSheets | None = None) -> FileContent:
    """What one file holds; whatever goes wrong with it becomes a problem that names it.

    `kept` are sheets of the first reading that wait for the second.
    """
    path, name = Path(job.path), job.name
    kept = kept or KeptSheets()
    try:
        found = _tables(job, path, kept) if job.sheets is None else _papers(job, path, kept)
        if found.pieces and path.suffix.lower() == ".xls":
            found.problems.append(_old_kind(name))
        return found
    except Refusal as refusal:
        return FileContent(problems=[refusal.problem(name)])
    except MemoryError:
        return FileContent(problems=[out_of_memory(name)])
    except (KeyboardInterrupt, SystemExit):
        raise
    except BaseException as wrong:  # the reader's own panics are no Exceptions
        return FileContent(problems=[_failed(wrong, name)])


_DAMAGED = (
    "not a workbook",
    "The workbook is damaged.",
    "Open it in your spreadsheet program and save it again.",
)

_FAILED: tuple[tuple[type[BaseException], tuple[str, str, str]], ...] = (
    (
        PermissionError,
        (
            "in use",
            "The file can't be opened for reading.",
            "Close it in other programs, or ask for the right to read it.",
        ),
    ),
    (
        FileNotFoundError,
        (
            "in use",
            "The file went away while the folder was read.",
            "Run again once no other program is saving it.",
        ),
    ),
)
"""Kind, what and cure of what may go wrong with the file itself; anything else that does means that it is damaged."""


def _failed(wrong: BaseException, name: str) -> Problem:
    """The problem of a file that can't be read for that reason."""
    words = next((words for reason, words in _FAILED if isinstance(wrong, reason)), _DAMAGED)
    return Problem(*words, name)


def _tables(job: Job, path: Path, kept: KeptSheets) -> FileContent:
    kept.make_room(job.path)
    grids = read(path)
    found = content(grids, job, path.stem)
    kept.keep(job.path, grids, found.open_sheets)
    return found


def _papers(job: Job, path: Path, kept: KeptSheets) -> FileContent:
    return papers(path, job.name, job.context, job.sheets or (), kept.take(job.path))


def _old_kind(name: str) -> Problem:
    what = "In an .xls file an error in a cell can't be told from a blank."
    return Problem("old workbook", what, "Save it as .xlsx to be sure that none is missed.", name)


def out_of_memory(name: str) -> Problem:
    """The problem of a file that needs more memory than reading may take."""
    return Problem(
        "reader stopped",
        "The file needs more memory than reading may take.",
        "Split it into several workbooks, or copy the figures into a new one.",
        name,
    )


def send(stream: IO[bytes], message: Any) -> None:
    """Write one message and push it out."""
    data = pickle.dumps(message, protocol=pickle.HIGHEST_PROTOCOL)
    stream.write(len(data).to_bytes(8, "big") + data)
    stream.flush()


def receive(stream: IO[bytes]) -> Any:
    """The next message, None at the end of the stream."""
    head = stream.read(8)
    if len(head) < 8:
        return None
    size = int.from_bytes(head, "big")
    data = stream.read(size)
    return pickle.loads(data) if len(data) == size else None


if __name__ == "__main__":
    main()
