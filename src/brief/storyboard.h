#pragma once

#include <string>
#include <vector>

#include "brief/amounts.h"
#include "brief/canvas.h"
#include "brief/document.h"
#include "brief/map_picture.h"
#include "outing/window.h"

namespace handrail::brief {

enum class Frames : std::uint8_t {
    steps,  ///< a picture a step
    groups  ///< a picture for steps of one task that follow one another at the same places
};

/// One picture with what is said under it.
struct StoryFrame {
    int number = 1;
    Pet from{}, to{};
    std::string codes;                  ///< "A1–A3", or empty
    std::string heading;                ///< the task, or "egress"
    std::vector<std::string> captions;  ///< who is where with what; light; what is done
    MapMoment moment;
};

/// The outing as a row of pictures: egress, every step or group of steps, clean-up and ingress.
std::vector<StoryFrame> story_frames(const Outing& outing, const WindowTable& windows, const Timeline& timeline,
                                     Frames frames, const Wording& say, Units units);

/// A4 landscape pages: a large map with every worksite named, then six pictures a page. Same arguments, same drawing.
std::vector<Canvas> storyboard_pages(const Outing& outing, const WindowTable& windows, const Timeline& timeline,
                                     Frames frames, const Origin& origin, Units units);
/// The same as one HTML page: a figure a frame.
std::string storyboard_html(const Outing& outing, const WindowTable& windows, const Timeline& timeline, Frames frames,
                            const Origin& origin, Units units);
/// The captions alone.
std::string storyboard_markdown(const Outing& outing, const WindowTable& windows, const Timeline& timeline,
                                Frames frames, const Origin& origin, Units units);

}  // namespace handrail::brief
