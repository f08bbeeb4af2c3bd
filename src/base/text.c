/* Source text and places in it.
 *
 * Given the bytes of a file, finds its lines once and answers where an offset stands; given anybody's bytes,
 * finds what may not be in a file of ours and makes a form of them that is safe to show. Reading files is
 * left to the commands, words and numbers to the scanner.
 */
#include "base/text.h"

#include <stdio.h>
#include <string.h>

static const char byte_order_mark[] = "\xEF\xBB\xBF";
enum { BYTE_ORDER_MARK = 0xFEFF };

static uint32_t count_lines(const char *bytes, uint32_t length)
{
    uint32_t count = 1;
    for (const char *at = bytes, *end = bytes + length; (at = memchr(at, '\n', (size_t)(end - at))); at++)
        count++;
    return count;
}

Text *text_new(Arena *arena, const char *name, const char *bytes, uint32_t length, uint32_t first_line)
{
    Text *text = ARENA_NEW(arena, Text);
    text->name = name;
    text->bytes = bytes;
    text->length = length;
    text->first_line = first_line;
    text->line_count = count_lines(bytes, length);
    uint32_t *lines = ARENA_ARRAY(arena, uint32_t, text->line_count);
    const char *at = bytes;
    for (uint32_t i = 1; i < text->line_count; i++) {
        at = (const char *)memchr(at, '\n', length - (size_t)(at - bytes)) + 1;
        lines[i] = (uint32_t)(at - bytes);
    }
    text->lines = lines;
    return text;
}

uint32_t text_start(const Text *text)
{
    return slice_starts((Slice){text->bytes, text->length}, byte_order_mark) ? 3 : 0;
}

uint32_t text_line_index(const Text *text, uint32_t offset)
{
    uint32_t low = 0, high = text->line_count; /* lines[low] <= offset < lines[high] */
    while (high - low > 1) {
        uint32_t middle = low + (high - low) / 2;
        if (text->lines[middle] <= offset)
            low = middle;
        else
            high = middle;
    }
    return low;
}

static bool continues(char byte)
{
    return ((unsigned char)byte & 0xC0) == 0x80;
}

Position text_position(const Text *text, uint32_t offset)
{
    if (offset > text->length) offset = text->length;
    uint32_t line = text_line_index(text, offset), column = 1;
    uint32_t begin = line ? text->lines[line] : text_start(text);
    while (offset > begin && offset < text->length && continues(text->bytes[offset])) offset--;
    for (uint32_t i = begin; i < offset; i++) column += !continues(text->bytes[i]);
    return (Position){text->first_line + line, column};
}

Slice text_line(const Text *text, uint32_t offset)
{
    uint32_t line = text_line_index(text, offset);
    uint32_t begin = line ? text->lines[line] : text_start(text);
    uint32_t end = line + 1 < text->line_count ? text->lines[line + 1] - 1 : text->length;
    if (end > begin && text->bytes[end - 1] == '\r' && end < text->length) end--;
    return (Slice){text->bytes + begin, end - begin};
}

Span span_join(Span first, Span last)
{
    if (!first.text) return last;
    if (!last.text) return first;
    return (Span){first.text, first.begin, last.end};
}

/* ------------------------------------------------------------------ characters */

size_t text_character(const char *bytes, size_t length, uint32_t *code)
{
    if (length == 0) return 0;
    unsigned char lead = (unsigned char)bytes[0];
    *code = lead;
    if (lead < 0x80) return 1;
    size_t size = lead >= 0xF0 ? 4 : lead >= 0xE0 ? 3 : 2;
    if (lead < 0xC2 || lead > 0xF4 || length < size) return 0;
    uint32_t value = lead & (0x7FU >> size);
    for (size_t i = 1; i < size; i++) {
        if (!continues(bytes[i])) return 0;
        value = value << 6 | ((unsigned char)bytes[i] & 0x3FU);
    }
    static const uint32_t least[] = {0, 0, 0x80, 0x800, 0x10000}; /* below it, fewer bytes would have done */
    bool surrogate = value >= 0xD800 && value <= 0xDFFF;
    if (value < least[size] || value > 0x10FFFF || surrogate) return 0;
    *code = value;
    return size;
}

/* Unicode's property Bidi_Control, whole. */
static const struct {
    uint32_t code;
    const char *description;
} bidirectional[] = {
    {0x061C, "a bidirectional control, U+061C"}, {0x200E, "a bidirectional control, U+200E"},
    {0x200F, "a bidirectional control, U+200F"}, {0x202A, "a bidirectional control, U+202A"},
    {0x202B, "a bidirectional control, U+202B"}, {0x202C, "a bidirectional control, U+202C"},
    {0x202D, "a bidirectional control, U+202D"}, {0x202E, "a bidirectional control, U+202E"},
    {0x2066, "a bidirectional control, U+2066"}, {0x2067, "a bidirectional control, U+2067"},
    {0x2068, "a bidirectional control, U+2068"}, {0x2069, "a bidirectional control, U+2069"},
};

static const char *bidirectional_name(uint32_t code)
{
    for (size_t i = 0; i < sizeof bidirectional / sizeof bidirectional[0]; i++)
        if (bidirectional[i].code == code) return bidirectional[i].description;
    return NULL;
}

static bool is_control(uint32_t code)
{
    return code < 0x20 || (code >= 0x7F && code <= 0x9F);
}

bool text_steers(uint32_t code)
{
    return is_control(code) || (code >= bidirectional[0].code && bidirectional_name(code));
}

const char *text_refuse(const char *bytes, size_t length, size_t *offset, size_t *refused)
{
    for (size_t i = *offset, size; i < length; i += size) {
        while (i < length && bytes[i] >= 0x20 && bytes[i] < 0x7F) i++; /* nearly every byte of a text */
        if (i == length) break;
        unsigned char byte = (unsigned char)bytes[i];
        size = 1;
        if (byte == '\n' || byte == '\t') continue;
        if (byte == '\r' && i + 1 < length && bytes[i + 1] == '\n') continue;
        uint32_t code;
        size = text_character(bytes + i, length - i, &code);
        const char *why = size == 0                          ? "bytes that are not UTF-8"
                          : code == 0                        ? "a NUL byte"
                          : code == '\r'                     ? "a carriage return without a line feed"
                          : is_control(code)                 ? "a control character"
                          : code == BYTE_ORDER_MARK && i > 0 ? "a byte-order mark that is not at the start"
                                                             : bidirectional_name(code);
        if (!why) continue;
        *offset = i;
        *refused = size ? size : 1;
        return why;
    }
    return NULL;
}

size_t text_escape(char *to, size_t room, Slice from)
{
    enum { PIECE = 16 };
    size_t needed = 0, written = 0;
    bool full = room == 0;
    for (size_t i = 0, size; i < from.length; i += size) {
        char escape[PIECE];
        const char *piece = from.at + i;
        uint32_t code;
        size = text_character(piece, from.length - i, &code);
        size_t length = size;
        if (size == 0 || (text_steers(code) && code != '\t')) {
            bool is_byte = size <= 1;
            unsigned value = is_byte ? (unsigned char)*piece : code;
            length = (size_t)snprintf(escape, PIECE, is_byte ? "\\x%02x" : "\\u{%x}", value);
            piece = escape;
        }
        if (size == 0) size = 1;
        needed += length;
        if (full || length >= room - written) {
            full = true; /* no piece is cut in two, and none follows a gap */
            continue;
        }
        memcpy(to + written, piece, length);
        written += length;
    }
    if (room) to[written] = '\0';
    return needed;
}
