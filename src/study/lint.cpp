// Each check looks at one thing of one element, function or given, and says what it found it by.
#include <fedfrom/study/lint.hpp>

#include <algorithm>
#include <functional>
#include <map>
#include <optional>
#include <set>
#include <tuple>

#include <fedfrom/model/resolve.hpp>
#include <fedfrom/solve/cone.hpp>

#include "goal_formula.hpp"
#include "implied.hpp"
#include "named.hpp"
#include "words.hpp"

namespace fedfrom {
namespace {

using namespace detail;

/// What the model reads, of elements and givens.
struct Reads {
    std::set<std::string> conditions{};  ///< ids a condition, a follower, a check or a dispatch item names
    std::set<std::string> feeds{};       ///< ids that feed something or stand in a via or tie
    std::set<std::string> demanded{};    ///< givens that a demand or a check sets
};

void each_condition(const Model& m, const std::function<void(const Condition&)>& call) {
    for (const auto& [id, e] : m.elements) {
        if (!e.fitted) continue;
        if (e.needs) call(*e.needs);
        if (e.protects && e.protects->needs) call(*e.protects->needs);
        for (const Move& move : e.goes) call(move.when);
        for (const Show& show : e.shows) call(show.when);
    }
    for (const auto& [id, f] : m.functions)
        for (const auto& [mode_id, mode] : f.modes) call(mode.when);
    for (const auto& [id, q] : m.quantities)
        for (const auto& [rule_id, rule] : q.rules) call(rule.when);
    for (const auto& [id, item] : m.dispatch)
        for (const Condition& condition : item.provided) call(condition);
}

void note_ids(const Condition& x, std::set<std::string>& ids) {
    if (!x.id.empty()) ids.insert(x.id);
    for (const Condition& part : x.of) note_ids(part, ids);  // 24 deep at most
}

Reads reads_of(const Model& m) {
    Reads reads;
    each_condition(m, [&](const Condition& x) { note_ids(x, reads.conditions); });
    const auto note_via = [&](const std::vector<Device>& via) {
        for (const Device& device : via) reads.feeds.insert(device.id);
    };
    for (const auto& [id, e] : m.elements) {
        if (!e.fitted) continue;
        if (e.follows) reads.conditions.insert(e.follows->leader);
        for (const auto& [name, port] : e.inputs)
            for (const Feed& feed : port.feeds) {
                reads.feeds.insert(feed.from);
                note_via(feed.via);
            }
    }
    for (const auto& [id, tie] : m.ties) {
        reads.feeds.insert({tie.between.first, tie.between.second});
        note_via(tie.via);
    }
    for (const auto& [id, f] : m.functions) {
        for (const auto& [given, value] : f.demand.given) reads.demanded.insert(given);
        for (const auto& [mode_id, mode] : f.modes)
            for (const auto& [store, count] : mode.spend) reads.conditions.insert(store);
    }
    for (const auto& [id, check] : m.checks)
        for (const CheckStep& step : check.steps) {
            if (!step.look_at.empty()) reads.conditions.insert(step.look_at);
            for (const auto& [given, value] : step.act.given) reads.demanded.insert(given);
        }
    for (const auto& [id, item] : m.dispatch)
        for (const auto& [unit_id, unit] : item.units) reads.conditions.insert(unit.elements.begin(), unit.elements.end());
    return reads;
}

class Linter {
public:
    explicit Linter(const Network& net) : c_(net.compiled()), m_(net.model()), reads_(reads_of(m_)) {}

    std::vector<Finding> run() {
        find_constants();
        find_sources();
        for (std::uint32_t e = 0; e < c_.elements.size(); ++e)
            if (c_.elements[e].fitted) element(e);
        for (std::uint32_t f = 0; f < c_.functions.size(); ++f)
            if (!c_.functions[f].modes.empty()) function(f);
        for (const GivenInfo& g : c_.givens)
            if (!reads_.conditions.contains(*g.id))
                add("given_unread", *g.id, "No condition reads the given " + *g.id + (reads_.demanded.contains(*g.id) ? ", which demands or checks set." : "."), "Read it where it matters, or leave it out.");
        names();
        std::ranges::sort(findings_, {}, [](const Finding& f) { return std::tie(f.code, f.id, f.text); });
        return std::move(findings_);
    }

private:
    const Compiled& c_;
    const Model& m_;
    Reads reads_;
    std::vector<Finding> findings_;
    std::vector<bool> can_live_;                // by element: some way leads there from a source
    std::vector<std::optional<bool>> constant_; // by variable: what it is, whatever happens

