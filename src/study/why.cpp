#include <fedfrom/study/why.hpp>

#include "explain.hpp"
#include "words.hpp"

namespace fedfrom {
namespace {

std::string headline(const Outcome& out, std::string_view id) {
    const Compiled& c = out.network().compiled();
    if (const std::uint32_t f = index_of(c.functions, id); f != none)
        return detail::called(c.functions[f]) + " is " + std::string(detail::word_of(out.judged()[f].level)) + ".";
    const ElementHandle e = detail::element_of(out.network(), id);
    const ElementInfo& info = c.elements[e.index];
    if (info.fitted && only_has_position(*info.element)) {
        if (info.positions.empty()) return detail::called(info) + " " + detail::passing(out, e.index) + ".";
        const auto position = out.position(e);
        return detail::called(info) + " is at " + std::string(position.value_or("an unknown position")) + ".";
    }
    if (!info.fitted) return detail::called(info) + " is not fitted.";
    const auto supplied = out.truth(info.supplied);
    if (!supplied) return "Whether " + detail::called(info) + " is supplied is unknown.";
    return detail::called(info) + (*supplied ? " is supplied." : " is not supplied.");
}

void append_roots(std::string& out, const Why& why, std::string_view heading, bool helps) {
    bool first = true;
    for (const RootCause& root : why.roots) {
        if (could_help(root.kind) != helps) continue;
        if (first) out += "\n" + std::string(heading) + "\n";
        first = false;
        detail::append_wrapped(out, "  ", root.text, 4);
    }
}

}  // namespace

Why why(const Outcome& outcome, std::string_view id) {
    Why result{.outcome = outcome, .id = std::string(id), .headline = headline(outcome, id)};
    const std::uint32_t f = index_of(outcome.network().compiled().functions, id);
    detail::Explainer explainer(outcome);
    if (f != none) explainer.function(f);
    else explainer.element(outcome.network().element(id).index);
    result.lines = explainer.lines();
    result.roots = explainer.roots();
    return result;
}

Why why(const State& state, std::string_view id) {
    State copy = state;
    return why(settle(copy), id);
}

std::string text(const Why& why) {
    std::string out;
    detail::append_wrapped(out, "Why: ", why.headline, 4);
    append_roots(out, why, "Root causes", false);
    append_roots(out, why, "Could help if changed", true);
    out += '\n';
    detail::append_captions(out, detail::captions(why.outcome));
    out += '\n';
    for (const WhyLine& line : why.lines) {
        if (line.depth == 0 && &line != &why.lines.front()) out += '\n';
        const auto indent = static_cast<std::size_t>(line.depth) * 2;
        detail::append_wrapped(out, std::string(indent, ' '), line.text, indent + 4);
    }
    out += '\n';
    detail::append_wrapped(out, "", caution, 0);
    return out;
}

Table table(const Why& why) {
    Table t{.title = "Why: " + why.headline, .captions = detail::captions(why.outcome), .columns = {{"Level", "", Align::right}, {"About"}, {"What"}}};
    for (const WhyLine& line : why.lines) t.rows.push_back({line.depth, line.id, line.text});
    for (const RootCause& root : why.roots) t.captions.push_back({could_help(root.kind) ? "Could help if changed" : "Root cause", root.text});
    return t;
}

}  // namespace fedfrom
