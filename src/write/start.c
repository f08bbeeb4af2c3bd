/* Making starting files: one name replaced by another, and nothing else. */
#include "write/start.h"

#include "base/buffer.h"
#include "syntax/read.h"

#include <string.h>

const StartKind start_kinds[] = {{"nursery", "nursery.heel", "your-nursery"},
                                 {"protocol", "protocols/your-shrub.heel", "your-shrub"},
                                 {"batch", "plan.heel", "your-batch"}};
const size_t start_kind_count = sizeof start_kinds / sizeof *start_kinds;

const StartKind *start_kind_find(Slice word)
{
    for (size_t i = 0; i < start_kind_count; i++)
        if (slice_is(word, start_kinds[i].word)) return &start_kinds[i];
    return NULL;
}

Slice start_file_text(const char *path)
{
    for (size_t i = 0; i < start_file_count; i++)
        if (!strcmp(start_files[i].path, path)) return start_files[i].text;
    return SLICE("");
}

static bool goes_on(char c)
{
    return (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || c == '-' || c == '_';
}

Slice start_text(Arena *arena, Slice text, const char *placeholder, const char *name)
{
    Buffer *out = buffer_in_memory(arena);
    size_t length = strlen(placeholder);
    for (size_t i = 0; i < text.length;) {
        bool found = i + length < text.length && !memcmp(text.at + i, placeholder, length) &&
                     !goes_on(text.at[i + length]) && (i == 0 || !goes_on(text.at[i - 1]));
        if (found)
            buffer_text(out, name);
        else
            buffer_char(out, text.at[i]);
        i += found ? length : 1;
    }
    return buffer_slice_of(out);
}

bool start_name_fits(Arena *arena, const StartKind *kind, const char *name)
{
    Notes *notes = notes_new(arena, 1);
    Slice text = start_text(arena, start_file_text(kind->path), kind->placeholder, name);
    const char *bytes = arena_copy(arena, text.at, text.length);
    const Tree *tree =
        syntax_read(arena, text_new(arena, kind->path, bytes, (uint32_t)text.length, 1), notes);
    const Item *item = tree->first;
    while (item && !slice_is(item->field, kind->word)) item = item->next;
    if (!item || notes_total(notes) || !item->value.first) return false;
    const Part *part = item->value.first->first->first;
    return part && part->kind == PART_WORD && slice_is(part->word, name);
}
