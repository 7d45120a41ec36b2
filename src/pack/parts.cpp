#include "pack/parts.h"

#include <algorithm>
#include <array>

#include "base/text.h"
#include "exchange/midi_score.h"
#include "exchange/musicxml.h"
#include "exchange/text_tab.h"
#include "lesson/source.h"
#include "pack/content.h"
#include "pack/hash.h"
#include "pack/words.h"
#include "pack/words_captions.h"
#include "pack/words_chapters.h"
#include "sheet/cairo_writer.h"
#include "sheet/engrave.h"
#include "sheet/svg.h"

namespace fretloom {

namespace {

constexpr std::array<std::string_view, k_part_groups> k_names = {"lesson",   "handout", "tab",      "midi",  "musicxml",
                                                                 "drawings", "audio",   "captions", "words", "plan"};

using Bytes = Result<std::string>;

std::string padded(std::size_t number) { return (number < 10 ? "0" : "") + std::to_string(number); }

/// "01-six-that-folds-back-4-a-beat".
std::string feel_name(std::size_t idea, const Score& score) {
  return padded(idea + 1) + "-" + file_slug(score.title, "idea") + "-" + std::to_string(score.notes_per_beat) +
         "-a-beat";
}

/// XML ends with a comment, which may stand behind the last element.
Bytes with_comment(Bytes document) {
  if (!document) return document;
  return std::move(document).value() + "<!-- " + blank_stamp() + " -->\n";
}

Bytes with_line(Bytes text) {
  if (!text) return text;
  return std::move(text).value() + "\n" + blank_stamp() + "\n";
}

Bytes pdf_of(const Handout& handout, const sheet::SheetOptions& options, const sheet::MusicFont& font) {
  const auto engraved = sheet::engrave(handout, options, font);
  if (!engraved) return engraved.error();
  sheet::PdfOptions pdf;
  pdf.keywords = blank_stamp();
  auto rendered = sheet::write_pdf(engraved->scene, font, pdf);
  if (!rendered) return rendered.error();
  return std::move(rendered).value().bytes;
}

Bytes drawing_of(const Score& score, const sheet::MusicFont& font) {
  sheet::SheetOptions options;
  options.paper = sheet::k_strip;
  const auto engraved = sheet::engrave(score, options, font);
  if (!engraved) return engraved.error();
  return with_comment(sheet::write_svg(engraved->scene, font));
}

Bytes midi_bytes(const Handout& handout, MidiSpeed speed) {
  auto made = midi_of(handout, {speed, MidiChannels::one});
  if (!made) return made.error();
  MidiFile file = std::move(made).value();
  MidiEvent text;
  text.meta = k_meta_text;
  text.data = blank_stamp();
  auto& events = file.tracks.front().events;
  events.insert(events.begin(), text);
  return write_midi(file);
}

Bytes musicxml_bytes(const Handout& handout) { return with_comment(musicxml_of(handout)); }

Bytes sound_of(const SoundJob& job, AudioFormat format, const StopFlag* stop) {
  auto take = make_take(job, is_lossy(format), stop);
  if (!take) return take.error();
  AudioTags tags = job.tags;
  tags.comment = blank_stamp() + " " + tags.comment;
  return encode(take->mix, format, tags);
}

Bytes captions_of(const SoundJob& job) {
  auto text = captions(job.score, job.timeline);
  if (!text) return text;
  return std::move(text).value() + "\nNOTE " + blank_stamp() + "\n";
}

/// All that shows in a rendering.
std::string job_text(const SoundJob& job) {
  const auto& t = job.timeline;
  const auto& m = job.sound.manner;
  std::string text = content_text(job.score) + std::string(name(t.piece)) + " " + t.bpm.to_string() + " " +
                     t.ladder_from.to_string() + " " + std::to_string(t.rungs) + " " + std::string(name(t.click)) +
                     " " + std::to_string(t.count_in_bars) + " " + std::to_string(t.times) + " " +
                     std::to_string(job.sound.voicing.value_or(-1)) + " " + number_text(job.click_db);
  for (const double x : {m.slide_seconds, m.hammer_seconds, m.palm, m.stroke_colour, m.dynamics})
    text += " " + number_text(x);
  for (const std::string* tag :
       {&job.tags.title, &job.tags.artist, &job.tags.album, &job.tags.comment, &job.tags.licence})
    text += "\n" + *tag;
  return text + "\n" + std::to_string(job.tags.track);
}

class Planner {
 public:
  Planner(const CompiledLesson& compiled, const PackChoice& choice, const PackTools& tools)
      : compiled_(compiled),
        handout_(make_handout(compiled)),
        choice_(choice),
        tools_(tools),
        all_(content_text(handout_)) {}

