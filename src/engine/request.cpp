#include "engine/request.h"

#include <algorithm>
#include <cmath>

#include "base/text.h"
#include "engine/engine.h"

namespace fretloom::engine {

namespace {

std::string range_text(double low, double high) { return "from " + number_text(low) + " to " + number_text(high); }

}  // namespace

Result<Request> Request::parse(std::string_view text) {
  if (text.size() > FRETLOOM_MOST_REQUEST_BYTES)
    return Error{ErrorKind::limit, 0,
                 "the request is larger than " + std::to_string(FRETLOOM_MOST_REQUEST_BYTES) + " bytes", ""};
  Json json = Json::parse(text, nullptr, false);
  if (json.is_discarded()) return Error{ErrorKind::syntax, 0, "the request is no JSON", ""};
  if (!json.is_object()) return Error{ErrorKind::syntax, 0, "the request is no object", ""};
  const auto call = json.find("call");
  if (call == json.end() || !call->is_string())
    return Error{ErrorKind::syntax, 0, "the request names no call: it needs a text at \"call\"", ""};
  Request request(std::move(json));
  request.call_ = *request.fields_.find("call")->get_ptr<const std::string*>();
  return request;
}

const Json* Request::find(std::string_view field) {
  asked_.push_back(field);
  const auto found = fields_.find(field);
  return found == fields_.end() ? nullptr : &*found;
}

bool Request::has(std::string_view field) const { return fields_.find(field) != fields_.end(); }

void Request::wrong(std::string_view field, const std::string& wanted) {
  if (!fault_) fault_ = Error{ErrorKind::range, 0, std::string(field) + " must be " + wanted, ""};
}

int Request::integer(std::string_view field, int low, int high, std::optional<int> otherwise) {
  const Json* value = find(field);
  if (value == nullptr && otherwise) return *otherwise;
  const bool is_whole = value != nullptr && value->is_number_integer();
  const double number = is_whole ? value->get<double>() : std::nan("");
  const bool fits = number >= low && number <= high;
  if (!fits) wrong(field, "a whole number " + range_text(low, high));
  return fits ? value->get<int>() : otherwise.value_or(low);
}

double Request::number(std::string_view field, double low, double high, std::optional<double> otherwise) {
  const Json* value = find(field);
  if (value == nullptr && otherwise) return *otherwise;
  const double number = value != nullptr && value->is_number() ? value->get<double>() : std::nan("");
  const bool fits = number >= low && number <= high;
  if (!fits) wrong(field, "a number " + range_text(low, high));
  return fits ? number : otherwise.value_or(low);
}

std::string Request::text(std::string_view field) {
  const Json* value = find(field);
  if (value != nullptr && value->is_string()) return *value->get_ptr<const std::string*>();
  wrong(field, "a text");
  return "";
}

bool Request::flag(std::string_view field, bool otherwise) {
  const Json* value = find(field);
  if (value == nullptr) return otherwise;
  if (!value->is_boolean()) wrong(field, "true or false");
  return value->is_boolean() ? value->get<bool>() : otherwise;
}

std::optional<std::size_t> Request::word(std::string_view field, const std::string_view* words, std::size_t count) {
  const Json* value = find(field);
  if (value == nullptr) return std::nullopt;
  const auto* text = value->get_ptr<const std::string*>();
  std::vector<std::string> quoted;
  for (std::size_t i = 0; i < count; ++i) {
    if (text != nullptr && *text == words[i]) return i;
    quoted.push_back("\"" + std::string(words[i]) + "\"");
  }
  wrong(field, "one of " + join(quoted, ", "));
  return std::nullopt;
}

std::optional<Error> Request::fault() const {
  if (fault_) return fault_;
  for (const auto& [field, value] : fields_.items()) {
    if (std::find(asked_.begin(), asked_.end(), field) == asked_.end())
      return Error{ErrorKind::range, 0, "the call " + call_ + " has no field " + field, ""};
  }
  return std::nullopt;
}

}  // namespace fretloom::engine
