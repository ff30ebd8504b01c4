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
    const std::string asked = "`" + std::string(name) + "`";
    if (found.empty()) {
        const std::string near = nearest(wanted, known);
        const auto at = std::ranges::find(known, near) - known.begin();
        throw UnknownId("No element has the id, name or alias " + asked + "." + (near.empty() ? "" : " Did you mean `" + written[static_cast<std::size_t>(at)] + "`?"));
    }
    std::vector<std::string> names;
    for (const std::uint32_t e : found) names.push_back(called(c.elements[e]));
    throw UnknownId("More than one element is called " + asked + ": " + listed(names) + ". Ask by id.");
}

}  // namespace fedfrom::detail
