// Rows are settled one by one. Joining goes control by control: rows that differ in one control alone, stand for every
// position of it and are alike become one, until none are left to join, so that each row is still in exactly one.
#include <fedfrom/study/truth_table.hpp>

#include <algorithm>
#include <map>
#include <tuple>

#include <fedfrom/model/resolve.hpp>
#include <fedfrom/solve/cone.hpp>

#include "effect.hpp"
#include "sources.hpp"
#include "words.hpp"

namespace fedfrom {
namespace {

using namespace detail;

bool crew_sets(const ElementInfo& e) {
    const Reach reach = fedfrom::reach_of(*e.element);
    return e.fitted && e.at_hand && e.positions.size() > 1 && (reach == Reach::cockpit || reach == Reach::cabin);
}

bool is_selection(Kind kind) { return kind == Kind::switch_ || kind == Kind::selector || kind == Kind::handle; }

class TruthTabulator {
public:
    TruthTabulator(const State& from, const std::vector<std::string>& targets, const TruthTableOptions& options)
        : state_(from), table_{.before = settle(state_), .targets = targets, .options = options}, c_(state_.network().compiled()) {
        if (targets.empty()) throw NotPossible("A truth table needs a target: a function or an element.");
        if (options.failures.empty()) throw NotPossible("A truth table needs a block: a set of failures, empty where nothing more has failed.");
        for (const std::string& id : targets) add_target(id);
        for (const std::vector<FailureRef>& set : options.failures) {
            blocks_.emplace_back();
            for (const FailureRef& f : set) blocks_.back().push_back(failure_event(state_.network(), f.element, f.mode, f.at));
        }
        if (options.positions.empty()) find_controls();
        else
            for (const auto& [id, positions] : options.positions) add_control(id, positions);
    }

    TruthTable run() {
        std::vector<std::size_t> at(controls_.size(), 0);
        for (bool more = true; more; more = next(at)) {
            if (table_.settled == std::max<std::size_t>(table_.options.most_rows, 1)) {
                table_.complete = false;
                break;
            }
            table_.rows.push_back(row(at));
            ++table_.settled;
        }
        if (table_.options.join) join();
        return std::move(table_);
    }

private:
    struct Target {
        std::uint32_t function = none, element = none;
    };
    State state_;
    TruthTable table_;
    const Compiled& c_;
    std::vector<Target> targets_;
    std::vector<std::vector<Event>> blocks_;
    struct Place {
        std::uint32_t element = none;
        std::vector<std::uint32_t> positions{};
    };
    std::vector<Place> controls_;  // as TruthTable::controls

    void add_target(const std::string& id) {
        Target target{.function = index_of(c_.functions, id)};
        if (target.function == none) target.element = element_of(state_.network(), id).index;
        if (target.function != none ? c_.functions[target.function].modes.empty() : !c_.elements[target.element].fitted)
            throw NotPossible("`" + id + "` is not fitted in this aircraft.");
        targets_.push_back(target);
    }

    void add_control(const std::string& id, const std::vector<std::string>& positions) {
        const ElementHandle e = state_.network().element(id);
        const ElementInfo& info = c_.elements[e.index];
        if (!info.at_hand) throw NotPossible("Nobody sets `" + id + "` directly.");
        Place place{.element = e.index};
        TruthControl control{.id = id, .name = info.element->name, .all = true};
        for (const std::string& word : positions) {
            const std::uint32_t p = state_.network().position(e, word);
            if (std::ranges::find(place.positions, p) != place.positions.end()) throw NotPossible("`" + word + "` is listed twice for `" + id + "`.");
            place.positions.push_back(p);
        }
        for (std::uint32_t p = 0; positions.empty() && p < info.positions.size(); ++p) place.positions.push_back(p);
        for (const std::uint32_t p : place.positions) control.positions.emplace_back(info.positions[p]);
        control.all = place.positions.size() == info.positions.size();
        controls_.push_back(std::move(place));
        table_.controls.push_back(std::move(control));
    }

