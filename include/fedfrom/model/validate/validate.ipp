#include <fedfrom/model/validate.hpp>

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>

#include <fedfrom/model/diagnostic_codes.hpp>
#include <fedfrom/model/id.hpp>
#include <fedfrom/model/nearest.hpp>

#include "validator.hpp"

namespace fedfrom {

std::vector<Diagnostic> validate(const Model& model) { return model::validate_partial(model, {}); }

namespace model {

std::vector<Diagnostic> validate_partial(const Model& m, const std::set<std::string, std::less<>>& unsure) {
    return Validator(m, unsure).run();
}

std::string in_ticks(std::string_view s) { return "`" + std::string(s) + "`"; }

std::string listed(const std::vector<std::string>& words) {
    std::string out;
    for (std::size_t i = 0; i < words.size(); ++i) {
        if (i > 0) out += i + 1 == words.size() ? " and " : ", ";
        out += in_ticks(words[i]);
    }
    return out;
}

std::size_t characters(std::string_view text) {
    return static_cast<std::size_t>(std::ranges::count_if(text, [](char c) { return (static_cast<unsigned char>(c) & 0xC0) != 0x80; }));
}

std::string At::pointer() const {
    if (!up) return {};
    std::string out = up->pointer() + "/";
    if (key.data() == nullptr) return out + std::to_string(index);
    for (const char c : key) {
        if (c == '~') out += "~0";
        else if (c == '/') out += "~1";
        else out += c;
    }
    return out;
}

Validator::Validator(const Model& m, const std::set<std::string, std::less<>>& unsure) : m_(m), unsure_(unsure), index_(m), groups_(m.groups.begin(), m.groups.end()) {}

std::vector<Diagnostic> Validator::run() {
    try {
        head();
        collect_ties();
        collections();
        function_rings();
        variants();
    } catch (const ListFull&) {
        found_.push_back({"more_follow", "", "There are more problems; they are not listed.", "", "", 0, 0});
    }
    return std::move(found_);
}

void Validator::report(const At& at, std::string code, std::string message, std::string hint) {
    if (found_.size() == most_diagnostics) throw ListFull{};
    found_.push_back({std::move(code), at.pointer(), std::move(message), std::move(hint), {}, 0, 0});
}

// --- the head and the collections ---

void Validator::head() {
    const At root;
    if (m_.name.empty()) report(At{root, "name"}, "bad_word", "A model needs a name.");
    if (!m_.base.empty()) key(At{root, "base"}, m_.base);
    if (m_.variants.contains(m_.base))
        report(At{root, "base"}, "id_used_twice", in_ticks(m_.base) + " is the name of a variant too.");
    const At groups{root, "groups"};
    words_list(groups, m_.groups);
    const At media{root, "media"};
    constexpr std::size_t most_media = 40;  // with those built in and what leaks they fit a word of 64 bits
    if (m_.media.size() > most_media) report(media, "out_of_range", std::to_string(m_.media.size()) + " media of its own are too many.", "At most " + std::to_string(most_media) + " are allowed.");
    for (const auto& [port, medium] : m_.media) {
        const At here{media, port};
        key(here, port);
        key(here, medium);
        const auto built_in = std::ranges::find(built_in_media, std::string_view(port), &std::pair<std::string_view, std::string_view>::first);
        if (built_in != built_in_media.end() && built_in->second != medium)
            report(here, "media_built_in", "A port called " + in_ticks(port) + " is " + std::string(built_in->second) + " already.",
                   "Use another name for the port.");
    }
    for (const Index::Entry& second : index_.used_twice()) {
        const At collection{root, key_of(second.collection)};
        report(At{collection, second.id}, "id_used_twice",
               in_ticks(second.id) + " is " + std::string(noun_of(index_.find(second.id)->collection)) + " already.",
               "All collections share one namespace.");
    }
}

void Validator::collections() {
    const At root;
    const auto each = [&](Collection c, const auto& collection, auto visit) {
        const At all{root, key_of(c)};
        for (const auto& [id, object] : collection) {
            const At here{all, id};
            key(here, id);
            visit(here, id, object);
        }
    };
    each(Collection::given, m_.given, [](const At&, std::string_view, bool) {});
    each(Collection::element, index_.elements(), [&](const At& at, std::string_view id, const Element& e) { element(at, id, e); });
    each(Collection::tie, m_.ties, [&](const At& at, std::string_view id, const Tie& t) { tie(at, id, t); });
    each(Collection::function, m_.functions, [&](const At& at, std::string_view id, const Function& f) {
        if (sure(id)) function(at, f);
        levels_read(id, f);
    });
    each(Collection::quantity, m_.quantities, [&](const At& at, std::string_view, const Quantity& q) { quantity(at, q); });
    each(Collection::check, m_.checks, [&](const At& at, std::string_view, const Check& c) { check(at, c); });
    each(Collection::dispatch, m_.dispatch, [&](const At& at, std::string_view, const DispatchItem& d) { dispatch_item(at, d); });
    each(Collection::common_cause, m_.common_causes, [&](const At& at, std::string_view, const CommonCause& c) { common_cause(at, c); });
}

void Validator::variants() {
    const At root;
    const At all{root, "variants"};
    if (!m_.variant.empty() && !m_.variants.contains(m_.variant)) known(At{root, "variant"}, m_.variant, Collection::variant);
    for (const auto& [id, variant] : m_.variants) {
        const At here{all, id};
        key(here, id);
        if (!variant.on.empty() && variant.on != m_.base) known(At{here, "on"}, variant.on, Collection::variant);
    }
    // Each variant builds on one other at most: walk from each until the walk meets an earlier one or itself.
    std::map<std::string_view, std::string_view> walk_of;  // variant to the start of the walk that met it
    for (const auto& [start, unused] : m_.variants) {
        std::vector<std::string> walk;
        auto next = m_.variants.find(start);
        while (next != m_.variants.end() && walk_of.try_emplace(next->first, start).second) {
            walk.push_back(next->first);
            next = m_.variants.find(next->second.on);
        }
        if (next == m_.variants.end() || walk_of[next->first] != start) continue;
        std::vector<std::string> ring(std::ranges::find(walk, next->first), walk.end());
        std::rotate(ring.begin(), std::min_element(ring.begin(), ring.end()), ring.end());
        ring.push_back(ring.front());
        const At here{all, ring.front()};
        report(At{here, "on"}, "variant_ring", "Variants build on each other in a ring: " + listed(ring) + ".");
    }
}

// --- look-ups ---

std::string Validator::near_id(std::string_view id, std::optional<Collection> wanted) {
    std::vector<std::string_view> candidates;
    for (const Index::Entry& entry : index_.entries())
        if (!entry.again && (!wanted || entry.collection == *wanted)) candidates.push_back(entry.id);
    if (candidates.size() > comparisons_left_) return {};
    comparisons_left_ -= candidates.size();
    return nearest(id, candidates);
}

const Index::Entry* Validator::known(const At& at, std::string_view id, Collection wanted) { return checked(index_.find(id), at, id, wanted); }

const Index::Entry* Validator::known_next(IdTable::Trail& trail, const At& at, std::string_view id) {
    return checked(index_.find(id, trail), at, id, Collection::element);
}

const Index::Entry* Validator::checked(const Index::Entry* entry, const At& at, std::string_view id, Collection wanted) {
    if (entry && entry->collection == wanted) return entry;
    if (entry) {
        report(at, "wrong_collection",
               in_ticks(id) + " is " + std::string(noun_of(entry->collection)) + ", " + std::string(noun_of(wanted)) + " is needed.");
        return nullptr;
    }
    const std::string near = near_id(id, wanted);
    report(at, "dangling_id", in_ticks(id) + " is not in the model; " + std::string(noun_of(wanted)) + " is needed.",
           near.empty() ? "" : "Did you mean " + in_ticks(near) + "?");
    return nullptr;
}

const Element* Validator::known_element(const At& at, std::string_view id) {
    const Index::Entry* entry = known(at, id, Collection::element);
    return entry ? entry->element() : nullptr;
}

void Validator::position_word(const At& at, std::string_view id, const Element& e, std::string_view word) {
    if (!sure(id) || e.positions.size() > most_positions || has_position(e, word)) return;
    if (!has_positions(e)) return report(at, "no_positions", in_ticks(id) + " has no positions.");
    const std::vector<std::string> list = positions_of(e);
    const std::string near = nearest(word, list);
    report(at, "unknown_position", in_ticks(word) + " is no position of " + in_ticks(id) + ".",
           near.empty() ? "It has " + listed(list) + "." : "Did you mean " + in_ticks(near) + "?");
}

void Validator::settable(const At& at, std::string_view id, std::string_view word) {
    const Element* e = known_element(at, id);
    if (!e || !sure(id)) return;
    position_word(at, id, *e, word);
    if (has_positions(*e) && reach_of(*e) == Reach::nobody)
        report(at, "not_reachable", "The crew cannot set " + in_ticks(id) + ".",
               e->follows ? "Set " + in_ticks(e->follows->leader) + ", which it follows." : "Say who can with `reach`.");
}

void Validator::failure_of(const At& at, std::string_view id, std::string_view mode) {
    const Element* e = known_element(at, id);
    if (!e || !sure(id) || has_failure_mode(*e, mode)) return;
    if (!e->fallible) return report(at, "unknown_mode", in_ticks(id) + " cannot fail: it is marked `fallible: false`.");
    std::vector<std::string> modes;
    for (const auto& [name, unused] : failure_modes_of(*e)) modes.push_back(name);
    const std::string near = nearest(mode, modes);
    report(at, "unknown_mode", in_ticks(id) + " has no failure mode " + in_ticks(mode) + ".",
           near.empty() ? "It has " + listed(modes) + "; add others under `failures`." : "Did you mean " + in_ticks(near) + "?");
}

void Validator::group(const At& at, std::string_view name) {
    if (name.empty() || m_.groups.empty() || groups_.contains(name)) return;
    const std::string near = nearest(name, m_.groups);
    report(at, "unknown_group", "The group " + in_ticks(name) + " is not listed in `groups`.", near.empty() ? "" : "Did you mean " + in_ticks(near) + "?");
}

void Validator::key(const At& at, std::string_view id) {
    if (is_id(id)) return;
    report(at, "bad_id", id.size() > longest_id ? "An id of " + std::to_string(id.size()) + " characters is too long." : in_ticks(id) + " is not an id.",
           "An id is a lower-case letter followed by lower-case letters, digits and underscores.");
}

void Validator::word(const At& at, std::string_view text) {
    if (text.empty()) report(at, "bad_word", "A word is needed here; this text is empty.");
    else if (characters(text) > longest_word) report(at, "bad_word", "A word of " + std::to_string(characters(text)) + " characters is too long.");
}

void Validator::words_list(const At& at, const std::vector<std::string>& list) {
    std::set<std::string_view> before;
    for (std::size_t i = 0; i < list.size(); ++i) {
        word(At{at, i}, list[i]);
        if (!before.insert(list[i]).second)
            report(At{at, i}, "duplicate_word", in_ticks(list[i]) + " is here twice.");
    }
}

void Validator::range(const At& at, double value, double low, double high) {
    if (std::isfinite(value) && value >= low && value <= high) return;
    const auto number = [](double x) {
        std::array<char, 32> digits{};
        return std::string(digits.data(), std::to_chars(digits.data(), digits.data() + digits.size(), x).ptr);
    };
    report(at, "out_of_range", "The number " + number(value) + " is outside " + number(low) + " to " + number(high) + ".");
}

void Validator::likelihood(const At& at, const std::optional<double>& rate, const std::optional<double>& probability, std::string_view what) {
    if (rate) range(At{at, "rate"}, *rate, 0, largest);
    if (probability) range(At{at, "probability"}, *probability, 0, 1);
    if (rate && probability) report(at, "not_both", std::string(what) + " has a `rate` or a `probability`, not both.");
}

}  // namespace model
}  // namespace fedfrom
