/// A network's compiled form: where everything is, as dense indices.
///
/// Indices are in id order within each collection, so results come out in id
/// order by counting. The logic itself is in `program`; the rest says which
/// variable means what, and what a fault can run along.
#pragma once

#include <algorithm>
#include <cstdint>
#include <limits>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include <fedfrom/model/model.hpp>
#include <fedfrom/network/program.hpp>

namespace fedfrom {

inline constexpr std::uint32_t none = std::numeric_limits<std::uint32_t>::max();

/// A half-open range of indices.
struct Range {
    std::uint32_t first = 0, last = 0;
    std::uint32_t size() const { return last - first; }
};

/// A device in a feed or tie, with what it takes to pass.
struct DeviceAt {
    std::uint32_t element = none;
    Literal passes = always;
    std::uint32_t positions = 0;  ///< bit set of the positions it passes in here
};

/// One alternative of a port as compiled: a feed, one end of a tie, or a feed backwards through shorted diodes.
struct FeedInfo {
    enum class Origin : std::uint8_t { feed, tie, backwards };
    std::uint32_t port = none;
    std::uint32_t upstream = none;
    Range devices{};          ///< in Compiled::devices, from source to load
    Literal path = never;   ///< all devices pass
    Literal live = never;   ///< upstream supplied, all devices pass and none is in the zone
    Origin origin = Origin::feed;
    std::uint32_t tie = none;
};

struct PortInfo {
    std::uint32_t element = none;
    std::string name{};
    std::uint32_t medium = none;  ///< in Compiled::media; none: carries no fault
    Port::Join join = Port::Join::priority;
    std::uint32_t count = 1;
    Range feeds{};
    Literal supplied = never;
    bool changeover = false;  ///< several plain alternatives: only the live one is connected
};

/// Something a fault can run along, one way, in one medium.
struct Link {
    std::uint32_t from_zone = none;  ///< in Compiled::zones
    std::uint32_t to_zone = none;
    std::uint32_t to = none;         ///< the element that must be alive
    bool seed_only = false;          ///< only a fault that began at `from`
    std::uint32_t feed = none;       ///< whose port decides whether it is connected; none: a tie
    Range conducts{};                  ///< in Compiled::link_literals: all must hold
    Range devices{};                   ///< in Compiled::link_devices: elements, counted from `from`
};

/// One (element, medium) a zone can hold.
struct ZoneInfo {
    std::uint32_t element = none;
    std::uint32_t medium = none;
    Variable variable = 0;
    Literal seed = never;  ///< the failure that begins a fault here
};

struct FailureInfo {
    std::uint32_t element = none;
    std::string mode{};
    Variable variable = 0;
    bool sticks = false;  ///< its mode is `stuck`
};

struct ElementInfo {
    const std::string* id = nullptr;
    const Element* element = nullptr;
    bool fitted = true;
    bool memory = false;   ///< its position keeps through an evaluation
    bool blanked_by_loss = false;
    bool hand = false;     ///< the crew sets it
    Literal supplied = never;
    Literal needs = always;
    std::uint32_t gate = none;      ///< of its supply
    std::uint32_t component = none; ///< of that gate
    Range ports{}, failures{}, zones{};
    std::span<const std::string_view> positions{};  ///< words of the kind, or in Compiled::position_words
    std::uint32_t rest = 0, passes_in = 0;  ///< index; bit set
    std::uint32_t trip_position = none;
    std::uint32_t sticks_at = none;         ///< the position its author has it stick in
    Variable held = 0, at_hand = 0;         ///< first of one per position; 0 = none
    Variable loss = 0;                      ///< the failure of that name
    Variable tripped = 0, empty = 0, holding = 0;
    Variable overloaded = 0;                ///< a rated electrical source or converter: its load is more than it can carry, so it gives nothing
    Variable starting = 0, running_on = 0;  ///< as a clock says: gives nothing yet though it could; gives for a while yet though nothing feeds it
    Literal works = never;                  ///< as a protecting device
    std::span<const Literal> stands{};      ///< per position: it really stands there (report)
    std::span<const Literal> shows{};       ///< per `shows` entry: its condition (report)
    Literal passes = never;                 ///< in its own passes_in (report)
};

/// A position with memory, and where it is sent.
struct MemoryCell {
    std::uint32_t element = none;
    std::vector<Literal> sent{};  ///< per position
    Literal commanded = never;    ///< of what is timed: its hand or its logic sends it, which takes `after_s`; what else moves it does so at once
};

struct ModeInfo {
    const std::string* id = nullptr;
    const Mode* mode = nullptr;
    Literal when = never;
    Level level = Level::normal;  ///< the function's while it is in this mode
};

/// A mode that takes applications from stores, or bars other modes once used.
struct OneShotInfo {
    std::uint32_t function = none;
    const std::string* mode = nullptr;
    struct Take {
        std::uint32_t store = none;  ///< an element
        int count = 0;
    };
    std::vector<Take> spends{};
    std::vector<std::uint32_t> barred_by{};  ///< in Compiled::one_shots
    Variable used = 0, exhausted = 0;        ///< memory: it was used; its stores no longer hold what it takes
};

/// A judged level another function's modes read.
struct LevelInput {
    std::uint32_t function = none;
    Level at_least = Level::normal;
    Variable variable = 0;
};

struct FunctionInfo {
    const std::string* id = nullptr;
    const Function* function = nullptr;
    std::vector<ModeInfo> modes{};  ///< those that exist, best first
    std::uint32_t demand = 0;     ///< in Compiled::demands; 0 is no demand
    Range gates{};
    std::vector<std::uint32_t> reads{};  ///< functions whose level it reads
};

struct HandSetting {
    std::uint32_t element = none, position = 0;
};
struct GivenSetting {
    std::uint32_t given = none;
    bool value = false;
};
struct DemandInfo {
    std::vector<HandSetting> set{};
    std::vector<GivenSetting> given{};
};

struct GivenInfo {
    const std::string* id = nullptr;
    bool initial = false;
    Variable variable = 0;
};

struct TieInfo {
    const std::string* id = nullptr;
    const Tie* tie = nullptr;
};

struct Compiled {
    Model model;
    Program program;

