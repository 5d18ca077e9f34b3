#pragma once

#include <optional>
#include <string>
#include <vector>

#include "brief/canvas.h"

using PangoLayout = struct _PangoLayout;

/// Text layout for the canvas: Pango stays behind this header.
namespace handrail::brief::detail {

struct Words {
    std::string text;
    TextStyle style;
    std::optional<double> width;  ///< none: one line
    int max_lines = 0;            ///< 0: as many as it takes; else the rest becomes an ellipsis
};

/// The measured result of setting some words.
struct Typeset {
    double width = 0, height = 0;
    int lines = 1;
    bool cut = false;    ///< an ellipsis was put in
    bool whole = false;  ///< neither cut nor wider than asked for
};

/// One line as it was set, from the top left of its layout.
struct SetLine {
    std::string text;  ///< what is seen: the ellipsis stands for what was cut
    double x = 0, baseline = 0, width = 0;
};

/// Lays out text the same way for every output: no hinting, no rounding of glyph positions, one font family. The fonts
/// are looked up once a thread, whoever sets text there.
class TextSetter {
public:
    TextSetter();  ///< throws FontMissing
    Typeset set(const Words& words) const;
    std::vector<SetLine> lines(const Words& words) const;
    /// The layout itself, for drawing; whoever asks owns it (g_object_unref).
    PangoLayout* layout(const Words& words) const;
};

}  // namespace handrail::brief::detail
