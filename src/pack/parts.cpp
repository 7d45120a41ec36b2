#include "pack/parts.h"

#include <algorithm>
#include <array>
#include <memory>

#include "band/play_vamp.h"
#include "base/text.h"
#include "draw/link_code.h"
#include "draw/pdf.h"
#include "exchange/midi_score.h"
#include "exchange/musicxml.h"
#include "exchange/text_tab.h"
#include "lesson/source.h"
#include "pack/content.h"
#include "pack/hash.h"
#include "pack/manifest.h"
#include "pack/practice_page.h"
#include "pack/start_page.h"
#include "sheet/engrave.h"
#include "sheet/svg.h"
#include "sound/sound_take.h"
#include "words/captions.h"
#include "words/chapters.h"
#include "words/durations.h"
#include "words/lesson_texts.h"
#include "words/missing_facts.h"
#include "words/plan.h"
#include "words/sentences_of.h"

namespace fretloom {

namespace {

using Bytes = Result<std::string>;

std::string padded(std::size_t number) { return (number < 10 ? "0" : "") + std::to_string(number); }

/// "01-six-that-folds-back-4-a-beat".
std::string feel_name(const IdeaSheet& idea, const Score& score) {
  return padded(static_cast<std::size_t>(idea.number)) + "-" + file_slug(idea.name, "idea") + "-" +
         std::to_string(score.notes_per_beat) + "-a-beat";
}

/// XML ends with a comment, which may stand behind the last element.
Bytes with_comment(Bytes document) {
  if (!document) return document;
  return std::move(document).value() + "<!-- " + blank_stamp() + " -->\n";
}

Bytes pdf_of(const sheet::Scene& scene, const sheet::MusicFont& font) {
  draw::PdfOptions pdf;
  pdf.keywords = blank_stamp();
  auto rendered = draw::write_pdf(scene, font, pdf);
  if (!rendered) return rendered.error();
  return std::move(rendered).value().bytes;
}

Bytes drawing_of(const IdeaSheet& idea, int feel, const sheet::MusicFont& font) {
  sheet::SheetOptions options;
  options.paper = sheet::k_strip;
  const auto engraved = sheet::engrave(idea, feel, options, font);
  if (!engraved) return engraved.error();
  return with_comment(sheet::write_svg(engraved->scene, font));
}

Bytes midi_bytes(const Handout& handout, MidiSpeed speed) {
  const auto bands = play_vamps(handout, speed == MidiSpeed::slow ? BandSpeed::slow : BandSpeed::goal);
  if (!bands) return bands.error();
  auto made = midi_of(handout, {speed, MidiChannels::one}, *bands);
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
  AudioTags tags = job.tags;
  tags.comment += " " + blank_stamp();
  return encode_take(job, format, tags, stop);
}

/// The kit of the student's page, whose band plays one turn of a vamp; empty where it plays no such sounds.
Bytes kit_of(const Handout& handout, BandSamples& samples) {
  BandOptions options;
  options.turns = 1;
  const auto sounds = kit_sounds(handout, options);
  if (!sounds) return sounds.error();
  if (sounds->empty()) return std::string();
  const auto kit = make_kit(*sounds, samples);
  if (!kit) return kit.error();
  return kit_json(*kit);
}

Bytes captions_of(const SoundJob& job) {
  const auto timeline = lay_out(job.idea, job.score(), job.timeline);
  if (!timeline) return timeline.error();
  std::vector<NoteTime> times;
  for (const voice::PlayedNote& note : timeline->notes) times.push_back({note.onset, note.end});
  const bool ladder = job.timeline.piece == Piece::ladder;
  const std::string tempo = caption_tempo(ladder ? job.timeline.ladder_from : job.timeline.bpm, job.timeline.bpm);
  const auto cues = caption_cues(job.idea, job.score(), times, k_sample_rate, tempo);
  if (!cues) return cues.error();
  return web_vtt(*cues, k_sample_rate) + "\nNOTE " + blank_stamp() + "\n";
}

/// All that shows in a rendering.
std::string job_text(const SoundJob& job) {
  const auto& t = job.timeline;
  const auto& m = job.sound.manner;
  std::string text = content_text(job.idea) + std::string(name(t.piece)) + " " + t.bpm.to_string() + " " +
                     t.ladder_from.to_string() + " " + std::string(name(t.click)) + " " +
                     std::to_string(t.count_in_bars) + " " + std::to_string(t.times) + " " +
                     std::to_string(job.sound.voicing.value_or(-1)) + " " + number_text(job.click_db);
  for (const double x : {m.slide_seconds, m.hammer_seconds, m.palm, m.stroke_colour, m.dynamics, m.variance,
                         m.timing_seconds, m.vibrato_cents, m.hiss})
    text += " " + number_text(x);
  for (const std::string* tag :
       {&job.tags.title, &job.tags.artist, &job.tags.album, &job.tags.comment, &job.tags.licence})
    text += "\n" + *tag;
  if (job.has_band()) {
    const BandOptions& b = t.band;
    text += "\nband " + std::string(name(b.intensity)) + " " + std::to_string(b.seed) + " " + std::to_string(b.turns) +
            (job.samples == nullptr ? " strings alone" : "");
    if (b.lick) text += " " + std::to_string(b.lick->low) + " " + std::to_string(b.lick->high);
  }
  text += " " + std::to_string(static_cast<int>(t.backing));
  return text + "\n" + std::to_string(job.tags.track);
}

/// "Slow, 60 beats a minute", "Loop at 120 beats a minute".
std::string sound_label(const SoundJob& job) {
  const Rational& bpm = job.timeline.bpm;
  const std::string tempo = number_text(bpm.to_double()) + " beats a minute" +
                            (job.timeline.backing == Backing::band ? ", with the band" : "");
  switch (job.timeline.piece) {
    case Piece::demo:
      if (bpm == job.idea.goal_bpm) return "Goal tempo, " + tempo;
      return (bpm == job.idea.slow_bpm ? "Slow, " : "At ") + tempo;
    case Piece::loop: return "Loop at " + tempo;
    case Piece::click: return "Click alone at " + tempo;
    case Piece::ladder: return "Ladder from " + number_text(job.timeline.ladder_from.to_double()) + " to " + tempo;
    case Piece::bursts: return "Bursts at " + tempo;
    case Piece::band: return chords_text(job.idea.vamp, job.idea.meter) + " at " + tempo;
  }
  return tempo;
}

/// What the chapters need of the choice.
std::string sound_text(PackChoice choice) {
  choice.groups.clear();
  choice.plan = {};
  choice.paper = PackChoice().paper;
  return choice_text(choice);
}

/// The logo keeps its ending and loses its folders.
std::string logo_file(const Handout& handout) {
  const std::string stem = handout.prose.logo.substr(0, handout.prose.logo.rfind('.'));
  return file_slug(stem.substr(stem.rfind('/') + 1), "logo") + ".png";
}

class Planner {
 public:
  Planner(const CompiledLesson& compiled, const PackSources& sources, const PackChoice& choice, const PackTools& tools)
      : compiled_(compiled),
        sources_(sources),
        handout_(make_handout(compiled)),
        sentences_(sentences_of(compiled, handout_)),
        choice_(choice),
        sound_(choice.sound),
        tools_(tools),
        all_(content_text(handout_) + content_text(sentences_)) {
    sound_.samples = tools.samples;
  }

