// What other programs make of the documents: WeasyPrint lays them out, pdftotext reads them back, python3-icalendar and
// python3-html5lib judge the files.
#include "brief/paper.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>

#include "brief/codes.h"
#include "brief/cue_sheet.h"
#include "brief/facts.h"
#include "brief/registry.h"
#include "brief/subject_charts.h"
#include "invented_outing.h"
#include "reading.h"
#include "told_day.h"

namespace handrail::brief {
namespace {

using testing::HasSubstr;
using testing::Not;

/// A folder of its own for one test, and programs run in it.
class Paper : public testing::Test {
protected:
    void SetUp() override {
        std::string name = (std::filesystem::temp_directory_path() / "handrail-paper-XXXXXX").string();
        ASSERT_NE(mkdtemp(name.data()), nullptr);
        folder_ = name;
    }
    void TearDown() override { std::filesystem::remove_all(folder_); }

    static bool there(const std::string& check) { return std::system((check + " >/dev/null 2>&1").c_str()) == 0; }
    static bool can_print() { return there("command -v weasyprint") && there("command -v pdftotext"); }

    void write(const std::string& name, const std::string& bytes) const {
        std::ofstream(folder_ / name, std::ios::binary) << bytes;
    }
    std::string read(const std::string& name) const {
        std::ifstream in(folder_ / name, std::ios::binary);
        return {std::istreambuf_iterator<char>(in), {}};
    }
    int run(const std::string& command) const {
        return std::system(("cd '" + folder_.string() + "' && " + command + " >out 2>error").c_str());
    }
    /// Text of a PDF, pages apart by form feeds.
    std::string text_of(const std::string& pdf) const {
        write("paper.pdf", pdf);
        EXPECT_EQ(run("pdftotext -layout paper.pdf paper.txt"), 0) << read("error");
        return read("paper.txt");
    }
    static std::string pdf_of(std::string_view kind, const Subject& subject, Options options = {}) {
        options.format = Format::pdf;
        MadeOrNot made = make_document(kind, subject, options);
        if (const auto* none = std::get_if<NotMade>(&made)) throw std::runtime_error(none->why);
        return std::get<Document>(made).files[0];
    }
    std::filesystem::path folder_;
};

std::string without_breaks(std::string text) {
    std::string out;
    for (const char c : text)
        if (c != '\n' && c != '\f' && (c != ' ' || (!out.empty() && out.back() != ' ')))
            out += c;
        else if (!out.empty() && out.back() != ' ')
            out += ' ';
    return out;
}

TEST_F(Paper, PagesKeepEveryStepWhole) {
    if (!can_print()) GTEST_SKIP() << "weasyprint or pdftotext (poppler-utils) is not installed";
    Invented made = invented();
    for (Step& step : made.outing.steps) {
        const std::string code = step_code(made.outing, step.id);
        step.hazards = {{"first" + code, "the control"}};
        step.crew_words = "Long words. Long words. Long words. Long words. last" + code;
    }
    for (const TypeSize type : {TypeSize::normal, TypeSize::large}) {
        const Page sheet{
            cue_sheet_html(made.outing, made.outing.windows, made.timeline, Reader::ev1, {"cue sheet", "", type}),
            "test"};
        const auto pdf = pdfs_of_html(std::span(&sheet, 1)).front();
        ASSERT_TRUE(std::holds_alternative<std::string>(pdf)) << std::get<NoPaper>(pdf).why;
        const std::string text = text_of(std::get<std::string>(pdf));
        int whole = 0;
        for (std::size_t from = 0; from < text.size();) {
            const std::size_t end = std::min(text.find('\f', from), text.size());
            const std::string page = text.substr(from, end - from);
            for (const Step& step : made.outing.steps) {
                const std::string code = step_code(made.outing, step.id);
                const bool first = page.find("First" + code) != std::string::npos;
                EXPECT_EQ(first, page.find("last" + code) != std::string::npos) << code << " is split";
                whole += first;
            }
            from = end + 1;
        }
        EXPECT_GE(whole, 8);
    }
}

TEST_F(Paper, TheFlightDirectorsPageIsOnePageAndHasThePlansNumbers) {
    if (!can_print()) GTEST_SKIP() << "weasyprint or pdftotext (poppler-utils) is not installed";
    for (const char* demo : {"larkspur", "pool"}) {
        const Subject subject = planned_demo(demo).subject();
        const std::string text = text_of(pdf_of("director", subject));
        EXPECT_EQ(std::ranges::count(text, '\f'), 1) << demo;
        const std::string words = without_breaks(text);
        EXPECT_THAT(words, HasSubstr("Finish PET " + print_pet(subject.timeline.finish())));
        EXPECT_THAT(words, HasSubstr(document_code(subject.stamp.plan, {})));
        EXPECT_THAT(words, HasSubstr("the flight surgeon and the flight director govern."));
    }
}

TEST_F(Paper, TheFlightDirectorsPageOfADayIsOnePageToo) {
    if (!can_print()) GTEST_SKIP() << "weasyprint or pdftotext (poppler-utils) is not installed";
    const auto day = told_day("larkspur", Ending::at_work);
    std::vector<Wanted> wanted;
    for (const Language language : all_languages) {
        wanted.push_back({"director", {}});
        wanted.back().options.format = Format::pdf;
        wanted.back().options.language = language;
        wanted.push_back(wanted.back());
        wanted.back().options.units = Units::metric_and_us;
    }
    for (const MadeOrNot& made : make_documents(day->subject(), wanted)) {
        ASSERT_TRUE(std::holds_alternative<Document>(made)) << std::get<NotMade>(made).why;
        EXPECT_EQ(std::ranges::count(text_of(std::get<Document>(made).files[0]), '\f'), 1);
    }
}

TEST_F(Paper, EveryPdfReadBackSaysWhatThePageSaysAndHoldsNothingPrivate) {
    if (!can_print()) GTEST_SKIP() << "weasyprint or pdftotext (poppler-utils) is not installed";
    for (const Ending ending : {Ending::at_work, Ending::scrubbed}) {
        const auto day = told_day("larkspur", ending);
        const Subject subject = day->subject();
        std::vector<Wanted> wanted;
        for (const DocumentKind& kind : document_kinds()) {
            if (std::ranges::find(kind.formats, Format::pdf) == kind.formats.end()) continue;
            if ((kind.id == "risk" || kind.id == "suits") && ending == Ending::scrubbed) continue;
            wanted.push_back({kind.id, {}});
            wanted.back().options.format = Format::pdf;
        }
        ASSERT_GE(wanted.size(), 9u);
        const std::vector<MadeOrNot> made = make_documents(subject, wanted);
        for (std::size_t i = 0; i < wanted.size(); ++i) {
            ASSERT_TRUE(std::holds_alternative<Document>(made[i])) << std::get<NotMade>(made[i]).why;
            const Document& document = std::get<Document>(made[i]);
            // Made again, alone and of the same day told again: the same bytes.
            if (wanted[i].kind == "hand-over" && ending == Ending::at_work) {
                EXPECT_EQ(document.files[0], pdf_of("hand-over", told_day("larkspur", ending)->subject()));
            }
            EXPECT_THAT(document.files[0], Not(HasSubstr(private_marker))) << wanted[i].kind;
            const std::string text = text_of(document.files[0]), words = without_breaks(text);
            EXPECT_THAT(text, Not(HasSubstr(private_marker))) << wanted[i].kind;
            EXPECT_EQ(words.find(console_marker) != std::string::npos,
                      wanted[i].kind == "hand-over" || wanted[i].kind == "close-out")
                << wanted[i].kind;
            EXPECT_THAT(words, HasSubstr(document_code(subject.stamp.plan, subject.stamp.position)));
            EXPECT_THAT(words, HasSubstr("the flight surgeon and the flight director govern."));
            // Whatever time stands on the page for the screen stands on paper, and no other.
            const DocumentKind& kind = *document_kind(wanted[i].kind);
            if (std::ranges::find(kind.formats, Format::html) == kind.formats.end() || kind.id == "storyboard")
                continue;
            const MadeOrNot page = make_document(kind.id, subject, {});
            EXPECT_EQ(times_in(text), times_in(without_tags(std::get<Document>(page).files[0]))) << kind.id;
        }
    }
}

TEST_F(Paper, PagesLaidOutTogetherHaveTheBytesOfPagesLaidOutAlone) {
    if (!can_print()) GTEST_SKIP() << "weasyprint or pdftotext (poppler-utils) is not installed";
    const Subject subject = planned_demo("pool").subject();
    std::vector<Wanted> wanted;
    for (const char* kind : {"tools", "director", "timeline"}) {
        wanted.push_back({kind, {}});
        wanted.back().options.format = Format::pdf;
    }
    const std::vector<MadeOrNot> together = make_documents(subject, wanted);
    ASSERT_EQ(together.size(), wanted.size());
    for (std::size_t i = 0; i < wanted.size(); ++i) {
        ASSERT_TRUE(std::holds_alternative<Document>(together[i])) << std::get<NotMade>(together[i]).why;
        EXPECT_EQ(std::get<Document>(together[i]).files[0], pdf_of(wanted[i].kind, subject)) << wanted[i].kind;
    }
}

TEST_F(Paper, APageAsksNobodyForAnythingAndABadOneDoesNotSpoilTheOthers) {
    if (!can_print()) GTEST_SKIP() << "weasyprint or pdftotext (poppler-utils) is not installed";
    write("secret.txt", "not for the page");
    const std::vector<Page> pages{{"<p>first <img src=\"file://" + (folder_ / "secret.txt").string() + "\"></p>", "a"},
                                  {"", "b"},
                                  {"<p>third</p>", "c"}};
    const std::vector<PaperOrNot> papers = pdfs_of_html(pages);
    ASSERT_EQ(papers.size(), 3u);
    ASSERT_TRUE(std::holds_alternative<std::string>(papers[0]));
    ASSERT_TRUE(std::holds_alternative<std::string>(papers[2]));
    EXPECT_THAT(text_of(std::get<std::string>(papers[0])), HasSubstr("first"));
    EXPECT_THAT(text_of(std::get<std::string>(papers[2])), HasSubstr("third"));
}

TEST_F(Paper, WithoutWeasyPrintASentenceSaysWhatToInstall) {
    const std::string path = std::getenv("PATH");  // NOLINT(concurrency-mt-unsafe): one thread
    setenv("PATH", folder_.c_str(), 1);            // NOLINT(concurrency-mt-unsafe): one thread
    const Page page{"<p>first</p>", "a"};
    const PaperOrNot paper = pdfs_of_html(std::span(&page, 1)).front();
    setenv("PATH", path.c_str(), 1);  // NOLINT(concurrency-mt-unsafe): one thread
    ASSERT_TRUE(std::holds_alternative<NoPaper>(paper));
    EXPECT_THAT(std::get<NoPaper>(paper).why, HasSubstr("install the Debian package weasyprint"));
}

/// Reads plan.ics: key, begin, end, status and summary of every event. An event without DTEND and DURATION ends when it
/// begins (RFC 5545, 3.6.1).
constexpr const char* read_calendar = R"py(
import icalendar
cal = icalendar.Calendar.from_ical(open('plan.ics', 'rb').read())
for e in cal.walk('VEVENT'):
    assert not e.errors and 'DURATION' not in e, e
    begin = e['DTSTART'].dt
    end = e['DTEND'].dt if 'DTEND' in e else begin
    assert 'DTEND' not in e or begin < end, e
    f = '%Y-%m-%dT%H:%M:%SZ'
    print(e['UID'].split('@')[0].split('-', 1)[1], begin.strftime(f), end.strftime(f), e.get('STATUS', '-'), e['SUMMARY'])
)py";

TEST_F(Paper, AnIndependentReaderFindsThePlansTimesInTheCalendar) {
    if (!there("/usr/bin/python3 -c 'import icalendar'")) GTEST_SKIP() << "python3-icalendar is not installed";
    write("read.py", read_calendar);
    Options options;
    options.format = Format::icalendar;
    for (const char* demo : {"larkspur", "pool"}) {
        const PlannedDemo& planned = planned_demo(demo);
        MadeOrNot made = make_document("calendar", planned.subject(), options);
        write("plan.ics", std::get<Document>(made).files[0]);
        ASSERT_EQ(run("/usr/bin/python3 read.py"), 0) << read("error");
        const std::string events = read("out");
        std::ptrdiff_t expected = 0;
        const auto expect = [&](const std::string& key, Pet from, Pet to) {
            const Utc zero = planned.timeline.pet_zero;
            EXPECT_THAT(events, HasSubstr(key + " " + print_utc(to_utc(from, zero)) + " " +
                                          print_utc(to_utc(to, zero)) + " - "));
            ++expected;
        };
        expect("outing", Pet{}, planned.timeline.finish());
        for (const Activity& activity : planned.timeline.activities)
            if (activity.kind == ActivityKind::egress || activity.kind == ActivityKind::clean_up ||
                activity.kind == ActivityKind::ingress)
                expect(std::string(word(activity.kind)), activity.start, activity.end());
        for (const Task& task : planned.outing.tasks)
            if (const auto span = span_of(planned.outing, planned.timeline, task.id))
                expect("task-" + task_code(task.id), span->from, span->to);
        // Calendars count in seconds.
        for (const risk::Gate& gate : planned.odds->of(planned.subject())->gates)
            if (gate.begin_until) {
                const Pet until = std::chrono::floor<Seconds>(*gate.begin_until);
                expect("gate-" + task_code(gate.task), until, until);
            }
        if (const auto& by = planned.outing.rules.egress_by) expect("gate-egress", *by, *by);
        const Pet limit = pet(planned.outing.rules.limit);
        expect("hard-end", limit, limit);
        EXPECT_EQ(std::ranges::count(events, '\n'), expected) << events;
    }
}

TEST_F(Paper, ACalendarOfADayHasItsDecisionTimesAndAScrubTakesEverythingBack) {
    if (!there("/usr/bin/python3 -c 'import icalendar'")) GTEST_SKIP() << "python3-icalendar is not installed";
    write("read.py", read_calendar);
    Options options;
    options.format = Format::icalendar;
    const auto events_of = [&](const Subject& subject) {
        MadeOrNot made = make_document("calendar", subject, options);
        write("plan.ics", std::get<Document>(made).files[0]);
        EXPECT_EQ(run("/usr/bin/python3 read.py"), 0) << read("error");
        return read("out");
    };
    const auto day = told_day("larkspur", Ending::at_work);
    const Pet turn_back = std::chrono::floor<Seconds>(*day->status.terminate_by);
    const std::string at = print_utc(to_utc(turn_back, day->status.day.pet_zero));
    EXPECT_THAT(events_of(day->subject()), HasSubstr("gate-turn-back " + at + " " + at + " - "));
    const auto scrubbed = told_day("larkspur", Ending::scrubbed);
    const std::string off = events_of(scrubbed->subject());
    const Utc zero = scrubbed->demo.timeline.pet_zero;
    EXPECT_THAT(off, HasSubstr("outing " + print_utc(zero) + " " +
                               print_utc(to_utc(scrubbed->demo.timeline.finish(), zero)) + " CANCELLED "));
    EXPECT_THAT(off, Not(HasSubstr(" - ")));
}

TEST_F(Paper, AStrictHtmlParserHasNothingToSay) {
    if (!there("/usr/bin/python3 -c 'import html5lib'")) GTEST_SKIP() << "python3-html5lib is not installed";
    int count = 0;
    const auto write_all = [&](const Subject& subject, Language language, TypeSize type) {
        for (const DocumentKind& kind : document_kinds()) {
            if (std::ranges::find(kind.formats, Format::html) == kind.formats.end()) continue;
            if (kind.needs_day && subject.status == nullptr) continue;
            Options options;
            options.language = language;
            options.type = type;
            const MadeOrNot made = make_document(kind.id, subject, options);
            write(std::to_string(count++) + ".html", std::get<Document>(made).files[0]);
        }
    };
    write_all(planned_demo("larkspur").subject(), Language::german, TypeSize::large);
    write_all(planned_demo("pool").subject(), Language::english, TypeSize::normal);
    for (const Ending ending : {Ending::at_work, Ending::terminated, Ending::scrubbed})
        write_all(told_day("larkspur", ending)->subject(), Language::english, TypeSize::normal);
    write("parse.py",
          "import glob, html5lib\n"
          "for name in sorted(glob.glob('*.html')):\n"
          "    html5lib.HTMLParser(strict=True).parse(open(name, 'rb').read(), transport_encoding='utf-8')\n"
          "    print(name)\n");
    ASSERT_EQ(run("/usr/bin/python3 parse.py"), 0) << read("error");
    const std::string names = read("out");
    EXPECT_EQ(std::ranges::count(names, '\n'), count);
    EXPECT_GE(count, 31);
}

}  // namespace
}  // namespace handrail::brief
