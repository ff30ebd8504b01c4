// Model to compiled network: runs the steps and puts the gates in order.
#include <fedfrom/network/compile.hpp>

#include <memory>
#include <string>
#include <utility>
#include <vector>

#include <fedfrom/model/diagnostic.hpp>
#include <fedfrom/model/validate.hpp>
#include <fedfrom/network/inputs.hpp>
#include <fedfrom/network/judging.hpp>
#include <fedfrom/network/links.hpp>
#include <fedfrom/network/logic.hpp>
#include <fedfrom/network/order.hpp>
#include <fedfrom/network/rings.hpp>
#include <fedfrom/network/simplify.hpp>
#include <fedfrom/network/wiring.hpp>

namespace fedfrom::detail {

namespace {

std::string joined_ids(const Compiled& c, const std::vector<std::uint32_t>& elements) {
    std::string list;
    for (const std::uint32_t e : elements) list += (list.empty() ? "`" : ", `") + *c.elements[e].id + "`";
    return list;
}

/// A loop may close only backwards through diodes; its author should be told.
std::string shorted_diodes(const Compiled& c, const std::vector<std::uint32_t>& loop) {
    const auto in_loop = [&](std::uint32_t e) { return std::ranges::find(loop, e) != loop.end(); };
    std::vector<std::uint32_t> diodes;
    for (const FeedInfo& f : c.feeds)
        if (f.origin == FeedInfo::Origin::backwards && in_loop(f.upstream) && in_loop(c.ports[f.port].element))
            for (std::uint32_t d = f.devices.first; d < f.devices.last; ++d)
                if (is_one_way(*c.elements[c.devices[d].element].element)) diodes.push_back(c.devices[d].element);
    return diodes.empty() ? "" : " (closed backwards through " + joined_ids(c, diodes) + " should it short)";
}

Diagnostic loop_diagnostic(const Compiled& c, std::string code, const std::vector<std::uint32_t>& loop, std::string message, std::string hint) {
    return {.code = std::move(code), .pointer = "/elements/" + *c.elements[loop.front()].id, .message = std::move(message), .hint = std::move(hint), .file = {}};
}

/// Rewrites every literal from its draft to where it came to stand.
void settle_literals(Compiled& c, const Ordered& ordered) {
    const auto move = [&](Literal& l) { l = ordered.at(l); };
    const auto move_all = [&](std::vector<Literal>& list) { for (Literal& l : list) move(l); };
    const Variable inputs = ordered.program.inputs;
    for (ElementInfo& e : c.elements) {
        move(e.supplied);
        move(e.needs);
        move(e.works);
        move(e.passes);
        if (e.gate == none) continue;
        e.gate = e.supplied.variable() - inputs;
        if (e.gate < ordered.component_of.size()) e.component = ordered.component_of[e.gate];
    }
    move_all(c.reported);
    for (PortInfo& p : c.ports) move(p.supplied);
    for (FeedInfo& f : c.feeds) {
        move(f.path);
        move(f.live);
    }
    for (DeviceAt& d : c.devices) move(d.passes);
    move_all(c.link_literals);
    for (MemoryCell& m : c.memory_cells) {
        move_all(m.sent);
        move(m.commanded);
    }
    for (FunctionInfo& f : c.functions)
        for (ModeInfo& m : f.modes) move(m.when);
}

/// Gates of a stage, as a range: stages stand one after another behind the logic.
void lay_out_stages(Compiled& c, const GateBuilder& draft) {
    std::uint32_t command = 0, standing = 0, report = 0;
    std::vector<std::uint32_t> of_function(c.functions.size(), 0);
    for (const DraftGate& g : draft.gates) {
        if (g.alias) continue;
        command += g.stage == Stage::command;
        standing += g.stage == Stage::standing;
        report += g.stage == Stage::report;
        if (g.stage == Stage::function) ++of_function[g.owner];
    }
    c.command_gates = {c.program.logic_end, c.program.logic_end + command};
    c.standing_gates = {c.command_gates.last, c.command_gates.last + standing};
    c.report_gates = {c.standing_gates.last, c.standing_gates.last + report};
    std::uint32_t next = c.report_gates.last;
    for (std::uint32_t f = 0; f < c.functions.size(); ++f) {
        c.functions[f].gates = {next, next + of_function[f]};
        next += of_function[f];
    }
}

/// Holders stand grouped by the component whose loop they hold.
void list_holders(Compiled& c) {
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

/// What settling reads beside commands: supplies, the paths and conditions of links, and protections.
std::vector<Literal> read_while_settling(const Compiled& c) {
    std::vector<Literal> list;
    list.reserve(c.link_literals.size() + c.elements.size() + c.feeds.size());
    list = c.link_literals;
    for (const ElementInfo& e : c.elements)
        if (e.fitted && !(e.ports.size() == 0 && only_has_position(*e.element))) list.push_back(e.supplied);
    for (const FeedInfo& f : c.feeds)
        if (c.ports[f.port].changeover) list.push_back(f.path);
    for (const std::uint32_t e : c.protecting) list.push_back(c.elements[e].works);
    return list;
}

/// Where what may stick stands: remembered once settled.
std::vector<Literal> positions_remembered(const Compiled& c) {
    std::vector<Literal> list;
    for (const std::uint32_t e : c.sticking) list.insert(list.end(), c.elements[e].stands.begin(), c.elements[e].stands.end());
    return list;
}

void compile_into(Compiled& c) {
    Draft draft{c};
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
    Simplifier(draft.gates).run(read_while_settling(c), positions_remembered(c));
    Ordered ordered = Orderer(draft.gates).run();
    if (!ordered.refused.empty()) {
        std::vector<Diagnostic> problems;
        for (const auto& loop : ordered.refused)
            problems.push_back(loop_diagnostic(c, "negative_cycle", loop,
                "Something here acts because something is lost and takes part in what it senses: " + joined_ids(c, loop) + shorted_diodes(c, loop) + ".",
                "Sense something outside the loop (a feeder ahead of the bus), or give the transfer its delay with `after_s`."));
        throw ModelError(std::move(problems));
    }
    settle_literals(c, ordered);
    c.program = std::move(ordered.program);
    lay_out_stages(c, draft.gates);
    list_holders(c);
}

}  // namespace

std::shared_ptr<const Compiled> compile(Model model) {
    if (auto problems = validate(model); !problems.empty()) throw ModelError(std::move(problems));
    return compile_valid(std::move(model));
}

std::shared_ptr<const Compiled> compile_valid(Model model) {
    auto c = std::make_shared<Compiled>();
    c->model = std::move(model);
    compile_into(*c);
    return c;
}

}  // namespace fedfrom::detail