  Result<PackPlan> run() {
    if (handout_.ideas.empty()) return Error{ErrorKind::range, 0, "the lesson has no idea that can be played", ""};
    plan_.title = handout_.prose.title;
    plan_.author = handout_.prose.author;
    plan_.key = handout_.key.said_name();
    plan_.ideas = handout_.ideas.size();
    plan_.name = sources_.name;
    plan_.source = sources_.source;
    plan_.lesson_hash = sha256(sources_.lesson);
    plan_.choice = choice_text(choice_);
    plan_.missing = missing_facts(handout_);
    add_plain(lesson_path(plan_.name), sources_.lesson);
    if (!sources_.durations.empty()) add_plain(durations_path(plan_.name), sources_.durations);
    for (const TemplateFile& file : sources_.templates) add_plain(template_path(plan_.name, file.kind), file.text);
    if (!sources_.logo.empty()) add_plain(teacher(logo_file(handout_)), sources_.logo);
    const auto plain = static_cast<std::ptrdiff_t>(plan_.parts.size());
    page_ = start_page_of(handout_);
    for (const auto add : {&Planner::handout, &Planner::notes, &Planner::drawings, &Planner::sound, &Planner::practice,
                           &Planner::page, &Planner::words, &Planner::start}) {
      if (auto bad = (this->*add)()) return *bad;
    }
    place_findings();
    std::sort(plan_.parts.begin() + plain, plan_.parts.end(),
              [](const PackPart& a, const PackPart& b) { return a.path < b.path; });
    return std::move(plan_);
  }

