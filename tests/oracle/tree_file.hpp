/// A fault tree from a file of tests/data/aralia as a Formula.
#pragma once

#include <algorithm>
#include <cstdlib>
#include <fstream>
#include <map>
#include <regex>
#include <stdexcept>
#include <string>
#include <utility>
#include <vector>

#include <fedfrom/logic/formula.hpp>

namespace fedfrom::testing {

struct TreeFile {
    Formula formula;
    std::vector<double> probabilities;  // of each variable
};

/// Reads what these files use of the model-exchange format and throws at anything else. The
/// variables are the basic events in the order of their definitions. The top is the gate that no other reads.
class TreeReader {
public:
    explicit TreeReader(const std::string& path) {
        std::ifstream in(path);
        if (!in) throw std::runtime_error("cannot read " + path);
        const std::regex tag(R"re(<(/?)([a-z-]+)(?: (?:name|min|value)="([^"]*)")?(/?)>|<\?.*\?>)re");
        std::string line;
        while (std::getline(in, line))
            for (std::sregex_iterator at(line.begin(), line.end(), tag), end; at != end; ++at)
                if ((*at)[2].matched) element((*at)[2], (*at)[3], (*at)[1].length() != 0, (*at)[4].length() != 0);
    }

    TreeFile build() {
        TreeFile tree{Formula(static_cast<std::uint32_t>(events_.size())), probabilities_};
        std::map<std::string, Term> built;
        std::map<std::string, bool> read;
        for (const auto& [name, gate] : gates_) mark_read(gate, read);
        std::vector<std::string> todo;
        for (const auto& [name, gate] : gates_)
            if (!read[name]) todo.push_back(name);
        if (todo.size() != 1) throw std::runtime_error("not one top gate");
        const std::string top = todo.front();
        while (!todo.empty()) {
            const std::string name = todo.back();
            std::map<std::string, bool> needs;
            mark_read(gates_.at(name), needs);
            std::erase_if(needs, [&](const auto& n) { return built.contains(n.first); });
            for (const auto& n : needs) todo.push_back(n.first);
            if (todo.size() > gates_.size() * gates_.size()) throw std::runtime_error("gates in a ring");
            if (!needs.empty()) continue;
            todo.pop_back();
            if (!built.contains(name)) built[name] = term(tree.formula, gates_.at(name), built);
        }
        tree.formula.top = built.at(top);
        return tree;
    }

private:
    struct Node {
        std::string kind, name;  // and or atleast xor not gate basic-event; the name, or the least number
        std::vector<Node> operands;
    };
    std::map<std::string, Node> gates_;
    std::map<std::string, std::uint32_t> events_;
    std::vector<double> probabilities_;
    std::vector<Node> open_;  // from the definition of a gate inwards

    void element(const std::string& kind, const std::string& value, bool closes, bool empty) {
        if (kind == "define-gate") {
            if (!closes) {
                open_.push_back({kind, value, {}});
            } else {
                if (open_.size() != 1 || open_[0].operands.size() != 1) throw std::runtime_error("a gate is one formula");
                if (!gates_.emplace(open_[0].name, open_[0].operands[0]).second) throw std::runtime_error("two gates of one name");
                open_.clear();
            }
        } else if (kind == "define-basic-event") {
            if (!closes && !events_.emplace(value, static_cast<std::uint32_t>(events_.size())).second) throw std::runtime_error("two events of one name");
        } else if (kind == "float") {
            probabilities_.push_back(std::strtod(value.c_str(), nullptr));
        } else if (kind == "gate" || kind == "basic-event") {
            open_.back().operands.push_back({kind, value, {}});
        } else if (kind == "and" || kind == "or" || kind == "not" || kind == "xor" || kind == "atleast") {
            if (!closes) open_.push_back({kind, value, {}});
            if (closes || empty) {
                Node done = std::move(open_.back());
                open_.pop_back();
                open_.back().operands.push_back(std::move(done));
            }
        } else if (kind != "opsa-mef" && kind != "define-fault-tree" && kind != "model-data") {
            throw std::runtime_error("unknown element " + kind);
        }
    }

    static void mark_read(const Node& node, std::map<std::string, bool>& read) {
        if (node.kind == "gate") read[node.name] = true;
        for (const Node& operand : node.operands) mark_read(operand, read);
    }

    Term term(Formula& f, const Node& node, const std::map<std::string, Term>& built) const {
        if (node.kind == "gate") return built.at(node.name);
        if (node.kind == "basic-event") return f.variable(events_.at(node.name));
        std::vector<Term> operands;
        for (const Node& operand : node.operands) operands.push_back(term(f, operand, built));
        if (node.kind == "and") return f.all(operands);
        if (node.kind == "or") return f.any(operands);
        if (node.kind == "atleast") return f.at_least(static_cast<std::uint32_t>(std::stoul(node.name)), operands);
        if (node.kind == "not" && operands.size() == 1) return !operands[0];
        if (node.kind == "xor" && operands.size() == 2) return f.any({f.all({operands[0], !operands[1]}), f.all({!operands[0], operands[1]})});
        throw std::runtime_error("unknown formula " + node.kind);
    }
};

inline TreeFile read_tree(const std::string& path) { return TreeReader(path).build(); }

}  // namespace fedfrom::testing
