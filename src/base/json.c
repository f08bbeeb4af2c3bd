/* Writing JSON (RFC 8259).
 *
 * Given values in order, writes them with commas, quotes and, if asked, lines and indentation. Text that is
 * not UTF-8 gets the replacement character U+FFFD in place of each bad byte, and what could steer a terminal
 * is escaped. The shape of a document is the caller's.
 */
#include "base/json.h"

#include "base/text.h"

#include <assert.h>
#include <string.h>

void json_start(Json *json, Buffer *out, bool pretty)
{
    *json = (Json){.out = out, .pretty = pretty};
}

static void new_line(Json *json)
{
    if (!json->pretty) return;
    buffer_char(json->out, '\n');
    buffer_spaces(json->out, (size_t)json->depth * 2);
}

/* What stands before the next key, or before the next value that has none. */
static void separate(Json *json)
{
    if (json->filled[json->depth]) buffer_char(json->out, ',');
    if (json->depth || json->filled[0]) new_line(json);
    json->filled[json->depth] = true;
}

static void before_value(Json *json)
{
    if (!json->after_key) separate(json);
    json->after_key = false;
}

static void open(Json *json, char bracket)
{
    before_value(json);
    assert(json->depth + 1 < JSON_DEPTH);
    buffer_char(json->out, bracket);
    json->filled[++json->depth] = false;
}

static void close(Json *json, char bracket)
{
    assert(json->depth > 0);
    bool filled = json->filled[json->depth--];
    if (filled) new_line(json);
    buffer_char(json->out, bracket);
}

void json_object(Json *json)
{
    open(json, '{');
}

void json_array(Json *json)
{
    open(json, '[');
}

void json_end_object(Json *json)
{
    close(json, '}');
}

void json_end_array(Json *json)
{
    close(json, ']');
}

/* One character that cannot stand for itself. Code points above U+FFFF are none of these. */
static void write_escape(Buffer *out, uint32_t code)
{
    static const char shorthand[][2] = {{'"', '"'},  {'\\', '\\'}, {'\b', 'b'}, {'\f', 'f'},
                                        {'\n', 'n'}, {'\r', 'r'},  {'\t', 't'}};
    for (size_t i = 0; i < sizeof shorthand / sizeof shorthand[0]; i++) {
        if ((uint32_t)shorthand[i][0] != code) continue;
        buffer_char(out, '\\');
        buffer_char(out, shorthand[i][1]);
        return;
    }
    static const char digit[] = "0123456789abcdef";
    const char escape[] = {
        '\\', 'u', digit[code >> 12 & 15], digit[code >> 8 & 15], digit[code >> 4 & 15], digit[code & 15]};
    buffer_bytes(out, escape, sizeof escape);
}

static void write_quoted(Buffer *out, Slice text)
{
    buffer_char(out, '"');
    size_t plain = 0; /* begin of the run that can be copied as it stands */
    for (size_t i = 0, size; i < text.length; i += size) {
        unsigned char byte = (unsigned char)text.at[i];
        size = 1;
        if (byte >= 0x20 && byte < 0x7F && byte != '"' && byte != '\\') continue;
        uint32_t code = 0;
        size = text_character(text.at + i, text.length - i, &code);
        if (size > 1 && !text_steers(code)) continue;
        buffer_bytes(out, text.at + plain, i - plain);
        write_escape(out, size ? code : 0xFFFD);
        if (size == 0) size = 1;
        plain = i + size;
    }
    if (plain < text.length) buffer_bytes(out, text.at + plain, text.length - plain);
    buffer_char(out, '"');
}

void json_key(Json *json, const char *key)
{
    separate(json);
    write_quoted(json->out, slice_of(key));
    buffer_text(json->out, json->pretty ? ": " : ":");
    json->after_key = true;
}

void json_slice(Json *json, Slice text)
{
    before_value(json);
    write_quoted(json->out, text);
}

void json_text(Json *json, const char *text)
{
    if (text)
        json_slice(json, slice_of(text));
    else
        json_null(json);
}

void json_integer(Json *json, int64_t value)
{
    before_value(json);
    buffer_integer(json->out, value);
}

void json_number(Json *json, Slice digits)
{
    before_value(json);
    buffer_slice(json->out, digits);
}

void json_bool(Json *json, bool value)
{
    before_value(json);
    buffer_text(json->out, value ? "true" : "false");
}

void json_null(Json *json)
{
    before_value(json);
    buffer_text(json->out, "null");
}

void json_day(Json *json, Day day)
{
    if (day == DAY_NONE) {
        json_null(json);
        return;
    }
    char text[DAY_TEXT];
    size_t length = day_write_iso(text, day);
    json_slice(json, (Slice){text, length});
}

void json_field_text(Json *json, const char *key, const char *text)
{
    json_key(json, key);
    json_text(json, text);
}

void json_field_slice(Json *json, const char *key, Slice text)
{
    json_key(json, key);
    json_slice(json, text);
}

void json_field_integer(Json *json, const char *key, int64_t value)
{
    json_key(json, key);
    json_integer(json, value);
}
