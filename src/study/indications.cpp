// A reading misleads when it is not what the thing would show with its own supply and its senses in
// order. What is shown without supply counts as a reading only where the thing can show the same in order. A sensor
// that is not supplied is taken to say what its sensing ports find; a contact that follows something and has
// failed or stuck is taken to stand where what it follows would put it.
#include <fedfrom/study/indications.hpp>

#include <algorithm>

#include "copies.hpp"
#include "lamps.hpp"
#include "view.hpp"
#include "words.hpp"

namespace fedfrom {
namespace {

using namespace detail;

constexpr std::uint8_t never_read = 255;

class Reader {
public:
    explicit Reader(const Outcome& out) : out_(out), c_(out.network().compiled()), view_(out), healthy_(healthy(out.state())) {}

    Indication read(std::uint32_t e) {
        const ElementInfo& info = c_.elements[e];
        Indication it{.id = *info.id, .name = info.element->name, .status = out_.status(ElementHandle{e}), .shows = out_.shown(ElementHandle{e})};
        it.supplied = same_in(view_.worlds(), [&](std::size_t w) { return text(info, reading(info, view_.worlds(), w)); });
        it.healthy = healthy_.shown(ElementHandle{e});
        senses_.clear();
        it.sensed = same_in(view_.worlds(), [&](std::size_t w) { return text(info, sensed(info, w)); });
        const bool never = out_.state().readings()[e] == never_read;
        judge(info, it, never);
        it.reason = reason(info, it, never);
        return it;
    }

private:
    const Outcome& out_;
    const Compiled& c_;
    View view_;
    Outcome healthy_;
    std::vector<std::string> senses_;  // that have failed, of the one being read

    static std::string text(const ElementInfo& e, std::uint32_t show) { return show < e.shows.size() ? e.element->shows[show].text : std::string(); }

    void judge(const ElementInfo& e, Indication& it, bool never) const {
        const bool differs = it.shows && it.sensed && *it.shows != *it.sensed;
        if (view_.truth(e.supplied) != std::optional(false) || (e.element->unpowered == stays && !never)) {
            it.misleads = differs;
            return;
        }
        const bool unlit = shows_as_nothing(*e.element);
        if (!unlit && std::ranges::none_of(e.element->shows, [&](const Show& show) { return show.text == it.shows; })) {
            it.dark = true;
            return;
        }
        it.misleads = differs && !(unlit && it.sensed->empty());
        it.dark = it.sensed && !it.misleads;
    }

    std::uint32_t sensed(const ElementInfo& e, std::size_t w) {
        for (std::uint32_t s = 0; s < e.shows.size(); ++s)
            if (tells(e.element->shows[s].when, w)) return s;
        return none;
    }

    /// A condition as it would be with the senses it reads in order.
    bool tells(const Condition& x, std::size_t w) {
        using Op = Condition::Op;
        switch (x.op) {
            case Op::negation: return !tells(x.of.front(), w);
            case Op::all:
            case Op::any:
            case Op::at_least: {
                const auto hold = static_cast<std::size_t>(std::ranges::count_if(x.of, [&](const Condition& of) { return tells(of, w); }));
                return x.op == Op::all ? hold == x.of.size() : x.op == Op::any ? hold > 0 : hold >= static_cast<std::size_t>(x.count);
            }
            case Op::supplied: return finds(x, w);
            case Op::at:
            case Op::contact: return would_stand(x, w);
            default: return view_.holds(x, w);
        }
    }

    /// A dead sensor: whether there is something at its sensing ports.
    bool finds(const Condition& x, std::size_t w) {
        const bool holds = view_.holds(x, w);
        const ElementInfo& e = c_.elements[index_of(c_.elements, x.id)];
        if (holds || !e.fitted || e.element->kind != Kind::sensor) return holds;
        for (std::uint32_t p = e.ports.first; p < e.ports.last; ++p) {
            const std::string& port = c_.ports[p].name;
            if (port != "power" && port != "control" && port != "cooling" && !view_.worlds().read(w, c_.ports[p].supplied)) return false;
        }
        lost(e);
        return true;
    }

