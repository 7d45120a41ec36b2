// Answers requests natively, for tests that hold the WebAssembly module against it. Standard input: records of a
// 32-bit length (little endian) and a text. A text that starts with "open " opens the lesson behind it and is not
// answered; any other is a request to the lesson that is open. Standard output: for each request two records, the reply
// and its bytes.

#include <cstdint>
#include <cstdio>
#include <string>

#include "engine/engine.h"

namespace {

bool read_record(std::string& text) {
  std::uint32_t length = 0;
  if (std::fread(&length, sizeof length, 1, stdin) != 1) return false;
  text.resize(length);
  return std::fread(text.data(), 1, length, stdin) == length;
}

void write_record(const void* data, std::size_t size) {
  const auto length = static_cast<std::uint32_t>(size);
  std::fwrite(&length, sizeof length, 1, stdout);
  std::fwrite(data, 1, size, stdout);
}

}  // namespace

int main() {
  FretloomEngine* engine = fretloom_open("", 0);
  const std::string open = "open ";
  for (std::string text; read_record(text);) {
    if (text.compare(0, open.size(), open) == 0) {
      fretloom_free(engine);
      engine = fretloom_open(text.data() + open.size(), text.size() - open.size());
      continue;
    }
    std::size_t size = 0;
    const char* reply = fretloom_call(engine, text.data(), text.size(), &size);
    write_record(reply, size);
    const void* bytes = fretloom_bytes(engine, &size);
    write_record(bytes, size);
  }
  fretloom_free(engine);
  return 0;
}
