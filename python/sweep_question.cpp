#include "sweep_question.hpp"

#include "watch.hpp"

#include <algorithm>

namespace fedfrom::python {

namespace {

bool same_question(const Swept& a, const Swept& b) {
    return a.options.order == b.options.order && a.options.all == b.options.all && a.options.one_mode_an_element == b.options.one_mode_an_element &&
           a.options.goals == b.options.goals && a.result.events == b.result.events && a.before.state() == b.before.state();
}

std::string shard_text(const Swept& s) { return "Shard " + std::to_string(s.options.shard) + " of " + std::to_string(s.options.shards); }

/// 17 bytes a hit, in this machine's order of bytes, without the gaps between.
py::bytes packed(const std::vector<SweepHit>& hits) {
    std::string bytes;
    bytes.reserve(17 * hits.size());
    const auto put = [&](const auto& value) { bytes.append(reinterpret_cast<const char*>(&value), sizeof value); };
    for (const SweepHit& hit : hits) {
        put(hit.events);
        put(hit.goal);
        put(hit.level);
    }
    return bytes;
}

std::vector<SweepHit> unpacked(std::string_view bytes) {
    std::vector<SweepHit> hits(bytes.size() / 17);
    const auto get = [&](auto& value) {
        std::copy_n(bytes.data(), sizeof value, reinterpret_cast<char*>(&value));
        bytes.remove_prefix(sizeof value);
    };
    for (SweepHit& hit : hits) {
        get(hit.events);
        get(hit.goal);
        get(hit.level);
    }
    return hits;
}

using Numbers = std::vector<std::uint32_t>;

Numbers numbers(const std::vector<Event>& events) {
    Numbers list;
    for (const Event& e : events) list.insert(list.end(), {static_cast<std::uint32_t>(e.kind), e.index, e.value});
    return list;
}

std::vector<Event> events_of(const Numbers& numbers) {
    std::vector<Event> list;
    for (std::size_t i = 0; i + 2 < numbers.size(); i += 3) list.push_back({static_cast<Event::Kind>(numbers[i]), numbers[i + 1], numbers[i + 2]});
    return list;
}

/// Handles are the same for the same model in every process, and the state brings its model along.
py::tuple options_out(const SweepOptions& o) {
    Numbers goals;
    for (const FunctionHandle goal : o.goals) goals.push_back(goal.index);
    return py::make_tuple(o.order, numbers(o.events), goals, o.all, o.one_mode_an_element, o.threads, o.shard, o.shards, o.seconds);
}

SweepOptions options_in(const py::tuple& t) {
    SweepOptions o{.order = t[0].cast<int>(), .events = events_of(t[1].cast<Numbers>())};
    for (const std::uint32_t goal : t[2].cast<Numbers>()) o.goals.push_back({goal});
    o.all = t[3].cast<bool>();
    o.one_mode_an_element = t[4].cast<bool>();
    o.threads = t[5].cast<unsigned>();
    o.shard = t[6].cast<std::uint32_t>();
    o.shards = t[7].cast<std::uint32_t>();
    o.seconds = t[8].cast<double>();
    return o;
}

}  // namespace

Swept run(const SweepShard& shard, const py::object& progress) {
    Watch watch(progress);
    SweepOptions options = shard.options;
    options.instructions = shard.instructions.value_or(best_instruction_set());
    auto swept = [&] {
        const py::gil_scoped_release released;  // the watch takes it back for its moments
        SweepOptions watched = options;
        watched.progress = [&watch](double part) { return watch(part); };
        const Sweep sweep(shard.from, std::move(watched));
        return Swept{sweep.before(), std::move(options), sweep.run()};
    }();
    watch.end(swept.result.complete);
    return swept;
}

Swept joined(const std::vector<const Swept*>& shards) {
    if (shards.empty()) throw py::value_error("There are no shards to join.");
    std::vector<const Swept*> sorted = shards;
    std::ranges::stable_sort(sorted, {}, [](const Swept* s) { return s->options.shard; });
    const std::uint32_t of = sorted.front()->options.shards;
    for (std::size_t i = 0; i < sorted.size(); ++i) {
        const Swept& s = *sorted[i];
        if (s.options.shards != of || !same_question(s, *sorted.front())) throw py::value_error("These are not the shards of one sweep.");
        if (i > 0 && s.options.shard == sorted[i - 1]->options.shard) throw py::value_error(shard_text(s) + " is there twice.");
    }
    for (std::uint32_t i = 0; i < of; ++i)
        if (i >= sorted.size() || sorted[i]->options.shard != i) throw py::value_error("Shard " + std::to_string(i) + " of " + std::to_string(of) + " is missing; shards count from 0.");
    return joined_as_far(sorted);
}

Swept joined_as_far(const std::vector<const Swept*>& shards) {
    std::vector<SweepResult> results;
    for (const Swept* s : shards) results.push_back(s->result);
    Swept all{shards.front()->before, shards.front()->options, join(results)};
    if (shards.size() < all.options.shards) {
        all.result.complete = false;
        all.result.complete_to = 0;
    }
    all.options.shard = 0;
    all.options.shards = 1;
    return all;
}

bool same(const Swept& a, const Swept& b) {
    SweepResult counted = b.result;  // but for the work it took, which is no part of the answer
    counted.evaluated = a.result.evaluated;
    return a.options.shard == b.options.shard && a.options.shards == b.options.shards && a.result == counted && same_question(a, b);
}

py::tuple pickled(const SweepShard& s) {
    return py::make_tuple(s.from, options_out(s.options), s.instructions ? py::object(py::int_(static_cast<int>(*s.instructions))) : py::object(py::none()));
}

SweepShard shard_from(const py::tuple& kept) {
    SweepShard s{kept[0].cast<State>(), options_in(kept[1].cast<py::tuple>())};
    if (!kept[2].is_none()) s.instructions = static_cast<InstructionSet>(kept[2].cast<int>());
    return s;
}

py::tuple pickled(const Swept& s) {
    const SweepResult& r = s.result;
    return py::make_tuple(s.before.state(), options_out(s.options), numbers(r.events), packed(r.hits), r.inert, r.combinations, r.alone, r.evaluated, r.complete, r.complete_to);
}

Swept swept_from(const py::tuple& kept) {
    auto state = kept[0].cast<State>();
    Swept s{settle(state), options_in(kept[1].cast<py::tuple>())};
    s.result.events = events_of(kept[2].cast<Numbers>());
    s.result.hits = unpacked(std::string_view(kept[3].cast<py::bytes>()));
    s.result.inert = kept[4].cast<std::uint32_t>();
    s.result.combinations = kept[5].cast<std::uint64_t>();
    s.result.alone = kept[6].cast<std::uint64_t>();
    s.result.evaluated = kept[7].cast<std::uint64_t>();
    s.result.complete = kept[8].cast<bool>();
    s.result.complete_to = kept[9].cast<int>();
    return s;
}

}  // namespace fedfrom::python
