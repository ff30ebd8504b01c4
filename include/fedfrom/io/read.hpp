/// Reads a model from JSON: `"format": "fedfrom/1"`, described in schemas/.
///
///     Model m = read_model("examples/ostrea7/ostrea7.json");   // throws ModelError
///     ReadResult r = try_parse_model(text, "mine.json");       // never throws on bad input
///     if (!r.ok()) for (const Diagnostic& d : r.diagnostics) std::cerr << text(d) << '\n';
///
/// Unknown keys, duplicate keys and dangling ids are errors. Every problem the
/// text allows to find is listed, in the order of the file, with JSON pointer,
/// line and column (in characters). The reader fills the model directly, with no
/// tree in between, in time linear in the text; it bounds the depth of brackets
/// and is safe on hostile input.
#pragma once

#include <filesystem>
#include <string_view>
#include <vector>

#include <fedfrom/model/diagnostic.hpp>
#include <fedfrom/model/model.hpp>

namespace fedfrom {

/// A model and what is wrong with it. With diagnostics, the model holds what could be read.
struct ReadResult {
    Model model;
    std::vector<Diagnostic> diagnostics;
    bool ok() const { return diagnostics.empty(); }
};

/// Reads, validates, and applies and validates every variant. `file` is named in the diagnostics.
ReadResult try_parse_model(std::string_view json, std::string_view file = {});

/// As `try_parse_model`, of a file's content; a file that cannot be read is a diagnostic.
ReadResult try_read_model(const std::filesystem::path& path);

/// As `try_parse_model`; throws ModelError with every problem.
Model parse_model(std::string_view json, std::string_view file = {});

/// As `try_read_model`; throws ModelError with every problem.
Model read_model(const std::filesystem::path& path);

}  // namespace fedfrom
