"""Sweeps from Python: their columns, their arguments, and that they are the same however they are cut."""

import concurrent.futures
import gc
import multiprocessing
import os
import pickle
import signal
import subprocess
import sys
import threading
from pathlib import Path

import fedfrom as ff
import numpy as np
import pytest

ROOT = Path(__file__).parents[2]
MODEL = ff.read_model(ROOT / "tests/models/two_bus.json")
OSTREA = ff.read_model(ROOT / "examples/ostrea7/ostrea7.json")
EVENTS = ["gen_l", ("gen_r", "loss"), ("tie", "stuck", "closed"), "hyd", ("standby_switch", "BATT"), ("airborne", False), {"set": {"cb_gear": "pulled"}, "given": {"engines_running": False}}]
COUNTS = ("combinations", "alone", "evaluated", "inert", "complete", "complete_to", "combined")


@pytest.fixture
def net():
    return ff.Network(MODEL)


@pytest.fixture(scope="module")
def ostrea():
    return ff.Network(OSTREA, variant="b")



# ------------------------------------------------------------------- columns


def test_columns_look_into_the_result_and_outlive_its_name(net):
    swept = ff.sweep(net, order=3, events=EVENTS)
    assert len(swept) > 3 and swept.events.shape == (len(swept), 3)
    assert (swept.events.dtype, swept.goal.dtype, swept.level.dtype) == (np.uint32, np.uint32, np.uint8)
    for name in ("events", "goal", "level"):
        one, again = getattr(swept, name), getattr(swept, name)
        assert np.shares_memory(one, again) and not one.flags.owndata and not one.flags.writeable
        with pytest.raises(ValueError):
            one[0] = 0
        with pytest.raises(ValueError):
            one.setflags(write=True)
    events, kept = swept.events, swept.events.copy()
    del swept, one, again
    gc.collect()
    junk = [bytes(1 << 20) for _ in range(8)]
    assert (events == kept).all() and junk


def test_rows_are_what_the_columns_say(net):
    swept = ff.sweep(net, order=3, events=EVENTS)
    assert swept.combined == [("gen_l", "loss"), ("gen_r", "loss"), ("tie", "stuck", "closed"), ("hyd", "loss"), ("standby_switch", "BATT"), ("airborne", False),
                              ("cb_gear", "pulled"), ("engines_running", False)]  # fmt: skip
    for i, row in enumerate(swept):
        assert row == swept[i] == swept[i - len(swept)]
        assert row["events"] == [swept.combined[e] for e in swept.events[i] if e != swept.NONE]
        assert row["function"] == swept.functions[swept.goal[i]] and row["after"] == swept.LEVELS[swept.level[i]]
        assert row["before"] == swept.before.level(row["function"])
    assert swept.to_dict()["rows"] == list(swept) and swept.functions == net.functions
    keys = [(sum(e != swept.NONE for e in row), *row, g) for row, g in zip(swept.events.tolist(), swept.goal.tolist(), strict=True)]
    assert keys == sorted(keys)
    with pytest.raises(IndexError):
        swept[len(swept)]


def test_what_is_combined_is_written_as_it_is_asked_for(net):
    swept = ff.sweep(net, order=2, events=EVENTS)
    assert ff.sweep(net, order=2, events=swept.combined) == swept
    everything = ff.sweep(net)
    assert everything.combined == net.failures and ff.sweep(net, events=net.failures) == everything
    failed = net.running_state().fail("gen_l")
    assert ff.sweep(failed).combined == [f for f in net.failures if f != ("gen_l", "loss")]


def test_a_word_that_is_two_things_is_not_guessed():
    net = ff.Network(ff.Model(name="Two", elements={"v": {"kind": "valve", "reach": "cockpit", "failures": {"closed": {}}}}, functions={"f": {"modes": {"m": {"rank": 1, "when": {"passes": "v"}}}}}))
    with pytest.raises(ValueError, match=r'a failure mode and a position: write \{"fail"'):
        ff.sweep(net, events=[("v", "closed")])
    asked = [{"fail": [("v", "closed")]}, {"set": {"v": "closed"}}]
    swept = ff.sweep(net, events=asked)
    assert swept.combined == asked and [row["events"] for row in swept] == [[asked[1]]]


