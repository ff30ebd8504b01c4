#include <fedfrom/io/read.hpp>

#include <algorithm>
#include <fstream>
#include <set>
#include <utility>

#include <fedfrom/io/variant.hpp>
#include <fedfrom/model/diagnostic_codes.hpp>

#include <fedfrom/model/validate/validator.hpp>
#include "locate.hpp"
#include "parse.hpp"
#include "read_parts.hpp"
#include "utf8.hpp"

namespace fedfrom {

namespace io {

namespace {

void read_format(Reader& r) {
    if (r.peek() != '"') return r.wrong("the format tag");
    const std::size_t offset = r.next_offset();
    std::string format;
    r.text(format);
    if (format != format_tag)
        r.report(offset, "wrong_format", "`" + format + "` is not a format read here.", "Say \"format\": \"" + std::string(format_tag) + "\".");
}

constexpr Field<Model> model_fields[] = {
    {"$schema", [](Reader& r, Model&) { std::string address; r.text(address); }},
    {"format", [](Reader& r, Model&) { read_format(r); }, true},
    {"name", [](Reader& r, Model& m) { r.word(m.name); }, true},
    {"edition", [](Reader& r, Model& m) { r.text(m.edition); }},
    {"base", [](Reader& r, Model& m) { r.id(m.base); }},
    {"variant", [](Reader& r, Model& m) { r.id(m.variant); }},
    {"notes", [](Reader& r, Model& m) { r.text(m.notes); }},
    {"groups", [](Reader& r, Model& m) { r.list(m.groups, "a list of groups", [&](std::string& word) { r.word(word); }); }},
    {"media", [](Reader& r, Model& m) { r.keyed(m.media, "port names and their media", [&](std::string& medium) { r.id(medium); }); }},
    {"given", [](Reader& r, Model& m) { r.keyed(m.given, "givens and their defaults", [&](bool& value) { r.boolean(value); }); }},
    {"elements", [](Reader& r, Model& m) { r.keyed(m.elements, "elements by id", [&](Element& x) { read_element(r, x); }); }, true},
    {"ties", [](Reader& r, Model& m) { r.keyed(m.ties, "ties by id", [&](Tie& x) { read_tie(r, x); }); }},
    {"functions", [](Reader& r, Model& m) { r.keyed(m.functions, "functions by id", [&](Function& x) { read_function(r, x); }); }},
    {"quantities", [](Reader& r, Model& m) { r.keyed(m.quantities, "quantities by id", [&](Quantity& x) { read_quantity(r, x); }); }},
    {"checks", [](Reader& r, Model& m) { r.keyed(m.checks, "checks by id", [&](Check& x) { read_check(r, x); }); }},
    {"dispatch", [](Reader& r, Model& m) { r.keyed(m.dispatch, "dispatch items by id", [&](DispatchItem& x) { read_dispatch_item(r, x); }); }},
    {"common_causes", [](Reader& r, Model& m) { r.keyed(m.common_causes, "common causes by id", [&](CommonCause& x) { read_common_cause(r, x); }); }},
    {"variants", [](Reader& r, Model& m) { r.keyed(m.variants, "variants by id", [&](Variant& x) { read_variant(r, x); }); }},
};

/// What the reader's complaints leave open, so that what follows from them is not complained of too.
struct Doubt {
    bool everything = false;                     // a collection or the end of the text is missing
    std::set<std::string, std::less<>> entries;  // ids of which only a part could be read
    std::set<std::string, std::less<>> pointers;
};

Doubt doubt_of(const std::vector<Found>& found) {
    Doubt doubt;
    for (const auto& [d, offset] : found) {
        doubt.pointers.insert(d.pointer);
        const std::size_t first = d.pointer.find('/'), second = d.pointer.find('/', 1), third = d.pointer.find('/', second + 1);
        const std::string_view collection = std::string_view(d.pointer).substr(0, second);
        if (first == std::string::npos) doubt.everything |= d.code != "missing_key" || d.message.find("`elements`") != std::string::npos;
        else if (d.code == "unknown_key" && second == std::string::npos) doubt.everything |= !d.hint.empty();  // a collection misspelt
        else if (second == std::string::npos)
            doubt.everything |= collection != "/$schema" && collection != "/format" && collection != "/name" && collection != "/edition" &&
                                collection != "/base" && collection != "/variant" && collection != "/notes";
        else if (collection == "/groups" || collection == "/media" || collection == "/given") doubt.everything |= d.code != "bad_id";
        else doubt.entries.insert(d.pointer.substr(second + 1, third == std::string::npos ? third : third - second - 1));
    }
    return doubt;
}

/// Whether a problem says something the reader has not said, of a part it could read.
bool is_news(const Diagnostic& d, const Doubt& doubt) {
    if (doubt.pointers.contains(d.pointer)) return false;
    if (doubt.entries.empty()) return true;
    // Nor of a value inside one the reader complained of; a whole entry is judged by its parts, below.
    for (std::string_view above = d.pointer; std::ranges::count(above, '/') > 3;) {
        above = above.substr(0, above.rfind('/'));
        if (doubt.pointers.contains(above)) return false;
    }
    const std::size_t second = d.pointer.find('/', 1);
    if (second == std::string::npos) return true;
    const std::size_t third = d.pointer.find('/', second + 1);
    const std::string_view id = std::string_view(d.pointer).substr(second + 1, third == std::string::npos ? third : third - second - 1);
    if (!doubt.entries.contains(id)) return true;
    return d.code == "dangling_id" || d.code == "wrong_collection" || d.code == "out_of_range" || d.code == "id_used_twice";
}

}  // namespace

ReadResult parse(std::string_view text, std::string_view file, Variants variants) {
    ReadResult result;
    std::vector<Found> found;
    const auto give_up = [&](std::size_t offset, std::string code, std::string message, std::string hint) {
        found.push_back({{std::move(code), "", std::move(message), std::move(hint), {}, 0, 0}, offset});
        result.diagnostics = place(text, file, std::move(found));
        return std::move(result);
    };
    if (const std::size_t bad = find_invalid_utf8(text); bad != std::string_view::npos)
        return give_up(bad, "encoding", "The text is not UTF-8.", "Save the file as UTF-8.");
    constexpr std::string_view byte_order_mark = "\xEF\xBB\xBF";
    const std::size_t skipped = text.starts_with(byte_order_mark) ? byte_order_mark.size() : 0;
    const std::string_view json = text.substr(skipped);
    if (json.find_first_not_of(" \t\r\n") == std::string_view::npos) return give_up(0, "empty_file", "There is no text.", "");

    Reader reader(json);
    bool complete = false;
    try {
        reader.record(result.model, model_fields, "a model, {\"format\": \"fedfrom/1\", …},");
        reader.finish();
        complete = true;
    } catch (const Stop&) {  // reported where it was thrown
    }
    found = reader.take_found();
    const Doubt doubt = doubt_of(found);
    if (complete && !doubt.everything) {
        std::vector<Diagnostic> further = model::validate_partial(result.model, doubt.entries);
        std::erase_if(further, [&](const Diagnostic& d) { return !is_news(d, doubt); });
        if (further.empty() && found.empty() && variants == Variants::check) further = check_variants(result.model);
        if (!further.empty())
            for (Found& f : locate(json, std::move(further))) found.push_back(std::move(f));
        if (found.size() > most_diagnostics + 1) {
            found.resize(most_diagnostics);
            found.push_back({{"more_follow", "", "There are more problems; they are not listed.", "", {}, 0, 0}, json.size()});
        }
    }
    for (Found& f : found) f.offset += skipped;
    result.diagnostics = place(text, file, std::move(found));
    return result;
}

}  // namespace io

namespace {

Model checked(ReadResult result) {
    if (!result.ok()) throw ModelError(std::move(result.diagnostics));
    return std::move(result.model);
}

}  // namespace

ReadResult try_parse_model(std::string_view json, std::string_view file) { return io::parse(json, file, io::Variants::check); }

ReadResult try_read_model(const std::filesystem::path& path) {
    const std::string file = path.string();
    const ReadResult unreadable{{}, {{"cannot_read", "", "The file cannot be read.", "", file, 0, 0}}};
    if (std::error_code ignored; std::filesystem::is_directory(path, ignored)) return unreadable;
    std::ifstream in(path, std::ios::binary);
    if (!in) return unreadable;
    std::string text;
    constexpr std::size_t step = std::size_t{1} << 20;
    std::error_code no_size;  // a pipe has none
    const std::uintmax_t file_size = std::filesystem::file_size(path, no_size);
    if (!no_size) text.reserve(file_size + step);
    for (std::size_t size = 0; in;) {
        text.resize(size + step);
        in.read(text.data() + size, step);
        size += static_cast<std::size_t>(in.gcount());
        text.resize(size);
    }
    if (in.bad()) return unreadable;
    return try_parse_model(text, file);
}

Model parse_model(std::string_view json, std::string_view file) { return checked(try_parse_model(json, file)); }

Model read_model(const std::filesystem::path& path) { return checked(try_read_model(path)); }

}  // namespace fedfrom