    /// What the targets hang on, through levels they read too.
    Cone cone() const {
        std::vector<std::uint32_t> functions;
        std::vector<Variable> roots;
        for (const Target& t : targets_) {
            if (t.function != none) functions.push_back(t.function);
            else {
                const ElementInfo& e = c_.elements[t.element];
                roots.push_back(e.supplied.variable());
                for (const Literal l : e.stands) roots.push_back(l.variable());
                for (std::uint32_t p = e.ports.first; p < e.ports.last; ++p)
                    for (std::uint32_t f = c_.ports[p].feeds.first; f < c_.ports[p].feeds.last; ++f) roots.push_back(c_.feeds[f].live.variable());
            }
        }
        for (std::size_t i = 0; i < functions.size(); ++i) {
            for (const ModeInfo& m : c_.functions[functions[i]].modes) roots.push_back(m.when.variable());
            for (const std::uint32_t read : c_.functions[functions[i]].reads)
                if (std::ranges::find(functions, read) == functions.end()) functions.push_back(read);
        }
        return cone_from(c_, std::move(roots), faults());
    }

    /// Some short, leak or jam is there or comes with a block.
    bool faults() const {
        const auto seeds = [&](std::uint32_t failure) {
            const std::string& mode = c_.failures[failure].mode;
            return mode == "short" || mode == "leak" || mode == "jam";
        };
        for (std::uint32_t f = 0; f < c_.failures.size(); ++f)
            if (seeds(f) && state_.failed({f})) return true;
        return std::ranges::any_of(blocks_, [&](const auto& block) { return std::ranges::any_of(block, [&](const Event& e) { return seeds(e.index); }); });
    }

    void find_controls() {
        const Cone all = cone();
        std::vector<std::uint32_t> found;
        for (std::uint32_t e = 0; e < c_.elements.size(); ++e) {
            const ElementInfo& info = c_.elements[e];
            bool read = false;
            for (std::uint32_t p = 0; crew_sets(info) && p < info.positions.size(); ++p) read |= all.inputs[info.at_hand + p];
            if (read) found.push_back(e);
        }
        std::ranges::stable_sort(found, {}, [&](std::uint32_t e) { return !is_selection(c_.elements[e].element->kind); });
        std::size_t rows = 1;
        std::vector<std::uint32_t> taken;
        for (const std::uint32_t e : found) {
            const std::size_t times = c_.elements[e].positions.size();
            if (rows > table_.options.most_rows / times) table_.left_out.push_back(*c_.elements[e].id);
            else taken.push_back(e), rows *= times;
        }
        std::ranges::sort(taken);
        std::ranges::sort(table_.left_out);
        table_.complete = table_.left_out.empty();
        for (const std::uint32_t e : taken) add_control(*c_.elements[e].id, {});
    }

    /// The next row; false after the last.
    bool next(std::vector<std::size_t>& at) const {
        for (std::size_t i = at.size(); i-- > 0;) {
            if (++at[i] < controls_[i].positions.size()) return true;
            at[i] = 0;
        }
        return false;
    }

    TruthRow row(const std::vector<std::size_t>& at) const {
        TruthRow row;
        State set = state_;
        for (std::size_t i = 0; i < at.size(); ++i) {
            row.at.push_back(table_.controls[i].positions[at[i]]);
            set.set(ElementHandle{controls_[i].element}, controls_[i].positions[at[i]]);
        }
        for (const std::vector<Event>& block : blocks_) {
            State state = set;
            for (const Event& e : block) state.apply(e);
            const Outcome out = settle(state);
            Tracer tracer(out);
            for (const Target& t : targets_) row.cells.push_back(t.function != none ? cell_of_function(out, tracer, t.function) : cell_of_element(out, tracer, t.element));
        }
        return row;
    }

    TruthCell cell_of_function(const Outcome& out, Tracer& tracer, std::uint32_t f) const {
        const Judgement& judged = out.judged()[f];
        TruthCell cell{.level = judged.level};
        if (judged.mode == none) {
            cell.sources.sure = judged.level == Level::lost;
            return cell;
        }
        const ModeInfo& mode = c_.functions[f].modes[judged.mode];
        cell.mode = *mode.id;
        cell.mode_name = mode_name(mode);
        cell.sources = Tracer::joined(tracer.supports(f));
        return cell;
    }

