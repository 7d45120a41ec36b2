#include "sound/kernel/perform.h"

#include "sound/kernel/math.h"

namespace fretloom::voice {
namespace {

constexpr double k_touch_seconds = 0.0045;  ///< the pick lies on the string before it plucks
constexpr double k_sway_seconds = 0.3;      ///< a note stands before it sways
constexpr int k_fade = 64;                  ///< 1.3 ms: old length to new length under a pluck

class Hands {
 public:
  Hands(const PlayedNote* notes, int count, const Manner& manner, Event* out, int capacity)
      : notes_(notes), count_(count), manner_(manner), out_(out), capacity_(capacity) {}

  int run() {
    for (int i = 0; i < count_; ++i) {
      start(i);
      finish(i);
    }
    if (overflow_) return -1;
    sort();
    return size_;
  }

 private:
  void add(const Event& event) {
    if (size_ < capacity_) {
      out_[size_++] = event;
    } else {
      overflow_ = true;
    }
  }

  /// The latest note before note i on its string, or -1.
  [[nodiscard]] int before(int i) const {
    int k = i - 1;
    while (k >= 0 && notes_[k].string != notes_[i].string) --k;
    return k;
  }
  /// With its deviation: up to two standard deviations, and never more than a quarter of the way to a neighbour.
  [[nodiscard]] int64_t onset(int i) const {
    const int64_t exact = notes_[i].onset;
    const double deviation = clamp_to(manner_.timing_seconds, 0.0, 0.02) * k_rate;
    if (deviation <= 0.0) return exact;
    int64_t room = exact;
    if (i > 0) room = min_of(room, exact - notes_[i - 1].onset);
    if (i + 1 < count_) room = min_of(room, notes_[i + 1].onset - exact);
    // Four even numbers make a bell of standard deviation 1.155.
    float sum = 0;
    for (uint32_t k = 0; k < 4; ++k) sum += noise_at(notes_[i].seed * 64U, 9000U + k);
    const double moved = deviation * clamp_to(static_cast<double>(sum) / 1.1547, -2.0, 2.0);
    return exact +
           static_cast<int64_t>(clamp_to(moved, -0.25 * static_cast<double>(room), 0.25 * static_cast<double>(room)));
  }

  void start(int i) {
    const PlayedNote& n = notes_[i];
    const int64_t at = onset(i);
    const int last = before(i);
    Event e;
    e.frame = at;
    e.string = n.string;
    e.fret = n.fret;
    e.seed = n.seed * 64U;
    e.upward = n.upward;
    e.level = static_cast<float>(
        clamp_to(manner_.dynamics * (n.accent != 0 ? 1.45 : 1.0) * static_cast<double>(n.level), 0.05, 1.3));
    e.palm = max_of(manner_.palm, static_cast<double>(n.palm));
    switch (n.touch) {
      case Touch::pick:
        touch(e, last >= 0 ? at - onset(last) : at);
        e.deed = Deed::pluck;
        e.fade = k_fade;
        break;
      case Touch::hammer:
      case Touch::pull:
        e.deed = n.touch == Touch::hammer ? Deed::hammer : Deed::pull;
        e.fade = frames(manner_.hammer_seconds, 16);
        break;
      case Touch::slide:
        e.deed = Deed::arrive;
        if (last >= 0) steps(e, notes_[last].fret, at - onset(last));
        e.fade = e.fade > 0 ? e.fade : k_fade;
        break;
    }
    add(e);
    if (n.vibrato == 0 || n.fret == 0 || n.end + n.ring - at < k_rate / 2) return;
    e.deed = Deed::sway;
    e.frame = at + static_cast<int64_t>(k_sway_seconds * k_rate);
    add(e);
  }

  static int frames(double seconds, int least) {
    return max_of(least, static_cast<int>(clamp_to(seconds, 0.0, 2.0) * k_rate + 0.5));
  }

  /// The pick comes to rest on a string that may still ring.
  void touch(Event e, int64_t gap) {
    const auto contact = min_of<int64_t>(static_cast<int64_t>(k_touch_seconds * k_rate), gap / 5);
    if (contact < 8) return;
    e.frame -= contact;
    e.deed = Deed::touch;
    e.fade = static_cast<int32_t>(contact / 4);
    e.seconds = 0.007;
    add(e);
  }

  /// A slide passes every fret on its way; the last step is the note itself.
  void steps(Event& e, int from, int64_t gap) {
    const int way = e.fret - from;
    const int number = way < 0 ? -way : way;
    if (number == 0) return;
    const auto time = min_of<int64_t>(frames(manner_.slide_seconds, 1), gap / 2);
    e.fade = static_cast<int32_t>(clamp_to<int64_t>(time / number, 16, 144));
    Event scrape = e;
    scrape.deed = Deed::scrape;
    scrape.frame = e.frame - time;
    scrape.fade = from;  // the fret it leaves
    scrape.seconds = static_cast<double>(time) / k_rate;
    add(scrape);
    for (int k = 1; k < number && k < k_events_a_note - 4; ++k) {
      Event step = e;
      step.deed = Deed::step;
      step.frame = e.frame - time * (number - k) / number;
      step.fret = from + (way < 0 ? -k : k);
      step.seed = e.seed + static_cast<uint32_t>(k);
      add(step);
    }
  }

  void finish(int i) {
    const PlayedNote& n = notes_[i];
    const int64_t at = n.end + n.ring;
    const bool last = i + 1 == count_ || n.ring > 0;
    for (int k = i + 1; k < count_ && notes_[k].onset <= at; ++k) {
      if (notes_[k].string == n.string) return;
    }
    Event e;
    e.frame = at;
    e.deed = Deed::damp;
    e.string = n.string;
    e.fade = last ? 1200 : 240;
    e.seconds = last ? 0.8 : 0.06;
    add(e);
  }

  /// Events come almost in order: insertion sort, stable, by frame; at one frame a damping hand acts
  /// before the pick does.
  void sort() {
    for (int i = 1; i < size_; ++i) {
      const Event e = out_[i];
      int k = i;
      while (k > 0 && later(out_[k - 1], e)) {
        out_[k] = out_[k - 1];
        --k;
      }
      out_[k] = e;
    }
  }
  static bool later(const Event& a, const Event& b) {
    if (a.frame != b.frame) return a.frame > b.frame;
    return a.deed > Deed::damp && b.deed <= Deed::damp;
  }

  const PlayedNote* notes_;
  int count_;
  Manner manner_;
  Event* out_;
  int capacity_;
  int size_ = 0;
  bool overflow_ = false;
};

int64_t gcd(int64_t a, int64_t b) {
  while (b != 0) {
    const int64_t r = a % b;
    a = b;
    b = r;
  }
  return a;
}

}  // namespace

int64_t frame_at(Moment moment, Tempo tempo) {
  int64_t num = 60LL * k_rate * tempo.den;
  int64_t den = static_cast<int64_t>(moment.den) * tempo.num;
  const int64_t common = gcd(num, den);
  num = num / common * moment.num;
  den /= common;
  return (2 * num + den) / (2 * den);
}

int perform(const PlayedNote* notes, int count, const Manner& manner, Event* out, int capacity) {
  return Hands(notes, count, manner, out, capacity).run();
}

}  // namespace fretloom::voice
