#include "view.hpp"

#include <algorithm>

namespace fedfrom::detail {

std::optional<bool> View::holds(const Condition& condition) const {
    return same_in(*worlds_, [&](std::size_t w) { return holds(condition, w); });
}

bool View::holds(const Condition& x, std::size_t world) const {
    using Op = Condition::Op;
    const auto part_holds = [&](const Condition& part) { return holds(part, world); };
    switch (x.op) {
        case Op::all: return std::ranges::all_of(x.of, part_holds);
        case Op::any: return std::ranges::any_of(x.of, part_holds);
        case Op::at_least: return std::ranges::count_if(x.of, part_holds) >= x.count;
        case Op::negation: return !holds(x.of.front(), world);
        case Op::given: return worlds_->read(world, Literal::of(c_->givens[index_of(c_->givens, x.id)].variable));
        case Op::level: {
            const Level asked = x.word == name_of(Level::normal) ? Level::normal : Level::degraded;
            return out_->level(x.id) <= asked;
        }
        default: break;
    }
    const std::uint32_t e = index_of(c_->elements, x.id);
    const ElementInfo& info = element(e);
    if (!info.fitted) return false;
    const auto place = static_cast<std::uint32_t>(std::ranges::find(info.positions, x.word) - info.positions.begin());
    const auto stands = [&] { return worlds_->read(world, info.stands[place]); };
    switch (x.op) {
        case Op::supplied: return worlds_->read(world, info.supplied);
        case Op::at: return stands();
        case Op::passes: return worlds_->read(world, info.passes);
        case Op::tripped: return worlds_->read(world, Literal::of(info.tripped));
        case Op::set: return worlds_->read(world, Literal::of(info.at_hand + place));
        case Op::contact: return stands() && !blank(e);
        default: return failed(e, x.word);
    }
}

std::optional<std::uint32_t> View::position(std::uint32_t e) const {
    const ElementInfo& info = element(e);
    for (std::uint32_t p = 0; p < info.stands.size(); ++p)
        if (surely(info.stands[p])) return p;
    return std::nullopt;
}

Status View::status(std::uint32_t e) const {
    if (!element(e).fitted) return Status::not_fitted;
    return same_in(*worlds_, [&](std::size_t w) { return status_by(*c_, element(e), [&](Literal l) { return worlds_->read(w, l); }); }).value_or(Status::unknown);
}

bool View::failed(std::uint32_t e, std::string_view mode) const {
    for (std::uint32_t f = element(e).failures.first; f < element(e).failures.last; ++f)
        if (c_->failures[f].mode == mode) return worlds_->read(0, Literal::of(c_->failures[f].variable));
    return false;
}

std::vector<std::string> View::blanked_by(std::uint32_t e) const {
    std::vector<std::string> modes;
    if (element(e).blanked_by_loss && failed(e, "loss")) modes.emplace_back("loss");
    if (failed(e, "contacts")) modes.emplace_back("contacts");
    return modes;
}

}  // namespace fedfrom::detail