def test_a_sweep_of_nothing_has_columns():
    net = ff.Network(ff.Model(name="None", elements={"b": {"kind": "battery", "fallible": False}}))
    swept = ff.sweep(net, order=2)
    assert swept.events.shape == (0, 3) and swept.goal.shape == (0,) and list(swept) == [] and swept.complete
    assert len(swept.to_dataframe()) == 0 and str(swept) and pickle.loads(pickle.dumps(swept)).combined == []


def test_a_data_frame_has_categories(net):
    swept = ff.sweep(net, order=2, events=EVENTS)
    data = swept.to_dataframe()
    assert list(data.columns) == ["event_1", "event_2", "event_3", "function", "before", "after"] and len(data) == len(swept)
    assert data["event_3"].isna().all() and set(data.dtypes.astype(str)) == {"category"}
    for row, (_, line) in zip(swept, data.iterrows(), strict=True):
        assert [line["function"], line["before"], line["after"]] == [row["function"], row["before"], row["after"]]
        assert line[["event_1", "event_2"]].notna().sum() == len(row["events"])
    assert "tie stuck at closed" in data["event_1"].cat.categories and "airborne false" in data["event_1"].cat.categories


def test_a_long_sweep_shows_its_beginning_and_writes_all(ostrea):
    swept = ff.sweep(ostrea, order=2)
    assert len(swept) > 1000
    for text in (str(swept), swept._repr_html_(), swept._repr_markdown_()):
        assert f"The first 100 of {len(swept)} rows." in text and len(text) < 100_000
    assert swept.to_csv().count("\r\n") > len(swept) == len(swept.table) and "The first" not in swept.to_csv()


def test_without_numpy_it_says_what_to_install():
    asked = "import sys; sys.modules['numpy'] = None; import fedfrom as ff; s = ff.sweep(ff.Network(ff.Model(name='One', elements={'b': {'kind': 'battery'}}))); print(len(s)); s.events"
    done = subprocess.run([sys.executable, "-c", asked], capture_output=True, text=True, timeout=60)
    assert done.stdout == "0\n" and "ImportError: The columns of a sweep need numpy" in done.stderr and "pip install numpy" in done.stderr


# ------------------------------------------------------------------- what is asked


@pytest.mark.parametrize(
    "arguments, error, words",
    [
        ({"order": 0}, ff.NotPossible, "combines 1, 2 or 3 events at once, not 0"),
        ({"order": 4}, ff.NotPossible, "not 4"),
        ({"goals": ["gear_extensoin"]}, ff.UnknownId, "gear_extension"),
        ({"goals": []}, ValueError, "`goals` is empty"),
        ({"events": []}, ValueError, "`events` is empty"),
        ({"events": ["gen_k"]}, ff.UnknownId, "gen_l"),
        ({"events": [("gen_l", "leak")]}, ff.NotPossible, "no failure mode `leak`; it has: loss, short"),
        ({"events": [("tie", "ajar")]}, ff.NotPossible, "no failure mode or position `ajar`; it has: loss, stuck; closed, open"),
        ({"events": [("gen_l", "stuck", "open")]}, ff.NotPossible, "gen_l"),
        ({"events": [("tie", "open")]}, ff.NotPossible, "moves by itself"),
        ({"events": [("airborn", True)]}, ff.UnknownId, "airborne"),
        ({"events": [("airborne", None)]}, ValueError, "An event is a failure"),
        ({"events": [("airborne", 1)]}, ValueError, "An event is a failure"),
        ({"events": [3]}, ValueError, "An event is a failure"),
        ({"events": 3}, ValueError, "An event is a failure"),
        ({"events": [()]}, ValueError, "An event is a failure"),
        ({"events": [{"repair": ["gen_l"]}]}, ValueError, "An event is a failure"),
        ({"events": [{"brake": ["gen_l"]}]}, ValueError, "not part of a step"),
        ({"events": ["gen_l", ("gen_l", "loss")]}, ValueError, "`gen_l loss` is asked for twice"),
        ({"threads": -1}, ValueError, "`threads` is 1 to"),
        ({"threads": 10**6}, ValueError, "`threads` is 1 to"),
        ({"seconds": 0}, ValueError, "`seconds` is more than 0"),
        ({"seconds": float("nan")}, ValueError, "`seconds` is more than 0"),
        ({"instructions": "sse"}, ValueError, "baseline, avx2 or avx512, not `sse`"),
        ({"shards": 2}, ValueError, "`shards` is for an `executor`"),
    ],
)
def test_what_cannot_be_asked_is_said(net, arguments, error, words):
    with pytest.raises(error) as raised:
        ff.sweep(net, **arguments)
    assert words in str(raised.value)