    void add(const char* code, const std::string& id, std::string text, std::string mend) { findings_.push_back({code, id, std::move(text), std::move(mend)}); }

    const ElementInfo& info(std::uint32_t e) const { return c_.elements[e]; }

    // ------------------------------------------------------------------ constants

    /// Gate by gate, from the inputs: a loop, which begins from what is not known yet, stays unknown unless something else decides it.
    void find_constants() {
        const Program& p = c_.program;
        constant_.resize(p.variables());
        constant_[0] = true;
        for (std::uint32_t g = 0; g < p.gates.size(); ++g) {
            const Gate& gate = p.gates[g];
            const auto operands = p.operands_of(gate);
            if (gate.op == Gate::Op::choose) {
                const auto when = known(operands[0]), then = known(operands[1]), otherwise = known(operands[2]);
                constant_[p.output(g)] = when ? (*when ? then : otherwise) : then == otherwise ? then : std::nullopt;
                continue;
            }
            const auto count = [&](bool value) { return static_cast<std::uint32_t>(std::ranges::count_if(operands, [&](Literal l) { return known(l) == value; })); };
            const auto all = static_cast<std::uint32_t>(operands.size());
            const std::uint32_t needed = gate.op == Gate::Op::all ? all : gate.op == Gate::Op::any ? 1 : gate.count;
            if (count(true) >= needed) constant_[p.output(g)] = true;
            else if (all - count(false) < needed) constant_[p.output(g)] = false;
        }
    }
    std::optional<bool> known(Literal l) const {
        const auto value = constant_[l.variable()];
        return value && l.negated() ? !*value : value;
    }

    // ------------------------------------------------------------------ sources

    /// As many as a port needs could be live, were every device to pass that ever can.
    bool could_be_fed(const PortInfo& port) const {
        std::uint32_t ways = 0;
        for (std::uint32_t f = port.feeds.first; f < port.feeds.last; ++f) {
            const Range devices = c_.feeds[f].devices;
            const bool open = std::none_of(c_.devices.begin() + devices.first, c_.devices.begin() + devices.last, [&](const DeviceAt& d) { return known(d.passes) == false; });
            ways += open && can_live_[c_.feeds[f].upstream];
        }
        return ways >= (port.join == Port::Join::at_least ? port.count : 1);
    }
    bool could_live(std::uint32_t e) const {
        for (std::uint32_t p = info(e).ports.first; p < info(e).ports.last; ++p)
            if (!could_be_fed(c_.ports[p])) return false;
        return info(e).fitted && known(info(e).needs) != false;
    }

    /// The least set, but that holders are taken as supplied for as long as they then could be (rule M13).
    void find_sources() {
        std::vector<std::vector<std::uint32_t>> loads(c_.elements.size());
        for (const FeedInfo& f : c_.feeds) loads[f.upstream].push_back(c_.ports[f.port].element);
        std::set<std::uint32_t> holders(c_.holders.begin(), c_.holders.end());
        for (bool dropped = true; dropped;) {
            can_live_.assign(c_.elements.size(), false);
            std::vector<std::uint32_t> todo;
            const auto look_at = [&](std::uint32_t e) {
                if (can_live_[e] || !(holders.contains(e) || could_live(e))) return;
                can_live_[e] = true;
                todo.push_back(e);
            };
            for (std::uint32_t e = 0; e < c_.elements.size(); ++e) look_at(e);
            while (!todo.empty()) {
                const std::uint32_t e = todo.back();
                todo.pop_back();
                for (const std::uint32_t load : loads[e]) look_at(load);
            }
            dropped = std::erase_if(holders, [&](std::uint32_t h) { return !could_live(h); }) > 0;
        }
    }

    // ------------------------------------------------------------------ elements

