/// How likely it is that failures take a function below a level: on a flight, and per flight hour.
///
///     Risk r = risk(net, "wheel_braking", {.hours = 1.5, .below = Level::degraded, .objectives = Objectives::ac_25_1309_1b});
///     r.low; r.high;               // per flight, on average; equal where it is exact
///     r.missing;                   // failures without a rate: nothing is assumed of them
///
/// Failures are independent. One with a `rate` happens on a flight of so many hours with 1 - exp(-rate · hours), one with a `probability` with that. One
/// that stays hidden between checks (`hidden_for` hours) may have happened on any flight since the last: its probability grows from flight to flight, and the
/// result is the average over all flights until the checks fall together again (AC 25.1309-1B, Appendix F). Where `cut_sets` knows the function for
/// all combinations at once, the probability is exact. Elsewhere every combination of up to three failures is settled; what is not examined may or may
/// not take the function down, and the answer is the interval between the two. So it is with failures that have no rate.
///
/// A common cause with a `rate` or a `probability` is one more thing that happens by itself, and brings all of its failures. Of those without, and of
/// zones, it is only told whether they take the function below the level alone.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include <fedfrom/study/cut_sets.hpp>

namespace fedfrom {

/// Whose objective for the severity to set the result against. None is taken by itself.
enum class Objectives {
    none,
    ac_25_1309_1b,          ///< AC 25.1309-1B (2024), Table 4-1
    ac_23_1309_1e_class_1,  ///< AC 23.1309-1E (2011), Figure 2, class I
};

struct RiskOptions {
    double hours = 0;                                 ///< of a flight, on average; must be above 0
    Level below = Level::normal;                      ///< as of `cut_sets`
    std::optional<std::vector<FailureRef>> within{};  ///< the only failures that may happen, and no common causes; none: every failure not present
    bool causes = true;                               ///< also the author's common causes
    bool parts = true;                                ///< also each failure's part, and the bounds from the minimal cut sets, which may take more than the probability
    Objectives objectives = Objectives::none;
    Budget budget{};                                  ///< of the diagram of all combinations
    double seconds = 0;                               ///< a budget for settling combinations; 0: none
};

/// One failure's part, or one common cause's, with the average probabilities of all.
struct FailureRisk {
    FailureRef failure{};           ///< nothing where it is a common cause's
    std::string cause{};
    double probability = 0;         ///< per flight, on average
    std::optional<double> birnbaum{};        ///< probability of the loss with it, less without it; negative where it helps
    std::optional<double> criticality{};     ///< that times its own probability, as a share of the whole
    std::optional<double> fussell_vesely{};  ///< share of the losses in which all of a minimal cut set it belongs to has happened; none beyond 1,000 sets or the budget
    std::optional<double> achievement{};     ///< how many times likelier the loss is once it has happened
    std::optional<double> reduction{};       ///< how many times less likely the loss were if it could not happen; infinite where it is in every loss
    bool operator==(const FailureRisk&) const = default;
};

/// Failures that one thing brings together.
struct CauseRisk {
    bool zone = false;                    ///< a zone lost as a whole, else one of the author's common causes
    std::string id{}, name{};
    std::vector<FailureRef> fails{};      ///< those that can still happen
    bool alone = false;                   ///< takes the function below the level with nothing else failed
    std::optional<double> probability{};  ///< per flight; none: the author gives none, and the result is without it
    bool operator==(const CauseRisk&) const = default;
};

/// AC 25.1309-1B, 5.3.6.4 and Appendix D: a catastrophic pair of failures, one of which stays hidden for more than a flight.
struct LatentFinding {
    enum class Rule {
        residual,  ///< with this latent failure there, the rest per flight hour: about 1e-5 or less
        latency,   ///< with this active failure, the sum of what may be latent: 1/1000 or less
    };
    Rule rule = Rule::residual;
    FailureRef failure{};  ///< the latent one; the active one
    double value = 0, limit = 0;
    bool operator==(const LatentFinding&) const = default;
};

struct Risk {
    Outcome before;
    std::string function{};
    RiskOptions options{};
    bool already = false;             ///< the function is below the level as it is
    double low = 0, high = 1;         ///< per flight, on average over the flights between checks
    bool exact = false;               ///< from a diagram of all combinations; low equals high
    int flights = 1;                  ///< over how many flights it was averaged: until all checks fall together
    double per_hour_low = 0, per_hour_high = 0;
    std::vector<FailureRef> missing{};     ///< failures with neither rate nor probability, that matter, or, where combinations are settled, any
    std::vector<FailureRisk> parts{};      ///< those that matter, most critical first, then ids; only where exact, and asked for
    std::vector<CauseRisk> causes{};       ///< common causes with a probability, and what takes the function below alone; zones last
    std::optional<double> rare_event{}, cut_set_bound{};  ///< never below the probability: the sum of the cut sets' probabilities, and 1 - product of (1 - probability); averaged likewise; none beyond the budget, or where no parts were asked for
    std::optional<Severity> severity{};    ///< as the author has it: of falling back where `below` is normal and there is a mode to fall back to, else of the loss
    std::optional<double> objective{};     ///< per flight hour
    std::optional<double> limit{};         ///< what is taken as on the order of it: twice for major and three times beyond (AC 25.1309-1B, 3.3.1.4), or the objective itself
    std::optional<bool> meets{};           ///< no value: no objective, or the interval does not decide
    bool single_failure = false;           ///< one failure alone does it, of a catastrophic loss
    std::vector<LatentFinding> latent{};   ///< what is beyond its limit; of a catastrophic loss, against AC 25.1309-1B
    std::string by{};                      ///< a sentence: how it was found
};

/// From a settled state (a copy is settled first). Throws UnknownId; NotPossible as `cut_sets`, and for hours that are not above 0.
Risk risk(const State& from, std::string_view function, const RiskOptions& options);
Risk risk(const Network& net, std::string_view function, const RiskOptions& options);

Table table(const Risk& risk);
std::string text(const Risk& risk);

}  // namespace fedfrom
