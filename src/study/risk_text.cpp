#include <fedfrom/study/risk.hpp>

#include "harm.hpp"
#include "words.hpp"

namespace fedfrom {
namespace {

using namespace detail;

/// "2.152e-05", "between 1e-09 and 3e-07".
std::string interval(double low, double high) { return low == high ? number_text(low) : "between " + number_text(low) + " and " + number_text(high); }

std::string source_of(Objectives objectives) {
    return objectives == Objectives::ac_25_1309_1b ? "AC 25.1309-1B, Table 4-1" : "AC 23.1309-1E, Figure 2, class I";
}

std::string objective_text(const Risk& r) {
    if (r.options.objectives == Objectives::none) return "not asked for";
    if (!r.severity) return "none: the author gives no severity";
    if (!r.objective) return "none in numbers for " + std::string(name_of(*r.severity)) + " (" + source_of(r.options.objectives) + ")";
    const std::string what = std::string(name_of(*r.severity)) + ", " + number_text(*r.objective) + " per flight hour (" + source_of(r.options.objectives) + "): ";
    if (r.single_failure) return what + "beyond, since one failure alone does it";
    return what + (!r.meets ? "the interval does not decide" : *r.meets ? "within" : "beyond");
}

Cell number(const std::optional<double>& value) { return value ? Cell(*value) : Cell(); }

}  // namespace

Table table(const Risk& r) {
    const Compiled& c = r.before.network().compiled();
    const std::string name = name_of(c.functions[index_of(c.functions, r.function)]);
    Table t{.title = "Risk: " + name + (r.options.below == Level::normal ? " below normal" : " lost"),
            .captions = captions(r.before),
            .columns = {{"Failure"}, {"Probability", "per flight"}, {"Birnbaum importance"}, {"Criticality"}, {"Fussell-Vesely"}, {"Achievement worth"}, {"Reduction worth"}}};
    t.captions.push_back({"Probability per flight", interval(r.low, r.high)});
    t.captions.push_back({"Probability per flight hour", interval(r.per_hour_low, r.per_hour_high)});
    t.captions.push_back({"Flight", number_text(r.options.hours) + (r.flights == 1 ? " hours" : " hours; average over the " + std::to_string(r.flights) + " flights between checks")});
    t.captions.push_back({"Objective", objective_text(r)});
    if (r.rare_event) t.captions.push_back({"Bounds from cut sets", "sum " + number_text(*r.rare_event) + ", one less the product " + number_text(*r.cut_set_bound)});
    for (const FailureRisk& part : r.parts)
        t.rows.push_back({called(c, part.failure), Cell(part.probability), number(part.birnbaum), number(part.criticality), number(part.fussell_vesely), number(part.achievement), number(part.reduction)});
    t.footnotes.push_back(r.by);
    if (!r.missing.empty()) {
        std::vector<std::string> words;
        for (const FailureRef& f : r.missing) words.push_back(called(c, f));
        t.footnotes.push_back("Neither rate nor probability is given for " + listed(words) + ". Nothing is assumed of " + (words.size() == 1 ? "it" : "them") + ": the interval covers all that may be. With `within` only chosen failures may happen.");
    }
    if (r.severity == Severity::catastrophic && r.single_failure) t.footnotes.push_back("One failure alone does it: no single failure may cause a catastrophic condition.");
    for (const LatentFinding& f : r.latent)
        t.footnotes.push_back(f.rule == LatentFinding::Rule::residual
                                  ? "With " + called(c, f.failure) + " hidden, the rest is " + number_text(f.value) + " per flight hour; AC 25.1309-1B, 5.3.6.4, has about " + number_text(f.limit) + " or less."
                                  : "With " + called(c, f.failure) + ", what may be hidden sums to " + number_text(f.value) + "; AC 25.1309-1B, 5.3.6.4, has " + number_text(f.limit) + " or less.");
    if (!r.parts.empty()) t.footnotes.push_back("Failures are independent. Importances are at the average probabilities; criticality and Fussell-Vesely are shares of the whole.");
    return t;
}

std::string text(const Risk& r) { return to_text(table(r)); }

}  // namespace fedfrom
