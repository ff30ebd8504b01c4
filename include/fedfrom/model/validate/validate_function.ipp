#include <algorithm>

#include <fedfrom/model/nearest.hpp>

#include "validator.hpp"

namespace fedfrom::model {

void Validator::function(const At& at, const Function& f) {
    group(At{at, "group"}, f.group);
    demand(At{at, "demand"}, f.demand);
    const At modes{at, "modes"};
    if (f.modes.empty()) report(modes, "empty_list", "A function needs one mode at least.");
    for (const auto& [id, mode] : f.modes) {
        const At here{modes, id};
        key(here, id);
        range(At{here, "rank"}, mode.rank, 1, 1000);
        condition(At{here, "when"}, mode.when, Levels::allowed);
        const At effects{here, "effects"}, spend{here, "spend"}, bars{here, "bars"};
        for (const auto& [quantity_id, effect] : mode.effects) {
            known(At{effects, quantity_id}, quantity_id, Collection::quantity);
            range(At{effects, quantity_id}, effect, -largest, largest);
        }
        for (const auto& [store, count] : mode.spend) {
            const At entry{spend, store};
            const Element* e = known_element(entry, store);
            if (e && sure(store) && !e->store) report(entry, "no_store", in_ticks(store) + " has no `store` to spend from.");
            range(entry, count, 1, most_applications);
            if (!e || !sure(store) || !e->store) continue;
            const int holds = applications_of(*e->store);
            if (count > holds)
                report(entry, "spends_too_much", in_ticks(store) + " holds " + std::to_string(holds) + (holds == 1 ? " application" : " applications") + ", so this mode could never work.",
                       e->store->applications ? "" : "Where `store` has no `applications`, it holds one.");
        }
        for (std::size_t i = 0; i < mode.bars.size(); ++i) {
            if (f.modes.contains(mode.bars[i])) continue;
            std::vector<std::string> names;
            for (const auto& [name, unused] : f.modes) names.push_back(name);
            const std::string near = nearest(mode.bars[i], names);
            report(At{bars, i}, "unknown_mode", in_ticks(mode.bars[i]) + " is no mode of this function.",
                   near.empty() ? "It has " + listed(names) + "." : "Did you mean " + in_ticks(near) + "?");
        }
    }
    const At severity{at, "severity"};
    for (const auto& [level, unused] : f.severity)
        if (level != Level::degraded && level != Level::lost)
            report(At{severity, name_of(level)}, "unknown_key", "A severity goes with `degraded` or `lost`.");
}

namespace {

void collect_levels(const Condition& c, std::vector<std::string_view>& out, int depth = 0) {
    if (depth > deepest_condition) return;  // reported
    if (c.op == Condition::Op::level) out.push_back(c.id);
    for (const Condition& part : c.of) collect_levels(part, out, depth + 1);
}

}  // namespace

void Validator::levels_read(std::string_view id, const Function& f) {
    std::vector<std::string_view> reads;
    for (const auto& [unused, mode] : f.modes) collect_levels(mode.when, reads);
    if (!reads.empty()) reads_.emplace(id, std::move(reads));
}

/// Depth-first with a stack of its own, as chains of functions may be long.
void Validator::function_rings() {
    const At root;
    const At all{root, "functions"};
    enum class Mark : char { fresh, open, done };
    struct Node {
        Mark mark = Mark::fresh;
        std::vector<std::string_view> reads;
        std::size_t next = 0;
    };
    std::map<std::string_view, Node> nodes;
    for (auto& [id, reads] : reads_) nodes[id].reads = std::move(reads);
    for (auto& [start, first] : nodes) {
        if (first.mark != Mark::fresh) continue;
        std::vector<std::string> path{std::string(start)};
        first.mark = Mark::open;
        while (!path.empty()) {
            Node& node = nodes.find(path.back())->second;
            if (node.next == node.reads.size()) {
                node.mark = Mark::done;
                path.pop_back();
                continue;
            }
            const auto read = nodes.find(node.reads[node.next++]);
            if (read == nodes.end()) continue;  // reads none, or is reported as dangling
            if (read->second.mark == Mark::open) {
                std::vector<std::string> ring(std::ranges::find(path, read->first), path.end());
                std::rotate(ring.begin(), std::min_element(ring.begin(), ring.end()), ring.end());
                ring.push_back(ring.front());
                report(At{all, ring.front()}, "function_ring", "The levels of functions depend on each other in a ring: " + listed(ring) + ".");
            } else if (read->second.mark == Mark::fresh) {
                read->second.mark = Mark::open;
                path.emplace_back(read->first);
            }
        }
    }
}

void Validator::quantity(const At& at, const Quantity& q) {
    const At rules{at, "rules"};
    for (const auto& [id, rule] : q.rules) {
        const At here{rules, id};
        key(here, id);
        condition(At{here, "when"}, rule.when, Levels::allowed);
        range(At{here, "value"}, rule.value, -largest, largest);
    }
}

void Validator::check(const At& at, const Check& c) {
    const At steps{at, "steps"};
    if (c.steps.empty()) report(steps, "empty_list", "A check needs one step at least.");
    for (std::size_t i = 0; i < c.steps.size(); ++i) {
        const CheckStep& step = c.steps[i];
        const At here{steps, i};
        demand(At{here, "do"}, step.act);
        if (step.look_at.empty()) {
            if (!step.expect.empty()) report(here, "missing_key", "`expect` needs `look_at` beside it.");
            continue;
        }
        const At look{here, "look_at"};
        const Element* e = known_element(look, step.look_at);
        if (!e || !sure(step.look_at)) continue;
        if (e->shows.empty()) {
            report(look, "shows_nothing", in_ticks(step.look_at) + " shows nothing.", "Give it `shows`.");
            continue;
        }
        std::vector<std::string> texts;
        for (const Show& show : e->shows) texts.push_back(show.text);
        if (e->unpowered != stays) texts.push_back(e->unpowered);
        if (std::ranges::find(texts, step.expect) != texts.end()) continue;
        const std::string near = nearest(step.expect, texts);
        report(At{here, "expect"}, "unknown_text", in_ticks(step.look_at) + " never shows " + in_ticks(step.expect) + ".",
               near.empty() ? "It shows " + listed(texts) + "." : "Did you mean " + in_ticks(near) + "?");
    }
}

void Validator::dispatch_item(const At& at, const DispatchItem& d) {
    if (d.category.size() != 1 || d.category[0] < 'A' || d.category[0] > 'D')
        report(At{at, "category"}, "bad_word", in_ticks(d.category) + " is not a repair category.", "Say A, B, C or D.");
    range(At{at, "installed"}, d.installed, 0, largest);
    range(At{at, "required"}, d.required, 0, largest);
    if (d.required > d.installed)
        report(At{at, "required"}, "more_required", std::to_string(d.required) + " are required of " + std::to_string(d.installed) + " installed.");
    const At units{at, "units"};
    for (const auto& [id, unit] : d.units) {
        const At here{units, id};
        key(here, id);
        const At elements{here, "elements"}, secured{here, "secured"};
        for (std::size_t i = 0; i < unit.elements.size(); ++i) known_element(At{elements, i}, unit.elements[i]);
        for (const auto& [element_id, position_text] : unit.secured) {
            const At entry{secured, element_id};
            if (const Element* e = known_element(entry, element_id)) position_word(entry, element_id, *e, position_text);
        }
    }
    const At provided{at, "provided"};
    for (std::size_t i = 0; i < d.provided.size(); ++i) condition(At{provided, i}, d.provided[i], Levels::allowed);
}

void Validator::common_cause(const At& at, const CommonCause& c) {
    likelihood(at, c.rate, c.probability, "A common cause");
    const At fails{at, "fails"};
    for (std::size_t i = 0; i < c.fails.size(); ++i) {
        const FailureRef& f = c.fails[i];
        const At item{fails, i};
        // The short form, `"id"`, has no parts to point at.
        const bool is_short = f.mode == "loss" && f.at.empty();
        const At id_at = is_short ? item : At{item, std::size_t{0}};
        const Element* e = known_element(is_short ? item : id_at, f.element);
        if (!e || !sure(f.element)) continue;
        if (!has_failure_mode(*e, f.mode)) {
            failure_of(is_short ? item : At{item, 1}, f.element, f.mode);
            continue;
        }
        if (f.at.empty()) continue;
        const At third{item, 2};
        const At here{third, "at"};
        if (f.mode != "stuck") report(here, "mode_misused", "`at` goes with `stuck` only.");
        else position_word(here, f.element, *e, f.at);
    }
}

}  // namespace fedfrom::model
