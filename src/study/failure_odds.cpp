#include "failure_odds.hpp"

#include <algorithm>
#include <cmath>

namespace fedfrom::detail {
namespace {

const FailureMode* figures_of(const Compiled& c, FailureHandle f) {
    const FailureInfo& info = c.failures[f.index];
    const auto& written = c.elements[info.element].element->failures;
    const auto it = written.find(info.mode);
    return it == written.end() ? nullptr : &it->second;
}

}  // namespace

FailureOdds::FailureOdds(const Compiled& c, const std::vector<FailureHandle>& failures, double hours) : c_(c), failures_(failures), hours_(hours) {
    if (!(hours > 0) || !std::isfinite(hours)) throw NotPossible("`hours` of a flight must be above 0.");
}

bool FailureOdds::known(std::size_t i) const {
    const FailureMode* m = figures_of(c_, failures_[i]);
    return m && (m->rate || m->probability);
}

int FailureOdds::interval(std::size_t i) const {
    const FailureMode* m = figures_of(c_, failures_[i]);
    if (!m || !m->hidden_for) return 1;
    const double flights = std::ceil(*m->hidden_for / hours_);
    return static_cast<int>(std::clamp(flights, 1.0, 1e9));
}

double FailureOdds::on(std::size_t i, int flight) const {
    const FailureMode* m = figures_of(c_, failures_[i]);
    const double flights = flight % interval(i) + 1;
    if (m->probability) return -std::expm1(flights * std::log1p(-*m->probability));
    return -std::expm1(-*m->rate * hours_ * flights);
}

std::vector<double> FailureOdds::all_on(int flight, double where_not_known) const {
    std::vector<double> p(failures_.size());
    for (std::size_t i = 0; i < p.size(); ++i) p[i] = known(i) ? on(i, flight) : where_not_known;
    return p;
}

double probability_of_more(const Compiled& c, const std::vector<FailureHandle>& failures, std::span<const double> p, int order, const std::vector<bool>& set_apart) {
    std::vector<double> count(static_cast<std::size_t>(order) + 1, 0);  // [k]: that k elements have failed, each in one mode
    count[0] = 1;
    double more = 0;
    for (std::size_t i = 0; i < failures.size();) {
        double none_of = 1, one_of = 0, two_of = 0;
        const std::uint32_t element = c.failures[failures[i].index].element;
        for (; i < failures.size() && c.failures[failures[i].index].element == element; ++i) {
            two_of += one_of * p[i];
            one_of = one_of * (1 - p[i]) + none_of * p[i];
            none_of *= 1 - p[i];
        }
        double sum = 0;
        for (const double x : count) sum += x;
        if (!set_apart.empty() && set_apart[element]) {
            two_of += one_of;
            one_of = 0;
        }
        more += count.back() * one_of + sum * two_of;  // once more, it stays so
        for (std::size_t k = count.size(); k-- > 0;) count[k] = count[k] * none_of + (k > 0 ? count[k - 1] * one_of : 0);
    }
    return std::min(1.0, more);
}

}  // namespace fedfrom::detail
