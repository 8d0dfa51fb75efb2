"""The way to and from the reading process: one job a file, a time limit, and a new process after a crash."""

from __future__ import annotations

import os
import queue
import subprocess
import sys
import threading
from pathlib import Path
from types import TracebackType
from typing import Any, Self

from feesheet.problems import Problem
from feesheet.reading.pieces import FileContent
from feesheet.reading.worker import receive, send

SECONDS = 60.0
"""Time that any file may take; a large one gets more."""

SECONDS_PER_MB = 4.0


class Courier:
    """Hands files to a reading process and brings back what they hold; use it in a `with` block."""

    def __init__(self, seconds: float = SECONDS) -> None:
        """`seconds` is the time that a small file may take."""
        self._seconds = seconds
        self._process: subprocess.Popen[bytes] | None = None
        self._answers: queue.SimpleQueue[Any] = queue.SimpleQueue()

    def __enter__(self) -> Self:
        """Start nothing yet: the process starts with the first file."""
        return self

    def __exit__(self, kind: type[BaseException] | None, fault: BaseException | None, trace: TracebackType | None) -> None:
        """Let the process go."""
        self._stop()

    def read(self, path: Path, name: str) -> FileContent:
        """What the file holds. A crash, a hang or too much memory becomes the file's problem."""
        process = self._process or self._start()
        try:
            if process.stdin is None:
                raise BrokenPipeError
            send(process.stdin, (str(path), name))
            answer = self._answers.get(timeout=self._seconds + SECONDS_PER_MB * path.stat().st_size / 2**20)
        except queue.Empty:
            self._stop()
            return FileContent(problems=[Problem("reader stopped", "Reading the file took too long.",
                                                 "Copy the figures into a new workbook and put that one in the folder.", name)])
        except OSError:
            answer = None
        if isinstance(answer, FileContent):
            return answer
        self._stop()
        return FileContent(problems=[Problem("reader stopped", "The reader broke down on this file, which is damaged or far too large.",
                                             "Copy the figures into a new workbook and put that one in the folder.", name)])

    def _start(self) -> subprocess.Popen[bytes]:
        package = str(Path(__file__).resolve().parents[2])
        paths = os.pathsep.join(filter(None, (package, os.environ.get("PYTHONPATH", ""))))
        self._process = subprocess.Popen(
            [sys.executable, "-P", "-m", "feesheet.reading.worker"],
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL,
            env={**os.environ, "PYTHONPATH": paths},
        )
        self._answers = queue.SimpleQueue()
        threading.Thread(target=_listen, args=(self._process, self._answers), daemon=True).start()
        return self._process

    def _stop(self) -> None:
        process, self._process = self._process, None
        if process is None:
            return
        process.kill()
        process.wait()
        if process.stdin is not None:
            try:
                process.stdin.close()
            except OSError:
                return


def _listen(process: subprocess.Popen[bytes], answers: queue.SimpleQueue[Any]) -> None:
    """Put each answer of the process into the queue, and None when it ends."""
    with process.stdout or open(os.devnull, "rb") as stream:
        while (answer := receive(stream)) is not None:
            answers.put(answer)
        answers.put(None)
