/// The parts of a model, each read by its own file.
#pragma once

#include <fedfrom/model/model.hpp>

#include "reader.hpp"

namespace fedfrom::io {

void read_condition(Reader& r, Condition& out);
void read_devices(Reader& r, std::vector<Device>& out);
void read_demand(Reader& r, Demand& out);
void read_words(Reader& r, std::vector<std::string>& out);  ///< words the author chose, at least one
void read_ids(Reader& r, std::vector<std::string>& out);
void read_texts(Reader& r, std::vector<std::string>& out);

void read_element(Reader& r, Element& out);
void read_tie(Reader& r, Tie& out);
void read_function(Reader& r, Function& out);
void read_quantity(Reader& r, Quantity& out);
void read_check(Reader& r, Check& out);
void read_dispatch_item(Reader& r, DispatchItem& out);
void read_common_cause(Reader& r, CommonCause& out);
void read_variant(Reader& r, Variant& out);

/// The one member of an object, `{"key": …}`: `member(key)` reads its value. False, and reported, if there is
/// none or a second one (which is stepped over).
template <class Member>
bool read_only_member(Reader& r, std::string_view what, Member member) {
    const std::size_t start = r.next_offset();
    int count = 0;
    const bool is_object = r.members(what, [&](std::string_view key) {
        if (++count == 1) return member(key);
        if (count == 2) r.report(r.key_offset(), "wrong_type", "Only one entry can stand here.", "Use `all` or `any` for more.");
        r.skip();
    });
    if (is_object && count == 0) r.report(start, "wrong_type", "One entry is needed here; this object is empty.");
    return is_object && count == 1;
}

}  // namespace fedfrom::io
