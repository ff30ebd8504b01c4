#include "words.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>

#include "table/cells.hpp"

namespace fedfrom::detail {

const std::string& name_of(const ElementInfo& e) { return e.element->name.empty() ? *e.id : e.element->name; }
const std::string& name_of(const FunctionInfo& f) { return f.function->name.empty() ? *f.id : f.function->name; }

namespace {

std::string with_id(const std::string& name, const std::string& id) { return name.empty() ? id : name + " (" + id + ")"; }

bool has_commas(const std::vector<std::string>& words) {
    return std::ranges::any_of(words, [](const std::string& word) { return word.find(',') != std::string::npos; });
}

bool present(const Outcome& out, Variable v) { return any(out.state().memory()[v]); }

std::string or_else(std::vector<std::string> words, std::string_view nothing, std::string_view between) {
    std::string all;
    for (const std::string& word : words) all += (all.empty() ? "" : std::string(between)) + word;
    return all.empty() ? std::string(nothing) : all;
}

}  // namespace

std::string called(const ElementInfo& e) { return with_id(e.element->name, *e.id); }
std::string called(const FunctionInfo& f) { return with_id(f.function->name, *f.id); }
std::string called(const Compiled& c, const FailureRef& failure) { return called(c.elements[index_of(c.elements, failure.element)]) + ": " + failure.mode; }

std::string considered(const Compiled& c, const std::vector<FailureRef>& failures) {
    constexpr std::size_t most = 10;
    if (failures.empty()) return "none";
    std::vector<std::string> words;
    for (std::size_t i = 0; i < std::min(most, failures.size()); ++i) words.push_back(called(c, failures[i]));
    if (failures.size() > most) words.push_back(std::to_string(failures.size() - most) + " more");
    return listed(words);
}

std::string spaced(std::string id) {
    std::ranges::replace(id, '_', ' ');
    return id;
}
std::string mode_name(const ModeInfo& mode) { return mode.mode->name.empty() ? spaced(*mode.id) : mode.mode->name; }

std::string listed(const std::vector<std::string>& words, std::string_view last) {
    const bool commas = has_commas(words);
    const std::string between = commas ? "; " : ", ", before_last = (commas ? ";" : "") + std::string(last);
    std::string all;
    for (std::size_t i = 0; i < words.size(); ++i)
        all += (i == 0 ? "" : i + 1 == words.size() ? before_last : between) + words[i];
    return all;
}

std::string digits(double x) { return value_text(Cell(x)); }

std::string four_digits(double x) {
    std::array<char, 32> text{};
    return {text.data(), std::to_chars(text.data(), text.data() + text.size(), x, std::chars_format::general, 4).ptr};
}

double shown_time(double seconds) {
    const double parts = seconds < 100 ? 1000 : 10;
    return std::round(seconds * parts) / parts;
}

std::string time_text(double seconds) { return digits(shown_time(seconds)); }

std::string plural(std::size_t n, const std::string& one, const std::string& many) { return std::to_string(n) + " " + (n == 1 ? one : many); }

std::string with_stop(std::string text) {
    if (text.empty() || std::string_view(".!?").find(text.back()) == std::string_view::npos) text += '.';
    return text;
}

std::string without_stop(std::string text) {
    while (text.ends_with('.') || text.ends_with(' ')) text.pop_back();
    return text;
}

std::string passing(const Outcome& out, std::uint32_t e) {
    const ElementInfo& info = out.network().compiled().elements[e];
    if (!info.fitted || (info.passes_in == 0 && !is_one_way(*info.element))) return {};
    const auto passes = out.truth(info.passes);
    return !passes ? "unknown" : *passes ? "passes" : "blocks";
}

std::string_view word_of(Level level) { return level == Level::normal ? "kept" : level == Level::not_fitted ? "not fitted" : fedfrom::name_of(level); }

Mark mark_of(Level level) {
    switch (level) {
        case Level::normal: return Mark::kept;
        case Level::degraded: return Mark::degraded;
        case Level::lost: return Mark::lost;
        case Level::not_fitted: return Mark::not_fitted;
        case Level::unknown: break;
    }
    return Mark::unknown;
}

namespace {

std::string demand_text(const Compiled& c, const DemandInfo& d) {
    std::vector<std::string> parts;
    for (const HandSetting& s : d.set) parts.push_back(name_of(c.elements[s.element]) + " at " + std::string(c.elements[s.element].positions[s.position]));
    std::string text = parts.empty() ? "" : "with " + listed(parts);
    parts.clear();
    for (const GivenSetting& g : d.given) parts.push_back((g.value ? "" : "not ") + *c.givens[g.given].id);
    if (!parts.empty()) text += (text.empty() ? "when " : ", when ") + listed(parts);
    return text;
}

}  // namespace

std::string demand_text(const Compiled& c, std::uint32_t demand) { return demand_text(c, c.demands[demand]); }

std::string demand_text(const Compiled& c, const Demand& written) {
    DemandInfo d;
    for (const auto& [id, word] : written.set) {
        const std::uint32_t e = index_of(c.elements, id);
        const auto& positions = c.elements[e].positions;
        if (c.elements[e].fitted) d.set.push_back({e, static_cast<std::uint32_t>(std::ranges::find(positions, word) - positions.begin())});
    }
    for (const auto& [id, value] : written.given) d.given.push_back({index_of(c.givens, id), value});
    return demand_text(c, d);
}

std::string failures_text(const Compiled& c, const std::vector<FailureRef>& failures, std::size_t most) {
    std::vector<std::pair<std::string, std::vector<std::string>>> by_element;
    for (const FailureRef& f : failures) {
        if (by_element.empty() || by_element.back().first != f.element) by_element.push_back({f.element, {}});
        by_element.back().second.push_back(f.mode);
    }
    std::vector<std::string> words;
    for (std::size_t i = 0; i < by_element.size() && (i < most || by_element.size() == most + 1); ++i)
        words.push_back(name_of(c.elements[index_of(c.elements, by_element[i].first)]) + ": " + listed(by_element[i].second, " or "));
    if (words.size() < by_element.size()) words.push_back(std::to_string(by_element.size() - words.size()) + " others");
    return listed(words);
}

std::string state_text(const Outcome& out) {
    const Compiled& c = out.network().compiled();
    std::vector<std::string> parts;
    for (const FailureInfo& f : c.failures) {
        if (!present(out, f.variable)) continue;
        const ElementInfo& e = c.elements[f.element];
        std::string part = called(e) + " " + f.mode;
        for (std::uint32_t p = 0; f.sticks && p < e.positions.size(); ++p)
            if (present(out, e.held + p)) part += " at " + std::string(e.positions[p]);
        parts.push_back(std::move(part));
    }
    for (const std::uint32_t e : c.protecting)
        if (present(out, c.elements[e].tripped)) parts.push_back(called(c.elements[e]) + " tripped");
    for (const std::uint32_t e : c.storing)
        if (present(out, c.elements[e].empty)) parts.push_back(called(c.elements[e]) + " empty");
    for (const ElementInfo& e : c.elements) {
        if (e.overloaded && present(out, e.overloaded)) parts.push_back(called(e) + " overloaded");
        if (e.starting && present(out, e.starting)) parts.push_back(called(e) + " starting");
        if (e.running_on && present(out, e.running_on)) parts.push_back(called(e) + " running down");
    }
    for (const OneShotInfo& o : c.one_shots)
        if (present(out, o.used)) parts.push_back(called(c.functions[o.function]) + " by " + spaced(*o.mode) + " used");
    return or_else(std::move(parts), "nothing failed", "; ");
}

std::string givens_text(const Outcome& out) {
    std::vector<std::string> parts;
    for (const GivenInfo& g : out.network().compiled().givens) parts.push_back(*g.id + (present(out, g.variable) ? " true" : " false"));
    return or_else(std::move(parts), "nothing", ", ");
}

std::string positions_text(const Outcome& out) {
    std::vector<std::string> parts;
    for (const ElementInfo& e : out.network().compiled().elements)
        for (std::uint32_t p = 0; e.at_hand && p < e.positions.size(); ++p)
            if (p != e.rest && present(out, e.at_hand + p)) parts.push_back(called(e) + " at " + std::string(e.positions[p]));
    const std::string_view between = has_commas(parts) ? "; " : ", ";
    return or_else(std::move(parts), "all at rest", between);
}

std::vector<Caption> captions(const Outcome& out) {
    const Model& m = out.network().model();
    std::vector<Caption> list{{"Model", m.name}};
    if (!m.edition.empty()) list.push_back({"Edition", m.edition});
    list.push_back({"Variant", !m.variant.empty() ? m.variant : m.base.empty() ? "base" : m.base + " (base)"});
    list.push_back({"State", state_text(out)});
    if (!m.given.empty()) list.push_back({"Given", givens_text(out)});
    list.push_back({"Crew selections", positions_text(out)});
    if (!out.hunting().empty()) {
        std::vector<std::string> names;
        for (const std::uint32_t e : out.hunting()) names.push_back(called(out.network().compiled().elements[e]));
        list.push_back({"Never comes to rest", listed(names) + "; what hangs on it is unknown"});
    }
    return list;
}

std::vector<std::uint32_t> in_group_order(const Compiled& c) {
    const auto& groups = c.model.groups;
    const auto place = [&](std::uint32_t f) {
        const std::string& group = c.functions[f].function->group;
        const auto found = std::ranges::find(groups, group);
        return std::pair(group.empty() ? groups.size() + 1 : static_cast<std::size_t>(found - groups.begin()), group);
    };
    std::vector<std::uint32_t> order(c.functions.size());
    for (std::uint32_t f = 0; f < order.size(); ++f) order[f] = f;
    std::ranges::stable_sort(order, {}, place);
    return order;
}

void append_wrapped(std::string& out, std::string_view first, std::string_view text, std::size_t hang, std::size_t width) {
    out += first;
    std::size_t used = width_of(first);
    bool fresh = true;  // nothing of the text on this line yet
    const std::string line = one_line(text);
    for (std::size_t begin = 0; begin < line.size();) {
        const std::size_t end = std::min(line.find(' ', begin), line.size());
        const std::string_view word = std::string_view(line).substr(begin, end - begin);
        begin = end + 1;
        if (word.empty()) continue;
        const std::size_t w = width_of(word);
        if (!fresh && used + 1 + w > width) {
            out += "\n" + std::string(hang, ' ');
            used = hang;
            fresh = true;
        }
        if (!fresh) out += ' ', ++used;
        out += word;
        used += w;
        fresh = false;
    }
    out += '\n';
}

void append_captions(std::string& out, const std::vector<Caption>& captions) {
    for (const Caption& c : captions) append_wrapped(out, c.label + ": ", c.text, 4);
}

void append_tables(std::string& out, std::vector<Table> tables) {
    for (Table& t : tables) {
        t.captions.clear();
        const std::string block = to_text(t);
        out += '\n' + block.substr(0, block.rfind(std::string(caution).substr(0, 40)));
    }
    append_wrapped(out, "", caution, 0);
}

}  // namespace fedfrom::detail
