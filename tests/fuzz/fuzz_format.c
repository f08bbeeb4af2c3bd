/* Any bytes laid out: what cannot be read is refused with a fault told, and what can be read keeps its pieces
 * and its tree, and has its form after one time. */
#include "syntax/format.h"
#include "syntax/read.h"

#include <stdlib.h>

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t length);

static void exhausted(size_t wanted)
{
    (void)wanted;
    abort();
}

static const Text *text_of(Arena *arena, Slice bytes)
{
    return text_new(arena, "fuzz.heel", arena_copy(arena, bytes.at, bytes.length), (uint32_t)bytes.length, 1);
}

static Slice tree_of(Arena *arena, const Text *text)
{
    Notes *notes = notes_new(arena, 10);
    Buffer *out = buffer_in_memory(arena);
    tree_dump(syntax_read(arena, text, notes), out);
    if (notes_total(notes)) abort();
    return buffer_slice_of(out);
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t length)
{
    if (length > 1 << 16) return 0;
    Arena *arena = arena_new(exhausted);
    Notes *notes = notes_new(arena, 10);
    const Text *text = text_of(arena, (Slice){(const char *)bytes, length});
    Buffer *once = buffer_in_memory(arena), *twice = buffer_in_memory(arena);
    FormatResult result = syntax_format(arena, text, notes, once);
    if (result == FORMAT_UNSURE || (result == FORMAT_UNREADABLE) != (notes_total(notes) > 0)) abort();
    if (result == FORMAT_DONE) {
        const Text *form = text_of(arena, buffer_slice_of(once));
        if (!slice_equal(tree_of(arena, text), tree_of(arena, form))) abort();
        if (syntax_format(arena, form, notes, twice) != FORMAT_DONE) abort();
        if (!slice_equal(buffer_slice_of(once), buffer_slice_of(twice))) abort();
    }
    arena_free(arena);
    return 0;
}
