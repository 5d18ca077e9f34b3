#include <fmt/format.h>

#include <numeric>

#include "outing/draft.h"

/// Are the orders free of cycles? Steps that start together count as one; a task's `after` goes from every step of the
/// one task to every step of the other, by way of two nodes a task so that 500 tasks stay cheap.
namespace handrail::detail {
namespace {

class OrderGraph {
public:
    explicit OrderGraph(const Draft& draft) : outing_(draft.outing), group_(outing_.steps.size()) {
        std::iota(group_.begin(), group_.end(), std::size_t{0});
        for (const Order& order : outing_.orders)
            if (order.starts_together) group_[root(index(order.before))] = root(index(order.after));
        next_.resize(outing_.steps.size() + 2 * outing_.tasks.size());
        for (const Order& order : outing_.orders)
            if (!order.starts_together) link(node(order.before), node(order.after));
        for (const Task& task : outing_.tasks) {
            for (const StepId step : task.steps) {
                link(start_of(task.id), node(step));
                link(node(step), end_of(task.id));
            }
            for (const TaskId before : task.after) link(end_of(before), start_of(task.id));
        }
    }

    /// The steps of one cycle in order, or nothing.
    std::vector<StepId> cycle() {
        std::vector<Colour> colour(next_.size(), Colour::fresh);
        for (std::size_t first = 0; first < next_.size(); ++first) {
            if (colour[first] != Colour::fresh) continue;
            std::vector<std::pair<std::size_t, std::size_t>> way{{first, 0}};  // node, next edge to follow
            colour[first] = Colour::on_way;
            while (!way.empty()) {
                auto& [at, edge] = way.back();
                if (edge == next_[at].size()) {
                    colour[at] = Colour::done;
                    way.pop_back();
                    continue;
                }
                const std::size_t to = next_[at][edge++];
                if (colour[to] == Colour::on_way) return steps_from(way, to);
                if (colour[to] == Colour::fresh) {
                    colour[to] = Colour::on_way;
                    way.emplace_back(to, 0);
                }
            }
        }
        return {};
    }

private:
    enum class Colour { fresh, on_way, done };

    std::size_t root(std::size_t step) {
        while (group_[step] != step) step = group_[step] = group_[group_[step]];
        return step;
    }
    std::size_t node(StepId step) { return root(index(step)); }
    std::size_t start_of(TaskId task) const { return outing_.steps.size() + 2 * index(task); }
    std::size_t end_of(TaskId task) const { return start_of(task) + 1; }
    void link(std::size_t before, std::size_t after) { next_[before].push_back(after); }
    std::vector<StepId> steps_from(const std::vector<std::pair<std::size_t, std::size_t>>& way, std::size_t to) const {
        std::vector<StepId> steps;
        bool in_cycle = false;
        for (const auto& [at, edge] : way) {
            in_cycle = in_cycle || at == to;
            if (in_cycle && at < outing_.steps.size()) steps.push_back(static_cast<StepId>(at));
        }
        return steps;
    }

    const Outing& outing_;
    std::vector<std::size_t> group_;
    std::vector<std::vector<std::size_t>> next_;
};

}  // namespace

void check_orders(const Draft& draft, Context& context) {
    const Outing& outing = draft.outing;
    const std::vector<StepId> cycle = OrderGraph(draft).cycle();
    if (cycle.empty()) return;
    constexpr std::size_t most_named = 8;
    std::string text;
    for (std::size_t i = 0; i < cycle.size() && i < most_named; ++i) text += outing.step(cycle[i]).label + " before ";
    if (cycle.size() > most_named) text += "... before ";
    text += outing.step(cycle.front()).label;
    const Step& first = outing.step(cycle.front());
    context.errors.add(draft.steps.place(index(first.id)), fmt::format("step {}, after", shown_text(first.label)),
                       "an order of steps without a circle", text, "take one of these orders out");
}

}  // namespace handrail::detail
