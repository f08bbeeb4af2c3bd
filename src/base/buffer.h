/* One output buffer: bytes collect here and leave in large writes.
 *
 * Numbers and dates are formatted from small tables; nothing here goes through printf unless asked to. A
 * write that fails is remembered, and everything after it is dropped: the owner asks once, at the end.
 */
#ifndef BASE_BUFFER_H
#define BASE_BUFFER_H

#include "base/arena.h"
#include "base/date.h"
#include "base/slice.h"

#include <stdbool.h>
#include <stdint.h>

typedef struct Buffer Buffer;

Buffer *buffer_to_file(Arena *arena, int descriptor); /* flushes when 64 KiB are full */
Buffer *buffer_in_memory(Arena *arena); /* grows; for tests and for text that is measured first */

/* For who writes many short pieces: room for `length` bytes, and how far it was written. */
char *buffer_room(Buffer *out, size_t length);
void buffer_written(Buffer *out, const char *end);

void buffer_bytes(Buffer *out, const char *bytes, size_t length);
void buffer_text(Buffer *out, const char *text);
void buffer_slice(Buffer *out, Slice slice);
void buffer_char(Buffer *out, char c);
void buffer_integer(Buffer *out, int64_t value);
void buffer_iso_day(Buffer *out, Day day);
void buffer_spaces(Buffer *out, size_t count);
void buffer_escaped(Buffer *out, Slice untrusted); /* through text_escape: safe on a terminal */
void buffer_print(Buffer *out, const char *format, ...) __attribute__((format(printf, 2, 3)));

bool buffer_flush(
    Buffer *out); /* false if this or any earlier write failed; sets errno of the first failure */
bool buffer_failed(const Buffer *out);
Slice buffer_slice_of(const Buffer *out); /* what an in-memory buffer holds */
void buffer_clear(Buffer *out);           /* empties an in-memory buffer */

#endif
