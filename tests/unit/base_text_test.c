/* base/text: places, what no file may hold, and what is safe to show. */
#include "check.h"

#include "base/text.h"

static Text *text_of(Arena *arena, const char *bytes, uint32_t first_line)
{
    return text_new(arena, "test.heel", bytes, (uint32_t)strlen(bytes), first_line);
}

static void is_at(const Text *text, uint32_t offset, uint32_t line, uint32_t column)
{
    Position position = text_position(text, offset);
    if (position.line != line || position.column != column)
        fail_msg("offset %u: got %u:%u, wanted %u:%u", offset, position.line, position.column, line, column);
}

static void places_are_lines_and_characters(void **state)
{
    Text *text = text_of(*state,
                         "ab\n\n\tc\xC3\xA9"
                         "d\r\ne",
                         1);
    assert_int_equal(text->line_count, 4);
    is_at(text, 0, 1, 1);
    is_at(text, 2, 1, 3); /* the end of the line belongs to it */
    is_at(text, 3, 2, 1);
    is_at(text, 4, 3, 1);
    is_at(text, 5, 3, 2); /* a tab is one character */
    is_at(text, 6, 3, 3);
    is_at(text, 7, 3, 3); /* inside a character */
    is_at(text, 8, 3, 4);
    is_at(text, 11, 4, 1);
    is_at(text, 12, 4, 2);
    is_at(text, 9999, 4, 2); /* behind the end */
    assert_true(slice_is(text_line(text, 1), "ab"));
    assert_true(slice_is(text_line(text, 3), ""));
    assert_true(slice_is(text_line(text, 9), "\tc\xC3\xA9"
                                             "d"));
    assert_true(slice_is(text_line(text, 12), "e"));
}

static void rows_of_a_long_file_keep_their_line(void **state)
{
    Text *text = text_of(*state, "a,b\nc", 7001);
    is_at(text, 2, 7001, 3);
    is_at(text, 4, 7002, 1);
}

static void a_byte_order_mark_is_no_column(void **state)
{
    Text *text = text_of(*state, "\xEF\xBB\xBFmist\nfog", 1);
    assert_int_equal(text_start(text), 3);
    is_at(text, 0, 1, 1);
    is_at(text, 3, 1, 1);
    is_at(text, 5, 1, 3);
    is_at(text, 8, 2, 1);
    assert_true(slice_is(text_line(text, 4), "mist"));
    assert_int_equal(text_start(text_of(*state, "mist", 1)), 0);
    assert_int_equal(text_start(text_of(*state, "\xEF\xBB", 1)), 0);
}

static void an_empty_text_has_a_line(void **state)
{
    Text *text = text_of(*state, "", 1);
    assert_int_equal(text->line_count, 1);
    is_at(text, 0, 1, 1);
    assert_true(slice_is(text_line(text, 0), ""));
    Text *one = text_of(*state, "\n", 1);
    assert_int_equal(one->line_count, 2);
    is_at(one, 1, 2, 1);
}

static void every_offset_of_random_texts(void **state)
{
    Arena *arena = *state;
    CheckRandom random = check_random("text");
    for (int round = 0; round < 500; round++) {
        char bytes[100];
        uint32_t length = check_below(&random, sizeof bytes);
        for (uint32_t i = 0; i < length; i++) bytes[i] = check_below(&random, 5) ? 'x' : '\n';
        bytes[length] = '\0';
        Text *text = text_new(arena, "", bytes, length, 1);
        uint32_t line = 1, column = 1;
        for (uint32_t i = 0; i <= length; i++) {
            is_at(text, i, line, column);
            assert_int_equal(text_line_index(text, i), line - 1);
            if (i < length && bytes[i] == '\n')
                line++, column = 1;
            else
                column++;
        }
    }
}

static void spans_join(void **state)
{
    Text *text = text_of(*state, "depth 20 mm", 1);
    Span depth = {text, 0, 5}, unit = {text, 9, 11}, none = {NULL, 0, 0};
    assert_true(slice_is(span_slice(span_join(depth, unit)), "depth 20 mm"));
    assert_true(slice_is(span_slice(span_join(none, unit)), "mm"));
    assert_true(slice_is(span_slice(span_join(depth, none)), "depth"));
    assert_int_equal(span_slice(none).length, 0);
}