    void element(std::uint32_t e) {
        const ElementInfo& it = info(e);
        const std::string& id = *it.id;
        const std::string name = called(it);
        for (std::uint32_t p = it.ports.first; p < it.ports.last; ++p) {
            if (!could_be_fed(c_.ports[p]))
                add("no_source", id, name + " is never supplied: no way leads from a source to its " + c_.ports[p].name + " port, whatever stands where.", "Name what feeds it, or take the port out.");
            else port(p);
        }
        use(e);
        movement(e);
        showing(e);
    }

    void use(std::uint32_t e) {
        const ElementInfo& it = info(e);
        const std::string& id = *it.id;
        if (reads_.conditions.contains(id) || reads_.feeds.contains(id)) return;
        if (!it.positions.empty() || is_one_way(*it.element)) {
            if (it.ports.size() > 0 && (!it.element->loads.empty() || !it.element->shows.empty())) return;
            return add("unread", id, called(it) + " stands in no feed or tie, nothing follows it, and no condition reads it: where it stands makes no difference.", "Put it in the `via` it interrupts, or read it in a condition.");
        }
        if (!it.element->loads.empty() || !it.element->shows.empty()) return;
        add("unused", id, called(it) + " feeds nothing, shows nothing, and no condition reads it: whether it is supplied makes no difference.", "Name the function that needs it; give it `loads` where only its load counts.");
    }

    void movement(std::uint32_t e) {
        const ElementInfo& it = info(e);
        const Element& written = *it.element;
        if (it.positions.empty()) return;
        const bool moved = written.follows || !written.goes.empty();
        const auto without = without_of(written);
        for (std::uint32_t p = it.ports.first; p < it.ports.last; ++p)
            if (std::ranges::find(without, c_.ports[p].name, &Without::port) == without.end())
                add("no_loss_position", *it.id, "Where " + called(it) + " stands when its " + c_.ports[p].name + " port is dead is not said: it goes on being moved as if it were supplied there.",
                    "Add [\"" + c_.ports[p].name + "\", \"…\"] to `without`: a position, or \"stays\".");
        if (moved && it.ports.size() == 0 && (written.kind == Kind::valve || written.kind == Kind::contactor || written.kind == Kind::relay))
            add("moves_unsupplied", *it.id, called(it) + " is moved with no supply of its own, so that nothing but its failure keeps it from moving.", "Give it the port that moves it (`control`, `power`) and say in `without` where it goes when that is dead.");
        if (moved && !it.hand) positions(e);
    }

    void positions(std::uint32_t e) {
        const ElementInfo& it = info(e);
        const Element& written = *it.element;
        std::set<std::string> reached{rest_of(written)};
        for (const Move& move : written.goes) reached.insert(move.to);
        for (const Without& w : without_of(written)) reached.insert(w.position);
        if (written.follows) {
            for (const auto& [word, to] : written.follows->map) reached.insert(to);
            if (written.follows->map.empty())
                for (const std::string& word : positions_of(m_.elements.at(written.follows->leader))) reached.insert(word);
        }
        for (std::uint32_t p = 0; p < it.positions.size(); ++p)
            if (!reached.contains(std::string(it.positions[p])) && p != it.trip_position)
                add("position_never", *it.id, called(it) + " never stands at " + std::string(it.positions[p]) + " unless it sticks there: it does not rest there, nothing moves it there, and no `without` sends it.", "Say in `goes` or `follows` what moves it there, or leave the position out.");
    }

    void showing(std::uint32_t e) {
        const ElementInfo& it = info(e);
        if (it.element->shows.empty()) return;
        const Kind kind = it.element->kind;
        if (it.ports.size() == 0 && (kind == Kind::light || kind == Kind::annunciator || kind == Kind::gauge))
            add("shows_unsupplied", *it.id, called(it) + " shows without any supply: on a dead aircraft it reads as on a live one.", "Give it the port it lives on, and say in `unpowered` what it shows without.");
        if (it.ports.size() > 0 && it.element->unpowered.empty())
            add("no_unpowered", *it.id, "What " + called(it) + " shows unsupplied is not said: it is taken to show nothing.", "Say it in `unpowered`: \"out\", \"flag\", or \"stays\" for a pointer that freezes.");
    }

