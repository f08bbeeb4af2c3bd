/* What every unit test begins with: cmocka, an arena, random numbers that can be had again, and rows of the
 * published vectors in tests/outside/vectors. */
#ifndef TESTS_UNIT_CHECK_H
#define TESTS_UNIT_CHECK_H

#include <stdarg.h>
#include <stddef.h>
#include <setjmp.h>
#include <stdint.h>
#include <cmocka.h>

#include "base/arena.h"
#include "base/slice.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define CHECK_COUNT(array) (sizeof(array) / sizeof(array)[0])

static inline void check_exhausted(size_t wanted)
{
    fprintf(stderr, "no memory for %zu bytes\n", wanted);
    abort();
}

static inline int check_arena_open(void **state)
{
    *state = arena_new(check_exhausted);
    return 0;
}

static inline int check_arena_close(void **state)
{
    arena_free(*state);
    return 0;
}

#define CHECK_WITH_ARENA(test) cmocka_unit_test_setup_teardown(test, check_arena_open, check_arena_close)

/* ------------------------------------------------------------------ random numbers */

typedef struct CheckRandom {
    uint64_t state;
} CheckRandom;

/* The seed is HEELCUT_SEED, or one that never changes; it is printed, so that a failure can be had again. */
static inline CheckRandom check_random(const char *what)
{
    const char *given = getenv("HEELCUT_SEED");
    uint64_t seed = given ? strtoull(given, NULL, 10) : 20270618;
    printf("%s: HEELCUT_SEED=%llu\n", what, (unsigned long long)seed);
    return (CheckRandom){seed};
}

static inline uint64_t check_next(CheckRandom *random) /* the splitmix64 sequence */
{
    uint64_t z = random->state += UINT64_C(0x9E3779B97F4A7C15);
    z = (z ^ z >> 30) * UINT64_C(0xBF58476D1CE4E5B9);
    z = (z ^ z >> 27) * UINT64_C(0x94D049BB133111EB);
    return z ^ z >> 31;
}

static inline unsigned check_below(CheckRandom *random, unsigned limit)
{
    return (unsigned)(check_next(random) % limit);
}

/* ------------------------------------------------------------------ vectors */

enum { CHECK_COLUMNS = 12, CHECK_LINE = 512 };

typedef struct CheckRow {
    char line[CHECK_LINE];
    const char *column[CHECK_COLUMNS]; /* as many as the row has; the rest "" */
} CheckRow;

/* Opens a file of tests/outside/vectors (the folder `tests` is HEELCUT_TESTS) and skips its heading. */
static inline FILE *check_vectors(const char *name)
{
    const char *tests = getenv("HEELCUT_TESTS");
    char path[CHECK_LINE];
    snprintf(path, sizeof path, "%s/outside/vectors/%s", tests ? tests : "tests", name);
    FILE *file = fopen(path, "r");
    if (!file) fail_msg("cannot open %s", path);
    CheckRow heading;
    if (!fgets(heading.line, CHECK_LINE, file)) fail_msg("%s is empty", path);
    return file;
}

static inline int check_row(FILE *file, CheckRow *row)
{
    if (!fgets(row->line, CHECK_LINE, file)) return 0;
    row->line[strcspn(row->line, "\r\n")] = '\0';
    char *at = row->line;
    for (size_t i = 0; i < CHECK_COLUMNS; i++) {
        row->column[i] = at;
        at += strcspn(at, ",");
        if (*at) *at++ = '\0';
    }
    return 1;
}

#endif