  Result<PackPlan> run(const std::string& lesson_text, const std::string& logo) {
    if (handout_.ideas.empty()) return Error{ErrorKind::range, 0, "the lesson has no idea that can be played", ""};
    plan_.title = handout_.title;
    plan_.author = handout_.author;
    plan_.key = handout_.key;
    plan_.ideas = handout_.ideas.size();
    plan_.lesson_hash = sha256(lesson_text);
    plan_.choice = choice_text(choice_);
    plan_.findings = missing_facts(handout_);
    add_plain("lesson.toml", lesson_text);
    if (!logo.empty()) add_plain(logo_path(handout_), logo);
    const std::size_t plain = plan_.parts.size();
    for (const auto add : {&Planner::handout, &Planner::tab, &Planner::midi, &Planner::drawings, &Planner::sound,
                           &Planner::words, &Planner::practice}) {
      if (auto bad = (this->*add)(logo)) return *bad;
    }
    place_findings();
    std::sort(plan_.parts.begin() + static_cast<std::ptrdiff_t>(plain), plan_.parts.end(),
              [](const PackPart& a, const PackPart& b) { return a.path < b.path; });
    return std::move(plan_);
  }

 private:
  using Bad = std::optional<Error>;

  [[nodiscard]] bool wants(PartGroup group) const {
    return choice_.groups.empty() ||
           std::find(choice_.groups.begin(), choice_.groups.end(), group) != choice_.groups.end();
  }

  /// The words and the plan count a handout's ideas; the lesson file has those in error as well.
  void place_findings() {
    std::vector<std::size_t> kept;
    for (const CompiledIdea& idea : compiled_.ideas) kept.push_back(idea.index);
    for (Finding& finding : plan_.findings) place_finding(compiled_.lesson->source, kept, finding);
  }

  void add_plain(const std::string& path, const std::string& bytes) {
    plan_.parts.push_back({path, PartGroup::lesson, sha256(bytes), false, [bytes](const StopFlag*) { return bytes; }});
  }

  void add(const std::string& path, PartGroup group, const std::string& depends,
           std::function<Bytes(const StopFlag*)> make) {
    if (!wants(group)) return;
    std::string free = path;  // feels that differ in nothing that the name tells
    const auto taken = [&](const PackPart& part) { return part.path == free; };
    for (int n = 2; std::any_of(plan_.parts.begin(), plan_.parts.end(), taken); ++n)
      free = path.substr(0, path.rfind('.')) + "-" + std::to_string(n) + path.substr(path.rfind('.'));
    plan_.parts.push_back({free, group, sha256(tools_.maker + "\n" + free + "\n" + depends), true, std::move(make)});
  }

  Bad handout(const std::string& logo) {
    sheet::SheetOptions options;
    const auto paper = sheet::parse_paper(choice_.paper);
    if (!paper) return paper.error();
    options.paper = *paper;
    if (!logo.empty()) {
      const auto image = sheet::make_logo(logo, handout_.logo);
      if (!image) return image.error();
      options.logo = *image;
    }
    add("handout.pdf", PartGroup::handout, all_ + choice_.paper + sha256(logo),
        [handout = handout_, options, font = tools_.font](const StopFlag*) { return pdf_of(handout, options, *font); });
    return std::nullopt;
  }

  Bad tab(const std::string& /*logo*/) {
    add("tab.txt", PartGroup::tab, all_,
        [handout = handout_](const StopFlag*) { return with_line(text_handout(handout)); });
    return std::nullopt;
  }

