// Sweeps: many combinations at once, their result as columns, and shards that run elsewhere.
#include "events_from.hpp"
#include "sheet_methods.hpp"
#include "sweep_question.hpp"

#include <pybind11/numpy.h>

#include <array>
#include <cmath>
#include <cstddef>
#include <thread>
#include <type_traits>

namespace fedfrom::python {

namespace {

constexpr std::size_t most_shown = 100;
constexpr int most_threads = 1024;
constexpr std::array set_names{"baseline", "avx2", "avx512"};
constexpr std::array levels{Level::normal, Level::degraded, Level::lost, Level::not_fitted, Level::unknown};

std::vector<std::string> instruction_sets() { return {set_names.begin(), set_names.begin() + static_cast<int>(best_instruction_set()) + 1}; }

std::optional<InstructionSet> instructions_from(const std::optional<std::string>& word) {
    if (!word) return std::nullopt;
    const auto it = std::ranges::find(set_names, *word);
    if (it == set_names.end()) throw py::value_error("`instructions` is baseline, avx2 or avx512, not `" + *word + "`.");
    return static_cast<InstructionSet>(it - set_names.begin());
}

State state_of(const Asked& asked) {
    if (const auto* net = std::get_if<Network>(&asked)) return running_state(*net);
    const auto* outcome = std::get_if<Outcome>(&asked);
    return outcome ? outcome->state() : std::get<State>(asked);
}

// -------------------------------------------------------------------------------- what is asked

/// The arguments `sweep` and `sweep_shards` have in common.
SweepShard question(const py::object& asked, int order, const py::object& events, const std::optional<std::vector<std::string>>& goals, bool all, bool one_mode_an_element, int threads,
                    const std::optional<std::string>& instructions, std::optional<double> seconds) {
    SweepShard s{state_of(copied(asked))};
    const Network& net = s.from.network();
    if (order < 1 || order > 3) throw NotPossible("A sweep combines 1, 2 or 3 events at once, not " + std::to_string(order) + ".");
    if (threads < 0 || threads > most_threads) throw py::value_error("`threads` is 1 to " + std::to_string(most_threads) + ", or 0 for as many as this machine runs at once.");
    if (seconds && !(*seconds > 0)) throw py::value_error("`seconds` is more than 0, or None for no limit.");
    if (goals && goals->empty()) throw py::value_error("`goals` is empty: leave it out for every function.");
    s.options.order = order;
    if (!events.is_none()) s.options.events = events_from(events, net);
    for (const std::string& id : goals.value_or(std::vector<std::string>{})) s.options.goals.push_back(net.function(id));
    s.options.all = all;
    s.options.one_mode_an_element = one_mode_an_element;
    s.options.threads = static_cast<unsigned>(threads);
    s.options.seconds = seconds.value_or(0);
    s.instructions = instructions_from(instructions);
    return s;
}

std::vector<SweepShard> cut(const SweepShard& whole, int shards) {
    if (shards < 1) throw py::value_error("`shards` is 1 or more.");
    std::vector<SweepShard> list(static_cast<std::size_t>(shards), whole);
    for (std::uint32_t i = 0; i < list.size(); ++i) {
        list[i].options.shard = i;
        list[i].options.shards = static_cast<std::uint32_t>(shards);
    }
    return list;
}

/// All shards, run by an executor and joined.
Swept run_by(const py::object& executor, const SweepShard& whole, std::optional<int> shards, const py::object& progress) {
    const int here = static_cast<int>(std::max(1u, std::thread::hardware_concurrency()));
    const py::list done = py::module_::import("fedfrom._executors").attr("results")(executor, cut(whole, shards.value_or(here)), progress);
    std::vector<const Swept*> found;
    for (const py::handle one : done) found.push_back(&one.cast<const Swept&>());
    return joined_as_far(found);
}

// -------------------------------------------------------------------------------- columns

static_assert(std::is_standard_layout_v<SweepHit> && sizeof(SweepHit::level) == 1);

/// A view of one member of every hit; `of` stays alive as long as it does.
template <class T>
py::array column(const py::object& of, std::size_t offset, std::vector<py::ssize_t> shape) {
    const auto& hits = of.cast<const Swept&>().result.hits;
    try {
        py::module_::import("numpy");
    } catch (py::error_already_set& missing) {
        if (!missing.matches(PyExc_ImportError)) throw;
        throw py::import_error("The columns of a sweep need numpy, which is not installed: pip install numpy");
    }
    shape.insert(shape.begin(), static_cast<py::ssize_t>(hits.size()));
    std::vector<py::ssize_t> strides{sizeof(SweepHit)};
    if (shape.size() > 1) strides.push_back(sizeof(T));
    py::array view(py::dtype::of<T>(), shape, strides, reinterpret_cast<const std::byte*>(hits.data()) + offset, of);
    view.attr("setflags")(py::arg("write") = false);
    return view;
}

py::tuple level_names() {
    py::tuple names(levels.size());
    for (std::size_t i = 0; i < levels.size(); ++i) names[i] = std::string(name_of(levels[i]));
    return names;
}

// -------------------------------------------------------------------------------- rows

const Network& network_of(const Swept& s) { return s.before.network(); }
std::string id_of(const Swept& s, std::uint32_t goal) { return *network_of(s).compiled().functions[goal].id; }
py::str level_word(Level level) { return std::string(name_of(level)); }

py::dict dict_of(const Swept& s, const SweepHit& hit) {
    py::list events;
    for (const std::uint32_t e : hit.events)
        if (e != none) events.append(written(s.result.events[e], network_of(s)));
    py::dict d;
    d["events"] = events;
    d["function"] = id_of(s, hit.goal);
    d["before"] = level_word(s.before.judged()[hit.goal].level);
    d["after"] = level_word(hit.level);
    return d;
}

py::dict item(const Swept& s, py::ssize_t i) {
    const auto size = static_cast<py::ssize_t>(s.result.hits.size());
    if (i < -size || i >= size) throw py::index_error("This sweep has " + std::to_string(size) + " rows.");
    return dict_of(s, s.result.hits[static_cast<std::size_t>(i < 0 ? i + size : i)]);
}

py::list combined(const Swept& s) {
    py::list list;
    for (const Event& e : s.result.events) list.append(written(e, network_of(s)));
    return list;
}

std::vector<std::string> functions(const Swept& s) {
    std::vector<std::string> list;
    for (std::uint32_t f = 0; f < s.before.judged().size(); ++f) list.push_back(id_of(s, f));
    return list;
}

std::vector<std::string> goals(const Swept& s) {
    std::vector<std::string> list;
    for (const FunctionHandle goal : s.options.goals) list.push_back(id_of(s, goal.index));
    return list;
}

py::dict to_dict(const Swept& s) {
    py::list rows;
    for (const SweepHit& hit : s.result.hits) rows.append(dict_of(s, hit));
    py::dict d;
    d["rows"] = rows;
    d["combined"] = combined(s);
    d["combinations"] = s.result.combinations;
    d["alone"] = s.result.alone;
    d["evaluated"] = s.result.evaluated;
    d["inert"] = s.result.inert;
    d["complete"] = s.result.complete;
    d["complete_to"] = s.result.complete_to;
    return d;
}

py::object to_dataframe(const py::object& self) {
    const auto& s = self.cast<const Swept&>();
    std::vector<std::string> events, before;
    for (const Event& e : s.result.events) events.push_back(event_text(e, network_of(s)));
    for (const Judgement& judged : s.before.judged()) before.emplace_back(name_of(judged.level));
    return py::module_::import("fedfrom._frames").attr("sweep_frame")(self, events, before);
}

std::string shown(const Swept& s) {
    return "<SweepResult of " + network_of(s).model().name + ": " + std::to_string(s.result.hits.size()) + " rows of " + std::to_string(s.result.combinations) + " combinations" +
           (s.options.shards > 1 ? ", shard " + std::to_string(s.options.shard) + " of " + std::to_string(s.options.shards) : "") + (s.result.complete ? ">" : ", not complete>");
}

// -------------------------------------------------------------------------------- bindings

void bind_result(py::module_& m) {
    py::class_<Swept> result(m, "SweepResult", R"(The combinations of a sweep that change a function, as columns. Prints as a table.

`events`, `goal` and `level` are NumPy arrays that look into the result, without a copy; they cannot be written to. Each
row is also a dict. In order of size, then of events, then of function. It pickles.

    >>> swept = ff.sweep(net, order=2)
    >>> swept
    <SweepResult of One bus: 6 rows of 42 combinations>
    >>> swept[-1]
    {'events': [('battery', 'loss'), ('generator', 'short')], 'function': 'talk', 'before': 'normal', 'after': 'lost'}
    >>> lost = swept.level == swept.LEVELS.index("lost")
    >>> alone = lost & (swept.events[:, 1] == swept.NONE)
    >>> [swept.combined[event] for event in swept.events[alone, 0]]
    [('bus', 'loss'), ('bus', 'short'), ('cb_radio', 'loss'), ('radio', 'loss')]
)");
    result.attr("NONE") = none;
    result.attr("LEVELS") = level_names();
    add_notebook_methods(result, [](const Swept& s) { return Sheet(s.table(most_shown)); });
    add_written_forms(result, [](const Swept& s) { return Sheet(s.table()); });
    result.def_property_readonly("events", [](const py::object& self) { return column<std::uint32_t>(self, offsetof(SweepHit, events), {3}); },
            "What is added, rows × 3, uint32: places in `combined`, ascending; NONE behind the last.")
        .def_property_readonly("goal", [](const py::object& self) { return column<std::uint32_t>(self, offsetof(SweepHit, goal), {}); },
            "The function it changes, one a row, uint32: a place in `functions`.")
        .def_property_readonly("level", [](const py::object& self) { return column<std::uint8_t>(self, offsetof(SweepHit, level), {}); },
            "The level it takes it to, one a row, uint8: a place in LEVELS.")
        .def_property_readonly("combined", &combined, "The events that were combined, written as they are asked for, in the order asked.")
        .def_property_readonly("functions", &functions, "All functions, in id order.")
        .def_property_readonly("goals", &goals, "The only functions examined; empty: all.")
        .def_property_readonly("combinations", [](const Swept& s) { return s.result.combinations; }, "How many combinations were examined.")
        .def_property_readonly("alone", [](const Swept& s) { return s.result.alone; }, "How many of them were settled alone, since something hunts.")
        .def_property_readonly("evaluated", [](const Swept& s) { return s.result.evaluated; }, "How many gates were evaluated, 512 combinations at a time.")
        .def_property_readonly("inert", [](const Swept& s) { return s.result.inert; }, "How many events can reach no function examined, and are in no combination; 0 with `all`.")
        .def_property_readonly("complete", [](const Swept& s) { return s.result.complete; }, "False where it was cancelled or ran out of time; what is listed holds all the same.")
        .def_property_readonly("complete_to", [](const Swept& s) { return s.result.complete_to; }, "Every combination of up to so many events was examined.")
        .def_property_readonly("before", [](const Swept& s) { return s.before; }, "The outcome everything was added to.")
        .def_property_readonly("table", [](const Swept& s) { return s.table(); }, "The table that is printed, with every row.")
        .def("to_dataframe", [](const py::object& self) { return to_dataframe(self); }, R"(to_dataframe(self)
--

Give one row a combination and function as a pandas data frame of categories: event_1 to event_3, function, before, after.

    >>> ff.sweep(net, order=2).to_dataframe().iloc[4].tolist()[:4]
    ['battery loss', 'generator loss', nan, 'talk']

Raises:
    ImportError: Where pandas is not installed.
)")
        .def("to_dict", [](const Swept& s) { return to_dict(s); }, R"(to_dict(self)
--

Give rows, events and counts as plain Python values.

    >>> ff.sweep(net).to_dict()["rows"][0]["events"]
    [('bus', 'loss')]
)")
        .def("__len__", [](const Swept& s) { return s.result.hits.size(); }, "__len__(self, /)\n--\n\n")
        .def("__getitem__", &item, py::arg("index"), "__getitem__(self, index, /)\n--\n\n")
        // One dict at a time: there may be millions.
        .def("__iter__", [](const py::object& self) { return py::reinterpret_steal<py::object>(PySeqIter_New(self.ptr())); }, "__iter__(self, /)\n--\n\n")
        .def("__eq__", &same, py::is_operator(), "__eq__(self, other, /)\n--\n\n")
        .def("__str__", [](const Swept& s) { return text(s.result, s.before, s.options); }, "__str__(self, /)\n--\n\n")
        .def("__repr__", &shown, "__repr__(self, /)\n--\n\n")
        .def(py::pickle([](const Swept& s) { return pickled(s); }, &swept_from));
}

constexpr const char* sweep_doc = R"(sweep(state, *, order=1, events=None, goals=None, all=False, one_mode_an_element=True, threads=1, instructions=None, seconds=None, progress=None, executor=None, shards=None)
--

Add every combination of up to three events to a settled state, each in one step, and list those that change a function.

512 combinations are examined side by side. A combination is listed for what no part of it does alone. The answer is
the same however the work is cut. Interrupting the interpreter stops it; other threads run meanwhile.

