#include <array>

#include <fedfrom/model/nearest.hpp>

#include "read_parts.hpp"

namespace fedfrom::io {

namespace {

using Op = Condition::Op;

/// `{"id": "word"}`, as `at`, `set`, `contact`, `failure` and `level` take it.
template <class Read>
void read_id_and_word(Reader& r, Condition& out, std::string_view what, Read read_word) {
    read_only_member(r, what, [&](std::string_view key) {
        r.check_id(key, r.key_offset());
        out.id = key;
        read_word(out.word);
    });
}

void read_position(Reader& r, Condition& out) {
    read_id_and_word(r, out, "an element and its position, {\"id\": \"POS\"},", [&](std::string& word) { r.word(word); });
}

void read_parts(Reader& r, Condition& out) {
    out.of.reserve(2);  // hardly anybody writes `all` for one
    r.list(out.of, "a list of conditions", [&](Condition& c) { read_condition(r, c); });
}

struct Form {
    std::string_view key;
    Op op;
    void (*read)(Reader&, Condition&);
};

constexpr std::array<Form, 12> forms{{
    {"all", Op::all, read_parts},
    {"any", Op::any, read_parts},
    {"at_least", Op::at_least, [](Reader& r, Condition& out) { r.whole(out.count); }},
    {"not", Op::negation, [](Reader& r, Condition& out) { read_condition(r, out.of.emplace_back()); }},
    {"at", Op::at, read_position},
    {"passes", Op::passes, [](Reader& r, Condition& out) { r.id(out.id); }},
    {"tripped", Op::tripped, [](Reader& r, Condition& out) { r.id(out.id); }},
    {"set", Op::set, read_position},
    {"contact", Op::contact, read_position},
    {"given", Op::given, [](Reader& r, Condition& out) { r.id(out.id); }},
    {"failure", Op::failure,
     [](Reader& r, Condition& out) {
         read_id_and_word(r, out, "an element and its failure mode, {\"id\": \"mode\"},", [&](std::string& word) { r.id(word); });
     }},
    {"level", Op::level,
     [](Reader& r, Condition& out) {
         read_id_and_word(r, out, "a function and its level, {\"id\": \"degraded\"},",
                          [&](std::string& word) { word = r.choice({"normal", "degraded"}); });
     }},
}};

const Form* form_of(std::string_view key) {
    for (const Form& f : forms)
        if (f.key == key) return &f;
    return nullptr;
}

void report_no_form(Reader& r, std::string_view key) {
    std::vector<std::string_view> known{"of"};
    for (const Form& f : forms) known.push_back(f.key);
    const std::string near = nearest(key, known);
    r.report(r.key_offset(), "unknown_key", "`" + std::string(key) + "` is no form of a condition.",
             near.empty() ? "" : "Did you mean `" + near + "`?");
}

}  // namespace

void read_condition(Reader& r, Condition& out) {
    out = Condition{};
    if (r.peek() == '"') {
        out.op = Op::supplied;
        r.id(out.id);
        return;
    }
    const std::size_t start = r.next_offset();
    const Form* form = nullptr;
    bool has_of = false, has_unknown = false;
    const bool is_object = r.members("a condition", [&](std::string_view key) {
        const Form* next = form_of(key);
        const bool is_of = key == "of";
        if (!next && !is_of) {
            has_unknown = true;
            report_no_form(r, key);
        } else if (is_of ? has_of : next == form) {
            r.report(r.key_offset(), "duplicate_key", "The key `" + std::string(key) + "` is here twice.",
                     "The first one is used; remove one.");
        } else if (is_of) {
            has_of = true;
            return read_parts(r, out);
        } else if (form) {
            r.report(r.key_offset(), "not_both", "A condition has one form; this one has `" + std::string(form->key) + "` already.",
                     "Use `all` or `any` for more than one.");
        } else {
            form = next;
            out.op = next->op;
            return next->read(r, out);
        }
        r.skip();
    });
    if (!is_object || has_unknown) return;
    if (!form && has_of)
        r.report(start, "missing_key", "`of` needs `at_least` beside it.");
    else if (!form)
        r.report(start, "missing_key", "A condition is needed here; this object is empty.", "What always holds is {\"all\": []}.");
    else if (form->op == Op::at_least && !has_of)
        r.report(start, "missing_key", "`at_least` needs `of` beside it.");
    else if (form->op != Op::at_least && has_of)
        r.report(start, "not_both", "`of` goes with `at_least` only.");
}

void read_devices(Reader& r, std::vector<Device>& out) {
    r.list(out, "a list of devices", [&](Device& d) {
        if (r.peek() != '{') return r.id(d.id);
        read_only_member(r, "a device", [&](std::string_view key) {
            r.check_id(key, r.key_offset());
            d.id = key;
            read_words(r, d.positions);
        });
    });
}

void read_demand(Reader& r, Demand& out) {
    static constexpr Field<Demand> fields[] = {
        {"set", [](Reader& in, Demand& d) {
             in.keyed(d.set, "elements and the positions they are put to", [&](std::string& word) { in.word(word); });
         }},
        {"given", [](Reader& in, Demand& d) {
             in.keyed(d.given, "givens and their values", [&](bool& value) { in.boolean(value); });
         }},
    };
    r.record(out, fields, "crew selections, {\"set\": …, \"given\": …},");
}

void read_words(Reader& r, std::vector<std::string>& out) {
    const std::size_t start = r.next_offset();
    if (!r.items("a list of words", [&] { r.word(out.emplace_back()); })) return;
    // An empty list would be read as "nothing said", and the kind's own words would come back.
    if (out.empty()) r.report(start, "empty_list", "This list is empty.", "Leave the key out for what the kind gives.");
}

void read_ids(Reader& r, std::vector<std::string>& out) {
    r.list(out, "a list of ids", [&](std::string& id) { r.id(id); });
}

void read_texts(Reader& r, std::vector<std::string>& out) {
    r.list(out, "a list of texts", [&](std::string& text) { r.text(text); });
}

}  // namespace fedfrom::io
