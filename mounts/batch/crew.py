"""Workers that make the parts of a batch: processes on this machine, or those of a cluster's scheduler.

Task of a worker: one part, from its job to its files as bytes. It writes nothing itself.
"""

from __future__ import annotations

import json
import multiprocessing
import os
import signal
import sys
from collections.abc import Callable, Mapping
from concurrent.futures import CancelledError, Future
from contextlib import suppress
from dataclasses import dataclass, replace
from ipaddress import ip_address
from types import TracebackType
from typing import TYPE_CHECKING, Any, Protocol, Self

from mounts.batch.bundle import Bundle, encode, pack_bundle
from mounts.errors import MountsError
from mounts.load.models.job import Job
from mounts.load.results.shelf import program_mark
from mounts.write.output import Wish, find_picture

if TYPE_CHECKING:
    from mounts.made import Made

# beside a part's files
CHAPTER = "chapter.json"
PICTURE = "picture.jpg"
HEAVY = ("mounts.pipeline", "mounts.kernels.brep", "mounts.write.step", "mounts.write.picture")
MOST_TASKS = 60  # of a worker before a fresh one takes its place, so that what a kernel leaks stays small


@dataclass(frozen=True, slots=True)
class Refusal:
    """Reason why a part was not made: what was asked for cannot be drawn, or a kernel failed."""

    why: str


def make_part(job: Job, wish: Wish) -> Bundle | Refusal:
    """Make one side of a job with its checks and files."""
    from mounts import pipeline
    from mounts.write.output import part_files
    from mounts.write.stl import apply_pose

    try:
        whole = pipeline.make(job)
        files = part_files(whole, wish)
    except MountsError as error:
        return Refusal(str(error))
    report = replace(whole.report, files=tuple(files))
    solid = (apply_pose(whole.part.vertices, report.pose), whole.part.triangles)
    return pack_bundle(job.name, report, files, solid, _papers(whole, files) if "pdf" in wish.formats else None)


def _papers(whole: Made, files: Mapping[str, bytes]) -> dict[str, bytes]:
    """Return the part's chapter of the kit's booklet, and its picture there."""
    from mounts.papers.chapter import make_chapter
    from mounts.write.flows import compress_picture

    chapter = json.dumps(encode(make_chapter(whole)), separators=(",", ":")).encode()
    picture = find_picture(files)
    return {CHAPTER: chapter, **({PICTURE: compress_picture(picture)} if picture else {})}


def prepare_worker() -> None:
    """Prepare a new worker: its kernels keep to one thread, since there are as many workers as cores.

    On Linux it ends when the process does for which it works, however that ends: as soon as that holds its end of a
    pipe no more, the system ends the worker by SIGIO, even within a step of a kernel.
    """
    from mounts.kernels.cad import limit_threads

    parent = multiprocessing.parent_process()
    if parent is not None and sys.platform == "linux":
        import fcntl

        fcntl.fcntl(parent.sentinel, fcntl.F_SETOWN, os.getpid())
        fcntl.fcntl(parent.sentinel, fcntl.F_SETFL, fcntl.fcntl(parent.sentinel, fcntl.F_GETFL) | os.O_ASYNC)
    limit_threads()


class Crew(Protocol):
    """Takes tasks and gives futures; how many tasks it works on at a time is its size."""

    size: int

    def submit(self, *task: Any) -> Future[Any]:
        """Start a task, or queue it."""

    def __enter__(self) -> Self: ...

    def __exit__(self, kind: type[BaseException] | None, value: object, trace: TracebackType | None) -> None: ...


class Workers:
    """Worker processes on this machine, started with the first task.

    They are forked off a server that has the kernel loaded and never used: a process that ran a boolean hangs in its
    children. Where a system has no such server, each loads it for itself. One that dies or hangs costs its task
    alone.
    """

    def __init__(self, size: int, seconds: float, work: Callable[..., Any] = make_part) -> None:
        """Set the number of workers and the time that a task may take.

        Args:
            size: number of processes.
            seconds: time that one task may take, s.
            work: what is done with a task.
        """
        self.size = size
        self._seconds, self._work = seconds, work
        self._pool: Any = None

    def submit(self, *task: Any) -> Future[Any]:
        """Start a task, or queue it."""
        if self._pool is None:
            from pebble import ProcessPool

            self._pool = ProcessPool(self.size, MOST_TASKS, initializer=prepare_worker, context=_context())
        future: Future[Any] = self._pool.schedule(self._work, args=task, timeout=self._seconds)
        return future

    def __enter__(self) -> Self:
        return self

    def __exit__(self, kind: type[BaseException] | None, value: object, trace: TracebackType | None) -> None:
        if self._pool is not None:
            if kind is None:
                self._pool.close()
            else:
                self._pool.stop()
            self._pool.join()
            for late in multiprocessing.active_children():  # begun while all was stopped
                late.kill()
                late.join()


