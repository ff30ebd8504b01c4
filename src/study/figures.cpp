#include "figures.hpp"

#include <algorithm>
#include <cmath>

#include <fedfrom/model/nearest.hpp>

#include "words.hpp"

namespace fedfrom {

namespace {

/// Written as a table writes it, without the noise of a sum.
std::string written(double x) { return number_text(detail::rounded(x)); }

}  // namespace

std::string text(const Figure& f) {
    if (!f.low && !f.high) return "unknown";
    if (!f.high) return "at least " + written(*f.low);
    if (!f.low) return "at most " + written(*f.high);
    return written(*f.low) == written(*f.high) ? written(*f.low) : written(*f.low) + " to " + written(*f.high);
}

namespace detail {

double tidy(double x) {
    if (x == 0 || !std::isfinite(x)) return x;
    constexpr double least = 1e11, most = 1e12;
    double scale = 1;
    while (std::abs(x) * scale < least && scale < 1e22) scale *= 10;
    return std::abs(x) < most ? std::round(x * scale) / scale : x;
}

Figure figure_of(Span s) {
    const double low = tidy(s.low);
    if (std::isinf(s.high)) return low > 0 ? Figure{low, std::nullopt} : Figure{};
    return {low, tidy(s.high)};
}

Figure joined(const Figure& a, const Figure& b) {
    Figure f;
    if (a.low && b.low) f.low = std::min(*a.low, *b.low);
    if (a.high && b.high) f.high = std::max(*a.high, *b.high);
    return f;
}

double rounded(double x) {
    const double size = std::abs(x), parts = size < 10 ? 100 : size < 1000 ? 10 : 1;
    const double whole = std::round(x * parts) / parts;
    return whole == 0 ? 0 : whole;  // no minus zero
}

Cell cell_of(const Figure& f, Mark mark) {
    if (f.low && f.high && rounded(*f.low) == rounded(*f.high)) return {rounded(*f.low), mark};
    return {text(f), mark == Mark::none ? Mark::unknown : mark};
}

void check_condition(const Network& net, std::string_view condition) {
    const std::vector<std::string> known = load_conditions(net);
    if (known.empty()) throw NotPossible("No element of this aircraft has `loads`.");
    if (std::ranges::find(known, condition) == known.end())
        throw UnknownId("There is no operating condition `" + std::string(condition) + "`." + did_you_mean(condition, known) + " The model names " + listed(known) + ".");
}

std::set<std::uint32_t> shed_loads(const Network& net, const std::vector<std::string>& ids) {
    std::set<std::uint32_t> loads;
    for (const std::string& id : ids) {
        const std::uint32_t e = net.element(id).index;
        if (net.compiled().elements[e].element->loads.empty()) throw NotPossible("`" + id + "` has no load that could be shed.");
        loads.insert(e);
    }
    return loads;
}

std::string names(const Compiled& c, const std::set<std::uint32_t>& elements) {
    constexpr std::size_t most = 12;
    std::vector<std::string> words;
    for (const std::uint32_t e : elements) {
        if (words.size() == most) break;
        words.push_back(name_of(c.elements[e]));
    }
    if (elements.size() > most) words.push_back(std::to_string(elements.size() - most) + " more");
    return listed(words);
}

bool faulted(const Outcome& out) {
    const Compiled& c = out.network().compiled();
    return std::ranges::any_of(c.zones, [&](const ZoneInfo& z) { return c.media[z.medium] == "electrical" && out.truth(Literal::of(z.variable)) != false; });
}

namespace {

struct Sentence {
    std::set<std::uint32_t> Gaps::* of;
    const char* before;
    const char* after;
};

std::vector<std::string> gap_sentences(const Compiled& c, const Gaps& gaps, std::initializer_list<Sentence> list) {
    std::vector<std::string> texts;
    for (const Sentence& s : list)
        if (!(gaps.*s.of).empty()) texts.push_back(s.before + names(c, gaps.*s.of) + s.after);
    return texts;
}

}  // namespace

std::string discharge_text(const Discharge& law) {
    const std::string k = ", k " + number_text(law.exponent) + "; at a lower current no more ampere-hours than that.";
    switch (law.law) {
        case Discharge::Law::constant_current: break;
        case Discharge::Law::peukert_one_ampere: return "Peukert's law t = C / I^k, capacity at one ampere" + k;
        case Discharge::Law::peukert_rated_hours: return "Peukert's law t = H (C / (I H))^k, capacity at the " + number_text(law.hours) + "-hour rate" + k;
    }
    return "Ampere-hours are the same at every current.";
}

std::vector<std::string> missing_texts(const Compiled& c, const Gaps& gaps) {
    return gap_sentences(c, gaps, {
        {&Gaps::loads, "No load is given in this condition for ", "; what they draw comes on top."},
        {&Gaps::efficiencies, "No efficiency is given for ", "; more than the output is taken, and how much is not known."},
        {&Gaps::volts, "No voltage is known at ", "; amperes and watts there cannot be converted."},
        {&Gaps::ratings, "No rating is given for ", "; how parallel feeds share the load is not known."},
        {&Gaps::rated_volts, "No volts are given in the rating of ", "; beside ratings that are not in amperes, how parallel feeds share the load is not known."},
        {&Gaps::rings, "In closed rings of connections, how the load divides is not known: ", "."},
    });
}

std::vector<std::string> assumed_texts(const Compiled& c, const Gaps& gaps) {
    return gap_sentences(c, gaps, {
        {&Gaps::power_factors, "Power factor 1, as none is given: ", "."},
        {&Gaps::floating, "Beside another source a battery carries no load: ", "."},
        {&Gaps::several_ports, "All the load is put on one of several power ports: ", "."},
    });
}

std::vector<std::string> load_assumptions(const Compiled& c, const Gaps& gaps, bool faulted) {
    std::vector<std::string> texts{"Every load is on at once, as the condition gives it; power factor 1 where a load gives none.",
                                   "Wires, contacts and diodes lose nothing; an inverter or rectifier that says no load of its own takes none beside what it loses; what charges a battery counts only where it is a load of its own."};
    for (std::string& text : assumed_texts(c, gaps)) texts.push_back(std::move(text));
    if (faulted) texts.push_back("What flows into a fault is not counted.");
    return texts;
}

}  // namespace detail
}  // namespace fedfrom
