/// Model to compiled network: runs the steps and puts the gates in order.
///
/// Linear in the size of the model, but for looking ids up (logarithmic).
/// Throws ModelError naming the members of a loop that has no meaning.
#pragma once

#include <memory>
#include <string>
#include <utility>
#include <vector>

#include <fedfrom/model/diagnostic.hpp>
#include <fedfrom/network/inputs.hpp>
#include <fedfrom/network/judging.hpp>
#include <fedfrom/network/links.hpp>
#include <fedfrom/network/logic.hpp>
#include <fedfrom/network/order.hpp>
#include <fedfrom/network/rings.hpp>
#include <fedfrom/network/wiring.hpp>

namespace fedfrom::detail {

inline std::string joined_ids(const Compiled& c, const std::vector<std::uint32_t>& elements) {
    std::string list;
    for (const std::uint32_t e : elements) list += (list.empty() ? "`" : ", `") + *c.elements[e].id + "`";
    return list;
}

inline Diagnostic loop_diagnostic(const Compiled& c, std::string code, const std::vector<std::uint32_t>& loop, std::string message, std::string hint) {
    return {.code = std::move(code), .pointer = "/elements/" + *c.elements[loop.front()].id, .message = std::move(message), .hint = std::move(hint), .file = {}};
}

/// Rewrites every literal from its draft to where it came to stand.
inline void settle_literals(Compiled& c, const Ordered& ordered) {
    const auto move = [&](Literal& l) { l = ordered.at(l); };
    const auto move_all = [&](std::vector<Literal>& list) { for (Literal& l : list) move(l); };
    const Variable inputs = ordered.program.inputs;
    for (ElementInfo& e : c.elements) {
        move(e.supplied);
        move(e.needs);
        move(e.works);
        move(e.passes);
        move_all(e.stands);
        move_all(e.shows);
        if (e.gate == none) continue;
        e.gate = e.supplied.variable() - inputs;
        e.component = ordered.component_of[e.gate];
    }
    for (PortInfo& p : c.ports) move(p.supplied);
    for (FeedInfo& f : c.feeds) {
        move(f.path);
        move(f.live);
    }
    for (DeviceAt& d : c.devices) move(d.passes);
    move_all(c.link_literals);
    for (MemoryCell& m : c.memory_cells) move_all(m.sent);
    for (FunctionInfo& f : c.functions)
        for (ModeInfo& m : f.modes) move(m.when);
}

/// Gates of a stage, as a range: stages stand one after another behind the logic.
inline void lay_out_stages(Compiled& c, const GateBuilder& draft) {
    std::uint32_t command = 0, report = 0;
    std::vector<std::uint32_t> of_function(c.functions.size(), 0);
    for (const DraftGate& g : draft.gates) {
        if (g.alias) continue;
        command += g.stage == Stage::command;
        report += g.stage == Stage::report;
        if (g.stage == Stage::function) ++of_function[g.owner];
    }
    c.command_gates = {c.program.logic_end, c.program.logic_end + command};
    c.report_gates = {c.command_gates.last, c.command_gates.last + report};
    std::uint32_t next = c.report_gates.last;
    for (std::uint32_t f = 0; f < c.functions.size(); ++f) {
        c.functions[f].gates = {next, next + of_function[f]};
        next += of_function[f];
    }
}

/// Holders stand grouped by the component whose loop they hold.
inline void list_holders(Compiled& c) {
    for (std::uint32_t e = 0; e < c.elements.size(); ++e)
        if (c.elements[e].holding) c.holders.push_back(e);
    std::ranges::stable_sort(c.holders, {}, [&](std::uint32_t e) { return c.elements[e].component; });
    Program& p = c.program;
    for (const std::uint32_t e : c.holders) p.holders.push_back({c.elements[e].gate, c.elements[e].holding});
    std::uint32_t h = 0;
    for (std::uint32_t i = 0; i < p.components.size(); ++i) {
        p.components[i].first_holder = h;
        while (h < c.holders.size() && c.elements[c.holders[h]].component == i) ++h;
        p.components[i].last_holder = h;
    }
}

inline void compile_into(Compiled& c) {
    Draft draft{.out = c, .gates = {}, .known = {}, .known_here = {}, .asked = {}};
    Wiring(draft).run();
    Inputs(draft).run();
    if (const auto ring = Rings(draft).find(); !ring.empty())
        throw ModelError({loop_diagnostic(c, "position_ring", ring,
            "The positions of " + joined_ids(c, ring) + " hang on each other in a ring, so nothing decides where they stand.",
            "Let one of them be moved by something outside the ring, or give it a delay with `after_s`.")});
    Logic logic(draft);
    logic.run();
    logic.run_commands();
    logic.run_report();
    Judging(draft, logic).run();
    Links(draft).run();
    draft.gates.resolve_aliases();
    Ordered ordered = Orderer(draft.gates).run();
    if (!ordered.refused.empty()) {
        std::vector<Diagnostic> problems;
        for (const auto& loop : ordered.refused)
            problems.push_back(loop_diagnostic(c, "negative_cycle", loop,
                "Something here acts because something is lost and takes part in what it senses: " + joined_ids(c, loop) + ".",
                "Sense something outside the loop (a feeder ahead of the bus), or give the transfer its delay with `after_s`."));
        throw ModelError(std::move(problems));
    }
    settle_literals(c, ordered);
    c.program = std::move(ordered.program);
    lay_out_stages(c, draft.gates);
    list_holders(c);
}

inline std::shared_ptr<const Compiled> compile(Model model) {
    auto c = std::make_shared<Compiled>();
    c->model = std::move(model);
    compile_into(*c);
    return c;
}

}  // namespace fedfrom::detail
