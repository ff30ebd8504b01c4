#include <fedfrom/io/variant.hpp>

#include <algorithm>
#include <map>
#include <set>

#include <nlohmann/json.hpp>

#include <fedfrom/io/write.hpp>
#include <fedfrom/model/nearest.hpp>

#include "parse.hpp"

namespace fedfrom {

namespace {

using nlohmann::json;

Diagnostic in_variant(const std::string& id, std::string code, const std::string& where, const std::string& message, std::string hint) {
    return {std::move(code), "/variants/" + id, "In variant `" + id + "`" + (where.empty() ? ": " : " at " + where + ": ") + message, std::move(hint), {}, 0, 0};
}

/// The variants to apply, first to last. Empty, with a diagnostic, if the chain is broken.
std::vector<std::string> chain_to(const Model& m, const std::string& id, std::vector<Diagnostic>& problems) {
    std::vector<std::string> chain;
    std::set<std::string> met;
    for (std::string next = id; !next.empty() && next != m.base;) {
        const auto v = m.variants.find(next);
        if (v == m.variants.end()) {
            problems.push_back(in_variant(id, "dangling_id", "", "`" + next + "` is not in the model; a variant is needed.", ""));
            return {};
        }
        if (!met.insert(next).second) {
            problems.push_back(in_variant(id, "variant_ring", "", "it builds on a ring of variants.", ""));
            return {};
        }
        chain.push_back(next);
        next = v->second.on;
    }
    std::ranges::reverse(chain);
    return chain;
}

/// The reason of an exception, without the library's own numbering.
std::string reason_of(const json::exception& e) {
    const std::string_view what = e.what();
    const std::size_t end = what.find("] ");
    return std::string(end == std::string_view::npos ? what : what.substr(end + 2));
}

void apply_patch(json& document, const std::string& id, const std::string& patch_text, std::vector<Diagnostic>& problems) {
    const json patch = json::parse(patch_text, nullptr, false);
    if (patch.is_discarded() || (!patch.is_object() && !patch.is_array())) {
        problems.push_back(in_variant(id, "bad_patch", "", "the patch is not JSON, an object or a list of operations.", ""));
        return;
    }
    if (patch.is_object()) {
        document.merge_patch(patch);
    } else {
        try {
            document.patch_inplace(patch);
        } catch (const json::exception& e) {
            problems.push_back(in_variant(id, "bad_patch", "", "an operation does not apply: " + reason_of(e) + ".",
                                          "Paths name places in the canonical form of the model; a key with its default is not there."));
            return;
        }
    }
    if (!document.is_object() || document.contains("variants") || document.contains("variant"))
        problems.push_back(in_variant(id, "bad_patch", "", "a patch cannot change the variants.", ""));
}

/// Applies variants to one model. Documents on the way are kept, as several variants may build on one.
class Patcher {
public:
    explicit Patcher(const Model& m) : m_(m) {
        Model bare = m;
        bare.variants.clear();
        base_ = json::parse(write_model(bare));
    }

    /// The variant, or what is wrong with it.
    ReadResult variant(const std::string& id) {
        ReadResult result;
        const std::vector<std::string> chain = chain_to(m_, id, result.diagnostics);
        if (chain.empty()) return result;
        json document = base_;
        for (const std::string& next : chain) {
            apply_patch(document, next, m_.variants.at(next).patch, result.diagnostics);
            if (!result.ok()) return result;
        }
        result = io::parse(document.dump(), {}, io::Variants::leave);
        for (Diagnostic& d : result.diagnostics) d = in_variant(id, d.code, d.pointer, d.message, d.hint);
        result.model.variants = m_.variants;
        result.model.variant = id;
        return result;
    }

private:
    const Model& m_;
    json base_;
};

}  // namespace

Model variant_of(const Model& model, std::string_view variant) {
    if (variant.empty() || variant == model.variant || (model.variant.empty() && variant == model.base)) return model;
    const std::string id(variant);
    if (!model.variant.empty())
        throw ModelError({{"already_variant", "", "This model is its variant `" + model.variant + "` already; it does not give others.", "Ask the base.", {}, 0, 0}});
    if (!model.variants.contains(id)) {
        std::vector<std::string> known;
        if (!model.base.empty()) known.push_back(model.base);
        for (const auto& [name, unused] : model.variants) known.push_back(name);
        throw UnknownId("`" + id + "` is no variant of this model." + did_you_mean(id, known));
    }
    ReadResult result = Patcher(model).variant(id);
    if (!result.ok()) throw ModelError(std::move(result.diagnostics));
    return std::move(result.model);
}

std::vector<Diagnostic> check_variants(const Model& model) {
    std::vector<Diagnostic> all;
    if (model.variants.empty() || !model.variant.empty()) return all;
    Patcher patcher(model);
    std::map<std::string, std::vector<Diagnostic>> by_variant;
    for (const auto& [id, unused] : model.variants) by_variant[id] = patcher.variant(id).diagnostics;
    // Without the name of the variant in front: the same problem in a variant and in what it builds on is the same.
    const auto problem = [](const Diagnostic& d) { return d.code + d.message.substr(std::min(d.message.size(), d.message.find('`', d.message.find('`') + 1))); };
    for (const auto& [id, diagnostics] : by_variant) {
        std::set<std::string> known;
        if (const auto on = by_variant.find(model.variants.at(id).on); on != by_variant.end())
            for (const Diagnostic& d : on->second) known.insert(problem(d));
        for (const Diagnostic& d : diagnostics)
            if (!known.contains(problem(d))) all.push_back(d);
    }
    return all;
}

}  // namespace fedfrom
