/// A condition: what an author writes wherever the model asks "when?".
///
/// A condition is a small tree. It reads like its JSON:
///
///     Condition both = all_of({"gen_l", "gen_r"});          // {"all": ["gen_l", "gen_r"]}
///     Condition none = not_(any_of({"gen_l", "gen_r"}));    // {"not": {"any": ["gen_l", "gen_r"]}}
///     Condition down = at("gear_handle", "DOWN");           // {"at": {"gear_handle": "DOWN"}}
///
/// A bare id means *supplied*. Plain values; nothing here evaluates.
#pragma once

#include <string>
#include <utility>
#include <vector>

namespace fedfrom {

struct Condition {
    enum class Op {
        supplied,  ///< "id": the element is supplied
        all,       ///< every one of `of`; an empty list always holds
        any,       ///< at least one of `of`; an empty list never holds
        at_least,  ///< `count` or more of `of`
        negation,  ///< not `of[0]`
        at,        ///< element `id` really stands in position `word`
        passes,    ///< element `id` lets supply through
        tripped,   ///< protecting device `id` has tripped
        set,       ///< the crew put `id` to `word`, whatever became of it
        contact,   ///< `id` makes the contact `word`; a failed switch makes none
        given,     ///< the given `id` is true
        failure,   ///< element `id` has the failure mode `word`
        level,     ///< function `id` is at the level `word` or better
    };

    Op op = Op::all;
    std::string id{};
    std::string word{};  ///< a position, a failure mode or a level
    int count = 0;
    std::vector<Condition> of{};

    Condition() = default;
    Condition(const char* supplied_id) : op(Op::supplied), id(supplied_id) {}
    Condition(std::string supplied_id) : op(Op::supplied), id(std::move(supplied_id)) {}
    Condition(Op o, std::string i, std::string w = {}) : op(o), id(std::move(i)), word(std::move(w)) {}
    Condition(Op o, std::vector<Condition> parts, int k = 0) : op(o), count(k), of(std::move(parts)) {}

    bool operator==(const Condition&) const = default;
};

inline Condition all_of(std::vector<Condition> of) { return {Condition::Op::all, std::move(of)}; }
inline Condition any_of(std::vector<Condition> of) { return {Condition::Op::any, std::move(of)}; }
inline Condition at_least(int k, std::vector<Condition> of) { return {Condition::Op::at_least, std::move(of), k}; }
inline Condition not_(Condition c) { return {Condition::Op::negation, std::vector<Condition>{std::move(c)}}; }
inline Condition at(std::string id, std::string position) { return {Condition::Op::at, std::move(id), std::move(position)}; }
inline Condition passes(std::string id) { return {Condition::Op::passes, std::move(id)}; }
inline Condition tripped(std::string id) { return {Condition::Op::tripped, std::move(id)}; }
inline Condition set_to(std::string id, std::string position) { return {Condition::Op::set, std::move(id), std::move(position)}; }
inline Condition contact(std::string id, std::string position) { return {Condition::Op::contact, std::move(id), std::move(position)}; }
inline Condition given(std::string id) { return {Condition::Op::given, std::move(id)}; }
inline Condition failure(std::string id, std::string mode) { return {Condition::Op::failure, std::move(id), std::move(mode)}; }
inline Condition level(std::string function, std::string at_least) { return {Condition::Op::level, std::move(function), std::move(at_least)}; }

}  // namespace fedfrom
