/* Any bytes as two nurseries, parted at the first form feed: the comparison of one with itself is empty, and
 * that of the two is the same there and back, with tightened for loosened. Nothing may crash, hang or leak.
 */
#include "analysis/diff.h"
#include "syntax/read.h"

#include <stdlib.h>
#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t length);

static void exhausted(size_t wanted)
{
    (void)wanted;
    abort();
}

static Nursery *read_nursery(Arena *arena, const Nursery *other, const uint8_t *bytes, size_t length)
{
    Notes *notes = notes_new(arena, 100);
    Nursery *nursery = other ? nursery_beside(other->arena, other, notes) : nursery_new(arena, notes);
    Text *text = text_new(arena, "fuzz.heel", arena_copy(arena, bytes, length), (uint32_t)length, 1);
    nursery_add(nursery, syntax_read(arena, text, notes), false);
    nursery_finish(nursery);
    return nursery;
}

static void expect_mirrored(const Diff *there, const Diff *back)
{
    if (there->count != back->count || there->protocols != back->protocols) abort();
    if (there->directions[DIRECTION_TIGHTENED] != back->directions[DIRECTION_LOOSENED]) abort();
    if (there->directions[DIRECTION_LOOSENED] != back->directions[DIRECTION_TIGHTENED]) abort();
    if (there->directions[DIRECTION_MOVED] != back->directions[DIRECTION_MOVED]) abort();
    if (there->directions[DIRECTION_EDITORIAL] != back->directions[DIRECTION_EDITORIAL]) abort();
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t length)
{
    if (length > 1 << 16) return 0;
    const uint8_t *mark = length ? memchr(bytes, '\f', length) : NULL;
    size_t first = mark ? (size_t)(mark - bytes) : length / 2, second = first + (mark ? 1 : 0);
    Arena *arena = arena_new(exhausted);
    Nursery *before = read_nursery(arena, NULL, bytes, first);
    Nursery *again = read_nursery(arena, before, bytes, first);
    Nursery *after = read_nursery(arena, before, bytes + second, length - second);
    if (diff_nurseries(arena, before, again, NULL)->count) abort();
    expect_mirrored(diff_nurseries(arena, before, after, NULL), diff_nurseries(arena, after, before, NULL));
    arena_free(arena);
    return 0;
}
