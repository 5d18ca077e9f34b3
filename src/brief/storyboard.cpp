#include "brief/storyboard.h"

#include <fmt/format.h>

#include <algorithm>

#include "brief/axis.h"
#include "brief/codes.h"
#include "brief/markup.h"
#include "brief/palette.h"

namespace handrail::brief {
namespace {

// ISO 216 A4, landscape, in points.
constexpr Size sheet{841.89, 595.28};
constexpr double edge = 28, gap = 12, header = 44, footer = 26;
constexpr std::size_t columns = 3, rows = 2, a_page = columns * rows;

std::string times(const StoryFrame& frame, const Timeline& timeline, const Wording& say) {
    return say("story.times", {print_pet(frame.from), print_pet(frame.to), clock_utc(frame.from, timeline.pet_zero)});
}

std::string heading(const StoryFrame& frame) {
    return frame.codes.empty() ? frame.heading : frame.codes + " " + frame.heading;
}

std::string description(const StoryFrame& frame) {
    std::string out;
    for (const std::string& caption : frame.captions) out += (out.empty() ? "" : ". ") + caption;
    return out;
}

/// Draws the pages one after the other.
class Book {
public:
    Book(const Outing& outing, const Timeline& timeline, const Origin& origin, View view, std::size_t pages)
        : outing_(outing), timeline_(timeline), origin_(origin), view_(view), pages_(pages) {}

    Canvas page(std::size_t number, std::span<const StoryFrame> frames) const {
        std::string said;
        for (const StoryFrame& frame : frames) said += heading(frame) + ": " + description(frame) + ". ";
        Canvas canvas = begin(number, said + origin_.say.caution());
        const double w = (sheet.w - 2 * edge - (columns - 1) * gap) / columns;
        const double h = (sheet.h - 2 * edge - header - footer - (rows - 1) * gap) / rows;
        for (std::size_t first = 0; first < frames.size(); first += columns) {
            const auto row = frames.subspan(first, std::min(columns, frames.size() - first));
            // The maps of a row have one height, so that the eye can go from one to the next.
            double map_h = 0.62 * h;
            for (const StoryFrame& frame : row) map_h = std::min(map_h, map_height(canvas, {0, 0, w, h}, frame));
            for (std::size_t i = 0; i < row.size(); ++i)
                cell(canvas,
                     {edge + static_cast<double>(i) * (w + gap),
                      edge + header + static_cast<double>(first / columns) * (h + gap), w, h},
                     row[i], map_h);
        }
        return canvas;
    }

    Canvas key() const {
        Canvas canvas = begin(0, origin_.say("story.key") + " " + origin_.say.caution());
        const Box area{edge, edge + header, sheet.w - 2 * edge, sheet.h - 2 * edge - header - footer - 34};
        draw_map(canvas, area, outing_, view_, nullptr, Labels::all, 8, origin_.say);
        canvas.text_in({edge, area.bottom() + 8, area.w, 24},
                       view_words(view_, origin_.say) + ". " + origin_.say("story.legend"),
                       {.size = 8, .colour = palette::ink});
        return canvas;
    }

private:
    Canvas begin(std::size_t number, const std::string& said) const {
        Canvas canvas(sheet, Unit::point, outing_.name + ": " + origin_.title, said);
        const Wording& say = origin_.say;
        const std::string of = say("story.page", {std::to_string(number + 1), std::to_string(pages_)});
        const Box page = canvas.text({sheet.w - edge, edge}, of,
                                     {.size = 10, .colour = palette::ink, .bold = true, .align = Align::right});
        canvas.text_in({edge, edge - 3, page.x - edge - 10, 20}, outing_.name + ": " + origin_.title,
                       {.size = 15, .colour = palette::ink, .bold = true});
        canvas.text_in({edge, edge + 17, sheet.w - 2 * edge, 10},
                       clock_line(timeline_, say, origin_.day) + (outing_.note.empty() ? "" : " · " + outing_.note),
                       {.size = 7.5, .colour = palette::muted});
        if (!origin_.warning.empty())
            canvas.text_in({edge, edge + 28, sheet.w - 2 * edge, 10}, origin_.warning,
                           {.size = 7.5, .colour = palette::alarm, .bold = true});
        const double y = sheet.h - edge - footer + 6;
        canvas.line({edge, y}, {sheet.w - edge, y}, {palette::rule, 0.5});
        canvas.text_in({edge, y + 3, sheet.w - 2 * edge, 9}, say("caution"),
                       {.size = 7, .colour = palette::amber, .bold = true});
        canvas.text_in({edge, y + 13, sheet.w - 2 * edge, 9}, stamp_line(outing_, timeline_, origin_.stamp, say),
                       {.size = 7, .colour = palette::muted});
        return canvas;
    }

    static constexpr TextStyle head{.size = 9.5, .colour = palette::ink, .bold = true};
    static constexpr TextStyle words{.size = 7.2, .colour = palette::ink};

