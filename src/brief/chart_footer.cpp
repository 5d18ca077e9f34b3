#include "brief/chart_footer.h"

#include <array>

#include "brief/labels.h"
#include "brief/palette.h"

namespace handrail::brief {

void draw_chart_footer(Canvas& canvas, const Outing& outing, const ChartOrigin& origin, Box area) {
    const Wording& say = origin.say;
    const double top = area.bottom() - chart_footer_height;
    const TextStyle strong{.size = 7, .colour = palette::amber, .bold = true},
        weak{.size = 6.2, .colour = palette::muted};
    canvas.line({area.x, top}, {area.right(), top}, {palette::rule, 0.5});
    const Box governs = canvas.text({area.x, top + 3}, say("caution"), strong);
    if (!origin.warning.empty()) {
        const TextStyle alarm{.size = 7, .colour = palette::alarm, .bold = true, .align = Align::right};
        canvas.text_in({governs.right() + 12, top + 3, area.right() - governs.right() - 12, 9}, origin.warning, alarm);
    }
    const std::array identity{origin.identity.empty() ? say("stamp.outing_file", {outing.fingerprint.substr(0, 12)})
                                                      : origin.identity};
    draw_longest(canvas, {area.x, top + 12.5, area.w, 8}, identity, weak);
    const std::array note{say("stamp.file_note", {outing.note})};
    if (!outing.note.empty()) draw_longest(canvas, {area.x, top + 21, area.w, 8}, note, weak);
}

}  // namespace handrail::brief