    // ------------------------------------------------------------------ ports

    void port(std::uint32_t p) {
        const PortInfo& port = c_.ports[p];
        const ElementInfo& it = info(port.element);
        if (known(port.supplied) == true)
            add("always_fed", *it.id, "The " + port.name + " port of " + called(it) + " is supplied whatever happens: neither what feeds it nor what stands between can fail.", "Let what feeds it fail, or take the port out.");
        else if (it.ports.size() > 1) {
            Implied others(c_);
            for (std::uint32_t q = it.ports.first; q < it.ports.last; ++q)
                if (q != p) others.add_port(q);
            if (others.port(p))
                add("idle_port", *it.id, "The " + port.name + " port of " + called(it) + " is supplied whenever its other ports are: it never makes a difference.", "Where it is wired so, leave it: it changes no answer. Else let it run through what it needs beside the others.");
        }
        ways(p);
    }

    void ways(std::uint32_t p) {
        const PortInfo& port = c_.ports[p];
        const ElementInfo& it = info(port.element);
        for (std::uint32_t f = port.feeds.first; f < port.feeds.last; ++f) {
            if (c_.feeds[f].origin == FeedInfo::Origin::backwards) continue;
            Implied live(c_);
            live.add_way(f);
            for (std::uint32_t before = port.feeds.first; before < port.feeds.last; ++before) {
                if (before == f || c_.feeds[before].origin == FeedInfo::Origin::backwards) continue;
                if (port.join == Port::Join::at_least) {
                    if (before < f && c_.feeds[before].upstream == c_.feeds[f].upstream)
                        add("votes_together", *it.id, "Two ways into the " + port.name + " port of " + called(it) + ", a voter, come from " + called(info(c_.feeds[f].upstream)) + ": when it is lost, two votes are.", "Feed each vote from a thing of its own, or ask for fewer.");
                } else if (before < f && live.way(before)) {
                    add("way_unused", *it.id, "The way into the " + port.name + " port of " + called(it) + " from " + called(info(c_.feeds[f].upstream)) + " brings nothing: whenever it is live, so is the one before it, from " + called(info(c_.feeds[before].upstream)) + ".", "Let it branch off ahead of what both share, or leave it out.");
                    break;
                }
            }
        }
    }

    // ------------------------------------------------------------------ functions

    void function(std::uint32_t f) {
        const FunctionInfo& it = c_.functions[f];
        for (std::size_t m = 0; m < it.modes.size(); ++m) mode(it, m);
        const Cone cone = cone_of(c_, with_those_read(c_, f), false);
        if (!touched_by_failure(cone)) {
            const bool fixed = std::ranges::all_of(it.modes, [&](const ModeInfo& m) { return known(m.when).has_value(); });
            add("no_failure", *it.id, "No failure can touch " + called(it) + ": " + (fixed ? "its modes hold or do not, whatever happens." : "among all that its modes hang on, followed to the end, nothing can fail, trip or run empty."), "Let a mode read what the function is done with.");
        }
        demand(it, cone);
    }

    bool touched_by_failure(const Cone& cone) const {
        const auto in = [&](Variable v) { return v != 0 && cone.inputs[v]; };
        return std::ranges::any_of(c_.failures, [&](const FailureInfo& x) { return in(x.variable); }) ||
               std::ranges::any_of(c_.zones, [&](const ZoneInfo& z) { return in(z.variable); }) ||
               std::ranges::any_of(c_.elements, [&](const ElementInfo& e) { return in(e.tripped) || in(e.empty); });
    }

    void mode(const FunctionInfo& it, std::size_t m) {
        const ModeInfo& mode = it.modes[m];
        if (known(mode.when) == false) return add("mode_never", *it.id, "The mode " + mode_name(mode) + " of " + called(it) + " never holds, whatever happens.", "Let its `when` read what can be so, or leave it out.");
        Implied holds(c_);
        holds.add(mode.mode->when);
        for (std::size_t better = 0; better < m; ++better)
            if (!uses_up(it, better) && holds.holds(it.modes[better].mode->when))
                return add("mode_unused", *it.id, "The mode " + mode_name(mode) + " of " + called(it) + " is never used: whenever it holds, " + mode_name(it.modes[better]) + " does, which is better.", "Let it need less than the modes before it, or leave it out.");
    }

