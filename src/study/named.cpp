#include "named.hpp"

#include <algorithm>

#include "words.hpp"

namespace fedfrom::detail {

std::string in_small_letters(std::string_view text) {
    std::string small(text);
    for (char& letter : small)
        if (letter >= 'A' && letter <= 'Z') letter = static_cast<char>(letter - 'A' + 'a');
    return small;
}

ElementHandle element_named(const Network& net, std::string_view name) {
    const Compiled& c = net.compiled();
    if (const std::uint32_t e = index_of(c.elements, name); e != none) return {e};
    const std::string wanted = in_small_letters(name);
    std::vector<std::uint32_t> found;
    std::vector<std::string> known;  // in small letters, beside what they are written as
    std::vector<std::string> written;
    const auto look = [&](std::uint32_t e, const std::string& word) {
        if (word.empty()) return;
        known.push_back(in_small_letters(word));
        written.push_back(word);
        if (known.back() == wanted && (found.empty() || found.back() != e)) found.push_back(e);
    };
    for (std::uint32_t e = 0; e < c.elements.size(); ++e) {
        look(e, *c.elements[e].id);
        look(e, c.elements[e].element->name);
        for (const std::string& alias : c.elements[e].element->aliases) look(e, alias);
    }
    if (found.size() == 1) return {found.front()};
    constexpr std::size_t most_candidates = 6;
    const std::string asked = "`" + std::string(name) + "`";
    if (found.empty()) {
        const std::string near = nearest(wanted, known);
        std::vector<std::string> candidates;  // those near; else those that hold the word, the shortest
        for (std::size_t i = 0; i < known.size(); ++i)
            if (near.empty() ? !wanted.empty() && known[i].find(wanted) != std::string::npos : known[i] == near) candidates.push_back("`" + written[i] + "`");
        std::ranges::stable_sort(candidates, {}, &std::string::size);
        if (candidates.size() > most_candidates) candidates.resize(most_candidates);
        throw UnknownId("No element has the id, name or alias " + asked + "." + (candidates.empty() ? "" : " Did you mean " + listed(candidates, " or ") + "?"));
    }
    std::vector<std::string> names;
    for (const std::uint32_t e : found) names.push_back(called(c.elements[e]));
    throw UnknownId("More than one element is called " + asked + ": " + listed(names) + ". Ask by id.");
}

}  // namespace fedfrom::detail
