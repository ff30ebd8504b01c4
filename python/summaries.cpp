#include "summaries.hpp"

#include <map>
#include <string>
#include <vector>

#include "bindings.hpp"

namespace fedfrom::python {

namespace {

constexpr std::size_t most_named = 12;

std::string first_words(const std::vector<std::string>& words, std::size_t most = most_named) {
    std::string out;
    for (std::size_t i = 0; i < words.size() && i < most; ++i) out += (i ? ", " : "") + words[i];
    if (words.size() > most) out += " and " + std::to_string(words.size() - most) + " more";
    return out;
}

template <class Collection>
void add_row(Table& t, const char* what, const Collection& collection) {
    if (!collection.empty()) t.rows.push_back({what, collection.size(), first_words(ids(collection))});
}

std::vector<Caption> captions(const Model& m) {
    std::vector<Caption> list;
    if (!m.edition.empty()) list.push_back({"Edition", m.edition});
    list.push_back({"Variant", !m.variant.empty() ? m.variant : m.base.empty() ? "base" : m.base + " (base)"});
    return list;
}

}  // namespace

Table summary(const Model& m) {
    Table t{.title = m.name, .captions = captions(m), .columns = {{"What"}, {"How many"}, {"Which"}}};
    std::map<std::string, std::size_t> kinds;
    for (const auto& [id, element] : m.elements) ++kinds[std::string(row(element.kind).name)];
    std::vector<std::string> counted;
    for (const auto& [kind, count] : kinds) counted.push_back(std::to_string(count) + " " + kind);
    t.rows.push_back({"Elements", m.elements.size(), first_words(counted, counted.size())});
    add_row(t, "Ties", m.ties);
    add_row(t, "Functions", m.functions);
    add_row(t, "Givens", m.given);
    add_row(t, "Quantities", m.quantities);
    add_row(t, "Checks", m.checks);
    add_row(t, "Dispatch items", m.dispatch);
    add_row(t, "Common causes", m.common_causes);
    add_row(t, "Variants", m.variants);
    return t;
}

Table summary(const Network& net) {
    Table t = summary(net.model());
    std::map<std::string, std::size_t> modes;
    for (const FailureInfo& f : net.compiled().failures) ++modes[f.mode];
    std::vector<std::string> counted;
    for (const auto& [mode, count] : modes) counted.push_back(std::to_string(count) + " " + mode);
    t.rows.push_back({"Single failures", net.compiled().failures.size(), first_words(counted)});
    return t;
}

Table summary(const State& s) {
    std::vector<std::string> failed, moved, given;
    for (const auto& [element, mode] : failures_of(s)) failed.push_back(element + " " + mode);
    for (const ElementInfo& e : s.network().compiled().elements)
        if (e.at_hand && s.hand(*e.id) != e.positions[e.rest]) moved.push_back(*e.id + " at " + std::string(s.hand(*e.id)));
    for (const GivenInfo& g : s.network().compiled().givens) given.push_back(*g.id + (s.given(*g.id) ? " true" : " false"));
    const auto line = [](const char* what, const std::vector<std::string>& words, const char* otherwise) {
        return std::vector<Cell>{what, words.empty() ? otherwise : first_words(words, words.size())};
    };
    Table t{.title = "State of " + s.network().model().name, .captions = captions(s.network().model()), .columns = {{"What"}, {"Which"}}};
    t.rows = {line("Failed", failed, "nothing"), line("Crew selections", moved, "all at rest"), line("Given", given, "nothing")};
    return t;
}

}  // namespace fedfrom::python
