#include <expat.h>
#include <fmt/format.h>

#include <memory>

#include "sky/element_fields.h"

/// CCSDS OMM in XML (CCSDS 505.0-B), through expat. A document type declaration ends the reading at once, so no entity
/// can be declared and none can be expanded.
namespace handrail::sky::detail {
namespace {

struct Parser {
    XML_Parser xml;
    Errors* errors;
    std::vector<OmmField> fields;
    std::vector<std::string> open;  ///< local names of the open tags
    std::string text;
    int line = 1, column = 1;
    bool leaf = false, saw_omm = false, stopped = false;

    void stop(std::string expected, std::string found, std::string remedy) {
        if (stopped) return;
        stopped = true;
        errors->add(static_cast<int>(XML_GetCurrentLineNumber(xml)),
                    static_cast<int>(XML_GetCurrentColumnNumber(xml)) + 1, "OMM", std::move(expected), std::move(found),
                    std::move(remedy));
        XML_StopParser(xml, XML_FALSE);
    }
};

std::string local_name(const char* name) {
    const std::string whole(name);
    const std::size_t colon = whole.rfind(':');
    return colon == std::string::npos ? whole : whole.substr(colon + 1);
}

void on_start(void* user, const char* name, const char**) {
    Parser& parser = *static_cast<Parser*>(user);
    const std::string local = local_name(name);
    // An OMM nests six deep (ndm, omm, body, segment, data, meanElements, keyword).
    if (parser.open.size() >= 16) return parser.stop("an OMM", "tags nested deeper than 16", "give a CCSDS OMM");
    if (local == "omm") {
        if (parser.saw_omm) return parser.stop("one element set", "a second <omm>", "keep one element set");
        parser.saw_omm = true;
    }
    if (parser.open.empty() && local != "ndm" && local != "omm")
        return parser.stop("<omm> or <ndm> as the outermost tag", "<" + shown(local) + ">", "give a CCSDS OMM");
    parser.open.push_back(local);
    parser.text.clear();
    parser.leaf = true;
    parser.line = static_cast<int>(XML_GetCurrentLineNumber(parser.xml));
    parser.column = static_cast<int>(XML_GetCurrentColumnNumber(parser.xml)) + 1;
}

void on_end(void* user, const char*) {
    Parser& parser = *static_cast<Parser*>(user);
    const bool keyword = parser.leaf && parser.saw_omm && !parser.open.empty();
    if (keyword)
        parser.fields.push_back({parser.open.back(), std::string(trimmed(parser.text)), parser.line, parser.column});
    if (!parser.open.empty()) parser.open.pop_back();
    parser.leaf = false;
}

void on_text(void* user, const char* text, int length) {
    Parser& parser = *static_cast<Parser*>(user);
    constexpr std::size_t longest = 4096;
    if (parser.text.size() + static_cast<std::size_t>(length) > longest)
        return parser.stop("short values", "more than 4096 characters in one tag", "give a CCSDS OMM");
    parser.text.append(text, static_cast<std::size_t>(length));
}

void on_doctype(void* user, const char*, const char*, const char*, int) {
    static_cast<Parser*>(user)->stop("an OMM without a document type", "a DOCTYPE declaration",
                                     "remove it; entities are never read");
}

void on_entity(void* user, const char*, int, const char*, int, const char*, const char*, const char*, const char*) {
    static_cast<Parser*>(user)->stop("an OMM without entities", "an ENTITY declaration", "remove it");
}

}  // namespace

Result<Elements> read_omm_xml(const OrbitSource& source) {
    Errors errors(source.place);
    const std::unique_ptr<XML_ParserStruct, decltype(&XML_ParserFree)> xml(XML_ParserCreate(nullptr), XML_ParserFree);
    Parser parser{xml.get(), &errors, {}, {}, {}, 1, 1, false, false, false};
    XML_SetUserData(xml.get(), &parser);
    XML_SetElementHandler(xml.get(), on_start, on_end);
    XML_SetCharacterDataHandler(xml.get(), on_text);
    XML_SetStartDoctypeDeclHandler(xml.get(), on_doctype);
    XML_SetEntityDeclHandler(xml.get(), on_entity);
    const XML_Status status = XML_Parse(xml.get(), source.text.data(), static_cast<int>(source.text.size()), XML_TRUE);
    if (status != XML_STATUS_OK && !parser.stopped)
        errors.add(static_cast<int>(XML_GetCurrentLineNumber(xml.get())),
                   static_cast<int>(XML_GetCurrentColumnNumber(xml.get())) + 1, "OMM", "well-formed XML",
                   XML_ErrorString(XML_GetErrorCode(xml.get())), "correct the file");
    else if (!parser.stopped && !parser.saw_omm)
        errors.add(1, 1, "OMM", "an <omm> tag", "none", "give a CCSDS OMM");
    if (errors.any()) return errors.take();
    return elements_from(parser.fields, errors);
}

}  // namespace handrail::sky::detail