    /// It spends, or may be barred: it may not hold though its `when` does.
    static bool uses_up(const FunctionInfo& it, std::size_t m) {
        if (!it.modes[m].mode->spend.empty()) return true;
        return std::ranges::any_of(it.function->modes, [&](const auto& other) { return std::ranges::find(other.second.bars, *it.modes[m].id) != other.second.bars.end(); });
    }

    void demand(const FunctionInfo& it, const Cone& cone) {
        for (const HandSetting& s : c_.demands[it.demand].set) {
            const ElementInfo& e = info(s.element);
            bool read = false;
            for (std::uint32_t p = 0; p < e.positions.size(); ++p) read |= cone.inputs[e.at_hand + p];
            if (!read) add("demand_without_effect", *it.id, "Asking for " + called(it) + " with " + called(e) + " at " + std::string(e.positions[s.position]) + " changes nothing of it while no fault spreads: none of its modes hangs on that.", "Let a mode hang on what it moves, or take it out of the `demand`.");
        }
    }

    // ------------------------------------------------------------------ names

    void names() {
        std::map<std::string, std::set<std::uint32_t>> elements, functions;
        const auto note = [](auto& map, std::uint32_t i, const std::string& id, const std::string& name, const std::vector<std::string>& aliases) {
            for (const std::string& word : {id, name}) if (!word.empty()) map[in_small_letters(word)].insert(i);
            for (const std::string& alias : aliases) map[in_small_letters(alias)].insert(i);
        };
        for (std::uint32_t e = 0; e < c_.elements.size(); ++e) note(elements, e, *info(e).id, info(e).element->name, info(e).element->aliases);
        for (std::uint32_t f = 0; f < c_.functions.size(); ++f) note(functions, f, *c_.functions[f].id, c_.functions[f].function->name, c_.functions[f].function->aliases);
        const auto collide = [&](const auto& map, const auto& id_of, const char* what) {
            for (const auto& [word, those] : map) {
                if (those.size() < 2) continue;
                std::vector<std::string> ids;
                for (const std::uint32_t i : those) ids.push_back(id_of(i));
                add("name_collision", ids.front(), std::to_string(ids.size()) + " " + what + " are called `" + word + "`, by id, name or alias in any case: " + listed(ids) + ".", "Call each by a name of its own.");
            }
        };
        collide(elements, [&](std::uint32_t e) { return *info(e).id; }, "elements");
        collide(functions, [&](std::uint32_t f) { return *c_.functions[f].id; }, "functions");
    }
};

}  // namespace

Lint lint(const Network& net) {
    State state = running_state(net);
    return {settle(state), Linter(net).run()};
}

Lint lint(const Model& model) { return lint(Network(model)); }

Table table(const Lint& l) {
    Table t{.title = "What the model leaves open", .captions = captions(l.running), .columns = {{"Code"}, {"Of"}, {"What"}, {"How to mend it"}}, .rows = {}, .footnotes = {}};
    for (const Finding& f : l.findings) t.rows.push_back({f.code, f.id, f.text, f.mend});
    t.footnotes.push_back("None of this is an error: each is a fact of the model as written, in this variant. What is not listed here may be open all the same.");
    return t;
}

std::string text(const Lint& l) {
    std::string out;
    append_wrapped(out, "What the model leaves open: ", l.running.network().model().name + ", " + plural(l.findings.size(), "finding", "findings"), 4);
    append_captions(out, captions(l.running));
    std::string code;
    for (const Finding& f : l.findings) {
        if (f.code != code) out += "\n" + f.code + "\n";
        code = f.code;
        append_wrapped(out, "  " + f.id + ": ", f.text, 4);
        append_wrapped(out, "    Mend: ", f.mend, 6);
    }
    out += '\n';
    append_wrapped(out, "", table(l).footnotes.front(), 0);
    append_wrapped(out, "", caution, 0);
    return out;
}

}  // namespace fedfrom