    >>> ff.sweep(net, order=2, events=["generator", "battery", ("cb_radio", "pulled"), ("airborne", False)])
    <SweepResult of One bus: 2 rows of 6 combinations>

Args:
    state: A State (settled first, in a copy), an outcome, or a Network, which means its running state.
    order: How many events at once, 1 to 3. The work grows with the number of events to this power.
    events: What to combine: failures as everywhere ("id", ("id", "mode"), ("id", "stuck", "position")), positions
        ("id", "position"), givens ("name", bool), or dicts of fail, set and given, each of whose things is an event.
        Two values of one given, or a position with anything else of its element, are not combined. None: every
        failure not present.
    goals: The only functions to examine; None: all.
    all: Also what a part of the combination does already, and what puts a function right.
    one_mode_an_element: Do not combine two failures of one element.
    threads: How many threads, in each shard; 0: as many as the machine runs at once.
    instructions: One of `instruction_sets()`; None: the best.
    seconds: A budget, for each shard; None: none. What runs out of it is not `complete`.
    progress: Called now and then with the part done, 0 to 1, in this thread; returning False ends the sweep, and what was found
        so far is the result.
    executor: Any concurrent.futures.Executor, that of a cluster too; it runs the shards, and what it returns is joined.
    shards: With an executor, into how many parts the work is cut; None: as many as this machine runs at once.

Raises:
    UnknownId: Naming the nearest.
    NotPossible: With an order beyond 3, an event the aircraft does not allow, or instructions this machine does not have.
    ValueError: Where an argument is no such thing.
)";

constexpr const char* shards_doc = R"(sweep_shards(state, *, shards, order=1, events=None, goals=None, all=False, one_mode_an_element=True, threads=1, instructions=None, seconds=None)
--

Cut a sweep into shards that run anywhere; `join` makes one result of theirs.

Each is called without arguments, and pickles. Every shard examines all smaller combinations, which decide what is
minimal, and its part of those of `order` events. `sweep` does all of this with its `executor`.

