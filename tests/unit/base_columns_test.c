/* base/columns: marks stand under what they mark, whatever alphabet stands before it. */
#include "check.h"

#include "base/columns.h"

static void characters_take_none_one_or_two(void **state)
{
    (void)state;
    static const struct {
        uint32_t code;
        size_t columns;
    } cases[] = {{'a', 1},     {0xe9, 1},     {0x300, 0},   {0x36f, 0},   {0x370, 1},   {0x10ff, 1},
                 {0x1100, 2},  {0x115f, 2},   {0x1160, 0},  {0x200b, 0},  {0x200d, 0},  {0x303f, 1},
                 {0x3042, 2},  {0x302a, 0},   {0x4e00, 2},  {0x9fff, 2},  {0xac00, 2},  {0xd7a3, 2},
                 {0xff21, 2},  {0xff71, 1},   {0x1f331, 2}, {0x20000, 2}, {0x3fffd, 2}, {0xfe0f, 0},
                 {0xe0100, 0}, {0x10ffff, 1}, {0x2592, 1}};
    for (size_t i = 0; i < CHECK_COUNT(cases); i++)
        if (character_columns(cases[i].code) != cases[i].columns)
            fail_msg("U+%04X takes %zu columns, not %zu", (unsigned)cases[i].code,
                     character_columns(cases[i].code), cases[i].columns);
}

static void ranges_are_in_order(void **state)
{
    (void)state;
    static const uint32_t ends[] = {
#define COLUMNS(first, last, columns) first, last,
#include "columns.def"
#undef COLUMNS
    };
    for (size_t i = 1; i < CHECK_COUNT(ends); i++)
        assert_true(i % 2 ? ends[i] >= ends[i - 1] : ends[i] > ends[i - 1]);
}

static void texts_are_counted_as_they_are_written(void **state)
{
    (void)state;
    assert_int_equal(text_columns(SLICE("")), 0);
    assert_int_equal(text_columns(SLICE("a\tb")), 3);
    assert_int_equal(text_columns(SLICE("e\xcc\x81t\xc3\xa9")), 3);
    assert_int_equal(text_columns(SLICE("\xe6\x8c\xbf\xe6\x9c\xa8")), 4);
    assert_int_equal(text_columns(SLICE("\x1b")), strlen("\\x1b"));
    assert_int_equal(text_columns(SLICE("\xff")), strlen("\\xff"));
    assert_int_equal(text_columns(SLICE("\xe2\x80\xae")), strlen("\\u{202e}"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(characters_take_none_one_or_two),
        cmocka_unit_test(ranges_are_in_order),
        cmocka_unit_test(texts_are_counted_as_they_are_written),
    };
    return cmocka_run_group_tests_name("base/columns", tests, NULL, NULL) != 0;
}