  Bad midi(const std::string& /*logo*/) {
    for (const auto& [path, speed] :
         {std::pair("lesson.mid", MidiSpeed::goal), std::pair("lesson-slow.mid", MidiSpeed::slow)})
      add(path, PartGroup::midi, all_,
          [handout = handout_, speed = speed](const StopFlag*) { return midi_bytes(handout, speed); });
    add("lesson.musicxml", PartGroup::musicxml, all_,
        [handout = handout_](const StopFlag*) { return musicxml_bytes(handout); });
    return std::nullopt;
  }

  Bad drawings(const std::string& /*logo*/) {
    for (std::size_t i = 0; i < handout_.ideas.size(); ++i) {
      for (const Score& score : handout_.ideas[i].feels)
        add("drawings/" + feel_name(i, score) + ".svg", PartGroup::drawings, content_text(score),
            [score, font = tools_.font](const StopFlag*) { return drawing_of(score, *font); });
    }
    return std::nullopt;
  }

  Bad sound(const std::string& /*logo*/) {
    if (!wants(PartGroup::audio) && !wants(PartGroup::captions)) return std::nullopt;
    const auto jobs = plan_sound(handout_, choice_.sound);
    if (!jobs) return jobs.error();
    for (const SoundJob& job : *jobs) {
      const std::string depends = job_text(job);
      for (const AudioFormat format : job.formats)
        add("audio/" + job.file + "." + std::string(name(format)), PartGroup::audio, depends,
            [job, format](const StopFlag* stop) { return sound_of(job, format, stop); });
      const Piece piece = job.timeline.piece;
      if (piece == Piece::demo || piece == Piece::ladder || piece == Piece::bursts)
        add("audio/" + job.file + ".vtt", PartGroup::captions, depends,
            [job](const StopFlag*) { return captions_of(job); });
    }
    return std::nullopt;
  }

  Bad words(const std::string& /*logo*/) {
    const auto add_text = [&](const std::string& file, std::function<Bytes(const Handout&)> text) {
      add("words/" + file, PartGroup::words, all_ + plan_.choice,
          [handout = handout_, text = std::move(text)](const StopFlag*) { return with_line(text(handout)); });
    };
    TimelineOptions options;
    options.count_in_bars = choice_.sound.count_in_bars;
    options.times = choice_.sound.times;
    add_text("description.txt", [](const Handout& h) { return description_text(h); });
    add_text("script.txt", [](const Handout& h) { return script_text(h); });
    add_text("email.txt", [](const Handout& h) { return email_text(h); });
    add_text("chapters.txt", [options](const Handout& h) -> Bytes {
      const auto chapters = demo_chapters(h, options);
      if (!chapters) return chapters.error();
      return chapters_text(*chapters);
    });
    return std::nullopt;
  }

  Bad practice(const std::string& /*logo*/) {
    if (!wants(PartGroup::plan)) return std::nullopt;
    PlanRequest request = choice_.plan;
    if (request.present_bpm == Rational(0)) request.present_bpm = handout_.ideas.front().feels.front().slow_bpm;
    const auto plan = make_plan(handout_, request);
    if (!plan) return plan.error();
    plan_.findings.insert(plan_.findings.end(), plan->findings.begin(), plan->findings.end());
    add("practice-plan.txt", PartGroup::plan, all_ + plan_.choice,
        [handout = handout_, request](const StopFlag*) -> Bytes {
          const auto made = make_plan(handout, request);
          if (!made) return made.error();
          return with_line(plan_text(*made, handout));
        });
    return std::nullopt;
  }

  const CompiledLesson& compiled_;
  Handout handout_;
  const PackChoice& choice_;
  const PackTools& tools_;
  std::string all_;
  PackPlan plan_;

