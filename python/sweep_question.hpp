/// A sweep as Python asks it, and what it found, with what both need to be told, joined and pickled.
#pragma once

#include "answers.hpp"

#include <functional>
#include <optional>

#include <fedfrom/study/sweep_table.hpp>

namespace fedfrom::python {

/// A sweep, or one shard of it, that can be run anywhere: it pickles.
struct SweepShard {
    State from;
    SweepOptions options{};                            ///< `instructions` is chosen where it runs
    std::optional<InstructionSet> instructions{};      ///< what was asked for; none: the best there is
};

/// What a sweep or a shard of it found. Never changed once made: NumPy looks into `result`.
struct Swept {
    Outcome before;
    SweepOptions options{};  ///< without `progress`
    SweepResult result{};

    Table table(std::size_t most = SIZE_MAX) const { return fedfrom::table(result, before, options, most); }
};

/// Runs it. Without Python's lock, but for now and then: a signal, or what `progress` raises, ends it and is raised.
Swept run(const SweepShard& shard, const py::object& progress);

/// The shards of one sweep, in any order. ValueError where one is missing, there twice or of another sweep.
Swept joined(const std::vector<const Swept*>& shards);

/// The same where some were never run: not complete.
Swept joined_as_far(const std::vector<const Swept*>& shards);

/// The same question of the same state and the same answer, however cut and with whatever instructions.
bool same(const Swept& a, const Swept& b);

py::tuple pickled(const SweepShard& shard);
SweepShard shard_from(const py::tuple& kept);
py::tuple pickled(const Swept& swept);
Swept swept_from(const py::tuple& kept);

}  // namespace fedfrom::python
