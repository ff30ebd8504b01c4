#include <fedfrom/study/risk.hpp>

#include <algorithm>

#include "harm.hpp"
#include "words.hpp"

namespace fedfrom {
namespace {

using namespace detail;

/// "2.152e-05", "between 1e-09 and 3e-07".
std::string interval(double low, double high) { return four_digits(low) == four_digits(high) ? four_digits(low) : "between " + four_digits(low) + " and " + four_digits(high); }

std::string source_of(Objectives objectives) {
    return objectives == Objectives::ac_25_1309_1b ? "AC 25.1309-1B, Table 4-1 and 3.3.1.4" : "AC 23.1309-1E, Figure 2, class I";
}

std::string objective_text(const Risk& r) {
    if (r.options.objectives == Objectives::none) return "not asked for";
    if (!r.severity) return "none: the author gives no severity";
    if (!r.objective) return "none in numbers for " + std::string(name_of(*r.severity)) + " (" + source_of(r.options.objectives) + ")";
    const std::string order = *r.limit == *r.objective ? "" : "on the order of ", taken = order.empty() ? "" : ", taken as up to " + four_digits(*r.limit);
    const std::string what = std::string(name_of(*r.severity)) + ", " + order + four_digits(*r.objective) + " per flight hour" + taken + " (" + source_of(r.options.objectives) + "): ";
    if (r.single_failure) return what + "beyond, since one failure alone does it";
    return what + (!r.meets ? "the interval does not decide" : *r.meets ? "within" : "beyond");
}

std::string common_cause_text(const CauseRisk& cause) {
    if (cause.zone) return "zone " + spaced(cause.id) + " lost as a whole";
    return cause.name.empty() ? spaced(cause.id) : cause.name;
}

std::string part_text(const Risk& r, const Compiled& c, const FailureRisk& part) {
    return part.cause.empty() ? called(c, part.failure) : common_cause_text(*std::ranges::find(r.causes, part.cause, &CauseRisk::id));
}

/// Of the causes that take the function below alone, those with a probability, or those without.
std::string causes_alone(const Risk& r, bool with_probability) {
    std::vector<std::string> words;
    for (const CauseRisk& cause : r.causes)
        if (cause.alone && cause.probability.has_value() == with_probability) words.push_back(common_cause_text(cause));
    return words.empty() ? std::string() : listed(words);
}

Cell number(const std::optional<double>& value) { return value ? Cell(four_digits(*value)) : Cell(); }

}  // namespace

Table table(const Risk& r) {
    const Compiled& c = r.before.network().compiled();
    const FunctionInfo& f = c.functions[index_of(c.functions, r.function)];
    const std::string name = name_of(f);
    Table t{.title = "Risk: " + name + (r.options.below == Level::normal ? " below normal" : " lost"),
            .captions = captions(r.before),
            .columns = {{"Failure"}, {"Probability", "per flight"}, {"Birnbaum importance"}, {"Criticality"}, {"Fussell-Vesely"}, {"Achievement worth"}, {"Reduction worth"}}};
    t.captions.push_back({"Probability per flight", interval(r.low, r.high)});
    t.captions.push_back({"Probability per flight hour", interval(r.per_hour_low, r.per_hour_high)});
    t.captions.push_back({"Flight", four_digits(r.options.hours) + (r.options.hours == 1 ? " hour" : " hours") + (r.flights == 1 ? "" : "; average over " + std::to_string(r.flights) + " flights, until all checks fall together")});
    if (r.options.within) t.captions.push_back({"Failures considered", "only " + considered(c, *r.options.within)});
    t.captions.push_back({"Objective", objective_text(r)});
    if (r.rare_event) t.captions.push_back({"Bounds from cut sets", "sum " + four_digits(*r.rare_event) + ", one less the product " + four_digits(*r.cut_set_bound)});
    for (const FailureRisk& part : r.parts)
        t.rows.push_back({part_text(r, c, part), number(part.probability), number(part.birnbaum), number(part.criticality), number(part.fussell_vesely), number(part.achievement), number(part.reduction)});
    t.footnotes.push_back(r.by);
    if (!r.missing.empty()) {
        t.footnotes.push_back("Neither rate nor probability is given for " + considered(c, r.missing) + ". Nothing is assumed of " + (r.missing.size() == 1 ? "it" : "them") + ": the interval covers all that may be. With `within` only chosen failures may happen.");
    }
    if (const std::string known = causes_alone(r, true); !known.empty()) t.footnotes.push_back("Alone take it below, with their probability in these figures: " + known + ".");
    if (const std::string unknown = causes_alone(r, false); !unknown.empty()) t.footnotes.push_back("Alone take it below, without a probability and so not in these figures: " + unknown + ".");
    const auto lost = f.function->severity.find(Level::lost);
    if (r.objective && r.options.below == Level::normal && lost != f.function->severity.end() && lost->second != *r.severity)
        t.footnotes.push_back("The objective is that for falling back. The loss altogether, which is in these figures too, is " + std::string(name_of(lost->second)) + " and is judged with `below` at degraded.");
    if (r.severity == Severity::catastrophic && r.single_failure) t.footnotes.push_back("One failure alone does it: no single failure may cause a catastrophic condition.");
    for (const LatentFinding& l : r.latent)
        t.footnotes.push_back(l.rule == LatentFinding::Rule::residual
                                  ? "With " + called(c, l.failure) + " hidden, the rest is " + four_digits(l.value) + " per flight hour; AC 25.1309-1B, 5.3.6.4, has about " + four_digits(l.limit) + " or less."
                                  : "With " + called(c, l.failure) + ", what may be hidden sums to " + four_digits(l.value) + "; AC 25.1309-1B, 5.3.6.4, has " + four_digits(l.limit) + " or less.");
    if (!r.parts.empty()) t.footnotes.push_back("Failures and common causes are independent. Importances are at the average probabilities; criticality and Fussell-Vesely are shares of the whole.");
    else if (r.exact && !r.options.parts) t.footnotes.push_back("Failures and common causes are independent. Which has what part in it was not asked for.");
    return t;
}

std::string text(const Risk& r) { return to_text(table(r)); }

}  // namespace fedfrom
