/* base/arena and base/vec: alignment, zeroing, marks, exhaustion. */
#include "check.h"

#include "base/vec.h"

#include <signal.h>
#include <sys/wait.h>
#include <unistd.h>

static void pieces_are_zeroed_aligned_and_apart(void **state)
{
    Arena *arena = *state;
    CheckRandom random = check_random("arena");
    enum { PIECES = 3000 };
    static unsigned char *piece[PIECES];
    static size_t size[PIECES];
    for (size_t i = 0; i < PIECES; i++) {
        size[i] = check_below(&random, i % 100 == 0 ? 200000 : 200);
        piece[i] = arena_alloc(arena, size[i]);
        assert_non_null(piece[i]);
        assert_int_equal((uintptr_t)piece[i] % _Alignof(max_align_t), 0);
        for (size_t k = 0; k < size[i]; k++) assert_int_equal(piece[i][k], 0);
        memset(piece[i], (int)(i & 0xFF), size[i]);
    }
    for (size_t i = 0; i < PIECES; i++)
        for (size_t k = 0; k < size[i]; k++) assert_int_equal(piece[i][k], i & 0xFF);
}

static void text_is_copied_and_printed(void **state)
{
    Arena *arena = *state;
    char *copy = arena_copy(arena, "mist\0fog", 8);
    assert_memory_equal(copy, "mist\0fog", 9);
    assert_string_equal(arena_copy(arena, NULL, 0), "");
    assert_string_equal(arena_print(arena, "%d of %s", 3, "five"), "3 of five");
    assert_string_equal(arena_print(arena, "%s", ""), "");
    char *wide = arena_print(arena, "%100000d", 7);
    assert_int_equal(strlen(wide), 100000);
    assert_int_equal(wide[99999], '7');
    void *aligned = arena_alloc(arena, 8);
    assert_int_equal((uintptr_t)aligned % _Alignof(max_align_t), 0);
}

static void released_memory_is_used_again_and_zero(void **state)
{
    Arena *arena = *state;
    char *kept = arena_copy(arena, "kept", 4);
    ArenaMark mark = arena_mark(arena);
    for (int round = 0; round < 50; round++) {
        for (int i = 0; i < 300; i++) {
            unsigned char *piece = arena_alloc(arena, 1000);
            for (size_t k = 0; k < 1000; k++) assert_int_equal(piece[k], 0);
            memset(piece, 0xAB, 1000);
        }
        memset(arena_alloc(arena, 500000), 0xCD, 500000);
        arena_release(arena, mark);
    }
    size_t held = arena_size(arena);
    for (int i = 0; i < 300; i++) arena_alloc(arena, 1000);
    assert_int_equal(arena_size(arena), held);
    assert_true(held < 4000000); /* 50 rounds of 800,000 bytes did not pile up */
    assert_string_equal(kept, "kept");
}

static void a_mark_of_an_empty_arena_gives_back_everything(void **state)
{
    Arena *arena = *state;
    ArenaMark mark = arena_mark(arena);
    char *first = arena_alloc(arena, 100);
    memset(first, 1, 100);
    arena_alloc(arena, 300000);
    size_t held = arena_size(arena);
    arena_release(arena, mark);
    char *again = arena_alloc(arena, 100);
    assert_ptr_equal(first, again);
    assert_int_equal(again[99], 0);
    arena_alloc(arena, 300000);
    assert_int_equal(arena_size(arena), held);
}

static void nothing_to_free_is_fine(void **state)
{
    (void)state;
    arena_free(NULL);
}

enum { STATUS_EXHAUSTED = 42 };

static void leave(size_t wanted)
{
    (void)wanted;
    _exit(STATUS_EXHAUSTED);
}

static void return_all_the_same(size_t wanted)
{
    (void)wanted;
}

/* Runs a request too large for any machine in a process of its own; gives how that ended. */
static int status_of(ArenaExhausted *exhausted, size_t count, size_t size)
{
    fflush(NULL);
    pid_t child = fork();
    assert_true(child >= 0);
    if (child == 0) {
        signal(SIGABRT, SIG_DFL);
        Arena *arena = arena_new(exhausted);
        if (count)
            arena_array(arena, count, size);
        else
            arena_alloc(arena, size);
        _exit(0);
    }
    int status = 0;
    assert_int_equal(waitpid(child, &status, 0), child);
    return status;
}

static void requests_that_overflow_are_exhaustion(void **state)
{
    (void)state;
    int status = status_of(leave, SIZE_MAX / 16 + 2, 16); /* the product wraps round to 16 */
    assert_true(WIFEXITED(status));
    assert_int_equal(WEXITSTATUS(status), STATUS_EXHAUSTED);
    status = status_of(leave, 0, SIZE_MAX);
    assert_true(WIFEXITED(status));
    assert_int_equal(WEXITSTATUS(status), STATUS_EXHAUSTED);
    status = status_of(leave, 0, SIZE_MAX - 20);
    assert_true(WIFEXITED(status));
    assert_int_equal(WEXITSTATUS(status), STATUS_EXHAUSTED);
}

static void a_handler_that_returns_ends_the_program(void **state)
{
    (void)state;
    assert_true(WIFSIGNALED(status_of(return_all_the_same, SIZE_MAX / 16 + 2, 16)));
}

static void a_vector_grows_and_keeps_its_elements(void **state)
{
    Arena *arena = *state;
    VEC(int) numbers = {0};
    for (int i = 0; i < 10000; i++) VEC_PUSH(arena, &numbers, i * 3);
    assert_int_equal(numbers.count, 10000);
    for (int i = 0; i < 10000; i++) assert_int_equal(numbers.at[i], i * 3);
    int *added = VEC_ADD(arena, &numbers);
    assert_int_equal(*added, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        CHECK_WITH_ARENA(pieces_are_zeroed_aligned_and_apart),
        CHECK_WITH_ARENA(text_is_copied_and_printed),
        CHECK_WITH_ARENA(released_memory_is_used_again_and_zero),
        CHECK_WITH_ARENA(a_mark_of_an_empty_arena_gives_back_everything),
        cmocka_unit_test(nothing_to_free_is_fine),
        cmocka_unit_test(requests_that_overflow_are_exhaustion),
        cmocka_unit_test(a_handler_that_returns_ends_the_program),
        CHECK_WITH_ARENA(a_vector_grows_and_keeps_its_elements),
    };
    return cmocka_run_group_tests_name("base/arena", tests, NULL, NULL) != 0;
}
