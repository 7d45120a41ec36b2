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

/// The whole engine, with font and voice, is small enough for a page. The aim is 350 kB; docs/engine.md says what is
/// in the way.
TEST(EngineModule, IsSmall) {
  const std::string module = FRETLOOM_ENGINE_WASM;
  const test::ToolRun run = test::run_tool("gzip -9 -c '" + module + "' | wc -c");
  ASSERT_EQ(run.code, 0) << run.out;
  EXPECT_LE(std::stol(run.out), 410'000);
}

}  // namespace
}  // namespace fretloom