/* UTF-8 as RFC 3629 section 3 builds it. */
static size_t encode(char *to, uint32_t code)
{
    if (code < 0x80) return to[0] = (char)code, 1;
    size_t size = code < 0x800 ? 2 : code < 0x10000 ? 3 : 4;
    for (size_t i = size; i-- > 1; code >>= 6) to[i] = (char)(0x80 | (code & 0x3F));
    to[0] = (char)((0xF00U >> size & 0xF0) | code);
    return size;
}

static void every_code_point_is_read(void **state)
{
    (void)state;
    for (uint32_t code = 0; code <= 0x110000; code++) {
        char bytes[4];
        size_t size = encode(bytes, code);
        uint32_t got = 0;
        bool valid = code <= 0x10FFFF && !(code >= 0xD800 && code <= 0xDFFF);
        assert_int_equal(text_character(bytes, size, &got), valid ? size : 0);
        if (!valid) continue;
        assert_int_equal(got, code);
        for (size_t cut = 1; cut < size; cut++) assert_int_equal(text_character(bytes, cut, &got), 0);
    }
    uint32_t got;
    assert_int_equal(text_character("", 0, &got), 0);
}

static void nothing_else_is_read(void **state)
{
    (void)state;
    CheckRandom random = check_random("text");
    for (int i = 0; i < 500000; i++) {
        char bytes[4], again[4];
        uint64_t bits = check_next(&random);
        memcpy(bytes, &bits, 4);
        for (int k = 1; k < 4; k++)
            if (bits >> (40 + k) & 1) bytes[k] = (char)(0x80 | (bytes[k] & 0x3F));
        bytes[0] = (char)(bytes[0] | (char)0xC0);
        uint32_t code = 0;
        size_t size = text_character(bytes, 4, &code);
        if (size == 0) continue;
        assert_int_equal(encode(again, code), size);
        assert_memory_equal(bytes, again, size);
    }
}

typedef struct Refusal {
    const char *bytes;
    size_t length;
    const char *why; /* NULL: nothing is refused */
    size_t offset, refused;
} Refusal;

#define REFUSED(literal, why, offset, refused)                                                               \
    {                                                                                                        \
        literal, sizeof(literal) - 1, why, offset, refused                                                   \
    }

static void what_no_file_may_hold_is_refused(void **state)
{
    (void)state;
    static const Refusal rows[] = {
        REFUSED("depth 20 mm\r\n\tnote \"caf\xC3\xA9 \xE2\x80\xA6 \xF0\x9F\x8C\xB1\"\n", NULL, 0, 0),
        REFUSED("", NULL, 0, 0),
        REFUSED("\xEF\xBB\xBFx", NULL, 0, 0),
        REFUSED("x\xEF\xBB\xBF", "a byte-order mark that is not at the start", 1, 3),
        REFUSED("ab\0c", "a NUL byte", 2, 1),
        REFUSED("a\rb", "a carriage return without a line feed", 1, 1),
        REFUSED("a\r", "a carriage return without a line feed", 1, 1),
        REFUSED("a\r\r\n", "a carriage return without a line feed", 1, 1),
        REFUSED("a\x1b[2J", "a control character", 1, 1),
        REFUSED("a\x7f", "a control character", 1, 1),
        REFUSED("a\xC2\x85", "a control character", 1, 2),
        REFUSED("a\xC2\xA0", NULL, 0, 0),
        REFUSED("caf\xE9 ", "bytes that are not UTF-8", 3, 1),
        REFUSED("\xC0\x80", "bytes that are not UTF-8", 0, 1),
        REFUSED("\xED\xA0\x80", "bytes that are not UTF-8", 0, 1),
        REFUSED("\xF4\x90\x80\x80", "bytes that are not UTF-8", 0, 1),
        REFUSED("a\xE2\x80", "bytes that are not UTF-8", 1, 1),
        REFUSED("\xE2\x80\xAE", "a bidirectional control, U+202E", 0, 3),
        REFUSED("x\xE2\x81\xA6y", "a bidirectional control, U+2066", 1, 3),
        REFUSED("\xE2\x80\x8F", "a bidirectional control, U+200F", 0, 3),
        REFUSED("\xD8\x9C", "a bidirectional control, U+061C", 0, 2),
        REFUSED("\xE2\x80\x8D", NULL, 0, 0), /* a joiner steers nothing */
    };
    for (size_t i = 0; i < CHECK_COUNT(rows); i++) {
        size_t offset = 0, refused = 0;
        const char *why = text_refuse(rows[i].bytes, rows[i].length, &offset, &refused);
        if (!rows[i].why && why) fail_msg("row %zu: refused as %s", i, why);
        if (!rows[i].why) continue;
        if (!why) fail_msg("row %zu: not refused", i);
        assert_string_equal(why, rows[i].why);
        assert_int_equal(offset, rows[i].offset);
        assert_int_equal(refused, rows[i].refused);
    }
}

