#include <fedfrom/study/trace.hpp>

#include <algorithm>
#include <set>

#include "sources.hpp"

namespace fedfrom {
namespace detail {

ElementHandle element_of(const Network& net, std::string_view id) {
    const Compiled& c = net.compiled();
    if (const std::uint32_t e = index_of(c.elements, id); e != none) return {e};
    std::vector<std::string_view> ids;
    for (const ElementInfo& e : c.elements) ids.push_back(*e.id);
    for (const FunctionInfo& f : c.functions) ids.push_back(*f.id);
    const std::string near = nearest(id, ids);
    throw UnknownId("There is no element or function `" + std::string(id) + "`." + (near.empty() ? "" : " Did you mean `" + near + "`?"));
}

SourceFinder::SourceFinder(View view) : view_(view) {
    for (std::size_t w = 0; w < view_.worlds().values.size(); ++w) flows_.emplace_back(view_, w);
}

Sources SourceFinder::of(std::uint32_t e) {
    const ElementInfo& info = view_.element(e);
    if (!info.fitted || !view_.surely(info.supplied)) return {{}, view_.truth(info.supplied).has_value()};
    Sources found;
    std::set<std::uint32_t> all;
    for (Flow& flow : flows_) {
        const auto& here = flow.sources(e);
        if (&flow != &flows_.front() && !std::ranges::equal(here, all)) found.sure = false;
        all.insert(here.begin(), here.end());
    }
    for (const std::uint32_t s : all) found.ids.push_back(*view_.element(s).id);
    return found;
}

std::vector<std::uint32_t> SourceFinder::indices(std::uint32_t e) {
    if (!view_.element(e).fitted || !view_.surely(view_.element(e).supplied)) return {};
    return flows_.front().sources(e);
}

SourceFinder& Tracer::finder(std::uint32_t demand) {
    if (!finders_[demand]) finders_[demand] = std::make_unique<SourceFinder>(View(out_, demand));
    return *finders_[demand];
}

std::vector<Support> Tracer::supports(std::uint32_t function) {
    const FunctionInfo& info = out_.network().compiled().functions[function];
    const std::uint32_t mode = out_.judged()[function].mode;
    std::vector<Support> found;
    if (mode != none) {
        collect(info.modes[mode].mode->when, info.demand, found);
        for (const auto& [store, applications] : info.modes[mode].mode->spend) collect(Condition(store), info.demand, found);
    }
    std::vector<Support> once;
    for (Support& s : found)
        if (std::ranges::find(once, s.element, &Support::element) == once.end()) once.push_back(std::move(s));
    return once;
}

void Tracer::collect(const Condition& condition, std::uint32_t demand, std::vector<Support>& into) {
    using Op = Condition::Op;
    SourceFinder& finder = this->finder(demand);
    const View& view = finder.view();
    switch (condition.op) {
        case Op::all:
        case Op::at_least:
            for (const Condition& part : condition.of)
                if (view.holds(part).value_or(false)) collect(part, demand, into);
            return;
        case Op::any: {
            auto branch = std::ranges::find_if(condition.of, [&](const Condition& part) { return view.holds(part).value_or(false); });
            const bool sure = branch != condition.of.end();
            if (!sure) branch = std::ranges::find_if(condition.of, [&](const Condition& part) { return view.holds(part, 0); });
            if (branch == condition.of.end()) return;
            const std::size_t before = into.size();
            collect(*branch, demand, into);
            for (std::size_t i = before; i < into.size() && !sure; ++i) into[i].sources.sure = false;
            return;
        }
        case Op::supplied: {
            const auto e = out_.network().element(condition.id);
            into.push_back({condition.id, finder.of(e.index)});
            return;
        }
        case Op::level:
            for (Support& s : supports(out_.network().function(condition.id).index)) into.push_back(std::move(s));
            return;
        default: return;  // positions and givens are no supply
    }
}

Sources Tracer::joined(const std::vector<Support>& supports) {
    Sources all;
    std::set<std::string> ids;
    for (const Support& s : supports) {
        ids.insert(s.sources.ids.begin(), s.sources.ids.end());
        all.sure = all.sure && s.sources.sure;
    }
    all.ids.assign(ids.begin(), ids.end());
    return all;
}

}  // namespace detail

namespace {

bool is_function(const Outcome& out, std::string_view id) { return out.network().model().functions.contains(std::string(id)); }

}  // namespace

Sources live_sources(const Outcome& outcome, std::string_view id) {
    if (is_function(outcome, id)) return detail::Tracer::joined(supports(outcome, id));
    return detail::Tracer(outcome).finder().of(detail::element_of(outcome.network(), id).index);
}

std::vector<Support> supports(const Outcome& outcome, std::string_view function) {
    return detail::Tracer(outcome).supports(outcome.network().function(function).index);
}

}  // namespace fedfrom
