// The engine as a WebAssembly module: what engine.h has, under the same names, and room for texts that the page writes
// into the module's memory. The natively built library does not compile this file.

#include <cstdint>
#include <cstdlib>

#include "engine/engine.h"

#define FRETLOOM_EXPORT(name) __attribute__((export_name(#name), used))

extern "C" {

FRETLOOM_EXPORT(fl_open) FretloomEngine* fl_open(const char* text, size_t length) {
  return fretloom_open(text, length);
}
FRETLOOM_EXPORT(fl_call)
const char* fl_call(FretloomEngine* engine, const char* request, size_t length, size_t* reply_length) {
  return fretloom_call(engine, request, length, reply_length);
}
FRETLOOM_EXPORT(fl_bytes) const void* fl_bytes(const FretloomEngine* engine, size_t* length) {
  return fretloom_bytes(engine, length);
}
FRETLOOM_EXPORT(fl_free) void fl_free(FretloomEngine* engine) { fretloom_free(engine); }

/// Room for `size` bytes; 0 where memory is short.
FRETLOOM_EXPORT(fl_allocate) void* fl_allocate(size_t size) { return std::malloc(size); }
FRETLOOM_EXPORT(fl_release) void fl_release(void* room) { std::free(room); }

// What the C library would ask of a system, were anything ever printed: there is none, and the module asks nobody.
constexpr int32_t k_no_such_file = 8;  // EBADF of WASI
int32_t __imported_wasi_snapshot_preview1_fd_close(int32_t) { return k_no_such_file; }
int32_t __imported_wasi_snapshot_preview1_fd_seek(int32_t, int64_t, int32_t, int32_t) { return k_no_such_file; }
int32_t __imported_wasi_snapshot_preview1_fd_write(int32_t, int32_t, int32_t, int32_t) { return k_no_such_file; }

// What the compiler's stack guard calls.
uintptr_t __stack_chk_guard = 0x5EEDBEEF;
[[noreturn]] void __stack_chk_fail() { __builtin_trap(); }
}

// The library's own would print why, and so bring all of printf along.
namespace std {
[[noreturn]] void __libcpp_verbose_abort(const char*, ...) { __builtin_trap(); }
}  // namespace std
