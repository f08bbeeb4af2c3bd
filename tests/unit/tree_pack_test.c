/* What is packed is unpacked the same: the same dump, and the same bytes when it is packed again, which hold
 * the places too. The trees that ship are what the reader makes of their texts, without the examples. */
#include "check.h"

#include "model/builtin.h"
#include "syntax/read.h"
#include "syntax/tree_pack.h"

static Slice dumped(Arena *arena, const Tree *tree)
{
    Buffer *out = buffer_in_memory(arena);
    tree_dump(tree, out);
    return buffer_slice_of(out);
}

static Slice packed(Arena *arena, const Tree *tree)
{
    Buffer *out = buffer_in_memory(arena);
    tree_pack(tree, out);
    return buffer_slice_of(out);
}

static void assert_same(Slice a, Slice b)
{
    assert_int_equal(a.length, b.length);
    assert_memory_equal(a.at, b.at, a.length);
}

static Tree *read_source(Arena *arena, const char *source)
{
    const Text *text = text_new(arena, "t.heel", source, (uint32_t)strlen(source), 1);
    return syntax_read(arena, text, notes_new(arena, 10));
}

/* One of everything that the tree can hold; -1 and 1900 are numbers whose upper bits are set. */
static const char *const sources[] = {
    "",
    "# nothing\n",
    "nursery n \"N\" { language 1; use \"plans\", \"a\\\"b\\n\" }\n",
    "protocol p \"P\" { must depth 12 .. 25 mm [NB12 table 3; trade] because \"a \\\"reason\\\"\" instead "
    "\"b\"\n"
    "  never hormone IBA 8000 ppm talc; prefer mix 1 peat : 1 1/2 perlite, 2 bark; keep air 20 +- 2 C\n"
    "  at most 30 mm; at least -3 C; < 4 h; > 5 %; window late May .. 18 Jun, Oct; rooted (1 in 10) (1 + 9) "
    "}\n",
    "batch B { take 18 Jun 2027 09:00; stick 1900-01-01; because because \"\" }\n",
    "record r { 18 Jun 2027 stuck 40\n 19 Jun 2027 broken ( }\n",
    "rule r on batch { where not (a.b is not (x, y)) and c includes d or e lacks f\n"
    "  when -a + 2 cm * 3 - 4 / 5 <= high low b and c in 1 .. 2 cm and d outside e and f = \"t\" and g <> 18 "
    "Jun 2027\n"
    "  or has task pot in stage root where (x > 1 per hour) or no record stuck after end of stage root\n"
    "  or mixed f on g or start of stage root < 18 Jun or h is stated or i is unstated }\n",
};

static void test_round(void **state)
{
    Arena *arena = *state;
    for (size_t i = 0; i < CHECK_COUNT(sources); i++) {
        const Tree *tree = read_source(arena, sources[i]);
        assert_true(i < 2 || tree->first);
        Slice bytes = packed(arena, tree);
        const Tree *again = tree_unpack(arena, tree->text, bytes.at);
        assert_same(dumped(arena, again), dumped(arena, tree));
        assert_same(packed(arena, again), bytes);
    }
}

static bool is_example(const Item *item)
{
    return slice_is(item->field, "breaks") || slice_is(item->field, "passes") ||
           slice_is(item->field, "undecided");
}

static void test_shipped(void **state)
{
    Arena *arena = *state;
    size_t rules = 0, examples = 0;
    assert_true(builtin_file_count > 0);
    for (unsigned i = 0; i < builtin_file_count; i++) {
        const Text *text = &builtin_files[i].text, *made = text_new(arena, "", text->bytes, text->length, 1);
        assert_true(text->built_in);
        assert_int_equal(text->bytes[text->length], 0);
        assert_int_equal(text->line_count, made->line_count);
        assert_memory_equal(text->lines, made->lines, made->line_count * sizeof *made->lines);
        Notes *notes = notes_new(arena, 10);
        const Tree *parsed = syntax_read(arena, text, notes),
                   *shipped = tree_unpack(arena, text, builtin_files[i].tree);
        assert_int_equal(notes_total(notes), 0);
        for (const Item *item = shipped->first; item; item = item->next)
            for (const Item *inner = item->first; inner; inner = inner->next) assert_false(is_example(inner));
        for (Item *item = parsed->first; item; item = item->next) {
            rules += slice_is(item->field, "rule");
            for (Item **link = &item->first; *link;) {
                if (!is_example(*link)) {
                    link = &(*link)->next;
                    continue;
                }
                examples++;
                *link = (*link)->next;
            }
        }
        assert_same(dumped(arena, shipped), dumped(arena, parsed));
        assert_same(packed(arena, shipped), packed(arena, parsed));
    }
    assert_true(rules > 0 && examples >= 2 * rules);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        CHECK_WITH_ARENA(test_round),
        CHECK_WITH_ARENA(test_shipped),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
