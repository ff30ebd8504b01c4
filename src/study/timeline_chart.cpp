// The drawing of a timeline. It reads in black and white: what a bar says is said by its height, colour only repeats it.
#include <fedfrom/study/timeline.hpp>

#include <algorithm>
#include <array>

#include <fedfrom/table/caution.hpp>

#include "words.hpp"

namespace fedfrom {
namespace {

using namespace detail;

constexpr int label_width = 250, plot_width = 520, row_height = 22, margin = 12, bar_height = 14;
constexpr std::size_t most_rows = 40;
constexpr double width_of_a_letter = 6.2;  // about, at the size labels have

std::string escaped_svg(std::string_view text) {
    std::string out;
    for (const char c : text) {
        switch (c) {
            case '&': out += "&amp;"; break;
            case '<': out += "&lt;"; break;
            case '>': out += "&gt;"; break;
            case '"': out += "&quot;"; break;
            default: out += c;
        }
    }
    return out;
}

/// Cut to fit, at a letter of its own.
std::string fitting(const std::string& text, double width) {
    const auto letters = [](std::string_view t) { return static_cast<double>(std::ranges::count_if(t, [](char c) { return (c & 0xC0) != 0x80; })); };
    if (letters(text) * width_of_a_letter <= width) return text;
    std::string cut = text;
    while (!cut.empty() && (letters(cut) + 1) * width_of_a_letter > width) {
        while (!cut.empty() && (cut.back() & 0xC0) == 0x80) cut.pop_back();
        if (!cut.empty()) cut.pop_back();
    }
    return cut + "…";
}

/// How a row is drawn from one instant on.
struct Stretch {
    enum class How : std::uint8_t { full, half, line, open };
    How how = How::full;
    std::string label{};
    bool operator==(const Stretch&) const = default;
};

struct ChartRow {
    std::string name{};
    std::vector<Stretch> stretches{};  // before, then by instant
};

Stretch of_level(const Judgement& j, const FunctionInfo& f) {
    std::string label(j.mode == none ? word_of(j.level) : std::string_view(mode_name(f.modes[j.mode])));
    switch (j.level) {
        case Level::normal: return {Stretch::How::full, label};
        case Level::degraded: return {Stretch::How::half, label};
        case Level::unknown: return {Stretch::How::open, label};
        default: return {Stretch::How::line, label};
    }
}

Stretch of_supply(const Outcome& out, std::uint32_t e) {
    const Status status = out.status(ElementHandle{e});
    std::string label(name_of(status));
    std::ranges::replace(label, '_', ' ');
    if (status == Status::unknown) return {Stretch::How::open, label};
    return {status == Status::supplied ? Stretch::How::full : Stretch::How::line, label};
}

template <class Of>
void add_if_it_changes(std::vector<ChartRow>& rows, std::string name, const Timeline& t, Of of) {
    ChartRow row{std::move(name), {of(t.before)}};
    for (const Outcome& out : t.outcomes) row.stretches.push_back(of(out));
    if (std::ranges::any_of(row.stretches, [&](const Stretch& s) { return s.how != row.stretches.front().how || s.label != row.stretches.front().label; })) rows.push_back(std::move(row));
}

/// Seconds, minutes or hours between the marks of an axis, so that there are no more than eight.
double step_for(double until) {
    constexpr std::array<double, 15> steps{1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 21600};
    const auto enough = std::ranges::find_if(steps, [&](double s) { return until / s <= 8; });
    return enough != steps.end() ? *enough : until / 8;
}

class Drawing {
public:
    explicit Drawing(const Timeline& t) : t_(t), until_(t.complete ? t.until_s : t.instants.empty() ? 0 : t.instants.back().seconds) {}