def test_what_cannot_be_swept_is_said():
    with pytest.raises(TypeError, match="a State, an Outcome or a Network"):
        ff.sweep("net")


def test_it_is_asked_of_a_network_a_state_or_an_outcome(net):
    state = net.running_state().fail("gen_l")
    swept = ff.sweep(state, order=2)
    assert ff.sweep(ff.settle(state.copy()), order=2) == swept == ff.sweep(ff.what_works(net, failed=["gen_l"]), order=2) != ff.sweep(net, order=2)
    assert swept.before == ff.settle(state.copy()) and swept.before.network == net


def test_an_instruction_set_that_is_not_there_is_refused(net):
    for missing in {"baseline", "avx2", "avx512"} - set(ff.instruction_sets()):
        with pytest.raises(ff.NotPossible, match="does not have"):
            ff.sweep(net, instructions=missing)


def test_what_reaches_no_goal_is_in_no_combination():
    net = ff.Network(ff.Model(name="Apart", elements={"a": {"kind": "battery"}, "b": {"kind": "battery"}}, functions={id: {"modes": {"m": {"rank": 1, "when": id[-1]}}} for id in ("of_a", "of_b")}))
    swept, more = (ff.sweep(net, order=2, goals=["of_a"], all=every) for every in (False, True))
    assert (swept.inert, swept.combinations, swept.combined) == (1, 1, [("a", "loss"), ("b", "loss")]) and (more.inert, more.combinations) == (0, 3)


def test_only_goals_are_examined_and_all_lists_more(ostrea):
    swept = ff.sweep(ostrea, order=2, goals=["wheel_braking"])
    assert {row["function"] for row in swept} == {"wheel_braking"} == set(swept.goals)
    more = ff.sweep(ostrea, order=2, goals=["wheel_braking"], all=True)
    assert len(more) > len(swept) and more.before.state == swept.before.state
    assert ff.sweep(ostrea, order=2, one_mode_an_element=False).combinations > ff.sweep(ostrea, order=2).combinations


# ------------------------------------------------------------------- progress, interrupts, threads


def test_progress_is_told_in_the_thread_that_asks(ostrea):
    told = []
    swept = ff.sweep(ostrea, order=3, threads=2, progress=lambda part: told.append((part, threading.get_ident())))
    parts = [part for part, _ in told]
    assert swept.complete and len(parts) > 2 and parts == sorted(parts) and parts[-1] == 1 and {thread for _, thread in told} == {threading.get_ident()}


def test_progress_that_says_false_ends_it_with_what_was_found(ostrea):
    whole = ff.sweep(ostrea, order=3)
    part = ff.sweep(ostrea, order=3, progress=lambda done: done == 0)
    assert not part.complete and part.complete_to in (1, 2) and 0 < part.combinations < whole.combinations and "not complete" in repr(part) and "Not complete" in str(part)
    rows = {(*events, goal) for events, goal in zip(whole.events.tolist(), whole.goal.tolist(), strict=True) for events in [tuple(events)]}
    assert {(*tuple(e), g) for e, g in zip(part.events.tolist(), part.goal.tolist(), strict=True)} <= rows
    at_once = ff.sweep(ostrea, order=3, progress=lambda done: False)
    assert not at_once.complete and at_once.complete_to == 1


def test_a_budget_ends_it(ostrea):
    part = ff.sweep(ostrea, order=3, seconds=1e-9)
    assert not part.complete and part.complete_to <= 1


def test_what_progress_raises_is_raised(ostrea):
    for threads in (1, 2):
        with pytest.raises(ZeroDivisionError):
            ff.sweep(ostrea, order=3, threads=threads, progress=lambda part: 1 / 0)


