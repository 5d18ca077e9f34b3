#pragma once

#include <string>

#include "edit/edit.h"

/// Wishes and edits as JSON, names instead of numbers, so that a page can keep them. Errors name the field.
namespace handrail::edit {

/// "handrail-wishes", version 1:
///     {"format": "handrail-wishes", "version": 1,
///      "starts": [{"step": "valve.open", "from_s": 4800, "to_s": 4800}],
///      "before": [{"first": "camera.1", "then": "valve.open"}],
///      "not_by": [{"step": "valve.open", "crew": "EV1"}],
///      "lead": [{"task": "valve", "lead": "EV2"}],
///      "leave_out": ["light"], "must_do": ["tray"], "closed": ["tip"]}
/// Lists that are empty may be left out.
std::string to_json(const Outing& outing, const plan::Wishes& wishes);
Result<plan::Wishes> read_wishes(const Outing& outing, const std::string& text, const std::string& file);

/// One edit:
///     {"kind": "pin", "step": "valve.open", "from_s": 4800, "to_s": 4800}   (to_s left out: the same as from_s)
///     {"kind": "free step", "step": "valve.open"}
///     {"kind": "give", "task": "valve", "lead": "EV2"}
///     {"kind": "put in", "task": "tray"}   "leave out", "free task" likewise
///     {"kind": "put before", "first": "camera.1", "then": "valve.open"}
///     {"kind": "forbid", "step": "valve.open", "crew": "EV1"}
///     {"kind": "close site", "site": "tip"}   "open site" likewise
///     {"kind": "nothing"}
Result<Edit> read_edit(const Outing& outing, const std::string& text, const std::string& file);

/// A whole exchange. Request: {"timeline": <handrail-timeline>, "wishes": <handrail-wishes, may be left out>,
/// "edit": <edit>}. Answer: {"format": "handrail-edited", "version": 1, "caution": ..., "refused": null or a sentence,
/// and unless refused "timeline", "wishes", "findings" (<handrail-findings>), "unkept": [sentences], "differences":
/// [{"kind": "task in" | "task out" | "lead" | "start", "task": key, "step": label, "by_s": n, "what": sentence}]}.
/// Errors are those of the request.
Result<std::string> answer(const Outing& outing, const WindowTable& windows, const plan::Situation& situation,
                           const std::string& request, const CheckOptions& options = {});

}  // namespace handrail::edit