 public:
  /// The logo keeps its ending and loses its folders.
  static std::string logo_path(const Handout& handout) {
    const auto dot = handout.logo.rfind('.');
    const std::string stem = handout.logo.substr(0, dot);
    return file_slug(stem.substr(stem.rfind('/') + 1), "logo") + ".png";
  }
};

template <class T>
std::string names_of(const std::vector<T>& items) {
  std::string text;
  for (const T& item : items) text += (text.empty() ? "" : ",") + std::string(name(item));
  return text.empty() ? "-" : text;
}

/// Reads names parted by commas; "-" is none.
template <class T>
bool read_names(std::string_view text, std::optional<T> (*parse)(std::string_view), std::vector<T>& target) {
  target.clear();
  if (text == "-") return true;
  for (const std::string_view word : split(text, ',')) {
    const auto item = parse(word);
    if (!item) return false;
    target.push_back(*item);
  }
  return true;
}

std::string rationals_of(const std::vector<Rational>& numbers) {
  std::string text;
  for (const Rational& number : numbers) text += (text.empty() ? "" : ",") + number.to_string();
  return text.empty() ? "-" : text;
}

std::optional<Rational> parse_rational(std::string_view text) {
  const auto halves = split(text, '/');
  const auto num = parse_int(halves[0]);
  const auto den = halves.size() == 2 ? parse_int(halves[1]) : std::optional<int>(1);
  if (halves.size() > 2 || !num || !den || *den < 1) return std::nullopt;
  return Rational(*num, *den);
}

}  // namespace

std::string_view name(PartGroup group) { return k_names[static_cast<std::size_t>(group)]; }

std::optional<PartGroup> parse_part_group(std::string_view text) {
  const auto found = std::find(k_names.begin(), k_names.end(), lower(trim(text)));
  if (found == k_names.end()) return std::nullopt;
  return static_cast<PartGroup>(found - k_names.begin());
}

Result<PackPlan> plan_parts(const CompiledLesson& compiled, const std::string& lesson_text, const std::string& logo,
                            const PackChoice& choice, const PackTools& tools) {
  return Planner(compiled, choice, tools).run(lesson_text, logo);
}

std::string choice_text(const PackChoice& choice) {
  return "parts=" + names_of(choice.groups) + " paper=" + choice.paper + " what=" + names_of(choice.sound.pieces) +
         " tempos=" + rationals_of(choice.sound.tempos) + " formats=" + names_of(choice.sound.formats) +
         " click=" + std::string(name(choice.sound.click)) + " count-in=" + std::to_string(choice.sound.count_in_bars) +
         " minutes=" + std::to_string(choice.plan.minutes_a_day) + " days=" + std::to_string(choice.plan.days) +
         " present=" + choice.plan.present_bpm.to_string();
}

Result<PackChoice> parse_choice(std::string_view text) {
  PackChoice choice;
  const auto number = [](std::string_view value, int& target) {
    const auto parsed = parse_int(value);
    if (parsed) target = *parsed;
    return parsed.has_value();
  };
  for (const Word& word : words(text)) {
    const auto equals = word.text.find('=');
    const std::string_view key = word.text.substr(0, equals);
    const std::string_view value = equals == std::string_view::npos ? "" : word.text.substr(equals + 1);
    bool good = false;
    if (key == "parts") good = read_names(value, parse_part_group, choice.groups);
    if (key == "paper") good = sheet::parse_paper(choice.paper = value).ok();
    if (key == "what") good = read_names(value, parse_piece, choice.sound.pieces);
    if (key == "formats") good = read_names(value, parse_audio_format, choice.sound.formats);
    if (key == "count-in") good = number(value, choice.sound.count_in_bars);
    if (key == "minutes") good = number(value, choice.plan.minutes_a_day);
    if (key == "days") good = number(value, choice.plan.days);
    if (key == "click") {
      const auto click = parse_click_pattern(value);
      good = click.has_value();
      choice.sound.click = click.value_or(ClickPattern::beat);
    }
    if (key == "present") {
      const auto bpm = parse_rational(value);
      good = bpm.has_value();
      choice.plan.present_bpm = bpm.value_or(Rational(0));
    }
    if (key == "tempos") {
      good = true;
      choice.sound.tempos.clear();
      for (const std::string_view tempo : value == "-" ? std::vector<std::string_view>() : split(value, ',')) {
        const auto bpm = parse_rational(tempo);
        good = good && bpm.has_value();
        choice.sound.tempos.push_back(bpm.value_or(Rational(60)));
      }
    }
    if (!good)
      return Error{ErrorKind::syntax, word.at, "\"" + std::string(word.text) + "\" is no choice of a pack", ""};
  }
  return choice;
}

}  // namespace fretloom
