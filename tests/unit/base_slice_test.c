/* base/slice: comparing, and tables of names. */
#include "check.h"

static void slices_compare_by_bytes(void **state)
{
    (void)state;
    assert_true(slice_equal(SLICE("fog"), slice_of("fog")));
    assert_false(slice_equal(SLICE("fog"), SLICE("fogs")));
    assert_false(slice_equal(SLICE("fog"), SLICE("fig")));
    assert_true(slice_equal((Slice){NULL, 0}, SLICE("")));
    assert_int_equal(slice_of(NULL).length, 0);
    assert_true(slice_is((Slice){"mist bed", 4}, "mist"));
    assert_false(slice_is(SLICE("mist"), "mist bed"));
    assert_true(slice_starts(SLICE("semi-hardwood"), "semi"));
    assert_true(slice_starts(SLICE("semi"), "semi"));
    assert_true(slice_starts(SLICE("semi"), ""));
    assert_false(slice_starts(SLICE("sem"), "semi"));
    assert_false(slice_starts(SLICE("semp"), "semi"));
}

static void slices_have_an_order(void **state)
{
    (void)state;
    static const char *const ascending[] = {"", "B", "a", "ab", "abc", "b", "\xC3\xA9"};
    for (size_t i = 0; i < CHECK_COUNT(ascending); i++) {
        for (size_t j = 0; j < CHECK_COUNT(ascending); j++) {
            int order = slice_compare(slice_of(ascending[i]), slice_of(ascending[j]));
            assert_int_equal(order, (i > j) - (i < j));
        }
    }
}

static void hashes_depend_on_every_byte(void **state)
{
    (void)state;
    char text[40];
    memset(text, 'a', sizeof text);
    for (size_t length = 1; length < sizeof text; length++) {
        uint64_t whole = slice_hash((Slice){text, length});
        assert_true(whole == slice_hash((Slice){text, length}));
        assert_true(whole != slice_hash((Slice){text, length - 1}));
        for (size_t i = 0; i < length; i++) {
            text[i] = 'b';
            assert_true(whole != slice_hash((Slice){text, length}));
            text[i] = 'a';
        }
    }
}

static void equal_names_are_one_pointer(void **state)
{
    Arena *arena = *state;
    Names *names = names_new(arena);
    enum { MANY = 20000 };
    static Name made[MANY];
    char text[32];
    for (uint32_t i = 0; i < MANY; i++) {
        int length = snprintf(text, sizeof text, "batch-%u", i);
        Slice slice = {text, (size_t)length};
        assert_null(names_find(names, slice));
        made[i] = names_intern(names, slice);
        assert_int_equal(made[i]->number, i);
        assert_int_equal(made[i]->length, length);
        assert_string_equal(made[i]->text, text);
    }
    for (uint32_t i = 0; i < MANY; i++) {
        int length = snprintf(text, sizeof text, "batch-%u", i);
        Slice slice = {text, (size_t)length};
        assert_ptr_equal(names_intern(names, slice), made[i]);
        assert_ptr_equal(names_find(names, slice), made[i]);
    }
    assert_int_equal(names_intern(names, SLICE("last"))->number, MANY);
}

static void odd_names_are_names(void **state)
{
    Names *names = names_new(*state);
    Name empty = names_intern(names, (Slice){NULL, 0});
    assert_string_equal(empty->text, "");
    assert_ptr_equal(names_find(names, SLICE("")), empty);
    Name with_nul = names_intern(names, SLICE("a\0b"));
    assert_ptr_not_equal(with_nul, names_intern(names, SLICE("a")));
    assert_true(slice_equal(name_slice(with_nul), SLICE("a\0b")));
    assert_int_equal(name_slice(NULL).length, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(slices_compare_by_bytes),     cmocka_unit_test(slices_have_an_order),
        cmocka_unit_test(hashes_depend_on_every_byte), CHECK_WITH_ARENA(equal_names_are_one_pointer),
        CHECK_WITH_ARENA(odd_names_are_names),
    };
    return cmocka_run_group_tests_name("base/slice", tests, NULL, NULL) != 0;
}
