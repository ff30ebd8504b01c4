// Why a condition holds or does not, and why a function is at its level.
#include <algorithm>

#include "explain.hpp"
#include "words.hpp"

namespace fedfrom::detail {

void Explainer::condition(const Task& task) {
    using Op = Condition::Op;
    const Condition& x = *task.condition;
    const View& view = picture(task.demand).view;
    const auto part = [&](const Condition& of, bool value) { return Task{.what = Task::What::condition, .condition = &of, .value = value}; };
    const auto surely = [&](const Condition& of) { return view.holds(of).value_or(false); };
    Tasks parts;
    switch (x.op) {
        case Op::negation: return put(task, {part(x.of.front(), !task.value)}, 0);
        case Op::all:
        case Op::any:
        case Op::at_least: break;
        default: return atom(task);
    }
    if (task.value) {
        for (const Condition& of : x.of) {
            if (!surely(of)) continue;
            parts.push_back(part(of, true));
            if (x.op == Op::any) break;
        }
        return put(task, std::move(parts), 0);
    }
    for (const Condition& of : x.of)
        if (!surely(of)) parts.push_back(part(of, false));
    if (x.op == Op::all || (x.op == Op::any && x.of.size() == 1)) return put(task, std::move(parts), 0);
    const std::string all = std::to_string(x.of.size());
    write(task, Role::alternative, "",
          x.op == Op::any ? "none of these " + all + " holds:" : std::to_string(x.count) + " of " + all + " are needed, and " + std::to_string(x.of.size() - parts.size()) + " hold:");
    put(task, std::move(parts));
}

void Explainer::atom(const Task& task) {
    using Op = Condition::Op;
    using Kind = RootCause::Kind;
    const Condition& x = *task.condition;
    const View& view = picture(task.demand).view;
    if (x.op == Op::given) {
        const bool value = view.holds(x).value_or(false);
        given_root(x.id, value);
        return write(task, Role::root, x.id, "Given: " + x.id + (value ? " is true." : " is false."));
    }
    if (x.op == Op::level) {
        const std::uint32_t f = index_of(c_.functions, x.id);
        if (!task.value) return put(task, {{.what = Task::What::function, .index = f}}, 0);
        return write(task, Role::statement, x.id, called(c_.functions[f]) + " is " + std::string(word_of(out_.judged()[f].level)) + ".");
    }
    const std::uint32_t e = index_of(c_.elements, x.id);
    const ElementInfo& it = info(e);
    const std::string name = called(it);
    const auto say = [&](Role role, const std::string& text) { write(task, role, *it.id, name + text); };
    if (!it.fitted) return say(Role::statement, " is not fitted.");
    switch (x.op) {
        case Op::supplied:
            if (task.value) return say(Role::statement, " is supplied.");
            return put(task, {{.what = Task::What::supply, .index = e}}, 0);
        case Op::set: {
            std::string at;
            for (std::uint32_t p = 0; p < it.positions.size(); ++p)
                if (view.worlds().read(0, Literal::of(it.at_hand + p))) at = it.positions[p];
            hand_root(e, at);
            return say(Role::root, " is set to " + at + (task.value ? "." : ", not to " + x.word + "."));
        }
        case Op::tripped:
            if (view.truth(it.tripped).value_or(false)) root(Kind::trip, *it.id, "", name + " tripped");
            return say(task.value ? Role::root : Role::statement, task.value ? " has tripped." : " has not tripped.");
        case Op::failure:
            if (task.value) failure_root(e, x.word);
            return say(task.value ? Role::root : Role::statement, (task.value ? " has the failure " : " has not the failure ") + x.word + ".");
        default: return put(task, {{.what = Task::What::stand, .index = e}}, 0);
    }
}

void Explainer::function_task(const Task& task) {
    const FunctionInfo& f = c_.functions[task.index];
    const Judgement& judged = out_.judged()[task.index];
    Task here = task;
    here.demand = f.demand;
    const std::string demand = demand_text(c_, f.demand);
    std::string fact = called(f) + " is " + std::string(word_of(judged.level));
    if (judged.mode != none) fact += " (" + mode_name(f.modes[judged.mode]) + ")";
    if (!demand.empty()) fact += ", asked for " + demand;
    if (judged.level == Level::not_fitted) return write(here, Role::statement, *f.id, fact + ": no way to do it is fitted.");
    if (everything_unknown(here)) return;
    if (!open(here, Task::What::function, *f.id, fact)) return;
    write(here, Role::statement, *f.id, fact + ".");

    Tasks under;
    for (const std::uint32_t read : f.reads)  // then it was not judged at all
        if (out_.judged()[read].level == Level::unknown) under.push_back({.what = Task::What::function, .index = read});
    if (!under.empty()) return put(here, std::move(under));
    if (judged.mode != none) under.push_back({.role = Role::in_use, .text = "In use: " + in_use_text(f, task.index, judged) + "."});
    const auto better = judged.mode == none ? static_cast<std::uint32_t>(f.modes.size()) : judged.mode;
    for (std::uint32_t m = 0; m < better; ++m) under.push_back({.what = Task::What::mode, .index = task.index, .positions = m, .demand = f.demand});
    for (std::uint32_t m = better; judged.mode != none && m < f.modes.size(); ++m)
        if (m != judged.mode) under.push_back({.role = Role::behind, .text = mode_behind(f, m)});
    if (judged.mode != none)
        for (const Support& s : tracer_.supports(task.index))
            under.push_back({.what = Task::What::path, .index = out_.network().element(s.element).index, .demand = f.demand});
    put(here, std::move(under));
}

/// "free fall, from gear_cable".
std::string Explainer::in_use_text(const FunctionInfo& f, std::uint32_t function, const Judgement& judged) {
    const Sources from = Tracer::joined(tracer_.supports(function));
    std::vector<std::string> names;
    for (const std::string& id : from.ids) names.push_back(called(info(out_.network().element(id).index)));
    return mode_name(f.modes[judged.mode]) + (names.empty() ? "" : ", from " + listed(names) + (from.sure ? "" : " (unknown which)"));
}

std::string Explainer::mode_behind(const FunctionInfo& f, std::uint32_t m) {
    const auto holds = picture(f.demand).view.truth(f.modes[m].when);
    return "Behind it: " + mode_name(f.modes[m]) + (!holds ? ", of which it is unknown whether it would work." : *holds ? ", which would work." : ", which would not work now.");
}

void Explainer::mode(const Task& task) {
    const FunctionInfo& f = c_.functions[task.index];
    const ModeInfo& mode = f.modes[task.positions];
    const auto holds = picture(task.demand).view.truth(mode.when);
    const std::string name = mode.mode->name.empty() ? *mode.id : mode.mode->name + " (" + *mode.id + ")";
    const bool first = mode.mode->rank == 1;
    if (holds.value_or(false)) return write(task, Role::alternative, *f.id, "It would work by " + name + ".");
    write(task, Role::alternative, *f.id, (holds ? "Not by " : "Unknown whether by ") + name + (first ? ", the normal way, because:" : ", because:"));
    Tasks under = used_up(f, mode, task.demand);
    if (under.empty() || !picture(task.demand).view.holds(mode.mode->when).value_or(false))
        under.insert(under.begin(), {.what = Task::What::condition, .condition = &mode.mode->when, .value = false});
    put(task, std::move(under));
}

/// What a mode lacks beside its condition (rule M23).
Explainer::Tasks Explainer::used_up(const FunctionInfo& function, const ModeInfo& mode, std::uint32_t demand) {
    const View& view = picture(demand).view;
    const auto used = [&](const OneShotInfo& o) { return view.surely(Literal::of(o.used)); };
    Tasks under;
    for (const auto& [store, count] : mode.mode->spend) {
        const std::uint32_t e = index_of(c_.elements, store);
        if (!view.surely(info(e).supplied)) {
            under.push_back({.what = Task::What::supply, .index = e});
            continue;
        }
        const int left = applications_of(*info(e).element->store) - out_.state().remembered().taken[e];
        if (left >= count) continue;
        for (const OneShotInfo& o : c_.one_shots)
            if (used(o) && std::ranges::any_of(o.spends, [&](const OneShotInfo::Take& take) { return take.store == e; })) used_root(o);
        under.push_back({.index = e, .role = Role::root, .text = "It takes " + std::to_string(count) + " from " + called(info(e)) + ", which holds only " + std::to_string(left) + "."});
    }
    for (const OneShotInfo& o : c_.one_shots) {
        if (c_.functions[o.function].id != function.id || !used(o)) continue;
        const auto& bars = function.function->modes.at(*o.mode).bars;
        if (std::ranges::find(bars, *mode.id) == bars.end()) continue;
        used_root(o);
        under.push_back({.role = Role::root, .text = (*o.mode == *mode.id ? std::string("It was used, and works once.") : "It is barred by " + spaced(*o.mode) + ", which was used.")});
    }
    return under;
}

}  // namespace fedfrom::detail
