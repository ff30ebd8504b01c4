#include <fedfrom/model/nearest.hpp>

#include "read_parts.hpp"

namespace fedfrom::io {

namespace {

void read_kind(Reader& r, Kind& out) {
    if (r.peek() != '"') return r.wrong("a kind");
    const std::size_t offset = r.next_offset();
    std::string name;
    r.text(name);
    if (const std::optional<Kind> kind = kind_named(name)) {
        out = *kind;
        return;
    }
    std::vector<std::string_view> names;
    for (const KindRow& row : kind_table) names.push_back(row.name);
    const std::string near = nearest(name, names);
    r.report(offset, "bad_word", "`" + name + "` is not a kind.",
             near.empty() ? "`consumer` is the kind without defaults." : "Did you mean `" + near + "`?");
}

void read_reach(Reader& r, std::optional<Reach>& out) {
    const std::string word = r.choice({"cockpit", "cabin", "ground"});
    for (const Reach reach : {Reach::cockpit, Reach::cabin, Reach::ground})
        if (name_of(reach) == word) out = reach;
}

void read_feed(Reader& r, Feed& out) {
    static constexpr Field<Feed> fields[] = {
        {"from", [](Reader& in, Feed& f) { in.id(f.from); }},
        {"via", [](Reader& in, Feed& f) { read_devices(in, f.via); }},
        {"tie", [](Reader& in, Feed& f) { in.id(f.tie); }},
    };
    if (r.peek() == '"') return r.id(out.from);
    const std::size_t start = r.next_offset();
    const bool is_object = r.peek() == '{';
    const std::uint64_t seen = r.record(out, fields, "a feed");
    const bool from = seen & 1, via = seen & 2, tie = seen & 4;
    if (tie && (from || via))
        r.report(start, "not_both", "A feed is `from` an element or the place of a `tie`, not both.");
    else if (is_object && !tie && !from)
        r.report(start, "missing_key", "A feed needs `from` or `tie`.");
}

void read_feeds(Reader& r, std::vector<Feed>& out) {
    r.list(out, "a list of feeds", [&](Feed& f) { read_feed(r, f); });
}

void read_port(Reader& r, Port& out) {
    if (r.peek() == '[') return read_feeds(r, out.feeds);
    static constexpr Field<Port> fields[] = {
        {"at_least", [](Reader& in, Port& p) {
             p.join = Port::Join::at_least;
             in.whole(p.count);
         }},
        {"of", [](Reader& in, Port& p) { read_feeds(in, p.feeds); }},
        {"parallel", [](Reader& in, Port& p) {
             p.join = Port::Join::parallel;
             read_feeds(in, p.feeds);
         }},
    };
    const std::size_t start = r.next_offset();
    const bool is_object = r.peek() == '{';
    const std::uint64_t seen = r.record(out, fields, "a port (a list of feeds)");
    if (!is_object) return;
    const bool at_least = seen & 1, of = seen & 2, parallel = seen & 4;
    if (parallel && (at_least || of))
        r.report(start, "not_both", "A port is `parallel` or `at_least` so many, not both.");
    else if (!parallel && at_least != of)
        r.report(start, "missing_key", at_least ? "`at_least` needs `of` beside it." : "`of` needs `at_least` beside it.");
    else if (!parallel && !at_least)
        r.report(start, "missing_key", "A port needs `parallel`, or `at_least` and `of`.", "A plain list gives alternatives in order.");
}

void read_follow(Reader& r, Rare<Follow>& out) {
    Follow follow;
    if (r.peek() == '"') {
        r.id(follow.leader);
    } else {
        const auto read_map = [&](std::string_view leader) {
            r.check_id(leader, r.key_offset());
            follow.leader = leader;
            const std::size_t start = r.next_offset();
            const bool is_object = r.members("the leader's positions and its own, {\"OUT\": \"extended\"},", [&](std::string_view position) {
                const auto [place, is_new] = follow.map.try_emplace(std::string(position));
                if (is_new && !position.empty() && characters(position) <= longest_id) return r.word(place->second);
                if (is_new) r.report(r.key_offset(), "bad_word", "A position word is empty or too long.");
                else r.report(r.key_offset(), "duplicate_key", "The key `" + std::string(position) + "` is here twice.", "The first one is used; remove one.");
                r.skip();
            });
            if (is_object && follow.map.empty())
                r.report(start, "empty_list", "No position is mapped.", "Write the leader's id alone to take the same positions.");
        };
        if (!read_only_member(r, "the leader, as \"id\" or {\"id\": {\"OUT\": \"extended\"}},", read_map)) return;
    }
    out = std::move(follow);
}

void read_move(Reader& r, Move& out) {
    static constexpr Field<Move> fields[] = {
        {"to", [](Reader& in, Move& m) { in.word(m.to); }, true},
        {"when", [](Reader& in, Move& m) { read_condition(in, m.when); }, true},
    };
    r.record(out, fields, "a move, {\"to\": \"POS\", \"when\": …},");
}

void read_without(Reader& r, Without& out) {
    const std::size_t start = r.next_offset();
    std::size_t n = 0;
    const bool is_list = r.items("a port and a position, [\"power\", \"closed\"],", [&] {
        if (n == 0) r.id(out.port);
        else if (n == 1) r.word(out.position);
        else r.skip();
        ++n;
    });
    if (is_list && n != 2) r.report(start, "wrong_type", "A port and a position are needed here, two words.", "For example [\"power\", \"closed\"].");
}

void read_show(Reader& r, Show& out) {
    static constexpr Field<Show> fields[] = {
        {"text", [](Reader& in, Show& s) { in.text(s.text); }, true},
        {"when", [](Reader& in, Show& s) { read_condition(in, s.when); }, true},
    };
    r.record(out, fields, "what it shows, {\"text\": \"lit\", \"when\": …},");
}

void read_failure_mode(Reader& r, FailureMode& out) {
    static constexpr Field<FailureMode> fields[] = {
        {"rate", [](Reader& in, FailureMode& f) { in.number(f.rate); }},
        {"probability", [](Reader& in, FailureMode& f) { in.number(f.probability); }},
        {"hidden_for", [](Reader& in, FailureMode& f) { in.number(f.hidden_for); }},
        {"at", [](Reader& in, FailureMode& f) { in.word(f.at); }},
        {"fluid", [](Reader& in, FailureMode& f) { in.id(f.fluid); }},
    };
    r.record(out, fields, "a failure mode, {} or {\"rate\": …},");
}

void read_protection(Reader& r, Rare<Protection>& out) {
    static constexpr Field<Protection> fields[] = {
        {"needs", [](Reader& in, Protection& p) { read_condition(in, p.needs.emplace()); }},
        {"resets", [](Reader& in, Protection& p) { in.whole(p.resets); }},
        {"reset_by", [](Reader& in, Protection& p) { read_reach(in, p.reset_by); }},
    };
    if (r.peek() == 't') {
        bool yes = false;
        r.boolean(yes);
        out.emplace();
    } else if (r.peek() == '{') {
        r.record(out.emplace(), fields, "a protection");
    } else {
        r.wrong("true or {\"needs\": …, \"resets\": …, \"reset_by\": …}");
    }
}

void read_rating(Reader& r, SmallMap<double>& out) {
    using Rating = SmallMap<double>;
    static constexpr Field<Rating> fields[] = {
        {"amps", [](Reader& in, Rating& m) { in.number(m["amps"]); }},
        {"volts", [](Reader& in, Rating& m) { in.number(m["volts"]); }},
        {"watts", [](Reader& in, Rating& m) { in.number(m["watts"]); }},
        {"volt_amperes", [](Reader& in, Rating& m) { in.number(m["volt_amperes"]); }},
        {"efficiency", [](Reader& in, Rating& m) { in.number(m["efficiency"]); }},
        {"power_factor", [](Reader& in, Rating& m) { in.number(m["power_factor"]); }},
        {"psi", [](Reader& in, Rating& m) { in.number(m["psi"]); }},
        {"litres_per_minute", [](Reader& in, Rating& m) { in.number(m["litres_per_minute"]); }},
    };
    r.record(out, fields, "a rating, {\"amps\": 300},");
}

void read_load(Reader& r, Load& out) {
    static constexpr Field<Load> fields[] = {
        {"amps", [](Reader& in, Load& l) { in.number(l.amps); }},
        {"watts", [](Reader& in, Load& l) { in.number(l.watts); }},
        {"volt_amperes", [](Reader& in, Load& l) { in.number(l.volt_amperes); }},
        {"power_factor", [](Reader& in, Load& l) { in.number(l.power_factor); }},
        {"duty_s", [](Reader& in, Load& l) { in.number(l.duty_s); }},
        {"inrush_amps", [](Reader& in, Load& l) { in.number(l.inrush_amps); }},
    };
    r.record(out, fields, "a load, {\"amps\": 4},");
}

void read_store(Reader& r, Rare<Store>& out) {
    static constexpr Field<Store> fields[] = {
        {"amp_hours", [](Reader& in, Store& s) { in.number(s.amp_hours); }},
        {"litres", [](Reader& in, Store& s) { in.number(s.litres); }},
        {"precharge_psi", [](Reader& in, Store& s) { in.number(s.precharge_psi); }},
        {"max_psi", [](Reader& in, Store& s) { in.number(s.max_psi); }},
        {"min_psi", [](Reader& in, Store& s) { in.number(s.min_psi); }},
        {"litres_per_application", [](Reader& in, Store& s) { in.number(s.litres_per_application); }},
        {"applications", [](Reader& in, Store& s) { in.whole(s.applications); }},
        {"charger", [](Reader& in, Store& s) { in.id(s.charger); }},
    };
    r.record(out.emplace(), fields, "a store, {\"amp_hours\": 44},");
}

void read_wire(Reader& r, Rare<Wire>& out) {
    static constexpr Field<Wire> fields[] = {
        {"gauge", [](Reader& in, Wire& w) { w.gauge = in.choice(wire_gauges); }, true},
        {"feet", [](Reader& in, Wire& w) { in.number(w.feet); }},
    };
    r.record(out.emplace(), fields, "a wire, {\"gauge\": \"20\", \"feet\": 12},");
}

void read_left(Reader& r, Left& out) {
    const std::string word = r.choice({"bridged", "cut"});
    if (word == "bridged") out = Left::bridged;
    if (word == "cut") out = Left::cut;
}

/// At least one, as an empty list would be read as "nothing said".
void read_withouts(Reader& r, std::vector<Without>& out) {
    const std::size_t start = r.next_offset();
    const bool is_list = r.peek() == '[';
    r.list(out, "a list of ports and positions", [&](Without& w) { read_without(r, w); });
    if (is_list && out.empty()) r.report(start, "empty_list", "This list is empty.", "Leave the key out for what the kind gives.");
}

constexpr Field<Element> element_fields[] = {
    {"kind", [](Reader& r, Element& e) { read_kind(r, e.kind); }, true},
    {"name", [](Reader& r, Element& e) { r.text(e.name); }},
    {"aliases", [](Reader& r, Element& e) { read_texts(r, e.aliases); }},
    {"group", [](Reader& r, Element& e) { r.text(e.group); }},
    {"ata", [](Reader& r, Element& e) { r.text(e.ata); }},
    {"zone", [](Reader& r, Element& e) { r.text(e.zone); }},
    {"inputs", [](Reader& r, Element& e) { r.keyed(e.inputs, "ports", [&](Port& p) { read_port(r, p); }); }},
    {"needs", [](Reader& r, Element& e) { read_condition(r, e.needs.emplace()); }},
    {"positions", [](Reader& r, Element& e) { read_words(r, e.positions); }},
    {"rest", [](Reader& r, Element& e) { r.word(e.rest); }},
    {"reach", [](Reader& r, Element& e) { read_reach(r, e.reach); }},
    {"follows", [](Reader& r, Element& e) { read_follow(r, e.follows); }},
    {"goes", [](Reader& r, Element& e) { r.list(e.goes, "a list of moves", [&](Move& m) { read_move(r, m); }); }},
    {"without", [](Reader& r, Element& e) { read_withouts(r, e.without); }},
    {"passes_in", [](Reader& r, Element& e) { read_words(r, e.passes_in); }},
    {"protects", [](Reader& r, Element& e) { read_protection(r, e.protects); }},
    {"shows", [](Reader& r, Element& e) { r.list(e.shows, "a list of what it shows", [&](Show& s) { read_show(r, s); }); }},
    {"unpowered", [](Reader& r, Element& e) { r.text(e.unpowered); }},
    {"failures", [](Reader& r, Element& e) { r.keyed(e.failures, "failure modes", [&](FailureMode& f) { read_failure_mode(r, f); }); }},
    {"fallible", [](Reader& r, Element& e) { r.boolean(e.fallible); }},
    {"holds_in", [](Reader& r, Element& e) { r.boolean(e.holds_in); }},
    {"after_s", [](Reader& r, Element& e) { r.number(e.after_s); }},
    {"spin_up_s", [](Reader& r, Element& e) { r.number(e.spin_up_s); }},
    {"run_down_s", [](Reader& r, Element& e) { r.number(e.run_down_s); }},
    {"runs_without_s", [](Reader& r, Element& e) { r.keyed(e.runs_without_s, "seconds by port", [&](double& s) { r.number(s); }); }},
    {"rating", [](Reader& r, Element& e) { read_rating(r, e.rating); }},
    {"loads", [](Reader& r, Element& e) { r.keyed(e.loads, "loads by operating condition", [&](Load& l) { read_load(r, l); }); }},
    {"store", [](Reader& r, Element& e) { read_store(r, e.store); }},
    {"wire", [](Reader& r, Element& e) { read_wire(r, e.wire); }},
    {"fitted", [](Reader& r, Element& e) { r.boolean(e.fitted); }},
    {"left", [](Reader& r, Element& e) { read_left(r, e.left); }},
};

}  // namespace

void read_element(Reader& r, Element& out) { r.record(out, element_fields, "an element"); }

void read_tie(Reader& r, Tie& out) {
    static constexpr Field<Tie> fields[] = {
        {"between", [](Reader& in, Tie& t) {
             const std::size_t start = in.next_offset();
             std::size_t n = 0;
             const bool is_list = in.items("two ids", [&] {
                 if (n == 0) in.id(t.between.first);
                 else if (n == 1) in.id(t.between.second);
                 else in.skip();
                 ++n;
             });
             if (is_list && n != 2) in.report(start, "wrong_type", "A tie is between two elements, not " + std::to_string(n) + ".");
         }, true},
        {"via", [](Reader& in, Tie& t) { read_devices(in, t.via); }},
        {"name", [](Reader& in, Tie& t) { in.text(t.name); }},
    };
    r.record(out, fields, "a tie");
}

}  // namespace fedfrom::io
