/// Refuses logic positions that hang on each other in a ring (rule M14).
///
/// A handle follows a valve that follows the handle: nothing decides where
/// either stands, and no stratum can hold one without the other.
#pragma once

#include <algorithm>
#include <cstdint>
#include <vector>

#include <fedfrom/network/draft.hpp>

namespace fedfrom::detail {

/// The members of one ring, in order; empty when there is none.
class Rings {
public:
    explicit Rings(const Draft& draft) : d_(draft), out_(draft.out) {}

    std::vector<std::uint32_t> find() const {
        const auto n = static_cast<std::uint32_t>(out_.elements.size());
        enum : std::uint8_t { fresh, open, done };
        std::vector<std::uint8_t> state(n, fresh);
        struct Visit {
            std::uint32_t element;
            std::vector<std::uint32_t> reads;
        };
        std::vector<Visit> path;
        for (std::uint32_t root = 0; root < n; ++root) {
            if (state[root] != fresh || !logic_position(root)) continue;
            path.push_back({root, reads(root)});
            state[root] = open;
            while (!path.empty()) {
                if (path.back().reads.empty()) {
                    state[path.back().element] = done;
                    path.pop_back();
                    continue;
                }
                const std::uint32_t next = path.back().reads.back();
                path.back().reads.pop_back();
                if (state[next] == open) {
                    std::vector<std::uint32_t> ring;
                    auto it = std::ranges::find(path, next, &Visit::element);
                    for (; it != path.end(); ++it) ring.push_back(it->element);
                    return ring;
                }
                if (state[next] == done) continue;
                state[next] = open;
                path.push_back({next, reads(next)});
            }
        }
        return {};
    }

private:
    const Draft& d_;
    const Compiled& out_;

    bool logic_position(std::uint32_t e) const {
        const ElementInfo& info = out_.elements[e];
        return info.fitted && !info.positions.empty() && !info.memory;
    }

    /// The logic positions that decide where `e` stands.
    std::vector<std::uint32_t> reads(std::uint32_t e) const {
        std::vector<std::uint32_t> list;
        const Element& written = *out_.elements[e].element;
        if (written.follows) note(written.follows->leader, list);
        for (const Move& move : written.goes) positions_in(move.when, list);
        return list;
    }
    void note(const std::string& id, std::vector<std::uint32_t>& list) const {
        if (const std::uint32_t e = d_.element(id); e != none && logic_position(e)) list.push_back(e);
    }
    void positions_in(const Condition& c, std::vector<std::uint32_t>& list) const {
        using Op = Condition::Op;
        if (c.op == Op::at || c.op == Op::passes || c.op == Op::contact) note(c.id, list);
        for (const Condition& part : c.of) positions_in(part, list);
    }
};

}  // namespace fedfrom::detail
