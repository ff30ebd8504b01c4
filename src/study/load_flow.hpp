/// Where the power that elements draw comes from, in one world: demand summed along the supply in use.
///
/// What is conserved is power, as watts and reactive volt-amperes; a current is volt-amperes over the volts of where it
/// flows. Where no voltage is known a current stays a current until one is. Every quantity is a span: what is not known has
/// no upper end. `LoadGraph` is the supply in use; `LoadFlow` the demand of one operating condition on it.
///
/// Feeds in use lead from sources to loads; what supplies each other in a ring (buses tied in parallel) is one part of the
/// graph, with what enters it shared by the ratings of what stands behind.
#pragma once

#include <cstdint>
#include <limits>
#include <memory>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <vector>

#include "flow.hpp"

namespace fedfrom::detail {

/// Between `low` and `high`, neither below 0; infinite: no upper end is known.
struct Span {
    double low = 0, high = 0;

    static Span exactly(double x) { return {x, x}; }
    static Span at_least(double x) { return {x, std::numeric_limits<double>::infinity()}; }
    bool exact() const { return low == high; }
    bool nothing() const { return high == 0; }
    Span& operator+=(Span other) { return low += other.low, high += other.high, *this; }
    friend Span operator+(Span a, Span b) { return a += b; }
    friend Span operator*(Span a, Span b) { return {a.low * b.low, a.high == 0 || b.high == 0 ? 0 : a.high * b.high}; }
    bool operator==(const Span&) const = default;
};

/// What is drawn at one place. `amps` is current at a voltage that is not known; it is in neither of the others.
struct Power {
    Span watts{}, vars{}, amps{};

    static Power unknown() { return {.watts = Span::at_least(0), .vars = Span::at_least(0)}; }
    bool nothing() const { return watts.nothing() && vars.nothing() && amps.nothing(); }
    bool exact() const { return watts.exact() && vars.exact() && amps.exact(); }
    /// The same with its current turned to watts, where the volts are known.
    Power at(std::optional<double> volts) const;
    Power& operator+=(const Power& o) { return watts += o.watts, vars += o.vars, amps += o.amps, *this; }
    friend Power operator*(const Power& p, Span s) { return {p.watts * s, p.vars * s, p.amps * s}; }
    bool operator==(const Power&) const = default;
};

/// A current at these volts; volt-amperes; both of watts alone.
Span amps_of(const Power& p, std::optional<double> volts);
Span volt_amperes_of(const Power& p, std::optional<double> volts);
Span watts_of(const Power& p, std::optional<double> volts);

/// Averages of one demand over time, and the largest single inrush above the 5-second average.
struct Draw {
    Power continuous{}, five_minutes{}, five_seconds{}, inrush{};

    static Draw unknown() { return {Power::unknown(), Power::unknown(), Power::unknown(), {}}; }
    bool nothing() const { return continuous.nothing() && five_minutes.nothing() && five_seconds.nothing() && inrush.nothing(); }
    Draw at(std::optional<double> volts) const { return {continuous.at(volts), five_minutes.at(volts), five_seconds.at(volts), inrush.at(volts)}; }
    Draw& operator+=(const Draw& o);
    friend Draw operator*(const Draw& d, Span s) { return {d.continuous * s, d.five_minutes * s, d.five_seconds * s, d.inrush * s}; }
    bool operator==(const Draw&) const = default;
};

/// What an answer could not know, as element indices.
struct Gaps {
    std::set<std::uint32_t> loads;         ///< draws, and says no load in this condition
    std::set<std::uint32_t> efficiencies;  ///< converts, and says no efficiency
    std::set<std::uint32_t> ratings;       ///< shares with others, and has no rating to share by
    std::set<std::uint32_t> rated_volts;   ///< likewise, of a rating in amperes: it has no volts, and not all are in amperes
    std::set<std::uint32_t> volts;         ///< volts are not known where they are needed
    std::set<std::uint32_t> rings;         ///< in a ring where the division of the load is open
    std::set<std::uint32_t> power_factors; ///< taken as 1: none is given on volt-amperes, or on what a rectifier takes
    std::set<std::uint32_t> floating;      ///< batteries beside another source, which carry no load
    std::set<std::uint32_t> several_ports; ///< all its load is put on one of several power ports
    void add(const Gaps& other);
};

bool is_converter(const Element& e);
/// Its power comes from what drives it, whatever its ports: generators, and sources.
bool is_machine(const Element& e);
/// The port its load is on: power, else another electrical one, else control or field; none.
std::uint32_t load_port(const Compiled& c, std::uint32_t e);
/// The load it says for a condition, or for others; null: none.
const Load* load_in(const Element& e, std::string_view condition);
/// It draws from an electrical port, so that a load must be said.
bool draws(const Compiled& c, std::uint32_t e);

/// The electrical supply in use in one world.
class LoadGraph {
public:
    /// What a battery beside another source carries: nothing, or its share by rating, as for the seconds in which it helps out.
    enum class Floating : std::uint8_t { carries_nothing, shares };

