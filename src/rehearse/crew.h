#pragma once

#include <array>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "lifesupport/consumption.h"
#include "plan/situation.h"
#include "rehearse/luck.h"

/// The crew, the arm and the ground of a rehearsal: they work through the timeline they were given in its order, take
/// the time they really take, wait for windows, partners and holds as crews do, and say what they do. They know nothing
/// of the journal; the lead hears the calls and writes the record.
namespace handrail::rehearse {

/// Something said on the loop.
struct Call {
    enum class What : std::uint8_t {
        words,
        began,
        ended,
        trouble,
        lost,
        unable,
        stopped,
        egress_done,
        home,
        hold,
        resume,
        reading
    };
    Pet at{};
    What what = What::words;
    std::string who;    ///< "EV1", "IV", "ground"
    std::string words;  ///< "Starting: Open the panel."
    std::string line;   ///< the entry line that records it; empty when there is nothing to record
    std::optional<StepId> step;
    bool of_health = false;  ///< for the medical reader alone
};

/// What really happened, for the debrief.
struct Happened {
    Activity activity;  ///< as run
    Seconds planned{};  ///< what the timeline in force gave it
    bool finished = true;
};
struct Struck {
    StepId step{};
    std::size_t trouble = 0;
    Pet at{};
    Seconds extra{};
    std::optional<ItemId> lost;
};

/// A mishap that came true.
struct Befallen {
    Mishap mishap;
    Pet at{};
    std::optional<Pet> over{};  ///< none: it is not over
};

class World {
public:
    /// `windows` are those of the planned PET zero; outing and luck must outlive it.
    World(const Outing& outing, WindowTable windows, const Timeline& plan, const Luck& luck);

    /// When something happens next if nobody says anything; nothing when all is over or everybody waits for the lead.
    std::optional<Pet> next() const;
    /// Everything up to that moment, in order.
    std::vector<Call> advance(Pet to);
    bool over() const { return inside_; }
    Pet now() const { return now_; }

    /// From here on they follow this timeline's order: what is not done of it yet.
    void follow(const Timeline& timeline);
    /// What serves in place of a lost tool, by item.
    void use(const std::vector<ItemId>& stands_in) { stands_in_ = stands_in; }
    /// Nobody starts anything new.
    void hold() { held_by_lead_ = true; }
    void resume() { held_by_lead_ = false; }
    /// Whatever suited crew are doing they stop, except making a worksite safe; the calls say so.
    std::vector<Call> stop();

    const std::vector<Happened>& happened() const { return happened_; }
    const std::vector<Struck>& struck() const { return struck_; }
    const std::vector<Befallen>& befallen() const { return befallen_; }
    /// As they turned out: coverage that was lost is not in them.
    const WindowTable& windows() const { return windows_; }
    const std::vector<plan::StepStatus>& steps() const { return steps_; }
    const Timeline& instructions() const { return timeline_; }
    /// Moments at which the last calls of hold and late start came, for the debrief.
    std::optional<Pet> talk_at() const { return talk_at_; }
    /// Everything as it ran, as a timeline for the checker.
    Timeline as_run() const;
    /// Drawn from this suit so far, with this person's true metabolic rate.
    lifesupport::Amounts used(Crew crew) const;

private:
    struct Running {
        Activity activity;
        Seconds planned{};
        Pet end{};
        bool fails = false;        ///< ends without being done
        std::vector<Call> to_say;  ///< within it, by time
    };
    struct Blocked {
        bool now = false;       ///< could begin now
        bool never = false;     ///< cannot begin any more
        std::optional<Pet> at;  ///< could begin then
        std::string why;
    };

    void begin_all(std::vector<Call>& calls);
    bool begin_one(std::vector<Call>& calls);
    void begin(std::size_t number, std::vector<Call>& calls);
    void end(const Running& running, std::vector<Call>& calls);
    Blocked judge(const Activity& activity) const;
    Blocked judge_step(const Step& step, const Activity& activity) const;
    bool at_front(std::size_t number) const;
    bool next_window() const;
    Pet gloves_due(Crew crew) const;
    bool idle(Crew crew) const;
    bool bring_arm(const Activity& next);
    Seconds closely_followed(const Activity& activity) const;
    void look_at_gloves(Crew crew);
    bool check_gloves(const Activity& next);
    Pet rested_at(const Step& step, const Activity& activity) const;
    void worked(const Activity& activity);
    bool lanes_free(const Activity& activity) const;
    bool skippable(const Activity& activity) const;
    std::optional<Pet> window_start(const Step& step, Seconds planned, Pet from) const;
    Seconds wait_for_chain(const Step& step, Seconds planned, Pet start) const;
    void give_up(const Step& step, const std::string& why, std::vector<Call>& calls);
    void schedule_step(Running& running, std::vector<Call>& calls);
    Seconds true_length(const Activity& activity) const;
    std::optional<StepId> next_step_of(const Activity& activity) const;
    std::optional<ItemId> missing(const Step& step) const;
    bool in_reach(ItemId item, Crew crew) const;
    void effects(const Step& step);
    Crew lead_of(TaskId task) const;
    bool held() const { return held_by_lead_ || (talk_until_ && now_ < *talk_until_); }
    template <class Stops>
    void stop_where(const Stops& stops, std::vector<Call>& calls);
    void mishaps(std::vector<Call>& calls);
    void befall(const Mishap& mishap, std::vector<Call>& calls);
    void becomes_unable(Crew crew, std::vector<Call>& calls);
    void loses_coverage(const Befallen& one);
    void is_over(Befallen& one, std::vector<Call>& calls);
    std::optional<Pet> next_mishap() const;
    /// Somebody can do no more, and nobody has said yet how it goes on: nobody goes on alone.
    bool waits_for_lead() const { return (!able_[0] || !able_[1]) && !told_; }
    std::optional<std::string> out_of_bounds(const Activity& activity, std::optional<Pet>& until) const;
    ItemId in_use(ItemId item) const { return stands_in_.empty() ? item : stands_in_[index(item)]; }
    void timed_calls(std::vector<Call>& calls);
    void readings(std::vector<Call>& calls);
    Call say(Call::What what, std::string who, std::string words, std::string line = {},
             std::optional<StepId> step = std::nullopt) const;

    const Outing& outing_;
    WindowTable windows_;
    const Luck& luck_;
    Timeline timeline_;
    std::vector<Activity> to_do_;
    std::vector<Running> running_;
    std::vector<Happened> happened_;
    std::vector<Struck> struck_;
    std::vector<plan::StepStatus> steps_;
    std::vector<Pet> step_end_;
    std::vector<plan::ItemPlace> items_;
    std::array<WorksiteId, 2> at_, anchor_;
    WorksiteId arm_at_{};
    std::array<Pet, 2> checked_at_{}, heavy_until_{};
    std::array<Seconds, 2> heavy_{};
    Pet now_{Seconds{-1}};
    bool outside_ = false, inside_ = false, cleaning_up_ = false, held_by_lead_ = false, said_zero_ = false,
         said_talk_end_ = false;
    std::optional<Pet> talk_from_, talk_until_, talk_at_;
    std::vector<Pet> mishap_at_;  ///< by Luck::mishaps()
    std::vector<Befallen> befallen_;
    std::array<bool, 2> able_{true, true};
    bool told_ = false;  ///< how it goes on since one of them is unable
    bool met_ = false;   ///< the partner has come to the one who is unable
    bool arm_works_ = true;
    std::vector<ItemId> stands_in_;
    Pet next_reading_{};
};

}  // namespace handrail::rehearse
