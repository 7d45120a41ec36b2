#include "words/cautions.h"

#include <array>

namespace fretloom {

namespace {

// Sources, all from memory: NIOSH publication 98-126, "Criteria for a recommended standard: occupational
// noise exposure" (1998): 85 dB(A) over 8 hours, 3 dB exchange rate. Recommendation ITU-T H.870 with WHO,
// "Guidelines for safe listening devices/systems" (2018): 80 dB(A) over 40 hours a week for adults. Breaks
// and pain: common practice among teachers, no source; no figure is claimed.
constexpr std::array<Caution, 5> k_cautions = {{
    {"Warm up before you play, and take a break every 20 to 30 minutes.", ""},
    {"Stop when anything hurts, tingles or goes numb. If it stays, see a doctor or a hand therapist before you play "
     "on.",
     ""},
    {k_listening_caution, ""},
    {"The recommended limit for noise at work is 85 dB(A) for 8 hours; every 3 dB more halves the time.",
     "NIOSH 98-126, 1998"},
    {"The recommended limit for listening at leisure is 80 dB(A) for 40 hours a week.",
     "WHO and ITU-T H.870, 2018, for adults"},
}};

}  // namespace

std::span<const Caution> cautions() { return k_cautions; }

std::string to_sentence(const Caution& caution) {
  return std::string(caution.text) + (caution.source.empty() ? "" : " (" + std::string(caution.source) + ")");
}

std::string cautions_paragraph() {
  std::string text;
  for (const Caution& caution : k_cautions) {
    if (caution.source.empty()) text += (text.empty() ? "" : " ") + std::string(caution.text);
  }
  return text;
}

}  // namespace fretloom
