/* Output that leaves in large writes.
 *
 * Given bytes, numbers, days and other people's text, collects them and writes them to a descriptor when 64
 * KiB are full, or grows in an arena. The first failure of the system is kept and ends all writing. What the
 * bytes mean, and what to tell the person when a write failed, is left to the owner.
 */
#include "base/buffer.h"

#include "base/digits.h"
#include "base/text.h"

#include <errno.h>
#include <poll.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

enum { FILE_ROOM = 64 << 10, MEMORY_ROOM = 256, IN_MEMORY = -1 };

struct Buffer {
    Arena *arena;
    char *bytes;
    size_t used, room;
    int descriptor; /* or IN_MEMORY */
    int failure;    /* errno of the first write that failed, or 0 */
};

static Buffer *buffer_new(Arena *arena, int descriptor, size_t room)
{
    Buffer *out = ARENA_NEW(arena, Buffer);
    *out = (Buffer){arena, ARENA_ARRAY(arena, char, room), 0, room, descriptor, 0};
    return out;
}

Buffer *buffer_to_file(Arena *arena, int descriptor)
{
    return buffer_new(arena, descriptor, FILE_ROOM);
}

Buffer *buffer_in_memory(Arena *arena)
{
    return buffer_new(arena, IN_MEMORY, MEMORY_ROOM);
}

/* Whether a failed write may be tried again: it was interrupted, or the reader of a pipe that does not block
 * was slow. */
static bool may_retry(int descriptor)
{
    if (errno == EINTR) return true;
    if (errno != EAGAIN) return false;
    struct pollfd ready = {descriptor, POLLOUT, 0};
    return poll(&ready, 1, -1) >= 0 || errno == EINTR;
}

static void write_out(Buffer *out, const char *bytes, size_t length)
{
    while (length && !out->failure) {
        ssize_t written = write(out->descriptor, bytes, length);
        if (written > 0) {
            bytes += written;
            length -= (size_t)written;
        } else if (written == 0) {
            out->failure = EIO; /* nothing taken and no reason given: trying on might never end */
        } else if (!may_retry(out->descriptor)) {
            out->failure = errno;
        }
    }
}

static void empty_into_file(Buffer *out)
{
    write_out(out, out->bytes, out->used);
    out->used = 0;
}

static void grow(Buffer *out, size_t length)
{
    size_t room = out->room * 2;
    while (room - out->used < length) room *= 2;
    char *grown = ARENA_ARRAY(out->arena, char, room);
    memcpy(grown, out->bytes, out->used);
    out->bytes = grown;
    out->room = room;
}

/* Makes room for `length` more bytes. False: a file's buffer is smaller than that. */
static bool reserve(Buffer *out, size_t length)
{
    if (length <= out->room - out->used) return true;
    if (out->descriptor != IN_MEMORY) {
        empty_into_file(out);
        return length <= out->room;
    }
    grow(out, length);
    return true;
}

char *buffer_room(Buffer *out, size_t length)
{
    if (!reserve(out, length)) grow(out, length);
    return out->bytes + out->used;
}

void buffer_written(Buffer *out, const char *end)
{
    if (!out->failure) out->used = (size_t)(end - out->bytes);
}

void buffer_bytes(Buffer *out, const char *bytes, size_t length)
{
    if (length == 0 || out->failure) return;
    if (!reserve(out, length)) {
        write_out(out, bytes, length);
        return;
    }
    memcpy(out->bytes + out->used, bytes, length);
    out->used += length;
}

void buffer_text(Buffer *out, const char *text)
{
    buffer_bytes(out, text, strlen(text));
}

void buffer_slice(Buffer *out, Slice slice)
{
    buffer_bytes(out, slice.at, slice.length);
}

void buffer_char(Buffer *out, char c)
{
    if (out->used < out->room && !out->failure)
        out->bytes[out->used++] = c;
    else
        buffer_bytes(out, &c, 1);
}

void buffer_integer(Buffer *out, int64_t value)
{
    char digits[DIGITS_ROOM];
    buffer_bytes(out, digits, digits_write_signed(digits, value));
}

void buffer_iso_day(Buffer *out, Day day)
{
    char text[DAY_TEXT];
    buffer_bytes(out, text, day_write_iso(text, day));
}

void buffer_spaces(Buffer *out, size_t count)
{
    static const char blanks[] = "                                                                ";
    enum { BLANKS = sizeof blanks - 1 };
    for (; count > BLANKS; count -= BLANKS) buffer_bytes(out, blanks, BLANKS);
    buffer_bytes(out, blanks, count);
}

void buffer_escaped(Buffer *out, Slice untrusted)
{
    enum { LONGEST_ESCAPE = 16 };
    size_t plain = 0; /* begin of the run that can be copied as it stands */
    for (size_t i = 0, size; i < untrusted.length; i += size) {
        const char *at = untrusted.at + i;
        uint32_t code = 0;
        size = text_character(at, untrusted.length - i, &code);
        if (size && (!text_steers(code) || code == '\t')) continue;
        if (size == 0) size = 1;
        char escape[LONGEST_ESCAPE];
        size_t length = text_escape(escape, sizeof escape, (Slice){at, size});
        buffer_bytes(out, untrusted.at + plain, i - plain);
        buffer_bytes(out, escape, length);
        plain = i + size;
    }
    if (plain < untrusted.length) buffer_bytes(out, untrusted.at + plain, untrusted.length - plain);
}

void buffer_print(Buffer *out, const char *format, ...)
{
    if (out->failure) return;
    va_list values, again;
    va_start(values, format);
    va_copy(again, values);
    size_t left = out->room - out->used;
    int printed = vsnprintf(out->bytes + out->used, left, format, values);
    va_end(values);
    size_t length = printed < 0 ? 0 : (size_t)printed;
    if (length < left) {
        out->used += length;
    } else if (reserve(out, length + 1)) {
        vsnprintf(out->bytes + out->used, length + 1, format, again);
        out->used += length;
    } else {
        ArenaMark mark = arena_mark(out->arena);
        char *text = arena_array(out->arena, length + 1, 1);
        vsnprintf(text, length + 1, format, again);
        buffer_bytes(out, text, length);
        arena_release(out->arena, mark);
    }
    va_end(again);
}

bool buffer_flush(Buffer *out)
{
    if (out->descriptor != IN_MEMORY) empty_into_file(out);
    if (!out->failure) return true;
    errno = out->failure;
    return false;
}

bool buffer_failed(const Buffer *out)
{
    return out->failure != 0;
}

Slice buffer_slice_of(const Buffer *out)
{
    return (Slice){out->bytes, out->used};
}

void buffer_clear(Buffer *out)
{
    if (out->descriptor == IN_MEMORY) out->used = 0;
}
