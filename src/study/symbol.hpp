// A word that holds every combination of what may happen: a truth value for each, as a decision diagram.
#pragma once

#include <fedfrom/logic/diagram.hpp>

namespace fedfrom::detail {

/// As the words of solve/, so that what settles one state settles all of them at once. Constants are of no store.
class Symbol {
public:
    Symbol() = default;
    Symbol(Diagrams& store, Diagram value) : store_(value == Diagrams::never || value == Diagrams::always ? nullptr : &store), value_(value) {}
    static Symbol filled(bool on) {
        Symbol all;
        all.value_ = on ? Diagrams::always : Diagrams::never;
        return all;
    }
    Diagram value() const { return value_; }

    friend Symbol operator&(const Symbol& a, const Symbol& b) {
        if (!a.store_) return any(a) ? b : a;
        if (!b.store_) return any(b) ? a : b;
        return {*a.store_, a.store_->all(a.value_, b.value_)};
    }
    friend Symbol operator^(const Symbol& a, const Symbol& b) {
        if (!a.store_) return any(a) ? ~b : b;
        if (!b.store_) return any(b) ? ~a : a;
        return {*a.store_, a.store_->if_then_else(a.value_, !b.value_, b.value_)};
    }
    friend Symbol operator~(Symbol a) {
        a.value_ = !a.value_;
        return a;
    }
    friend Symbol operator|(const Symbol& a, const Symbol& b) { return ~(~a & ~b); }
    friend bool any(const Symbol& a) { return a.value_ != Diagrams::never; }
    bool operator==(const Symbol& other) const { return value_ == other.value_; }

private:
    Diagrams* store_ = nullptr;  // of what is no constant
    Diagram value_ = Diagrams::never;
};

}  // namespace fedfrom::detail
