/// A network: one aircraft, compiled. Immutable, a cheap handle, safe to share between threads.
///
///     Network net(model);
///     Element_ main = net.element("main_l");     // typed index; throws UnknownId with the nearest id
///
/// Building is linear in the model and throws ModelError where the model has no
/// meaning: a loop through a negation, a ring of positions.
#pragma once

#include <cstdint>
#include <memory>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include <fedfrom/model/diagnostic.hpp>
#include <fedfrom/model/nearest.hpp>
#include <fedfrom/network/compile.hpp>

namespace fedfrom {

/// Typed 32-bit indices, so that hosts keep strings at their edge.
struct ElementHandle { std::uint32_t index = none; bool operator==(const ElementHandle&) const = default; };
struct FailureHandle { std::uint32_t index = none; bool operator==(const FailureHandle&) const = default; };
struct FunctionHandle { std::uint32_t index = none; bool operator==(const FunctionHandle&) const = default; };
struct GivenHandle { std::uint32_t index = none; bool operator==(const GivenHandle&) const = default; };

/// A one-shot mode of a function, by its index in Compiled::one_shots.
struct OneShotHandle { std::uint32_t index = none; bool operator==(const OneShotHandle&) const = default; };

class Network {
public:
    /// Validates the model, then builds.
    explicit Network(Model model) : compiled_(detail::compile(std::move(model))) {}

    /// Builds without validating again: for a model from `read_model`, `parse_model` or `variant_of`, unchanged since.
    static Network of_valid(Model model) { return Network(detail::compile_valid(std::move(model))); }

    const Compiled& compiled() const { return *compiled_; }
    const Model& model() const { return compiled_->model; }

    ElementHandle element(std::string_view id) const { return {find(compiled_->elements, id, "element")}; }
    FunctionHandle function(std::string_view id) const { return {find(compiled_->functions, id, "function")}; }
    GivenHandle given(std::string_view id) const { return {find(compiled_->givens, id, "given")}; }

    /// A failure mode of an element; throws NotPossible, naming its modes, where it has none of that name.
    FailureHandle failure(std::string_view id, std::string_view mode = "loss") const {
        const ElementInfo& e = compiled_->elements[element(id).index];
        if (const std::uint32_t f = failure_of(*compiled_, e, mode); f != none) return {f};
        std::string modes;
        for (std::uint32_t f = e.failures.first; f < e.failures.last; ++f) modes += (modes.empty() ? "" : ", ") + compiled_->failures[f].mode;
        if (!e.fitted) throw NotPossible("`" + std::string(id) + "` is not fitted in this aircraft, so it cannot fail.");
        throw NotPossible("`" + std::string(id) + "` has no failure mode `" + std::string(mode) + "`" +
                          (modes.empty() ? "; it is taken as perfect." : "; it has: " + modes + "."));
    }

    /// A mode that spends a store or bars others; throws NotPossible where the mode is not such a one.
    OneShotHandle one_shot(std::string_view id, std::string_view mode) const {
        const std::uint32_t f = function(id).index;
        for (std::uint32_t i = 0; i < compiled_->one_shots.size(); ++i)
            if (compiled_->one_shots[i].function == f && *compiled_->one_shots[i].mode == mode) return {i};
        throw NotPossible("`" + std::string(id) + "` has no fitted mode `" + std::string(mode) + "` that spends a store or bars other modes, so it cannot be used up.");
    }

    /// The place of a position word on an element; throws NotPossible, naming its positions.
    std::uint32_t position(ElementHandle handle, std::string_view word) const {
        const ElementInfo& e = compiled_->elements[handle.index];
        std::string list;
        for (std::uint32_t p = 0; p < e.positions.size(); ++p) {
            if (e.positions[p] == word) return p;
            list += (list.empty() ? "" : ", ") + std::string(e.positions[p]);
        }
        throw NotPossible("`" + *e.id + "` has no position `" + std::string(word) + "`" + (list.empty() ? "." : "; it has: " + list + "."));
    }

    /// The same aircraft: the same network, or one built of an equal model, which is the same down to its handles.
    bool operator==(const Network& other) const { return compiled_ == other.compiled_ || model() == other.model(); }

private:
    explicit Network(std::shared_ptr<const Compiled> compiled) : compiled_(std::move(compiled)) {}
    std::shared_ptr<const Compiled> compiled_;

    template <class Infos>
    static std::uint32_t find(const Infos& infos, std::string_view id, std::string_view what) {
        const std::uint32_t i = index_of(infos, id);
        if (i != none) return i;
        std::vector<std::string_view> known;
        for (const auto& info : infos) known.push_back(*info.id);
        throw UnknownId("There is no " + std::string(what) + " `" + std::string(id) + "`." + did_you_mean(id, known));
    }
};

}  // namespace fedfrom
