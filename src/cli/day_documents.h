#pragma once

#include <string>
#include <vector>

#include "live/status.h"
#include "serve/backend.h"

namespace handrail::cli {

/// Every document there is for this day, a cue sheet for each reader, as docs/openapi.json (Documents) has it.
std::string documents_json(const Outing& outing, const live::Status& status);
/// One of them, made from the day as it stands. What asks for something that is not there gets a sentence.
serve::Reply made_document(const Outing& outing, const std::vector<live::Recorded>& entries, const live::Status& status,
                           const serve::DocumentRequest& wish);

}  // namespace handrail::cli