@pytest.mark.parametrize("threads", [1, 2])
def test_an_interrupt_stops_it(ostrea, threads):
    """As the stop button of a notebook does it: in the midst of the first sweep, which takes far longer than the timer."""
    handler = signal.signal(signal.SIGINT, signal.default_int_handler)  # what runs in the background is born ignoring it
    timer = threading.Timer(0.1, os.kill, (os.getpid(), signal.SIGINT))
    finished = 0
    try:
        with pytest.raises(KeyboardInterrupt):
            timer.start()
            for _ in range(10):
                ff.sweep(ostrea, order=3, all=True, threads=threads, instructions="baseline")
                finished += 1
    finally:
        timer.join()
        signal.signal(signal.SIGINT, handler)
    assert finished == 0


def test_other_threads_run_meanwhile(ostrea):
    ticks, done = [], threading.Event()

    def tick():
        while not done.wait(0.005):
            ticks.append(1)

    thread = threading.Thread(target=tick)
    thread.start()
    ff.sweep(ostrea, order=3, all=True)
    done.set()
    thread.join()
    assert len(ticks) > 10


# ------------------------------------------------------------------- the same however it is cut


def same(a, b):
    """Every column and every count, the work taken included."""
    return (a == b and all((getattr(a, c) == getattr(b, c)).all() for c in ("events", "goal", "level"))
            and [getattr(a, c) for c in COUNTS] == [getattr(b, c) for c in COUNTS])  # fmt: skip


def call(shard):
    return shard()


def questions():
    """(what, asked with): healthy and failed, minimal and all, with what hunts."""
    hunting = ff.Network(ff.Model(name="Hunting", elements={
        "gen": {"kind": "generator"}, "aux": {"kind": "battery"}, "spare": {"kind": "battery"},
        "relay": {"kind": "relay", "rest": "open", "goes": [{"to": "closed", "when": {"not": "lamp"}}], "after_s": 1},
        "bus": {"kind": "bus", "inputs": {"power": ["gen", "aux"]}},
        "lamp": {"kind": "light", "inputs": {"power": ["spare", {"from": "bus", "via": ["relay"]}]}},
        "other": {"kind": "light", "inputs": {"power": ["gen", "spare"]}},
    }, functions={"see": {"modes": {"m": {"rank": 1, "when": "lamp"}}}, "more": {"modes": {"m": {"rank": 1, "when": "other"}}}}))  # fmt: skip
    two = ff.Network(MODEL)
    return [
        (two, {"order": 3, "events": EVENTS}),
        (two.running_state().fail("gen_l"), {"order": 2, "all": True, "one_mode_an_element": False}),
        (hunting, {"order": 3}),
        (hunting.running_state().fail("spare"), {"order": 2, "all": True}),
        (ff.Network(OSTREA), {"order": 2}),
        (ff.Network(OSTREA, variant="b").running_state().fail("sg_l"), {"order": 3, "goals": ["wheel_braking", "gear_extension"], "events": [f for f in ff.Network(OSTREA, variant="b").failures if f[1] == "loss"][:60]}),
    ]


def test_shards_threads_and_instructions_change_nothing():
    alone = 0
    for asked, options in questions():
        once = ff.sweep(asked, **options, instructions="baseline")
        alone += once.alone
        for instructions in [None, *ff.instruction_sets()]:
            for threads in (1, 2):
                for n in (1, 2, 3, 7):
                    shards = ff.sweep_shards(asked, **options, shards=n, threads=threads, instructions=instructions)
                    assert len(shards) == n and same(ff.join([shard() for shard in shards]), once)
                assert same(ff.sweep(asked, **options, threads=threads, instructions=instructions), once)
    assert alone > 0


def test_shards_and_results_pickle():
    for asked, options in questions():
        shards = ff.sweep_shards(asked, **options, shards=3)
        found = [pickle.loads(pickle.dumps(shard))() for shard in pickle.loads(pickle.dumps(shards))]
        joined = ff.join(pickle.loads(pickle.dumps(found)))
        assert same(joined, ff.sweep(asked, **options)) and same(pickle.loads(pickle.dumps(joined)), joined)


