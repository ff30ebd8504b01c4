/// The aircraft that sessions and sweeps are tried on: the demo in both variants, a small one, a generated one, one that uses every key.
#pragma once

#include <string>
#include <vector>

#include <fedfrom/io/read.hpp>
#include <fedfrom/io/variant.hpp>
#include <fedfrom/network/network.hpp>

#include "../bench/aircraft.hpp"

inline std::vector<fedfrom::Network> networks() {
    using namespace fedfrom;
    const std::string root = FEDFROM_SOURCE_DIR;
    const Model ostrea = read_model(root + "/examples/ostrea7/ostrea7.json");
    return {Network(ostrea), Network(variant_of(ostrea, "b")), Network(read_model(root + "/tests/models/two_bus.json")), Network(bench::aircraft(150)),
            Network(read_model(root + "/tests/models/every_key.json"))};
}
