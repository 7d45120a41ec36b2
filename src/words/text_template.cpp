#include "words/text_template.h"

#include <algorithm>

#include "base/text.h"

namespace fretloom {

namespace {

// Marks in a text that is being filled in; none can be in a template or a value, which hold no control characters.
constexpr char k_nothing = '\x01';  ///< a placeholder without a value
constexpr char k_something = '\x02';
constexpr char k_value_end = '\x04';
constexpr char k_block = '\x03';  ///< where a block begins or ends, and a remark

/// The template's characters, with line breaks and byte order mark as everywhere.
std::string unified(std::string_view text) {
  constexpr std::string_view k_byte_order_mark = "\xEF\xBB\xBF";
  if (text.starts_with(k_byte_order_mark)) text.remove_prefix(k_byte_order_mark.size());
  std::string out;
  for (std::size_t i = 0; i < text.size(); ++i) {
    if (text[i] != '\r') out += text[i];
    if (text[i] == '\r' && (i + 1 == text.size() || text[i + 1] != '\n')) out += '\n';
  }
  return out;
}

/// What stands in braces, in lower case with single blanks.
std::string tag_words(std::string_view inside) {
  std::string text;
  for (const Word& word : words(inside)) text += (text.empty() ? "" : " ") + lower(word.text);
  return text;
}

class TemplateReader {
 public:
  TemplateReading read(std::string_view raw) {
    if (raw.size() > k_max_template_bytes) {
      find(0, "size", "the template is larger than " + byte_text(k_max_template_bytes), "");
      return std::move(out_);
    }
    const std::string typed = unified(raw);
    text_ = xml_text(typed);
    if (text_ != typed) {
      auto at = std::mismatch(text_.begin(), text_.end(), typed.begin(), typed.end()).first;
      while (at != text_.begin() && (static_cast<unsigned char>(*at) & 0xC0U) == 0x80U)
        --at;  // to the character's start
      find(static_cast<std::size_t>(at - text_.begin()), "text", "this is not text in UTF-8; write the character anew",
           "\xEF\xBF\xBD");
    }
    for (std::size_t i = 0; i < text_.size();) i = step(i);
    flush();
    for (auto block = blocks_.rbegin(); block != blocks_.rend(); ++block) {
      find(block->at, "end", "this block is not closed; write {end} where it ends", "{end}");
      if (block->step) out_.text.steps[*block->step].end = out_.text.steps.size();
    }
    return std::move(out_);
  }

 private:
  struct Block {
    std::size_t at = 0;
    std::optional<std::size_t> step;  ///< nothing for a block that was not understood
    TextScope scope = TextScope::lesson;
  };

  [[nodiscard]] TextScope scope() const { return blocks_.empty() ? TextScope::lesson : blocks_.back().scope; }

  /// Reads what starts at `i`; returns where the next thing starts.
  std::size_t step(std::size_t i) {
    if (text_[i] != '{') {
      plain_ += text_[i];
      return i + 1;
    }
    if (text_.compare(i, 2, "{{") == 0) {
      plain_ += '{';
      return i + 2;
    }
    const bool remark = text_.compare(i, 2, "{#") == 0;
    const std::size_t end = text_.find_first_of(remark ? "}\n" : "{}\n", i + 1);
    if (end == std::string::npos || text_[end] != '}') {
      find(i, "brace", "this { has no } on its line; write {{ for a brace of your own", "{{");
      plain_ += '{';
      return i + 1;
    }
    if (remark) {
      plain_ += k_block;
    } else {
      tag(i, text_.substr(i, end + 1 - i));
    }
    return end + 1;
  }

  void tag(std::size_t at, const std::string& typed) {
    const std::string name = tag_words(std::string_view(typed).substr(1, typed.size() - 2));
    if (name == "end") return close(at, typed);
    if (name.starts_with("each ")) return open_list(at, typed, name.substr(5));
    if (name.starts_with("if ")) return open_condition(at, typed, name.substr(3));
    if (const Placeholder* row = find_placeholder(name)) {
      add({row, nullptr, false, 0, ""});
      return;
    }
    const std::string near = nearest_name(name);
    const std::string elsewhere = home_of(name);
    if (!elsewhere.empty()) {
      find(at, "name", typed + " stands only between {each " + elsewhere + "} and its {end}", "{" + typed);
    } else {
      find(at, "name", "there is no " + typed + " here; you may write " + names_here(),
           near.empty() ? "{" + typed : "{" + near + "}");
    }
    plain_ += typed;
  }

