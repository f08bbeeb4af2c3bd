/* What is packed is unpacked the same: the same dump, and the same bytes when it is packed again, which hold
 * the places too. */
#include "check.h"

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

int main(void)
{
    const struct CMUnitTest tests[] = {
        CHECK_WITH_ARENA(test_round),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