static void each_control_is_refused_and_goes_on_behind(void **state)
{
    (void)state;
    for (uint32_t code = 0; code <= 0x20FF; code++) {
        char bytes[6] = "a";
        size_t size = encode(bytes + 1, code), offset = 0, refused = 0;
        bool allowed_control = code == '\t' || code == '\n';
        bool bidirectional = code == 0x61C || code == 0x200E || code == 0x200F ||
                             (code >= 0x202A && code <= 0x202E) || (code >= 0x2066 && code <= 0x2069);
        bool control = code < 0x20 || (code >= 0x7F && code < 0xA0);
        const char *why = text_refuse(bytes, size + 1, &offset, &refused);
        assert_int_equal(why != NULL, (control && !allowed_control) || bidirectional);
        assert_int_equal(text_steers(code), control || bidirectional);
        if (!why) continue;
        assert_int_equal(offset, 1);
        assert_int_equal(refused, size);
        offset += refused;
        assert_null(text_refuse(bytes, size + 1, &offset, &refused));
    }
}

static void what_steers_a_terminal_is_made_visible(void **state)
{
    (void)state;
    static const struct {
        Slice from;
        const char *to;
    } rows[] = {
        {{"plain caf\xC3\xA9", 11}, "plain caf\xC3\xA9"},
        {{"\x1b[31mred", 8}, "\\x1b[31mred"},
        {{"a\0b", 3}, "a\\x00b"},
        {{"a\nb\rc", 5}, "a\\x0ab\\x0dc"},
        {{"a\tb", 3}, "a\tb"},
        {{"\xC2\x9B", 2}, "\\u{9b}"},
        {{"\xE2\x80\xAE", 3}, "\\u{202e}"},
        {{"\xFF\xE2\x80", 3}, "\\xff\\xe2\\x80"},
        {{NULL, 0}, ""},
    };
    for (size_t i = 0; i < CHECK_COUNT(rows); i++) {
        char to[64];
        size_t needed = text_escape(to, sizeof to, rows[i].from);
        assert_string_equal(to, rows[i].to);
        assert_int_equal(needed, strlen(rows[i].to));
        assert_int_equal(text_escape(NULL, 0, rows[i].from), needed);
        for (size_t room = 1; room <= needed; room++) {
            char exact[64];
            memset(exact, '?', sizeof exact);
            assert_int_equal(text_escape(exact, room, rows[i].from), needed);
            assert_true(strlen(exact) < room);
            assert_memory_equal(exact, rows[i].to, strlen(exact));
            assert_int_equal(exact[room], '?');
        }
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        CHECK_WITH_ARENA(places_are_lines_and_characters),
        CHECK_WITH_ARENA(rows_of_a_long_file_keep_their_line),
        CHECK_WITH_ARENA(a_byte_order_mark_is_no_column),
        CHECK_WITH_ARENA(an_empty_text_has_a_line),
        CHECK_WITH_ARENA(every_offset_of_random_texts),
        CHECK_WITH_ARENA(spans_join),
        cmocka_unit_test(every_code_point_is_read),
        cmocka_unit_test(nothing_else_is_read),
        cmocka_unit_test(what_no_file_may_hold_is_refused),
        cmocka_unit_test(each_control_is_refused_and_goes_on_behind),
        cmocka_unit_test(what_steers_a_terminal_is_made_visible),
    };
    return cmocka_run_group_tests_name("base/text", tests, NULL, NULL) != 0;
}
