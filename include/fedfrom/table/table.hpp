/// A table as a value, and the forms it is written in: text, Markdown, CSV, HTML, JSON.
///
/// Every result the library prints is built as a `Table` and written here, so
/// that all of them line up, escape and carry the caution in one way. Not a data
/// frame: there is nothing to compute with, only what to print.
///
///     Table t{.title = "Standby bus",
///             .captions = {{"Model", "Two-bus example"}, {"State", "gen_l lost"}},
///             .columns = {{"Element"}, {"Load", "A"}, {"Status"}}};
///     t.rows.push_back({"radio_1", 3.5, {"kept", Mark::kept}});
///     t.rows.push_back({"galley", {}, Mark::lost});
///     std::cout << to_text(t);
///
/// Every writer: same table in, same bytes out, whatever the locale; numbers
/// with up to ten significant digits, integers whole; the title, the captions,
/// the footnotes and the caution (caution.hpp) always with it. Cell, name and
/// caption texts are literal: whatever they hold can neither leave its cell nor
/// become markup, a formula or a terminal command. They are UTF-8; what is not
/// comes out as U+FFFD. A row shorter than the columns is filled with empty
/// cells; a longer one adds columns without a name. Writers are pure functions
/// of the table and throw nothing but bad_alloc.
#pragma once

#include <concepts>
#include <cstdint>
#include <span>
#include <string>
#include <string_view>
#include <utility>
#include <variant>
#include <vector>

#include <fedfrom/table/caution.hpp>

namespace fedfrom {

/// What a cell stands for, beside its value. A writer shows the sign, explains the
/// signs it used under the table, and adds colour only where the sign already says it.
enum class Mark : std::uint8_t { none, kept, degraded, lost, unknown, not_fitted, changed, exceeded };

std::string_view word(Mark);  ///< "kept", "not fitted"
std::string_view sign(Mark);  ///< "✓", "–"; one column wide

struct Cell {
    std::variant<std::monostate, std::string, std::int64_t, double> value;
    Mark mark = Mark::none;

    Cell() = default;
    Cell(Mark m) : mark(m) {}
    Cell(const char* text, Mark m = Mark::none) : value(std::string(text)), mark(m) {}
    Cell(std::string_view text, Mark m = Mark::none) : value(std::string(text)), mark(m) {}
    Cell(std::string text, Mark m = Mark::none) : value(std::move(text)), mark(m) {}
    Cell(std::floating_point auto number, Mark m = Mark::none) : value(static_cast<double>(number)), mark(m) {}
    template <std::integral T>
        requires(!std::same_as<T, bool> && !std::same_as<T, char>)  // say "yes" or "no", or a text
    Cell(T integer, Mark m = Mark::none) : value(static_cast<std::int64_t>(integer)), mark(m) {}

    bool operator==(const Cell&) const = default;
};

enum class Align : std::uint8_t {
    automatic,  ///< right where every cell that is not empty is a number, else left
    left,
    right,
    center,
};

struct Column {
    std::string name;
    std::string unit;  ///< shown in the head, as in "Load (A)"
    Align align = Align::automatic;
    bool operator==(const Column&) const = default;
};

/// A line above the table: "Model: Two-bus example". Sheets name model, edition,
/// variant, state and assumptions this way. Without a label the text stands alone.
struct Caption {
    std::string label;
    std::string text;
    bool operator==(const Caption&) const = default;
};

struct Table {
    std::string title;
    std::vector<Caption> captions;
    std::vector<Column> columns;  ///< the first one heads its row
    std::vector<std::vector<Cell>> rows;
    std::vector<std::string> footnotes;

    bool operator==(const Table&) const = default;
};

/// Aligned plain text for a terminal, wrapped to `width` columns. A table too
/// wide even so is cut into blocks of columns, each repeating the first column.
/// Widths count what a terminal shows: accents add nothing, wide characters two.
std::string to_text(const Table&, int width = 100);

/// A pipe table as GitHub and notebooks read it. Of several, the title stands at the top, with the captions that
/// all tables share, and the caution at the end.
std::string to_markdown(const Table&);
std::string to_markdown(std::span<const Table>, std::string_view title);

/// RFC 4180, UTF-8, CRLF. First the head, then the rows; then title, captions,
/// footnotes and caution as rows that fill only their first field. Text that a
/// spreadsheet would run as a formula gets an apostrophe in front; numbers stay
/// numbers. A marked text reads "degraded: backup", a marked empty cell "lost".
/// Several tables follow one another, an empty line between them.
std::string to_csv(const Table&);
std::string to_csv(std::span<const Table>);

/// A page that needs nothing else: prints on A4 and Letter with the head and the
/// caution on every sheet, follows the reader's light or dark setting. The title
/// stands at the top, with the captions that all tables share; a table has its own
/// title above it where that is another. A table too wide for paper is cut into
/// blocks of columns, each repeating the first column: "Columns 1–7 of 40".
std::string to_html(const Table&);
std::string to_html(std::span<const Table>, std::string_view title);

/// The same without the page around it, as a notebook shows it or another page
/// takes it in. Its style touches nothing outside, and follows the theme of the notebook it stands in. Several
/// tables are a card: on a screen a long table scrolls under its head, and the caution stands once, at the end.
std::string to_html_fragment(const Table&);
std::string to_html_fragment(std::span<const Table>, std::string_view title);

/// {"format": "fedfrom-table/1", "title", "captions", "columns", "rows", "footnotes",
/// "caution"}, and "marks" in the shape of the rows where any cell has one. A
/// number that is not finite is null. Several tables are a list of these.
std::string to_json(const Table&);
std::string to_json(std::span<const Table>);

/// A number as every writer prints it: ten significant digits at most, "." as the
/// decimal point; "infinite", "minus infinite" and "undefined" where it is no number.
std::string number_text(double);

}  // namespace fedfrom
