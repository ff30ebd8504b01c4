/// What a model leaves open: what can never matter, what nothing reads, what its author did not say.
///
///     Lint l = lint(net);
///     for (const Finding& f : l.findings) std::cout << f.code << ' ' << f.id << ": " << f.text << '\n';
///
/// A model that can be built has no errors; these are not errors. Each finding is a fact of the model as it is written, whatever
/// may fail or be set, and says how to mend it; whether it should be mended is its author's to say. What is found depends on the
/// variant: a network shows its own.
#pragma once

#include <array>
#include <cstddef>
#include <string>
#include <string_view>
#include <vector>

#include <fedfrom/solve/settle.hpp>
#include <fedfrom/table/table.hpp>

namespace fedfrom {

/// Codes are stable; new ones may come.
inline constexpr std::array<std::string_view, 18> lint_codes{
    "always_fed",           // a port that is supplied whatever happens
    "demand_without_effect",// a demand sets what nothing of its function hangs on
    "given_unread",         // no condition reads it
    "idle_port",            // a port that is supplied whenever the others of its element are
    "mode_never",           // a mode whose condition never holds
    "mode_unused",          // a mode that only holds where a better one does
    "moves_unsupplied",     // a valve, contactor or relay that is moved by something, and needs no supply for it
    "name_collision",       // an id, name or alias that two elements, or two functions, share in any case
    "no_failure",           // a function no failure can touch
    "no_loss_position",     // something that moves, of which it is not said what it does when one of its ports is dead
    "no_source",            // no way leads there from a source
    "no_unpowered",         // something that shows, of which it is not said what it shows unsupplied
    "position_never",       // a position it never stands in by itself
    "shows_unsupplied",     // a light or gauge that shows without any supply
    "unread",               // a switch or device that stands in no feed and that no condition reads
    "unused",               // nothing hangs on it
    "votes_together",       // two feeds of a voter from one upstream
    "way_unused",           // a feed that is live only where one before it is
};

struct Finding {
    std::string code{};
    std::string id{};    ///< of the element, function or given
    std::string text{};  ///< what is so, in a sentence, and what it is based on
    std::string mend{};  ///< how to mend it
    bool operator==(const Finding&) const = default;
};

struct Lint {
    Outcome running;                  ///< whose model it is
    std::vector<Finding> findings{};  ///< by code, then id
};

Lint lint(const Network& net);

/// Builds the network first; ModelError where it cannot be built.
Lint lint(const Model& model);

/// One row a finding.
Table table(const Lint& lint);
std::string text(const Lint& lint);

}  // namespace fedfrom