  void open_list(std::size_t at, const std::string& typed, const std::string& name) {
    std::vector<std::string_view> legal;
    for (const TextList& list : text_lists()) {
      if (list.around != scope()) continue;
      if (list.name == name) return open(at, {nullptr, &list, true, 0, ""}, list.within);
      legal.push_back(list.name);
    }
    std::string repair = nearest(name, legal);
    if (repair.empty() && !legal.empty()) repair = legal.front();
    repair =
        legal.empty() ? "{if " + std::string(placeholders_in(scope()).front()->name) + "}" : "{each " + repair + "}";
    std::vector<std::string> blocks;
    for (const std::string_view list : legal) blocks.push_back("{each " + std::string(list) + "}");
    find(at, "name",
         "there is no " + typed + " here; " +
             (blocks.empty() ? std::string("no {each ...} may stand here") : "you may write " + join(blocks, ", ")),
         repair);
    open_unknown(at, typed);
  }

  void open_condition(std::size_t at, const std::string& typed, const std::string& name) {
    if (const Placeholder* row = find_placeholder(name)) return open(at, {row, nullptr, true, 0, ""}, scope());
    std::string near = nearest_name(name);
    if (near.empty()) near = placeholders_in(scope()).front()->name;
    find(at, "name", "there is no " + typed + " here; an {if ...} may ask for " + names_here(), "{if " + near + "}");
    open_unknown(at, typed);
  }

  void open(std::size_t at, TemplateStep block, TextScope within) {
    if (blocks_.size() >= k_deepest_block) {
      find(at, "depth", "no more than " + std::to_string(k_deepest_block) + " blocks may stand within each other", "");
      blocks_.push_back({at, std::nullopt, scope()});
      return;
    }
    add(std::move(block));
    blocks_.push_back({at, out_.text.steps.size() - 1, within});
  }

  /// Its {end} still belongs to it.
  void open_unknown(std::size_t at, const std::string& typed) {
    plain_ += typed;
    blocks_.push_back({at, std::nullopt, scope()});
  }

  void close(std::size_t at, const std::string& typed) {
    if (blocks_.empty()) {
      find(at, "end", "this {end} closes no block; write {{end} if you mean the word", "{" + typed);
      plain_ += typed;
      return;
    }
    flush();
    if (const auto step = blocks_.back().step) {
      out_.text.steps[*step].end = out_.text.steps.size();
    } else {
      plain_ += typed;
    }
    blocks_.pop_back();
  }

  [[nodiscard]] const Placeholder* find_placeholder(std::string_view name) const {
    for (const Placeholder* row : placeholders_in(scope())) {
      if (row->name == name) return row;
    }
    return nullptr;
  }

  /// The list whose block a placeholder belongs to; empty where there is no such placeholder.
  [[nodiscard]] static std::string home_of(std::string_view name) {
    for (const Placeholder& row : placeholders()) {
      for (const TextList& list : text_lists()) {
        if (row.name == name && list.within == row.scope) return std::string(list.name);
      }
    }
    return "";
  }

  [[nodiscard]] std::string nearest_name(std::string_view name) const {
    std::vector<std::string_view> legal;
    for (const Placeholder* row : placeholders_in(scope())) legal.push_back(row->name);
    return nearest(name, legal);
  }

  [[nodiscard]] std::string names_here() const {
    std::vector<std::string> names;
    for (const Placeholder* row : placeholders_in(scope())) names.push_back("{" + std::string(row->name) + "}");
    return join(names, ", ");
  }

  void add(TemplateStep step) {
    flush();
    out_.text.steps.push_back(std::move(step));
  }

  void flush() {
    if (plain_.empty()) return;
    out_.text.steps.push_back({nullptr, nullptr, false, 0, std::move(plain_)});
    plain_.clear();
  }

