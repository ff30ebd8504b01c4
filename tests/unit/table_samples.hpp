/// The two tables the writers' tests print.
#pragma once

#include <fedfrom/table/table.hpp>

namespace samples {

/// As a study would make it.
inline fedfrom::Table sheet() {
    using fedfrom::Mark;
    fedfrom::Table t{.title = "Standby bus",
                     .captions = {{"Model", "Two-bus example, edition 1"}, {"State", "gen_l lost"}, {"", "A line alone."}},
                     .columns = {{"Element"}, {"Load", "A"}, {"Status"}}};
    t.rows.push_back({"radio_1", 3.5, {"kept", Mark::kept}});
    t.rows.push_back({"galley", {}, Mark::lost});
    t.rows.push_back({"pump", 12, {"standby", Mark::degraded}});
    t.footnotes = {"Currents are those of cruise."};
    return t;
}

/// Every text tries to be more than text.
inline fedfrom::Table hostile() {
    fedfrom::Table t{.title = "# <b>T</b>",
                     .captions = {{"Model", "a\nb </dl>"}},
                     .columns = {{"=HEAD()"}, {"a|b", "<A>"}}};
    t.rows.push_back({"=1+1", "a|b\nc"});
    t.rows.push_back({"<script>alert('x')</script>", "*bold* _it_ gen_l `c` [l](u) $x$ \\"});
    t.rows.push_back({"\x1b[31mred", "caf\xC3\xA9 \xE2\x82\xAC \xFF"});
    t.rows.push_back({"@cmd", "say \"hi\", \xE2\x80\xAEx"});
    t.footnotes = {"- not a list"};
    return t;
}

}  // namespace samples
