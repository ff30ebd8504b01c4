/// The words the meaning runs on: one state, or many states side by side.
///
/// A word holds one truth value per state. Everything in solve/ is written once
/// over any word that has & | ^ ~, `filled` and `any`.
#pragma once

#include <cstddef>
#include <cstdint>

namespace fedfrom {

/// One state in a byte, 0 or 1.
struct One {
    std::uint8_t bits = 0;
    static constexpr One filled(bool on) { return {static_cast<std::uint8_t>(on)}; }
    friend constexpr One operator&(One a, One b) { return {static_cast<std::uint8_t>(a.bits & b.bits)}; }
    friend constexpr One operator|(One a, One b) { return {static_cast<std::uint8_t>(a.bits | b.bits)}; }
    friend constexpr One operator^(One a, One b) { return {static_cast<std::uint8_t>(a.bits ^ b.bits)}; }
    friend constexpr One operator~(One a) { return {static_cast<std::uint8_t>(a.bits ^ 1)}; }
    friend constexpr bool any(One a) { return a.bits != 0; }
    bool operator==(const One&) const = default;
};

/// 64 states, one per bit.
struct Lanes {
    std::uint64_t bits = 0;
    static constexpr Lanes filled(bool on) { return {on ? ~std::uint64_t{0} : 0}; }
    friend constexpr Lanes operator&(Lanes a, Lanes b) { return {a.bits & b.bits}; }
    friend constexpr Lanes operator|(Lanes a, Lanes b) { return {a.bits | b.bits}; }
    friend constexpr Lanes operator^(Lanes a, Lanes b) { return {a.bits ^ b.bits}; }
    friend constexpr Lanes operator~(Lanes a) { return {~a.bits}; }
    friend constexpr bool any(Lanes a) { return a.bits != 0; }
    bool operator==(const Lanes&) const = default;
};

// Instruction sets. `run` compiles what it is given, and all that draws in, for the set; what it calls beyond that must not
// take or give vectors, since how they are passed differs between sets. For `Wide<Set>` alone, so that no other file
// can come to share such code.
struct Baseline {
    static constexpr std::size_t bytes = 16;  ///< of a vector register
    template <class Work>
    static void run(Work work) { work(); }
};
#if defined(__x86_64__)
struct Avx2 {
    static constexpr std::size_t bytes = 32;
    template <class Work>
    [[gnu::flatten, gnu::target("avx2,bmi,bmi2")]] static void run(Work work) { work(); }
};
struct Avx512 {
    static constexpr std::size_t bytes = 64;
    template <class Work>
    [[gnu::flatten, gnu::target("avx512f,avx512bw,avx512vl,bmi,bmi2")]] static void run(Work work) { work(); }
};
#endif

#pragma GCC diagnostic push
#pragma GCC diagnostic ignored "-Wpsabi"  // of vectors as such, which are never passed but to what is always inline

/// 512 states, eight words of 64.
template <class Isa>
struct alignas(64) Wide {
    using Set = Isa;
    static constexpr std::uint32_t words = 8, states = 64 * words;
    std::uint64_t bits[words]{};

    // In vectors as wide as a register: of wider ones gcc makes copies by way of memory.
    using Piece [[gnu::vector_size(Isa::bytes)]] = std::uint64_t;
    static constexpr std::uint32_t words_a_piece = Isa::bytes / 8;
    template <class Op>
    [[gnu::always_inline]] static Wide each(Op op) {
        Wide w;
#pragma GCC unroll 4
        for (std::uint32_t i = 0; i < words; i += words_a_piece) {
            const Piece piece = op(i);
            __builtin_memcpy(w.bits + i, &piece, sizeof piece);
        }
        return w;
    }
    [[gnu::always_inline]] Piece piece(std::uint32_t i) const {
        Piece p;
        __builtin_memcpy(&p, bits + i, sizeof p);
        return p;
    }
    [[gnu::always_inline]] static Wide filled(bool on) {
        return each([on](std::uint32_t) { return Piece{} - std::uint64_t{on}; });
    }
    [[gnu::always_inline]] friend Wide operator&(const Wide& a, const Wide& b) {
        return each([&](std::uint32_t i) { return a.piece(i) & b.piece(i); });
    }
    [[gnu::always_inline]] friend Wide operator|(const Wide& a, const Wide& b) {
        return each([&](std::uint32_t i) { return a.piece(i) | b.piece(i); });
    }
    [[gnu::always_inline]] friend Wide operator^(const Wide& a, const Wide& b) {
        return each([&](std::uint32_t i) { return a.piece(i) ^ b.piece(i); });
    }
    [[gnu::always_inline]] friend Wide operator~(const Wide& a) {
        return each([&](std::uint32_t i) { return ~a.piece(i); });
    }
    [[gnu::always_inline]] friend bool any(const Wide& a) {
        using Pair [[gnu::vector_size(16)]] = std::uint64_t;
        Pair some{};
#pragma GCC unroll 4
        for (std::uint32_t i = 0; i < words; i += 2) {
            Pair pair;
            __builtin_memcpy(&pair, a.bits + i, sizeof pair);
            some |= pair;
        }
        return (some[0] | some[1]) != 0;
    }
    [[gnu::always_inline]] bool operator==(const Wide& other) const { return !any(*this ^ other); }
};
template <class W>
constexpr W& operator|=(W& a, const W& b) requires requires { W::filled(true); } { return a = a | b; }
template <class W>
constexpr W& operator&=(W& a, const W& b) requires requires { W::filled(true); } { return a = a & b; }

namespace detail {
/// Runs the hot part of the work on words `W`, compiled for their instruction set.
template <class W, class Work>
void run_hot(Work work) {
    if constexpr (requires { typename W::Set; }) W::Set::run(work);
    else work();
}

// A word piece by piece, each a register; one that is no vector is its own only piece.
template <class W, class Op>
[[gnu::always_inline]] inline W each_piece(Op op) {
    if constexpr (requires { typename W::Piece; }) return W::each(op);
    else return op(0);
}
template <class W>
[[gnu::always_inline]] inline auto piece(const W& w, std::uint32_t i) {
    if constexpr (requires { typename W::Piece; }) return w.piece(i);
    else return w;
}
template <class W, class Piece>
[[gnu::always_inline]] inline void put_piece(W& w, std::uint32_t i, const Piece& piece) {
    if constexpr (requires { typename W::Piece; }) __builtin_memcpy(w.bits + i, &piece, sizeof piece);
    else w = piece;
}
}  // namespace detail
#pragma GCC diagnostic pop

}  // namespace fedfrom
