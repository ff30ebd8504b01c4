#include <fedfrom/io/write.hpp>

#include <array>
#include <charconv>
#include <cmath>
#include <fstream>

#include <nlohmann/json.hpp>

#include <fedfrom/model/diagnostic.hpp>
#include <fedfrom/model/element.hpp>

#include "layout.hpp"
#include "parse.hpp"
#include "utf8.hpp"

namespace fedfrom {

namespace {

[[noreturn]] void cannot_write(std::string code, std::string message) {
    throw ModelError({{std::move(code), "", std::move(message), "", {}, 0, 0}});
}

/// Compact JSON, piece by piece.
class Writer {
public:
    std::string take() { return std::move(out_); }

    void text(std::string_view s) {
        if (io::find_invalid_utf8(s) != std::string_view::npos) cannot_write("encoding", "A text of the model is not UTF-8.");
        out_ += '"';
        for (const char c : s) {
            switch (c) {
                case '"': out_ += "\\\""; break;
                case '\\': out_ += "\\\\"; break;
                case '\b': out_ += "\\b"; break;
                case '\f': out_ += "\\f"; break;
                case '\n': out_ += "\\n"; break;
                case '\r': out_ += "\\r"; break;
                case '\t': out_ += "\\t"; break;
                default:
                    if (static_cast<unsigned char>(c) < 0x20) {
                        constexpr std::string_view digits = "0123456789abcdef";
                        out_ += "\\u00";
                        out_ += digits[static_cast<unsigned char>(c) >> 4];
                        out_ += digits[c & 0xF];
                    } else {
                        out_ += c;
                    }
            }
        }
        out_ += '"';
    }
    void boolean(bool b) { out_ += b ? "true" : "false"; }
    void whole(int n) { out_ += std::to_string(n); }
    /// The shortest digits that read back as the same number.
    void number(double x) {
        if (!std::isfinite(x)) cannot_write("out_of_range", "A number of the model is not finite.");
        std::array<char, 40> digits{};
        std::string_view s(digits.data(), static_cast<std::size_t>(std::to_chars(digits.data(), digits.data() + digits.size(), x).ptr - digits.data()));
        // 1e-04 is written 1e-4
        const std::size_t e = s.find('e');
        if (e == std::string_view::npos) {
            out_ += s;
            return;
        }
        out_ += s.substr(0, e + 1);
        s.remove_prefix(e + 1);
        if (s.front() == '-') out_ += '-';
        s.remove_prefix(1);
        s.remove_prefix(std::min(s.find_first_not_of('0'), s.size() - 1));
        out_ += s;
    }
    void raw(std::string_view json) { out_ += json; }

    template <class Items, class Write>
    void list(const Items& items, Write write) {
        out_ += '[';
        bool first = true;
        for (const auto& item : items) {
            if (!std::exchange(first, false)) out_ += ',';
            write(item);
        }
        out_ += ']';
    }
    void texts(const std::vector<std::string>& items) {
        list(items, [&](const std::string& s) { text(s); });
    }
    template <class Map, class Write>
    void keyed(const Map& map, Write write) {
        object([&] {
            for (const auto& [id, value] : map) {
                key(id);
                write(value);
            }
        });
    }

    /// An object whose members `body` writes, each with `key` first.
    template <class Body>
    void object(Body body) {
        out_ += '{';
        const bool outer = std::exchange(first_, true);
        body();
        first_ = outer;
        out_ += '}';
    }
    void key(std::string_view name) {
        if (!std::exchange(first_, false)) out_ += ',';
        text(name);
        out_ += ':';
    }

