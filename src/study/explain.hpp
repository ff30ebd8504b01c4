/// Writes an explanation, top down, without recursion.
///
/// A stack of tasks: each writes its line and puts what stands under it on the
/// stack. What is being explained is *open* until all under it is written, so a
/// way that leads back to it closes a loop; what has been explained with anything
/// under it is referred to. Lines nest `deepest` deep at most: what stands deeper
/// goes on in a section of its own. A chain in which each link has one way in and
/// nothing of its own to say is one line, however long.
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <set>
#include <string>
#include <tuple>
#include <unordered_map>
#include <vector>

#include <fedfrom/study/why.hpp>

#include "faults.hpp"
#include "sources.hpp"
#include "view.hpp"

namespace fedfrom::detail {

class Explainer {
public:
    explicit Explainer(const Outcome& out)
        : out_(out), c_(out.network().compiled()), tracer_(out), pictures_(c_.demands.size()) {}

    void element(std::uint32_t e);
    void function(std::uint32_t f);
    /// All sections, one after another.
    std::vector<WhyLine> lines();
    std::vector<RootCause> roots() const { return {roots_.begin(), roots_.end()}; }

    // of one feed, with a demand applied
    /// A feed backwards through diodes is no way in until they have shorted.
    bool is_a_way(std::uint32_t demand, std::uint32_t feed);
    /// "MAIN L (main_l) over the tie main_tie through BUS TIE (tie) at open (blocks)".
    std::string way(std::uint32_t demand, std::uint32_t feed);
    /// "live", or what blocks it, shortly.
    std::string stands_behind(std::uint32_t demand, std::uint32_t feed);

private:
    using Role = WhyLine::Role;
    static constexpr int deepest = 16;

    /// Something to write, and where.
    struct Task {
        enum class What : std::uint8_t {
            supply,     ///< why element `index` is not supplied
            port,       ///< why port `index` is not
            feed,       ///< how it is with feed `index`
            stand,      ///< why element `index` stands where it does
            block,      ///< why it does not pass in `positions`
            condition,  ///< why `condition` is `value`
            function,   ///< why function `index` is not better than it is
            mode,       ///< why mode `positions` of function `index` does not hold
            path,       ///< on what element `index` lives
            line,       ///< `text`
            close,      ///< `open` things are explained
        };
        What what = What::line;
        std::uint32_t index = none, positions = 0;
        const Condition* condition = nullptr;
        bool value = false;
        Role role = Role::statement;
        std::string text{};
        std::vector<std::uint64_t> open{};
        std::uint32_t demand = 0, section = 0;
        int depth = 0;  ///< until it is on the stack: how much deeper than its neighbours
    };
    using Tasks = std::vector<Task>;

    /// One demand's view, with what is worked out about it when first asked for.
    struct Picture {
        View view;
        std::optional<Faults> faults{};
        std::optional<Flow> flow{};
        std::set<std::uint32_t> hunting{};
    };
    struct RootOrder {
        bool operator()(const RootCause& a, const RootCause& b) const { return std::tie(a.kind, a.id, a.word) < std::tie(b.kind, b.id, b.word); }
    };
    enum class Seen : std::uint8_t { open, done };
    struct Mark {
        Seen seen;
        std::uint32_t section;
    };

    const Outcome& out_;
    const Compiled& c_;
    Tracer tracer_;
    std::vector<std::unique_ptr<Picture>> pictures_;  // by demand
    std::vector<std::vector<WhyLine>> sections_{1};
    std::unordered_map<std::uint64_t, Mark> marks_;
    std::set<RootCause, RootOrder> roots_;
    Tasks stack_;

    // the machine
    void run(Tasks tasks);
    void perform(const Task& task);
    void write(const Task& at, Role role, std::string id, std::string text);
    void put(const Task& under, Tasks tasks, int deeper = 1);
    static std::uint64_t key(const Task& task, Task::What what, std::uint32_t index);
    /// Marks it open, so that what stands under it may be written. False, having said so, where it has been
    /// met before, or where lines would nest too deep and it goes on in a section of its own.
    bool open(const Task& task, Task::What what, const std::string& id, const std::string& fact);
    void root(RootCause::Kind kind, const std::string& id, std::string word, std::string text);
    void failure_root(std::uint32_t e, std::string_view mode);
    void fault_root(std::uint32_t zone);
    void hand_root(std::uint32_t e, const std::string& position);
    void given_root(const std::string& id, bool value);
    void used_root(const OneShotInfo& mode);
    Picture& picture(std::uint32_t demand);
    Faults& faults(std::uint32_t demand);
    Flow& flow(std::uint32_t demand);
    const ElementInfo& info(std::uint32_t e) const { return c_.elements[e]; }
    bool everything_unknown(const Task& task);

    // why it is not supplied
    void supply(const Task& task);
    void port(const Task& task);
    void feed(const Task& task);
    std::string not_supplied(const Task& task);
    Tasks reasons(const Task& task);
    std::uint32_t only_way(std::uint32_t demand, std::uint32_t e);
    Tasks blocked(std::uint32_t demand, std::uint32_t feed);
    bool clear(std::uint32_t demand, std::uint32_t feed);
    bool in_fault(std::uint32_t demand, std::uint32_t e, std::uint32_t medium);

    // why it stands there
    struct Because {
        std::string text{};
        Tasks under{};
    };
    void stand(const Task& task);
    void block(const Task& task);
    std::string where(std::uint32_t demand, std::uint32_t e);
    Because because(std::uint32_t demand, std::uint32_t e);
    Because because_of_logic(std::uint32_t demand, std::uint32_t e);
    std::string by_fault(std::uint32_t zone);

    // why a condition holds or not; functions
    void condition(const Task& task);
    void atom(const Task& task);
    void function_task(const Task& task);
    std::string in_use_text(const FunctionInfo& f, std::uint32_t function, const Judgement& judged);
    std::string mode_behind(const FunctionInfo& f, std::uint32_t mode);
    void mode(const Task& task);
    Tasks used_up(const FunctionInfo& function, const ModeInfo& mode, std::uint32_t demand);

    // on what it lives
    void path(const Task& task);
};

}  // namespace fedfrom::detail
