#include "brief/canvas_text.h"

#include <pango/pangocairo.h>

#include <algorithm>
#include <cmath>

namespace handrail::brief::detail {
namespace {

constexpr const char* family = "DejaVu Sans";

PangoFontDescription* describe(const TextStyle& style) {
    PangoFontDescription* font = pango_font_description_new();
    pango_font_description_set_family_static(font, family);
    pango_font_description_set_weight(font, style.bold ? PANGO_WEIGHT_BOLD : PANGO_WEIGHT_NORMAL);
    pango_font_description_set_style(font, style.italic ? PANGO_STYLE_OBLIQUE : PANGO_STYLE_NORMAL);
    pango_font_description_set_stretch(font, style.condensed ? PANGO_STRETCH_SEMI_CONDENSED : PANGO_STRETCH_NORMAL);
    pango_font_description_set_absolute_size(font, style.size * PANGO_SCALE);
    return font;
}

PangoAlignment alignment(Align align) {
    switch (align) {
        case Align::left:
            return PANGO_ALIGN_LEFT;
        case Align::centre:
            return PANGO_ALIGN_CENTER;
        case Align::right:
            return PANGO_ALIGN_RIGHT;
    }
    return PANGO_ALIGN_LEFT;
}

double canvas_units(int pango_units) { return static_cast<double>(pango_units) / PANGO_SCALE; }

/// Pango's own objects, which no two threads may share.
class Fonts {
public:
    Fonts();
    Fonts(const Fonts&) = delete;
    Fonts& operator=(const Fonts&) = delete;
    ~Fonts() {
        g_object_unref(context_);
        g_object_unref(map_);
    }
    PangoContext* context() const { return context_; }
    /// What is there instead of the wanted family; empty: it is there.
    const std::string& instead() const { return instead_; }

private:
    PangoFontMap* map_ = nullptr;
    PangoContext* context_ = nullptr;
    std::string instead_;
};

Fonts::Fonts() : map_(pango_cairo_font_map_new()), context_(pango_font_map_create_context(map_)) {
    pango_cairo_context_set_resolution(context_, 72);
    cairo_font_options_t* options = cairo_font_options_create();
    cairo_font_options_set_antialias(options, CAIRO_ANTIALIAS_GRAY);
    cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
    cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
    pango_cairo_context_set_font_options(context_, options);
    cairo_font_options_destroy(options);
    pango_context_set_round_glyph_positions(context_, FALSE);
    pango_context_set_language(context_, pango_language_from_string("en"));
    pango_context_set_base_dir(context_, PANGO_DIRECTION_LTR);

    PangoFontDescription* wanted = describe({});
    PangoFont* font = pango_context_load_font(context_, wanted);
    pango_font_description_free(wanted);
    std::string found = "no font at all";
    if (font != nullptr) {
        PangoFontDescription* got = pango_font_describe(font);
        found = pango_font_description_get_family(got);
        pango_font_description_free(got);
        g_object_unref(font);
    }
    if (!found.starts_with(family)) instead_ = found;
}

const Fonts& fonts() {
    thread_local const Fonts of_this_thread;
    return of_this_thread;
}

}  // namespace

TextSetter::TextSetter() {
    if (const std::string& found = fonts().instead(); !found.empty())
        throw FontMissing("the font DejaVu Sans is not installed (found " + found +
                          "); install the Debian packages fonts-dejavu-core and fonts-dejavu-extra");
}

PangoLayout* TextSetter::layout(const Words& words) const {
    PangoLayout* layout = pango_layout_new(fonts().context());
    PangoFontDescription* font = describe(words.style);
    pango_layout_set_font_description(layout, font);
    pango_font_description_free(font);
    pango_layout_set_text(layout, words.text.data(), static_cast<int>(words.text.size()));
    pango_layout_set_alignment(layout, alignment(words.style.align));
    // Pango measures its factor on the font's own line height (1.164 em for DejaVu Sans), ours is in ems.
    pango_layout_set_line_spacing(layout, static_cast<float>(words.style.line_pitch / 1.164));
    if (words.width) {
        pango_layout_set_width(layout, static_cast<int>(std::lround(std::max(0.0, *words.width) * PANGO_SCALE)));
        // With room for one line only, a broken word and an ellipsis show more than an overlong word would.
        pango_layout_set_wrap(layout, words.max_lines > 0 ? PANGO_WRAP_WORD_CHAR : PANGO_WRAP_WORD);
        if (words.max_lines > 0) {
            pango_layout_set_height(layout, -words.max_lines);
            pango_layout_set_ellipsize(layout, PANGO_ELLIPSIZE_END);
        }
    }
    return layout;
}

Typeset TextSetter::set(const Words& words) const {
    PangoLayout* made = layout(words);
    PangoRectangle logical;
    pango_layout_get_extents(made, nullptr, &logical);
    Typeset set;
    set.width = canvas_units(logical.width);
    set.lines = pango_layout_get_line_count(made);
    set.height = set.lines * words.style.size * words.style.line_pitch;
    set.cut = pango_layout_is_ellipsized(made) != 0;
    set.whole = !set.cut && (!words.width || set.width <= *words.width + 0.01);
    g_object_unref(made);
    return set;
}

std::vector<SetLine> TextSetter::lines(const Words& words) const {
    PangoLayout* made = layout(words);
    std::vector<SetLine> out;
    PangoLayoutIter* iter = pango_layout_get_iter(made);
    do {
        PangoRectangle logical;
        pango_layout_iter_get_line_extents(iter, nullptr, &logical);
        SetLine line{"", canvas_units(logical.x), canvas_units(pango_layout_iter_get_baseline(iter)),
                     canvas_units(logical.width)};
        for (GSList* run = pango_layout_iter_get_line_readonly(iter)->runs; run != nullptr; run = run->next) {
            const PangoItem* item = static_cast<PangoGlyphItem*>(run->data)->item;
            const bool ellipsis = (item->analysis.flags & PANGO_ANALYSIS_FLAG_IS_ELLIPSIS) != 0;
            line.text += ellipsis ? "…"
                                  : words.text.substr(static_cast<std::size_t>(item->offset),
                                                      static_cast<std::size_t>(item->length));
        }
        if (!line.text.empty()) out.push_back(std::move(line));
    } while (pango_layout_iter_next_line(iter) != 0);
    pango_layout_iter_free(iter);
    g_object_unref(made);
    return out;
}

}  // namespace handrail::brief::detail
