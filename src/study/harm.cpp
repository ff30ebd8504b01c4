#include "harm.hpp"

#include <algorithm>

#include "words.hpp"

namespace fedfrom::detail {

Badness badness(const FunctionInfo& f, Level level, std::string_view mode) {
    switch (level) {
        case Level::not_fitted: return {-1, 0};
        case Level::normal: return {0, 0};
        case Level::unknown: return {2, 0};
        case Level::lost: return {3, 0};
        case Level::degraded: break;
    }
    const auto it = std::ranges::find_if(f.modes, [&](const ModeInfo& m) { return *m.id == mode; });
    return {1, it != f.modes.end() ? it->mode->rank : f.modes.empty() ? 0 : f.modes.back().mode->rank};
}

Badness badness(const FunctionInfo& f, const Judgement& judged) {
    return badness(f, judged.level, judged.mode == none ? std::string_view() : std::string_view(*f.modes[judged.mode].id));
}

std::optional<Severity> severity_of(const FunctionInfo& f, Level level) {
    const auto said = f.function->severity.find(level == Level::unknown ? Level::lost : level);
    return said == f.function->severity.end() ? std::nullopt : std::optional(said->second);
}

void count(Impact& cause, const FunctionInfo& f, Level level) {
    (level == Level::unknown ? cause.unknown : level == Level::lost ? cause.lost : cause.degraded) += 1;
    raise(cause.worst, severity_of(f, level));
}

Change change_of(const Compiled& c, std::uint32_t f, const Judgement& before, const Judgement& after) {
    const FunctionInfo& info = c.functions[f];
    const auto id = [&](const Judgement& j) { return j.mode == none ? std::string() : *info.modes[j.mode].id; };
    const auto name = [&](const Judgement& j) { return j.mode == none ? std::string() : mode_name(info.modes[j.mode]); };
    return {*info.id, before.level, after.level, id(before), id(after), name(before), name(after)};
}

bool worsens(const Compiled& c, const Change& change) {
    const FunctionInfo& f = c.functions[index_of(c.functions, change.function)];
    return badness(f, change.after, change.mode_after) > badness(f, change.before, change.mode_before);
}

std::vector<Change> worse(const Outcome& before, const Outcome& after) {
    const Compiled& c = before.network().compiled();
    std::vector<Change> list;
    for (std::uint32_t f = 0; f < c.functions.size(); ++f)
        if (badness(c.functions[f], after.judged()[f]) > badness(c.functions[f], before.judged()[f]))
            list.push_back(change_of(c, f, before.judged()[f], after.judged()[f]));
    return list;
}

std::string cause_text(const Compiled& c, const Impact& cause) {
    if (cause.cause == Impact::Cause::zone) return "Zone " + spaced(cause.id) + " lost";
    if (cause.cause == Impact::Cause::common_cause) return cause.name.empty() ? spaced(cause.id) : cause.name;
    return name_of(c.elements[index_of(c.elements, cause.id)]) + ": " + cause.mode;
}

std::string function_text(const Compiled& c, const std::string& id, Level level, const std::string& mode_name) {
    const FunctionInfo& f = c.functions[index_of(c.functions, id)];
    std::string text = name_of(f) + " ";
    if (level != Level::degraded) text += word_of(level);
    else text += "degraded" + (mode_name.empty() ? std::string(", unknown to which mode") : ": " + mode_name);
    if (const auto severity = severity_of(f, level)) text += " (" + std::string(fedfrom::name_of(*severity)) + ")";
    return text;
}

Cell severity_cell(std::optional<Severity> severity) { return severity ? Cell(spaced(std::string(fedfrom::name_of(*severity)))) : Cell("not said"); }

}  // namespace fedfrom::detail