    std::string svg() {
        const Compiled& c = t_.before.network().compiled();
        std::vector<ChartRow> functions, supplies;
        for (const std::uint32_t f : in_group_order(c))
            add_if_it_changes(functions, name_of(c.functions[f]), t_, [&](const Outcome& out) { return of_level(out.judged()[f], c.functions[f]); });
        for (std::uint32_t e = 0; e < c.elements.size(); ++e)
            if (is_a_row(*c.elements[e].element))
                add_if_it_changes(supplies, name_of(c.elements[e]), t_, [&](const Outcome& out) { return of_supply(out, e); });
        const Model& model = t_.before.network().model();
        const std::string& variant = model.variant.empty() ? model.base : model.variant;
        text(margin, 26, "title", model.name + (variant.empty() ? "" : ", variant " + variant));
        y_ = 40;
        events();
        section("Functions", functions);
        section("Sources and buses", supplies);
        axis();
        notes();
        const int width = label_width + plot_width + 3 * margin;
        return "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 " + std::to_string(width) + " " + std::to_string(y_) + "\" width=\"" + std::to_string(width) + "\" role=\"img\">\n" + std::string(style) + grid_ + body_ + "</svg>\n";
    }

private:
    static constexpr std::string_view style = R"(<style>
text { font: 12px system-ui, "Liberation Sans", sans-serif; fill: #1c2126; }
.title { font-size: 16px; font-weight: 600; } .head { font-weight: 600; } .soft { fill: #5a646e; } .said { font-size: 11px; } .caution { font-size: 11px; font-weight: 600; }
.full { fill: #9db8a6; } .half { fill: #e3c46a; } .line { stroke: #a33a32; stroke-width: 2; } .open { fill: none; stroke: #5a4fa0; stroke-dasharray: 4 3; }
.grid { stroke: #c9d0d6; } .event { stroke: #3d4852; stroke-dasharray: 1 3; }
</style>
<rect width="100%" height="100%" fill="#fff"/>
)";

    const Timeline& t_;
    double until_;
    std::string grid_, body_;  // the one behind the other
    int y_ = 0, top_ = 0;

    static bool is_a_row(const Element& e) {
        const auto& kind = row(e.kind);
        return kind.source || kind.conductor || kind.isolates;
    }

    static int left() { return label_width + 2 * margin; }
    double x(double seconds) const { return left() + (until_ > 0 ? seconds / until_ * plot_width : 0); }
    static std::string px(double v) { return digits(static_cast<double>(static_cast<long>(v * 10 + 0.5)) / 10); }

    void text(double at_x, int at_y, std::string_view kind, const std::string& words, std::string_view anchor = "start") {
        body_ += "<text x=\"" + px(at_x) + "\" y=\"" + std::to_string(at_y) + "\" class=\"" + std::string(kind) + "\" text-anchor=\"" + std::string(anchor) + "\">" + escaped_svg(words) + "</text>\n";
    }
    static std::string line(double x1, int y1, double x2, int y2, std::string_view kind) {
        return "<line x1=\"" + px(x1) + "\" y1=\"" + std::to_string(y1) + "\" x2=\"" + px(x2) + "\" y2=\"" + std::to_string(y2) + "\" class=\"" + std::string(kind) + "\"/>\n";
    }

    static std::string at(double seconds) { return seconds >= 120 ? digits(static_cast<double>(static_cast<long>(seconds / 6 + 0.5)) / 10) + " min" : time_text(seconds) + " s"; }

    /// What happens, numbered; the numbers stand over the bars.
    void events() {
        for (std::size_t i = 0; i < t_.instants.size() && i < most_rows; ++i) {
            y_ += 18;
            text(margin, y_, "soft", std::to_string(i + 1) + "  " + at(t_.instants[i].seconds));
            text(margin + 90, y_, "", fitting(t_.instants[i].text, label_width + plot_width - 90.0));
        }
        if (t_.instants.size() > most_rows) y_ += 18, text(margin + 90, y_, "soft", std::to_string(t_.instants.size() - most_rows) + " more");
        y_ += 26;
        double last = -100;
        for (std::size_t i = 0; i < t_.instants.size() && i < most_rows; ++i) {
            const double here = x(t_.instants[i].seconds);
            if (here - last < 16) continue;  // what happens at nearly one time stands together
            std::size_t to = i;
            while (to + 1 < t_.instants.size() && to + 1 < most_rows && x(t_.instants[to + 1].seconds) - here < 16) ++to;
            text(here, y_, "soft", std::to_string(i + 1) + (to > i ? "–" + std::to_string(to + 1) : ""), "middle");
            last = here;
        }
        top_ = y_ + 4;
    }

    void section(const std::string& title, const std::vector<ChartRow>& rows) {
        if (rows.empty()) return;
        y_ += 22;
        text(margin, y_, "head", title);
        for (std::size_t i = 0; i < rows.size() && i < most_rows; ++i) draw(rows[i]);
        if (rows.size() > most_rows) y_ += 18, text(margin, y_, "soft", std::to_string(rows.size() - most_rows) + " more change");
        y_ += 6;
    }

    void draw(const ChartRow& row) {
        y_ += row_height;
        text(margin, y_, "", fitting(row.name, label_width));
        double from = 0;
        for (std::size_t i = 0; i < row.stretches.size(); ++i) {
            const bool last = i + 1 == row.stretches.size();
            const double to = last ? until_ : t_.instants[i].seconds;
            if (!last && row.stretches[i + 1] == row.stretches[i]) continue;
            if (to > from) stretch(row, row.stretches[i], from, to);
            from = to;
        }
    }

    void stretch(const ChartRow& row, const Stretch& s, double from, double to) {
        const double x1 = x(from), x2 = x(to);
        body_ += "<g><title>" + escaped_svg(row.name + ": " + s.label + ", " + at(from) + " to " + at(to)) + "</title>";
        const int base = y_ + 3;
        const int height = s.how == Stretch::How::half ? bar_height / 2 : bar_height;
        if (s.how == Stretch::How::line) body_ += line(x1, base - 1, x2, base - 1, "line");
        else
            body_ += "<rect x=\"" + px(x1) + "\" y=\"" + std::to_string(base - height) + "\" width=\"" + px(x2 - x1) + "\" height=\"" + std::to_string(height) + "\" class=\"" +
                     (s.how == Stretch::How::full ? "full" : s.how == Stretch::How::half ? "half" : "open") + "\"/>";
        body_ += "</g>\n";
        if (x2 - x1 > 30 && s.label != "supplied") text(x1 + 3, s.how == Stretch::How::full || s.how == Stretch::How::open ? y_ : y_ - 5 + (s.how == Stretch::How::line ? 4 : 0), "said", fitting(s.label, x2 - x1 - 6));
    }

    void axis() {
        y_ += 10;
        const int bottom = y_;
        const double step = step_for(until_);
        const bool minutes = until_ >= 300;
        for (double s = 0; s <= until_ * (1 + 1e-9); s += step > 0 ? step : 1) {
            grid_ += line(x(s), top_, x(s), bottom, "grid");
            text(x(s), bottom + 16, "soft", digits(minutes ? s / 60 : s) + (s == 0 ? minutes ? " min" : " s" : ""), "middle");
            if (until_ == 0) break;
        }
        for (const Instant& i : t_.instants) grid_ += line(x(i.seconds), top_, x(i.seconds), bottom, "event");
        y_ += 24;
    }

    void notes() {
        y_ += 18;
        text(margin, y_, "soft", "Full height: normal, or supplied. Half height: degraded. Line: lost, or not supplied. Dashed: unknown. What never changes is left out.");
        if (!t_.complete) y_ += 18, text(margin, y_, "head", fitting("Not complete. " + t_.open, label_width + plot_width + 0.0));
        y_ += 20;
        std::string rest(caution);
        while (!rest.empty()) {
            std::size_t end = rest.size() <= 125 ? rest.size() : rest.rfind(' ', 125);
            text(margin, y_, "caution", rest.substr(0, end));
            rest.erase(0, end + (end < rest.size() ? 1 : 0));
            y_ += 15;
        }
        y_ += margin;
    }
};

}  // namespace

std::string chart(const Timeline& timeline) { return Drawing(timeline).svg(); }

}  // namespace fedfrom
