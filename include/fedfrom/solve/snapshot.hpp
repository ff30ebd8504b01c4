/// A state as bytes, and back: for a host that saves and restores a running aircraft.
///
///     std::vector<std::uint8_t> bytes = snapshot(state);
///     State again = read_snapshot(net, bytes);      // in this process or another: behaves identically
///
/// What differs from an aircraft at rest is written by id, under a fingerprint of
/// the network. Bytes of another aircraft, edition or variant are refused with
/// SnapshotMismatch, which says what differs; so are bytes that are none. Same
/// state, same bytes. Linear in the network.
#pragma once

#include <algorithm>
#include <cstdint>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include <fedfrom/solve/state.hpp>

namespace fedfrom {

/// Not a snapshot of this network.
class SnapshotMismatch : public Error {
public:
    using Error::Error;
};

/// What a network's answers follow from, as numbers: equal where it is the same aircraft to the same version of this library.
struct Fingerprint {
    std::uint64_t elements = 0;   ///< ids, positions, failure modes, givens
    std::uint64_t logic = 0;      ///< how they hang on each other, what a fault runs along
    std::uint64_t functions = 0;  ///< functions, modes and demands
    bool operator==(const Fingerprint&) const = default;
};
Fingerprint fingerprint(const Network& net);

std::vector<std::uint8_t> snapshot(const State& state);

State read_snapshot(const Network& net, std::span<const std::uint8_t> bytes);

namespace detail {
class Snapshot;
void write_snapshot(const Network& net, const Fingerprint& of, const Snapshot& entries, const State::Memory& memory, std::vector<std::uint8_t>& into);
}

// ---------------------------------------------------------------------------

namespace detail {

/// Fowler-Noll-Vo's hash, 64 bits, one value at a time instead of one byte (FNV-1a; G. Fowler, L. C. Noll and K.-P. Vo, 1991).
class Hash {
public:
    Hash& add(std::uint64_t value) {
        value_ = (value_ ^ value) * 0x100000001b3u;
        value_ ^= value_ >> 32;  // or high bits of a value would never reach low ones
        return *this;
    }
    Hash& add(std::string_view text) {
        for (const char c : text) add(static_cast<unsigned char>(c));
        return add(text.size());
    }
    std::uint64_t value() const { return value_; }

private:
    std::uint64_t value_ = 0xcbf29ce484222325u;
};

inline constexpr std::string_view snapshot_mark = "fedfrom state 1\n";

/// One thing that differs from rest: what it is about, whose, and a word or a number.
enum class Kept : std::uint8_t { end, failure, hand, held, given, tripped, empty, holding_not, resets_used, taken, reading, used, exhausted, frozen_cell, frozen_holder, took, overloaded, starting, running_on };

class SnapshotWriter {
public:
    explicit SnapshotWriter(std::vector<std::uint8_t>& bytes) : bytes_(bytes) { bytes_.clear(); }
    void raw(std::string_view text) { bytes_.insert(bytes_.end(), text.begin(), text.end()); }
    void number(std::uint64_t n, int bytes) {
        for (int i = 0; i < bytes; ++i) bytes_.push_back(static_cast<std::uint8_t>(n >> (8 * i)));
    }
    void word(std::string_view text) {
        number(text.size(), 4);
        raw(text);
    }
    void entry(Kept kept, std::string_view id, std::string_view text = {}, std::uint64_t n = 0) {
        number(static_cast<std::uint64_t>(kept), 1);
        word(id);
        word(text);
        number(n, 2);
    }

private:
    std::vector<std::uint8_t>& bytes_;
};

class SnapshotReader {
public:
    explicit SnapshotReader(std::span<const std::uint8_t> bytes) : bytes_(bytes) {}
    std::string_view raw(std::size_t n) {
        if (bytes_.size() - at_ < n) throw SnapshotMismatch("These bytes are cut short: a snapshot goes on after byte " + std::to_string(bytes_.size()) + ".");
        at_ += n;
        return {reinterpret_cast<const char*>(bytes_.data()) + at_ - n, n};
    }
    std::uint64_t number(int bytes) {
        const std::string_view text = raw(static_cast<std::size_t>(bytes));
        std::uint64_t n = 0;
        for (int i = bytes; i-- > 0;) n = n << 8 | static_cast<unsigned char>(text[static_cast<std::size_t>(i)]);
        return n;
    }
    std::string_view word() { return raw(number(4)); }
    bool done() const { return at_ == bytes_.size(); }
    [[noreturn]] static void damaged(std::string_view about) { throw SnapshotMismatch("These bytes are damaged: " + std::string(about) + "."); }

private:
    std::span<const std::uint8_t> bytes_;
    std::size_t at_ = 0;
};

/// Every value a state keeps beside its rest values, written or put by id. Built once: what each memory variable says where it is not as at rest.
class Snapshot {
public:
    explicit Snapshot(const Network& net) : net_(net), c_(net.compiled()), at_rest_(State(net, true).remembered().values), said_(c_.memory_end) {
        for (const FailureInfo& f : c_.failures) said_[f.variable] = {Kept::failure, c_.elements[f.element].id, f.mode};
        for (const GivenInfo& g : c_.givens) said_[g.variable] = {Kept::given, g.id};
        for (const ElementInfo& e : c_.elements) {
            for (std::uint32_t p = 0; p < e.positions.size(); ++p) {
                if (p == e.rest) continue;  // where it no longer stands, the others say
                if (e.at_hand) said_[e.at_hand + p] = {Kept::hand, e.id, e.positions[p]};
                if (e.held) said_[e.held + p] = {Kept::held, e.id, e.positions[p]};
            }
            for (const auto& [v, kept] : {std::pair(e.tripped, Kept::tripped), std::pair(e.empty, Kept::empty), std::pair(e.overloaded, Kept::overloaded),
                                          std::pair(e.starting, Kept::starting), std::pair(e.running_on, Kept::running_on), std::pair(e.holding, Kept::holding_not)})
                if (v) said_[v] = {kept, e.id};
        }
        for (const OneShotInfo& o : c_.one_shots) {
            said_[o.used] = {Kept::used, c_.functions[o.function].id, *o.mode};
            said_[o.exhausted] = {Kept::exhausted, c_.functions[o.function].id, *o.mode};
        }
    }