    /// A failed or stuck contact: whether what it follows would put it there.
    bool would_stand(const Condition& x, std::size_t w) {
        const bool holds = view_.holds(x, w);
        const std::uint32_t i = index_of(c_.elements, x.id);
        const ElementInfo& e = c_.elements[i];
        if (!e.fitted || !e.element->follows || !(view_.failed(i, "loss") || view_.failed(i, "stuck") || view_.blank(i))) return holds;
        const Follow& follow = *e.element->follows;
        const ElementInfo& leader = c_.elements[index_of(c_.elements, follow.leader)];
        if (!leader.fitted) return holds;
        bool led = false;
        for (std::uint32_t p = 0; p < leader.stands.size() && !led; ++p) {
            if (!view_.worlds().read(w, leader.stands[p])) continue;
            const auto to = follow.map.find(std::string(leader.positions[p]));
            led = x.word == (follow.map.empty() ? leader.positions[p] : to == follow.map.end() ? e.positions[e.rest] : to->second);
        }
        if (led != holds) lost(e);
        return led;
    }

    void lost(const ElementInfo& e) {
        if (std::ranges::find(senses_, called(e)) == senses_.end()) senses_.push_back(called(e));
    }

    static std::string quoted(const std::optional<std::string>& shown) { return !shown ? "what is unknown" : shown->empty() ? "nothing" : "\"" + *shown + "\""; }

    std::string reason(const ElementInfo& e, const Indication& it, bool never) const {
        const auto supplied = view_.truth(e.supplied);
        if (!supplied) return "Whether it is supplied is unknown, and so is what it shows.";
        if (!it.sensed) return "What it senses never comes to rest, so what it should show is unknown.";
        const bool frozen = e.element->unpowered == stays;
        const std::string sense = senses_.empty() ? "" : listed(senses_) + (senses_.size() == 1 ? " that it reads has" : " that it reads have") + " failed or lost supply";
        if (!*supplied) {
            std::string text = !frozen ? "It is not supplied itself and shows " + quoted(it.shows) + " whatever happens"
                             : never ? "It is not supplied itself and has no last reading to show"
                                     : "It is frozen at its last reading " + quoted(it.shows) + ", not being supplied itself";
            if (it.misleads || (it.dark && it.shows != it.sensed)) text += "; in order, it would show " + quoted(it.sensed);
            if (!sense.empty()) text += "; and " + sense;
            return text + ".";
        }
        if (sense.empty()) return {};
        return "Its sense is lost: " + sense + (it.misleads ? "; in order, it would show " + quoted(it.sensed) : "") + ".";
    }
};

Cell reading_cell(const std::optional<std::string>& text) { return text ? Cell(*text) : Cell("unknown", Mark::unknown); }

}  // namespace

Indications indications(const Outcome& outcome) {
    Indications result{.outcome = outcome};
    const Compiled& c = outcome.network().compiled();
    Reader reader(outcome);
    for (std::uint32_t e = 0; e < c.elements.size(); ++e)
        if (c.elements[e].fitted && !c.elements[e].element->shows.empty()) result.shown.push_back(reader.read(e));
    return result;
}

Table table(const Indications& indications) {
    Table t{.title = "What is shown", .captions = detail::captions(indications.outcome),
            .columns = {{"Indication"}, {"Shows"}, {"Itself supplied"}, {"In order"}, {"Healthy aircraft"}, {"Misleads or dark"}, {"Why"}}};
    for (const Indication& i : indications.shown)
        t.rows.push_back({i.name.empty() ? i.id : i.name, reading_cell(i.shows), reading_cell(i.supplied), reading_cell(i.sensed), reading_cell(i.healthy),
                          i.misleads ? Cell("misleads") : i.dark ? Cell("dark") : !i.shows || !i.sensed ? Cell("unknown", Mark::unknown) : Cell("no"), i.reason});
    t.footnotes.push_back("Itself supplied: were its own supply in order. In order: were the sensors it reads in order too. An empty cell shows nothing.");
    t.footnotes.push_back("Misleads: what is shown can be taken for a reading, and it is wrong. Dark: not supplied, and shows no reading that is wrong.");
    t.footnotes.push_back("Healthy aircraft: nothing failed or tripped, the same crew selections and givens.");
    return t;
}

std::string text(const Indications& indications) { return to_text(table(indications)); }

}  // namespace fedfrom
