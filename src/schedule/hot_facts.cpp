#include "schedule/hot_facts.h"

#include <algorithm>

namespace handrail::schedule::detail {
namespace {

std::size_t mix(Fact fact) {
    std::uint64_t key =
        static_cast<std::uint64_t>(static_cast<std::uint32_t>(fact.side)) << 32 | static_cast<std::uint32_t>(fact.at);
    key *= 0x9e3779b97f4a7c15u;
    return static_cast<std::size_t>(key >> 20);
}

}  // namespace

int HotFacts::find(Fact fact) const {
    if (table_.empty()) return -1;
    const std::size_t mask = table_.size() - 1;
    for (std::size_t at = mix(fact) & mask; table_[at] >= 0; at = (at + 1) & mask)
        if (known_[table_[at]].fact == fact) return table_[at];
    return -1;
}

void HotFacts::grow() {
    table_.assign(std::max<std::size_t>(1024, table_.size() * 2), -1);
    const std::size_t mask = table_.size() - 1;
    for (std::size_t number = 0; number < known_.size(); ++number) {
        std::size_t at = mix(known_[number].fact) & mask;
        while (table_[at] >= 0) at = (at + 1) & mask;
        table_[at] = static_cast<int>(number);
    }
}

int HotFacts::add(Fact fact) {
    if (known_.size() * 2 >= table_.size()) grow();
    const std::size_t mask = table_.size() - 1;
    std::size_t at = mix(fact) & mask;
    while (table_[at] >= 0) at = (at + 1) & mask;
    const int number = static_cast<int>(known_.size());
    table_[at] = number;
    known_.push_back({fact, 0, -1});
    insert(number);
    return number;
}

void HotFacts::heat(Fact fact, Learn learn) {
    fact = plain(fact);
    int number = find(fact);
    if (number < 0 && learn == Learn::no) return;
    if (number < 0) number = add(fact);
    known_[number].heat += step_;
    if (known_[number].slot >= 0) rise(known_[number].slot);
    if (known_[number].heat < 1e100) return;
    for (Known& known : known_) known.heat *= 1e-100;
    step_ *= 1e-100;
}

std::optional<Fact> HotFacts::pop() {
    if (heap_.empty()) return std::nullopt;
    const int top = heap_.front();
    known_[top].slot = -1;
    const int last = heap_.back();
    heap_.pop_back();
    if (!heap_.empty()) {
        heap_.front() = last;
        known_[last].slot = 0;
        sink(0);
    }
    return known_[top].fact;
}

void HotFacts::set_aside(Fact fact, int level) {
    if (level > 0) aside_.push_back({find(plain(fact)), level});
}

void HotFacts::back_to(int level) {
    while (!aside_.empty() && aside_.back().level > level) {
        insert(aside_.back().number);
        aside_.pop_back();
    }
}

void HotFacts::insert(int number) {
    if (known_[number].slot >= 0) return;
    known_[number].slot = static_cast<int>(heap_.size());
    heap_.push_back(number);
    rise(known_[number].slot);
}

void HotFacts::rise(int slot) {
    const int number = heap_[slot];
    while (slot > 0) {
        const int parent = (slot - 1) / 2;
        if (known_[heap_[parent]].heat >= known_[number].heat) break;
        heap_[slot] = heap_[parent];
        known_[heap_[slot]].slot = slot;
        slot = parent;
    }
    heap_[slot] = number;
    known_[number].slot = slot;
}

void HotFacts::sink(int slot) {
    const int number = heap_[slot], size = static_cast<int>(heap_.size());
    while (2 * slot + 1 < size) {
        int child = 2 * slot + 1;
        if (child + 1 < size && known_[heap_[child + 1]].heat > known_[heap_[child]].heat) ++child;
        if (known_[number].heat >= known_[heap_[child]].heat) break;
        heap_[slot] = heap_[child];
        known_[heap_[slot]].slot = slot;
        slot = child;
    }
    heap_[slot] = number;
    known_[number].slot = slot;
}

}  // namespace handrail::schedule::detail
