#include <algorithm>

#include "validator.hpp"

namespace fedfrom::model {

namespace {

bool same_words(const Element& a, const Element& b) {
    std::vector<std::string> x = positions_of(a), y = positions_of(b);
    std::ranges::sort(x);
    std::ranges::sort(y);
    return x == y;
}

}  // namespace

void Validator::element(const At& at, std::string_view id, const Element& e) {
    group(At{at, "group"}, e.group);
    supply(at, id, e);
    position(at, id, e);
    movers(at, id, e);
    const At shows{at, "shows"};
    for (std::size_t i = 0; i < e.shows.size(); ++i) {
        const At show{shows, i};
        condition(At{show, "when"}, e.shows[i].when, Levels::forbidden);
    }
    failures(at, id, e);
    figures(at, id, e);
    if (e.holds_in && row(e.kind).conductor)
        report(At{at, "holds_in"}, "cannot_hold", in_ticks(id) + " only conducts, so it cannot hold itself in: with a tie it would live on itself without any source.",
               "Let the generator, relay or coil hold that the loop runs through.");
    if (!e.fitted && e.left == Left::unsaid && sure(id) && in_via_.contains(id))
        report(at, "left_unsaid", in_ticks(id) + " is not fitted and stands in a `via`, but does not say what is left there.",
               "Say \"left\": \"bridged\" or \"cut\".");
}

void Validator::supply(const At& at, std::string_view id, const Element& e) {
    const At inputs{at, "inputs"};
    for (const auto& [port, p] : e.inputs) {
        const At here{inputs, port};
        key(here, port);
        const bool counted = p.join == Port::Join::at_least, parallel = p.join == Port::Join::parallel;
        const At list = counted ? At{here, "of"} : parallel ? At{here, "parallel"} : here;
        for (std::size_t i = 0; i < p.feeds.size(); ++i) {
            if (!p.feeds[i].tie.empty()) placed_[p.feeds[i].tie].push_back({id, port});
            feed(At{list, i}, id, p.feeds[i]);
        }
        if (!p.feeds.empty() && !counted) continue;
        // Ties no port lists join the only port.
        std::size_t feeds = p.feeds.size();
        const auto ties = ties_at_.find(id);
        if (e.inputs.size() == 1 && ties != ties_at_.end())
            feeds += static_cast<std::size_t>(std::ranges::count_if(ties->second, [&](std::string_view tie) { return ports_of_tie(tie, id).empty(); }));
        if (feeds == 0 && sure(id)) report(here, "no_feeds", "Nothing feeds this port.", "A thing that is always supplied has no ports.");
        if (!counted) continue;
        range(At{here, "at_least"}, p.count, 1, largest);
        if (p.count > 0 && static_cast<std::size_t>(p.count) > feeds && feeds > 0 && sure(id))
            report(At{here, "at_least"}, "too_few", "At least " + std::to_string(p.count) + " are asked for, of " + std::to_string(feeds) + ".");
    }
    if (e.needs) condition(At{at, "needs"}, *e.needs, Levels::forbidden);
    if (is_one_way(e) && !e.inputs.empty() && sure(id))
        report(inputs, "one_way_misused", in_ticks(id) + " is " + std::string(row(e.kind).name) + " and has no ports: it stands in the `via` of a feed.");
}

void Validator::feed(const At& at, std::string_view id, const Feed& f) {
    if (!f.tie.empty()) {
        if (!f.from.empty() || !f.via.empty())
            return report(at, "not_both", "A feed is `from` an element or the place of a `tie`, not both.");
        const At here{at, "tie"};
        if (!known(here, f.tie, Collection::tie)) return;
        const Tie& t = m_.ties.find(f.tie)->second;
        if (sure(f.tie) && t.between.first != id && t.between.second != id)
            return report(here, "tie_not_here", in_ticks(id) + " is not an end of the tie " + in_ticks(f.tie) + ".",
                          "It is between " + in_ticks(t.between.first) + " and " + in_ticks(t.between.second) + ".");
        return;
    }
    // The short form, `"id"`, has its pointer at the feed itself.
    const At from = f.via.empty() ? at : At{at, "from"};
    const At& here = f.via.empty() ? at : from;
    if (const Index::Entry* e = known_next(feeds_trail_, here, f.from); e && e->only_has_position && sure(f.from))
        report(here, "bare_position", in_ticks(f.from) + (e->one_way ? " only lets supply through" : " only has a position") + " and supplies nothing.",
               "Put it in the `via` of a feed.");
    via(At{at, "via"}, f.via, false);
}

void Validator::position(const At& at, std::string_view id, const Element& e) {
    const At positions{at, "positions"};
    words_list(positions, e.positions);
    if (e.positions.size() > most_positions)
        return report(positions, "out_of_range", std::to_string(e.positions.size()) + " positions are too many.",
                      "At most " + std::to_string(most_positions) + " are allowed.");
    for (std::size_t i = 0; i < e.positions.size(); ++i)
        if (e.positions[i] == stays) report(At{positions, i}, "reserved_word", "`stays` cannot be a position: `without` uses the word.");
    const At passes_in{at, "passes_in"};
    words_list(passes_in, e.passes_in);
    if (!sure(id)) return;

    if (is_one_way(e)) {
        if (!e.positions.empty()) report(positions, "one_way_misused", in_ticks(id) + " passes one way, always; it has no positions.", "A valve has positions.");
        return;
    }
    if (row(e.kind).contacts && !has_positions(e))
        report(at, "no_positions", in_ticks(id) + " is a " + std::string(row(e.kind).name) + " without `positions`.");
    if (e.protects && !has_positions(e))
        report(At{at, "protects"}, "no_positions", in_ticks(id) + " cannot trip: it has no positions.");
    if (!e.rest.empty()) position_word(At{at, "rest"}, id, e, e.rest);
    for (std::size_t i = 0; i < e.passes_in.size(); ++i) position_word(At{passes_in, i}, id, e, e.passes_in[i]);

    const At without{at, "without"};
    std::set<std::string_view> ports;
    for (std::size_t i = 0; i < e.without.size(); ++i) {
        const At here{without, i};
        if (e.without[i].position == stays) {
            if (!has_positions(e)) report(At{here, 1}, "no_positions", in_ticks(id) + " has no positions.");
        } else {
            position_word(At{here, 1}, id, e, e.without[i].position);
        }
        port_of(At{here, 0}, id, e, e.without[i].port);
        if (!ports.insert(e.without[i].port).second)
            report(At{here, 0}, "duplicate_port", "The port " + in_ticks(e.without[i].port) + " is here twice.");
    }
    if (has_positions(e) && !e.inputs.empty() && !has_without(e))
        report(at, "no_without", in_ticks(id) + " has ports and positions but does not say what it does when a port is not supplied.",
               "For example \"without\": [[\"" + e.inputs.begin()->first + "\", \"stays\"]].");
}

void Validator::movers(const At& at, std::string_view id, const Element& e) {
    const At follows{at, "follows"}, goes{at, "goes"};
    if (e.follows && !e.goes.empty()) report(goes, "two_movers", in_ticks(id) + " has `follows` and `goes`.", "One of them moves it.");
    if (e.reach && *e.reach == Reach::nobody)
        report(At{at, "reach"}, "bad_word", "`nobody` is not a word for `reach`.", "Leave the key out.");
    else if (e.reach && (e.follows || !e.goes.empty()))
        report(At{at, "reach"}, "two_movers", in_ticks(id) + " has `reach` and " + (e.follows ? "`follows`." : "`goes`."),
               "The crew, another element, or conditions move it; give the crew a switch of its own.");
    if (!has_positions(e) && sure(id) && !is_one_way(e)) {
        for (const auto& [key_text, given] : {std::pair{"rest", false}, {"reach", e.reach.has_value()}, {"follows", e.follows.has_value()}, {"goes", !e.goes.empty()}})
            if (given) report(At{at, key_text}, "no_positions", in_ticks(id) + " has no positions.", "List them in `positions`.");
    }
    for (std::size_t i = 0; i < e.goes.size(); ++i) {
        const At move{goes, i};
        if (has_positions(e)) position_word(At{move, "to"}, id, e, e.goes[i].to);
        condition(At{move, "when"}, e.goes[i].when, Levels::forbidden);
    }
    if (!e.follows) return;
    const Follow& f = *e.follows;
    const At leader_at{follows, f.leader};
    const At& where = f.map.empty() ? follows : leader_at;
    if (f.leader == id) return report(where, "follows_itself", in_ticks(id) + " follows itself.");
    const Element* leader = known_element(where, f.leader);
    if (!leader || !sure(f.leader) || !sure(id)) return;
    if (!has_positions(*leader)) return report(where, "no_positions", in_ticks(f.leader) + " has no positions to follow.");
    if (f.map.empty() && has_positions(e) && !same_words(e, *leader))
        report(where, "words_differ", in_ticks(f.leader) + " has " + listed(positions_of(*leader)) + ", " + in_ticks(id) + " has " + listed(positions_of(e)) + ".",
               "Map them: {\"" + f.leader + "\": {\"" + rest_of(*leader) + "\": \"" + rest_of(e) + "\", …}}.");
    for (const auto& [theirs, own] : f.map) {
        const At here{leader_at, theirs};
        position_word(here, f.leader, *leader, theirs);
        if (has_positions(e)) position_word(here, id, e, own);
    }
}

void Validator::failures(const At& at, std::string_view id, const Element& e) {
    const At all{at, "failures"};
    if (!e.fallible && !e.failures.empty())
        report(all, "mode_misused", in_ticks(id) + " is marked `fallible: false` and has failures.");
    for (const auto& [mode, f] : e.failures) {
        const At here{all, mode};
        key(here, mode);
        likelihood(here, f.rate, f.probability, "A failure");
        if (f.hidden_for) range(At{here, "hidden_for"}, *f.hidden_for, 0, largest);
        if (!f.at.empty() && mode != "stuck") report(At{here, "at"}, "mode_misused", "`at` goes with `stuck` only.");
        if (!f.fluid.empty() && mode != "leak") report(At{here, "fluid"}, "mode_misused", "`fluid` goes with `leak` only.");
        if (!sure(id)) continue;
        if (mode == "stuck" && !has_positions(e)) report(here, "mode_misused", in_ticks(id) + " has no positions to be stuck in.");
        else if (mode == "stuck" && !f.at.empty()) position_word(At{here, "at"}, id, e, f.at);
        if (mode == "contacts" && !has_positions(e)) report(here, "mode_misused", in_ticks(id) + " has no positions, so it has no contacts to fail.");
        if (mode == "no_trip" && !protects(e)) report(here, "mode_misused", in_ticks(id) + " does not protect, so it cannot fail to trip.");
    }
    if (has_failure_mode(e, "leak") && sure(id)) leak(at, id, e);
    if (!e.protects) return;
    const At protection{at, "protects"};
    if (e.protects->needs) condition(At{protection, "needs"}, *e.protects->needs, Levels::forbidden);
    if (e.protects->resets) range(At{protection, "resets"}, *e.protects->resets, 0, most_resets);
    if (e.protects->reset_by == Reach::nobody)
        report(At{protection, "reset_by"}, "bad_word", "`nobody` is not a word for `reset_by`.", "Say \"resets\": 0.");
}

void Validator::leak(const At& at, std::string_view id, const Element& e) {
    if (!fluids_) fluids_ = fluids_of(m_);
    const auto carried = fluids_->find(std::string(id));
    const std::vector<std::string> fluids = carried == fluids_->end() ? std::vector<std::string>{} : std::vector<std::string>(carried->second.begin(), carried->second.end());
    const At all{at, "failures"};
    const At here{all, "leak"};
    const auto own = e.failures.find("leak");
    const std::string fluid = own == e.failures.end() ? std::string() : own->second.fluid;
    const At fluid_at{here, "fluid"};
    if (!fluid.empty() && std::ranges::find(fluids, fluid) == fluids.end())
        report(fluid_at, "leak_fluid", in_ticks(id) + " carries no " + in_ticks(fluid) + ".", fluids.empty() ? "It carries no fluid." : "It carries " + listed(fluids) + ".");
    else if (fluids.empty() && own != e.failures.end())
        report(here, "leak_fluid", in_ticks(id) + " carries no fluid that could leak.", "The names of ports say what it carries; `media` adds names.");
    else if (fluid.empty() && fluids.size() > 1)
        report(own == e.failures.end() ? at : here, "leak_fluid", in_ticks(id) + " carries " + listed(fluids) + "; which one leaks is not said.",
               "Say \"failures\": {\"leak\": {\"fluid\": \"" + fluids.front() + "\"}}.");
}

void Validator::port_of(const At& at, std::string_view id, const Element& e, std::string_view port) {
    if (e.inputs.contains(port)) return;
    std::vector<std::string> names;
    for (const auto& [name, unused] : e.inputs) names.push_back(name);
    report(at, "unknown_port", in_ticks(id) + " has no port " + in_ticks(port) + ".", names.empty() ? "It has none." : "It has " + listed(names) + ".");
}

void Validator::figures(const At& at, std::string_view id, const Element& e) {
    range(At{at, "after_s"}, e.after_s, 0, largest);
    range(At{at, "spin_up_s"}, e.spin_up_s, 0, largest);
    range(At{at, "run_down_s"}, e.run_down_s, 0, largest);
    const At runs{at, "runs_without_s"};
    for (const auto& [port, seconds] : e.runs_without_s) {
        const At here{runs, port};
        port_of(here, id, e, port);
        range(here, seconds, 0, largest);
    }
    const At rating{at, "rating"};
    for (const auto& [name, value] : e.rating) {
        const At here{rating, name};
        constexpr std::array<std::string_view, 8> known_names{"amps", "volts", "watts", "volt_amperes", "efficiency", "power_factor", "psi", "litres_per_minute"};
        if (std::ranges::find(known_names, name) == known_names.end()) report(here, "unknown_key", "The key " + in_ticks(name) + " means nothing here.");
        const bool part = name == "efficiency" || name == "power_factor";
        range(here, value, part ? least_part : 0, part ? 1 : largest);
    }
    const auto figure = [&](const At& above, std::string_view name, const auto& value, double high = largest, double low = 0) {
        if (value) range(At{above, name}, static_cast<double>(*value), low, high);
    };
    const At loads{at, "loads"};
    for (const auto& [name, load] : e.loads) {
        const At here{loads, name};
        key(here, name);
        figure(here, "amps", load.amps);
        figure(here, "watts", load.watts);
        figure(here, "volt_amperes", load.volt_amperes);
        figure(here, "power_factor", load.power_factor, 1, least_part);
        figure(here, "duty_s", load.duty_s);
        figure(here, "inrush_amps", load.inrush_amps);
        if (load.amps.has_value() + load.watts.has_value() + load.volt_amperes.has_value() > 1)
            report(here, "not_both", "A load is in `amps`, `watts` or `volt_amperes`, not in two of them.", "The voltage in `rating` of what feeds it converts one to the others.");
    }
    if (e.wire) {
        const At wire{at, "wire"};
        if (std::ranges::find(wire_gauges, e.wire->gauge) == wire_gauges.end())
            report(At{wire, "gauge"}, "bad_word", in_ticks(e.wire->gauge) + " is no wire gauge.", "It is a word, \"24\" to \"0000\".");
        figure(wire, "feet", e.wire->feet);
    }
    if (!e.store) return;
    const At store{at, "store"};
    figure(store, "amp_hours", e.store->amp_hours);
    figure(store, "litres", e.store->litres);
    figure(store, "precharge_psi", e.store->precharge_psi);
    figure(store, "max_psi", e.store->max_psi);
    figure(store, "min_psi", e.store->min_psi);
    figure(store, "litres_per_application", e.store->litres_per_application);
    figure(store, "applications", e.store->applications, most_applications);
    if (!e.store->charger.empty()) known_element(At{store, "charger"}, e.store->charger);
}

}  // namespace fedfrom::model