    // members left out where they say nothing
    void member(std::string_view name, const std::string& value) {
        if (!value.empty()) key(name), text(value);
    }
    void member(std::string_view name, const std::vector<std::string>& value) {
        if (!value.empty()) key(name), texts(value);
    }
    void member(std::string_view name, const std::optional<double>& value) {
        if (value) key(name), number(*value);
    }
    void member(std::string_view name, const std::optional<int>& value) {
        if (value) key(name), whole(*value);
    }
    void seconds(std::string_view name, double value) {
        if (value != 0) key(name), number(value);
    }
    void flag(std::string_view name, bool value, bool usual) {
        if (value != usual) key(name), boolean(value);
    }
    template <class Items, class Write>
    void member_list(std::string_view name, const Items& items, Write write) {
        if (!items.empty()) key(name), list(items, write);
    }
    template <class Map, class Write>
    void member_keyed(std::string_view name, const Map& map, Write write) {
        if (!map.empty()) key(name), keyed(map, write);
    }

private:
    std::string out_;
    bool first_ = true;  // no member of the object at hand yet
};

void write(Writer& w, const Condition& c) {
    using Op = Condition::Op;
    const auto parts = [&] { w.list(c.of, [&](const Condition& part) { write(w, part); }); };
    const auto form = [&](std::string_view name, auto value) {
        w.object([&] {
            w.key(name);
            value();
        });
    };
    const auto id = [&] { w.text(c.id); };
    const auto id_and_word = [&] {
        w.object([&] {
            w.key(c.id);
            w.text(c.word);
        });
    };
    switch (c.op) {
        case Op::supplied: return id();
        case Op::all: return form("all", parts);
        case Op::any: return form("any", parts);
        case Op::at_least:
            return w.object([&] {
                w.key("at_least");
                w.whole(c.count);
                w.key("of");
                parts();
            });
        case Op::negation:
            if (c.of.size() != 1) cannot_write("wrong_type", "`not` takes one condition.");
            return form("not", [&] { write(w, c.of[0]); });
        case Op::at: return form("at", id_and_word);
        case Op::passes: return form("passes", id);
        case Op::tripped: return form("tripped", id);
        case Op::set: return form("set", id_and_word);
        case Op::contact: return form("contact", id_and_word);
        case Op::given: return form("given", id);
        case Op::failure: return form("failure", id_and_word);
        case Op::level: return form("level", id_and_word);
    }
}

void write(Writer& w, const std::vector<Device>& via) {
    w.list(via, [&](const Device& d) {
        if (d.positions.empty()) return w.text(d.id);
        w.object([&] {
            w.key(d.id);
            w.texts(d.positions);
        });
    });
}

void write(Writer& w, const std::vector<Feed>& feeds) {
    w.list(feeds, [&](const Feed& f) {
        if (f.tie.empty() && f.via.empty()) return w.text(f.from);
        w.object([&] {
            w.member("from", f.from);
            if (!f.via.empty()) w.key("via"), write(w, f.via);
            w.member("tie", f.tie);
        });
    });
}

void write(Writer& w, const Port& p) {
    if (p.join == Port::Join::priority) return write(w, p.feeds);
    w.object([&] {
        if (p.join == Port::Join::parallel) {
            w.key("parallel");
        } else {
            w.key("at_least");
            w.whole(p.count);
            w.key("of");
        }
        write(w, p.feeds);
    });
}

void write(Writer& w, const Follow& f) {
    if (f.map.empty()) return w.text(f.leader);
    w.object([&] {
        w.key(f.leader);
        w.keyed(f.map, [&](const std::string& own) { w.text(own); });
    });
}

void write(Writer& w, const FailureMode& f) {
    w.object([&] {
        w.member("rate", f.rate);
        w.member("probability", f.probability);
        w.member("hidden_for", f.hidden_for);
        w.member("at", f.at);
        w.member("fluid", f.fluid);
    });
}

void write(Writer& w, const Protection& p) {
    if (p == Protection{}) return w.boolean(true);
    w.object([&] {
        if (p.needs) w.key("needs"), write(w, *p.needs);
        w.member("resets", p.resets);
        if (p.reset_by) w.key("reset_by"), w.text(name_of(*p.reset_by));
    });
}

void write(Writer& w, const Load& l) {
    w.object([&] {
        w.member("amps", l.amps);
        w.member("watts", l.watts);
        w.member("volt_amperes", l.volt_amperes);
        w.member("power_factor", l.power_factor);
        w.member("duty_s", l.duty_s);
        w.member("inrush_amps", l.inrush_amps);
    });
}

void write(Writer& w, const Store& s) {
    w.object([&] {
        w.member("amp_hours", s.amp_hours);
        w.member("litres", s.litres);
        w.member("precharge_psi", s.precharge_psi);
        w.member("max_psi", s.max_psi);
        w.member("min_psi", s.min_psi);
        w.member("litres_per_application", s.litres_per_application);
        w.member("applications", s.applications);
        w.member("charger", s.charger);
    });
}

void write(Writer& w, const Wire& x) {
    w.object([&] {
        w.member("gauge", x.gauge);
        w.member("feet", x.feet);
    });
}

void write(Writer& w, const Element& e) {
    w.object([&] {
        w.key("kind");
        w.text(row(e.kind).name);
        w.member("name", e.name);
        w.member("aliases", e.aliases);
        w.member("group", e.group);
        w.member("ata", e.ata);
        w.member("zone", e.zone);
        w.member_keyed("inputs", e.inputs, [&](const Port& p) { write(w, p); });
        if (e.needs) w.key("needs"), write(w, *e.needs);
        w.member("positions", e.positions);
        w.member("rest", e.rest);
        if (e.reach) w.key("reach"), w.text(name_of(*e.reach));
        if (e.follows) w.key("follows"), write(w, *e.follows);
        w.member_list("goes", e.goes, [&](const Move& m) {
            w.object([&] {
                w.key("to");
                w.text(m.to);
                w.key("when");
                write(w, m.when);
            });
        });
        w.member_list("without", e.without, [&](const Without& x) { w.texts({x.port, x.position}); });
        w.member("passes_in", e.passes_in);
        if (e.protects) w.key("protects"), write(w, *e.protects);
        w.member_list("shows", e.shows, [&](const Show& s) {
            w.object([&] {
                w.key("text");
                w.text(s.text);
                w.key("when");
                write(w, s.when);
            });
        });
        w.member("unpowered", e.unpowered);
        w.member_keyed("failures", e.failures, [&](const FailureMode& f) { write(w, f); });
        w.flag("fallible", e.fallible, true);
        w.flag("holds_in", e.holds_in, false);
        w.seconds("after_s", e.after_s);
        w.seconds("spin_up_s", e.spin_up_s);
        w.seconds("run_down_s", e.run_down_s);
        w.member_keyed("runs_without_s", e.runs_without_s, [&](double x) { w.number(x); });
        w.member_keyed("rating", e.rating, [&](double x) { w.number(x); });
        w.member_keyed("loads", e.loads, [&](const Load& l) { write(w, l); });
        if (e.store) w.key("store"), write(w, *e.store);
        if (e.wire) w.key("wire"), write(w, *e.wire);
        w.flag("fitted", e.fitted, true);
        if (e.left != Left::unsaid) w.key("left"), w.text(e.left == Left::bridged ? "bridged" : "cut");
    });
}

void write(Writer& w, const Tie& t) {
    w.object([&] {
        w.key("between");
        w.texts({t.between.first, t.between.second});
        if (!t.via.empty()) w.key("via"), write(w, t.via);
        w.member("name", t.name);
    });
}

/// The two members, or nothing at all.
void demand_member(Writer& w, std::string_view name, const Demand& d) {
    if (d == Demand{}) return;
    w.key(name);
    w.object([&] {
        w.member_keyed("set", d.set, [&](const std::string& word) { w.text(word); });
        w.member_keyed("given", d.given, [&](bool value) { w.boolean(value); });
    });
}

void write(Writer& w, const Mode& m) {
    w.object([&] {
        w.key("rank");
        w.whole(m.rank);
        w.key("when");
        write(w, m.when);
        w.member("name", m.name);
        w.member("crew", m.crew);
        w.member_keyed("effects", m.effects, [&](double x) { w.number(x); });
        w.member_keyed("spend", m.spend, [&](int n) { w.whole(n); });
        w.member("bars", m.bars);
    });
}

void write(Writer& w, const Function& f) {
    w.object([&] {
        w.member("name", f.name);
        w.member("group", f.group);
        w.member("ata", f.ata);
        w.member("aliases", f.aliases);
        demand_member(w, "demand", f.demand);
        w.key("modes");
        w.keyed(f.modes, [&](const Mode& m) { write(w, m); });
        if (f.severity.empty()) return;
        w.key("severity");
        w.object([&] {
            for (const auto& [level, severity] : f.severity) w.key(name_of(level)), w.text(name_of(severity));
        });
    });
}

void write(Writer& w, const Quantity& q) {
    constexpr std::array<std::string_view, 3> words{"multiply", "add", "max"};
    w.object([&] {
        w.member("name", q.name);
        w.member("unit", q.unit);
        if (q.combine != Quantity::Combine::multiply) w.key("combine"), w.text(words[static_cast<std::size_t>(q.combine)]);
        w.flag("once_per_root", q.once_per_root, false);
        w.member_keyed("rules", q.rules, [&](const Rule& r) {
            w.object([&] {
                w.key("when");
                write(w, r.when);
                w.key("value");
                w.number(r.value);
                w.member("name", r.name);
            });
        });
    });
}

void write(Writer& w, const Check& c) {
    w.object([&] {
        w.member("name", c.name);
        w.key("steps");
        w.list(c.steps, [&](const CheckStep& s) {
            w.object([&] {
                demand_member(w, "do", s.act);
                if (s.look_at.empty()) return;
                w.member("look_at", s.look_at);
                w.key("expect");
                w.text(s.expect);
            });
        });
    });
}

void write(Writer& w, const DispatchItem& d) {
    w.object([&] {
        w.member("name", d.name);
        w.member("ata", d.ata);
        w.key("category");
        w.text(d.category);
        w.key("installed");
        w.whole(d.installed);
        w.key("required");
        w.whole(d.required);
        w.member_keyed("units", d.units, [&](const DispatchUnit& u) {
            w.object([&] {
                w.member("name", u.name);
                w.key("elements");
                w.texts(u.elements);
                w.member_keyed("secured", u.secured, [&](const std::string& word) { w.text(word); });
            });
        });
        w.member_list("provided", d.provided, [&](const Condition& c) { write(w, c); });
        w.member("maintenance", d.maintenance);
        w.member("operational", d.operational);
        w.member("remarks", d.remarks);
    });
}

void write(Writer& w, const CommonCause& c) {
    w.object([&] {
        w.member("name", c.name);
        w.member("rate", c.rate);
        w.member("probability", c.probability);
        w.key("fails");
        w.list(c.fails, [&](const FailureRef& f) {
            if (f.mode == "loss" && f.at.empty()) return w.text(f.element);
            w.raw("[");
            w.text(f.element);
            w.raw(",");
            w.text(f.mode);
            if (!f.at.empty()) {
                w.raw(",");
                w.object([&] { w.member("at", f.at); });
            }
            w.raw("]");
        });
    });
}

void write(Writer& w, const Variant& v) {
    const nlohmann::json patch = nlohmann::json::parse(v.patch, nullptr, false);
    if (!patch.is_object() && !patch.is_array()) cannot_write("bad_patch", "The patch of a variant is not JSON, an object or a list of operations.");
    w.object([&] {
        w.member("name", v.name);
        w.member("on", v.on);
        w.key("patch");
        w.raw(patch.dump());
    });
}

}  // namespace

std::string write_model(const Model& model) {
    Writer w;
    w.object([&] {
        w.key("format");
        w.text(io::format_tag);
        w.key("name");
        w.text(model.name);
        w.member("edition", model.edition);
        w.member("base", model.base);
        w.member("variant", model.variant);
        w.member("notes", model.notes);
        w.member("groups", model.groups);
        w.member_keyed("media", model.media, [&](const std::string& medium) { w.text(medium); });
        w.member_keyed("given", model.given, [&](bool value) { w.boolean(value); });
        w.key("elements");
        w.keyed(model.elements, [&](const Element& x) { write(w, x); });
        w.member_keyed("ties", model.ties, [&](const Tie& x) { write(w, x); });
        w.member_keyed("functions", model.functions, [&](const Function& x) { write(w, x); });
        w.member_keyed("quantities", model.quantities, [&](const Quantity& x) { write(w, x); });
        w.member_keyed("checks", model.checks, [&](const Check& x) { write(w, x); });
        w.member_keyed("dispatch", model.dispatch, [&](const DispatchItem& x) { write(w, x); });
        w.member_keyed("common_causes", model.common_causes, [&](const CommonCause& x) { write(w, x); });
        w.member_keyed("variants", model.variants, [&](const Variant& x) { write(w, x); });
    });
    return io::lay_out(w.take());
}

void write_model_file(const Model& model, const std::filesystem::path& path) {
    const std::string json = write_model(model);
    std::filesystem::path beside = path;
    beside += ".new";
    {
        std::ofstream out(beside, std::ios::binary | std::ios::trunc);
        out.write(json.data(), static_cast<std::streamsize>(json.size()));
        out.flush();
        if (!out) {
            std::error_code ignored;  // what could not be written may not be there either
            std::filesystem::remove(beside, ignored);
            throw Error("Cannot write `" + beside.string() + "`.");
        }
    }
    std::error_code failed;
    std::filesystem::rename(beside, path, failed);
    if (failed) {
        std::error_code ignored;
        std::filesystem::remove(beside, ignored);
        throw Error("Cannot write `" + path.string() + "`: " + failed.message() + ".");
    }
}

}  // namespace fedfrom
