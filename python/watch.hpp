/// Progress and interrupts of questions that take long.
#pragma once

#include "bindings.hpp"

#include <chrono>
#include <exception>
#include <thread>

namespace fedfrom::python {

/// Lets Python have a word while a long question runs: on the thread that called, which alone may see signals and which the
/// caller's progress expects, and not so often that waiting for Python's lock would count.
class Watch {
public:
    explicit Watch(const py::object& progress) : progress_(progress) {}

    bool operator()(double part) {
        if (std::this_thread::get_id() != caller_) return true;
        const auto now = std::chrono::steady_clock::now();
        if (now < next_) return true;
        const py::gil_scoped_acquire locked;
        try {
            if (PyErr_CheckSignals() != 0) throw py::error_already_set();
            if (!progress_.is_none() && progress_(part).is(py::bool_(false))) return false;
        } catch (...) {
            raised_ = std::current_exception();
            return false;
        }
        next_ = std::chrono::steady_clock::now() + std::chrono::milliseconds(50);
        return true;
    }

    /// With Python's lock held: what was raised, else that all is done.
    void end(bool complete) {
        if (raised_) std::rethrow_exception(raised_);
        if (complete && !progress_.is_none()) progress_(1.0);
    }

private:
    const py::object& progress_;
    std::thread::id caller_ = std::this_thread::get_id();
    std::chrono::steady_clock::time_point next_{};
    std::exception_ptr raised_;
};

/// The answer to a question that takes long: `ask` puts it with `options`, whose progress is Python's until it is answered.
template <class Options, class Ask>
auto watched(const py::object& progress, Options& options, Ask ask) {
    Watch watch(progress);
    options.progress = [&watch](double part) { return watch(part); };
    auto found = ask();
    found.options.progress = {};
    watch.end(found.complete);
    return found;
}

}  // namespace fedfrom::python
