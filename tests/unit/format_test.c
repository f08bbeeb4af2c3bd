/* syntax/pieces, syntax/format: what counts as the same text in another layout, and what does not. */
#include "check.h"

#include "syntax/format.h"
#include "syntax/pieces.h"

static const Text *text_of(Arena *arena, const char *bytes)
{
    return text_new(arena, "test.heel", bytes, (uint32_t)strlen(bytes), 1);
}

static bool same(Arena *arena, const char *one, const char *other)
{
    Pieces a = pieces_read(arena, text_of(arena, one)), b = pieces_read(arena, text_of(arena, other));
    return pieces_equal(&a, &b);
}

static void white_space_is_not_looked_at(void **state)
{
    static const char plain[] = "take { # c\n  length 8 .. 10 cm [NB12 p 7]\n}\n";
    assert_true(same(*state, plain, "\n\ntake   {# c  \t\r\n\tlength 8..10cm[ NB12 p 7 ]}"));
    assert_true(same(*state, "a 18 Jun 2027\n", "a 18  Jun\t2027"));
    assert_true(same(*state, "a 1,\n  2\n", "a 1, 2"));
}

/* Each pair would be one text to somebody who compares bytes without blanks. */
static void what_means_something_else_is_told_apart(void **state)
{
    static const char *const pairs[][2] = {
        {"a 1 cm\n", "a 2 cm\n"},
        {"a b c\n", "a bc\n"},
        {"a 1 1/2 in\n", "a 1\n1/2 in\n"},
        {"a 1 in\n", "a 1 in 3\n"},
        {"a 09:00\n", "a 09 : 00\n"},
        {"a 5 mol/m2/d\n", "a 5 mol / m2 / d\n"},
        {"a 12  500 mm\n", "a 12 500 mm\n"},
        {"a b\nc d\n", "a b c d\n"},
        {"a b; c d\n", "a b\nc d\n"},
        {"a b # c\n", "a b\n# c\n"},
        {"a b # c\nd\n", "a b # c d\n"},
        {"a b\n# one\n", "a b\n#one\n"},
        {"a [NB12 p 7]\n", "a [NB12 p  7]\n"},
        {"a \"b  c\"\n", "a \"b c\"\n"},
        {"a { b }\n", "a { b\n}\nc\n"},
        {"when a - b > 1\n", "when a-b > 1\n"},
    };
    for (size_t i = 0; i < CHECK_COUNT(pairs); i++) {
        if (same(*state, pairs[i][0], pairs[i][1])) fail_msg("taken for one: %s", pairs[i][0]);
        assert_true(same(*state, pairs[i][0], pairs[i][0]));
    }
}

static void what_cannot_be_read_has_no_form(void **state)
{
    static const char *const texts[] = {"a {\n", "}\n", "a 1,5\n", "a \"b\n", "a \x01\n", "a 3 mm cm {\n"};
    for (size_t i = 0; i < CHECK_COUNT(texts); i++) {
        Notes *notes = notes_new(*state, 10);
        Buffer *out = buffer_in_memory(*state);
        assert_int_equal(syntax_format(*state, text_of(*state, texts[i]), notes, out), FORMAT_UNREADABLE);
        assert_true(notes_total(notes) > 0);
    }
}

/* A changed value changes one line, whatever columns stand around it. */
static void one_edit_changes_one_line(void **state)
{
    static const char before[] = "take {\n  wood    softwood   [ours]\n  length  8 cm       [ours]\n}\n";
    static const char after[] =
        "take {\n  wood    softwood, greenwood   [ours]\n  length  8 cm       [ours]\n}\n";
    const char *const texts[] = {before, after};
    for (size_t i = 0; i < CHECK_COUNT(texts); i++) {
        Buffer *out = buffer_in_memory(*state);
        assert_int_equal(syntax_format(*state, text_of(*state, texts[i]), notes_new(*state, 1), out),
                         FORMAT_DONE);
        assert_true(slice_is(buffer_slice_of(out), texts[i]));
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        CHECK_WITH_ARENA(white_space_is_not_looked_at),
        CHECK_WITH_ARENA(what_means_something_else_is_told_apart),
        CHECK_WITH_ARENA(what_cannot_be_read_has_no_form),
        CHECK_WITH_ARENA(one_edit_changes_one_line),
    };
    return cmocka_run_group_tests_name("syntax/format", tests, NULL, NULL) != 0;
}
