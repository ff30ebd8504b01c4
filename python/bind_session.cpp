// Sessions: an aircraft that runs along, told what happens and telling what changed.
#include "events_from.hpp"

#include <array>
#include <memory>

#include <fedfrom/network/malfunctions.hpp>
#include <fedfrom/solve/bistable.hpp>
#include <fedfrom/solve/session.hpp>

namespace fedfrom::python {

namespace {

/// Applies an event or says why it cannot be.
Session& apply(Session& s, const Event& event) {
    const Refusal refusal = s.apply(event);
    if (refusal != Refusal::none) throw NotPossible(text(refusal, event, s.network()));
    return s;
}

/// All of a step, or nothing of it: tried on a copy first, since a session itself cannot take an event back.
Session& apply(Session& s, const py::dict& values) {
    const Step step = step_from(values);
    State tried = s.state();
    fedfrom::apply(tried, step);
    s.apply(events_of(step, s.network()));
    return s;
}

std::optional<std::string> position_word(const Session& s, ElementHandle e, std::uint8_t code) {
    return code == unknown_code ? std::nullopt : std::optional(std::string(s.network().compiled().elements[e.index].positions[code]));
}

/// A code of `SessionChange::Of::shown` as the text shown; empty where there is nothing to show.
std::optional<std::string> shown_word(const ElementInfo& e, std::uint8_t code) {
    if (!e.fitted || e.shows.empty() || code == shows_nothing) return "";
    if (code == unknown_code) return std::nullopt;
    return code == shows_unpowered ? e.element->unpowered : e.element->shows[code].text;
}

/// The mode of a judgement; None for none.
py::object mode_word(const Network& net, std::uint32_t function, const Judgement& judged) {
    return judged.mode == none ? py::object(py::none()) : py::object(py::str(*net.compiled().functions[function].modes[judged.mode].id));
}

/// A change with its network, which its words are of.
struct Told {
    Network net;
    SessionChange change;