    TruthCell cell_of_element(const Outcome& out, Tracer& tracer, std::uint32_t e) const {
        TruthCell cell{.status = out.status(ElementHandle{e}), .sources = tracer.finder().of(e)};
        if (!c_.elements[e].positions.empty()) cell.position = out.position(ElementHandle{e}).value_or("unknown");
        return cell;
    }

    bool known(const TruthRow& row) const {
        for (std::size_t i = 0; i < row.cells.size(); ++i) {
            const TruthCell& cell = row.cells[i];
            const bool function = targets_[i % targets_.size()].function != none;
            if (!cell.sources.sure || cell.position == "unknown") return false;
            if (function ? cell.level == Level::unknown || (cell.level != Level::lost && cell.mode.empty()) : cell.status == Status::unknown) return false;
        }
        return true;
    }

    void join() {
        for (bool joined = true; joined;) {
            joined = false;
            for (std::size_t control = controls_.size(); control-- > 0;) joined |= join_over(control);
        }
    }

    /// Rows that stand for every position of a control, and differ in nothing else.
    bool join_over(std::size_t control) {
        const std::size_t all = controls_[control].positions.size();
        std::map<std::vector<std::string>, std::vector<std::size_t>> alike;  // by where the other controls are
        for (std::size_t r = 0; r < table_.rows.size(); ++r) {
            const TruthRow& row = table_.rows[r];
            if (row.at[control].empty() || !known(row)) continue;
            std::vector<std::string> others = row.at;
            others.erase(others.begin() + static_cast<std::ptrdiff_t>(control));
            alike[std::move(others)].push_back(r);
        }
        std::vector<bool> gone(table_.rows.size(), false);
        for (const auto& [others, rows] : alike) {
            TruthRow& kept = table_.rows[rows.front()];
            if (rows.size() < all || all < 2 || !std::ranges::all_of(rows, [&](std::size_t r) { return table_.rows[r].cells == kept.cells; })) continue;
            kept.at[control].clear();
            kept.stands_for *= all;
            for (std::size_t i = 1; i < rows.size(); ++i) gone[rows[i]] = true;
        }
        std::size_t r = 0;
        const std::size_t before = table_.rows.size();
        std::erase_if(table_.rows, [&](const TruthRow&) { return gone[r++]; });
        return table_.rows.size() < before;
    }
};

std::string block_text(const TruthTable& t, const std::vector<FailureRef>& failures) {
    const Compiled& c = t.before.network().compiled();
    std::vector<std::string> words;
    for (const FailureRef& f : failures) words.push_back(name_of(c.elements[index_of(c.elements, f.element)]) + ": " + f.mode + (f.at.empty() ? "" : " at " + f.at));
    return words.empty() ? "nothing more failed" : listed(words);
}

std::string target_name(const TruthTable& t, const std::string& id) {
    const Compiled& c = t.before.network().compiled();
    const std::uint32_t f = index_of(c.functions, id);
    return f != none ? name_of(c.functions[f]) : name_of(c.elements[index_of(c.elements, id)]);
}

std::string with_sources(const TruthTable& t, std::string text, const Sources& sources) {
    const Compiled& c = t.before.network().compiled();
    std::vector<std::string> names;
    for (const std::string& id : sources.ids) names.push_back(name_of(c.elements[index_of(c.elements, id)]));
    if (!names.empty()) text += ", from " + listed(names) + (sources.sure ? "" : " (unknown which)");
    return text;
}

Cell function_cell(const TruthTable& t, const TruthCell& cell) {
    std::string text(word_of(cell.level));
    if (cell.level == Level::degraded) text = cell.mode.empty() ? "degraded, unknown by which mode" : cell.mode_name;
    if (cell.level == Level::normal && !cell.mode.empty() && cell.mode_name != spaced(cell.mode)) text = cell.mode_name;
    return {with_sources(t, text, cell.sources), mark_of(cell.level)};
}

Cell element_cell(const TruthTable& t, const std::string& id, const TruthCell& cell) {
    const Compiled& c = t.before.network().compiled();
    std::string text;
    Mark mark = Mark::none;
    if (!only_has_position(*c.elements[index_of(c.elements, id)].element)) {
        text = with_sources(t, spaced(std::string(fedfrom::name_of(cell.status))), cell.sources);
        mark = cell.status == Status::supplied ? Mark::kept : cell.status == Status::unknown ? Mark::unknown : cell.status == Status::off ? Mark::none : Mark::lost;
    }
    if (!cell.position.empty()) text += (text.empty() ? "" : "; ") + (cell.position == "unknown" ? "at an unknown position" : "at " + cell.position);
    if (cell.position == "unknown") mark = Mark::unknown;
    return {text, mark};
}

std::string at_text(const TruthControl& control, const std::string& at) {
    if (!at.empty()) return at;
    return control.all ? "-" : listed(control.positions, " or ");
}

}  // namespace

TruthTable truth_table(const State& from, const std::vector<std::string>& targets, const TruthTableOptions& options) { return TruthTabulator(from, targets, options).run(); }

TruthTable truth_table(const Network& net, const std::vector<std::string>& targets, const TruthTableOptions& options) { return truth_table(running_state(net), targets, options); }

Table table(const TruthTable& t) {
    const Compiled& c = t.before.network().compiled();
    std::vector<std::string> names;
    for (const std::string& id : t.targets) names.push_back(target_name(t, id));
    Table out{.title = "Truth table: " + listed(names), .captions = captions(t.before), .columns = {}, .rows = {}, .footnotes = {}};
    const bool plain = t.options.failures.size() == 1 && t.options.failures.front().empty();
    const bool numbered = t.controls.size() > 1;  // so that a wide table can be cut, and a row talked about
    if (numbered) out.columns.push_back({"Row"});
    for (const TruthControl& control : t.controls) out.columns.push_back({control.name.empty() ? control.id : control.name});
    if (t.controls.empty()) out.columns.push_back({"Positions"});
    for (const std::vector<FailureRef>& block : t.options.failures)
        for (const std::string& name : names) out.columns.push_back({plain ? name : name + " - " + block_text(t, block)});
    for (const TruthRow& row : t.rows) {
        std::vector<Cell> cells;
        if (numbered) cells.emplace_back(out.rows.size() + 1);
        for (std::size_t i = 0; i < row.at.size(); ++i) cells.emplace_back(at_text(t.controls[i], row.at[i]));
        if (t.controls.empty()) cells.emplace_back("as they are");
        for (std::size_t i = 0; i < row.cells.size(); ++i) {
            const std::string& id = t.targets[i % t.targets.size()];
            cells.push_back(index_of(c.functions, id) != none ? function_cell(t, row.cells[i]) : element_cell(t, id, row.cells[i]));
        }
        out.rows.push_back(std::move(cells));
    }
    out.footnotes.push_back(plural(t.settled, "row", "rows") + " settled, each by itself from the state above, positions and failures in one step.");
    if (t.options.join) out.footnotes.push_back("A dash: it makes no difference where this stands, alone or with the other dashes of its row. Rows with anything unknown are not drawn together.");
    std::vector<std::string> left;
    for (const std::string& id : t.left_out) left.push_back(name_of(c.elements[index_of(c.elements, id)]));
    if (!left.empty()) out.footnotes.push_back("Incomplete: left out, and where they are, are these controls the target may hang on too: " + with_stop(listed(left)));
    std::size_t rows = 1;
    bool more = false;
    for (const TruthControl& control : t.controls) more |= (rows *= control.positions.size()) > t.settled;
    if (more) out.footnotes.push_back("Incomplete: the table ends after the first " + std::to_string(t.settled) + " rows; there are more.");
    return out;
}

std::string text(const TruthTable& t) { return to_text(table(t)); }

}  // namespace fedfrom
