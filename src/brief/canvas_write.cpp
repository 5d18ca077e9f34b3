#include "brief/canvas_write.h"

#include <cairo-pdf.h>
#include <pango/pangocairo.h>

#include <cmath>
#include <cstdlib>
#include <numbers>
#include <stdexcept>

namespace handrail::brief::detail {
namespace {

void trace(cairo_t* cr, const Path& path) {
    cairo_new_path(cr);
    for (const Path::Element& e : path.elements()) switch (e.kind) {
            case Path::Element::Kind::move:
                cairo_move_to(cr, e.a.x, e.a.y);
                break;
            case Path::Element::Kind::line:
                cairo_line_to(cr, e.a.x, e.a.y);
                break;
            case Path::Element::Kind::curve:
                cairo_curve_to(cr, e.a.x, e.a.y, e.b.x, e.b.y, e.c.x, e.c.y);
                break;
            case Path::Element::Kind::close:
                cairo_close_path(cr);
                break;
        }
}

void use(cairo_t* cr, Colour c) {
    cairo_set_source_rgba(cr, ((c.rgb >> 16) & 255) / 255.0, ((c.rgb >> 8) & 255) / 255.0, (c.rgb & 255) / 255.0,
                          c.alpha);
}

void use(cairo_t* cr, const Pen& pen) {
    use(cr, pen.colour);
    cairo_set_line_width(cr, pen.width);
    const double dashed[]{3.5 * pen.width + 1, 2 * pen.width + 1};
    const double dotted[]{0, 2.4 * pen.width};
    switch (pen.dash) {
        case Dash::solid:
            cairo_set_dash(cr, nullptr, 0, 0);
            break;
        case Dash::dashed:
            cairo_set_dash(cr, dashed, 2, 0);
            break;
        case Dash::dotted:
            cairo_set_dash(cr, dotted, 2, 0);
            break;
    }
    cairo_set_line_cap(cr, pen.dash == Dash::dotted ? CAIRO_LINE_CAP_ROUND : CAIRO_LINE_CAP_BUTT);
}

/// Draws the shapes of one sheet, in order.
struct Painter {
    cairo_t* cr;
    const TextSetter& setter;

    void operator()(const Fill& shape) const {
        trace(cr, shape.path);
        use(cr, shape.colour);
        cairo_fill(cr);
    }
    void operator()(const Stroke& shape) const {
        trace(cr, shape.path);
        use(cr, shape.pen);
        cairo_stroke(cr);
    }
    void operator()(const Clip& shape) const {
        cairo_save(cr);
        cairo_rectangle(cr, shape.box.x, shape.box.y, shape.box.w, shape.box.h);
        cairo_clip(cr);
    }
    void operator()(const Unclip&) const { cairo_restore(cr); }
    void operator()(const Text& shape) const {
        PangoLayout* layout = setter.layout(shape.words);
        cairo_save(cr);
        cairo_translate(cr, shape.origin.x, shape.origin.y);
        if (shape.turn == Turn::up) cairo_rotate(cr, -std::numbers::pi / 2);
        use(cr, shape.words.style.colour);
        cairo_move_to(cr, 0, 0);
        pango_cairo_show_layout(cr, layout);
        cairo_restore(cr);
        g_object_unref(layout);
    }
};

void paint(cairo_t* cr, const Sheet& sheet, double scale) {
    const TextSetter setter;
    cairo_save(cr);
    cairo_scale(cr, scale, scale);
    use(cr, Colour{0xffffff});
    cairo_rectangle(cr, 0, 0, sheet.size.w, sheet.size.h);
    cairo_fill(cr);
    for (const Shape& shape : sheet.shapes) std::visit(Painter{cr, setter}, shape);
    cairo_restore(cr);
}

cairo_status_t collect(void* closure, const unsigned char* data, unsigned int length) {
    static_cast<std::string*>(closure)->append(reinterpret_cast<const char*>(data), length);
    return CAIRO_STATUS_SUCCESS;
}

void finish(cairo_surface_t* surface) {
    cairo_surface_finish(surface);
    const cairo_status_t status = cairo_surface_status(surface);
    cairo_surface_destroy(surface);
    if (status != CAIRO_STATUS_SUCCESS)
        throw std::runtime_error(std::string("drawing failed: ") + cairo_status_to_string(status));
}

/// Blanks the value of a date entry of the PDF's document information without moving a byte.
void blank_date(std::string& bytes, const std::string& key) {
    const std::size_t at = bytes.find(key + " (");
    if (at == std::string::npos) return;
    const std::size_t end = bytes.find(')', at);
    for (std::size_t i = at; i <= end; ++i) bytes[i] = ' ';
}

}  // namespace

Size stacked(std::span<const Sheet* const> sheets) {
    Size all{0, 0};
    for (const Sheet* sheet : sheets) all = {std::max(all.w, sheet->size.w), all.h + sheet->size.h};
    return all;
}

std::string write_png(std::span<const Sheet* const> sheets, double pixels_per_unit) {
    const Size all = stacked(sheets);
    cairo_surface_t* surface =
        cairo_image_surface_create(CAIRO_FORMAT_RGB24, static_cast<int>(std::lround(all.w * pixels_per_unit)),
                                   static_cast<int>(std::lround(all.h * pixels_per_unit)));
    cairo_t* cr = cairo_create(surface);
    for (const Sheet* sheet : sheets) {
        paint(cr, *sheet, pixels_per_unit);
        cairo_translate(cr, 0, sheet->size.h * pixels_per_unit);
    }
    cairo_destroy(cr);
    cairo_surface_flush(surface);
    std::string out;
    const cairo_status_t status = cairo_surface_write_to_png_stream(surface, collect, &out);
    finish(surface);
    if (status != CAIRO_STATUS_SUCCESS)
        throw std::runtime_error(std::string("drawing failed: ") + cairo_status_to_string(status));
    return out;
}

std::string write_pdf(std::span<const Sheet* const> pages, const std::string& title, std::optional<Utc> made) {
    std::string out;
    const auto points = [](const Sheet& sheet) { return sheet.unit == Unit::point ? 1.0 : 0.75; };
    const Sheet& first = *pages.front();
    cairo_surface_t* surface =
        cairo_pdf_surface_create_for_stream(collect, &out, first.size.w * points(first), first.size.h * points(first));
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_TITLE, title.c_str());
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATOR, "Handrail");
    // Without this Cairo writes the wall clock into the file.
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATE_DATE,
                                   print_utc(std::chrono::floor<Seconds>(made.value_or(Utc{}))).c_str());
    cairo_t* cr = cairo_create(surface);
    for (const Sheet* page : pages) {
        const double scale = points(*page);
        cairo_pdf_surface_set_size(surface, page->size.w * scale, page->size.h * scale);
        paint(cr, *page, scale);
        cairo_show_page(cr);
    }
    cairo_destroy(cr);
    finish(surface);
    if (!made) blank_date(out, "/CreationDate");
    return out;
}

}  // namespace handrail::brief::detail