    std::vector<ElementInfo> elements{};
    std::vector<std::string_view> position_words{};  ///< those authors gave, of the model
    std::vector<Literal> reported{};                 ///< what `stands` and `shows` of the elements are parts of
    std::vector<FailureInfo> failures{};
    std::vector<GivenInfo> givens{};
    std::vector<FunctionInfo> functions{};
    std::vector<OneShotInfo> one_shots{};        ///< by function id, mode id
    std::vector<std::uint32_t> judging_order{};  ///< functions, those read first
    std::vector<DemandInfo> demands{};
    std::vector<LevelInput> level_inputs{};
    std::vector<TieInfo> ties{};

    std::vector<PortInfo> ports{};
    std::vector<FeedInfo> feeds{};
    std::vector<DeviceAt> devices{};

    std::vector<std::string> media{};
    std::vector<ZoneInfo> zones{};
    std::vector<Link> links{};
    std::vector<Literal> link_literals{};
    std::vector<std::uint32_t> link_devices{};

    std::vector<MemoryCell> memory_cells{};
    std::vector<std::uint32_t> holders{};  ///< elements, as Program::holders
    std::vector<std::uint32_t> protecting{}, storing{};  ///< elements with `tripped`, with `empty`
    std::vector<std::uint32_t> sticking{};               ///< elements with `held` and no memory: where they stand is remembered, for when they stick

    /// Inputs below this are memory, from here to `program.inputs` zone and levels.
    Variable memory_end = 0;
    Range command_gates{};   ///< where memory is sent
    Range standing_gates{};  ///< where what may stick stands
    Range report_gates{};    ///< what only the outcome reads: other positions, shows
};

/// Index of `id` in a vector whose entries stand in id order; `none` if absent.
template <class Infos>
std::uint32_t index_of(const Infos& infos, std::string_view id) {
    const auto it = std::ranges::lower_bound(infos, id, {}, [](const auto& i) { return std::string_view(*i.id); });
    return it != infos.end() && *it->id == id ? static_cast<std::uint32_t>(it - infos.begin()) : none;
}

/// The place among `failures` of an element's failure mode; `none` if it cannot fail so.
inline std::uint32_t failure_of(const Compiled& c, const ElementInfo& e, std::string_view mode) {
    for (std::uint32_t f = e.failures.first; f < e.failures.last; ++f)
        if (c.failures[f].mode == mode) return f;
    return none;
}

}  // namespace fedfrom
