"""The same batch on a `distributed` scheduler: same files, and a lost worker loses nothing."""

from __future__ import annotations

from pathlib import Path

import pytest
import tasks
from click import UsageError

from mounts.batch.crew import Cluster, Refusal, Workers, is_open, run_checked
from mounts.batch.run import run_batch
from mounts.cli import commands
from mounts.errors import MountsError
from mounts.load.results.shelf import program_mark
from mounts.write.output import Wish

distributed = pytest.importorskip("distributed")


@pytest.fixture(scope="module")
def cluster():
    """A scheduler with two worker processes on this machine."""
    with distributed.LocalCluster(2, threads_per_worker=1, processes=True, dashboard_address=None) as running:
        yield running


def ran(jobs, shop, crew):
    with crew:
        return {one.job.name: one for one in run_batch(jobs, Wish(), shop(crew))}


def test_a_cluster_makes_the_same_files_as_workers_here(cluster, jobs, shop, memory):
    there = ran(jobs(*[""] * 5), shop, Cluster(cluster.scheduler_address, 20, tasks.work))
    memory.held.clear()
    here = ran(jobs(*[""] * 5), shop, Workers(1, 60, tasks.work))
    assert {one.how for one in (*there.values(), *here.values())} == {"made"}
    assert {name: one.bundle.packed for name, one in there.items()} == {n: one.bundle.packed for n, one in here.items()}


def test_a_lost_worker_loses_nothing(cluster, jobs, shop, tmp_path):
    wanted = jobs("", f"once {tmp_path / 'died'}", "", "")
    done = ran(wanted, shop, Cluster(cluster.scheduler_address, 20, tasks.work))
    assert (tmp_path / "died").exists()  # the worker that took it died
    assert [done[f"job-{n}"].how for n in range(4)] == ["made"] * 4


def test_a_real_part_is_the_same_from_there(cluster, spacer, shop, memory):
    wish = Wish(("stl", "3mf"))
    packed = []
    for crew in (Cluster(cluster.scheduler_address, 60), Workers(1, 120)):
        memory.held.clear()
        with crew:
            (one,) = run_batch([spacer], wish, shop(crew))
        assert one.how == "made"
        packed.append(one.bundle.packed)
    assert packed[0] == packed[1]


def test_no_scheduler_is_said_and_not_a_traceback():
    with pytest.raises(MountsError, match=r"no scheduler answers at tcp://127\.0\.0\.1:9"):
        Cluster("tcp://127.0.0.1:9", 0.5)


def test_workers_of_another_version_are_refused_before_work_begins(cluster, monkeypatch):
    """The program here is taken for another one than that of the workers, which are processes of their own."""
    with distributed.Client(cluster, set_as_default=False) as client:
        client.wait_for_workers(2, timeout=60)
    monkeypatch.setattr("mounts.batch.crew.program_mark", another)
    with pytest.raises(MountsError, match=r"^2 of 2 workers at .* run another version of mounts, or none, such as"):
        Cluster(cluster.scheduler_address, 20)


def another():
    """A mark that changes with the process that asks."""
    import os

    return str(os.getpid())


def test_a_worker_that_came_later_refuses_the_task():
    assert run_checked(program_mark(), max, 1, 2) == 2
    assert run_checked("another", max, 1, 2) == Refusal("its worker runs another version of mounts")


@pytest.mark.parametrize(
    ("address", "wanted"),
    [
        ("tcp://127.0.0.1:8786", False), ("tcp://127.8.9.1:8786", False), ("tcp://[::1]:8786", False),
        ("localhost:8786", False), ("tls://10.0.0.5:8786", False), ("wss://far.example/x", False),
        ("tcp://10.0.0.5:8786", True), ("10.0.0.5:8786", True), ("tcp://localhost.example:8786", True),
        ("ws://10.0.0.5:8786", True), ("tcp://[fe80::1]:8786", True), ("", True), ("tcp://", True),
    ],
)  # fmt: skip
def test_a_plain_address_beyond_this_machine_is_open(address, wanted):
    assert is_open(address) is wanted


def test_an_open_address_is_refused_without_a_word_that_the_network_is_trusted(tmp_path):
    kit = Path(__file__).parents[2] / "profiles" / "kits"
    words = ["build", str(next(kit.glob("*.yaml"))), "--out", str(tmp_path), "--cluster", "tcp://10.0.0.5:8786"]
    with pytest.raises(UsageError, match="--trusted-network"):
        commands.main(words, standalone_mode=False)