    void write(const State::Memory& m, SnapshotWriter& w) const {
        each_other(m.values, [&](std::size_t v) { return at_rest_[v]; }, [&](std::size_t v) {
            const Said& said = said_[v];
            if (said.kept != Kept::end) w.entry(said.kept, *said.id, said.word);
        });
        const auto counted = [&](Kept kept, const auto& by_element, auto usual) {
            each_other(by_element, [&](std::size_t) { return usual; }, [&](std::size_t e) { w.entry(kept, *c_.elements[e].id, {}, by_element[e]); });
        };
        counted(Kept::resets_used, m.resets_used, std::uint8_t{0});
        counted(Kept::taken, m.taken, std::uint16_t{0});
        counted(Kept::reading, m.readings, State::blank);
        std::size_t took = 0;
        for (std::size_t i = 0; i < c_.memory_cells.size(); ++i) {
            const ElementInfo& e = c_.elements[c_.memory_cells[i].element];
            if (any(m.frozen.cells[i])) w.entry(Kept::frozen_cell, *e.id);
            for (std::uint32_t p = 0; p < e.positions.size(); ++p, ++took)
                if (any(m.frozen.took[took])) w.entry(Kept::took, *e.id, e.positions[p]);
        }
        for (std::size_t h = 0; h < c_.holders.size(); ++h)
            if (any(m.frozen.holders[h])) w.entry(Kept::frozen_holder, *c_.elements[c_.holders[h]].id);
    }

