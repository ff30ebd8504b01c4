#include <fedfrom/study/why.hpp>

#include <algorithm>

#include "causes.hpp"
#include "explain.hpp"
#include "last_line.hpp"
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

using detail::Plight;

/// How it stands badly; none where it does not.
std::optional<Plight> plight_of(const detail::Causes& causes, const Outcome& out, std::uint32_t function, std::uint32_t e) {
    const Compiled& c = out.network().compiled();
    if (function != none) {
        const Level level = out.judged()[function].level;
        if (level == Level::normal || level == Level::not_fitted) return std::nullopt;
        return Plight{Plight::Of::function, function};
    }
    const ElementInfo& it = c.elements[e];
    if (!it.fitted) return std::nullopt;
    if (!only_has_position(*it.element) && !out.truth(it.supplied).value_or(false)) return Plight{Plight::Of::supply, e};
    const auto stands = [&](Literal at) { return out.truth(at) == causes.running().truth(at); };
    if (stands(it.passes) && std::ranges::all_of(it.stands, stands)) return std::nullopt;
    return Plight{Plight::Of::position, e};
}

std::optional<LastLine> last_line_of(const Outcome& out, std::uint32_t function, std::uint32_t e) {
    if (function != none) {
        const Level level = out.judged()[function].level;
        return level == Level::normal || level == Level::degraded ? std::optional(detail::last_line_of_function(out, function)) : std::nullopt;
    }
    const ElementInfo& it = out.network().compiled().elements[e];
    if (it.ports.size() == 0 || !out.truth(it.supplied).value_or(false)) return std::nullopt;
    return detail::last_line_of_element(out, e);
}

/// Label and text of what stands above the trace.
std::vector<Caption> answers(const Why& why) {
    std::vector<Caption> list;
    for (const RootCause& root : why.roots)
        if (!could_help(root.kind)) list.push_back({"Root cause", root.text});
    // The one cause present, which the trace has met: there is nothing to add.
    const bool plain = why.causes && why.causes->present.size() == 1 && why.causes->sets.size() == 1 && why.causes->sets.front() == why.causes->present && list.size() == 1;
    if (why.causes && !plain)
        for (std::string& sentence : detail::sentences(*why.causes)) list.push_back({"Smallest sets of causes", std::move(sentence)});
    for (const RootCause& root : why.roots)
        if (could_help(root.kind)) list.push_back({"Could help if changed", root.text});
    if (why.last)
        for (std::string& sentence : detail::sentences(why.outcome.network().compiled(), *why.last)) list.push_back({"Last line of defence", std::move(sentence)});
    return list;
}

}  // namespace

Why why(const Outcome& outcome, std::string_view id) {
    Why result{.outcome = outcome, .id = std::string(id), .headline = headline(outcome, id)};
    const std::uint32_t f = index_of(outcome.network().compiled().functions, id);
    const std::uint32_t e = f != none ? none : outcome.network().element(id).index;
    detail::Explainer explainer(outcome);
    if (f != none) explainer.function(f);
    else explainer.element(e);
    result.lines = explainer.lines();
    result.roots = explainer.roots();
    const detail::Causes causes(outcome);
    if (const auto plight = plight_of(causes, outcome, f, e)) result.causes = causes.explain({*plight}).front();
    result.last = last_line_of(outcome, f, e);
    return result;
}

Why why(const State& state, std::string_view id) {
    State copy = state;
    return why(settle(copy), id);
}

std::string text(const Why& why) {
    std::string out;
    detail::append_wrapped(out, "Why: ", why.headline, 4);
    std::string heading;
    for (const Caption& answer : answers(why)) {
        if (heading != answer.label) out += "\n" + answer.label + (answer.label == "Root cause" ? "s\n" : "\n");
        heading = answer.label;
        detail::append_wrapped(out, "  ", answer.text, 4);
    }
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
    for (Caption& answer : answers(why)) t.captions.push_back(std::move(answer));
    return t;
}

}  // namespace fedfrom