    >>> from concurrent.futures import ThreadPoolExecutor
    >>> with ThreadPoolExecutor() as pool:
    ...     running = [pool.submit(shard) for shard in ff.sweep_shards(net, shards=3, order=2)]
    ...     ff.join([one.result() for one in running]) == ff.sweep(net, order=2)
    True

Args:
    state: As of `sweep`, and so is the rest.
    shards: How many; one may have nothing to do.

Raises:
    UnknownId: Naming the nearest.
    NotPossible: With an order beyond 3.
    ValueError: Where an argument is no such thing.
)";

void bind_shards(py::module_& m) {
    py::class_<SweepShard>(m, "SweepShard", R"(A part of a sweep, to be called where it is to run. It pickles.

    >>> ff.sweep_shards(net, shards=4)[0]
    <SweepShard 0 of 4 of One bus>
)")
        .def("__call__", [](const SweepShard& s) { return run(s, py::none()); }, "__call__(self, /)\n--\n\n")
        .def("__repr__", [](const SweepShard& s) {
            return "<SweepShard " + std::to_string(s.options.shard) + " of " + std::to_string(s.options.shards) + " of " + s.from.network().model().name + ">";
        }, "__repr__(self, /)\n--\n\n")
        .def(py::pickle([](const SweepShard& s) { return pickled(s); }, &shard_from));

    m.def("sweep_shards", [](const py::object& asked, int shards, int order, const py::object& events, const std::optional<std::vector<std::string>>& goals, bool all, bool one_mode_an_element,
                             int threads, const std::optional<std::string>& instructions, std::optional<double> seconds) {
        return cut(question(asked, order, events, goals, all, one_mode_an_element, threads, instructions, seconds), shards);
    }, py::arg("state"), py::kw_only(), py::arg("shards"), py::arg("order") = 1, py::arg("events") = py::none(), py::arg("goals") = py::none(), py::arg("all") = false,
       py::arg("one_mode_an_element") = true, py::arg("threads") = 1, py::arg("instructions") = py::none(), py::arg("seconds") = py::none(), shards_doc);
    m.def("join", &joined, py::arg("results"), R"(join(results)
--

Make one result of those of all shards of a sweep, in any order; the same as that of the sweep in one piece.

Raises:
    ValueError: Where a shard is missing, there twice, or of another sweep.
)");
    m.def("instruction_sets", &instruction_sets, R"(instruction_sets()
--

List the instruction sets a sweep can use on this machine, the best last.

    >>> ff.instruction_sets()[0]
    'baseline'
)");
}

}  // namespace

void bind_sweep(py::module_& m) {
    bind_result(m);
    bind_shards(m);
    m.def("sweep", [](const py::object& asked, int order, const py::object& events, const std::optional<std::vector<std::string>>& goals, bool all, bool one_mode_an_element, int threads,
                      const std::optional<std::string>& instructions, std::optional<double> seconds, const py::object& progress, const py::object& executor, std::optional<int> shards) {
        const SweepShard whole = question(asked, order, events, goals, all, one_mode_an_element, threads, instructions, seconds);
        if (!executor.is_none()) return run_by(executor, whole, shards, progress);
        if (shards) throw py::value_error("`shards` is for an `executor`, which runs them; `sweep_shards` gives them to you.");
        return run(whole, progress);
    }, py::arg("state"), py::kw_only(), py::arg("order") = 1, py::arg("events") = py::none(), py::arg("goals") = py::none(), py::arg("all") = false, py::arg("one_mode_an_element") = true,
       py::arg("threads") = 1, py::arg("instructions") = py::none(), py::arg("seconds") = py::none(), py::arg("progress") = py::none(), py::arg("executor") = py::none(),
       py::arg("shards") = py::none(), sweep_doc);
}

}  // namespace fedfrom::python
