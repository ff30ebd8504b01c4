/// Timing for the benchmarks: repeat, take best and median, keep the answer alive.
#pragma once

#include <algorithm>
#include <chrono>
#include <cstdio>
#include <type_traits>
#include <vector>

namespace fedfrom::bench {

inline double now() { return std::chrono::duration<double>(std::chrono::steady_clock::now().time_since_epoch()).count(); }

struct Times {
    double best_s = 0, median_s = 0;
};

template <class T>
void keep(const T& value) {
    asm volatile("" : : "r"(&value) : "memory");
}

/// How long `work` takes, without taking apart what it gives.
template <class Work>
double seconds_of(Work& work) {
    const double begin = now();
    if constexpr (std::is_void_v<std::invoke_result_t<Work&>>) {
        work();
        return now() - begin;
    } else {
        const auto made = work();
        const double end = now();
        keep(made);
        return end - begin;
    }
}

/// Runs `work` at least `runs` times and for at least `for_s` seconds in all.
template <class Work>
Times time(Work work, int runs = 5, double for_s = 0.2) {
    std::vector<double> each;
    double total = 0;
    while (static_cast<int>(each.size()) < runs || (total < for_s && each.size() < 100000)) {
        each.push_back(seconds_of(work));
        total += each.back();
    }
    std::ranges::sort(each);
    return {each.front(), each[each.size() / 2]};
}

inline void say_machine() {
#if defined(__clang__)
    std::printf("clang %s", __clang_version__);
#else
    std::printf("gcc %s", __VERSION__);
#endif
#ifdef NDEBUG
    std::printf(", optimised\n");
#else
    std::printf(", not optimised: figures mean nothing\n");
#endif
}

}  // namespace fedfrom::bench
