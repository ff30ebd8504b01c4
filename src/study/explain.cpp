#include "explain.hpp"

#include <algorithm>
#include <iterator>

#include "causes.hpp"
#include "words.hpp"

namespace fedfrom::detail {

void Explainer::element(std::uint32_t e) {
    using What = Task::What;
    const ElementInfo& it = info(e);
    Tasks tasks;
    if (!it.fitted) {
        run({{.what = What::line, .index = e, .text = called(it) + " is not fitted in this aircraft."}});
        return;
    }
    if (!it.positions.empty() || is_one_way(*it.element)) tasks.push_back({.what = What::stand, .index = e});
    if (tasks.empty() || !only_has_position(*it.element)) {
        const bool lives = picture(0).view.surely(it.supplied);
        tasks.push_back({.what = lives ? What::path : What::supply, .index = e});
    }
    run(std::move(tasks));
}

void Explainer::function(std::uint32_t f) { run({{.what = Task::What::function, .index = f}}); }

std::vector<WhyLine> Explainer::lines() {
    std::vector<WhyLine> all;
    for (auto& section : sections_) std::ranges::move(section, std::back_inserter(all));
    return all;
}

void Explainer::run(Tasks tasks) {
    put({}, std::move(tasks), 0);
    while (!stack_.empty()) {
        const Task task = std::move(stack_.back());
        stack_.pop_back();
        perform(task);
    }
}

void Explainer::perform(const Task& task) {
    switch (task.what) {
        case Task::What::supply: return supply(task);
        case Task::What::port: return port(task);
        case Task::What::feed: return feed(task);
        case Task::What::stand: return stand(task);
        case Task::What::block: return block(task);
        case Task::What::condition: return condition(task);
        case Task::What::function: return function_task(task);
        case Task::What::mode: return mode(task);
        case Task::What::path: return path(task);
        case Task::What::line: return write(task, task.role, task.index == none ? std::string() : *info(task.index).id, task.text);
        case Task::What::close:
            for (const std::uint64_t k : task.open) marks_.at(k).seen = Seen::done;
            return;
    }
}

void Explainer::write(const Task& at, Role role, std::string id, std::string text) {
    sections_[at.section].push_back({at.depth, role, std::move(id), std::move(text)});
}

/// Puts tasks on the stack so that the first is performed first, `deeper` than the one they stand under.
void Explainer::put(const Task& under, Tasks tasks, int deeper) {
    for (auto it = tasks.rbegin(); it != tasks.rend(); ++it) {
        it->section = under.section;
        it->depth += under.depth + deeper;
        if (it->demand == 0) it->demand = under.demand;
        stack_.push_back(std::move(*it));
    }
}

std::uint64_t Explainer::key(const Task& task, Task::What what, std::uint32_t index) {
    return (std::uint64_t{task.demand} << 36) | (static_cast<std::uint64_t>(what) << 32) | index;
}

bool Explainer::open(const Task& task, Task::What what, const std::string& id, const std::string& fact) {
    const std::uint64_t k = key(task, what, task.index);
    const auto mark = marks_.find(k);
    if (mark != marks_.end()) {
        if (mark->second.seen == Seen::open) write(task, Role::loop, id, fact + (what == Task::What::path ? ", and stands on this path already." : ", and back again: nothing supplies itself."));
        else write(task, Role::reference, id, fact + ", explained " + (mark->second.section > task.section ? "below." : "above."));
        return false;
    }
    if (task.depth >= deepest) {
        write(task, Role::reference, id, fact + ", explained below.");
        Task again = task;
        again.section = static_cast<std::uint32_t>(sections_.size());
        again.depth = 0;
        sections_.emplace_back();
        stack_.push_back(std::move(again));
        return false;
    }
    marks_[k] = {Seen::open, task.section};
    stack_.push_back({.what = Task::What::close, .open = {k}});
    return true;
}

void Explainer::root(RootCause::Kind kind, const std::string& id, std::string word, std::string text) {
    roots_.insert({kind, id, std::move(word), std::move(text)});
}

void Explainer::failure_root(std::uint32_t e, std::string_view mode) {
    roots_.insert(failure_cause(c_, e, mode, mode == "stuck" ? where(0, e) : std::string()));
}

void Explainer::fault_root(std::uint32_t zone) { failure_root(c_.zones[zone].element, fault_word(c_, zone)); }

void Explainer::hand_root(std::uint32_t e, const std::string& position) { roots_.insert(hand_cause(info(e), position)); }

void Explainer::given_root(const std::string& id, bool value) { roots_.insert(given_cause(c_, id, value)); }

void Explainer::used_root(const OneShotInfo& mode) { roots_.insert(used_cause(c_, mode)); }

Explainer::Picture& Explainer::picture(std::uint32_t demand) {
    auto& it = pictures_[demand];
    if (it) return *it;
    it = std::make_unique<Picture>(Picture{View(out_, demand)});
    const Worlds& worlds = it->view.worlds();
    const auto differs = [&](Variable first, std::size_t count) {
        for (Variable v = first; v < first + count; ++v)
            for (const auto& world : worlds.values)
                if (world[v] != worlds.values.front()[v]) return true;
        return false;
    };
    if (worlds.values.size() > 1) {  // only a frozen cell is given more than one value
        for (const MemoryCell& cell : c_.memory_cells)
            if (differs(info(cell.element).held, cell.sent.size())) it->hunting.insert(cell.element);
        for (const std::uint32_t h : c_.holders)
            if (differs(info(h).holding, 1)) it->hunting.insert(h);
    }
    if (demand == 0) it->hunting.insert(out_.hunting().begin(), out_.hunting().end());
    return *it;
}

Faults& Explainer::faults(std::uint32_t demand) {
    Picture& p = picture(demand);
    if (!p.faults) p.faults.emplace(p.view);
    return *p.faults;
}

Flow& Explainer::flow(std::uint32_t demand) {
    Picture& p = picture(demand);
    if (!p.flow) p.flow.emplace(p.view, 0);
    return *p.flow;
}

/// Too much hunts for anything to be known: says that, and nothing else.
bool Explainer::everything_unknown(const Task& task) {
    Picture& p = picture(task.demand);
    if (!p.view.worlds().all_unknown) return false;
    std::vector<std::string> names;
    for (const std::uint32_t e : p.hunting) {
        names.push_back(called(info(e)));
        root(RootCause::Kind::hunting, *info(e).id, "", called(info(e)) + " never comes to rest");
    }
    write(task, Role::root, "", "Too much never comes to rest for anything to be known here" + (names.empty() ? "" : ": " + listed(names)) + ".");
    return true;
}

}  // namespace fedfrom::detail