    LoadGraph(const View& view, std::size_t world, Floating floating = Floating::carries_nothing);

    struct Edge {
        std::uint32_t feed = none, upstream = none, element = none;
        Span share{1, 1};  ///< of what its element (or ring) takes
        bool floats = false;  ///< only batteries stand behind it, beside others that are none
    };
    /// One element, or several that supply each other.
    struct Part {
        std::vector<std::uint32_t> members{};
        std::vector<Edge> from{};    ///< from outside
        std::vector<Edge> within{};  ///< in a ring; a tie once
        bool ring() const { return !within.empty(); }
    };

    const Compiled& compiled() const { return c_; }
    const std::vector<Part>& parts() const { return parts_; }  ///< those upstream first
    bool supplied(std::uint32_t e) const { return flow_.supplied(e); }
    /// It draws by its load port; what starts does too, what runs on without that port does not.
    bool takes(std::uint32_t e) const {
        const std::uint32_t port = load_port(c_, e);
        return port == none ? supplied(e) : flow_.takes_by(e, port);
    }
    std::uint32_t part_of(std::uint32_t e) const { return part_[e]; }
    std::optional<double> volts(std::uint32_t e) const { return volts_[e]; }
    /// At its input: of what feeds it; its own where nothing does.
    std::optional<double> volts_in(std::uint32_t e) const { return volts_in_[e]; }
    const Gaps& gaps() const { return gaps_; }
    /// Feeds share a load somewhere.
    bool shares() const;
    bool is_source(std::uint32_t e) const { return parts_[part_[e]].from.empty(); }
    /// Elements `e` draws on, all the way up, in order.
    std::set<std::uint32_t> upstream_of(std::uint32_t e) const;
    /// The nearest sources and converters its power comes from, in order: itself, where it is one.
    const std::vector<std::uint32_t>& behind(std::uint32_t e) const { return *sources_[e]; }

private:
    using Sources = std::shared_ptr<const std::vector<std::uint32_t>>;

    const Compiled& c_;
    Flow flow_;
    Floating floating_;
    std::vector<std::vector<Edge>> edges_;  // by element
    std::vector<Part> parts_;
    std::vector<std::uint32_t> part_;
    std::vector<std::optional<double>> volts_, volts_in_;
    std::vector<Sources> sources_;
    Gaps gaps_;

    void find_parts();
    void close(std::vector<std::uint32_t> members);
    void share(Part& part);
    void voltages(const Part& part);
};

class LoadFlow {
public:
    /// `shed`: elements whose own load is taken off.
    LoadFlow(const LoadGraph& graph, std::string_view condition, const std::set<std::uint32_t>& shed = {});

    /// What an element carries: a source, bus or converter gives so much; anything else takes so much.
    const Draw& through(std::uint32_t e) const { return through_[e]; }
    /// Its own load.
    const Draw& own(std::uint32_t e) const { return own_[e]; }
    /// What a converter takes to give what it gives, its own load with it.
    const Draw& taken_by(std::uint32_t converter) const { return taken_[converter]; }
    /// What a device carries, with its current, as a Power whose amps are all of it where its feeds differ in volts.
    const Draw& device(std::uint32_t e) const { return devices_[e].draw; }
    std::optional<double> device_volts(std::uint32_t e) const { return devices_[e].alike ? devices_[e].volts : std::nullopt; }
    Span delivered() const { return delivered_; }  ///< continuous watts
    Span consumed() const { return consumed_; }
    Span lost() const { return lost_; }
    const Gaps& gaps() const { return gaps_; }

private:
    struct DeviceDraw {
        Draw draw{};
        std::optional<double> volts{};
        bool seen = false, alike = true;
    };

    const LoadGraph& graph_;
    const Compiled& c_;
    std::vector<Draw> own_, through_, taken_;
    std::vector<DeviceDraw> devices_;
    Span delivered_{}, consumed_{}, lost_{};
    Gaps gaps_;

    Draw own_draw(std::uint32_t e, std::string_view condition);
    Draw taken(std::uint32_t e);
    Power taken(std::uint32_t e, const Power& given);
    void pass_up(const LoadGraph::Part& part);
    void along(const LoadGraph::Edge& edge, const Draw& draw);
    void divide(const LoadGraph::Part& ring, const Draw& all);
};

}  // namespace fedfrom::detail
