// What can befall several elements at once: the author's common causes, and each zone lost as a whole.
#pragma once

#include <string>
#include <vector>

#include <fedfrom/solve/settle.hpp>

namespace fedfrom::detail {

struct CommonEvent {
    bool zone = false;
    std::string id{}, name{};
    std::optional<double> rate{}, probability{};  ///< as the author gives them; a zone has none
    std::vector<FailureRef> fails{};              ///< those that can still happen
};

/// Common causes by id, then zones by name; without those of which nothing can still happen.
std::vector<CommonEvent> common_events(const State& state);

}  // namespace fedfrom::detail
