#pragma once

#include <string>
#include <utility>
#include <vector>

/// An HTTP request and its answer as plain values, so that everything but the sockets is tested without them.
namespace handrail::serve {

/// The parts of a request anybody here looks at. A header that was not sent is empty.
struct Request {
    std::string method;  ///< "GET"
    std::string path;    ///< without the query, as it stood: nothing is decoded
    std::string query;   ///< after the ?, as it stood
    std::string host, origin, fetch_site, content_type, authorization, cookie, if_none_match, accept_encoding,
        last_event_id;
    std::string body;
    std::string remote;  ///< address of the other end, without its port
};

struct Answer {
    unsigned status = 200;
    std::string content_type = "application/json";
    std::string body;
    std::vector<std::pair<std::string, std::string>> headers;  ///< besides the ones every answer carries
    bool operator==(const Answer&) const = default;
};

/// {"error": sentence}
Answer refusal(unsigned status, const std::string& sentence);
/// The value of `name` in a cookie header or a query of the form a=1&b=2 (`separator` ';' or '&'); empty: not there.
std::string value_of(const std::string& pairs, const std::string& name, char separator);

}  // namespace handrail::serve
