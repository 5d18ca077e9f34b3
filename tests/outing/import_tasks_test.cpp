#include "outing/import_tasks.h"

#include <gtest/gtest.h>

#include "support/small_outing.h"

namespace handrail {
namespace {

const std::string csv =
    R"(task,task_name,class,value,step,step_id,who,at,duration,low,high,effort,needs,opens,close_up,after,say
lamp,Fit a lamp,wanted,5,Open the box,open,lead,bay,6 min,,,light,driver,yes,,-,"Two latches, ""left"" first"
,,,,Close the box,,lead | helper,bay,4 min,3 min,9 min,,,,x,lamp.open,
rail,Wipe the rail,get-ahead,1,Wipe,,,tip,3 min,,,light,,,,,
lamp,,,,Look,,IV,,1 min,,,,,,,,
)";

TEST(ImportTasks, TheResultReadsAsPartOfAnOuting) {
    const Result<std::string> toml = import_tasks(csv, "tasks.csv");
    ASSERT_TRUE(toml.ok()) << print(toml.errors().front());
    const Outing outing = test::SmallOuting{}.add(toml.value()).outing();
    ASSERT_EQ(outing.tasks.size(), 4U);
    const Task& lamp = outing.tasks[2];
    EXPECT_EQ(lamp.name, "Fit a lamp");
    EXPECT_EQ(lamp.value, 5);
    ASSERT_EQ(lamp.steps.size(), 3U) << "rows of one task need not stand together";
    const Step& open = outing.step(lamp.steps[0]);
    EXPECT_EQ(open.label, "lamp.open");
    EXPECT_TRUE(open.opens);
    EXPECT_EQ(open.crew_words, "Two latches, \"left\" first");
    EXPECT_EQ(outing.item(open.needs.at(0)).id, "driver");
    const Step& close = outing.step(lamp.steps[1]);
    EXPECT_EQ(close.who, (std::vector{Role::lead, Role::helper}));
    EXPECT_EQ(close.duration.low, std::chrono::minutes{3});
    EXPECT_EQ(close.duration.high, std::chrono::minutes{9});
    EXPECT_TRUE(close.close_up);
    EXPECT_EQ(outing.tasks[3].task_class, TaskClass::get_ahead);
}

TEST(ImportTasks, ErrorsNameLineColumnAndField) {
    struct Case {
        std::string csv, place, part;
    };
    const std::vector<Case> cases{
        {"task,step,duration\nlamp,Open,6\n", "tasks.csv:2:11", "add the unit"},
        {"task,step,duration\nlamp,Open,\n", "tasks.csv:2:1", "found nothing; add duration"},
        {"task,step,duration,effort\nlamp,Open,6 min,lihgt\n", "tasks.csv:2:17", "did you mean \"light\"?"},
        {"task,step,duration,opens\nlamp,Open,6 min,maybe\n", "tasks.csv:2:17", "true or false"},
        {"task,step,duration,value\nlamp,Open,6 min,much\n", "tasks.csv:2:17", "a number"},
        {"task,step,duration,value\nlamp,Open,6 min,3\nlamp,Close,6 min,4\n", "tasks.csv:3:18",
         "one value in all rows of a task"},
        {"task,step,duration,who\nlamp,Open,6 min,lead|pilot\n", "tasks.csv:2:17", "one or more of"},
        {"task,step,duration,low,high\nlamp,Open,6 min,7 min,9 min\n", "tasks.csv:2:11", "put them in order"},
        {"task,step,duration\n,Open,6 min\n", "tasks.csv:2:1", "the short name of the task"},
        {"task,stpe,duration\nlamp,Open,6 min\n", "tasks.csv:1:6", "did you mean \"step\"?"},
        {"task,step,duration\n", "tasks.csv:1:1", "at least one row"},
    };
    for (const Case& one : cases) {
        const Result<std::string> toml = import_tasks(one.csv, "tasks.csv");
        ASSERT_FALSE(toml.ok()) << one.csv;
        const std::string error = print(toml.errors().front());
        EXPECT_NE(error.find(one.place), std::string::npos) << error;
        EXPECT_NE(error.find(one.part), std::string::npos) << error;
    }
}

TEST(ImportTasks, AnEmptyTableIsAnError) { EXPECT_FALSE(import_tasks("", "tasks.csv").ok()); }

}  // namespace
}  // namespace handrail
