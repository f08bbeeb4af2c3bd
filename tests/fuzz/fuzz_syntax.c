/* Any bytes through the reader: it must end, stay in its memory, and give a tree that can be dumped. The
 * first byte chooses between a file and a single value. */
#include "base/buffer.h"
#include "syntax/read.h"

#include <stdlib.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void exhausted(size_t wanted)
{
    (void)wanted;
    abort();
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    if (size < 1 || size > 65536) return 0;
    Arena *arena = arena_new(exhausted);
    uint32_t length = (uint32_t)(size - 1);
    const Text *text = text_new(arena, "fuzz", arena_copy(arena, data + 1, length), length, 1);
    Notes *notes = notes_new(arena, 200);
    if (data[0] % 2 == 0) {
        const Tree *tree = syntax_read(arena, text, notes);
        Buffer *out = buffer_in_memory(arena);
        tree_dump(tree, out);
        size_t count;
        Note *const *sorted = notes_sorted(notes, &count);
        for (size_t i = 0; i < count; i++)
            if (sorted[i]->place[0].span.end > length) abort();
    } else {
        Value value;
        bool read = syntax_read_value(arena, text, (Span){text, 0, length}, notes, &value);
        if (read != (notes_total(notes) == 0)) abort();
    }
    arena_free(arena);
    return 0;
}