 private:
  using Bad = std::optional<Error>;

  /// "climbing-sixes/climbing-sixes-tab.txt".
  [[nodiscard]] std::string own(const std::string& ending) const { return student(plan_.name + ending); }
  [[nodiscard]] std::string student(const std::string& file) const { return plan_.name + "/" + file; }
  [[nodiscard]] std::string teacher(const std::string& file) const { return teacher_folder(plan_.name) + "/" + file; }

  [[nodiscard]] bool wants(PartGroup group) const {
    return is_always(group) || choice_.groups.empty() ||
           std::find(choice_.groups.begin(), choice_.groups.end(), group) != choice_.groups.end();
  }

  void place_findings() {
    for (auto* findings : {&plan_.findings, &plan_.missing}) {
      for (Finding& finding : *findings) finding.place = place_near(compiled_.lesson->source, finding.where);
    }
  }

  void add_plain(const std::string& path, const std::string& bytes) {
    plan_.parts.push_back(
        {path, "", PartGroup::lesson, sha256(bytes), false, [bytes](const StopFlag*) { return bytes; }});
  }

  /// The part's path in the folder that it is in, as links have it; empty if it is not wanted.
  std::string add(const std::string& path, PartGroup group, const std::string& depends,
                  std::function<Bytes(const StopFlag*)> make) {
    if (!wants(group)) return "";
    std::string free = path;  // feels that differ in nothing that the name tells
    const auto taken = [&](const PackPart& part) { return part.path == free; };
    for (int n = 2; std::any_of(plan_.parts.begin(), plan_.parts.end(), taken); ++n)
      free = path.substr(0, path.rfind('.')) + "-" + std::to_string(n) + path.substr(path.rfind('.'));
    plan_.parts.push_back({free, "", group, sha256(tools_.maker + "\n" + free + "\n" + depends),
                           !free.ends_with(".txt"), std::move(make)});
    return free.substr(free.find('/') + 1);
  }

  Bad handout() {
    if (!wants(PartGroup::handout)) return std::nullopt;
    const std::string& logo = sources_.logo;
    sheet::SheetOptions options;
    const auto paper = sheet::parse_paper(choice_.paper);
    if (!paper) return paper.error();
    options.set_paper(*paper);
    options.link_code = draw::link_code(handout_.prose.links);
    if (!logo.empty()) {
      const auto image = sheet::make_logo(logo, handout_.prose.logo);
      if (!image) return image.error();
      options.logo = *image;
    }
    const auto engraved = sheet::engrave(handout_, sentences_, options, *tools_.font);
    if (!engraved) return engraved.error();
    const auto& findings = engraved->findings.findings();
    plan_.findings.insert(plan_.findings.end(), findings.begin(), findings.end());
    page_.handout = add(own("-handout.pdf"), PartGroup::handout, all_ + choice_.paper + sha256(logo),
                        [scene = std::make_shared<const sheet::Scene>(engraved->scene),
                         font = tools_.font](const StopFlag*) { return pdf_of(*scene, *font); });
    return std::nullopt;
  }

  Bad notes() {
    page_.tab =
        add(own("-tab.txt"), PartGroup::tab, all_,
            [handout = handout_, sentences = sentences_](const StopFlag*) { return text_handout(handout, sentences); });
    const auto add_midi = [&](const std::string& ending, MidiSpeed speed) {
      return add(own(ending), PartGroup::midi, all_,
                 [handout = handout_, speed](const StopFlag*) { return midi_bytes(handout, speed); });
    };
    page_.midi = add_midi(".mid", MidiSpeed::goal);
    page_.slow_midi = add_midi("-slow.mid", MidiSpeed::slow);
    page_.musicxml = add(own(".musicxml"), PartGroup::musicxml, all_,
                         [handout = handout_](const StopFlag*) { return musicxml_bytes(handout); });
    return std::nullopt;
  }

