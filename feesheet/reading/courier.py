"""The way to and from the reading process: one job a file, a time limit, and a new process after a crash."""

from __future__ import annotations

import os
import queue
import subprocess
import sys
import threading
from collections.abc import Iterator, Sequence
from pathlib import Path
from types import TracebackType
from typing import Any, Self

from feesheet.problems import Problem
from feesheet.reading.messages import FileContent, Job
from feesheet.reading.worker import receive, send

SECONDS = 60.0
"""Time that any file may take; a large one gets more."""

SECONDS_PER_MB = 4.0


_CURE = "Copy the figures into a new workbook and put that one in the folder."


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

    def __exit__(
        self, kind: type[BaseException] | None, fault: BaseException | None, trace: TracebackType | None
    ) -> None:
        """Let the process go."""
        self._stop()

    def read_all(self, jobs: Sequence[Job]) -> Iterator[FileContent]:
        """What each file holds, in turn. A crash, a hang or too much memory becomes that file's problem.

        One file is always handed over ahead, so that the process need not wait for this one.
        """
        ahead = 0
        for number, job in enumerate(jobs):
            try:
                while ahead < min(number + 2, len(jobs)):
                    self._hand_over(jobs[ahead])
                    ahead += 1
                seconds = self._seconds + SECONDS_PER_MB * Path(job.path).stat().st_size / 2**20
                answer = self._answers.get(timeout=seconds)
                what = "The reader broke down on this file, which is damaged or far too large."
            except queue.Empty:
                answer, what = None, "Reading the file took too long."
            except OSError:
                answer, what = None, "The file, or the program that reads it, went away."
            if not isinstance(answer, FileContent):
                self._stop()
                ahead = number + 1
                answer = FileContent(problems=[Problem("reader stopped", what, _CURE, job.name)])
            yield answer

    def _hand_over(self, job: Job) -> None:
        process = self._process or self._start()
        if process.stdin is not None:
            send(process.stdin, job)

    def _start(self) -> subprocess.Popen[bytes]:
        package = str(Path(__file__).resolve().parents[2])
        paths = os.pathsep.join(filter(None, (package, os.environ.get("PYTHONPATH", ""))))
        self._process = subprocess.Popen(
            [sys.executable, "-P", "-m", "feesheet.reading.worker"],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
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
    if process.stdout is None:
        return
    with process.stdout as stream:
        while (answer := receive(stream)) is not None:
            answers.put(answer)
        answers.put(None)