    /// Puts one entry into the memory of an aircraft at rest.
    void put(Kept kept, std::string_view id, std::string_view text, std::uint64_t n, State::Memory& m) const {
        const auto set = [&](Variable v, bool on = true) {
            if (v == 0) SnapshotReader::damaged("`" + std::string(id) + "` has nothing of the kind");
            m.values[v] = One::filled(on);
        };
        if (kept == Kept::given) {
            const GivenInfo& g = c_.givens[net_.given(id).index];
            return set(g.variable, !g.initial);
        }
        if (kept == Kept::used || kept == Kept::exhausted) {
            const OneShotInfo& o = c_.one_shots[net_.one_shot(id, text).index];
            return set(kept == Kept::used ? o.used : o.exhausted);
        }
        const ElementHandle handle = net_.element(id);
        const ElementInfo& e = c_.elements[handle.index];
        const auto stand = [&](Variable first) {
            const std::uint32_t at = net_.position(handle, text);
            for (std::uint32_t p = 0; p < e.positions.size(); ++p) set(first ? first + p : 0, p == at);
        };
        switch (kept) {
            case Kept::failure: return set(c_.failures[net_.failure(id, text).index].variable);
            case Kept::hand: return stand(e.at_hand);
            case Kept::held: return stand(e.held);
            case Kept::tripped: return set(e.tripped);
            case Kept::empty: return set(e.empty);
            case Kept::overloaded: return set(e.overloaded);
            case Kept::starting: return set(e.starting);
            case Kept::running_on: return set(e.running_on);
            case Kept::holding_not: return set(e.holding, false);
            case Kept::resets_used: m.resets_used[handle.index] = static_cast<std::uint8_t>(n); return;
            case Kept::taken: m.taken[handle.index] = static_cast<std::uint16_t>(n); return;
            case Kept::reading:
                if (n >= e.shows.size() && n != State::not_known) SnapshotReader::damaged("`" + std::string(id) + "` shows no such thing");
                m.readings[handle.index] = static_cast<std::uint8_t>(n);
                return;
            case Kept::frozen_cell: m.frozen.cells[cell(handle.index).first] = One::filled(true); return;
            case Kept::took: m.frozen.took[cell(handle.index).second + net_.position(handle, text)] = One::filled(true); return;
            case Kept::frozen_holder: {
                const auto it = std::ranges::find(c_.holders, handle.index);
                if (it == c_.holders.end()) SnapshotReader::damaged("`" + std::string(id) + "` does not hold itself");
                m.frozen.holders[static_cast<std::size_t>(it - c_.holders.begin())] = One::filled(true);
                return;
            }
            default: SnapshotReader::damaged("an entry of no known kind");
        }
    }

private:
    /// `end`: nothing.
    struct Said {
        Kept kept = Kept::end;
        const std::string* id = nullptr;
        std::string_view word{};
    };
    const Network& net_;
    const Compiled& c_;
    std::vector<One> at_rest_;
    std::vector<Said> said_;  // by memory variable

    /// Calls with the places where a list is not as usual, which are few.
    template <class List, class Usual, class Call>
    static void each_other(const List& list, Usual usual, Call call) {
        constexpr std::size_t stretch = 64;  // looked over without a branch
        for (std::size_t first = 0; first < list.size(); first += stretch) {
            const std::size_t last = std::min(first + stretch, list.size());
            bool other = false;
            for (std::size_t i = first; i < last; ++i) other |= !(list[i] == usual(i));
            for (std::size_t i = first; other && i < last; ++i)
                if (!(list[i] == usual(i))) call(i);
        }
    }

