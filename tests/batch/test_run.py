"""Batches with workers of their own: what is lost costs only itself, what is finished stays."""

from __future__ import annotations

import pytest
import tasks

from mounts.batch.crew import Workers
from mounts.batch.run import AHEAD, run_batch
from mounts.write.output import Wish


def ran(jobs, shop, crew, seconds=60.0):
    with crew:
        return {one.job.name: one for one in run_batch(jobs, Wish(), shop(crew, seconds))}


def test_a_worker_that_dies_costs_its_part_alone(jobs, shop, memory):
    done = ran(jobs("", "die", "", "raise", "refuse", ""), shop, Workers(2, 60, tasks.work))
    assert [done[f"job-{n}"].how for n in range(6)] == ["made", "lost", "made", "lost", "lost", "made"]
    assert done["job-1"].why.startswith("its worker died")
    assert done["job-3"].why == "its worker failed: RuntimeError: the stand-in gave up"
    assert done["job-4"].why == "it cannot be drawn"
    assert len(memory.held) == 3  # what was finished is kept, and nothing else


def test_a_worker_takes_one_core():
    with Workers(1, 60, tasks.threads) as crew:
        assert crew.submit().result() == (1, 0)


def test_a_part_that_hangs_is_stopped_and_the_others_go_on(jobs, shop):
    done = ran(jobs("hang", "", ""), shop, Workers(2, 2.0, tasks.work), 2.0)
    assert [done[f"job-{n}"].how for n in range(3)] == ["lost", "made", "made"]
    assert (
        done["job-0"].why == "it took longer than 2 s and was stopped; give it more with --time-limit, or simplify it"
    )


def test_what_was_lost_is_all_that_a_second_run_makes(jobs, shop):
    ran(jobs("", "", ""), shop, Workers(1, 60, tasks.work))
    again = ran(jobs("", "refuse", ""), shop, Workers(1, 60, tasks.work))
    assert [again[f"job-{n}"].how for n in range(3)] == ["kept", "lost", "kept"]


def test_no_worker_is_started_when_everything_is_kept(jobs, shop):
    ran(jobs("", ""), shop, Workers(1, 60, tasks.work))
    crew = Workers(1, 60, tasks.work)
    assert {one.how for one in ran(jobs("", ""), shop, crew).values()} == {"kept"}
    assert crew._pool is None


def test_a_damaged_bundle_is_made_again(jobs, shop, memory):
    ran(jobs("", ""), shop, Workers(1, 60, tasks.work))
    spoiled = next(iter(memory.held))
    memory.held[spoiled] = memory.held[spoiled][:-50]
    assert sorted(one.how for one in ran(jobs("", ""), shop, Workers(1, 60, tasks.work)).values()) == ["kept", "made"]


class Later:
    """A crew whose futures are done only when somebody waits for them; it notes how many are in hand."""

    size = 3

    def __init__(self):
        self.most = self.taken = 0

    def submit(self, *task):
        from concurrent.futures import Future

        future = Future()
        self.taken += 1
        future.set_result(tasks.work(*task))
        return future

    def __enter__(self):
        return self

    def __exit__(self, *_):
        pass


def test_a_thousand_jobs_are_never_in_hand_at_once(jobs, shop):
    crew, told = Later(), 0

    def endless():
        for job in jobs(*[""] * 1000):
            assert crew.taken - told <= AHEAD * crew.size
            yield job

    for _ in run_batch(endless(), Wish(), shop(crew)):
        told += 1
    assert (crew.taken, told) == (1000, 1000)


@pytest.mark.parametrize("size", [1, 2])
def test_results_do_not_depend_on_the_number_of_workers(jobs, shop, memory, size):
    done = ran(jobs("", "", "", ""), shop, Workers(size, 60, tasks.work))
    assert {name: one.bundle.files() for name, one in done.items()} == {
        f"job-{n}": {"part.stl": f"job-{n} ".encode()} for n in range(4)
    }
