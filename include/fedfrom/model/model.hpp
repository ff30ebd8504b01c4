/// A model: what an author writes about one aircraft type, as plain data.
///
///     Model m{.name = "One bus"};
///     m.elements["battery"] = {.kind = Kind::battery};
///     m.elements["bus"]     = {.kind = Kind::bus, .inputs = {{"power", {{.from = "battery"}}}}};
///     m.elements["radio"]   = {.kind = Kind::consumer, .inputs = {{"power", {{.from = "bus"}}}}};
///
/// Every collection is keyed by id (`[a-z][a-z0-9_]*`, one namespace for all)
/// and iterates in id order; the order of keys in a file never carries meaning.
/// Nothing here is checked: `validate` (validate.hpp) lists what is wrong.
#pragma once

#include <map>
#include <string>
#include <vector>

#include <fedfrom/model/element.hpp>
#include <fedfrom/model/function.hpp>

namespace fedfrom {

struct Model {
    std::string name{};
    std::string edition{};
    std::string base{};     ///< what the unpatched aircraft is called
    std::string variant{};  ///< which variant this is; empty: the base
    std::string notes{};
    std::vector<std::string> groups{};           ///< the order groups are shown in
    std::map<std::string, std::string> media{};  ///< port name to medium, beside the built-in ones
    std::map<std::string, bool> given{};         ///< inputs that do not fail, with their default
    std::map<std::string, Element> elements{};
    std::map<std::string, Tie> ties{};
    std::map<std::string, Function> functions{};
    std::map<std::string, Quantity> quantities{};
    std::map<std::string, Check> checks{};
    std::map<std::string, DispatchItem> dispatch{};
    std::map<std::string, CommonCause> common_causes{};
    std::map<std::string, Variant> variants{};

    bool operator==(const Model&) const = default;
};

}  // namespace fedfrom
