/* Source text and places in it.
 *
 * A text is kept whole while anything points into it. A place is a span of byte offsets; line and column
 * are worked out only when somebody is to read them. Before a text is scanned, text_refuse looks for bytes
 * that no file of ours may hold.
 */
#ifndef BASE_TEXT_H
#define BASE_TEXT_H

#include "base/arena.h"
#include "base/slice.h"

#include <stdint.h>

enum { TEXT_LIMIT = 16 << 20 }; /* bytes in one file of the language */

typedef struct Text {
    const char *name;  /* as it is shown: a path, "-" for standard input, "rules/mist.heel" for a built-in */
    const char *bytes; /* NUL behind the last byte, not counted */
    uint32_t length;
    uint32_t first_line; /* number of the first line: 1, or the row's line when the text is one row of a long
                            file */
    bool built_in;       /* ships inside the program */
    const uint32_t *lines; /* offset of each line's begin; made by text_new */
    uint32_t line_count;
} Text;

/* Half-open range of bytes. A span without a text is no place at all. */
typedef struct Span {
    const Text *text;
    uint32_t begin, end;
} Span;

typedef struct Position {
    uint32_t line;   /* from 1 */
    uint32_t column; /* from 1, in characters (code points), a tab is one */
} Position;

/* Takes over `bytes` (of which one more than `length` must be readable and NUL). A byte-order mark stays in
 * the bytes; scanning starts behind it. */
Text *text_new(Arena *arena, const char *name, const char *bytes, uint32_t length, uint32_t first_line);
uint32_t text_start(const Text *text); /* offset behind a byte-order mark */

uint32_t text_line_index(const Text *text, uint32_t offset); /* which of `lines` an offset stands in */
Position text_position(const Text *text, uint32_t offset);
Slice text_line(const Text *text, uint32_t offset); /* the line around an offset, without its end */
static inline Slice span_slice(Span span)
{
    return span.text ? (Slice){span.text->bytes + span.begin, span.end - span.begin} : (Slice){"", 0};
}
Span span_join(Span first, Span last); /* from the begin of one to the end of the other */

/* The character at the begin of some bytes: gives its length, 1 to 4, and its code point; 0 for what is not
 * UTF-8. */
size_t text_character(const char *bytes, size_t length, uint32_t *code);
/* Whether a code point can steer a terminal: a control character (a tab and the ends of lines too) or a
 * bidirectional control. */
bool text_steers(uint32_t code);

/* The first byte sequence at or after `*offset` that is not allowed: a control character other than tab, LF
 * and CR before LF, NUL, invalid UTF-8, a bidirectional control, a byte-order mark behind the start. Gives a
 * description ("a NUL byte", "a bidirectional control, U+202E") or NULL when all is well; sets *offset to its
 * place and *refused to its bytes. */
const char *text_refuse(const char *bytes, size_t length, size_t *offset, size_t *refused);

/* Writes other people's text so that it cannot steer a terminal: control characters (a tab may stay),
 * bidirectional controls and invalid bytes become visible escapes such as \x1b or \u{202e}. Gives the bytes
 * that would be needed (like snprintf). */
size_t text_escape(char *to, size_t room, Slice from);

#endif
