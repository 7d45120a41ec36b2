#pragma once
/* Fretloom's pure rooms behind one C interface: a lesson's text goes in, JSON comes out. Nothing here opens a file,
 * reads a clock or keeps anything outside the handle; the same calls give the same bytes natively and in the
 * WebAssembly module.
 *
 *   FretloomEngine* engine = fretloom_open(text, length);
 *   size_t size = 0;
 *   const char* reply = fretloom_call(engine, "{\"call\": \"notes\"}", 17, &size);
 *   fretloom_free(engine);
 *
 * Requests and replies: docs/engine.schema.json. A reply is {"result": ...} or {"error": {"kind", "message",
 * "repair"}}. What is no JSON, no known call or has a wrong field is an error that lists the calls, never a crash.
 * Texts are UTF-8 and need no end mark. A handle belongs to one thread at a time; handles know nothing of each other.
 */

#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

typedef struct FretloomEngine FretloomEngine;

/* A request above this size is refused unread. A lesson's text may have 1 MiB (k_max_lesson_bytes); escaped in JSON it
 * grows. */
#define FRETLOOM_MOST_REQUEST_BYTES ((size_t)8 << 20)

/* Opens a lesson's text; any text may be opened, findings say what is wrong with it. A text above 1 MiB is cut there,
 * and is not readable. NULL only where memory is short. */
FretloomEngine* fretloom_open(const char* text, size_t length);

/* Answers a request. The reply is valid until the next call on this handle, is `*reply_length` bytes long and has a NUL
 * behind them. */
const char* fretloom_call(FretloomEngine* engine, const char* request, size_t length, size_t* reply_length);

/* The bytes that belong to the last reply: a MIDI file, or sound as 32-bit floats, little endian. None for other
 * calls. Valid as long as the reply. */
const void* fretloom_bytes(const FretloomEngine* engine, size_t* length);

/* NULL is allowed. */
void fretloom_free(FretloomEngine* engine);

#ifdef __cplusplus
}
#endif
