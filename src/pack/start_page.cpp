#include "pack/start_page.h"

#include <algorithm>
#include <cassert>

#include "base/text.h"
#include "pack/page.h"
#include "words/cautions.h"
#include "words/english.h"
#include "words/idea_lines.h"

namespace fretloom {

namespace {

std::string paragraph(const std::string& text, std::string_view style = "") {
  if (text.empty()) return "";
  const std::string attribute = style.empty() ? "" : " class=\"" + std::string(style) + "\"";
  return "<p" + attribute + ">" + markup_text(text) + "</p>\n";
}

void add_file(std::string& list, const std::string& file, std::string_view label, std::string_view use) {
  if (file.empty()) return;
  list += "<li>" + link(file, label) + (use.empty() ? "" : ": " + markup_text(use)) + "</li>\n";
}

bool has_sound(const StartIdea& idea) {
  return std::any_of(idea.feels.begin(), idea.feels.end(), [](const StartFeel& feel) {
    return std::any_of(feel.sounds.begin(), feel.sounds.end(), [](const StartSound& s) { return !s.files.empty(); });
  });
}

std::string feel_html(const StartFeel& feel) {
  std::string inside;
  if (!feel.drawing.empty())
    inside += "<div class=\"drawing\" tabindex=\"0\"><a href=\"" + link_path(feel.drawing) + "\"><img src=\"" +
              link_path(feel.drawing) + "\" alt=\"Notation and tab\" loading=\"lazy\"></a></div>\n";
  std::string captions;
  for (const StartSound& sound : feel.sounds) {
    if (!sound.files.empty()) inside += player({sound.label, sound.files});
    if (!sound.captions.empty()) captions += link(sound.captions, sound.label) + "\n";
  }
  if (!captions.empty()) inside += "<p class=\"links soft\">Captions: " + captions + "</p>\n";
  if (inside.empty()) return "";
  return "<h3>" + markup_text(counted(static_cast<std::size_t>(feel.notes_per_beat), "note") + " a beat") + "</h3>\n" +
         inside;
}

std::string idea_html(const StartIdea& idea) {
  std::string inside;
  for (const StartFeel& feel : idea.feels) inside += feel_html(feel);
  if (inside.empty()) return "";
  return "<section>\n<h2>" + markup_text(idea.heading) + "</h2>\n" + paragraph(idea.note) + inside + "</section>\n";
}

std::string band_html(const std::vector<StartSound>& band) {
  std::string inside;
  for (const StartSound& sound : band) {
    if (!sound.files.empty()) inside += player({sound.label, sound.files});
  }
  if (inside.empty()) return "";
  return "<section>\n<h2>The band alone</h2>\n" +
         paragraph(
             "The chords of the lesson without the lick. Each sound ends where it began: let your player repeat "
             "it, and play as long as you like.") +
         inside + "</section>\n";
}

}  // namespace

StartFeel& StartPage::feel(const IdeaSheet& idea, const Score& score) {
  const auto of = std::find_if(ideas.begin(), ideas.end(), [&](const auto& own) { return own.number == idea.number; });
  assert(of != ideas.end());
  const auto found = std::find_if(of->feels.begin(), of->feels.end(),
                                  [&](const auto& own) { return own.notes_per_beat == score.notes_per_beat; });
  assert(found != of->feels.end());
  return *found;
}

StartPage start_page_of(const Handout& handout) {
  const Prose& prose = handout.prose;
  StartPage page;
  page.title = plain_line(prose.title);
  page.author = plain_line(prose.author);
  page.intro = plain_line(prose.intro);
  page.key = handout.key.said_name();
  page.licence = plain_line(prose.licence);
  page.copyright = plain_line(prose.copyright);
  for (const IdeaSheet& idea : handout.ideas) {
    StartIdea own{idea.number, plain_line(heading_of(idea)), plain_line(idea.note), {}};
    for (const Score& score : idea.feels) own.feels.push_back({score.notes_per_beat, "", {}});
    page.ideas.push_back(std::move(own));
  }
  return page;
}

std::string start_html(const StartPage& page, std::string_view stamp) {
  const std::string title = page.title.empty() ? "Lesson" : page.title;
  std::string html = page_head(title, "<meta name=\"lesson\" content=\"" + std::string(stamp) + "\">\n");
  html += "<h1>" + markup_text(title) + "</h1>\n";
  html += paragraph((page.author.empty() ? "" : "By " + page.author + ". ") + "A picking lesson in " + page.key + ".",
                    "soft");
  html += paragraph(page.intro);
  std::string files;
  add_file(files, page.practice, "Practise",
           "hear it at any tempo and see every note, on a phone too. It needs no network.");
  add_file(files, page.handout, "Handout", "print it, or read it on the screen while you play.");
  add_file(files, page.plan, "Practice plan", "what to play each day, with boxes to tick.");
  add_file(files, page.tab, "Tab as plain text", "opens anywhere, also on an old phone.");
  add_file(files, page.slow_midi, "MIDI, slow", "the notes for a program that plays MIDI files.");
  add_file(files, page.midi, "MIDI, goal tempo", "");
  add_file(files, page.musicxml, "MusicXML", "the notes for a notation program.");
  if (!files.empty())
    html += "<section>\n<h2>What you have here</h2>\n<ul class=\"files\">\n" + files + "</ul>\n</section>\n";
  if (std::any_of(page.ideas.begin(), page.ideas.end(), has_sound))
    html += "<section>\n<h2>Listen and play along</h2>\n" +
            paragraph("Each sound begins with a count-in. Play the slow one first, and go on when it is clean. " +
                      std::string(k_listening_caution)) +
            "</section>\n";
  for (const StartIdea& idea : page.ideas) html += idea_html(idea);
  html += band_html(page.band);
  std::string foot = page.copyright;
  if (!page.licence.empty()) foot += (foot.empty() ? "Licence: " : ". Licence: ") + page.licence;
  if (!foot.empty()) html += "<section>\n" + paragraph(foot, "soft") + "</section>\n";
  return html + std::string(k_page_foot);
}

}  // namespace fretloom
