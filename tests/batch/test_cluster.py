"""The same batch on a `distributed` scheduler: same files, and a lost worker loses nothing."""

from __future__ import annotations

import pytest
import tasks

from mounts.batch.crew import Cluster, Workers
from mounts.batch.run import results
from mounts.errors import MountsError
from mounts.write.output import Wish

distributed = pytest.importorskip("distributed")


@pytest.fixture(scope="module")
def cluster():
    """A scheduler with two worker processes on this machine."""
    with distributed.LocalCluster(2, threads_per_worker=1, processes=True, dashboard_address=None) as running:
        yield running


def ran(jobs, shop, crew):
    with crew:
        return {one.job.name: one for one in results(jobs, Wish(), shop(crew))}


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
            (one,) = results([spacer], wish, shop(crew))
        assert one.how == "made"
        packed.append(one.bundle.packed)
    assert packed[0] == packed[1]


def test_no_scheduler_is_said_and_not_a_traceback():
    with pytest.raises(MountsError, match=r"no scheduler answers at tcp://127\.0\.0\.1:9"):
        Cluster("tcp://127.0.0.1:9", 0.5)
