#include "read_parts.hpp"

#include <nlohmann/json.hpp>

namespace fedfrom::io {

namespace {

void read_mode(Reader& r, Mode& out) {
    static constexpr Field<Mode> fields[] = {
        {"rank", [](Reader& in, Mode& m) { in.whole(m.rank); }, true},
        {"when", [](Reader& in, Mode& m) { read_condition(in, m.when); }, true},
        {"name", [](Reader& in, Mode& m) { in.text(m.name); }},
        {"crew", [](Reader& in, Mode& m) { read_texts(in, m.crew); }},
        {"effects", [](Reader& in, Mode& m) { in.keyed(m.effects, "effects by quantity", [&](double& x) { in.number(x); }); }},
        {"spend", [](Reader& in, Mode& m) { in.keyed(m.spend, "stores and the applications taken", [&](int& n) { in.whole(n); }); }},
        {"bars", [](Reader& in, Mode& m) { read_ids(in, m.bars); }},
    };
    r.record(out, fields, "a mode");
}

void read_severity(Reader& r, Severity& out) {
    const std::string word = r.choice({"no_effect", "minor", "major", "hazardous", "catastrophic"});
    for (const Severity s : {Severity::no_effect, Severity::minor, Severity::major, Severity::hazardous, Severity::catastrophic})
        if (name_of(s) == word) out = s;
}

void read_severities(Reader& r, std::map<Level, Severity>& out) {
    using Severities = std::map<Level, Severity>;
    static constexpr Field<Severities> fields[] = {
        {"degraded", [](Reader& in, Severities& s) { read_severity(in, s[Level::degraded]); }},
        {"lost", [](Reader& in, Severities& s) { read_severity(in, s[Level::lost]); }},
    };
    r.record(out, fields, "severities, {\"lost\": \"hazardous\"},");
}

/// A collection of which there must be one at least.
template <class T, class Read>
void read_some(Reader& r, std::map<std::string, T>& out, std::string_view what, Read read) {
    const std::size_t start = r.next_offset();
    const bool is_object = r.peek() == '{';
    r.keyed(out, what, read);
    if (is_object && out.empty()) r.report(start, "empty_list", "One entry at least is needed here.");
}

void read_rule(Reader& r, Rule& out) {
    static constexpr Field<Rule> fields[] = {
        {"when", [](Reader& in, Rule& x) { read_condition(in, x.when); }, true},
        {"value", [](Reader& in, Rule& x) { in.number(x.value); }, true},
        {"name", [](Reader& in, Rule& x) { in.text(x.name); }},
    };
    r.record(out, fields, "a rule, {\"when\": …, \"value\": …},");
}

void read_combine(Reader& r, Quantity::Combine& out) {
    const std::string word = r.choice({"multiply", "add", "max"});
    if (word == "multiply") out = Quantity::Combine::multiply;
    if (word == "add") out = Quantity::Combine::add;
    if (word == "max") out = Quantity::Combine::max;
}

void read_step(Reader& r, CheckStep& out) {
    static constexpr Field<CheckStep> fields[] = {
        {"do", [](Reader& in, CheckStep& s) { read_demand(in, s.act); }},
        {"look_at", [](Reader& in, CheckStep& s) { in.id(s.look_at); }},
        {"expect", [](Reader& in, CheckStep& s) { in.text(s.expect); }},
    };
    const std::size_t start = r.next_offset();
    const bool is_object = r.peek() == '{';
    const std::uint64_t seen = r.record(out, fields, "a step, {\"do\": …, \"look_at\": …, \"expect\": …},");
    if (!is_object) return;
    const bool look_at = seen & 2, expect = seen & 4;
    if (look_at != expect)
        r.report(start, "missing_key", look_at ? "`look_at` needs `expect` beside it." : "`expect` needs `look_at` beside it.");
}

void read_unit(Reader& r, DispatchUnit& out) {
    static constexpr Field<DispatchUnit> fields[] = {
        {"name", [](Reader& in, DispatchUnit& u) { in.text(u.name); }},
        {"elements", [](Reader& in, DispatchUnit& u) { read_ids(in, u.elements); }, true},
        {"secured", [](Reader& in, DispatchUnit& u) {
             in.keyed(u.secured, "elements and the positions they are secured in", [&](std::string& word) { in.word(word); });
         }},
    };
    r.record(out, fields, "a unit, {\"elements\": […]},");
}

void read_failure_ref(Reader& r, FailureRef& out) {
    if (r.peek() == '"') return r.id(out.element);
    static constexpr Field<FailureRef> fields[] = {
        {"at", [](Reader& in, FailureRef& f) { in.word(f.at); }, true},
    };
    const std::size_t start = r.next_offset();
    std::size_t n = 0;
    const bool is_list = r.items("a failure, \"id\" or [\"id\", \"mode\"],", [&] {
        if (n == 0) r.id(out.element);
        else if (n == 1) r.id(out.mode);
        else if (n == 2) r.record(out, fields, "{\"at\": \"POS\"}");
        else r.skip();
        ++n;
    });
    if (is_list && (n < 2 || n > 3))
        r.report(start, "wrong_type", "An element and a failure mode are needed here.", "For example [\"id\", \"short\"] or [\"id\", \"stuck\", {\"at\": \"closed\"}].");
}

/// The patch in one form of its own: compact, keys in order, so that equal patches are equal texts.
void read_patch(Reader& r, std::string& out) {
    const char first = r.peek();
    if (first != '{' && first != '[') return r.wrong("a patch, an object or a list of operations,");
    const std::size_t start = r.next_offset();
    try {
        out = nlohmann::json::parse(r.raw()).dump();
    } catch (const nlohmann::json::exception&) {
        // The text is JSON, as the reader went through it; what is left is a number no double holds.
        r.report(start, "out_of_range", "A number in this patch is too large.");
    }
}

}  // namespace

void read_function(Reader& r, Function& out) {
    static constexpr Field<Function> fields[] = {
        {"name", [](Reader& in, Function& f) { in.text(f.name); }},
        {"group", [](Reader& in, Function& f) { in.text(f.group); }},
        {"ata", [](Reader& in, Function& f) { in.text(f.ata); }},
        {"aliases", [](Reader& in, Function& f) { read_texts(in, f.aliases); }},
        {"demand", [](Reader& in, Function& f) { read_demand(in, f.demand); }},
        {"modes", [](Reader& in, Function& f) { read_some(in, f.modes, "modes by id", [&](Mode& m) { read_mode(in, m); }); }, true},
        {"severity", [](Reader& in, Function& f) { read_severities(in, f.severity); }},
    };
    r.record(out, fields, "a function");
}

void read_quantity(Reader& r, Quantity& out) {
    static constexpr Field<Quantity> fields[] = {
        {"name", [](Reader& in, Quantity& q) { in.text(q.name); }},
        {"unit", [](Reader& in, Quantity& q) { in.text(q.unit); }},
        {"combine", [](Reader& in, Quantity& q) { read_combine(in, q.combine); }},
        {"once_per_root", [](Reader& in, Quantity& q) { in.boolean(q.once_per_root); }},
        {"rules", [](Reader& in, Quantity& q) { in.keyed(q.rules, "rules by id", [&](Rule& x) { read_rule(in, x); }); }},
    };
    r.record(out, fields, "a quantity");
}

void read_check(Reader& r, Check& out) {
    static constexpr Field<Check> fields[] = {
        {"name", [](Reader& in, Check& c) { in.text(c.name); }},
        {"steps", [](Reader& in, Check& c) {
             const std::size_t start = in.next_offset();
             const bool is_list = in.peek() == '[';
             in.list(c.steps, "a list of steps", [&](CheckStep& s) { read_step(in, s); });
             if (is_list && c.steps.empty()) in.report(start, "empty_list", "One step at least is needed here.");
         }, true},
    };
    r.record(out, fields, "a check");
}

void read_dispatch_item(Reader& r, DispatchItem& out) {
    static constexpr Field<DispatchItem> fields[] = {
        {"name", [](Reader& in, DispatchItem& d) { in.text(d.name); }},
        {"ata", [](Reader& in, DispatchItem& d) { in.text(d.ata); }},
        {"category", [](Reader& in, DispatchItem& d) { d.category = in.choice({"A", "B", "C", "D"}); }, true},
        {"installed", [](Reader& in, DispatchItem& d) { in.whole(d.installed); }, true},
        {"required", [](Reader& in, DispatchItem& d) { in.whole(d.required); }, true},
        {"units", [](Reader& in, DispatchItem& d) { in.keyed(d.units, "units by id", [&](DispatchUnit& u) { read_unit(in, u); }); }},
        {"provided", [](Reader& in, DispatchItem& d) { in.list(d.provided, "a list of conditions", [&](Condition& c) { read_condition(in, c); }); }},
        {"maintenance", [](Reader& in, DispatchItem& d) { read_texts(in, d.maintenance); }},
        {"operational", [](Reader& in, DispatchItem& d) { read_texts(in, d.operational); }},
        {"remarks", [](Reader& in, DispatchItem& d) { read_texts(in, d.remarks); }},
    };
    r.record(out, fields, "a dispatch item");
}

void read_common_cause(Reader& r, CommonCause& out) {
    static constexpr Field<CommonCause> fields[] = {
        {"name", [](Reader& in, CommonCause& c) { in.text(c.name); }},
        {"rate", [](Reader& in, CommonCause& c) { in.number(c.rate); }},
        {"probability", [](Reader& in, CommonCause& c) { in.number(c.probability); }},
        {"fails", [](Reader& in, CommonCause& c) { in.list(c.fails, "a list of failures", [&](FailureRef& f) { read_failure_ref(in, f); }); }, true},
    };
    r.record(out, fields, "a common cause");
}

void read_variant(Reader& r, Variant& out) {
    static constexpr Field<Variant> fields[] = {
        {"name", [](Reader& in, Variant& v) { in.text(v.name); }},
        {"on", [](Reader& in, Variant& v) { in.id(v.on); }},
        {"patch", [](Reader& in, Variant& v) { read_patch(in, v.patch); }, true},
    };
    r.record(out, fields, "a variant");
}

}  // namespace fedfrom::io
