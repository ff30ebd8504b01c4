/// What few elements have, kept small where it is missing.
///
/// A model of 100,000 elements is read, checked and compiled in the time it takes
/// to go through its memory, so an element's rare facets must cost next to nothing
/// where they are not there: `Rare` is a std::optional of one word, `SmallMap` a
/// std::map of three. Both are plain values: copied deep, compared by content.
#pragma once

#include <algorithm>
#include <concepts>
#include <cstddef>
#include <initializer_list>
#include <memory>
#include <stdexcept>
#include <string>
#include <string_view>
#include <type_traits>
#include <utility>
#include <vector>

namespace fedfrom {

/// A value that may be missing, behind a pointer. Used like std::optional.
template <class T>
class Rare {
public:
    Rare() = default;
    template <class U = T>
        requires(std::constructible_from<T, U> && !std::same_as<std::remove_cvref_t<U>, Rare>)
    Rare(U&& value) : value_(std::make_unique<T>(std::forward<U>(value))) {}

    Rare(const Rare& other) : value_(other ? std::make_unique<T>(*other) : nullptr) {}
    Rare(Rare&&) noexcept = default;
    Rare& operator=(const Rare& other) { return *this = Rare(other); }
    Rare& operator=(Rare&&) noexcept = default;
    ~Rare() = default;

    template <class... Args>
    T& emplace(Args&&... args) { return *(value_ = std::make_unique<T>(std::forward<Args>(args)...)); }
    void reset() { value_.reset(); }

    bool has_value() const { return value_ != nullptr; }
    explicit operator bool() const { return has_value(); }
    T& operator*() { return *value_; }
    const T& operator*() const { return *value_; }
    T* operator->() { return value_.get(); }
    const T* operator->() const { return value_.get(); }

    bool operator==(const Rare& other) const { return has_value() == other.has_value() && (!has_value() || *value_ == *other.value_); }

private:
    std::unique_ptr<T> value_;
};

/// A few values keyed by word, in the order of the words. Used like std::map<std::string, T>, but
/// adding one moves the others: hold no references meanwhile.
template <class T>
class SmallMap {
public:
    using value_type = std::pair<std::string, T>;
    using iterator = typename std::vector<value_type>::iterator;
    using const_iterator = typename std::vector<value_type>::const_iterator;

    SmallMap() = default;
    SmallMap(std::initializer_list<value_type> list) {
        for (const auto& [key, value] : list) try_emplace(key, value);
    }

    iterator begin() { return entries_.begin(); }
    iterator end() { return entries_.end(); }
    const_iterator begin() const { return entries_.begin(); }
    const_iterator end() const { return entries_.end(); }
    std::size_t size() const { return entries_.size(); }
    bool empty() const { return entries_.empty(); }

    iterator find(std::string_view key) { return found(*this, key); }
    const_iterator find(std::string_view key) const { return found(*this, key); }
    bool contains(std::string_view key) const { return find(key) != end(); }
    T& at(std::string_view key) { return present(*this, key); }
    const T& at(std::string_view key) const { return present(*this, key); }
    T& operator[](std::string_view key) { return try_emplace(key).first->second; }

    /// Adds a value unless there is one; says where it is and whether it was added.
    template <class... Args>
    std::pair<iterator, bool> try_emplace(std::string_view key, Args&&... args) {
        const iterator place = not_before(*this, key);
        if (place != end() && place->first == key) return {place, false};
        return {entries_.emplace(place, std::string(key), T(std::forward<Args>(args)...)), true};
    }
    std::size_t erase(std::string_view key) {
        return std::erase_if(entries_, [&](const value_type& entry) { return entry.first == key; });
    }

    bool operator==(const SmallMap&) const = default;

private:
    std::vector<value_type> entries_;  // in the order of their keys

    template <class Self>
    static auto not_before(Self& self, std::string_view key) {
        return std::find_if(self.begin(), self.end(), [&](const value_type& entry) { return entry.first >= key; });
    }
    template <class Self>
    static auto found(Self& self, std::string_view key) {
        const auto place = not_before(self, key);
        return place != self.end() && place->first == key ? place : self.end();
    }
    template <class Self>
    static auto& present(Self& self, std::string_view key) {
        const auto place = found(self, key);
        if (place == self.end()) throw std::out_of_range("nothing is called " + std::string(key));
        return place->second;
    }
};

}  // namespace fedfrom
