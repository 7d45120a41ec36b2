// The WebAssembly module against the native engine, in Node: tests/engine/module.test.mjs.

#include <gtest/gtest.h>

#include <string>

#include "outside.h"

namespace fretloom {
namespace {

TEST(EngineModule, AnswersWithTheNativeBytes) {
  const std::string module = FRETLOOM_ENGINE_WASM;
  ASSERT_TRUE(std::filesystem::exists(module)) << module;
  const std::string root = FRETLOOM_SOURCE_DIR;
  const test::ToolRun run =
      test::run_tool("FRETLOOM_ROOT='" + root + "' FRETLOOM_ENGINE_WASM='" + module + "' FRETLOOM_ENGINE_DRIVER='" +
                     std::string(FRETLOOM_ENGINE_DRIVER) + "' node --test '" + root + "/tests/engine/module.test.mjs'");
  EXPECT_EQ(run.code, 0) << run.out;
}

/// Compressed as for a page (RFC 7932), in bytes.
long compressed(const std::string& module) {
  const test::ToolRun run = test::run_tool(
      "node -e 'const {readFileSync} = require(\"fs\"), {brotliCompressSync} = require(\"zlib\");"
      "console.log(brotliCompressSync(readFileSync(process.argv[1])).length)' '" +
      module + "'");
  EXPECT_EQ(run.code, 0) << run.out;
  return std::stol(run.out);
}

/// What a page needs from its first moment, with font, voice and band; and all of it, with the search for rules.
TEST(EngineModule, IsSmall) {
  const std::string module = FRETLOOM_ENGINE_WASM;
  if (module.empty()) GTEST_SKIP() << "built without clang-16 and libc++ for wasm32: scripts/setup.sh web";
  EXPECT_LE(compressed(FRETLOOM_ENGINE_FIRST_WASM), 350'000);
  EXPECT_LE(compressed(module), 400'000);
}

}  // namespace
}  // namespace fretloom