  Bad drawings() {
    for (const IdeaSheet& idea : handout_.ideas) {
      const std::string content = content_text(idea);
      for (std::size_t feel = 0; feel < idea.feels.size(); ++feel)
        page_.feel(idea, idea.feels[feel]).drawing = add(
            student("drawings/" + feel_name(idea, idea.feels[feel]) + ".svg"), PartGroup::drawings,
            content + std::to_string(feel), [idea, feel = static_cast<int>(feel), font = tools_.font](const StopFlag*) {
              return drawing_of(idea, feel, *font);
            });
    }
    return std::nullopt;
  }

  Bad sound() {
    if (!wants(PartGroup::audio) && !wants(PartGroup::captions)) return std::nullopt;
    const auto jobs = plan_sound(handout_, sound_);
    if (!jobs) return jobs.error();
    for (const SoundJob& job : *jobs) {
      const std::string depends = job_text(job);
      StartSound sound{sound_label(job), {}, ""};
      for (const AudioFormat format : job.formats) {
        const std::string file =
            add(student("audio/" + job.file + "." + std::string(name(format))), PartGroup::audio, depends,
                [job, format](const StopFlag* stop) { return sound_of(job, format, stop); });
        if (file.empty()) continue;
        plan_.parts.back().title = job.tags.title;
        sound.files.push_back(file);
      }
      const Piece piece = job.timeline.piece;
      if (piece == Piece::demo || piece == Piece::ladder || piece == Piece::bursts)
        sound.captions = add(student("audio/" + job.file + ".vtt"), PartGroup::captions, depends,
                             [job](const StopFlag*) { return captions_of(job); });
      if (piece == Piece::demo && job.timeline.backing == choice_.sound.backings.front() && !sound.files.empty())
        heard_.push_back({job.idea.number, job.score().notes_per_beat, job.timeline.bpm});
      auto& place = piece == Piece::band ? page_.band : page_.feel(job.idea, job.score()).sounds;
      if (!sound.files.empty() || !sound.captions.empty()) place.push_back(std::move(sound));
    }
    return std::nullopt;
  }

  Bad words() {
    const auto add_text = [&](const std::string& file, const std::string& text) {
      add(teacher(plan_.name + "-" + file), PartGroup::words, text, [text](const StopFlag*) { return text; });
    };
    for (const TemplateKind kind : {TemplateKind::description, TemplateKind::script, TemplateKind::email}) {
      const TemplateReading own = template_for(kind, sources_.templates);
      const std::string file(template_file_name(kind));
      if (!own.findings.empty())
        return Error{ErrorKind::syntax, 0, to_line(own.findings.front(), std::string(k_template_folder) + "/" + file),
                     ""};
      add_text(file, lesson_text(kind, handout_, sentences_, enclosed(), own.text));
    }
    return chapters();
  }

  /// What the e-mail lists; planned before the words are.
  [[nodiscard]] std::vector<std::string> enclosed() const {
    std::array<std::size_t, k_part_groups> count{};
    for (const PackPart& part : plan_.parts) ++count[static_cast<std::size_t>(part.group)];
    std::vector<std::string> items;
    const auto add_item = [&](PartGroup group, const std::string& item) {
      if (count[static_cast<std::size_t>(group)] > 0) items.push_back(item);
    };
    const std::string& name = plan_.name;
    const auto number = [&](PartGroup group, std::string_view noun) {
      return counted(count[static_cast<std::size_t>(group)], noun);
    };
    add_item(PartGroup::handout, "the handout to print (" + name + "-handout.pdf)");
    add_item(PartGroup::tab, "the tab as plain text (" + name + "-tab.txt)");
    add_item(PartGroup::audio, number(PartGroup::audio, "sound file") + " to hear and play along with (audio)");
    add_item(PartGroup::plan, "a practice plan (" + name + "-practice-plan.txt)");
    add_item(PartGroup::practice, "a page to practise with, which opens on a phone (" + name + "-practice.html)");
    add_item(PartGroup::drawings, number(PartGroup::drawings, "drawing") + " of notation and tab (drawings)");
    add_item(PartGroup::midi,
             "the notes as MIDI, slow and at the goal tempo (" + name + "-slow.mid, " + name + ".mid)");
    add_item(PartGroup::musicxml, "the notes as MusicXML (" + name + ".musicxml)");
    return items;
  }