def executors(cluster):
    yield concurrent.futures.ThreadPoolExecutor(2)
    yield concurrent.futures.ProcessPoolExecutor(2, mp_context=multiprocessing.get_context("spawn"))
    yield cluster.get_executor()


@pytest.fixture(scope="module")
def cluster():
    """Two worker processes on this machine."""
    distributed = pytest.importorskip("distributed")
    with distributed.LocalCluster(n_workers=2, threads_per_worker=1, processes=True, dashboard_address=":0") as here, distributed.Client(here) as client:
        yield client


def test_any_executor_gives_the_same(cluster):
    wanted = [ff.sweep(asked, **options) for asked, options in questions()]
    for executor in executors(cluster):
        with executor:
            for (asked, options), once in zip(questions(), wanted, strict=True):
                for n in (1, 2, 3, 7):
                    assert same(ff.sweep(asked, **options, executor=executor, shards=n), once)
                if not isinstance(executor, concurrent.futures.ThreadPoolExecutor):
                    continue
                assert same(ff.join(list(executor.map(call, ff.sweep_shards(asked, **options, shards=3)))), once)


def test_an_executor_maps_shards_too(cluster):
    """`call` is found by name in a worker only where it can import this file; a callable of the standard library always is."""
    operator_call = pytest.importorskip("operator").__dict__.get("call")
    if operator_call is None:
        pytest.skip("operator.call is of Python 3.11")
    asked, options = questions()[0]
    once = ff.sweep(asked, **options)
    for executor in executors(cluster):
        with executor:
            assert same(ff.join(list(executor.map(operator_call, ff.sweep_shards(asked, **options, shards=3)))), once)


def test_an_executor_tells_progress_and_can_be_ended(net):
    with concurrent.futures.ThreadPoolExecutor(1) as pool:
        told = []
        whole = ff.sweep(net, order=2, executor=pool, shards=4, progress=told.append)
        assert told[-1] == 1 and told == sorted(told) and whole == ff.sweep(net, order=2)
        assert ff.sweep(net, order=2, executor=pool) == whole
        with pytest.raises(ff.NotPossible, match="moves by itself"):
            ff.sweep(net, events=[("tie", "open")], executor=pool)
        with pytest.raises(ValueError, match="`shards` is 1 or more"):
            ff.sweep(net, executor=pool, shards=0)


class FirstOnly(concurrent.futures.Executor):
    """Runs the first shard at once and never gets to the others."""

    def __init__(self):
        self.futures = []

    def submit(self, shard):
        self.futures.append(concurrent.futures.Future())
        if len(self.futures) == 1:
            self.futures[0].set_result(shard())
        return self.futures[-1]


def test_shards_not_run_are_cancelled_and_missing(net):
    idle = FirstOnly()
    part = ff.sweep(net, order=2, executor=idle, shards=3, progress=lambda done: False)
    assert [future.cancelled() for future in idle.futures] == [False, True, True]
    assert not part.complete and part.complete_to == 0 and part.combinations < ff.sweep(net, order=2).combinations
    assert list(part) == list(ff.sweep_shards(net, order=2, shards=3)[0]())


def test_only_the_shards_of_one_sweep_join(net):
    found = [shard() for shard in ff.sweep_shards(net, shards=3, order=2)]
    assert ff.join(found[::-1]) == ff.sweep(net, order=2) != found[0]
    for wrong, words in [
        ([], "no shards"),
        (found[:2], "Shard 2 of 3 is missing"),
        (found[1:], "Shard 0 of 3 is missing"),
        ([*found, found[1]], "Shard 1 of 3 is there twice"),
        ([*found[:2], ff.sweep_shards(net, shards=3, order=1)[2]()], "not the shards of one sweep"),
        ([*found[:2], ff.sweep_shards(net.running_state().fail("gen_l"), shards=3, order=2)[2]()], "not the shards of one sweep"),
        ([*found[:2], ff.sweep_shards(net, shards=4, order=2)[2]()], "not the shards of one sweep"),
    ]:
        with pytest.raises(ValueError, match=words):
            ff.join(wrong)