    /// Which memory cell an element is, and the place of its first position in Frozen::took.
    std::pair<std::size_t, std::size_t> cell(std::uint32_t element) const {
        std::size_t took = 0;
        for (std::size_t i = 0; i < c_.memory_cells.size(); ++i) {
            if (c_.memory_cells[i].element == element) return {i, took};
            took += c_.memory_cells[i].sent.size();
        }
        SnapshotReader::damaged("`" + *c_.elements[element].id + "` has no position that is remembered");
    }
};

}  // namespace detail

inline Fingerprint fingerprint(const Network& net) {
    const Compiled& c = net.compiled();
    detail::Hash elements, logic, functions;
    for (const ElementInfo& e : c.elements) {
        elements.add(*e.id).add(e.fitted).add(e.rest).add(e.passes_in).add(e.sticks_at).add(e.memory).add(e.hand);
        elements.add(static_cast<std::uint64_t>(resets_of(*e.element))).add(static_cast<std::uint64_t>(reset_by_of(*e.element)));
        if (e.element->store) elements.add(static_cast<std::uint64_t>(e.element->store->applications.value_or(0)));
        for (const auto& position : e.positions) elements.add(position);
        for (const Show& show : e.element->shows) elements.add(show.text);
        elements.add(e.element->unpowered);
        logic.add(e.supplied.code).add(e.needs.code).add(e.works.code).add(e.holding).add(e.held).add(e.tripped).add(e.empty).add(e.overloaded).add(e.starting).add(e.running_on);
        for (const auto* list : {&e.stands, &e.shows})
            for (const Literal l : *list) logic.add(l.code);
    }
    for (const FailureInfo& f : c.failures) elements.add(f.element).add(f.mode);
    for (const GivenInfo& g : c.givens) elements.add(*g.id).add(g.initial);
    for (const Gate& g : c.program.gates) logic.add(static_cast<std::uint64_t>(g.op)).add(g.position).add(g.count).add(g.last - g.first);
    for (const Literal l : c.program.operands) logic.add(l.code);
    for (const Link& l : c.links) {
        logic.add(l.from_zone).add(l.to_zone).add(l.seed_only).add(l.feed);
        for (std::uint32_t i = l.conducts.first; i < l.conducts.last; ++i) logic.add(c.link_literals[i].code);
        for (std::uint32_t i = l.devices.first; i < l.devices.last; ++i) logic.add(c.link_devices[i]);
    }
    for (const MemoryCell& cell : c.memory_cells)
        for (const Literal l : cell.sent) logic.add(l.code);
    for (const FunctionInfo& f : c.functions) {
        functions.add(*f.id).add(f.demand);
        for (const ModeInfo& m : f.modes) functions.add(*m.id).add(static_cast<std::uint64_t>(m.mode->rank)).add(m.when.code);
    }
    for (const DemandInfo& d : c.demands) {
        for (const HandSetting& s : d.set) functions.add(s.element).add(s.position);
        for (const GivenSetting& s : d.given) functions.add(s.given).add(s.value);
    }
    return {elements.value(), logic.value(), functions.value()};
}

/// Into a buffer that is kept: no allocation once it is large enough.
inline void detail::write_snapshot(const Network& net, const Fingerprint& of, const Snapshot& entries, const State::Memory& memory, std::vector<std::uint8_t>& into) {
    SnapshotWriter w(into);
    w.raw(snapshot_mark);
    const Model& model = net.model();
    for (const std::string* text : {&model.name, &model.edition, &model.variant}) w.word(*text);
    for (const std::uint64_t n : {of.elements, of.logic, of.functions}) w.number(n, 8);
    entries.write(memory, w);
    w.number(static_cast<std::uint64_t>(Kept::end), 1);
}

inline std::vector<std::uint8_t> snapshot(const State& state) {
    std::vector<std::uint8_t> bytes;
    detail::write_snapshot(state.network(), fingerprint(state.network()), detail::Snapshot(state.network()), state.remembered(), bytes);
    return bytes;
}

inline State read_snapshot(const Network& net, std::span<const std::uint8_t> bytes) {
    detail::SnapshotReader r(bytes);
    if (bytes.size() < detail::snapshot_mark.size() || r.raw(detail::snapshot_mark.size()) != detail::snapshot_mark)
        throw SnapshotMismatch("These bytes are no state of this version of fedfrom: they do not begin with its mark.");
    std::string differs;
    const auto compare = [&](std::string_view what, std::string_view theirs, std::string_view ours) {
        if (theirs != ours) differs += " Its " + std::string(what) + " is \"" + std::string(theirs) + "\", here \"" + std::string(ours) + "\".";
    };
    for (const auto& [what, ours] : {std::pair("model", &net.model().name), std::pair("edition", &net.model().edition), std::pair("variant", &net.model().variant)})
        compare(what, r.word(), *ours);
    const Fingerprint here = fingerprint(net);
    for (const auto& [what, ours] : {std::pair("elements or givens", here.elements), std::pair("connections", here.logic), std::pair("functions", here.functions)})
        if (r.number(8) != ours) differs += " Its " + std::string(what) + " differ.";
    if (!differs.empty()) throw SnapshotMismatch("This snapshot is of another network." + differs);

    State state(net, true);
    State::Memory memory = state.remembered();
    const detail::Snapshot entries(net);
    try {
        for (;;) {
            const auto kept = static_cast<detail::Kept>(r.number(1));
            if (kept == detail::Kept::end) break;
            const std::string_view id = r.word(), text = r.word();
            entries.put(kept, id, text, r.number(2), memory);
        }
    } catch (const UnknownId& e) {
        detail::SnapshotReader::damaged(e.what());
    } catch (const NotPossible& e) {
        detail::SnapshotReader::damaged(e.what());
    }
    if (!r.done()) detail::SnapshotReader::damaged("they go on after their end");
    state.remember(std::move(memory));
    return state;
}

}  // namespace fedfrom