  Bad chapters() {
    const auto durations = sources_.durations.empty() ? Durations() : read_durations(sources_.durations);
    if (!durations.findings.empty())
      return Error{ErrorKind::syntax, 0, to_line(durations.findings.front(), durations_path(plan_.name)), ""};
    add(teacher(plan_.name + "-chapters.txt"), PartGroup::words, all_ + sound_text(choice_) + sources_.durations,
        [handout = handout_, sound = sound_, sections = durations.sections](const StopFlag*) -> Bytes {
          if (!sections.empty()) return chapters_text(section_chapters(sections));
          const auto jobs = plan_sound(handout, sound);
          if (!jobs) return jobs.error();
          std::vector<DemoLength> demos;
          for (const SoundJob& job : *jobs) {
            if (job.timeline.piece == Piece::band) continue;  // a loop is not shown
            const auto timeline = lay_out(job.idea, job.score(), job.timeline);
            if (!timeline) return timeline.error();
            demos.push_back({{&job.idea, &job.score()}, job.timeline.bpm, timeline->frames});
          }
          return chapters_text(demo_chapters(demos, k_sample_rate));
        });
    return std::nullopt;
  }

  Bad practice() {
    if (!wants(PartGroup::plan)) return std::nullopt;
    PlanRequest request = choice_.plan;
    if (request.present_bpm == Rational(0)) request.present_bpm = handout_.ideas.front().slow_bpm;
    const auto plan = make_plan(handout_, request);
    if (!plan) return plan.error();
    plan_.findings.insert(plan_.findings.end(), plan->findings.begin(), plan->findings.end());
    const std::string text = plan_text(*plan, handout_, heard_);
    page_.plan = add(own("-practice-plan.txt"), PartGroup::plan, text, [text](const StopFlag*) { return text; });
    return std::nullopt;
  }

  /// To practise with on a phone. What lies beside the page is named like it, so that two lessons may share a folder.
  Bad page() {
    const bool has_kit = sound_.samples != nullptr;
    for (const EmbeddedFile& file : tools_.practice) {
      const bool is_page = file.name.ends_with(".html");
      const std::string link =
          add(own("-" + std::string(file.name)), PartGroup::practice,
              without_comments(sources_.lesson) + (is_page && has_kit ? "with its kit" : ""),
              [made = file.bytes, lesson = sources_.lesson, title = plan_.title, name = plan_.name, handout = handout_,
               samples = is_page ? sound_.samples : nullptr](const StopFlag*) -> Bytes {
                auto kit = samples == nullptr ? Bytes("") : kit_of(handout, *samples);
                if (!kit) return kit;
                return with_lesson(made, {lesson, title, name, blank_stamp(), *kit});
              });
      if (link.ends_with(".html")) page_.practice = link;
    }
    return std::nullopt;
  }

  /// Last, for it links to the others.
  Bad start() {
    const std::string page = start_html(page_, blank_stamp());
    add(student("start.html"), PartGroup::start, page, [page](const StopFlag*) { return page; });
    return std::nullopt;
  }

  const CompiledLesson& compiled_;
  const PackSources& sources_;
  Handout handout_;
  LessonSentences sentences_;
  const PackChoice& choice_;
  SoundChoice sound_;
  const PackTools& tools_;
  std::string all_;
  StartPage page_;
  std::vector<HeardTempo> heard_;  ///< what the sound plays, for the plan
  PackPlan plan_;
};

}  // namespace

std::string lesson_path(const std::string& name) { return teacher_folder(name) + "/" + name + ".toml"; }
std::string template_path(const std::string& name, TemplateKind kind) {
  return teacher_folder(name) + "/" + std::string(k_template_folder) + "/" + std::string(template_file_name(kind));
}
std::string durations_path(const std::string& name) { return teacher_folder(name) + "/" + name + "-durations.txt"; }

Result<PackPlan> plan_parts(const CompiledLesson& compiled, const PackSources& sources, const PackChoice& choice,
                            const PackTools& tools) {
  return Planner(compiled, sources, choice, tools).run();
}

}  // namespace fretloom