    static std::string title(const StoryFrame& frame) { return fmt::format("{}. {}", frame.number, heading(frame)); }
    static double head_height(const Canvas& canvas, double width, const StoryFrame& frame) {
        return std::min(2 * 11.3, canvas.measure(title(frame), head, width).h);
    }

    /// What the captions leave for the map, but never less than it takes to be read.
    static double map_height(const Canvas& canvas, Box box, const StoryFrame& frame) {
        double needed = head_height(canvas, box.w, frame) + 12 + 5;
        for (const std::string& caption : frame.captions) needed += canvas.measure(caption, words, box.w).h + 1.5;
        return std::max(0.42 * box.h, std::min(0.74 * box.h, box.h - needed));
    }

    void cell(Canvas& canvas, Box box, const StoryFrame& frame, double map_h) const {
        const double head_h = head_height(canvas, box.w, frame);
        double y = box.y;
        canvas.text_in({box.x, y, box.w, head_h + 0.5}, title(frame), head);
        y += head_h + 1;
        canvas.text_in({box.x, y, box.w, 9.2}, times(frame, timeline_, origin_.say),
                       {.size = 7.6, .colour = palette::muted});
        y += 11;
        draw_map(canvas, {box.x, y, box.w, map_h}, outing_, view_, &frame.moment, Labels::concerned, 6.4, origin_.say);
        y += map_h + 4;
        for (const std::string& caption : frame.captions) {
            const double left = box.bottom() + 1 - y;
            if (left < words.size) break;
            const double h = std::min(left, canvas.measure(caption, words, box.w).h + 0.2);
            canvas.text_in({box.x, y, box.w, h}, caption, words);
            y += h + 1.3;
        }
    }

    const Outing& outing_;
    const Timeline& timeline_;
    const Origin& origin_;
    View view_;
    std::size_t pages_;
};

/// One frame's map alone, for a page that sets the words itself.
Canvas picture(const Outing& outing, View view, const StoryFrame& frame, const Wording& say) {
    Canvas canvas({440, 250}, Unit::pixel, heading(frame), description(frame));
    draw_map(canvas, {1, 1, 438, 248}, outing, view, &frame.moment, Labels::concerned, 11, say);
    return canvas;
}

}  // namespace

std::vector<Canvas> storyboard_pages(const Outing& outing, const WindowTable& windows, const Timeline& timeline,
                                     Frames frames, const Origin& origin, Units units) {
    const std::vector<StoryFrame> all = story_frames(outing, windows, timeline, frames, origin.say, units);
    const std::size_t pages = 1 + (all.size() + a_page - 1) / a_page;
    const Book book(outing, timeline, origin, best_view(outing.station), pages);
    std::vector<Canvas> out;
    out.push_back(book.key());
    for (std::size_t page = 1; page < pages; ++page) {
        const std::size_t first = (page - 1) * a_page;
        out.push_back(book.page(page, std::span(all).subspan(first, std::min(a_page, all.size() - first))));
    }
    return out;
}

std::string storyboard_html(const Outing& outing, const WindowTable& windows, const Timeline& timeline, Frames frames,
                            const Origin& origin, Units units) {
    const Wording& say = origin.say;
    const View view = best_view(outing.station);
    Canvas key({960, 540}, Unit::pixel, say("story.key"), view_words(view, say));
    draw_map(key, {1, 1, 958, 538}, outing, view, nullptr, Labels::all, 14, say);
    std::string main = fmt::format(
        "<p>{}. {}</p>\n<figure class=\"key\">\n{}\n<figcaption>{}</figcaption>\n</figure>\n"
        "<div class=\"story\">\n",
        escape(view_words(view, say)), escape(say("story.legend")), key.svg(), escape(say("story.key")));
    for (const StoryFrame& frame : story_frames(outing, windows, timeline, frames, say, units)) {
        main += fmt::format(
            "<figure class=\"keep\">\n{}\n<figcaption>\n<h2>{}. {}</h2>\n<p class=\"note\">{}</p>\n<ul "
            "class=\"notes\">\n",
            picture(outing, view, frame, say).svg(), frame.number, escape(heading(frame)),
            escape(times(frame, timeline, say)));
        for (const std::string& caption : frame.captions) main += "<li>" + escape(caption) + "</li>\n";
        main += "</ul>\n</figcaption>\n</figure>\n";
    }
    return html_document(outing, timeline, origin, main + "</div>\n");
}

std::string storyboard_markdown(const Outing& outing, const WindowTable& windows, const Timeline& timeline,
                                Frames frames, const Origin& origin, Units units) {
    std::string body;
    for (const StoryFrame& frame : story_frames(outing, windows, timeline, frames, origin.say, units)) {
        body += fmt::format("## {}. {}\n\n{}\n\n", frame.number, markdown_escape(heading(frame)),
                            markdown_escape(times(frame, timeline, origin.say)));
        for (const std::string& caption : frame.captions) body += "- " + markdown_escape(caption) + "\n";
        body += "\n";
    }
    return markdown_document(outing, timeline, origin, body);
}

}  // namespace handrail::brief