def _context() -> Any:
    """Return the start method of worker processes: a forkserver with the kernel loaded, where the system has one."""
    if "forkserver" not in multiprocessing.get_all_start_methods():
        return multiprocessing.get_context("spawn")
    from multiprocessing.forkserver import ensure_running

    context = multiprocessing.get_context("forkserver")
    sys.warnoptions.append("ignore:resource_tracker:UserWarning")  # that it cleans up after a run that was stopped
    context.set_forkserver_preload(list(HEAVY))
    heard = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})  # the stop key is for this process alone
    try:
        ensure_running()
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, heard)
    first = context.Process(
        target=_do_nothing
    )  # it stands once the kernel is loaded; who stops before leaves no worker
    first.start()
    first.join()
    return context


def kill_workers() -> None:
    """End the server that workers are forked off, and the workers, before this process ends in turn."""
    from multiprocessing import forkserver

    server = getattr(getattr(forkserver, "_forkserver", None), "_forkserver_pid", None)
    for pid in filter(None, (server, *(worker.pid for worker in multiprocessing.active_children()))):
        with suppress(OSError):
            os.kill(pid, signal.SIGKILL)


def _do_nothing() -> None:
    """Do nothing, as the first process's task."""


class Cluster:
    """The workers of a `distributed` scheduler; a task whose worker is lost is given to another one."""

    def __init__(self, address: str, seconds: float, work: Callable[..., Any] = make_part) -> None:
        """Connect to a scheduler.

        Args:
            address: of the scheduler, as tcp://10.0.0.5:8786.
            seconds: within which it must answer.
            work: what is done with a task.

        Raises:
            MountsError: if the library is not installed, no scheduler answers, or a worker runs another program.
        """
        try:
            from distributed import Client
        except ImportError as error:
            raise MountsError("--cluster needs one more library: pip install 'mounts[cluster]'") from error
        try:
            self._client = Client(address, timeout=seconds, set_as_default=False)
        except (OSError, ValueError, TimeoutError) as error:
            raise MountsError(f"no scheduler answers at {address}: {error}; start one with `dask scheduler`") from error
        self._mark = program_mark()
        marks = self._client.run(program_mark, on_error="return")
        if others := sorted(worker for worker, mark in marks.items() if mark != self._mark):
            self._client.close()
            many = f"{len(others)} of {len(marks)} workers"
            raise MountsError(f"{many} at {address} run another version of mounts, or none, such as {others[0]}")
        self.size = max(1, sum(self._client.nthreads().values()))
        self._executor = self._client.get_executor(pure=False, retries=2)
        self._work = work

    def submit(self, *task: Any) -> Future[Any]:
        """Start a task, or queue it."""
        future: Future[Any] = self._executor.submit(run_checked, self._mark, self._work, *task)
        return future

    def __enter__(self) -> Self:
        return self

    def __exit__(self, kind: type[BaseException] | None, value: object, trace: TracebackType | None) -> None:
        self._executor.shutdown(wait=kind is None)
        self._client.close()


def run_checked(mark: str, work: Callable[..., Any], *task: Any) -> Any:
    """Do a task on a cluster's worker, which may have joined late; refuse it where its program differs.

    Args:
        mark: of the program that wants the task done.
        work: what is done with it.
        task: for that.
    """
    return work(*task) if program_mark() == mark else Refusal("its worker runs another version of mounts")


def is_open(address: str) -> bool:
    """Return whether a scheduler's address is neither encrypted nor on this machine."""
    scheme, found, rest = address.rpartition("://")
    if found and scheme in ("tls", "wss", "inproc"):
        return False
    host = rest.partition("/")[0].rpartition(":")[0].strip("[]") or rest.strip("[]")
    try:
        return not ip_address(host).is_loopback
    except ValueError:
        return host != "localhost"


def loss_reason(error: BaseException, seconds: float) -> str:
    """Return in words why a task gave no result."""
    if isinstance(error, TimeoutError):
        return f"it took longer than {seconds:g} s and was stopped; give it more with --time-limit, or simplify it"
    if isinstance(error, CancelledError):
        return "it was stopped"
    told = type(error).__name__
    if told in ("ProcessExpired", "KilledWorker"):
        return "its worker died, perhaps for want of memory; try again with --workers 1"
    return f"its worker failed: {told}: {str(error).splitlines()[0] if str(error) else 'no reason given'}"