    bool operator==(const Told& other) const { return net == other.net && change == other.change; }
    bool of_function() const { return change.of == SessionChange::Of::function; }
    std::string id() const { return of_function() ? *net.compiled().functions[change.index].id : *net.compiled().elements[change.index].id; }
    std::string of() const {
        constexpr std::array words{"status", "position", "tripped", "shown", "function"};
        return words[static_cast<std::size_t>(change.of)];
    }
    py::object word(std::uint8_t code) const {
        if (of_function()) return py::str(std::string(name_of(static_cast<Level>(code))));
        if (change.of == SessionChange::Of::status) return py::str(code == unknown_code ? "unknown" : std::string(name_of(static_cast<Status>(code))));
        if (code == unknown_code) return py::none();
        const ElementInfo& e = net.compiled().elements[change.index];
        if (change.of == SessionChange::Of::position) return py::str(std::string(e.positions[code]));
        if (change.of == SessionChange::Of::tripped) return py::bool_(code != 0);
        return word_or_none(shown_word(e, code));
    }
    py::object mode(const Judgement& j) const { return of_function() ? mode_word(net, change.index, j) : py::object(py::none()); }
    py::object now(const Judgement& j) const { return of_function() ? truth_or_none(j.now) : py::object(py::none()); }
    py::dict to_dict() const {
        py::dict d;
        d["of"] = of();
        d["id"] = id();
        d["before"] = word(change.before);
        d["after"] = word(change.after);
        d["mode_before"] = mode(change.judged_before);
        d["mode_after"] = mode(change.judged_after);
        d["now_before"] = now(change.judged_before);
        d["now_after"] = now(change.judged_after);
        d["reason"] = text(change.reason, net);
        return d;
    }
};

double seconds(std::chrono::microseconds t) { return std::chrono::duration<double>(t).count(); }

std::vector<Told> advance(Session& s, double by_s) {
    if (!s.in_time()) throw py::value_error("This session is not in time: make it with in_time=True.");
    if (!(by_s >= 0)) throw py::value_error("Time goes on by 0 seconds or more.");
    if (by_s > Session::longest_advance_s) throw py::value_error("Time goes on by at most 1e9 seconds at once.");
    std::vector<Told> list;
    for (const SessionChange& change : s.advance(by_s)) list.push_back({s.network(), change});
    return list;
}

py::list waiting(const Session& s) {
    py::list list;
    for (const Waiting& w : s.waiting()) {
        const ElementInfo& e = s.network().compiled().elements[w.element];
        py::dict d;
        d["id"] = *e.id;
        d["name"] = e.element->name.empty() ? *e.id : e.element->name;
        d["what"] = std::string(name_of(w.what));
        d["position"] = w.what == Waiting::What::moves ? std::string(e.positions[w.position]) : std::string();
        d["due_s"] = seconds(w.due);
        list.append(std::move(d));
    }
    return list;
}

std::vector<Told> settle(Session& s, std::optional<unsigned> passes) {
    std::vector<Told> list;
    for (const SessionChange& change : s.settle(passes.value_or(Session::no_limit))) list.push_back({s.network(), change});
    return list;
}

py::list malfunction_dicts(const Network& net) {
    py::list list;
    for (const Malfunction& m : malfunctions(net)) {
        py::dict d;
        d["handle"] = m.handle.index;
        d["element"] = m.element;
        d["mode"] = m.mode;
        d["name"] = m.name;
        d["ata"] = m.ata;
        d["group"] = m.group;
        list.append(d);
    }
    return list;
}

void bind_change(py::module_& m) {
    py::class_<Told> change(m, "SessionChange", R"(One thing that changed in a session: before, after, and the next link of its cause. Prints as a line.

    >>> session = ff.Session(net)
    >>> change = session.fail("generator").settle()[-1]
    >>> change.of, change.id, change.before, change.after, change.reason
    ('status', 'generator', 'supplied', 'failed', 'generator loss')
)");
    change.def_property_readonly("of", &Told::of, "What changed: status, position, tripped, shown, or function.")
        .def_property_readonly("id", &Told::id, "The element, or the function.")
        .def_property_readonly("before", [](const Told& t) { return t.word(t.change.before); }, "As it was; None where unknown.")
        .def_property_readonly("after", [](const Told& t) { return t.word(t.change.after); }, "As it is; None where unknown.")
        .def_property_readonly("mode_before", [](const Told& t) { return t.mode(t.change.judged_before); }, "Of a function, the mode it was in; None for none.")
        .def_property_readonly("mode_after", [](const Told& t) { return t.mode(t.change.judged_after); }, "Of a function, the mode it is in; None for none.")
        .def_property_readonly("now_before", [](const Told& t) { return t.now(t.change.judged_before); }, "Of a function, whether it was in operation; None where unknown.")
        .def_property_readonly("now_after", [](const Told& t) { return t.now(t.change.judged_after); }, "Of a function, whether it is in operation; None where unknown.")
        .def_property_readonly("reason", [](const Told& t) { return text(t.change.reason, t.net); }, "What decided it; empty where nothing that changed decides it alone.")
        .def("to_dict", &Told::to_dict, R"(to_dict(self)
--

Give it as plain values.

    >>> ff.Session(net).fail("radio").settle()[-1].to_dict()["now_after"]
    False
)")
        .def("__eq__", [](const Told& a, const Told& b) { return a == b; }, py::is_operator(), "__eq__(self, other, /)\n--\n\n")
        .def("__str__", [](const Told& t) { return text(t.change, t.net); }, "__str__(self, /)\n--\n\n")
        .def("__repr__", [](const Told& t) { return "<SessionChange " + text(t.change, t.net) + ">"; }, "__repr__(self, /)\n--\n\n");
    refuse_pickling(change, "Pickle its to_dict().");
}

}  // namespace

void bind_session(py::module_& m) {
    bind_change(m);
    const auto self = py::return_value_policy::reference_internal;
    py::class_<Session, std::unique_ptr<Session>> session(m, "Session", R"(One aircraft that runs along: told what happens, it tells what changed.

Only what an event can reach is evaluated again; the answers are those of `settle`. Events take effect with the next
`settle`, all together. One session belongs to one thread.

    >>> session = ff.Session(net)
    >>> for change in session.set("cb_radio", "pulled").settle():
    ...     print(change)
    cb_radio: in -> pulled, because cb_radio set to pulled
    radio: supplied -> unsupplied, because cb_radio blocks
    talk: normal (radio) -> lost, not now, because radio has no supply

Args:
    start: A State, settled first, or a Network, which means its running state.
    in_time: Whether delays, starts and stops take as long as the model says, by `advance`; else they are over at once.
)");
    session.def(py::init([](const py::object& start, bool in_time) {
        const Timing timing = in_time ? Timing::in_time : Timing::at_once;
        if (py::isinstance<State>(start)) return std::make_unique<Session>(start.cast<const State&>(), timing);
        if (py::isinstance<Network>(start)) return std::make_unique<Session>(running_state(start.cast<const Network&>()), timing);
        throw py::type_error("A session starts from a State or a Network.");
    }), py::arg("start"), py::kw_only(), py::arg("in_time") = false, R"(__init__(self, start, *, in_time=False)
--

Go on from a state.
)")
        .def_property_readonly("network", [](const Session& s) { return s.network(); }, "The aircraft.")
        .def("apply", [](Session& s, const py::dict& step) -> Session& { return apply(s, step); }, py::arg("step"), R"(apply(self, step)
--

Apply a step, written as in `what_works`: all of it, or nothing where something in it is not possible.

    >>> session = ff.Session(net)
    >>> session.apply({"fail": ["generator"], "set": {"cb_radio": "pulled"}}).settle()[-1].after
    'lost'

Args:
    step: A dict of fail, repair, reset, set, given, use and clear_all.

Raises:
    UnknownId: Naming the nearest id.
    NotPossible: Saying why: a reset used up, a store that holds too little, a mode that is barred.
)", self)
        .def("fail", [](Session& s, std::string_view element, std::string_view mode, std::string_view at) -> Session& {
            return apply(s, failure_event(s.network(), element, mode, at));
        }, py::arg("element"), py::arg("mode") = "loss", py::kw_only(), py::arg("at") = "", R"(fail(self, element, mode='loss', *, at='')
--

Insert a failure; as `State.fail`.
)", self)
        .def("repair", [](Session& s, std::string_view element) -> Session& { return apply(s, Event::repair(s.network().element(element))); }, py::arg("element"), R"(repair(self, element)
--

Remove an element's failures, refill and untrip it.
)", self)
        .def("reset", [](Session& s, std::string_view element) -> Session& { return apply(s, Event::reset(s.network().element(element))); }, py::arg("element"), R"(reset(self, element)
--

Reset a tripped device, as often as it may be; as `State.reset`.
)", self)
        .def("set", [](Session& s, std::string_view element, std::string_view position) -> Session& {
            const ElementHandle e = s.network().element(element);
            return apply(s, Event::set(e, s.network().position(e, position)));
        }, py::arg("element"), py::arg("position"), R"(set(self, element, position)
--

Put a switch, handle or breaker where the crew wants it.
)", self)
        .def("given", [](Session& s, std::string_view id, bool value) -> Session& { return apply(s, Event::given(s.network().given(id), value)); }, py::arg("id"), py::arg("value"), R"(given(self, id, value)
--

Say whether a given holds.
)", self)
        .def("use", [](Session& s, std::string_view function, std::string_view mode) -> Session& { return apply(s, Event::use(s.network().one_shot(function, mode))); },
             py::arg("function"), py::arg("mode"), R"(use(self, function, mode)
--

Use a one-shot mode; as `State.use`.
)", self)
        .def("clear_all", [](Session& s) -> Session& { return apply(s, Event::clear_all()); }, R"(clear_all(self)
--

Undo every failure, trip, spent store, used mode and held position; hands and givens stay.

    >>> session = ff.Session(net)
    >>> session.fail("battery").fail("generator").settle()[-1].after
    'lost'
    >>> session.clear_all().settle()[-1].after
    'normal'
)", self)
        .def("settle", &settle, py::arg("passes") = py::none(), R"(settle(self, passes=None)
--

Settle what happened, and give what changed: elements by id, then functions by id.

    >>> session = ff.Session(net)
    >>> [change.id for change in session.fail("radio").settle()]
    ['radio', 'talk']
    >>> session.settle()
    []

Args:
    passes: How many passes at most; `still_moving` says that they ran out, and the next call goes on. None: no limit.
)")
        .def("advance", &advance, py::arg("seconds"), R"(advance(self, seconds)
--

Let time pass, and give what changed by it: what is due moves, starts or stops, one instant after another, each settled.

For a session `in_time`. Events wait for the next `settle`.

    >>> session = ff.Session(net, in_time=True)
    >>> session.advance(1)
    []

Raises:
    ValueError: For a session that is not in time, and for times that are negative, not a number or above 1e9 seconds.
)")
        .def_property_readonly("waiting", &waiting, "What moves, starts or runs down, and when it is due by the session's clock. Empty for a session not in time.")
        .def_property_readonly("now_s", [](const Session& s) { return seconds(s.now()); }, "Seconds since the session began or was loaded, as `advance` let them pass.")
        .def_property_readonly("still_moving", &Session::still_moving, "The passes ran out before everything stood still.")
        .def_property_readonly("hunting", [](const Session& s) {
            std::vector<std::string> ids;
            for (const std::uint32_t e : s.hunting()) ids.push_back(*s.network().compiled().elements[e].id);
            return ids;
        }, "Elements whose position or hold never came to rest.")
        .def("status", [](const Session& s, std::string_view element) { return std::string(name_of(s.status(s.network().element(element)))); }, py::arg("element"), R"(status(self, element)
--

Say how an element is, as of the last `settle`.

    >>> ff.Session(net).status("radio")
    'supplied'
)")
        .def("position", [](const Session& s, std::string_view element) {
            const ElementHandle e = s.network().element(element);
            return position_word(s, e, s.position(e));
        }, py::arg("element"), R"(position(self, element)
--

Say where an element really stands; None where unknown or it has no positions.
)")
        .def("tripped", [](const Session& s, std::string_view element) -> std::optional<bool> {
            const ElementHandle e = s.network().element(element);
            const ElementInfo& info = s.network().compiled().elements[e.index];
            if (!info.tripped) return false;
            return s.tripped(e) == unknown_code ? std::nullopt : std::optional(s.tripped(e) == 1);
        }, py::arg("element"), R"(tripped(self, element)
--

Say whether a protecting device has tripped; None where unknown.

    >>> ff.Session(net).tripped("cb_radio")
    False
)")
        .def("shows", [](const Session& s, std::string_view element) {
            const ElementHandle e = s.network().element(element);
            return shown_word(s.network().compiled().elements[e.index], s.shown(e));
        }, py::arg("element"), R"(shows(self, element)
--

Say what a light, gauge or flag shows; None where unknown.

    >>> session = ff.Session(net)
    >>> session.fail("generator").settle()[0]
    <SessionChange bus_light shows: nothing -> lit, because generator has no supply>
    >>> session.shows("bus_light")
    'lit'
)")
        .def("level", [](const Session& s, std::string_view function) { return std::string(name_of(s.judged(s.network().function(function)).level)); }, py::arg("function"), R"(level(self, function)
--

Say how a function would work if asked for now.

    >>> ff.Session(net).level("talk")
    'normal'
)")
        .def("mode", [](const Session& s, std::string_view function) {
            const FunctionHandle f = s.network().function(function);
            return mode_word(s.network(), f.index, s.judged(f));
        }, py::arg("function"), R"(mode(self, function)
--

Say which mode of a function is in use; None where lost, not fitted or unknown.

    >>> ff.Session(net).mode("talk")
    'radio'
)")
        .def("now", [](const Session& s, std::string_view function) { return truth_or_none(s.judged(s.network().function(function)).now); }, py::arg("function"), R"(now(self, function)
--

Say whether a function is in operation as things stand; None where unknown.

    >>> ff.Session(net).now("talk")
    True
)")
        .def("state", &Session::state, R"(state(self)
--

Give what is remembered as a State, which goes its own way.

    >>> ff.settle(ff.Session(net).fail("radio").state()).lost
    ['talk']
)")
        .def("snapshot", [](Session& s) {
            std::vector<std::uint8_t> bytes;
            s.snapshot(bytes);
            return py::bytes(reinterpret_cast<const char*>(bytes.data()), bytes.size());
        }, R"(snapshot(self)
--

Write what is remembered as bytes; `read_snapshot` reads them.

    >>> session = ff.Session(net)
    >>> session.snapshot() == ff.snapshot(session.state())
    True
)")
        .def("load", &Session::load, py::arg("state"), R"(load(self, state)
--

Go on from another state of the same aircraft; the next `settle` gives what differs.

    >>> session = ff.Session(net)
    >>> saved = session.snapshot()
    >>> session.fail("radio").settle()[-1].after
    'lost'
    >>> session.load(ff.read_snapshot(net, saved))
    >>> session.settle()[-1].after
    'normal'

Raises:
    NotPossible: Where it is a state of another aircraft.
)")
        .def("__repr__", [](const Session& s) { return "<Session of " + s.network().model().name + (s.still_moving() ? ", still moving>" : ">"); }, "__repr__(self, /)\n--\n\n");
    refuse_pickling(session, "Pickle its state().");

    m.def("snapshot", &bytes_of, py::arg("state"), R"(snapshot(state)
--

Write a state as bytes, by id, under a fingerprint of its network. Same state, same bytes.

    >>> ff.read_snapshot(net, ff.snapshot(state.fail("radio"))) == state
    True
)");
    m.def("read_snapshot", &state_from, py::arg("net"), py::arg("bytes"), R"(read_snapshot(net, bytes)
--

Read a state back, in this process or another.

Raises:
    SnapshotMismatch: Of another aircraft, edition or variant, with what differs; or of bytes that are no snapshot.
)");
    m.def("malfunctions", &malfunction_dicts, py::arg("net"), R"(malfunctions(net)
--

List every malfunction the aircraft can have, in the order of handles: what an instructor's station lists.

    >>> [(m["element"], m["mode"]) for m in ff.malfunctions(net)][:3]
    [('battery', 'loss'), ('bus', 'loss'), ('bus', 'short')]
)");
    m.def("bistable", &bistable, py::arg("net"), R"(bistable(net)
--

List the elements that differ between the running and the cold aircraft: what depends on where it came from.

    >>> ff.bistable(net)
    []
)");
}

}  // namespace fedfrom::python