  void find(std::size_t at, std::string_view code, std::string message, std::string repair) {
    if (out_.findings.size() == k_most_template_findings) return;
    const std::string_view before = std::string_view(text_).substr(0, at);
    const auto line = static_cast<std::uint32_t>(std::count(before.begin(), before.end(), '\n') + 1);
    const std::size_t start = before.rfind('\n') + 1;  // npos + 1 is 0
    const auto column = static_cast<std::uint32_t>(count_code_points(before.substr(start)) + 1);
    out_.findings.push_back(
        {Level::error, "template-" + std::string(code), {}, {line, column}, std::move(message), std::move(repair)});
  }

  std::string text_;
  std::string plain_;
  std::vector<Block> blocks_;
  TemplateReading out_;
};

/// Steps [begin, end) with these facts.
void fill_steps(std::string& out, const TextTemplate& text, std::size_t begin, std::size_t end,
                const TextFacts& facts) {
  for (std::size_t i = begin; i < end;) {
    const TemplateStep& step = text.steps[i++];
    if (!step.is_block) {
      if (step.value == nullptr) {
        out += step.text;
      } else if (const std::string value = xml_text(step.value->value(facts)); value.empty()) {
        out += k_nothing;
      } else {
        out += k_something + value + k_value_end;
      }
      continue;
    }
    out += k_block;
    if (step.list != nullptr) {
      for (const TextFacts& round : step.list->rounds(facts)) {
        fill_steps(out, text, i, step.end, round);
        out += k_block;
      }
    } else if (!step.value->value(facts).empty()) {
      fill_steps(out, text, i, step.end, facts);
    }
    out += k_block;
    i = step.end;
  }
}

/// The line without its marks; nothing where it is left out.
std::optional<std::string> finished(std::string_view marked) {
  const bool tried = marked.find(k_nothing) != std::string_view::npos;
  const bool filled = marked.find(k_something) != std::string_view::npos;
  if (tried && !filled) return std::nullopt;
  std::string line;
  bool ended = false;  // a value ends here that has its own full stop
  bool gap = false;    // nothing was put here
  for (const char c : marked) {
    if (c == k_nothing) gap = true;
    if (c == k_value_end) ended = !line.empty() && std::string_view(".!?").find(line.back()) != std::string_view::npos;
    if (c >= k_nothing && c <= k_value_end) continue;
    const bool second_stop = c == '.' && ended;
    const bool second_blank = c == ' ' && gap && (line.empty() || line.back() == ' ');
    if (!second_stop && !second_blank) line += c;
    ended = false;
    gap = false;
  }
  line.erase(line.find_last_not_of(" \t") + 1);
  if (line.empty() && marked.find(k_block) != std::string_view::npos) return std::nullopt;
  return line;
}

}  // namespace

std::string_view template_file_name(TemplateKind kind) {
  switch (kind) {
    case TemplateKind::email: return "email.txt";
    case TemplateKind::description: return "description.txt";
    case TemplateKind::script: return "script.txt";
  }
  return "";
}

TemplateReading read_template(std::string_view text) { return TemplateReader().read(text); }

TextTemplate default_template(TemplateKind kind) { return template_for(kind, {}).text; }

TemplateReading template_for(TemplateKind kind, const std::vector<TemplateFile>& files) {
  const auto is_it = [&](const TemplateFile& file) { return file.kind == kind; };
  if (const auto own = std::find_if(files.begin(), files.end(), is_it); own != files.end())
    return read_template(own->text);
  const std::vector<TemplateFile> ours = default_templates();
  return read_template(std::find_if(ours.begin(), ours.end(), is_it)->text);
}

std::string fill(const TextTemplate& text, const TextFacts& facts) {
  std::string marked;
  fill_steps(marked, text, 0, text.steps.size(), facts);
  std::string out;
  bool blank = false;
  for (const std::string_view part : split(marked, '\n')) {
    const auto line = finished(part);
    if (!line) continue;
    if (!line->empty()) out += (blank && !out.empty() ? "\n" : "") + *line + "\n";
    blank = line->empty();
  }
  return out.empty() ? "\n" : out;
}

}  // namespace fretloom
