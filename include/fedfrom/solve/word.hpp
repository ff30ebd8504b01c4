/// The words the meaning runs on: one state, or many states side by side.
///
/// A word holds one truth value per state. Everything in solve/ is written once
/// over any word that has & | ^ ~, `filled` and `any`.
#pragma once

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

template <class W>
constexpr W& operator|=(W& a, W b) requires requires { W::filled(true); } { return a = a | b; }
template <class W>
constexpr W& operator&=(W& a, W b) requires requires { W::filled(true); } { return a = a & b; }

}  // namespace fedfrom
