/// What `validate` keeps while it goes through a model; its parts are in validate_*.cpp.
#pragma once

#include <array>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <unordered_map>
#include <unordered_set>
#include <vector>

#include <fedfrom/model/diagnostic.hpp>
#include <fedfrom/model/resolve.hpp>

#include "index.hpp"

namespace fedfrom::model {

/// A place in the model, as a chain of steps on the stack; turned into a pointer only to complain.
/// The place it hangs on must outlive it.
struct At {
    const At* up = nullptr;
    std::string_view key;
    std::size_t index = 0;

    At() = default;
    At(const At& above, std::string_view k) : up(&above), key(k) {}
    At(const At& above, std::size_t i) : up(&above), key(), index(i) {}
    std::string pointer() const;
};

/// The longest position word, in characters.
inline constexpr std::size_t longest_word = 128;
/// The most positions of one element; one with more is reported, and its words are not looked at.
inline constexpr std::size_t most_positions = 32;
/// The deepest nesting of conditions; their JSON form then stays within what the reader takes.
inline constexpr int deepest_condition = 24;
/// The largest count, time or figure an author can mean.
inline constexpr double largest = 1e9;
/// The least efficiency or power factor one can mean.
inline constexpr double least_part = 0.01;
/// A state counts them in 16 and in 8 bits.
inline constexpr int most_applications = 65535, most_resets = 255;

/// Thrown once the list of diagnostics is full.
struct ListFull {};

class Validator {
public:
    /// `unsure`: elements and functions of which only a part could be read. That they are there is known, nothing else.
    Validator(const Model& m, const std::set<std::string, std::less<>>& unsure);
    std::vector<Diagnostic> run();

private:
    // the collections (validate.cpp)
    void head();
    void collections();
    void variants();

    // elements (validate_element.cpp)
    void element(const At& at, std::string_view id, const Element& e);
    void supply(const At& at, std::string_view id, const Element& e);
    void feed(const At& at, std::string_view id, const Feed& f);
    void position(const At& at, std::string_view id, const Element& e);
    void movers(const At& at, std::string_view id, const Element& e);
    void failures(const At& at, std::string_view id, const Element& e);
    void leak(const At& at, std::string_view id, const Element& e);
    void port_of(const At& at, std::string_view id, const Element& e, std::string_view port);
    void figures(const At& at, std::string_view id, const Element& e);

    // ties and vias (validate_tie.cpp)
    void collect_ties();
    void tie(const At& at, std::string_view id, const Tie& t);
    void tie_end(const At& at, std::string_view tie, std::string_view end);
    std::vector<std::string> ports_of_tie(std::string_view tie, std::string_view end) const;  ///< that list it
    void via(const At& at, const std::vector<Device>& devices, bool in_tie);

    // conditions (validate_condition.cpp)
    enum class Levels : bool { forbidden, allowed };
    void condition(const At& at, const Condition& c, Levels levels, int depth = 0);
    void demand(const At& at, const Demand& d);

    // functions and the rest (validate_function.cpp)
    void function(const At& at, const Function& f);
    void levels_read(std::string_view id, const Function& f);
    void function_rings();
    void quantity(const At& at, const Quantity& q);
    void check(const At& at, const Check& c);
    void dispatch_item(const At& at, const DispatchItem& d);
    void common_cause(const At& at, const CommonCause& c);

    // look-ups: report what is missing, and return what is there
    const Element* known_element(const At& at, std::string_view id);
    const Index::Entry* known(const At& at, std::string_view id, Collection c);
    const Index::Entry* known_next(IdTable::Trail& trail, const At& at, std::string_view id);  ///< an element
    const Index::Entry* checked(const Index::Entry* entry, const At& at, std::string_view id, Collection wanted);
    void position_word(const At& at, std::string_view id, const Element& e, std::string_view word);
    void settable(const At& at, std::string_view id, std::string_view word);
    void failure_of(const At& at, std::string_view id, std::string_view mode);
    void group(const At& at, std::string_view name);
    void key(const At& at, std::string_view id);  ///< the pattern of an id the author gives
    void word(const At& at, std::string_view text);
    void words_list(const At& at, const std::vector<std::string>& list);
    void range(const At& at, double value, double low, double high);
    void likelihood(const At& at, const std::optional<double>& rate, const std::optional<double>& probability, std::string_view what);
    bool sure(std::string_view id) const { return unsure_.empty() || !unsure_.contains(id); }

    void report(const At& at, std::string code, std::string message, std::string hint = {});
    std::string near_id(std::string_view id, std::optional<Collection> wanted);

    const Model& m_;
    const std::set<std::string, std::less<>>& unsure_;
    Index index_;
    IdTable::Trail feeds_trail_, vias_trail_, conditions_trail_;
    std::unordered_set<std::string_view> groups_;
    std::vector<Diagnostic> found_;
    std::size_t comparisons_left_ = 5'000'000;  // for hints: a model of unknown ids alone must not take forever

    /// Where the ports of the ends list a tie; known once the elements have been gone through.
    struct Placed {
        std::string_view element, port;
    };
    std::unordered_map<std::string_view, std::vector<Placed>> placed_;
    std::unordered_map<std::string_view, std::vector<std::string_view>> ties_at_;  // by element
    std::map<std::string_view, std::vector<std::string_view>> reads_;               // functions whose level a function reads, where it reads any
    std::unordered_set<std::string_view> in_via_;                                   // devices; those of feeds only if something is unfitted
    std::optional<std::map<std::string, std::set<std::string>>> fluids_;            // once a leak asks
};

std::size_t characters(std::string_view text);  ///< of UTF-8
std::string in_ticks(std::string_view s);
/// "`a`, `b` and `c`"
std::string listed(const std::vector<std::string>& words);

/// As `validate`, of a model of which parts could not be read.
std::vector<Diagnostic> validate_partial(const Model& m, const std::set<std::string, std::less<>>& unsure);

}  // namespace fedfrom::model
